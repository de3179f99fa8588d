//! Underlayment, laid in rows over each face (rules `underlayment`, `underlayment-low-slope`,
//! `underlayment-overlaps`).

use super::MaterialList;
use super::frame::{Bound, FlatFace};
use super::ice::Iced;
use super::item::Item;
use super::need::{Need, Needs};
use super::options::UnderlaymentKind;
use super::pieces::SHORT_FT;
use super::site::Site;
use super::valley;
use crate::roof::{EdgeClass, FaceId};
use crate::units::{Length, True};

/// Felt runs on past hips and ridges by this, in feet (Navy manual 14044 and guide specification, read).
const PAST_HIP_FT: f64 = 0.5;
/// Under valley metal it runs on past the valley's centre by as much, in feet: common practice, no source.
const PAST_VALLEY_FT: f64 = 0.5;
/// Felt goes up walls by this, in feet (Navy guide specification, read).
const UP_WALL_FT: f64 = 4.0 / 12.0;
/// In double coverage each sheet laps the one below by half its width and this, in feet: 19 in of 36.
const DOUBLE_LAP_OVER_HALF_FT: f64 = 1.0 / 12.0;

/// Cap nails to a square foot of face: a box of 2,000 on 20 squares; common practice, no source.
const CAP_NAILS_PER_SQFT: f64 = 1.0;

/// The rule that rows run on past what bounds their face.
const OVERLAPS: &str = "underlayment-overlaps";

/// How far the underlayment of both faces runs on past a valley's centre under its metal: `None` where the job has the rule off
/// that asks for it.
pub(crate) fn past_valley(list: &MaterialList) -> Option<Length<True>> {
    let is_off = list.rules_off.iter().any(|rule| rule == OVERLAPS);
    (!is_off).then(|| Length::feet(PAST_VALLEY_FT))
}

/// A face that is laid double.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoubleUnderlayment {
    /// Index of the roof in the job.
    pub roof: usize,
    /// The face.
    pub face: FaceId,
    /// By how much each sheet laps the one below, up the slope; the strip at the foot is as wide.
    pub lap: Length<True>,
}

/// The catalog's name of the sheet chosen.
pub(super) const fn product_name(kind: UnderlaymentKind) -> &'static str {
    match kind {
        UnderlaymentKind::Felt15 => "underlayment_felt_15",
        UnderlaymentKind::Felt30 => "underlayment_felt_30",
        UnderlaymentKind::Synthetic => "underlayment_synthetic",
    }
}

/// Whether a product of the catalog is a sheet for underlayment.
pub(super) fn is_sheet(product: &str) -> bool {
    [
        UnderlaymentKind::Felt15,
        UnderlaymentKind::Felt30,
        UnderlaymentKind::Synthetic,
    ]
    .into_iter()
    .any(|kind| product_name(kind) == product)
}

/// How far a sheet of a width laps the one below in double coverage, in feet.
pub(super) fn double_lap_ft(width_ft: f64) -> f64 {
    width_ft / 2.0 + DOUBLE_LAP_OVER_HALF_FT
}

