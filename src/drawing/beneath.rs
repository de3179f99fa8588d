//! Lines beneath an opaque fill that is drawn after them: the eye does not see these.

use super::dimension::nearest_on;
use super::extent::Extent;
use super::layer::NameRole;
use super::read::Reader;
use super::region::Effort;
use super::shape::Shape;
use crate::geometry::{Point, ring};
use crate::{Finding, Place};

/// How far inside a fill a line runs that is hidden, in feet: an edge shared by two filled faces is not, however badly
/// they were drawn.
const DEPTH_FT: f64 = 0.5;
/// From this share of its length on a line that is hidden in part is told: ridges run beneath chimneys.
const SHARE_TOLD: f64 = 1.0 / 3.0;
/// Where along each straight piece it is looked whether the line is hidden.
const LOOKED_AT: [f64; 4] = [0.125, 0.375, 0.625, 0.875];
/// Sides of fills that are looked at, at most: some 0.1 seconds.
const MOST_EFFORT: usize = 20_000_000;
/// A place is compared with so many boxes of fills in the time that one side takes.
const BOXES_A_SIDE: usize = 8;
/// Places named in one finding.
const MOST_PLACES: usize = 12;

/// An opaque fill.
struct Fill {
    /// The number of its shape: it hides what comes before.
    shape: usize,
    level: u32,
    rings: Vec<Vec<Point>>,
    extent: Extent,
}

impl Fill {
    /// Whether a place lies so deep in the fill. With the even-odd rule for all, so that no hole is overlooked.
    fn hides(&self, p: Point, depth: f64, effort: &mut Effort) -> bool {
        let sides = self.rings.iter().map(Vec::len).sum();
        if !(self.extent.holds(p) && effort.spend(sides)) {
            return false;
        }
        let inside = self.rings.iter().filter(|r| ring::contains(r, p)).count() % 2 == 1;
        let mut border = self.rings.iter().flat_map(|r| ring::sides(r));
        inside && border.all(|(a, b)| nearest_on(p, a, b).distance(p) > depth)
    }
}

impl Reader<'_> {
    /// Leaves out what lies wholly beneath a fill, and tells of lines that do for a good part. What a layer names is
    /// believed: a higher roof drawn filled lies over lines of the lower one that count. Nobody hides most of a drawing:
    /// where a fill would, it is only told. Where there is too much to look at, all counts as seen.
    pub(super) fn leave_out_beneath(&mut self, feet_per_unit: f64) {
        let depth = DEPTH_FT / feet_per_unit;
        let fills = self.opaque_fills(depth);
        if fills.is_empty() {
            return;
        }
        let mut effort = Effort::new(MOST_EFFORT);
        let (mut wholly, mut partly): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
        let may_be_hidden: Vec<usize> = (0..self.shapes.len())
            .filter(|i| !self.out.contains_key(i))
            .filter(|&i| self.role(i) == NameRole::Unsaid && !self.is_roof(i))
            .collect();
        for &i in &may_be_hidden {
            let share = self.hidden_share(i, &fills, depth, &mut effort);
            if effort.is_spent() {
                return;
            }
            if share >= 1.0 {
                wholly.push(i);
            } else if share >= SHARE_TOLD {
                partly.push(i);
            }
        }
        if 2 * wholly.len() > may_be_hidden.len() {
            partly.append(&mut wholly);
        }
        for i in wholly {
            self.put_out(i, "hidden beneath a filled shape");
        }
        self.tell_partly_hidden(&partly);
    }

    fn opaque_fills(&self, depth: f64) -> Vec<Fill> {
        let counts = |i: &usize| {
            let shape = &self.shapes[*i];
            shape.opaque
                && !self.role(*i).is_left_out()
                && !self.elements[shape.element].masked
                && self.matching(&self.options.ignore_rules, shape).is_none()
        };
        let numbers = (0..self.shapes.len()).filter(counts);
        let fills = numbers.filter_map(|i| {
            let extent = Extent::of_shape(&self.shapes[i])?;
            let wide = extent.width().min(extent.height()) > 2.0 * depth;
            wide.then(|| Fill {
                shape: i,
                level: self.level(i),
                rings: self
                    .chains(&self.shapes[i], 0.1 * depth)
                    .map(|c| c.points)
                    .collect(),
                extent,
            })
        });
        fills.collect()
    }

    fn level(&self, shape: usize) -> u32 {
        self.elements[self.shapes[shape].element].says.level
    }

    /// The share of a shape's length that lies beneath fills: 1 where no place that was looked at, corners too, is seen.
    fn hidden_share(&self, index: usize, fills: &[Fill], depth: f64, effort: &mut Effort) -> f64 {
        let shape = &self.shapes[index];
        let level = self.level(index);
        let extent = Extent::of_shape(shape).filter(|_| effort.spend(fills.len()));
        let lies_over = |f: &&Fill| {
            let meets = extent.is_some_and(|e| f.extent.overlaps(&e));
            f.shape > index && f.level == level && meets
        };
        let above: Vec<&Fill> = fills.iter().filter(lies_over).collect();
        if above.is_empty() {
            return 0.0;
        }
        let mut hides = |p: Point| {
            effort.spend(1 + above.len() / BOXES_A_SIDE)
                && above.iter().any(|f| f.hides(p, depth, effort))
        };
        let (mut all, mut hidden, mut seen_corner) = (0.0, 0.0, false);
        for (a, b) in self.sides(shape, depth) {
            seen_corner |= !hides(a) || !hides(b);
            let part = a.distance(b) / LOOKED_AT.len() as f64;
            all += a.distance(b);
            hidden += part * LOOKED_AT.iter().filter(|&&t| hides(a.lerp(b, t))).count() as f64;
        }
        let share = if all > 0.0 { hidden / all } else { 0.0 };
        if seen_corner {
            share.min(1.0 - f64::EPSILON)
        } else {
            share
        }
    }

    /// The straight pieces of a shape, a closing one too.
    fn sides(&self, shape: &Shape, tolerance: f64) -> Vec<(Point, Point)> {
        let sides_of = |points: &[Point], closed: bool| -> Vec<(Point, Point)> {
            let all = ring::sides(points);
            all.take(points.len() - usize::from(!closed)).collect()
        };
        self.chains(shape, tolerance)
            .flat_map(|c| sides_of(&c.points, c.closed || shape.filled_only()))
            .collect()
    }

    fn tell_partly_hidden(&mut self, partly: &[usize]) {
        if partly.is_empty() {
            return;
        }
        let mut finding = Finding::warning(
            "lines-beneath-fill",
            format!(
                "{} lines run beneath filled shapes, which hide a good part of them: they count as seen.",
                partly.len()
            ),
        )
        .remedy("Delete what is hidden, draw it on a layer named note, or leave it out by --ignore.");
        for &i in partly.iter().take(MOST_PLACES) {
            let element = &self.elements[self.shapes[i].element];
            finding = finding.place(Place::of(&element.source));
        }
        self.findings.push(finding);
    }
}
