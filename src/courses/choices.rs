//! What the user may choose about a layout; what is left open is suggested.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::roof::{EdgeId, FaceId, SlopeLimits};

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

/// A strip shingle takes no fewer nails (IRC R905.2.6, read).
pub const LEAST_NAILS_A_STRIP: u32 = 4;

/// The user's choices. What is absent is chosen by the layout.
#[derive(Clone, Debug, PartialEq)]
pub struct Choices {
    /// The face that runs through a closed-cut valley, by the valley's edge.
    pub through: BTreeMap<EdgeId, FaceId>,
    /// The starting corner, by face.
    pub start: BTreeMap<FaceId, StartCorner>,
    /// The offset from course to course in inches, by face: then every course is laid in this repeated step where
    /// the rules allow it, to the side of the start corner or, where only that can be kept, to the other.
    pub offset_in: BTreeMap<FaceId, f64>,
    /// What the layout is to be good at.
    pub layout: Layout,
    /// Whether the roof stands in a high wind zone, where a piece takes more nails.
    pub high_wind: bool,
    /// A piece takes no fewer nails, whatever its format says; 0 where the job has switched the rule off.
    pub least_nails: u32,
    /// Slopes at which rules change: which faces take no shingles, and which are nailed as steep ones.
    pub limits: SlopeLimits,
}

impl Default for Choices {
    fn default() -> Self {
        Self {
            through: BTreeMap::new(),
            start: BTreeMap::new(),
            offset_in: BTreeMap::new(),
            layout: Layout::default(),
            high_wind: false,
            least_nails: LEAST_NAILS_A_STRIP,
            limits: SlopeLimits::default(),
        }
    }
}
