//! What the other stated figures say about the causes of a length: a scale and an overhang move more than one of them.

use std::collections::BTreeSet;

use super::alternatives::{EXACT, Figures};
use super::cause::{Cause, SLIPS, Slip};
use super::class_lengths::ClassLengths;
use super::compare::{AreaCheck, Bearing, Verdict};
use super::counting;
use super::evidence::AGREE;
use super::length_causes::{LengthCause, LengthExplanation, NEAR, alternatives, by, is_met};
use super::length_check::LengthCheck;
use super::length_overhang::{KnownFrom, Tried, is_exactly};
use super::stated::{Subject, SurfaceSaid};
use super::walls;
use crate::roof::{EdgeClass, Roof};

/// A figure rounded further may show an overhang as well as a scale: an inch of overhang takes as much from the eaves of a house.
const FINE: f64 = 0.0025;

/// What each class of edges would come to by each slip, worked out once.
pub(super) struct Classes {
    overhangs: Vec<Tried>,
    /// By class, in their order, and for each on the slope and in plan.
    all: Vec<[OfClass; 2]>,
}

#[derive(Default)]
struct OfClass {
    alternatives: Vec<LengthExplanation>,
    /// For each overhang, in feet.
    inside_ft: Vec<Option<f64>>,
}

const fn place_of(surface: SurfaceSaid) -> usize {
    match surface {
        SurfaceSaid::True => 0,
        SurfaceSaid::Plan => 1,
    }
}

impl Classes {
    pub(super) fn new(roof: &Roof, ours: &ClassLengths, overhangs: &[Tried]) -> Self {
        let all = EdgeClass::ALL.into_iter().map(|class| {
            [SurfaceSaid::True, SurfaceSaid::Plan].map(|surface| {
                let whole = ours.feet(class, surface);
                if whole <= 0.0 {
                    return OfClass::default();
                }
                let inside = overhangs
                    .iter()
                    .map(|tried| walls::length(roof, class, surface, tried.overhang));
                let inside_ft: Vec<Option<f64>> = inside.collect();
                let by_walls = overhangs
                    .iter()
                    .zip(&inside_ft)
                    .filter_map(|(tried, feet)| {
                        let feet = feet.filter(|feet| (feet / whole - 1.0).abs() > NEAR)?;
                        Some(by(tried.cause(), feet))
                    });
                let mut all = alternatives(roof, ours, class, surface);
                for e in by_walls {
                    let is_told = |told: &LengthExplanation| {
                        told.cause.overhang().is_some() && (told.feet / e.feet - 1.0).abs() < NEAR
                    };
                    if !all.iter().any(is_told) {
                        all.push(e);
                    }
                }
                OfClass {
                    alternatives: all,
                    inside_ft,
                }
            })
        });
        Self {
            all: all.collect(),
            overhangs: overhangs.to_vec(),
        }
    }

    fn of(&self, class: EdgeClass, surface: SurfaceSaid) -> Option<&OfClass> {
        let at = EdgeClass::ALL.iter().position(|c| *c == class)?;
        self.all.get(at).map(|both| &both[place_of(surface)])
    }

    pub(super) fn alternatives(
        &self,
        class: EdgeClass,
        surface: SurfaceSaid,
    ) -> &[LengthExplanation] {
        self.of(class, surface)
            .map_or(&[], |of| of.alternatives.as_slice())
    }

    fn inside_ft(&self, check: &LengthCheck, overhang: usize) -> Option<f64> {
        let of = self.of(check.class, check.surface)?;
        of.inside_ft.get(overhang).copied().flatten()
    }
}

impl Tried {
    const fn cause(&self) -> LengthCause {
        match self.from {
            KnownFrom::Job => LengthCause::OverhangLeftOut(self.overhang),
            KnownFrom::Shown | KnownFrom::Guess => LengthCause::OverhangChosen(self.overhang),
        }
    }
}

/// How many stated figures are as a slip would have them, and how many are not.
#[derive(Clone, Copy, Default)]
struct Said {
    showing: usize,
    denying: usize,
    /// Of those that show it, how many only come near, beyond what they are rounded by.
    nearly: usize,
    /// Of those that show it, how many are written as exactly as to tell it from an overhang.
    finely: usize,
}

