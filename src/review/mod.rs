//! What a plan reviewer asks of a sheet: do the stated areas agree with the roof, and if not, which slip explains it?
//!
//! Statements come from the drawing's own text and from a list beside it ([`AgainstList`]). Each is held against the
//! figure of the solved roof; one that differs is held against every alternative figure that a known slip would give
//! *for this roof* ([`alternatives`]), and lengths that are stated too tell look-alikes apart ([`evidence`]).

mod against;
mod alternatives;
mod cause;
mod class_lengths;
mod compare;
mod counting;
mod evidence;
mod figure;
mod findings;
mod implied;
mod length_causes;
mod length_check;
mod length_evidence;
mod length_overhang;
mod list_head;
mod not_compared;
mod revision;
mod settings;
mod stated;
mod sums;
mod tables;
mod totals;
mod walls;
mod weighing;
mod whose;
mod words;

pub use against::{Against, AgainstList};
pub use alternatives::Alternative;
pub use cause::{Cause, FaceSet, Slip};
pub use compare::{AreaCheck, Bearing, Explanation, LengthsFrom, Verdict};
pub use length_causes::{LengthCause, LengthExplanation};
pub use length_check::{LengthCheck, Together};
pub use revision::{
    ChangeKind, CutChange, CutId, CutKind, EdgeChange, FaceChange, OpeningSize, Revision,
};
pub use settings::{Overhang, ReviewSettings};
pub use stated::{Subject, SurfaceSaid};
pub use weighing::Witnesses;

use class_lengths::ClassLengths;
use evidence::Lengths;

use crate::Finding;
use crate::drawing::Drawing;
use crate::roof::Roof;

/// A plan reviewed.
#[derive(Clone, Debug, Default)]
pub struct Review {
    /// A difference up to this part of the computed figure is none.
    pub tolerance: f64,
    /// Stated areas, faces first in the roof's order, then parts of the building, then the whole roof.
    pub areas: Vec<AreaCheck>,
    /// Stated lengths of edges, in the order of their classes.
    pub lengths: Vec<LengthCheck>,
    /// Drawn lines along which the planes that the pitches imply do not meet; the roof's findings tell each with its
    /// distance.
    pub lines_off: usize,
    /// What else the sheet says against itself: checks of the roof that do not hold, pitches that the lines contradict or
    /// that part at them; the roof's findings tell each.
    pub contradictions: usize,
    /// Stated areas that were not compared: they stand at no face and do not say that they are the whole roof's, or cannot be
    /// read.
    pub not_compared: usize,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// The solver's word for a drawn hip, valley or ridge that the pitches put elsewhere.
const LINE_OFF: &str = "planes-do-not-meet";
/// The solver's words for what else a sheet says against itself.
const CONTRADICTIONS: [&str; 3] = [
    "check-does-not-hold",
    "pitch-contradicts-lines",
    "pitches-part-at-lines",
];

impl Review {
    /// Reviews a solved roof. `against` is what a list beside the drawing states.
    ///
    /// # Errors
    /// Names in the list that the roof does not have.
    pub fn of(
        drawing: &Drawing,
        roof: &Roof,
        against: Option<&AgainstList>,
        settings: &ReviewSettings,
    ) -> Result<Self, Vec<Finding>> {
        let mut findings = Vec::new();
        let mut stated = stated::in_drawing(drawing, roof, settings, &mut findings);
        let (mut lengths, mut of_list) = (Vec::new(), Vec::new());
        if let Some(list) = against {
            let (areas, more) = list.resolve(roof)?;
            stated.extend(areas);
            lengths = more;
            of_list = list.told().to_vec();
        }
        stated.sort_by_key(|s| s.subject);
        let ours = ClassLengths::of(roof);
        let mut lengths = length_check::lengths(&ours, &lengths, settings.tolerance);
        let evidence = Lengths::new(drawing, roof, &ours, &lengths);
        let areas = compare::areas(&evidence, roof, &stated, settings);
        length_causes::explain(roof, &ours, &mut lengths, &areas, &settings.overhangs);
        let told = |codes: &[&str]| {
            let all = roof.findings.iter();
            all.filter(|f| codes.contains(&f.code)).count()
        };
        let mut review = Self {
            tolerance: settings.tolerance,
            areas,
            lengths,
            not_compared: findings.len(),
            lines_off: told(&[LINE_OFF]),
            contradictions: told(&CONTRADICTIONS),
            findings,
        };
        review.findings.append(&mut of_list);
        findings::tell(&mut review, roof, settings);
        let tongue = words::Tongue::of(settings);
        review.findings.extend(implied::compare(roof, tongue));
        Ok(review)
    }

    /// The worst that the comparisons come to; a sheet that says something against itself, as by a drawn line that is off
    /// from where the planes meet, differs.
    pub fn verdict(&self) -> Verdict {
        if self.lines_off + self.contradictions > 0 {
            return Verdict::Differs;
        }
        self.verdicts().max().unwrap_or_default()
    }

    /// What every stated figure comes to, areas first.
    pub fn verdicts(&self) -> impl Iterator<Item = Verdict> {
        let areas = self.areas.iter().map(|a| a.verdict);
        areas.chain(self.lengths.iter().map(|l| l.verdict))
    }
}
