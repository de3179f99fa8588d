//! When the drawing does not decide: how sure each face's fall is, and what to ask.

use super::alternatives::{SAME_ROOF_DEG, Solution};
use super::candidates::angle_deg;

/// Ask about a face whose nearest rival is closer than this in cost.
pub(super) const ASK_BELOW: f64 = 3.0;

/// How sure one face's fall is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Doubt {
    /// By how much the likeliest roof with another fall of this face costs more than the best one; infinite where
    /// the search found none.
    pub(super) margin: f64,
    /// Entropy of the fall over the solutions (natural logarithm): what an arrow here would tell.
    pub(super) entropy: f64,
}

/// The doubt about every face. `solutions` are sorted, the best first.
pub(super) fn doubts(solutions: &[Solution]) -> Vec<Doubt> {
    let Some(best) = solutions.first() else {
        return Vec::new();
    };
    (0..best.planes.len())
        .map(|face| Doubt {
            margin: margin(solutions, best, face),
            entropy: entropy(solutions, best, face),
        })
        .collect()
}

fn margin(solutions: &[Solution], best: &Solution, face: usize) -> f64 {
    solutions
        .iter()
        .filter(|s| differs(s, best, face))
        .map(|s| s.cost - best.cost)
        .fold(f64::INFINITY, f64::min)
}

/// Whether a face falls another way in one solution than in the other.
pub(super) fn differs(a: &Solution, b: &Solution, face: usize) -> bool {
    if a.chosen[face].length() == 0.0 {
        return false;
    }
    let (g, h) = (a.planes[face].gradient, b.planes[face].gradient);
    angle_deg(g, h) > SAME_ROOF_DEG
        || g.length() > 1.25 * h.length()
        || h.length() > 1.25 * g.length()
}

fn entropy(solutions: &[Solution], best: &Solution, face: usize) -> f64 {
    // Falls that are the same share one cell; the first solution of a cell stands for it.
    let mut cells: Vec<(&Solution, f64)> = Vec::new();
    for solution in solutions {
        let weight = (best.cost - solution.cost).exp();
        match cells
            .iter_mut()
            .find(|(head, _)| !differs(solution, head, face))
        {
            Some((_, sum)) => *sum += weight,
            None => cells.push((solution, weight)),
        }
    }
    let total: f64 = cells.iter().map(|c| c.1).sum();
    cells
        .iter()
        .map(|&(_, weight)| weight / total)
        .filter(|&p| p > 0.0)
        .map(|p| -p * p.ln())
        .sum()
}

/// The faces to ask about, the most telling first.
pub(super) fn asked(doubts: &[Doubt], area: impl Fn(usize) -> f64) -> Vec<usize> {
    let mut faces: Vec<usize> = (0..doubts.len())
        .filter(|&f| doubts[f].margin < ASK_BELOW)
        .collect();
    faces.sort_by(|&a, &b| {
        doubts[b]
            .entropy
            .total_cmp(&doubts[a].entropy)
            .then(area(b).total_cmp(&area(a)))
            .then(a.cmp(&b))
    });
    faces
}
