//! Corners of an outline that stand a hair off a straight side: a tracing's, not the roof's.
//!
//! Two eaves that bend by less than a degree are two planes with a hip of no height between them, right up to the ridge. Nobody
//! builds that; a point set beside a line while tracing draws it.

use super::curved::Parted;
use crate::Finding;
use crate::geometry::Point;
use crate::place::Place;
use crate::units::words::decimal_feet;

/// A corner that bends by less than this sine, some 9°, may be a curve's that was drawn in short pieces.
pub(in crate::roof) const CURVE_BEND: f64 = 0.15;
/// A corner bends by less than this sine, one degree, where its side was meant to be straight ...
const STRAIGHT_BEND: f64 = 0.0175;
/// ... and stands no farther than this from the line between the corners beside it, in feet: two inches, what careful tracing is
/// off by.
const OFF_FT: f64 = 2.0 / 12.0;

/// A ring without the corners that stand a hair off the line between two real ones, and what is told of them. A corner of
/// which `parts` holds stays, by its number.
pub(super) fn take_out(parted: Parted, parts: impl Fn(usize) -> bool) -> (Parted, Vec<Finding>) {
    let n = parted.corners.len();
    let corner = |i: usize| parted.corners[i % n];
    let bend = |i: usize| {
        let (from, to) = (corner(i) - corner(i + n - 1), corner(i + 1) - corner(i));
        let sine = from.unit().zip(to.unit()).map(|(u, v)| u.cross(v).abs());
        // What turns back is no straight line.
        sine.map_or(1.0, |sine| if from.dot(to) > 0.0 { sine } else { 1.0 })
    };
    let real: Vec<usize> = (0..n).filter(|&i| bend(i) >= CURVE_BEND).collect();
    let mut told = Vec::new();
    let mut goes = vec![false; n];
    for (k, &from) in real.iter().enumerate().filter(|_| real.len() > 2) {
        let to = match real.get(k + 1) {
            Some(&to) => to,
            None => real[0] + n,
        };
        let (a, b) = (corner(from), corner(to));
        let drawn_straight = (from..to).all(|side| parted.facets[side % n].is_none());
        let off = |i: usize| off_ft(corner(i), a, b);
        let hair = |i: usize| bend(i) < STRAIGHT_BEND && off(i) <= OFF_FT && !parts(i % n);
        let mut between = from + 1..to;
        if !drawn_straight || between.is_empty() || !between.all(hair) {
            continue;
        }
        for i in from + 1..to {
            goes[i % n] = true;
            told.push(taken_out(corner(i), off(i)));
        }
    }
    (without(parted, &goes), told)
}

/// How far a corner stands from the line between two others.
fn off_ft(corner: Point, a: Point, b: Point) -> f64 {
    let along = (b - a).unit();
    along.map_or(f64::INFINITY, |u| u.cross(corner - a).abs())
}

fn taken_out(corner: Point, off_ft: f64) -> Finding {
    Finding::note(
        "outline-corner-taken-out",
        format!(
            "A corner of the outline stands {} off the straight line between the corners beside it, and was taken out: its two sides are one.",
            decimal_feet(off_ft, 3)
        ),
    )
    .place(Place::at(corner))
}

/// The ring without some of its corners: the side before each takes in the one that starts there.
fn without(parted: Parted, goes: &[bool]) -> Parted {
    if !goes.contains(&true) {
        return parted;
    }
    let kept = goes.iter().filter(|goes| !**goes).count();
    // The side that starts at the last corner kept goes on round to the first one.
    let mut at = kept - 1;
    let mut next = 0;
    let side_of: Vec<usize> = (goes.iter())
        .map(|&goes| {
            if !goes {
                at = next;
                next += 1;
            }
            at
        })
        .collect();
    fn stay<T>(all: Vec<T>, goes: &[bool]) -> Vec<T> {
        let pairs = all.into_iter().zip(goes);
        pairs.filter_map(|(t, goes)| (!goes).then_some(t)).collect()
    }
    Parted {
        corners: stay(parted.corners, goes),
        facets: stay(parted.facets, goes),
        side_of: parted.side_of.into_iter().map(|s| side_of[s]).collect(),
        drawn: stay(parted.drawn, goes),
    }
}
