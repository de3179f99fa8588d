//! Slips that explain a stated length of a class of edges, each with the length that it would give for this roof.

use super::alternatives::Figures;
use super::cause::{Cause, SLIPS, Slip};
use super::class_lengths::ClassLengths;
use super::compare::{AreaCheck, Bearing, Verdict};
use super::counting;
use super::length_check::LengthCheck;
use super::length_evidence::{Classes, Others, left_out_of};
use super::length_overhang::{is_exactly, tried};
use super::settings::Overhang;
use super::stated::{Subject, SurfaceSaid};
use crate::geometry::{Vector, ring};
use crate::roof::{Edge, EdgeClass, FaceId, Roof, Side};
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
    /// Measured to the walls: the overhang was left out.
    OverhangLeftOut(Overhang),
    /// Measured to the walls, with an overhang that was chosen here so that stated lengths or areas fit.
    OverhangChosen(Overhang),
    /// Measured at another scale.
    Scale(Slip),
    /// Measured on a page shrunk to fit the paper, by as much as a stated area shows or this length itself.
    FitToPage {
        /// Size over true size.
        factor: f64,
    },
    /// Measured to the walls, and at another scale besides.
    WallsAtScale(Overhang, Slip),
    /// The figure is in metres, the unit says feet.
    MetresForFeet,
    /// The figure is in feet, the unit says metres.
    FeetForMetres,
    /// Every edge was counted twice, as by going round each face.
    Twice,
    /// Half of the edges were counted, as half of the roof was.
    Half,
    /// The edges of faces that the stated total leaves out were left out.
    LeftOut,
    /// Only the edges of one side of the roof: one of the two eaves of a gable.
    OneSide,
    /// Only one of several edges of one length: a hip of four.
    OneEdge,
}

/// A slip that explains a stated length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthExplanation {
    /// The slip.
    pub cause: LengthCause,
    /// What it gives for this roof, in feet.
    pub feet: f64,
    /// What the other stated figures say about it: lengths, and areas of the same list.
    pub bearing: Bearing,
}

/// A length is met within tracing error, besides its rounding: half of what is asked of an area, which is a square.
pub(super) const NEAR: f64 = 0.005;
/// Sides whose directions differ by less than this look one way: what tracing turns them by.
const SAME_SIDE_DEG: f64 = 2.0;
/// A roof with more sides than this has one of nearly any length.
const MOST_SIDES: usize = 8;

/// Explains the stated lengths that differ. What other stated figures bear out is told alone, and what they contradict only
/// where nothing else is left.
pub(super) fn explain(
    roof: &Roof,
    ours: &ClassLengths,
    checks: &mut [LengthCheck],
    areas: &[AreaCheck],
    overhangs: &[Overhang],
) {
    if checks.iter().all(|c| c.verdict != Verdict::Differs) {
        return;
    }
    let overhangs = tried(roof, ours, checks, areas, overhangs);
    let classes = Classes::new(roof, ours, &overhangs);
    let others = Others::new(roof, ours, checks, areas, &classes);
    for check in checks.iter_mut() {
        if check.verdict == Verdict::Differs {
            let left_out = others.left_out.as_ref();
            let left_out = left_out.and_then(|cause| left_out_of(roof, ours, cause, check));
            let alternatives = classes.alternatives(check.class, check.surface).iter();
            let mut causes = fitting(check, alternatives.copied().chain(left_out));
            causes.retain(|e| e.cause != LengthCause::Half || others.counted == Some(e.cause));
            let causes = causes.into_iter().map(|mut e| {
                e.bearing = others.bearing(&e.cause, check, &classes);
                e
            });
            let mut causes: Vec<LengthExplanation> = causes.collect();
            causes.extend(others.at_scale(check, &causes, &classes));
            others.foremost(&mut causes, &classes);
            let is_near = |e: &LengthExplanation| {
                matches!(e.cause, LengthCause::Scale(_)) && !is_exactly(check, e.feet)
            };
            if causes.iter().all(is_near) && !causes.is_empty() {
                causes.extend(page(roof, check));
            }
            check.causes = causes;
        }
    }
}

