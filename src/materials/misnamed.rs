//! What a job says of a package held against what the catalog has: a name without a size would be ordered by the old size.

use super::item::Item;
use super::package;
use super::product::Product;
use crate::Finding;
use crate::units::number::thousands;

impl Product {
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
        } else if self.length.is_some() {
            // Run goods: a roll of them is as long as it says; of another package nothing tells whether it is one piece.
            let unit = over.unit.as_deref().map(package::of_one);
            let is_roll = unit.is_some_and(|unit| package::is_same(&unit, "roll"));
            (
                Some(
                    "how many one `holds` (`holds = 1` where it is a single piece, as long as its `length`)",
                ),
                over.holds.is_some() || (is_roll && over.length.is_some()),
            )
        } else {
            (Some("how many one `holds`"), over.holds.is_some())
        }
    }
}
