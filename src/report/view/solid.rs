//! The polygons of the picture: faces of the roof, and walls under its outer edges for reading.

use super::Eye;
use crate::geometry::{Point, Point3, ring};
use crate::roof::{EdgeId, Face, FaceId, OpeningId, Ring, Roof, Side};

/// What a polygon shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Face(FaceId),
    /// The wall under an edge.
    Wall,
    /// A chimney or the like, drawn up a little.
    Opening,
}

/// A plane polygon seen from the front.
#[derive(Clone, Debug)]
pub(crate) struct Polygon {
    pub(crate) kind: Kind,
    /// Outer ring first, then holes, in space.
    pub(crate) rings: Vec<Vec<Point3>>,
    /// The same on the picture, in feet.
    pub(crate) seen: Vec<Vec<Point>>,
    /// The edge behind each side of each ring, where there is one.
    pub(crate) edges: Vec<Vec<Option<EdgeId>>>,
    /// Sides that are no corner of the building: where two walls run on in one line.
    smooth: Vec<usize>,
    /// Nearness over the picture: a·x + b·y + c.
    depth: [f64; 3],
}

impl Polygon {
    /// `None` for a polygon that turns its back or stands edge on.
    fn new(
        eye: Eye,
        kind: Kind,
        rings: Vec<Vec<Point3>>,
        edges: Vec<Vec<Option<EdgeId>>>,
    ) -> Option<Self> {
        let seen: Vec<Vec<Point>> = rings
            .iter()
            .map(|r| r.iter().map(|&p| eye.screen(p)).collect())
            .collect();
        let outer = seen.first()?;
        if ring::signed_area(outer) < 1e-6 {
            return None;
        }
        let depth = depth_plane(eye, rings.first()?, outer)?;
        Some(Self {
            kind,
            rings,
            seen,
            edges,
            smooth: Vec::new(),
            depth,
        })
    }
    /// Whether a side of the outer ring is a corner that one would see.
    pub(crate) fn shows(&self, side: usize) -> bool {
        !self.smooth.contains(&side)
    }
    /// How near the polygon's plane is at a place of the picture.
    pub(crate) fn nearness_at(&self, p: Point) -> f64 {
        self.depth[0] * p.x + self.depth[1] * p.y + self.depth[2]
    }
    /// Whether a place of the picture is inside.
    pub(crate) fn covers(&self, p: Point) -> bool {
        self.seen.iter().filter(|r| ring::contains(r, p)).count() % 2 == 1
    }
}

/// Nearness as a plane over the picture, from the three corners that span the most.
fn depth_plane(eye: Eye, corners: &[Point3], seen: &[Point]) -> Option<[f64; 3]> {
    let n = corners.len();
    let mut best = (0.0, (0, 0, 0));
    for j in 1..n {
        for k in j + 1..n {
            let area = (seen[j] - seen[0]).cross(seen[k] - seen[0]).abs();
            if area > best.0 {
                best = (area, (0, j, k));
            }
        }
    }
    let (i, j, k) = best.1;
    if best.0 < 1e-9 {
        return None;
    }
    let (u, v) = (seen[j] - seen[i], seen[k] - seen[i]);
    let at = |m: usize| eye.nearness(corners[m]);
    let (du, dv) = (at(j) - at(i), at(k) - at(i));
    let det = u.cross(v);
    let a = (du * v.y - dv * u.y) / det;
    let b = (u.x * dv - v.x * du) / det;
    Some([a, b, at(i) - a * seen[i].x - b * seen[i].y])
}

/// Walls reach so far below the lowest eave, in feet. Nobody measured them.
pub(crate) const WALL_FT: f64 = 7.0;
/// Openings stand up so far over their highest corner.
const STAND_UP_FT: f64 = 1.5;

/// All polygons that face the eye.
pub(crate) fn polygons(roof: &Roof, eye: Eye) -> Vec<Polygon> {
    let mut out: Vec<Polygon> = Vec::new();
    for (i, face) in roof.faces.iter().enumerate() {
        let rings = || std::iter::once(&face.outline).chain(&face.holes);
        let sides = rings()
            .map(|r| {
                r.sides
                    .iter()
                    .map(|side| match side {
                        Side::Edge(id) => Some(*id),
                        Side::Opening(_) => None,
                    })
                    .collect()
            })
            .collect();
        let corners = rings().map(|r| r.corners.clone()).collect();
        out.extend(Polygon::new(eye, Kind::Face(FaceId(i)), corners, sides));
        for ring in rings() {
            walls(roof, eye, (ring, face.level), &mut out);
        }
    }
    smooth_walls(&mut out);
    for i in 0..roof.openings.len() {
        boxes(roof, eye, OpeningId(i), &mut out);
    }
    out
}

