//! Lengths that stand side by side along one line which nothing parts between them: none of them is the line's.

use std::collections::BTreeMap;

use super::dimension::Dimension;
use super::words::Words;

/// A text stands on one side of its line's middle where it is farther from there than this, in its sizes.
const OFF_MIDDLE: f64 = 1.0;

/// Parts the lengths that count from those that share a line. A length in feet and one in metres may be the same length twice.
pub(super) fn apart(
    dimensions: Vec<Dimension>,
    words: &[Words],
) -> (Vec<Dimension>, Vec<Dimension>) {
    let mut sides: BTreeMap<[u64; 4], Sides> = BTreeMap::new();
    for d in &dimensions {
        let off = off_middle(d, &words[d.words]);
        let on = sides.entry(line(d)).or_default();
        let [before, after] = &mut on.0[usize::from(d.length.metric)];
        *before |= off < -OFF_MIDDLE;
        *after |= off > OFF_MIDDLE;
    }
    dimensions
        .into_iter()
        .partition(|d| !sides.get(&line(d)).is_some_and(Sides::are_both_taken))
}

/// Whether a length stands before the middle of a line, and after it: in feet and in metres.
#[derive(Default)]
struct Sides([[bool; 2]; 2]);

impl Sides {
    fn are_both_taken(&self) -> bool {
        self.0.contains(&[true; 2])
    }
}

/// Its two ends in their order, so that it is one line whichever way it was drawn.
fn ends(d: &Dimension) -> [[f64; 2]; 2] {
    let mut ends = [[d.from.x, d.from.y], [d.to.x, d.to.y]];
    ends.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    ends
}

/// A line by its ends: what was found along one line twice has the same to the last bit.
fn line(d: &Dimension) -> [u64; 4] {
    let [a, b] = ends(d);
    [a[0], a[1], b[0], b[1]].map(f64::to_bits)
}

/// How far a text stands from the middle of its line, along it, in its sizes.
fn off_middle(d: &Dimension, words: &Words) -> f64 {
    let middle = words.middle() - d.from.midpoint(d.to);
    let [a, b] = ends(d);
    let (x, y) = (b[0] - a[0], b[1] - a[1]);
    (middle.x * x + middle.y * y) / (x.hypot(y) * words.size())
}
