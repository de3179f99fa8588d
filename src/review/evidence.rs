//! Lengths stated beside the areas: a slip in scale moves them too, by the square root; plan for true leaves eaves alone.

use super::alternatives::{Alternative, EXACT, OVERHANGS_FT};
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

impl Ratio {
    /// Whether it is a part of the true length, besides what it is rounded by.
    fn is(&self, part: f64, agree: f64) -> bool {
        (self.ratio / part - 1.0).abs() <= agree + self.rounding / part
    }
}

/// What stated lengths say about a cause.
#[derive(Clone, Copy)]
pub(super) struct Said {
    pub(super) bearing: Bearing,
    /// Whether one of them is other than the roof's, and as the cause would have it: one that a cause leaves as it is speaks
    /// against others, and no more for this cause than for any that leaves it so.
    pub(super) shown: bool,
}

impl Said {
    const NOTHING: Self = Self {
        bearing: Bearing::Silent,
        shown: false,
    };
}

/// What a cause makes of a class of edges, over its true length.
#[derive(Clone, Copy)]
struct Expected {
    /// `None` where it says nothing of it.
    makes: Option<f64>,
    /// What it may be as well, which tells nothing of the cause.
    besides: Option<f64>,
}

/// What the most exactly stated length would show of causes with a number to be chosen.
#[derive(Clone, Copy)]
pub(super) struct Finest {
    /// Its part of the true length.
    pub(super) factor: f64,
    /// How far that may be rounded.
    pub(super) rounding: f64,
    /// The overhang without which it is that.
    pub(super) overhang: Option<Overhang>,
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

    /// Slips in scale that all stated lengths of level edges show: the one that comes nearest to them as they are written, with
    /// nothing allowed for their rounding; and those at which they are the lengths inside the walls, as exactly as they are
    /// written. Sloping ones may have been left in plan besides.
    pub(super) fn slips(&self, overhangs: &[Overhang]) -> Vec<Slip> {
        let level: Vec<(EdgeClass, &Ratio)> = (self.ratios.iter())
            .filter_map(|r| Some((r.class.filter(|&c| is_level(c))?, r)))
            .collect();
        if level.is_empty() {
            return Vec::new();
        }
        let off = |slip: &Slip| {
            (level.iter()).try_fold(0.0_f64, |worst, (_, r)| {
                let off = (r.ratio / slip.factor - 1.0).abs();
                (off <= AGREE).then_some(worst.max(off))
            })
        };
        let met = SLIPS
            .into_iter()
            .filter_map(|slip| Some((off(&slip)?, slip)));
        let nearest = met.min_by(|a, b| a.0.total_cmp(&b.0));
        let mut all: Vec<Slip> = nearest.map(|(_, slip)| slip).into_iter().collect();
        let is_inside = |slip: &Slip, overhang: Overhang| {
            level.iter().all(|&(class, r)| {
                let inside = self.inside(class, SurfaceSaid::True, overhang);
                inside.is_some_and(|inside| r.is(inside * slip.factor, EXACT))
            })
        };
        let inside = SLIPS
            .into_iter()
            .filter(|slip| overhangs.iter().any(|&o| is_inside(slip, o)));
        for slip in inside {
            if all.iter().all(|told| told.key != slip.key) {
                all.push(slip);
            }
        }
        all
    }

    /// The part of the true size that the most exactly stated length has, a level one where there is any, and how far it may be
    /// rounded; `None` where it is the true size.
    pub(super) fn finest(&self) -> Option<Finest> {
        let moved = self.ratios.iter().filter_map(|r| {
            let class = r.class.filter(|_| !r.is(1.0, EXACT))?;
            Some((class, r))
        });
        let (class, finest) = moved.min_by(|(a, one), (b, other)| {
            (is_level(*b).cmp(&is_level(*a))).then(one.rounding.total_cmp(&other.rounding))
        })?;
        Some(Finest {
            factor: finest.ratio,
            rounding: finest.rounding,
            overhang: self.overhang_for(class, finest.ratio),
        })
    }

    /// The overhang, equal all round, without which a class has a part of its length: it gets shorter in proportion to the overhang.
    fn overhang_for(&self, class: EdgeClass, part: f64) -> Option<Overhang> {
        let all_round = |reach_ft: f64| Overhang {
            eave_ft: reach_ft,
            rake_ft: reach_ft,
        };
        let (least, most) = OVERHANGS_FT;
        let lost_per_ft = (1.0 - self.inside(class, SurfaceSaid::True, all_round(least))?) / least;
        let reach_ft = (1.0 - part) / lost_per_ft;
        (least..=most)
            .contains(&reach_ft)
            .then(|| all_round(reach_ft))
    }

    /// What the stated lengths say about a cause. `is_met`: the area is the one that it gives, as exactly as it is written.
    ///
    /// A sheet is drawn to its own dimensions, and the scale here was taken from one of them: that they are right says
    /// nothing about what somebody measured on a print of it. They do speak against a slip in scale that fits only nearly, as
    /// one of so many does by chance.
    pub(super) fn say(&self, cause: &Alternative, subject: Subject, is_met: bool) -> Said {
        self.say_within(cause, subject, is_met, AGREE)
    }

