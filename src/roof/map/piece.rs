//! The straight pieces that the strokes are made of, each with the stroke that it belongs to.

use crate::drawing::Stroke;
use crate::geometry::{Point, Vector};

/// One straight piece as drawn.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// Its drawn ends.
    pub(super) ends: [Point; 2],
    /// Index of the stroke in the set that the map is built from.
    pub(super) stroke: usize,
    /// Whether it is a chord of a flattened curve.
    pub(super) curved: bool,
    /// Whether its stroke goes round a face of its own: closed, or as good as closed.
    pub(super) ring_like: bool,
    /// How long a thing ends here, in feet: joining may move that end by less than half of it. The length of the
    /// piece; at the free ends of a flattened curve, the length of the curve.
    pub(super) reach_ft: [f64; 2],
}

impl Piece {
    /// The length as drawn, in feet.
    pub(super) fn length(&self) -> f64 {
        self.ends[0].distance(self.ends[1])
    }
}

/// All pieces of the strokes, in their order. Pieces without length are left out.
pub(super) fn pieces(strokes: &[&Stroke]) -> Vec<Piece> {
    let mut all = Vec::new();
    for (index, stroke) in strokes.iter().enumerate() {
        if is_dot(stroke) {
            continue;
        }
        let ring_like = goes_round(stroke);
        let tidied = (ring_like && stroke.closed && !stroke.curved)
            .then(|| without_nicks(&stroke.points))
            .flatten();
        let points = tidied.as_deref().unwrap_or(&stroke.points);
        let count = points.len();
        let sides = if stroke.closed {
            count
        } else {
            count.saturating_sub(1)
        };
        let first = all.len();
        for side in 0..sides {
            let ends = [points[side], points[(side + 1) % count]];
            let length = ends[0].distance(ends[1]);
            if length > 0.0 && length.is_finite() {
                all.push(Piece {
                    ends,
                    stroke: index,
                    curved: stroke.curved,
                    ring_like,
                    reach_ft: [length; 2],
                });
            }
        }
        if stroke.curved && !stroke.closed {
            let whole: f64 = all[first..].iter().map(Piece::length).sum();
            if let Some(piece) = all.get_mut(first) {
                piece.reach_ft[0] = whole;
            }
            if let Some(piece) = all[first..].last_mut() {
                piece.reach_ft[1] = whole;
            }
        }
    }
    all
}

/// An open stroke whose ends are nearer than this part of its length was meant to close.
const ALMOST_CLOSED: f64 = 0.05;

fn goes_round(stroke: &Stroke) -> bool {
    let (Some(first), Some(last)) = (stroke.points.first(), stroke.points.last()) else {
        return false;
    };
    let length: f64 = stroke.points.windows(2).map(|w| w[0].distance(w[1])).sum();
    stroke.closed || (stroke.points.len() > 3 && first.distance(*last) <= ALMOST_CLOSED * length)
}

/// A stroke that reaches no farther than this, in feet (5 mm), is a dot: some programs leave one at the ends of lines.
const DOT_FT: f64 = 0.0165;

fn is_dot(stroke: &Stroke) -> bool {
    let Some(first) = stroke.points.first() else {
        return true;
    };
    stroke.points.iter().all(|p| p.distance(*first) < DOT_FT)
}

/// A side of a closed shape shorter than this, in feet (18 mm), is no side: programs that draw shapes back from each
/// other leave such nicks at corners, and nothing on a roof is so small.
const NICK_FT: f64 = 0.06;
/// The sides beside a nick are longer than this many times that.
const BESIDE_NICK: f64 = 10.0;

/// The corners of a closed shape with each run of nicks made the one corner that its neighbours meet in; `None` where
/// there is no nick.
fn without_nicks(points: &[Point]) -> Option<Vec<Point>> {
    let count = points.len();
    let side = |i: usize| points[(i + 1) % count] - points[i % count];
    let is_nick = |i: usize| side(i).length() < NICK_FT;
    let is_long = |i: usize| side(i).length() > BESIDE_NICK * NICK_FT;
    // The walk starts behind a long side, so that no run of nicks is cut in two.
    let start = (0..count).find(|&i| is_long(i))? + 1;
    let mut corners = Vec::with_capacity(count);
    let mut changed = false;
    let mut at = 0;
    while at < count {
        let first = start + at;
        let run = (0..count - at).take_while(|&k| is_nick(first + k)).count();
        at += run + 1;
        let (before, after) = (first + count - 1, first + run);
        let met = (run > 0 && is_long(before) && is_long(after))
            .then(|| {
                meeting(
                    points[first % count],
                    side(before),
                    points[after % count],
                    side(after),
                )
            })
            .flatten();
        match met {
            Some(corner) => {
                corners.push(corner);
                changed = true;
            }
            None => corners.extend((0..=run).map(|k| points[(first + k) % count])),
        }
    }
    (changed && corners.len() >= 3).then_some(corners)
}

/// Where two lines meet, if that is near both of the points given on them.
fn meeting(a: Point, along_a: Vector, b: Point, along_b: Vector) -> Option<Point> {
    let across = along_a.cross(along_b);
    let t = (b - a).cross(along_b) / across;
    let corner = a + along_a * t;
    let near = corner.distance(a).max(corner.distance(b)) <= 2.0 * NICK_FT;
    (near && corner.is_finite()).then_some(corner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nick_at_a_corner_is_one_corner_and_a_small_jog_stays() {
        let square = |corner: &[(f64, f64)]| -> Vec<Point> {
            let rest = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0)];
            let all = rest.iter().chain(corner);
            all.map(|&(x, y)| Point::new(x, y)).collect()
        };
        let nicked = square(&[(0.03, 20.0), (0.02, 19.98), (0.0, 19.97)]);
        let tidied = without_nicks(&nicked).unwrap_or_default();
        assert_eq!(tidied.len(), 4);
        let corner = Point::new(0.0, 20.0);
        assert!(tidied.iter().any(|p| p.distance(corner) < 1e-9));
        let jogged = square(&[(0.5, 20.0), (0.5, 19.8), (0.0, 19.8)]);
        assert!(without_nicks(&jogged).is_none());
    }
}
