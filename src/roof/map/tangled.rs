//! Lines of one pen that cross each other everywhere: short strokes strewn over a plan for gravel, grass or bark, and the
//! hatches of a map. A roof's lines meet; they hardly ever cross.
//!
//! Every choice of lines and every tolerance would look at all of their crossings.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{RTree, RTreeObject as _};

use crate::drawing::Stroke;
use crate::geometry::Point;

/// A pen with more crossings than this for each of its straight pieces draws no roof ...
const FOR_EACH: f64 = 0.25;
/// ... where it has more than these.
const FEW: usize = 100;
/// ... and counts those only that lie farther from both ends of both pieces than this part of their length: corners are
/// drawn past by people who draw fast.
const PAST_CORNER: f64 = 0.1;

/// A straight piece with its number.
type Side = GeomWithData<Rectangle<[f64; 2]>, (usize, [Point; 2])>;

/// Whether the strokes of a pen cross each other everywhere.
pub(super) fn cross_everywhere(strokes: &[&Stroke]) -> bool {
    let most = FEW.max((FOR_EACH * pieces_of(strokes) as f64) as usize);
    more_crossings(strokes, most, PAST_CORNER)
}

fn pieces_of(strokes: &[&Stroke]) -> usize {
    strokes.iter().map(|s| s.points.len() - 1).sum()
}

/// Whether strokes cross more than so many times, and in more than two places for each piece.
pub(super) fn cross_more_often_than(most: usize, strokes: &[&Stroke]) -> bool {
    more_crossings(strokes, most.max(2 * pieces_of(strokes)), 0.0)
}

/// Whether there are more crossings than these, farther from the ends than `past` of the pieces' length.
fn more_crossings(strokes: &[&Stroke], most: usize, past: f64) -> bool {
    let ends = strokes.iter().flat_map(|s| s.points.windows(2));
    let sides: Vec<Side> = ends
        .enumerate()
        .map(|(i, w)| {
            let bounds = Rectangle::from_corners([w[0].x, w[0].y], [w[1].x, w[1].y]);
            GeomWithData::new(bounds, (i, [w[0], w[1]]))
        })
        .collect();
    let tree = RTree::bulk_load(sides);
    let mut found = 0;
    for side in &tree {
        let (own, ends) = side.data;
        let near = tree.locate_in_envelope_intersecting(&side.envelope());
        let crossing = near.filter(|other| other.data.0 > own && cross(ends, other.data.1, past));
        found += crossing.take(most + 1 - found).count();
        if found > most {
            return true;
        }
    }
    false
}

/// Whether two pieces cross in the middle part of both.
fn cross([a, b]: [Point; 2], [c, d]: [Point; 2], past: f64) -> bool {
    let (u, v) = (b - a, d - c);
    let across = u.cross(v);
    let middle = past..=1.0 - past;
    middle.contains(&((c - a).cross(v) / across)) && middle.contains(&((c - a).cross(u) / across))
}
