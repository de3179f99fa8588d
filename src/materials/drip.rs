//! Drip edge: at eaves, and at rakes and high edges, piece by piece along each run (rule `drip-edge`).

use super::item::Item;
use super::need::{Need, Needs};
use super::site::Site;
use crate::roof::EdgeClass;

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("drip-edge") {
        return;
    }
    for (class, item, purpose) in [
        (EdgeClass::Eave, Item::DripEdgeEave, "eaves"),
        (EdgeClass::Rake, Item::DripEdgeRake, "rakes"),
        (EdgeClass::HighEdge, Item::DripEdgeRake, "high edges"),
    ] {
        for run in site.runs(class) {
            out.push(
                Need::run(item, purpose, run.true_ft)
                    .edges(&run.edges)
                    .rules(&["drip-edge"]),
            );
        }
    }
}
