//! Openings and pipes of two revisions, matched by place, and what became of each.

use geo::{Area as _, BooleanOps};

use super::ground::{Difference, ground, polygon};
use super::{SHARED_OF_SMALLER, best_first};
use crate::geometry::{Point, Vector, ring};
use crate::roof::{FaceId, Opening, OpeningId, Penetration, Roof};
use crate::units::Length;

/// What is cut out of faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutId {
    /// An opening.
    Opening(OpeningId),
    /// A pipe or vent: its index in [`Roof::penetrations`].
    Pipe(usize),
}

/// What became of an opening, or of a pipe. One that lies across several faces is one.
#[derive(Clone, Debug, PartialEq)]
pub struct CutChange {
    /// In the old roof; `None` where it is new.
    pub old: Option<CutId>,
    /// In the new roof; `None` where it went.
    pub new: Option<CutId>,
    /// What changed; empty where nothing did.
    pub kinds: Vec<CutKind>,
}

/// A way in which an opening or a pipe changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CutKind {
    /// It was not there before.
    Added,
    /// It is there no longer.
    Removed,
    /// It was something else, such as a skylight that is a chimney now.
    Renamed,
    /// It moved in plan: by the least that lays it, each way, on the side or the middle where it was. One that grew or
    /// shrank about where it stood did not move.
    Moved {
        /// Square to the fall of its face, in feet.
        across_ft: f64,
        /// Up the slope where positive, in feet of plan.
        up_ft: f64,
    },
    /// Its outline is another one.
    Resized {
        /// Before.
        from: OpeningSize,
        /// Now.
        to: OpeningSize,
    },
    /// A pipe's diameter, in feet of plan; `None` where it is neither drawn nor written.
    Diameter {
        /// Before.
        from_ft: Option<f64>,
        /// Now.
        to_ft: Option<f64>,
    },
}

/// How large an opening is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpeningSize {
    /// Square to the fall of its face, in feet; of one across several faces, to the fall of the first.
    pub across_ft: f64,
    /// Along the fall, in feet of plan.
    pub along_ft: f64,
    /// What it takes out of its faces in plan, in square feet.
    pub plan_sqft: f64,
    /// The same on the slopes.
    pub true_sqft: f64,
}

/// Pipes nearer than this in diameter are one size: half the least step between the sizes that are sold, in feet (common
/// practice, no source).
const SAME_DIAMETER_FT: f64 = 0.25 / 12.0;

impl CutId {
    /// The faces that it lies in.
    pub fn faces(self, roof: &Roof) -> &[FaceId] {
        match self {
            Self::Opening(id) => roof.openings.get(id.0).map_or(&[], |o| &o.faces),
            Self::Pipe(i) => roof
                .penetrations
                .get(i)
                .map_or(&[], |p| std::slice::from_ref(&p.face)),
        }
    }

    /// Its middle in plan.
    pub fn middle(self, roof: &Roof) -> Option<Point> {
        match self {
            Self::Opening(id) => roof.openings.get(id.0).map(|o| ring::centroid(&o.outline)),
            Self::Pipe(i) => roof.penetrations.get(i).map(|p| p.at),
        }
    }
}

impl OpeningSize {
    /// The size of an opening.
    pub fn of(roof: &Roof, opening: &Opening) -> Self {
        let across = across(roof, &opening.faces);
        let (left, right) = ring::reach(&opening.outline, across);
        let (low, high) = ring::reach(&opening.outline, across.turn_left());
        let mut size = Self {
            across_ft: right - left,
            along_ft: high - low,
            plan_sqft: 0.0,
            true_sqft: 0.0,
        };
        for &face in &opening.faces {
            let plan_sqft = part_sqft(roof, opening, face);
            let plan_area = crate::units::Area::square_feet(plan_sqft);
            size.plan_sqft += plan_sqft;
            size.true_sqft += roof.face(face).pitch.true_area(plan_area).to_square_feet();
        }
        size
    }
}

