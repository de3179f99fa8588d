//! From pieces of linework to the ring of corners of every face.

use super::clean::Clean;
use super::construct::Drawn;
use super::wavefront::{Cause, RawArc};

/// Nodes nearer to each other than this, along an arc, are one: what is left of events that happen together.
const ONE_NODE_WITHIN_FT: f64 = 1e-8;

/// The linework without tiny arcs, and the rings of the faces.
pub(super) struct Linework {
    pub(super) nodes: Vec<(f64, f64, f64)>,
    pub(super) arcs: Vec<RawArc>,
    /// For every clean side the nodes at its ends.
    pub(super) bases: Vec<[u32; 2]>,
    /// For every clean side the corners of its face; empty for one that stands still.
    pub(super) rings: Vec<Vec<u32>>,
    /// What is cut out of faces by other faces alone: a steep island in a shallow plane. The clean side, and the ring.
    pub(super) holes: Vec<(usize, Vec<u32>)>,
    /// New numbers of the nodes of `Drawn`.
    pub(super) renumbered: Vec<u32>,
}

/// Assembles the faces. An error is what is wrong with one of them.
pub(super) fn assemble(clean: &Clean, drawn: &Drawn) -> Result<Linework, String> {
    let (nodes, renumbered) = merge_nodes(drawn, clean.sides.len());
    let arcs: Vec<RawArc> = drawn
        .arcs
        .iter()
        .map(|arc| RawArc {
            from: renumbered[arc.from as usize],
            to: renumbered[arc.to as usize],
            ..*arc
        })
        .filter(|arc| arc.from != arc.to)
        .collect();
    let bases: Vec<[u32; 2]> = clean
        .successors()
        .iter()
        .enumerate()
        .map(|(i, &j)| [renumbered[i], renumbered[j]])
        .collect();
    let (rings, holes) = rings(clean, drawn, &nodes, &arcs, &bases)?;
    Ok(Linework {
        nodes,
        arcs,
        bases,
        rings,
        holes,
        renumbered,
    })
}

fn merge_nodes(drawn: &Drawn, corners: usize) -> (Vec<(f64, f64, f64)>, Vec<u32>) {
    fn root(parent: &[u32], mut i: u32) -> u32 {
        while parent[i as usize] != i {
            i = parent[i as usize];
        }
        i
    }
    let mut parent: Vec<u32> = (0..drawn.nodes.len() as u32).collect();
    for arc in &drawn.arcs {
        let (a, b) = (drawn.nodes[arc.from as usize], drawn.nodes[arc.to as usize]);
        let apart = (a.0 - b.0)
            .abs()
            .max((a.1 - b.1).abs())
            .max((a.2 - b.2).abs());
        if apart <= ONE_NODE_WITHIN_FT {
            let (a, b) = (root(&parent, arc.from), root(&parent, arc.to));
            parent[a.max(b) as usize] = a.min(b);
        }
    }
    let mut used = vec![false; drawn.nodes.len()];
    for arc in &drawn.arcs {
        used[root(&parent, arc.from) as usize] = true;
        used[root(&parent, arc.to) as usize] = true;
    }
    let mut nodes = Vec::with_capacity(drawn.nodes.len());
    let mut renumbered = vec![u32::MAX; drawn.nodes.len()];
    for i in 0..drawn.nodes.len() {
        let r = root(&parent, i as u32) as usize;
        if r == i && (used[i] || i < corners) {
            renumbered[i] = nodes.len() as u32;
            nodes.push(drawn.nodes[i]);
        } else if r != i {
            renumbered[i] = renumbered[r];
        }
    }
    (nodes, renumbered)
}

/// The outer ring of every face, and the holes with their faces.
type Rings = (Vec<Vec<u32>>, Vec<(usize, Vec<u32>)>);

/// One use of an arc by a face: (from, to) with the face on the left.
type Half = (u32, u32);

