//! Dashed lines, which drafters draw for two things: what lies beneath, and the roof's edge over walls that are drawn solid.

use super::attempt::{Attempt, long_loose_links};
use super::labels::FaceFinder;
use super::piece::Piece;
use super::tell;
use crate::drawing::{Drawing, Role, Stroke};
use crate::geometry::{Point, Vector, ring};
use crate::{Finding, Place};

/// An end touches what is nearer than this, in feet.
const TOUCH_FT: f64 = 0.3;
/// What sticks out less than this, in feet, is an end that overshot: no overhang is narrower.
const LEAST_OVERHANG_FT: f64 = 0.5;
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

/// What two choices of lines cover in plan, in square feet.
#[derive(Clone, Copy)]
pub(super) struct Covers {
    /// With the outer line, dashed as a rule.
    pub(super) outer_sqft: f64,
    /// With the one inside it.
    pub(super) inner_sqft: f64,
}

impl Covers {
    /// Whether the strip between the two rings is as wide as an overhang: a gutter is narrower, a setback wider.
    pub(super) fn is_overhang(self) -> bool {
        // A square has the shortest way round.
        let round_ft = 4.0 * self.inner_sqft.sqrt();
        let strip_sqft = self.outer_sqft - self.inner_sqft;
        (LEAST_OVERHANG_FT * round_ft..=WIDEST_OVERHANG_FT * round_ft).contains(&strip_sqft)
    }

    fn words(self) -> String {
        format!(
            "with the dashed one the roof covers {:.0} ft² in plan, with the solid one inside it {:.0} ft²",
            self.outer_sqft, self.inner_sqft
        )
    }
}

/// The rules that part two lines of which either may be the edge, where their looks part them.
#[derive(Clone, Debug, Default)]
pub(super) struct Rules {
    /// Takes the inner one out and no line of the roof.
    pub(super) inner: Option<String>,
    /// Takes the outer one out.
    pub(super) outer: Option<String>,
}

impl Rules {
    fn remedy(&self) -> String {
        let way = |rule: &Option<String>| match rule {
            Some(rule) => format!("say --ignore '{rule}'"),
            None => "leave it out with --ignore by its id".to_owned(),
        };
        format!(
            "If the outer line is the roof's edge, draw the inner one on a layer named ignore or {}; if the roof ends at the inner line, draw the outer one there or {}.",
            way(&self.inner),
            way(&self.outer)
        )
    }
}

/// Lines of two solid rings, with the labels between them.
pub(super) fn ask_of_solid(covers: Covers, rules: &Rules) -> Finding {
    Finding::error(
        "which-edge",
        format!(
            "A closed line runs round another, no label says which is the roof's edge, and either may be it: with the outer one the roof covers {:.0} ft² in plan, with the inner one {:.0} ft².",
            covers.outer_sqft, covers.inner_sqft
        ),
    )
    .remedy(rules.remedy())
}

/// Nothing in the drawing says which of two rings is the roof's edge.
pub(super) fn ask(covers: Covers, rules: &Rules) -> Finding {
    let message = format!(
        "A dashed line runs round the one taken for the roof's edge, and either may be it: {}.",
        covers.words()
    );
    let told = match covers.is_overhang() {
        true => Finding::error("which-edge", message),
        false => Finding::warning("dashed-line-round", message),
    };
    told.remedy(rules.remedy())
}

/// Lines of the roof end on a dashed line, and what is drawn with their pen cannot be told apart.
pub(super) fn ask_of_ends(count: usize) -> Finding {
    let message = match count {
        1 => "A line of the roof goes".to_owned(),
        count => format!("{count} lines of the roof go"),
    };
    Finding::error(
        "which-edge",
        format!("{message} on past the edge taken for the roof's and end on a dashed line, which may be its true edge over walls drawn solid."),
    )
    // What takes out all that is solid would take these lines too.
    .remedy("If the dashed line is the roof's edge, draw the walls on a layer named ignore or leave them out with --ignore by their ids; if the roof ends at the solid line, say --ignore dash:yes.")
}

/// The dashed line was taken, since lines of the roof end on it.
pub(super) fn taken(covers: Covers) -> Finding {
    Finding::warning(
        "dashed-edge-taken",
        format!(
            "A dashed line was taken for the roof's edge, since lines of the roof end on it: {}.",
            covers.words()
        ),
    )
    .remedy("If the roof ends at the solid line, say --ignore dash:yes.")
}

/// The points of a closed stroke, if it goes round something.
pub(super) fn goes_round(stroke: &Stroke) -> bool {
    stroke.closed && ring::signed_area(&stroke.points).abs() > 0.0
}