/// A page that shrank so far that it gives a length as it is written: beside a scale that gives it only nearly.
fn page(roof: &Roof, check: &LengthCheck) -> Option<LengthExplanation> {
    let figures = Figures::new(roof, Subject::Roof, SurfaceSaid::True, &[]);
    let factor = check.stated_ft / check.computed_ft;
    let rounding = check.half_step_ft / check.computed_ft;
    let shrunk = figures.page(
        figures.computed() * factor * factor,
        2.0 * figures.computed() * factor * rounding,
    );
    match shrunk?.cause {
        Cause::FitToPage { factor } => Some(by(
            LengthCause::FitToPage { factor },
            check.computed_ft * factor,
        )),
        _ => None,
    }
}

/// The slips that come near enough to a statement and nearer than half-way from the computed length.
fn fitting(
    check: &LengthCheck,
    alternatives: impl Iterator<Item = LengthExplanation>,
) -> Vec<LengthExplanation> {
    let off = check.difference_ft().abs();
    let mut all: Vec<LengthExplanation> = alternatives.collect();
    all.retain(|e| {
        let left = (check.stated_ft - e.feet).abs();
        // All valleys may have been the wing's.
        let is_some = e.feet > 0.0 || e.cause == LengthCause::LeftOut;
        is_some && is_met(check, e.feet) && left < off / 2.0
    });
    all
}

/// Whether a length is another one, within what tracing or rounding makes of it.
pub(super) fn is_met(check: &LengthCheck, feet: f64) -> bool {
    (check.stated_ft - feet).abs() <= (NEAR * feet).max(check.half_step_ft)
}

pub(super) const fn by(cause: LengthCause, feet: f64) -> LengthExplanation {
    LengthExplanation {
        cause,
        feet,
        bearing: Bearing::Silent,
    }
}

pub(super) fn alternatives(
    roof: &Roof,
    ours: &ClassLengths,
    class: EdgeClass,
    surface: SurfaceSaid,
) -> Vec<LengthExplanation> {
    let computed_ft = ours.feet(class, surface);
    let mut all = vec![match surface {
        SurfaceSaid::True => by(
            LengthCause::PlanForTrue,
            ours.feet(class, SurfaceSaid::Plan),
        ),
        SurfaceSaid::Plan => by(
            LengthCause::TrueForPlan,
            ours.feet(class, SurfaceSaid::True),
        ),
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
        by(LengthCause::Half, computed_ft / 2.0),
    ]);
    all.extend(some_edges(roof, class, surface));
    all
}

/// What comes of counting only some edges: those of one side, or one of several of one length.
fn some_edges(roof: &Roof, class: EdgeClass, surface: SurfaceSaid) -> Vec<LengthExplanation> {
    let length = |edge: &Edge| match surface {
        SurfaceSaid::True => edge.true_length.to_feet(),
        SurfaceSaid::Plan => edge.plan_length.to_feet(),
    };
    let mut sides: Vec<(Vector, f64)> = Vec::new();
    for face in &roof.faces {
        let corners = face.outline.plan();
        for ((a, b), side) in ring::sides(&corners).zip(&face.outline.sides) {
            let Side::Edge(id) = side else { continue };
            let Some(edge) = roof.edges.get(id.0) else {
                continue;
            };
            let (Some(along), 1) = ((b - a).unit(), edge.faces.len()) else {
                continue;
            };
            if edge.class != class {
                continue;
            }
            let same = |of: &Vector| {
                of.cross(along).atan2(of.dot(along)).to_degrees().abs() < SAME_SIDE_DEG
            };
            let too_many = sides.len() > MOST_SIDES;
            match sides.iter_mut().find(|(of, _)| same(of)) {
                Some((_, feet)) => *feet += length(edge),
                None if !too_many => sides.push((along, length(edge))),
                None => {}
            }
        }
    }
    if sides.len() > MOST_SIDES {
        sides.clear();
    }
    let mut all: Vec<LengthExplanation> = Vec::new();
    let mut tell = |cause: LengthCause, feet: f64| {
        let is_told = |e: &LengthExplanation| (e.feet / feet - 1.0).abs() < NEAR;
        if !all.iter().any(is_told) {
            all.push(by(cause, feet));
        }
    };
    if sides.len() > 1 {
        for &(_, feet) in &sides {
            tell(LengthCause::OneSide, feet);
        }
    }
    // Hips and valleys lie between two sides: those of one are all that bound its faces, two of the four of a hip roof.
    if matches!(class, EdgeClass::Hip | EdgeClass::Valley) {
        for feet in inner_edges_by_side(roof, class, length) {
            tell(LengthCause::OneSide, feet);
        }
    }
    let mut edges = roof.edges.iter().filter(|e| e.class == class).map(length);
    if let (Some(first), Some(second)) = (edges.next(), edges.next()) {
        let alike = |feet: f64| (feet / first - 1.0).abs() < NEAR;
        if alike(second) && edges.all(alike) {
            tell(LengthCause::OneEdge, first);
        }
    }
    all
}

