//! Runs: the connected stretches of every course, found by slicing the face at the course lines.

use crate::geometry::Point;

use super::ends::{self, End};
use super::face::{CourseFace, EdgeKind};
use super::{LayRules, ShingleFormat};

/// A side of the face with its neighbours in the ring. Lower and upper end are sorted by v.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub(super) low: Point,
    pub(super) high: Point,
    pub(super) kind: EdgeKind,
    /// Whether the face lies to the right of it: a left boundary.
    pub(super) bounds_left: bool,
    /// The line that the boundary goes on with at the upper end.
    pub(super) above: usize,
    /// How far out of it pieces reach along the course, in inches: see [`ends::allowance`].
    pub(super) allowance: f64,
}

impl Line {
    pub(super) fn u_at(&self, v: f64) -> f64 {
        let rise = self.high.y - self.low.y;
        if rise <= 0.0 {
            return self.low.x;
        }
        self.low.x + (self.high.x - self.low.x) * (v - self.low.y) / rise
    }
    /// du/dv.
    pub(super) fn lean(&self) -> f64 {
        (self.high.x - self.low.x) / (self.high.y - self.low.y)
    }
    pub(super) fn is_level(&self, tiny: f64) -> bool {
        self.high.y - self.low.y <= tiny
    }
}

/// One run of one course. Inches; heights h are measured from the butt line up the slope.
#[derive(Clone, Debug)]
pub(super) struct Run {
    /// Course, from 0 at the eave.
    pub(super) course: usize,
    /// v of the butt line.
    pub(super) butt_v: f64,
    /// Height of the exposed strip: the exposure, or less at the top of the face.
    pub(super) strip: f64,
    /// The exposure of a whole course.
    pub(super) exposure: f64,
    /// The left end.
    pub(super) left: End,
    /// The right end, in the mirrored coordinate −u, so that both ends are the same kind of thing.
    pub(super) right: End,
}

/// How the slope is divided into courses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ladder {
    /// v of the first butt line.
    pub(super) first_butt_v: f64,
    /// Number of courses.
    pub(super) courses: usize,
    /// What is left above the last whole exposure, in inches; 0 where the exposures come out even.
    pub(super) remainder: f64,
    /// Whether that remainder is left to the cap.
    pub(super) skipped: bool,
    /// The top of the face.
    pub(super) top_v: f64,
}

/// A height up the slope divided into courses.
struct Division {
    /// Number of courses.
    courses: usize,
    /// What is left above the last whole exposure, in inches; 0 where the exposures come out even.
    remainder_in: f64,
    /// Whether that remainder is left to the cap.
    is_skipped: bool,
}

/// Divides a height above the butts of course 1 into courses.
fn divided(height_in: f64, exposure_in: f64, rules: &LayRules) -> Division {
    let steps = height_in / exposure_in;
    let mut whole = steps.floor();
    // A remainder of a millionth of an exposure is the rounding of the coordinates, not a course.
    if steps - whole > 1.0 - 1e-6 {
        whole += 1.0;
    }
    let mut remainder_in = (height_in - whole * exposure_in).max(0.0);
    if remainder_in < 1e-6 * exposure_in {
        remainder_in = 0.0;
    }
    let is_skipped = remainder_in > 0.0 && remainder_in < rules.ridge_skip_in && whole >= 1.0;
    Division {
        courses: whole as usize + usize::from(remainder_in > 0.0 && !is_skipped),
        remainder_in,
        is_skipped,
    }
}

/// Divides the slope into courses.
pub(super) fn ladder(face: &CourseFace, format: &ShingleFormat, rules: &LayRules) -> Ladder {
    let (low, high) = face.v_range();
    let first_butt_v = low - rules.eave_overhang_in;
    let division = divided(high - first_butt_v, format.exposure_in, rules);
    Ladder {
        first_butt_v,
        courses: division.courses,
        remainder: division.remainder_in,
        skipped: division.is_skipped,
        top_v: high,
    }
}

/// All sides of the face that are not level, with their neighbours.
fn lines(face: &CourseFace, format: &ShingleFormat, rules: &LayRules) -> Vec<Line> {
    let mut lines = Vec::new();
    for ring in face.rings() {
        let base = lines.len();
        let n = ring.points.len();
        for i in 0..n {
            let (a, b) = (ring.points[i], ring.points[(i + 1) % n]);
            // The face lies to the left of a → b: going up, it bounds the face on the right.
            let up = b.y > a.y;
            let mut line = Line {
                low: if up { a } else { b },
                high: if up { b } else { a },
                kind: ring.kinds[i],
                bounds_left: !up,
                above: base + if up { (i + 1) % n } else { (i + n - 1) % n },
                allowance: 0.0,
            };
            line.allowance = ends::allowance(&line, rules, format.width_in);
            lines.push(line);
        }
    }
    lines
}

