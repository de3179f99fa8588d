//! Where no repeated step keeps the rules on every course: the step that most courses can follow.

use super::candidates::stepped;
use super::matching::matching;
use super::problem::{Problem, Seat};
use super::search::quick_score;
use super::threshold::Lengths;

/// Steps tried: every so many inches, as a tape is read.
const STEP_IN: f64 = 0.5;
/// First joints tried for every step.
const ORIGIN_IN: f64 = 2.0;
/// A course out of step is worth so many shingles: what it costs a crew to measure a start of its own. Our own choice.
const DEPARTURE_SHINGLES: f64 = 0.5;
/// The most promising are counted with the time that offcuts may wait.
const COUNTED: usize = 16;

/// The seats of the layout in one step with the fewest shingles and departures together, and how many runs depart;
/// `None` where stepping finds no layout at all. A run for which the step has no place lies at the nearest one.
pub(super) fn nearest(problem: &Problem, wait: usize, grid: f64) -> Option<(Vec<Seat>, usize)> {
    let mut lengths = Lengths::new(problem);
    let start = problem.runs.first().map_or(0.0, |r| r.left_reach);
    let mut found: Vec<(f64, usize, Vec<Seat>)> = Vec::new();
    let places = |from: f64, to: f64, by: f64| {
        let n = ((to - from) / by).floor().max(0.0) as usize;
        (0..=n).map(move |i| from + i as f64 * by)
    };
    let first = (problem.next.joint / STEP_IN).ceil() * STEP_IN;
    for step in places(first, problem.width - problem.next.joint, STEP_IN) {
        for origin in places(0.0, problem.width - ORIGIN_IN, ORIGIN_IN) {
            let Some(seats) = stepped(problem, start + origin, step, grid) else {
                continue;
            };
            let departing = departures(problem, &seats, start + origin, step);
            let opened = quick_score(problem, &mut lengths, &seats).opened;
            found.push((cost(opened, departing), departing, seats));
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
        .into_iter()
        .take(COUNTED)
        .map(|(_, departing, seats)| {
            let opened = Problem::pieces_of(&seats) - matching(problem, &seats, wait).len();
            (cost(opened, departing), departing, seats)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, departing, seats)| (seats, departing))
}

fn cost(opened: usize, departing: usize) -> f64 {
    opened as f64 + DEPARTURE_SHINGLES * departing as f64
}

/// How many runs' joints do not lie where the step puts them.
pub(super) fn departures(problem: &Problem, seats: &[Seat], origin: f64, step: f64) -> usize {
    departing(problem, seats, origin, step).len()
}

/// Runs whose joints do not lie where the step puts them.
pub(super) fn departing(problem: &Problem, seats: &[Seat], origin: f64, step: f64) -> Vec<usize> {
    let departs = |run: &usize| {
        let Seat::Joints { first, .. } = seats[*run] else {
            return false;
        };
        let phase = origin - problem.runs[*run].course as f64 * step;
        let off = (first - phase).rem_euclid(problem.width);
        off.min(problem.width - off) > 10.0 * problem.tolerance
    };
    (0..seats.len()).filter(departs).collect()
}
