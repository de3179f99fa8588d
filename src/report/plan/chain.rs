//! Straight edges as a reader sees them: pieces of one class between the same faces, in one line, taken together.

use std::collections::BTreeSet;

use crate::geometry::Point3;
use crate::roof::{Edge, EdgeClass, EdgeId, FaceId, Roof};

/// Edges of one class between the same faces that follow each other in a straight line.
#[derive(Clone, Debug)]
pub(crate) struct Chain {
    pub(crate) class: EdgeClass,
    pub(crate) faces: Vec<FaceId>,
    pub(crate) start: Point3,
    pub(crate) end: Point3,
    pub(crate) plan_ft: f64,
    pub(crate) true_ft: f64,
    /// Whether it is a piece of a round edge.
    pub(crate) round: Option<RoundPiece>,
    /// Whether only a part of the edge is drawn; the lengths are those of the whole.
    pub(crate) is_cut: bool,
}

/// A piece of a round edge: the middle one is lettered for all of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct RoundPiece {
    /// Plan and true length of the whole edge in feet, on its middle piece.
    pub(crate) whole_ft: Option<(f64, f64)>,
}

/// Ends closer than this are one point: a thousandth of an inch, far below what anybody traces.
const SAME_POINT_FT: f64 = 0.001 / 12.0;
/// Pieces within this of one direction are one line (sine of the angle): 0.2°, where no eye sees a bend.
const STRAIGHT: f64 = 0.0035;

impl Chain {
    fn of(edge: &Edge) -> Self {
        let mut faces = edge.faces.clone();
        faces.sort();
        Self {
            class: edge.class,
            faces,
            start: edge.start,
            end: edge.end,
            plan_ft: edge.plan_length.to_feet(),
            true_ft: edge.true_length.to_feet(),
            round: None,
            is_cut: false,
        }
    }
    /// What is lettered beside it: itself, the round edge that it is the middle of, or nothing.
    pub(crate) fn lettered(&self) -> Option<Self> {
        let Some(piece) = self.round else {
            return Some(self.clone());
        };
        let (plan_ft, true_ft) = piece.whole_ft?;
        Some(Self {
            plan_ft,
            true_ft,
            ..self.clone()
        })
    }
    fn reversed(mut self) -> Self {
        std::mem::swap(&mut self.start, &mut self.end);
        self
    }
    /// Rise from the lower to the higher end.
    pub(crate) fn rise_ft(&self) -> f64 {
        (self.end.z - self.start.z).abs()
    }
    /// Both in one, where the other begins or ends where this one does and runs on straight.
    fn joined(&self, other: &Self) -> Option<Self> {
        if self.class != other.class || self.faces != other.faces {
            return None;
        }
        for first in [self.clone(), self.clone().reversed()] {
            for second in [other.clone(), other.clone().reversed()] {
                if first.end.distance(second.start) < SAME_POINT_FT && runs_on(&first, &second) {
                    return Some(Self {
                        end: second.end,
                        plan_ft: first.plan_ft + second.plan_ft,
                        true_ft: first.true_ft + second.true_ft,
                        ..first
                    });
                }
            }
        }
        None
    }
}

fn runs_on(first: &Chain, second: &Chain) -> bool {
    let direction = |c: &Chain| (c.end.plan() - c.start.plan()).unit();
    match (direction(first), direction(second)) {
        (Some(a), Some(b)) => a.dot(b) > 0.0 && a.cross(b).abs() < STRAIGHT,
        _ => false,
    }
}

/// As [`chains`], but a round edge is one chain from end to end: for lists, where its pieces say nothing.
pub(crate) fn whole(roof: &Roof) -> Vec<Chain> {
    let mut chains = straight(roof);
    chains.extend(roof.round_edges.iter().filter_map(|arc| {
        let (first, last) = (roof.edge(*arc.first()?), roof.edge(*arc.last()?));
        let (plan_ft, true_ft) = lengths(roof, arc);
        Some(Chain {
            end: last.end,
            plan_ft,
            true_ft,
            ..Chain::of(first)
        })
    }));
    chains
}

/// All chains of a roof: the straight ones in the order of its edges, then the pieces of its round edges.
pub(crate) fn chains(roof: &Roof) -> Vec<Chain> {
    let mut chains = straight(roof);
    for arc in &roof.round_edges {
        chains.extend(arc.iter().enumerate().map(|(i, &id)| Chain {
            round: Some(RoundPiece {
                whole_ft: (i == arc.len() / 2).then(|| lengths(roof, arc)),
            }),
            ..Chain::of(roof.edge(id))
        }));
    }
    chains
}

/// Plan and true length of a round edge in feet.
fn lengths(roof: &Roof, arc: &[EdgeId]) -> (f64, f64) {
    arc.iter().fold((0.0, 0.0), |(plan, on_roof), &id| {
        let edge = roof.edge(id);
        (
            plan + edge.plan_length.to_feet(),
            on_roof + edge.true_length.to_feet(),
        )
    })
}

fn straight(roof: &Roof) -> Vec<Chain> {
    let round: BTreeSet<EdgeId> = roof.round_edges.iter().flatten().copied().collect();
    let straight = (0..roof.edges.len()).filter(|&i| !round.contains(&EdgeId(i)));
    joined(straight.map(|i| &roof.edges[i]))
}

fn joined<'a>(edges: impl Iterator<Item = &'a Edge>) -> Vec<Chain> {
    let mut chains: Vec<Chain> = Vec::new();
    for edge in edges {
        let mut chain = Chain::of(edge);
        // Joining may make a new neighbour of another chain: try until nothing joins.
        while let Some((i, longer)) = chains
            .iter()
            .enumerate()
            .find_map(|(i, other)| other.joined(&chain).map(|longer| (i, longer)))
        {
            chains.remove(i);
            chain = longer;
        }
        chains.push(chain);
    }
    chains
}
