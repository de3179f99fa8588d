//! Which faces of two revisions are one.

use std::collections::BTreeMap;

use geo::Centroid as _;

use super::ground::{Difference, ground};
use super::{SAME_FALL_DEG, SAME_PITCH_IN_12, SHARED_OF_SMALLER, TURNED_DEG, angle_deg, overlap};
use crate::geometry::Vector;
use crate::roof::{Face, FaceId, Roof};

/// Faces that share half of the smaller are one where they share this part of the larger as well: a face cut in two stays with its
/// larger part.
const SHARED_OF_LARGER: f64 = 0.2;

/// Of slopes of one pitch and fall less of the smaller is enough where nothing speaks for another: own choice, so that what two
/// merely touch by does not make them one.
const SHARED_AT_ALL: f64 = 0.2;

/// Two faces that are one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair {
    pub(super) old: FaceId,
    pub(super) new: FaceId,
    /// How far it was carried, where it was carried to other ground as it was.
    pub(super) carried: Option<Vector>,
}

/// What faces are known by to be one, the surest first. A slope that turned round where it lay is rarer than a wing that was
/// moved by about the width of its slopes, so that one comes to lie where the other lay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum KnownBy {
    /// They share ground and fall alike.
    Ground,
    /// They have one outline, pitch and fall.
    Shape,
    /// They have one pitch and fall, and share some ground: the side that went in of a wing that grew narrower.
    Slope,
    /// They share ground and fall otherwise.
    GroundTurned,
}

/// Whether two faces have one pitch and one fall.
fn slope_alike(old: &Face, new: &Face) -> bool {
    (old.pitch.to_in_12() - new.pitch.to_in_12()).abs() <= SAME_PITCH_IN_12
        && angle_deg(old, new) <= SAME_FALL_DEG
}

/// How far a face was carried that has the outline, the pitch and the fall that it had, as the end of a hip is where the roof
/// grows longer; `None` where it is another one.
fn carried(
    (old_roof, old): (&Roof, &Face),
    (new_roof, new): (&Roof, &Face),
    shift: Vector,
    tolerance_ft: f64,
) -> Option<Vector> {
    let (p, q) = (
        old.plan_area.to_square_feet(),
        new.plan_area.to_square_feet(),
    );
    if !slope_alike(old, new) || p.min(q) < SHARED_OF_SMALLER * p.max(q) {
        return None;
    }
    let (before, now) = (
        ground(old_roof, old, shift),
        ground(new_roof, new, Vector::default()),
    );
    let (from, to) = (before.centroid()?, now.centroid()?);
    let by = Vector::new(to.x() - from.x(), to.y() - from.y());
    let laid_on = ground(old_roof, old, shift + by);
    let moved_ft = Difference::between(&laid_on, &now, tolerance_ft).moved_ft;
    (moved_ft <= tolerance_ft).then_some(by)
}

/// Faces that are one: those that share ground and fall alike, the pair that shares most first; of the rest those of one shape,
/// pitch and fall, the nearest first; then those of one pitch and fall that share some ground, and those that turned round.
pub(super) fn pairs(old: &Roof, new: &Roof, shift: Vector, tolerance_ft: f64) -> Vec<Pair> {
    let mut all = Vec::new();
    let mut carries: BTreeMap<(usize, usize), Vector> = BTreeMap::new();
    for (i, a) in old.faces.iter().enumerate() {
        for (j, b) in new.faces.iter().enumerate() {
            if a.level != b.level {
                continue;
            }
            let shared = overlap(a, b, shift);
            let (p, q) = (a.plan_area.to_square_feet(), b.plan_area.to_square_feet());
            let mut known = |by: KnownBy, against: f64| all.push((by, against, i, j));
            if shared >= SHARED_OF_SMALLER * p.min(q) && shared >= SHARED_OF_LARGER * p.max(q) {
                // Of two that share as much, the one that falls the same way.
                match angle_deg(a, b) > TURNED_DEG {
                    true => known(KnownBy::GroundTurned, -shared),
                    false => known(KnownBy::Ground, -shared),
                }
            } else if let Some(by) = carried((old, a), (new, b), shift, tolerance_ft) {
                known(KnownBy::Shape, by.length());
                carries.insert((i, j), by);
            } else if shared >= SHARED_AT_ALL * p.min(q) && slope_alike(a, b) {
                known(KnownBy::Slope, -shared);
            }
        }
    }
    let one_to_one = best_first(all).into_iter();
    let pair = |(old, new)| Pair {
        old: FaceId(old),
        new: FaceId(new),
        carried: carries.get(&(old, new)).copied(),
    };
    one_to_one.map(pair).collect()
}

/// One to one, the best first: each candidate is a pair with what speaks against it.
pub(super) fn best_first<R: Ord>(mut all: Vec<(R, f64, usize, usize)>) -> Vec<(usize, usize)> {
    all.sort_by(|a, b| {
        a.0.cmp(&b.0)
            .then(a.1.total_cmp(&b.1))
            .then((a.2, a.3).cmp(&(b.2, b.3)))
    });
    let mut taken: Vec<(usize, usize)> = Vec::new();
    for (_, _, o, n) in all {
        if taken.iter().all(|p| p.0 != o && p.1 != n) {
            taken.push((o, n));
        }
    }
    taken
}
