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
    /// Whether its stroke goes round a face of its own: closed, or as good as closed.
    pub(super) ring_like: bool,
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
        let ring_like = goes_round(stroke);
        let first = all.len();
        for side in 0..sides {
            let ends = [stroke.points[side], stroke.points[(side + 1) % count]];
            let length = ends[0].distance(ends[1]);
            if length > 0.0 && length.is_finite() {
                all.push(Piece {
                    ends,
                    stroke: index,
                    curved: stroke.curved,
                    ring_like,
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

/// An open stroke whose ends are nearer than this part of its length was meant to close.
const ALMOST_CLOSED: f64 = 0.05;

fn goes_round(stroke: &Stroke) -> bool {
    let (Some(first), Some(last)) = (stroke.points.first(), stroke.points.last()) else {
        return false;
    };
    let length: f64 = stroke.points.windows(2).map(|w| w[0].distance(w[1])).sum();
    stroke.closed || (stroke.points.len() > 3 && first.distance(*last) <= ALMOST_CLOSED * length)
}
