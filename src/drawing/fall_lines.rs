//! Lines of the fall layer: which are arrows, which draw the head of one, which stand across an end of one. What is no part of
//! another line is an arrow.

use std::collections::{BTreeMap, BTreeSet};

use super::near::Near;
use crate::geometry::{Point, Vector};

/// A stroke of a head, a bar or a dot at an end is shorter than its shaft by this factor.
pub(super) const SHORTER: f64 = 2.0;
/// A stroke of a head starts no farther from the tip than this part of its length; so does the middle of a bar.
const TOUCHES: f64 = 0.1;
/// A stroke of a head runs back beside its shaft: by at least this part of its length along it, some 70° off it at most ...
const BACK: f64 = 0.34;
/// ... and leads away from it by this part: what lies in one line with it is another arrow.
const ASIDE: f64 = 0.1;
/// A stroke that is all there is of a head is shorter than its shaft by this factor: a longer one may be the fall of the face
/// beside it, which starts at the same peak.
const ALONE_SHORTER: f64 = 6.0;
/// The two strokes of a head are of one length, but for this part of it: drawn by hand they are uneven.
const ONE_LENGTH: f64 = 0.34;
/// A bar stands across the end of a shaft by this part of its length, 30° off it at least: drafters' slashes are bars too.
const ACROSS: f64 = 0.5;

/// An open shape of the fall layer, in drawing units.
pub(super) struct FallLine {
    /// Its longest run, a head in the same shape at its end.
    pub(super) shaft: (Point, Point),
    /// All its straight pieces.
    pub(super) pieces: Vec<(Point, Point)>,
}

/// The open shapes of the fall layer by their numbers, and what each is to the others.
pub(super) struct FallLines {
    lines: BTreeMap<usize, FallLine>,
    /// Which lines have a head of strokes that are shapes of their own: at the first end of the shaft, at its last.
    headed: BTreeMap<usize, [bool; 2]>,
    /// Lines that are strokes of another's head, or bars across an end of another one.
    parts: BTreeSet<usize>,
}

impl FallLines {
    pub(super) fn of(lines: BTreeMap<usize, FallLine>) -> Self {
        let places: Vec<(usize, Point)> = lines
            .iter()
            .flat_map(|(&i, line)| {
                let ends = line.pieces.iter().flat_map(|&(a, b)| [a, b]);
                let (from, to) = line.shaft;
                ends.chain([from.midpoint(to)]).map(move |p| (i, p))
            })
            .collect();
        let near = Near::of(places.iter().map(|&(_, p)| (p, p)));
        let mut headed = BTreeMap::new();
        let mut parts = BTreeSet::new();
        for (&i, line) in &lines {
            let (from, to) = line.shaft;
            // No shorter line that touches an end begins farther from it.
            let reach = from.distance(to) / SHORTER * TOUCHES;
            let at_ends = [(from, to), (to, from)].map(|(tip, tail)| {
                let others: BTreeSet<usize> = (near.near(tip, reach).into_iter())
                    .filter_map(|at| Some(places.get(at)?.0))
                    .filter(|&other| other != i)
                    .collect();
                let others = others.iter().filter_map(|&o| Some((o, lines.get(&o)?)));
                let others: Vec<(usize, &FallLine)> = others.collect();
                let strokes = strokes_of_a_head(tip, tail, &others);
                let bars = others.iter().filter(|(_, o)| is_bar(tip, tail, o.shaft));
                parts.extend(bars.map(|&(other, _)| other));
                parts.extend(&strokes);
                !strokes.is_empty()
            });
            headed.insert(i, at_ends);
        }
        Self {
            lines,
            headed,
            parts,
        }
    }

    /// The shaft of an open shape.
    pub(super) fn shaft(&self, index: usize) -> Option<(Point, Point)> {
        self.lines.get(&index).map(|line| line.shaft)
    }

    /// The shafts of all open shapes.
    pub(super) fn shafts(&self) -> impl Iterator<Item = (Point, Point)> {
        self.lines.values().map(|line| line.shaft)
    }

    /// Whether a line has a head of strokes of their own at the first end of its shaft, and at its last.
    pub(super) fn headed(&self, index: usize) -> [bool; 2] {
        self.headed.get(&index).copied().unwrap_or_default()
    }

    /// Whether a line is a part of another one.
    pub(super) fn is_part(&self, index: usize) -> bool {
        self.parts.contains(&index)
    }
}