pub(super) fn needs(site: &Site<'_>, iced: &[Iced], out: &mut Needs) {
    let settings = site.settings;
    if !settings.applies("underlayment") || settings.leaves_sheets_out() {
        return;
    }
    let Some((width, lap)) = settings.catalog.sheet(product_name(settings.underlayment)) else {
        return;
    };
    let past = |bound| past(site, bound);
    for (id, face) in site.faces() {
        let Some(flat) = FlatFace::of(site.roof, face) else {
            continue;
        };
        let double = site.courses.choices.limits.doubles_underlayment(face);
        // Where ice barrier covers the foot of the face, the underlayment laps its top edge.
        let ice_top = iced.iter().find(|i| i.face == id).and_then(|i| i.top);
        let start = ice_top.map_or(flat.lowest, |top| top - lap);
        let bare = ice_top.unwrap_or(flat.lowest);
        let mut net = flat.area(bare, flat.highest);
        if bare > flat.highest - SHORT_FT || net < NOTHING_SQFT {
            // Ice barrier lies up to the top.
            continue;
        }
        let purpose = if double {
            "faces under 4:12, double"
        } else {
            "faces"
        };
        let rules: &[&str] = if double {
            &["underlayment-low-slope", OVERLAPS]
        } else {
            &["underlayment", OVERLAPS]
        };
        if double {
            out.double.push(DoubleUnderlayment {
                roof: 0,
                face: id,
                lap: Length::feet(double_lap_ft(width)),
            });
        }
        let nails = net * CAP_NAILS_PER_SQFT;
        out.push(
            Need::loose(Item::CapNails, purpose, nails, nails)
                .faces(&[id])
                .rules(rules),
        );
        for length_ft in rows(&flat, (start, bare), (width, lap), double, &past) {
            out.needs.push(
                Need::row(Item::Underlayment, purpose, net, length_ft)
                    .variant(settings.underlayment.key())
                    .faces(&[id])
                    .rules(rules),
            );
            net = 0.0;
        }
    }
}

/// The lengths of the rows on a face, from the bottom up, in feet. They begin at `start`, and nothing lies on the deck yet
/// from `bare` on, which is higher where the first row laps ice barrier.
fn rows(
    flat: &FlatFace,
    (start, bare): (f64, f64),
    (width, lap): (f64, f64),
    double: bool,
    past: &dyn Fn(Bound) -> f64,
) -> Vec<f64> {
    let lap = if double { double_lap_ft(width) } else { lap };
    let top = flat.highest + past_top(flat, past);
    let mut lengths = Vec::new();
    let mut add = |from: f64, to: f64| {
        // Above the face's own top the row is as long as the top edge.
        let from = from.min(flat.highest - HAIR_FT).max(flat.lowest);
        for stretch in flat.stretches(from, to.min(flat.highest)) {
            lengths.push(flat.sheet_length(&stretch, past));
        }
    };
    if double && bare < top - SHORT_FT {
        // The starter strip uses up a whole width: what is left of it is too narrow for another.
        add(start, start + lap);
    }
    let mut row = 0_u32;
    loop {
        let from = start + f64::from(row) * (width - lap);
        // As far as the row before the last one reaches, or the starter strip, two layers lie: 38 in up the slope for the
        // third row of sheet 36 in wide.
        let twice = from + 2.0 * lap - width;
        let covered = match row {
            0 => bare,
            // No further row where all of the face itself has two layers.
            _ if double && twice < flat.highest - SHORT_FT => twice,
            _ => from + lap,
        };
        if covered > top - SHORT_FT {
            break;
        }
        add(from, from + width);
        row += 1;
    }
    lengths
}

/// A surface too small to matter, in square feet.
const NOTHING_SQFT: f64 = 1e-6;

/// A strip too thin to matter, in feet.
const HAIR_FT: f64 = 1e-4;

/// How far the sheet goes on past the top of the face.
fn past_top(flat: &FlatFace, past: &dyn Fn(Bound) -> f64) -> f64 {
    flat.sides
        .iter()
        .filter(|s| s.high.1 - s.low.1 < HAIR_FT && flat.highest - s.high.1 < HAIR_FT)
        .map(|s| past(s.bound))
        .fold(0.0, f64::max)
}

/// How far a sheet goes on past what bounds a face, in feet.
fn past(site: &Site<'_>, bound: Bound) -> f64 {
    if !site.settings.applies(OVERLAPS) {
        return 0.0;
    }
    match bound {
        Bound::Edge(EdgeClass::Hip | EdgeClass::Ridge) => PAST_HIP_FT,
        Bound::Edge(EdgeClass::Valley) if valley::is_of_metal(site) => PAST_VALLEY_FT,
        Bound::Edge(EdgeClass::Headwall | EdgeClass::Sidewall) | Bound::Opening => UP_WALL_FT,
        Bound::Edge(_) => 0.0,
    }
}
