//! Dashes that an exporter wrote as lines of their own, joined to the line that was drawn.

use std::collections::BTreeMap;

use super::{Drawing, Stroke};
use crate::geometry::Point;

/// A run has at least so many dashes.
const FEWEST: usize = 5;
/// A gap is at most so many times as long as the longest dash.
const WIDEST_GAP: f64 = 1.5;
/// Gaps of one run, the repeated pattern of a dash-dotted line apart, differ by less than this part of the largest.
const EVEN: f64 = 0.35;
/// Dashes are shorter than this, in feet: longer pieces in a row with gaps between them are meant so.
const LONGEST_FT: f64 = 6.0;
/// Dashes of a run lie this near to one line, in feet.
const IN_LINE_FT: f64 = 0.02;

/// What tells one pen from another.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pen<'a> {
    stroke: Option<&'a str>,
    fill: Option<&'a str>,
    width: u64,
    dashed: bool,
    layer: Option<&'a str>,
    role: u8,
    level: u32,
}

impl<'a> Pen<'a> {
    pub(super) fn of(stroke: &'a Stroke) -> Self {
        Self {
            stroke: stroke.style.stroke.as_deref(),
            fill: stroke.style.fill.as_deref(),
            width: stroke.style.width.to_bits(),
            dashed: stroke.style.dashed,
            layer: stroke.source.layer.as_deref(),
            role: stroke.role as u8,
            level: stroke.level,
        }
    }
}

/// Joins runs of dashes: the first dash of each becomes the line, the others go. The dashes of a line follow each other
/// in every file, whichever way they run.
pub(super) fn join(drawing: &mut Drawing) {
    let mut pens: BTreeMap<Pen<'_>, Vec<usize>> = BTreeMap::new();
    for (i, stroke) in drawing.strokes.iter().enumerate() {
        if is_dash(stroke) {
            pens.entry(Pen::of(stroke)).or_default().push(i);
        }
    }
    let mut gone = vec![false; drawing.strokes.len()];
    for dashes in pens.into_values().collect::<Vec<_>>() {
        let mut start = 0;
        while start < dashes.len() {
            let run = run(&drawing.strokes, &dashes[start..]);
            start += run.count;
            if run.count < FEWEST {
                continue;
            }
            let of_run = &dashes[start - run.count..start];
            of_run[1..].iter().for_each(|&i| gone[i] = true);
            let line = &mut drawing.strokes[of_run[0]];
            line.points = run.ends.to_vec();
            line.style.dashed = true;
        }
    }
    let mut at = 0;
    drawing.strokes.retain(|_| {
        at += 1;
        !gone[at - 1]
    });
}

fn is_dash(stroke: &Stroke) -> bool {
    let [a, b] = stroke.points[..] else {
        return false;
    };
    !stroke.closed && !stroke.curved && !stroke.filled_only && a.distance(b) <= LONGEST_FT
}

/// Dashes that continue each other.
struct Run {
    count: usize,
    ends: [Point; 2],
}

/// The longest run that begins with the first dash.
fn run(strokes: &[Stroke], dashes: &[usize]) -> Run {
    let dash = |i: usize| [0, 1].map(|k| strokes[dashes[i]].points[k]);
    let mut run = Run {
        count: 1,
        ends: dash(0),
    };
    let mut longest = run.ends[0].distance(run.ends[1]);
    let mut gaps: Option<(f64, f64)> = None;
    for i in 1..dashes.len() {
        let Some((tail, head)) = further(run.ends, dash(i)) else {
            break;
        };
        // The first gap decides which way the run goes.
        if i == 1 && run.ends[0].distance(tail) < run.ends[1].distance(tail) {
            run.ends.swap(0, 1);
        }
        let gap = run.ends[1].distance(tail);
        longest = longest.max(tail.distance(head));
        let (least, most) = gaps.map_or((gap, gap), |(l, m)| (l.min(gap), m.max(gap)));
        let onward = (head - run.ends[0]).length() > (tail - run.ends[0]).length();
        let fits = gap > 1e-9 && gap <= WIDEST_GAP * longest && most - least <= EVEN * most;
        if !fits || !onward {
            break;
        }
        gaps = Some((least, most));
        run.ends[1] = head;
        run.count += 1;
    }
    run
}

/// The near and the far end of a dash that lies on the line of a run; `None` where it lies off it.
fn further([a, b]: [Point; 2], [c, d]: [Point; 2]) -> Option<(Point, Point)> {
    let far = [a, b]
        .into_iter()
        .flat_map(|p| [(p, c, d), (p, d, c)])
        .max_by(|x, y| x.0.distance(x.2).total_cmp(&y.0.distance(y.2)))?;
    let (origin, tail, head) = far;
    let u = (head - origin).unit()?;
    let off = |p: Point| u.cross(p - origin).abs();
    ([a, b, tail].into_iter().all(|p| off(p) <= IN_LINE_FT)).then_some((tail, head))
}
