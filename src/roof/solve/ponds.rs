//! Where water cannot leave.
//!
//! A corner drains if it lies on the outline or on a step, if an edge leaves it downward, or if a face round it falls
//! into its own corner there. Corners joined by level edges drain together. A set in which no corner drains is a pond.

use std::collections::BTreeSet;

use crate::geometry::{Plane, Vector};

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
    edges_at: Vec<Vec<usize>>,
    corners_at: Vec<Vec<Corner>>,
}

/// A face's corner: the face lies between `next` (counter-clockwise) and `back`.
#[derive(Clone, Debug)]
struct Corner {
    face: usize,
    next: Vector,
    back: Vector,
}

impl Drainage {
    pub(super) fn new(sheet: &Sheet) -> Self {
        let mut on_outline = vec![false; sheet.nodes.len()];
        let mut edges_at = vec![Vec::new(); sheet.nodes.len()];
        for (index, edge) in sheet.edges.iter().enumerate() {
            edges_at[edge.a].push(index);
            edges_at[edge.b].push(index);
            if edge.both().is_none() {
                on_outline[edge.a] = true;
                on_outline[edge.b] = true;
            }
        }
        let mut faces_at = vec![Vec::new(); sheet.nodes.len()];
        let mut corners_at = vec![Vec::new(); sheet.nodes.len()];
        for (index, face) in sheet.faces.iter().enumerate() {
            for ring in &face.rings {
                for (at, &side) in ring.iter().enumerate() {
                    let back = ring[(at + ring.len() - 1) % ring.len()];
                    let (node, to) = sheet.ends(side);
                    let (from, _) = sheet.ends(back);
                    faces_at[node].push(index);
                    corners_at[node].push(Corner {
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
            edges_at,
            corners_at,
        }
    }

    /// The height of a node: the mean over the faces that meet there.
    fn height(&self, sheet: &Sheet, planes: &[Plane], node: usize) -> f64 {
        let faces = &self.faces_at[node];
        let p = sheet.nodes[node];
        let sum: f64 = faces.iter().map(|&f| planes[f].height_at(p)).sum();
        sum / faces.len().max(1) as f64
    }

    /// The ponds that hold any of these nodes: sets of nodes that cannot drain.
    pub(super) fn ponds(
        &self,
        sheet: &Sheet,
        planes: &[Plane],
        is_step: &[bool],
        nodes: &[usize],
    ) -> Vec<Vec<usize>> {
        let mut seen: BTreeSet<usize> = BTreeSet::new();
        let mut ponds = Vec::new();
        for &start in nodes {
            if seen.contains(&start) {
                continue;
            }
            let mut set = BTreeSet::from([start]);
            let mut open = vec![start];
            let mut drained = false;
            // A set that drains need not be known whole: eaves join the corners of a whole district.
            while let Some(node) = open.pop().filter(|_| !drained) {
                drained = self.on_outline[node] || self.runs_over_a_face(sheet, node, planes);
                let height = self.height(sheet, planes, node);
                for &index in &self.edges_at[node] {
                    let edge = &sheet.edges[index];
                    let other = if edge.a == node { edge.b } else { edge.a };
                    let fall = height - self.height(sheet, planes, other);
                    let limit = DOWN_M.max(DOWN_PER_M * edge.length);
                    drained |= is_step[index] || fall > limit;
                    if fall.abs() <= limit && !set.contains(&other) {
                        // Whoever was seen before and is not of this set was of one that drains.
                        drained |= seen.contains(&other);
                        set.insert(other);
                        open.push(other);
                    }
                }
            }
            seen.extend(set.iter().copied());
            if !drained {
                ponds.push(set.into_iter().collect());
            }
        }
        ponds
    }

    /// Level faces carry no water off: refining leaves them a fall of a hair, and that to any side.
    fn runs_over_a_face(&self, sheet: &Sheet, node: usize, planes: &[Plane]) -> bool {
        let falls = |corner: &&Corner| {
            let face = &sheet.faces[corner.face];
            let found = planes[corner.face].gradient.length();
            let slope = face.slope.unwrap_or(found);
            slope.atan().to_degrees() >= crate::roof::FLAT_BELOW_DEG
        };
        self.corners_at[node]
            .iter()
            .filter(falls)
            .any(|corner| falls_into(corner, -planes[corner.face].gradient))
    }

    /// The faces round a node.
    pub(super) fn faces_at(&self, node: usize) -> &[usize] {
        &self.faces_at[node]
    }
}

/// Whether water at the corner runs away over the face itself.
fn falls_into(corner: &Corner, fall: Vector) -> bool {
    if fall.is_zero() {
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
