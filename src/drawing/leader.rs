//! Leader lines: a line from a text to what the text is about.

use super::dimension::nearest_on;
use super::shape::Shape;
use super::words::Words;
use crate::geometry::{Point, Vector};

/// A leader.
#[derive(Clone, Debug)]
pub(super) struct Leader {
    /// The number of its text.
    pub(super) words: usize,
    /// The shape of the line.
    pub(super) shape: usize,
    /// Its far end, in drawing units.
    pub(super) far: Point,
}

/// A line that may be a leader.
pub(super) struct Candidate {
    pub(super) shape: usize,
    pub(super) ends: [Point; 2],
    /// The next corner after each end: an elbow points at its text with its last piece only.
    pub(super) next: [Point; 2],
    /// Whether its layer or an arrow head already says that it is no roof line.
    pub(super) sure: bool,
}

/// How near a leader's end comes to its text, in text sizes.
const REACH: f64 = 0.7;

/// Finds the leader of a text. A plain line is believed only when it touches no other line at either end, as roof lines
/// do, and points at the text.
pub(super) fn find(
    index: usize,
    words: &Words,
    candidates: &[Candidate],
    shapes: &[Shape],
) -> Option<Leader> {
    let size = words.size();
    let mut found: Vec<(f64, Leader)> = Vec::new();
    for candidate in candidates {
        for (near, far) in [(0, 1), (1, 0)] {
            let before = candidate.next[near];
            let (near, far) = (candidate.ends[near], candidate.ends[far]);
            let gap = box_gap(words, near);
            if gap > REACH * size
                || box_gap(words, far) < 1.5 * size
                || !points_at(words, before, near)
            {
                continue;
            }
            if candidate.sure || is_loose(candidate, size, shapes) {
                found.push((
                    gap,
                    Leader {
                        words: index,
                        shape: candidate.shape,
                        far,
                    },
                ));
            }
        }
    }
    found
        .into_iter()
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, leader)| leader)
}

/// The distance from the text's box to a point.
fn box_gap(words: &Words, p: Point) -> f64 {
    let (x, y) = local(words, p);
    let dx = (x.abs() - words.width() / 2.0).max(0.0);
    let dy = (y.abs() - words.size() * 0.4).max(0.0);
    dx.hypot(dy)
}

fn local(words: &Words, p: Point) -> (f64, f64) {
    let v: Vector = p - words.middle();
    (v.dot(words.along()), words.along().cross(v))
}

/// Whether the line's last piece, gone on, meets the text.
fn points_at(words: &Words, before: Point, near: Point) -> bool {
    let Some(u) = (near - before).unit() else {
        return false;
    };
    let beyond = near + u * (words.width() + 2.0 * words.size());
    let nearest = nearest_on(words.middle(), near, beyond);
    box_gap(words, nearest) < 0.5 * words.size()
}

/// Whether both ends touch nothing.
fn is_loose(candidate: &Candidate, size: f64, shapes: &[Shape]) -> bool {
    let reach = 0.3 * size;
    let touches = |end: Point, i: usize| {
        let shape = &shapes[i];
        i != candidate.shape
            && shape.outlines.iter().any(|o| {
                let mut from = o.start;
                let closing = o.closed.then_some(o.start);
                o.pieces.iter().map(|p| p.end()).chain(closing).any(|to| {
                    let near = nearest_on(end, from, to).distance(end) < reach;
                    from = to;
                    near
                })
            })
    };
    candidate
        .ends
        .iter()
        .all(|&end| !(0..shapes.len()).any(|i| touches(end, i)))
}
