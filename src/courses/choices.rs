//! What the user may choose about a layout; what is left open is suggested.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::roof::{EdgeId, FaceId};

/// The corner that courses are started from.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum StartCorner {
    /// The left end of the eave, seen from outside.
    #[default]
    Left,
    /// The right end.
    Right,
}

impl StartCorner {
    /// The corner at the other end of the eave.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// What a layout is to be good at.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Layout {
    /// As few shingles opened as can be found; many courses may begin in a place of their own.
    #[default]
    Fewest,
    /// One repeated step from course to course on every face, wherever one keeps the rules: of those steps the one that
    /// opens fewest. A few shingles more, and one sentence for the crew.
    Regular,
}

/// The user's choices. What is absent is chosen by the layout.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choices {
    /// The face that runs through a closed-cut valley, by the valley's edge.
    pub through: BTreeMap<EdgeId, FaceId>,
    /// The starting corner, by face.
    pub start: BTreeMap<FaceId, StartCorner>,
    /// The offset from course to course in inches, by face: then every course is laid in this repeated step where
    /// the rules allow it.
    pub offset_in: BTreeMap<FaceId, f64>,
    /// What the layout is to be good at.
    pub layout: Layout,
    /// Whether the roof stands in a high wind zone, where a piece takes more nails.
    pub high_wind: bool,
}
