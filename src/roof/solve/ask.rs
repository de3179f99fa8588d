//! When the drawing does not decide: how sure each face's fall is, and what to ask.

use crate::geometry::Vector;

use super::alternatives::{Search, near};
use super::sheet::Sheet;

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

/// The doubt about every face.
pub(super) fn doubts(sheet: &Sheet, search: &Search) -> Vec<Doubt> {
    // Other falls of each face, each with the cheapest rival that has it.
    let mut others: Vec<Vec<(Vector, f64)>> = vec![Vec::new(); sheet.faces.len()];
    for rival in &search.rivals {
        for &(face, plane) in &rival.changes {
            let best = search.best.roofing.planes[face].gradient;
            if sheet.faces[face].is_flat() || near(plane.gradient, best) {
                continue;
            }
            let known = others[face]
                .iter_mut()
                .find(|(g, _)| near(*g, plane.gradient));
            match known {
                Some((_, dearer)) => *dearer = dearer.min(rival.dearer),
                None => others[face].push((plane.gradient, rival.dearer)),
            }
        }
    }
    others
        .iter()
        .map(|falls| Doubt {
            margin: falls.iter().map(|f| f.1).fold(f64::INFINITY, f64::min),
            entropy: entropy(falls),
        })
        .collect()
}

/// Of the best fall (cost 0) and the others, weighted by exp(−cost).
fn entropy(others: &[(Vector, f64)]) -> f64 {
    let weights: Vec<f64> = std::iter::once(1.0)
        .chain(others.iter().map(|f| (-f.1).exp()))
        .collect();
    let total: f64 = weights.iter().sum();
    weights
        .iter()
        .map(|w| w / total)
        .filter(|&p| p > 0.0)
        .map(|p| -p * p.ln())
        .sum()
}

/// The faces to ask about, the most telling first. In a plan with steps lines do not decide: every sloped face is asked
/// about. An arrow settles its face.
pub(super) fn asked(sheet: &Sheet, doubts: &[Doubt], stepped: bool) -> Vec<usize> {
    let area = |f: usize| sheet.faces[f].area;
    let mut faces: Vec<usize> = (0..doubts.len())
        .filter(|&f| sheet.faces[f].arrow.is_none() && !sheet.faces[f].is_flat())
        .filter(|&f| stepped || doubts[f].margin < ASK_BELOW)
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
