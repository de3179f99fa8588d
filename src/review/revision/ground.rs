//! The ground that a face stands on in plan, and how far its outline moved between two revisions.

use geo::{Area as _, BooleanOps, LineString, Polygon};

use super::{ALONG, LEAST_AREA_SQFT};
use crate::geometry::{Point, Vector, ring};
use crate::roof::{Face, Ring, Roof, Side};

/// Outlines are looked at in steps of this length, in feet ...
const STEP_FT: f64 = 1.0;
/// ... and in no more than so many to a side.
const MOST_STEPS: f64 = 64.0;
/// A place lies on a ring when it is as near as this, in feet: what cutting polygons moves a corner by.
const ON_RING_FT: f64 = 1e-4;

/// A corner that moved along its diagonal lies as far past a side as beside it, but for what cutting polygons moves it by.
const DIAGONAL: f64 = 1e-3;

/// What differs between the grounds of one face in two revisions.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Difference {
    /// The farthest that the outline moved, in feet, measured from the side that it left: of each part that was gained or
    /// lost, the farthest that a corner of its one outline lies from its other one.
    pub(super) moved_ft: f64,
    /// Plan area inside it that was taken out of it, in square feet: it reaches no outer side.
    pub(super) taken_out_sqft: f64,
    /// Plan area inside it that was taken out and is no longer, in square feet.
    pub(super) filled_in_sqft: f64,
}

impl Difference {
    /// The difference between two grounds. Where the outlines lie nearer to each other than the tolerance, they are one.
    pub(super) fn between(old: &Polygon, new: &Polygon, tolerance_ft: f64) -> Self {
        let mut out = Self::default();
        for (from, to, inside) in [(old, new, true), (new, old, false)] {
            for piece in &from.difference(to) {
                match depth_ft(piece, &lines(from), &lines(to), tolerance_ft) {
                    Some(depth) => out.moved_ft = out.moved_ft.max(depth),
                    None if inside => out.taken_out_sqft += piece.unsigned_area(),
                    None => out.filled_in_sqft += piece.unsigned_area(),
                }
            }
        }
        out
    }

    /// Whether a part inside was taken out or filled in.
    pub(super) fn has_holes(&self) -> bool {
        self.taken_out_sqft.max(self.filled_in_sqft) > LEAST_AREA_SQFT
    }
}

/// How far the two outlines that bound a part lie apart; `None` where it is bounded by one alone, as a hole is.
fn depth_ft(piece: &Polygon, own: &[Line], other: &[Line], tolerance_ft: f64) -> Option<f64> {
    let steps: Vec<Line> = lines(piece).into_iter().flat_map(steps).collect();
    let middle = |step: &Line| step.0.midpoint(step.1);
    let (left, reached): (Vec<Line>, Vec<Line>) = steps
        .into_iter()
        .partition(|step| away(middle(step), own) < away(middle(step), other));
    if left.is_empty() {
        return None;
    }
    // A thin strip may run all round the roof where a plan was traced anew. What lies on it did not move, and nothing is
    // measured from it.
    let apart = |steps: &[Line], from: &[Line]| -> Vec<Line> {
        let far = |step: &&Line| away(middle(step), from) > tolerance_ft;
        steps.iter().filter(far).copied().collect()
    };
    let (left_apart, reached_apart) = (apart(&left, other), apart(&reached, own));
    let farthest = |from: &[Line], to: &[Line], all: &[Line]| {
        let to = if to.is_empty() { all } else { to };
        let ends = from.iter().flat_map(|step| [step.0, step.1]);
        ends.map(|p| square_away(p, to))
            .filter(|d| d.is_finite())
            .fold(0.0, f64::max)
    };
    let there = farthest(&left_apart, &reached_apart, &reached);
    Some(there.max(farthest(&reached_apart, &left_apart, &left)))
}

/// From one place to another.
type Line = (Point, Point);

fn away(p: Point, from: &[Line]) -> f64 {
    from.iter()
        .map(|&(a, b)| p.distance_to_segment(a, b))
        .fold(f64::INFINITY, f64::min)
}