/// The plan area that an opening takes of a face.
fn part_sqft(roof: &Roof, opening: &Opening, face: FaceId) -> f64 {
    polygon(&opening.outline, Vector::default())
        .intersection(&ground(roof, roof.face(face), Vector::default()))
        .unsigned_area()
}

/// The plan area that openings take of a face.
pub(super) fn taken_sqft(roof: &Roof, face: FaceId) -> f64 {
    let all = roof.openings.iter().filter(|o| o.faces.contains(&face));
    all.map(|o| part_sqft(roof, o, face)).sum()
}

/// The direction square to the fall of the first face, so that up the slope is on its left; along the page on a level face.
fn across(roof: &Roof, faces: &[FaceId]) -> Vector {
    faces
        .first()
        .and_then(|id| roof.face(*id).fall())
        .map_or(Vector::new(1.0, 0.0), Vector::turn_left)
}

/// What became of every opening and every pipe.
pub(super) fn changes(old: &Roof, new: &Roof, shift: Vector, tolerance_ft: f64) -> Vec<CutChange> {
    let mut all = told(
        (old.openings.len(), new.openings.len()),
        &opening_pairs(old, new, shift, tolerance_ft),
        |i| CutId::Opening(OpeningId(i)),
        |o, n| opening_kinds((old, o), (new, n), shift, tolerance_ft),
    );
    all.extend(told(
        (old.penetrations.len(), new.penetrations.len()),
        &pipe_pairs(old, new, shift, tolerance_ft),
        CutId::Pipe,
        |o, n| {
            let (before, now) = (&old.penetrations[o], &new.penetrations[n]);
            pipe_kinds(before, now, across(new, &[now.face]), shift, tolerance_ft)
        },
    ));
    all
}

fn told(
    (old, new): (usize, usize),
    pairs: &[(usize, usize)],
    id: impl Fn(usize) -> CutId,
    kinds: impl Fn(usize, usize) -> Vec<CutKind>,
) -> Vec<CutChange> {
    let here = (0..new).map(|n| match pairs.iter().find(|p| p.1 == n) {
        Some(&(o, _)) => CutChange {
            old: Some(id(o)),
            new: Some(id(n)),
            kinds: kinds(o, n),
        },
        None => CutChange {
            old: None,
            new: Some(id(n)),
            kinds: vec![CutKind::Added],
        },
    });
    let went = (0..old).filter(|o| pairs.iter().all(|p| p.0 != *o));
    let went = went.map(|o| CutChange {
        old: Some(id(o)),
        new: None,
        kinds: vec![CutKind::Removed],
    });
    here.chain(went).collect()
}

/// The level of the roof that something lies on.
fn level(roof: &Roof, faces: &[FaceId]) -> u32 {
    faces.first().map_or(0, |id| roof.face(*id).level)
}

/// Openings that are one: those that share ground, the pair that shares most first, and of the rest those of one kind and
/// outline, the nearest first. One of another size on other ground is another one.
fn opening_pairs(old: &Roof, new: &Roof, shift: Vector, tolerance_ft: f64) -> Vec<(usize, usize)> {
    let mut all = Vec::new();
    for (i, a) in old.openings.iter().enumerate() {
        let before = polygon(&a.outline, shift);
        for (j, b) in new.openings.iter().enumerate() {
            if level(old, &a.faces) != level(new, &b.faces) {
                continue;
            }
            let now = polygon(&b.outline, Vector::default());
            let shared = before.intersection(&now).unsigned_area();
            let least = SHARED_OF_SMALLER * before.unsigned_area().min(now.unsigned_area());
            let by = ring::centroid(&b.outline) - (ring::centroid(&a.outline) + shift);
            if shared > 0.0 && (a.kind == b.kind || shared >= least) {
                all.push((false, -shared, i, j));
            } else if a.kind == b.kind && !is_reshaped(a, b, shift + by, tolerance_ft) {
                all.push((true, by.length(), i, j));
            }
        }
    }
    best_first(all)
}

