//! Where a label may stand: boxes that turn with their text, the lines and boxes already on paper, and whether a
//! place is clear of them.

use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Text};

/// Two labels keep at least this apart, in mm.
pub(crate) const LABEL_CLEARANCE: f64 = 0.8;
/// A label keeps at least this from the edge of any line.
pub(crate) const LINE_CLEARANCE: f64 = 0.3;

/// A rectangle at any angle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slanted {
    pub(crate) center: Point,
    /// Half its length along `along`, half its height across.
    half: (f64, f64),
    along: Vector,
}

impl Slanted {
    /// The box of a text.
    pub(crate) fn of(text: &Text) -> Self {
        let [a, b, c, d] = text.corners();
        Self {
            center: a.midpoint(c),
            half: (a.distance(b) / 2.0, a.distance(d) / 2.0),
            along: text.along(),
        }
    }
    /// An upright rectangle.
    pub(crate) fn upright(area: Area) -> Self {
        Self {
            center: area.center(),
            half: (area.width() / 2.0, area.height() / 2.0),
            along: Vector::new(1.0, 0.0),
        }
    }
    /// Carried along.
    pub(crate) fn moved(self, by: Vector) -> Self {
        Self {
            center: self.center + by,
            ..self
        }
    }
    /// Larger by `by` on every side.
    pub(crate) fn grown(self, by: f64) -> Self {
        Self {
            half: (self.half.0 + by, self.half.1 + by),
            ..self
        }
    }
    fn extent(&self) -> Area {
        let reach_x = self.along.x.abs() * self.half.0 + self.along.y.abs() * self.half.1;
        let reach_y = self.along.y.abs() * self.half.0 + self.along.x.abs() * self.half.1;
        let c = self.center;
        Area::new(c.x - reach_x, c.y - reach_y, c.x + reach_x, c.y + reach_y)
    }
    /// Whether two rectangles share any place: neither their sides' directions part them.
    pub(crate) fn overlaps(&self, other: &Self) -> bool {
        let gap = other.center - self.center;
        let axes = [
            self.along,
            self.along.turn_left(),
            other.along,
            other.along.turn_left(),
        ];
        axes.into_iter()
            .all(|axis| gap.dot(axis).abs() < self.reach_along(axis) + other.reach_along(axis))
    }
    fn reach_along(&self, axis: Vector) -> f64 {
        self.along.dot(axis).abs() * self.half.0
            + self.along.turn_left().dot(axis).abs() * self.half.1
    }
    /// Whether a segment touches the rectangle.
    pub(crate) fn meets(&self, a: Point, b: Point) -> bool {
        let local = |p: Point| {
            let d = p - self.center;
            (d.dot(self.along), d.dot(self.along.turn_left()))
        };
        let (p, q) = (local(a), local(b));
        // Clip the segment by the two slabs.
        let mut from = 0.0_f64;
        let mut to = 1.0_f64;
        for (start, end, half) in [(p.0, q.0, self.half.0), (p.1, q.1, self.half.1)] {
            let d = end - start;
            if d.abs() < 1e-12 {
                if start.abs() > half {
                    return false;
                }
                continue;
            }
            let (t1, t2) = ((-half - start) / d, (half - start) / d);
            from = from.max(t1.min(t2));
            to = to.min(t1.max(t2));
        }
        from <= to
    }
}

/// A line on paper with half of its width.
#[derive(Clone, Copy, Debug)]
struct Obstacle {
    a: Point,
    b: Point,
    half_width: f64,
}

/// What is on the paper already.
#[derive(Clone, Debug)]
pub(crate) struct Field {
    bounds: Area,
    boxes: Vec<Slanted>,
    lines: Vec<Obstacle>,
    /// Labels of several parts: a line ends before all of them, though there is room between.
    groups: Vec<Slanted>,
    /// Extension lines of dimensions, from the edge outwards.
    extensions: Vec<(Point, Point)>,
}

