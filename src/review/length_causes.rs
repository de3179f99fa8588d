//! Slips that explain a stated length of a class of edges, each with the length that it would give for this roof.

use super::against::StatedLength;
use super::cause::{SLIPS, Slip};
use super::stated::SurfaceSaid;
use crate::roof::{Edge, EdgeClass, Roof};
use crate::units::METRES_PER_FOOT;

/// Why a stated length may differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LengthCause {
    /// The length in plan was stated for the one on the slope.
    PlanForTrue,
    /// The length on the slope was stated where the words say plan.
    TrueForPlan,
    /// A hip or valley in plan was multiplied by the factor of the slopes beside it, as a rafter is; it climbs less steeply.
    SlopeFactor,
    /// A hip or valley in plan was multiplied by the hip factor of rafter tables, which is for the run of a common rafter.
    HipFactor,
    /// Measured at another scale.
    Scale(Slip),
    /// The figure is in metres, the unit says feet.
    MetresForFeet,
    /// The figure is in feet, the unit says metres.
    FeetForMetres,
    /// Every edge was counted twice, as by going round each face.
    Twice,
}

/// A slip that explains a stated length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthExplanation {
    /// The slip.
    pub cause: LengthCause,
    /// What it gives for this roof, in feet.
    pub feet: f64,
}

/// A length is met within tracing error, besides its rounding: half of what is asked of an area, which is a square.
const NEAR: f64 = 0.005;

/// The slips that come near enough to a statement and nearer than half-way from the computed length, in feet.
pub(super) fn fitting(
    roof: &Roof,
    stated: &StatedLength,
    computed_ft: f64,
) -> Vec<LengthExplanation> {
    let off = (stated.feet - computed_ft).abs();
    let mut all = alternatives(roof, stated.class, stated.surface, computed_ft);
    all.retain(|e| {
        let left = (stated.feet - e.feet).abs();
        e.feet > 0.0 && left <= (NEAR * e.feet).max(stated.half_step_ft) && left < off / 2.0
    });
    all
}

fn alternatives(
    roof: &Roof,
    class: EdgeClass,
    surface: SurfaceSaid,
    computed_ft: f64,
) -> Vec<LengthExplanation> {
    let by = |cause: LengthCause, feet: f64| LengthExplanation { cause, feet };
    let in_plan = roof.plan_length(class).to_feet();
    let mut all = vec![match surface {
        SurfaceSaid::True => by(LengthCause::PlanForTrue, in_plan),
        SurfaceSaid::Plan => by(LengthCause::TrueForPlan, roof.true_length(class).to_feet()),
    }];
    if matches!(class, EdgeClass::Hip | EdgeClass::Valley) {
        let factored = |of: fn(f64) -> f64| -> f64 {
            let edges = roof.edges.iter().filter(|e| e.class == class);
            edges
                .map(|e| e.plan_length.to_feet() * of(slope_beside(roof, e)))
                .sum()
        };
        // A rafter of slope m is √(1 + m²) times its run, and the hip between two of them √(2 + m²) times that run, its own
        // run being √2 of it (rafter tables of framing squares).
        all.push(by(LengthCause::SlopeFactor, factored(|m| m.hypot(1.0))));
        all.push(by(
            LengthCause::HipFactor,
            factored(|m| m.mul_add(m, 2.0).sqrt()),
        ));
    }
    let scales = SLIPS.into_iter();
    all.extend(scales.map(|slip| by(LengthCause::Scale(slip), computed_ft * slip.factor)));
    all.extend([
        by(LengthCause::MetresForFeet, computed_ft * METRES_PER_FOOT),
        by(LengthCause::FeetForMetres, computed_ft / METRES_PER_FOOT),
        by(LengthCause::Twice, computed_ft * 2.0),
    ]);
    all
}

/// The slope, rise over run, of the steeper face beside an edge.
fn slope_beside(roof: &Roof, edge: &Edge) -> f64 {
    let slopes = edge
        .faces
        .iter()
        .map(|&f| roof.face(f).pitch.to_rise_per_run());
    slopes.fold(0.0, f64::max)
}

impl LengthCause {
    /// A stable name for scripts.
    pub const fn key(&self) -> &'static str {
        match self {
            Self::PlanForTrue => "plan-for-true",
            Self::TrueForPlan => "true-for-plan",
            Self::SlopeFactor => "slope-factor-on-plan",
            Self::HipFactor => "hip-factor-on-plan",
            Self::Scale(slip) => slip.key,
            Self::MetresForFeet => "metres-for-feet",
            Self::FeetForMetres => "feet-for-metres",
            Self::Twice => "all-twice",
        }
    }

    /// What happened, in a few words.
    pub const fn words(&self) -> &'static str {
        match self {
            Self::PlanForTrue => "length in plan, not on the slope",
            Self::TrueForPlan => "length on the slope, though it says plan",
            Self::SlopeFactor => "length in plan times the factor of the slope, not of the hip",
            Self::HipFactor => {
                "length in plan times the hip factor, which is for the run of a common rafter"
            }
            Self::Scale(slip) => slip.words,
            Self::MetresForFeet => "metres stated as feet",
            Self::FeetForMetres => "feet stated as metres",
            Self::Twice => "every edge counted twice",
        }
    }

    /// What to ask whoever stated it.
    pub const fn question(&self) -> &'static str {
        match self {
            Self::PlanForTrue | Self::SlopeFactor | Self::HipFactor => {
                "Ask for the length on the slope, and how it was worked out."
            }
            Self::TrueForPlan => "Ask which of plan and slope is meant.",
            Self::Scale(_) => {
                "Ask from which print or file it was measured; check one length there against its dimension."
            }
            Self::MetresForFeet | Self::FeetForMetres => "Ask for the unit.",
            Self::Twice => "Ask which edges were counted.",
        }
    }
}
