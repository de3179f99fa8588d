//! Faces left out, counted twice, or one side for two: the figures that miscounting would give.

use super::alternatives::{Alternative, CLOSE, EXACT, Figures, close, exact};
use super::cause::{Cause, FaceSet};
use super::stated::{Subject, SurfaceSaid};
use crate::geometry::{Point, Sets, ring};
use crate::roof::{Edge, EdgeClass, Face, FaceId, LEVEL_RISE_FT, Roof, Side};

/// Slopes whose falls turn by less than this fall to one side: what tracing turns them by.
const SAME_SIDE_DEG: f64 = 2.0;
/// Sets of faces left out are looked for where a roof has no more faces than this: ten have 637 sets of up to half of them.
const MOST_FACES: usize = 10;
/// Buildings that stand apart have at least so much between their roofs.
const GAP_FT: f64 = 1.0;
/// More buildings than this have one of nearly any share.
const MOST_BUILDINGS: usize = 8;
/// Sets are so many that one always lies near: one must be met so closely that a figure stated at random would meet any
/// of its size or smaller once in fifty times.
const CHANCE: f64 = 0.02;

impl Figures<'_> {
    /// Both sides of a ridge for one; for the whole roof, faces left out or counted twice.
    pub(super) fn counting(&self, all: &mut Vec<Alternative>) {
        if let Subject::Part(_) = self.subject {
            all.push(close(Cause::AllTwice, 2.0 * self.computed()));
            let whole = self.roof.faces.iter().map(|face| self.own(face)).sum();
            all.push(close(Cause::WholeForPart, whole));
            return;
        }
        let Some(face) = self.one_face() else {
            self.buildings(all);
            self.sides(all);
            self.single(all);
            self.wings(all);
            self.several(all);
            return;
        };
        let own = self.computed();
        all.extend(across_ridges(self.roof, face).into_iter().map(|other| {
            close(
                Cause::BothSides { other },
                own + self.own(self.roof.face(other)),
            )
        }));
    }

    /// For the whole roof, everything twice, and a higher level twice or not at all.
    pub(super) fn levels(&self, all: &mut Vec<Alternative>) {
        if self.subject != Subject::Roof {
            return;
        }
        let computed = self.computed();
        all.push(close(Cause::AllTwice, 2.0 * computed));
        let level_of = |id: &FaceId| self.roof.face(*id).level;
        let highest = self.faces.iter().map(level_of).max().unwrap_or_default();
        for level in 1..=highest {
            let of_level = self.faces.iter().filter(|id| level_of(id) == level);
            let sqft: f64 = of_level.map(|&id| self.own(self.roof.face(id))).sum();
            all.push(close(Cause::LevelTwice { level }, computed + sqft));
            all.push(close(Cause::LevelMissing { level }, computed - sqft));
        }
    }

    /// A building left out of several that stand apart; those of one area are told once.
    fn buildings(&self, all: &mut Vec<Alternative>) {
        let buildings = buildings(self.roof);
        if !(2..=MOST_BUILDINGS).contains(&buildings.len()) {
            return;
        }
        let computed = self.computed();
        let mut told: Vec<f64> = Vec::new();
        for faces in &buildings {
            let sqft: f64 = faces.iter().map(|&f| self.own(self.roof.face(f))).sum();
            if let Some(faces) = FaceSet::of(faces)
                && told.iter().all(|t| (sqft / t - 1.0).abs() > CLOSE)
            {
                all.push(close(Cause::BuildingMissing { faces }, computed - sqft));
                told.push(sqft);
            }
        }
    }

    /// Half of the roof, whichever half: only where the stated lengths are halves too.
    pub(super) fn half(&self) -> Option<Alternative> {
        let whole = self.subject == Subject::Roof;
        whole.then(|| close(Cause::HalfCounted, self.computed() / 2.0))
    }

    /// One side alone, or one side of several faces left out.
    fn sides(&self, all: &mut Vec<Alternative>) {
        let mut sides: Vec<(f64, Vec<FaceId>)> = Vec::new();
        for &id in &self.faces {
            let Some(deg) = self.roof.face(id).downslope_deg() else {
                continue;
            };
            match sides
                .iter_mut()
                .find(|(of, _)| turn_deg(*of, deg) < SAME_SIDE_DEG)
            {
                Some((_, faces)) => faces.push(id),
                None => sides.push((deg, vec![id])),
            }
        }
        if sides.len() < 2 {
            return;
        }
        let computed = self.computed();
        // Both sides of a gable are alike: either is one side, and the face left out is the other.
        let mut told: Vec<f64> = Vec::new();
        for (_, faces) in &sides {
            let sqft: f64 = faces.iter().map(|&f| self.own(self.roof.face(f))).sum();
            if told.iter().all(|t| (sqft / t - 1.0).abs() > CLOSE) {
                let face = faces[0];
                all.push(close(Cause::OneSide { face }, sqft));
                told.push(sqft);
            }
            if let Some(set) = FaceSet::of(faces)
                && faces.len() > 1
                && sides.len() > 2
            {
                all.push(exact(Cause::FacesMissing(set), computed - sqft));
            }
        }
    }

    /// One face left out or counted twice. Faces of one area are told once: no figure tells them apart.
    fn single(&self, all: &mut Vec<Alternative>) {
        let computed = self.computed();
        let of_two = self.faces.len() == 2;
        for (i, &id) in self.faces.iter().enumerate() {
            let alike = |&other: &FaceId| are_alike(self.roof.face(other), self.roof.face(id));
            if self.faces.len() < 2 || self.faces[..i].iter().any(alike) {
                continue;
            }
            let sqft = self.own(self.roof.face(id));
            // Of two faces, one left out is one side alone.
            if of_two {
                all.push(close(Cause::FaceTwice(id), computed + sqft));
            } else {
                all.push(exact(Cause::FaceMissing(id), computed - sqft));
                all.push(exact(Cause::FaceTwice(id), computed + sqft));
            }
        }
    }

    /// A wing left out: its faces are gone, and the slope that it stands on runs on to where the valleys begin.
    fn wings(&self, all: &mut Vec<Alternative>) {
        let computed = self.computed();
        for &on in &self.faces {
            let main = self.roof.face(on);
            let mut seen: Vec<FaceId> = Vec::new();
            for start in across(self.roof, on, EdgeClass::Valley) {
                if seen.contains(&start) {
                    continue;
                }
                let wing = reached(self.roof, start, on);
                seen.extend(&wing);
                let (Some(faces), Some(beneath)) =
                    (FaceSet::of(&wing), beneath(self.roof, on, &wing))
                else {
                    continue;
                };
                let lost: f64 = wing.iter().map(|&f| self.own(self.roof.face(f))).sum();
                let gain = beneath.plan_sqft * self.own(main) / main.plan_area.to_square_feet();
                all.push(close(
                    Cause::WingMissing { faces, on },
                    computed - lost + gain,
                ));
            }
        }
    }

    /// Several faces left out, up to half of them; of sets that give one figure the smallest is told.
    fn several(&self, all: &mut Vec<Alternative>) {
        let n = self.faces.len();
        if n > MOST_FACES {
            return;
        }
        let computed = self.computed();
        let mut sums: Vec<f64> = Vec::new();
        for size in 1..=n / 2 {
            let mut new: Vec<(FaceSet, f64)> = Vec::new();
            for set in FaceSet::all_of(n, size) {
                let sqft: f64 = set.faces().map(|f| self.own(self.roof.face(f))).sum();
                let is_told = |&told: &f64| (sqft - told).abs() < EXACT * computed;
                if !sums.iter().chain(new.iter().map(|(_, s)| s)).any(is_told) {
                    new.push((set, sqft));
                }
            }
            sums.extend(new.iter().map(|(_, sqft)| sqft));
            let within = (CHANCE * computed / (2.0 * sums.len() as f64)).min(EXACT * computed);
            for (set, sqft) in new.into_iter().filter(|_| size > 1) {
                let left = computed - sqft;
                let is_told = |a: &Alternative| (a.sqft - left).abs() < EXACT * computed;
                if !all.iter().any(|a| a.cause.is_of_counting() && is_told(a)) {
                    all.push(Alternative {
                        cause: Cause::FacesMissing(set),
                        sqft: left,
                        within: within / left,
                        at: None,
                    });
                }
            }
        }
    }
}

