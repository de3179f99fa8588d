//! What lies near a place, without going through everything: a drawing may hold a hundred thousand lines and texts.

use crate::geometry::Point;

/// So few boxes are gone through one by one.
const FEW: usize = 8;

/// Boxes by their places.
pub(super) struct Near {
    /// The numbers of the boxes, those of one part of the drawing together.
    order: Vec<usize>,
    boxes: Vec<Box2>,
    parts: Vec<Part>,
}

#[derive(Clone, Copy)]
struct Box2 {
    low: Point,
    high: Point,
}

/// The boxes from one place of the order to another; halved into the next part and the one at `second`, if at all.
struct Part {
    around: Box2,
    from: usize,
    to: usize,
    second: Option<usize>,
}

impl Box2 {
    fn of((a, b): (Point, Point)) -> Self {
        Self {
            low: Point::new(a.x.min(b.x), a.y.min(b.y)),
            high: Point::new(a.x.max(b.x), a.y.max(b.y)),
        }
    }
    fn with(self, other: Self) -> Self {
        Self {
            low: Self::of((self.low, other.low)).low,
            high: Self::of((self.high, other.high)).high,
        }
    }
    fn middle(&self) -> Point {
        self.low.midpoint(self.high)
    }
    fn reaches(&self, p: Point, distance: f64) -> bool {
        let between = |low: f64, high: f64, v: f64| low - distance <= v && v <= high + distance;
        between(self.low.x, self.high.x, p.x) && between(self.low.y, self.high.y, p.y)
    }
}

impl Near {
    /// Boxes round two corners each, or round one place given twice.
    pub(super) fn of(boxes: impl Iterator<Item = (Point, Point)>) -> Self {
        let boxes: Vec<Box2> = boxes.map(Box2::of).collect();
        let mut all = Self {
            order: (0..boxes.len()).collect(),
            boxes,
            parts: Vec::new(),
        };
        if !all.boxes.is_empty() {
            all.part(0, all.boxes.len());
        }
        all
    }

    fn part(&mut self, from: usize, to: usize) {
        let boxes = &self.boxes;
        let inside = self.order[from..to].iter().map(|&i| boxes[i]);
        let Some(around) = inside.reduce(Box2::with) else {
            return;
        };
        let at = self.parts.len();
        self.parts.push(Part {
            around,
            from,
            to,
            second: None,
        });
        if to - from <= FEW {
            return;
        }
        let size = around.high - around.low;
        let along = |i: usize| {
            let middle = boxes[i].middle();
            if size.x > size.y { middle.x } else { middle.y }
        };
        let half = from.midpoint(to);
        self.order[from..to].select_nth_unstable_by(half - from, |&a, &b| {
            along(a).total_cmp(&along(b)).then(a.cmp(&b))
        });
        self.part(from, half);
        self.parts[at].second = Some(self.parts.len());
        self.part(half, to);
    }

    /// The numbers of the boxes that come within a distance of a place, each way; the least first.
    pub(super) fn near(&self, p: Point, distance: f64) -> Vec<usize> {
        let mut found = Vec::new();
        let mut open = vec![0];
        while let Some(at) = open.pop() {
            let Some(part) = self.parts.get(at).filter(|n| n.around.reaches(p, distance)) else {
                continue;
            };
            match part.second {
                Some(second) => open.extend([second, at + 1]),
                None => {
                    let all = self.order[part.from..part.to].iter().copied();
                    found.extend(all.filter(|&i| self.boxes[i].reaches(p, distance)));
                }
            }
        }
        found.sort_unstable();
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_near_is_found_as_by_going_through_everything() {
        // Boxes strewn by a fixed rule, some of them in heaps.
        let place = |i: u64| (i.wrapping_mul(2_654_435_761) >> 7) % 1000;
        let corner = |i: u64| Point::new(place(i) as f64, place(i + 77) as f64);
        let boxes: Vec<(Point, Point)> = (0..500)
            .map(|i| {
                let a = if i % 5 == 0 {
                    Point::new(3.0, 4.0)
                } else {
                    corner(i)
                };
                (a, Point::new(a.x + (i % 13) as f64, a.y - (i % 7) as f64))
            })
            .collect();
        let index = Near::of(boxes.iter().copied());
        for i in 0..200 {
            let (p, distance) = (corner(i * 31), (i % 40) as f64);
            let by_hand: Vec<usize> = (0..boxes.len())
                .filter(|&k| Box2::of(boxes[k]).reaches(p, distance))
                .collect();
            assert_eq!(index.near(p, distance), by_hand);
        }
        assert!(Near::of(std::iter::empty()).near(corner(1), 1e9).is_empty());
    }
}
