//! Steps in height that run aslant to the falls on both their sides.

use crate::units::METRES_PER_FOOT;
use crate::{Finding, Place};

use super::region::Roofing;
use super::sheet::Sheet;
use super::words;

/// The end of a roof runs along its fall (a rake) or square to it (an eave, a high edge), and so does the step where it
/// stands above or below another: on one side at least. A line further from both than this, in degrees, and on both sides,
/// is drawn as hips and valleys are.
const ASLANT_DEG: f64 = 15.0;

/// Whether a shared line is drawn as hips and valleys are.
pub(super) fn is_aslant(sheet: &Sheet, roofing: &Roofing, edge: usize) -> bool {
    let edge = &sheet.edges[edge];
    let Some((left, right)) = edge.both() else {
        return false;
    };
    // A hip or valley never borders a level face, and such a face has no fall to run along.
    if [left, right].iter().any(|&f| sheet.faces[f].is_flat()) {
        return false;
    }
    [left, right].iter().all(|&f| {
        let fall = roofing.planes[f].gradient;
        let along = fall
            .angle_to_deg(edge.along)
            .min(fall.angle_to_deg(-edge.along));
        !fall.is_zero() && (ASLANT_DEG..=90.0 - ASLANT_DEG).contains(&along)
    })
}

/// Shared lines that were taken for steps, though they are drawn as hips or valleys.
pub(super) fn told(sheet: &Sheet, roofing: &Roofing) -> Option<Finding> {
    let steps: Vec<usize> = (0..sheet.edges.len())
        .filter(|&e| roofing.is_step[e])
        .filter(|&e| is_aslant(sheet, roofing, e))
        .collect();
    if steps.is_empty() {
        return None;
    }
    let length: f64 = steps.iter().map(|&e| sheet.edges[e].length).sum();
    let finding = Finding::warning(
        "hips-taken-for-steps",
        format!(
            "{} of the lines taken for steps in height are drawn as hips or valleys are, aslant to the slopes on both sides",
            words::feet(length / METRES_PER_FOOT)
        ),
    )
    .remedy("Look at the pitches and at these lines: where no step of the roof runs aslant there, one of them is not what was built.");
    Some(steps.iter().fold(finding, |finding, &edge| {
        let edge = &sheet.edges[edge];
        let middle = sheet.nodes[edge.a].midpoint(sheet.nodes[edge.b]);
        finding.place(Place::at(sheet.to_plan(middle)))
    }))
}
