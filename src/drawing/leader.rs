//! Leader lines: a line from a text to what the text is about.

use super::dimension::nearest_on;
use super::near::Near;
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
/// Half of a text's height, in text sizes.
const HALF_HIGH: f64 = 0.4;

/// Lines that may be leaders, and all that they may touch, by their places.
pub(super) struct Lines {
    candidates: Vec<Candidate>,
    /// Both ends of each candidate.
    ends: Near,
    /// Every straight piece of every shape that counts.
    pieces: Vec<(usize, Point, Point)>,
    places: Near,
}

/// Finds the leader of a text. A plain line is believed only when it touches no other line at either end, as roof lines
/// do, and points at the text.
pub(super) fn find(index: usize, words: &Words, lines: &Lines) -> Option<Leader> {
    let size = words.size();
    let mut found: Vec<(f64, Leader)> = Vec::new();
    let reach = words.width() / 2.0 + (HALF_HIGH + REACH) * size;
    for (candidate, near) in lines.ending_near(words.middle(), reach) {
        let far = 1 - near;
        let before = candidate.next[near];
        let (near, far) = (candidate.ends[near], candidate.ends[far]);
        let gap = box_gap(words, near);
        if gap > REACH * size || box_gap(words, far) < 1.5 * size || !points_at(words, before, near)
        {
            continue;
        }
        let alone = [candidate.shape];
        if candidate.sure || lines.touches_nothing(&candidate.ends, &alone, size) {
            found.push((gap, leader(index, alone.to_vec(), far)));
        } else if let Some((other, far)) = lines.after_elbow(candidate, far) {
            let both = [candidate.shape, other];
            if lines.touches_nothing(&[near, far], &both, size) {
                found.push((gap, leader(index, both.to_vec(), far)));
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

impl Lines {
    /// Lines that may be leaders among all shapes of a drawing; what is `out` of it already, such as a hatch or a grid by its
    /// layer, lies beneath them and is nothing that they touch.
    pub(super) fn new(
        candidates: Vec<Candidate>,
        shapes: &[Shape],
        out: impl Fn(usize) -> bool,
    ) -> Self {
        let mut pieces = Vec::new();
        for (i, shape) in shapes.iter().enumerate().filter(|&(i, _)| !out(i)) {
            for outline in &shape.outlines {
                let mut from = outline.start;
                let closing = outline.closed.then_some(outline.start);
                for to in outline.pieces.iter().map(|p| p.end()).chain(closing) {
                    pieces.push((i, from, to));
                    from = to;
                }
            }
        }
        let ends = candidates.iter().flat_map(|c| c.ends);
        Self {
            ends: Near::of(ends.map(|p| (p, p))),
            places: Near::of(pieces.iter().map(|&(_, a, b)| (a, b))),
            candidates,
            pieces,
        }
    }

    /// Candidates with the end that lies within a distance of a place, each way, in the order of the drawing.
    fn ending_near(&self, p: Point, distance: f64) -> impl Iterator<Item = (&Candidate, usize)> {
        let near = self.ends.near(p, distance).into_iter();
        near.filter_map(|i| Some((self.candidates.get(i / 2)?, i % 2)))
    }

    /// The only other line that begins where a line ends, and where that one ends.
    fn after_elbow(&self, first: &Candidate, elbow: Point) -> Option<(usize, Point)> {
        let length = |c: &Candidate| c.ends[0].distance(c.ends[1]);
        let mut told = None;
        let near = self.ending_near(elbow, ELBOW_GAP * length(first));
        let mut going_on = near.filter_map(|(c, from)| {
            let reach = ELBOW_GAP * length(c).min(length(first));
            let meets = c.ends[from].distance(elbow) <= reach && told != Some(c.shape);
            let found = (c.shape != first.shape && meets).then_some((c.shape, c.ends[1 - from]));
            told = found.map(|(shape, _)| shape).or(told);
            found
        });
        let found = going_on.next();
        found.filter(|_| going_on.next().is_none())
    }

    /// Whether neither of the ends of some shapes touches another shape.
    fn touches_nothing(&self, ends: &[Point; 2], own: &[usize], size: f64) -> bool {
        let reach = 0.3 * size;
        let touched = |end: Point| {
            let near = self.places.near(end, reach).into_iter();
            let mut others = near
                .filter_map(|i| self.pieces.get(i))
                .filter(|(shape, ..)| !own.contains(shape));
            others.any(|&(_, from, to)| nearest_on(end, from, to).distance(end) < reach)
        };
        !ends.iter().any(|&end| touched(end))
    }
}

/// The distance from the text's box to a point.
fn box_gap(words: &Words, p: Point) -> f64 {
    let (x, y) = local(words, p);
    let dx = (x.abs() - words.width() / 2.0).max(0.0);
    let dy = (y.abs() - words.size() * HALF_HIGH).max(0.0);
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
