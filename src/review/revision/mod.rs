//! Two revisions of one plan: faces, openings and pipes matched by place, and what became of each.

mod cuts;
mod ground;
mod pairs;
mod rescaled;

use geo::{Area as _, BooleanOps, MultiPolygon, Polygon};

pub use cuts::{CutChange, CutId, CutKind, OpeningSize};
pub(super) use ground::uncut_sqft;
use ground::{Difference, ground, line_string};
use pairs::{Pair, best_first, pairs};
use rescaled::{is_other_scale, scaled, went_with};

use crate::geometry::{Point, Vector};
use crate::roof::{Edge, EdgeClass, Face, FaceId, Ring, Roof};

/// Two roofs compared.
#[derive(Clone, Debug)]
pub struct Revision {
    /// What the old plan's feet were multiplied by before it was laid on the new one: not 1 only where the scale is another and
    /// the lines lie where they lay. Sizes of faces and openings are compared as the lines have them at the new scale.
    pub rescaled: f64,
    /// The old roof as its lines have it at the new scale; `None` where there is no other scale.
    at_new_scale: Option<Box<Roof>>,
    /// How far the new plan lies from the old one on its page, in feet: taken off before faces are matched.
    pub shift: Vector,
    /// What moved by less than this, in feet, did not: what tracing moves it by.
    pub tolerance_ft: f64,
    /// Faces: matched ones in the new roof's order, then the ones that went.
    pub faces: Vec<FaceChange>,
    /// Openings, then pipes and vents: of each matched ones in the new roof's order, then the ones that went.
    pub cuts: Vec<CutChange>,
    /// Edges that lie where one of another class lay.
    pub edges: Vec<EdgeChange>,
}

/// What became of a face.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceChange {
    /// The face in the old roof; `None` where it is new.
    pub old: Option<FaceId>,
    /// The face in the new roof; `None` where it went.
    pub new: Option<FaceId>,
    /// What changed; empty where nothing did.
    pub kinds: Vec<ChangeKind>,
}

/// A way in which a face changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChangeKind {
    /// It was not there before.
    Added,
    /// It is there no longer.
    Removed,
    /// Its pitch, as rise in 12.
    Pitch {
        /// Before.
        from_in_12: f64,
        /// Now.
        to_in_12: f64,
    },
    /// The way that water runs, by the angle between, in degrees.
    Fall {
        /// The angle.
        by_deg: f64,
    },
    /// It grew in plan, in square feet.
    Grew {
        /// By how much.
        by_sqft: f64,
    },
    /// It shrank in plan, in square feet.
    Shrank {
        /// By how much.
        by_sqft: f64,
    },
    /// Its outline moved by up to so many feet.
    Moved {
        /// Of each part that was gained or lost, the farthest that a corner of its one outline lies from its other one: a
        /// notch of 8 ft in an eave is 8 ft, though its head may be nearer to the ridge. Of a face that was carried to other
        /// ground as it was, how far it was carried.
        by_ft: f64,
    },
    /// A part inside it was taken out, such as the foot of a dormer.
    TakenOut {
        /// Its plan area in square feet.
        by_sqft: f64,
    },
    /// A part inside it that was taken out is no longer.
    FilledIn {
        /// Its plan area in square feet.
        by_sqft: f64,
    },
    /// What openings take of it in plan, in square feet.
    Openings {
        /// Before.
        from_sqft: f64,
        /// Now.
        to_sqft: f64,
    },
}

/// An edge of the new roof that lies where an edge of another class lay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeChange {
    /// Before.
    pub from: EdgeClass,
    /// Now.
    pub to: EdgeClass,
    /// Its ends in the new plan.
    pub ends: [Point; 2],
    /// Its true length now, in feet.
    pub true_ft: f64,
}

/// What shares at least this part of the smaller may be one.
const SHARED_OF_SMALLER: f64 = 0.5;
/// Pitches nearer than this, in rise in 12, are one.
const SAME_PITCH_IN_12: f64 = 0.05;
/// Falls nearer than this are one.
const SAME_FALL_DEG: f64 = 2.0;
/// From this on a face falls another way: half of a right angle lies as near to either side.
const TURNED_DEG: f64 = 45.0;
/// Areas nearer than this are one: less than reports print. A face whose outline, inner parts and openings are where they
/// were has the area that it had: what else its area differs by is tracing.
const LEAST_AREA_SQFT: f64 = 0.1;
/// What moved by less than this did not: 1 in, what tracing moves it by.
const LEAST_MOVE_FT: f64 = 1.0 / 12.0;
/// Edges of one line: the sine between them.
const ALONG: f64 = 0.05;