impl Said {
    fn count(&mut self, verdict: Verdict, shows: bool, would_not_agree: bool) {
        self.showing += usize::from(verdict == Verdict::Differs && shows);
        self.denying += usize::from(verdict == Verdict::Agrees && would_not_agree);
    }
}

/// What all stated figures say about the slips that move more than one of them.
pub(super) struct Others {
    scales: [Said; SLIPS.len()],
    overhangs: Vec<Said>,
    /// How all edges were counted, where the total of the same list was counted so.
    pub(super) counted: Option<LengthCause>,
    /// The faces that the total of the same list leaves out.
    pub(super) left_out: Option<Cause>,
    /// Whether all lengths that differ, of two classes or more, may be those of some edges only, and no area shows a scale.
    of_some_edges: bool,
    /// The part of its size to which a page shrank, as stated areas show with these lengths, and whether that is decided.
    page: Option<(f64, bool)>,
    /// An overhang left out, by its place among those tried, and a scale besides, that together give all lengths that differ, and whether an area shows that.
    walls_at_scale: Option<(usize, Slip, bool)>,
}

impl Others {
    pub(super) fn new(
        roof: &Roof,
        ours: &ClassLengths,
        lengths: &[LengthCheck],
        areas: &[AreaCheck],
        classes: &Classes,
    ) -> Self {
        let mut all = Self {
            scales: [Said::default(); SLIPS.len()],
            overhangs: vec![Said::default(); classes.overhangs.len()],
            counted: None,
            left_out: None,
            of_some_edges: false,
            page: None,
            walls_at_scale: None,
        };
        // One figure written twice is one: a line for each of two eaves bears nothing out.
        let mut seen = BTreeSet::new();
        let mut once = |l: &LengthCheck| seen.insert((l.class, l.whole_ft().0.to_bits()));
        for check in lengths.iter().filter(|l| l.computed_ft > 0.0 && once(l)) {
            all.add_length(check, ours, classes);
        }
        // What the drawing states of areas may be another's.
        for check in areas.iter().filter(|a| a.line.is_some()) {
            all.add_area(check, classes);
        }
        all.add_total(roof, areas, classes);
        let of_list = || areas.iter().filter(|a| a.line.is_some());
        let differing: Vec<&LengthCheck> = lengths
            .iter()
            .filter(|l| l.computed_ft > 0.0 && l.verdict == Verdict::Differs)
            .collect();
        all.of_some_edges = all.counted.is_none()
            && are_of_some_edges(&differing, classes)
            && !of_list().any(shows_scale);
        all.page = of_list().find_map(page_in);
        all.walls_at_scale = walls_at_scale(&differing, of_list(), classes);
        all
    }

    /// What stated areas show of a page that shrank, or of an overhang left out at another scale, where a length is that.
    pub(super) fn at_scale(
        &self,
        check: &LengthCheck,
        causes: &[LengthExplanation],
        classes: &Classes,
    ) -> Vec<LengthExplanation> {
        let with = |cause, feet, is_shown: bool| LengthExplanation {
            bearing: if is_shown {
                Bearing::For
            } else {
                Bearing::Silent
            },
            ..by(cause, feet)
        };
        // Beside a scale that lengths show it is shown by the same lengths.
        let is_scale = |e: &LengthExplanation| {
            matches!(e.cause, LengthCause::Scale(_)) && e.bearing == Bearing::For
        };
        let beside = causes.iter().any(is_scale);
        let page = self.page.and_then(|(factor, is_decided)| {
            let feet = check.computed_ft * factor;
            // The factor may have been worked out from the area, or from another length.
            let off = (check.stated_ft - feet).abs();
            let is_it = off <= check.half_step_ft + 2.0 * EXACT * feet;
            is_it.then(|| {
                with(
                    LengthCause::FitToPage { factor },
                    feet,
                    is_decided || beside,
                )
            })
        });
        let walls = self.walls_at_scale.and_then(|(at, slip, is_shown)| {
            let overhang = classes.overhangs.get(at)?.overhang;
            let feet = classes.inside_ft(check, at)? * slip.factor;
            let cause = LengthCause::WallsAtScale(overhang, slip);
            Some(with(cause, feet, is_shown || beside))
        });
        page.into_iter().chain(walls).collect()
    }

