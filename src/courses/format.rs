//! Shingle formats as data.

use serde::{Deserialize, Serialize};

/// A shingle format. Lengths in inches (metric formats are converted exactly when read). It is read from a table as
/// the shipped catalogue has them (see [`super::formats`]).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "super::formats::Entry")]
pub struct ShingleFormat {
    /// A short name to choose it by, such as `36x12`.
    pub name: String,
    /// What it is, in words.
    pub description: String,
    /// Width along the course.
    pub width_in: f64,
    /// Height up the slope.
    pub height_in: f64,
    /// Height left to the weather.
    pub exposure_in: f64,
    /// Pieces in a bundle.
    pub pieces_per_bundle: u32,
    /// Weight of a bundle in pounds.
    pub bundle_weight_lb: f64,
    /// Nails a piece in an ordinary wind zone.
    pub nails_per_piece: u32,
    /// Nails a piece in a high wind zone, and on slopes steeper than 21 in 12.
    pub nails_per_piece_high_wind: u32,
    /// Height of the nail line above the butt.
    pub nail_line_in: f64,
    /// Height of the zone above the nail line in which a nail may sit; 0 where not known.
    pub nail_zone_in: f64,
    /// Into how many tabs cutouts divide it; 0 for a plain shingle.
    pub tabs: u32,
    /// Whether a hand-cut plain edge may lie in the field.
    pub plain_edge: bool,
    /// Whether a sealant line holds the butt of the shingle above.
    pub sealed: bool,
    /// Whether it is made to millimetres.
    pub metric: bool,
    /// Where these figures come from.
    pub source: FormatSource,
}

/// Where a format's figures come from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FormatSource(pub String);

impl ShingleFormat {
    /// Width × exposure, in square inches.
    pub fn exposed_area_sqin(&self) -> f64 {
        self.width_in * self.exposure_in
    }
    /// Height that lies under two courses above: height − 2 × exposure, in inches.
    pub fn headlap_in(&self) -> f64 {
        self.height_in - 2.0 * self.exposure_in
    }
    /// Pieces to cover 100 ft²: 14,400 / (width × exposure).
    pub fn pieces_per_square(&self) -> f64 {
        14_400.0 / self.exposed_area_sqin()
    }
    /// From cutout to cutout, in inches; `None` for a shingle without cutouts between its ends.
    pub fn tab_width_in(&self) -> Option<f64> {
        (self.tabs > 1).then(|| self.width_in / f64::from(self.tabs))
    }
}
