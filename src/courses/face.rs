//! A face unfolded to its true size: where its edges lie and what they are.

use crate::geometry::{Point, ring};
use crate::roof::{EdgeClass, EdgeId, FaceId, OpeningId, Roof, Side};
use crate::units::number;
use crate::{Finding, Place};

use super::level::level_sides;
use super::{Choices, LayRules, ValleyType};

/// Corners nearer than this are at one place: the rounding of coordinates, far inside what the rules allow for it.
const SAME_IN: f64 = 1e-7;

/// What an edge is to the shingles that end at it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EdgeKind {
    /// The lower edge of the face.
    Eave,
    /// A sloping outer edge: shingles overhang it.
    Rake,
    /// Shingles are cut on the line, under the cap.
    Hip,
    /// A valley that this face's shingles run through.
    ValleyThrough,
    /// A valley that this face's shingles are trimmed back from.
    ValleyCut,
    /// An open valley: trimmed back on both sides.
    ValleyOpen,
    /// The upper edge, under a ridge cap.
    Ridge,
    /// The upper edge of a lean-to.
    HighEdge,
    /// The line where the face meets one of another pitch.
    PitchChange,
    /// The line where the face goes on in another one of the same plane: shingles are counted up to it, and run on over it.
    InPlane,
    /// A wall or chimney side, or the upper edge against a wall: shingles are cut on the line, under the flashing.
    Wall,
    /// The lower side of a wall or opening that stands in the face.
    Apron,
}

/// A closed ring of the unfolded face.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceRing {
    /// Corners; x is u, inches along the eave to the right seen from outside with the eave down, y is v, inches up
    /// the slope. The outer ring is counter-clockwise, holes are clockwise.
    pub points: Vec<Point>,
    /// What lies between corner i and corner i + 1 (the last joins the first).
    pub kinds: Vec<EdgeKind>,
    /// The roof's edge behind each side, where there is one.
    pub edges: Vec<Option<EdgeId>>,
}

impl FaceRing {
    /// A ring that stands for itself, without a roof behind it.
    pub fn new(points: Vec<Point>, kinds: Vec<EdgeKind>) -> Self {
        let edges = vec![None; points.len()];
        Self {
            points,
            kinds,
            edges,
        }
    }

    fn oriented(mut self, counter_clockwise: bool) -> Self {
        if (ring::signed_area(&self.points) > 0.0) != counter_clockwise {
            // Reversing the corners moves the side i → i + 1 to the place n − 2 − i.
            self.points.reverse();
            let n = self.kinds.len();
            let moved = |i: usize| (2 * n - 2 - i) % n;
            self.kinds = (0..n).map(|i| self.kinds[moved(i)]).collect();
            self.edges = (0..n).map(|i| self.edges[moved(i)]).collect();
        }
        self
    }

    /// Whether another ring has the same sides at the same places, from whatever corner it begins.
    fn is_like(&self, other: &Self) -> bool {
        let n = self.points.len();
        if n != other.points.len() {
            return false;
        }
        let same = |i: usize, j: usize| {
            self.points[i].distance(other.points[j]) <= SAME_IN && self.kinds[i] == other.kinds[j]
        };
        (0..n).any(|turn| (0..n).all(|i| same(i, (i + turn) % n)))
    }

    fn mirrored(&self) -> Self {
        let points = self.points.iter().map(|p| Point::new(-p.x, p.y)).collect();
        let mirrored = Self {
            points,
            kinds: self.kinds.clone(),
            edges: self.edges.clone(),
        };
        let was = ring::signed_area(&self.points) > 0.0;
        mirrored.oriented(was)
    }
}

/// A face in (u, v), true size, inches.
#[derive(Clone, Debug, PartialEq)]
pub struct CourseFace {
    /// The face of the roof.
    pub face: FaceId,
    /// The outer ring.
    pub outer: FaceRing,
    /// Holes.
    pub holes: Vec<FaceRing>,
}

impl CourseFace {
    /// From rings in any direction. The face must have at least three corners and a kind for each side.
    pub fn new(face: FaceId, outer: FaceRing, holes: Vec<FaceRing>) -> Result<Self, Finding> {
        for ring in std::iter::once(&outer).chain(&holes) {
            check_ring(ring)?;
        }
        Ok(Self {
            face,
            outer: outer.oriented(true),
            holes: holes.into_iter().map(|h| h.oriented(false)).collect(),
        })
    }

