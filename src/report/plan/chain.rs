//! Straight edges as a reader sees them: pieces of one class between the same faces, in one line, taken together.

use crate::geometry::Point3;
use crate::roof::{Edge, EdgeClass, FaceId, Roof};

/// Edges of one class between the same faces that follow each other in a straight line.
#[derive(Clone, Debug)]
pub(crate) struct Chain {
    pub(crate) class: EdgeClass,
    pub(crate) faces: Vec<FaceId>,
    pub(crate) start: Point3,
    pub(crate) end: Point3,
    pub(crate) plan_ft: f64,
    pub(crate) true_ft: f64,
    /// Whether only a part of the edge is drawn; the lengths are those of the whole.
    pub(crate) is_cut: bool,
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
            is_cut: false,
        }
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

/// All chains of a roof, in the order of its edges.
pub(crate) fn chains(roof: &Roof) -> Vec<Chain> {
    let mut chains: Vec<Chain> = Vec::new();
    for edge in &roof.edges {
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
