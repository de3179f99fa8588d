//! One stock item as the catalog and the job file describe it.

use serde::Deserialize;

use crate::units::LengthText;

/// One stock item as the catalog describes it. Every field may be left out of a job file.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Product {
    /// What it is called on the order.
    pub name: Option<String>,
    /// The package, such as `roll`.
    pub unit: Option<String>,
    /// Length of a piece or roll.
    pub length: Option<LengthText>,
    /// Width of a sheet.
    pub width: Option<LengthText>,
    /// Lap at the ends of pieces or rolls.
    pub end_lap: Option<LengthText>,
    /// Lap along the sides of rows.
    pub side_lap: Option<LengthText>,
    /// How far a run goes past each of its ends: returns, trims.
    pub past_ends: Option<LengthText>,
    /// Height of a piece left to the weather.
    pub exposure: Option<LengthText>,
    /// How much run length a package covers.
    pub covers: Option<LengthText>,
    /// How many pieces a package holds.
    pub holds: Option<u32>,
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
            source: pick(&over.source, &self.source),
        }
    }
}
