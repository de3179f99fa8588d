//! How a piece is nailed.

use crate::roof::{FaceId, Roof};

use super::{Choices, Courses, FaceLayout, ShingleFormat};

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

/// The nailing of a format on a face that is steep for shingles or not. Hand-driven and coil nails are counted alike.
fn nailing(format: &ShingleFormat, steep: bool, choices: &Choices) -> Nailing {
    let (said, why) = match (steep, choices.high_wind) {
        (true, _) => (format.nails_per_piece_high_wind, "steep slope"),
        (false, true) => (format.nails_per_piece_high_wind, "high wind"),
        (false, false) => (format.nails_per_piece, "ordinary wind"),
    };
    let (per_piece, why) = if said < choices.least_nails {
        (choices.least_nails, "no fewer in a strip")
    } else {
        (said, why)
    };
    let caution = if steep {
        Some(
            "steep slope: the maker's steep-slope instructions apply, with hand-sealing of every piece",
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
        nailing(&self.format, false, &self.choices).per_piece
    }
    /// How the pieces of a face are nailed.
    pub fn nailing(&self, roof: &Roof, face: FaceId) -> Nailing {
        let steep = self.choices.limits.takes_steep_fastening(roof.face(face));
        nailing(&self.format, steep, &self.choices)
    }
    /// Nails in all pieces laid, by the wind zone and each face's slope.
    pub fn nails(&self, roof: &Roof) -> usize {
        self.faces
            .iter()
            .map(|f| f.nails(self.nailing(roof, f.face).per_piece))
            .sum()
    }
}