/// The lines that draw a head at the tip of a shaft: of short strokes that run back from it two of one length, one on each side,
/// or a very short one alone. What stands across its other end, or leads on from it, is none.
fn strokes_of_a_head(tip: Point, tail: Point, others: &[(usize, &FallLine)]) -> Vec<usize> {
    let shaft = tip.distance(tail);
    let Some(back) = (tail - tip).unit() else {
        return Vec::new();
    };
    // How long a stroke is, below 0 on the right of the shaft.
    let stroke = |a: Point, b: Point| {
        let v: Vector = b - a;
        let long = a.distance(b);
        let aside = v.cross(back);
        let is_one = shaft > SHORTER * long
            && a.distance(tip) < TOUCHES * long
            && v.dot(back) >= BACK * long
            && aside.abs() >= ASIDE * long;
        is_one.then(|| long.copysign(aside))
    };
    // A shape of which some piece is no stroke is another arrow.
    let strokes: Vec<(usize, Vec<f64>)> = others
        .iter()
        .filter_map(|(other, line)| {
            let pieces = line.pieces.iter();
            let all = pieces.map(|&(a, b)| stroke(a, b).or_else(|| stroke(b, a)));
            Some((*other, all.collect::<Option<Vec<f64>>>()?))
        })
        .collect();
    let is_of_head = |&one: &f64| {
        let mut all = strokes.iter().flat_map(|(_, lengths)| lengths);
        let mirrored = |other: &f64| (one + other).abs() <= ONE_LENGTH * one.abs();
        shaft > ALONE_SHORTER * one.abs() || all.any(mirrored)
    };
    let of_head = strokes.iter().filter(|(_, all)| all.iter().all(is_of_head));
    of_head.map(|&(other, _)| other).collect()
}

/// Whether a line stands across an end of a longer one, as a bar does where an arrow starts.
fn is_bar(end: Point, other_end: Point, (a, b): (Point, Point)) -> bool {
    let long = a.distance(b);
    let Some(along) = (other_end - end).unit() else {
        return false;
    };
    end.distance(other_end) > SHORTER * long
        && a.midpoint(b).distance(end) < TOUCHES * long
        && (b - a).cross(along).abs() >= ACROSS * long
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line that is straight.
    fn line(a: Point, b: Point) -> FallLine {
        FallLine {
            shaft: (a, b),
            pieces: vec![(a, b)],
        }
    }

    /// A shaft of 10 to its tip, and lines beside it by their numbers from 1 on.
    fn beside_a_shaft(others: &[(Point, Point)]) -> FallLines {
        let shaft = (Point::default(), Point::new(10.0, 0.0));
        let all = [shaft].into_iter().chain(others.iter().copied());
        FallLines::of((0..).zip(all.map(|(a, b)| line(a, b))).collect())
    }

    /// A stroke back from the tip: its length, how far off the shaft it leads, less than nothing to the other side, and how
    /// far from the tip it begins.
    fn stroke(long: f64, off_deg: f64, gap: f64) -> (Point, Point) {
        let from = Point::new(10.0 + gap, 0.0);
        let (sin, cos) = off_deg.to_radians().sin_cos();
        (from, from + Vector::new(-cos, sin) * long)
    }

    #[test]
    fn two_short_strokes_of_one_length_that_run_back_from_the_tip_are_a_head() {
        for (long, off_deg, gap, is_head) in [
            (2.0, 30.0, 0.0, true),
            (4.9, 30.0, 0.0, true),
            (5.1, 30.0, 0.0, false),
            (2.0, 30.0, 0.19, true),
            (2.0, 30.0, 0.21, false),
            (2.0, 69.0, 0.0, true),
            (2.0, 71.0, 0.0, false),
            (2.0, 6.5, 0.0, true),
            (2.0, 5.0, 0.0, false),
        ] {
            let one = stroke(long, off_deg, gap);
            let (to, from) = stroke(long, -off_deg, gap);
            let lines = beside_a_shaft(&[one, (from, to)]);
            let case = (long, off_deg, gap);
            assert_eq!(lines.headed(0), [false, is_head], "{case:?}");
            assert_eq!([1, 2].map(|i| lines.is_part(i)), [is_head; 2], "{case:?}");
        }
        // Both on one side.
        let lines = beside_a_shaft(&[stroke(2.0, 30.0, 0.0), stroke(2.0, 35.0, 0.0)]);
        assert_eq!(lines.headed(0), [false; 2]);
    }

    #[test]
    fn the_strokes_of_a_head_are_uneven_by_a_third_at_most_and_a_lone_one_is_very_short() {
        for (other, are_parts) in [(2.66, [true, true]), (2.75, [false, true])] {
            let lines = beside_a_shaft(&[stroke(2.0, 30.0, 0.0), stroke(other, -30.0, 0.0)]);
            assert_eq!([1, 2].map(|i| lines.is_part(i)), are_parts, "{other}");
        }
        for (long, is_head) in [(1.6, true), (1.7, false)] {
            let lines = beside_a_shaft(&[stroke(long, 30.0, 0.0)]);
            assert_eq!(lines.headed(0), [false, is_head], "{long}");
        }
    }

    #[test]
    fn a_short_line_across_the_start_of_a_shaft_is_its_bar() {
        for (long, off_deg, gap, is_bar) in [
            (2.0, 90.0, 0.0, true),
            (4.9, 90.0, 0.0, true),
            (5.1, 90.0, 0.0, false),
            (2.0, 90.0, 0.19, true),
            (2.0, 90.0, 0.21, false),
            (2.0, 31.0, 0.0, true),
            (2.0, 29.0, 0.0, false),
        ] {
            let (sin, cos) = f64::to_radians(off_deg).sin_cos();
            let half = Vector::new(cos, sin) * (long / 2.0);
            let middle = Point::new(-gap, 0.0);
            let bar = (middle - half, middle + half);
            let lines = beside_a_shaft(&[bar]);
            assert_eq!(lines.is_part(1), is_bar, "{long} {off_deg} {gap}");
            assert_eq!(lines.headed(0), [false; 2]);
        }
    }
}
