//! One connected part of a plan, in metres about its own middle: what the search works on.
//!
//! The method's constants were measured in metres on city models; the plan is in feet. This is the one place where
//! feet become metres, and [`Sheet::to_plan`] the one place where they become feet again.

use crate::geometry::{Point, Sets, Vector, ring};
use crate::roof::map::{DirectedEdge, PlanMap};
use crate::units::METRES_PER_FOOT;

/// Pieces of one line go on in each other within this angle, in degrees: an inch off on 5 ft. The facets of a curve turn by more,
/// and are lines of their own.
const STRAIGHT_DEG: f64 = 1.0;

/// One connected part of a [`PlanMap`].
#[derive(Clone, Debug, Default)]
pub(super) struct Sheet {
    /// Plan point (feet) that became the origin.
    pub(super) origin: Point,
    /// Nodes in metres.
    pub(super) nodes: Vec<Point>,
    /// Which node of the map each was.
    pub(super) node_ids: Vec<usize>,
    /// Edges.
    pub(super) edges: Vec<SheetEdge>,
    /// For each edge the number of the straight line that it is a piece of: edges between two faces that go on in each other.
    pub(super) lines: Vec<usize>,
    /// Which edge of the map each was.
    pub(super) edge_ids: Vec<usize>,
    /// Faces.
    pub(super) faces: Vec<SheetFace>,
    /// Which face of the map each was.
    pub(super) face_ids: Vec<usize>,
    /// Snap tolerance in metres.
    pub(super) tolerance: f64,
    /// √(mean face area), by which lengths are divided in the cost, so that size and unit drop out.
    pub(super) unit_length: f64,
}

/// An edge with its faces by sheet index.
#[derive(Clone, Debug)]
pub(super) struct SheetEdge {
    pub(super) a: usize,
    pub(super) b: usize,
    pub(super) left: Option<usize>,
    pub(super) right: Option<usize>,
    pub(super) on_wall: bool,
    /// Length in metres.
    pub(super) length: f64,
    /// Unit vector from a to b; its left normal points into `left`.
    pub(super) along: Vector,
}

/// A face: its slope is known or not, its direction is sought.
#[derive(Clone, Debug)]
pub(super) struct SheetFace {
    pub(super) rings: Vec<Vec<DirectedEdge>>,
    /// Rise over run as labelled; `None` where no label was found.
    pub(super) slope: Option<f64>,
    /// Half the last digit of the label, as rise over run.
    pub(super) half_step: f64,
    /// The direction water runs to, given by an arrow.
    pub(super) arrow: Option<Vector>,
    /// Plan area in m².
    pub(super) area: f64,
    /// Middle of the area, in metres.
    pub(super) middle: Point,
}

impl SheetFace {
    /// Whether the label says that it is level.
    pub(super) fn is_flat(&self) -> bool {
        self.slope
            .is_some_and(|m| m.atan().to_degrees() < crate::roof::FLAT_BELOW_DEG)
    }
}

impl SheetEdge {
    /// The two faces of an inner edge. Faces on two sides of a wall do not meet.
    pub(super) fn both(&self) -> Option<(usize, usize)> {
        Some((self.left?, self.right?)).filter(|(l, r)| l != r && !self.on_wall)
    }
    /// The one face of an outer edge, and the unit normal pointing out of it.
    pub(super) fn outer(&self) -> Option<(usize, Vector)> {
        match (self.left, self.right) {
            (Some(face), None) => Some((face, -self.along.turn_left())),
            (None, Some(face)) => Some((face, self.along.turn_left())),
            _ => None,
        }
    }
}

impl Sheet {
    /// The connected parts of a map, in the order of their first faces.
    pub(super) fn parts(map: &PlanMap) -> Vec<Self> {
        let part_of_face = connected_faces(map);
        let count = part_of_face.iter().max().map_or(0, |&m| m + 1);
        let mut members = vec![Vec::new(); count];
        for (face, &part) in part_of_face.iter().enumerate() {
            members[part].push(face);
        }
        let mut edges_of = vec![Vec::new(); count];
        for (index, edge) in map.edges.iter().enumerate() {
            if let Some(face) = edge.left.or(edge.right) {
                edges_of[part_of_face[face]].push(index);
            }
        }
        let mut node_slot = vec![usize::MAX; map.nodes.len()];
        let mut edge_slot = vec![usize::MAX; map.edges.len()];
        let mut face_slot = vec![usize::MAX; map.faces.len()];
        members
            .into_iter()
            .zip(edges_of)
            .map(|(faces, edges)| {
                for (slot, &face) in faces.iter().enumerate() {
                    face_slot[face] = slot;
                }
                Self::gather(
                    map,
                    faces,
                    edges,
                    &mut node_slot,
                    &mut edge_slot,
                    &face_slot,
                )
            })
            .collect()
    }

