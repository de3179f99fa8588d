//! What marks a place on a dimension line: extension lines, ticks, arrow heads, dots, and corners of the roof.

use super::dimension::{LayerSays, Segment, Segments, Shaft, nearest_on};
use crate::geometry::{Point, Vector};

/// An extension line goes past its dimension line by no more text sizes than this, on the side where it goes less far past:
/// room for a second row of dimensions. Frames, grids and the outline go on. What is no longer is no side of a roof either.
pub(super) const PAST: f64 = 3.0;
/// Marks nearer together than this, in text sizes, mark one place.
pub(super) const ONE_PLACE: f64 = 0.1;
/// The outer end of an extension line is free; a roof line that ends so near to another one, in text sizes, is met by it.
pub(super) const MET: f64 = 0.5;
/// Of an end with more lines about it than this, none is left out as its mark: it lies in a hatch.
pub(super) const MOST_MARKS: usize = 64;

/// What else must be known to tell marks from other lines.
#[derive(Clone, Copy)]
pub(super) struct Around<'a> {
    pub(super) segments: &'a Segments,
    /// Lines that lengths were found beside: no marks of another one.
    pub(super) shafts: &'a [Shaft],
    /// Feet in a drawing unit, if the length is the shaft's.
    pub(super) feet_per_unit: f64,
}

/// The shapes of marks, each once.
pub(super) fn shapes(marks: &[Mark]) -> Vec<usize> {
    let mut shapes: Vec<usize> = marks.iter().map(|m| m.segment.shape).collect();
    shapes.sort_unstable();
    shapes.dedup();
    shapes
}

/// What kind of mark it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rank {
    /// A line square to the shaft.
    Extension,
    /// A short line askew across the shaft's end.
    Tick,
    /// A side of a small closed shape: an arrow head or a dot.
    Head,
    /// A line of the building that is not square to the side of it that it ends.
    Corner,
}

/// A segment that marks a place on a shaft.
#[derive(Clone, Copy)]
pub(super) struct Mark {
    pub(super) rank: Rank,
    /// The place, along the shaft from its first point, in drawing units.
    pub(super) at: f64,
    pub(super) segment: Segment,
    /// It is a mark by itself: it goes a little past the shaft, as extension lines, ticks and arrow heads do, or a layer says so.
    pub(super) crosses: bool,
    /// Where it stops on its longer side, across the shaft.
    pub(super) far: f64,
}

impl Mark {
    /// Whether it is longer than a mark that no layer calls one can be, in letters of this size.
    pub(super) fn is_long(&self, size: f64) -> bool {
        self.rank == Rank::Extension && self.segment.a.distance(self.segment.b) > PAST * size
    }
}

/// Whether what crosses a shaft is nothing but its mark. What no layer calls a dimension and is long has a free outer end:
/// where another line meets it there, it is a line of the building, or of a frame, near its corner.
pub(super) fn is_its_own(mark: &Mark, shaft: &Shaft, size: f64, around: Around<'_>) -> bool {
    if mark.segment.layer == LayerSays::Dimension || !mark.is_long(size) {
        return true;
    }
    let s = &mark.segment;
    let from_shaft = |p: Point| nearest_on(p, shaft.a, shaft.b).distance(p);
    let outer = if from_shaft(s.a) < from_shaft(s.b) {
        s.a
    } else {
        s.b
    };
    let is_itself = |o: &Segment| o.shape == s.shape && o.a == s.a && o.b == s.b;
    let is_shaft = |o: &Segment| {
        let among = |shaft: &Shaft| shaft.pieces.contains(&(o.a, o.b));
        among(shaft) || around.shafts.iter().any(among)
    };
    let meets = |o: &&Segment| {
        nearest_on(outer, o.a, o.b).distance(outer) <= MET * size
            && o.a.distance(o.b) > PAST * size
            && !is_itself(o)
            && !is_shaft(o)
            && !runs_along(o, s)
    };
    !around.segments.near(outer, MET * size).any(|o| meets(&o))
}

