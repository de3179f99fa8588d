//! How exact what was observed turns out to be, from its misfits.

use crate::roof::solve::sparse::SelectedInverse;

use super::observations::Kind;
use super::{Adjuster, LEAST_TRACING_M, START_PART_OF_TOLERANCE};

/// The most that the tracing error can turn out to be, as a part of the snap tolerance: lines further off would not have
/// been joined. Without this bound a small roof, whose few lines hardly check each other, may let go of its lines altogether.
const MOST_PART_OF_TOLERANCE: f64 = 0.5;
/// Where few observations check each other, what they say about their own errors is mixed with what was assumed, as if
/// that had been seen in so many checks.
const ASSUMED_CHECKS: f64 = 2.0;

/// How exact the observations turned out to be: by the squares of their misfits over their redundancy (a surveyor's
/// variance factor), group by group. Only the covariance uses it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Exactness {
    /// The tracing error in metres.
    pub(super) tracing: f64,
    /// What the errors along strokes, and those of the conditions, are of what was assumed.
    pub(super) along: f64,
    pub(super) condition: f64,
}

/// What a group of observations says about its own errors.
#[derive(Clone, Copy, Debug, Default)]
struct Checked {
    /// Sum of the squared misfits over the squared errors assumed.
    squares: f64,
    redundancy: f64,
}

impl Checked {
    /// The variance of the group over the one assumed; `prior` is taken where nothing is known.
    fn factor(self, prior: f64) -> f64 {
        (self.squares + ASSUMED_CHECKS * prior) / (self.redundancy + ASSUMED_CHECKS)
    }
}

impl Adjuster<'_> {
    /// Estimates the tracing error from the misfits across the strokes and their redundancy, and how exact the other
    /// observations are.
    pub(super) fn rescale(&mut self, inverse: &SelectedInverse) {
        let (mut across, mut along, mut condition) =
            (Checked::default(), Checked::default(), Checked::default());
        self.observe(&mut |o| {
            let group = match o.kind {
                Kind::Across { .. } => &mut across,
                Kind::Along { .. } => &mut along,
                Kind::Condition => &mut condition,
                Kind::Other => return,
            };
            let weight = o.weight();
            group.squares += weight * o.misfit * o.misfit;
            group.redundancy += (1.0 - weight * inverse.variance(o.row())).max(0.0);
        });
        let assumed = (START_PART_OF_TOLERANCE * self.sheet.tolerance).max(LEAST_TRACING_M);
        let before = self.tracing;
        let prior = (assumed / before).powi(2);
        let tracing = (before * across.factor(prior).sqrt()).max(LEAST_TRACING_M);
        self.exactness = Exactness {
            tracing,
            along: along.factor(prior).sqrt() * before / tracing,
            condition: condition.factor(1.0).sqrt(),
        };
        if across.redundancy > 1.0 {
            let factor = across.squares / across.redundancy;
            let most = (MOST_PART_OF_TOLERANCE * self.sheet.tolerance).max(LEAST_TRACING_M);
            self.tracing = (before * factor.sqrt()).clamp(LEAST_TRACING_M, most);
        }
    }
}
