//! Puts solved sheets together into one [`Roof`]: faces with their rings, edges with their classes, names.

use crate::geometry::{Plane, Point, Point3, Vector, ring};
use crate::roof::map::{DirectedEdge, PlanMap, is_against_an_opening};
use crate::roof::{Edge, EdgeId, Face, FaceId, Ring, Roof, Side};
use crate::units::{Area, Length, METRES_PER_FOOT, Pitch};

use super::classes;
use super::heights::{CornerHeights, corner_heights};
use super::label_place::roomiest_point;
use super::parts;
use super::sheet::Sheet;
use super::walls::{self, By, Under, UnderWall, WallLine};

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
    /// Whether lines and pitches contradict each other: then every plane is as steep as its label, the lines are as snapped, and
    /// planes part where they should meet.
    pub(super) as_written: bool,
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
    /// For each sheet the roof's face of each of its faces, until they are numbered.
    pub(super) face_of: Vec<Vec<FaceId>>,
    /// For each sheet the heights of its corners.
    pub(super) heights: Vec<CornerHeights>,
    /// Lines of walls with a face on each side.
    pub(super) walls: Vec<WallLine>,
}

/// Builds the roof, its faces as they come and without names. Sheets keep their order; heights get the sheets' lifts.
pub(super) fn assemble(
    maps: &[PlanMap],
    sheets: &mut [SolvedSheet],
    up_bearing_deg: f64,
) -> Assembled {
    let heights: Vec<CornerHeights> = sheets
        .iter()
        .map(|s| corner_heights(&s.sheet, &s.nodes, &s.planes, &s.is_step, s.as_written))
        .collect();
    super::levels::lift(maps, sheets, &heights);
    let mut faces: Vec<Face> = Vec::new();
    let mut edges: Vec<Edge> = Vec::new();
    let mut face_of: Vec<Vec<FaceId>> = Vec::new();
    let mut walls = Vec::new();
    for (solved, corners) in sheets.iter().zip(&heights) {
        let base = faces.len();
        let builder = Builder {
            map: &maps[solved.map],
            solved,
            corners,
            base,
        };
        let sides = builder.edges(&mut edges, &mut walls);
        let count = solved.sheet.faces.len();
        faces.extend((0..count).map(|face| builder.face(face, &sides)));
        face_of.push((base..base + count).map(FaceId).collect());
    }
    Assembled {
        face_of,
        heights,
        walls,
        roof: Roof {
            faces,
            edges,
            up_bearing_deg,
            ..Roof::default()
        },
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

    /// A corner of a face.
    fn corner(&self, node: usize, face: usize) -> Point3 {
        match self.corners.own.get(&(node, face)) {
            Some(&metres) => self.at_height(node, metres),
            None => self.shared_corner(node, face),
        }
    }

    /// The same at the one height of all faces that meet there.
    fn shared_corner(&self, node: usize, face: usize) -> Point3 {
        let height = self.corners.height.get(&(node, face)).copied();
        let metres =
            height.unwrap_or_else(|| self.solved.planes[face].height_at(self.solved.nodes[node]));
        self.at_height(node, metres)
    }

    fn at_height(&self, node: usize, metres: f64) -> Point3 {
        let lift = self.solved.lift_ft;
        let height = metres / METRES_PER_FOOT + lift;
        let level = height.abs() <= LAST_DIGITS * lift.abs();
        self.plan(node).at_height(if level { 0.0 } else { height })
    }

    /// Adds the edges of the sheet; for each edge of the sheet, the roof's edges on its left and on its right.
    fn edges(&self, edges: &mut Vec<Edge>, walls: &mut Vec<WallLine>) -> Vec<[Stretches; 2]> {
        let sheet = &self.solved.sheet;
        let part = parts::parts(sheet, &self.solved.is_step);
        let tower = parts::towers(sheet, &part);
        let mut sides = Vec::with_capacity(sheet.edges.len());
        for (index, edge) in sheet.edges.iter().enumerate() {
            let normal = edge.along.turn_left();
            let mut add = |made: Edge| {
                edges.push(made);
                EdgeId(edges.len() - 1)
            };
            let both = edge.both().filter(|_| !self.solved.is_step[index]);
            if let Some((left, right)) = both {
                let id = add(self.edge(index, left, Some(right), normal, None));
                sides.push([vec![(0.0, id)], vec![(0.0, id)]]);
                continue;
            }
            let wall = self.wall(index, &part, &tower);
            let whole = vec![(0.0, 1.0, None)];
            let stretches = wall.as_ref().map_or(whole, |(of_wall, _)| {
                let some = |&(from, to, under): &UnderWall| (from, to, Some(under));
                of_wall.iter().map(some).collect()
            });
            let mut pair = [Vec::new(), Vec::new()];
            let mut classes = [Vec::new(), Vec::new()];
            for (slot, face) in [edge.left, edge.right].into_iter().enumerate() {
                let Some(face) = face else { continue };
                let out = if slot == 0 { -normal } else { normal };
                let lower = [Under::Left, Under::Right][slot];
                for &(from, to, under) in &stretches {
                    let ends_under = under.map(|under| under == lower || under == Under::Both);
                    let whole = self.edge(index, face, None, out, ends_under);
                    let made = stretch(whole, from, to);
                    classes[slot].push(made.class);
                    pair[slot].push((from, add(made)));
                }
            }
            if let Some((_, line)) = wall {
                walls.push(WallLine { classes, ..line });
            }
            sides.push(pair);
        }
        sides
    }

    /// Which of the two faces at a wall end against it, stretch by stretch; `None` where no wall lies between two faces.
    fn wall(
        &self,
        index: usize,
        part: &[usize],
        tower: &[bool],
    ) -> Option<(Vec<UnderWall>, WallLine)> {
        let sheet = &self.solved.sheet;
        let edge = &sheet.edges[index];
        let (left, right) = edge
            .left
            .zip(edge.right)
            .filter(|(left, right)| left != right && edge.on_wall)?;
        let tied = part[left] == part[right];
        let heights = |face| [self.corner(edge.a, face).z, self.corner(edge.b, face).z];
        let by_heights = walls::under(heights(left), heights(right));
        let (under, by) = if is_against_an_opening(self.map, sheet.edge_ids[index]) {
            // A cricket ends against its chimney, and so does the slope that the chimney stands in.
            (vec![(0.0, 1.0, Under::Both)], By::Heights)
        } else if tied && by_heights[..] != [(0.0, 1.0, Under::Both)] {
            (by_heights, By::Heights)
        } else if self.is_over_wall(index, left) {
            (vec![(0.0, 1.0, Under::Right)], By::Falls)
        } else if self.is_over_wall(index, right) {
            (vec![(0.0, 1.0, Under::Left)], By::Falls)
        } else {
            let [g, h] = [left, right].map(|f| self.solved.planes[f].gradient);
            let any_flat = [left, right].iter().any(|&f| sheet.faces[f].is_flat());
            let by = match (tied, parts::over_wall(edge, g, h)) {
                (true, _) => By::Heights,
                _ if tower[part[left]] != tower[part[right]] => By::Falls,
                (false, Some(_)) if parts::rises_to_wall(edge, g, h) || any_flat => By::Falls,
                (false, Some(_)) => By::LikelyFalls,
                (false, None) => By::LevelEaves,
            };
            (by_heights, by)
        };
        let line = WallLine {
            faces: [left, right].map(|f| FaceId(self.base + f)),
            under: under.iter().map(|u| u.2).collect(),
            by,
            tied,
            classes: [Vec::new(), Vec::new()],
            at: self.plan(edge.a).midpoint(self.plan(edge.b)),
        };
        Some((under, line))
    }

    /// One edge. For an inner edge `normal` points into `first`; for an outer one, out of it. `ends_under` says of one at a
    /// wall with faces on both its sides whether this one ends against it.
    fn edge(
        &self,
        index: usize,
        first: usize,
        second: Option<usize>,
        normal: Vector,
        ends_under: Option<bool>,
    ) -> Edge {
        let sheet = &self.solved.sheet;
        let source = &sheet.edges[index];
        let [start, end] = [source.a, source.b].map(|node| match second {
            Some(_) => self.shared_corner(node, first),
            None => self.corner(node, first),
        });
        let plan_ft = start.plan().distance(end.plan());
        let gradient = |face: usize| self.solved.planes[face].gradient;
        let flat = |face: usize| sheet.faces[face].is_flat();
        let level = classes::is_level(end.z - start.z, plan_ft);
        let at_wall = || ends_under.unwrap_or(source.on_wall || self.is_lower_side(index, first));
        let class = match second {
            Some(second) => classes::inner(
                [gradient(first), gradient(second)],
                [flat(first), flat(second)],
                level,
                normal,
            ),
            None if at_wall() => classes::at_wall(level),
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
    /// along the wall ends over the level head of the lower roof with its rake, as a gable does.
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
        let over = match is_level(face) {
            true => leans(face),
            false => is_level(other),
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

    fn face(&self, face: usize, sides: &[[Stretches; 2]]) -> Face {
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

    fn ring(&self, ring: &[DirectedEdge], face: usize, sides: &[[Stretches; 2]]) -> Ring {
        let sheet = &self.solved.sheet;
        let mut made = Ring::default();
        for &side in ring {
            let edge = &sheet.edges[side.edge];
            let (a, b) = (self.corner(edge.a, face), self.corner(edge.b, face));
            let stretches = &sides[side.edge][usize::from(side.reversed)];
            let mut corners: Vec<Point3> = stretches.iter().map(|s| between(a, b, s.0)).collect();
            let mut ids: Vec<EdgeId> = stretches.iter().map(|s| s.1).collect();
            if side.reversed {
                ids.reverse();
                corners.reverse();
                corners.rotate_right(1);
                corners[0] = b;
            }
            made.corners.extend(corners);
            made.sides.extend(ids.into_iter().map(Side::Edge));
        }
        made
    }
}

/// The edges that a side of a face became, each with where it begins along the sheet's edge, from 0 to 1.
type Stretches = Vec<(f64, EdgeId)>;

/// A place along a line, from its start (0) to its end (1).
pub(super) fn between(a: Point3, b: Point3, t: f64) -> Point3 {
    match t {
        0.0 => a,
        1.0 => b,
        _ => a.plan().lerp(b.plan(), t).at_height(a.z + (b.z - a.z) * t),
    }
}

/// A stretch of an edge.
pub(super) fn stretch(whole: Edge, from: f64, to: f64) -> Edge {
    if (from, to) == (0.0, 1.0) {
        return whole;
    }
    let (start, end) = (
        between(whole.start, whole.end, from),
        between(whole.start, whole.end, to),
    );
    Edge {
        plan_length: Length::feet(start.plan().distance(end.plan())),
        true_length: Length::feet(start.distance(end)),
        start,
        end,
        ..whole
    }
}
