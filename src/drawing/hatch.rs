//! Hatching drawn as lines: parallel lines of one pen, close together and evenly spaced.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::dashes::Pen;
use super::{Drawing, LeftOut, Role, Says, Stroke};
use crate::Place;
use crate::geometry::{Point, Vector};
use crate::place::Source;

/// A hatch has at least so many lines.
const FEWEST: usize = 4;
/// Lines of a hatch are no farther apart than this, in feet: no face of a roof is so narrow, and it is wider than the
/// spacing of standing seams. Common practice, no source.
const WIDEST_FT: f64 = 3.0;
/// Nearer than this, in feet, two lines are one line drawn twice.
const LEAST_FT: f64 = 0.02;
/// The spacing of one hatch differs by less than this part.
const EVEN: f64 = 0.12;

struct Line {
    stroke: usize,
    /// Square to the hatch, in feet.
    off: f64,
    /// Along the hatch, in feet.
    from: f64,
    to: f64,
}

/// Leaves out the lines of every hatch.
pub(super) fn leave_out(drawing: &mut Drawing) {
    let mut hatched = vec![false; drawing.strokes.len()];
    let pens = pens(&drawing.strokes);
    if pens.is_empty() {
        return;
    }
    let corners = Corners::of(&drawing.strokes);
    for pen in pens {
        for direction in directions(&drawing.strokes, &pen, &corners) {
            for run in runs(&direction) {
                if !holds_labels(drawing, run) {
                    run.iter().for_each(|l| hatched[l.stroke] = true);
                }
            }
        }
    }
    let mut told: Option<&Arc<Source>> = None;
    let all = drawing.strokes.iter().zip(&hatched);
    for (stroke, _) in all.filter(|(_, hatched)| **hatched) {
        // A hatch in one path is told once.
        if told.is_none_or(|source| !Arc::ptr_eq(source, &stroke.source)) {
            drawing.left_out.push(LeftOut {
                place: Place::on(&stroke.source, stroke.points[0]),
                why: "a hatch: lines of one pen, parallel, close together and evenly spaced"
                    .to_string(),
            });
            told = Some(&stroke.source);
        }
    }
    let mut at = 0;
    drawing.strokes.retain(|_| {
        at += 1;
        !hatched[at - 1]
    });
}

/// Straight lines that may be a hatch, by their pens.
fn pens(strokes: &[Stroke]) -> Vec<Vec<usize>> {
    let mut pens: BTreeMap<Pen<'_>, Vec<usize>> = BTreeMap::new();
    for (i, stroke) in strokes.iter().enumerate() {
        let straight = stroke.points.len() == 2 && !stroke.curved && !stroke.filled_only;
        if straight && matches!(stroke.role, Role::Unsaid | Role::Roof) {
            pens.entry(Pen::of(stroke)).or_default().push(i);
        }
    }
    pens.into_values().filter(|p| p.len() >= FEWEST).collect()
}

/// The lines of a pen by their direction, to half a degree.
fn directions(strokes: &[Stroke], pen: &[usize], corners: &Corners) -> Vec<Vec<Line>> {
    let mut turned: Vec<(f64, usize)> = pen
        .iter()
        .filter(|&&i| !corners.joins(&strokes[i].points))
        .map(|&i| {
            let v = strokes[i].points[1] - strokes[i].points[0];
            (v.y.atan2(v.x).to_degrees().rem_euclid(180.0), i)
        })
        .map(|(turn, i)| (if turn > 179.75 { turn - 180.0 } else { turn }, i))
        .collect();
    turned.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    turned
        .chunk_by(|a, b| b.0 - a.0 < 0.1)
        .filter(|lines| lines.len() >= FEWEST)
        .map(|lines| {
            let (sin, cos) = lines[0].0.to_radians().sin_cos();
            let u = Vector::new(cos, sin);
            let mut lines: Vec<Line> = lines
                .iter()
                .map(|&(_, i)| {
                    let [a, b] = [0, 1].map(|k| strokes[i].points[k] - Point::default());
                    let (s, t) = (u.dot(a), u.dot(b));
                    Line {
                        stroke: i,
                        off: u.cross((a + b) * 0.5),
                        from: s.min(t),
                        to: s.max(t),
                    }
                })
                .collect();
            lines.sort_by(|a, b| a.off.total_cmp(&b.off).then(a.stroke.cmp(&b.stroke)));
            lines
        })
        .collect()
}

