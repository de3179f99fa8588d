//! From the roof over an outline to a plan map, as if it had been drawn: so that one solver makes every roof.

use std::collections::BTreeMap;

use super::input::Rises;
use super::product::{ArcKind, OutlineArc, OutlineRoof, RoofSide};
use crate::geometry::{Plane, Point, Sets, Vector};
use crate::roof::map::{DirectedEdge, LabelledPitch, MapEdge, MapFace, PlanMap};

/// A plan map made from an outline, with the planes that it was made with.
#[derive(Clone, Debug)]
pub struct OutlineMap {
    /// The map. Every face has its pitch and its fall; seams are dissolved, gables are the rakes of the faces beside
    /// them, and edges on wall sides say so.
    pub map: PlanMap,
    /// The plane of every face of the map, over plan feet, from the lowest eave.
    pub planes: Vec<Plane>,
    /// The sides of the outline whose faces each face of the map is made of.
    pub sides: Vec<Vec<usize>>,
}

/// One straight piece of the map's linework.
#[derive(Clone, Copy)]
struct Line {
    a: usize,
    b: usize,
    left: Option<usize>,
    right: Option<usize>,
    on_wall: bool,
}

/// Turns a roof over an outline into a plan map. `pitch` gives the label of a side, with its source; where it gives
/// none, the pitch that the roof was built with is taken.
pub fn to_plan_map(
    roof: &OutlineRoof,
    level: u32,
    pitch: impl Fn(usize) -> Option<LabelledPitch>,
) -> OutlineMap {
    let (face_of, sides) = faces(roof);
    let mut lines = lines(roof, &face_of);
    let place = same_in_plan(roof);
    for line in &mut lines {
        line.a = place[line.a];
        line.b = place[line.b];
    }
    lines.retain(|line| line.a != line.b);
    let lines = without_slits(lines);
    let mut map = PlanMap {
        level,
        nodes: roof.nodes.iter().map(|p| p.plan()).collect(),
        edges: lines
            .iter()
            .map(|line| MapEdge {
                a: line.a,
                b: line.b,
                left: line.left,
                right: line.right,
                on_wall: line.on_wall,
                sources: Vec::new(),
            })
            .collect(),
        ..PlanMap::default()
    };
    let rings = rings(&lines, &map.nodes, sides.len());
    let mut planes = Vec::with_capacity(sides.len());
    for (members, rings) in sides.iter().zip(rings) {
        let side = &roof.sides[members[0]];
        let plane = side.plane.unwrap_or_default();
        planes.push(plane);
        map.faces.push(MapFace {
            rings,
            pitch: members
                .iter()
                .find_map(|&m| pitch(m))
                .or_else(|| built_pitch(side)),
            could_be_outline: false,
            fall_hint: (-plane.gradient).unit(),
            plane: side.plane,
        });
    }
    drop_unused_nodes(&mut map);
    OutlineMap { map, planes, sides }
}

/// Of two lines between the same two nodes with a face between them, one: the face has no width there. Such are left where
/// nodes become one and their neighbours do not, as round the peak of an outline of many sides.
fn without_slits(mut lines: Vec<Line>) -> Vec<Line> {
    while let Some((i, j)) = slit(&lines) {
        let other = lines.remove(j);
        let other = if other.a == lines[i].a {
            other
        } else {
            other.turned()
        };
        let line = &mut lines[i];
        line.on_wall |= other.on_wall;
        if line.right.is_some() && line.right == other.left {
            line.right = other.right;
        } else {
            line.left = other.left;
        }
        if line.left == line.right {
            lines.remove(i);
        }
    }
    lines
}

/// Two lines between the same nodes with a face between them, the later one second.
fn slit(lines: &[Line]) -> Option<(usize, usize)> {
    let mut seen: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
    for (j, line) in lines.iter().enumerate() {
        let before = seen
            .entry((line.a.min(line.b), line.a.max(line.b)))
            .or_default();
        let parts_a_face = |&&i: &&usize| {
            let other = match lines[i].a == line.a {
                true => lines[i],
                false => lines[i].turned(),
            };
            let is_one = |a: Option<usize>, b: Option<usize>| a.is_some() && a == b;
            is_one(other.right, line.left) || is_one(other.left, line.right)
        };
        if let Some(&i) = before.iter().find(parts_a_face) {
            return Some((i, j));
        }
        before.push(j);
    }
    None
}

impl Line {
    /// The same the other way round.
    fn turned(self) -> Self {
        Self {
            a: self.b,
            b: self.a,
            left: self.right,
            right: self.left,
            on_wall: self.on_wall,
        }
    }
}

