//! A finished layout as the later stages read it: counts, runs, pairs, and every piece as a polygon.

use crate::Finding;
use crate::geometry::Point;

use super::face::CourseFace;
use super::problem::{Problem, Seat};
use super::recut::{Cutting, EndOfRun, Recut};
use super::runs::{Ladder, Run};
use super::{
    CloseJoints, FaceLayout, LayRules, RunLayout, ShingleFormat, StartCorner, StepOption, profile,
    tally,
};

/// What the steps of the layout made.
pub(super) struct Laid<'a> {
    pub(super) face: &'a CourseFace,
    pub(super) rules: &'a LayRules,
    pub(super) format: &'a ShingleFormat,
    pub(super) ladder: Ladder,
    pub(super) runs: &'a [Run],
    pub(super) problem: &'a Problem,
    pub(super) seats: &'a [Seat],
    pub(super) cutting: &'a Cutting,
    pub(super) bound: usize,
    /// Pieces of the layout in one repeated step, where the rules allow it.
    pub(super) usual_pieces: Option<usize>,
    pub(super) steps: Vec<StepOption>,
    pub(super) close_joints: Vec<CloseJoints>,
    pub(super) findings: Vec<Finding>,
}

/// The distance between the places that joints are tried at: the part of the width nearest to a fortieth that is a
/// whole number of sixteenths of an inch (of millimetres for metric shingles), so that starts are tape numbers; a
/// fortieth where no part is. 39⅜ in gives ¹⁵⁄₁₆ in, a forty-second part.
pub(super) fn grid_of(format: &ShingleFormat) -> f64 {
    let unit = if format.metric {
        1.0 / 25.4
    } else {
        1.0 / 16.0
    };
    let off = |parts: &u32| parts.abs_diff(40);
    let on_tape = |parts: &u32| {
        let units = format.width_in / f64::from(*parts) / unit;
        (units - units.round()).abs() < 1e-6
    };
    let parts = (34..=50).filter(on_tape).min_by_key(off).unwrap_or(40);
    format.width_in / f64::from(parts)
}

pub(super) fn assemble(laid: Laid<'_>) -> FaceLayout {
    let Laid {
        problem,
        runs,
        seats,
        cutting,
        rules,
        ..
    } = laid;
    let pieces_laid = Problem::pieces_of(seats);
    let opened = pieces_laid - cutting.spared();
    let (largest_pile, longest_wait_courses) = tally::waiting(problem, cutting);
    FaceLayout {
        face: laid.face.face,
        net_area_sqin: laid.face.net_area_sqin(),
        courses: laid.ladder.courses,
        runs: runs
            .iter()
            .zip(seats)
            .map(|(run, &seat)| run_layout(run, seat, problem.width))
            .collect(),
        pairs: cutting
            .pairs
            .iter()
            .map(|p| (p.closing_run, p.opening_run))
            .collect(),
        cut_again: cutting.recuts.iter().map(CutAgain::from).collect(),
        opened,
        // This layout can be laid without reuse, too.
        opened_without_reuse: laid
            .usual_pieces
            .map_or(pieces_laid, |n| n.min(pieces_laid)),
        bound: laid.bound,
        pieces_laid,
        cuts: tally::cuts(problem, runs, seats, cutting),
        offcuts_reused: cutting.spared(),
        short_pieces: tally::pieces_under(runs, problem, seats, 2.0 * rules.least_piece_in),
        smallest_joint_distance_in: tally::smallest_distance(problem, seats),
        close_joints: laid.close_joints,
        joints_near_valley: tally::joints_near_valley(problem),
        ridge_remainder_in: laid.ladder.remainder,
        cap_covers_remainder: laid.ladder.skipped,
        largest_pile,
        longest_wait_courses,
        width_in: laid.format.width_in,
        exposure_in: laid.format.exposure_in,
        start: StartCorner::Left,
        steps: laid.steps,
        findings: laid.findings,
    }
}

fn run_layout(run: &Run, seat: Seat, width: f64) -> RunLayout {
    let joints_in = match seat {
        Seat::Joints { first, whole } => (0..=whole).map(|i| first + i as f64 * width).collect(),
        Seat::Single { .. } => Vec::new(),
    };
    RunLayout {
        course: run.course,
        butt_in: (run.left.outer_at(0.0), -run.right.outer_at(0.0)),
        top_in: (run.left.outer_at(run.strip), -run.right.outer_at(run.strip)),
        butt_height_in: run.butt_v,
        joints_in,
        strip_in: run.strip,
        left_line_in: run.left.outer.clone(),
        right_line_in: run.right.outer.iter().map(|&(h, s)| (h, -s)).collect(),
    }
}

