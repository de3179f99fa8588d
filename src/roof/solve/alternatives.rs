//! Several different roofs for one plan, each with its planes and its whole cost, the likeliest first.

use crate::geometry::{Plane, Vector};

use super::candidates::{angle_deg, candidates};
use super::cost;
use super::eliminate::{Choice, MOST_CELLS, PairCost, Problem, Solved};
use super::ponds::Drainage;
use super::refine::{Planes, Refiner, gaps};
use super::sheet::Sheet;

/// What a pond costs.
const POND: f64 = 6.0;
/// Eaves off their median height: per unit length and metre of excess.
const UNEVEN_EAVE: f64 = 0.6;
/// Free excess, and the most that counts (metres).
const EAVE_SLACK_M: f64 = 0.05;
const EAVE_MOST_M: f64 = 1.0;
/// Candidates within this angle of each other are one cluster: the search looks for one roof per cluster.
const CLUSTER_DEG: f64 = 12.0;
/// Solutions are the same roof when every face's falls differ less than this.
pub(super) const SAME_ROOF_DEG: f64 = 12.0;
/// Solutions dearer than the best by more than this are not looked at (before refining).
const WINDOW: f64 = 12.0;
/// Most solutions refined.
const MOST_SOLUTIONS: usize = 500;

/// One possible roof.
#[derive(Clone, Debug)]
pub(super) struct Solution {
    /// The gradients chosen, before refining.
    pub(super) chosen: Vec<Vector>,
    /// The planes after refining.
    pub(super) planes: Planes,
    /// The whole cost.
    pub(super) cost: f64,
    /// Sets of nodes that cannot drain.
    pub(super) ponds: Vec<Vec<usize>>,
    /// Which edges are steps in height.
    pub(super) is_step: Vec<bool>,
}

/// All that the search found on one sheet, the likeliest first; never empty.
#[derive(Clone, Debug)]
pub(super) struct Search {
    pub(super) solutions: Vec<Solution>,
    /// How many candidates had to be dropped for the tables to fit.
    pub(super) dropped: usize,
}

/// Everything that stays fixed while one sheet is solved.
pub(super) struct Searcher<'a> {
    sheet: &'a Sheet,
    face_edges: Vec<Vec<usize>>,
    drainage: Drainage,
    refiner: Refiner,
    steps_allowed: bool,
}

impl<'a> Searcher<'a> {
    pub(super) fn new(sheet: &'a Sheet, steps_allowed: bool) -> Self {
        Self {
            sheet,
            face_edges: sheet.face_edges(),
            drainage: Drainage::new(sheet),
            refiner: Refiner::new(sheet),
            steps_allowed,
        }
    }

    pub(super) fn run(&self) -> Search {
        let mut lists = candidates(self.sheet);
        let (problem, dropped) = self.problem(&mut lists);
        let solved = problem.solve();
        let choices = diverse(&problem, &solved, &lists);
        let mut solutions: Vec<Solution> = choices
            .iter()
            .map(|choice| self.refined(&lists, choice))
            .collect();
        solutions.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        Search {
            solutions: merged(solutions),
            dropped,
        }
    }

    /// The tables; where they would not fit, the least likely candidates go (their number is returned).
    fn problem(&self, lists: &mut [Vec<Vector>]) -> (Problem, usize) {
        let alone = lists
            .iter()
            .enumerate()
            .map(|(face, list)| {
                list.iter()
                    .map(|&g| cost::alone(self.sheet, &self.face_edges[face], face, g))
                    .collect()
            })
            .collect();
        let mut problem = Problem {
            alone,
            pairs: self.pairs(lists),
        };
        let mut dropped = 0;
        loop {
            let (cells, faces) = problem.largest_table();
            if cells <= MOST_CELLS {
                return (problem, dropped);
            }
            for face in faces {
                let bounds = lower_bounds(&problem, face);
                if bounds.len() <= 2 {
                    continue;
                }
                let worst = (0..bounds.len())
                    .max_by(|&a, &b| bounds[a].total_cmp(&bounds[b]))
                    .unwrap_or(0);
                drop_candidate(&mut problem, face, worst);
                lists[face].remove(worst);
                dropped += 1;
            }
        }
    }

