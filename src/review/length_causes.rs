//! Slips that explain a stated length of a class of edges, each with the length that it would give for this roof, and what
//! the other stated figures say about it.

use std::collections::BTreeSet;

use super::alternatives::Figures;
use super::cause::{Cause, SLIPS, Slip};
use super::class_lengths::ClassLengths;
use super::compare::{AreaCheck, Bearing, LengthCheck, Verdict};
use super::counting;
use super::evidence::AGREE;
use super::settings::Overhang;
use super::stated::{Subject, SurfaceSaid};
use super::walls;
use crate::geometry::{Vector, ring};
use crate::roof::{Edge, EdgeClass, Roof, Side};
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
    /// Measured at another scale.
    Scale(Slip),
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
const NEAR: f64 = 0.005;
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
    let mut overhangs = overhangs.to_vec();
    // One that was chosen to fit an area counts where lengths have borne it out.
    for of_area in areas.iter().filter(|a| a.decided).filter_map(overhang_of) {
        if !overhangs.contains(&of_area) && overhangs.len() < MOST_OVERHANGS {
            overhangs.push(of_area);
        }
    }
    let classes = Classes::new(roof, ours, &overhangs);
    let others = Others::new(roof, checks, areas, &classes);
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
            let foremost = causes.iter().map(|e| e.bearing).min();
            causes.retain(|e| Some(e.bearing) == foremost);
            check.causes = causes;
        }
    }
}

/// Overhangs that are tried: what a job says gives two, and each area may have been explained by another.
const MOST_OVERHANGS: usize = 4;

fn overhang_of(check: &AreaCheck) -> Option<Overhang> {
    check.likely().and_then(|e| overhang_in(&e.cause))
}

const fn overhang_in(cause: &Cause) -> Option<Overhang> {
    match *cause {
        Cause::OverhangLeftOut {
            eave_ft, rake_ft, ..
        }
        | Cause::PlanInsideWalls { eave_ft, rake_ft } => Some(Overhang { eave_ft, rake_ft }),
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
        is_some && left <= (NEAR * e.feet).max(check.half_step_ft) && left < off / 2.0
    });
    all
}

/// What each class of edges would come to by each slip, worked out once.
struct Classes {
    overhangs: Vec<Overhang>,
    /// By class, in their order, and for each on the slope and in plan.
    all: Vec<[OfClass; 2]>,
}

#[derive(Default)]
struct OfClass {
    alternatives: Vec<LengthExplanation>,
    /// For each overhang, in feet.
    inside_ft: Vec<Option<f64>>,
}

const fn place_of(surface: SurfaceSaid) -> usize {
    match surface {
        SurfaceSaid::True => 0,
        SurfaceSaid::Plan => 1,
    }
}

impl Classes {
    fn new(roof: &Roof, ours: &ClassLengths, overhangs: &[Overhang]) -> Self {
        let all = EdgeClass::ALL.into_iter().map(|class| {
            [SurfaceSaid::True, SurfaceSaid::Plan].map(|surface| {
                let whole = ours.feet(class, surface);
                if whole <= 0.0 {
                    return OfClass::default();
                }
                let inside = overhangs
                    .iter()
                    .map(|&overhang| walls::length(roof, class, surface, overhang));
                let inside_ft: Vec<Option<f64>> = inside.collect();
                let by_walls = overhangs.iter().zip(&inside_ft).filter_map(|(o, feet)| {
                    let feet = feet.filter(|feet| (feet / whole - 1.0).abs() > NEAR)?;
                    Some(by(LengthCause::OverhangLeftOut(*o), feet))
                });
                let mut all = alternatives(roof, ours, class, surface);
                for e in by_walls {
                    let is_told = |told: &LengthExplanation| {
                        matches!(told.cause, LengthCause::OverhangLeftOut(_))
                            && (told.feet / e.feet - 1.0).abs() < NEAR
                    };
                    if !all.iter().any(is_told) {
                        all.push(e);
                    }
                }
                OfClass {
                    alternatives: all,
                    inside_ft,
                }
            })
        });
        Self {
            all: all.collect(),
            overhangs: overhangs.to_vec(),
        }
    }

    fn of(&self, class: EdgeClass, surface: SurfaceSaid) -> Option<&OfClass> {
        let at = EdgeClass::ALL.iter().position(|c| *c == class)?;
        self.all.get(at).map(|both| &both[place_of(surface)])
    }

    fn alternatives(&self, class: EdgeClass, surface: SurfaceSaid) -> &[LengthExplanation] {
        self.of(class, surface)
            .map_or(&[], |of| of.alternatives.as_slice())
    }

    fn inside_ft(&self, check: &LengthCheck, overhang: usize) -> Option<f64> {
        let of = self.of(check.class, check.surface)?;
        of.inside_ft.get(overhang).copied().flatten()
    }
}

