//! The figures that known slips would give for the roof at hand: computed from its faces, not from ratios.

use super::cause::{Cause, HALF_SIZE, SLIPS, Slip};
use super::revision::{self, uncut_sqft};
use super::settings::Overhang;
use super::stated::{Subject, SurfaceSaid};
use super::walls;
use crate::roof::{Face, FaceId, Roof};
use crate::units::{METRES_PER_FOOT, Pitch, SQUARE_FEET_PER_SQUARE};

/// A slip and the area that it would give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alternative {
    /// The slip.
    pub cause: Cause,
    /// What would have been stated, in square feet.
    pub sqft: f64,
    /// How near a statement must come, as a part of the figure: causes of which there are many must be met closely.
    pub within: f64,
    /// The slip in scale that was made besides, where stated lengths show one.
    pub at: Option<Slip>,
}

impl Alternative {
    /// The same slip made at another scale.
    fn on(self, slip: Slip) -> Self {
        Self {
            sqft: self.sqft * slip.factor * slip.factor,
            at: Some(slip),
            ..self
        }
    }
}

/// A cause of which a roof has only one or two is met within tracing error; more is asked of those that come by the
/// dozen, since one of them always lies near.
pub(super) const NEAR: f64 = 0.01;
pub(super) const CLOSE: f64 = 0.003;
pub(super) const EXACT: f64 = 0.001;

/// One of two dozen pitches lies within so much of one figure in twenty; at 0.3 % it would be one in six.
const PITCH_MET: f64 = 0.0005;

/// Pitches in 12 that differ by less are one.
const SAME_PITCH: f64 = 1e-6;

/// Alternatives nearer to the computed figure than this are no explanation.
const LEAST_CHANGE: f64 = 0.002;

/// Sums of the same areas differ by no more than this part of them.
const SUMMED: f64 = 1e-9;

/// Overhangs looked for where none is known, in feet: 6 in to 3 ft are usual (common practice, no source).
pub(super) const OVERHANGS_FT: (f64, f64) = (0.5, 3.0);
/// Pages shrunk to fit the paper come out at 94 to 97 % (common practice, no source).
const FIT_TO_PAGE: (f64, f64) = (0.94, 0.97);

/// A subject with its measures.
pub(super) struct Figures<'r> {
    pub(super) roof: &'r Roof,
    pub(super) subject: Subject,
    surface: SurfaceSaid,
    pub(super) faces: Vec<FaceId>,
    overhangs: &'r [Overhang],
}

impl<'r> Figures<'r> {
    pub(super) fn new(
        roof: &'r Roof,
        subject: Subject,
        surface: SurfaceSaid,
        overhangs: &'r [Overhang],
    ) -> Self {
        Self {
            roof,
            subject,
            surface,
            faces: subject.faces(roof),
            overhangs,
        }
    }

    /// The face that the statement is of; `None` for several.
    pub(super) fn one_face(&self) -> Option<FaceId> {
        match self.subject {
            Subject::Face(face) => Some(face),
            Subject::Part(_) | Subject::Roof => None,
        }
    }
    fn sum(&self, of: impl Fn(&Face) -> f64) -> f64 {
        self.faces.iter().map(|&f| of(self.roof.face(f))).sum()
    }
    fn plan(&self) -> f64 {
        self.sum(plan_sqft)
    }
    fn true_area(&self) -> f64 {
        self.sum(true_sqft)
    }
    /// A face's area on the surface that the statement says.
    pub(super) fn own(&self, face: &Face) -> f64 {
        match self.surface {
            SurfaceSaid::True => true_sqft(face),
            SurfaceSaid::Plan => plan_sqft(face),
        }
    }
    /// The figure that should have been stated, in square feet.
    pub(super) fn computed(&self) -> f64 {
        self.sum(|f| self.own(f))
    }

    /// All alternatives that have no number chosen to fit, the likelier causes first where nothing else is known.
    pub(super) fn alternatives(&self) -> Vec<Alternative> {
        let mut all = Vec::new();
        self.surfaces(&mut all);
        self.covered(&mut all);
        self.walls(&mut all);
        // Levels have names of their own and are met more closely than slips in scale, of which there are many.
        self.levels(&mut all);
        self.units(&mut all);
        self.scales(&mut all);
        self.counting(&mut all);
        self.openings(&mut all);
        self.pitches(&mut all);
        let computed = self.computed();
        all.retain(|a| a.sqft > 0.0 && is_change(a.sqft, computed));
        all
    }

    /// Alternatives that came about at another scale, where the stated lengths show that one was used: an area on a print
    /// of half the size is a quarter, and in plan less than that. Pitches and sets of faces are left out: one of so many would
    /// always fit.
    pub(super) fn at_scale(&self, slip: Slip) -> Vec<Alternative> {
        let mut all = Vec::new();
        self.surfaces(&mut all);
        self.covered(&mut all);
        self.walls(&mut all);
        self.levels(&mut all);
        self.counting(&mut all);
        self.openings(&mut all);
        let computed = self.computed();
        all.retain(|a| a.sqft > 0.0 && is_change(a.sqft, computed));
        all.retain(|a| !matches!(a.cause, Cause::FacesMissing(_)));
        for alternative in &mut all {
            *alternative = alternative.on(slip);
        }
        all.retain(|a| is_change(a.sqft, computed));
        // A scale makes squares of areas: where an area is as the lengths are, counting made both, and no two slips did that
        // undo half of each other.
        all.retain(|a| (a.sqft / (computed * slip.factor) - 1.0).abs() > CLOSE);
        all
    }