    fn pairs(&self, lists: &[Vec<Vector>]) -> Vec<PairCost> {
        let mut shared: Vec<(usize, usize, usize)> = self
            .sheet
            .edges
            .iter()
            .enumerate()
            .filter_map(|(index, e)| e.both().map(|(l, r)| (l.min(r), l.max(r), index)))
            .collect();
        shared.sort_unstable();
        let mut pairs: Vec<PairCost> = Vec::new();
        for (first, second, index) in shared {
            let fresh = pairs
                .last()
                .is_none_or(|p| (p.first, p.second) != (first, second));
            if fresh {
                pairs.push(PairCost {
                    first,
                    second,
                    table: vec![0.0; lists[first].len() * lists[second].len()],
                });
            }
            let swapped = self.sheet.edges[index].left != Some(first);
            if let Some(pair) = pairs.last_mut() {
                let mut cell = 0;
                for &g in &lists[first] {
                    for &h in &lists[second] {
                        let (left, right) = if swapped { (h, g) } else { (g, h) };
                        pair.table[cell] += self.inner(index, left, right);
                        cell += 1;
                    }
                }
            }
        }
        pairs
    }

    /// What an inner edge costs in the search.
    fn inner(&self, index: usize, left: Vector, right: Vector) -> f64 {
        let edge = &self.sheet.edges[index];
        let shared =
            cost::crease(self.sheet, edge, left, right) + cost::search_gap(edge, left, right);
        if self.steps_allowed {
            shared.min(cost::step(self.sheet, edge))
        } else {
            shared
        }
    }

    fn refined(&self, lists: &[Vec<Vector>], choice: &Choice) -> Solution {
        let chosen: Vec<Vector> = choice.iter().zip(lists).map(|(&c, list)| list[c]).collect();
        let is_step = vec![false; self.sheet.edges.len()];
        let planes = self.refiner.planes(self.sheet, &chosen, &is_step);
        self.priced(chosen, planes, is_step)
    }

    fn priced(&self, chosen: Vec<Vector>, planes: Planes, is_step: Vec<bool>) -> Solution {
        let sheet = self.sheet;
        // Level faces stay level in the cost, whatever refining made of them.
        let g: Vec<Vector> = planes
            .iter()
            .zip(&chosen)
            .map(|(plane, c)| {
                if c.length() == 0.0 {
                    *c
                } else {
                    plane.gradient
                }
            })
            .collect();
        let mut cost = 0.0;
        let mut gap_cost = 0.0;
        for (face, edges) in self.face_edges.iter().enumerate() {
            cost += cost::alone(sheet, edges, face, g[face]);
        }
        for (index, edge) in sheet.edges.iter().enumerate() {
            let Some((left, right)) = edge.both() else {
                continue;
            };
            if is_step[index] {
                cost += cost::step(sheet, edge);
                continue;
            }
            cost += cost::crease(sheet, edge, g[left], g[right]);
            if let Some(gaps) = gaps(sheet, &planes, index) {
                gap_cost += cost::solved_gap(sheet, gaps, g[left].length().max(g[right].length()));
            }
        }
        let ponds = self.drainage.ponds(sheet, &planes, &is_step);
        cost += gap_cost + POND * ponds.len() as f64 + self.uneven_eaves(&planes, &g);
        Solution {
            chosen,
            planes,
            cost,
            ponds,
            is_step,
        }
    }

    /// Eaves usually share one height.
    fn uneven_eaves(&self, planes: &[Plane], g: &[Vector]) -> f64 {
        let mut eaves: Vec<(f64, f64)> = Vec::new();
        for edge in &self.sheet.edges {
            let Some((face, out)) = edge.outer() else {
                continue;
            };
            if g[face].length() == 0.0 || g[face].dot(out) >= 0.0 || angle_deg(g[face], -out) > 8.0
            {
                continue;
            }
            let middle = self.sheet.nodes[edge.a].midpoint(self.sheet.nodes[edge.b]);
            eaves.push((planes[face].height_at(middle), edge.length));
        }
        let median = weighted_median(&mut eaves);
        eaves
            .iter()
            .map(|&(height, length)| {
                let excess = ((height - median).abs() - EAVE_SLACK_M).clamp(0.0, EAVE_MOST_M);
                UNEVEN_EAVE * length / self.sheet.unit_length * excess
            })
            .sum()
    }
}