/// For every node the first one at its place in plan: at a wall, nodes lie over each other.
fn same_in_plan(roof: &OutlineRoof) -> Vec<usize> {
    let mut order: Vec<usize> = (0..roof.nodes.len()).collect();
    let at = |i: usize| roof.nodes[i].plan();
    order.sort_by(|&i, &j| at(i).x.total_cmp(&at(j).x).then(i.cmp(&j)));
    let mut places = Sets::new(roof.nodes.len());
    for (k, &i) in order.iter().enumerate() {
        for &j in order[k + 1..]
            .iter()
            .take_while(|&&j| at(j).x - at(i).x <= SAME_PLACE_WITHIN_FT)
        {
            if (at(j).y - at(i).y).abs() <= SAME_PLACE_WITHIN_FT {
                places.join(i, j);
            }
        }
    }
    (0..roof.nodes.len()).map(|i| places.find(i)).collect()
}

fn built_pitch(side: &RoofSide) -> Option<LabelledPitch> {
    match side.rises {
        Rises::Eave(pitch) => Some(LabelledPitch {
            pitch,
            half_step: 0.0,
            source: None,
        }),
        Rises::Gable | Rises::Wall => None,
    }
}

/// For every side the face of the map that it belongs to, and for every face its sides: faces that a seam parts are one.
fn faces(roof: &OutlineRoof) -> (Vec<Option<usize>>, Vec<Vec<usize>>) {
    let mut joined = Sets::new(roof.sides.len());
    // Two that touch in a point are two: a seam of no length is what the digits of the drawing made of the point.
    let parts = |arc: &&OutlineArc| {
        arc.kind == ArcKind::Seam && roof.plan_length(arc).to_feet() > SAME_PLACE_WITHIN_FT
    };
    for arc in roof.arcs.iter().filter(parts) {
        joined.join(arc.left, arc.right);
    }
    let mut face_of = vec![None; roof.sides.len()];
    let mut sides: Vec<Vec<usize>> = Vec::new();
    for (i, side) in roof.sides.iter().enumerate() {
        if side.corners.is_empty() {
            continue;
        }
        let r = joined.find(i);
        let face = *face_of[r].get_or_insert_with(|| {
            sides.push(Vec::new());
            sides.len() - 1
        });
        face_of[i] = Some(face);
        sides[face].push(i);
    }
    (face_of, sides)
}

fn lines(roof: &OutlineRoof, face_of: &[Option<usize>]) -> Vec<Line> {
    let mut lines = Vec::new();
    // What lies on the line of a side that stands still: pieces of rake, seen along the side's direction.
    let mut still: BTreeMap<usize, Vec<Line>> = BTreeMap::new();
    for arc in &roof.arcs {
        let line = Line {
            a: arc.from,
            b: arc.to,
            left: face_of[arc.left],
            right: face_of[arc.right],
            on_wall: false,
        };
        match arc.kind {
            ArcKind::Seam | ArcKind::WallCorner => {}
            ArcKind::Ridge | ArcKind::Hip | ArcKind::Valley | ArcKind::PitchChange => {
                lines.push(line);
            }
            ArcKind::Rake | ArcKind::Eave => {
                // The still side is the one whose line both ends lie on; a raised eave is over its own wall.
                let (side, line) = if is_still(roof, arc.left, arc.right, arc.kind) {
                    (arc.left, Line { left: None, ..line })
                } else {
                    (
                        arc.right,
                        Line {
                            right: None,
                            ..line
                        },
                    )
                };
                still.entry(side).or_default().push(line);
            }
        }
    }
    for (i, side) in roof.sides.iter().enumerate() {
        let (Some([a, b]), Some(face)) = (side.base, face_of[i]) else {
            continue;
        };
        if side.eave_ft == 0.0 {
            lines.push(Line {
                a,
                b,
                left: Some(face),
                right: None,
                on_wall: false,
            });
        }
    }
    for (side, pieces) in still {
        merge_on_one_line(roof, side, &pieces, &mut lines);
    }
    lines
}

/// Whether the left side of a rake or raised eave is the one that stands still.
fn is_still(roof: &OutlineRoof, left: usize, right: usize, kind: ArcKind) -> bool {
    if kind == ArcKind::Eave {
        // Drawn with its own face on the left, over the wall on the right.
        return false;
    }
    let moves = |side: usize| roof.sides[side].plane.is_some();
    match (moves(left), moves(right)) {
        (false, _) => true,
        (_, false) => false,
        // Both rise: one of them rises from a wall under its raised eave.
        (true, true) => roof.sides[left].eave_ft > roof.sides[right].eave_ft,
    }
}

