//! A line that is drawn in several pieces end to end, and which of them a length is written beside.
//!
//! A drawing program breaks a line wherever another one was snapped to it: a dimension line is one line all the same, and a
//! side of the roof too. Where other lines end on a joint, as valleys do on an eave, a length may be of a piece or of all.

use super::dimension::{Box2, LayerSays, Segment, Segments, Shaft, nearest_on};
use super::dimension_chain::is_parted;
use super::dimension_mark::{MET, ONE_PLACE, PAST};
use crate::geometry::Point;

/// Pieces go on in one line where they turn by less than this sine, one degree ...
const BEND: f64 = 0.0175;
/// ... and no joint lies farther from the whole line than so many text sizes.
const STRAIGHT: f64 = ONE_PLACE;
/// Of a line in more pieces than this, no length is believed to be: it is a hatch or a traced curve.
const MOST_PIECES: usize = 256;
/// A text is a stretch's where it stands in its middle to so many of its sizes ...
const MIDDLE: f64 = 1.0;
/// ... and off the middle of a longer one by more than so many ...
const OFF_MIDDLE: f64 = 2.0;
/// ... or nearer to its middle than to the other's by this part of the way from the middle to the end.
const NEARER: f64 = 0.5;
/// Where more lines than this end on one, they are hatching or boards, and tell no stretch of it.
const MOST_ENDING: usize = 8;
/// Another length is written beside a line where it stands no farther from it than so many text sizes.
const BESIDE: f64 = 2.0;

/// The lines beside a text, of each lot of pieces on one line the stretch that the text stands beside.
pub(super) fn lines(text: &Box2, near: &[Segment], segments: &Segments) -> Vec<Shaft> {
    let mut lines = Vec::new();
    let mut runs: Vec<Run> = Vec::new();
    for s in near {
        if runs.iter().any(|run| run.holds(s)) {
            continue;
        }
        let run = Run::through(s, text.size, segments);
        if run.pieces.len() == 1 {
            lines.push(unbroken(s, text, segments));
            continue;
        }
        lines.extend(run.stretch(text, segments));
        runs.push(run);
    }
    lines
}

/// A line that nothing breaks is a length's in all of it, unless the text stands off its middle and in the middle of a stretch
/// of it that other lines end on, as a ridge does on a gable: then of this stretch where other lengths stand beside the
/// line too, else in doubt.
fn unbroken(s: &Segment, text: &Box2, segments: &Segments) -> Shaft {
    let whole = Shaft::of(s);
    if Stretch::of((0, 1), &whole, text).sizes <= OFF_MIDDLE {
        return whole;
    }
    let ending = ended_on(&whole, text.size, segments);
    if ending.is_empty() || ending.len() > MOST_ENDING {
        return whole;
    }
    let run = Run {
        pieces: vec![*s; ending.len() + 1],
        meets: vec![true; ending.len() + 2],
        joints: [s.a].into_iter().chain(ending).chain([s.b]).collect(),
    };
    let last = run.joints.len() - 1;
    let pairs = (0..last).flat_map(|from| (from + 1..=last).map(move |to| (from, to)));
    let mut in_middle = pairs.filter_map(|(from, to)| {
        let shaft = run.ends(from, to);
        text.unfitness(&shaft)?;
        let stretch = Stretch::of((from, to), &shaft, text);
        (stretch.sizes <= MIDDLE).then_some(shaft)
    });
    let (own, other) = (in_middle.next(), in_middle.next());
    match (own, other) {
        (None, _) => whole,
        (Some(own), None) if run.is_beside_others(text, segments) => Shaft {
            a: own.a,
            b: own.b,
            ..whole
        },
        (Some(_), _) => Shaft {
            in_doubt: true,
            ..whole
        },
    }
}

/// Where other lines end on the inside of a line, from its beginning on, but for marks of a chain.
fn ended_on(line: &Shaft, size: f64, segments: &Segments) -> Vec<Point> {
    let (long, reach) = (line.a.distance(line.b), MET * size);
    let Some(u) = (line.b - line.a).unit() else {
        return Vec::new();
    };
    let near = segments.near(line.a.midpoint(line.b), long / 2.0 + reach);
    let mut at: Vec<f64> = near
        .filter(|s| !s.filled_only)
        .flat_map(|s| [s.a, s.b])
        .filter(|&end| nearest_on(end, line.a, line.b).distance(end) <= reach)
        .map(|end| (end - line.a).dot(u))
        .filter(|&at| at > reach && at < long - reach)
        .collect();
    at.sort_by(f64::total_cmp);
    at.dedup_by(|next, at| *next - *at <= reach);
    let joint = |at: &f64| Joint {
        shaft: line.clone(),
        at: line.a + u * *at,
        size,
    };
    let joints = at.iter().map(joint);
    joints
        .filter(|joint| joint.meets(segments) == Some(true))
        .map(|joint| joint.at)
        .collect()
}

