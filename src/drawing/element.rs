//! One element of the file as the reader remembers it.

use std::sync::Arc;

use super::layer::{NameRole, NameSays};
use super::marker_shape::Marker;
use crate::place::Source;

/// What is remembered of an element after the pass over the XML.
#[derive(Clone, Debug)]
pub(super) struct Element {
    /// What messages say about it.
    pub(super) source: Arc<Source>,
    /// What the names of the element and the groups around it say.
    pub(super) says: Says,
    /// The names of the element and the groups around it, the innermost first.
    pub(super) names: Arc<[String]>,
    /// The markers at its start and end.
    pub(super) markers: (Marker, Marker),
    /// The words that the file keeps for its shapes or those around it, by their number.
    pub(super) spoken: Option<usize>,
    /// Whether it, or a group round it, is drawn through a mask.
    pub(super) masked: bool,
}

/// What names say, the innermost winning.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Says {
    /// The innermost role.
    pub(super) role: NameRole,
    /// The innermost level.
    pub(super) level: u32,
    /// Whether a level was given without a role inside it.
    pub(super) level_alone: bool,
    /// Whether the role comes from an id, which programs write too, and not from a name that somebody typed.
    pub(super) by_id: bool,
}

impl Says {
    /// What holds inside, when a name says something more.
    pub(super) fn inside(self, name: NameSays, by_id: bool) -> Self {
        let mut inner = self;
        if name.role != NameRole::Unsaid {
            inner.role = name.role;
            inner.level_alone = false;
            inner.by_id = by_id;
        }
        if let Some(level) = name.level {
            inner.level = level;
            inner.level_alone = inner.role == NameRole::Unsaid;
        }
        inner
    }
}
