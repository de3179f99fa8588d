//! A layout for faces where going up course by course, each at the place nearest to its step, runs into a course that
//! the joint rules leave no place in, as beside valleys that are run through: the cheapest of all places, run by run.
//! It is found for certain where columns of runs only join, or only part, on their way up; where they do both, as round
//! an opening, by a shortest path over courses and places.

use std::collections::HashMap;

use super::problem::{Problem, Seat};
use super::tree::Tree;

/// Beginnings of a layout that are kept for every run of a shortest path, the cheapest of those that differ in the
/// courses that the next run has to keep away from.
const KEPT: usize = 2000;
/// So many are kept at first. A path so found is taken where no path takes fewer pieces.
const KEPT_AT_FIRST: usize = 200;
/// What a run costs that is a whole shingle off its step, in pieces, at most. All runs of a layout together cost no more
/// than half a piece, so that pieces are counted first.
const OFF_STEP: f64 = 0.05;

/// Places of a run that are looked at: as many as a set has bits. A grid has 50 at most, and a run a few stretches.
const PLACES: usize = u128::BITS as usize;

/// A beginning of a layout: the place of its last run, and the beginning that it goes on from.
#[derive(Clone, Copy)]
struct Label {
    cost: f64,
    place: u8,
    back: u32,
}

/// What a run may do: its places, each with its cost, and the runs before it that its joints must keep away from.
pub(super) struct Stop {
    pub(super) places: Vec<(f64, Seat)>,
    pub(super) near: Vec<Near>,
}

/// A run that another's joints may come too near to.
pub(super) struct Near {
    pub(super) run: usize,
    /// Whether it is in the next course but one, and not in the next.
    pub(super) far: bool,
    /// By its places, those of the other that agree, a bit a place.
    pub(super) agreeing: Vec<u128>,
}

impl Stop {
    /// All its places, a bit a place.
    fn all(&self) -> u128 {
        match self.places.len() {
            0 => 0,
            places => u128::MAX >> (PLACES - places),
        }
    }

    /// By the places of a run of the next course but one, those of this run that agree, where they come near.
    pub(super) fn far_from(&self, run: usize) -> Option<&[u128]> {
        let near = self.near.iter().find(|near| near.far && near.run == run);
        near.map(|near| &near.agreeing[..])
    }

    fn fewest_pieces(&self) -> usize {
        let pieces = self.places.iter().map(|&(_, seat)| Problem::pieces(seat));
        pieces.min().unwrap_or(0)
    }
}

/// The seats that take the fewest pieces and then stay nearest to a step, all rules kept; `None` where the places of
/// the grid and the ends of the allowed stretches hold no such layout.
pub(super) fn shortest(problem: &Problem, origin: f64, step: f64, grid: f64) -> Option<Vec<Seat>> {
    let mut stops: Vec<Stop> = Vec::with_capacity(problem.runs.len());
    for (run, room) in problem.runs.iter().enumerate() {
        let places = places(problem, run, origin - room.course as f64 * step, grid);
        let near = near(problem, &stops, run, &places);
        stops.push(Stop { places, near });
    }
    let seats = |chosen: Vec<usize>| {
        let places = stops.iter().zip(chosen);
        places.map(|(stop, at)| stop.places[at].1).collect()
    };
    if let Some(tree) = Tree::of(&stops) {
        return tree.cheapest().map(seats);
    }
    let upside_down = upside_down(&stops);
    if let Some(tree) = Tree::of(&upside_down) {
        let mut chosen = tree.cheapest()?;
        chosen.reverse();
        return Some(seats(chosen));
    }
    let fewest: usize = stops.iter().map(Stop::fewest_pieces).sum();
    let first = cheapest(problem, &stops, KEPT_AT_FIRST);
    match first {
        Some(seats) if Problem::pieces_of(&seats) == fewest => Some(seats),
        _ => cheapest(problem, &stops, KEPT),
    }
}

/// The same runs from the top down.
fn upside_down(stops: &[Stop]) -> Vec<Stop> {
    let turned = |run: usize| stops.len() - 1 - run;
    let mut other: Vec<Stop> = stops
        .iter()
        .rev()
        .map(|stop| Stop {
            places: stop.places.clone(),
            near: Vec::new(),
        })
        .collect();
    for (run, stop) in stops.iter().enumerate() {
        for near in &stop.near {
            let agreeing = (0..stop.places.len()).map(|place| {
                let agrees = near.agreeing.iter().map(|set| set >> place & 1);
                agrees
                    .zip(0..)
                    .fold(0, |set, (agrees, bit)| set | agrees << bit)
            });
            other[turned(near.run)].near.push(Near {
                run: turned(run),
                far: near.far,
                agreeing: agreeing.collect(),
            });
        }
    }
    other
}

/// The cheapest seats, with so many beginnings kept for every run.
fn cheapest(problem: &Problem, stops: &[Stop], kept: usize) -> Option<Vec<Seat>> {
    let mut layers: Vec<Vec<Label>> = Vec::with_capacity(stops.len());
    for _ in stops {
        let mut next = extended(problem, &layers, stops);
        keep_cheapest(&mut next, kept);
        if next.is_empty() {
            return None;
        }
        layers.push(next);
    }
    let last = layers.last()?;
    let mut at = (0..last.len()).min_by(|&a, &b| last[a].cost.total_cmp(&last[b].cost))?;
    let mut seats = Vec::with_capacity(layers.len());
    for (layer, stop) in layers.iter().zip(stops).rev() {
        seats.push(stop.places[usize::from(layer[at].place)].1);
        at = layer[at].back as usize;
    }
    seats.reverse();
    Some(seats)
}

