//! Room for words: boxes that may be turned, and a board that remembers what is taken.

use crate::geometry::{Point, Vector};

/// A box turned with its text.
#[derive(Clone, Copy, Debug)]
pub(super) struct Box2 {
    middle: Point,
    /// Half the width, along the text.
    right: Vector,
    /// Half the height, square to it.
    up: Vector,
}

impl Box2 {
    /// An upright box.
    pub(super) fn around(middle: Point, width: f64, height: f64) -> Self {
        Self {
            middle,
            right: Vector::new(width / 2.0, 0.0),
            up: Vector::new(0.0, height / 2.0),
        }
    }
    /// The box of a text set centred on a place and turned. Widths are Liberation Sans's, rounded up: digits and
    /// most small letters 0.56, narrow ones 0.28, wide ones 0.9 of the size.
    pub(super) fn text(words: &str, size: f64, middle: Point, deg: f64) -> Self {
        let ems: f64 = words
            .chars()
            .map(|c| match c {
                'i' | 'l' | 'j' | 't' | 'f' | 'r' | '.' | ',' | ' ' | '′' | '-' | '/' => 0.34,
                '″' => 0.42,
                'm' | 'w' | 'M' | 'W' | '⅛' | '¼' | '⅜' | '½' | '⅝' | '¾' | '⅞' => 0.9,
                c if c.is_ascii_uppercase() => 0.74,
                c if c.is_ascii() => 0.58,
                _ => 1.0,
            })
            .sum();
        let (sin, cos) = deg.to_radians().sin_cos();
        Self {
            middle,
            right: Vector::new(cos, sin) * (ems * size / 2.0),
            up: Vector::new(-sin, cos) * (size * 0.55),
        }
    }
    /// Its width along the text.
    pub(super) fn width(&self) -> f64 {
        2.0 * self.right.length()
    }
    /// Its middle.
    pub(super) fn middle(&self) -> Point {
        self.middle
    }

    fn corners(&self) -> [Point; 4] {
        let (m, r, u) = (self.middle, self.right, self.up);
        [m + r + u, m + u + -r, m + -r + -u, m + r + -u]
    }

    /// Whether a convex shape overlaps it: no direction square to a side of either separates them.
    fn meets(&self, other: &[Point]) -> bool {
        let own = self.corners();
        let mut axes = vec![self.right, self.up];
        axes.extend(
            (0..other.len()).map(|i| (other[(i + 1) % other.len()] - other[i]).turn_left()),
        );
        axes.into_iter().all(|axis| {
            let spread = |points: &[Point]| {
                points
                    .iter()
                    .map(|p| p.x * axis.x + p.y * axis.y)
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                        (l.min(v), h.max(v))
                    })
            };
            let (a, b) = (spread(&own), spread(other));
            a.0 <= b.1 && b.0 <= a.1
        })
    }
}

/// What is taken on a sheet.
pub(super) struct Board {
    width: f64,
    height: f64,
    lines: Vec<[Point; 2]>,
    boxes: Vec<[Point; 4]>,
}

impl Board {
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            lines: vec![],
            boxes: vec![],
        }
    }
    /// A line that no text may cross.
    pub(super) fn line(&mut self, a: Point, b: Point) {
        self.lines.push([a, b]);
    }
    /// Takes a box, free or not.
    pub(super) fn claim(&mut self, b: Box2) {
        self.boxes.push(b.corners());
    }
    /// Takes the upright box round a ring, and returns its width and height.
    pub(super) fn claim_ring(&mut self, ring: &[Point]) -> Vector {
        let Some(&first) = ring.first() else {
            return Vector::default();
        };
        let (low, high) = ring.iter().fold((first, first), |(l, h), p| {
            (
                Point::new(l.x.min(p.x), l.y.min(p.y)),
                Point::new(h.x.max(p.x), h.y.max(p.y)),
            )
        });
        let size = high - low;
        self.claim(Box2::around(low.midpoint(high), size.x, size.y));
        size
    }
    /// Takes a box if it lies on the sheet and touches nothing.
    pub(super) fn try_claim(&mut self, b: Box2) -> bool {
        let inside = b.corners().iter().all(|p| {
            p.x >= 1.0 && p.y >= 1.0 && p.x <= self.width - 1.0 && p.y <= self.height - 1.0
        });
        let free = inside
            && !self.lines.iter().any(|l| b.meets(l))
            && !self.boxes.iter().any(|other| b.meets(other));
        if free {
            self.claim(b);
        }
        free
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_box_passes_where_an_upright_one_does_not() {
        let mut board = Board::new(200.0, 200.0);
        board.line(Point::new(0.0, 0.0), Point::new(200.0, 200.0));
        let beside = Point::new(110.0, 90.0);
        assert!(!board.try_claim(Box2::text("eave 10′-0″", 12.0, beside, 0.0)));
        assert!(board.try_claim(Box2::text("eave 10′-0″", 12.0, beside, 45.0)));
        assert!(!board.try_claim(Box2::text("eave 10′-0″", 12.0, beside, 45.0)));
    }

    #[test]
    fn nothing_is_put_past_the_border() {
        let mut board = Board::new(100.0, 100.0);
        assert!(!board.try_claim(Box2::around(Point::new(5.0, 50.0), 12.0, 4.0)));
    }
}