    fn add_length(&mut self, check: &LengthCheck, ours: &ClassLengths, classes: &Classes) {
        let other_ft = ours.feet(check.class, other(check.surface));
        for (said, slip) in self.scales.iter_mut().zip(SLIPS) {
            let feet = check.computed_ft * slip.factor;
            let is_there = is_near(check, feet);
            said.denying += usize::from(check.verdict == Verdict::Agrees && !is_there);
            if check.verdict != Verdict::Differs {
                continue;
            }
            if is_met(check, feet) {
                said.showing += 1;
                said.nearly += usize::from(!is_exactly(check, feet));
                said.finely += usize::from(check.half_step_ft <= FINE * feet);
            } else if !is_there && !is_near(check, other_ft * slip.factor) {
                // Whatever made it what it is, it was not measured at that scale: nor was it left in plan there.
                said.denying += 1;
            }
        }
        for (i, said) in self.overhangs.iter_mut().enumerate() {
            let shows = shows_overhang(check, classes, i);
            said.count(check.verdict, shows == Some(true), shows == Some(false));
        }
    }

    fn add_area(&mut self, check: &AreaCheck, classes: &Classes) {
        let explained = |by: &dyn Fn(&Cause) -> bool| {
            let mut all = check.explanations.iter();
            all.any(|e| by(&e.cause) || e.at.is_some_and(|slip| by(&Cause::Scale(slip))))
        };
        let differs = check.verdict == Verdict::Differs;
        for (said, slip) in self.scales.iter_mut().zip(SLIPS) {
            let shows = explained(&|c| *c == Cause::Scale(slip));
            let so = check.computed_sqft * slip.factor * slip.factor;
            let far = (check.stated_sqft / so - 1.0).abs() > 2.0 * AGREE;
            said.count(check.verdict, shows, far);
            let off = (check.stated_sqft - so).abs();
            let only_near = off > check.half_step_sqft + EXACT * so;
            said.nearly += usize::from(differs && shows && only_near);
            // A total that something else made what it is, or that is as the lengths are and not as their squares, was not
            // measured at that scale.
            let as_lengths = check.stated_sqft / (check.computed_sqft * slip.factor) - 1.0;
            let otherwise = check.decided || as_lengths.abs() <= AGREE;
            let denies = check.subject == Subject::Roof && otherwise && !shows;
            said.denying += usize::from(denies && differs);
        }
        self.counted = self.counted.or_else(|| counted(check));
        if self.counted == Some(LengthCause::LeftOut) && self.left_out.is_none() {
            self.left_out = check.likely().map(|e| e.cause);
        }
        let is_explained = check.decided || check.explanations.iter().any(|e| e.shown);
        for (said, tried) in self.overhangs.iter_mut().zip(&classes.overhangs) {
            let shows = explained(&|c| c.overhang() == Some(tried.overhang));
            said.count(check.verdict, shows, false);
            // An overhang that nobody gave is no more than a guess beside a total that something else explains, or that lengths
            // show to be something else.
            let denies = tried.from != KnownFrom::Job && check.subject == Subject::Roof && !shows;
            said.denying += usize::from(denies && differs && is_explained);
        }
    }

    /// The whole roof shows best what an overhang takes; one agreeing total is enough.
    fn add_total(&mut self, roof: &Roof, areas: &[AreaCheck], classes: &Classes) {
        let is_right = |a: &&AreaCheck| {
            a.line.is_some() && a.subject == Subject::Roof && a.verdict == Verdict::Agrees
        };
        let Some(total) = areas.iter().find(is_right) else {
            return;
        };
        for (said, tried) in self.overhangs.iter_mut().zip(&classes.overhangs) {
            let figures = Figures::new(roof, total.subject, total.surface, &[]);
            let inside = figures.inside_own(tried.overhang);
            let far = |sqft: f64| {
                let off = (total.stated_sqft / sqft - 1.0).abs();
                off > 2.0 * AGREE + total.half_step_sqft / sqft
            };
            said.count(total.verdict, false, inside.is_some_and(far));
        }
    }