/// The places that a run may take, each with its cost.
fn places(problem: &Problem, run: usize, target: f64, grid: f64) -> Vec<(f64, Seat)> {
    let room = &problem.runs[run];
    let cells = problem.cells(grid);
    let start = problem.runs[0].left_reach;
    let on_grid = (0..cells).map(|k| start + k as f64 * grid);
    let ends = room.ranges.iter().flat_map(|r| [r.low, r.high]);
    let single = room.single.then_some(Seat::Single { as_closing: false });
    single
        .into_iter()
        .chain(
            on_grid
                .chain(ends)
                .filter_map(|phase| problem.seat_at(run, phase)),
        )
        .map(|seat| {
            let off = match seat {
                Seat::Joints { first, .. } => {
                    let gap = (first - target).rem_euclid(problem.width);
                    gap.min(problem.width - gap) / problem.width
                }
                Seat::Single { .. } => 0.0,
            };
            let off_step = OFF_STEP.min(1.0 / problem.runs.len() as f64);
            (Problem::pieces(seat) as f64 + off_step * off, seat)
        })
        .take(PLACES)
        .collect()
}

/// The runs before a run that some place of theirs does not agree with.
fn near(problem: &Problem, before: &[Stop], run: usize, places: &[(f64, Seat)]) -> Vec<Near> {
    let room = &problem.runs[run];
    let round = |seat: Seat| match seat {
        Seat::Joints { first, .. } => problem.once_round(first),
        // Far from everything.
        Seat::Single { .. } => f64::NAN,
    };
    let here: Vec<(Seat, f64)> = places.iter().map(|p| (p.1, round(p.1))).collect();
    let mut found = Vec::new();
    for (far, runs, keeps) in [
        (false, &room.next, problem.next),
        (true, &room.second, problem.second),
    ] {
        let distance = keeps.joint;
        for &other in runs {
            let Some(stop) = before.get(other) else {
                continue;
            };
            let sets = stop.places.iter().map(|&(_, there)| {
                let round = round(there);
                // Once round the shingle no two joints are nearer; where the runs end, they may be farther apart.
                let clear = |off: f64| {
                    off >= distance && problem.width - off >= distance && keeps.cutouts.is_none()
                };
                let agrees = |&(here, at): &(Seat, f64)| {
                    clear((at - round).abs()) || problem.apart(here, there, &keeps)
                };
                let agree = here.iter().map(agrees).zip(0..);
                agree.fold(0, |set, (agrees, bit)| set | u128::from(agrees) << bit)
            });
            let agreeing: Vec<u128> = sets.collect();
            if agreeing
                .iter()
                .any(|set| set.count_ones() as usize != places.len())
            {
                found.push(Near {
                    run: other,
                    far,
                    agreeing,
                });
            }
        }
    }
    found
}

/// All beginnings with the next stop's run more, the cheapest of those that are alike to the runs to come.
fn extended(problem: &Problem, layers: &[Vec<Label>], stops: &[Stop]) -> Vec<Label> {
    let run = layers.len();
    let stop = &stops[run];
    let course = problem.runs[run].course;
    // What the next run keeps away from: two courses below its own.
    let coming = problem.runs.get(run + 1).map_or(course, |r| r.course);
    let window = problem.runs.partition_point(|r| r.course + 2 < coming);
    let far = problem.runs.partition_point(|r| r.course + 2 < course);
    let from = far.min(window).min(run);
    let last = layers.last();
    let count = last.map_or(1, Vec::len);
    let mut known = Vec::with_capacity(count * (run - from));
    for back in 0..count {
        note_places_since(layers, back, from, &mut known);
    }
    let mut labels = Vec::new();
    // Beginnings that are alike, and the places that they have a way to. The cheapest comes first, and none after it is
    // a better way to the same place.
    let mut alike: HashMap<&[u8], u128> = HashMap::new();
    for back in 0..count {
        let known = &known[back * (run - from)..][..run - from];
        let free = stop.near.iter().fold(u128::MAX, |free, near| {
            free & near.agreeing[usize::from(known[near.run - from])]
        });
        let reached = alike
            .entry(&known[(window - from).min(known.len())..])
            .or_default();
        let mut new = free & !*reached & stop.all();
        *reached |= new;
        let cost = last.map_or(0.0, |layer| layer[back].cost);
        while new != 0 {
            let place = new.trailing_zeros() as u8;
            labels.push(Label {
                cost: cost + stop.places[usize::from(place)].0,
                place,
                back: back as u32,
            });
            new &= new - 1;
        }
    }
    labels
}

/// Keeps so many of the cheapest, in order of their costs.
fn keep_cheapest(labels: &mut Vec<Label>, kept: usize) {
    // Costs are never negative, so their bits are in their order.
    let by_cost = |label: &Label| (label.cost.to_bits(), label.back, label.place);
    if labels.len() > kept {
        labels.select_nth_unstable_by_key(kept, by_cost);
        labels.truncate(kept);
    }
    labels.sort_unstable_by_key(by_cost);
}

/// Adds the places of the runs from a number on, along the beginning that ends in a label of the last layer.
fn note_places_since(layers: &[Vec<Label>], back: usize, from: usize, places: &mut Vec<u8>) {
    let begun = places.len();
    let mut at = back;
    for layer in layers.iter().skip(from).rev() {
        places.push(layer[at].place);
        at = layer[at].back as usize;
    }
    places[begun..].reverse();
}