/// How many stated figures are as a slip would have them, and how many agree with the roof and would not if it were so.
#[derive(Clone, Copy, Default)]
struct Said {
    showing: usize,
    denying: usize,
}

/// What all stated figures say about the slips that move more than one of them.
struct Others {
    scales: [Said; SLIPS.len()],
    overhangs: Vec<Said>,
    /// How all edges were counted, where the total of the same list was counted so.
    counted: Option<LengthCause>,
    /// The faces that the total of the same list leaves out.
    left_out: Option<Cause>,
}

impl Others {
    fn new(roof: &Roof, lengths: &[LengthCheck], areas: &[AreaCheck], classes: &Classes) -> Self {
        let mut all = Self {
            scales: [Said::default(); SLIPS.len()],
            overhangs: vec![Said::default(); classes.overhangs.len()],
            counted: None,
            left_out: None,
        };
        // One figure written twice is one: a line for each of two eaves bears nothing out.
        let mut seen = BTreeSet::new();
        let mut once = |l: &LengthCheck| seen.insert((l.class, l.stated_ft.to_bits()));
        for check in lengths.iter().filter(|l| l.computed_ft > 0.0 && once(l)) {
            for (said, slip) in all.scales.iter_mut().zip(SLIPS) {
                let shows = shows_scale(check, slip);
                said.count(check.verdict, shows, !shows);
            }
            for (i, said) in all.overhangs.iter_mut().enumerate() {
                let shows = shows_overhang(check, classes, i);
                said.count(check.verdict, shows == Some(true), shows == Some(false));
            }
        }
        // What the drawing states of areas may be another's.
        let listed = || areas.iter().filter(|a| a.line.is_some());
        for check in listed() {
            let explained = |by: &dyn Fn(&Cause) -> bool| {
                check
                    .explanations
                    .iter()
                    .any(|e| by(&e.cause) || e.at.is_some_and(|slip| by(&Cause::Scale(slip))))
            };
            for (said, slip) in all.scales.iter_mut().zip(SLIPS) {
                let shows = explained(&|c| *c == Cause::Scale(slip));
                let so = check.computed_sqft * slip.factor * slip.factor;
                let far = (check.stated_sqft / so - 1.0).abs() > 2.0 * AGREE;
                said.count(check.verdict, shows, far);
                // A total that something else made what it is, or that is as the lengths are and not as their squares, was not
                // measured at that scale.
                let as_lengths = check.stated_sqft / (check.computed_sqft * slip.factor) - 1.0;
                let otherwise = check.decided || as_lengths.abs() <= AGREE;
                let denies = check.subject == Subject::Roof && otherwise && !shows;
                said.denying += usize::from(denies && check.verdict == Verdict::Differs);
            }
            all.counted = all.counted.or_else(|| counted(check));
            if all.counted == Some(LengthCause::LeftOut) && all.left_out.is_none() {
                all.left_out = check.likely().map(|e| e.cause);
            }
            for (said, overhang) in all.overhangs.iter_mut().zip(&classes.overhangs) {
                let shows = explained(&|c| overhang_in(c) == Some(*overhang));
                said.count(check.verdict, shows, false);
            }
        }
        // The whole roof shows best what an overhang takes; one agreeing total is enough.
        let total = |a: &&AreaCheck| a.subject == Subject::Roof && a.verdict == Verdict::Agrees;
        if let Some(total) = listed().find(total) {
            for (said, &overhang) in all.overhangs.iter_mut().zip(&classes.overhangs) {
                let figures = Figures::new(roof, total.subject, total.surface, &[]);
                let inside = figures.inside_own(overhang);
                let far = |sqft: f64| {
                    let off = (total.stated_sqft / sqft - 1.0).abs();
                    off > 2.0 * AGREE + total.half_step_sqft / sqft
                };
                said.count(total.verdict, false, inside.is_some_and(far));
            }
        }
        all
    }

    /// What the figures other than this one say about a cause.
    fn bearing(&self, cause: &LengthCause, check: &LengthCheck, classes: &Classes) -> Bearing {
        let (said, own) = match cause {
            LengthCause::Scale(slip) => {
                let all = self.scales.iter().zip(SLIPS);
                let mut said = all
                    .filter(|(_, s)| s.key == slip.key)
                    .map(|(said, _)| *said);
                (said.next_back(), shows_scale(check, *slip))
            }
            LengthCause::OverhangLeftOut(overhang) => {
                let at = classes.overhangs.iter().position(|o| o == overhang);
                let own = at.and_then(|at| shows_overhang(check, classes, at));
                let said = at.and_then(|at| self.overhangs.get(at)).copied();
                (said, own == Some(true))
            }
            counted if Some(*counted) == self.counted => return Bearing::For,
            // Edges may be counted, multiplied or written wrongly one class at a time.
            _ => (None, false),
        };
        let said = said.unwrap_or_default();
        match said.showing.saturating_sub(usize::from(own)) {
            _ if said.denying > 0 => Bearing::Against,
            0 => Bearing::Silent,
            _ => Bearing::For,
        }
    }
}