/// The faces of each building that stands apart: those that hang together, touch or lie over one another in plan. None of a
/// roof that has more faces than a set can name.
pub(super) fn buildings(roof: &Roof) -> Vec<Vec<FaceId>> {
    let n = roof.faces.len();
    if n > FaceSet::MOST {
        return Vec::new();
    }
    let mut sets = Sets::new(n);
    for edge in &roof.edges {
        for two in edge.faces.windows(2) {
            sets.join(two[0].0, two[1].0);
        }
    }
    let outlines = roof.faces.iter().map(|f| f.outline.plan());
    let outlines: Vec<Vec<Point>> = outlines.collect();
    for (i, one) in outlines.iter().enumerate() {
        for (j, other) in outlines.iter().enumerate().skip(i + 1) {
            if sets.find(i) != sets.find(j) && (reaches(one, other) || reaches(other, one)) {
                sets.join(i, j);
            }
        }
    }
    let mut all: Vec<Vec<FaceId>> = Vec::new();
    for (face, number) in sets.numbered().into_iter().enumerate() {
        all.resize(all.len().max(number + 1), Vec::new());
        all[number].push(FaceId(face));
    }
    all
}

/// The faces of a face's level that hang together with it.
pub(super) fn on_its_level(roof: &Roof, face: FaceId) -> Vec<FaceId> {
    let level = roof.face(face).level;
    let mut sets = Sets::new(roof.faces.len());
    for edge in &roof.edges {
        for two in edge.faces.windows(2) {
            if two.iter().all(|&f| roof.face(f).level == level) {
                sets.join(two[0].0, two[1].0);
            }
        }
    }
    let all = (0..roof.faces.len()).map(FaceId);
    all.filter(|f| sets.find(f.0) == sets.find(face.0))
        .collect()
}