fn weighted_median(values: &mut [(f64, f64)]) -> f64 {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half: f64 = values.iter().map(|v| v.1).sum::<f64>() / 2.0;
    let mut sum = 0.0;
    for &(value, weight) in values.iter() {
        sum += weight;
        if sum >= half {
            return value;
        }
    }
    0.0
}

/// For each candidate of a face what it costs at least, looking at its neighbours only.
fn lower_bounds(problem: &Problem, face: usize) -> Vec<f64> {
    let mut bounds = problem.alone[face].clone();
    for pair in &problem.pairs {
        let width = problem.alone[pair.second].len();
        if pair.first == face {
            for (bound, row) in bounds.iter_mut().zip(pair.table.chunks_exact(width)) {
                *bound += row.iter().copied().fold(f64::INFINITY, f64::min);
            }
        } else if pair.second == face {
            for (j, bound) in bounds.iter_mut().enumerate() {
                *bound += pair
                    .table
                    .iter()
                    .skip(j)
                    .step_by(width)
                    .copied()
                    .fold(f64::INFINITY, f64::min);
            }
        }
    }
    bounds
}

fn drop_candidate(problem: &mut Problem, face: usize, candidate: usize) {
    for index in 0..problem.pairs.len() {
        let pair = &problem.pairs[index];
        if pair.first != face && pair.second != face {
            continue;
        }
        let width = problem.alone[pair.second].len();
        let by_first = pair.first == face;
        let table = pair
            .table
            .iter()
            .enumerate()
            .filter(|(cell, _)| {
                let digit = if by_first { cell / width } else { cell % width };
                digit != candidate
            })
            .map(|(_, &v)| v)
            .collect();
        problem.pairs[index].table = table;
    }
    problem.alone[face].remove(candidate);
}

/// The best choice, and for every face and every other cluster of its candidates the best choice that has it.
fn diverse(problem: &Problem, solved: &Solved, lists: &[Vec<Vector>]) -> Vec<Choice> {
    let best = problem.cost(&solved.best);
    let mut found: Vec<(f64, Choice)> = vec![(best, solved.best.clone())];
    for (face, list) in lists.iter().enumerate() {
        let least = solved.least_with(face);
        for candidate in cluster_heads(list, &least, solved.best[face]) {
            if least[candidate] <= best + WINDOW {
                let choice = solved.forced(face, candidate);
                found.push((problem.cost(&choice), choice));
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    found.dedup();
    found.truncate(MOST_SOLUTIONS);
    found.into_iter().map(|(_, choice)| choice).collect()
}

/// The cheapest candidate of each cluster that does not hold the best one.
fn cluster_heads(list: &[Vector], least: &[f64], best: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..list.len()).filter(|&c| c != best).collect();
    order.sort_by(|&a, &b| least[a].total_cmp(&least[b]).then(a.cmp(&b)));
    let mut heads = vec![best];
    for c in order {
        if heads.iter().all(|&h| !near(list[h], list[c])) {
            heads.push(c);
        }
    }
    heads.remove(0);
    heads
}

/// Whether two gradients are the same fall for the purpose of asking.
pub(super) fn near(a: Vector, b: Vector) -> bool {
    let (long, short) = (a.length().max(b.length()), a.length().min(b.length()));
    angle_deg(a, b) <= CLUSTER_DEG && (long == 0.0 || short / long > 0.8)
}

/// Keeps the cheapest of those that are the same roof. `solutions` are sorted by cost.
fn merged(solutions: Vec<Solution>) -> Vec<Solution> {
    let mut kept: Vec<Solution> = Vec::new();
    for solution in solutions {
        let twin = kept.iter().any(|k| {
            k.planes
                .iter()
                .zip(&solution.planes)
                .all(|(a, b)| angle_deg(a.gradient, b.gradient) <= SAME_ROOF_DEG)
        });
        if !twin {
            kept.push(solution);
        }
    }
    kept
}
