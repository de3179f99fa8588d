//! The search problem of a sheet: candidates and their costs as tables.

use crate::geometry::Vector;

use super::candidates::candidates;
use super::cost;
use super::eliminate::{PairCost, Problem};
use super::sheet::Sheet;

/// Candidates, their costs, and how many were dropped for the tables to fit.
#[derive(Clone, Debug)]
pub(super) struct Tables {
    /// Gradients by face.
    pub(super) lists: Vec<Vec<Vector>>,
    pub(super) problem: Problem,
    pub(super) dropped: usize,
}

impl Tables {
    /// The tables; where they would not fit, the least likely candidates go.
    pub(super) fn new(sheet: &Sheet, face_edges: &[Vec<usize>], steps_allowed: bool) -> Self {
        Self::with(sheet, face_edges, steps_allowed, candidates(sheet))
    }

    fn with(
        sheet: &Sheet,
        face_edges: &[Vec<usize>],
        steps_allowed: bool,
        lists: Vec<Vec<Vector>>,
    ) -> Self {
        let alone = lists
            .iter()
            .enumerate()
            .map(|(face, list)| {
                list.iter()
                    .map(|&g| cost::alone(sheet, &face_edges[face], face, g))
                    .collect()
            })
            .collect();
        let pairs = pairs(sheet, &lists, steps_allowed);
        let mut tables = Self {
            lists,
            problem: Problem {
                alone,
                pairs,
                groups: Vec::new(),
            },
            dropped: 0,
        };
        tables.shrink_to_fit();
        tables
    }

    fn shrink_to_fit(&mut self) {
        // Two falls are left to a face as long as that is enough.
        let mut least = 2;
        loop {
            let size = self.problem.size();
            if size.fits() {
                return;
            }
            let before = self.dropped;
            for face in size.faces_of_largest {
                let bounds = lower_bounds(&self.problem, face);
                if bounds.len() <= least {
                    continue;
                }
                let worst = (0..bounds.len())
                    .max_by(|&a, &b| bounds[a].total_cmp(&bounds[b]))
                    .unwrap_or(0);
                drop_candidate(&mut self.problem, face, worst);
                self.lists[face].remove(worst);
                self.dropped += 1;
            }
            if self.dropped == before {
                if least == 1 {
                    return;
                }
                least = 1;
            }
        }
    }

    /// Takes the newest ponds back until the tables fit, but not the first `kept`; whether newer ones stay. Faces round a
    /// pond stand in one table, and on a sheet full of them the tables outgrow every machine.
    pub(super) fn shed_ponds(&mut self, kept: usize) -> bool {
        let mut newer = self.problem.groups.len() - kept;
        while newer > 0 && !self.problem.size().fits() {
            newer /= 2;
            self.problem.groups.truncate(kept + newer);
        }
        newer > 0
    }
}

/// Faces without a pitch that nothing fixes: the likeliest roof is one that leaves them open.
pub(super) fn left_open(sheet: &Sheet) -> Vec<usize> {
    let mut lists = candidates(sheet);
    for (list, face) in lists.iter_mut().zip(&sheet.faces) {
        if face.slope.is_none() {
            list.retain(|g| g.length() > 0.0);
            list.push(cost::UNKNOWN);
        }
    }
    let tables = Tables::with(sheet, &sheet.face_edges(), false, lists);
    let best = tables.problem.solve().best;
    (0..sheet.faces.len())
        .filter(|&f| tables.lists[f][best[f]].x.is_nan())
        .collect()
}

fn pairs(sheet: &Sheet, lists: &[Vec<Vector>], steps_allowed: bool) -> Vec<PairCost> {
    let mut shared: Vec<(usize, usize, usize)> = sheet
        .edges
        .iter()
        .enumerate()
        .filter_map(|(index, e)| e.both().map(|(l, r)| (l.min(r), l.max(r), index)))
        .collect();
    shared.sort_unstable();
    let slopes: Vec<Vec<f64>> = lists
        .iter()
        .map(|list| list.iter().map(|g| g.length()).collect())
        .collect();
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
        let swapped = sheet.edges[index].left != Some(first);
        if let Some(pair) = pairs.last_mut() {
            let mut cells = pair.table.iter_mut();
            for (&g, slope) in lists[first].iter().zip(&slopes[first]) {
                let seconds = lists[second].iter().zip(&slopes[second]);
                for ((&h, other), cell) in seconds.zip(&mut cells) {
                    let (left, right) = if swapped { (h, g) } else { (g, h) };
                    let steeper = slope.max(*other);
                    *cell += inner(sheet, index, (left, right), steeper, steps_allowed);
                }
            }
        }
    }
    pairs
}

/// What an inner edge costs in the search.
fn inner(
    sheet: &Sheet,
    index: usize,
    (left, right): (Vector, Vector),
    steeper: f64,
    steps_allowed: bool,
) -> f64 {
    let edge = &sheet.edges[index];
    let shared = cost::crease(sheet, edge, left, right, steeper)
        + cost::search_gap(sheet, edge, left, right, steeper);
    if steps_allowed {
        shared.min(cost::step(sheet, edge))
    } else {
        shared
    }
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
                let column = pair.table.iter().skip(j).step_by(width);
                *bound += column.copied().fold(f64::INFINITY, f64::min);
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
