//! Lines that run across other lines and end in nothing: leaders, section marks, lines drawn on by mistake.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::noding::around;
use crate::drawing::{Drawing, Stroke};
use crate::geometry::Point;

/// A line is past another when it goes on for so many feet beyond it: more than any end that overshot.
const PAST_FT: f64 = 1.0;
/// An end touches what is nearer than this, in feet.
const TOUCH_FT: f64 = 0.3;
/// Drawings with more lines are not looked through: so many are a hatch or a map.
const MOST: usize = 20_000;

/// A straight piece of a stroke.
type Side = GeomWithData<Rectangle<[f64; 2]>, (usize, [Point; 2])>;

/// For each of the strokes whether it is a single line that runs past another to an end that touches nothing.
pub(super) fn running_past(drawing: &Drawing, strokes: &[usize]) -> Vec<bool> {
    let sides: Vec<Side> = strokes
        .iter()
        .flat_map(|&i| sides(&drawing.strokes[i]).map(move |side| (i, side)))
        .map(|(i, [a, b])| {
            GeomWithData::new(Rectangle::from_corners([a.x, a.y], [b.x, b.y]), (i, [a, b]))
        })
        .collect();
    if sides.len() > MOST {
        return vec![false; strokes.len()];
    }
    let tree = RTree::bulk_load(sides);
    strokes
        .iter()
        .map(|&i| match drawing.strokes[i].points[..] {
            [a, b] => runs_past(&tree, i, a, b) || runs_past(&tree, i, b, a),
            _ => false,
        })
        .collect()
}

fn sides(stroke: &Stroke) -> impl Iterator<Item = [Point; 2]> + '_ {
    let closing = stroke.closed.then(|| {
        let last = stroke.points.len() - 1;
        [stroke.points[last], stroke.points[0]]
    });
    let open = stroke.points.windows(2).map(|w| [w[0], w[1]]);
    open.chain(closing)
}

/// Whether the line crosses another well before its end `to`, which touches nothing.
fn runs_past(tree: &RTree<Side>, own: usize, from: Point, to: Point) -> bool {
    let others = |area: AABB<[f64; 2]>| {
        let near = tree.locate_in_envelope_intersecting(&area);
        near.map(|side| side.data).filter(move |(i, _)| *i != own)
    };
    let free =
        others(around(to, TOUCH_FT)).all(|(_, [a, b])| to.distance_to_segment(a, b) > TOUCH_FT);
    free && others(AABB::from_points(&[[from.x, from.y], [to.x, to.y]]))
        .any(|(_, [a, b])| crossing(from, to, a, b).is_some_and(|p| p.distance(to) > PAST_FT))
}

/// Where two lines cross, or one ends on the other.
fn crossing(a: Point, b: Point, c: Point, d: Point) -> Option<Point> {
    let (u, v) = (b - a, d - c);
    let across = u.cross(v);
    let (t, s) = ((c - a).cross(v) / across, (c - a).cross(u) / across);
    let within = |x: f64| (-1e-6..=1.0 + 1e-6).contains(&x);
    // Lines that only begin on another one run past nothing.
    (within(t) && within(s) && t * u.length() > TOUCH_FT).then(|| a.lerp(b, t))
}
