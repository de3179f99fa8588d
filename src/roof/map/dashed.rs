//! Dashed lines, which drafters draw for two things: what lies beneath, and the roof's edge over walls that are drawn solid.

use super::attempt::{Attempt, long_loose_links};
use super::labels::FaceFinder;
use super::piece::Piece;
use super::tell;
use crate::drawing::{Drawing, Role, Stroke};
use crate::geometry::{Point, Vector};
use crate::{Finding, Place};

/// An end touches what is nearer than this, in feet.
const TOUCH_FT: f64 = 0.3;
/// What sticks out less than this, in feet, is an end that overshot: no overhang is narrower.
pub(super) const LEAST_OVERHANG_FT: f64 = 0.5;
/// A dashed ring farther round the walls than this, in feet, is no overhang: a boundary, a setback.
pub(super) const WIDEST_OVERHANG_FT: f64 = 8.0;
/// Two lines that turn by less than this at their joint, as the cosine (5°), run on.
const RUNS_ON: f64 = 0.996;

/// How many lines that part faces go on outside them to a dashed line that is left out: ridges and hips that end on the
/// roof's own edge.
pub(super) fn ends_on(
    attempt: &Attempt,
    pieces: &[Piece],
    finder: &FaceFinder,
    left_out: &[&Stroke],
) -> usize {
    if left_out.is_empty() {
        return 0;
    }
    let sub = &attempt.sub;
    let parts_faces = |piece: &usize| {
        let mut links = sub.links.iter();
        links.any(|link| link.pieces.contains(piece))
    };
    let sticks_out = |&i: &usize| {
        let link = &sub.loose[i];
        let (a, b) = (sub.nodes[link.a], sub.nodes[link.b]);
        a.distance(b) >= LEAST_OVERHANG_FT
            && finder.at(a.midpoint(b)).is_none()
            && link.pieces.iter().any(parts_faces)
            && left_out.iter().any(|s| touches(s, a) || touches(s, b))
    };
    let loose = long_loose_links(sub, pieces, attempt.tolerance);
    loose.iter().filter(|i| sticks_out(i)).count()
}

fn touches(stroke: &Stroke, at: Point) -> bool {
    let near = |a: Point, b: Point| at.distance_to_segment(a, b) <= TOUCH_FT;
    let mut sides = stroke.points.windows(2);
    let closing = [stroke.points.last(), stroke.points.first()];
    sides.any(|w| near(w[0], w[1]))
        || matches!(closing, [Some(&a), Some(&b)] if stroke.closed && near(a, b))
}

/// Lines of the roof that go on dashed into a face: a lower roof that runs on beneath a higher one, whose hidden part is
/// taken for none.
pub(super) fn tell_beneath(
    drawing: &Drawing,
    level: u32,
    taken: &[&Stroke],
    in_a_face: impl Fn(Point) -> bool,
) -> Option<Finding> {
    let of_roof: Vec<(Point, Vector)> = taken
        .iter()
        .filter(|s| !s.closed && !s.style.dashed)
        .flat_map(|s| ends(&s.points))
        .collect();
    let goes_on = |&(at, into): &(Point, Vector)| {
        let mut roof = of_roof.iter();
        // The two leave their joint in opposite ways.
        roof.any(|&(end, back)| end.distance(at) <= TOUCH_FT && back.dot(into) <= -RUNS_ON)
            && in_a_face(at + into * (2.0 * TOUCH_FT))
    };
    let is_left_out = |s: &&Stroke| {
        let of_level = s.level == level && s.role == Role::Unsaid;
        of_level && s.style.dashed && !s.closed && !taken.iter().any(|t| std::ptr::eq(*t, *s))
    };
    let beneath: Vec<Place> = (drawing.strokes.iter().filter(is_left_out))
        .filter_map(|s| {
            let (at, _) = ends(&s.points).into_iter().find(goes_on)?;
            Some(Place::on(&s.source, at))
        })
        .collect();
    if beneath.is_empty() {
        return None;
    }
    let told = Finding::warning(
        "runs-on-beneath",
        "Lines of the roof go on dashed into a face and were left out there: a lower roof that runs on beneath a higher one is counted only as far as it is seen.",
    )
    .remedy("If it is shingled beneath too, draw the higher roof on a layer named upper and the lower one whole; else draw the dashed lines on a layer named note.");
    Some(tell::several(told, beneath))
}

/// Both ends of a chain of points, each with the direction from it into the chain.
fn ends(points: &[Point]) -> Vec<(Point, Vector)> {
    let [first, second, ..] = points else {
        return Vec::new();
    };
    let [.., last_but_one, last] = points else {
        return Vec::new();
    };
    let end = |at: Point, next: Point| Some((at, (next - at).unit()?));
    [end(*first, *second), end(*last, *last_but_one)]
        .into_iter()
        .flatten()
        .collect()
}
