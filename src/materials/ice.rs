//! Ice barrier: rows of self-adhered sheet from the eave to 24 in inside the wall, over pitch changes too (rules
//! `ice-barrier` and `ice-barrier-steep`).

use super::across::{self, Laid, Reach};
use super::barrier::HAIR_FT;
use super::frame::FlatFace;
use super::item::Item;
use super::need::{Need, Needs};
use super::options::WallFace;
use super::pieces::{self, SHORT_FT};
use super::porch;
use super::rules::steep_ice_rule;
use super::settings::MaterialSettings;
use super::site::Site;
use crate::roof::{Face, FaceId, Hinge, is_below, near_limits};
use crate::units::{Length, Pitch, True};
use crate::{Finding, Place};

/// How far inside the wall the barrier reaches, measured level, in inches (R905.1.2).
const INSIDE_WALL_IN: f64 = 24.0;
/// The least reach up slopes of 8:12 and more, where the edition has it, in inches.
const STEEP_REACH_IN: f64 = 36.0;
/// From this slope on.
const STEEP_FROM: Pitch = Pitch::in_12(8.0);
/// The overhang taken where nobody said one, in inches.
const OVERHANG_ASSUMED_IN: f64 = 12.0;
/// The thickness of the wall taken where nobody said one, in inches.
const WALL_ASSUMED_IN: f64 = 6.0;

/// A face whose eaves carry ice barrier.
pub(super) struct Iced {
    pub(super) face: FaceId,
    /// Up to where it covers all of the face, in feet up the slope in the flat face; `None` where it leaves out some of
    /// what lies lower than its top.
    pub(super) top: Option<f64>,
}

/// The ice barrier of one face, as a crew lays it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IceReach {
    /// Index of the roof in the job.
    pub roof: usize,
    /// The face.
    pub face: FaceId,
    /// How far up the slope it must reach: from the eave's edge, or from the pitch change that it comes over.
    pub reach: Length<True>,
    /// Whether that is measured from an eave.
    pub from_eave: bool,
    /// Rows laid on this face one above the other, without one that runs on from the face below.
    pub rows: usize,
    /// Whether the last row of the face below ends on this one.
    pub runs_on_from_below: bool,
    /// Whether the reach goes on over a pitch change at its top.
    pub goes_on: bool,
    /// Whether it covers all of the face.
    pub is_whole: bool,
}

/// The reach of the barrier up the slope from the eave's edge, in inches of true length:
/// (overhang + wall + 24) × √(1 + m²), the wall counted when the inside face counts.
pub fn ice_reach_in(pitch: Pitch, overhang_in: f64, settings: &MaterialSettings) -> f64 {
    reach_of(pitch, 0.0, overhang_in, settings)
}

fn reach_of(pitch: Pitch, half_step: f64, overhang_in: f64, settings: &MaterialSettings) -> f64 {
    let level_in = level_in(overhang_in, settings);
    (level_in * pitch.slope_factor()).max(least_in(pitch, half_step, settings))
}

/// The reach measured level, in inches.
fn level_in(overhang_in: f64, settings: &MaterialSettings) -> f64 {
    let wall_in = match settings.wall_face {
        WallFace::Inside => settings.wall_thickness_in.unwrap_or(WALL_ASSUMED_IN),
        WallFace::Outside => 0.0,
    };
    overhang_in + wall_in + INSIDE_WALL_IN
}

fn has_steep_rule(settings: &MaterialSettings) -> bool {
    steep_ice_rule(settings.edition) && settings.applies("ice-barrier-steep")
}