    /// Whether the stated lengths are those of a cause as exactly as they are written.
    pub(super) fn are_exactly(&self, cause: &Alternative, subject: Subject) -> bool {
        self.say_within(cause, subject, true, EXACT).bearing == Bearing::For
    }

    /// Whether they are, and that is exactly enough to prove something.
    pub(super) fn prove(&self, cause: &Alternative, subject: Subject) -> bool {
        self.ratios.iter().all(|r| r.rounding <= EXACT) && self.are_exactly(cause, subject)
    }

    fn say_within(
        &self,
        alternative: &Alternative,
        subject: Subject,
        is_met: bool,
        agree: f64,
    ) -> Said {
        let cause = &alternative.cause;
        if subject == Subject::Roof && alternative.at.is_none() && cause.is_of_counting() {
            return self.say_of_counting(cause, agree);
        }
        let factor = alternative.at.map_or(1.0, |slip| slip.factor);
        let elsewhere = is_met && (matches!(cause, Cause::Scale(_)) || alternative.at.is_some());
        let mut said = Said::NOTHING;
        // What a cause makes of a class is worked out once.
        let mut of_class: Option<(Option<EdgeClass>, Expected)> = None;
        for stated in &self.ratios {
            let expected = match of_class {
                Some((class, known)) if class == stated.class => known,
                _ => {
                    let expected = self.expected_or_in_plan(alternative, stated.class, subject);
                    of_class.insert((stated.class, expected)).1
                }
            };
            let is = |part: Option<f64>| part.is_some_and(|part| stated.is(part * factor, agree));
            if is(expected.makes) {
                said.bearing = Bearing::For;
                said.shown |= !stated.is(1.0, agree);
            } else if expected.makes.is_none()
                || is(expected.besides)
                || (elsewhere && stated.class.is_none())
            {
                // It tells nothing.
            } else {
                return Said {
                    bearing: Bearing::Against,
                    shown: false,
                };
            }
        }
        said
    }

    /// What the listed lengths say about a way of counting: they bear it out where all of them are what was counted. Where they
    /// are not, faces may have been miscounted and edges not.
    fn say_of_counting(&self, cause: &Cause, agree: f64) -> Said {
        let is = |r: &Ratio| {
            let expected = r.class.and_then(|class| self.counted(cause, class));
            expected.is_some_and(|expected| r.is(expected, agree))
        };
        let moved = |r: &Ratio| !r.is(1.0, agree);
        if self.ratios.iter().all(is) && self.ratios.iter().any(moved) {
            Said {
                bearing: Bearing::For,
                shown: true,
            }
        } else {
            Said::NOTHING
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

    /// A class inside the walls, over all of it. A sloping one is that of a surface, over what it is on the slope.
    fn inside(&self, class: EdgeClass, surface: SurfaceSaid, overhang: Overhang) -> Option<f64> {
        let inside = walls::length(self.roof, class, surface, overhang)?;
        let whole = self.true_ft(class);
        (whole > 0.0).then(|| inside / whole)
    }

    /// What a cause makes of a stated length, and what else it may be that says nothing about the cause: who left an area in plan
    /// may have had a sloping length on the slope, and who left the overhang out may have had it in plan.
    fn expected_or_in_plan(
        &self,
        alternative: &Alternative,
        class: Option<EdgeClass>,
        subject: Subject,
    ) -> Expected {
        let cause = &alternative.cause;
        let expected = |class| self.expected(cause, class, subject);
        let sloping = class.filter(|&c| !is_level(c));
        let only = |makes| Expected {
            makes,
            besides: None,
        };
        if let (Some(overhang), Some(class)) = (cause.overhang(), sloping) {
            let inside = |surface| self.inside(class, surface, overhang);
            let (on_slope, in_plan) = (inside(SurfaceSaid::True), inside(SurfaceSaid::Plan));
            return match cause {
                Cause::PlanInsideWalls { .. } => Expected {
                    makes: in_plan,
                    besides: on_slope,
                },
                _ => Expected {
                    makes: on_slope,
                    besides: in_plan,
                },
            };
        }
        match (cause, sloping) {
            (
                Cause::PlanForTrue | Cause::FootprintForTrue | Cause::PlanWithOpenings,
                Some(class),
            ) => Expected {
                makes: Some(self.plan_ft(class) / self.true_ft(class)),
                besides: Some(1.0),
            },
            _ => only(expected(class).or_else(|| alternative.at.map(|_| 1.0))),
        }
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
        if let (Some(overhang), Some(class)) = (cause.overhang(), class) {
            return self.inside(class, SurfaceSaid::True, overhang);
        }
        match (cause, class) {
            (Cause::Scale(slip), _) => Some(slip.factor),
            (Cause::FitToPage { factor }, _) => Some(*factor),
            // The area was worked out wrongly from lengths that are right.
            (Cause::SlopeTwice, Some(_)) => Some(1.0),
            // A dimension in the drawing measures anything: a wall as well as an eave.
            (_, None) => None,
            (Cause::OtherPitch { in_12 }, Some(class)) if !is_level(class) => self
                .sloping_at(class, *in_12)
                .filter(|_| subject == Subject::Roof),
            (
                Cause::PlanForTrue
                | Cause::FootprintForTrue
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
