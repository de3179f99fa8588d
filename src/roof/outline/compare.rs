//! Lines as drawn against lines as the pitches imply them.

use super::product::{ArcKind, OutlineRoof};
use crate::geometry::Point;

/// A ridge, hip, valley or change of pitch as drawn, in plan feet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawnLine {
    /// Its ends.
    pub ends: [Point; 2],
    /// What it was drawn as; `None` where the drawing does not say.
    pub kind: Option<ArcKind>,
}

/// Where drawn and implied lines differ by more than the tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Difference {
    /// A drawn line, part of which lies away from every implied line of its kind.
    Drawn {
        /// Which of the drawn lines.
        line: usize,
        /// How far its farthest looked-at point is from the nearest implied line, in plan feet.
        distance_ft: f64,
        /// That point.
        at: Point,
    },
    /// An implied line, part of which lies away from everything drawn.
    Implied {
        /// Which of [`OutlineRoof::arcs`].
        arc: usize,
        /// How far its farthest looked-at point is from the nearest drawn line, in plan feet.
        distance_ft: f64,
        /// That point.
        at: Point,
    },
}

/// How many points of a line are looked at, ends included: distances between them are not seen, but a straight line
/// that is right at both ends and at seven places between is drawn right.
const LOOKED_AT: usize = 9;

/// Compares drawn ridges, hips and valleys with the implied ones. Distances are infinite where there is nothing to be
/// near to. Drawn changes of pitch answer to those that are implied, and to nothing else: one that no outline implies was chosen.
pub fn compare_with_drawn(
    roof: &OutlineRoof,
    drawn: &[DrawnLine],
    tolerance_ft: f64,
) -> Vec<Difference> {
    let implied: Vec<(usize, DrawnLine)> = roof
        .arcs
        .iter()
        .enumerate()
        .filter(|(_, arc)| {
            matches!(
                arc.kind,
                ArcKind::Ridge | ArcKind::Hip | ArcKind::Valley | ArcKind::PitchChange
            )
        })
        .map(|(i, arc)| {
            let ends = [arc.from, arc.to].map(|node| roof.nodes[node].plan());
            let kind = Some(arc.kind);
            (i, DrawnLine { ends, kind })
        })
        .collect();
    let mut differences = Vec::new();
    let is_chosen = |line: &DrawnLine| line.kind == Some(ArcKind::PitchChange);
    for (line, &one) in drawn.iter().enumerate().filter(|(_, l)| !is_chosen(l)) {
        let (distance_ft, at) = farthest(one, implied.iter().map(|&(_, other)| other));
        if distance_ft > tolerance_ft {
            differences.push(Difference::Drawn {
                line,
                distance_ft,
                at,
            });
        }
    }
    for &(arc, one) in &implied {
        let answers = |line: &&DrawnLine| !is_chosen(line) || is_chosen(&one);
        let (distance_ft, at) = farthest(one, drawn.iter().filter(answers).copied());
        if distance_ft > tolerance_ft {
            differences.push(Difference::Implied {
                arc,
                distance_ft,
                at,
            });
        }
    }
    differences
}

/// The point of a line that is farthest from some others, and how far. A ridge may be drawn where a hip is implied and
/// the reverse, as the two differ by their slope alone; a valley may not.
fn farthest(one: DrawnLine, others: impl Iterator<Item = DrawnLine> + Clone) -> (f64, Point) {
    let gathers = |kind: ArcKind| kind == ArcKind::Valley;
    let comparable = |other: &DrawnLine| match (one.kind, other.kind) {
        (Some(a), Some(b)) => gathers(a) == gathers(b),
        _ => true,
    };
    let mut worst = (0.0, one.ends[0]);
    for i in 0..LOOKED_AT {
        let p = one.ends[0].lerp(one.ends[1], i as f64 / (LOOKED_AT - 1) as f64);
        let nearest = others
            .clone()
            .filter(comparable)
            .fold(f64::INFINITY, |m, other| {
                m.min(p.distance_to_segment(other.ends[0], other.ends[1]))
            });
        if nearest > worst.0 {
            worst = (nearest, p);
        }
    }
    worst
}
