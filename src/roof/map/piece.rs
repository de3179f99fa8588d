//! The straight pieces that the strokes are made of, each with the stroke that it belongs to.

use crate::drawing::Stroke;
use crate::geometry::Point;

/// One straight piece as drawn.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// Its drawn ends.
    pub(super) ends: [Point; 2],
    /// Index of the stroke in the set that the map is built from.
    pub(super) stroke: usize,
    /// Whether it is a chord of a flattened curve.
    pub(super) curved: bool,
    /// How long a thing ends here, in feet: joining may move that end by less than half of it. The length of the
    /// piece; at the free ends of a flattened curve, the length of the curve.
    pub(super) reach_ft: [f64; 2],
}

impl Piece {
    /// The length as drawn, in feet.
    pub(super) fn length(&self) -> f64 {
        self.ends[0].distance(self.ends[1])
    }
}

/// All pieces of the strokes, in their order. Pieces without length are left out.
pub(super) fn pieces(strokes: &[&Stroke]) -> Vec<Piece> {
    let mut all = Vec::new();
    for (index, stroke) in strokes.iter().enumerate() {
        let count = stroke.points.len();
        let sides = if stroke.closed {
            count
        } else {
            count.saturating_sub(1)
        };
        let first = all.len();
        for side in 0..sides {
            let ends = [stroke.points[side], stroke.points[(side + 1) % count]];
            let length = ends[0].distance(ends[1]);
            if length > 0.0 && length.is_finite() {
                all.push(Piece {
                    ends,
                    stroke: index,
                    curved: stroke.curved,
                    reach_ft: [length; 2],
                });
            }
        }
        if stroke.curved && !stroke.closed {
            let whole: f64 = all[first..].iter().map(Piece::length).sum();
            if let Some(piece) = all.get_mut(first) {
                piece.reach_ft[0] = whole;
            }
            if let Some(piece) = all[first..].last_mut() {
                piece.reach_ft[1] = whole;
            }
        }
    }
    all
}
