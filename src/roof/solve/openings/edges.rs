//! Edges along faces that were cut: what of them an opening took away is a side of that opening for the face beyond it too,
//! and where a face fell in pieces each has edges of its own.

use std::collections::{BTreeMap, BTreeSet};

use crate::geometry::Point3;
use crate::roof::{Edge, EdgeId, FaceId, OpeningId, Ring, Roof, Side};

use super::super::assemble::{self, between};
use super::LEAST_FT;
use super::faces::{Cut, along, side_ends};

/// A stretch of an edge, from its start (0) to its end (1), and what it has become.
#[derive(Clone, Debug)]
struct Stretch {
    from: f64,
    to: f64,
    is: Is,
}

#[derive(Clone, Debug, PartialEq)]
enum Is {
    /// An edge between these faces.
    Edge(Vec<FaceId>),
    /// A side of an opening.
    Opening(OpeningId),
}

/// Shortens, parts and drops the edges of the faces that were cut, and tells the sides of all faces along them so.
pub(super) fn settle(roof: &mut Roof, cut: &Cut) {
    let touched: BTreeSet<EdgeId> = cut
        .pieces
        .values()
        .flatten()
        .flat_map(|&face| edges_of(roof, face))
        .chain(cut.cover.keys().copied())
        .collect();
    let mut faces: BTreeSet<FaceId> = BTreeSet::new();
    let mut become_of: BTreeMap<EdgeId, Vec<(Stretch, Side)>> = BTreeMap::new();
    let mut gone = vec![false; roof.edges.len()];
    for id in touched {
        let whole = roof.edge(id).clone();
        let stretches = stretches(roof, id, cut);
        if stretches.is_empty() {
            continue;
        }
        gone[id.0] = true;
        let mut sides = Vec::new();
        for stretch in stretches {
            let side = match &stretch.is {
                Is::Opening(opening) => Side::Opening(*opening),
                Is::Edge(of) => {
                    let made = part(&whole, &stretch, of.clone());
                    if std::mem::take(&mut gone[id.0]) {
                        roof.edges[id.0] = made;
                        Side::Edge(id)
                    } else {
                        roof.edges.push(made);
                        gone.push(false);
                        Side::Edge(EdgeId(roof.edges.len() - 1))
                    }
                }
            };
            sides.push((stretch, side));
        }
        faces.extend(cut.now(&whole.faces));
        become_of.insert(id, sides);
        // Sides are found along the edge as it was.
        roof.edges[id.0] = Edge {
            start: whole.start,
            end: whole.end,
            ..roof.edges[id.0].clone()
        };
    }
    for &face in &faces {
        let mut rings = std::mem::take(&mut roof.faces[face.0].holes);
        rings.insert(0, std::mem::take(&mut roof.faces[face.0].outline));
        let mut rings = rings.iter().map(|r| resided(roof, r, &become_of));
        let outline = rings.next().unwrap_or_default();
        let holes = rings.collect();
        roof.faces[face.0].outline = outline;
        roof.faces[face.0].holes = holes;
    }
    for (id, sides) in &become_of {
        if let Some((stretch, _)) = sides.iter().find(|(_, side)| *side == Side::Edge(*id)) {
            let whole = roof.edge(*id).clone();
            roof.edges[id.0] = part(&whole, stretch, whole.faces.clone());
        }
    }
    drop_gone(roof, &gone);
}

fn rings_of(roof: &Roof, face: FaceId) -> impl Iterator<Item = &Ring> {
    let face = roof.face(face);
    std::iter::once(&face.outline).chain(&face.holes)
}

fn edges_of(roof: &Roof, face: FaceId) -> impl Iterator<Item = EdgeId> + '_ {
    rings_of(roof, face)
        .flat_map(|r| &r.sides)
        .filter_map(|side| match side {
            Side::Edge(id) => Some(*id),
            Side::Opening(_) => None,
        })
}

/// What an edge has become, stretch by stretch.
fn stretches(roof: &Roof, id: EdgeId, cut: &Cut) -> Vec<Stretch> {
    let edge = roof.edge(id);
    let least = LEAST_FT / edge.plan_length.to_feet().max(LEAST_FT);
    // Where sides of each of its faces lie on it.
    let mut on: Vec<(FaceId, f64, f64)> = Vec::new();
    for face in cut.now(&edge.faces) {
        for ring in rings_of(roof, face) {
            for (i, side) in ring.sides.iter().enumerate() {
                if *side == Side::Edge(id) {
                    let (p, q) = side_ends(ring, i);
                    let t = |at| along(edge.start.plan(), edge.end.plan(), at).clamp(0.0, 1.0);
                    on.push((face, t(p).min(t(q)), t(p).max(t(q))));
                }
            }
        }
    }
    let cover = cut.cover.get(&id).map_or(&[][..], Vec::as_slice);
    let ends = on.iter().map(|s| [s.1, s.2]);
    let covered = cover.iter().map(|s| [s.0, s.1]);
    let mut marks: Vec<f64> = ends.chain(covered).flatten().collect();
    // Ends that are an end by rounding are the end.
    for mark in &mut marks {
        if *mark < least {
            *mark = 0.0;
        } else if *mark > 1.0 - least {
            *mark = 1.0;
        }
    }
    marks.extend([0.0, 1.0]);
    marks.sort_by(f64::total_cmp);
    marks.dedup_by(|b, a| *b - *a < least);
    let mut all: Vec<Stretch> = Vec::new();
    for pair in marks.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let middle = f64::midpoint(from, to);
        let is = what(edge, middle, &on, cover, cut);
        match all.last_mut() {
            Some(last) if last.is == is => last.to = to,
            _ => all.push(Stretch { from, to, is }),
        }
    }
    all
}

