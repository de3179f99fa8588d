//! Counts of a finished layout: cuts, short pieces, waiting offcuts, joint distances.

use super::CloseJoints;
use super::ends::SQUARE_WITHIN_IN;
use super::matching::Shared;
use super::problem::{Problem, Seat};
use super::recut::Cutting;
use super::room::innermost_at_middle;
use super::runs::Run;

/// Cuts made: one for every end piece that is not a whole shingle (two for a run of one piece that is cut at both
/// ends), but one for both pieces of a shingle that are parted by a single straight cut and use all of it; one more for
/// a piece cut again, at its end towards the field.
pub(super) fn cuts(problem: &Problem, runs: &[Run], seats: &[Seat], cutting: &Cutting) -> usize {
    let all: usize = runs
        .iter()
        .enumerate()
        .map(|(i, run)| match seats[i] {
            Seat::Joints { .. } => {
                let opening = problem.opening(i, seats[i]).unwrap_or(0.0);
                let closing = problem.closing(i, seats[i]).unwrap_or(0.0);
                usize::from(is_cut(problem, opening, run.left.is_square()))
                    + usize::from(is_cut(problem, closing, run.right.is_square()))
            }
            Seat::Single { .. } => {
                let wide = problem.runs[i].right_reach - problem.runs[i].left_reach;
                let square = run.left.is_square() && run.right.is_square();
                if square {
                    usize::from(is_cut(problem, wide, true))
                } else {
                    usize::from(!run.left.is_square()) + usize::from(!run.right.is_square())
                }
            }
        })
        .sum();
    let at_one_stroke = cutting
        .pairs
        .iter()
        .filter(|p| uses_all(problem, runs, seats, p))
        .count();
    all - at_one_stroke.min(all) + cutting.recuts.len()
}

fn is_cut(problem: &Problem, length: f64, square: bool) -> bool {
    !square || length < problem.width - problem.tolerance
}

/// Whether one cut parts the shingle and leaves nothing over: the two outlines lie on each other all the way up.
fn uses_all(problem: &Problem, runs: &[Run], seats: &[Seat], pair: &Shared) -> bool {
    let (o, c) = (pair.opening_run, pair.closing_run);
    let (Some(x), Some(y)) = (problem.opening(o, seats[o]), problem.closing(c, seats[c])) else {
        return false;
    };
    if matches!(seats[o], Seat::Single { .. }) || matches!(seats[c], Seat::Single { .. }) {
        return false;
    }
    let (left, right) = (&runs[o].left, &runs[c].right);
    left.outer.iter().chain(&right.outer).all(|&(h, _)| {
        let wide = x - (left.outer_at(h) - left.reach()) + y - (right.outer_at(h) - right.reach());
        (wide - problem.width).abs() <= SQUARE_WITHIN_IN
    })
}

/// End pieces shorter than a length at mid exposure.
pub(super) fn pieces_under(runs: &[Run], problem: &Problem, seats: &[Seat], length: f64) -> usize {
    runs.iter()
        .zip(seats)
        .map(|(run, &seat)| {
            let Seat::Joints { first, whole } = seat else {
                return 0;
            };
            let h = run.strip / 2.0;
            let opening = first - run.left.innermost_at(h);
            let closing = -run.right.innermost_at(h) - problem.last(first, whole);
            [opening, closing]
                .iter()
                .filter(|&&l| l < length - problem.tolerance)
                .count()
        })
        .sum()
}

/// The most offcuts waiting at one time, and the longest wait in courses.
pub(super) fn waiting(problem: &Problem, cutting: &Cutting) -> (usize, usize) {
    let mut change = vec![0i64; problem.runs.last().map_or(0, |r| r.course) + 2];
    let mut longest = 0;
    let pairs = cutting.pairs.iter().map(|p| (p.closing_run, p.opening_run));
    let again = cutting.recuts.iter().map(|r| (r.of.run, r.piece.run));
    for (one, other) in pairs.chain(again) {
        let a = problem.runs[one].course;
        let b = problem.runs[other].course;
        change[a.min(b)] += 1;
        change[a.max(b)] -= 1;
        longest = longest.max(a.abs_diff(b));
    }
    let mut pile = 0;
    let mut largest = 0;
    for step in change {
        pile += step;
        largest = largest.max(pile);
    }
    (largest.max(0) as usize, longest)
}

/// The shorter end piece of a run at mid exposure; `None` for a run of one piece.
pub(super) fn shorter_end_piece(problem: &Problem, run: &Run, seat: Seat) -> Option<f64> {
    let Seat::Joints { first, whole } = seat else {
        return None;
    };
    let opening = first - innermost_at_middle(run, &run.left);
    let closing = -innermost_at_middle(run, &run.right) - problem.last(first, whole);
    Some(opening.min(closing))
}

/// Where joints come nearer to those of the next course than the rules ask, then to those of the next but one; then where
/// cutouts do that lie between joints.
pub(super) fn close_joints(problem: &Problem, seats: &[Seat]) -> Vec<CloseJoints> {
    let mut by_rule: [Option<CloseJoints>; 3] = [None, None, None];
    for run in 0..seats.len() {
        for (other, clear) in problem.around(run).filter(|(other, _)| *other > run) {
            let (here, there) = (seats[run], seats[other]);
            let is_close = |&(gap, asked): &(f64, f64)| gap < asked - problem.tolerance;
            let [joints, cutouts] = problem.gaps(here, there, clear);
            let of_joints = joints.filter(is_close);
            let is_of_cutouts = of_joints.is_none();
            let Some((distance_in, asked_in)) = of_joints.or(cutouts.filter(is_close)) else {
                continue;
            };
            let pair = (problem.runs[run].course, problem.runs[other].course);
            let rule = match is_of_cutouts {
                true => 2,
                false => usize::from(pair.1 - pair.0 > 1),
            };
            let close = by_rule[rule].get_or_insert(CloseJoints {
                is_of_cutouts,
                courses: Vec::new(),
                nearest: pair,
                distance_in,
                asked_in,
            });
            close.courses.extend([pair.0, pair.1]);
            if distance_in < close.distance_in {
                (close.nearest, close.distance_in) = (pair, distance_in);
            }
        }
    }
    let mut all: Vec<CloseJoints> = by_rule.into_iter().flatten().collect();
    for close in &mut all {
        close.courses.sort_unstable();
        close.courses.dedup();
    }
    all
}

/// Courses, each once and in ascending order, in which a valley's keep-out for joints had to be given up.
pub(super) fn joints_near_valley(problem: &Problem) -> Vec<usize> {
    let near = problem.runs.iter().filter(|run| run.relaxed_clear);
    let mut courses: Vec<usize> = near.map(|run| run.course).collect();
    courses.dedup();
    courses
}

/// The least distance between joints of neighbouring courses.
pub(super) fn smallest_distance(problem: &Problem, seats: &[Seat]) -> Option<f64> {
    problem
        .runs
        .iter()
        .enumerate()
        .flat_map(|(i, room)| {
            room.next
                .iter()
                .filter(move |&&j| j > i)
                .filter_map(move |&j| problem.distance(seats[i], seats[j]))
        })
        .reduce(f64::min)
}
