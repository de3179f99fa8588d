//! Which of the slips that fit a stated area is told, and whether one of them is decided.
//!
//! What counts as a witness: another figure that tells something of its own. Two faces of one area with one figure are one witness,
//! a total that is the sum of stated faces is none, and one that is rounded further than slips of a kind lie apart is none for
//! them. A stated length bears a slip out where it is other than the roof's and as the slip would have it; a right length only
//! speaks against slips that would change it.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::alternatives::{Alternative, CLOSE, EXACT};
use super::cause::Cause;
use super::compare::{AreaCheck, Bearing, Explanation};
use super::evidence::Lengths;
use super::sums::Sums;

/// The stated areas that a slip fits, as far as each tells something of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Witnesses {
    /// How many there are.
    pub independent: usize,
    /// How far the least rounded of them may be, as a part of it.
    pub rounding: f64,
}

impl Default for Witnesses {
    fn default() -> Self {
        Self {
            independent: 0,
            rounding: f64::INFINITY,
        }
    }
}

/// What two slips have in common that are the same, and the scale at which they came about.
type Likeness = ((&'static str, u64), Option<&'static str>);

fn likeness(a: &Alternative) -> Likeness {
    (a.cause.likeness(), a.at.map(|slip| slip.key))
}

/// Which of the stated areas each slip fits.
pub(super) struct Fits(BTreeMap<Likeness, Fit>);

#[derive(Default)]
struct Fit {
    checks: usize,
    witnesses: Witnesses,
    /// Stated and computed figures that were counted, in square feet.
    seen: Vec<(f64, f64)>,
}

impl Fits {
    pub(super) fn of(checks: &[AreaCheck], all: &[Vec<Alternative>], sums: &Sums) -> Self {
        let mut out: BTreeMap<Likeness, Fit> = BTreeMap::new();
        for (check, these) in checks.iter().zip(all) {
            let is_sum = sums.is_sum(
                check.subject,
                check.surface,
                check.stated_sqft,
                check.half_step_sqft,
            );
            let figure = (check.stated_sqft, check.computed_sqft);
            let mut once: BTreeMap<Likeness, &Alternative> = BTreeMap::new();
            for a in these {
                once.entry(likeness(a)).or_insert(a);
            }
            for (like, a) in once {
                let fit = out.entry(like).or_default();
                fit.checks += 1;
                let rounding = check.half_step_sqft / check.computed_sqft.max(a.sqft);
                fit.witnesses.rounding = fit.witnesses.rounding.min(rounding);
                if !is_sum && !fit.seen.iter().any(|&other| are_alike(figure, other)) {
                    fit.seen.push(figure);
                    fit.witnesses.independent += 1;
                }
            }
        }
        Self(out)
    }
}

/// Whether the stated and the computed areas of two figures are the same: those of faces that are mirror images.
fn are_alike(one: (f64, f64), other: (f64, f64)) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= EXACT * a;
    near(one.0, other.0) && near(one.1, other.1)
}

/// A slip that fits, with how exactly.
struct Weighed {
    told: Explanation,
    /// Whether it gives the area as exactly as it is written.
    meets_area: bool,
    /// Whether it comes so near to the area that lengths which prove it leave no doubt.
    is_close: bool,
    /// Whether it gives the stated lengths as exactly as they are written, and those bear it out.
    meets_lengths: bool,
    /// Whether that is exactly enough to prove something.
    proves: bool,
    /// Whether the area is written so exactly that it tells a scale from a page that shrank: of a square a side is known twice as well.
    is_fine: bool,
}

impl Weighed {
    fn is_fitted(&self) -> bool {
        self.told.cause.is_fitted()
    }
    fn is_overhang(&self) -> bool {
        self.is_fitted() && self.told.cause.is_overhang()
    }
    /// Whether it has no number chosen to fit, and lengths bear it out.
    fn is_of_itself(&self) -> bool {
        self.told.bearing == Bearing::For && !self.is_fitted()
    }
}

