//! Layouts made by a simple instruction: one repeated step, or every course opened with what a course below left.

use super::problem::{Problem, Seat};

/// Seats for every run, where the rules allowed one.
pub(super) type Seats = Vec<Option<Seat>>;

/// Seats of a layout that may have gaps, if it has none.
pub(super) fn complete(seats: Seats) -> Option<Vec<Seat>> {
    seats.into_iter().collect()
}

/// Lays every course one step to the left of the course below, from a first joint at `origin`; where the rules
/// forbid that, at the nearest place of the grid that they allow. `None` where a run has none.
pub(super) fn stepped(problem: &Problem, origin: f64, step: f64, grid: f64) -> Option<Vec<Seat>> {
    let mut seats: Seats = vec![None; problem.runs.len()];
    for i in 0..problem.runs.len() {
        seats[i] = Some(at_step(problem, i, (origin, step), grid, &seats)?);
    }
    complete(seats)
}

/// The place nearest to where a run would lie in steps from a first joint at the origin.
fn at_step(
    problem: &Problem,
    run: usize,
    (origin, step): (f64, f64),
    grid: f64,
    seats: &[Option<Seat>],
) -> Option<Seat> {
    let target = origin - problem.runs[run].course as f64 * step;
    nearest(problem, run, target, grid, seats)
}

/// The seat nearest to a phase that agrees with the seats set so far.
pub(super) fn nearest(
    problem: &Problem,
    run: usize,
    target: f64,
    grid: f64,
    seats: &[Option<Seat>],
) -> Option<Seat> {
    let room = &problem.runs[run];
    if room.single && room.ranges.is_empty() {
        return Some(Seat::Single { as_closing: false });
    }
    let steps = (problem.width / grid / 2.0).ceil() as i64;
    let on_grid = (0..=steps)
        .flat_map(|k| [-k, k])
        .filter_map(|k| problem.seat_at(run, target + k as f64 * grid))
        .find(|&seat| problem.agrees(run, seat, seats));
    on_grid
        .or_else(|| off_grid(problem, run, target, seats))
        .or_else(|| room.single.then_some(Seat::Single { as_closing: false }))
}

/// Where the grid has no place: the ends of the allowed stretches between the joints of the neighbours.
fn off_grid(problem: &Problem, run: usize, target: f64, seats: &[Option<Seat>]) -> Option<Seat> {
    let room = &problem.runs[run];
    let mut phases: Vec<f64> = room.ranges.iter().flat_map(|r| [r.low, r.high]).collect();
    for (near, clear) in [(&room.next, problem.next), (&room.second, problem.second)] {
        for &j in near {
            if let Some(Seat::Joints { first, .. }) = seats[j] {
                let offs = [-1.0, 1.0].map(|side| clear.offs(side, problem.width));
                phases.extend(offs.into_iter().flatten().map(|off| first + off));
            }
        }
    }
    let away = |seat: &Seat| match seat {
        Seat::Joints { first, .. } => {
            let gap = (first - target).rem_euclid(problem.width);
            gap.min(problem.width - gap)
        }
        Seat::Single { .. } => problem.width,
    };
    phases
        .into_iter()
        .filter_map(|phase| problem.seat_at(run, phase))
        .filter(|&seat| problem.agrees(run, seat, seats))
        .min_by(|a, b| away(a).total_cmp(&away(b)))
}

/// Opens every course with what the right end of the course `lag` below leaves of its last shingle; the first `lag`
/// courses go in repeated steps.
pub(super) fn run_on(problem: &Problem, lag: usize, step: f64, grid: f64) -> Seats {
    let mut seats: Seats = vec![None; problem.runs.len()];
    for i in 0..problem.runs.len() {
        let room = &problem.runs[i];
        let left_by = problem.runs[..i]
            .iter()
            .rposition(|below| below.course + lag == room.course);
        let target = match left_by.and_then(|j| problem.closing(j, seats[j]?)) {
            Some(closing) => room.left_reach + problem.width - closing,
            None => room.left_reach + problem.width - room.course as f64 * step,
        };
        seats[i] = nearest(problem, i, target, grid, &seats);
        if seats[i].is_none() {
            break;
        }
    }
    seats
}

/// The layout as it is usually made: the first course opened with a whole shingle, every course one step shorter. Runs
/// that the rules leave no place in are left out.
pub(super) fn nominal(problem: &Problem, step: f64, grid: f64) -> Seats {
    let origin = problem
        .runs
        .first()
        .map_or(0.0, |r| r.left_reach + problem.width);
    let mut seats: Seats = vec![None; problem.runs.len()];
    for i in 0..problem.runs.len() {
        seats[i] = at_step(problem, i, (origin, step), grid, &seats);
    }
    seats
}