    fn of_scale(&self, slip: &Slip) -> Said {
        let mut all = self.scales.iter().zip(SLIPS);
        let said = all.find(|(_, s)| s.key == slip.key);
        said.map(|(said, _)| *said).unwrap_or_default()
    }

    /// What the figures other than this one say about a cause.
    pub(super) fn bearing(
        &self,
        cause: &LengthCause,
        check: &LengthCheck,
        classes: &Classes,
    ) -> Bearing {
        let (said, own) = match cause {
            LengthCause::Scale(slip) => {
                let shows = is_met(check, check.computed_ft * slip.factor);
                (self.of_scale(slip), shows)
            }
            LengthCause::OverhangLeftOut(overhang) | LengthCause::OverhangChosen(overhang) => {
                let mut all = classes.overhangs.iter();
                let at = all.position(|o| o.overhang == *overhang);
                let own = at.and_then(|at| shows_overhang(check, classes, at));
                let said = at.and_then(|at| self.overhangs.get(at)).copied();
                (said.unwrap_or_default(), own == Some(true))
            }
            counted if Some(*counted) == self.counted => return Bearing::For,
            some if some.is_of_some() && self.of_some_edges => return Bearing::For,
            // Edges may be counted, multiplied or written wrongly one class at a time.
            _ => return Bearing::Silent,
        };
        match said.showing.saturating_sub(usize::from(own)) {
            _ if said.denying > 0 => Bearing::Against,
            0 => Bearing::Silent,
            _ => Bearing::For,
        }
    }

    /// Leaves the causes that other figures bear out, and what they contradict only where nothing else is left.
    ///
    /// An overhang that was chosen to fit takes the place of a scale that nothing bears out, and stands beside whatever else fits.
    /// Beside a scale that all figures show as exactly as they are written it is nothing, and alone it is a cause only where
    /// lengths show it that lose different parts by it.
    pub(super) fn foremost(&self, causes: &mut Vec<LengthExplanation>, classes: &Classes) {
        let is_chosen = |e: &LengthExplanation| matches!(e.cause, LengthCause::OverhangChosen(_));
        let is_scale = |e: &LengthExplanation| matches!(e.cause, LengthCause::Scale(_));
        let is_proven = |e: &LengthExplanation| match &e.cause {
            LengthCause::Scale(slip) => {
                let said = self.of_scale(slip);
                e.bearing == Bearing::For && said.nearly == 0 && said.finely > 0
            }
            _ => false,
        };
        let proven = causes.iter().any(is_proven);
        causes.retain(|e| !is_chosen(e) || (e.bearing == Bearing::For && !proven));
        if causes.iter().any(is_chosen) {
            causes.retain(|e| {
                let alone = e.bearing == Bearing::Silent && !is_scale(e);
                e.bearing == Bearing::For || alone
            });
            let is_guess = classes.overhangs.iter().any(|t| t.from == KnownFrom::Guess);
            if is_guess && causes.iter().all(is_chosen) {
                causes.clear();
            }
        } else {
            let foremost = causes.iter().map(|e| e.bearing).min();
            causes.retain(|e| Some(e.bearing) == foremost);
        }
    }
}

/// Whether lengths of two classes or more may all be those of one side, or of one edge of several.
fn are_of_some_edges(differing: &[&LengthCheck], classes: &Classes) -> bool {
    let is_of_some = |l: &&LengthCheck| {
        let mut all = classes.alternatives(l.class, l.surface).iter();
        all.any(|e| e.cause.is_of_some() && is_met(l, e.feet))
    };
    let of: BTreeSet<EdgeClass> = differing.iter().map(|l| l.class).collect();
    of.len() > 1 && differing.iter().all(is_of_some)
}

/// Whether an area is explained by a scale, by itself or besides.
fn shows_scale(area: &AreaCheck) -> bool {
    let mut all = area.explanations.iter();
    all.any(|e| matches!(e.cause, Cause::Scale(_)) || e.at.is_some())
}

/// The page that shrank, where that explains an area and lengths show it; and whether nothing else does.
fn page_in(area: &AreaCheck) -> Option<(f64, bool)> {
    area.explanations.iter().find_map(|e| match e.cause {
        Cause::FitToPage { factor } if e.shown => Some((factor, area.decided)),
        _ => None,
    })
}

