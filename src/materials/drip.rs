//! Drip edge: at eaves, and at rakes and high edges, piece by piece along each run (rule `drip-edge`).

use super::item::Item;
use super::need::{Need, Needs};
use super::pieces::SHORT_FT;
use super::site::Site;
use crate::roof::EdgeClass;

/// Runs shorter than this, such as lie where an eave jogs or two eaves end at different heights, are cut one after the
/// other from one piece: a foot, own choice.
const SHORT_RUN_FT: f64 = 1.0;
/// What they are called: eaves, rakes, high edges.
const SHORT_RUNS: [&str; 3] = ["short eaves", "short rakes", "short high edges"];

/// Whether a need is for such short runs, by its purpose.
pub(super) fn is_short_run(purpose: &str) -> bool {
    SHORT_RUNS.contains(&purpose)
}

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("drip-edge") {
        return;
    }
    let [short_eaves, short_rakes, short_high_edges] = SHORT_RUNS;
    for (class, item, [long, short]) in [
        (EdgeClass::Eave, Item::DripEdgeEave, ["eaves", short_eaves]),
        (EdgeClass::Rake, Item::DripEdgeRake, ["rakes", short_rakes]),
        (
            EdgeClass::HighEdge,
            Item::DripEdgeRake,
            ["high edges", short_high_edges],
        ),
    ] {
        for run in site.runs(class) {
            let is_short = run.true_ft < SHORT_RUN_FT - SHORT_FT;
            let purpose = if is_short { short } else { long };
            out.push(
                Need::run(item, purpose, run.true_ft)
                    .edges(&run.edges)
                    .rules(&["drip-edge"]),
            );
        }
    }
}
