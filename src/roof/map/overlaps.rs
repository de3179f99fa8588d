//! Faces drawn as closed shapes that lie over each other: a lower roof that runs on beneath a higher one.

use super::build::PitchLabel;
use super::kinds::Context;
use crate::drawing::Stroke;
use crate::geometry::{Point, ring};
use crate::{Finding, Place};

/// What is asked of an area without a pitch that two closed shapes cover, each with a pitch in it that the other has not.
/// A shape inside another one is a face on it.
pub(super) fn ask(context: &Context<'_>, at: Point, area_sqft: f64) -> Option<Finding> {
    let closed = context.strokes.iter().copied().filter(|s| s.closed);
    let over: Vec<&Stroke> = closed.filter(|s| ring::contains(&s.points, at)).collect();
    let own = |shape: &Stroke, other: &Stroke| -> Option<&PitchLabel<'_>> {
        let mut labels = context.labels.iter();
        labels.find(|l| ring::contains(&shape.points, l.at) && !ring::contains(&other.points, l.at))
    };
    let (a, b) = over.iter().enumerate().find_map(|(i, a)| {
        let later = over.get(i + 1..)?;
        later.iter().find_map(|b| Some((own(a, b)?, own(b, a)?)))
    })?;
    let place = |label: &PitchLabel<'_>| Place::on(&label.label.source, label.at);
    Some(
        Finding::error(
            "faces-overlap",
            format!(
                "Two closed shapes, with the pitches “{}” and “{}” in them, lie over each other on {area_sqft:.0} ft² in plan: nothing says which is the higher one, nor whether the lower one runs on beneath it.",
                a.label.text, b.label.text
            ),
        )
        .remedy("Draw the higher one on a layer named upper: both are counted whole then. If the lower one ends at the higher one, draw it only as far as there.")
        .place(Place::at(at))
        .place(place(a))
        .place(place(b)),
    )
}
