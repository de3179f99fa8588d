//! Mends loose ends: joins them, extends them, or cuts off what ran past a joint.

use rstar::RTree;

use super::net::{How, Mended, Net};
use super::noding::{around, beside, bits, insert_along};
use super::piece::Piece;
use super::snap::node_tree;
use crate::geometry::Point;

/// An end that runs past its joint by less than this many tolerances is cut off.
const OVERSHOOT: f64 = 1.3;
/// How many tolerances far a loose end looks for something to meet.
pub(super) const REACH: f64 = 2.5;
/// A loose end never moves farther than this part of its own stroke ...
const PART_OF_STROKE: f64 = 0.9;
/// ... or than this many tolerances, where the stroke is a short jog.
const SHORT_REACH: f64 = 0.75;
/// Two loose ends looking for each other are the likeliest repair: their distance counts this much.
const TWO_LOOSE: f64 = 0.6;
const ROUNDS: usize = 4;

/// A way to mend one loose end.
#[derive(Clone, Copy, Debug)]
enum Mend {
    /// Join another loose end.
    Join(usize),
    /// Go to a node that is part of the net.
    Meet(usize),
    /// Go on to a place on a piece.
    Extend(usize, Point),
}

/// Mends loose ends in order of rising cost, until nothing changes. Returns whether anything was mended.
pub(super) fn mend_loose_ends(net: &mut Net, pieces: &[Piece], tolerance: f64) -> bool {
    let mut any = false;
    for _ in 0..ROUNDS {
        let mut changed = cut_overshoots(net, tolerance);
        changed |= mend_once(net, pieces, tolerance);
        if !changed {
            break;
        }
        any = true;
    }
    any
}

/// Loose nodes, each with its neighbour.
fn loose(net: &Net) -> (Vec<(usize, usize)>, Vec<usize>) {
    let links = net.links();
    let degrees = net.degrees(&links);
    let mut ends: Vec<(usize, usize)> = Vec::new();
    for link in &links {
        for (n, m) in [(link.a, link.b), (link.b, link.a)] {
            if degrees[n] == 1 {
                ends.push((n, m));
            }
        }
    }
    ends.sort_unstable();
    (ends, degrees)
}

fn cut_overshoots(net: &mut Net, tolerance: f64) -> bool {
    let (ends, degrees) = loose(net);
    // A short line of its own is no end that ran past: it may be a jog that wants to be joined.
    let (tails, stumps): (Vec<_>, Vec<_>) = ends.into_iter().partition(|&(n, m)| {
        degrees[m] >= 3
            && net.nodes[n].distance(net.nodes[m]) < OVERSHOOT * tolerance
            && net.ends[n]
                .iter()
                .any(|&(piece, _)| net.chains[piece].len() > 2)
    });
    let stumps = node_tree(stumps.into_iter().map(|(n, _)| (n, net.nodes[n])));
    let mut any = false;
    for (n, m) in tails {
        // Nor is an end that comes nearer to another line's loose end than to the joint it passed.
        let at = net.nodes[n];
        let length = at.distance(net.nodes[m]).min(tolerance);
        if stumps
            .locate_within_distance([at.x, at.y], length * length)
            .next()
            .is_some()
        {
            continue;
        }
        for (piece, side) in std::mem::take(&mut net.ends[n]) {
            cut(net, piece, side, n, m);
            any = true;
        }
        net.mended.push(Mended {
            how: How::Cut,
            at: net.nodes[m],
            by_ft: at.distance(net.nodes[m]),
        });
    }
    any
}

/// Takes the end `n` off a piece, which then ends in its neighbour `m`.
fn cut(net: &mut Net, piece: usize, side: usize, n: usize, m: usize) {
    let chain = &mut net.chains[piece];
    if chain.first() == Some(&n) {
        chain.remove(0);
    } else if chain.last() == Some(&n) {
        chain.pop();
    }
    if chain.len() < 2 {
        chain.clear();
    } else {
        net.ends[m].push((piece, side));
        net.through[m].retain(|&p| p != piece);
    }
}

fn mend_once(net: &mut Net, pieces: &[Piece], tolerance: f64) -> bool {
    let (ends, degrees) = loose(net);
    if ends.is_empty() {
        return false;
    }
    let is_loose = |n: usize| degrees[n] == 1;
    let nodes = node_tree(
        (0..net.nodes.len())
            .filter(|&n| degrees[n] > 0)
            .map(|n| (n, net.nodes[n])),
    );
    let lines = RTree::bulk_load(bits(net));
    let mut mends: Vec<(f64, usize, Mend)> = Vec::new();
    for &(n, m) in &ends {
        let Some(stroke) = net.ends[n]
            .iter()
            .map(|&(p, s)| pieces[p].reach_ft[s])
            .reduce(f64::max)
        else {
            continue;
        };
        let reach = (REACH * tolerance).min((PART_OF_STROKE * stroke).max(SHORT_REACH * tolerance));
        let at = net.nodes[n];
        let Some(ahead) = (at - net.nodes[m]).unit() else {
            continue;
        };
        let mut best: Option<(f64, Mend)> = None;
        let mut offer = |cost: f64, mend: Mend| {
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, mend));
            }
        };
        for near in nodes.locate_within_distance([at.x, at.y], reach * reach) {
            let v = near.data;
            if v == n || v == m {
                continue;
            }
            let d = at.distance(net.nodes[v]);
            if is_loose(v) {
                offer(TWO_LOOSE * d, Mend::Join(v));
            } else {
                offer(d + ahead.cross(net.nodes[v] - at).abs(), Mend::Meet(v));
            }
        }
        for bit in lines.locate_in_envelope_intersecting(&around(at, reach)) {
            if [bit.from, bit.to].contains(&n) || [bit.from, bit.to].contains(&m) {
                continue;
            }
            let (a, b) = (net.nodes[bit.from], net.nodes[bit.to]);
            let side = b - a;
            let t = (a - at).cross(side) / ahead.cross(side);
            let on = at + ahead * t;
            if t.is_finite() && (0.0..=reach).contains(&t) && beside(a, b, on).is_some() {
                offer(t, Mend::Extend(bit.piece, on));
            }
        }
        if let Some((cost, mend)) = best {
            mends.push((cost, n, mend));
        }
    }
    mends.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    apply(net, pieces, &mends)
}

fn apply(net: &mut Net, pieces: &[Piece], mends: &[(f64, usize, Mend)]) -> bool {
    let mut done = vec![false; net.nodes.len()];
    let mut any = false;
    for &(_, n, mend) in mends {
        let other = match mend {
            Mend::Join(v) | Mend::Meet(v) => Some(v),
            Mend::Extend(..) => None,
        };
        if done[n] || other.is_some_and(|v| done[v]) {
            continue;
        }
        let was = net.nodes[n];
        match mend {
            Mend::Join(v) => {
                net.merge(n, v);
                net.settle(v, pieces);
                done[v] = true;
            }
            Mend::Meet(v) => net.merge(n, v),
            Mend::Extend(piece, on) => {
                net.nodes[n] = on;
                insert_along(net, piece, n);
            }
        }
        done[n] = true;
        any = true;
        let at = net.nodes[other.unwrap_or(n)];
        net.mended.push(Mended {
            how: How::Extended,
            at,
            by_ft: was.distance(at),
        });
    }
    any
}
