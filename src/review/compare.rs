//! Stated figures against computed ones, and the slips that explain a difference.

use std::collections::BTreeMap;

use super::alternatives::{Alternative, CLOSE, EXACT, Figures, close};
use super::cause::{Cause, Slip};
use super::evidence::Lengths;
use super::settings::ReviewSettings;
use super::stated::{Stated, Subject, SurfaceSaid};
use super::sums::Sums;
use super::weighing::{Fits, Witnesses, ranked, stands_out};
use crate::Place;
use crate::roof::{EdgeClass, FaceId, Roof};

/// What a comparison comes to, the worst last.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Nothing was stated that could be compared: nothing speaks for the sheet either.
    #[default]
    NothingCompared,
    /// The difference keeps within the tolerance.
    Agrees,
    /// It does not, but rounding to the last digit stated may have made it: nothing is decided.
    TooCoarse,
    /// It does not, and rounding did not make it.
    Differs,
}

impl Verdict {
    /// A stable name for scripts.
    pub const fn key(self) -> &'static str {
        match self {
            Self::NothingCompared => "nothing-compared",
            Self::Agrees => "agrees",
            Self::TooCoarse => "too-coarse",
            Self::Differs => "differs",
        }
    }

    pub(super) fn of(stated: f64, computed: f64, half_step: f64, tolerance: f64) -> Self {
        let off = (stated - computed).abs();
        if off <= tolerance * computed {
            Self::Agrees
        } else if off <= half_step * (1.0 + ROUNDED) {
            Self::TooCoarse
        } else {
            Self::Differs
        }
    }
}

/// A half that was rounded lies on the edge of what the digits allow; binary arithmetic may put it a hair beyond.
pub(super) const ROUNDED: f64 = 1e-9;

/// A stated area held against the roof's.
#[derive(Clone, Debug)]
pub struct AreaCheck {
    /// What it is of.
    pub subject: Subject,
    /// On which surface it is said to be.
    pub surface: SurfaceSaid,
    /// Theirs, in square feet.
    pub stated_sqft: f64,
    /// Half a unit of the last digit that they wrote, in square feet; of a total that is the sum of stated faces, what those may be
    /// rounded by together.
    pub half_step_sqft: f64,
    /// Ours, in square feet.
    pub computed_sqft: f64,
    /// As written.
    pub text: String,
    /// Where in the drawing it stands; `None` for a list.
    pub place: Option<Place>,
    /// Its line in the list.
    pub line: Option<u64>,
    /// What the comparison comes to.
    pub verdict: Verdict,
    /// Slips that explain the difference, the likeliest first; empty where none does.
    pub explanations: Vec<Explanation>,
    /// Whether the first of them stands out from the others and is no guess.
    pub decided: bool,
    /// Classes of edges whose length, were it stated, would rule out some of several.
    pub told_apart_by: Vec<EdgeClass>,
    /// The finding that tells the difference, among [`super::Review::findings`].
    pub finding: Option<usize>,
}

/// A slip that explains a difference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Explanation {
    /// The slip.
    pub cause: Cause,
    /// What it gives for this roof, in square feet.
    pub sqft: f64,
    /// What stated lengths say about it.
    pub bearing: Bearing,
    /// Whether one of those lengths is other than the roof's, and as this would have it. One that it leaves as it is speaks against
    /// others, and no more for this than for any that leaves it so.
    pub shown: bool,
    /// Where those lengths are stated.
    pub lengths_from: LengthsFrom,
    /// How many of the stated areas it fits, this one among them.
    pub fits: usize,
    /// Those of them that tell something of their own.
    pub witnesses: Witnesses,
    /// The slip in scale that was made besides, which the stated lengths show.
    pub at: Option<Slip>,
}

/// What stated lengths say about a cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bearing {
    /// They are as the cause would have them.
    For,
    /// None of them tells.
    Silent,
    /// They are not as the cause would have them.
    Against,
}

impl Explanation {
    /// Whether a number in it was chosen so that it fits and no stated length shows it: almost any figure can be met
    /// so, and it is no more than something to ask about.
    pub fn is_guess(&self) -> bool {
        self.cause.is_fitted() && !self.shown
    }

    /// What happened, in a few words.
    pub fn words(&self, roof: &Roof, metric: bool) -> String {
        let words = match self.cause {
            Cause::HalfCounted if self.bearing != Bearing::For => {
                "half of the roof counted, whichever half".to_owned()
            }
            cause => cause.words(roof, metric),
        };
        match self.at {
            Some(slip) => format!("{words}; besides, {}", slip.words),
            None => words,
        }
    }

