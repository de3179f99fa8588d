//! Flashing along walls and round openings, at pitch changes, and pipe boots (rules `step-flashing`,
//! `headwall-flashing`, `kick-out`, `pitch-change`).

use std::sync::Arc;

use super::cricket;
use super::item::Item;
use super::need::{Need, Needs};
use super::options::{Counterflashing, SidewallFlashing};
use super::pieces;
use super::runs::Run;
use super::site::Site;
use crate::geometry::ring;
use crate::roof::{EdgeClass, FaceId, Flank, Flashing, Opening};
use crate::{Finding, Place};

/// A sidewall ends at an eave when their ends are nearer than this, in feet (an inch).
const AT_EAVE_FT: f64 = 1.0 / 12.0;

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    let sidewalls = site.runs(EdgeClass::Sidewall);
    let headwalls = site.runs(EdgeClass::Headwall);
    if site.settings.applies("step-flashing") {
        for run in &sidewalls {
            match site.settings.sidewall_flashing {
                SidewallFlashing::Step => step(site, run, out),
                SidewallFlashing::Continuous => out.push(
                    Need::run(Item::SidewallFlashing, "sidewalls", run.true_ft)
                        .edges(&run.edges)
                        .rules(&["step-flashing"]),
                ),
            }
        }
    }
    if site.settings.applies("headwall-flashing") {
        for run in &headwalls {
            out.push(
                Need::run(Item::Apron, "headwalls", run.true_ft)
                    .edges(&run.edges)
                    .rules(&["headwall-flashing"]),
            );
        }
    }
    let along = [("headwalls", &headwalls), ("sidewalls", &sidewalls)];
    let walls: Vec<Wall<'_>> = (along.into_iter())
        .flat_map(|(purpose, runs)| runs.iter().map(move |run| Wall::of(site, purpose, run)))
        .collect();
    if site.settings.applies("counterflashing")
        && site.settings.counterflashing == Counterflashing::ChimneysAndWalls
    {
        let is_bare = |wall: &&Wall<'_>| !wall.behind.is_some_and(|o| is_capped(site, o));
        for wall in walls.iter().filter(is_bare) {
            out.push(cap(wall.purpose, wall.run.true_ft).edges(&wall.run.edges));
        }
    }
    kick_outs(site, &sidewalls, out);
    pitch_changes(site, out);
    for opening in openings(site) {
        let is_behind = |wall: &&Wall<'_>| {
            wall.behind
                .is_some_and(|other| std::ptr::eq(other, opening))
        };
        let drawn: Vec<&Wall<'_>> = walls.iter().filter(is_behind).collect();
        round_opening(site, opening, &drawn, out);
    }
    out.findings.extend(skylights(site));
}

/// One note about all skylights, with the place of each: a roof may have dozens.
fn skylights(site: &Site<'_>) -> Option<Finding> {
    let skylights: Vec<&Opening> = openings(site)
        .filter(|opening| opening.is_skylight())
        .collect();
    let (message, remedy) = match skylights.len() {
        0 => return None,
        1 => (
            "A skylight is flashed with bent metal in the list; most come with a kit of their own."
                .to_owned(),
            "Take its apron, step and head flashing off the order where a kit comes with it.",
        ),
        count => {
            let by_face = on_faces(site, firsts(&skylights));
            (
                format!(
                    "{count} skylights ({by_face}) are flashed with bent metal in the list; most come with kits of their own."
                ),
                "Take their apron, step and head flashing off the order where kits come with them.",
            )
        }
    };
    let finding = Finding::note("skylight-flashing", message).remedy(remedy);
    let places = skylights.into_iter().map(place_of);
    Some(places.fold(finding, Finding::place))
}

/// The first face of every opening: one astride faces counts on that.
pub(super) fn firsts(openings: &[&Opening]) -> Vec<FaceId> {
    let firsts = openings.iter().filter_map(|o| o.faces.first());
    firsts.copied().collect()
}

/// How many of what stands on these faces stand on each, as the roof has its faces: `14 on N1, 7 on S1`.
pub(super) fn on_faces(site: &Site<'_>, all: Vec<FaceId>) -> String {
    let mut faces = all.clone();
    faces.sort_unstable();
    faces.dedup();
    let counted = faces.into_iter().map(|face| {
        let count = all.iter().filter(|f| **f == face).count();
        format!("{count} on {}", site.roof.face(face).name)
    });
    counted.collect::<Vec<_>>().join(", ")
}

/// Where an opening is.
pub(super) fn place_of(opening: &Opening) -> Place {
    let outline = Some(&opening.outline).filter(|outline| !outline.is_empty());
    Place {
        source: Some(Arc::clone(&opening.source)),
        at: outline.map(|outline| ring::centroid(outline)),
    }
}

/// The openings cut out of faces that take shingles.
pub(super) fn openings<'s>(site: &'s Site<'_>) -> impl Iterator<Item = &'s Opening> {
    site.roof
        .openings
        .iter()
        .filter(|o| o.faces.iter().any(|f| site.is_shingled(*f)))
}

/// Step flashing for a length up the slope: ⌈length ÷ exposure⌉ + 1.
fn steps(site: &Site<'_>, length_ft: f64) -> f64 {
    pieces::along(length_ft, site.courses.format.exposure_in / 12.0) + 1.0
}

