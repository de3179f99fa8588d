//! What lies in valleys, by how the valley is made, on its true length (rules `valley-open-metal`,
//! `valley-open-roll`, `valley-closed`).

use super::item::Item;
use super::need::{Cut, Need, Needs};
use super::options::ValleyLining;
use super::site::Site;
use crate::Finding;
use crate::courses::ValleyType;
use crate::roof::EdgeClass;

/// What lies in the roof's valleys, and the rule that asks for it; `None` where that rule is switched off.
fn lining(site: &Site<'_>) -> Option<(&'static [&'static str], Item)> {
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
    let applies = rule.iter().all(|r| site.settings.applies(r));
    applies.then_some((rule, item))
}

/// Whether valleys are lined with metal, which lies over the underlayment of both faces.
pub(super) fn is_of_metal(site: &Site<'_>) -> bool {
    lining(site).is_some_and(|(_, item)| item == Item::ValleyMetal)
}

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    let runs = site.runs(EdgeClass::Valley);
    let Some((rule, item)) = lining(site) else {
        return;
    };
    let is_hidden_sheet = matches!(item, Item::SelfAdhered | Item::ValleySmoothRoll);
    if is_hidden_sheet && site.settings.leaves_sheets_out() {
        return;
    }
    if !runs.is_empty() {
        warn_of_width(site, item, out);
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

/// Linings narrower than the code asks for are told: 24 in of metal, 36 in of sheet (R905.2.8.2).
fn warn_of_width(site: &Site<'_>, item: Item, out: &mut Needs) {
    let least_in = if item == Item::ValleyMetal {
        24.0
    } else {
        36.0
    };
    let width_in = width_ft(site, item) * 12.0;
    // Metric sheets of 600 mm and 1 m stand for 24 and 36 in.
    if width_in > 0.0 && width_in < least_in - 0.5 {
        out.findings.push(
            Finding::warning(
                "valley-lining-narrow",
                format!(
                    "The valley lining is {} wide; IRC R905.2.8.2 asks for {}.",
                    site.words.small(width_in),
                    site.words.small(least_in)
                ),
            )
            .remedy("Choose a wider lining under [materials.products]."),
        );
    }
}

fn width_ft(site: &Site<'_>, item: Item) -> f64 {
    site.settings
        .catalog
        .product(item.key())
        .and_then(|p| p.width)
        .map_or(0.0, |w| w.to_feet())
}