/// Whether a corner of one outline lies in another or so near it that no gap is seen.
fn reaches(one: &[Point], other: &[Point]) -> bool {
    one.iter().any(|&p| {
        let mut sides = ring::sides(other);
        ring::contains(other, p) || sides.any(|(a, b)| p.distance_to_segment(a, b) < GAP_FT)
    })
}

/// What is left of a class of edges, in feet, where some faces were not counted: edges that they share with others are. `None` for a
/// cause that leaves no faces out.
pub(super) fn left_ft(
    roof: &Roof,
    cause: &Cause,
    class: EdgeClass,
    surface: SurfaceSaid,
) -> Option<f64> {
    let feet = |edge: &Edge| match surface {
        SurfaceSaid::True => edge.true_length.to_feet(),
        SurfaceSaid::Plan => edge.plan_length.to_feet(),
    };
    let edges = || roof.edges.iter().filter(|e| e.class == class);
    let without = |gone: &dyn Fn(FaceId) -> bool| {
        let left = edges().filter(|e| e.faces.is_empty() || !e.faces.iter().all(|&f| gone(f)));
        Some(left.map(feet).sum())
    };
    let of = |set: FaceSet, face: FaceId| set.faces().any(|gone| gone == face);
    match *cause {
        Cause::LevelMissing { level } => without(&|f| roof.face(f).level == level),
        Cause::FaceMissing(face) => without(&|f| f == face),
        Cause::FacesMissing(set) | Cause::BuildingMissing { faces: set } => {
            without(&|f| of(set, f))
        }
        Cause::OneSide { face } => {
            let side = same_side(roof, face);
            without(&|f| !side.contains(&f))
        }
        // Without a wing there are no valleys to it, and the eave goes on beneath.
        Cause::WingMissing { faces, on } => {
            let left = edges().filter(|e| !e.faces.iter().any(|&f| of(faces, f)));
            let left: f64 = left.map(feet).sum();
            let wing: Vec<FaceId> = faces.faces().collect();
            let gone_on = match class {
                EdgeClass::Eave => beneath(roof, on, &wing)?.eave_ft,
                _ => 0.0,
            };
            Some(left + gone_on)
        }
        _ => None,
    }
}

