//! One stock item as the catalog and the job file describe it.

use serde::Deserialize;

use super::item::Item;
use super::package;
use super::words::{Words, figure};
use crate::Finding;
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

    /// Why what a job says of the package cannot be ordered by, if so. The name of a package is no more than that, so that
    /// another one needs its size said anew, and a measure is none: the sizes of the old package would else be taken
    /// for the new one's.
    pub(super) fn misnamed(&self, key: &str, over: &Self) -> Option<Finding> {
        let own = self.unit.as_deref().unwrap_or_default();
        let unit = over.unit.as_deref().unwrap_or(own).trim();
        let refused = |what: String| Finding::error("product-package", what);
        // Many pieces in a package need its name: a price for the piece would else be taken for that of all of them.
        if let Some(many) = over.holds.filter(|holds| *holds > 1)
            && self.holds.is_none()
            && package::is_same(unit, own)
        {
            return Some(
                refused(format!(
                    "The job file has one {unit} of the product `{key}` hold {}, and does not say in which package they come.",
                    thousands(u64::from(many))
                ))
                .remedy(format!(
                    "Name the package under [materials.products.{key}] too (`unit = \"box\"`) and give the price for one, or leave out `holds` and give the price for one {own}."
                )),
            );
        }
        over.unit.as_ref()?;
        if package::is_measure(unit) {
            return Some(
                refused(format!(
                    "The job file has the product `{key}` ordered by the “{unit}”, which is a measure and no package: an order counts whole packages."
                ))
                .remedy(format!(
                    "Leave out `unit` under [materials.products.{key}] and give the price for one {own}."
                )),
            );
        }
        if let (Some(count), Some(said)) = (package::count_in(unit), over.holds) {
            if key == Item::Sealant.key() {
                // Here `holds` is no count of tubes; as many as there are tubes is mistaken for one.
                let each = self.holds.unwrap_or(1);
                if said <= count {
                    return Some(
                        refused(format!(
                            "The job file has the product `{key}` ordered by the “{unit}”, and one of them serving {said} penetrations: `holds` is how many penetrations one serves, not how many tubes are in it."
                        ))
                        .remedy(format!(
                            "Say `holds = {}`, at {each} penetrations a tube, or what is right, under [materials.products.{key}].",
                            u64::from(count) * u64::from(each)
                        )),
                    );
                }
            } else if said != count {
                return Some(
                    refused(format!(
                        "The job file has the product `{key}` ordered by the “{unit}”, and says that one holds {}.",
                        said
                    ))
                    .remedy(format!(
                        "Correct `unit` or `holds` under [materials.products.{key}]."
                    )),
                );
            }
        }
        let (size, is_said) = self.size_of_package(key, over);
        if is_said || package::is_same(unit, own) {
            return None;
        }
        let remedy = match size {
            Some(size) => format!(
                "Say {size} under [materials.products.{key}] too, or leave out `unit` and give the price for one {own}."
            ),
            None => format!(
                "Leave out `unit` under [materials.products.{key}] and give the price for one {own}."
            ),
        };
        Some(
            refused(format!(
                "The job file has the product `{key}` ordered by the “{unit}” instead of the {own}, and does not say how much of it one holds."
            ))
            .remedy(remedy),
        )
    }

    /// The key that says how large a package is, in words, and whether `over` says it; none where it is no matter of the
    /// catalog: a format has its pieces in a bundle, and boots and crickets come one by one.
    fn size_of_package(&self, key: &str, over: &Self) -> (Option<&'static str>, bool) {
        if ["shingles", "pipe_boot", "cricket"].contains(&key) {
            (None, false)
        } else if self.covers.is_some() {
            (Some("what one `covers`"), over.covers.is_some())
        } else if self.unit.as_deref() == Some("roll") {
            (Some("the `length` of one"), over.length.is_some())
        } else if key == Item::Sealant.key() {
            (
                Some("how many penetrations one serves (`holds`)"),
                over.holds.is_some(),
            )
        } else {
            (Some("how many one `holds`"), over.holds.is_some())
        }
    }
}
