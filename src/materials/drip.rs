//! Drip edge: at eaves, and at rakes and high edges, piece by piece along each run (rule `drip-edge`).

use super::item::Item;
use super::need::{Need, Needs};
use super::pieces::SHORT_FT;
use super::site::Site;
use crate::roof::EdgeClass;

/// Rakes shorter than this, such as lie where an eave jogs or two eaves end at different heights, are cut one after the
/// other from one piece: a foot, own choice.
const SHORT_RAKE_FT: f64 = 1.0;
/// What they are called.
pub(super) const SHORT_RAKES: &str = "short rakes";

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
            let is_short = class == EdgeClass::Rake && run.true_ft < SHORT_RAKE_FT - SHORT_FT;
            let purpose = if is_short { SHORT_RAKES } else { purpose };
            out.push(
                Need::run(item, purpose, run.true_ft)
                    .edges(&run.edges)
                    .rules(&["drip-edge"]),
            );
        }
    }
}
