//! Faces for the tests of single files.

use super::problem::Problem;
use super::runs::{Run, ladder, runs};
use super::{CourseFace, EdgeKind, FaceRing, LayRules, ShingleFormat, formats};
use crate::geometry::Point;
use crate::roof::FaceId;

/// A face with a level eave and ridge and two ends alike, which lean inwards by so many inches an inch up the slope.
/// Lengths in inches on the slope.
pub(super) fn trapezoid(eave: f64, slope: f64, lean: f64, end: EdgeKind) -> CourseFace {
    let inset = lean * slope;
    let corners = [
        (0.0, 0.0),
        (eave, 0.0),
        (eave - inset, slope),
        (inset, slope),
    ];
    let points = corners.map(|(u, v)| Point::new(u, v)).to_vec();
    let kinds = vec![EdgeKind::Eave, end, EdgeKind::Ridge, end];
    CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new())
        .unwrap_or_else(|finding| unreachable!("{}", finding.message))
}

/// A shipped format.
pub(super) fn format(name: &str) -> ShingleFormat {
    formats::by_name(name, &[]).unwrap_or_else(|finding| unreachable!("{}", finding.message))
}

/// The runs of a face, and what the search makes of them.
pub(super) fn problem(
    face: &CourseFace,
    format: &ShingleFormat,
    rules: &LayRules,
) -> (Vec<Run>, Problem) {
    let runs = runs(face, format, rules, &ladder(face, format, rules));
    let problem = Problem::new(&runs, format, rules);
    (runs, problem)
}
