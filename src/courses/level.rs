//! Traced eaves, ridges and headwalls are level on the roof, and within the tracing's error on the plan. Courses are
//! laid against them as they are built: a side that leans by a hair would cross a course line over yards and leave a
//! wedge that nobody lays.

use crate::geometry::Point;
use crate::roof::{EdgeClass, Ring, Roof, Side};

/// Sides that lean by more than this in all, in inches up the slope, lean on the roof: twice the 20 mm within which an
/// edge is called level, since two traced ends are off.
const LEAST_LEAN_IN: f64 = 2.0 * 20.0 / 25.4;

/// Puts the ends of sides that are level by their class at one height up the slope: the mean of the chain's, weighted by
/// the lengths that meet there. `points` are the ring's corners in (u, v) inches.
pub(super) fn level_sides(roof: &Roof, ring: &Ring, points: &mut [Point]) {
    let n = points.len();
    let level: Vec<bool> = (0..n)
        .map(|i| is_level(roof, ring.sides[i], points[i], points[(i + 1) % n]))
        .collect();
    // A ring that is level all round has no fall, and no course is laid on it.
    let Some(start) = level.iter().position(|l| !l) else {
        return;
    };
    let mut at = start + 1;
    while at <= start + n {
        let mut end = at;
        while end < start + n && level[end % n] {
            end += 1;
        }
        level_chain(points, at, end);
        at = end + 1;
    }
}

/// Levels the corners `from..=to` of the ring, counted round it.
fn level_chain(points: &mut [Point], from: usize, to: usize) {
    let n = points.len();
    let heights = (from..=to).map(|i| points[i % n].y);
    let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
        (l.min(v), h.max(v))
    });
    if to == from || high - low > LEAST_LEAN_IN {
        return;
    }
    let (mut sum, mut length) = (0.0, 0.0);
    for i in from..to {
        let (a, b) = (points[i % n], points[(i + 1) % n]);
        let side = a.distance(b);
        sum += side * (a.y + b.y) / 2.0;
        length += side;
    }
    if length > 0.0 {
        for i in from..=to {
            points[i % n].y = sum / length;
        }
    }
}

fn is_level(roof: &Roof, side: Side, a: Point, b: Point) -> bool {
    let Side::Edge(id) = side else { return false };
    let class = matches!(
        roof.edge(id).class,
        EdgeClass::Eave | EdgeClass::HighEdge | EdgeClass::Ridge | EdgeClass::Headwall
    );
    class && (b.y - a.y).abs() <= LEAST_LEAN_IN.min((b.x - a.x).abs())
}
