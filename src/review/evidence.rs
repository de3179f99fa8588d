//! Lengths stated beside the areas: a slip in scale moves them too, by the square root; plan for true leaves eaves alone.

use super::cause::Cause;
use super::compare::{Bearing, LengthCheck};
use super::settings::Overhang;
use super::walls;
use crate::drawing::Drawing;
use crate::roof::{EdgeClass, Roof};

/// Lengths nearer than this agree: an area known to 1 % has sides known to half of that, and a little more for tracing.
const AGREE: f64 = 0.006;

/// A stated length over the computed one.
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
    ratios: Vec<Ratio>,
}

impl<'r> Lengths<'r> {
    pub(super) fn new(drawing: &Drawing, roof: &'r Roof, listed: &[LengthCheck]) -> Self {
        let of_list = listed
            .iter()
            .filter(|l| l.computed_ft > 0.0)
            .map(|l| Ratio {
                class: Some(l.class),
                ratio: l.stated_ft / l.computed_ft,
                rounding: l.half_step_ft / l.computed_ft,
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
        if ratios.is_empty() {
            ratios = of_drawing.collect();
        }
        Self { roof, ratios }
    }

    /// What the stated lengths say about a cause.
    pub(super) fn bearing(&self, cause: &Cause) -> Bearing {
        let mut said = Bearing::Silent;
        for stated in &self.ratios {
            let Some(expected) = self.expected(cause, stated.class) else {
                continue;
            };
            let apart = (stated.ratio / expected - 1.0).abs();
            if apart > AGREE + stated.rounding {
                return Bearing::Against;
            }
            said = Bearing::For;
        }
        said
    }

    /// What a cause would make of a stated length, over the computed one; `None` where it says nothing about it.
    fn expected(&self, cause: &Cause, class: Option<EdgeClass>) -> Option<f64> {
        match (cause, class) {
            (Cause::Scale(slip), _) => Some(slip.factor),
            (Cause::FitToPage { factor }, _) => Some(*factor),
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
                    .then(|| walls::level_length(self.roof, class, overhang))
                    .flatten()
                    .map(|inside| inside / self.roof.true_length(class).to_feet())
            }
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