/// Stretches of the sorted lines that are evenly spaced and lie beside each other.
fn runs(lines: &[Line]) -> Vec<&[Line]> {
    let mut runs = Vec::new();
    let mut start = 0;
    while start < lines.len() {
        let end = run_end(&lines[start..]) + start;
        let run = &lines[start..end];
        let rows = run.windows(2).filter(|w| w[1].off - w[0].off > LEAST_FT);
        if rows.count() + 1 >= FEWEST {
            runs.push(run);
            start = end;
        } else {
            start += 1;
        }
    }
    runs
}

/// Where the run that begins with the first line ends.
fn run_end(lines: &[Line]) -> usize {
    let mut spacing = None;
    let mut row = 0;
    for i in 1..lines.len() {
        let step = lines[i].off - lines[row].off;
        if step <= LEAST_FT {
            continue;
        }
        let even = spacing.is_none_or(|s: f64| (step - s).abs() <= EVEN * s);
        let beside = lines[row..i]
            .iter()
            .any(|l| l.from - step < lines[i].to && lines[i].from < l.to + step);
        if step > WIDEST_FT || !even || !beside {
            return i;
        }
        spacing.get_or_insert(step);
        row = i;
    }
    lines.len()
}

/// Whether every second strip between the lines holds a pitch: narrow faces, then, and no hatch.
fn holds_labels(drawing: &Drawing, run: &[Line]) -> bool {
    let [a, b] = [0, 1].map(|k| drawing.strokes[run[0].stroke].points[k]);
    let Some(u) = (b - a).unit() else {
        return false;
    };
    let u = if u.y < -0.01 || (u.y.abs() <= 0.01 && u.x < 0.0) {
        -u
    } else {
        u
    };
    let strips: BTreeSet<usize> = drawing
        .labels
        .iter()
        .filter(|l| matches!(l.says, Says::Pitch { .. }))
        .map(|l| u.cross(l.points_at.unwrap_or(l.at) - Point::default()))
        .map(|off| run.partition_point(|l| l.off < off))
        .filter(|&strip| strip > 0 && strip < run.len())
        .collect();
    2 * strips.len() >= run.len()
}

/// Ends and corners of all strokes, to find what meets in them: in columns from left to right.
struct Corners {
    points: Vec<Point>,
    /// Where each column's points begin, and the end of all.
    starts: Vec<usize>,
    left: f64,
    columns_a_foot: f64,
}

impl Corners {
    /// Ends no farther apart than this, in feet, meet.
    const REACH_FT: f64 = 0.05;

    fn of(strokes: &[Stroke]) -> Self {
        let all = || strokes.iter().flat_map(|s| s.points.iter().copied());
        let (mut count, mut left, mut right) = (0, f64::INFINITY, f64::NEG_INFINITY);
        for p in all() {
            count += 1;
            (left, right) = (left.min(p.x), right.max(p.x));
        }
        let mut corners = Self {
            points: vec![Point::default(); count],
            starts: vec![0; count + 2],
            left,
            columns_a_foot: count as f64 / (right - left).max(Self::REACH_FT),
        };
        for p in all() {
            let column = corners.column(p.x);
            corners.starts[column + 1] += 1;
        }
        for column in 1..corners.starts.len() {
            corners.starts[column] += corners.starts[column - 1];
        }
        let mut next = corners.starts.clone();
        for p in all() {
            let column = corners.column(p.x);
            corners.points[next[column]] = p;
            next[column] += 1;
        }
        corners
    }

    /// The column of a place; the first or the last one for what lies beside all of them.
    fn column(&self, x: f64) -> usize {
        (((x - self.left) * self.columns_a_foot) as usize).min(self.starts.len() - 2)
    }

    /// The points of all columns within reach of a place.
    fn about(&self, x: f64) -> &[Point] {
        let (first, last) = (x - Self::REACH_FT, x + Self::REACH_FT);
        &self.points[self.starts[self.column(first)]..self.starts[self.column(last) + 1]]
    }

    /// Whether both ends of a line meet corners of others: an edge of a face does, a line of a hatch ends anywhere
    /// along one.
    fn joins(&self, ends: &[Point]) -> bool {
        let short = ends
            .windows(2)
            .all(|w| w[0].distance(w[1]) < 2.0 * Self::REACH_FT);
        !short
            && ends.iter().all(|&end| {
                let near = self.about(end.x).iter();
                let near = near.filter(|p| p.distance(end) <= Self::REACH_FT);
                near.take(2).count() > 1
            })
    }
}