    /// What to ask whoever stated it.
    pub fn question(&self) -> &'static str {
        match self.at {
            Some(slip) => Cause::Scale(slip).question(),
            None => self.cause.question(),
        }
    }

    /// How far it stands behind others: only the foremost are told. A guess is told beside what fits of itself only where
    /// lengths speak against that; where lengths of the same list speak against a guess, nothing is left of it.
    pub(super) fn tier(&self) -> Option<u8> {
        let against = self.bearing == Bearing::Against;
        match (self.is_guess(), against, self.lengths_from) {
            (false, false, _) => Some(0),
            (false, true, LengthsFrom::Drawing) => Some(1),
            (true, false, _) => Some(1),
            (true, true, LengthsFrom::Drawing) => Some(2),
            (false, true, LengthsFrom::List) => Some(3),
            (true, true, LengthsFrom::List) => None,
        }
    }
}

/// Where lengths are stated that bear on a cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthsFrom {
    /// In the list beside the drawing, by the same hand as its areas.
    List,
    /// As dimensions of the drawing, perhaps by another.
    Drawing,
}

impl AreaCheck {
    /// Theirs less ours, in square feet.
    pub fn difference_sqft(&self) -> f64 {
        self.stated_sqft - self.computed_sqft
    }
    /// The difference in percent of ours.
    pub fn percent(&self) -> f64 {
        100.0 * self.difference_sqft() / self.computed_sqft
    }
    /// The likeliest explanation.
    pub fn likely(&self) -> Option<&Explanation> {
        self.explanations.first()
    }
    /// Whether the likeliest explanation may fit by chance: the figure is rounded so far that one of so many slips always
    /// lies near it, and neither a stated length shows it nor an area that is written more exactly. 13 squares may be any figure with
    /// waste in it.
    pub fn may_be_chance(&self) -> bool {
        let told = |e: &Explanation| {
            let most = match e.at {
                None => e.cause.shown_within(),
                Some(_) => EXACT,
            };
            !e.shown && e.witnesses.rounding > most * (1.0 + ROUNDED)
        };
        self.likely().is_some_and(told)
    }
}

/// Compares stated areas; what lengths say tells slips that look alike apart.
pub(super) fn areas(
    lengths: &Lengths,
    roof: &Roof,
    stated: &[Stated],
    settings: &ReviewSettings,
) -> Vec<AreaCheck> {
    let slips = lengths.slips(&settings.overhangs);
    let mut of_subject: BTreeMap<(Subject, bool), OfSubject<'_>> = BTreeMap::new();
    let key = |subject: Subject, surface: SurfaceSaid| (subject, surface == SurfaceSaid::Plan);
    for s in stated {
        of_subject
            .entry(key(s.subject, s.surface))
            .or_insert_with(|| {
                OfSubject::new(
                    Figures::new(roof, s.subject, s.surface, &settings.overhangs),
                    &slips,
                )
            });
    }
    let known = |subject: Subject, surface: SurfaceSaid| of_subject.get(&key(subject, surface));
    let sums = Sums::of(roof, stated);
    let mut checks: Vec<AreaCheck> = (stated.iter())
        .filter_map(|s| {
            let computed_sqft = known(s.subject, s.surface)?.computed_sqft;
            Some(check(s, computed_sqft, &sums, settings))
        })
        .collect();
    let faces_are_right = faces_are_right(roof, &checks);
    let partners = Partners::of(&checks);
    let fitting: Vec<Vec<Alternative>> = checks
        .iter()
        .map(|check| {
            let mut fits = known(check.subject, check.surface)
                .map(|of| fitting(check, of.alternatives(check, lengths, &partners, &checks)))
                .unwrap_or_default();
            if faces_are_right {
                // Whoever had every face right measured well: only the sum can be wrong.
                fits.retain(|a| a.cause.is_of_adding() && a.at.is_none());
            }
            fits
        })
        .collect();
    let fits = Fits::of(&checks, &fitting, &sums);
    for (check, these) in checks.iter_mut().zip(&fitting) {
        if check.verdict == Verdict::Differs {
            let explanations = ranked(these, &fits, lengths, check);
            let alone = stands_out(&explanations);
            if !alone {
                check.told_apart_by = lengths.telling(&explanations, check.subject);
            }
            check.explanations = explanations;
            check.decided = alone && !check.may_be_chance();
        }
    }
    checks
}

/// What is known of a subject whatever was stated of it, worked out once.
struct OfSubject<'r> {
    figures: Figures<'r>,
    computed_sqft: f64,
    alternatives: Vec<Alternative>,
    at_scale: Vec<Alternative>,
    half: Option<Alternative>,
}

