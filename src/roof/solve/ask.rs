//! When the drawing does not decide: how sure each face's fall is, and what to ask.

use crate::geometry::Vector;

use super::alternatives::{Search, near};
use super::cost;
use super::region::Roofing;
use super::sheet::{Sheet, SheetEdge};

/// Ask about a face whose nearest rival is closer than this in cost.
const ASK_BELOW: f64 = 3.0;
/// The same on a roof that itself shows what an inside-out one shows: outer edges that faces rise towards or that are
/// oblique to their falls, or level valleys. Of parts cut out of real roofs, on which the weights were not fitted, most
/// that were settled wrongly do.
const ASK_BELOW_ODD: f64 = 4.0;
/// The same for a face too flat for shingles: such roofs drain inward or to any side, and their eaves say less.
const ASK_BELOW_FLAT: f64 = 5.0;
/// The same for the only sloped face of its sheet: no other one says how it falls.
const ASK_BELOW_LONE: f64 = 5.0;
/// The same for a face that leans in: from a high edge down to a level valley, and nothing else of it is level. So would a bump
/// of the eave that was turned round, however small it is beside the rest of an ordinary roof; falling on as the slope does, its
/// line would part nothing.
const ASK_BELOW_LEANING_IN: f64 = cost::NEEDLESS_LINE;
/// On a stepped roof in which an arrow was given: more than twice the usual, since steps cost little and fit much.
const ASK_BELOW_STEPPED: f64 = 7.0;
/// Rise over run below which a face is that flat (2 in 12).
const FLAT: f64 = 2.0 / 12.0;
/// A roof is odd when this part of its level outer edges and valleys is of that kind.
const ODD_PART: f64 = 0.1;
/// An edge this near to square to the fall (degrees) is level ...
const SQUARE_DEG: f64 = 5.0;
/// ... and one that is this far from square and from along it is oblique.
const OBLIQUE_DEG: f64 = 15.0;

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
/// about, and once an arrow was given those that it leaves in doubt. An arrow settles its face.
pub(super) fn asked(sheet: &Sheet, best: &Roofing, doubts: &[Doubt], stepped: bool) -> Vec<usize> {
    let odd = is_odd(sheet, best);
    let lone = sheet.faces.iter().filter(|f| !f.is_flat()).count() == 1;
    let face_edges = sheet.face_edges();
    let any_arrow = sheet.faces.iter().any(|f| f.arrow.is_some());
    let limit = |f: usize| match stepped {
        true => ASK_BELOW_STEPPED,
        false if leans_in(sheet, best, &face_edges[f], f) => ASK_BELOW_LEANING_IN,
        false => ask_below(sheet, f, lone, odd),
    };
    let area = |f: usize| sheet.faces[f].area;
    let mut faces: Vec<usize> = (0..doubts.len())
        .filter(|&f| sheet.faces[f].arrow.is_none() && !sheet.faces[f].is_flat())
        .filter(|&f| doubts[f].margin < limit(f) || (stepped && !any_arrow))
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

fn ask_below(sheet: &Sheet, face: usize, lone: bool, odd: bool) -> f64 {
    match sheet.faces[face].slope {
        _ if lone => ASK_BELOW_LONE,
        Some(slope) if slope < FLAT => ASK_BELOW_FLAT,
        _ if odd => ASK_BELOW_ODD,
        _ => ASK_BELOW,
    }
}

/// The sine of the angle between an edge and the level lines of a face; `None` on a level face.
fn off_level(sheet: &Sheet, roofing: &Roofing, edge: &SheetEdge, face: usize) -> Option<f64> {
    let g = roofing.planes[face].gradient;
    let sloped = !sheet.faces[face].is_flat() && g.length() > 0.0;
    sloped.then(|| g.dot(edge.along).abs() / g.length())
}

/// Whether an edge is square to the fall of a face: level.
fn is_square(sheet: &Sheet, roofing: &Roofing, edge: &SheetEdge, face: usize) -> bool {
    off_level(sheet, roofing, edge, face).is_some_and(|sin| sin <= SQUARE_DEG.to_radians().sin())
}

/// Whether both faces beside an inner edge have it level, and fall towards it.
fn is_level_valley(sheet: &Sheet, roofing: &Roofing, edge: &SheetEdge) -> bool {
    edge.both().is_some_and(|(left, right)| {
        let across = edge.along.turn_left();
        is_square(sheet, roofing, edge, left)
            && is_square(sheet, roofing, edge, right)
            && roofing.planes[left].gradient.dot(across) > 0.0
            && roofing.planes[right].gradient.dot(across) < 0.0
    })
}

/// Whether the level edges of a face are high edges and level valleys only, and it has both.
fn leans_in(sheet: &Sheet, roofing: &Roofing, edges: &[usize], face: usize) -> bool {
    let (mut high, mut valley) = (false, false);
    for edge in edges.iter().map(|&e| &sheet.edges[e]) {
        if !is_square(sheet, roofing, edge, face) {
            continue;
        }
        match edge.outer() {
            Some((_, out)) if roofing.planes[face].gradient.dot(out) > 0.0 => high = true,
            None if is_level_valley(sheet, roofing, edge) => valley = true,
            _ => return false,
        }
    }
    high && valley
}

/// Whether the roof shows what an inside-out one would.
fn is_odd(sheet: &Sheet, roofing: &Roofing) -> bool {
    let (mut odd, mut usual) = (0.0, 0.0);
    for edge in &sheet.edges {
        let square = |face: usize| is_square(sheet, roofing, edge, face);
        let oblique = |face: usize| {
            let (low, high) = OBLIQUE_DEG.to_radians().sin_cos();
            off_level(sheet, roofing, edge, face).is_some_and(|sin| (low..high).contains(&sin))
        };
        if let Some((face, out)) = edge.outer() {
            let falls_out = roofing.planes[face].gradient.dot(out) < 0.0;
            if square(face) && falls_out {
                usual += edge.length;
            } else if square(face) || oblique(face) {
                odd += edge.length;
            }
        } else if is_level_valley(sheet, roofing, edge) {
            odd += edge.length;
        }
    }
    odd > ODD_PART * (odd + usual)
}