    fn surfaces(&self, all: &mut Vec<Alternative>) {
        match self.surface {
            SurfaceSaid::True => {
                let factor = |f: &Face| f.pitch.to_rise_per_run().hypot(1.0);
                let twice = self.sum(|f| true_sqft(f) * factor(f));
                all.push(near(Cause::PlanForTrue, self.plan()));
                all.push(exact(Cause::SlopeTwice, twice));
            }
            SurfaceSaid::Plan => all.push(near(Cause::TrueForPlan, self.true_area())),
        }
    }

    /// The roof beneath higher levels left out: a face that runs on beneath another level is counted whole here, and a sheet may
    /// well leave that part out, or give the plan that is seen from above.
    fn covered(&self, all: &mut Vec<Alternative>) {
        let covered = |face: &Face| revision::covered_sqft(self.roof, face);
        let in_plan = self.sum(covered);
        if in_plan <= SUMMED * self.plan() {
            return;
        }
        if self.surface == SurfaceSaid::True {
            all.push(near(Cause::FootprintForTrue, self.plan() - in_plan));
        }
        let own = self.sum(|face| covered(face) * self.own(face) / plan_sqft(face));
        all.push(close(Cause::CoveredLeftOut, self.computed() - own));
    }

    /// Two slips that are so common that they are looked for together though no length shows the print: the plan area,
    /// measured on a print of half the size.
    pub(super) fn plan_on_half_size(&self) -> Option<Alternative> {
        let on_slope = self.surface == SurfaceSaid::True;
        let plan = close(Cause::PlanForTrue, self.plan());
        on_slope.then(|| plan.on(HALF_SIZE))
    }

    fn inside(&self, overhang: Overhang, of: impl Fn(&Face, f64) -> f64) -> Option<f64> {
        self.faces
            .iter()
            .map(|&id| {
                let face = self.roof.face(id);
                walls::plan_area(self.roof, face, overhang).map(|plan| of(face, plan))
            })
            .sum()
    }

    /// The area inside the walls, on the surface that the statement says; `None` where an overhang is wider than a face.
    pub(super) fn inside_own(&self, overhang: Overhang) -> Option<f64> {
        self.inside(overhang, |face, plan| {
            plan * self.own(face) / plan_sqft(face)
        })
    }

    fn walls(&self, all: &mut Vec<Alternative>) {
        for &overhang in self.overhangs {
            self.inside_walls(overhang, all);
        }
    }

    fn inside_walls(&self, overhang: Overhang, all: &mut Vec<Alternative>) {
        let Overhang { eave_ft, rake_ft } = overhang;
        // Without rakes, or without eaves, the other overhang tells nothing.
        let is_told = |key: &str, sqft: f64| {
            let told =
                |a: &Alternative| a.cause.key() == key && (a.sqft / sqft - 1.0).abs() < EXACT;
            all.iter().any(told)
        };
        let own = self.inside_own(overhang);
        let in_plan = (self.surface == SurfaceSaid::True)
            .then(|| self.inside(overhang, |_, plan| plan))
            .flatten();
        let own = own.filter(|&sqft| !is_told("overhang-left-out", sqft));
        let in_plan = in_plan.filter(|&sqft| !is_told("plan-inside-walls", sqft));
        if let Some(sqft) = own {
            all.push(near(
                Cause::OverhangLeftOut {
                    eave_ft,
                    rake_ft,
                    chosen: false,
                },
                sqft,
            ));
        }
        if let Some(sqft) = in_plan {
            all.push(near(Cause::PlanInsideWalls { eave_ft, rake_ft }, sqft));
        }
    }

    fn units(&self, all: &mut Vec<Alternative>) {
        const SQUARE_METRES: f64 = METRES_PER_FOOT * METRES_PER_FOOT;
        let computed = self.computed();
        all.extend([
            near(Cause::MetresForFeet, computed * SQUARE_METRES),
            near(Cause::FeetForMetres, computed / SQUARE_METRES),
            near(Cause::SquaresForFeet, computed / SQUARE_FEET_PER_SQUARE),
            near(
                Cause::SquaresForMetres,
                computed / SQUARE_FEET_PER_SQUARE / SQUARE_METRES,
            ),
            near(Cause::FeetForSquares, computed * SQUARE_FEET_PER_SQUARE),
            near(Cause::PointForThousands, computed / 1000.0),
        ]);
    }

