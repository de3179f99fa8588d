//! What of a face is seen in a part of the plan, and where in it a label belongs.

use super::details::Part;
use crate::geometry::{Point, ring};
use crate::roof::{FaceId, Roof};

/// Less of a face than this, in ft², is a sliver at the border of a part and is not named there.
const LEAST_SEEN_SQFT: f64 = 0.5;
/// The place for a label is looked for on a lattice of so many steps each way.
const STEPS: u32 = 16;

/// A face within a part of the plan, in plan feet.
#[derive(Clone, Debug)]
pub(crate) struct Seen {
    pub(crate) corners: Vec<Point>,
    /// A place inside, far from all borders.
    pub(crate) middle: Point,
}

/// What is seen of a face; `None` where it is a sliver or nothing.
pub(crate) fn seen(roof: &Roof, index: usize, part: Option<&Part>) -> Option<Seen> {
    let face = &roof.faces[index];
    let corners = face.outline.plan();
    let whole = Seen {
        corners,
        middle: face.label_at,
    };
    let Some(part) = part.filter(|part| !whole.corners.iter().all(|&c| part.holds(c))) else {
        return Some(whole);
    };
    let corners = part.area().clip_ring(&whole.corners);
    if corners.len() < 3 || ring::signed_area(&corners).abs() < LEAST_SEEN_SQFT {
        return None;
    }
    let middle = middle(roof, FaceId(index), &corners)?;
    Some(Seen { corners, middle })
}

/// The place of a lattice that lies farthest from the polygon's sides, inside the face.
fn middle(roof: &Roof, face: FaceId, corners: &[Point]) -> Option<Point> {
    let whole = Part::of_points(corners.iter().copied())?;
    let step = |i: u32| (f64::from(i) + 0.5) / f64::from(STEPS);
    let lattice = (0..STEPS).flat_map(|i| (0..STEPS).map(move |k| (step(i), step(k))));
    lattice
        .map(|(x, y)| {
            let size = whole.size();
            Point::new(whole.low.x + size.x * x, whole.low.y + size.y * y)
        })
        .filter(|&p| ring::contains(corners, p) && roof.face(face).covers(p))
        .map(|p| {
            let away = ring::sides(corners).map(|(a, b)| distance(p, a, b));
            (away.fold(f64::INFINITY, f64::min), p)
        })
        .reduce(|best, next| if next.0 > best.0 { next } else { best })
        .map(|(_, p)| p)
}

/// From a point to a segment.
fn distance(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let t = (p - a).dot(along) / along.dot(along).max(f64::MIN_POSITIVE);
    p.distance(a.lerp(b, t.clamp(0.0, 1.0)))
}
