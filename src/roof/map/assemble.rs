//! From the chosen subdivision to the [`PlanMap`] that the solver reads.

use std::sync::Arc;

use super::attempt::Attempt;
use super::kinds::{Context, FaceKind, Kinds};
use super::piece::Piece;
use super::simplify::{Run, straighten};
use super::{DirectedEdge, DrawnPiece, MapEdge, MapFace, PlanMap};
use crate::drawing::Stroke;
use crate::geometry::{Point, Vector};
use crate::place::Source;

/// A point in the middle of an edge may lie this part of the tolerance off the straight line.
const STRAIGHT: f64 = 0.3;
/// A piece and an edge that differ by less than this in direction are one line (the sine of 6°).
const ONE_LINE_SIN: f64 = 0.1;
/// The line of a piece is trusted so far beyond its end, as a part of its length.
const BEYOND_PART: f64 = 3.0;

/// Builds the map of one level; and for each face of the subdivision its index in the map.
pub(super) fn assemble(
    context: &Context<'_>,
    kinds: &Kinds,
    level: u32,
) -> (PlanMap, Vec<Option<usize>>) {
    let (attempt, pieces, strokes) = (context.attempt, context.pieces, context.strokes);
    let sub = &attempt.sub;
    let mut face_index = vec![None; kinds.faces.len()];
    let mut kept = Vec::new();
    for (face, kind) in kinds.faces.iter().enumerate() {
        if matches!(kind, FaceKind::Roof(_)) {
            face_index[face] = Some(kept.len());
            kept.push(face);
        }
    }
    // Shapes that lie in a face and are no part of the roof leave no trace in it.
    let counts = |link: usize| kinds.parts.binary_search(&sub.part[link]).is_ok();
    let side = |half: usize| sub.left[half].and_then(|f| face_index[f]);
    let runs: Vec<Run> = (0..sub.links.len())
        .filter(|&i| counts(i) && (side(2 * i).is_some() || side(2 * i + 1).is_some()))
        .map(|i| Run {
            a: sub.links[i].a,
            b: sub.links[i].b,
            halves: vec![2 * i],
            within: Vec::new(),
        })
        .collect();
    let fixed = curve_nodes(attempt, pieces);
    let runs = straighten(&sub.nodes, runs, &fixed, STRAIGHT * attempt.tolerance);

    let mut map = PlanMap {
        level,
        tolerance_ft: attempt.tolerance,
        ..PlanMap::default()
    };
    let mut node_index = vec![None; sub.nodes.len()];
    let mut run_of_node: Vec<Option<usize>> = vec![None; sub.nodes.len()];
    let mut run_of_half: Vec<Option<DirectedEdge>> = vec![None; sub.left.len()];
    for (edge, run) in runs.iter().enumerate() {
        for n in [run.a, run.b] {
            if node_index[n].is_none() {
                node_index[n] = Some(map.nodes.len());
                map.nodes.push(sub.nodes[n]);
            }
        }
        for &half in &run.halves {
            run_of_half[half] = Some(DirectedEdge {
                edge,
                reversed: false,
            });
            run_of_half[half ^ 1] = Some(DirectedEdge {
                edge,
                reversed: true,
            });
        }
        for &n in &run.within {
            run_of_node[n] = Some(edge);
        }
        let (Some(a), Some(b)) = (node_index[run.a], node_index[run.b]) else {
            continue;
        };
        map.edges.push(MapEdge {
            a,
            b,
            left: side(run.halves[0]),
            right: side(run.halves[0] ^ 1),
            on_wall: false,
            sources: sources(run, attempt, pieces, strokes),
        });
    }
    for &face in &kept {
        let rings = sub.faces[face]
            .iter()
            .filter(|r| counts(r[0] / 2))
            .map(|r| directed(r, &run_of_half))
            .collect();
        let pitch = match &kinds.faces[face] {
            FaceKind::Roof(pitch) => pitch.clone(),
            FaceKind::Not => None,
        };
        map.faces.push(MapFace {
            rings,
            pitch,
            fall_hint: None,
            plane: None,
            could_be_outline: false,
        });
    }
    map.drawn = drawn(attempt, pieces, &runs, &node_index, &run_of_node);
    let round = (0..fixed.len()).filter(|&n| fixed[n]);
    map.round_nodes = round.filter_map(|n| node_index[n]).collect();
    map.round_nodes.sort_unstable();
    (map, face_index)
}