fn rings(
    clean: &Clean,
    drawn: &Drawn,
    nodes: &[(f64, f64, f64)],
    arcs: &[RawArc],
    bases: &[[u32; 2]],
) -> Result<Rings, String> {
    let count = clean.sides.len();
    let moves = |side: u32| drawn.fronts[side as usize].moves();
    let raised = |side: usize| clean.sides[side].eave > 0.0;
    let mut ends = vec![0_usize; count + 1];
    for arc in arcs {
        for side in [arc.left, arc.right] {
            if moves(side) {
                ends[side as usize + 1] += 1;
            }
        }
    }
    for side in 0..count {
        if moves(side as u32) && !raised(side) {
            ends[side + 1] += 1;
        }
    }
    for i in 1..=count {
        ends[i] += ends[i - 1];
    }
    let mut fill = ends.clone();
    let mut halves: Vec<Half> = vec![(0, 0); ends[count]];
    let mut put = |side: usize, half: Half| {
        halves[fill[side]] = half;
        fill[side] += 1;
    };
    for (side, &[a, b]) in bases.iter().enumerate() {
        if moves(side as u32) && !raised(side) {
            put(side, (a, b));
        }
    }
    for arc in arcs {
        if moves(arc.left) {
            put(arc.left as usize, (arc.from, arc.to));
        }
        if moves(arc.right) {
            put(arc.right as usize, (arc.to, arc.from));
        }
    }
    // A raised face starts with its eave.
    for arc in arcs.iter().filter(|arc| arc.cause == Cause::Eave) {
        let own = &mut halves[ends[arc.left as usize]..ends[arc.left as usize + 1]];
        if let Some(at) = own.iter().position(|&h| h == (arc.from, arc.to)) {
            own.swap(0, at);
        }
    }
    let mut outer = Vec::with_capacity(count);
    let mut holes = Vec::new();
    for side in 0..count {
        let own = &mut halves[ends[side]..ends[side + 1]];
        let mut chained = chain(own, nodes)
            .map_err(|what| format!("the face of side {} {what}", clean.sides[side].input + 1))?
            .into_iter();
        outer.push(chained.next().unwrap_or_default());
        holes.extend(chained.map(|ring| (side, ring)));
    }
    Ok((outer, holes))
}

/// Chains the halves of one face into rings, the first of them from the first half.
fn chain(halves: &mut [Half], nodes: &[(f64, f64, f64)]) -> Result<Vec<Vec<u32>>, &'static str> {
    let mut rings = Vec::new();
    let Some(&first) = halves.first() else {
        return Ok(rings);
    };
    halves.sort_unstable();
    let mut used = vec![false; halves.len()];
    let mut start = Some(first);
    while let Some(half) = start {
        rings.push(ring(half, halves, &mut used, nodes)?);
        start = used.iter().position(|&u| !u).map(|i| halves[i]);
    }
    Ok(rings)
}

/// The ring that a half belongs to, from its start.
fn ring(
    start: Half,
    halves: &[Half],
    used: &mut [bool],
    nodes: &[(f64, f64, f64)],
) -> Result<Vec<u32>, &'static str> {
    let count = halves.len();
    let mut corners = Vec::new();
    let mut at = start;
    loop {
        let Some(index) = (halves.partition_point(|h| h.0 < at.0)..count)
            .take_while(|&i| halves[i].0 == at.0)
            .find(|&i| halves[i] == at && !used[i])
        else {
            return Err("does not close");
        };
        used[index] = true;
        corners.push(at.0);
        let from = halves.partition_point(|h| h.0 < at.1);
        let to = from + halves[from..].iter().take_while(|h| h.0 == at.1).count();
        let onward = (from..to).filter(|&i| !used[i] || halves[i] == start);
        let next = match to - from {
            0 => return Err("does not close"),
            1 => halves[from],
            _ => match onward.min_by(|&i, &j| {
                clockwise(nodes, at, halves[i]).total_cmp(&clockwise(nodes, at, halves[j]))
            }) {
                Some(i) => halves[i],
                None => return Err("does not close"),
            },
        };
        if next == start {
            return Ok(corners);
        }
        at = next;
    }
}

/// The angle from the way back, clockwise, to an onward half: the smallest keeps the face on the left.
fn clockwise(nodes: &[(f64, f64, f64)], at: Half, onward: Half) -> f64 {
    let p = |i: u32| nodes[i as usize];
    let (a, b, c) = (p(at.0), p(at.1), p(onward.1));
    let back = (a.1 - b.1).atan2(a.0 - b.0);
    let ahead = (c.1 - b.1).atan2(c.0 - b.0);
    let turn = (back - ahead).rem_euclid(std::f64::consts::TAU);
    if turn == 0.0 {
        std::f64::consts::TAU
    } else {
        turn
    }
}