/// What a place of an edge has become: a side of an opening where one took away a face of its, or else an edge still.
fn what(
    edge: &Edge,
    at: f64,
    on: &[(FaceId, f64, f64)],
    cover: &[(f64, f64, OpeningId)],
    cut: &Cut,
) -> Is {
    if let Some(stretch) = cover.iter().find(|s| s.0 < at && at < s.1) {
        return Is::Opening(stretch.2);
    }
    let here: Vec<FaceId> = on
        .iter()
        .filter(|s| s.1 < at && at < s.2)
        .map(|s| s.0)
        .collect();
    // A piece too small to be kept went with the opening.
    let lost = edge
        .faces
        .iter()
        .find(|&&face| !cut.now(&[face]).iter().any(|f| here.contains(f)))
        .and_then(|face| cut.by.get(face));
    match lost {
        Some(&opening) => Is::Opening(opening),
        None => Is::Edge(here),
    }
}

/// A part of an edge.
fn part(whole: &Edge, stretch: &Stretch, faces: Vec<FaceId>) -> Edge {
    Edge {
        faces,
        ..assemble::stretch(whole.clone(), stretch.from, stretch.to)
    }
}

/// A ring whose sides on edges are what these have become there, with corners where that changes.
fn resided(roof: &Roof, ring: &Ring, become_of: &BTreeMap<EdgeId, Vec<(Stretch, Side)>>) -> Ring {
    let mut made = Ring::default();
    for (i, &side) in ring.sides.iter().enumerate() {
        let (p, q) = (ring.corners[i], ring.corners[(i + 1) % ring.corners.len()]);
        let stretches = match side {
            Side::Edge(id) => become_of.get(&id).map(|all| (id, all)),
            Side::Opening(_) => None,
        };
        let Some((id, stretches)) = stretches else {
            made.corners.push(p);
            made.sides.push(side);
            continue;
        };
        let edge = roof.edge(id);
        let t = |at: Point3| along(edge.start.plan(), edge.end.plan(), at.plan());
        let (t_p, t_q) = (t(p), t(q));
        let least = LEAST_FT / edge.start.plan().distance(edge.end.plan());
        let (low, high) = (t_p.min(t_q) + least, t_p.max(t_q) - least);
        // Where along this side, from 0 to 1, it becomes something else.
        let mut marks: Vec<f64> = stretches
            .iter()
            .map(|(s, _)| s.to)
            .filter(|&mark| low < mark && mark < high)
            .map(|mark| (mark - t_p) / (t_q - t_p))
            .collect();
        marks.extend([0.0, 1.0]);
        marks.sort_by(f64::total_cmp);
        for pair in marks.windows(2) {
            let middle = t_p + (t_q - t_p) * f64::midpoint(pair[0], pair[1]);
            let off = |s: &Stretch| (s.from - middle).max(middle - s.to).max(0.0);
            let here = stretches
                .iter()
                .min_by(|a, b| off(&a.0).total_cmp(&off(&b.0)));
            made.corners.push(match pair[0] {
                0.0 => p,
                at => between(p, q, at),
            });
            made.sides.push(here.map_or(side, |(_, side)| *side));
        }
    }
    made
}

/// Drops the edges of which nothing is left; those that follow are counted anew. No side lies on them any more.
fn drop_gone(roof: &mut Roof, gone: &[bool]) {
    if !gone.contains(&true) {
        return;
    }
    let mut count = 0;
    let new_id: Vec<EdgeId> = gone
        .iter()
        .map(|gone| {
            let id = EdgeId(count);
            count += usize::from(!gone);
            id
        })
        .collect();
    let mut at = 0;
    roof.edges.retain(|_| {
        at += 1;
        !gone[at - 1]
    });
    for face in &mut roof.faces {
        for ring in std::iter::once(&mut face.outline).chain(&mut face.holes) {
            for side in &mut ring.sides {
                if let Side::Edge(id) = side {
                    *id = new_id[id.0];
                }
            }
        }
    }
}
