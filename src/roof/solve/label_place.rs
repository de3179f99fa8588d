//! A roomy place inside a face for its name: the pole of inaccessibility.
//!
//! Cells of a quadtree, the most promising first, until none can beat the best by more than the precision
//! (D. Garcia-Castellanos and U. Lombardo, *Poles of inaccessibility*, Scottish Geographical Journal 123, 2007, for the
//! notion; the quadtree search is a common one, from memory).

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use crate::geometry::{Point, ring};

/// Precision as a part of the face's larger extent.
const PRECISION: f64 = 0.01;
/// Enough for any face that is not a crack.
const MOST_CELLS: usize = 4000;

#[derive(Clone, Copy)]
struct Cell {
    middle: Point,
    half: f64,
    distance: f64,
}

impl Cell {
    fn reach(&self) -> f64 {
        self.distance + self.half * std::f64::consts::SQRT_2
    }
}
impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Cell {}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cell {
    fn cmp(&self, other: &Self) -> Ordering {
        self.reach()
            .total_cmp(&other.reach())
            .then(other.middle.x.total_cmp(&self.middle.x))
            .then(other.middle.y.total_cmp(&self.middle.y))
    }
}

/// The point inside the rings (the outer one first, then holes) that lies farthest from every side.
pub(super) fn roomiest_point(rings: &[Vec<Point>]) -> Point {
    let Some(outer) = rings.first().filter(|r| !r.is_empty()) else {
        return Point::default();
    };
    let (mut low, mut high) = (outer[0], outer[0]);
    for p in outer {
        low = Point::new(low.x.min(p.x), low.y.min(p.y));
        high = Point::new(high.x.max(p.x), high.y.max(p.y));
    }
    let (width, height) = (high.x - low.x, high.y - low.y);
    let size = width.min(height);
    let centre = ring::centroid(outer);
    if size <= 0.0 || !size.is_finite() {
        return centre;
    }
    let sides: Vec<(Point, Point)> = rings.iter().flat_map(|r| ring::sides(r)).collect();
    let cell = |middle: Point, half: f64, least: f64| Cell {
        middle,
        half,
        distance: signed_distance(&sides, middle, least),
    };
    let mut best = cell(centre, 0.0, 0.0);
    let mut open = BinaryHeap::new();
    let (columns, rows) = (
        (width / size).ceil() as usize,
        (height / size).ceil() as usize,
    );
    for i in 0..columns {
        for j in 0..rows {
            let middle = Point::new(
                low.x + (i as f64 + 0.5) * size,
                low.y + (j as f64 + 0.5) * size,
            );
            open.push(cell(middle, size / 2.0, 0.0));
        }
    }
    let precision = PRECISION * width.max(height);
    for _ in 0..MOST_CELLS {
        let Some(top) = open.pop() else { break };
        if top.reach() - best.distance <= precision {
            break;
        }
        let half = top.half / 2.0;
        for (dx, dy) in [(-half, -half), (half, -half), (-half, half), (half, half)] {
            let middle = Point::new(top.middle.x + dx, top.middle.y + dy);
            // Nearer to a side than this, a cell is neither the best nor worth dividing.
            let least = best.distance + (precision - half * std::f64::consts::SQRT_2).min(0.0);
            let next = cell(middle, half, least);
            if next.distance > best.distance {
                best = Cell { half: 0.0, ..next };
            }
            if next.reach() - best.distance > precision {
                open.push(next);
            }
        }
    }
    best.middle
}

/// Distance to the nearest side, negative outside; minus infinity as soon as a side is found nearer than `least`.
fn signed_distance(sides: &[(Point, Point)], p: Point, least: f64) -> f64 {
    let mut inside = false;
    let mut nearest = f64::INFINITY;
    let enough = least.max(0.0) * least.max(0.0);
    for &(a, b) in sides {
        inside ^= ring::is_passed(a, b, p);
        let to_side = p.nearest_on_segment(a, b) - p;
        nearest = nearest.min(to_side.dot(to_side));
        if nearest < enough {
            return f64::NEG_INFINITY;
        }
    }
    let nearest = nearest.sqrt();
    if inside { nearest } else { -nearest }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_of_an_l_shaped_face_does_not_stand_outside_it() {
        let l = vec![
            Point::new(0.0, 0.0),
            Point::new(10.0, 0.0),
            Point::new(10.0, 2.0),
            Point::new(2.0, 2.0),
            Point::new(2.0, 10.0),
            Point::new(0.0, 10.0),
        ];
        let p = roomiest_point(&[l]);
        // The largest circle in the corner: centre (r, r) with r = 4 − 2√2 = 1.17157 touches the inner corner (2, 2).
        let r = 4.0 - 2.0 * std::f64::consts::SQRT_2;
        assert!(p.distance(Point::new(r, r)) < 0.3, "{p:?}");
    }

    /// No place of a net is roomier than the one found by more than the precision that is asked for, whatever is given up
    /// on the way.
    #[test]
    fn no_place_is_much_roomier_than_the_one_found() {
        let ring = |at: &[(f64, f64)]| at.iter().map(|&(x, y)| Point::new(x, y)).collect();
        let square = |x: f64| vec![(x, 3.0), (x + 4.0, 3.0), (x + 4.0, 7.0), (x, 7.0)];
        let faces: [Vec<Vec<Point>>; 4] = [
            vec![ring(&[(0.0, 0.0), (50.0, 0.0), (50.0, 14.0), (0.0, 14.0)])],
            vec![ring(&[(0.0, 0.0), (30.0, 0.0), (15.0, 15.0)])],
            vec![ring(&[
                (0.0, 0.0),
                (40.0, 0.0),
                (28.0, 12.0),
                (20.0, 4.0),
                (12.0, 12.0),
            ])],
            vec![
                ring(&[(0.0, 0.0), (40.0, 0.0), (40.0, 12.0), (0.0, 12.0)]),
                ring(&square(18.0)),
            ],
        ];
        for rings in faces {
            let sides: Vec<_> = rings.iter().flat_map(|r| ring::sides(r)).collect();
            let room = |p| signed_distance(&sides, p, 0.0);
            let wide = rings[0].iter().fold(0.0, |wide: f64, p| wide.max(p.x));
            let net = (0..200 * 60).map(|n| {
                let (i, j) = (f64::from(n % 200) / 200.0, f64::from(n / 200) / 60.0);
                room(Point::new(wide * i, 15.0 * j))
            });
            let roomiest = net.fold(f64::NEG_INFINITY, f64::max);
            let found = room(roomiest_point(&rings));
            assert!(
                found >= roomiest - PRECISION * wide,
                "{found} of {roomiest}"
            );
        }
    }
}
