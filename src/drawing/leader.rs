//! Leader lines: a line from a text to what the text is about.

use super::arrow::is_round;
use super::curve::Outline;
use super::dimension::nearest_on;
use super::extent::Extent;
use super::near::Near;
use super::shape::Shape;
use super::words::Words;
use crate::geometry::{Point, Vector};

/// A leader.
#[derive(Clone, Debug)]
pub(super) struct Leader {
    /// The number of its text.
    pub(super) words: usize,
    /// The shapes of its lines, two where an elbow was drawn as two lines, and those of its head.
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
/// What is drawn at a leader's far end and reaches no farther from it than this, in text sizes, is its head: arrow heads are
/// about as long as the text is high (common practice, no source).
const HEAD: f64 = 1.5;
/// An end touches what is nearer to it than this, in text sizes.
const TOUCH: f64 = 0.3;

/// Lines that may be leaders, and all that they may touch, by their places.
pub(super) struct Lines<'s> {
    shapes: &'s [Shape],
    /// Of each shape whether it may be a leader's head.
    may_be_head: Vec<bool>,
    candidates: Vec<Candidate>,
    /// Both ends of each candidate.
    ends: Near,
    /// Every straight piece of every shape that counts.
    pieces: Vec<(usize, Point, Point)>,
    places: Near,
}

/// Finds the leader of a text. A plain line is believed only when it touches no other line at either end, as roof lines
/// do, but for a head at its far end, and points at the text.
pub(super) fn find(index: usize, words: &Words, lines: &Lines<'_>) -> Option<Leader> {
    let size = words.size();
    let mut found: Vec<(f64, Leader)> = Vec::new();
    let reach = words.width() / 2.0 + (HALF_HIGH + REACH) * size;
    for (candidate, near) in lines.ending_near(words.middle(), reach) {
        let (before, before_far) = (candidate.next[near], candidate.next[1 - near]);
        let (near, far) = (candidate.ends[near], candidate.ends[1 - near]);
        let gap = box_gap(words, near);
        if gap > REACH * size || box_gap(words, far) < 1.5 * size || !points_at(words, before, near)
        {
            continue;
        }
        let line = Line {
            near,
            before_far,
            far,
        };
        let alone = [candidate.shape];
        let leader = lines.with_head(index, &line, &alone, size);
        let leader = leader.or_else(|| match candidate.sure {
            true => Some(Leader {
                words: index,
                shapes: alone.to_vec(),
                far,
            }),
            false => {
                let (other, end) = lines.after_elbow(candidate, far)?;
                let line = Line {
                    near,
                    before_far: far,
                    far: end,
                };
                lines.with_head(index, &line, &[candidate.shape, other], size)
            }
        });
        found.extend(leader.map(|leader| (gap, leader)));
    }
    found
        .into_iter()
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, leader)| leader)
}

/// Where a line that may be a leader runs: its end at the text, and the corner before its far end.
struct Line {
    near: Point,
    before_far: Point,
    far: Point,
}

/// The ends of two lines that draw an elbow lie this near each other, as a part of the shorter line's length.
const ELBOW_GAP: f64 = 0.01;

/// The line of a shape, and how many other strokes it has: those of a head drawn in one path with its shaft.
pub(super) fn shaft(shape: &Shape) -> Option<(&Outline, usize)> {
    /// Two barbs, or one bent line.
    const MOST_HEAD_STROKES: usize = 2;
    let long = |outline: &Outline| {
        let extent = Extent::of_points(outline.all_points());
        extent.map_or(0.0, |e| e.size())
    };
    let outlines = shape.outlines.iter();
    let shaft = outlines.max_by(|a, b| long(a).total_cmp(&long(b)))?;
    let others = shape.outlines.len() - 1;
    (others <= MOST_HEAD_STROKES).then_some((shaft, others))
}

impl<'s> Lines<'s> {
    /// Lines that may be leaders among all shapes of a drawing; what is `out` of it already, such as a hatch or a grid by its
    /// layer, lies beneath them and is nothing that they touch.
    pub(super) fn new(
        candidates: Vec<Candidate>,
        shapes: &'s [Shape],
        may_be_head: Vec<bool>,
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
            shapes,
            may_be_head,
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

    /// The leader along a line of some shapes, if it touches no other shape at either end but for the head at its far one.
    fn with_head(&self, words: usize, line: &Line, own: &[usize], size: f64) -> Option<Leader> {
        let others = |end: Point| {
            let mut touched = self.touched(end, TOUCH * size);
            touched.retain(|shape| !own.contains(shape));
            touched
        };
        if !others(line.near).is_empty() {
            return None;
        }
        let head = others(line.far);
        let is_head = |outline: &Outline| is_within(outline, line.far, HEAD * size);
        let outlines = |of: &[usize]| -> Vec<&'s Outline> {
            let shapes = of.iter().filter_map(|&i| self.shapes.get(i));
            shapes.flat_map(|shape| &shape.outlines).collect()
        };
        let drawn = outlines(&head);
        let may_be = |shape: &usize| self.may_be_head.get(*shape) == Some(&true);
        if !head.iter().all(may_be) || !drawn.iter().all(|outline| is_head(outline)) {
            return None;
        }
        // Strokes of its own beside the line itself are those of its head.
        let beside = outlines(own).into_iter().filter(|o| !is_head(o)).count();
        if beside > own.len() {
            return None;
        }
        Some(Leader {
            words,
            shapes: own.iter().copied().chain(head).collect(),
            far: tip(line, &drawn),
        })
    }

    /// The shapes that come within a distance of a place, each once.
    fn touched(&self, at: Point, reach: f64) -> Vec<usize> {
        let near = self.places.near(at, reach).into_iter();
        let pieces = near.filter_map(|i| self.pieces.get(i));
        let mut touched: Vec<usize> = pieces
            .filter(|(_, from, to)| nearest_on(at, *from, *to).distance(at) < reach)
            .map(|&(shape, ..)| shape)
            .collect();
        touched.sort_unstable();
        touched.dedup();
        touched
    }
}

/// Whether an outline lies wholly within a distance of a place, each way.
fn is_within(outline: &Outline, at: Point, distance: f64) -> bool {
    Extent::of_points(outline.all_points()).is_some_and(|extent| {
        let (low, high) = (at - extent.low, extent.high - at);
        low.x.max(low.y).max(high.x).max(high.y) <= distance
    })
}

/// What a leader points at: the foremost place of its head, whose shaft may end at the head's back; a dot points nowhere, and
/// is itself the place.
fn tip(line: &Line, head: &[&Outline]) -> Point {
    let Some(way) = (line.far - line.before_far).unit() else {
        return line.far;
    };
    let pointed = head.iter().filter(|outline| !is_round(outline));
    let corners = pointed.flat_map(|outline| outline.all_points());
    let beyond = corners.filter(|&corner| (corner - line.far).dot(way) > 0.0);
    let foremost = |a: &Point, b: &Point| {
        (*a - line.far)
            .dot(way)
            .total_cmp(&(*b - line.far).dot(way))
    };
    beyond.max_by(foremost).unwrap_or(line.far)
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
