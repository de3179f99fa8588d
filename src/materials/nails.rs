//! Nails: for every piece laid, for the starter and for the caps, by the length that each needs (rules
//! `nails-length`, `nails-number`, `steep-fastening`).

use super::item::Item;
use super::need::{Need, Needs};
use super::options::Wind;
use super::rules::steep_above_in_12;
use super::settings::MaterialSettings;
use super::site::Site;
use super::tally::up;
use super::{caps, starter};
use crate::Finding;
use crate::Place;
use crate::roof::{EdgeClass, Face};

/// A strip shingle takes no fewer (R905.2.6).
const LEAST_A_STRIP: u32 = 4;
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
const LENGTHS_IN: [f64; 6] = [1.25, 1.5, 1.75, 2.0, 2.5, 3.0];
const LENGTHS_MM: [f64; 7] = [30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 75.0];

/// Nailers take nails up to this length, in inches: common practice, no source.
const NAILER_UP_TO_IN: f64 = 1.8;

const RULES: &[&str] = &["nails-length", "nails-number", "steep-fastening"];

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("nails-number") {
        return;
    }
    let field = size(2.0 * SHINGLE_IN, site.settings);
    for layout in site.layouts() {
        let face = site.roof.face(layout.face);
        let nails = layout.pieces_laid as f64 * f64::from(a_piece(site, face, out));
        push(out, &field, "pieces laid", nails, |n| {
            n.faces(&[layout.face])
        });
    }
    starters(site, &field, out);
    cap_nails(site, out);
}

/// Nails in one piece on a face.
fn a_piece(site: &Site<'_>, face: &Face, out: &mut Needs) -> u32 {
    let format = &site.courses.format;
    let limit = steep_above_in_12(site.settings.edition);
    let steep = site.settings.applies("steep-fastening") && face.pitch.to_in_12() > limit;
    if steep {
        out.findings.push(
            Finding::warning(
                "steep-fastening",
                format!(
                    "Face {} is {:.1}:12, over {limit}:12: the maker's instructions for steep slopes apply.",
                    face.name,
                    face.pitch.to_in_12()
                ),
            )
            .remedy("Look up the maker's fastening; the list takes the high-wind number of nails there.")
            .place(Place::at(face.label_at)),
        );
    }
    let nails = if steep || site.settings.wind == Wind::High {
        format.nails_per_piece_high_wind
    } else {
        format.nails_per_piece
    };
    nails.max(LEAST_A_STRIP)
}

fn starters(site: &Site<'_>, size: &Size, out: &mut Needs) {
    let product = site.settings.catalog.product(Item::Starter.key());
    let Some(piece) = product.and_then(|p| p.length) else {
        return;
    };
    if !site.settings.applies("starter") {
        return;
    }
    for (class, _) in starter::places(site) {
        for run in site.runs(class) {
            let nails = up(run.true_ft / piece.to_feet()) * A_STARTER;
            push(out, size, "starter", nails, |n| n.edges(&run.edges));
        }
    }
}

fn cap_nails(site: &Site<'_>, out: &mut Needs) {
    let Some(exposure_ft) = caps::exposure_ft(site) else {
        return;
    };
    for class in [EdgeClass::Ridge, EdgeClass::Hip] {
        let vented = class == EdgeClass::Ridge && site.settings.ridge_vent;
        let vent = if vented { RIDGE_VENT_IN } else { 0.0 };
        let size = size(4.0 * SHINGLE_IN + vent, site.settings);
        for run in site.runs(class) {
            let nails = up(run.true_ft / exposure_ft) * A_CAP;
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
    let item = if size.inches > NAILER_UP_TO_IN {
        Item::NailsLong
    } else {
        Item::Nails
    };
    let need = Need::loose(item, purpose, nails, nails);
    out.push(of(need.variant(size.text.as_str()).rules(RULES)));
}

/// A length of nail that is sold.
struct Size {
    inches: f64,
    text: String,
}

/// The shortest length sold that goes through `stack_in` of roofing and far enough into the deck.
fn size(stack_in: f64, settings: &MaterialSettings) -> Size {
    let need_in = length_in(stack_in, settings);
    if settings.metric {
        let mm = shortest(&LENGTHS_MM, need_in * 25.4);
        Size {
            inches: mm / 25.4,
            text: format!("{mm} mm"),
        }
    } else {
        let inches = shortest(&LENGTHS_IN, need_in);
        Size {
            inches,
            text: inches_text(inches),
        }
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
    let old_layers = if settings.tear_off {
        0
    } else {
        settings.existing_layers.unwrap_or(0)
    };
    stack_in + into + f64::from(old_layers) * 2.0 * SHINGLE_IN
}

fn shortest(sold: &[f64], need: f64) -> f64 {
    sold.iter()
        .copied()
        .find(|l| *l >= need - 1e-9)
        .unwrap_or_else(|| sold.last().copied().unwrap_or(need).max(need))
}

/// `1 1/4 in`.
fn inches_text(inches: f64) -> String {
    let whole = inches.trunc();
    let quarters = ((inches - whole) * 4.0).round();
    match quarters as i32 {
        1 => format!("{whole} 1/4 in"),
        2 => format!("{whole} 1/2 in"),
        3 => format!("{whole} 3/4 in"),
        _ => format!("{inches} in"),
    }
}
