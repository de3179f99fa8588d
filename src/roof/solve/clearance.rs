//! How far each node lies from the next node or line that is none of its own.

use rstar::primitives::{GeomWithData, Line};
use rstar::{PointDistance, RTree};

use super::sheet::Sheet;

/// For each node the distance in metres to the nearest edge (with its ends) that does not meet in it, or to the other
/// end of its shortest own edge where that is nearer.
pub(super) fn clearances(sheet: &Sheet) -> Vec<f64> {
    let mut shortest = vec![f64::INFINITY; sheet.nodes.len()];
    for edge in &sheet.edges {
        for node in [edge.a, edge.b] {
            shortest[node] = shortest[node].min(edge.length);
        }
    }
    let lines = sheet
        .edges
        .iter()
        .enumerate()
        .map(|(index, edge)| {
            let at = |n: usize| [sheet.nodes[n].x, sheet.nodes[n].y];
            GeomWithData::new(Line::new(at(edge.a), at(edge.b)), index)
        })
        .collect();
    let tree = RTree::bulk_load(lines);
    sheet
        .nodes
        .iter()
        .enumerate()
        .map(|(node, p)| {
            let at = [p.x, p.y];
            let foreign = tree
                .nearest_neighbor_iter(&at)
                .find(|line| {
                    let edge = &sheet.edges[line.data];
                    edge.a != node && edge.b != node
                })
                .map_or(f64::INFINITY, |line| line.distance_2(&at).sqrt());
            foreign.min(shortest[node])
        })
        .collect()
}