/// Nodes inside a flattened curve, which are never taken out.
fn curve_nodes(attempt: &Attempt, pieces: &[Piece]) -> Vec<bool> {
    let mut fixed = vec![false; attempt.sub.nodes.len()];
    for (piece, chain) in pieces.iter().zip(&attempt.net.chains) {
        if piece.curved {
            for &n in chain {
                fixed[n] = true;
            }
        }
    }
    fixed
}

fn sources(
    run: &Run,
    attempt: &Attempt,
    pieces: &[Piece],
    strokes: &[&Stroke],
) -> Vec<Arc<Source>> {
    let mut of: Vec<usize> = run
        .halves
        .iter()
        .flat_map(|h| &attempt.sub.links[h / 2].pieces)
        .map(|&p| pieces[p].stroke)
        .collect();
    of.sort_unstable();
    of.dedup();
    let mut sources: Vec<Arc<Source>> = Vec::new();
    for stroke in of {
        if !sources.contains(&strokes[stroke].source) {
            sources.push(Arc::clone(&strokes[stroke].source));
        }
    }
    sources
}

/// A ring of half-edges as a ring of the edges that they became part of.
fn directed(ring: &[usize], run_of_half: &[Option<DirectedEdge>]) -> Vec<DirectedEdge> {
    let mut sides: Vec<DirectedEdge> = Vec::new();
    for side in ring.iter().filter_map(|&h| run_of_half[h]) {
        if sides.last() != Some(&side) {
            sides.push(side);
        }
    }
    while sides.len() > 1 && sides.first() == sides.last() {
        sides.pop();
    }
    sides
}

/// The pieces that became edges of the map, with the nodes along each.
fn drawn(
    attempt: &Attempt,
    pieces: &[Piece],
    runs: &[Run],
    node_index: &[Option<usize>],
    run_of_node: &[Option<usize>],
) -> Vec<DrawnPiece> {
    let mut drawn = Vec::new();
    for (piece, chain) in pieces.iter().zip(&attempt.net.chains) {
        let (Some(&first), Some(&last)) = (chain.first(), chain.last()) else {
            continue;
        };
        let mut nodes: Vec<usize> = chain.iter().filter_map(|&n| node_index[n]).collect();
        let mut anchored = [node_index[first].is_some(), node_index[last].is_some()];
        let from = attempt.sub.nodes[first];
        let way = attempt.sub.nodes[last] - from;
        for (i, end) in [first, last].into_iter().enumerate() {
            let Some(run) = run_of_node[end].map(|r| &runs[r]) else {
                continue;
            };
            let taken_to = end_of_run(&attempt.sub.nodes, run, end, way, i == 1);
            match (i, taken_to.and_then(|n| node_index[n])) {
                (0, Some(n)) => nodes.insert(0, n),
                (1, Some(n)) => nodes.push(n),
                _ => {}
            }
            anchored[i] = false;
        }
        nodes.dedup();
        if nodes.len() >= 2 {
            drawn.push(DrawnPiece {
                ends: piece.ends,
                nodes,
                anchored,
            });
        }
    }
    drawn
}

/// The corner that a piece is taken on to where it ends in the middle of an edge: the far end of that edge, which lies on its
/// line where the edge was drawn in two strokes. `None` where the edge runs another way: then the piece's line says nothing
/// about either of its corners.
fn end_of_run(nodes: &[Point], run: &Run, end: usize, way: Vector, onward: bool) -> Option<usize> {
    let along = nodes[run.b] - nodes[run.a];
    if along.cross(way).abs() > ONE_LINE_SIN * along.length() * way.length() {
        return None;
    }
    let forward = along.dot(way) > 0.0;
    let corner = if forward == onward { run.b } else { run.a };
    // A short stroke says nothing about a corner far beyond it.
    let beyond = nodes[end].distance(nodes[corner]);
    (beyond <= BEYOND_PART * way.length()).then_some(corner)
}