/// The edges of a class that bound the faces of each side of the roof, where those are some of them and not all.
fn inner_edges_by_side(roof: &Roof, class: EdgeClass, length: impl Fn(&Edge) -> f64) -> Vec<f64> {
    let edges = || roof.edges.iter().filter(|e| e.class == class);
    let whole: f64 = edges().map(&length).sum();
    let mut all: Vec<(Vec<FaceId>, f64)> = Vec::new();
    for face in (0..roof.faces.len()).map(FaceId) {
        if all.iter().any(|(faces, _)| faces.contains(&face)) {
            continue;
        }
        if all.len() == MOST_SIDES {
            return Vec::new();
        }
        let faces = counting::same_side(roof, face);
        let of_side = edges().filter(|e| e.faces.iter().any(|f| faces.contains(f)));
        let feet = of_side.map(&length).sum();
        all.push((faces, feet));
    }
    let some = all.into_iter().map(|(_, feet)| feet);
    some.filter(|&feet| feet > 0.0 && (feet / whole - 1.0).abs() > NEAR)
        .collect()
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
            Self::OverhangLeftOut(_) | Self::OverhangChosen(_) => "overhang-left-out",
            Self::Scale(slip) => slip.key,
            Self::FitToPage { .. } => "fit-to-page",
            Self::WallsAtScale(..) => "overhang-left-out-at-scale",
            Self::MetresForFeet => "metres-for-feet",
            Self::FeetForMetres => "feet-for-metres",
            Self::Twice => "all-twice",
            Self::Half => "half-counted",
            Self::LeftOut => "left-out-as-in-the-area",
            Self::OneSide => "one-side",
            Self::OneEdge => "one-edge",
        }
    }

    /// Whether it is a number chosen to fit, or two slips at once: more than one length has to show it.
    pub(super) const fn needs_another(&self) -> bool {
        matches!(self, Self::FitToPage { .. } | Self::WallsAtScale(..))
    }

    /// Whether only some edges of a class were counted.
    pub(super) const fn is_of_some(&self) -> bool {
        matches!(self, Self::OneSide | Self::OneEdge)
    }

    /// The overhang that was left out.
    pub(super) const fn overhang(&self) -> Option<Overhang> {
        match self {
            Self::OverhangLeftOut(overhang) | Self::OverhangChosen(overhang) => Some(*overhang),
            _ => None,
        }
    }

    /// What to ask whoever stated it.
    pub const fn question(&self) -> &'static str {
        match self {
            Self::PlanForTrue | Self::SlopeFactor | Self::HipFactor => {
                "Ask for the length on the slope, and how it was worked out."
            }
            Self::TrueForPlan => "Ask which of plan and slope is meant.",
            Self::OverhangLeftOut(_) | Self::OverhangChosen(_) => {
                "Ask whether it was measured to the walls or to the edges of the roof."
            }
            Self::Scale(_) | Self::FitToPage { .. } | Self::WallsAtScale(..) => {
                "Ask from which print or file it was measured; check one length there against its dimension."
            }
            Self::MetresForFeet | Self::FeetForMetres => "Ask for the unit.",
            Self::Twice | Self::Half | Self::LeftOut | Self::OneSide | Self::OneEdge => {
                "Ask which edges were counted."
            }
        }
    }
}
