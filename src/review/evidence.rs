//! Lengths stated beside the areas: a slip in scale moves them too, by the square root; plan for true leaves eaves alone.

use super::alternatives::{Alternative, EXACT};
use super::cause::{Cause, SLIPS, Slip};
use super::class_lengths::ClassLengths;
use super::compare::{Bearing, Explanation, LengthsFrom};
use super::counting;
use super::length_check::LengthCheck;
use super::settings::Overhang;
use super::stated::{Subject, SurfaceSaid};
use super::walls;
use crate::drawing::Drawing;
use crate::roof::{EdgeClass, Roof};
use crate::units::Pitch;

/// Lengths nearer than this agree: an area known to 1 % has sides known to half of that, and a little more for tracing.
pub(super) const AGREE: f64 = 0.006;

/// A stated length over the computed one.
#[derive(PartialEq)]
struct Ratio {
    /// Its class; `None` for a dimension in the drawing.
    class: Option<EdgeClass>,
    ratio: f64,
    /// How far it may be rounded.
    rounding: f64,
}

/// All lengths that are stated.
pub(super) struct Lengths<'r> {
    roof: &'r Roof,
    /// Each once, those of one class together.
    ratios: Vec<Ratio>,
    pub(super) from: LengthsFrom,
    classes: &'r ClassLengths,
}

impl<'r> Lengths<'r> {
    pub(super) fn new(
        drawing: &Drawing,
        roof: &'r Roof,
        classes: &'r ClassLengths,
        listed: &[LengthCheck],
    ) -> Self {
        let of_list = listed
            .iter()
            .filter(|l| l.computed_ft > 0.0 && l.stated_ft > 0.0)
            // One that says plan is no sign of what was left in plan.
            .filter(|l| l.surface == SurfaceSaid::True)
            .map(|l| {
                let (stated_ft, half_step_ft) = l.whole_ft();
                Ratio {
                    class: Some(l.class),
                    ratio: stated_ft / l.computed_ft,
                    rounding: half_step_ft / l.computed_ft,
                }
            });
        let of_drawing = drawing.dimensions.iter().filter_map(|d| {
            let measured = d.from.distance(d.to);
            (measured > 0.0).then(|| Ratio {
                class: None,
                ratio: d.stated_ft / measured,
                rounding: d.half_step_ft / measured,
            })
        });
        // Lengths from the same hand as the areas tell most; the drawing's may be another's.
        let mut ratios: Vec<Ratio> = of_list.collect();
        let mut from = LengthsFrom::List;
        if ratios.is_empty() {
            ratios = of_drawing.collect();
            from = LengthsFrom::Drawing;
        }
        ratios.sort_by(|a, b| {
            (a.class.cmp(&b.class))
                .then(a.ratio.total_cmp(&b.ratio))
                .then(a.rounding.total_cmp(&b.rounding))
        });
        ratios.dedup();
        Self {
            roof,
            ratios,
            from,
            classes,
        }
    }

    fn true_ft(&self, class: EdgeClass) -> f64 {
        self.classes.feet(class, SurfaceSaid::True)
    }
    fn plan_ft(&self, class: EdgeClass) -> f64 {
        self.classes.feet(class, SurfaceSaid::Plan)
    }