/// How far a place lies from the nearest of some lines, square to it where it lies before the line or no farther past its
/// end than beside it: the corner of a roof that grew by a foot all round moved by a foot, not by the diagonal.
fn square_away(p: Point, from: &[Line]) -> f64 {
    from.iter()
        .map(|&(a, b)| {
            let nearest = p.distance_to_segment(a, b);
            let Some(along) = (b - a).unit() else {
                return nearest;
            };
            let beside = along.cross(p - a).abs();
            let past = (p - a).dot(along);
            let reach = beside * (1.0 + DIAGONAL);
            let square = (-reach..=a.distance(b) + reach).contains(&past);
            if square { beside } else { nearest }
        })
        .fold(f64::INFINITY, f64::min)
}

fn steps((a, b): Line) -> Vec<Line> {
    let count = (a.distance(b) / STEP_FT).ceil().clamp(1.0, MOST_STEPS);
    (0..count as u32)
        .map(|i| {
            let at = |i: u32| a.lerp(b, f64::from(i) / count);
            (at(i), at(i + 1))
        })
        .collect()
}

fn lines(polygon: &Polygon) -> Vec<Line> {
    std::iter::once(polygon.exterior())
        .chain(polygon.interiors())
        .flat_map(LineString::lines)
        .map(|l| {
            (
                Point::new(l.start.x, l.start.y),
                Point::new(l.end.x, l.end.y),
            )
        })
        .collect()
}

/// A polygon without holes, moved by `shift`.
pub(super) fn polygon(corners: &[Point], shift: Vector) -> Polygon {
    Polygon::new(line_string(corners, shift), Vec::new())
}

pub(super) fn line_string(corners: &[Point], shift: Vector) -> LineString {
    corners
        .iter()
        .map(|&p| p + shift)
        .map(|p| (p.x, p.y))
        .collect()
}

/// The ground of a face moved by `shift`, as it was before openings were cut out of it.
pub(super) fn ground(roof: &Roof, face: &Face, shift: Vector) -> Polygon {
    let holes = face
        .holes
        .iter()
        .map(|hole| uncut(roof, hole))
        .filter(|hole| hole.len() > 2)
        .map(|hole| line_string(&hole, shift))
        .collect();
    Polygon::new(line_string(&uncut(roof, &face.outline), shift), holes)
}

/// The plan area inside a face's outline, in square feet, without anything cut out of it: no opening, whether it lies in the
/// face or at its edge, and no part that others cover.
pub(in crate::review) fn uncut_sqft(roof: &Roof, face: &Face) -> f64 {
    ring::signed_area(&uncut(roof, &face.outline)).abs()
}

/// The corners of a ring without the openings that are cut into it; none for a ring that is all an opening's.
fn uncut(roof: &Roof, ring: &Ring) -> Vec<Point> {
    let corners = ring.plan();
    let n = corners.len();
    let at = |i: usize| corners[i % n];
    let opening = |i: usize| match ring.sides.get(i % n) {
        Some(Side::Opening(id)) => roof.openings.get(id.0),
        _ => None,
    };
    let Some(first) = (0..n).find(|&i| opening(i).is_none()) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    // The first side of the opening that is passed.
    let mut passed: Option<usize> = None;
    for i in first..=first + n {
        if opening(i).is_none()
            && let Some(from) = passed.take()
        {
            let corner = crossing((at(from + n - 1), at(from)), (at(i), at(i + 1)));
            out.extend(corner.filter(|&p| opening(from).is_some_and(|o| covers(&o.outline, p))));
        }
        if i < first + n && passed.is_none() {
            out.push(at(i));
            passed = opening(i).map(|_| i);
        }
    }
    out
}

fn covers(outline: &[Point], p: Point) -> bool {
    ring::contains(outline, p)
        || ring::sides(outline).any(|(a, b)| p.distance_to_segment(a, b) < ON_RING_FT)
}

/// Where two lines cross that are not one: the corner that an opening took away.
fn crossing((a, b): Line, (c, d): Line) -> Option<Point> {
    let (u, v) = ((b - a).unit()?, (d - c).unit()?);
    let sine = u.cross(v);
    (sine.abs() > ALONG).then(|| b + u * ((c - b).cross(v) / sine))
}
