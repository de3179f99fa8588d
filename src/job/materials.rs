//! `[materials]`: choices among materials, and package sizes of the supplier's own.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Exact, Measure};

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

/// One stock item as the catalog describes it. Every field may be left out of a job file.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Product {
    /// What it is called on the order.
    pub name: Option<String>,
    /// The package, such as `roll`.
    pub unit: Option<String>,
    /// Length of a piece or roll.
    pub length: Option<Measure>,
    /// Width of a sheet.
    pub width: Option<Measure>,
    /// Lap at the ends of pieces or rolls.
    pub end_lap: Option<Measure>,
    /// Lap along the sides of rows.
    pub side_lap: Option<Measure>,
    /// How far a run goes past each of its ends: returns, trims.
    pub past_ends: Option<Measure>,
    /// Height of a piece left to the weather.
    pub exposure: Option<Measure>,
    /// How much run length a package covers.
    pub covers: Option<Measure>,
    /// How many pieces a package holds.
    pub holds: Option<u32>,
    /// Weight of a package in pounds.
    pub weight_lb: Option<f64>,
    /// Where these figures come from.
    pub source: Option<String>,
}

impl Product {
    /// What `over` says, and this where it says nothing.
    pub fn overlaid(&self, over: &Self) -> Self {
        fn pick<T: Clone>(over: &Option<T>, under: &Option<T>) -> Option<T> {
            over.as_ref().or(under.as_ref()).cloned()
        }
        Self {
            name: pick(&over.name, &self.name),
            unit: pick(&over.unit, &self.unit),
            length: over.length.or(self.length),
            width: over.width.or(self.width),
            end_lap: over.end_lap.or(self.end_lap),
            side_lap: over.side_lap.or(self.side_lap),
            past_ends: over.past_ends.or(self.past_ends),
            exposure: over.exposure.or(self.exposure),
            covers: over.covers.or(self.covers),
            holds: over.holds.or(self.holds),
            weight_lb: over.weight_lb.or(self.weight_lb),
            source: pick(&over.source, &self.source),
        }
    }
}

/// The sheet under the shingles.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum UnderlaymentKind {
    /// No. 15 felt.
    #[default]
    #[serde(rename = "felt-15")]
    Felt15,
    /// No. 30 felt.
    #[serde(rename = "felt-30")]
    Felt30,
    /// A synthetic sheet.
    Synthetic,
}

/// What lies in a closed or woven valley.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ValleyLining {
    /// Self-adhered sheet.
    #[default]
    SelfAdhered,
    /// One ply of smooth roll roofing.
    SmoothRoll,
    /// Metal, as in an open valley.
    Metal,
}

/// Where cap flashing goes over the base flashing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Counterflashing {
    /// Nowhere.
    None,
    /// Round chimneys.
    #[default]
    Chimneys,
    /// Round chimneys and along walls.
    ChimneysAndWalls,
}

/// How crickets are made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CricketKind {
    /// A saddle of sheet metal.
    #[default]
    Metal,
    /// None is listed: they are in the plan or somebody else's work.
    None,
}