impl<'r> OfSubject<'r> {
    fn new(figures: Figures<'r>, slips: &[Slip]) -> Self {
        let at_scale = match slips {
            [] => figures.plan_on_half_size().into_iter().collect(),
            slips => slips.iter().flat_map(|&s| figures.at_scale(s)).collect(),
        };
        Self {
            computed_sqft: figures.computed(),
            alternatives: figures.alternatives(),
            at_scale,
            half: figures.half(),
            figures,
        }
    }

    fn alternatives<'a>(
        &'a self,
        check: &AreaCheck,
        lengths: &Lengths<'_>,
        partners: &Partners,
        all: &[AreaCheck],
    ) -> impl Iterator<Item = Alternative> + 'a {
        let chosen = self.chosen(check, lengths);
        let exchanged = partners.exchanged(check, all);
        let parts_thousands = has_three_decimals(&check.text);
        (self.alternatives.iter().copied())
            .filter(move |a| parts_thousands || a.cause != Cause::PointForThousands)
            .chain(chosen)
            .chain(self.at_scale.iter().copied())
            .chain(self.half)
            .chain(exchanged)
    }

    /// Causes with a number that is chosen so that it fits what is written most exactly: the area, or a stated length.
    fn chosen(&self, check: &AreaCheck, lengths: &Lengths<'_>) -> Vec<Alternative> {
        let half_step_sqft = check.half_step_sqft;
        // Of a square a side is known twice as exactly.
        let of_area = half_step_sqft / check.computed_sqft / 2.0;
        let Some(finest) = lengths.finest().filter(|f| f.rounding < of_area) else {
            let mut all = self.figures.chosen(check.stated_sqft);
            all.retain(|a| !is_page(a));
            all.extend(self.figures.page(check.stated_sqft, half_step_sqft));
            return all;
        };
        let shrunk_sqft = self.computed_sqft * finest.factor * finest.factor;
        let rounded_sqft = 2.0 * self.computed_sqft * finest.factor * finest.rounding;
        let mut all: Vec<Alternative> = self
            .figures
            .page(shrunk_sqft, rounded_sqft)
            .into_iter()
            .collect();
        let no_overhang_known = !self.alternatives.iter().any(|a| a.cause.is_overhang());
        if let Some(overhang) = finest.overhang.filter(|_| no_overhang_known)
            && let Some(sqft) = self.figures.inside_own(overhang)
        {
            let cause = Cause::OverhangLeftOut {
                eave_ft: overhang.eave_ft,
                rake_ft: overhang.rake_ft,
                chosen: true,
            };
            all.push(close(cause, sqft));
        }
        all
    }
}

impl Figures<'_> {
    /// A page that shrank so far that it gives an area, or one that is rounded to it: the least and the most that pages shrink may
    /// have been rounded to less and more.
    pub(super) fn page(&self, sqft: f64, half_step_sqft: f64) -> Option<Alternative> {
        let rounded = [sqft, sqft + half_step_sqft, sqft - half_step_sqft];
        let mut all = rounded.into_iter().flat_map(|sqft| self.chosen(sqft));
        all.find(is_page)
    }
}

fn is_page(a: &Alternative) -> bool {
    matches!(a.cause, Cause::FitToPage { .. })
}

/// Whether a number in a text has three digits after its point, as thousands have in many countries.
fn has_three_decimals(text: &str) -> bool {
    let after = text.split('.').skip(1);
    let digits = |part: &str| part.bytes().take_while(u8::is_ascii_digit).count();
    after.into_iter().any(|part| digits(part) == 3)
}

fn check(stated: &Stated, computed_sqft: f64, sums: &Sums, settings: &ReviewSettings) -> AreaCheck {
    let half_step_sqft = sums.half_step_sqft(stated);
    AreaCheck {
        subject: stated.subject,
        surface: stated.surface,
        stated_sqft: stated.sqft,
        half_step_sqft,
        computed_sqft,
        text: stated.text.clone(),
        place: stated.place.clone(),
        line: stated.line,
        verdict: Verdict::of(
            stated.sqft,
            computed_sqft,
            half_step_sqft,
            settings.tolerance,
        ),
        explanations: Vec::new(),
        decided: false,
        told_apart_by: Vec::new(),
        finding: None,
    }
}

/// More faces whose figure one face's may be are not looked for: they tell no more than so many do.
const MOST_PARTNERS: usize = 8;

/// Faces with what is stated of them, by their computed areas, the smallest first.
struct Partners(Vec<Partner>);

