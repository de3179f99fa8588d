//! Whether the labels can be true together.
//!
//! Refining lets a slope leave its label where that makes the planes meet. Held to what their labels can mean, the planes
//! show how far the lines are drawn off.

use crate::{Finding, Place};

use super::label_place::roomiest_point;
use super::pending::plan_rings;
use super::refine::Refiner;
use super::region::{Region, Roofing};
use super::sheet::Sheet;
use super::words;

/// A slope may leave its label by this much more than half the last digit, as a part of the slope, before it is told.
const SLACK_PART: f64 = 0.01;

/// How far the slope of a face lies outside what its label can mean (rise over run); 0 within.
fn outside(sheet: &Sheet, roofing: &Roofing, face: usize) -> f64 {
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
    let odd: Vec<usize> = (0..sheet.faces.len())
        .filter(|&f| outside(sheet, roofing, f) != 0.0)
        .collect();
    if odd.is_empty() {
        return roofing.clone();
    }
    let mut strict = sheet.clone();
    for face in &mut strict.faces {
        // Half a step at most; the observation's deviation is the part of it that keeps three in a thousand inside.
        face.half_step /= 3.0;
    }
    for face in odd {
        strict.faces[face].half_step = 0.0;
    }
    let mut held = roofing.clone();
    let mut slot = vec![usize::MAX; sheet.faces.len()];
    Refiner::holding(&strict).refine(&strict, &mut held, &Region::whole(&strict), &mut slot);
    held
}

/// Faces that fit their neighbours only with another pitch than their label's.
pub(super) fn odd(sheet: &Sheet, roofing: &Roofing) -> Vec<Finding> {
    (0..sheet.faces.len())
        .filter(|&f| outside(sheet, roofing, f) != 0.0)
        .map(|face| {
            let at = roomiest_point(&plan_rings(sheet, face));
            let slope = roofing.planes[face].gradient.length();
            let message = format!(
                "the face at {} is labelled {}, but its lines fit its neighbours best at {}",
                words::place(at),
                super::pending::label(sheet, face),
                words::pitch(slope)
            );
            Finding::warning("pitch-contradicts-lines", message)
                .remedy("Check its pitch and those of its neighbours; areas are computed with the labels.")
                .place(Place::at(at))
        })
        .collect()
}
