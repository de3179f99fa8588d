//! Finds the tolerance that the drawing asks for: the lowest from which on the map stays the same.

use super::attempt::{Attempt, attempt};
use super::labels::Spot;
use super::piece::Piece;
use crate::units::{Length, Plan};

/// The tolerances tried, in millimetres. Hand tracing of houses was off by 15 to 250 mm in the plans that they were
/// chosen on; the right tolerance is about 1.8 times the error.
const RUNGS_MM: [f64; 11] = [
    5.0, 10.0, 20.0, 30.0, 45.0, 65.0, 90.0, 130.0, 180.0, 250.0, 350.0,
];
/// How many tolerances in a row must give the same right map. The lowest right one alone is a trap: shapes may still
/// stand apart at it, or corners be double.
const PLATEAU: usize = 3;

/// The map at the given tolerance, or at the first rung of a plateau.
pub(super) fn climb(pieces: &[Piece], labels: &[Spot], tolerance_ft: Option<f64>) -> Attempt {
    if let Some(tolerance) = tolerance_ft {
        return attempt(pieces, labels, tolerance);
    }
    let mut tried: Vec<Attempt> = Vec::new();
    for mm in RUNGS_MM {
        tried.push(attempt(
            pieces,
            labels,
            Length::<Plan>::millimetres(mm).to_feet(),
        ));
        if let Some(first) = plateau(&tried, PLATEAU, 0).or_else(|| settled(&tried)) {
            return tried.swap_remove(first);
        }
    }
    // No tolerance is without fault: what is wrong with all of them alike is not the tolerance's doing.
    let least = tried.iter().map(|a| a.faults.sum()).min().unwrap_or(0);
    let choice = [PLATEAU, 2]
        .into_iter()
        .find_map(|length| plateau(&tried, length, least))
        .or_else(|| best(&tried))
        .unwrap_or(0);
    tried.swap_remove(choice)
}

/// The first of `length` attempts in a row with so few faults and the same number of nodes.
fn plateau(tried: &[Attempt], length: usize, faults: usize) -> Option<usize> {
    let alike = |w: &[Attempt]| {
        w.iter()
            .all(|a| a.faults.sum() == faults && a.node_count == w[0].node_count)
    };
    tried.windows(length).position(alike)
}

/// The start of a plateau on which nothing is joined any more, though single lines run back to back within the farther
/// reach of the later attempts: where every end meets within the first tolerance, such a slit was drawn on purpose.
fn settled(tried: &[Attempt]) -> Option<usize> {
    let same = |w: &[Attempt]| {
        w[0].faults.sum() == 0
            && w.iter()
                .all(|a| a.faults.sum() == a.faults.twins && a.node_count == w[0].node_count)
    };
    tried.windows(PLATEAU).position(same)
}

/// The attempt with the fewest faults; of these the one with the fewest nodes.
fn best(tried: &[Attempt]) -> Option<usize> {
    (0..tried.len()).min_by_key(|&i| (tried[i].faults.sum(), tried[i].node_count, i))
}
