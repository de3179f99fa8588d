//! One stock item as the catalog and the job file describe it.

use serde::Deserialize;

use super::package;
use super::words::{Words, figure};
use crate::units::LengthText;
use crate::units::number::thousands;

/// One stock item as the catalog describes it. Every field may be left out of a job file.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Product {
    /// What it is called on the order.
    pub name: Option<String>,
    /// The package, such as `roll`: a name, and no measure. What one holds is said by the sizes.
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
    /// How many pieces a package holds, or penetrations a package of sealant serves; one where nothing is said of what is
    /// sold by the piece.
    pub holds: Option<u32>,
    /// Where these figures come from.
    pub source: Option<String>,
}

impl Product {
    /// What `over` says, and this where it says nothing; a name that tells sizes tells those of `over`.
    pub(super) fn overlaid(&self, over: &Self, metric: bool) -> Self {
        fn pick<T: Clone>(over: &Option<T>, under: &Option<T>) -> Option<T> {
            over.as_ref().or(under.as_ref()).cloned()
        }
        Self {
            name: over.name.clone().or_else(|| self.renamed(over, metric)),
            unit: (over.unit.as_deref().map(package::of_one)).or_else(|| self.unit.clone()),
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

    /// The name with the sizes of `over` in place of those that it ends in: `Valley metal, 24 in × 10 ft`, `Cap nails,
    /// box of 2,000`.
    fn renamed(&self, over: &Self, metric: bool) -> Option<String> {
        let name = self.name.clone()?;
        if let (None, Some(holds)) = (self.holds, over.holds.filter(|holds| *holds > 1)) {
            let unit = self.unit_over(over)?;
            let name = Self {
                holds: Some(holds),
                ..self.clone()
            }
            .renamed(over, metric)?;
            return Some(format!("{name}, {unit} of {}", thousands(u64::from(holds))));
        }
        let Some((what, sizes)) = name.rsplit_once(", ") else {
            return Some(name);
        };
        let is_new =
            |new: Option<LengthText>, old: Option<LengthText>| new.or(old) != old && old.is_some();
        let is_cut = is_new(over.length, self.length) || is_new(over.width, self.width);
        let is_packed = over.holds.or(self.holds) != self.holds || over.unit.is_some();
        let length = over.length.or(self.length);
        let width = over.width.or(self.width);
        let words = Words::new(metric);
        let across = |width: LengthText| words.small(width.to_inches());
        let along = |length: LengthText| {
            let length = words.length(length.to_feet());
            format!("{} {}", figure(length, 3), words.length_unit())
        };
        let sized = match (width, length) {
            _ if is_packed && sizes.contains(" of ") => {
                let holds = over.holds.or(self.holds)?;
                format!(
                    "{} of {}",
                    self.unit_over(over)?,
                    thousands(u64::from(holds))
                )
            }
            (Some(width), Some(length)) if is_cut && sizes.contains('×') => {
                format!("{} × {}", across(width), along(length))
            }
            (_, Some(length)) if is_cut && !sizes.contains('×') => along(length),
            _ => return Some(name),
        };
        Some(format!("{what}, {sized}"))
    }

    /// The package of `over`, or this one's, without how many are in it.
    fn unit_over(&self, over: &Self) -> Option<String> {
        let unit = over.unit.as_deref().or(self.unit.as_deref())?;
        Some(package::of_one(package::bare(unit)))
    }
}