/// What goes on from an end of a piece on its line, as far as no other line meets it, and where that ends.
pub(super) fn onward(
    piece: &Segment,
    end: Point,
    size: f64,
    segments: &Segments,
) -> (Vec<Segment>, Point) {
    let start = if end == piece.a { piece.b } else { piece.a };
    let mut end = end;
    let mut pieces = Vec::new();
    for next in walk(piece, start, end, size, segments) {
        if next.meets {
            break;
        }
        end = next.far;
        pieces.push(next.piece);
    }
    (pieces, end)
}

/// A piece that goes on from another.
struct Next {
    piece: Segment,
    /// Where it ends.
    far: Point,
    /// Whether another line ends on the joint before it.
    meets: bool,
}

/// What goes on from a piece that runs from `start` to `end`, up to the first joint that is marked as chains are.
fn walk(piece: &Segment, start: Point, end: Point, size: f64, segments: &Segments) -> Vec<Next> {
    let mut joints = vec![start];
    let (mut before, mut end) = (start, end);
    let mut on = Vec::new();
    while on.len() < MOST_PIECES
        && let Some((next, far)) = next(piece, before, end, size, segments)
    {
        joints.push(end);
        let straight = joints
            .iter()
            .all(|&joint| nearest_on(joint, start, far).distance(joint) <= STRAIGHT * size);
        if !straight {
            break;
        }
        let joint = Joint {
            shaft: Shaft {
                a: before,
                b: far,
                ..Shaft::of(piece)
            },
            at: end,
            size,
        };
        let Some(meets) = joint.meets(segments) else {
            break;
        };
        on.push(Next {
            piece: next,
            far,
            meets,
        });
        (before, end) = (end, far);
    }
    on
}

/// The longest piece of the same pen that goes on from `end`, and where it ends.
fn next(
    piece: &Segment,
    before: Point,
    end: Point,
    size: f64,
    segments: &Segments,
) -> Option<(Segment, Point)> {
    // Sides of fills without a line are no lines: bars of a scale, tables.
    if piece.filled_only {
        return None;
    }
    let u = (end - before).unit()?;
    let reach = MET * size;
    segments
        .near(end, reach)
        .filter(|s| s.layer == piece.layer && s.pen == piece.pen && !s.filled_only)
        .filter_map(|s| {
            let (near, far) = if s.a.distance(end) <= s.b.distance(end) {
                (s.a, s.b)
            } else {
                (s.b, s.a)
            };
            let v = (far - near).unit()?;
            let goes_on = v.dot(u) > 0.0 && v.cross(u).abs() <= BEND;
            let joined = near.distance(end) <= reach && (far - end).dot(u) > reach;
            (goes_on && joined).then_some((*s, far))
        })
        .max_by(|a, b| a.1.distance(end).total_cmp(&b.1.distance(end)))
}

/// Where two pieces meet, and the line of both.
struct Joint {
    shaft: Shaft,
    at: Point,
    size: f64,
}

impl Joint {
    /// Whether another line ends on it; `None` where it is marked, by a tick, an arrow head or an extension line, or by a
    /// short line as on the bar of a scale.
    fn meets(&self, segments: &Segments) -> Option<bool> {
        if is_parted(&self.shaft, self.at, self.size, segments) {
            return None;
        }
        let along = (self.shaft.b - self.shaft.a).unit()?;
        let reach = MET * self.size;
        let crosses = |s: &&Segment| {
            let askew = (s.b - s.a).unit();
            let seen = s.layer != LayerSays::LeftOut || self.shaft.layer == LayerSays::LeftOut;
            !s.filled_only
                && seen
                && askew.is_some_and(|v| along.cross(v).abs() > 0.05)
                && nearest_on(self.at, s.a, s.b).distance(self.at) <= reach
        };
        let mut meets = false;
        for s in segments.near(self.at, reach).filter(crosses) {
            if s.a.distance(s.b) <= PAST * self.size {
                return None;
            }
            meets = true;
        }
        Some(meets)
    }
}

/// Pieces on one line, each going on where the former ends.
struct Run {
    pieces: Vec<Segment>,
    /// Where the first begins and each one ends: one more than pieces.
    joints: Vec<Point>,
    /// Whether another line ends on each of them.
    meets: Vec<bool>,
}

