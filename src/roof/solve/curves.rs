//! Curves drawn between two faces. Two planes meet in a straight line, so that no pitches make them meet in a curve: an eyebrow
//! dormer, or anything else round, is drawn on a level of its own, or as flat facets.

use crate::geometry::Sets;
use crate::roof::map::PlanMap;
use crate::{Finding, Place};

use super::pending::label;
use super::sheet::Sheet;
use super::words;

/// The curves between two faces of one sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct Curves {
    /// For each edge the curve that it is a piece of.
    of_edge: Vec<Option<usize>>,
    curves: Vec<Curve>,
}

#[derive(Clone, Debug)]
struct Curve {
    faces: [usize; 2],
    /// Its pieces, rising.
    edges: Vec<usize>,
}

impl Curves {
    /// Those that the map has flattened.
    pub(super) fn of(map: &PlanMap, sheet: &Sheet) -> Self {
        let mut curves = Self {
            of_edge: vec![None; sheet.edges.len()],
            curves: Vec::new(),
        };
        let is_round = |node: usize| map.round_nodes.binary_search(&sheet.node_ids[node]).is_ok();
        let pieces: Vec<usize> = (0..sheet.edges.len())
            .filter(|&edge| {
                let edge = &sheet.edges[edge];
                edge.both().is_some() && (is_round(edge.a) || is_round(edge.b))
            })
            .collect();
        let mut ends: Vec<(usize, usize)> = pieces
            .iter()
            .enumerate()
            .flat_map(|(at, &edge)| [sheet.edges[edge].a, sheet.edges[edge].b].map(|n| (n, at)))
            .filter(|&(node, _)| is_round(node))
            .collect();
        ends.sort_unstable();
        let mut joined = Sets::new(pieces.len());
        for pair in ends.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
            joined.join(pair[0].1, pair[1].1);
        }
        for (&edge, number) in pieces.iter().zip(joined.numbered()) {
            curves.of_edge[edge] = Some(number);
            match curves.curves.get_mut(number) {
                Some(curve) => curve.edges.push(edge),
                None => curves
                    .curves
                    .extend(sheet.edges[edge].both().map(|(left, right)| Curve {
                        faces: [left, right],
                        edges: vec![edge],
                    })),
            }
        }
        curves
    }

    /// The curve that an edge is a piece of.
    pub(super) fn of_edge(&self, edge: usize) -> Option<usize> {
        self.of_edge[edge]
    }

    /// Those along which planes do not meet (`off`), an error where they are too far off (`refused`).
    pub(super) fn told(&self, sheet: &Sheet, off: &[usize], refused: &[usize]) -> Vec<Finding> {
        let numbered = self.curves.iter().enumerate();
        numbered
            .filter(|(number, _)| off.contains(number))
            .map(|(number, curve)| curve.told(sheet, refused.contains(&number)))
            .collect()
    }

    /// The others that bound a face which is asked about.
    pub(super) fn beside(
        &self,
        sheet: &Sheet,
        asked: &[usize],
        told: &[usize],
        refused: bool,
    ) -> Vec<Finding> {
        let numbered = self.curves.iter().enumerate();
        numbered
            .filter(|(number, curve)| {
                !told.contains(number) && curve.faces.iter().any(|face| asked.contains(face))
            })
            .map(|(_, curve)| curve.told(sheet, refused))
            .collect()
    }
}

impl Curve {
    fn told(&self, sheet: &Sheet, refused: bool) -> Finding {
        let [one, other] = self.faces.map(|face| label(sheet, face));
        let [from, to] = self
            .ends(sheet)
            .map(|node| words::place(sheet.to_plan(sheet.nodes[node])));
        let run = if from == to {
            format!("through {from}")
        } else {
            format!("from {from} to {to}")
        };
        let message = format!(
            "the curve {run} is drawn between faces of {one} and {other}, and two planes meet in a straight line only"
        );
        let finding = if refused {
            Finding::error("curve-between-faces", message)
        } else {
            Finding::warning("curve-between-faces", message)
        };
        let middle = &sheet.edges[self.edges[self.edges.len() / 2]];
        let at = sheet.nodes[middle.a].midpoint(sheet.nodes[middle.b]);
        finding
            .remedy("Draw what is round, such as an eyebrow dormer, on a layer `upper` with its pitch on a layer `upper pitch`, or as flat facets with straight lines between them.")
            .place(Place::at(sheet.to_plan(at)))
    }

    /// The two nodes in which only one piece ends; the first one of a closed curve twice.
    fn ends(&self, sheet: &Sheet) -> [usize; 2] {
        let mut nodes: Vec<usize> = self
            .edges
            .iter()
            .flat_map(|&edge| [sheet.edges[edge].a, sheet.edges[edge].b])
            .collect();
        nodes.sort_unstable();
        let single: Vec<usize> = nodes
            .chunk_by(|a, b| a == b)
            .filter(|same| same.len() == 1)
            .map(|same| same[0])
            .collect();
        match single[..] {
            [from, to] => [from, to],
            _ => [nodes[0], nodes[0]],
        }
    }
}
