//! The part of the page that a clip path leaves to be seen, in the root user space.

use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon};

use super::extent::Extent;
use crate::geometry::{Point, ring};

/// What shows through a clip path: whatever lies in one of its parts.
#[derive(Clone, Debug, Default)]
pub(super) struct Region {
    parts: Vec<Part>,
}

/// How much may still be looked at: sides of clip paths, each as often as a place or a piece is held against it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Effort {
    left: usize,
}

impl Effort {
    pub(super) const fn new(most: usize) -> Self {
        Self { left: most }
    }
    /// `false` where nothing is left.
    pub(super) fn spend(&mut self, sides: usize) -> bool {
        self.left = self.left.saturating_sub(sides);
        self.left > 0
    }
    pub(super) fn is_spent(&self) -> bool {
        self.left == 0
    }
}

/// One shape of a clip path.
#[derive(Clone, Debug)]
pub(super) struct Part {
    rings: Vec<Vec<Point>>,
    even_odd: bool,
    extent: Extent,
    is_box: bool,
}

impl Part {
    /// `None` for a shape that holds no area.
    pub(super) fn new(rings: Vec<Vec<Point>>, even_odd: bool) -> Option<Self> {
        let extent = Extent::of_points(rings.iter().flatten().copied())?;
        Some(Self {
            is_box: is_box(&rings, &extent),
            rings,
            even_odd,
            extent,
        })
    }

    fn sides(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.rings.iter().flat_map(|r| ring::sides(r))
    }

    fn contains(&self, p: Point) -> bool {
        let turns: i32 = self.rings.iter().map(|r| winding(r, p)).sum();
        if self.even_odd {
            turns % 2 != 0
        } else {
            turns != 0
        }
    }

    fn polygons(&self) -> MultiPolygon {
        even_odd(&self.rings)
    }
}

/// Whether it is a rectangle along the axes.
fn is_box(rings: &[Vec<Point>], extent: &Extent) -> bool {
    let [ring] = rings else {
        return false;
    };
    let slack = 1e-6 * extent.size();
    let near = |a: f64, b: f64| (a - b).abs() <= slack;
    let on_side = |p: &Point| {
        let beside = near(p.x, extent.low.x) || near(p.x, extent.high.x);
        beside || near(p.y, extent.low.y) || near(p.y, extent.high.y)
    };
    let box_area = extent.width() * extent.height();
    let holds_all = (ring::signed_area(ring).abs() - box_area).abs() <= 1e-5 * box_area;
    holds_all && ring.iter().all(on_side)
}

impl Region {
    pub(super) fn new(parts: Vec<Part>) -> Self {
        Self { parts }
    }

    /// How many sides its outline has.
    pub(super) fn side_count(&self) -> usize {
        self.parts.iter().flat_map(|p| &p.rings).map(Vec::len).sum()
    }

    /// Whether a plain rectangle shows all of a box: the usual clip, round everything.
    pub(super) fn plainly_shows(&self, extent: &Extent, slack: f64) -> bool {
        self.parts
            .iter()
            .any(|p| p.is_box && p.extent.covers(extent, slack))
    }

    /// Whether it lies away from a box.
    pub(super) fn plainly_hides(&self, extent: &Extent, slack: f64) -> bool {
        self.parts.iter().all(|p| p.extent.gap(extent) > slack)
    }

    /// Whether a place is seen; places within `slack` of the border are, since a line there shows half its width.
    pub(super) fn shows(&self, p: Point, slack: f64) -> bool {
        self.parts.iter().any(|part| {
            let here = Extent { low: p, high: p };
            part.extent.gap(&here) <= slack
                && (part.contains(p) || part.sides().any(|(a, b)| gap(p, a, b) <= slack))
        })
    }