    fn scales(&self, all: &mut Vec<Alternative>) {
        let computed = self.computed();
        all.extend(SLIPS.into_iter().map(|slip| {
            let sqft = computed * slip.factor * slip.factor;
            // Both ways of squeezing lie within a few percent of half the size.
            let squeezed = slip.key.starts_with("print-");
            if squeezed {
                close(Cause::Scale(slip), sqft)
            } else {
                near(Cause::Scale(slip), sqft)
            }
        }));
    }

    fn openings(&self, all: &mut Vec<Alternative>) {
        let uncut = |face: &Face| uncut_sqft(self.roof, face);
        let gross = self.sum(|face| self.own(face) * uncut(face) / plan_sqft(face));
        all.push(close(Cause::OpeningsLeftIn, gross));
        let in_plan = self.sum(uncut);
        // Without openings it is the plan area, which has a name of its own.
        if self.surface == SurfaceSaid::True && in_plan > self.plan() * (1.0 + SUMMED) {
            all.push(close(Cause::PlanWithOpenings, in_plan));
        }
    }

    /// Another whole pitch for a face; one of the roof's own pitches for all of it. There are so many pitches that nothing in
    /// the drawing carries that one of them must be met exactly.
    fn pitches(&self, all: &mut Vec<Alternative>) {
        if self.surface == SurfaceSaid::Plan {
            return;
        }
        let mut own: Vec<f64> = self.roof.faces.iter().map(|f| f.pitch.to_in_12()).collect();
        own.sort_by(f64::total_cmp);
        own.dedup_by(|a, b| (*a - *b).abs() < SAME_PITCH);
        // A roof of one pitch may have been taken at any other, and so may a face.
        let any = own.len() == 1 || self.one_face().is_some();
        let is_own = |in_12: f64| own.iter().any(|o| (o - in_12).abs() < SAME_PITCH);
        let others = (1..=24)
            .map(f64::from)
            .filter(|&in_12| any && !is_own(in_12));
        let plan = self.plan();
        let taken = |in_12: f64| plan * Pitch::in_12(in_12).to_rise_per_run().hypot(1.0);
        let cause = |in_12| Cause::OtherPitch { in_12 };
        all.extend(others.map(|in_12| Alternative {
            within: PITCH_MET,
            ..exact(cause(in_12), taken(in_12))
        }));
        // A flat part's pitch taken for all of it gives the plan area, which has a name of its own.
        let is_pitch = |in_12: &&f64| is_change(taken(**in_12), plan);
        let own = own.iter().filter(is_pitch);
        all.extend(own.map(|&in_12| close(cause(in_12), taken(in_12))));
    }

    /// Causes with a number that is chosen so that they fit a stated figure: an overhang, a shrunk page.
    pub(super) fn chosen(&self, stated_sqft: f64) -> Vec<Alternative> {
        let mut all = Vec::new();
        let computed = self.computed();
        if !(stated_sqft > 0.0 && is_change(stated_sqft, computed)) {
            return all;
        }
        if self.overhangs.is_empty()
            && let Some(reach) = self.overhang_for(stated_sqft)
        {
            all.push(near(
                Cause::OverhangLeftOut {
                    eave_ft: reach,
                    rake_ft: reach,
                    chosen: true,
                },
                stated_sqft,
            ));
        }
        let factor = (stated_sqft / computed).sqrt();
        if (FIT_TO_PAGE.0..=FIT_TO_PAGE.1).contains(&factor) {
            all.push(near(Cause::FitToPage { factor }, stated_sqft));
        }
        all
    }

    /// The overhang, equal all round, without which the area is the one stated: by halving, since the area inside the
    /// walls shrinks as the overhang grows.
    fn overhang_for(&self, stated_sqft: f64) -> Option<f64> {
        let area = |reach: f64| {
            self.inside_own(Overhang {
                eave_ft: reach,
                rake_ft: reach,
            })
        };
        let (mut low, mut high) = OVERHANGS_FT;
        if area(low)? < stated_sqft {
            return None;
        }
        // Too wide for some face counts as too wide.
        let enough = |reach: f64| area(reach).is_none_or(|a| a <= stated_sqft);
        if !enough(high) {
            return None;
        }
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if enough(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        let met = area(high)?;
        ((met / stated_sqft - 1.0).abs() < EXACT).then_some(high)
    }
}

fn is_change(sqft: f64, computed_sqft: f64) -> bool {
    (sqft / computed_sqft - 1.0).abs() > LEAST_CHANGE
}
fn plan_sqft(face: &Face) -> f64 {
    face.plan_area.to_square_feet()
}
fn true_sqft(face: &Face) -> f64 {
    face.true_area.to_square_feet()
}
const fn near(cause: Cause, sqft: f64) -> Alternative {
    Alternative {
        cause,
        sqft,
        within: NEAR,
        at: None,
    }
}
pub(super) const fn close(cause: Cause, sqft: f64) -> Alternative {
    Alternative {
        cause,
        sqft,
        within: CLOSE,
        at: None,
    }
}
pub(super) const fn exact(cause: Cause, sqft: f64) -> Alternative {
    Alternative {
        cause,
        sqft,
        within: EXACT,
        at: None,
    }
}
