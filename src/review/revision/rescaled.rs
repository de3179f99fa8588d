//! An earlier revision laid on a later one whose scale is another: the same lines, and every foot of them a new one.

use super::{FAR_MORE, lying_on, marks};
use crate::geometry::{Point, Point3, Vector};
use crate::roof::{Edge, EdgeClass, Face, Opening, Penetration, Ring, Roof};

/// Scales nearer than this are one: what a dimension that was traced anew moves it by.
const SAME_SCALE: f64 = 0.002;
/// The part of its corners that a plan keeps at least where its lines lie where they lay: half of them, as one does whose eave
/// was drawn farther out. Of two plans it is the one of fewer corners that keeps them.
const LEAST_PART: f64 = 0.5;

/// Whether a unit of the drawing is so many times what it was by more than tracing.
pub(super) fn is_other_scale(by: f64) -> bool {
    by.is_finite() && (by - 1.0).abs() > SAME_SCALE
}

/// Whether lines lie where they lay though a unit of the drawing is `by` times what it was: all areas and lengths went with it, or
/// corners did, which do not stay in feet.
pub(super) fn went_with(old: &Roof, new: &Roof, by: f64, tolerance_ft: f64) -> bool {
    let area = |roof: &Roof| roof.true_area().to_square_feet();
    let edges = |roof: &Roof| -> f64 {
        let all = EdgeClass::ALL.into_iter();
        all.map(|class| roof.true_length(class).to_feet()).sum()
    };
    let all_went = old.faces.len() == new.faces.len()
        && !is_other_scale((area(new) / area(old)).sqrt() / by)
        && !is_other_scale(edges(new) / edges(old) / by);
    all_went || {
        let (before, now) = (marks(old), marks(new));
        let laid: Vec<Point> = before.iter().map(|p| scaled_point(*p, by)).collect();
        let kept = |of: &[Point]| lying_on(of, &now, Vector::default(), 2.0 * tolerance_ft);
        let went = kept(&laid);
        let fewer = before.len().min(now.len());
        went as f64 >= LEAST_PART * fewer as f64 && went > FAR_MORE * kept(&before)
    }
}

/// The roof that the lines would have given at the other scale, as far as it is compared. What was written beside a pipe stays
/// as it was.
pub(super) fn scaled(roof: &Roof, by: f64) -> Roof {
    let mut out = roof.clone();
    out.snap_tolerance_ft *= by;
    out.faces.iter_mut().for_each(|face| scale_face(face, by));
    out.edges.iter_mut().for_each(|edge| scale_edge(edge, by));
    for opening in &mut out.openings {
        scale_opening(opening, by);
    }
    for pipe in &mut out.penetrations {
        scale_pipe(pipe, by);
    }
    out
}

fn scaled_point(p: Point, by: f64) -> Point {
    Point::new(p.x * by, p.y * by)
}

fn scale_face(face: &mut Face, by: f64) {
    face.plane.offset *= by;
    face.plan_area = face.plan_area * (by * by);
    face.true_area = face.true_area * (by * by);
    face.label_at = scaled_point(face.label_at, by);
    let rings = std::iter::once(&mut face.outline).chain(&mut face.holes);
    for Ring { corners, .. } in rings {
        corners.iter_mut().for_each(|p| *p = scaled_corner(*p, by));
    }
}

fn scale_edge(edge: &mut Edge, by: f64) {
    edge.start = scaled_corner(edge.start, by);
    edge.end = scaled_corner(edge.end, by);
    edge.plan_length = edge.plan_length * by;
    edge.true_length = edge.true_length * by;
}

fn scale_opening(opening: &mut Opening, by: f64) {
    let outline = opening.outline.iter_mut();
    outline.for_each(|p| *p = scaled_point(*p, by));
    for length in [&mut opening.apron, &mut opening.sides, &mut opening.head] {
        *length = *length * by;
    }
    let flashing = opening.flashing.iter_mut();
    flashing.for_each(|stretch| stretch.length = stretch.length * by);
    opening.width = opening.width * by;
    opening.meets_water = opening.meets_water * by;
}

fn scale_pipe(pipe: &mut Penetration, by: f64) {
    pipe.at = scaled_point(pipe.at, by);
    if !pipe.is_written {
        pipe.diameter = pipe.diameter.map(|wide| wide * by);
    }
}

fn scaled_corner(p: Point3, by: f64) -> Point3 {
    Point3::new(p.x * by, p.y * by, p.z * by)
}
