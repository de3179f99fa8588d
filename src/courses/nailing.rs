//! How a piece is nailed.

use crate::roof::{FaceId, Roof};
use crate::units::Pitch;

use super::{Courses, FaceLayout, ShingleFormat};

/// Above this pitch makers give steep-slope instructions: 21 in 12 (common practice, no source).
pub const STEEP_ABOVE_IN_12: f64 = 21.0;

/// How the pieces of one face are nailed.
#[derive(Clone, Debug, PartialEq)]
pub struct Nailing {
    /// Nails in every piece laid, cut ones too.
    pub per_piece: u32,
    /// Why so many.
    pub why: &'static str,
    /// Height of the nail line above the butt, in inches.
    pub line_in: f64,
    /// The nail line's zone, from and to, in inches above the butt.
    pub zone_in: (f64, f64),
    /// What the maker's instructions must settle, where something must be.
    pub caution: Option<&'static str>,
}

/// The nailing of a format on a face of a pitch. Hand-driven and coil nails are counted alike.
pub fn nailing(format: &ShingleFormat, pitch: Pitch, high_wind: bool) -> Nailing {
    let steep = pitch.to_in_12() > STEEP_ABOVE_IN_12;
    let (per_piece, why) = match (steep, high_wind) {
        (true, _) => (format.nails_per_piece_high_wind, "steeper than 21 in 12"),
        (false, true) => (format.nails_per_piece_high_wind, "high wind"),
        (false, false) => (format.nails_per_piece, "ordinary wind"),
    };
    let caution = if steep {
        Some(
            "steeper than 21 in 12: the maker's steep-slope instructions apply, with hand-sealing of every piece",
        )
    } else if format.nail_line_in <= format.exposure_in {
        Some("the nail line lies within the exposure: check it against the wrapper")
    } else if !format.sealed {
        Some("no sealant line: hand-seal where the maker asks for it")
    } else {
        None
    };
    Nailing {
        per_piece,
        why,
        line_in: format.nail_line_in,
        zone_in: (
            format.nail_line_in,
            format.nail_line_in + format.nail_zone_in,
        ),
        caution,
    }
}

impl FaceLayout {
    /// Nails for the pieces laid: cut pieces are nailed too.
    pub fn nails(&self, per_piece: u32) -> usize {
        self.pieces_laid * per_piece as usize
    }
}

impl Courses {
    /// Nails in a piece on faces that are not steep.
    pub fn nails_per_piece(&self) -> u32 {
        if self.choices.high_wind {
            self.format.nails_per_piece_high_wind
        } else {
            self.format.nails_per_piece
        }
    }
    /// How the pieces of a face are nailed.
    pub fn nailing(&self, roof: &Roof, face: FaceId) -> Nailing {
        nailing(&self.format, roof.face(face).pitch, self.choices.high_wind)
    }
    /// Nails in all pieces laid, by the wind zone and each face's slope.
    pub fn nails(&self, roof: &Roof) -> usize {
        self.faces
            .iter()
            .map(|f| f.nails(self.nailing(roof, f.face).per_piece))
            .sum()
    }
}
