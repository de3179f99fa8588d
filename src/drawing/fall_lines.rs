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