/// The slips that are told of those that fit, the likeliest first.
pub(super) fn ranked(
    these: &[Alternative],
    fits: &Fits,
    lengths: &Lengths<'_>,
    stated: &AreaCheck,
) -> Vec<Explanation> {
    let weigh = |a: &Alternative| {
        let off = (stated.stated_sqft - a.sqft).abs();
        let meets_area = off <= stated.half_step_sqft + EXACT * a.sqft;
        let said = lengths.say(a, stated.subject, meets_area);
        let fit = fits.0.get(&likeness(a));
        Weighed {
            told: Explanation {
                cause: a.cause,
                sqft: a.sqft,
                bearing: said.bearing,
                shown: said.shown,
                lengths_from: lengths.from,
                fits: fit.map_or(0, |fit| fit.checks),
                witnesses: fit.map(|fit| fit.witnesses).unwrap_or_default(),
                at: a.at,
            },
            meets_area,
            is_close: off <= stated.half_step_sqft + CLOSE * a.sqft,
            meets_lengths: lengths.are_exactly(a, stated.subject),
            proves: lengths.prove(a, stated.subject),
            is_fine: stated.half_step_sqft <= 2.0 * EXACT * a.sqft,
        }
    };
    let all: Vec<Weighed> = these.iter().map(weigh).collect();
    let foremost = all.iter().filter_map(|w| w.told.tier()).min();
    let only_nearly_a_scale = |w: &Weighed| {
        let is_scale = matches!(w.told.cause, Cause::Scale(_)) && w.told.at.is_none();
        is_scale && !w.meets_area && !w.told.shown
    };
    let is_foremost = |w: &Weighed| w.told.tier().is_some() && w.told.tier() == foremost;
    // A scale that no length shows and that comes only near is no better than a page that shrank or an overhang that gives the figure
    // as it is written.
    let beside = all
        .iter()
        .filter(|w| is_foremost(w))
        .all(only_nearly_a_scale);
    let mut told: Vec<Weighed> = (all.into_iter())
        .filter(|w| {
            let is_guess = w.told.is_guess() && w.told.bearing != Bearing::Against;
            is_foremost(w) || (beside && is_guess)
        })
        .collect();
    // One slip is believed before two, where lengths bear both out.
    if told.iter().any(|w| w.is_of_itself() && w.told.at.is_none()) {
        told.retain(|w| w.told.at.is_none());
    }
    leave_of_fitted(&mut told);
    let mut told: Vec<Explanation> = told.into_iter().map(|w| w.told).collect();
    leave_of_counted(&mut told);
    told.sort_by_key(|e| (key(e), e.bearing));
    told
}

/// What was made to fit the area says nothing where lengths bear out what fits of itself. But where that fits only nearly, what
/// the lengths bear out stands beside it; an overhang alone, where the lengths prove it, since each class of edges loses its own
/// part by it. A page that shrank gives them as a known slip of nearly its factor does, and stands beside that.
fn leave_of_fitted(told: &mut Vec<Weighed>) {
    // Of numbers that were chosen to fit one that gives all figures as they are written is told before one that does not.
    let exactly = |w: &Weighed| w.is_fitted() && w.told.shown && w.meets_lengths;
    if told.iter().any(exactly) {
        told.retain(|w| !w.is_fitted() || exactly(w));
    }
    let is_exact = |w: &Weighed| {
        let is_met = (w.is_fine && w.meets_area) || (w.proves && w.is_close);
        w.is_of_itself() && w.meets_lengths && is_met
    };
    let proves = |w: &Weighed| w.is_overhang() && w.told.shown && w.proves;
    if told.iter().any(is_exact) {
        told.retain(|w| !w.is_fitted());
    } else if told.iter().any(proves) {
        told.retain(|w| proves(w) || (w.is_fitted() && w.proves));
    } else if told.iter().any(Weighed::is_of_itself) {
        let beside = |w: &Weighed| w.told.shown && (w.is_overhang() || w.meets_lengths);
        told.retain(|w| !w.is_fitted() || beside(w));
    }
}

/// Whichever half was counted is told only where lengths bear out that one was, and no half by name; or where nothing else fits.
fn leave_of_counted(told: &mut Vec<Explanation>) {
    let counted = |e: &Explanation| e.cause.is_of_counting() && e.bearing == Bearing::For;
    let is_half = |e: &Explanation| e.cause == Cause::HalfCounted;
    let named = told.iter().any(|e| counted(e) && !is_half(e));
    let alone = told.iter().all(is_half);
    told.retain(|e| !is_half(e) || (counted(e) && !named) || alone);
    if told.iter().any(counted) {
        told.retain(|e| !e.cause.is_of_counting() || counted(e));
    }
}

/// What a slip is ranked by among those told: guesses last, then what lengths show or contradict, then how much it explains.
fn key(e: &Explanation) -> (bool, Bearing, Reverse<usize>) {
    let said = match e.bearing {
        Bearing::For if !e.shown => Bearing::Silent,
        said => said,
    };
    (e.is_guess(), said, Reverse(e.witnesses.independent))
}

/// Whether the first of several stands out. What the stated lengths contradict never does.
pub(super) fn stands_out(explanations: &[Explanation]) -> bool {
    match explanations {
        [] => false,
        [first, ..] if first.bearing == Bearing::Against => false,
        [first, ..] if first.cause == Cause::HalfCounted && first.bearing != Bearing::For => false,
        _ if explanations.iter().any(Explanation::is_guess) => false,
        [_] => true,
        [first, second, ..] => key(first) < key(second),
    }
}
