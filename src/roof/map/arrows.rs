//! Arrows that say how a face falls.

use super::PlanMap;
use crate::drawing::Drawing;
use crate::geometry::Point;
use crate::{Finding, Place};

/// Two arrows in one face agree up to this angle, in degrees.
const AGREE_DEG: f64 = 20.0;

/// Gives every arrow of the map's level to the face that holds its middle.
pub(super) fn place_arrows(
    map: &mut PlanMap,
    drawing: &Drawing,
    face_at: impl Fn(Point) -> Option<usize>,
) {
    for arrow in drawing.falls.iter().filter(|a| a.level == map.level) {
        let middle = arrow.from.midpoint(arrow.to);
        let place = Place::on(&arrow.source, middle);
        let Some(fall) = (arrow.to - arrow.from).unit() else {
            continue;
        };
        let Some(face) = face_at(middle) else {
            map.findings.push(
                Finding::warning(
                    "arrow-outside",
                    "An arrow of the fall layer has its middle in no face and was not used.",
                )
                .remedy("Move it into the face that it speaks of.")
                .place(place),
            );
            continue;
        };
        let crosses = [arrow.from, arrow.to]
            .iter()
            .any(|&p| face_at(p).is_some_and(|f| f != face));
        if crosses {
            map.findings.push(
                Finding::warning("arrow-crosses-faces", "An arrow of the fall layer runs over more than one face; it was given to the one that holds its middle.")
                    .remedy("Draw it inside one face.")
                    .place(place.clone()),
            );
        }
        match map.faces[face].fall_hint {
            Some(was) if was.angle_to_deg(fall) > AGREE_DEG => map.findings.push(
                Finding::error("two-arrows", "Two arrows in one face point different ways.")
                    .remedy("Take one of them out.")
                    .place(place),
            ),
            Some(_) => {}
            None => map.faces[face].fall_hint = Some(fall),
        }
    }
}
