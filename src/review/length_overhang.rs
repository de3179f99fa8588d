//! An overhang that nobody gave and that stated lengths show: measured to the walls, each class of edges loses its own part.

use std::collections::BTreeSet;

use super::alternatives::{EXACT, OVERHANGS_FT};
use super::class_lengths::ClassLengths;
use super::compare::{AreaCheck, Verdict};
use super::evidence::AGREE;
use super::length_check::LengthCheck;
use super::length_evidence::is_near;
use super::settings::Overhang;
use super::walls;
use crate::roof::Roof;

/// An overhang with which lengths may have been measured to the walls.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct Tried {
    pub(super) overhang: Overhang,
    pub(super) from: KnownFrom,
}

/// Whence an overhang is known.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum KnownFrom {
    /// The job gives it.
    Job,
    /// It was chosen so that it fits one figure, and others that it would change otherwise are as it would have them; or it
    /// explains an area and is no guess there.
    Shown,
    /// It was chosen so that it fits, and all that it fits are in one proportion, as a scale would have them too.
    Guess,
}

/// Overhangs that are tried: what a job says gives two, and each area may have been explained by another.
const MOST_OVERHANGS: usize = 4;
/// Figures to which an overhang is fitted: a list states each class once or twice.
const MOST_FITTED: usize = 12;

/// The overhangs to try: those of the job and those that explain an area and are no guess there; where there are none, one that
/// lengths show.
pub(super) fn tried(
    roof: &Roof,
    ours: &ClassLengths,
    lengths: &[LengthCheck],
    areas: &[AreaCheck],
    of_job: &[Overhang],
) -> Vec<Tried> {
    let known = |overhang: &Overhang| Tried {
        overhang: *overhang,
        from: KnownFrom::Job,
    };
    let mut all: Vec<Tried> = of_job.iter().map(known).collect();
    let explanations = areas.iter().flat_map(|a| &a.explanations);
    let of_areas = explanations.filter(|e| !e.is_guess());
    for overhang in of_areas.filter_map(|e| e.cause.overhang()) {
        let is_told = all.iter().any(|t| t.overhang == overhang);
        if !is_told && all.len() < MOST_OVERHANGS {
            all.push(Tried {
                overhang,
                from: KnownFrom::Shown,
            });
        }
    }
    if all.is_empty() {
        all.extend(chosen(roof, ours, lengths));
    }
    all
}

/// The overhang, equal all round, that lengths of two classes or more show as exactly as they are written, and none contradicts.
fn chosen(roof: &Roof, ours: &ClassLengths, lengths: &[LengthCheck]) -> Option<Tried> {
    let mut seen = BTreeSet::new();
    let whole = |l: &&LengthCheck| l.computed_ft > 0.0 && l.verdict != Verdict::NothingCompared;
    let once = |l: &&LengthCheck| seen.insert((l.class, l.whole_ft().0.to_bits()));
    let lengths: Vec<&LengthCheck> = lengths.iter().filter(whole).filter(once).collect();
    let inside = |l: &LengthCheck, reach_ft: f64| {
        walls::length(roof, l.class, l.surface, all_round(reach_ft))
    };
    let (least, most) = OVERHANGS_FT;
    // Every edge gets shorter in proportion to the overhang, as long as none vanishes.
    let reach = |l: &&LengthCheck| {
        let whole_ft = ours.feet(l.class, l.surface);
        let lost_per_ft = (whole_ft - inside(l, least)?) / least;
        let reach_ft = (whole_ft - l.stated_ft) / lost_per_ft;
        // The least may have been rounded to less.
        let rounded_ft = (l.half_step_ft + EXACT * l.stated_ft) / lost_per_ft;
        let usual_ft = reach_ft.clamp(least, most);
        let is_usual = lost_per_ft > 0.0 && (usual_ft - reach_ft).abs() <= rounded_ft;
        is_usual.then_some((l.half_step_ft / l.computed_ft, usual_ft))
    };
    let differing = lengths.iter().filter(|l| l.verdict == Verdict::Differs);
    let mut reaches: Vec<(f64, f64)> = differing.take(MOST_FITTED).filter_map(reach).collect();
    // The figure that is written most exactly gives the overhang.
    reaches.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    reaches.into_iter().find_map(|(_, reach_ft)| {
        let mut classes = BTreeSet::new();
        let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
        for l in &lengths {
            let feet = inside(l, reach_ft)?;
            let part = feet / l.computed_ft;
            let moves = (part - 1.0).abs() > 2.0 * AGREE;
            if moves && !is_near(l, feet) {
                return None;
            }
            if l.verdict == Verdict::Differs && is_exactly(l, feet) {
                classes.insert(l.class);
                (low, high) = (low.min(part), high.max(part));
            }
        }
        let from = match high > low * (1.0 + 2.0 * AGREE) {
            true => KnownFrom::Shown,
            false => KnownFrom::Guess,
        };
        let overhang = all_round(reach_ft);
        (classes.len() > 1).then_some(Tried { overhang, from })
    })
}

const fn all_round(reach_ft: f64) -> Overhang {
    Overhang {
        eave_ft: reach_ft,
        rake_ft: reach_ft,
    }
}

/// Whether a length is another one as exactly as it is written.
pub(super) fn is_exactly(check: &LengthCheck, feet: f64) -> bool {
    (check.stated_ft - feet).abs() <= check.half_step_ft + EXACT * feet
}
