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
    /// The shapes of its lines: two where an elbow was drawn as two lines.
    pub(super) shapes: Vec<usize>,
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
            let alone = [candidate.shape];
            if candidate.sure || touches_nothing(&candidate.ends, &alone, size, shapes) {
                found.push((gap, leader(index, alone.to_vec(), far)));
            } else if let Some((other, far)) = after_elbow(candidate, far, candidates) {
                let both = [candidate.shape, other];
                if touches_nothing(&[near, far], &both, size, shapes) {
                    found.push((gap, leader(index, both.to_vec(), far)));
                }
            }
        }
    }
    found
        .into_iter()
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, leader)| leader)
}

fn leader(words: usize, shapes: Vec<usize>, far: Point) -> Leader {
    Leader { words, shapes, far }
}

/// The ends of two lines that draw an elbow lie this near each other, as a part of the shorter line's length.
const ELBOW_GAP: f64 = 0.01;

/// The only other line that begins where a line ends, and where that one ends.
fn after_elbow(
    first: &Candidate,
    elbow: Point,
    candidates: &[Candidate],
) -> Option<(usize, Point)> {
    let length = |c: &Candidate| c.ends[0].distance(c.ends[1]);
    let mut going_on = candidates.iter().filter_map(|c| {
        let reach = ELBOW_GAP * length(c).min(length(first));
        let from = (0..2).find(|&i| c.ends[i].distance(elbow) <= reach)?;
        (c.shape != first.shape).then_some((c.shape, c.ends[1 - from]))
    });
    let found = going_on.next();
    found.filter(|_| going_on.next().is_none())
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

/// Whether neither of the ends of some shapes touches another shape.
fn touches_nothing(ends: &[Point; 2], own: &[usize], size: f64, shapes: &[Shape]) -> bool {
    let reach = 0.3 * size;
    let touches = |end: Point, shape: &Shape| {
        shape.outlines.iter().any(|o| {
            let mut from = o.start;
            let closing = o.closed.then_some(o.start);
            o.pieces.iter().map(|p| p.end()).chain(closing).any(|to| {
                let near = nearest_on(end, from, to).distance(end) < reach;
                from = to;
                near
            })
        })
    };
    let others = || shapes.iter().enumerate().filter(|(i, _)| !own.contains(i));
    ends.iter()
        .all(|&end| !others().any(|(_, shape)| touches(end, shape)))
}