impl Revision {
    /// Compares two revisions. `by`: what a unit of the drawing is now, over what it was.
    pub fn at_scale(old: &Roof, new: &Roof, by: f64) -> Self {
        let tolerance = new.snap_tolerance_ft.max(LEAST_MOVE_FT);
        if is_other_scale(by) && went_with(old, new, by, tolerance) {
            let old = scaled(old, by);
            Self {
                rescaled: by,
                ..Self::between(&old, new)
            }
            .with_old(old)
        } else {
            Self::between(old, new)
        }
    }

    /// Compares two revisions of one scale.
    pub fn between(old: &Roof, new: &Roof) -> Self {
        let tolerance = LEAST_MOVE_FT
            .max(old.snap_tolerance_ft)
            .max(new.snap_tolerance_ft);
        let shift = shift(old, new, tolerance);
        let pairs = pairs(old, new, shift, tolerance);
        let cuts = cuts::changes(old, new, shift, tolerance);
        let mut faces: Vec<FaceChange> = (0..new.faces.len())
            .map(FaceId)
            .map(|n| match pairs.iter().find(|p| p.new == n) {
                Some(pair) => FaceChange {
                    old: Some(pair.old),
                    new: Some(n),
                    kinds: kinds(old, new, *pair, &cuts, shift, tolerance),
                },
                None => FaceChange {
                    old: None,
                    new: Some(n),
                    kinds: vec![ChangeKind::Added],
                },
            })
            .collect();
        faces.extend(
            (0..old.faces.len())
                .map(FaceId)
                .filter(|o| pairs.iter().all(|p| p.old != *o))
                .map(|o| FaceChange {
                    old: Some(o),
                    new: None,
                    kinds: vec![ChangeKind::Removed],
                }),
        );
        Self {
            rescaled: 1.0,
            at_new_scale: None,
            shift,
            tolerance_ft: tolerance,
            faces,
            cuts,
            edges: edges(old, new, &pairs, shift, tolerance),
        }
    }

    /// Whether nothing changed.
    pub fn is_same(&self) -> bool {
        !self.is_rescaled() && self.lies_as_it_lay()
    }

    /// Whether the scale is another and the lines lie where they lay.
    pub fn is_rescaled(&self) -> bool {
        is_other_scale(self.rescaled)
    }

    /// Whether a unit of the drawing is so many times what it was by more than tracing.
    pub fn is_other_scale(by: f64) -> bool {
        is_other_scale(by)
    }

    fn with_old(self, old: Roof) -> Self {
        Self {
            at_new_scale: Some(Box::new(old)),
            ..self
        }
    }

    /// The old roof as it is compared: at the new scale, where the lines lie where they lay.
    pub fn compared<'r>(&'r self, old: &'r Roof) -> &'r Roof {
        self.at_new_scale.as_deref().unwrap_or(old)
    }

    /// Whether no face, opening, pipe or edge changed, whatever the scale is.
    pub fn lies_as_it_lay(&self) -> bool {
        self.edges.is_empty()
            && self.faces.iter().all(|f| f.kinds.is_empty())
            && self.cuts.iter().all(|c| c.kinds.is_empty())
    }
}

fn polygon(face: &Face, shift: Vector) -> Polygon<f64> {
    let line = |ring: &Ring| line_string(&ring.plan(), shift);
    Polygon::new(line(&face.outline), face.holes.iter().map(line).collect())
}

/// How far the plan was moved on its page, when two corners of the boxes round both, or their middles, are laid on each
/// other: not at all, unless corners, openings and pipes then lie where they lay, and far fewer do where the plan is left. A
/// plan with one eave farther out keeps most of its corners; halving the difference between two eaves keeps none.
fn shift(old: &Roof, new: &Roof, tolerance_ft: f64) -> Vector {
    let (Some(a), Some(b)) = (bounds(old), bounds(new)) else {
        return Vector::default();
    };
    let corners = |(low, high): (Point, Point)| {
        [
            low,
            high,
            Point::new(low.x, high.y),
            Point::new(high.x, low.y),
            low.midpoint(high),
        ]
    };
    let (before, now) = (marks(old), marks(new));
    // Each of the two was traced.
    let kept = |by: Vector| lying_on(&before, &now, by, 2.0 * tolerance_ft);
    let still = (kept(Vector::default()), shared(old, new, Vector::default()));
    let moved = corners(a).into_iter().zip(corners(b));
    moved
        .map(|(p, q)| q - p)
        .map(|by| (kept(by), by))
        .filter(|(kept, _)| *kept >= LEAST_KEPT && *kept > FAR_MORE * still.0)
        .map(|(kept, by)| (kept, shared(old, new, by), by))
        .filter(|(_, share, _)| *share > still.1)
        .max_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)))
        .map_or(Vector::default(), |(_, _, by)| by)
}

