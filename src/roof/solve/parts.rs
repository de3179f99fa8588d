//! How high the parts of a stepped roof stand over each other.
//!
//! Parts tied by shared edges are rigid; between parts the lines fix nothing. What is taken, and told, is what is usual:
//! a face that falls to a step stands over a face that rises to it, and eaves share one height where nothing says
//! otherwise.

use super::region::{Region, Roofing, usual_eave};
use super::sets::Sets;
use super::sheet::Sheet;
use super::sparse::{Normal, Pattern, Term, thin_order};

/// What a step measures where nothing is known (metres), and how loosely.
const USUAL_STEP_M: f64 = 0.6;
const STEP_SIGMA_M: f64 = 0.5;
/// How loosely eaves share one height (metres).
const EAVE_SIGMA_M: f64 = 3.0;

/// Lifts the parts of a roof with steps against each other.
pub(super) fn stack(sheet: &Sheet, face_edges: &[Vec<usize>], roofing: &mut Roofing) {
    let mut sets = Sets::new(sheet.faces.len());
    for (index, edge) in sheet.edges.iter().enumerate() {
        if let Some((left, right)) = edge.both().filter(|_| !roofing.is_step[index]) {
            sets.join(left, right);
        }
    }
    let part = sets.numbered();
    let count = part.iter().max().map_or(0, |m| m + 1);
    if count < 2 {
        return;
    }
    let mut links = Vec::new();
    let mut rows = Vec::new();
    for (index, edge) in sheet.edges.iter().enumerate() {
        let Some((left, right)) = edge.both().filter(|_| roofing.is_step[index]) else {
            continue;
        };
        let (a, b) = (part[left], part[right]);
        if a == b {
            continue;
        }
        let normal = edge.along.turn_left();
        let middle = sheet.nodes[edge.a].midpoint(sheet.nodes[edge.b]);
        let gap = roofing.planes[left].height_at(middle) - roofing.planes[right].height_at(middle);
        // Rise going into each face: positive where it falls to the step.
        let (into_left, into_right) = (
            roofing.planes[left].gradient.dot(normal),
            -roofing.planes[right].gradient.dot(normal),
        );
        let usual = (into_left - into_right).clamp(-1.0, 1.0) * USUAL_STEP_M;
        links.push((a, b));
        rows.push((
            a,
            b,
            usual - gap,
            edge.length / (STEP_SIGMA_M * STEP_SIGMA_M),
        ));
    }
    let order = thin_order(&vec![1.0; count], &links);
    let pattern = Pattern::new(&vec![1; count], &links, &order);
    let mut normal = Normal::new(&pattern);
    let height = |part, sign| Term {
        block: part,
        coefficients: [sign, 0.0, 0.0],
    };
    for (a, b, value, weight) in rows {
        normal.observe(&[height(a, 1.0), height(b, -1.0)], value, weight);
    }
    for p in 0..count {
        let faces = (0..sheet.faces.len()).filter(|&f| part[f] == p).collect();
        let region = Region::new(sheet, face_edges, faces);
        let eave = usual_eave_of(sheet, roofing, &region, &part, p);
        normal.observe(
            &[height(p, 1.0)],
            -eave,
            1.0 / (EAVE_SIGMA_M * EAVE_SIGMA_M),
        );
    }
    let Some((factor, right)) = normal.factor() else {
        return;
    };
    let lift = factor.solve(&right);
    for (face, plane) in roofing.planes.iter_mut().enumerate() {
        plane.offset += lift[part[face]];
    }
}

/// The part's usual eave, or its lowest corner where it has none.
fn usual_eave_of(
    sheet: &Sheet,
    roofing: &Roofing,
    region: &Region,
    part: &[usize],
    p: usize,
) -> f64 {
    let own = Region {
        edges: region
            .edges
            .iter()
            .copied()
            .filter(|&e| sheet.edges[e].outer().is_some_and(|(f, _)| part[f] == p))
            .collect(),
        ..region.clone()
    };
    if let Some(eave) = usual_eave(sheet, roofing, &own) {
        return eave;
    }
    let corners = |f: usize| {
        sheet.faces[f]
            .rings
            .iter()
            .flatten()
            .map(|&side| sheet.nodes[sheet.ends(side).0])
    };
    region
        .faces
        .iter()
        .flat_map(|&f| corners(f).map(move |at| (f, at)))
        .map(|(f, at)| roofing.planes[f].height_at(at))
        .fold(f64::INFINITY, f64::min)
}