    /// Where a straight piece meets the border, as shares of its length in order. Sides count as longer by `slack`, so that
    /// a line beside a border ends where the border does.
    pub(super) fn crossings(&self, from: Point, to: Point, slack: f64) -> Vec<f64> {
        let way = to - from;
        let mut all: Vec<f64> = self
            .parts
            .iter()
            .flat_map(Part::sides)
            .filter_map(|(a, b)| {
                let side = b - a;
                let across = way.cross(side);
                if across.abs() <= 1e-12 * way.length() * side.length() {
                    return None;
                }
                let share = (a - from).cross(side) / across;
                let along = (a - from).cross(way) / across;
                let beyond = slack / side.length();
                let meets = (-beyond..=1.0 + beyond).contains(&along);
                (meets && (0.0..=1.0).contains(&share)).then_some(share)
            })
            .collect();
        all.sort_by(f64::total_cmp);
        all
    }

    /// What is seen of a filled shape, as rings.
    pub(super) fn seen_of(&self, rings: &[Vec<Point>]) -> Vec<Vec<Point>> {
        let region = self
            .parts
            .iter()
            .map(Part::polygons)
            .reduce(|a, b| a.union(&b))
            .unwrap_or_else(|| MultiPolygon::new(Vec::new()));
        let seen = even_odd(rings).intersection(&region);
        let lines = seen.into_iter().flat_map(|polygon| {
            let (outer, holes) = polygon.into_inner();
            std::iter::once(outer).chain(holes)
        });
        lines.map(open_ring).collect()
    }
}

/// How often a ring goes round a place, counter-clockwise counted as positive.
fn winding(ring: &[Point], p: Point) -> i32 {
    ring::sides(ring)
        .map(|(a, b)| {
            let left = (b - a).cross(p - a) > 0.0;
            match (a.y <= p.y, b.y <= p.y) {
                (true, false) if left => 1,
                (false, true) if !left => -1,
                _ => 0,
            }
        })
        .sum()
}

fn gap(p: Point, a: Point, b: Point) -> f64 {
    let way = b - a;
    let square = way.dot(way);
    let share = if square > 0.0 {
        ((p - a).dot(way) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    p.distance(a.lerp(b, share))
}

fn even_odd(rings: &[Vec<Point>]) -> MultiPolygon {
    let alone = |ring: &Vec<Point>| {
        let line: LineString = ring.iter().map(|p| Coord { x: p.x, y: p.y }).collect();
        MultiPolygon::new(vec![Polygon::new(line, Vec::new())])
    };
    rings
        .iter()
        .map(alone)
        .reduce(|a, b| a.xor(&b))
        .unwrap_or_else(|| MultiPolygon::new(Vec::new()))
}

/// The ring without its first point repeated at the end.
fn open_ring(line: LineString) -> Vec<Point> {
    let mut points: Vec<Point> = line.into_iter().map(|c| Point::new(c.x, c.y)).collect();
    points.pop();
    points
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::*;

    fn square(low: f64, high: f64) -> Vec<Point> {
        [(low, low), (high, low), (high, high), (low, high)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec()
    }

    #[test]
    fn a_square_with_a_hole_by_the_even_odd_rule_hides_what_lies_in_the_hole() {
        let rings = vec![square(0.0, 10.0), square(4.0, 6.0)];
        let centre = Point::new(5.0, 5.0);
        let with_hole = Region::new(vec![Part::new(rings.clone(), true).unwrap()]);
        assert!(!with_hole.shows(centre, 0.0));
        let without = Region::new(vec![Part::new(rings, false).unwrap()]);
        assert!(without.shows(centre, 0.0));
    }

    #[test]
    fn a_fill_larger_than_the_clip_is_seen_as_the_clip() {
        let region = Region::new(vec![Part::new(vec![square(2.0, 4.0)], false).unwrap()]);
        let seen = region.seen_of(&[square(0.0, 10.0)]);
        let [ring] = &seen[..] else {
            unreachable!("{seen:?}")
        };
        assert!((ring::signed_area(ring).abs() - 4.0).abs() < 1e-6);
    }
}
