//! What comes off the roof, what lies on it before it is laid, and what its vents hold, machine-readable: each with the figures
//! that it was reckoned with.

use serde::Serialize;

use super::OutputUnits;
use crate::materials::{
    CONTAINER_CUYD, CONTAINER_LB, CUYD_PER_SQUARE_AND_LAYER, EAVE_NFA_SQIN_PER_FT,
    LB_PER_SQUARE_AND_LAYER, LOADING_SOURCE, Loading, MOST_LB_PER_RIDGE_FT, RIDGE_NFA_SQIN_PER_FT,
    TEAR_OFF_SOURCE, TearOff, VENT_SOURCE, Ventilation,
};

/// What is torn off. Weights are in pounds and volumes in cubic yards, as their keys say, in whatever units lengths are.
#[derive(Serialize)]
pub(super) struct TearOffOut {
    area: f64,
    layers: u32,
    weight_lb: f64,
    volume_cuyd: f64,
    containers: f64,
    lb_per_square_and_layer: f64,
    cuyd_per_square_and_layer: f64,
    container_lb: f64,
    container_cuyd: f64,
    source: &'static str,
}

pub(super) fn tear_off(off: TearOff, units: OutputUnits) -> TearOffOut {
    TearOffOut {
        area: off.squares * 100.0 * units.per_square_foot(),
        layers: off.layers,
        weight_lb: off.weight_lb,
        volume_cuyd: off.volume_cuyd,
        containers: off.containers,
        lb_per_square_and_layer: LB_PER_SQUARE_AND_LAYER,
        cuyd_per_square_and_layer: CUYD_PER_SQUARE_AND_LAYER,
        container_lb: CONTAINER_LB,
        container_cuyd: CONTAINER_CUYD,
        source: TEAR_OFF_SOURCE,
    }
}

/// The bundles on the roof before they are laid.
#[derive(Serialize)]
pub(super) struct LoadingOut {
    bundles: f64,
    weight_lb: Option<f64>,
    lb_per_bundle: Option<f64>,
    ridge_length: f64,
    lb_per_ridge_ft: Option<f64>,
    most_lb_per_ridge_ft: f64,
    source: &'static str,
}

pub(super) fn loading(loading: Loading, units: OutputUnits) -> LoadingOut {
    LoadingOut {
        bundles: loading.bundles,
        weight_lb: loading.weight_lb,
        lb_per_bundle: loading.lb_per_bundle(),
        ridge_length: loading.ridge_ft * units.per_foot(),
        lb_per_ridge_ft: loading.lb_per_ridge_ft(),
        most_lb_per_ridge_ft: MOST_LB_PER_RIDGE_FT,
        source: LOADING_SOURCE,
    }
}

/// Net free area in square inches, as the keys say.
#[derive(Serialize)]
pub(super) struct VentilationOut {
    floor_area: f64,
    floor_given: bool,
    parts: f64,
    required_sqin: f64,
    ridges_hold_sqin: f64,
    eaves_hold_sqin: f64,
    ridge_sqin_per_ft: f64,
    eave_sqin_per_ft: f64,
    source: &'static str,
}

pub(super) fn ventilation(sum: &Ventilation, units: OutputUnits) -> VentilationOut {
    VentilationOut {
        floor_area: sum.floor_sqft * units.per_square_foot(),
        floor_given: sum.floor_given,
        parts: sum.parts,
        required_sqin: sum.required_sqin,
        ridges_hold_sqin: sum.ridges_hold_sqin,
        eaves_hold_sqin: sum.eaves_hold_sqin,
        ridge_sqin_per_ft: RIDGE_NFA_SQIN_PER_FT,
        eave_sqin_per_ft: EAVE_NFA_SQIN_PER_FT,
        source: VENT_SOURCE,
    }
}