/// Whether two faces have one area, in plan and on the slope.
pub(super) fn are_alike(a: &Face, b: &Face) -> bool {
    let near = |x: f64, y: f64| (x / y - 1.0).abs() < EXACT;
    near(a.plan_area.to_square_feet(), b.plan_area.to_square_feet())
        && near(a.true_area.to_square_feet(), b.true_area.to_square_feet())
}

/// The faces that fall to the side that one falls to.
pub(super) fn same_side(roof: &Roof, face: FaceId) -> Vec<FaceId> {
    let of = |id: FaceId| roof.face(id).downslope_deg();
    let all = (0..roof.faces.len()).map(FaceId);
    all.filter(|&id| match (of(id), of(face)) {
        (Some(a), Some(b)) => turn_deg(a, b) < SAME_SIDE_DEG,
        _ => id == face,
    })
    .collect()
}

/// How far two directions turn from each other, from 0° to 180°.
fn turn_deg(a: f64, b: f64) -> f64 {
    let apart = (a - b).rem_euclid(360.0);
    apart.min(360.0 - apart)
}

fn across_ridges(roof: &Roof, face: FaceId) -> Vec<FaceId> {
    across(roof, face, EdgeClass::Ridge)
}

/// The faces across a face's edges of one class.
fn across(roof: &Roof, face: FaceId, class: EdgeClass) -> Vec<FaceId> {
    let edges = roof.edges.iter().filter(|e| e.class == class);
    let mut others: Vec<FaceId> = edges
        .filter(|e| e.faces.contains(&face))
        .flat_map(|e| e.faces.iter().copied().filter(|f| *f != face))
        .collect();
    others.sort_unstable();
    others.dedup();
    others
}

/// The faces that hang together with one without the face `but`.
fn reached(roof: &Roof, start: FaceId, but: FaceId) -> Vec<FaceId> {
    let mut all = vec![start];
    let mut next = 0;
    while let Some(&face) = all.get(next) {
        next += 1;
        for edge in roof.edges.iter().filter(|e| e.faces.contains(&face)) {
            for &other in edge.faces.iter().filter(|f| **f != but) {
                if !all.contains(&other) {
                    all.push(other);
                }
            }
        }
    }
    all.sort_unstable();
    all
}

/// What a face gains where a wing on it is taken away.
struct Beneath {
    /// Plan area, in square feet.
    plan_sqft: f64,
    /// Eave, in feet: the level line from one valley's foot to the other's.
    eave_ft: f64,
}

/// The face without a wing on it: its outline goes straight on from one valley's foot to the other's. `None` where the two meet
/// in more than valleys: then it is no wing.
fn beneath(roof: &Roof, on: FaceId, wing: &[FaceId]) -> Option<Beneath> {
    let shared =
        |edge: &&Edge| edge.faces.contains(&on) && edge.faces.iter().any(|f| wing.contains(f));
    if (roof.edges.iter().filter(shared)).any(|e| e.class != EdgeClass::Valley) {
        return None;
    }
    let outline = &roof.face(on).outline;
    let is_valley = |side: &Side| match side {
        Side::Edge(id) => shared(&&roof.edges[id.0]),
        Side::Opening(_) => false,
    };
    let corners = outline.plan();
    let n = corners.len();
    let inner =
        |i: usize| is_valley(&outline.sides[i]) && is_valley(&outline.sides[(i + n - 1) % n]);
    let kept: Vec<usize> = (0..n).filter(|&i| !inner(i)).collect();
    let without: Vec<Point> = kept.iter().map(|&i| corners[i]).collect();
    let plan_sqft = ring::signed_area(&without) - ring::signed_area(&corners);
    let sides = kept.iter().zip(kept.iter().cycle().skip(1));
    let gone_on = sides.filter(|&(&i, &j)| j != (i + 1) % n);
    let level = |&(&i, &j): &(&usize, &usize)| {
        (outline.corners[i].z - outline.corners[j].z).abs() < LEVEL_RISE_FT
    };
    let eave_ft = gone_on
        .filter(level)
        .map(|(&i, &j)| corners[i].distance(corners[j]));
    let eave_ft = eave_ft.sum();
    (plan_sqft > 0.0).then_some(Beneath { plan_sqft, eave_ft })
}
