//! Whether the labels can be true together.
//!
//! Refining lets a slope leave its label where that makes the planes meet. Held to what their labels can mean, the planes
//! show how far the lines are drawn off.

use crate::geometry::{Plane, Vector};
use crate::{Finding, Place};

use super::label_place::roomiest_point;
use super::pending::plan_rings;
use super::refine::{Planes, Refiner};
use super::region::{Region, Roofing};
use super::sheet::Sheet;
use super::words;

/// A slope may leave its label by this much more than half the last digit, as a part of the slope, before it is told.
const SLACK_PART: f64 = 0.01;

/// A slope that is nearer to its label is the label's (rise over run): a millimetre over ten metres.
const HAIR: f64 = 1e-4;

/// An edge within this of square to a face's fall (degrees) is taken for level when the labels are held.
const NEARLY_SQUARE_DEG: f64 = 8.0;

/// How far the slope of a face lies outside what its label can mean (rise over run); 0 within.
pub(super) fn outside(sheet: &Sheet, roofing: &Roofing, face: usize) -> f64 {
    let Some(slope) = sheet.faces[face]
        .slope
        .filter(|_| !sheet.faces[face].is_flat())
    else {
        return 0.0;
    };
    let off = roofing.planes[face].gradient.length() - slope;
    let allowed = sheet.faces[face].half_step + SLACK_PART * slope;
    if off.abs() > allowed { off } else { 0.0 }
}

/// The same roof with every slope held to its label.
pub(super) fn held(sheet: &Sheet, roofing: &Roofing) -> Roofing {
    if (0..sheet.faces.len()).all(|f| outside(sheet, roofing, f) == 0.0) {
        return roofing.clone();
    }
    to_the_letter(sheet, roofing)
}

/// The same roof with every slope exactly as its label says, rounded or not.
pub(super) fn to_the_letter(sheet: &Sheet, roofing: &Roofing) -> Roofing {
    let departs = |f: usize| {
        let face = &sheet.faces[f];
        let slope = face.slope.filter(|_| !face.is_flat());
        slope.is_some_and(|m| (roofing.planes[f].gradient.length() - m).abs() > HAIR)
    };
    if !(0..sheet.faces.len()).any(departs) {
        return roofing.clone();
    }
    let chosen = sheet
        .face_edges()
        .iter()
        .enumerate()
        .map(|(face, edges)| squared(sheet, edges, face, roofing.planes[face].gradient))
        .collect();
    with_labels(sheet, roofing, chosen, Refiner::holding)
}

/// The planes of a roof whose lines and pitches contradict each other: every slope exactly as its label says, falling as it was
/// `found` to, and what is wrong left where the planes should meet, inside the roof: eaves are level by how a house is built.
pub(super) fn as_written(sheet: &Sheet, roofing: &Roofing, found: &[Plane]) -> Planes {
    let chosen = sheet
        .faces
        .iter()
        .zip(found)
        .map(|(face, plane)| match (face.slope, plane.gradient.unit()) {
            (Some(_), _) if face.is_flat() => Vector::default(),
            (Some(slope), Some(up)) => up * slope,
            _ => plane.gradient,
        })
        .collect();
    with_labels(sheet, roofing, chosen, Refiner::holding_from_the_eaves).planes
}

/// Planes as near as can be to the gradients chosen, with every slope exactly as its label says.
fn with_labels(
    sheet: &Sheet,
    roofing: &Roofing,
    chosen: Vec<Vector>,
    refiner: fn(&Sheet) -> Refiner,
) -> Roofing {
    let mut strict = sheet.clone();
    for face in &mut strict.faces {
        face.half_step = 0.0;
    }
    let mut held = Roofing {
        chosen,
        ..roofing.clone()
    };
    let mut slot = vec![usize::MAX; sheet.faces.len()];
    refiner(&strict).refine(&strict, &mut held, &Region::whole(&strict), &mut slot);
    held
}

/// The gradient turned square to the longest edge that it is nearly square to, and as steep as its label.
fn squared(sheet: &Sheet, edges: &[usize], face: usize, g: Vector) -> Vector {
    let Some(slope) = sheet.faces[face]
        .slope
        .filter(|_| !sheet.faces[face].is_flat())
    else {
        return if sheet.faces[face].is_flat() {
            Vector::default()
        } else {
            g
        };
    };
    let longest = edges
        .iter()
        .filter(|&&e| {
            g.dot(sheet.edges[e].along).abs() <= NEARLY_SQUARE_DEG.to_radians().sin() * g.length()
        })
        .max_by(|&&a, &&b| sheet.edges[a].length.total_cmp(&sheet.edges[b].length));
    let direction = longest.map_or(g, |&e| {
        let normal = sheet.edges[e].along.turn_left();
        if normal.dot(g) < 0.0 { -normal } else { normal }
    });
    direction.unit().map_or(g, |d| d * slope)
}

/// Faces that fit their neighbours only with another pitch than their label's. `refuse`: those pitches would make it a
/// roof of another area.
pub(super) fn odd(sheet: &Sheet, roofing: &Roofing, refuse: bool) -> Vec<Finding> {
    (0..sheet.faces.len())
        .filter(|&f| outside(sheet, roofing, f) != 0.0)
        .map(|face| {
            let at = roomiest_point(&plan_rings(sheet, face));
            let slope = roofing.planes[face].gradient.length();
            let message = format!(
                "the face at {} is labelled {}, but its lines fit its neighbours best at {}",
                words::place(at),
                super::pending::label(sheet, face),
                words::pitch_unlike(sheet.faces[face].slope, slope)
            );
            let finding = if refuse {
                Finding::error("pitch-contradicts-lines", message)
                    .remedy("Correct its pitch or its lines: the total would depend on which of them is true.")
            } else {
                Finding::warning("pitch-contradicts-lines", message)
                    .remedy("Check its pitch and those of its neighbours; areas are computed with the labels.")
            };
            finding.place(Place::at(at))
        })
        .collect()
}
