//! Splits pieces where others stand on them or cross them.

use geo::Coord;
use geo::kernels::{Kernel, Orientation, RobustKernel};
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree, RTreeObject};

use super::net::Net;
use super::piece::Piece;
use super::snap::{GUARD, NodeTree, node_tree};
use crate::geometry::Point;

/// A node this many tolerances from a crossing is taken for it.
const CROSSING_REACH: f64 = 1.5;
/// Rounds of splitting at crossings; the last ones snap no more and so end.
const ROUNDS: usize = 6;
/// The first round splits at the crossings that were drawn, the others at what snapping has made of them: far fewer. Where
/// it is more than this many times as many, and these, the lines lie nearer together than the tolerance.
const TANGLED: (usize, usize) = (4, 100);

/// A straight bit of a chain: piece, and its two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bit {
    pub(super) piece: usize,
    pub(super) from: usize,
    pub(super) to: usize,
    lower: [f64; 2],
    upper: [f64; 2],
}

impl RTreeObject for Bit {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.lower, self.upper)
    }
}

/// Every bit of every chain.
pub(super) fn bits(net: &Net) -> Vec<Bit> {
    let mut bits = Vec::new();
    for (piece, chain) in net.chains.iter().enumerate() {
        for pair in chain.windows(2) {
            let (a, b) = (net.nodes[pair[0]], net.nodes[pair[1]]);
            bits.push(Bit {
                piece,
                from: pair[0],
                to: pair[1],
                lower: [a.x.min(b.x), a.y.min(b.y)],
                upper: [a.x.max(b.x), a.y.max(b.y)],
            });
        }
    }
    bits
}

/// The box of `reach` about a place.
pub(super) fn around(p: Point, reach: f64) -> AABB<[f64; 2]> {
    AABB::from_corners([p.x - reach, p.y - reach], [p.x + reach, p.y + reach])
}

/// The turn from a → b to c.
pub(super) fn turn(a: Point, b: Point, c: Point) -> Orientation {
    let coord = |p: Point| Coord { x: p.x, y: p.y };
    RobustKernel::orient2d(coord(a), coord(b), coord(c))
}

/// Nodes within the tolerance of the inside of a piece split it and move onto it.
pub(super) fn split_at_joints(net: &mut Net, pieces: &[Piece], tolerance: f64) {
    let tree = RTree::bulk_load(bits(net));
    let mut joints: Vec<(usize, f64, usize)> = Vec::new();
    for node in 0..net.nodes.len() {
        let at = net.nodes[node];
        let reach = net.ends[node]
            .iter()
            .map(|&(p, s)| pieces[p].reach_ft[s])
            .fold(f64::INFINITY, f64::min);
        for bit in tree.locate_in_envelope_intersecting(&around(at, tolerance)) {
            if net.chains[bit.piece].contains(&node) {
                continue;
            }
            let (a, b) = (net.nodes[bit.from], net.nodes[bit.to]);
            let Some((along, off)) = beside(a, b, at) else {
                continue;
            };
            let room = along.min(a.distance(b) - along);
            if off <= tolerance && room > 0.0 && off <= GUARD * room && off <= GUARD * reach {
                joints.push((bit.piece, along, node));
            }
        }
    }
    joints.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    joints.dedup_by_key(|j| (j.0, j.2));
    let mut touched: Vec<usize> = Vec::new();
    for group in joints.chunk_by(|a, b| a.0 == b.0) {
        let chain = &mut net.chains[group[0].0];
        let (Some(&first), Some(&last)) = (chain.first(), chain.last()) else {
            continue;
        };
        *chain = std::iter::once(first)
            .chain(group.iter().map(|j| j.2))
            .chain(std::iter::once(last))
            .collect();
        for &(piece, _, node) in group {
            net.through[node].push(piece);
            touched.push(node);
        }
    }
    touched.sort_unstable();
    touched.dedup();
    for node in touched {
        net.settle(node, pieces);
    }
}

/// How far along a → b the foot of `p` lies, and how far `p` is off the line; `None` where the foot is not between.
pub(super) fn beside(a: Point, b: Point, p: Point) -> Option<(f64, f64)> {
    let unit = (b - a).unit()?;
    let along = unit.dot(p - a);
    (along > 0.0 && along < a.distance(b)).then(|| (along, unit.cross(p - a).abs()))
}