/// What became of every edge where all of a total was counted twice, or half of it, and the lengths with it.
fn counted(total: &AreaCheck) -> Option<LengthCause> {
    let told = total.likely().filter(|e| {
        let whole = total.subject == Subject::Roof && total.decided;
        whole && e.bearing == Bearing::For
    })?;
    let is_half = || (told.sqft / total.computed_sqft - 0.5).abs() < NEAR;
    match told.cause {
        Cause::AllTwice => Some(LengthCause::Twice),
        Cause::HalfCounted => Some(LengthCause::Half),
        Cause::BuildingMissing { .. } if is_half() => Some(LengthCause::Half),
        Cause::BuildingMissing { .. }
        | Cause::WingMissing { .. }
        | Cause::LevelMissing { .. }
        | Cause::FaceMissing(_)
        | Cause::FacesMissing(_) => Some(LengthCause::LeftOut),
        _ => None,
    }
}

/// A class of edges without those of the faces that the total leaves out, where that makes a difference.
fn left_out_of(
    roof: &Roof,
    ours: &ClassLengths,
    cause: &Cause,
    check: &LengthCheck,
) -> Option<LengthExplanation> {
    let feet = counting::left_ft(roof, cause, check.class, check.surface)?;
    let whole = ours.feet(check.class, check.surface);
    let differs = (feet / whole - 1.0).abs() > NEAR;
    differs.then(|| by(LengthCause::LeftOut, feet))
}

impl Said {
    fn count(&mut self, verdict: Verdict, shows: bool, would_not_agree: bool) {
        self.showing += usize::from(verdict == Verdict::Differs && shows);
        self.denying += usize::from(verdict == Verdict::Agrees && would_not_agree);
    }
}

fn is_near(check: &LengthCheck, feet: f64) -> bool {
    (check.stated_ft / feet - 1.0).abs() <= AGREE + check.half_step_ft / feet
}

fn shows_scale(check: &LengthCheck, slip: Slip) -> bool {
    is_near(check, check.computed_ft * slip.factor)
}

/// Whether a length is the one inside the walls; `None` where it is that anyway, or cannot be told.
fn shows_overhang(check: &LengthCheck, classes: &Classes, overhang: usize) -> Option<bool> {
    let feet = classes.inside_ft(check, overhang)?;
    let moves = (feet / check.computed_ft - 1.0).abs() > 2.0 * AGREE;
    moves.then(|| is_near(check, feet))
}

const fn by(cause: LengthCause, feet: f64) -> LengthExplanation {
    LengthExplanation {
        cause,
        feet,
        bearing: Bearing::Silent,
    }
}

fn alternatives(
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
    let mut edges = roof.edges.iter().filter(|e| e.class == class).map(length);
    if let (Some(first), Some(second)) = (edges.next(), edges.next()) {
        let alike = |feet: f64| (feet / first - 1.0).abs() < NEAR;
        if alike(second) && edges.all(alike) {
            tell(LengthCause::OneEdge, first);
        }
    }
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
            Self::OverhangLeftOut(_) => "overhang-left-out",
            Self::Scale(slip) => slip.key,
            Self::MetresForFeet => "metres-for-feet",
            Self::FeetForMetres => "feet-for-metres",
            Self::Twice => "all-twice",
            Self::Half => "half-counted",
            Self::LeftOut => "left-out-as-in-the-area",
            Self::OneSide => "one-side",
            Self::OneEdge => "one-edge",
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
            Self::OverhangLeftOut(_) => "measured to the walls: the overhang left out",
            Self::Scale(slip) => slip.words,
            Self::MetresForFeet => "metres stated as feet",
            Self::FeetForMetres => "feet stated as metres",
            Self::Twice => "every edge counted twice",
            Self::Half => "half of the edges counted, as half of the roof was",
            Self::LeftOut => "as in the stated total: the edges of what is left out there",
            Self::OneSide => "the edges of one side only",
            Self::OneEdge => "one edge only, of several of this length",
        }
    }

    /// What to ask whoever stated it.
    pub const fn question(&self) -> &'static str {
        match self {
            Self::PlanForTrue | Self::SlopeFactor | Self::HipFactor => {
                "Ask for the length on the slope, and how it was worked out."
            }
            Self::TrueForPlan => "Ask which of plan and slope is meant.",
            Self::OverhangLeftOut(_) => {
                "Ask whether it was measured to the walls or to the edges of the roof."
            }
            Self::Scale(_) => {
                "Ask from which print or file it was measured; check one length there against its dimension."
            }
            Self::MetresForFeet | Self::FeetForMetres => "Ask for the unit.",
            Self::Twice | Self::Half | Self::LeftOut | Self::OneSide | Self::OneEdge => {
                "Ask which edges were counted."
            }
        }
    }
}
