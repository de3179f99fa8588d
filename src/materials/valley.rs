//! What lies in valleys, by how the valley is made, on its true length (rules `valley-open-metal`,
//! `valley-open-roll`, `valley-closed`).

use super::item::Item;
use super::need::{Cut, Need, Needs};
use super::options::ValleyLining;
use super::site::Site;
use crate::courses::ValleyType;
use crate::roof::EdgeClass;

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    let runs = site.runs(EdgeClass::Valley);
    let (rule, item): (&'static [&'static str], Item) = match site.courses.rules.valley {
        ValleyType::OpenMetal => (&["valley-open-metal"], Item::ValleyMetal),
        ValleyType::OpenRoll => (&["valley-open-roll"], Item::ValleyRoll),
        ValleyType::ClosedCut | ValleyType::Woven => {
            let item = match site.settings.valley_lining {
                ValleyLining::SelfAdhered => Item::SelfAdhered,
                ValleyLining::SmoothRoll => Item::ValleySmoothRoll,
                ValleyLining::Metal => Item::ValleyMetal,
            };
            (&["valley-closed"], item)
        }
    };
    if !rule.iter().all(|r| site.settings.applies(r)) {
        return;
    }
    for run in runs {
        let need = match item {
            Item::ValleyMetal => Need::run(item, "valleys", run.true_ft),
            Item::SelfAdhered => {
                let width = width_ft(site, item);
                Need::row(item, "valleys", run.true_ft * width, run.true_ft)
            }
            _ => Need::row(item, "valleys", run.true_ft, run.true_ft),
        };
        let need = need.edges(&run.edges).rules(rule);
        if item == Item::ValleyRoll {
            // The lower ply is half a width; its length is not counted as valley a second time.
            out.push(Need {
                cut: Cut::Row {
                    length_ft: run.true_ft,
                    width_part: 1.5,
                },
                ..need
            });
        } else {
            out.push(need);
        }
    }
}

fn width_ft(site: &Site<'_>, item: Item) -> f64 {
    site.settings
        .catalog
        .product(item.key())
        .and_then(|p| p.width)
        .map_or(0.0, |w| w.to_feet())
}
