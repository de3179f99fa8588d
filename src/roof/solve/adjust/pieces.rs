//! What was drawn, over the corners that it was snapped to.

use std::collections::BTreeMap;

use crate::geometry::Point;
use crate::roof::map::PlanMap;
use crate::roof::solve::sheet::Sheet;
use crate::units::METRES_PER_FOOT;

/// A drawn piece over the sheet's nodes.
pub(super) struct Piece {
    pub(super) ends: [Point; 2],
    pub(super) nodes: Vec<usize>,
    pub(super) anchored: [bool; 2],
    /// How many pieces were drawn through the very same point: it was traced once.
    pub(super) together: [f64; 2],
}

/// The drawn pieces that lie on this sheet, over its nodes.
pub(super) fn pieces(map: &PlanMap, sheet: &Sheet) -> Vec<Piece> {
    let mut slot = vec![None; map.nodes.len()];
    for (at, &node) in sheet.node_ids.iter().enumerate() {
        slot[node] = Some(at);
    }
    let local = |p: Point| Point::default() + (p - sheet.origin) * METRES_PER_FOOT;
    let bits = |p: Point| (p.x.to_bits(), p.y.to_bits());
    let mut traced: BTreeMap<(u64, u64), f64> = BTreeMap::new();
    for end in map.drawn.iter().flat_map(|piece| piece.ends) {
        *traced.entry(bits(end)).or_insert(0.0) += 1.0;
    }
    map.drawn
        .iter()
        .filter_map(|piece| {
            let nodes: Option<Vec<usize>> = piece.nodes.iter().map(|&n| slot[n]).collect();
            Some(Piece {
                ends: piece.ends.map(local),
                nodes: nodes.filter(|n| n.len() >= 2)?,
                anchored: piece.anchored,
                together: piece
                    .ends
                    .map(|end| traced.get(&bits(end)).copied().unwrap_or(1.0)),
            })
        })
        .collect()
}