/// The least reach up the slope from an eave, in inches.
fn least_in(pitch: Pitch, half_step: f64, settings: &MaterialSettings) -> f64 {
    let steep = !is_below(pitch, half_step, STEEP_FROM) && has_steep_rule(settings);
    if steep { STEEP_REACH_IN } else { 0.0 }
}

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) -> Vec<Iced> {
    let settings = site.settings;
    if !settings.applies("ice-barrier") || settings.leaves_sheets_out() {
        return Vec::new();
    }
    match settings.ice_barrier {
        Some(true) => {}
        Some(false) => return Vec::new(),
        None => {
            out.findings.push(
                Finding::note(
                    "ice-barrier-not-said",
                    "Nobody said whether the code's table asks for an ice barrier here; none is listed at the eaves.",
                )
                .remedy("Say `ice_barrier = true` or `false` under [site] in the job file."),
            );
            return Vec::new();
        }
    }
    let overhang_in = settings.eave_overhang_in.unwrap_or_else(|| {
        out.findings.push(
            Finding::warning(
                "overhang-assumed",
                format!(
                    "Nobody said how far the eaves reach beyond the wall; the ice barrier is computed with {}.",
                    site.words.small(OVERHANG_ASSUMED_IN)
                ),
            )
            .remedy("Say `eave_overhang` under [plan] in the job file."),
        );
        OVERHANG_ASSUMED_IN
    });
    if settings.wall_face == WallFace::Inside && settings.wall_thickness_in.is_none() {
        out.findings.push(
            Finding::note(
                "wall-assumed",
                format!(
                    "Nobody said how thick the outer walls are; the ice barrier is computed with {}.",
                    site.words.small(WALL_ASSUMED_IN)
                ),
            )
            .remedy("Say `wall_thickness` under [site] in the job file."),
        );
    }
    let Some(sheet) = settings.catalog.sheet(Item::SelfAdhered.key()) else {
        return Vec::new();
    };
    let full = |face: &Face| Reach {
        level_ft: level_in(overhang_in, settings) / 12.0,
        least_ft: least_in(face.pitch, face.pitch_half_step, settings) / 12.0,
    };
    let faces = site.roof.faces.iter();
    let flats: Vec<Option<FlatFace>> = faces.map(|f| FlatFace::of(site.roof, f)).collect();
    out.findings
        .extend(porch::told(site, &flats, overhang_in, INSIDE_WALL_IN));
    let laid = across::lay(site, &flats, full, sheet);
    let iced: Vec<Iced> = laid
        .into_iter()
        .filter_map(|laid| {
            let flat = flats[laid.face.0].as_ref()?;
            Some(iced(&laid, flat.highest, site, out))
        })
        .collect();
    let level_in = level_in(overhang_in, settings);
    let short: Vec<&Face> = (iced.iter().map(|iced| site.roof.face(iced.face)))
        .filter(|face| level_in * face.pitch.slope_factor() < STEEP_REACH_IN)
        .collect();
    if has_steep_rule(settings) {
        out.findings.extend(near_limits(&short, &[hinge(site)]));
    }
    iced
}

/// What the barrier of one face takes, and what is told of it. `highest` is the top of the flat face.
fn iced(laid: &Laid<'_>, highest: f64, site: &Site<'_>, out: &mut Needs) -> Iced {
    let (id, barrier) = (laid.face, &laid.barrier);
    let face = site.roof.face(id);
    let mut net = barrier.net_sqft;
    // Where the last row of the face below covers all that is wanted, no row is laid here.
    let none = [0.0];
    let rows_ft = match barrier.rows_ft.as_slice() {
        [] => &none,
        rows => rows,
    };
    for length_ft in rows_ft {
        out.needs.push(
            Need::row(Item::SelfAdhered, "eaves", net, *length_ft)
                .faces(&[id])
                .rules(&["ice-barrier", "ice-barrier-steep"]),
        );
        net = 0.0;
    }
    let top = barrier.top();
    out.ice.push(IceReach {
        roof: 0,
        face: id,
        reach: Length::feet(laid.foot.reach),
        from_eave: laid.foot.is_eave,
        rows: barrier.most_rows(),
        runs_on_from_below: barrier.has_rows_from_below(),
        goes_on: laid.goes_on,
        is_whole: top.is_some_and(|top| top > highest - SHORT_FT),
    });
    if top.is_none() {
        out.findings.push(
            Finding::note(
                "eaves-at-two-heights",
                format!(
                    "The ice barrier lies over a part of the foot of face {} alone, or up to several heights: its underlayment is counted over the whole face, under the ice barrier too.",
                    face.name
                ),
            )
            .remedy("Take the ice barrier's area off the underlayment where the crew stops it at the barrier.")
            .place(Place::at(face.label_at)),
        );
    }
    Iced { face: id, top }
}

/// What hangs on the slope from which the barrier has a least reach.
fn hinge(site: &Site<'_>) -> Hinge {
    let least = format!("at least {} up the slope", site.words.small(STEEP_REACH_IN));
    let by_wall = "only as far as the wall asks for";
    let said =
        |taken: &str, other: &str| format!("ice barrier {taken} instead of {other} (IRC R905.1.2)");
    Hinge {
        at: STEEP_FROM,
        below: said(by_wall, &least),
        above: said(&least, by_wall),
    }
}

/// Rows for a reach: ⌈(reach − lap) ÷ (width − lap)⌉, at least one. The code's least reach is held to a hair.
pub(super) fn rows(reach: f64, width: f64, lap: f64) -> f64 {
    pieces::whole(reach - lap, width - lap, HAIR_FT).max(1.0)
}

#[cfg(test)]
mod tests {
    use super::rows;

    #[test]
    fn one_more_row_is_laid_as_soon_as_the_barrier_falls_short() {
        // 36 in sheet lapping 3.5 in: 36, 68.5 and 101 in with one, two and three rows.
        let of = |reach_in: f64| rows(reach_in / 12.0, 3.0, 3.5 / 12.0);
        assert_eq!([36.0, 36.1, 68.5, 68.6].map(of), [1.0, 2.0, 2.0, 3.0]);
        assert_eq!(of(2.0), 1.0);
    }
}
