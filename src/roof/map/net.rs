//! The working graph: nodes, and for every piece the chain of nodes that it runs through.
//!
//! Every step (joining ends, splitting at joints and crossings, mending) only rewrites chains and moves nodes, so that
//! it is known at any time which pieces an edge was drawn with.

use super::piece::Piece;
use crate::geometry::{Point, Vector};

/// Nodes and chains.
#[derive(Clone, Debug, Default)]
pub(super) struct Net {
    /// Where each node is.
    pub(super) nodes: Vec<Point>,
    /// For each piece the nodes from its first end to its second; empty where the piece fell away.
    pub(super) chains: Vec<Vec<usize>>,
    /// For each node the pieces that end there, as (piece, 0 or 1).
    pub(super) ends: Vec<Vec<(usize, usize)>>,
    /// For each node the pieces that run through it.
    pub(super) through: Vec<Vec<usize>>,
    /// Loose ends that were mended.
    pub(super) mended: Vec<Mended>,
}

/// One loose end that was mended.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mended {
    pub(super) how: How,
    /// Where it is now.
    pub(super) at: Point,
    /// How far it was taken, in feet.
    pub(super) by_ft: f64,
}

/// How a loose end was mended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum How {
    /// Taken on to the next line or corner.
    Extended,
    /// Cut off where it had passed its joint.
    Cut,
}

/// A line's pull on a node, against 1 of a line that ends there: joints keep to the line that they stand on.
const THROUGH_WEIGHT: f64 = 4.0;
/// The pull of a drawn end on its node, against 1 of its line.
const END_WEIGHT: f64 = 0.25;
/// ... and where shapes meet that were set back from each other: their corners stand back by the gap, their lines do not.
const CORNER_WEIGHT: f64 = 0.02;
/// Sides of two shapes that differ by less than this in direction are one edge (the sine of 6°) ...
const ONE_EDGE_SIN: f64 = 0.1;
/// ... and were set back from each other by a program, not drawn by hand, where they differ by less than this.
const SET_BACK_SIN: f64 = 0.002;

/// An edge between two nodes, the smaller index first, and the pieces that it was drawn with.
#[derive(Clone, Debug)]
pub(super) struct Link {
    pub(super) a: usize,
    pub(super) b: usize,
    pub(super) pieces: Vec<usize>,
}

impl Net {
    /// A new node that nothing ends in.
    pub(super) fn add_node(&mut self, at: Point) -> usize {
        self.nodes.push(at);
        self.ends.push(Vec::new());
        self.through.push(Vec::new());
        self.nodes.len() - 1
    }

    /// The edges of all chains, doubled ones once, in the order of their nodes.
    pub(super) fn links(&self) -> Vec<Link> {
        let mut uses: Vec<(usize, usize, usize)> = Vec::new();
        for (piece, chain) in self.chains.iter().enumerate() {
            for pair in chain.windows(2) {
                if pair[0] != pair[1] {
                    uses.push((pair[0].min(pair[1]), pair[0].max(pair[1]), piece));
                }
            }
        }
        uses.sort_unstable();
        let mut links: Vec<Link> = Vec::new();
        for (a, b, piece) in uses {
            match links.last_mut() {
                Some(link) if link.a == a && link.b == b => {
                    if link.pieces.last() != Some(&piece) {
                        link.pieces.push(piece);
                    }
                }
                _ => links.push(Link {
                    a,
                    b,
                    pieces: vec![piece],
                }),
            }
        }
        links
    }

    /// How many edges meet in each node.
    pub(super) fn degrees(&self, links: &[Link]) -> Vec<usize> {
        let mut degrees = vec![0; self.nodes.len()];
        for link in links {
            degrees[link.a] += 1;
            degrees[link.b] += 1;
        }
        degrees
    }

