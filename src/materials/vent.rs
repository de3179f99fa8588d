//! Ridge vents, and the net free area that an attic asks for against what ridges and eaves can hold (rule
//! `ventilation`).

use super::item::Item;
use super::need::{Need, Needs};
use super::options::VentRatio;
use super::order::unsigned;
use super::pieces::SHORT_FT;
use super::runs::Run;
use super::settings::MaterialSettings;
use super::site::Site;
use super::words::{Words, figure};
use crate::geometry::Point;
use crate::roof::{EdgeClass, EdgeId};
use crate::units::number;
use crate::{Finding, Place};

/// A ridge vent stops this short of each end of a ridge, in feet: common practice, no source.
pub const RIDGE_VENT_SHORT_FT: f64 = 1.0;
/// Net free area of a ridge vent, in square inches a foot: common practice, no source; the maker's figure wins.
pub const RIDGE_NFA_SQIN_PER_FT: f64 = 18.0;
/// Net free area of a vented soffit, in square inches a foot: common practice, no source.
pub const EAVE_NFA_SQIN_PER_FT: f64 = 9.0;
/// Where these figures come from.
pub const VENT_SOURCE: &str = "area asked for: IRC R806.2, read; what ridge vents and soffits have a foot: common practice, no source";
/// At 1/300 so much of the vents lies high, the rest at the eaves (R806.2).
const HIGH_PART: (f64, f64) = (0.4, 0.5);

/// What vents hold less than is asked for by so much is told, in square inches: eaves and ridges are read off the drawing.
const HAIR_SQIN: f64 = 0.01;

/// What the attic asks for and what the roof can hold, in square inches of net free area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ventilation {
    /// Floor of the attic in square feet.
    pub floor_sqft: f64,
    /// Whether the floor was given; otherwise it is the plan area of the roof, which is too much.
    pub floor_given: bool,
    /// Parts of floor to one of net free area: 150 or 300.
    pub parts: f64,
    /// What the code asks for.
    pub required_sqin: f64,
    /// What ridge vents on the ridges of shingled faces, less their ends, can hold: no vent is ordered for others.
    pub ridges_hold_sqin: f64,
    /// What vented soffits along all eaves can hold, whatever the faces above them are covered with: the floor is that beneath
    /// all of them.
    pub eaves_hold_sqin: f64,
    /// Ridges along no face that takes shingles, in feet: they are in no figure.
    pub ridges_left_out_ft: f64,
}

/// Whether ridges get a vent.
fn is_laid(settings: &MaterialSettings) -> bool {
    settings.ridge_vent && settings.applies("ventilation")
}

/// The vent on a ridge, less its ends, in feet; 0 on one too short for any.
fn length_ft(ridge: &Run) -> f64 {
    let length_ft = ridge.true_ft - 2.0 * RIDGE_VENT_SHORT_FT;
    if length_ft > SHORT_FT { length_ft } else { 0.0 }
}

/// Whether a ridge carries a vent.
pub(super) fn is_on(ridge: &Run, settings: &MaterialSettings) -> bool {
    is_laid(settings) && length_ft(ridge) > 0.0
}

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !is_laid(site.settings) {
        return;
    }
    for run in site.runs(EdgeClass::Ridge) {
        out.push(
            Need::run(Item::RidgeVent, "ridges less their ends", length_ft(&run))
                .edges(&run.edges)
                .rules(&["ventilation"]),
        );
    }
}

/// The sum for the whole roof, with findings where it does not come out.
pub(super) fn ventilation(site: &Site<'_>, out: &mut Needs) -> Option<Ventilation> {
    let settings = site.settings;
    if !settings.applies("ventilation") {
        return None;
    }
    let plan: f64 = site.roof.plan_area().to_square_feet();
    let floor = settings.attic_floor_sqft.unwrap_or(plan);
    let parts = settings.vent_ratio.parts();
    let all = |class| site.runs_of(class, |_| true);
    let eave_ft: f64 = all(EdgeClass::Eave).iter().map(|r| r.true_ft).sum();
    let (ridge_ft, left_out_ft) = if settings.ridge_vent {
        let takes_none = |id: EdgeId| {
            !site
                .roof
                .edge(id)
                .faces
                .iter()
                .any(|f| site.is_shingled(*f))
        };
        let bare = site.runs_of(EdgeClass::Ridge, takes_none);
        (
            site.runs(EdgeClass::Ridge).iter().map(length_ft).sum(),
            unsigned(bare.iter().map(|r| r.true_ft).sum()),
        )
    } else {
        (0.0, 0.0)
    };
    let sum = Ventilation {
        floor_sqft: floor,
        floor_given: settings.attic_floor_sqft.is_some(),
        parts,
        required_sqin: floor / parts * 144.0,
        ridges_hold_sqin: unsigned(ridge_ft * RIDGE_NFA_SQIN_PER_FT),
        eaves_hold_sqin: unsigned(eave_ft * EAVE_NFA_SQIN_PER_FT),
        ridges_left_out_ft: left_out_ft,
    };
    // Without the attic's floor the plan area is only an upper bound: too little to warn on.
    if sum.floor_given {
        let place = looked_at(site).map(Place::at);
        let told = tell(&sum, site.words).into_iter();
        out.findings.extend(told.map(|f| match &place {
            Some(place) => f.place(place.clone()),
            None => f,
        }));
    }
    Some(sum)
}

