//! Arrows that say how a face falls.

use super::PlanMap;
use super::outline::gap_of_text;
use crate::drawing::{Drawing, Up};
use crate::geometry::Point;
use crate::{Finding, Place};

/// Two arrows in one face agree up to this angle, in degrees.
const AGREE_DEG: f64 = 20.0;

/// A word nearer to an arrow than this many of its own heights speaks of it.
const BESIDE_HEIGHTS: f64 = 1.5;

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
        let beside = |up: &Up| {
            let shaft = (arrow.from, arrow.to);
            gap_of_text(up.at, up.baseline, up.height_ft, shaft) <= BESIDE_HEIGHTS * up.height_ft
        };
        let of_face = face_at(middle);
        let in_face = |up: &Up| of_face.is_some() && face_at(up.at) == of_face;
        // Stairs go up too: what stands in another face or outside speaks of no arrow in this one.
        let mut ups = drawing.ups.iter().filter(|up| up.level == map.level);
        if let Some(up) = ups.find(|up| beside(up) && in_face(up)) {
            map.findings.push(
                Finding::error(
                    "arrow-says-up",
                    format!("An arrow of the fall layer has “{}” beside it, and arrows there run from high to low.", up.text),
                )
                .remedy("Draw the arrow the way that water runs, or take the word out.")
                .place(place.clone())
                .place(Place::on(&up.source, up.at)),
            );
        }
        let Some(face) = of_face else {
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
                    .remedy("Take one of them out; draw the shaft of an arrow in one piece.")
                    .place(place),
            ),
            Some(_) => {}
            None => map.faces[face].fall_hint = Some(fall),
        }
    }
}