    fn gather(
        map: &PlanMap,
        faces: Vec<usize>,
        edges: Vec<usize>,
        node_slot: &mut [usize],
        edge_slot: &mut [usize],
        face_slot: &[usize],
    ) -> Self {
        let mut sheet = Self {
            tolerance: map.tolerance_ft * METRES_PER_FOOT,
            ..Self::default()
        };
        let mut low = Point::new(f64::INFINITY, f64::INFINITY);
        let mut high = Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
        for &edge in &edges {
            for node in [map.edges[edge].a, map.edges[edge].b] {
                let p = map.nodes[node];
                low = Point::new(low.x.min(p.x), low.y.min(p.y));
                high = Point::new(high.x.max(p.x), high.y.max(p.y));
            }
        }
        sheet.origin = low.midpoint(high);
        let mut slot_of = |sheet: &mut Self, node: usize| {
            let known = node_slot[node];
            if known < sheet.node_ids.len() && sheet.node_ids[known] == node {
                return known;
            }
            let p = map.nodes[node];
            let local = Point::default() + (p - sheet.origin) * METRES_PER_FOOT;
            sheet.nodes.push(local);
            sheet.node_ids.push(node);
            node_slot[node] = sheet.node_ids.len() - 1;
            sheet.node_ids.len() - 1
        };
        for (slot, &index) in edges.iter().enumerate() {
            let edge = &map.edges[index];
            let (a, b) = (slot_of(&mut sheet, edge.a), slot_of(&mut sheet, edge.b));
            let run = sheet.nodes[b] - sheet.nodes[a];
            edge_slot[index] = slot;
            sheet.edges.push(SheetEdge {
                a,
                b,
                left: edge.left.map(|f| face_slot[f]),
                right: edge.right.map(|f| face_slot[f]),
                on_wall: edge.on_wall,
                length: run.length(),
                along: run.unit().unwrap_or(Vector::new(1.0, 0.0)),
            });
        }
        sheet.edge_ids = edges;
        for &index in &faces {
            let face = &map.faces[index];
            let rings: Vec<Vec<DirectedEdge>> = face
                .rings
                .iter()
                .map(|r| {
                    r.iter()
                        .map(|side| DirectedEdge {
                            edge: edge_slot[side.edge],
                            reversed: side.reversed,
                        })
                        .collect()
                })
                .collect();
            let corners: Vec<Vec<Point>> = rings.iter().map(|r| sheet.corners(r)).collect();
            let area = corners.iter().map(|c| ring::signed_area(c)).sum::<f64>();
            sheet.faces.push(SheetFace {
                slope: face.pitch.as_ref().map(|p| p.pitch.to_rise_per_run()),
                half_step: face.pitch.as_ref().map_or(0.0, |p| p.half_step),
                arrow: face.fall_hint.and_then(Vector::unit),
                area: area.max(0.0),
                middle: corners
                    .first()
                    .map_or(Point::default(), |c| ring::centroid(c)),
                rings,
            });
        }
        sheet.face_ids = faces;
        sheet.lines = sheet.straight_lines();
        let total: f64 = sheet.faces.iter().map(|f| f.area).sum();
        let mean = total / sheet.faces.len().max(1) as f64;
        sheet.unit_length = if mean > 0.0 { mean.sqrt() } else { 1.0 };
        sheet
    }

    /// For each edge the number of its straight line.
    fn straight_lines(&self) -> Vec<usize> {
        let mut at_node: Vec<Vec<(usize, Vector)>> = vec![Vec::new(); self.nodes.len()];
        for (index, edge) in self.edges.iter().enumerate() {
            if edge.both().is_some() {
                at_node[edge.a].push((index, edge.along));
                at_node[edge.b].push((index, -edge.along));
            }
        }
        let mut sets = Sets::new(self.edges.len());
        for leaving in &at_node {
            for (at, (edge, along)) in leaving.iter().enumerate() {
                for (other, on) in &leaving[at + 1..] {
                    if along.angle_to_deg(-*on) < STRAIGHT_DEG {
                        sets.join(*edge, *other);
                    }
                }
            }
        }
        sets.numbered()
    }

    /// A point of the sheet in plan feet.
    pub(super) fn to_plan(&self, p: Point) -> Point {
        self.origin + (p - Point::default()) * (1.0 / METRES_PER_FOOT)
    }

    /// The nodes of a directed edge, from its start to its end.
    pub(super) fn ends(&self, side: DirectedEdge) -> (usize, usize) {
        let edge = &self.edges[side.edge];
        if side.reversed {
            (edge.b, edge.a)
        } else {
            (edge.a, edge.b)
        }
    }

    /// The corners of a ring.
    pub(super) fn corners(&self, ring: &[DirectedEdge]) -> Vec<Point> {
        ring.iter()
            .map(|&side| self.nodes[self.ends(side).0])
            .collect()
    }

    /// The edges round each face, each once.
    pub(super) fn face_edges(&self) -> Vec<Vec<usize>> {
        let mut of = vec![Vec::new(); self.faces.len()];
        for (index, edge) in self.edges.iter().enumerate() {
            for face in [edge.left, edge.right].into_iter().flatten() {
                if of[face].last() != Some(&index) {
                    of[face].push(index);
                }
            }
        }
        of
    }
}

/// For each face of the map, the number of its connected part (joined over shared edges).
fn connected_faces(map: &PlanMap) -> Vec<usize> {
    let mut sets = Sets::new(map.faces.len());
    for edge in &map.edges {
        if let (Some(left), Some(right)) = (edge.left, edge.right) {
            sets.join(left, right);
        }
    }
    sets.numbered()
}
