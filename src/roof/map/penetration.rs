//! Which strokes of the pipe layer are one pipe: its circle with the cross in it, the rings round it, the strokes of an X.

use std::sync::Arc;

use crate::drawing::Stroke;
use crate::geometry::{Point, ring, segments_cross};
use crate::place::Source;

/// Strokes nearer than this part of the smaller one touch ...
const TOUCH: f64 = 0.25;
/// ... and those of one element that stand no farther apart than half as much again as the larger is wide: the four ticks of a
/// cross.
const ONE_ELEMENT: f64 = 1.5;
/// A ring in a ring that is smaller than this part of it is a mark in its middle, ...
const MARK: f64 = 1.0 / 3.0;
/// ... and one larger than this the same ring drawn twice. Of others nobody knows which is the pipe.
const TWICE: f64 = 0.95;
/// Ends nearer than this, in feet, are one point.
const CLOSED_FT: f64 = 1e-3;

/// A pipe or vent as drawn.
pub(super) struct Penetration {
    /// Its middle.
    pub(super) at: Point,
    /// Its diameter; `None` for a mark without size, and where rings of two sizes are drawn.
    pub(super) drawn_ft: Option<f64>,
    /// The element that it is drawn with, or the first of them.
    pub(super) source: Arc<Source>,
}

/// A stroke with its box.
struct Mark<'a> {
    stroke: &'a Stroke,
    round: bool,
    low: Point,
    high: Point,
}

impl<'a> Mark<'a> {
    fn of(stroke: &'a Stroke) -> Self {
        let mut low = Point::new(f64::INFINITY, f64::INFINITY);
        let mut high = Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
        for p in &stroke.points {
            low = Point::new(low.x.min(p.x), low.y.min(p.y));
            high = Point::new(high.x.max(p.x), high.y.max(p.y));
        }
        let ends = stroke.points.first().zip(stroke.points.last());
        let meets = ends.is_some_and(|(a, b)| a.distance(*b) <= CLOSED_FT);
        Self {
            stroke,
            round: stroke.points.len() >= 3 && (stroke.closed || meets),
            low,
            high,
        }
    }

    fn middle(&self) -> Point {
        self.low.midpoint(self.high)
    }

    /// The larger side of its box.
    fn size(&self) -> f64 {
        (self.high.x - self.low.x).max(self.high.y - self.low.y)
    }

    /// The smaller side of its box.
    fn width(&self) -> f64 {
        (self.high.x - self.low.x).min(self.high.y - self.low.y)
    }

    fn pieces(&self) -> impl Iterator<Item = (Point, Point)> {
        let all = ring::sides(&self.stroke.points);
        let count = self.stroke.points.len();
        all.take(if self.stroke.closed { count } else { count - 1 })
    }

    fn holds(&self, other: &Self) -> bool {
        self.round && ring::contains(&self.stroke.points, other.stroke.points[0])
    }

    /// Whether the other comes nearer than this, or one lies in the other.
    fn meets(&self, other: &Self, reach: f64) -> bool {
        let apart = |low: f64, high: f64| low > high + reach;
        let far = apart(self.low.x, other.high.x)
            || apart(other.low.x, self.high.x)
            || apart(self.low.y, other.high.y)
            || apart(other.low.y, self.high.y);
        if far {
            return false;
        }
        self.holds(other) || other.holds(self) || self.is_within(other, reach)
    }

    fn is_within(&self, other: &Self, reach: f64) -> bool {
        self.pieces().any(|(a, b)| {
            other.pieces().any(|(c, d)| {
                let near = |p: Point, (a, b): (Point, Point)| p.distance_to_segment(a, b) <= reach;
                segments_cross((a, b), (c, d))
                    || near(a, (c, d))
                    || near(b, (c, d))
                    || near(c, (a, b))
                    || near(d, (a, b))
            })
        })
    }
}

/// The pipes that the strokes draw. Rings in or across each other are one; a line belongs to the ring that it touches, so
/// that one that touches two joins none of them; lines alone that touch are one mark.
pub(super) fn penetrations(strokes: &[&Stroke]) -> Vec<Penetration> {
    let marks: Vec<Mark<'_>> = strokes.iter().map(|stroke| Mark::of(stroke)).collect();
    let (rings, lines): (Vec<&Mark<'_>>, Vec<&Mark<'_>>) = marks.iter().partition(|m| m.round);
    let ringed = groups(&rings, |a, b| a.meets(b, 0.0));
    let reach = |a: &Mark<'_>, b: &Mark<'_>| TOUCH * a.size().min(b.size());
    let lines: Vec<&Mark<'_>> = lines
        .into_iter()
        .filter(|line| !rings.iter().any(|ring| ring.meets(line, reach(ring, line))))
        .collect();
    let crossed = groups(&lines, |a, b| {
        let of_one = a.stroke.source == b.stroke.source;
        let apart = ONE_ELEMENT * a.size().max(b.size());
        a.meets(b, if of_one { apart } else { reach(a, b) })
    });
    let ringed = ringed.iter().map(|group| ring_of(group));
    let crossed = crossed.iter().map(|group| cross_of(group));
    ringed.chain(crossed).collect()
}

fn ring_of(group: &[&Mark<'_>]) -> Penetration {
    let outer = group.iter().fold(group[0], |most, mark| {
        if mark.width() > most.width() {
            mark
        } else {
            most
        }
    });
    let other = |mark: &&&Mark<'_>| {
        let part = mark.width() / outer.width();
        (MARK..TWICE).contains(&part)
    };
    Penetration {
        at: outer.middle(),
        drawn_ft: (!group.iter().any(|mark| other(&mark))).then(|| outer.width()),
        source: Arc::clone(&outer.stroke.source),
    }
}

fn cross_of(group: &[&Mark<'_>]) -> Penetration {
    let (mut low, mut high) = (group[0].low, group[0].high);
    for mark in group {
        low = Point::new(low.x.min(mark.low.x), low.y.min(mark.low.y));
        high = Point::new(high.x.max(mark.high.x), high.y.max(mark.high.y));
    }
    Penetration {
        at: low.midpoint(high),
        drawn_ft: None,
        source: Arc::clone(&group[0].stroke.source),
    }
}

/// Puts together what belongs together, in the order of the first of each.
fn groups<'m, 'a>(
    marks: &[&'m Mark<'a>],
    together: impl Fn(&Mark<'a>, &Mark<'a>) -> bool,
) -> Vec<Vec<&'m Mark<'a>>> {
    let mut groups: Vec<Vec<&'m Mark<'a>>> = Vec::new();
    for &mark in marks {
        let joins = |group: &Vec<&Mark<'a>>| group.iter().any(|other| together(mark, other));
        let Some(first) = groups.iter().position(joins) else {
            groups.push(vec![mark]);
            continue;
        };
        let mut others = Vec::new();
        let mut at = groups.len();
        while at > first + 1 {
            at -= 1;
            if joins(&groups[at]) {
                others.push(groups.remove(at));
            }
        }
        groups[first].push(mark);
        groups[first].extend(others.into_iter().flatten());
    }
    groups
}
