//! One height for every corner.

use std::collections::BTreeMap;

use crate::geometry::{Plane, Point, Sets};

use super::sheet::Sheet;

/// Corners of faces that touch only in a point share its height when they are nearer than this (metres) ...
const TOUCH_M: f64 = 0.08;

/// A face whose own corner is nearer (metres) to the one height of all has that height.
const OWN_M: f64 = 0.001;

/// The heights of corners and how far the planes disagree about them.
#[derive(Clone, Debug, Default)]
pub(super) struct CornerHeights {
    /// Metres, by (node, face).
    pub(super) height: BTreeMap<(usize, usize), f64>,
    /// Where a face is taken as written though it does not meet its neighbours there, its own height.
    pub(super) own: BTreeMap<(usize, usize), f64>,
    /// The largest difference between a plane and the height that its corner got, in metres, and the node.
    pub(super) worst: Option<(f64, usize)>,
}

/// Corners of one node that meet over shared edges (or nearly touch) get the mean of their planes' heights; corners on
/// the two sides of a step keep their own. `nodes` are the adjusted corners in sheet metres. With `as_written` faces that part
/// are told of, and keep their own heights besides.
pub(super) fn corner_heights(
    sheet: &Sheet,
    nodes: &[Point],
    planes: &[Plane],
    is_step: &[bool],
    as_written: bool,
) -> CornerHeights {
    let mut faces_at: Vec<Vec<usize>> = vec![Vec::new(); sheet.nodes.len()];
    let mut inner_at: Vec<Vec<(usize, usize)>> = vec![Vec::new(); sheet.nodes.len()];
    for (index, edge) in sheet.edges.iter().enumerate() {
        for node in [edge.a, edge.b] {
            faces_at[node].extend([edge.left, edge.right].into_iter().flatten());
            if let Some(both) = edge.both().filter(|_| !is_step[index]) {
                inner_at[node].push(both);
            }
        }
    }
    let mut result = CornerHeights::default();
    for (node, faces) in faces_at.iter_mut().enumerate() {
        faces.sort_unstable();
        faces.dedup();
        let heights: Vec<f64> = faces
            .iter()
            .map(|&f| planes[f].height_at(nodes[node]))
            .collect();
        let slot = |face: usize| faces.binary_search(&face).unwrap_or(0);
        let mut sets = Sets::new(faces.len());
        for &(left, right) in &inner_at[node] {
            sets.join(slot(left), slot(right));
        }
        join_touching(&mut sets, &heights, TOUCH_M + sheet.tolerance);
        let number = sets.numbered();
        for (at, &face) in faces.iter().enumerate() {
            let (sum, count) = number
                .iter()
                .zip(&heights)
                .filter(|(n, _)| **n == number[at])
                .fold((0.0, 0), |(sum, count), (_, h)| (sum + h, count + 1));
            let mean = sum / f64::from(count);
            let off = (heights[at] - mean).abs();
            if result.worst.is_none_or(|(worst, _)| off > worst) {
                result.worst = Some((off, node));
            }
            result.height.insert((node, face), mean);
            if as_written && off > OWN_M {
                result.own.insert((node, face), heights[at]);
            }
        }
    }
    result
}

fn join_touching(sets: &mut Sets, heights: &[f64], limit: f64) {
    for a in 0..heights.len() {
        for b in a + 1..heights.len() {
            if (heights[a] - heights[b]).abs() <= limit {
                sets.join(a, b);
            }
        }
    }
}
