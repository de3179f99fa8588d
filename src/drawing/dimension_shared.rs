//! Lengths that stand side by side along one line which nothing parts between them: none of them is the line's.

use std::collections::{BTreeMap, BTreeSet};

use super::dimension::Dimension;
use super::near::Near;
use super::words::Words;

/// A text stands on one side of its line's middle where it is farther from there than this, in its sizes.
const OFF_MIDDLE: f64 = 1.0;

/// Two lengths of one line each run on beyond where the other ends by more than this, in text sizes: nothing marks the place ...
const BEYOND: f64 = 1.0;
/// ... and no end of theirs stands farther from the other's line than this.
const ONE_LINE: f64 = 0.2;
/// Pairs of lengths that are compared, at most: some 0.1 seconds.
const MOST_PAIRS: usize = 10_000_000;

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
    let overlapping = overlapping(&dimensions, words);
    let (shared, counting): (Vec<_>, Vec<_>) =
        dimensions.into_iter().enumerate().partition(|(i, d)| {
            let both = sides.get(&line(d)).is_some_and(Sides::are_both_taken);
            both || overlapping.contains(i)
        });
    let alone = |all: Vec<(usize, Dimension)>| all.into_iter().map(|(_, d)| d).collect();
    (alone(counting), alone(shared))
}

/// The lengths on one line with another that neither ends where it does nor lies within it: their texts stand in gaps of the
/// line, which goes on to the next gap.
fn overlapping(dimensions: &[Dimension], words: &[Words]) -> BTreeSet<usize> {
    let places = Near::of(dimensions.iter().map(|d| (d.from, d.to)));
    let mut pairs = 0;
    let mut found = BTreeSet::new();
    for (i, d) in dimensions.iter().enumerate() {
        let size = words[d.words].size();
        let near = places.near(d.from.midpoint(d.to), d.from.distance(d.to) / 2.0);
        pairs += near.len();
        if pairs > MOST_PAIRS {
            break;
        }
        let overlaps = |j: &usize| dimensions.get(*j).is_some_and(|o| overlap(d, o, size));
        if near.iter().any(overlaps) {
            found.insert(i);
        }
    }
    found
}

fn overlap(a: &Dimension, b: &Dimension, size: f64) -> bool {
    let v = a.to - a.from;
    let Some(u) = v.unit() else { return false };
    let [from, to] = [b.from, b.to].map(|p| p - a.from);
    let is_one_line = [from, to]
        .iter()
        .all(|p| u.cross(*p).abs() <= ONE_LINE * size);
    let (low, high) = (from.dot(u).min(to.dot(u)), from.dot(u).max(to.dot(u)));
    let (long, slack) = (v.length(), BEYOND * size);
    let before = low < -slack && high > slack && high < long - slack;
    let after = low > slack && low < long - slack && high > long + slack;
    a.length.metric == b.length.metric && is_one_line && (before || after)
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