/// Walls under the sides that belong to this face alone: down to the ground, or to the roof beneath an upper level.
fn walls(roof: &Roof, eye: Eye, (ring, level): (&Ring, u32), out: &mut Vec<Polygon>) {
    use crate::roof::EdgeClass::{Headwall, Sidewall};
    let beneath: Vec<&Face> = roof.faces.iter().filter(|f| f.level < level).collect();
    let n = ring.corners.len();
    for i in 0..n {
        let Some(Side::Edge(id)) = ring.sides.get(i) else {
            continue;
        };
        let edge = roof.edge(*id);
        // Against a wall the higher part has the wall.
        if edge.faces.len() > 1 || matches!(edge.class, Headwall | Sidewall) {
            continue;
        }
        let (a, b) = (ring.corners[i], ring.corners[(i + 1) % n]);
        for (a, b) in parts_over(&beneath, a, b) {
            let foot = foot_of(&beneath, a.plan().midpoint(b.plan()));
            let down = |p: Point3| Point3 {
                z: foot
                    .map_or(-WALL_FT, |f| f.plane.height_at(p.plan()))
                    .min(p.z),
                ..p
            };
            let corners = vec![down(a), down(b), b, a];
            let sides = vec![vec![None; 4]];
            out.extend(Polygon::new(eye, Kind::Wall, vec![corners], sides));
        }
    }
}

/// An edge cut where it crosses the sides of the faces beneath it.
fn parts_over(beneath: &[&Face], a: Point3, b: Point3) -> Vec<(Point3, Point3)> {
    let (p, q) = (a.plan(), b.plan());
    let mut cuts = vec![0.0, 1.0];
    for face in beneath {
        for ring in std::iter::once(&face.outline).chain(&face.holes) {
            for i in 0..ring.corners.len() {
                let r = ring.corners[i].plan();
                let s = ring.corners[(i + 1) % ring.corners.len()].plan();
                let (d, e) = (q - p, s - r);
                let det = d.cross(e);
                let (t, u) = ((r - p).cross(e) / det, (r - p).cross(d) / det);
                // Parallel sides give no number and no cut.
                if (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u) {
                    cuts.push(t);
                }
            }
        }
    }
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|x, y| (*x - *y).abs() < 1e-6);
    let at = |t: f64| p.lerp(q, t).at_height(a.z + (b.z - a.z) * t);
    cuts.windows(2)
        .map(|two| (at(two[0]), at(two[1])))
        .collect()
}

/// The highest of the faces beneath a place.
fn foot_of<'a>(beneath: &[&'a Face], at: Point) -> Option<&'a Face> {
    let covers = |face: &&&Face| {
        let rings = std::iter::once(&face.outline).chain(&face.holes);
        let inside = rings.filter(|r| {
            let corners = r.plan();
            ring::contains(&corners, at)
        });
        inside.count() % 2 == 1
    };
    let height = |face: &&&Face| face.plane.height_at(at);
    let under = beneath.iter().filter(covers);
    under
        .max_by(|x, y| height(x).total_cmp(&height(y)))
        .copied()
}

/// Takes the upright side from where two walls run on in one line, as under a gable's ridge.
fn smooth_walls(polygons: &mut [Polygon]) {
    // A wall's corners: a below, b below, b, a; so its uprights are sides 1 (at b) and 3 (at a).
    let walls: Vec<(usize, Point, Point)> = polygons
        .iter()
        .enumerate()
        .filter(|(_, p)| p.kind == Kind::Wall)
        .map(|(i, p)| (i, p.rings[0][0].plan(), p.rings[0][1].plan()))
        .collect();
    for &(i, a, b) in &walls {
        let along = (b - a).unit().unwrap_or_default();
        let runs_on = |corner: Point| {
            walls.iter().any(|&(j, c, d)| {
                let other = (d - c).unit().unwrap_or_default();
                j != i
                    && (c.distance(corner) < 1e-3 || d.distance(corner) < 1e-3)
                    && along.dot(other) > 0.0
                    && along.cross(other).abs() < 0.02
            })
        };
        if runs_on(b) {
            polygons[i].smooth.push(1);
        }
        if runs_on(a) {
            polygons[i].smooth.push(3);
        }
    }
}

/// The sides and the top of an opening's upstand.
fn boxes(roof: &Roof, eye: Eye, id: OpeningId, out: &mut Vec<Polygon>) {
    let opening = &roof.openings[id.0];
    let Some(face) = opening.faces.first().map(|&f| roof.face(f)) else {
        return;
    };
    let height = |p: Point| face.plane.height_at(p);
    let top = opening
        .outline
        .iter()
        .map(|&p| height(p))
        .fold(f64::NEG_INFINITY, f64::max)
        + STAND_UP_FT;
    let n = opening.outline.len();
    for i in 0..n {
        let (a, b) = (opening.outline[i], opening.outline[(i + 1) % n]);
        let corners = vec![
            a.at_height(height(a)),
            b.at_height(height(b)),
            b.at_height(top),
            a.at_height(top),
        ];
        out.extend(Polygon::new(
            eye,
            Kind::Opening,
            vec![corners],
            vec![vec![None; 4]],
        ));
    }
    let lid: Vec<Point3> = opening.outline.iter().map(|p| p.at_height(top)).collect();
    out.extend(Polygon::new(
        eye,
        Kind::Opening,
        vec![lid],
        vec![vec![None; n]],
    ));
}