impl Field {
    /// Empty paper; labels stay inside `bounds`.
    pub(crate) fn new(bounds: Area) -> Self {
        Self {
            bounds,
            boxes: Vec::new(),
            lines: Vec::new(),
            groups: Vec::new(),
            extensions: Vec::new(),
        }
    }
    pub(crate) fn bounds(&self) -> Area {
        self.bounds
    }
    pub(crate) fn add_line(&mut self, a: Point, b: Point, width: f64) {
        self.lines.push(Obstacle {
            a,
            b,
            half_width: width / 2.0,
        });
    }
    pub(crate) fn add_box(&mut self, b: Slanted) {
        self.boxes.push(b);
    }
    pub(crate) fn add_group(&mut self, b: Slanted) {
        self.groups.push(b);
    }
    /// Remembers an extension line, which is added as a line too.
    pub(crate) fn add_extension(&mut self, a: Point, b: Point) {
        self.extensions.push((a, b));
    }
    /// Where an extension line from a to b begins that goes on where others from the same place end.
    pub(crate) fn beyond_extensions(&self, a: Point, b: Point) -> Point {
        /// Lines this near are one, and apart from each other by this they do not touch.
        const ONE_LINE: f64 = 0.1;
        let Some(along) = (b - a).unit() else {
            return a;
        };
        let ends = self.extensions.iter().filter(|(from, to)| {
            let d = *to - a;
            from.distance(a) < ONE_LINE
                && d.cross(along).abs() < ONE_LINE
                && d.dot(along) > 0.0
                && d.dot(along) < a.distance(b)
        });
        let last = ends.map(|(_, to)| (*to - a).dot(along)).reduce(f64::max);
        last.map_or(a, |t| a + along * (t + ONE_LINE))
    }
    /// Whether a label's box stands clear of everything and inside the bounds.
    pub(crate) fn is_clear(&self, b: &Slanted) -> bool {
        self.is_inside(b) && self.is_clear_of_boxes(b) && self.is_clear_of_lines(b)
    }
    /// Whether a label's box lies inside the bounds.
    pub(super) fn is_inside(&self, b: &Slanted) -> bool {
        let e = b.extent();
        self.holds(Point::new(e.left, e.bottom)) && self.holds(Point::new(e.right, e.top))
    }
    /// Whether a place lies inside the bounds.
    pub(crate) fn holds(&self, p: Point) -> bool {
        self.bounds.holds(p)
    }
    /// Whether a box overlaps no other, however near they are.
    pub(crate) fn is_free(&self, b: &Slanted) -> bool {
        !self.boxes.iter().any(|other| other.overlaps(b))
    }
    pub(crate) fn is_clear_of_boxes(&self, b: &Slanted) -> bool {
        let grown = b.grown(LABEL_CLEARANCE);
        !self.boxes.iter().any(|other| other.overlaps(&grown))
    }
    fn is_clear_of_lines(&self, b: &Slanted) -> bool {
        let e = b.extent();
        self.lines.iter().all(|line| {
            let reach = line.half_width + LINE_CLEARANCE;
            let (a, c) = (line.a, line.b);
            let apart = a.x.max(c.x) + reach < e.left
                || a.x.min(c.x) - reach > e.right
                || a.y.max(c.y) + reach < e.bottom
                || a.y.min(c.y) - reach > e.top;
            apart || !b.grown(reach).meets(a, c)
        })
    }
    /// Room of a size that nothing stands in, taken; its top left corner. From the right, where the hand that turns the
    /// sheets is.
    pub(crate) fn take_room(&mut self, width: f64, height: f64) -> Option<Point> {
        const STEP: f64 = 2.5;
        let play = (self.bounds.width() - width, self.bounds.height() - height);
        if play.0 < 0.0 || play.1 < 0.0 {
            return None;
        }
        let steps = |play: f64| (0..=(play / STEP) as u32).map(|i| f64::from(i) * STEP);
        let places = steps(play.1).flat_map(|down| steps(play.0).map(move |left| (down, left)));
        let (right, top) = (self.bounds.right, self.bounds.top);
        let area = places
            .map(|(down, left)| {
                let corner = Point::new(right - left, top - down);
                Area::new(corner.x - width, corner.y - height, corner.x, corner.y)
            })
            .find(|&area| self.is_clear(&Slanted::upright(area)))?;
        self.add_box(Slanted::upright(area));
        Some(Point::new(area.left, area.top))
    }
    /// Whether a thin line from a to b crosses no label.
    pub(crate) fn line_is_clear_of_boxes(&self, a: Point, b: Point) -> bool {
        self.holds(a)
            && self.holds(b)
            && !self
                .boxes
                .iter()
                .any(|other| other.grown(LINE_CLEARANCE).meets(a, b))
    }
    /// The first place on the way between two points that no label covers: where a line ends that leads to a label.
    pub(crate) fn way_out(&self, from: Point, to: Point) -> Point {
        const STEP: f64 = 0.4;
        let covered = |p: Point| {
            let mut boxes = self.boxes.iter().chain(&self.groups);
            boxes.any(|other| other.grown(2.0 * LINE_CLEARANCE).meets(p, p))
        };
        let steps = (from.distance(to) / STEP).ceil().max(1.0) as usize;
        (0..=steps)
            .map(|i| from.lerp(to, i as f64 / steps as f64))
            .find(|&p| !covered(p))
            .unwrap_or(to)
    }
    /// Whether one line covers a segment from end to end.
    pub(crate) fn runs_along(&self, a: Point, b: Point) -> bool {
        // Half of a double line and its neighbour's width.
        const NEAR: f64 = 0.75;
        self.lines.iter().any(|line| {
            let Some(along) = (line.b - line.a).unit() else {
                return false;
            };
            let length = line.a.distance(line.b);
            [a, b].into_iter().all(|p| {
                let d = p - line.a;
                let t = d.dot(along);
                t > -NEAR && t < length + NEAR && d.cross(along).abs() < NEAR
            })
        })
    }
    /// How many lines a segment crosses.
    pub(crate) fn crossings(&self, a: Point, b: Point) -> usize {
        self.lines
            .iter()
            .filter(|line| segments_meet(a, b, line.a, line.b))
            .count()
    }
    /// How many of these are extension lines of dimensions.
    pub(crate) fn extensions_crossed(&self, a: Point, b: Point) -> usize {
        let extensions = self.extensions.iter();
        extensions
            .filter(|(c, d)| segments_meet(a, b, *c, *d))
            .count()
    }
}

