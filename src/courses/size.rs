//! Roofs too large to be true are refused before a shingle is laid.

use super::ShingleFormat;
use crate::Finding;
use crate::roof::Roof;

/// More squares than this are taken for a wrong scale: 5,000,000 ft², well beyond any shingled roof (common practice, no
/// source).
const MOST_SQUARES: f64 = 50_000.0;

/// More pieces than this are taken for a wrong format: 50,000 squares at 80 to the square, and some.
const MOST_PIECES: f64 = 5_000_000.0;

/// Why the roof cannot be laid in a format for its size.
pub(super) fn refused(roof: &Roof, format: &ShingleFormat) -> Option<Finding> {
    let sloped = roof.faces.iter().filter(|f| !f.is_flat());
    let squares = sloped.map(|f| f.true_area.to_square_feet()).sum::<f64>() / 100.0;
    let pieces = squares * format.pieces_per_square();
    if squares > MOST_SQUARES {
        let most = MOST_SQUARES;
        return Some(
            Finding::error(
                "roof-too-large",
                format!(
                    "the sloped faces measure {squares:.0} squares, and no courses are laid on more than {most:.0}: the scale is likely wrong"
                ),
            )
            .remedy("compare the length of an eave with the sketch, and correct the drawn scale or --scale"),
        );
    }
    (pieces > MOST_PIECES).then(|| {
        Finding::error(
            "shingles-too-many",
            format!(
                "{squares:.0} squares take {pieces:.0} pieces of {}, and no more than {MOST_PIECES:.0} are laid",
                format.name
            ),
        )
        .remedy("look at the format's width and exposure, and at the scale")
    })
}