    /// Whether another face has the same sides at the same places, so that the same layout fits it.
    pub(super) fn has_shape_of(&self, other: &Self) -> bool {
        self.outer.is_like(&other.outer)
            && self.holes.len() == other.holes.len()
            && self
                .holes
                .iter()
                .zip(&other.holes)
                .all(|(a, b)| a.is_like(b))
    }

    /// All rings, the outer one first.
    pub fn rings(&self) -> impl Iterator<Item = &FaceRing> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// The area to be covered, in square inches.
    pub fn net_area_sqin(&self) -> f64 {
        self.rings().map(|r| ring::signed_area(&r.points)).sum()
    }

    /// The lowest and the highest v, in inches.
    pub fn v_range(&self) -> (f64, f64) {
        self.outer
            .points
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), p| {
                (lo.min(p.y), hi.max(p.y))
            })
    }

    /// The face seen in a mirror: left and right changed.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        Self {
            face: self.face,
            outer: self.outer.mirrored(),
            holes: self.holes.iter().map(FaceRing::mirrored).collect(),
        }
    }

    /// The face so many inches farther to the right.
    pub(super) fn moved(mut self, by_in: f64) -> Self {
        for ring in std::iter::once(&mut self.outer).chain(&mut self.holes) {
            for point in &mut ring.points {
                point.x += by_in;
            }
        }
        self
    }

    /// The least u, in inches.
    pub(super) fn left_in(&self) -> f64 {
        let us = self.outer.points.iter().map(|p| p.x);
        us.fold(f64::INFINITY, f64::min)
    }

    /// Whether any side is of a kind.
    pub fn has(&self, kind: EdgeKind) -> bool {
        self.rings().any(|r| r.kinds.contains(&kind))
    }
}

fn check_ring(ring: &FaceRing) -> Result<(), Finding> {
    let n = ring.points.len();
    let sound = n >= 3
        && ring.kinds.len() == n
        && ring.edges.len() == n
        && ring.points.iter().all(|p| p.is_finite())
        && ring::signed_area(&ring.points) != 0.0;
    if sound {
        return Ok(());
    }
    Err(Finding::error(
        "face-not-closed",
        format!("a face with {n} corners encloses no area or lacks the kind of a side, so no courses can be laid on it"),
    )
    .remedy("draw the face as a closed shape with at least three corners"))
}

/// The nearest place of a grid far finer than any tolerance and far coarser than the rounding of coordinates, in inches:
/// the same face is the same to the last bit wherever its house lies on the page, and so is then its layout.
fn on_grid(length_in: f64) -> f64 {
    const PER_IN: f64 = 16_777_216.0;
    (length_in * PER_IN).round() / PER_IN
}

/// Unfolds a face of the roof to its true size: u along the eave to the right seen from outside with the eave down,
/// v up the slope, both in inches; v is 0 at the lowest corner and u is 0 at the left end of the lowest corners.
///
/// v is the plan distance along the fall times √(1 + m²) with the labelled pitch m, so that the unfolded area is the
/// face's true area. Fails for a face too flat to have a fall, or to take shingles by the choices' limits.
///
/// Valleys are made as `rules.valley` says; in a closed-cut valley the larger face runs through.
pub fn unfold(roof: &Roof, face: FaceId, rules: &LayRules) -> Result<CourseFace, Finding> {
    unfold_with(roof, face, rules, &Choices::default())
}