fn step(site: &Site<'_>, run: &Run, out: &mut Needs) {
    let up_ft = up_the_slope_ft(site, run);
    let pieces = steps(site, up_ft);
    out.push(
        Need::loose(Item::StepFlashing, "sidewalls", pieces, pieces)
            .along(up_ft)
            .edges(&run.edges)
            .rules(&["step-flashing"]),
    );
}

/// How far up the slope a run goes: one that slants across its face meets fewer courses than it is long. On a level face,
/// which has no up, its length.
fn up_the_slope_ft(site: &Site<'_>, run: &Run) -> f64 {
    let [low, high] = run.ends;
    let plane = run.faces.first().map(|&f| site.roof.face(f).plane);
    let up_ft = plane.and_then(|plane| plane.length_to_rise(high.z - low.z));
    up_ft.map_or(run.true_ft, |up_ft| up_ft.min(run.true_ft))
}

/// One kick-out where the lower end of a sidewall meets the end of an eave of the same face.
fn kick_outs(site: &Site<'_>, sidewalls: &[Run], out: &mut Needs) {
    if !site.settings.applies("kick-out") {
        return;
    }
    for run in sidewalls {
        let foot = run.ends[0];
        let at_eave = site.roof.edges.iter().any(|e| {
            e.class == EdgeClass::Eave
                && e.faces.iter().any(|f| run.faces.contains(f))
                && (e.start.distance(foot) < AT_EAVE_FT || e.end.distance(foot) < AT_EAVE_FT)
        });
        if at_eave {
            out.push(
                Need::loose(Item::KickOut, "sidewalls that end at an eave", 1.0, 1.0)
                    .edges(&run.edges)
                    .rules(&["kick-out"]),
            );
        }
    }
}

fn pitch_changes(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.pitch_change_flashing || !site.settings.applies("pitch-change") {
        return;
    }
    for run in site.runs(EdgeClass::PitchChange) {
        out.push(
            Need::run(Item::PitchChangeFlashing, "pitch changes", run.true_ft)
                .edges(&run.edges)
                .rules(&["pitch-change"]),
        );
    }
}

/// Cap flashing along so many feet.
fn cap(purpose: &'static str, length_ft: f64) -> Need {
    Need::run(Item::Counterflashing, purpose, length_ft).rules(&["counterflashing"])
}

/// Whether cap flashing goes round an opening.
fn is_capped(site: &Site<'_>, opening: &Opening) -> bool {
    opening.is_chimney()
        && site.settings.counterflashing != Counterflashing::None
        && site.settings.applies("counterflashing")
}

/// A run along a wall of the roof's own.
struct Wall<'a> {
    purpose: &'static str,
    run: &'a Run,
    /// The opening that it lies along, where it is one side of a cricket that is drawn there.
    behind: Option<&'a Opening>,
}

impl<'a> Wall<'a> {
    fn of(site: &'a Site<'_>, purpose: &'static str, run: &'a Run) -> Self {
        let meets = |opening: &&Opening| {
            let mut ends = run.ends.iter();
            ends.all(|end| opening.is_met_at(end.plan()))
        };
        Self {
            purpose,
            run,
            behind: openings(site).find(meets),
        }
    }
}

/// Each stretch on each face is metal of its own: a chimney astride a ridge has an apron on both slopes. Where its
/// cricket is drawn, that cricket's walls are its upper side.
fn round_opening(site: &Site<'_>, opening: &Opening, drawn: &[&Wall<'_>], out: &mut Needs) {
    // A cricket has its own flanges up the chimney and under the shingles.
    let has_cricket = cricket::stands_above(site, opening) || !drawn.is_empty();
    let stretches = || {
        let shingled = |f: &&Flashing| f.length.to_feet() > 0.0 && site.is_shingled(f.face);
        opening.flashing.iter().filter(shingled)
    };
    for stretch in stretches() {
        let length = stretch.length.to_feet();
        let need = match stretch.flank {
            Flank::Below => {
                Need::run(Item::Apron, "openings", length).rules(&["headwall-flashing"])
            }
            Flank::Above if has_cricket => continue,
            Flank::Above => {
                Need::run(Item::HeadFlashing, "openings", length).rules(&["headwall-flashing"])
            }
            Flank::Beside => {
                // One a course, however the side is bent on its way up.
                let up = stretch.up.to_feet();
                let pieces = steps(site, up);
                Need::loose(Item::StepFlashing, "openings", pieces, pieces)
                    .along(up)
                    .rules(&["step-flashing"])
            }
        };
        if need.rules.iter().all(|rule| site.settings.applies(rule)) {
            out.push(need.faces(&[stretch.face]));
        }
    }
    if !is_capped(site, opening) {
        return;
    }
    let is_bare = |stretch: &&Flashing| stretch.flank != Flank::Above || drawn.is_empty();
    for stretch in stretches().filter(is_bare) {
        out.push(cap("chimneys", stretch.length.to_feet()).faces(&[stretch.face]));
    }
    for Wall { run, .. } in drawn {
        out.push(cap("chimneys", run.true_ft).edges(&run.edges));
    }
}