impl Run {
    fn through(s: &Segment, size: f64, segments: &Segments) -> Self {
        let [mut back, on] =
            [(s.b, s.a), (s.a, s.b)].map(|(from, to)| walk(s, from, to, size, segments));
        back.reverse();
        let mut run = Self {
            pieces: Vec::new(),
            joints: Vec::new(),
            meets: vec![false],
        };
        for next in back {
            run.pieces.push(next.piece);
            run.joints.push(next.far);
            run.meets.push(next.meets);
        }
        run.joints.extend([s.a, s.b]);
        run.pieces.push(*s);
        for next in on {
            run.pieces.push(next.piece);
            run.joints.push(next.far);
            run.meets.push(next.meets);
        }
        run.meets.push(false);
        run
    }

    fn holds(&self, s: &Segment) -> bool {
        let same = |p: &Segment| p.shape == s.shape && p.a == s.a && p.b == s.b;
        self.pieces.iter().any(same)
    }

    /// The stretch between two joints where other lines end, or between the ends, that the text stands in the middle of; in doubt
    /// where that tells no stretch from another.
    fn stretch(&self, text: &Box2, segments: &Segments) -> Option<Shaft> {
        let last = self.joints.len() - 1;
        let in_doubt = |from, to| Shaft {
            in_doubt: true,
            ..self.shaft(from, to)
        };
        if self.pieces.len() > MOST_PIECES {
            text.unfitness(&self.ends(0, last))?;
            return Some(in_doubt(0, last));
        }
        // Beside other lengths each piece may have its own, though nothing marks where they part.
        let shared = self.is_beside_others(text, segments);
        let mut cuts: Vec<usize> = (1..last).filter(|&i| shared || self.meets[i]).collect();
        cuts.insert(0, 0);
        cuts.push(last);
        let pairs = cuts.iter().enumerate();
        let pairs = pairs.flat_map(|(i, &from)| cuts[i + 1..].iter().map(move |&to| (from, to)));
        let may_be: Vec<Stretch> = pairs
            .filter_map(|(from, to)| {
                let shaft = self.ends(from, to);
                text.unfitness(&shaft)?;
                Some(Stretch::of((from, to), &shaft, text))
            })
            .collect();
        let clear = |s: &&Stretch| {
            let mut others = may_be.iter().filter(|o| !std::ptr::eq(*o, *s));
            others.all(|o| s.goes_before(o))
        };
        if let Some(own) = may_be.iter().find(clear) {
            let (from, to) = own.joints;
            return Some(self.shaft(from, to));
        }
        let likeliest = may_be.iter().min_by(|a, b| a.part.total_cmp(&b.part))?;
        let (from, to) = likeliest.joints;
        Some(in_doubt(from, to))
    }

    /// Whether another length stands beside the line.
    fn is_beside_others(&self, text: &Box2, segments: &Segments) -> bool {
        let (Some(&a), Some(&b)) = (self.joints.first(), self.joints.last()) else {
            return false;
        };
        let beside = segments.lengths_beside(a, b, BESIDE * text.size);
        beside.iter().any(|&p| p != text.middle)
    }

    /// The line between two joints without its pieces: there are many such lines to choose from.
    fn ends(&self, from: usize, to: usize) -> Shaft {
        Shaft {
            a: self.joints[from],
            b: self.joints[to],
            ..Shaft::of(&self.pieces[from])
        }
    }

    /// The pieces between two joints as one line.
    fn shaft(&self, from: usize, to: usize) -> Shaft {
        let pieces = &self.pieces[from..to];
        let mut shapes: Vec<usize> = pieces.iter().map(|s| s.shape).collect();
        shapes.dedup();
        Shaft {
            shapes,
            pieces: pieces.iter().map(|s| (s.a, s.b)).collect(),
            ..self.ends(from, to)
        }
    }
}

/// A stretch of a line that a text may belong to.
struct Stretch {
    /// The numbers of the joints that it runs between.
    joints: (usize, usize),
    long: f64,
    /// How far from its middle the text stands: in text sizes, and as a part of the way from the middle to the end.
    sizes: f64,
    part: f64,
}

impl Stretch {
    fn of(joints: (usize, usize), shaft: &Shaft, text: &Box2) -> Self {
        let long = shaft.a.distance(shaft.b);
        let u = (shaft.b - shaft.a).unit().unwrap_or_default();
        let off = ((text.middle - shaft.a).dot(u) - long / 2.0).abs();
        Self {
            joints,
            long,
            sizes: off / text.size,
            part: 2.0 * off / long,
        }
    }

    /// Whether the place of the text tells that it is this one's and not the other's.
    fn goes_before(&self, other: &Self) -> bool {
        let in_middle = self.sizes <= MIDDLE && other.sizes > OFF_MIDDLE && self.long < other.long;
        in_middle || other.part - self.part >= NEARER
    }
}
