//! Puts solved sheets together into one [`Roof`]: faces with their rings, edges with their classes, names.

use crate::geometry::{Plane, Point, Point3, Vector, ring};
use crate::roof::map::{DirectedEdge, PlanMap, is_against_an_opening};
use crate::roof::{Edge, EdgeClass, EdgeId, Face, FaceId, Ring, Roof, Side};
use crate::units::{Area, Length, METRES_PER_FOOT, Pitch};

use super::classes;
use super::heights::{CornerHeights, corner_heights};
use super::label_place::roomiest_point;
use super::names::{Named, names};
use super::sheet::Sheet;

/// A height that agrees with what it is lifted by to so small a share is the lowest corner's: the other corners of a level
/// eave come out of the equations with their last two bits other.
const LAST_DIGITS: f64 = 4.0 * f64::EPSILON;

/// One connected part, solved.
#[derive(Clone, Debug)]
pub(super) struct SolvedSheet {
    /// Which map it came from.
    pub(super) map: usize,
    pub(super) sheet: Sheet,
    /// The adjusted corners in sheet metres; as snapped where nothing was adjusted.
    pub(super) nodes: Vec<Point>,
    /// Planes over sheet metres.
    pub(super) planes: Vec<Plane>,
    pub(super) is_step: Vec<bool>,
    /// One standard error of the sheet's true area in m².
    pub(super) true_area_std_error_m2: Option<f64>,
    /// Added to every height, in feet: brings the lowest corner to 0, or the part on to the one below.
    pub(super) lift_ft: f64,
    /// Why each face falls as it does.
    pub(super) why: Vec<String>,
}

impl SolvedSheet {
    /// A face's plane over plan feet.
    pub(super) fn plane_ft(&self, face: usize) -> Plane {
        let plane = self.planes[face];
        let origin = self.sheet.origin - Point::default();
        Plane {
            gradient: plane.gradient,
            offset: plane.offset / METRES_PER_FOOT - plane.gradient.dot(origin) + self.lift_ft,
        }
    }
}

/// What the roof and the checks need besides: which roof edges came from which edge of a sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct Assembled {
    pub(super) roof: Roof,
    /// For each sheet the roof's face of each of its faces.
    pub(super) face_of: Vec<Vec<FaceId>>,
    /// For each sheet the heights of its corners.
    pub(super) heights: Vec<CornerHeights>,
}

/// Builds the roof. Sheets keep their order; heights get the sheets' lifts.
pub(super) fn assemble(
    maps: &[PlanMap],
    sheets: &mut [SolvedSheet],
    up_bearing_deg: f64,
) -> Assembled {
    let heights: Vec<CornerHeights> = sheets
        .iter()
        .map(|s| corner_heights(&s.sheet, &s.nodes, &s.planes, &s.is_step))
        .collect();
    super::levels::lift(maps, sheets, &heights);
    let mut faces: Vec<Face> = Vec::new();
    let mut edges: Vec<Edge> = Vec::new();
    let mut owner: Vec<(usize, usize)> = Vec::new();
    for (index, (solved, corners)) in sheets.iter().zip(&heights).enumerate() {
        let base = faces.len();
        let builder = Builder {
            map: &maps[solved.map],
            solved,
            corners,
            base,
        };
        let sides = builder.edges(&mut edges);
        for face in 0..solved.sheet.faces.len() {
            faces.push(builder.face(face, &sides));
            owner.push((index, face));
        }
    }
    let mut assembled = Assembled {
        face_of: sheets
            .iter()
            .map(|s| vec![FaceId(0); s.sheet.faces.len()])
            .collect(),
        ..Assembled::default()
    };
    let mut new_id = vec![FaceId(0); faces.len()];
    let mut slots: Vec<Option<Face>> = faces.into_iter().map(Some).collect();
    let named: Vec<Named> = slots.iter().flatten().map(named).collect();
    for (old, name) in names(&named, up_bearing_deg) {
        let id = FaceId(assembled.roof.faces.len());
        new_id[old] = id;
        let (sheet, face) = owner[old];
        assembled.face_of[sheet][face] = id;
        if let Some(mut face) = slots[old].take() {
            face.name = name;
            assembled.roof.faces.push(face);
        }
    }
    for edge in &mut edges {
        for id in &mut edge.faces {
            *id = new_id[id.0];
        }
    }
    assembled.roof.edges = edges;
    assembled.roof.up_bearing_deg = up_bearing_deg;
    assembled.heights = heights;
    assembled
}

fn named(face: &Face) -> Named {
    Named {
        fall: face.fall(),
        true_area: face.true_area.to_square_feet(),
        at: (face.label_at.x, face.label_at.y),
    }
}

struct Builder<'a> {
    map: &'a PlanMap,
    solved: &'a SolvedSheet,
    corners: &'a CornerHeights,
    base: usize,
}

