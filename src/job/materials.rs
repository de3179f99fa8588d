//! `[materials]`: choices among materials, and package sizes of the supplier's own.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::materials::{
    Counterflashing, CricketKind, Exact, Product, SidewallFlashing, UnderlaymentKind, ValleyLining,
};

/// `[materials]`.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Materials {
    /// The sheet under the shingles.
    pub underlayment: Option<UnderlaymentKind>,
    /// What lies in a closed or woven valley.
    pub valley_lining: Option<ValleyLining>,
    /// Whether rakes get a starter strip too.
    pub starter_at_rakes: Option<bool>,
    /// Whether caps are cut from the field's three-tab shingles.
    pub caps_from_field: Option<bool>,
    /// Whether the rest of one run of metal serves the next.
    pub share_offcuts: Option<bool>,
    /// Whether a level break of the pitch gets a flashing.
    pub pitch_change_flashing: Option<bool>,
    /// The flashing along walls that run up the slope.
    pub sidewall_flashing: Option<SidewallFlashing>,
    /// Where cap flashing goes over the base flashing.
    pub counterflashing: Option<Counterflashing>,
    /// How crickets are made.
    pub crickets: Option<CricketKind>,
    /// One spare bundle of shingles for every so many squares, the last begun ones included; 0 for none.
    pub spare_bundle_per_squares: Option<f64>,
    /// An allowance of the user's for handling, in percent of the field shingles consumed, apart from computed waste.
    pub handling_percent: Option<Exact>,
    /// Sheets of deck allowed for every ten squares torn off.
    pub deck_sheets_per_10_squares: Option<f64>,
    /// Package sizes by the catalog's names; what is not said stays as shipped.
    pub products: BTreeMap<String, Product>,
}