/// Whether two segments have one direction: a line drawn twice, or in pieces.
fn runs_along(a: &Segment, b: &Segment) -> bool {
    let (u, v) = ((a.b - a.a).unit(), (b.b - b.a).unit());
    u.zip(v).is_some_and(|(u, v)| u.cross(v).abs() < 0.05)
}

/// How a segment's own line meets a shaft's.
pub(super) struct Meeting {
    /// Along the shaft.
    pub(super) at: f64,
    /// The sine of the angle between them.
    pub(super) rise: f64,
    /// How far the segment stops short of the shaft.
    pub(super) gap: f64,
    /// How far it goes past it, on the side where it goes less far.
    pub(super) past: f64,
    /// Where it stops on the other side, across the shaft.
    pub(super) far: f64,
}

pub(super) fn meeting(shaft: &Shaft, u: Vector, s: &Segment) -> Option<Meeting> {
    let (p, q) = (s.a - shaft.a, s.b - shaft.a);
    let (pa, qa) = (p.dot(u), q.dot(u));
    let (pr, qr) = (u.cross(p), u.cross(q));
    let long = s.a.distance(s.b);
    if long <= 0.0 {
        return None;
    }
    let rise = (qr - pr).abs() / long;
    if rise < 0.3 {
        return None;
    }
    let short = pr.abs().min(qr.abs());
    let (gap, past) = if pr * qr <= 0.0 {
        (0.0, short)
    } else {
        (short, 0.0)
    };
    Some(Meeting {
        at: pa + (qa - pa) * (-pr) / (qr - pr),
        rise,
        gap,
        past,
        far: if pr.abs() > qr.abs() { pr } else { qr },
    })
}

/// An arrow head or a dot reaches no farther than this, in text sizes.
pub(super) const HEAD: f64 = 2.5;
/// No head or dot has more corners than this: those of an outline of thousands are not gone through for every side of it.
const MOST_CORNERS: usize = 100;
/// The widest place of an arrow head is in this part of its length at its back; of a dot it is in the middle.
const BACK: f64 = 0.35;

/// The place that an arrow head or a dot on the shaft marks, if a segment is a side of one: the tip of a head, whichever way it
/// points and wherever the line stops, and the middle of a dot.
pub(super) fn head(
    shaft: &Shaft,
    u: Vector,
    s: &Segment,
    segments: &Segments,
    size: f64,
) -> Option<f64> {
    // Sides of a building are no head's, but where they are a fill's alone.
    let may_be = s.filled_only || s.layer != LayerSays::Building;
    if !may_be || shaft.shapes.contains(&s.shape) {
        return None;
    }
    let ring = segments.ring(s)?;
    if ring.len() > MOST_CORNERS {
        return None;
    }
    let corners: Vec<(f64, f64)> = ring
        .iter()
        .map(|&p| ((p - shaft.a).dot(u), u.cross(p - shaft.a)))
        .collect();
    let [(low, high), (left, right)] = [0, 1].map(|axis| {
        let all = corners.iter().map(|c| if axis == 0 { c.0 } else { c.1 });
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        })
    });
    let on_axis = left <= ONE_PLACE * size && right >= -ONE_PLACE * size;
    let wide = left.abs().max(right.abs());
    let long = high - low;
    if !on_axis || wide >= size || long >= HEAD * size {
        return None;
    }
    let points_at = |end: f64| {
        let mut there = corners.iter().filter(|c| (c.0 - end).abs() <= 0.1 * long);
        there.all(|c| c.1.abs() <= 0.25 * wide)
    };
    let widest: Vec<f64> = corners
        .iter()
        .filter(|c| c.1.abs() >= 0.9 * wide)
        .map(|c| c.0)
        .collect();
    let widest = widest.iter().sum::<f64>() / widest.len().max(1) as f64;
    Some(if widest <= low + BACK * long && points_at(high) {
        high
    } else if widest >= high - BACK * long && points_at(low) {
        low
    } else {
        f64::midpoint(low, high)
    })
}