/// A moved plan keeps at least so many of its corners ...
const LEAST_KEPT: usize = 2;
/// ... and more than so many times those that it keeps where it is left.
const FAR_MORE: usize = 2;

/// What a plan is known again by: ends of its edges, corners of openings, pipes; each place once, from left to right.
fn marks(roof: &Roof) -> Vec<Point> {
    let edges = roof.edges.iter();
    let ends = edges.flat_map(|e| [e.start.plan(), e.end.plan()]);
    let openings = roof.openings.iter().flat_map(|o| o.outline.iter().copied());
    let pipes = roof.penetrations.iter().map(|p| p.at);
    let mut all: Vec<Point> = ends.chain(openings).chain(pipes).collect();
    all.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    all.dedup();
    all
}

/// How many places of the old plan lie on one of the new when moved.
fn lying_on(old: &[Point], new: &[Point], by: Vector, within_ft: f64) -> usize {
    let lies = |p: &&Point| {
        let p = **p + by;
        let from = new.partition_point(|q| q.x < p.x - within_ft);
        let near = new[from..].iter().take_while(|q| q.x <= p.x + within_ft);
        near.into_iter().any(|q| q.distance(p) <= within_ft)
    };
    old.iter().filter(lies).count()
}

/// The part of the larger roof's plan on which both have a face that falls the same way.
fn shared(old: &Roof, new: &Roof, shift: Vector) -> f64 {
    let mut sum = 0.0;
    for a in &old.faces {
        for b in &new.faces {
            if a.level == b.level && angle_deg(a, b) < TURNED_DEG {
                sum += overlap(a, b, shift);
            }
        }
    }
    let whole = old.plan_area().to_square_feet();
    sum / whole.max(new.plan_area().to_square_feet())
}

fn bounds(roof: &Roof) -> Option<(Point, Point)> {
    let mut all = roof
        .faces
        .iter()
        .flat_map(|f| &f.outline.corners)
        .map(|c| c.plan());
    let first = all.next()?;
    Some(all.fold((first, first), |(low, high), p| {
        (
            Point::new(low.x.min(p.x), low.y.min(p.y)),
            Point::new(high.x.max(p.x), high.y.max(p.y)),
        )
    }))
}

/// The plan area that two faces share, the old one moved by `shift`.
fn overlap(old: &Face, new: &Face, shift: Vector) -> f64 {
    let box_of = |face: &Face, by: Vector| {
        let points = face.outline.plan();
        points.iter().fold(
            [f64::INFINITY, f64::INFINITY, -f64::INFINITY, -f64::INFINITY],
            |b, p| {
                let p = *p + by;
                [b[0].min(p.x), b[1].min(p.y), b[2].max(p.x), b[3].max(p.y)]
            },
        )
    };
    let (a, b) = (box_of(old, shift), box_of(new, Vector::default()));
    if a[0] > b[2] || b[0] > a[2] || a[1] > b[3] || b[1] > a[3] {
        return 0.0;
    }
    polygon(old, shift)
        .intersection(&polygon(new, Vector::default()))
        .unsigned_area()
}

/// What faces of higher levels cover of a face in plan, in square feet.
pub(super) fn covered_sqft(roof: &Roof, face: &Face) -> f64 {
    let over = roof.faces.iter().filter(|f| f.level > face.level);
    let still = Vector::default();
    let own = polygon(face, still);
    let over = over.map(|f| MultiPolygon::new(vec![polygon(f, still)]));
    over.reduce(|all, next| all.union(&next))
        .map_or(0.0, |over| own.intersection(&over).unsigned_area())
}

/// The angle between the falls of two faces; 0 between two flat ones, 180 between a flat one and one that falls.
fn angle_deg(a: &Face, b: &Face) -> f64 {
    match (a.fall(), b.fall()) {
        (Some(u), Some(v)) => u.angle_to_deg(v),
        (None, None) => 0.0,
        _ => 180.0,
    }
}

