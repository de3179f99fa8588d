//! In which order polygons are painted, so that the nearer covers the farther.

use super::solid::Polygon;
use crate::geometry::{Point, ring};

/// Nearness that differs by less than this is the same: two polygons that touch there.
const TOUCH_FT: f64 = 0.02;

/// Indices of the polygons from the farthest to the nearest. Where two cover each other in a circle, which no roof
/// without crossing faces does, the farther middle goes first.
pub(crate) fn painted(polygons: &[Polygon]) -> Vec<usize> {
    let n = polygons.len();
    let boxes: Vec<(Point, Point)> = polygons.iter().map(extent).collect();
    // behind[i]: polygons that must be painted before i.
    let mut behind: Vec<Vec<usize>> = vec![Vec::new(); n];
    for i in 0..n {
        for j in i + 1..n {
            if apart(boxes[i], boxes[j]) {
                continue;
            }
            match nearer(&polygons[i], &polygons[j]) {
                Some(true) => behind[i].push(j),
                Some(false) => behind[j].push(i),
                None => {}
            }
        }
    }
    let middle = |i: usize| {
        let p = ring::centroid(&polygons[i].seen[0]);
        polygons[i].nearness_at(p)
    };
    let mut waiting: Vec<usize> = (0..n).collect();
    waiting.sort_by(|&a, &b| middle(a).total_cmp(&middle(b)));
    let mut done = vec![false; n];
    let mut order = Vec::with_capacity(n);
    while !waiting.is_empty() {
        let next = waiting
            .iter()
            .position(|&i| behind[i].iter().all(|&j| done[j]))
            .unwrap_or(0);
        let i = waiting.remove(next);
        done[i] = true;
        order.push(i);
    }
    order
}

fn extent(polygon: &Polygon) -> (Point, Point) {
    let start = (
        Point::new(f64::INFINITY, f64::INFINITY),
        Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    );
    polygon.seen[0].iter().fold(start, |(low, high), p| {
        (
            Point::new(low.x.min(p.x), low.y.min(p.y)),
            Point::new(high.x.max(p.x), high.y.max(p.y)),
        )
    })
}

fn apart(a: (Point, Point), b: (Point, Point)) -> bool {
    a.1.x < b.0.x || b.1.x < a.0.x || a.1.y < b.0.y || b.1.y < a.0.y
}

/// Whether the first is nearer where both are seen: told by the place of theirs where they are farthest apart.
fn nearer(a: &Polygon, b: &Polygon) -> Option<bool> {
    let mut most: f64 = 0.0;
    for p in common_places(a, b) {
        let d = a.nearness_at(p) - b.nearness_at(p);
        if d.abs() > most.abs() {
            most = d;
        }
    }
    (most.abs() > TOUCH_FT).then_some(most > 0.0)
}

/// Places of the picture that lie in both: corners of one in the other, and crossings of their sides.
fn common_places(a: &Polygon, b: &Polygon) -> Vec<Point> {
    let mut places = Vec::new();
    for (one, other) in [(a, b), (b, a)] {
        places.extend(
            one.seen
                .iter()
                .flatten()
                .copied()
                .filter(|&p| other.covers(p)),
        );
    }
    for (p, q) in a.seen.iter().flat_map(|r| ring::sides(r)) {
        for (r, s) in b.seen.iter().flat_map(|r| ring::sides(r)) {
            let (d, e) = (q - p, s - r);
            let det = d.cross(e);
            if det.abs() < 1e-12 {
                continue;
            }
            let t = (r - p).cross(e) / det;
            let u = (r - p).cross(d) / det;
            if (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u) {
                places.push(p.lerp(q, t));
            }
        }
    }
    places
}
