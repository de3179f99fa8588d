//! Edges of the roof that are drawn as two lines so far apart that one of them is something else's: a fascia, a gutter, a wall.

use super::attempt::Attempt;
use super::kinds::plan_area;
use super::piece::Piece;
use crate::geometry::Point;
use crate::units::words::{decimal_feet, feet};
use crate::{Finding, Place};

/// Two lines along one edge nearer than this, in feet (3 in), are that edge drawn twice by hand.
const APART_FT: f64 = 0.25;
/// Two lines of one edge differ by less than this in direction (the sine of 1°): of a line drawn twice by hand seldom both ends
/// are off the same way.
const PARALLEL_SIN: f64 = 0.0175;
/// Told where so much of the roof's edge is drawn so: of an edge drawn twice by hand not many lines are off so far.
const LEAST_PART: f64 = 0.2;

/// How much of the edge is drawn as two lines.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Doubled {
    /// How much of the edge, in plan feet.
    pub(super) length_ft: f64,
    /// All of the edge, in plan feet.
    edge_ft: f64,
    /// How far they are apart at most, in feet, and where.
    farthest: Option<(f64, Point)>,
    /// What lies between them, in square feet of plan.
    between_sqft: f64,
}

impl Doubled {
    /// Of the faces that are the roof's. Faces that share an edge are often drawn each for itself, so that it has two lines: only
    /// edges with one face count.
    pub(super) fn of(attempt: &Attempt, pieces: &[Piece], is_roof: impl Fn(usize) -> bool) -> Self {
        let sub = &attempt.sub;
        let mut doubled = Self::default();
        for (i, link) in sub.links.iter().enumerate() {
            let sides = [2 * i, 2 * i + 1].map(|half| sub.left[half].is_some_and(&is_roof));
            if sides[0] == sides[1] {
                continue;
            }
            let ends = (sub.nodes[link.a], sub.nodes[link.b]);
            let length_ft = ends.0.distance(ends.1);
            doubled.edge_ft += length_ft;
            let lines = link.pieces.iter().map(|&p| pieces[p].ends);
            let Some(apart_ft) = apart(ends, lines).filter(|apart| *apart >= APART_FT) else {
                continue;
            };
            doubled.length_ft += length_ft;
            doubled.between_sqft += apart_ft * length_ft;
            if doubled.farthest.is_none_or(|(most, _)| apart_ft > most) {
                doubled.farthest = Some((apart_ft, ends.0.midpoint(ends.1)));
            }
        }
        doubled
    }

    /// What is told where much of the edge is drawn so.
    pub(super) fn tell(&self) -> Option<Finding> {
        let (apart_ft, at) = self.farthest?;
        if self.length_ft < LEAST_PART * self.edge_ft {
            return None;
        }
        let message = format!(
            "{} of the roof's edge are drawn as two lines, up to {} apart, and were taken for one line between them: by the outer lines \
             the roof would be about {} larger in plan, by the inner ones as much smaller.",
            feet(self.length_ft),
            decimal_feet(apart_ft, 2),
            plan_area(self.between_sqft / 2.0)
        );
        Some(
            Finding::warning("edge-of-two-lines", message)
                .remedy(
                    "Leave out the lines that are not the roof's edge (a fascia, a gutter, a wall) by --ignore with their layer, colour or \
                     width, or put them on a layer named ignore.",
                )
                .place(Place::at(at)),
        )
    }
}

/// How far lines along an edge are apart, where two of them are parallel and both run along its middle.
fn apart((from, to): (Point, Point), lines: impl Iterator<Item = [Point; 2]>) -> Option<f64> {
    let along = (to - from).unit()?;
    let middle = from.midpoint(to);
    let mut offsets: Vec<f64> = Vec::new();
    for [a, b] in lines {
        let Some(line) = (b - a).unit() else {
            continue;
        };
        let beside = (along.dot(a - middle), along.dot(b - middle));
        let covers = beside.0.min(beside.1) <= 0.0 && beside.0.max(beside.1) >= 0.0;
        if covers && along.cross(line).abs() <= PARALLEL_SIN {
            offsets.push(line.cross(middle - a) * line.dot(along).signum());
        }
    }
    let least = offsets.iter().copied().reduce(f64::min)?;
    let most = offsets.iter().copied().reduce(f64::max)?;
    Some(most - least)
}
