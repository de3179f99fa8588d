//! The checks and the doubt of a takeoff, machine-readable.

use serde::Serialize;

use super::OutputUnits;
use crate::roof::{Check, Roof};

/// A check with its residual.
#[derive(Serialize)]
pub(super) struct CheckOut<'a> {
    what: &'a str,
    residual: f64,
    limit: f64,
    unit: &'a str,
    holds: bool,
    at: Option<[f64; 2]>,
}

/// Lengths and areas in the units of the takeoff.
pub(super) fn checks(roof: &Roof, units: OutputUnits) -> Vec<CheckOut<'_>> {
    let out = |check: &'_ Check| -> (f64, &'static str) {
        match check.unit {
            "ft" => (units.per_foot(), units.length_key()),
            "ft²" => (units.per_square_foot(), units.area_key()),
            unit => (1.0, unit),
        }
    };
    roof.checks
        .iter()
        .map(|check| {
            let (factor, unit) = out(check);
            let at = check.place.as_ref().and_then(|place| place.at);
            CheckOut {
                what: &check.what,
                residual: check.residual * factor,
                limit: check.limit * factor,
                unit,
                holds: check.holds(),
                at: at.map(|p| [p.x * units.per_foot(), p.y * units.per_foot()]),
            }
        })
        .collect()
}

/// How sure the measures are.
#[derive(Serialize)]
pub(super) struct DoubtOut {
    /// Ends nearer than this were joined.
    snap_tolerance: f64,
    /// Curves were laid as straight pieces no farther from them than this.
    curve_tolerance: f64,
    /// The largest move of a corner by joining and adjusting, and where it ended.
    largest_move: Option<f64>,
    largest_move_at: Option<[f64; 2]>,
    /// One standard error of the total true area from the tracing and the labels' last digits.
    true_area_std_error: Option<f64>,
}

pub(super) fn doubt(roof: &Roof, units: OutputUnits) -> DoubtOut {
    let k = units.per_foot();
    DoubtOut {
        snap_tolerance: roof.snap_tolerance_ft * k,
        curve_tolerance: crate::drawing::FLATTENING_TOLERANCE_FT * k,
        largest_move: roof.largest_move.map(|(feet, _)| feet * k),
        largest_move_at: roof.largest_move.map(|(_, p)| [p.x * k, p.y * k]),
        true_area_std_error: roof
            .true_area_std_error_sqft
            .map(|error| error * units.per_square_foot()),
    }
}