/// Whether an outline is another one, the old one moved by `shift`.
fn is_reshaped(old: &Opening, new: &Opening, shift: Vector, tolerance_ft: f64) -> bool {
    let (old, new) = (
        polygon(&old.outline, shift),
        polygon(&new.outline, Vector::default()),
    );
    Difference::between(&old, &new, tolerance_ft).moved_ft > tolerance_ft
}

fn opening_kinds(
    (old_roof, o): (&Roof, usize),
    (new_roof, n): (&Roof, usize),
    shift: Vector,
    tolerance_ft: f64,
) -> Vec<CutKind> {
    let (old, new) = (&old_roof.openings[o], &new_roof.openings[n]);
    let across = across(new_roof, &new.faces);
    let up = across.turn_left();
    let moved = |direction: Vector| {
        let (from, to) = ring::reach(&old.outline, direction);
        let by = shift.dot(direction);
        least_move((from + by, to + by), ring::reach(&new.outline, direction))
    };
    let (across_ft, up_ft) = (moved(across), moved(up));
    let mut out = Vec::new();
    if old.kind != new.kind {
        out.push(CutKind::Renamed);
    }
    if across_ft.hypot(up_ft) > tolerance_ft {
        out.push(CutKind::Moved { across_ft, up_ft });
    }
    let by = across * across_ft + up * up_ft;
    let (from, to) = (
        OpeningSize::of(old_roof, old),
        OpeningSize::of(new_roof, new),
    );
    if is_reshaped(old, new, shift + by, tolerance_ft) {
        out.push(CutKind::Resized { from, to });
    }
    out
}

/// The least that a stretch moved: none where the one holds the other.
fn least_move(from: (f64, f64), to: (f64, f64)) -> f64 {
    let (low, high) = (to.0 - from.0, to.1 - from.1);
    match () {
        () if low * high <= 0.0 => 0.0,
        () if low.abs() < high.abs() => low,
        () => high,
    }
}

/// Pipes that are one: those that stand on one place, and of the rest those of one diameter, the nearest first.
fn pipe_pairs(old: &Roof, new: &Roof, shift: Vector, tolerance_ft: f64) -> Vec<(usize, usize)> {
    let mut all = Vec::new();
    for (i, a) in old.penetrations.iter().enumerate() {
        for (j, b) in new.penetrations.iter().enumerate() {
            if level(old, &[a.face]) != level(new, &[b.face]) {
                continue;
            }
            let by_ft = b.at.distance(a.at + shift);
            let wide = |pipe: &Penetration| pipe.diameter.map_or(0.0, Length::to_feet);
            if by_ft <= tolerance_ft.max(wide(a)).max(wide(b)) {
                all.push((false, by_ft, i, j));
            } else if is_one_diameter(a, b) {
                all.push((true, by_ft, i, j));
            }
        }
    }
    best_first(all)
}

fn is_one_diameter(old: &Penetration, new: &Penetration) -> bool {
    match (old.diameter, new.diameter) {
        (Some(a), Some(b)) => (a.to_feet() - b.to_feet()).abs() < SAME_DIAMETER_FT,
        (None, None) => true,
        _ => false,
    }
}

fn pipe_kinds(
    old: &Penetration,
    new: &Penetration,
    across: Vector,
    shift: Vector,
    tolerance_ft: f64,
) -> Vec<CutKind> {
    let mut out = Vec::new();
    let by = new.at - (old.at + shift);
    if by.length() > tolerance_ft {
        out.push(CutKind::Moved {
            across_ft: by.dot(across),
            up_ft: by.dot(across.turn_left()),
        });
    }
    if !is_one_diameter(old, new) {
        out.push(CutKind::Diameter {
            from_ft: old.diameter.map(Length::to_feet),
            to_ft: new.diameter.map(Length::to_feet),
        });
    }
    out
}
