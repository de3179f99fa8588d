//! Lines drawn between two texts: the marks of a chain of lengths part them.

use std::cell::OnceCell;

use super::near::Near;
use super::shape::Shape;
use super::words::Words;
use crate::geometry::{Point, part_in_box};

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
        let low = Point::new(-UNDER_A_LETTER, -BELOW);
        let high = Point::new(gap.max(0.0) + UNDER_A_LETTER, ABOVE);
        let reach = size * (BELOW + gap.abs());
        let found = near.near(middle, reach).into_iter().map(|i| chords[i]);
        // Along the texts and up from their baseline, in sizes from the end of the first.
        let seen = |p: Point| {
            let (along, up) = before.ahead(p);
            Point::new(along, up)
        };
        found
            .map(|(a, b)| (seen(a), seen(b)))
            .filter(|(a, b)| (b.y - a.y).abs() > LEVEL * (b.x - a.x).abs())
            .any(|(a, b)| part_in_box(a, b, low, high).is_some())
    }
}
