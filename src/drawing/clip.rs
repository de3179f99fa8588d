//! The clip paths round what is being walked over. Beside [`super::tree`] the only file that knows the resolver's types.

use usvg::tiny_skia_path::Transform;
use usvg::{ClipPath, FillRule, Group, Node};

use super::curve::Outline;
use super::cut;
use super::extent::Extent;
use super::region::{Effort, Part, Region};
use super::shape::{Letter, Shape};
use super::tree::outlines;
use crate::geometry::Vector;

/// Sides of clip paths that are looked at, at most: some 0.2 seconds.
const MOST_EFFORT: usize = 50_000_000;

/// A curved border is followed to this share of its size.
const BORDER_SHARE: f64 = 1e-5;

/// The clip paths in force, from the outermost.
pub(super) struct Clips {
    /// `None` for one that cannot be followed: it is made of text, or one of its shapes is clipped itself.
    regions: Vec<Option<Region>>,
    /// How many were in force before each group that was entered.
    outside: Vec<usize>,
    effort: Effort,
}

impl Default for Clips {
    fn default() -> Self {
        Self {
            regions: Vec::new(),
            outside: Vec::new(),
            effort: Effort::new(MOST_EFFORT),
        }
    }
}

impl Clips {
    /// Puts the clip path of a group, whose user space is `group`, in force, and those that it is clipped by itself.
    pub(super) fn enter(&mut self, clip: &ClipPath, group: Transform, offset: Vector) {
        self.outside.push(self.regions.len());
        let mut next = Some(clip);
        while let Some(clip) = next {
            self.put_in_force(clip, group, offset);
            next = clip.clip_path();
        }
    }

    fn put_in_force(&mut self, clip: &ClipPath, group: Transform, offset: Vector) {
        let transform = group.pre_concat(clip.transform());
        let mut parts = Vec::new();
        let followed =
            !self.effort.is_spent() && parts_of(clip.root(), transform, offset, &mut parts);
        let region = followed.then(|| Region::new(parts));
        self.effort
            .spend(region.as_ref().map_or(0, Region::side_count));
        self.regions.push(region);
    }

    pub(super) fn leave(&mut self) {
        let before = self.outside.pop().unwrap_or(0);
        self.regions.truncate(before);
    }

    /// Whether the clip paths ask for more than anybody draws: then what was cut is not to be used.
    pub(super) fn is_too_much(&self) -> bool {
        self.effort.is_spent()
    }

    /// Whether one of them cannot be followed.
    pub(super) fn hide_more(&self) -> bool {
        self.regions.iter().any(Option::is_none)
    }

    /// Cuts a shape to what is seen of it; `false` where nothing is.
    pub(super) fn cut(&mut self, shape: &mut Shape) -> bool {
        if self.regions.is_empty() || self.effort.is_spent() {
            return true;
        }
        let Some(mut extent) = Extent::of_shape(shape) else {
            return false;
        };
        for region in self.regions.iter().flatten() {
            // A line on the border shows half its width; the resolver's numbers hold seven digits.
            let slack = (shape.style.width / 2.0).max(1e-6 * extent.size());
            if region.plainly_shows(&extent, slack) {
                continue;
            }
            if region.plainly_hides(&extent, slack) {
                return false;
            }
            if shape.filled_only() {
                cut_fill(shape, region, &extent, &mut self.effort);
            } else {
                cut_lines(shape, region, slack, &mut self.effort);
            }
            match Extent::of_shape(shape) {
                Some(left) => extent = left,
                None => return false,
            }
        }
        true
    }

    /// Whether a letter is seen: its middle is.
    pub(super) fn shows(&mut self, letter: &Letter) -> bool {
        let middle = letter.start.midpoint(letter.end) + letter.up * 0.35;
        self.regions
            .iter()
            .flatten()
            .all(|r| self.effort.spend(r.side_count()) && r.shows(middle, 0.0))
    }
}

fn cut_lines(shape: &mut Shape, region: &Region, slack: f64, effort: &mut Effort) {
    let whole = std::mem::take(&mut shape.outlines);
    for outline in whole {
        match cut::cut(&outline, region, slack, effort) {
            Some(seen) => shape.outlines.extend(seen),
            None => shape.outlines.push(outline),
        }
    }
}

/// A fill has no lines to cut: what is seen of it has the clip's border for a side.
fn cut_fill(shape: &mut Shape, region: &Region, extent: &Extent, effort: &mut Effort) {
    let tolerance = BORDER_SHARE * extent.size();
    let untouched = shape
        .outlines
        .iter()
        .all(|o| cut::cut(o, region, tolerance, effort).is_none());
    if untouched {
        return;
    }
    let rings: Vec<_> = shape
        .outlines
        .iter()
        .map(|o| o.flatten(tolerance, 0.0).points)
        .collect();
    // Each side may cross each.
    let sides = region.side_count() + rings.iter().map(Vec::len).sum::<usize>();
    if effort.spend(sides.saturating_mul(sides)) {
        let seen = region.seen_of(&rings).into_iter();
        shape.outlines = seen.filter_map(Outline::of_ring).collect();
    }
}

/// Gathers the shapes of a clip path; `false` where one of them is text, or clipped itself.
fn parts_of(group: &Group, transform: Transform, offset: Vector, parts: &mut Vec<Part>) -> bool {
    group.children().iter().all(|node| match node {
        Node::Group(inner) if inner.clip_path().is_some() => false,
        Node::Group(inner) => parts_of(inner, transform, offset, parts),
        Node::Path(path) => {
            let at = transform.pre_concat(path.abs_transform());
            let outlines = outlines(path.data().segments(), at, offset);
            let all_points = outlines.iter().flat_map(|o| o.all_points());
            let Some(extent) = Extent::of_points(all_points) else {
                return true;
            };
            let tolerance = BORDER_SHARE * extent.size();
            let rings = outlines
                .iter()
                .map(|o| o.flatten(tolerance, 0.0).points)
                .collect();
            let even_odd = path.fill().is_some_and(|f| f.rule() == FillRule::EvenOdd);
            parts.extend(Part::new(rings, even_odd));
            true
        }
        Node::Text(_) => false,
        Node::Image(_) => true,
    })
}