fn kinds(
    old_roof: &Roof,
    new_roof: &Roof,
    pair: Pair,
    cuts: &[CutChange],
    shift: Vector,
    tolerance_ft: f64,
) -> Vec<ChangeKind> {
    let (old_id, new_id) = (pair.old, pair.new);
    let (old, new) = (old_roof.face(old_id), new_roof.face(new_id));
    let mut out = Vec::new();
    let (from_in_12, to_in_12) = (old.pitch.to_in_12(), new.pitch.to_in_12());
    if (from_in_12 - to_in_12).abs() > SAME_PITCH_IN_12 {
        out.push(ChangeKind::Pitch {
            from_in_12,
            to_in_12,
        });
    }
    let by_deg = angle_deg(old, new);
    if by_deg > SAME_FALL_DEG && !(old.is_flat() || new.is_flat()) {
        out.push(ChangeKind::Fall { by_deg });
    }
    let difference = Difference::between(
        &ground(old_roof, old, shift),
        &ground(new_roof, new, Vector::default()),
        tolerance_ft,
    );
    // Grounds that lie clear of each other have no outline in common to measure from.
    let carried = pair.carried;
    let moved_ft = carried.map_or(difference.moved_ft, Vector::length);
    let moved = moved_ft > tolerance_ft;
    let cut = cuts.iter().any(|c| {
        !c.kinds.is_empty()
            && (c.old.is_some_and(|id| id.faces(old_roof).contains(&old_id))
                || c.new.is_some_and(|id| id.faces(new_roof).contains(&new_id)))
    });
    let by_sqft = new.plan_area.to_square_feet() - old.plan_area.to_square_feet();
    if by_sqft.abs() > LEAST_AREA_SQFT && (moved || cut || difference.has_holes()) {
        out.push(if by_sqft > 0.0 {
            ChangeKind::Grew { by_sqft }
        } else {
            ChangeKind::Shrank { by_sqft: -by_sqft }
        });
    }
    if moved {
        out.push(ChangeKind::Moved { by_ft: moved_ft });
    }
    let told = |by_sqft: &f64| *by_sqft > LEAST_AREA_SQFT;
    let (taken_out, filled_in) = (difference.taken_out_sqft, difference.filled_in_sqft);
    out.extend(
        Some(taken_out)
            .filter(told)
            .map(|by_sqft| ChangeKind::TakenOut { by_sqft }),
    );
    out.extend(
        Some(filled_in)
            .filter(told)
            .map(|by_sqft| ChangeKind::FilledIn { by_sqft }),
    );
    let from_sqft = cuts::taken_sqft(old_roof, old_id);
    let to_sqft = cuts::taken_sqft(new_roof, new_id);
    if cut && told(&(to_sqft - from_sqft).abs()) {
        out.push(ChangeKind::Openings { from_sqft, to_sqft });
    }
    out
}

/// New edges that lie, as far as they reach, on old ones of another class. Where roofs step, two edges lie on one line:
/// one of the same class is enough. One that came with a face from where it had its class did not change it: the eave of a wing
/// moved by the width of a slope lies where its ridge lay.
fn edges(
    old: &Roof,
    new: &Roof,
    pairs: &[Pair],
    shift: Vector,
    tolerance_ft: f64,
) -> Vec<EdgeChange> {
    const LOOKED_AT: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
    let came_along = |edge: &Edge| {
        let (p, q) = (edge.start.plan(), edge.end.plan());
        let of_edge = pairs.iter().filter(|pair| edge.faces.contains(&pair.new));
        of_edge.filter_map(|pair| pair.carried).any(|by| {
            let classes = classes_at(old, shift + by, p.midpoint(q), q - p, tolerance_ft);
            classes.contains(&edge.class)
        })
    };
    new.edges
        .iter()
        .filter(|edge| !came_along(edge))
        .filter_map(|edge| {
            let (p, q) = (edge.start.plan(), edge.end.plan());
            let beneath: Option<Vec<Vec<EdgeClass>>> = LOOKED_AT
                .into_iter()
                .map(|t| {
                    let classes = classes_at(old, shift, p.lerp(q, t), q - p, tolerance_ft);
                    (!classes.is_empty()).then_some(classes)
                })
                .collect();
            let beneath = beneath?;
            if beneath.iter().any(|c| c.contains(&edge.class)) {
                return None;
            }
            Some(EdgeChange {
                from: *beneath.first()?.first()?,
                to: edge.class,
                ends: [p, q],
                true_ft: edge.true_length.to_feet(),
            })
        })
        .collect()
}

/// Classes of the old edges that run through a place in a direction.
fn classes_at(
    old: &Roof,
    shift: Vector,
    at: Point,
    direction: Vector,
    tolerance_ft: f64,
) -> Vec<EdgeClass> {
    let through = |edge: &&Edge| {
        let (a, b) = (edge.start.plan() + shift, edge.end.plan() + shift);
        let along = match (direction.unit(), (b - a).unit()) {
            (Some(u), Some(v)) => u.cross(v).abs() < ALONG,
            _ => false,
        };
        along && at.distance_to_segment(a, b) <= tolerance_ft
    };
    old.edges.iter().filter(through).map(|e| e.class).collect()
}