/// Cuts the pieces on one side's line at each other's ends. Where pieces of a lower and an upper face lie on each
/// other they become one edge with a face on either side: a step.
fn merge_on_one_line(roof: &OutlineRoof, side: usize, pieces: &[Line], lines: &mut Vec<Line>) {
    let Some([start, end]) = roof.sides[side].base else {
        return;
    };
    let at = |node: usize| roof.nodes[node].plan();
    let Some(d) = (at(end) - at(start)).unit() else {
        return;
    };
    let along = |node: usize| d.dot(at(node) - at(start));
    // Along the side's direction.
    let pieces: Vec<Line> = pieces
        .iter()
        .map(|&p| {
            if along(p.a) <= along(p.b) {
                p
            } else {
                Line {
                    a: p.b,
                    b: p.a,
                    left: p.right,
                    right: p.left,
                    ..p
                }
            }
        })
        .collect();
    let mut stops: Vec<usize> = pieces.iter().flat_map(|p| [p.a, p.b]).collect();
    stops.sort_by(|&a, &b| along(a).total_cmp(&along(b)).then(a.cmp(&b)));
    // Nodes over each other are one in plan.
    stops.dedup_by(|b, a| along(*b) - along(*a) <= SAME_PLACE_WITHIN_FT);
    let wall = roof.sides[side].rises == Rises::Wall;
    for stop in stops.windows(2) {
        let (from, to) = (along(stop[0]), along(stop[1]));
        let middle = (from + to) / 2.0;
        let over: Vec<&Line> = pieces
            .iter()
            .filter(|p| along(p.a) < middle && middle < along(p.b))
            .collect();
        let left = over.iter().find_map(|p| p.left);
        let right = over.iter().find_map(|p| p.right);
        if left.is_some() || right.is_some() {
            lines.push(Line {
                a: stop[0],
                b: stop[1],
                left,
                right,
                on_wall: wall,
            });
        }
    }
}

/// Nodes nearer than this in plan are one, or over each other on a wall: hardly the width of a pencil line, and more than the
/// digits of a file may part what was meant to meet, such as four hips in one point.
const SAME_PLACE_WITHIN_FT: f64 = 1e-4;

/// The rings of every face: outer first, then holes.
fn rings(lines: &[Line], nodes: &[Point], faces: usize) -> Vec<Vec<Vec<DirectedEdge>>> {
    // Every use of an edge by a face, by face and start; several may start at one node.
    let mut uses: Vec<Vec<(usize, usize, DirectedEdge)>> = vec![Vec::new(); faces];
    for (edge, line) in lines.iter().enumerate() {
        for (face, reversed) in [(line.left, false), (line.right, true)] {
            if let Some(face) = face {
                let (from, to) = if reversed {
                    (line.b, line.a)
                } else {
                    (line.a, line.b)
                };
                uses[face].push((from, to, DirectedEdge { edge, reversed }));
            }
        }
    }
    uses.into_iter()
        .map(|uses| face_rings(uses, nodes))
        .collect()
}

fn face_rings(uses: Vec<(usize, usize, DirectedEdge)>, nodes: &[Point]) -> Vec<Vec<DirectedEdge>> {
    let mut left: Vec<Option<(usize, usize, DirectedEdge)>> = uses.into_iter().map(Some).collect();
    let mut rings: Vec<(f64, Vec<DirectedEdge>)> = Vec::new();
    while let Some(first) = left.iter_mut().find_map(Option::take) {
        let mut ring = vec![first.2];
        let mut corners = vec![nodes[first.0]];
        let (start, mut before, mut at) = (first.0, first.0, first.1);
        while at != start {
            let back = nodes[before] - nodes[at];
            let next = (0..left.len())
                .filter(|&i| left[i].is_some_and(|u| u.0 == at))
                .min_by(|&i, &j| {
                    let turn = |k: usize| {
                        left[k].map_or(f64::INFINITY, |u| clockwise(back, nodes[u.1] - nodes[at]))
                    };
                    turn(i).total_cmp(&turn(j))
                });
            let Some((_, to, used)) = next.and_then(|i| left[i].take()) else {
                break;
            };
            corners.push(nodes[at]);
            ring.push(used);
            before = at;
            at = to;
        }
        rings.push((crate::geometry::ring::signed_area(&corners), ring));
    }
    // The outer ring is the one with the largest area; holes are clockwise.
    rings.sort_by(|a, b| b.0.total_cmp(&a.0));
    rings.into_iter().map(|(_, ring)| ring).collect()
}

/// The angle from one direction to another, clockwise.
fn clockwise(from: Vector, to: Vector) -> f64 {
    let turn = (from.y.atan2(from.x) - to.y.atan2(to.x)).rem_euclid(std::f64::consts::TAU);
    if turn == 0.0 {
        std::f64::consts::TAU
    } else {
        turn
    }
}

/// Drops nodes that no edge ends at, such as the far ends of seams.
fn drop_unused_nodes(map: &mut PlanMap) {
    let mut new = vec![usize::MAX; map.nodes.len()];
    let mut kept = Vec::new();
    for edge in &mut map.edges {
        for end in [&mut edge.a, &mut edge.b] {
            if new[*end] == usize::MAX {
                new[*end] = kept.len();
                kept.push(map.nodes[*end]);
            }
            *end = new[*end];
        }
    }
    map.nodes = kept;
}