/// An overhang left out and a scale that together give all lengths as exactly as they are written, and whether an area shows them;
/// `None` where several do and no area tells which.
fn walls_at_scale<'a>(
    differing: &[&LengthCheck],
    areas: impl Iterator<Item = &'a AreaCheck>,
    classes: &Classes,
) -> Option<(usize, Slip, bool)> {
    let shown = areas
        .filter(|a| a.decided)
        .filter_map(|a| a.likely())
        .find_map(|e| Some((e.cause.overhang()?, e.at?)));
    let is_shown =
        |overhang, slip: &Slip| shown.is_some_and(|(of, at)| of == overhang && at.key == slip.key);
    let gives_all = |at: usize, slip: &Slip| {
        differing.iter().all(|l| {
            let inside = classes.inside_ft(l, at);
            let moves = inside.is_some_and(|feet| (feet / l.computed_ft - 1.0).abs() > NEAR);
            moves && inside.is_some_and(|feet| is_exactly(l, feet * slip.factor))
        })
    };
    let of_job = classes.overhangs.iter().enumerate();
    let of_job = of_job.filter(|(_, tried)| tried.from == KnownFrom::Job);
    let all = of_job.flat_map(|(at, tried)| SLIPS.map(|slip| (at, tried.overhang, slip)));
    let met = all.filter(|(at, _, slip)| !differing.is_empty() && gives_all(*at, slip));
    let met: Vec<(usize, Slip, bool)> = met
        .map(|(at, overhang, slip)| (at, slip, is_shown(overhang, &slip)))
        .collect();
    let shown = met.iter().find(|(_, _, is_shown)| *is_shown);
    shown.or(met.first().filter(|_| met.len() == 1)).copied()
}

const fn other(surface: SurfaceSaid) -> SurfaceSaid {
    match surface {
        SurfaceSaid::True => SurfaceSaid::Plan,
        SurfaceSaid::Plan => SurfaceSaid::True,
    }
}

/// What became of every edge where all of a total was counted twice, or half of it, and the lengths with it.
fn counted(total: &AreaCheck) -> Option<LengthCause> {
    let told = total.likely().filter(|e| {
        let whole = total.subject == Subject::Roof && total.decided;
        whole && e.bearing == Bearing::For
    })?;
    let is_half = || (told.sqft / total.computed_sqft - 0.5).abs() < NEAR;
    match told.cause {
        Cause::AllTwice => Some(LengthCause::Twice),
        Cause::HalfCounted => Some(LengthCause::Half),
        Cause::BuildingMissing { .. } if is_half() => Some(LengthCause::Half),
        Cause::BuildingMissing { .. }
        | Cause::WingMissing { .. }
        | Cause::LevelMissing { .. }
        | Cause::FaceMissing(_)
        | Cause::FacesMissing(_) => Some(LengthCause::LeftOut),
        _ => None,
    }
}

/// A class of edges without those of the faces that the total leaves out, where that makes a difference.
pub(super) fn left_out_of(
    roof: &Roof,
    ours: &ClassLengths,
    cause: &Cause,
    check: &LengthCheck,
) -> Option<LengthExplanation> {
    let feet = counting::left_ft(roof, cause, check.class, check.surface)?;
    let whole = ours.feet(check.class, check.surface);
    let differs = (feet / whole - 1.0).abs() > NEAR;
    differs.then(|| by(LengthCause::LeftOut, feet))
}

/// Whether what is stated of a class may be a length, with what tracing and rounding make of it.
pub(super) fn is_near(check: &LengthCheck, feet: f64) -> bool {
    let (stated_ft, half_step_ft) = check.whole_ft();
    (stated_ft / feet - 1.0).abs() <= AGREE + half_step_ft / feet
}

/// Whether a length is the one inside the walls; `None` where it is that anyway, or cannot be told.
fn shows_overhang(check: &LengthCheck, classes: &Classes, overhang: usize) -> Option<bool> {
    let feet = classes.inside_ft(check, overhang)?;
    let moves = (feet / check.computed_ft - 1.0).abs() > 2.0 * AGREE;
    moves.then(|| is_near(check, feet))
}
