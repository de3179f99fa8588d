//! Hip and ridge caps: true length over exposure, rounded up for each run (rule `caps`).

use super::item::Item;
use super::need::{Need, Needs};
use super::order::up;
use super::site::Site;
use crate::roof::EdgeClass;

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    let Some(exposure_ft) = exposure_ft(site) else {
        return;
    };
    for (class, purpose) in [(EdgeClass::Ridge, "ridges"), (EdgeClass::Hip, "hips")] {
        for run in site.runs(class) {
            let pieces = up(run.true_ft / exposure_ft);
            out.push(
                Need::loose(Item::Caps, purpose, run.true_ft, pieces)
                    .edges(&run.edges)
                    .rules(&["caps"]),
            );
        }
    }
}

/// The exposure of a cap in feet, where the rule applies and the catalog says one.
pub(super) fn exposure_ft(site: &Site<'_>) -> Option<f64> {
    let settings = site.settings;
    let exposure = settings.catalog.product(Item::Caps.key())?.exposure?;
    (settings.applies("caps") && exposure.to_feet() > 0.0).then(|| exposure.to_feet())
}
