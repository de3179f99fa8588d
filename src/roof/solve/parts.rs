//! How high the parts of a roof with steps or walls stand over each other.
//!
//! Parts tied by shared edges are rigid; between parts the lines fix nothing. What is taken, and told, is what is usual:
//! a face that falls to a step or a wall stands over a face that rises to it, and eaves share one height where nothing says
//! otherwise.

use std::collections::BTreeMap;

use crate::geometry::{Sets, Vector};

use super::refine::gaps_between;
use super::region::{Region, Roofing, usual_eave};
use super::sheet::{Sheet, SheetEdge};
use super::sparse::{Normal, Pattern, Term, thin_order};

/// What a step measures where nothing is known (metres), and how loosely.
const USUAL_STEP_M: f64 = 0.6;
const STEP_SIGMA_M: f64 = 0.5;
/// How loosely eaves share one height (metres).
const EAVE_SIGMA_M: f64 = 3.0;
/// At a wall that is drawn the lower roof hangs below the other one for sure (metres).
const WALL_SIGMA_M: f64 = 0.02;
/// Faces whose rises towards a wall differ by less (rise over run) run along it alike: which is the lower one is not said.
const ALIKE: f64 = 0.035;

/// For each face the number of its part: faces that edges tie to each other, over which heights are known.
pub(super) fn parts(sheet: &Sheet, is_step: &[bool]) -> Vec<usize> {
    let mut sets = Sets::new(sheet.faces.len());
    for (index, edge) in sheet.edges.iter().enumerate() {
        if let Some((left, right)) = edge.both().filter(|_| !is_step[index]) {
            sets.join(left, right);
        }
    }
    sets.numbered()
}

/// Where two faces run up to a wall, by how much more the left one falls to it than the right one, as rise over run: the
/// left one stands over it where that is above 0, the right one where it is below. `None` where that does not say it: both
/// run along it, both rise or both fall to it.
pub(super) fn over_wall(edge: &SheetEdge, left: Vector, right: Vector) -> Option<f64> {
    let normal = edge.along.turn_left();
    let (left, right) = (left.dot(normal), -right.dot(normal));
    let alike = left.min(right) > ALIKE || left.max(right) < -ALIKE;
    Some(left - right).filter(|lean| lean.abs() > ALIKE && !alike)
}

/// Whether one of two faces that run up to a wall rises to it.
pub(super) fn rises_to_wall(edge: &SheetEdge, left: Vector, right: Vector) -> bool {
    let normal = edge.along.turn_left();
    left.dot(normal).min(-right.dot(normal)) < -ALIKE
}

/// Lifts the parts of a roof with steps or walls against each other.
pub(super) fn stack(sheet: &Sheet, face_edges: &[Vec<usize>], roofing: &mut Roofing) {
    let part = parts(sheet, &roofing.is_step);
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
        links.push((a, b));
        // Side by side along their falls, as a breezeway lies between two gables, or level both: only their eaves, or lowest
        // corners, say how high they are.
        if into_left.abs().max(into_right.abs()) < ALIKE {
            continue;
        }
        let usual = (into_left - into_right).clamp(-1.0, 1.0) * USUAL_STEP_M;
        rows.push((
            a,
            b,
            usual - gap,
            edge.length / (STEP_SIGMA_M * STEP_SIGMA_M),
        ));
    }
    for ((a, b), wall) in walls(sheet, roofing, &part) {
        links.push((a, b));
        rows.extend(wall.map(|(gap, weight)| (a, b, gap, weight)));
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

/// What a wall says of two parts: by how much the first one is to be lifted over the second one, at least (1) or at most (−1),
/// and how long the wall is.
type Hung = (f64, f64, f64);

/// For each two parts with walls between them how much the first one is to be lifted over the second one, and how surely;
/// nothing where the falls do not say which stands over the wall, or say both.
fn walls(
    sheet: &Sheet,
    roofing: &Roofing,
    part: &[usize],
) -> BTreeMap<(usize, usize), Option<(f64, f64)>> {
    let tower = towers(sheet, part);
    // The lift that is needed, and the length, of each wall between two parts.
    let mut all: BTreeMap<(usize, usize), Vec<Option<Hung>>> = BTreeMap::new();
    for edge in sheet.edges.iter().filter(|e| e.on_wall) {
        let (Some(left), Some(right)) = (edge.left, edge.right) else {
            continue;
        };
        let first_is_left = part[left] < part[right];
        let (first, second) = match first_is_left {
            true => (left, right),
            false => (right, left),
        };
        if part[first] == part[second] {
            continue;
        }
        let [g, h] = [left, right].map(|f| roofing.planes[f].gradient);
        let lean = match (tower[part[left]], tower[part[right]]) {
            (true, false) => Some(1.0),
            (false, true) => Some(-1.0),
            _ => over_wall(edge, g, h),
        };
        let said = lean.map(|lean| {
            let (first_is_over, clear) = (
                (lean > 0.0) == first_is_left,
                lean.abs().min(1.0) * USUAL_STEP_M,
            );
            let ends = gaps_between(
                &sheet.nodes,
                edge,
                roofing.planes[first],
                roofing.planes[second],
            );
            // The upper one stands clear of the lower one all along.
            if first_is_over {
                (clear - ends[0].min(ends[1]), 1.0, edge.length)
            } else {
                (-clear - ends[0].max(ends[1]), -1.0, edge.length)
            }
        });
        all.entry((part[first], part[second]))
            .or_default()
            .push(said);
    }
    let of_pair = |said: Vec<Option<Hung>>| {
        let said: Vec<Hung> = said.into_iter().flatten().collect();
        let (_, sign, _) = *said.first()?;
        if said.iter().any(|s| s.1 != sign) {
            return None;
        }
        let lift = said.iter().map(|s| sign * s.0).fold(f64::MIN, f64::max) * sign;
        let length: f64 = said.iter().map(|s| s.2).sum();
        Some((lift, length / (WALL_SIGMA_M * WALL_SIGMA_M)))
    };
    all.into_iter()
        .map(|(pair, said)| (pair, of_pair(said)))
        .collect()
}

/// For each part whether it is level roofs with walls all round them and others beyond: such a one stands out of the slope, since sunk
/// into it it would fill with water.
pub(super) fn towers(sheet: &Sheet, part: &[usize]) -> Vec<bool> {
    let mut tower = vec![true; part.iter().max().map_or(0, |m| m + 1)];
    for (face, &p) in sheet.faces.iter().zip(part) {
        tower[p] &= face.is_flat();
    }
    for edge in &sheet.edges {
        let [left, right] = [edge.left, edge.right].map(|side| side.map(|f| part[f]));
        if left != right && !(edge.on_wall && left.is_some() && right.is_some()) {
            for p in left.into_iter().chain(right) {
                tower[p] = false;
            }
        }
    }
    tower
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