/// Where two pieces of line cross properly, each in its inside.
fn crossing(a: Point, b: Point, c: Point, d: Point) -> Option<Point> {
    let apart = |s: Orientation, t: Orientation| {
        s != t && s != Orientation::Collinear && t != Orientation::Collinear
    };
    if !apart(turn(a, b, c), turn(a, b, d)) || !apart(turn(c, d, a), turn(c, d, b)) {
        return None;
    }
    let (u, v) = (b - a, d - c);
    let t = (c - a).cross(v) / u.cross(v);
    t.is_finite().then(|| a.lerp(b, t.clamp(0.0, 1.0)))
}

/// Splits pieces where they cross, using a node that is near the crossing where there is one. Gives a crossing where
/// splitting only makes more of them.
pub(super) fn split_at_crossings(net: &mut Net, pieces: &[Piece], tolerance: f64) -> Option<Point> {
    let mut drawn = None;
    for round in 0..ROUNDS {
        let reach = if round + 2 < ROUNDS {
            CROSSING_REACH * tolerance
        } else {
            0.0
        };
        let found = crossings(net);
        let &(at, ..) = found.first()?;
        let drawn = *drawn.get_or_insert(found.len());
        if found.len() > TANGLED.0 * drawn + TANGLED.1 {
            return Some(at);
        }
        split_at(net, pieces, found, reach);
    }
    None
}

/// Where bits of chains cross properly, with the two bits.
fn crossings(net: &Net) -> Vec<(Point, Bit, Bit)> {
    let all = bits(net);
    let tree = RTree::bulk_load(all.clone());
    let mut found: Vec<(Point, Bit, Bit)> = Vec::new();
    for bit in &all {
        for other in tree.locate_in_envelope_intersecting(&bit.envelope()) {
            if (other.piece, other.from) <= (bit.piece, bit.from)
                || [bit.from, bit.to].contains(&other.from)
                || [bit.from, bit.to].contains(&other.to)
            {
                continue;
            }
            let p = |n: usize| net.nodes[n];
            if let Some(at) = crossing(p(bit.from), p(bit.to), p(other.from), p(other.to)) {
                found.push((at, *bit, *other));
            }
        }
    }
    found.sort_unstable_by_key(|(_, a, b)| (a.piece, a.from, b.piece, b.from));
    found
}

/// Puts a node at each crossing into both chains.
fn split_at(net: &mut Net, pieces: &[Piece], found: Vec<(Point, Bit, Bit)>, reach: f64) {
    let mut made: NodeTree = node_tree(std::iter::empty());
    // A chain may be crossed many times: new nodes are put where they belong along it, so later inserts look the
    // place up by distance instead of by neighbours.
    for (at, a, b) in found {
        let node = near_node(net, at, &a, &b, reach)
            .or_else(|| {
                let near = made.nearest_neighbor(&[at.x, at.y])?;
                (net.nodes[near.data].distance(at) <= reach).then_some(near.data)
            })
            .unwrap_or_else(|| {
                let node = net.add_node(at);
                made.insert(GeomWithData::new([at.x, at.y], node));
                node
            });
        for bit in [a, b] {
            insert_along(net, bit.piece, node);
        }
        net.settle(node, pieces);
    }
}

/// The nearest of the four ends, where it is within reach and far from the far ends.
fn near_node(net: &Net, at: Point, a: &Bit, b: &Bit, reach: f64) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for (own, other) in [(a, b), (b, a)] {
        let room = net.nodes[other.from]
            .distance(at)
            .min(net.nodes[other.to].distance(at));
        let length = net.nodes[own.from].distance(net.nodes[own.to]);
        for node in [own.from, own.to] {
            let d = net.nodes[node].distance(at);
            let fits = d <= reach && d <= GUARD * length && d <= GUARD * room;
            if fits && best.is_none_or(|(least, _)| d < least) {
                best = Some((d, node));
            }
        }
    }
    best.map(|(_, node)| node)
}

/// Puts a node into a chain at its place along the chain's first-to-last line.
pub(super) fn insert_along(net: &mut Net, piece: usize, node: usize) {
    let chain = &net.chains[piece];
    let (Some(&first), Some(&last)) = (chain.first(), chain.last()) else {
        return;
    };
    if chain.contains(&node) {
        return;
    }
    let (a, direction) = (net.nodes[first], net.nodes[last] - net.nodes[first]);
    let along = |n: usize| direction.dot(net.nodes[n] - a);
    let here = along(node);
    let place = chain[1..chain.len() - 1]
        .iter()
        .position(|&n| along(n) > here)
        .map_or(chain.len() - 1, |p| p + 1);
    net.chains[piece].insert(place, node);
    net.through[node].push(piece);
}
