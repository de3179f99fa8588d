//! Joins the ends of pieces that were meant to meet.

use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::net::Net;
use super::piece::Piece;
use crate::geometry::{Point, Vector};

/// No join moves an end farther than this part of the shortest thing that ends there: so a generous tolerance does no
/// harm beside small features, and the two ends of a piece never meet.
pub(super) const GUARD: f64 = 0.45;

/// Ends as places with an index.
pub(super) type NodeTree = RTree<GeomWithData<[f64; 2], usize>>;

/// A tree over places, by their index.
pub(super) fn node_tree(places: impl Iterator<Item = (usize, Point)>) -> NodeTree {
    RTree::bulk_load(
        places
            .map(|(i, p)| GeomWithData::new([p.x, p.y], i))
            .collect(),
    )
}

/// Joins ends by rising distance, up to `tolerance` feet, and settles every node.
pub(super) fn join_ends(pieces: &[Piece], tolerance: f64) -> Net {
    let end = |i: usize| pieces[i / 2].ends[i % 2];
    let tree = node_tree((0..pieces.len() * 2).map(|i| (i, end(i))));
    let mut clusters = Clusters::new(pieces);
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for i in 0..pieces.len() * 2 {
        let at = end(i);
        for near in tree.locate_within_distance([at.x, at.y], tolerance * tolerance) {
            let j = near.data;
            if j > i && j / 2 != i / 2 {
                let d = at.distance(end(j));
                let reach = clusters.reach[i].min(clusters.reach[j]);
                if d == 0.0 || d <= GUARD * reach {
                    pairs.push((d, i, j));
                }
            }
        }
    }
    pairs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    for (d, i, j) in pairs {
        clusters.join(i, j, d, tolerance, pieces);
    }
    clusters.into_net(pieces)
}

/// Sets of ends, as a forest.
struct Clusters {
    parent: Vec<usize>,
    /// At a root: the ends in the set.
    members: Vec<Vec<usize>>,
    /// At a root: the sum of the ends' places.
    sum: Vec<Vector>,
    /// At a root: the shortest thing that ends here.
    reach: Vec<f64>,
}

impl Clusters {
    fn new(pieces: &[Piece]) -> Self {
        let count = pieces.len() * 2;
        Self {
            parent: (0..count).collect(),
            members: (0..count).map(|i| vec![i]).collect(),
            sum: (0..count)
                .map(|i| pieces[i / 2].ends[i % 2] - Point::default())
                .collect(),
            reach: (0..count).map(|i| pieces[i / 2].reach_ft[i % 2]).collect(),
        }
    }

    fn root(&mut self, mut i: usize) -> usize {
        while self.parent[i] != i {
            self.parent[i] = self.parent[self.parent[i]];
            i = self.parent[i];
        }
        i
    }

    fn join(&mut self, i: usize, j: usize, d: f64, tolerance: f64, pieces: &[Piece]) {
        let (mut a, mut b) = (self.root(i), self.root(j));
        if a == b {
            return;
        }
        if self.members[a].len() < self.members[b].len() {
            std::mem::swap(&mut a, &mut b);
        }
        let apart = self.mean(a).distance(self.mean(b));
        let guard = GUARD * self.reach[a].min(self.reach[b]);
        if d > 0.0 && (apart > tolerance || apart > guard || d > guard) {
            return;
        }
        // Never both ends of one piece: the smaller set is looked through.
        let both = self.members[b].iter().any(|&e| {
            let other = e ^ 1;
            let mut r = other;
            while self.parent[r] != r {
                r = self.parent[r];
            }
            r == a || r == b && pieces[e / 2].length() > 0.0
        });
        if both {
            return;
        }
        let moved = std::mem::take(&mut self.members[b]);
        self.members[a].extend(moved);
        let more = self.sum[b];
        self.sum[a] += more;
        self.reach[a] = self.reach[a].min(self.reach[b]);
        self.parent[b] = a;
    }

    fn mean(&self, root: usize) -> Point {
        Point::default() + self.sum[root] * (1.0 / self.members[root].len() as f64)
    }

    fn into_net(mut self, pieces: &[Piece]) -> Net {
        let mut net = Net::default();
        let mut node_of = vec![usize::MAX; pieces.len() * 2];
        for (i, piece) in (0..pieces.len() * 2).map(|i| (i, &pieces[i / 2])) {
            let root = self.root(i);
            if node_of[root] == usize::MAX {
                node_of[root] = net.add_node(piece.ends[i % 2]);
            }
            net.ends[node_of[root]].push((i / 2, i % 2));
        }
        for i in 0..pieces.len() {
            let (a, b) = (self.root(2 * i), self.root(2 * i + 1));
            net.chains.push(vec![node_of[a], node_of[b]]);
        }
        for node in 0..net.nodes.len() {
            net.settle(node, pieces);
        }
        net
    }
}