/// A part of the strip between two vertex heights, bounded by two lines.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slab {
    pub(super) low_v: f64,
    pub(super) high_v: f64,
    pub(super) left: usize,
    pub(super) right: usize,
}

/// Every run of the face, in order of course, then from left to right.
pub(super) fn runs(
    face: &CourseFace,
    format: &ShingleFormat,
    rules: &LayRules,
    ladder: &Ladder,
) -> Vec<Run> {
    let lines = lines(face, format, rules);
    let tiny = 1e-7 * format.width_in;
    let mut sloping: Vec<usize> = (0..lines.len())
        .filter(|&i| !lines[i].is_level(tiny))
        .collect();
    sloping.sort_by(|&a, &b| lines[a].low.y.total_cmp(&lines[b].low.y));
    let mut vertex_vs: Vec<f64> = face
        .rings()
        .flat_map(|r| r.points.iter().map(|p| p.y))
        .collect();
    vertex_vs.sort_by(f64::total_cmp);
    let context = ends::Context {
        lines: &lines,
        format,
        rules,
        top_v: ladder.top_v,
        tiny,
    };
    let mut runs = Vec::new();
    for course in 0..ladder.courses {
        let butt_v = ladder.first_butt_v + course as f64 * format.exposure_in;
        let strip = format.exposure_in.min(ladder.top_v - butt_v);
        let near: Vec<usize> = sloping
            .iter()
            .copied()
            .filter(|&i| lines[i].low.y < butt_v + strip && lines[i].high.y > butt_v)
            .collect();
        let slabs = slabs(&lines, &near, &vertex_vs, butt_v, butt_v + strip, tiny);
        let mut found: Vec<(f64, Run)> = components(&lines, &slabs, tiny)
            .into_iter()
            .map(|part| {
                let run = Run {
                    course,
                    butt_v,
                    strip,
                    exposure: format.exposure_in,
                    left: ends::end(&context, &part, butt_v, strip, true),
                    right: ends::end(&context, &part, butt_v, strip, false),
                };
                let left = part
                    .iter()
                    .map(|s| lines[s.left].u_at((s.low_v + s.high_v) / 2.0))
                    .fold(f64::INFINITY, f64::min);
                (left, run)
            })
            .collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        runs.extend(found.into_iter().map(|(_, run)| run));
    }
    runs
}

fn slabs(
    lines: &[Line],
    near: &[usize],
    vertex_vs: &[f64],
    low: f64,
    high: f64,
    tiny: f64,
) -> Vec<Slab> {
    let from = vertex_vs.partition_point(|&v| v <= low + tiny);
    let to = vertex_vs.partition_point(|&v| v < high - tiny);
    let mut levels = vec![low];
    for &v in vertex_vs.get(from..to).unwrap_or_default() {
        if v - levels[levels.len() - 1] > tiny {
            levels.push(v);
        }
    }
    levels.push(high);
    let mut slabs = Vec::new();
    for pair in levels.windows(2) {
        let middle = (pair[0] + pair[1]) / 2.0;
        let mut crossed: Vec<(f64, usize)> = near
            .iter()
            .filter(|&&i| lines[i].low.y < middle && middle < lines[i].high.y)
            .map(|&i| (lines[i].u_at(middle), i))
            .collect();
        crossed.sort_by(|a, b| a.0.total_cmp(&b.0));
        for ends in crossed.chunks_exact(2) {
            if ends[1].0 - ends[0].0 > tiny {
                slabs.push(Slab {
                    low_v: pair[0],
                    high_v: pair[1],
                    left: ends[0].1,
                    right: ends[1].1,
                });
            }
        }
    }
    slabs
}

/// Groups the slabs that hang together, each group in order of height.
fn components(lines: &[Line], slabs: &[Slab], tiny: f64) -> Vec<Vec<Slab>> {
    let mut group: Vec<usize> = (0..slabs.len()).collect();
    for (j, upper) in slabs.iter().enumerate() {
        for (i, lower) in slabs.iter().enumerate().take(j) {
            if lower.high_v != upper.low_v {
                continue;
            }
            let v = upper.low_v;
            let left = lines[lower.left].u_at(v).max(lines[upper.left].u_at(v));
            let right = lines[lower.right].u_at(v).min(lines[upper.right].u_at(v));
            if right - left > tiny {
                let (from, to) = (group[j], group[i]);
                for g in &mut group {
                    if *g == from {
                        *g = to;
                    }
                }
            }
        }
    }
    let mut parts: Vec<Vec<Slab>> = Vec::new();
    let mut seen: Vec<usize> = Vec::new();
    for (slab, &g) in slabs.iter().zip(&group) {
        if let Some(at) = seen.iter().position(|&s| s == g) {
            parts[at].push(*slab);
        } else {
            seen.push(g);
            parts.push(vec![*slab]);
        }
    }
    parts
}
