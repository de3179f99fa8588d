//! One face as the search sees it: what every run allows, and which runs' joints must keep apart.

use super::ends::End;
use super::runs::Run;
use crate::Finding;

use super::{LayRules, ShingleFormat};

/// Where the joints of a run lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Seat {
    /// The first joint in inches along the eave, and the number of whole shingles up to the last joint.
    Joints { first: f64, whole: usize },
    /// One piece, no joint. It may share a shingle with a closing piece (then it is the right part) or with an
    /// opening piece (then it is the left part).
    Single { as_closing: bool },
}

/// A range of the first joint with the number of whole shingles that goes with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Range {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) whole: usize,
}

/// What a run allows.
#[derive(Clone, Debug)]
pub(super) struct RunRoom {
    pub(super) course: usize,
    /// How far out pieces must reach at the left and at the right, in u.
    pub(super) left_reach: f64,
    pub(super) right_reach: f64,
    /// Where the first joint may be.
    pub(super) ranges: Vec<Range>,
    /// Whether one piece may cover the run.
    pub(super) single: bool,
    /// Indices into [`Problem::slack`].
    pub(super) left_shape: usize,
    pub(super) right_shape: usize,
    /// Runs of the next course up and of the next but one, and down.
    pub(super) next: Vec<usize>,
    pub(super) second: Vec<usize>,
    /// The least end piece that had to be allowed, where the rule's left no room.
    pub(super) relaxed_piece: Option<f64>,
    /// Whether the joint keep-out of a through valley had to be given up.
    pub(super) relaxed_clear: bool,
    /// Whether an end leans by more than a shingle within the course: then the one place left is not by the rules.
    pub(super) leans: bool,
}

/// A face ready for the search. All lengths in inches.
pub(super) struct Problem {
    pub(super) width: f64,
    /// 1 / width: the search divides by nothing.
    per_width: f64,
    pub(super) tolerance: f64,
    pub(super) joint_distance: f64,
    pub(super) second_distance: f64,
    pub(super) runs: Vec<RunRoom>,
    /// `slack[left shape][right shape]`: how much less than the sum of their reaches an opening and a closing piece
    /// need where their outlines lean together, in inches (0 or less).
    pub(super) slack: Vec<Vec<f64>>,
}

impl Problem {
    pub(super) fn new(runs: &[Run], format: &ShingleFormat, rules: &LayRules) -> Self {
        let width = format.width_in;
        let tolerance = 1e-7 * width;
        let mut left_shapes: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut right_shapes: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut rooms: Vec<RunRoom> = runs
            .iter()
            .map(|run| {
                let mut room = room(run, width, rules, tolerance);
                room.left_shape = shape_of(&run.left, &mut left_shapes, tolerance);
                room.right_shape = shape_of(&run.right, &mut right_shapes, tolerance);
                room
            })
            .collect();
        let mut start_of = vec![0usize];
        for (i, run) in runs.iter().enumerate() {
            while start_of.len() <= run.course {
                start_of.push(i);
            }
        }
        start_of.push(runs.len());
        let in_course = |c: usize| match (start_of.get(c), start_of.get(c + 1)) {
            (Some(&a), Some(&b)) => a..b,
            _ => 0..0,
        };
        for room in &mut rooms {
            let c = room.course;
            let near = |d: usize| {
                let below = if c >= d { in_course(c - d) } else { 0..0 };
                below.chain(in_course(c + d)).collect()
            };
            room.next = near(1);
            room.second = near(2);
        }
        let slack = left_shapes
            .iter()
            .map(|l| right_shapes.iter().map(|r| slack(l, r)).collect())
            .collect();
        Self {
            width,
            per_width: 1.0 / width,
            tolerance,
            joint_distance: rules.joint_distance_in,
            second_distance: rules.second_joint_distance_in,
            runs: rooms,
            slack,
        }
    }

