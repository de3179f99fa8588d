//! Stated lengths of classes of edges held against the roof's, one by one and, where they are those of single edges, together.

use std::collections::BTreeMap;

use super::against::StatedLength;
use super::class_lengths::ClassLengths;
use super::compare::{Bearing, Verdict};
use super::length_causes::LengthExplanation;
use super::stated::SurfaceSaid;
use crate::roof::EdgeClass;

/// A stated length of a class of edges held against the roof's.
#[derive(Clone, Debug)]
pub struct LengthCheck {
    /// The class.
    pub class: EdgeClass,
    /// Theirs, in feet.
    pub stated_ft: f64,
    /// Half a unit of the last digit that they wrote, in feet.
    pub half_step_ft: f64,
    /// On which surface it is said to be.
    pub surface: SurfaceSaid,
    /// Ours: the length of all edges of the class on that surface, in feet.
    pub computed_ft: f64,
    /// As written.
    pub text: String,
    /// Its line in the list.
    pub line: u64,
    /// What the comparison comes to; that of the sum where it is one of several edges.
    pub verdict: Verdict,
    /// The lines that give the class edge by edge, this one among them.
    pub together: Option<Together>,
    /// Slips that would give what was stated, the likelier first; empty where it agrees.
    pub causes: Vec<LengthExplanation>,
    /// The finding that tells the difference, among [`super::Review::findings`].
    pub finding: Option<usize>,
}

/// Several lines for one class of edges, none of which is the whole class and which together may be: a class given edge by edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Together {
    /// How many lines.
    pub lines: usize,
    /// Their sum, in feet.
    pub stated_ft: f64,
    /// The sum of what each may be rounded by, in feet.
    pub half_step_ft: f64,
}

impl LengthCheck {
    /// Theirs less ours, in feet; of the sum where the class is given edge by edge.
    pub fn difference_ft(&self) -> f64 {
        self.whole_ft().0 - self.computed_ft
    }
    /// The difference in percent of ours; infinite where the roof has no such edge, and 0 where none was stated either.
    pub fn percent(&self) -> f64 {
        if self.difference_ft() == 0.0 {
            return 0.0;
        }
        100.0 * self.difference_ft() / self.computed_ft
    }
    /// Whether one slip alone explains it, and no other stated figure contradicts that; what was chosen to fit has to be shown by one.
    pub fn is_decided(&self) -> bool {
        let is_enough = |e: &LengthExplanation| match e.bearing {
            Bearing::For => true,
            Bearing::Silent => !e.cause.needs_another(),
            Bearing::Against => false,
        };
        matches!(&self.causes[..], [only] if is_enough(only))
    }
    /// What is stated of the whole class, and half a step of it, in feet: the sum where it is given edge by edge.
    pub(super) fn whole_ft(&self) -> (f64, f64) {
        match self.together {
            Some(all) => (all.stated_ft, all.half_step_ft),
            None => (self.stated_ft, self.half_step_ft),
        }
    }
}

/// Compares stated lengths; why they differ is looked for when the areas are known.
pub(super) fn lengths(
    ours: &ClassLengths,
    stated: &[StatedLength],
    tolerance: f64,
) -> Vec<LengthCheck> {
    let mut checks: Vec<LengthCheck> = stated
        .iter()
        .map(|s| {
            let computed_ft = ours.feet(s.class, s.surface);
            LengthCheck {
                class: s.class,
                surface: s.surface,
                causes: Vec::new(),
                stated_ft: s.feet,
                half_step_ft: s.half_step_ft,
                computed_ft,
                text: s.text.clone(),
                line: s.line,
                verdict: Verdict::of(s.feet, computed_ft, s.half_step_ft, tolerance),
                together: None,
                finding: None,
            }
        })
        .collect();
    checks.sort_by_key(|c| (c.class, c.line));
    edge_by_edge(&mut checks, tolerance);
    checks
}

/// Finds the classes that are given edge by edge: a take-off lists each eave of a house with its own length. A line that is the
/// whole class is no edge of it.
fn edge_by_edge(checks: &mut [LengthCheck], tolerance: f64) {
    let key = |c: &LengthCheck| (c.class, c.surface == SurfaceSaid::Plan);
    let mut all: BTreeMap<(EdgeClass, bool), (Together, f64)> = BTreeMap::new();
    let is_edge = |c: &LengthCheck| c.verdict == Verdict::Differs;
    for check in checks.iter().filter(|c| is_edge(c)) {
        let none = Together {
            lines: 0,
            stated_ft: 0.0,
            half_step_ft: 0.0,
        };
        let (sum, _) = all.entry(key(check)).or_insert((none, check.computed_ft));
        sum.lines += 1;
        sum.stated_ft += check.stated_ft;
        sum.half_step_ft += check.half_step_ft;
    }
    let verdict = |(sum, computed_ft): &(Together, f64)| {
        Verdict::of(sum.stated_ft, *computed_ft, sum.half_step_ft, tolerance)
    };
    all.retain(|_, of_class| of_class.0.lines > 1 && verdict(of_class) != Verdict::Differs);
    for check in checks.iter_mut().filter(|c| is_edge(c)) {
        if let Some(of_class) = all.get(&key(check)) {
            check.verdict = verdict(of_class);
            check.together = Some(of_class.0);
        }
    }
}
