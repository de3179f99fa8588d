//! A roof's planes with some of them changed: what the change costs, looking only where it matters.

use std::collections::BTreeSet;

use crate::geometry::{Plane, Sets, Vector};

use super::cost;
use super::ponds::Drainage;
use super::refine::{Planes, gaps_between};
use super::sheet::Sheet;

/// What a pond costs. On no real roof of the set that the weights were fitted on does water stand, so this is a rule: a
/// roof with a pond is taken only where no other fits.
pub(super) const POND: f64 = 40.0;
/// Eaves off their usual height: per unit length and metre of excess.
const UNEVEN_EAVE: f64 = 0.6;
/// Free excess, and the most that counts (metres).
const EAVE_SLACK_M: f64 = 0.05;
const EAVE_MOST_M: f64 = 1.0;
/// An edge this near to square to the fall (degrees) may be an eave.
const EAVE_DEG: f64 = 8.0;

/// A whole choice of planes.
#[derive(Clone, Debug)]
pub(super) struct Roofing {
    /// The gradients chosen, before refining.
    pub(super) chosen: Vec<Vector>,
    pub(super) planes: Planes,
    pub(super) is_step: Vec<bool>,
}

impl Roofing {
    /// The gradient that the cost sees: level faces stay level, whatever refining made of them.
    fn gradient(&self, face: usize) -> Vector {
        if self.chosen[face].is_zero() {
            Vector::default()
        } else {
            self.planes[face].gradient
        }
    }
}

/// The part of a sheet that a change touches.
#[derive(Clone, Debug)]
pub(super) struct Region {
    pub(super) faces: Vec<usize>,
    pub(super) edges: Vec<usize>,
    pub(super) nodes: Vec<usize>,
}

impl Region {
    /// These faces (rising) with their edges and corners.
    pub(super) fn new(sheet: &Sheet, face_edges: &[Vec<usize>], faces: Vec<usize>) -> Self {
        let mut edges: Vec<usize> = faces
            .iter()
            .flat_map(|&f| face_edges[f].iter().copied())
            .collect();
        edges.sort_unstable();
        edges.dedup();
        let mut nodes: Vec<usize> = edges
            .iter()
            .flat_map(|&e| [sheet.edges[e].a, sheet.edges[e].b])
            .collect();
        nodes.sort_unstable();
        nodes.dedup();
        Self {
            faces,
            edges,
            nodes,
        }
    }

    /// The whole sheet.
    pub(super) fn whole(sheet: &Sheet) -> Self {
        Self {
            faces: (0..sheet.faces.len()).collect(),
            edges: (0..sheet.edges.len()).collect(),
            nodes: (0..sheet.nodes.len()).collect(),
        }
    }
}

/// A cost with the parts that are tests.
#[derive(Clone, Debug, Default)]
pub(super) struct Price {
    pub(super) cost: f64,
    pub(super) gap_cost: f64,
    /// Sets of nodes that cannot drain.
    pub(super) ponds: Vec<Vec<usize>>,
}

/// What the region costs with these planes. `usual_eave` is the height that eaves share.
pub(super) fn price(
    sheet: &Sheet,
    face_edges: &[Vec<usize>],
    drainage: &Drainage,
    roofing: &Roofing,
    region: &Region,
    usual_eave: f64,
) -> Price {
    let mut price = Price::default();
    let mut tied = tied_faces(sheet, roofing, region);
    let mut lines_of_steps = BTreeSet::new();
    for &face in &region.faces {
        price.cost += cost::alone(sheet, &face_edges[face], face, roofing.gradient(face));
    }
    for &index in &region.edges {
        let edge = &sheet.edges[index];
        let Some((left, right)) = edge.both() else {
            if let Some((height, length)) = eave(sheet, roofing, index) {
                let excess = ((height - usual_eave).abs() - EAVE_SLACK_M).clamp(0.0, EAVE_MOST_M);
                price.cost += UNEVEN_EAVE * length / sheet.unit_length * excess;
            }
            continue;
        };
        if roofing.is_step[index] {
            price.cost += cost::step_along(sheet, edge);
            lines_of_steps.insert(sheet.lines[index]);
            price.cost += against_wall(sheet, roofing, index, &mut tied);
            continue;
        }
        let (g, h) = (roofing.gradient(left), roofing.gradient(right));
        let steeper = g.length().max(h.length());
        price.cost += cost::crease(sheet, edge, g, h, steeper);
        let gaps = gaps_between(
            &sheet.nodes,
            edge,
            roofing.planes[left],
            roofing.planes[right],
        );
        price.gap_cost += cost::solved_gap(sheet, gaps, steeper);
    }
    price.cost += cost::STEP_LINE * lines_of_steps.len() as f64;
    price.ponds = drainage.ponds(sheet, &roofing.planes, &roofing.is_step, &region.nodes);
    price.cost += price.gap_cost + POND * price.ponds.len() as f64;
    price
}

/// The sets of faces whose heights over each other are known, since they share edges; empty where there is no step to ask
/// about.
fn tied_faces(sheet: &Sheet, roofing: &Roofing, region: &Region) -> Sets {
    if !region.edges.iter().any(|&index| roofing.is_step[index]) {
        return Sets::new(0);
    }
    let mut sets = Sets::new(sheet.faces.len());
    for &index in &region.edges {
        if let Some((left, right)) = sheet.edges[index]
            .both()
            .filter(|_| !roofing.is_step[index])
        {
            sets.join(left, right);
        }
    }
    sets
}

/// What it costs that the lower face of a step falls towards the wall of the upper one. Where nothing ties their heights, the
/// wall may stand on the other side.
fn against_wall(sheet: &Sheet, roofing: &Roofing, index: usize, tied: &mut Sets) -> f64 {
    let edge = &sheet.edges[index];
    let Some((left, right)) = edge.both().filter(|&(l, r)| tied.find(l) == tied.find(r)) else {
        return 0.0;
    };
    let gaps = gaps_between(
        &sheet.nodes,
        edge,
        roofing.planes[left],
        roofing.planes[right],
    );
    let gap = (gaps[0] + gaps[1]) / 2.0;
    let (lower, towards) = if gap > 0.0 {
        (right, edge.along.turn_left())
    } else {
        (left, -edge.along.turn_left())
    };
    cost::against_wall(sheet, edge, roofing.gradient(lower), towards)
}

/// The height and length of an outer edge if it is an eave.
fn eave(sheet: &Sheet, roofing: &Roofing, index: usize) -> Option<(f64, f64)> {
    let edge = &sheet.edges[index];
    let (face, out) = edge.outer()?;
    let g = roofing.gradient(face);
    let off = g.angle_to_deg(-out);
    if g.is_zero() || g.dot(out) >= 0.0 || off > EAVE_DEG {
        return None;
    }
    let middle = sheet.nodes[edge.a].midpoint(sheet.nodes[edge.b]);
    let plane: Plane = roofing.planes[face];
    Some((plane.height_at(middle), edge.length))
}

/// The median height of the region's eaves, by length; `None` where it has none.
pub(super) fn usual_eave(sheet: &Sheet, roofing: &Roofing, region: &Region) -> Option<f64> {
    let mut eaves: Vec<(f64, f64)> = region
        .edges
        .iter()
        .filter_map(|&index| eave(sheet, roofing, index))
        .collect();
    eaves.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half: f64 = eaves.iter().map(|v| v.1).sum::<f64>() / 2.0;
    let mut sum = 0.0;
    for (height, length) in eaves {
        sum += length;
        if sum >= half {
            return Some(height);
        }
    }
    None
}