    /// For every run the range of runs within so many courses of it.
    pub(super) fn within(&self, courses: usize) -> Vec<(u32, u32)> {
        let (mut from, mut to) = (0, 0);
        self.runs
            .iter()
            .map(|run| {
                let far =
                    |other: usize| run.course.saturating_sub(courses) > self.runs[other].course;
                while far(from) {
                    from += 1;
                }
                let last = run.course.saturating_add(courses);
                while to < self.runs.len() && self.runs[to].course <= last {
                    to += 1;
                }
                (from as u32, to as u32)
            })
            .collect()
    }

    /// The last joint.
    pub(super) fn last(&self, first: f64, whole: usize) -> f64 {
        first + whole as f64 * self.width
    }

    /// Length of the opening piece, as far as it reaches; `None` where the run has none that a closing piece could
    /// share a shingle with.
    pub(super) fn opening(&self, run: usize, seat: Seat) -> Option<f64> {
        let room = &self.runs[run];
        match seat {
            Seat::Joints { first, .. } => Some(first - room.left_reach),
            Seat::Single { as_closing: false } => Some(room.right_reach - room.left_reach),
            Seat::Single { as_closing: true } => None,
        }
    }

    /// Length of the closing piece.
    pub(super) fn closing(&self, run: usize, seat: Seat) -> Option<f64> {
        let room = &self.runs[run];
        match seat {
            Seat::Joints { first, whole } => Some(room.right_reach - self.last(first, whole)),
            Seat::Single { as_closing: true } => Some(room.right_reach - room.left_reach),
            Seat::Single { as_closing: false } => None,
        }
    }

    /// Whether the opening piece of one run and the closing piece of another come out of one shingle.
    pub(super) fn share(&self, opening: (usize, f64), closing: (usize, f64)) -> bool {
        let slack = self.slack[self.runs[opening.0].left_shape][self.runs[closing.0].right_shape];
        opening.1 + closing.1 + slack <= self.width + self.tolerance
    }

    /// The seat whose joints lie at a phase, if the run allows it.
    pub(super) fn seat_at(&self, run: usize, phase: f64) -> Option<Seat> {
        self.runs[run].ranges.iter().find_map(|r| {
            let k = ceiling((r.low - phase - self.tolerance) * self.per_width);
            let first = phase + k * self.width;
            (first <= r.high + self.tolerance).then_some(Seat::Joints {
                first,
                whole: r.whole,
            })
        })
    }

    /// Whether two seats' joints keep a distance from each other everywhere.
    pub(super) fn apart(&self, a: Seat, b: Seat, distance: f64) -> bool {
        let (
            Seat::Joints {
                first: fa,
                whole: na,
            },
            Seat::Joints {
                first: fb,
                whole: nb,
            },
        ) = (a, b)
        else {
            return true;
        };
        // Joints of b lie at fb + jW, those of a at fa + iW: the gap is (fb − fa) + (j − i)W.
        let gap = fb - fa;
        let below = ceiling(-gap * self.per_width) - 1.0;
        // The two multiples on either side of the gap are the nearest; where the runs are too short for one of
        // them, the others are farther away still.
        [below, below + 1.0].iter().all(|&k| {
            // j − i = k for some i in 0..=na, j in 0..=nb.
            k < -(na as f64)
                || k > nb as f64
                || (gap + k * self.width).abs() >= distance - self.tolerance
        })
    }

    /// The least distance between any joints of two seats, if both have joints.
    pub(super) fn distance(&self, a: Seat, b: Seat) -> Option<f64> {
        let (
            Seat::Joints {
                first: fa,
                whole: na,
            },
            Seat::Joints {
                first: fb,
                whole: nb,
            },
        ) = (a, b)
        else {
            return None;
        };
        let gap = fb - fa;
        let (low, high) = (-(na as f64), nb as f64);
        let nearest = (-gap / self.width).round();
        [nearest - 1.0, nearest, nearest + 1.0]
            .iter()
            .map(|k| (gap + k.clamp(low, high) * self.width).abs())
            .reduce(f64::min)
    }

