//! Whether a roof has the size of a roof: what says that its scale must be wrong.

use super::Roof;
use crate::drawing::Drawing;
use crate::geometry::{Point, Vector, ring};
use crate::units::words::area as area_words;
use crate::units::{METRES_PER_FOOT, number};
use crate::{Finding, Place};

/// No roof is smaller than this, in square feet: a hood over a door is larger.
const LEAST_ROOF_SQFT: f64 = 10.0;
/// A house drawn an inch for a foot too small comes out smaller than this, in square feet: 2,880 over 144. The roof of a bay is
/// larger (common practice, no source); a smaller roof needs a dimension and a written scale that agree, or a scale given by hand.
const LEAST_ROOF_ALONE_SQFT: f64 = 20.0;
/// Where no length of a plan reaches so many, its numbers without a unit may be centimetres, as on the continent's plans of houses
/// (common practice, no source): 3 m or 30 m.
const LEAST_NUMBER_IN_MM: f64 = 3_000.0;
/// A roof that would be longer than this by centimetres, in metres, was drawn in millimetres, whatever its numbers.
const LONGEST_BY_CM_M: f64 = 60.0;

/// What is to be told of a roof whose size says that its scale is wrong, or may be.
pub(super) fn beyond_sense(roof: &Roof, drawing: &Drawing) -> Option<Finding> {
    unit_of_numbers(roof, drawing).or_else(|| too_small(roof, drawing))
}

/// A roof so small that its scale must be wrong. Who gave the scale by hand may mean a hood over a door.
fn too_small(roof: &Roof, drawing: &Drawing) -> Option<Finding> {
    let sqft = roof.plan_area().to_square_feet();
    let least = match drawing.scale.by_hand || drawing.scale.borne_out {
        true => LEAST_ROOF_SQFT,
        false => LEAST_ROOF_ALONE_SQFT,
    };
    if sqft >= least {
        return None;
    }
    let area = area_words(roof.plan_area());
    let from = &drawing.scale.from;
    if drawing.scale.by_hand {
        let message = format!("The whole roof is {area} in plan by {from}.");
        let told = Finding::warning("roof-too-small", message);
        return Some(told.remedy("Correct the scale given if the roof is larger."));
    }
    let message = format!(
        "The whole roof is {area} in plan by {from}: the scale must be wrong, unless it is a hood over a door."
    );
    Some(Finding::error("roof-too-small", message).remedy(
        "Correct the length or the scale that is written, or give --scale 20ft=283.5 (a true length and the same length in \
         drawing units).",
    ))
}

/// Numbers without a unit that make a small roof in millimetres and one of a usual size in centimetres.
fn unit_of_numbers(roof: &Roof, drawing: &Drawing) -> Option<Finding> {
    let stated = drawing.dimensions.iter().filter(|_| drawing.scale.bare);
    let longest = stated.max_by(|a, b| a.stated_ft.total_cmp(&b.stated_ft))?;
    let mm = longest.stated_ft * METRES_PER_FOOT * 1e3;
    let drawing_units = longest.from.distance(longest.to) / drawing.scale.feet_per_unit;
    let long_m = longest_ft(roof) * METRES_PER_FOOT;
    // Whole numbers, to their last bits.
    if mm > LEAST_NUMBER_IN_MM - 0.5 || 10.0 * long_m > LONGEST_BY_CM_M {
        return None;
    }
    let [metres, by_cm] = [long_m, 10.0 * long_m].map(|m| number::decimal(m, 2));
    let [figure, units] = [(mm, 1), (drawing_units, 3)].map(|(v, places)| number::typed(v, places));
    let message = format!(
        "The scale rests on numbers without a unit, of which {figure} is the longest: by {figure} mm the whole roof is {metres} m \
         long, by {figure} cm {by_cm} m."
    );
    let place = Place::of(&longest.source);
    Some(Finding::error("number-without-unit", message).place(place).remedy(format!(
        "Write the unit behind each number ({figure} mm or {figure} cm), or give --scale {figure}mm={units} or --scale \
         {figure}cm={units} (a true length and the same length in drawing units)."
    )))
}

/// The longer side of the roof's plan, upright on the sheet, in feet.
fn longest_ft(roof: &Roof) -> f64 {
    let faces = roof.faces.iter();
    let corners: Vec<Point> = faces.flat_map(|face| face.outline.plan()).collect();
    let across = |way: Vector| {
        let (low, high) = ring::reach(&corners, way);
        (high - low).max(0.0)
    };
    across(Vector::new(1.0, 0.0)).max(across(Vector::new(0.0, 1.0)))
}
