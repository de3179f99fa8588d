//! Arrows: a line with a marker, or with a small head drawn at one of its ends.

use std::cell::LazyCell;
use std::collections::BTreeMap;

use super::curve::{Outline, Piece};
use super::element::Element;
use super::extent::Extent;
use super::layer::NameRole;
use super::marker_shape::Marker;
use super::shape::Shape;
use crate::geometry::{Point, Vector};

/// An arrow in drawing units.
#[derive(Clone, Debug)]
pub(super) struct Arrow {
    /// The shape of the line.
    pub(super) shaft: usize,
    /// Shapes of drawn heads.
    pub(super) heads: Vec<usize>,
    /// The end without a head.
    pub(super) tail: Point,
    /// The end with a head.
    pub(super) tip: Point,
    /// Whether a head stands at its other end too.
    pub(super) two_headed: bool,
    /// Whether the mark at its tip points, as a head does and a dot or a slash does not.
    pub(super) points: bool,
}

/// A small shape that may be a head.
struct Head {
    shape: usize,
    corners: Vec<Point>,
    extent: Extent,
}

/// Heads are smaller than this part of the drawing.
const HEAD_OF_DRAWING: f64 = 0.03;
/// In the layer of falls, where nothing but arrows is drawn, they may be larger.
const HEAD_OF_FALL: f64 = 0.1;

/// Finds arrows among shapes that are not left out yet.
pub(super) fn find(
    shapes: &[Shape],
    elements: &[Element],
    out: impl Fn(usize) -> bool,
) -> Vec<Arrow> {
    let Some(all) = shapes
        .iter()
        .filter_map(Extent::of_shape)
        .reduce(Extent::union)
    else {
        return Vec::new();
    };
    let heads: Vec<Head> = (0..shapes.len())
        .filter(|&i| !out(i))
        .filter_map(|i| {
            let falls = elements[shapes[i].element].says.role == NameRole::Fall;
            let part = if falls { HEAD_OF_FALL } else { HEAD_OF_DRAWING };
            head(i, &shapes[i], all.size() * part, falls)
        })
        .collect();
    let grid = Grid::of(&heads);
    let corners = LazyCell::new(|| Corners::of(shapes));
    let mut arrows = Vec::new();
    for (i, shape) in shapes.iter().enumerate() {
        if out(i) || shape.filled_only() {
            continue;
        }
        let Some((first, last)) = open_ends(shape) else {
            continue;
        };
        let is_fall = elements[shape.element].says.role == NameRole::Fall;
        // Elsewhere a line with any mark at its end is no line of the roof; how a roof falls only a head says.
        let counts = |marker: Marker| match is_fall {
            true => marker == Marker::Head,
            false => marker != Marker::None,
        };
        let (at_start, at_end) = elements[shape.element].markers;
        let drawn = |from: Point, tip: Point| {
            grid.near(tip)
                .map(|h| &heads[h])
                .find(|h| h.shape != i && fits(h, from, tip))
        };
        let (head_start, head_end) = (drawn(last, first), drawn(first, last));
        let (start, end) = (
            counts(at_start) || head_start.is_some(),
            counts(at_end) || head_end.is_some(),
        );
        // No line of the layer of falls is the roof's, wherever it starts and ends.
        let is_line = || !is_fall && joins(&corners, i, [first, last], all.size() * 1e-3);
        if !(start || end) || is_line() {
            continue;
        }
        let (tail, mut tip) = if end { (first, last) } else { (last, first) };
        let (marker, head) = if end {
            (at_end, head_end)
        } else {
            (at_start, head_start)
        };
        let heads: Vec<usize> = head_start
            .iter()
            .chain(&head_end)
            .map(|h| h.shape)
            .collect();
        if let Some(head) = head {
            tip = furthest(head, tip, tip - tail);
        }
        arrows.push(Arrow {
            shaft: i,
            heads,
            tail,
            tip,
            two_headed: start && end,
            points: head.is_some() || marker == Marker::Head,
        });
    }
    arrows
}

/// Heads by their size and place, in cells twice as wide as the heads.
struct Grid(BTreeMap<(i32, i64, i64), Vec<usize>>);

impl Grid {
    fn of(heads: &[Head]) -> Self {
        let mut cells: BTreeMap<_, Vec<usize>> = BTreeMap::new();
        for (i, head) in heads.iter().enumerate() {
            let class = head.extent.size().log2().ceil() as i32;
            let (x, y) = Self::cell(class, head.extent.middle());
            cells.entry((class, x, y)).or_default().push(i);
        }
        Self(cells)
    }
    fn cell(class: i32, p: Point) -> (i64, i64) {
        let width = 2.0_f64.powi(class + 1);
        ((p.x / width).floor() as i64, (p.y / width).floor() as i64)
    }
    /// Heads that may stand at a point.
    fn near(&self, p: Point) -> impl Iterator<Item = usize> + '_ {
        let (low, high) = match (self.0.first_key_value(), self.0.last_key_value()) {
            (Some((low, _)), Some((high, _))) => (low.0, high.0),
            _ => (1, 0),
        };
        (low..=high).flat_map(move |class| {
            let (x, y) = Self::cell(class, p);
            (-1..=1).flat_map(move |dx| {
                self.0
                    .range((class, x + dx, y - 1)..=(class, x + dx, y + 1))
                    .flat_map(|(_, heads)| heads.iter().copied())
            })
        })
    }
}