    /// Whether a seat keeps its distances from the seats of the neighbouring courses that are set.
    pub(super) fn agrees(&self, run: usize, seat: Seat, seats: &[Option<Seat>]) -> bool {
        let room = &self.runs[run];
        let keeps = |near: &[usize], distance: f64| {
            near.iter()
                .all(|&j| seats[j].is_none_or(|other| self.apart(seat, other, distance)))
        };
        keeps(&room.next, self.joint_distance) && keeps(&room.second, self.second_distance)
    }

    /// The first place that a run allows, whatever its neighbours do.
    pub(super) fn any_seat(&self, run: usize) -> Seat {
        let first = self.runs[run].ranges.first();
        first.map_or(Seat::Single { as_closing: false }, |r| Seat::Joints {
            first: r.low,
            whole: r.whole,
        })
    }

    /// What had to be relaxed so that every run can be laid.
    pub(super) fn findings(&self, rules: &LayRules) -> Vec<Finding> {
        let courses = |wanted: &dyn Fn(&RunRoom) -> bool| {
            let mut list: Vec<String> = self
                .runs
                .iter()
                .filter(|r| wanted(r))
                .map(|r| (r.course + 1).to_string())
                .collect();
            list.dedup();
            list.join(", ")
        };
        let mut found = Vec::new();
        let least = self
            .runs
            .iter()
            .filter_map(|r| r.relaxed_piece)
            .reduce(f64::min);
        if let Some(least) = least {
            found.push(Finding::warning(
                "end-pieces-short",
                format!(
                    "course {} leaves no place for end pieces {} in long, so pieces down to {least} in are laid there",
                    courses(&|r| r.relaxed_piece.is_some()),
                    rules.least_piece_in
                ),
            ));
        }
        if self.runs.iter().any(|r| r.relaxed_clear) {
            found.push(
                Finding::warning(
                    "joint-near-valley",
                    format!(
                        "course {} is too short to keep its joints {} in from the valley's centre line",
                        courses(&|r| r.relaxed_clear),
                        rules.valley_joint_clear_in
                    ),
                )
                .remedy("run the other side through the valley"),
            );
        }
        let uncovered = courses(&|r| r.leans);
        if !uncovered.is_empty() {
            found.push(
                Finding::warning(
                    "run-leans",
                    format!(
                        "an end of course {uncovered} leans by more than a shingle; whole shingles were counted over all of its reach, to be trimmed to the line"
                    ),
                )
                .remedy("check the face's outline"),
            );
        }
        found
    }

    /// Pieces that the seat asks for, whole and cut.
    pub(super) fn pieces(seat: Seat) -> usize {
        match seat {
            Seat::Joints { whole, .. } => whole + 2,
            Seat::Single { .. } => 1,
        }
    }
}

/// The least whole number that is not less: without the call that `f64::ceil` is on plain x86-64, which the search
/// would spend half of its time in.
fn ceiling(x: f64) -> f64 {
    let cut = x as i64 as f64;
    if cut < x { cut + 1.0 } else { cut }
}

fn room(run: &Run, width: f64, rules: &LayRules, tolerance: f64) -> RunRoom {
    let left_reach = run.left.reach();
    let right_reach = -run.right.reach();
    let single = right_reach - left_reach <= width + tolerance;
    let mut room = RunRoom {
        course: run.course,
        left_reach,
        right_reach,
        ranges: Vec::new(),
        single,
        left_shape: 0,
        right_shape: 0,
        next: Vec::new(),
        second: Vec::new(),
        relaxed_piece: None,
        relaxed_clear: false,
        leans: false,
    };
    for clear in [true, false] {
        for part in [1.0, 0.75, 0.5, 0.25, 0.0] {
            let least_piece = rules.least_piece_in * part;
            room.ranges = ranges(run, width, least_piece, clear, tolerance);
            if !room.ranges.is_empty() || single {
                room.relaxed_piece = (part < 1.0).then_some(least_piece);
                room.relaxed_clear = !clear;
                return room;
            }
        }
    }
    // An end leans by more than a shingle within one course, and no joint keeps the end pieces within a shingle. The
    // crew lays whole shingles from the left and trims them to the line: as many as its whole reach takes.
    let first = left_reach + width;
    room.ranges = vec![Range {
        low: first,
        high: first,
        whole: (((right_reach - left_reach - tolerance) / width).ceil() - 2.0).max(0.0) as usize,
    }];
    room.leans = true;
    room
}

