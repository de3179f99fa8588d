//! Starter strip: along eaves, and along rakes by choice (rule `starter`).

use super::item::Item;
use super::need::{Need, Needs};
use super::site::Site;
use crate::roof::EdgeClass;

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("starter") {
        return;
    }
    for (class, purpose) in places(site) {
        for run in site.runs(class) {
            out.push(
                Need::loose(Item::Starter, purpose, run.true_ft, run.true_ft)
                    .edges(&run.edges)
                    .rules(&["starter"]),
            );
        }
    }
}

/// Where starter strips lie.
pub(super) fn places(site: &Site<'_>) -> Vec<(EdgeClass, &'static str)> {
    let mut places = vec![(EdgeClass::Eave, "eaves")];
    if site.settings.starter_at_rakes {
        places.push((EdgeClass::Rake, "rakes"));
    }
    places
}
