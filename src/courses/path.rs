//! A layout for faces where going up course by course, each at the place nearest to its step, runs into a course that
//! the joint rules leave no place in, as beside valleys that are run through: a shortest path over courses and places.

use std::collections::BTreeMap;

use super::problem::{Problem, Seat};

/// Beginnings of a layout that are kept for every run. With one run a course, 2,000 are all that differ in the two
/// courses that the next has to keep away from (a grid of 40 places makes 1,600): then the path is a shortest one. With
/// several runs a course the cheapest are kept.
const KEPT: usize = 2000;
/// What a whole shingle off its step costs, in pieces: far less than a piece, so that pieces are counted first.
const OFF_STEP: f64 = 0.05;

/// A beginning of a layout: the place of its last run, and the beginning that it goes on from.
#[derive(Clone, Copy)]
struct Label {
    cost: f64,
    seat: Seat,
    back: usize,
}

/// The seats that take the fewest pieces and then stay nearest to a step, all rules kept; `None` where the places of
/// the grid and the ends of the allowed stretches hold no such layout.
pub(super) fn shortest(problem: &Problem, origin: f64, step: f64, grid: f64) -> Option<Vec<Seat>> {
    let n = problem.runs.len();
    let mut layers: Vec<Vec<Label>> = Vec::with_capacity(n);
    for run in 0..n {
        let target = origin - problem.runs[run].course as f64 * step;
        let places = places(problem, run, target, grid);
        let next = extended(problem, &layers, run, &places);
        if next.is_empty() {
            return None;
        }
        layers.push(next);
    }
    let last = layers.last()?;
    let mut at = (0..last.len()).min_by(|&a, &b| last[a].cost.total_cmp(&last[b].cost))?;
    let mut seats = Vec::with_capacity(n);
    for layer in layers.iter().rev() {
        seats.push(layer[at].seat);
        at = layer[at].back;
    }
    seats.reverse();
    Some(seats)
}

/// The places that a run may take, each with its cost.
fn places(problem: &Problem, run: usize, target: f64, grid: f64) -> Vec<(f64, Seat)> {
    let room = &problem.runs[run];
    let cells = (problem.width / grid).round().max(1.0) as usize;
    let start = problem.runs[0].left_reach;
    let on_grid = (0..cells).map(|k| start + k as f64 * grid);
    let ends = room.ranges.iter().flat_map(|r| [r.low, r.high]);
    let single = room.single.then_some(Seat::Single { as_closing: false });
    on_grid
        .chain(ends)
        .filter_map(|phase| problem.seat_at(run, phase))
        .chain(single)
        .map(|seat| {
            let off = match seat {
                Seat::Joints { first, .. } => {
                    let gap = (first - target).rem_euclid(problem.width);
                    gap.min(problem.width - gap) / problem.width
                }
                Seat::Single { .. } => 0.0,
            };
            (Problem::pieces(seat) as f64 + OFF_STEP * off, seat)
        })
        .collect()
}

/// All beginnings with one run more, the cheapest of those that are alike to the runs to come.
fn extended(
    problem: &Problem,
    layers: &[Vec<Label>],
    run: usize,
    places: &[(f64, Seat)],
) -> Vec<Label> {
    let course = problem.runs[run].course;
    // What the next run keeps away from: two courses below its own.
    let coming = problem.runs.get(run + 1).map_or(course, |r| r.course);
    let window = problem.runs.partition_point(|r| r.course + 2 < coming);
    let far = problem.runs.partition_point(|r| r.course + 2 < course);
    let mut alike: BTreeMap<Vec<i64>, Label> = BTreeMap::new();
    let before = layers.last().map_or(1, Vec::len);
    for back in 0..before {
        let known = seats_since(layers, back, far.min(window));
        let cost = layers.last().map_or(0.0, |layer| layer[back].cost);
        for &(more, seat) in places {
            if !agrees(problem, run, seat, far.min(window), &known) {
                continue;
            }
            let label = Label {
                cost: cost + more,
                seat,
                back,
            };
            let skip = window - far.min(window);
            let key: Vec<i64> = known
                .iter()
                .skip(skip)
                .chain([&seat])
                .map(|s| name(problem, *s))
                .collect();
            let kept = alike.entry(key).or_insert(label);
            if label.cost < kept.cost {
                *kept = label;
            }
        }
    }
    let mut labels: Vec<Label> = alike.into_values().collect();
    labels.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    labels.truncate(KEPT);
    labels
}

/// The seats of the runs from a number on, along the beginning that ends in a label of the last layer.
fn seats_since(layers: &[Vec<Label>], back: usize, from: usize) -> Vec<Seat> {
    let mut seats = Vec::with_capacity(layers.len().saturating_sub(from));
    let mut at = back;
    for layer in layers.iter().skip(from).rev() {
        seats.push(layer[at].seat);
        at = layer[at].back;
    }
    seats.reverse();
    seats
}

fn agrees(problem: &Problem, run: usize, seat: Seat, from: usize, known: &[Seat]) -> bool {
    let room = &problem.runs[run];
    let keeps = |near: &[usize], distance: f64| {
        near.iter()
            .filter_map(|&j| known.get(j.checked_sub(from)?))
            .all(|&other| problem.apart(seat, other, distance))
    };
    keeps(&room.next, problem.joint_distance) && keeps(&room.second, problem.second_distance)
}

/// A whole number that tells places apart.
fn name(problem: &Problem, seat: Seat) -> i64 {
    match seat {
        Seat::Joints { first, .. } => (first / problem.tolerance / 10.0).round() as i64,
        Seat::Single { .. } => i64::MAX,
    }
}
