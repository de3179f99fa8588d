//! Where in the drawing something was.

use std::borrow::Cow;
use std::sync::Arc;

use crate::geometry::Point;

/// One element of the drawing as the file has it.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Source {
    /// The `id` written in the file, if any.
    pub id: Option<String>,
    /// The element's name, such as `path`.
    pub tag: Cow<'static, str>,
    /// The nearest layer or group name, as a person reads it.
    pub layer: Option<String>,
    /// Line in the file as it was read, from 1; 0 where there is none.
    pub line: u32,
    /// Column in that line, in characters, from 1; 0 where there is none.
    pub column: u32,
}

/// A place in the drawing: the element, or a point of the plan, or both.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Place {
    /// The element.
    pub source: Option<Arc<Source>>,
    /// The point, in plan feet (y up).
    pub at: Option<Point>,
}

impl Place {
    /// A point of the plan.
    pub fn at(point: Point) -> Self {
        Self {
            source: None,
            at: Some(point),
        }
    }
    /// An element, without a point.
    pub fn of(source: &Arc<Source>) -> Self {
        Self {
            source: Some(Arc::clone(source)),
            at: None,
        }
    }
    /// An element and a point on it.
    pub fn on(source: &Arc<Source>, point: Point) -> Self {
        Self {
            source: Some(Arc::clone(source)),
            at: Some(point),
        }
    }
}
