//! Where water cannot leave.
//!
//! A corner drains if it lies on the outline or on a step, if an edge leaves it downward, or if a face round it falls
//! into its own corner there. Corners joined by level edges drain together. A set in which no corner drains is a pond.

use crate::geometry::{Plane, Vector};

use super::sets::Sets;
use super::sheet::Sheet;

/// An edge leads downward when it falls more than this in all (metres) ...
const DOWN_M: f64 = 0.03;
/// ... and more than this per metre.
const DOWN_PER_M: f64 = 0.015;

/// What does not depend on the falls: which corners lie on the outline, and the corners of the faces.
#[derive(Clone, Debug)]
pub(super) struct Drainage {
    on_outline: Vec<bool>,
    faces_at: Vec<Vec<usize>>,
    corners: Vec<Corner>,
}

/// A face's corner: at `node`, the face lies between `next` (counter-clockwise) and `back`.
#[derive(Clone, Debug)]
struct Corner {
    node: usize,
    face: usize,
    next: Vector,
    back: Vector,
}

impl Drainage {
    pub(super) fn new(sheet: &Sheet) -> Self {
        let mut on_outline = vec![false; sheet.nodes.len()];
        for edge in &sheet.edges {
            if edge.both().is_none() {
                on_outline[edge.a] = true;
                on_outline[edge.b] = true;
            }
        }
        let mut faces_at = vec![Vec::new(); sheet.nodes.len()];
        let mut corners = Vec::new();
        for (index, face) in sheet.faces.iter().enumerate() {
            for ring in &face.rings {
                for (at, &side) in ring.iter().enumerate() {
                    let back = ring[(at + ring.len() - 1) % ring.len()];
                    let (node, to) = sheet.ends(side);
                    let (from, _) = sheet.ends(back);
                    faces_at[node].push(index);
                    corners.push(Corner {
                        node,
                        face: index,
                        next: sheet.nodes[to] - sheet.nodes[node],
                        back: sheet.nodes[from] - sheet.nodes[node],
                    });
                }
            }
        }
        Self {
            on_outline,
            faces_at,
            corners,
        }
    }

    /// The height of every node: the mean over the faces that meet there.
    pub(super) fn node_heights(&self, sheet: &Sheet, planes: &[Plane]) -> Vec<f64> {
        self.faces_at
            .iter()
            .zip(&sheet.nodes)
            .map(|(faces, &p)| {
                let sum: f64 = faces.iter().map(|&f| planes[f].height_at(p)).sum();
                sum / faces.len().max(1) as f64
            })
            .collect()
    }

    /// The ponds: sets of nodes that cannot drain.
    pub(super) fn ponds(
        &self,
        sheet: &Sheet,
        planes: &[Plane],
        is_step: &[bool],
    ) -> Vec<Vec<usize>> {
        let heights = self.node_heights(sheet, planes);
        let mut drains = self.on_outline.clone();
        let mut sets = Sets::new(sheet.nodes.len());
        for (edge, &step) in sheet.edges.iter().zip(is_step) {
            if step {
                drains[edge.a] = true;
                drains[edge.b] = true;
                continue;
            }
            let fall = heights[edge.a] - heights[edge.b];
            let limit = DOWN_M.max(DOWN_PER_M * edge.length);
            if fall > limit {
                drains[edge.a] = true;
            } else if -fall > limit {
                drains[edge.b] = true;
            } else {
                sets.join(edge.a, edge.b);
            }
        }
        for corner in &self.corners {
            if !drains[corner.node] && falls_into(corner, -planes[corner.face].gradient) {
                drains[corner.node] = true;
            }
        }
        let number = sets.numbered();
        let mut members: Vec<Vec<usize>> =
            vec![Vec::new(); number.iter().max().map_or(0, |m| m + 1)];
        let mut drained = vec![false; members.len()];
        for (node, &set) in number.iter().enumerate() {
            members[set].push(node);
            drained[set] |= drains[node];
        }
        members
            .into_iter()
            .zip(drained)
            .filter_map(|(nodes, drained)| (!drained).then_some(nodes))
            .collect()
    }
}

/// Whether water at the corner runs away over the face itself.
fn falls_into(corner: &Corner, fall: Vector) -> bool {
    if fall.length() == 0.0 {
        return false;
    }
    let turn = |v: Vector| {
        corner
            .next
            .cross(v)
            .atan2(corner.next.dot(v))
            .rem_euclid(std::f64::consts::TAU)
    };
    let inside = turn(corner.back);
    // A spike (the ring turns back on itself) sees the whole circle.
    let inside = if inside == 0.0 {
        std::f64::consts::TAU
    } else {
        inside
    };
    let at = turn(fall);
    at > 0.0 && at < inside
}
