//! Where the joint rules leave runs no place. First their end pieces may be shorter: a short piece is poor work, a joint over
//! a joint leaks. What has no place then either lies as far from the joints around it as it can.

use super::candidates::Seats;
use super::problem::{Problem, Seat};
use super::runs::Run;

/// End pieces are let go down to such parts of the rule's, one after another, but to no less than this, in inches. Our own
/// choice: 1 in of the usual 4 still lies under a nail.
const PARTS: [f64; 3] = [0.75, 0.5, 0.25];
const SHORTEST_IN: f64 = 1.0;
/// Runs whose joints lie too near are moved so many times at most, each as far off as it goes.
const SWEEPS: usize = 8;

/// Lets the end pieces of runs without a place be shorter, then those of the runs around them too, until a layout of all
/// runs is found, or end pieces are as short as may be. `lay` gives the seats under what is allowed so far.
pub(super) fn eased(
    problem: &mut Problem,
    runs: &[Run],
    least_piece_in: f64,
    mut seats: Seats,
    lay: impl Fn(&Problem) -> Seats,
) {
    for part in PARTS {
        let least_in = (least_piece_in * part).max(SHORTEST_IN.min(least_piece_in));
        for with_those_around in [false, true] {
            let gaps: Vec<usize> = (0..seats.len())
                .filter(|&run| seats[run].is_none())
                .collect();
            if gaps.is_empty() {
                return;
            }
            for run in gaps {
                problem.ease(runs, run, least_in);
                if with_those_around {
                    for (other, _) in problem.around(run).collect::<Vec<_>>() {
                        problem.ease(runs, other, least_in);
                    }
                }
            }
            seats = lay(problem);
        }
    }
}

/// All seats of a layout that may have gaps: a run without a place lies as far from the joints around as it can, and so does
/// then every run that is too near to one.
pub(super) fn filled(problem: &Problem, seats: &[Option<Seat>]) -> Vec<Seat> {
    let mut seats = seats.to_vec();
    for run in 0..seats.len() {
        if seats[run].is_none() {
            seats[run] = Some(farthest(problem, run, &seats));
        }
    }
    for _ in 0..SWEEPS {
        let mut is_moved = false;
        for run in 0..seats.len() {
            let Some(seat) = seats[run] else { continue };
            let now = kept(problem, run, seat, &seats);
            if now >= 1.0 {
                continue;
            }
            let other = farthest(problem, run, &seats);
            if kept(problem, run, other, &seats) > now + problem.tolerance {
                seats[run] = Some(other);
                is_moved = true;
            }
        }
        if !is_moved {
            break;
        }
    }
    seats.into_iter().flatten().collect()
}

/// The part of the distance asked that a seat keeps from the joints around, where it keeps least: 1 where it keeps all.
fn kept(problem: &Problem, run: usize, seat: Seat, seats: &[Option<Seat>]) -> f64 {
    let parts = problem.around(run).flat_map(|(other, clear)| {
        let gaps = |there| problem.gaps(seat, there, clear);
        seats[other].map_or([None; 2], gaps)
    });
    let parts = parts
        .flatten()
        .filter(|&(distance, asked)| distance < asked - problem.tolerance);
    parts
        .map(|(distance, asked)| distance / asked)
        .fold(1.0, f64::min)
}

/// The seat that keeps most. Where a run may lie anywhere, that is between two joints around it, parted as the distances
/// asked from them are; else an end of what it is allowed.
fn farthest(problem: &Problem, run: usize, seats: &[Option<Seat>]) -> Seat {
    let around: Vec<(f64, f64)> = problem
        .around(run)
        .flat_map(|(other, clear)| {
            let first = match seats[other] {
                Some(Seat::Joints { first, .. }) => Some(first),
                _ => None,
            };
            let marks = move |first| {
                let marks = clear.marks(problem.width);
                marks.map(move |(at, asked)| (first + at, asked))
            };
            first.into_iter().flat_map(marks)
        })
        .collect();
    let ends = problem.runs[run].ranges.iter();
    let ends = ends.flat_map(|range| [range.low, range.high]);
    let between = around.iter().flat_map(|&(left, from_left)| {
        let rights = around.iter();
        rights.map(move |&(right, from_right)| {
            let gap = problem.once_round(right - left);
            // From a joint to the same one it is once round the shingle.
            let gap = if gap > problem.tolerance {
                gap
            } else {
                problem.width
            };
            left + gap * from_left / (from_left + from_right).max(problem.tolerance)
        })
    });
    let places = ends
        .chain(between)
        .filter_map(|phase| problem.seat_at(run, phase));
    let single = problem.runs[run]
        .single
        .then_some(Seat::Single { as_closing: false });
    let mut best: Option<(f64, Seat)> = None;
    for seat in places.chain(single) {
        let keeps = kept(problem, run, seat, seats);
        if best.is_none_or(|(most, _)| keeps > most) {
            best = Some((keeps, seat));
        }
    }
    best.map_or_else(|| problem.any_seat(run), |(_, seat)| seat)
}
