//! Closed rings of points: areas, centroids, orientation.

use super::{Point, Point3, Vector};

/// The area inside, positive when the ring is counter-clockwise and negative when it is clockwise. The last point is
/// joined to the first. Summed about the first point, so that a ring far from the origin loses no digits.
pub fn signed_area(ring: &[Point]) -> f64 {
    let Some(&origin) = ring.first() else {
        return 0.0;
    };
    let twice: f64 = sides(ring)
        .map(|(a, b)| (a - origin).cross(b - origin))
        .sum();
    twice / 2.0
}

/// The length round the ring.
pub fn perimeter(ring: &[Point]) -> f64 {
    sides(ring).map(|(a, b)| a.distance(b)).sum()
}

/// The sides of the ring in order, the closing one last.
pub fn sides(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    let next = ring.iter().skip(1).chain(ring.first());
    ring.iter().copied().zip(next.copied())
}

/// From where to where points reach in a direction of length 1, seen from the origin; infinity and minus infinity where there
/// are none.
pub fn reach(points: &[Point], direction: Vector) -> (f64, f64) {
    let at = points
        .iter()
        .map(|&p| (p - Point::default()).dot(direction));
    at.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    })
}

/// The area of a plane ring in space, by Newell's vector: half the length of the sum of cross products.
pub fn newell_area(ring: &[Point3]) -> f64 {
    let Some(&o) = ring.first() else { return 0.0 };
    let mut n = (0.0, 0.0, 0.0);
    for i in 0..ring.len() {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        let (ax, ay, az) = (a.x - o.x, a.y - o.y, a.z - o.z);
        let (bx, by, bz) = (b.x - o.x, b.y - o.y, b.z - o.z);
        n.0 += ay * bz - az * by;
        n.1 += az * bx - ax * bz;
        n.2 += ax * by - ay * bx;
    }
    n.0.hypot(n.1).hypot(n.2) / 2.0
}

/// The centroid of the ring's area; the mean of its points where the area is nothing.
pub fn centroid(ring: &[Point]) -> Point {
    let Some(&origin) = ring.first() else {
        return Point::default();
    };
    let mut sum = Vector::default();
    let mut twice = 0.0;
    for (a, b) in sides(ring) {
        let (u, v) = (a - origin, b - origin);
        let w = u.cross(v);
        twice += w;
        sum += (u + v) * (w / 3.0);
    }
    if twice.abs() > f64::EPSILON {
        return origin + sum * (1.0 / twice);
    }
    let mean = ring
        .iter()
        .fold(Vector::default(), |s, &p| s + (p - origin))
        * (1.0 / ring.len() as f64);
    origin + mean
}

/// Whether a place lies inside the ring by the even-odd rule; places on the ring may go either way.
pub fn contains(ring: &[Point], p: Point) -> bool {
    sides(ring).fold(false, |inside, (a, b)| inside ^ is_passed(a, b, p))
}

/// Whether a ray from a place to the right passes a side: a place is inside the ring whose sides it passes an odd number of
/// times.
pub fn is_passed(a: Point, b: Point, p: Point) -> bool {
    (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
}
