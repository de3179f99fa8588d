//! What a marker draws: an arrow head, or a mark that looks the same from both sides and so points nowhere.

use svgtypes::{PointsParser, SimplePathSegment, SimplifyingPathParser};
use usvg::roxmltree::Node;

use super::extent::Extent;
use crate::geometry::Point;

/// What stands at an end of a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Marker {
    /// Nothing that is seen.
    #[default]
    None,
    /// A dot, a bar, a square: it does not say which way a line points.
    Mark,
    /// An arrow head, and anything else that may be one.
    Head,
}

/// A mark turned by half a turn meets itself but for this part of its size: programs write three digits, and no head comes near.
const SAME: f64 = 0.02;
/// A drawing of more corners than this is no plain mark.
const MOST_CORNERS: usize = 200;

/// One shape of a marker.
#[derive(Default)]
struct Drawn {
    /// Corners and handles.
    points: Vec<Point>,
    straight: usize,
    curved: usize,
}

impl Drawn {
    fn is_seen(&self) -> bool {
        self.straight + self.curved > 0
    }
    /// Whether it is a dot: drawn with curves, but for the straight back that half a dot has.
    fn is_round(&self) -> bool {
        self.curved > 0 && self.straight < 2
    }
}

/// What a marker of the file draws.
pub(super) fn of(marker: &Node<'_, '_>) -> Marker {
    let mut seen: Vec<Drawn> = Vec::new();
    let mut is_moved = false;
    for node in marker.descendants().filter(Node::is_element) {
        match drawn(&node) {
            Some(shape) if shape.is_seen() => seen.push(shape),
            Some(_) => {}
            None => return Marker::Head,
        }
        is_moved |= node != *marker && node.has_attribute("transform");
    }
    let points: Vec<Point> = seen.iter().flat_map(|s| s.points.iter().copied()).collect();
    // Where shapes are moved each by itself their places to one another are not worked out.
    let is_even = || (seen.len() == 1 || !is_moved) && is_same_turned(&points);
    match seen.is_empty() {
        true => Marker::None,
        false if seen.iter().all(Drawn::is_round) || is_even() => Marker::Mark,
        false => Marker::Head,
    }
}

/// What an element draws; `None` where that is not worked out.
fn drawn(node: &Node<'_, '_>) -> Option<Drawn> {
    let number = |name: &str| match node.attribute(name) {
        Some(value) => value.trim().parse::<f64>().ok(),
        None => Some(0.0),
    };
    let point = |x: &str, y: &str| Some(Point::new(number(x)?, number(y)?));
    let straight = |points: Vec<Point>| Drawn {
        straight: points.len().saturating_sub(1),
        points,
        curved: 0,
    };
    let box_of = |low: Point, high: Point| {
        let beside = [Point::new(high.x, low.y), Point::new(low.x, high.y)];
        straight(vec![low, beside[0], high, beside[1]])
    };
    match node.tag_name().name() {
        "path" => Some(path(node.attribute("d").unwrap_or_default())),
        "line" => Some(straight(vec![point("x1", "y1")?, point("x2", "y2")?])),
        "polyline" | "polygon" => {
            let points = PointsParser::from(node.attribute("points").unwrap_or_default());
            Some(straight(points.map(|(x, y)| Point::new(x, y)).collect()))
        }
        "rect" => {
            let (low, size) = (point("x", "y")?, point("width", "height")?);
            Some(box_of(low, Point::new(low.x + size.x, low.y + size.y)))
        }
        // Round, wherever it lies: its middle stands for it.
        "circle" | "ellipse" => Some(Drawn {
            points: vec![point("cx", "cy")?],
            curved: 1,
            straight: 0,
        }),
        "use" => None,
        _ => Some(Drawn::default()),
    }
}

/// What a path draws, as far as it can be read; a line back to its start counts where it leads anywhere.
fn path(d: &str) -> Drawn {
    let mut shape = Drawn::default();
    let (mut start, mut at) = (Point::default(), Point::default());
    for segment in SimplifyingPathParser::from(d) {
        let Ok(segment) = segment else { break };
        match segment {
            SimplePathSegment::MoveTo { x, y } => {
                start = Point::new(x, y);
                at = start;
                continue;
            }
            SimplePathSegment::LineTo { x, y } => {
                shape.straight += 1;
                shape.points.extend([at, Point::new(x, y)]);
                at = Point::new(x, y);
            }
            SimplePathSegment::CurveTo {
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => {
                shape.curved += 1;
                let to = Point::new(x, y);
                let handles = [Point::new(x1, y1), Point::new(x2, y2)];
                shape.points.extend([at, handles[0], handles[1], to]);
                at = to;
            }
            SimplePathSegment::Quadratic { x1, y1, x, y } => {
                shape.curved += 1;
                let to = Point::new(x, y);
                shape.points.extend([at, Point::new(x1, y1), to]);
                at = to;
            }
            SimplePathSegment::ClosePath => {
                let is_drawn = !shape.points.is_empty() && at.distance(start) > 0.0;
                shape.straight += usize::from(is_drawn);
                at = start;
            }
        }
    }
    shape
}

/// Whether points meet themselves when turned by half a turn about their middle.
fn is_same_turned(points: &[Point]) -> bool {
    if points.len() > MOST_CORNERS {
        return false;
    }
    let Some(Extent { low, high }) = Extent::of_points(points.iter().copied()) else {
        return false;
    };
    let same = SAME * low.distance(high);
    let turned = |p: &Point| Point::new(low.x + high.x - p.x, low.y + high.y - p.y);
    points
        .iter()
        .all(|p| points.iter().any(|q| turned(p).distance(*q) <= same))
}
