//! Rectangles of paper, and what of a drawing lies in one.

use crate::geometry::{Point, part_in_box, ring};

/// A rectangle of paper, sides along the sheet's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    pub(crate) left: f64,
    pub(crate) bottom: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
}

impl Area {
    pub(crate) const fn new(left: f64, bottom: f64, right: f64, top: f64) -> Self {
        Self {
            left,
            bottom,
            right,
            top,
        }
    }
    pub(crate) fn width(self) -> f64 {
        self.right - self.left
    }
    pub(crate) fn height(self) -> f64 {
        self.top - self.bottom
    }
    pub(crate) fn center(self) -> Point {
        Point::new(
            (self.left + self.right) / 2.0,
            (self.bottom + self.top) / 2.0,
        )
    }
    /// Smaller by a margin on all sides.
    pub(crate) fn inset(self, by: f64) -> Self {
        Self::new(
            self.left + by,
            self.bottom + by,
            self.right - by,
            self.top - by,
        )
    }
    pub(crate) fn corners(self) -> [Point; 4] {
        [
            Point::new(self.left, self.bottom),
            Point::new(self.right, self.bottom),
            Point::new(self.right, self.top),
            Point::new(self.left, self.top),
        ]
    }
    pub(crate) fn holds(self, p: Point) -> bool {
        p.x >= self.left && p.x <= self.right && p.y >= self.bottom && p.y <= self.top
    }
    /// The part of a segment inside, as shares of its length from `a`; `None` where it only touches.
    pub(crate) fn clip_segment(self, a: Point, b: Point) -> Option<(f64, f64)> {
        let [low, _, high, _] = self.corners();
        part_in_box(a, b, low, high).filter(|(from, to)| from < to)
    }
    /// The pieces of a line through these points that lie inside.
    pub(crate) fn clip_path(self, points: &[Point], closed: bool) -> Vec<Vec<Point>> {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        let closing = points.first().filter(|_| closed);
        let ends = points.iter().skip(1).chain(closing);
        for (&a, &b) in points.iter().zip(ends) {
            let Some((from, to)) = self.clip_segment(a, b) else {
                continue;
            };
            match pieces.last_mut() {
                Some(piece) if from == 0.0 && piece.last() == Some(&a) => piece.push(a.lerp(b, to)),
                _ => pieces.push(vec![a.lerp(b, from), a.lerp(b, to)]),
            }
        }
        pieces
    }
    /// A ring cut to the area, side by side of it (Sutherland and Hodgman 1974). Where a bent ring falls into pieces they
    /// stay joined along the border.
    pub(crate) fn clip_ring(self, ring: &[Point]) -> Vec<Point> {
        type Depth = fn(Area, Point) -> f64;
        let sides: [Depth; 4] = [
            |area, p| p.x - area.left,
            |area, p| area.right - p.x,
            |area, p| p.y - area.bottom,
            |area, p| area.top - p.y,
        ];
        let mut cut = ring.to_vec();
        for depth in sides {
            let mut kept = Vec::with_capacity(cut.len() + 2);
            for (a, b) in ring::sides(&cut) {
                let (da, db) = (depth(self, a), depth(self, b));
                if da >= 0.0 {
                    kept.push(a);
                }
                if (da > 0.0 && db < 0.0) || (da < 0.0 && db > 0.0) {
                    kept.push(a.lerp(b, da / (da - db)));
                }
            }
            cut = kept;
        }
        cut
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HALF: Area = Area::new(-1.0, -1.0, 2.0, 9.0);

    fn square() -> Vec<Point> {
        Area::new(0.0, 0.0, 4.0, 4.0).corners().to_vec()
    }

    #[test]
    fn a_square_cut_in_half_keeps_half_of_its_area() {
        assert!((ring::signed_area(&HALF.clip_ring(&square())) - 8.0).abs() < 1e-12);
    }

    #[test]
    fn the_outline_of_a_square_cut_in_half_keeps_the_sides_and_not_the_cut() {
        let pieces = HALF.clip_path(&square(), true);
        let length = |p: &Vec<Point>| p.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
        assert_eq!(pieces.iter().map(length).sum::<f64>(), 8.0);
    }
}
