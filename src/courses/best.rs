//! The best layout found: simple layouts counted first, the most promising of them improved.

use super::candidates::{Seats, run_on, stepped};
use super::problem::{Problem, Seat};
use super::search::{Limits, Score, improve, quick_score};
use super::threshold::Lengths;

/// How much work to put in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Effort {
    /// Layouts that are improved.
    pub(super) starts: usize,
    /// Moves tried on each.
    pub(super) moves: usize,
}

/// The best seats found; stops at the bound.
pub(super) fn best(
    problem: &Problem,
    grid: f64,
    bound: usize,
    wait: usize,
    effort: Effort,
) -> Option<Vec<Seat>> {
    let mut lengths = Lengths::new(problem);
    let mut ranked: Vec<(Score, Vec<Seat>)> = Vec::new();
    for seats in candidates(problem, grid) {
        let score = quick_score(problem, &mut lengths, &seats);
        let at = ranked.partition_point(|(s, _)| *s <= score);
        if at >= effort.starts || (at > 0 && ranked[at - 1].0 == score) {
            continue;
        }
        ranked.insert(at, (score, seats));
        ranked.truncate(effort.starts);
    }
    let mut best: Option<(usize, Vec<Seat>)> = None;
    for (seed, (_, mut seats)) in ranked.into_iter().enumerate() {
        let limits = Limits {
            moves: effort.moves,
            bound,
            wait,
            grid,
            seed: seed as u64,
        };
        let opened = improve(problem, &mut seats, limits);
        if best.as_ref().is_none_or(|(o, _)| opened < *o) {
            best = Some((opened, seats));
        }
        if opened <= bound {
            break;
        }
    }
    best.map(|(_, seats)| seats)
}

/// Every step and origin on the grid, and run-on layouts; only those that the rules allow as a whole.
fn candidates(problem: &Problem, grid: f64) -> impl Iterator<Item = Vec<Seat>> + '_ {
    let width = problem.width;
    let cells = (width / grid).round().max(1.0) as usize;
    let start = problem.runs.first().map_or(0.0, |r| r.left_reach);
    let least = (problem.joint_distance / grid - 1e-6).ceil().max(1.0) as usize;
    let steps = least..=cells.saturating_sub(least);
    let stepped = steps.clone().flat_map(move |step| {
        (0..cells).map(move |origin| {
            stepped(
                problem,
                start + origin as f64 * grid,
                step as f64 * grid,
                grid,
            )
        })
    });
    let run_on = (1..=6).flat_map(move |lag| {
        steps
            .clone()
            .map(move |step| run_on(problem, lag, step as f64 * grid, grid))
    });
    stepped.chain(run_on).filter_map(complete)
}

fn complete(seats: Seats) -> Option<Vec<Seat>> {
    seats.into_iter().collect()
}
