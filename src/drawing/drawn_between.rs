//! Lines drawn between two texts: the marks of a chain of lengths part them.

use std::cell::OnceCell;

use super::near::Near;
use super::shape::Shape;
use super::words::Words;
use crate::geometry::Point;

/// A mark between two texts reaches from so far below their baseline to so far above it, in sizes of the letters: a text stands
/// above the line that its marks cross.
const BELOW: f64 = 1.6;
const ABOVE: f64 = 1.0;
/// A text that is wider than its bay runs over the mark by no more than this part of the size.
const UNDER_A_LETTER: f64 = 0.4;
/// What rises by less than this part of its run is the line that the texts stand on.
const LEVEL: f64 = 0.35;

/// The straight pieces of what is drawn, curves by their chords.
pub(super) struct Drawn<'s> {
    shapes: &'s [Shape],
    /// Made when it is first asked for: few drawings have two lengths so near to each other.
    chords: OnceCell<(Vec<(Point, Point)>, Near)>,
}

impl<'s> Drawn<'s> {
    pub(super) fn new(shapes: &'s [Shape]) -> Self {
        Self {
            shapes,
            chords: OnceCell::new(),
        }
    }

    /// Whether something other than the line that they stand on is drawn between two texts of one baseline.
    pub(super) fn parts(&self, before: &Words, after: &Words) -> bool {
        let size = before.size();
        let (gap, _) = before.ahead(after.start);
        let middle = before.end.midpoint(after.start);
        let (chords, near) = self.chords.get_or_init(|| {
            let outlines = self.shapes.iter().flat_map(|shape| {
                let as_fill = shape.filled;
                shape.outlines.iter().flat_map(move |o| o.chords(as_fill))
            });
            let chords: Vec<(Point, Point)> = outlines.collect();
            let near = Near::of(chords.iter().copied());
            (chords, near)
        });
        let low = (-UNDER_A_LETTER, -BELOW);
        let high = (gap.max(0.0) + UNDER_A_LETTER, ABOVE);
        let reach = size * (BELOW + gap.abs());
        let found = near.near(middle, reach).into_iter().map(|i| chords[i]);
        found
            .map(|(from, to)| (before.ahead(from), before.ahead(to)))
            .filter(|(from, to)| (to.1 - from.1).abs() > LEVEL * (to.0 - from.0).abs())
            .any(|(from, to)| enters(from, to, low, high))
    }
}

/// Whether a straight piece has a part within a box (Liang and Barsky's clipping, ACM Transactions on Graphics 3, 1984, from
/// memory).
fn enters(from: (f64, f64), to: (f64, f64), low: (f64, f64), high: (f64, f64)) -> bool {
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for (from, to, low, high) in [(from.0, to.0, low.0, high.0), (from.1, to.1, low.1, high.1)] {
        let by = to - from;
        if by == 0.0 {
            if from < low || from > high {
                return false;
            }
            continue;
        }
        let (one, other) = ((low - from) / by, (high - from) / by);
        first = first.max(one.min(other));
        last = last.min(one.max(other));
    }
    first <= last
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_piece_enters_a_box_that_it_crosses_ends_in_or_lies_in() {
        let is_in = |from, to| enters(from, to, (0.0, 0.0), (4.0, 2.0));
        for (from, to) in [
            ((2.0, -3.0), (2.0, 5.0)),
            ((-1.0, 1.0), (1.0, 1.0)),
            ((1.0, 0.5), (1.0, 1.5)),
            ((-1.0, 1.0), (1.0, 3.0)),
            ((4.0, -1.0), (4.0, 0.0)),
        ] {
            assert!(is_in(from, to) && is_in(to, from), "{from:?} {to:?}");
        }
        for (from, to) in [
            ((5.0, -3.0), (5.0, 5.0)),
            ((-1.0, 1.5), (1.0, 3.5)),
            ((1.0, 3.0), (3.0, 2.5)),
            ((1.0, -2.0), (1.0, -0.1)),
        ] {
            assert!(!is_in(from, to) && !is_in(to, from), "{from:?} {to:?}");
        }
    }
}