    /// The slip in scale that all stated lengths of level edges show as they are written, with nothing allowed for their
    /// rounding; `None` where they show none. Sloping ones may have been left in plan besides.
    pub(super) fn slip(&self) -> Option<Slip> {
        let level: Vec<&Ratio> = (self.ratios.iter())
            .filter(|r| r.class.is_some_and(is_level))
            .collect();
        let off = |slip: &Slip| {
            (level.iter()).try_fold(0.0_f64, |worst, r| {
                let off = (r.ratio / slip.factor - 1.0).abs();
                (off <= AGREE).then_some(worst.max(off))
            })
        };
        let met = SLIPS
            .into_iter()
            .filter_map(|slip| Some((off(&slip)?, slip)));
        met.min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, slip)| slip)
            .filter(|_| !level.is_empty())
    }

    /// What the stated lengths say about a cause. `is_met`: the area is the one that it gives, as exactly as it is written.
    ///
    /// A sheet is drawn to its own dimensions, and the scale here was taken from one of them: that they are right says
    /// nothing about what somebody measured on a print of it. They do speak against a slip in scale that fits only nearly, as
    /// one of so many does by chance.
    pub(super) fn bearing(&self, cause: &Alternative, subject: Subject, is_met: bool) -> Bearing {
        self.bearing_within(cause, subject, is_met, AGREE)
    }

    /// Whether the stated lengths are those of a cause as exactly as they are written, and that is exactly enough to prove
    /// something.
    pub(super) fn meet(&self, cause: &Alternative, subject: Subject) -> bool {
        self.ratios.iter().all(|r| r.rounding <= EXACT)
            && self.bearing_within(cause, subject, true, EXACT) == Bearing::For
    }

    fn bearing_within(
        &self,
        alternative: &Alternative,
        subject: Subject,
        is_met: bool,
        agree: f64,
    ) -> Bearing {
        let cause = &alternative.cause;
        if subject == Subject::Roof && alternative.at.is_none() && cause.is_of_counting() {
            return self.counting_bearing(cause, agree);
        }
        let factor = alternative.at.map_or(1.0, |slip| slip.factor);
        let elsewhere = is_met && (matches!(cause, Cause::Scale(_)) || alternative.at.is_some());
        let mut said = Bearing::Silent;
        // What a cause makes of a class is worked out once.
        let mut of_class: Option<(Option<EdgeClass>, Option<f64>, Option<f64>)> = None;
        for stated in &self.ratios {
            let (_, in_plan, expected) = match of_class {
                Some(known) if known.0 == stated.class => known,
                _ => {
                    let expected = || self.expected(cause, stated.class, subject);
                    let in_plan = self.in_plan(cause, stated.class);
                    let expected = in_plan.is_none().then(expected).flatten();
                    *of_class.insert((stated.class, in_plan, expected))
                }
            };
            let is = |expected: f64| {
                let expected = expected * factor;
                (stated.ratio / expected - 1.0).abs() <= agree + stated.rounding / expected
            };
            if let Some(in_plan) = in_plan {
                match (is(in_plan), is(1.0)) {
                    (true, _) => said = Bearing::For,
                    // Who had it on the slope may still have left the area in plan.
                    (false, true) => {}
                    (false, false) => return Bearing::Against,
                }
                continue;
            }
            let expected = expected.or_else(|| alternative.at.map(|_| 1.0));
            match expected.map(is) {
                None => {}
                Some(true) => said = Bearing::For,
                Some(false) if elsewhere && stated.class.is_none() => {}
                Some(false) => return Bearing::Against,
            }
        }
        said
    }

    /// What the listed lengths say about a way of counting: they bear it out where all of them are what was counted. Where they
    /// are not, faces may have been miscounted and edges not.
    fn counting_bearing(&self, cause: &Cause, agree: f64) -> Bearing {
        let is = |r: &Ratio| {
            let expected = r.class.and_then(|class| self.counted(cause, class))?;
            Some((r.ratio / expected - 1.0).abs() <= agree + r.rounding / expected)
        };
        let moved = |r: &Ratio| (r.ratio - 1.0).abs() > agree + r.rounding;
        let all = self.ratios.iter().all(|r| is(r) == Some(true));
        if all && self.ratios.iter().any(moved) {
            Bearing::For
        } else {
            Bearing::Silent
        }
    }

    /// What a way of counting the whole roof leaves of a class, over what there is.
    fn counted(&self, cause: &Cause, class: EdgeClass) -> Option<f64> {
        match *cause {
            Cause::AllTwice => Some(2.0),
            Cause::HalfCounted => Some(0.5),
            _ => {
                let feet = counting::left_ft(self.roof, cause, class, SurfaceSaid::True)?;
                let whole = self.true_ft(class);
                (feet > 0.0 && whole > 0.0).then(|| feet / whole)
            }
        }
    }

    /// What a sloping class comes to in plan, over what it is on the slope, for a cause that leaves areas in plan.
    fn in_plan(&self, cause: &Cause, class: Option<EdgeClass>) -> Option<f64> {
        let class = class.filter(|c| !is_level(*c))?;
        let left_in_plan = matches!(cause, Cause::PlanForTrue | Cause::PlanWithOpenings);
        left_in_plan.then(|| self.plan_ft(class) / self.true_ft(class))
    }

    /// Classes that nobody stated and whose length would rule out some of these causes.
    pub(super) fn telling(&self, causes: &[Explanation], subject: Subject) -> Vec<EdgeClass> {
        let tells = |class: EdgeClass| {
            let counted = |cause: &Cause| {
                let whole = subject == Subject::Roof;
                whole.then(|| self.counted(cause, class)).flatten()
            };
            let expected = causes.iter().filter_map(|e| {
                let expected = self.expected(&e.cause, Some(class), subject);
                expected.or_else(|| counted(&e.cause))
            });
            let (low, high) = expected.fold((f64::INFINITY, 0.0_f64), |(low, high), ratio| {
                (low.min(ratio), high.max(ratio))
            });
            high > low * (1.0 + AGREE).powi(2)
        };
        let stated = |class| self.ratios.iter().any(|r| r.class == Some(class));
        [EdgeClass::Eave, EdgeClass::Ridge, EdgeClass::Rake]
            .into_iter()
            .filter(|&class| self.true_ft(class) > 0.0)
            .filter(|&class| !stated(class) && tells(class))
            .collect()
    }

    /// What a cause would make of a stated length, over the computed one; `None` where it says nothing about it.
    fn expected(&self, cause: &Cause, class: Option<EdgeClass>, subject: Subject) -> Option<f64> {
        match (cause, class) {
            (Cause::Scale(slip), _) => Some(slip.factor),
            (Cause::FitToPage { factor }, _) => Some(*factor),
            // The area was worked out wrongly from lengths that are right.
            (Cause::SlopeTwice, Some(_)) => Some(1.0),
            // A dimension in the drawing measures anything: a wall as well as an eave.
            (_, None) => None,
            (
                Cause::OverhangLeftOut {
                    eave_ft, rake_ft, ..
                }
                | Cause::PlanInsideWalls { eave_ft, rake_ft },
                Some(class),
            ) => {
                let overhang = Overhang {
                    eave_ft: *eave_ft,
                    rake_ft: *rake_ft,
                };
                is_level(class)
                    .then(|| walls::length(self.roof, class, SurfaceSaid::True, overhang))
                    .flatten()
                    .map(|inside| inside / self.true_ft(class))
            }
            (Cause::OtherPitch { in_12 }, Some(class)) if !is_level(class) => self
                .sloping_at(class, *in_12)
                .filter(|_| subject == Subject::Roof),
            (
                Cause::PlanForTrue
                | Cause::PlanWithOpenings
                | Cause::TrueForPlan
                | Cause::OtherPitch { .. }
                | Cause::OpeningsLeftIn,
                Some(class),
            ) => is_level(class).then_some(1.0),
            _ => None,
        }
    }

    /// The sloping edges of a class taken at another pitch, over what they are: their plan is the same, and they climb in
    /// proportion to the pitch. `None` where the roof has several pitches.
    fn sloping_at(&self, class: EdgeClass, in_12: f64) -> Option<f64> {
        let own = self.roof.faces.first()?.pitch.to_rise_per_run();
        let one_pitch =
            |m: f64| (self.roof.faces.iter()).all(|f| (f.pitch.to_rise_per_run() - m).abs() < 1e-6);
        let climb = Pitch::in_12(in_12).to_rise_per_run() / own;
        let edges = self.roof.edges.iter().filter(|e| e.class == class);
        let taken: f64 = edges
            .map(|e| {
                let rise = (e.end.z - e.start.z) * climb;
                e.plan_length.to_feet().hypot(rise)
            })
            .sum();
        let ratio = taken / self.true_ft(class);
        (own > 0.0 && one_pitch(own) && ratio.is_finite()).then_some(ratio)
    }
}

/// Classes whose plan and true lengths are one.
const fn is_level(class: EdgeClass) -> bool {
    matches!(
        class,
        EdgeClass::Eave
            | EdgeClass::HighEdge
            | EdgeClass::Ridge
            | EdgeClass::FlatEdge
            | EdgeClass::Headwall
    )
}
