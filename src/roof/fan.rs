//! Fans: equal facets all round one point, as the roof of a turret has.
//!
//! Where some sides of its rim hang free and others lie over the roof that the turret stands in, the two do not meet in
//! planes: the turret has its own eave all round, and the other roof ends against its wall. So it is set apart, and each
//! is solved by itself.

use super::map::{MapEdge, PlanMap};
use crate::units::Pitch;
use crate::{Finding, Place};

/// So many facets or more are a fan; four triangles round a point may as well be a roof of valleys.
const LEAST_FACETS: usize = 5;
/// The corners of the rim lie equally far from the point, within this part.
const EQUAL_PART: f64 = 0.04;

/// Sets every turret of a map apart from the roof that it stands in.
pub(super) fn set_apart(map: &mut PlanMap) {
    let mut round: Vec<Vec<usize>> = vec![Vec::new(); map.nodes.len()];
    for (index, face) in map.faces.iter().enumerate() {
        let [ring] = &face.rings[..] else { continue };
        if ring.len() == 3 && face.plane.is_none() {
            for &side in ring {
                round[map.ends(side).0].push(index);
            }
        }
    }
    let degrees = degrees(map);
    for (apex, faces) in round.iter().enumerate() {
        let closed = faces.len() >= LEAST_FACETS && faces.len() == degrees[apex];
        if closed && are_equal(map, apex, faces) {
            part_from_roof(map, apex, faces);
        }
    }
}

fn degrees(map: &PlanMap) -> Vec<usize> {
    let mut degrees = vec![0; map.nodes.len()];
    for edge in &map.edges {
        degrees[edge.a] += 1;
        degrees[edge.b] += 1;
    }
    degrees
}

/// Whether the facets round `apex` have one pitch and corners equally far from it.
fn are_equal(map: &PlanMap, apex: usize, faces: &[usize]) -> bool {
    let pitch = |f: usize| map.faces[f].pitch.as_ref().map(|p| p.pitch);
    let first: Option<Pitch> = pitch(faces[0]);
    if first.is_none() || faces.iter().any(|&f| pitch(f) != first) {
        return false;
    }
    let middle = map.nodes[apex];
    let reaches: Vec<f64> = faces
        .iter()
        .flat_map(|&f| map.corners(&map.faces[f].rings[0]))
        .filter(|&p| p != middle)
        .map(|p| p.distance(middle))
        .collect();
    reaches
        .iter()
        .all(|r| (r - reaches[0]).abs() <= EQUAL_PART * reaches[0])
}

/// The sides that the fan shares with other faces become two: its own eave, and an edge against a wall.
fn part_from_roof(map: &mut PlanMap, apex: usize, faces: &[usize]) {
    let in_fan = |f: Option<usize>| f.is_some_and(|f| faces.contains(&f));
    let rim = |edge: &MapEdge| edge.a != apex && edge.b != apex;
    let of_fan = |edge: &MapEdge| rim(edge) && (in_fan(edge.left) || in_fan(edge.right));
    let free = |edge: &MapEdge| edge.left.is_none() || edge.right.is_none();
    let shared: Vec<usize> = (0..map.edges.len())
        .filter(|&e| of_fan(&map.edges[e]) && !free(&map.edges[e]))
        .collect();
    let hangs = map.edges.iter().any(|e| of_fan(e) && free(e));
    if shared.is_empty() || !hangs {
        return;
    }
    for index in shared {
        let edge = &mut map.edges[index];
        let other_is_left = in_fan(edge.right);
        let mut wall = edge.clone();
        wall.on_wall = true;
        let other = if other_is_left {
            wall.right = None;
            edge.left.take()
        } else {
            wall.left = None;
            edge.right.take()
        };
        edge.on_wall = false;
        let new = map.edges.len();
        map.edges.push(wall);
        if let Some(other) = other {
            let sides = map.faces[other].rings.iter_mut().flatten();
            for side in sides.filter(|s| s.edge == index) {
                side.edge = new;
            }
        }
    }
    map.findings.push(
        Finding::note(
            "turret",
            format!("{} equal facets round one point are a turret: it has an eave all round, and the roof that it stands in ends against its wall. How high it stands is not drawn; areas and lengths do not depend on it.", faces.len()),
        )
        .place(Place::at(map.nodes[apex])),
    );
}