/// One end of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RunEnd {
    /// The left end, with its opening piece.
    Opening,
    /// The right end, with its closing piece.
    Closing,
}

/// A piece cut from what other pieces leave of their shingle, square-cut towards the field. Runs are indices into
/// [`FaceLayout::runs`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutAgain {
    /// A piece of the shingle that it comes out of.
    pub of: (usize, RunEnd),
    /// The piece.
    pub piece: (usize, RunEnd),
}

impl From<&Recut> for CutAgain {
    fn from(recut: &Recut) -> Self {
        let end = |e: EndOfRun| match e.opens {
            true => (e.run, RunEnd::Opening),
            false => (e.run, RunEnd::Closing),
        };
        Self {
            of: end(recut.of),
            piece: end(recut.piece),
        }
    }
}

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PieceKind {
    /// A whole shingle in the field.
    Whole,
    /// The left end of a run: it keeps the factory right end.
    Opening,
    /// The right end of a run: it keeps the factory left end.
    Closing,
    /// A run of one piece.
    Single,
}

/// One piece as it shows: its part of the exposed strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Course, from 0 at the eave.
    pub course: usize,
    /// Index into [`FaceLayout::runs`].
    pub run: usize,
    /// What it is.
    pub kind: PieceKind,
    /// The exposed outline in (u, v), inches, counter-clockwise, cut to the end lines, overhang and laps included.
    pub polygon: Vec<Point>,
    /// Where it shares a shingle, the number of that shingle: an index into [`FaceLayout::pairs`], or beyond them for
    /// shingles that only pieces cut again come out of.
    pub pair: Option<usize>,
}

impl FaceLayout {
    /// Every piece as it shows, course by course from left to right.
    pub fn pieces(&self) -> Vec<Piece> {
        let (opening_pair, closing_pair) = self.shingle_numbers();
        let mut pieces = Vec::new();
        for (index, run) in self.runs.iter().enumerate() {
            let last = run.joints_in.len();
            for i in 0..=last {
                let (kind, pair) = match (i == 0, i == last) {
                    (true, true) => (
                        PieceKind::Single,
                        opening_pair[index].or(closing_pair[index]),
                    ),
                    (true, false) => (PieceKind::Opening, opening_pair[index]),
                    (false, true) => (PieceKind::Closing, closing_pair[index]),
                    (false, false) => (PieceKind::Whole, None),
                };
                let left = i.checked_sub(1).map(|j| run.joints_in[j]);
                pieces.push(Piece {
                    course: run.course,
                    run: index,
                    kind,
                    polygon: run.exposed(left, run.joints_in.get(i).copied()),
                    pair,
                });
            }
        }
        pieces
    }

    /// For every piece laid out of an offcut two runs: that of another piece of its shingle, and its own.
    pub(crate) fn laid_of_offcuts(&self) -> impl Iterator<Item = (usize, usize)> {
        let again = self.cut_again.iter().map(|c| (c.of.0, c.piece.0));
        self.pairs.iter().copied().chain(again)
    }

    /// For every run the number of the shingle that its opening and its closing piece share with others.
    pub(crate) fn shingle_numbers(&self) -> (Vec<Option<usize>>, Vec<Option<usize>>) {
        let mut opening = vec![None; self.runs.len()];
        let mut closing = vec![None; self.runs.len()];
        for (i, &(c, o)) in self.pairs.iter().enumerate() {
            closing[c] = Some(i);
            opening[o] = Some(i);
        }
        let mut next = self.pairs.len();
        for again in &self.cut_again {
            let number = *match again.of {
                (run, RunEnd::Opening) => &mut opening[run],
                (run, RunEnd::Closing) => &mut closing[run],
            }
            .get_or_insert(next);
            match again.piece {
                (run, RunEnd::Opening) => opening[run] = Some(number),
                (run, RunEnd::Closing) => closing[run] = Some(number),
            }
            next = next.max(number + 1);
        }
        (opening, closing)
    }

    /// The same layout so many inches farther to the right.
    pub(super) fn moved(mut self, by_in: f64) -> Self {
        for run in &mut self.runs {
            run.move_by(by_in);
        }
        self
    }

    /// The numbers of the runs in the order of the mirror image: courses stay in order, within a course the runs change
    /// places.
    pub(super) fn mirror_order(&self) -> Vec<usize> {
        let n = self.runs.len();
        let mut order: Vec<usize> = (0..n).collect();
        order.sort_by_key(|&i| (self.runs[i].course, n - i));
        order
    }

