//! Hip and ridge caps: true length over exposure, rounded up for each run (rule `caps`). Bought as caps, or cut from
//! the tabs of field shingles.

use super::item::Item;
use super::need::{Need, Needs};
use super::pieces;
use super::site::Site;
use crate::Finding;
use crate::roof::EdgeClass;

/// What field shingles are for that are cut up for caps.
pub(super) const FROM_TABS: &str = "caps cut from tabs";

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    let Some(exposure_ft) = exposure_ft(site) else {
        return;
    };
    let tabs = tabs(site);
    if site.settings.caps_from_field && tabs.is_none() {
        out.findings.push(
            Finding::warning(
                "caps-from-field",
                format!(
                    "Caps cannot be cut from the tabs of {}, which has none: ready caps are listed.",
                    site.courses.format.name
                ),
            )
            .remedy("Choose a format with tabs, or leave out `caps_from_field`."),
        );
    }
    for (class, purpose) in [(EdgeClass::Ridge, "ridges"), (EdgeClass::Hip, "hips")] {
        for run in site.runs(class) {
            let pieces = pieces::along(run.true_ft, exposure_ft);
            let need = match tabs {
                Some(tabs) => Need::loose(Item::Shingles, FROM_TABS, pieces / tabs, pieces / tabs),
                None => Need::loose(Item::Caps, purpose, run.true_ft, pieces),
            };
            out.push(need.edges(&run.edges).rules(&["caps"]));
        }
    }
}

/// Caps that one field shingle gives, where caps are cut from it.
fn tabs(site: &Site<'_>) -> Option<f64> {
    let tabs = site.courses.format.tabs;
    (site.settings.caps_from_field && tabs > 1).then(|| f64::from(tabs))
}

/// The exposure of a cap in feet, where the rule applies: the catalog's, or the field's for caps cut from it.
pub(super) fn exposure_ft(site: &Site<'_>) -> Option<f64> {
    let settings = site.settings;
    let exposure_ft = match tabs(site) {
        Some(_) => site.courses.format.exposure_in / 12.0,
        None => settings
            .catalog
            .product(Item::Caps.key())?
            .exposure?
            .to_feet(),
    };
    settings.applies("caps").then_some(exposure_ft)
}
