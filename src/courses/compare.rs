//! The same roof laid in several formats.

use crate::Finding;
use crate::roof::Roof;

use super::{Choices, Courses, LayRules, ShingleFormat};

/// One format on the roof. Shingles opened and pieces laid are in [`Courses`].
#[derive(Clone, Debug)]
pub struct Compared {
    /// The layout.
    pub courses: Courses,
    /// Pieces to cover 100 ft² without waste.
    pub pieces_per_square: f64,
    /// Whole bundles, rounded up once for the roof.
    pub bundles: usize,
    /// Nails a piece that were counted with.
    pub nails_per_piece: u32,
    /// Nails in all pieces laid.
    pub nails: usize,
    /// Weight of the shingles opened, in pounds; `None` where the format does not state it.
    pub weight_lb: Option<f64>,
    /// Pieces laid for each piece of the first format: how the time for laying compares, where a piece takes the same
    /// time in any format.
    pub labour_ratio: f64,
}

/// Lays the roof in each of the formats. All are counted with `nails_per_piece` where it is given, else each with its
/// own number: then counts of nails are like for like only where those are the same, and a finding says so.
pub fn compare(
    roof: &Roof,
    formats: &[ShingleFormat],
    rules: &LayRules,
    choices: &Choices,
    nails_per_piece: Option<u32>,
) -> Result<(Vec<Compared>, Vec<Finding>), Vec<Finding>> {
    let mut all: Vec<Compared> = Vec::new();
    for format in formats {
        let courses = Courses::lay(roof, format, rules, choices)?;
        let laid = courses.pieces_laid();
        let opened = courses.opened();
        let nails_each = nails_per_piece.unwrap_or(format.nails_per_piece);
        let first = all.first().map_or(laid, |c| c.courses.pieces_laid());
        let in_bundles = opened as f64 / f64::from(format.pieces_per_bundle.max(1));
        all.push(Compared {
            pieces_per_square: format.pieces_per_square(),
            bundles: opened.div_ceil(format.pieces_per_bundle.max(1) as usize),
            nails_per_piece: nails_each,
            nails: laid * nails_each as usize,
            weight_lb: (format.bundle_weight_lb > 0.0)
                .then_some(in_bundles * format.bundle_weight_lb),
            labour_ratio: if first > 0 {
                laid as f64 / first as f64
            } else {
                1.0
            },
            courses,
        });
    }
    let mut findings = Vec::new();
    let differ = all
        .windows(2)
        .any(|two| two[0].nails_per_piece != two[1].nails_per_piece);
    if differ {
        findings.push(
            Finding::note(
                "nails-not-like-for-like",
                "the formats are counted with different numbers of nails a piece, so their nails are not like for like",
            )
            .remedy("state one number of nails a piece for all of them"),
        );
    }
    Ok((all, findings))
}

/// What one format saves against another over an area, without waste.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saving {
    /// Fewer pieces.
    pub pieces: f64,
    /// Fewer nails.
    pub nails: f64,
    /// The squares of the other format whose laying takes as many pieces.
    pub squares_of_time: f64,
}

/// What `wide` saves against `other` over a number of squares, each with its nails a piece.
pub fn saving(wide: (&ShingleFormat, u32), other: (&ShingleFormat, u32), squares: f64) -> Saving {
    let (a, b) = (wide.0.pieces_per_square(), other.0.pieces_per_square());
    Saving {
        pieces: (b - a) * squares,
        nails: (b * f64::from(other.1) - a * f64::from(wide.1)) * squares,
        squares_of_time: (b - a) * squares / b,
    }
}
