//! Steps in height: does a sheet need them, and which edges are they?
//!
//! Where the planes on both sides of a line cannot meet, one part of the roof stands higher. Whether they can is
//! tested first on the best roof without steps; only then may an edge be a step.

use crate::geometry::{Plane, Vector};

use super::alternatives::Solution;
use super::cost;
use super::refine::{Planes, Refiner, gaps};
use super::sheet::Sheet;

/// The best roof without steps may leave gaps of this cost: true roofs leave a tenth of it.
const MOST_GAP_COST: f64 = 1.0;
/// Planes whose slopes across their edge differ by less have no crease there (rise over run; 1.5°).
const NO_CREASE: f64 = 0.026;
/// An edge that still gapes by more than this (metres) is a step ...
const GAPES_M: f64 = 0.08;
/// ... looked for at most so often.
const MOST_ADDED: usize = 6;

/// Why a sheet needs steps, in words; `None` where it needs none.
pub(super) fn needed(sheet: &Sheet, best: &Solution) -> Option<&'static str> {
    if best.gap_cost > MOST_GAP_COST {
        return Some("planes that share an edge cannot meet in it");
    }
    if !best.ponds.is_empty() {
        return Some("without a step water could not leave");
    }
    for edge in &sheet.edges {
        let Some((left, right)) = edge.both() else {
            continue;
        };
        if sheet.faces[left].is_flat() && sheet.faces[right].is_flat() {
            return Some("two level faces lie side by side");
        }
        let across = (best.planes[left].gradient - best.planes[right].gradient)
            .dot(edge.along.turn_left())
            .abs();
        if across < NO_CREASE {
            return Some("two faces would lie in one plane");
        }
    }
    None
}

/// The edges that are cheaper as steps than as shared edges, with the gradients chosen.
pub(super) fn cheaper_as_steps(sheet: &Sheet, chosen: &[Vector]) -> Vec<bool> {
    sheet
        .edges
        .iter()
        .map(|edge| {
            edge.both().is_some_and(|(left, right)| {
                let shared = cost::crease(sheet, edge, chosen[left], chosen[right])
                    + cost::search_gap(edge, chosen[left], chosen[right]);
                shared > cost::step(sheet, edge)
            })
        })
        .collect()
}

/// Makes edges that still gape into steps, the worst first, and refines again. Without this a step between two
/// parallel planes is missed, since their slopes agree.
pub(super) fn open_gaping(
    sheet: &Sheet,
    refiner: &Refiner,
    chosen: &[Vector],
    mut planes: Planes,
    is_step: &mut [bool],
) -> Planes {
    for _ in 0..MOST_ADDED {
        let Some(worst) = worst_gaping(sheet, &planes, is_step) else {
            break;
        };
        is_step[worst] = true;
        planes = refiner.planes(sheet, chosen, is_step);
    }
    planes
}

fn worst_gaping(sheet: &Sheet, planes: &[Plane], is_step: &[bool]) -> Option<usize> {
    let mut worst: Option<(f64, usize)> = None;
    for (index, edge) in sheet.edges.iter().enumerate() {
        let Some((left, right)) = edge.both().filter(|_| !is_step[index]) else {
            continue;
        };
        let Some(gaps) = gaps(sheet, planes, index) else {
            continue;
        };
        let gap = gaps[0].abs().max(gaps[1].abs());
        let steeper = planes[left].gradient.length().max(planes[right].gradient.length());
        let excess = gap - (GAPES_M + steeper * sheet.tolerance);
        if excess > 0.0 && worst.is_none_or(|(w, _)| excess > w) {
            worst = Some((excess, index));
        }
    }
    worst.map(|w| w.1)
}
