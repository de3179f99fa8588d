//! Boxes round shapes, in drawing units.

use super::shape::Shape;
use crate::geometry::Point;

/// A box with its sides along the axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Extent {
    pub(super) low: Point,
    pub(super) high: Point,
}

impl Extent {
    pub(super) fn of_points(points: impl IntoIterator<Item = Point>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        let mut extent = Self {
            low: first,
            high: first,
        };
        points.for_each(|p| extent.take(p));
        Some(extent)
    }
    pub(super) fn of_shape(shape: &Shape) -> Option<Self> {
        Self::of_points(shape.outlines.iter().flat_map(|o| o.all_points()))
    }
    fn take(&mut self, p: Point) {
        self.low = Point::new(self.low.x.min(p.x), self.low.y.min(p.y));
        self.high = Point::new(self.high.x.max(p.x), self.high.y.max(p.y));
    }
    pub(super) fn union(mut self, other: Self) -> Self {
        self.take(other.low);
        self.take(other.high);
        self
    }
    pub(super) fn width(&self) -> f64 {
        self.high.x - self.low.x
    }
    pub(super) fn height(&self) -> f64 {
        self.high.y - self.low.y
    }
    /// The longer side.
    pub(super) fn size(&self) -> f64 {
        self.width().max(self.height())
    }
    pub(super) fn middle(&self) -> Point {
        self.low.midpoint(self.high)
    }
    /// The gap between two boxes; nothing where they overlap.
    pub(super) fn gap(&self, other: &Self) -> f64 {
        let apart = |low: f64, high: f64, other_low: f64, other_high: f64| {
            (other_low - high).max(low - other_high).max(0.0)
        };
        let x = apart(self.low.x, self.high.x, other.low.x, other.high.x);
        let y = apart(self.low.y, self.high.y, other.low.y, other.high.y);
        x.hypot(y)
    }
    /// Whether the boxes have a place in common.
    pub(super) fn overlaps(&self, other: &Self) -> bool {
        self.low.x <= other.high.x
            && other.low.x <= self.high.x
            && self.low.y <= other.high.y
            && other.low.y <= self.high.y
    }
    /// Whether a place lies in the box.
    pub(super) fn holds(&self, p: Point) -> bool {
        let inside = |low: f64, v: f64, high: f64| low <= v && v <= high;
        inside(self.low.x, p.x, self.high.x) && inside(self.low.y, p.y, self.high.y)
    }
    /// Whether this box covers the other but for `slack` on each side.
    pub(super) fn covers(&self, other: &Self, slack: f64) -> bool {
        self.low.x <= other.low.x + slack
            && self.low.y <= other.low.y + slack
            && self.high.x >= other.high.x - slack
            && self.high.y >= other.high.y - slack
    }
}
