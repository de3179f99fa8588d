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

/// The drawn pieces of a map, ready to be handed to its sheets: a plan may have thousands of them, and each walks only its own.
pub(in crate::roof::solve) struct Drawn<'m> {
    map: &'m PlanMap,
    /// By node: the pieces that begin there.
    begins: Vec<Vec<usize>>,
    /// By piece: how many pieces were drawn through each of its ends.
    together: Vec<[f64; 2]>,
}

impl<'m> Drawn<'m> {
    pub(in crate::roof::solve) fn of(map: &'m PlanMap) -> Self {
        let bits = |p: Point| (p.x.to_bits(), p.y.to_bits());
        let mut traced: BTreeMap<(u64, u64), f64> = BTreeMap::new();
        for end in map.drawn.iter().flat_map(|piece| piece.ends) {
            *traced.entry(bits(end)).or_insert(0.0) += 1.0;
        }
        let mut begins = vec![Vec::new(); map.nodes.len()];
        for (index, piece) in map.drawn.iter().enumerate() {
            if let Some(&node) = piece.nodes.first() {
                begins[node].push(index);
            }
        }
        let times = |end: Point| traced.get(&bits(end)).copied().unwrap_or(1.0);
        let together = map.drawn.iter().map(|piece| piece.ends.map(times));
        Self {
            map,
            begins,
            together: together.collect(),
        }
    }

    /// Those that lie on this sheet, over its nodes, in the order in which they were drawn.
    pub(super) fn pieces(&self, sheet: &Sheet) -> Vec<Piece> {
        let slots = sheet.node_ids.iter().enumerate();
        let slots: BTreeMap<usize, usize> = slots.map(|(at, &node)| (node, at)).collect();
        let local = |p: Point| Point::default() + (p - sheet.origin) * METRES_PER_FOOT;
        let begun = sheet.node_ids.iter().flat_map(|&node| &self.begins[node]);
        let mut begun: Vec<usize> = begun.copied().collect();
        begun.sort_unstable();
        begun
            .into_iter()
            .filter_map(|index| {
                let piece = &self.map.drawn[index];
                let nodes: Option<Vec<usize>> =
                    piece.nodes.iter().map(|n| slots.get(n).copied()).collect();
                Some(Piece {
                    ends: piece.ends.map(local),
                    nodes: nodes.filter(|n| n.len() >= 2)?,
                    anchored: piece.anchored,
                    together: self.together[index],
                })
            })
            .collect()
    }
}