impl Builder<'_> {
    fn plan(&self, node: usize) -> Point {
        self.map.nodes[self.solved.sheet.node_ids[node]]
    }

    fn corner(&self, node: usize, face: usize) -> Point3 {
        let height = self.corners.height.get(&(node, face)).copied();
        let metres =
            height.unwrap_or_else(|| self.solved.planes[face].height_at(self.solved.nodes[node]));
        let lift = self.solved.lift_ft;
        let height = metres / METRES_PER_FOOT + lift;
        let level = height.abs() <= LAST_DIGITS * lift.abs();
        self.plan(node).at_height(if level { 0.0 } else { height })
    }

    /// Adds the edges of the sheet; for each edge of the sheet, the roof's edge on its left and on its right.
    fn edges(&self, edges: &mut Vec<Edge>) -> Vec<[EdgeId; 2]> {
        let sheet = &self.solved.sheet;
        let mut sides = Vec::with_capacity(sheet.edges.len());
        for (index, edge) in sheet.edges.iter().enumerate() {
            let first = EdgeId(edges.len());
            let normal = edge.along.turn_left();
            let both = edge.both().filter(|_| !self.solved.is_step[index]);
            if let Some((left, right)) = both {
                let made = self.edge(index, left, Some(right), normal);
                edges.push(made);
                sides.push([first, first]);
                continue;
            }
            let mut pair = [first, first];
            for (slot, face) in [edge.left, edge.right].into_iter().enumerate() {
                if let Some(face) = face {
                    pair[slot] = EdgeId(edges.len());
                    let out = if slot == 0 { -normal } else { normal };
                    let made = self.edge(index, face, None, out);
                    edges.push(made);
                }
            }
            sides.push(pair);
        }
        sides
    }

    /// One edge. For an inner edge `normal` points into `first`; for an outer one, out of it.
    fn edge(&self, index: usize, first: usize, second: Option<usize>, normal: Vector) -> Edge {
        let sheet = &self.solved.sheet;
        let source = &sheet.edges[index];
        let (start, end) = (self.corner(source.a, first), self.corner(source.b, first));
        let plan_ft = start.plan().distance(end.plan());
        let gradient = |face: usize| self.solved.planes[face].gradient;
        let flat = |face: usize| sheet.faces[face].is_flat();
        let level = classes::is_level(end.z - start.z, plan_ft);
        let class = match second {
            Some(second) => classes::inner(
                [gradient(first), gradient(second)],
                [flat(first), flat(second)],
                level,
                normal,
            ),
            None if self.is_over_wall(index, first) && level => EdgeClass::Eave,
            None if self.is_over_wall(index, first) => EdgeClass::Rake,
            None if source.on_wall || self.is_lower_side(index, first) => classes::at_wall(level),
            None => classes::outer(gradient(first), flat(first), level, normal),
        };
        Edge {
            class,
            faces: std::iter::once(first)
                .chain(second)
                .map(|f| FaceId(self.base + f))
                .collect(),
            start,
            end,
            plan_length: Length::feet(plan_ft),
            true_length: Length::feet(start.distance(end)),
            sources: self.map.edges[sheet.edge_ids[index]].sources.clone(),
        }
    }

    /// Whether the wall that an edge lies on is beneath its face, and a lower roof leans against it, which falls away from
    /// it. A face that falls to the wall drips over it: were both under the wall, it would drain into it. One that falls
    /// along the wall ends over the level head of the lower roof with its rake, as a gable does; a cricket ends against
    /// its chimney.
    fn is_over_wall(&self, index: usize, face: usize) -> bool {
        let edge = &self.solved.sheet.edges[index];
        let (Some(left), Some(right)) = (edge.left, edge.right) else {
            return false;
        };
        let gradient = |f: usize| self.solved.planes[f].gradient;
        let to_left = edge.along.turn_left();
        let (other, into) = if left == face {
            (right, to_left)
        } else {
            (left, -to_left)
        };
        let is_level = |f: usize| {
            let (a, b) = (self.corner(edge.a, f), self.corner(edge.b, f));
            classes::is_level(b.z - a.z, a.plan().distance(b.plan()))
        };
        let leans = |f: usize| gradient(f).dot(into) > 0.0;
        let chimney = || is_against_an_opening(self.map, self.solved.sheet.edge_ids[index]);
        let over = match is_level(face) {
            true => leans(face),
            false => is_level(other) && !chimney(),
        };
        edge.on_wall && leans(other) && over
    }

    /// Whether a face is the lower one at a step.
    fn is_lower_side(&self, index: usize, face: usize) -> bool {
        let edge = &self.solved.sheet.edges[index];
        let Some((left, right)) = edge.both() else {
            return false;
        };
        let other = if left == face { right } else { left };
        let height = |f: usize| self.corner(edge.a, f).z + self.corner(edge.b, f).z;
        height(face) < height(other)
    }

    fn face(&self, face: usize, sides: &[[EdgeId; 2]]) -> Face {
        let sheet = &self.solved.sheet;
        let source = &sheet.faces[face];
        let plane = self.solved.plane_ft(face);
        let pitch = source.slope.map_or(
            Pitch::rise_per_run(plane.gradient.length()),
            Pitch::rise_per_run,
        );
        let plan_rings: Vec<Vec<Point>> = source
            .rings
            .iter()
            .map(|r| {
                r.iter()
                    .map(|&side| self.plan(sheet.ends(side).0))
                    .collect()
            })
            .collect();
        let plan_area = Area::square_feet(plan_rings.iter().map(|r| ring::signed_area(r)).sum());
        let mut rings = source.rings.iter().map(|r| self.ring(r, face, sides));
        Face {
            name: String::new(),
            pitch,
            pitch_half_step: source.half_step,
            plane,
            level: self.map.level,
            outline: rings.next().unwrap_or_default(),
            holes: rings.collect(),
            plan_area,
            true_area: pitch.true_area(plan_area),
            label_at: roomiest_point(&plan_rings),
            why: self.solved.why.get(face).cloned().unwrap_or_default(),
            source: self.map.faces[sheet.face_ids[face]]
                .pitch
                .as_ref()
                .and_then(|p| p.source.clone()),
        }
    }

    fn ring(&self, ring: &[DirectedEdge], face: usize, sides: &[[EdgeId; 2]]) -> Ring {
        let sheet = &self.solved.sheet;
        Ring {
            corners: ring
                .iter()
                .map(|&side| self.corner(sheet.ends(side).0, face))
                .collect(),
            sides: ring
                .iter()
                .map(|side| Side::Edge(sides[side.edge][usize::from(side.reversed)]))
                .collect(),
        }
    }
}