/// [`unfold`] with the user's choices of the side that runs through each valley.
pub fn unfold_with(
    roof: &Roof,
    face: FaceId,
    rules: &LayRules,
    choices: &Choices,
) -> Result<CourseFace, Finding> {
    let f = roof.face(face);
    if choices.limits.refuses_shingles(f) && !f.is_flat() {
        return Err(Finding::note(
            "face-too-flat-for-shingles",
            format!(
                "{} is {}:12, too flat for shingles, so no courses are laid on it",
                f.name,
                number::decimal(f.pitch.to_in_12(), 2)
            ),
        )
        .remedy("Price another roofing for it.")
        .place(Place::at(f.label_at)));
    }
    let uphill = f.plane.gradient.unit();
    let Some(uphill) = uphill.filter(|_| !f.is_flat()) else {
        return Err(Finding::note(
            "face-too-flat-for-shingles",
            format!("{} is level, so no courses are laid on it", f.name),
        )
        .place(Place::at(f.label_at)));
    };
    let right = -uphill.turn_left();
    let up = 12.0 * f.pitch.slope_factor();
    let to_uv = |p: Point| {
        let d = p - Point::default();
        Point::new(d.dot(right) * 12.0, d.dot(uphill) * up)
    };
    let levelled = |r: &crate::roof::Ring| {
        let mut points: Vec<Point> = r.corners.iter().map(|c| to_uv(c.plan())).collect();
        level_sides(roof, r, &mut points);
        points
    };
    let all = levelled(&f.outline);
    let v0 = all.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let u0 = all
        .iter()
        .filter(|p| p.y - v0 < 1.0)
        .map(|p| p.x)
        .fold(f64::INFINITY, f64::min);
    let ring_of = |r: &crate::roof::Ring| {
        let points: Vec<Point> = levelled(r)
            .into_iter()
            .map(|p| Point::new(on_grid(p.x - u0), on_grid(p.y - v0)))
            .collect();
        let n = points.len();
        let kinds = (0..n)
            .map(|i| {
                let along = points[(i + 1) % n] - points[i];
                side_kind(roof, face, r.sides[i], along.x, along.y, rules, choices)
            })
            .collect();
        let edges = r
            .sides
            .iter()
            .map(|s| match s {
                Side::Edge(e) => Some(*e),
                Side::Opening(_) => None,
            })
            .collect();
        FaceRing {
            points,
            kinds,
            edges,
        }
    };
    let outer = ring_of(&f.outline);
    let holes = f.holes.iter().map(ring_of).collect();
    CourseFace::new(face, outer, holes).map_err(|e| e.place(Place::at(f.label_at)))
}

fn side_kind(
    roof: &Roof,
    face: FaceId,
    side: Side,
    du: f64,
    dv: f64,
    rules: &LayRules,
    choices: &Choices,
) -> EdgeKind {
    match side {
        Side::Opening(OpeningId(_)) => {
            // A face lies on the left of its sides, so an opening's lower side runs to the left.
            if dv.abs() > 0.5 * du.abs() || du > 0.0 {
                EdgeKind::Wall
            } else {
                EdgeKind::Apron
            }
        }
        Side::Edge(id) => match roof.edge(id).class {
            EdgeClass::Eave | EdgeClass::FlatEdge => EdgeKind::Eave,
            EdgeClass::Rake => EdgeKind::Rake,
            EdgeClass::Hip => EdgeKind::Hip,
            EdgeClass::Ridge => EdgeKind::Ridge,
            EdgeClass::HighEdge => EdgeKind::HighEdge,
            EdgeClass::PitchChange => EdgeKind::PitchChange,
            EdgeClass::InPlane => EdgeKind::InPlane,
            EdgeClass::Headwall | EdgeClass::Sidewall => EdgeKind::Wall,
            EdgeClass::Valley => match rules.valley {
                ValleyType::Woven => EdgeKind::ValleyThrough,
                ValleyType::OpenMetal | ValleyType::OpenRoll => EdgeKind::ValleyOpen,
                ValleyType::ClosedCut => {
                    if through_face(roof, id, choices) == Some(face) {
                        EdgeKind::ValleyThrough
                    } else {
                        EdgeKind::ValleyCut
                    }
                }
            },
        },
    }
}

/// The face that runs through a closed-cut valley: the user's choice, or else the larger face.
pub fn through_face(roof: &Roof, valley: EdgeId, choices: &Choices) -> Option<FaceId> {
    if let Some(chosen) = choices.through.get(&valley) {
        return Some(*chosen);
    }
    // Which one an edge names first comes from the order in which the drawing was made. Of equal faces the one with fewer valleys
    // runs through: between two that it runs through, a course has hardly room for its joints.
    let valleys = |face: FaceId| {
        let sides = roof.face(face).outline.sides.iter();
        let is_valley = |side: &&Side| match side {
            Side::Edge(edge) => roof.edge(*edge).class == EdgeClass::Valley,
            Side::Opening(_) => false,
        };
        sides.filter(is_valley).count()
    };
    let mut faces = roof.edge(valley).faces.clone();
    faces.sort_unstable_by_key(|&face| (valleys(face), face));
    let mut faces = faces.into_iter();
    let first = faces.next()?;
    let area = |f: FaceId| roof.face(f).true_area.to_square_feet();
    Some(faces.fold(first, |best, f| {
        // A hundredth of a square foot is a tie: the first of these wins, so that rounding cannot turn the choice.
        if area(f) > area(best) + 0.01 { f } else { best }
    }))
}