/// Where the first joint may lie: the opening piece no longer than a shingle and no shorter than the least piece,
/// the same at the right end, no joint in a keep-out.
fn ranges(run: &Run, width: f64, least_piece: f64, clear: bool, tolerance: f64) -> Vec<Range> {
    // Mid exposure of a whole and of a shortened course: the stricter of the two.
    let middles = [run.strip / 2.0, run.exposure / 2.0];
    let nearest = |end: &End| {
        let piece = middles
            .iter()
            .map(|&h| end.innermost_at(h) + least_piece)
            .fold(f64::NEG_INFINITY, f64::max);
        let keep_out = end.least_joint.filter(|_| clear);
        piece
            .max(keep_out.unwrap_or(f64::NEG_INFINITY))
            .max(end.reach())
    };
    let first_low = nearest(&run.left);
    let first_high = run.left.reach() + width;
    let last_high = -nearest(&run.right);
    let last_low = -(run.right.reach() + width);
    let mut found = Vec::new();
    // Most whole shingles first: the first joint farthest to the left.
    let most = ((last_high - first_low + tolerance) / width).floor();
    let mut n = most;
    while n >= 0.0 {
        let low = first_low.max(last_low - n * width);
        let high = first_high.min(last_high - n * width);
        if low > first_high + tolerance {
            break;
        }
        if high >= low - tolerance {
            found.push(Range {
                low,
                high: high.max(low),
                whole: n as usize,
            });
        }
        n -= 1.0;
    }
    found
}

/// The outline of an end measured from its reach, as (h, how far it stays back ≤ 0), shared where equal.
fn shape_of(end: &End, shapes: &mut Vec<Vec<(f64, f64)>>, tolerance: f64) -> usize {
    let reach = end.reach();
    let shape: Vec<(f64, f64)> = end.outer.iter().map(|&(h, s)| (h, reach - s)).collect();
    let same = |other: &Vec<(f64, f64)>| {
        other.len() == shape.len()
            && other
                .iter()
                .zip(&shape)
                .all(|(a, b)| (a.0 - b.0).abs() <= tolerance && (a.1 - b.1).abs() <= tolerance)
    };
    if let Some(at) = shapes.iter().position(same) {
        return at;
    }
    shapes.push(shape);
    shapes.len() - 1
}

/// The largest sum of two outlines at any height that both pieces have.
fn slack(left: &[(f64, f64)], right: &[(f64, f64)]) -> f64 {
    let top = |s: &[(f64, f64)]| s.last().map_or(0.0, |p| p.0);
    let common = top(left).min(top(right));
    // Beyond the lower of the two tops only one piece is there, and no piece is wider than a shingle.
    left.iter()
        .chain(right)
        .map(|p| p.0)
        .filter(|&h| h <= common)
        .chain([common])
        .map(|h| outermost(left, h) + outermost(right, h))
        .fold(f64::NEG_INFINITY, f64::max)
        .min(0.0)
}

fn outermost(shape: &[(f64, f64)], h: f64) -> f64 {
    let mut best = f64::NEG_INFINITY;
    for pair in shape.windows(2) {
        let ((h0, d0), (h1, d1)) = (pair[0], pair[1]);
        if h < h0 || h > h1 {
            continue;
        }
        best = best.max(if h1 - h0 <= 0.0 {
            d0.max(d1)
        } else {
            d0 + (d1 - d0) * (h - h0) / (h1 - h0)
        });
    }
    if best.is_finite() { best } else { 0.0 }
}
