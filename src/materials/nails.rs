//! Nails: for every piece laid, for the starter and for the caps, by the length that each needs (rules
//! `nails-length`, `nails-number`, `steep-fastening`).

use super::item::Item;
use super::kind;
use super::need::{Need, Needs};
use super::pieces;
use super::runs::Run;
use super::settings::MaterialSettings;
use super::site::Site;
use super::words::{Words, figure};
use super::{caps, starter, vent};
use crate::Finding;
use crate::roof::EdgeClass;

/// Nails in a starter piece: common practice, no source.
const A_STARTER: f64 = 4.0;
/// Nails in a cap: common practice, no source.
const A_CAP: f64 = 2.0;
/// Thickness of a shingle where the nail goes through, laminations included, in inches: common practice, no source.
const SHINGLE_IN: f64 = 0.25;
/// Thickness of a ridge vent, in inches: common practice, no source.
const RIDGE_VENT_IN: f64 = 0.75;
/// Into a deck at least as thick as this; through a thinner one (R905.2.5). Inches.
const INTO_DECK_IN: f64 = 0.75;
/// How far a nail goes out below a thinner deck, in inches: common practice, no source.
const THROUGH_DECK_IN: f64 = 0.125;
/// Lengths sold, in inches and in millimetres: common practice, no source. The shortest is what the trade uses at
/// the least.
const LENGTHS_IN: [(f64, &str); 6] = [
    (1.25, "1 1/4"),
    (1.5, "1 1/2"),
    (1.75, "1 3/4"),
    (2.0, "2"),
    (2.5, "2 1/2"),
    (3.0, "3"),
];
const LENGTHS_MM: [f64; 7] = [30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 75.0];

/// Nailers take nails up to this length, in inches: common practice, no source.
const NAILER_UP_TO_IN: f64 = 1.8;

const MM_PER_IN: f64 = 25.4;

const RULES: &[&str] = &["nails-length", "nails-number", "steep-fastening"];

/// Whether nails of a length, in inches, are sold as this item: for a nailer, or longer ones.
pub(super) fn is_sold(item: Item, inches: f64) -> bool {
    let mm = LENGTHS_MM.iter().map(|mm| mm / MM_PER_IN);
    let mut sold = LENGTHS_IN.iter().map(|(inches, _)| *inches).chain(mm);
    item_of(inches) == item && sold.any(|length| kind::is_one_size(length, inches))
}

/// What nails of a length, in inches, are ordered as.
pub(super) fn item_of(inches: f64) -> Item {
    if inches > NAILER_UP_TO_IN {
        Item::NailsLong
    } else {
        Item::Nails
    }
}

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("nails-number") {
        return;
    }
    if site.layouts().next().is_none() {
        return;
    }
    let field = size(2.0 * SHINGLE_IN, site, out);
    for layout in site.layouts() {
        let nailing = site.courses.nailing(site.roof, layout.face);
        let nails = layout.nails(nailing.per_piece) as f64;
        push(out, &field, "pieces laid", nails, |n| {
            n.faces(&[layout.face])
        });
    }
    starters(site, &field, out);
    cap_nails(site, out);
}

fn starters(site: &Site<'_>, size: &Size, out: &mut Needs) {
    let product = site.settings.catalog.product(Item::Starter.key());
    let Some(piece) = product.and_then(|p| p.length) else {
        return;
    };
    if !site.settings.applies("starter") {
        return;
    }
    for (run, _) in starter::places(site) {
        let nails = pieces::along(run.true_ft, piece.to_feet()) * A_STARTER;
        push(out, size, "starter", nails, |n| n.edges(&run.edges));
    }
}

fn cap_nails(site: &Site<'_>, out: &mut Needs) {
    let Some(exposure_ft) = caps::exposure_ft(site) else {
        return;
    };
    let ridges = site.runs(EdgeClass::Ridge).into_iter();
    let (vented, mut plain): (Vec<Run>, Vec<Run>) =
        ridges.partition(|ridge| vent::is_on(ridge, site.settings));
    plain.extend(site.runs(EdgeClass::Hip));
    for (runs, vent_in) in [(vented, RIDGE_VENT_IN), (plain, 0.0)] {
        if runs.is_empty() {
            continue;
        }
        let size = size(4.0 * SHINGLE_IN + vent_in, site, out);
        for run in runs {
            let nails = pieces::along(run.true_ft, exposure_ft) * A_CAP;
            push(out, &size, "caps", nails, |n| n.edges(&run.edges));
        }
    }
}

fn push(
    out: &mut Needs,
    size: &Size,
    purpose: &'static str,
    nails: f64,
    of: impl FnOnce(Need) -> Need,
) {
    let need = Need::loose(item_of(size.inches), purpose, nails, nails);
    out.push(of(need.variant(size.text.as_str()).rules(RULES)));
}

/// A length of nail, as it is ordered.
struct Size {
    inches: f64,
    text: String,
}

/// The shortest length sold that goes through `stack_in` of roofing and far enough into the deck. Where none is long
/// enough, the length needed; where the job switches the rule off, none is said.
fn size(stack_in: f64, site: &Site<'_>, out: &mut Needs) -> Size {
    let settings = site.settings;
    if !settings.applies("nails-length") {
        return Size {
            inches: 0.0,
            text: String::new(),
        };
    }
    let needed_in = length_in(stack_in, settings);
    let sold = if settings.metric_packages {
        let mm = |l: f64| (l / MM_PER_IN, format!("{} mm", figure(l, 0)));
        LENGTHS_MM.map(mm).to_vec()
    } else {
        LENGTHS_IN
            .map(|(l, words)| (l, format!("{words} in")))
            .to_vec()
    };
    let longest = sold.last().cloned();
    let long_enough = sold.into_iter().find(|(l, _)| *l >= needed_in - 1e-9);
    if let Some((inches, text)) = long_enough {
        return Size { inches, text };
    }
    let needed = Words::new(settings.metric_packages).small_at_least(needed_in);
    out.findings.push(
        Finding::warning(
            "nails-too-short",
            format!(
                "Nails of {needed} are needed to go through the roofing and into the deck; the longest in the list is {}.",
                longest.map_or_else(String::new, |l| l.1)
            ),
        )
        .remedy("Tear off the old layers, or order nails of that length by name."),
    );
    Size {
        inches: needed_in,
        text: format!("{needed} or longer"),
    }
}

/// The length that a nail needs, in inches.
fn length_in(stack_in: f64, settings: &MaterialSettings) -> f64 {
    let deck = settings.deck_thickness_in;
    let into = if deck < INTO_DECK_IN {
        deck + THROUGH_DECK_IN
    } else {
        INTO_DECK_IN
    };
    stack_in + into + f64::from(settings.layers_kept()) * 2.0 * SHINGLE_IN
}