    /// Puts `node` where the lines that end in it and run through it pass nearest, the drawn ends pulling a little.
    /// Where all drawn ends are one point and no line runs through, the node is exactly that point.
    pub(super) fn settle(&mut self, node: usize, pieces: &[Piece]) {
        let Some(&(first, side)) = self.ends[node].first() else {
            return;
        };
        let origin = pieces[first].ends[side];
        let alike = self.ends[node]
            .iter()
            .all(|&(p, s)| pieces[p].ends[s] == origin);
        if alike && self.through[node].is_empty() {
            self.nodes[node] = origin;
            return;
        }
        let end_weight = if set_back(&self.ends[node], pieces) {
            CORNER_WEIGHT
        } else {
            END_WEIGHT
        };
        let mut sum = Normal::default();
        for &(piece, side) in &self.ends[node] {
            let ends = pieces[piece].ends;
            sum.line(ends[side] - origin, ends[1] - ends[0], 1.0);
            sum.point(ends[side] - origin, end_weight);
        }
        for &piece in &self.through[node] {
            let (Some(&a), Some(&b)) = (self.chains[piece].first(), self.chains[piece].last())
            else {
                continue;
            };
            let (a, b) = (self.nodes[a], self.nodes[b]);
            sum.line(a - origin, b - a, THROUGH_WEIGHT);
        }
        if let Some(shift) = sum.solve() {
            self.nodes[node] = origin + shift;
        }
    }

    /// Replaces node `from` by node `to` in every chain; what ended in `from` now ends in `to`.
    pub(super) fn merge(&mut self, from: usize, to: usize) {
        let ends = std::mem::take(&mut self.ends[from]);
        let through = std::mem::take(&mut self.through[from]);
        for &(piece, _) in &ends {
            replace(&mut self.chains[piece], from, to);
        }
        for &piece in &through {
            replace(&mut self.chains[piece], from, to);
        }
        self.ends[to].extend(ends);
        self.through[to].extend(through);
    }
}

/// Whether the ends belong to shapes with an even gap between them.
fn set_back(ends: &[(usize, usize)], pieces: &[Piece]) -> bool {
    if !ends.iter().all(|&(p, _)| pieces[p].ring_like) {
        return false;
    }
    let mut any = false;
    for (i, &(p, s)) in ends.iter().enumerate() {
        for &(q, t) in &ends[i + 1..] {
            let (a, b) = (&pieces[p], &pieces[q]);
            let away =
                |piece: &Piece, side: usize| (piece.ends[1 - side] - piece.ends[side]).unit();
            let (Some(u), Some(v)) = (away(a, s), away(b, t)) else {
                continue;
            };
            if a.stroke == b.stroke || u.dot(v) < 0.0 || u.cross(v).abs() > ONE_EDGE_SIN {
                continue;
            }
            if u.cross(v).abs() > SET_BACK_SIN || a.ends[s] == b.ends[t] {
                return false;
            }
            any = true;
        }
    }
    any
}

fn replace(chain: &mut Vec<usize>, from: usize, to: usize) {
    for node in chain.iter_mut() {
        if *node == from {
            *node = to;
        }
    }
    chain.dedup();
}

/// Normal equations of a point in the plane.
#[derive(Default)]
struct Normal {
    xx: f64,
    xy: f64,
    yy: f64,
    x: f64,
    y: f64,
}

impl Normal {
    /// The point lies on the line through `at` along `direction`.
    fn line(&mut self, at: Vector, direction: Vector, weight: f64) {
        let Some(n) = direction.turn_left().unit() else {
            return;
        };
        let c = n.dot(at);
        self.xx += weight * n.x * n.x;
        self.xy += weight * n.x * n.y;
        self.yy += weight * n.y * n.y;
        self.x += weight * n.x * c;
        self.y += weight * n.y * c;
    }
    /// The point is `at`.
    fn point(&mut self, at: Vector, weight: f64) {
        self.xx += weight;
        self.yy += weight;
        self.x += weight * at.x;
        self.y += weight * at.y;
    }
    fn solve(&self) -> Option<Vector> {
        let det = self.xx * self.yy - self.xy * self.xy;
        (det > 0.0).then(|| {
            Vector::new(
                (self.yy * self.x - self.xy * self.y) / det,
                (self.xx * self.y - self.xy * self.x) / det,
            )
        })
    }
}