/// Corners and ends of all lines, sorted from left to right.
struct Corners(Vec<(Point, usize)>);

impl Corners {
    fn of(shapes: &[Shape]) -> Self {
        let mut all: Vec<(Point, usize)> = shapes
            .iter()
            .enumerate()
            .filter(|(_, s)| !s.filled_only())
            .flat_map(|(i, s)| s.outlines.iter().map(move |o| (i, o)))
            .flat_map(|(i, o)| {
                std::iter::once(o.start)
                    .chain(o.pieces.iter().map(|p| p.end()))
                    .map(move |p| (p, i))
            })
            .collect();
        all.sort_by(|a, b| a.0.x.total_cmp(&b.0.x).then(a.1.cmp(&b.1)));
        Self(all)
    }
}

/// Whether both ends of a line meet corners of other lines, as roof lines do, whatever their ends look like.
fn joins(corners: &Corners, own: usize, ends: [Point; 2], reach: f64) -> bool {
    ends.iter().all(|&end| {
        let from = corners.0.partition_point(|(p, _)| p.x < end.x - reach);
        corners.0[from..]
            .iter()
            .take_while(|(p, _)| p.x <= end.x + reach)
            .any(|(p, shape)| *shape != own && p.distance(end) <= reach)
    })
}

/// The ends of a shape that is one open line.
fn open_ends(shape: &Shape) -> Option<(Point, Point)> {
    let [outline] = &shape.outlines[..] else {
        return None;
    };
    let last = outline.pieces.last()?.end();
    let first = outline.start;
    let long = first.distance(last) > 0.0;
    (long && (!outline.closed || outline.pieces.len() == 1)).then_some((first, last))
}

fn head(index: usize, shape: &Shape, largest: f64, falls: bool) -> Option<Head> {
    let [outline] = &shape.outlines[..] else {
        return None;
    };
    let extent = Extent::of_shape(shape)?;
    if !(extent.size() <= largest && extent.size() > largest * 1e-4) {
        return None;
    }
    let mut corners: Vec<Point> = std::iter::once(outline.start)
        .chain(outline.pieces.iter().map(|p| p.end()))
        .collect();
    let same = extent.size() * 1e-3;
    corners.dedup_by(|a, b| a.distance(*b) <= same);
    if corners.len() > 1 && corners[0].distance(corners[corners.len() - 1]) <= same {
        corners.pop();
    }
    // Triangles and notched darts when filled. What is not filled may be the valleys of a dormer, save in the layer of falls; a
    // dot there stands where an arrow starts as often as where it ends.
    let filled = shape.filled && (3..=4).contains(&corners.len()) && !(falls && is_round(outline));
    let bare = falls && !shape.filled && corners.len() == 3;
    (filled || bare).then_some(Head {
        shape: index,
        corners,
        extent,
    })
}

/// Whether an outline has a curve for every side, as a dot has: a head's back alone may be curved.
pub(super) fn is_round(outline: &Outline) -> bool {
    let curved = |p: &Piece| matches!(p, Piece::Cubic(..));
    outline.pieces.len() > 1 && outline.pieces.iter().filter(|p| !curved(p)).count() < 2
}

/// Whether a head sits at the tip of the line from `from` to `tip`, symmetrical about it.
fn fits(head: &Head, from: Point, tip: Point) -> bool {
    let Some(u) = (tip - from).unit() else {
        return false;
    };
    let size = head.extent.size();
    if size <= 0.0 || from.distance(tip) < size * 0.8 {
        return false;
    }
    let near = head.corners.iter().all(|c| c.distance(tip) < 1.6 * size);
    let sides: f64 = head.corners.iter().map(|&c| u.cross(c - tip)).sum();
    let foremost = furthest(head, tip, u);
    let spread = head
        .corners
        .iter()
        .map(|&c| u.cross(c - tip).abs())
        .fold(0.0, f64::max);
    near && sides.abs() < 0.15 * size
        && u.cross(foremost - tip).abs() < 0.12 * size
        && spread > 0.1 * size
}

fn furthest(head: &Head, tip: Point, along: Vector) -> Point {
    head.corners
        .iter()
        .copied()
        .max_by(|a, b| (*a - tip).dot(along).total_cmp(&(*b - tip).dot(along)))
        .unwrap_or(tip)
}