/// Places by their distance from one, the nearest first.
pub(super) fn nearest_first(places: impl Iterator<Item = Point>, to: Point) -> Vec<Point> {
    let mut far: Vec<(f64, Point)> = places.map(|p| (p.distance(to), p)).collect();
    far.sort_by(|a, b| a.0.total_cmp(&b.0));
    far.into_iter().map(|(_, p)| p).collect()
}

/// Whether two segments cross or touch.
pub(crate) fn segments_meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let apart = a.x.max(b.x) < c.x.min(d.x)
        || c.x.max(d.x) < a.x.min(b.x)
        || a.y.max(b.y) < c.y.min(d.y)
        || c.y.max(d.y) < a.y.min(b.y);
    if apart {
        return false;
    }
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    let (d1, d2) = (side(c, d, a), side(c, d, b));
    let (d3, d4) = (side(a, b, c), side(a, b, d));
    d1 * d2 <= 0.0 && d3 * d4 <= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_ends_before_a_box_does_not_meet_it() {
        let b = Slanted::upright(Area::new(0.0, 0.0, 10.0, 2.0));
        assert!(b.meets(Point::new(-5.0, 1.0), Point::new(5.0, 1.0)));
        assert!(b.meets(Point::new(4.0, 0.5), Point::new(5.0, 1.5)));
        assert!(!b.meets(Point::new(-5.0, 1.0), Point::new(-0.1, 1.0)));
        assert!(!b.meets(Point::new(-5.0, 3.0), Point::new(15.0, 2.1)));
    }

    #[test]
    fn boxes_turned_against_each_other_part_by_either_ones_sides() {
        let flat = Slanted::upright(Area::new(0.0, 0.0, 10.0, 2.0));
        let turned = |x: f64, y: f64| Slanted {
            center: Point::new(x, y),
            half: (5.0, 1.0),
            along: Vector::new(0.5_f64.sqrt(), 0.5_f64.sqrt()),
        };
        assert!(flat.overlaps(&turned(10.0, 2.0)));
        // Their upright extents overlap, they do not.
        assert!(!flat.overlaps(&turned(14.0, 2.0)));
    }
}