struct Partner {
    face: FaceId,
    surface: SurfaceSaid,
    computed_sqft: f64,
    /// Among all checks.
    checks: Vec<usize>,
}

impl Partners {
    fn of(checks: &[AreaCheck]) -> Self {
        let mut all: Vec<Partner> = Vec::new();
        let mut at: BTreeMap<(FaceId, bool), usize> = BTreeMap::new();
        for (i, check) in checks.iter().enumerate() {
            let Subject::Face(face) = check.subject else {
                continue;
            };
            let key = (face, check.surface == SurfaceSaid::Plan);
            let at = *at.entry(key).or_insert_with(|| {
                all.push(Partner {
                    face,
                    surface: check.surface,
                    computed_sqft: check.computed_sqft,
                    checks: Vec::new(),
                });
                all.len() - 1
            });
            if let Some(partner) = all.get_mut(at) {
                partner.checks.push(i);
            }
        }
        all.sort_by(|a, b| (a.computed_sqft.total_cmp(&b.computed_sqft)).then(a.face.cmp(&b.face)));
        Self(all)
    }

    /// The faces whose figure stands for this one's while this one's stands for theirs, in the order of the roof.
    fn exchanged(&self, check: &AreaCheck, all: &[AreaCheck]) -> Vec<Alternative> {
        let Subject::Face(own) = check.subject else {
            return Vec::new();
        };
        if check.verdict != Verdict::Differs {
            return Vec::new();
        }
        let is = |stated: &AreaCheck, computed: f64| {
            let within = stated.half_step_sqft + CLOSE * computed;
            (stated.stated_sqft - computed).abs() <= within
        };
        let least = (check.stated_sqft - check.half_step_sqft) / (1.0 + 2.0 * CLOSE);
        let from = self.0.partition_point(|p| p.computed_sqft < least);
        let most = (check.stated_sqft + check.half_step_sqft) / (1.0 - 2.0 * CLOSE);
        let near = self.0.iter().skip(from);
        let mut faces: Vec<&Partner> = near
            .take_while(|p| p.computed_sqft <= most)
            .filter(|p| p.face != own && p.surface == check.surface)
            .filter(|p| is(check, p.computed_sqft))
            .filter(|p| {
                let mut stated = p.checks.iter().filter_map(|&i| all.get(i));
                stated.any(|other| is(other, check.computed_sqft))
            })
            .take(MOST_PARTNERS)
            .collect();
        faces.sort_by_key(|p| p.face);
        let of_face = |p: &Partner| close(Cause::Exchanged { other: p.face }, p.computed_sqft);
        faces.into_iter().map(of_face).collect()
    }
}

/// The alternatives that come near enough to a statement and nearer than half-way from the computed figure; where rounding
/// alone may have made the statement of one, any distance from that figure will do.
fn fitting(check: &AreaCheck, alternatives: impl Iterator<Item = Alternative>) -> Vec<Alternative> {
    let off = check.difference_sqft().abs();
    let all: Vec<Alternative> = alternatives
        .filter(|a| {
            let left = (check.stated_sqft - a.sqft).abs();
            let near = left <= a.within * a.sqft && left < off / 2.0;
            // Of sets of faces there is one for every coarse figure.
            let is_set = matches!(a.cause, Cause::FacesMissing(_));
            near || (!is_set && left <= check.half_step_sqft && left < off)
        })
        .collect();
    // Twice the area is that of a pitch twice as steep or more, and at 6 in 12 exactly that of 24 in 12: nobody's slip of the pen
    // where something was counted twice, be it all or the two sides of a ridge.
    let is_pitch = |a: &Alternative| matches!(a.cause, Cause::OtherPitch { .. });
    let is_twice = |a: &Alternative| {
        let counted = matches!(a.cause, Cause::AllTwice | Cause::BothSides { .. });
        counted && (a.sqft / check.computed_sqft - 2.0).abs() <= 2.0 * CLOSE
    };
    let twice = all.iter().any(is_twice);
    all.into_iter()
        .filter(|a| !(twice && is_pitch(a)))
        .collect()
}

/// Whether every face of the roof is stated, and right.
fn faces_are_right(roof: &Roof, all: &[AreaCheck]) -> bool {
    let mut right: Vec<Option<bool>> = vec![None; roof.faces.len()];
    for check in all {
        if let Subject::Face(face) = check.subject
            && let Some(so_far) = right.get_mut(face.0)
        {
            let is = check.surface == SurfaceSaid::True && check.verdict == Verdict::Agrees;
            *so_far = Some(is && *so_far != Some(false));
        }
    }
    right.iter().all(|r| *r == Some(true))
}