/// The one floor that a job gives for several roofs, against what the ridges and eaves of all of them can hold, with findings
/// where it does not come out. Of each roof by itself nothing is known then.
pub(super) fn together(
    each: &[Ventilation],
    settings: &MaterialSettings,
) -> Option<(Ventilation, Vec<Finding>)> {
    let floor_sqft = settings.attic_floor_sqft.filter(|_| !each.is_empty())?;
    let parts = settings.vent_ratio.parts();
    let sum = Ventilation {
        floor_sqft,
        floor_given: true,
        parts,
        required_sqin: floor_sqft / parts * 144.0,
        ridges_hold_sqin: each.iter().map(|v| v.ridges_hold_sqin).sum(),
        eaves_hold_sqin: each.iter().map(|v| v.eaves_hold_sqin).sum(),
        ridges_left_out_ft: each.iter().map(|v| v.ridges_left_out_ft).sum(),
    };
    let mut findings = tell(&sum, Words::new(settings.metric));
    findings.push(
        Finding::note(
            "attic-of-several",
            "The attic's floor is given once for several plans; it is held against what the vents of all of them can hold together. Whether each attic has enough is not known.",
        )
        .remedy("Take off each plan with the floor of its own attic to see whether its vents suffice."),
    );
    Some((sum, findings))
}

fn tell(sum: &Ventilation, words: Words) -> Vec<Finding> {
    let hold = sum.ridges_hold_sqin + sum.eaves_hold_sqin;
    let at_300 = sum.parts >= VentRatio::OneIn300.parts();
    let mut findings = Vec::new();
    let too_small = hold < sum.required_sqin - HAIR_SQIN;
    if too_small {
        findings.push(
            Finding::warning(
                "vents-too-small",
                format!(
                    "The attic asks for {} of net free area (1/{} of {}); ridges and eaves can hold {}.{}",
                    words.vent(sum.required_sqin),
                    sum.parts,
                    words.surface(sum.floor_sqft),
                    words.vent(hold),
                    left_out(sum, words)
                ),
            )
            .remedy(if at_300 {
                "Add vents."
            } else {
                "Add vents, or see whether 1/300 applies."
            }),
        );
    }
    let high = sum.ridges_hold_sqin.min(sum.required_sqin) / sum.required_sqin;
    let least_high_sqin = HIGH_PART.0 * sum.required_sqin;
    if at_300 && sum.ridges_hold_sqin < least_high_sqin - HAIR_SQIN {
        findings.push(
            Finding::warning(
                "vents-too-low",
                format!(
                    "1/300 asks for {} to {} % of the vents near the ridge; the ridges can hold {} %.{}",
                    figure(HIGH_PART.0 * 100.0, 0),
                    figure(HIGH_PART.1 * 100.0, 0),
                    figure(number::cut(high * 100.0, 1), 1),
                    // Said once where both are told.
                    if too_small { String::new() } else { left_out(sum, words) }
                ),
            )
            // 1/150 asks for twice as much.
            .remedy(if too_small {
                "Add vents within 3 ft below the ridge."
            } else {
                "Add vents within 3 ft below the ridge, or compute with 1/150."
            }),
        );
    }
    findings
}

/// What a sum leaves out of the ridges, as a sentence with a blank before it.
fn left_out(sum: &Ventilation, words: Words) -> String {
    if sum.ridges_left_out_ft <= SHORT_FT {
        return String::new();
    }
    format!(
        " {} of ridge along faces without shingles are not counted: no vent is ordered there.",
        words.run(sum.ridges_left_out_ft)
    )
}

/// Where vents are looked for first: the middle of the longest ridge that takes one, or of any; where there is none, the first
/// face.
fn looked_at(site: &Site<'_>) -> Option<Point> {
    let longest = |ridges: Vec<Run>| {
        let longest = ridges
            .iter()
            .max_by(|a, b| a.true_ft.total_cmp(&b.true_ft))?;
        Some(longest.ends[0].plan().midpoint(longest.ends[1].plan()))
    };
    longest(site.runs(EdgeClass::Ridge))
        .or_else(|| longest(site.runs_of(EdgeClass::Ridge, |_| true)))
        .or_else(|| site.roof.faces.first().map(|face| face.label_at))
}