    /// The same layout seen in a mirror, its start at the other corner.
    pub(super) fn mirrored(mut self) -> Self {
        let order = self.mirror_order();
        let mut place = vec![0; order.len()];
        for (to, &from) in order.iter().enumerate() {
            place[from] = to;
        }
        self.runs = order.iter().map(|&i| self.runs[i].mirrored()).collect();
        self.pairs = self
            .pairs
            .iter()
            .map(|&(closing, opening)| (place[opening], place[closing]))
            .collect();
        let flip = |(run, end): (usize, RunEnd)| match end {
            RunEnd::Opening => (place[run], RunEnd::Closing),
            RunEnd::Closing => (place[run], RunEnd::Opening),
        };
        for again in &mut self.cut_again {
            (again.of, again.piece) = (flip(again.of), flip(again.piece));
        }
        self.start = self.start.other();
        self
    }
}

impl RunLayout {
    fn move_by(&mut self, by_in: f64) {
        for end in [&mut self.butt_in, &mut self.top_in] {
            *end = (end.0 + by_in, end.1 + by_in);
        }
        for joint in &mut self.joints_in {
            *joint += by_in;
        }
        for line in [&mut self.left_line_in, &mut self.right_line_in] {
            for point in line {
                point.1 += by_in;
            }
        }
    }

    fn mirrored(&self) -> Self {
        let flip = |line: &[(f64, f64)]| line.iter().map(|&(h, u)| (h, -u)).collect();
        Self {
            course: self.course,
            butt_in: (-self.butt_in.1, -self.butt_in.0),
            top_in: (-self.top_in.1, -self.top_in.0),
            butt_height_in: self.butt_height_in,
            joints_in: self.joints_in.iter().rev().map(|j| -j).collect(),
            strip_in: self.strip_in,
            left_line_in: flip(&self.right_line_in),
            right_line_in: flip(&self.left_line_in),
        }
    }

    /// The exposed outline between two joints, or between a joint and an end; nothing of it where its ends have crossed, as
    /// where a side leans in below its foot.
    fn exposed(&self, left: Option<f64>, right: Option<f64>) -> Vec<Point> {
        let up = |joint: Option<f64>, line: &[(f64, f64)]| match joint {
            Some(u) => vec![(0.0, u), (self.strip_in, u)],
            None => clipped(line, self.strip_in),
        };
        let lines = (up(left, &self.left_line_in), up(right, &self.right_line_in));
        let (left, right) = uncrossed(lines);
        let on_face = |&(h, u): &(f64, f64)| Point::new(u, self.butt_height_in + h);
        let mut outline: Vec<Point> = right.iter().map(on_face).collect();
        outline.extend(left.iter().rev().map(on_face));
        outline.dedup();
        outline
    }
}

/// A line of (height above the butt, u).
type Line = Vec<(f64, f64)>;

/// Two lines of (height, u), from where the right one comes to lie to the right of the left one; as they are where it does
/// from the start, or never does.
fn uncrossed((left, right): (Line, Line)) -> (Line, Line) {
    // Of two points at one height the upper one.
    let along = |line: &Line, h: f64| profile::at(line, h, |_, upper| upper);
    let apart = |h: f64| along(&right, h) - along(&left, h);
    let mut heights: Vec<f64> = left.iter().chain(&right).map(|p| p.0).collect();
    heights.sort_by(f64::total_cmp);
    if heights.first().is_none_or(|h| apart(*h) >= 0.0) {
        return (left, right);
    }
    let meets = heights.windows(2).find_map(|two| {
        let (low, high) = (apart(two[0]), apart(two[1]));
        (low < 0.0 && high >= 0.0).then(|| two[0] + (two[1] - two[0]) * low / (low - high))
    });
    let Some(meets) = meets else {
        return (left, right);
    };
    let at = along(&left, meets);
    let from = |line: Line| {
        let above = line.into_iter().filter(|p| p.0 > meets);
        std::iter::once((meets, at)).chain(above).collect()
    };
    (from(left), from(right))
}

/// The part of a line of (height, u) up to a height.
fn clipped(line: &[(f64, f64)], top: f64) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for pair in line.windows(2) {
        let ((h0, u0), (h1, u1)) = (pair[0], pair[1]);
        if h0 > top {
            break;
        }
        if points.is_empty() {
            points.push((h0, u0));
        }
        if h1 <= top {
            points.push((h1, u1));
        } else {
            points.push((top, u0 + (u1 - u0) * (top - h0) / (h1 - h0)));
            break;
        }
    }
    points
}
