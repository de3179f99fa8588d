//! Stated figures against computed ones, and the slips that explain a difference.

use super::against::StatedLength;
use super::alternatives::{Alternative, Figures};
use super::cause::Cause;
use super::evidence::Lengths;
use super::settings::ReviewSettings;
use super::stated::{Stated, Subject, SurfaceSaid};
use crate::Place;
use crate::drawing::Drawing;
use crate::roof::{EdgeClass, Roof};

/// A stated area held against the roof's.
#[derive(Clone, Debug)]
pub struct AreaCheck {
    /// What it is of.
    pub subject: Subject,
    /// On which surface it is said to be.
    pub surface: SurfaceSaid,
    /// Theirs, in square feet.
    pub stated_sqft: f64,
    /// Half a unit of the last digit that they wrote, in square feet.
    pub half_step_sqft: f64,
    /// Ours, in square feet.
    pub computed_sqft: f64,
    /// As written.
    pub text: String,
    /// Where in the drawing it stands; `None` for a list.
    pub place: Option<Place>,
    /// Its line in the list.
    pub line: Option<u64>,
    /// Whether the difference keeps within the tolerance.
    pub agrees: bool,
    /// Slips that explain the difference, the likeliest first; empty where none does.
    pub explanations: Vec<Explanation>,
    /// Whether the first of them stands out from the others.
    pub decided: bool,
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
    /// How many of the stated areas it fits, this one among them.
    pub fits: usize,
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

/// A stated length of a class of edges held against the roof's.
#[derive(Clone, Debug)]
pub struct LengthCheck {
    /// The class.
    pub class: EdgeClass,
    /// Theirs, in feet.
    pub stated_ft: f64,
    /// Half a unit of the last digit that they wrote, in feet.
    pub half_step_ft: f64,
    /// Ours: the true length of all edges of the class, in feet.
    pub computed_ft: f64,
    /// As written.
    pub text: String,
    /// Its line in the list.
    pub line: u64,
    /// Whether the difference keeps within the tolerance.
    pub agrees: bool,
    /// The finding that tells the difference, among [`super::Review::findings`].
    pub finding: Option<usize>,
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
}

impl LengthCheck {
    /// Theirs less ours, in feet.
    pub fn difference_ft(&self) -> f64 {
        self.stated_ft - self.computed_ft
    }
    /// The difference in percent of ours; infinite where the roof has no such edge.
    pub fn percent(&self) -> f64 {
        100.0 * self.difference_ft() / self.computed_ft
    }
}

/// Compares stated lengths.
pub(super) fn lengths(roof: &Roof, stated: &[StatedLength], tolerance: f64) -> Vec<LengthCheck> {
    let mut checks: Vec<LengthCheck> = stated
        .iter()
        .map(|s| {
            let computed_ft = roof.true_length(s.class).to_feet();
            LengthCheck {
                class: s.class,
                stated_ft: s.feet,
                half_step_ft: s.half_step_ft,
                computed_ft,
                text: s.text.clone(),
                line: s.line,
                agrees: agrees(s.feet, computed_ft, s.half_step_ft, tolerance),
                finding: None,
            }
        })
        .collect();
    checks.sort_by_key(|c| (c.class, c.line));
    checks
}

/// Compares stated areas.
pub(super) fn areas(
    drawing: &Drawing,
    roof: &Roof,
    stated: &[Stated],
    listed: &[LengthCheck],
    settings: &ReviewSettings,
) -> Vec<AreaCheck> {
    let lengths = Lengths::new(drawing, roof, listed);
    let all: Vec<(AreaCheck, Vec<Alternative>)> =
        stated.iter().map(|s| one(roof, s, settings)).collect();
    let fitting: Vec<Vec<Alternative>> = all
        .iter()
        .map(|(check, alternatives)| fitting(check, alternatives))
        .collect();
    let explained: Vec<Vec<Explanation>> = fitting
        .iter()
        .map(|these| ranked(these, &fitting, &lengths))
        .collect();
    all.into_iter()
        .zip(explained)
        .map(|((mut check, _), explanations)| {
            if !check.agrees {
                check.decided = stands_out(&explanations);
                check.explanations = explanations;
            }
            check
        })
        .collect()
}

fn one(roof: &Roof, stated: &Stated, settings: &ReviewSettings) -> (AreaCheck, Vec<Alternative>) {
    let figures = Figures::new(roof, stated.subject, stated.surface, settings.overhang);
    let computed_sqft = figures.computed();
    let check = AreaCheck {
        subject: stated.subject,
        surface: stated.surface,
        stated_sqft: stated.sqft,
        half_step_sqft: stated.half_step_sqft,
        computed_sqft,
        text: stated.text.clone(),
        place: stated.place.clone(),
        line: stated.line,
        agrees: agrees(
            stated.sqft,
            computed_sqft,
            stated.half_step_sqft,
            settings.tolerance,
        ),
        explanations: Vec::new(),
        decided: false,
        finding: None,
    };
    (check, figures.alternatives(stated.sqft))
}

/// Half a unit of the last digit written is no difference, whatever the tolerance.
fn agrees(stated: f64, computed: f64, half_step: f64, tolerance: f64) -> bool {
    (stated - computed).abs() <= (tolerance * computed).max(half_step * (1.0 + 1e-9))
}

/// The alternatives that come near enough to a statement and nearer than half-way from the computed figure.
fn fitting(check: &AreaCheck, alternatives: &[Alternative]) -> Vec<Alternative> {
    let off = check.difference_sqft().abs();
    alternatives
        .iter()
        .filter(|a| {
            let left = (check.stated_sqft - a.sqft).abs();
            left <= (a.within * a.sqft).max(check.half_step_sqft) && left < off / 2.0
        })
        .copied()
        .collect()
}

/// What a cause is ranked by: what lengths say, then whether it was made to fit, then how much it explains.
fn key(e: &Explanation) -> (Bearing, bool, std::cmp::Reverse<usize>) {
    (e.bearing, e.cause.is_fitted(), std::cmp::Reverse(e.fits))
}

fn ranked(
    these: &[Alternative],
    all: &[Vec<Alternative>],
    lengths: &Lengths<'_>,
) -> Vec<Explanation> {
    let mut out: Vec<Explanation> = these
        .iter()
        .map(|a| Explanation {
            cause: a.cause,
            sqft: a.sqft,
            bearing: lengths.bearing(&a.cause),
            fits: all
                .iter()
                .filter(|others| others.iter().any(|o| o.cause.is_like(&a.cause)))
                .count(),
        })
        .collect();
    out.sort_by_key(key);
    // What was made to fit says nothing where something fits by itself, unless lengths speak more for it.
    let by_itself = out
        .iter()
        .filter(|e| !e.cause.is_fitted())
        .map(|e| e.bearing)
        .min();
    if let Some(bearing) = by_itself {
        out.retain(|e| !e.cause.is_fitted() || e.bearing < bearing);
    }
    // What lengths speak against is an explanation only where nothing else is one.
    if out.iter().any(|e| e.bearing != Bearing::Against) {
        out.retain(|e| e.bearing != Bearing::Against);
    }
    out
}

fn stands_out(explanations: &[Explanation]) -> bool {
    match explanations {
        [] => false,
        [_] => true,
        [first, second, ..] => key(first) < key(second),
    }
}
