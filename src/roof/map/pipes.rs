//! Pipes and vents: each with the face that it goes through and the diameter that is written beside it, or its own.

use std::sync::Arc;

use geo::{Intersects, Polygon};

use super::PlanMap;
use super::penetration::{Penetration, penetrations};
use crate::drawing::{Drawing, Label, Mistyped, Says, Stroke};
use crate::geometry::Point;
use crate::place::Source;
use crate::{Finding, Place};

/// A pipe or vent.
#[derive(Clone, Debug)]
pub struct MapPipe {
    /// Its middle, in plan feet.
    pub at: Point,
    /// Its diameter in feet, as written beside it or else as drawn; `None` for a mark without size.
    pub diameter_ft: Option<f64>,
    /// Whether it is as written.
    pub is_written: bool,
    /// The face that it goes through; `None` where it lies beside the roof.
    pub face: Option<usize>,
    /// The element it was drawn with.
    pub source: Arc<Source>,
}

/// A diameter written farther from a pipe than this, in feet, is not its own, ...
const DIAMETER_REACH_FT: f64 = 3.0;
/// ... nor one that stands nearer to another pipe by more than this: the rounding of a coordinate.
const NEARER_FT: f64 = 1e-6;

/// Told of a text beside a pipe that was meant as its diameter.
fn unread(text: &Mistyped, is_drawn: bool) -> Finding {
    let taken = if is_drawn {
        "is taken as it is drawn"
    } else {
        "has none"
    };
    Finding::warning(
        "pipe-diameter-unread",
        format!(
            "The text “{}” beside a pipe cannot be read as its diameter; the pipe {taken}.",
            text.text
        ),
    )
    .remedy("Write the diameter with its unit, such as `3 in` or `110 mm`.")
    .place(Place::on(&text.source, text.at))
}

/// Whether a figure may be the diameter of a pipe that is drawn so wide: pipes are drawn by their inner or their outer diameter.
fn agree(figure_ft: f64, drawn_ft: f64) -> bool {
    const APART: f64 = 0.25;
    (figure_ft / drawn_ft - 1.0).abs() <= APART
}

fn figure_not_taken(label: &Label) -> Finding {
    Finding::warning(
        "pipe-diameter-unread",
        format!(
            "The figure “{}” beside a pipe has no unit, and the pipe is drawn of another size: it is taken as drawn.",
            label.text
        ),
    )
    .remedy("Write the diameter with its unit, such as `3 in` or `110 mm`; a number of the pipe may stay.")
    .place(Place::on(&label.source, label.at))
}

/// The line that a text is written along, through its middle; where a leader goes out from it, the leader's far end alone.
fn line_of(label: &Label) -> (Point, Point) {
    if let Some(far) = label.points_at {
        return (far, far);
    }
    let half = (label.baseline[1] - label.baseline[0]) * 0.5;
    (label.at - half, label.at + half)
}

/// Whether what is written along a line speaks of this pipe: its middle is within reach of it, and no other pipe is nearer.
fn is_own((a, b): (Point, Point), pipe: &Penetration, all: &[Penetration]) -> bool {
    let away = |pipe: &Penetration| pipe.at.distance_to_segment(a, b);
    let own = away(pipe);
    a.midpoint(b).distance(pipe.at) <= DIAMETER_REACH_FT
        && !all.iter().any(|other| away(other) < own - NEARER_FT)
}

pub(super) fn place_pipes(
    map: &mut PlanMap,
    drawing: &Drawing,
    strokes: &[&Stroke],
    faces: &[Polygon],
) {
    let pipes = penetrations(strokes);
    for pipe in &pipes {
        let (at, drawn_ft) = (pipe.at, pipe.drawn_ft);
        let labels = || {
            let of_level = drawing.labels.iter().filter(|l| l.level == map.level);
            of_level.filter(|l| is_own(line_of(l), pipe, &pipes))
        };
        let away = |l: &Label| {
            let (a, b) = line_of(l);
            at.distance_to_segment(a, b)
        };
        let written = labels()
            .filter_map(|l| match l.says {
                Says::Diameter(feet) | Says::Size(feet) if feet > 0.0 => Some((away(l), feet)),
                // A figure without a unit may be the pipe's number: it is believed where the drawing bears it out.
                Says::PipeFigure(feet) if drawn_ft.is_none_or(|drawn| agree(feet, drawn)) => {
                    Some((away(l), feet))
                }
                _ => None,
            })
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if written.is_none() {
            let figures = labels().filter(|l| matches!(l.says, Says::PipeFigure(_)));
            let figures: Vec<Finding> = figures.map(figure_not_taken).collect();
            let texts = drawing.unread_diameters.iter();
            let beside = texts.filter(|text| is_own((text.at, text.at), pipe, &pipes));
            map.findings.extend(figures);
            map.findings
                .extend(beside.map(|text| unread(text, drawn_ft.is_some())));
        }
        let diameter_ft = written.map(|(_, feet)| feet).or(drawn_ft);
        let point = geo::Point::new(at.x, at.y);
        let face = faces.iter().position(|f| f.intersects(&point));
        if face.is_none() {
            map.findings.push(
                Finding::warning(
                    "pipe-outside",
                    "A pipe stands outside the roof and was left out.",
                )
                .remedy("Move it into its face.")
                .place(Place::on(&pipe.source, at)),
            );
            continue;
        }
        map.pipes.push(MapPipe {
            at,
            diameter_ft,
            is_written: written.is_some(),
            face,
            source: Arc::clone(&pipe.source),
        });
    }
}
