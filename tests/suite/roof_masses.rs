//! Random roofs with known planes, put together from masses as builders do: gables, hips, half hips, sheds, gambrels and
//! mansards over rectangles, a wing run into a main roof, a porch below an eave. A mass is as high as the lowest of its
//! planes, the roof as high as the highest of its masses; the faces are what is then seen from above.

use std::fmt::Write as _;

use eavewright::geometry::{Plane, Point, Vector};
use geo::{Area as _, BooleanOps, InteriorPoint as _, LineString, MultiPolygon, Polygon};

use crate::outline_shapes::Dice;
use crate::roof_plans::{PlanFace, face, plan};

/// A convex part of the plan and the planes over it, each with its label's rise in 12.
#[derive(Clone, Debug)]
struct Mass {
    ring: Vec<Point>,
    planes: Vec<(Plane, f64)>,
}

/// A roof with what is known of it.
pub(crate) struct RandomRoof {
    pub(crate) kind: &'static str,
    pub(crate) faces: Vec<KnownFace>,
}

/// A face as it was built.
pub(crate) struct KnownFace {
    pub(crate) rings: Vec<Vec<Point>>,
    pub(crate) plane: Plane,
    pub(crate) rise_in_12: f64,
    /// A place inside.
    pub(crate) at: Point,
}

/// The plane through a point of height z that falls towards `fall`.
fn falling(at: Point, z: f64, fall: Vector, rise_in_12: f64) -> (Plane, f64) {
    let gradient = -fall * (rise_in_12 / 12.0);
    let offset = z - gradient.dot(at - Point::default());
    (Plane { gradient, offset }, rise_in_12)
}

const EAST: Vector = Vector { x: 1.0, y: 0.0 };
const NORTH: Vector = Vector { x: 0.0, y: 1.0 };

impl Mass {
    /// A rectangle without planes yet.
    fn over(x: (f64, f64), y: (f64, f64)) -> Self {
        let corners = [(x.0, y.0), (x.1, y.0), (x.1, y.1), (x.0, y.1)];
        Self {
            ring: corners.map(|(x, y)| Point::new(x, y)).to_vec(),
            planes: Vec::new(),
        }
    }
    /// Planes from the low and high x sides, their eaves `above` the others.
    fn east_west(mut self, above: f64, west: f64, east: f64) -> Self {
        self.planes.push(falling(self.ring[0], above, -EAST, west));
        self.planes.push(falling(self.ring[2], above, EAST, east));
        self
    }
    /// The same from the low and high y sides.
    fn north_south(mut self, above: f64, south: f64, north: f64) -> Self {
        self.planes
            .push(falling(self.ring[0], above, -NORTH, south));
        self.planes.push(falling(self.ring[2], above, NORTH, north));
        self
    }
    fn height(&self, p: Point) -> f64 {
        let heights = self.planes.iter().map(|(plane, _)| plane.height_at(p));
        heights.fold(f64::INFINITY, f64::min)
    }
}

fn polygon(ring: &[Point]) -> MultiPolygon {
    let ring: LineString = ring.iter().map(|p| (p.x, p.y)).collect();
    MultiPolygon::new(vec![Polygon::new(ring, Vec::new())])
}

/// Where one plane is higher than another, within a square that holds every roof.
fn where_higher(a: Plane, b: Plane) -> MultiPolygon {
    const FAR: f64 = 1e4;
    let turn = a.gradient - b.gradient;
    let Some(up) = turn.unit() else {
        let all =
            [(-FAR, -FAR), (FAR, -FAR), (FAR, FAR), (-FAR, FAR)].map(|(x, y)| Point::new(x, y));
        return if a.offset > b.offset {
            polygon(&all)
        } else {
            MultiPolygon::new(Vec::new())
        };
    };
    let on_line = Point::default() + up * ((b.offset - a.offset) / turn.length());
    let side = up.turn_left() * FAR;
    polygon(&[
        on_line + side,
        on_line - side,
        on_line - side + up * FAR,
        on_line + side + up * FAR,
    ])
}

/// The faces that are seen from above; `None` where something is too small to be drawn or stands apart in height.
fn seen(masses: &[Mass]) -> Option<Vec<KnownFace>> {
    const LEAST_SQFT: f64 = 6.0;
    let mut faces = Vec::new();
    for (m, mass) in masses.iter().enumerate() {
        for (p, &(plane, rise_in_12)) in mass.planes.iter().enumerate() {
            let mut shape = polygon(&mass.ring);
            for (q, &(other, _)) in mass.planes.iter().enumerate() {
                if q != p {
                    shape = shape.intersection(&where_higher(other, plane));
                }
            }
            for (n, above) in masses.iter().enumerate() {
                if n == m {
                    continue;
                }
                let mut hidden = polygon(&above.ring);
                for &(other, _) in &above.planes {
                    hidden = hidden.intersection(&where_higher(other, plane));
                }
                shape = shape.difference(&hidden);
            }
            for part in shape.0.iter().filter(|part| part.unsigned_area() > 0.01) {
                if part.unsigned_area() < LEAST_SQFT {
                    return None;
                }
                faces.push(known(part, plane, rise_in_12)?);
            }
        }
    }
    Some(faces)
}

fn known(part: &Polygon, plane: Plane, rise_in_12: f64) -> Option<KnownFace> {
    let ring = |line: &LineString| {
        let corners = line.0.iter().skip(1).map(|c| Point::new(c.x, c.y));
        corners.collect::<Vec<_>>()
    };
    let inside = part.interior_point()?;
    Some(KnownFace {
        rings: std::iter::once(part.exterior())
            .chain(part.interiors())
            .map(ring)
            .collect(),
        plane,
        rise_in_12,
        at: Point::new(inside.x(), inside.y()),
    })
}

/// A roof of a random kind, turned and mirrored at random; `None` where the dice gave one that could not be drawn.
pub(crate) fn random_roof(dice: &mut Dice) -> Option<RandomRoof> {
    let (kind, masses) = random_masses(dice);
    let mut faces = seen(&masses)?;
    let stands_apart = masses.iter().enumerate().any(|(m, mass)| {
        mass.ring.iter().any(|&corner| {
            let below = masses
                .iter()
                .enumerate()
                .filter(|&(n, other)| n != m && holds(&other.ring, corner));
            below
                .into_iter()
                .any(|(_, other)| mass.height(corner) > other.height(corner) + 1e-6)
        })
    });
    if stands_apart {
        return None;
    }
    let turn = Vector::from_bearing_deg(360.0 * dice.fraction());
    let mirror = if dice.below(2) == 0 { 1.0 } else { -1.0 };
    let turned = |v: Vector| turn * v.x + turn.turn_left() * (mirror * v.y);
    let moved = |p: Point| Point::default() + turned(p - Point::default());
    for face in &mut faces {
        face.rings.iter_mut().flatten().for_each(|p| *p = moved(*p));
        face.at = moved(face.at);
        face.plane.gradient = turned(face.plane.gradient);
    }
    Some(RandomRoof { kind, faces })
}

fn holds(ring: &[Point], p: Point) -> bool {
    let n = ring.len();
    (0..n).all(|i| (ring[(i + 1) % n] - ring[i]).cross(p - ring[i]) >= -1e-9)
}

fn random_masses(dice: &mut Dice) -> (&'static str, Vec<Mass>) {
    let mut between =
        |low: f64, high: f64| low + (dice.below(1 + ((high - low) * 4.0) as usize) as f64) / 4.0;
    let (deep, long) = (between(18.0, 36.0), between(6.0, 40.0));
    let long = deep + long;
    let main = Mass::over((0.0, long), (0.0, deep));
    let (wide, out, from) = (
        between(10.0, deep - 4.0),
        between(4.0, 24.0),
        between(2.0, 12.0),
    );
    // From beyond the ridge of the main roof, so that the wing's own end is buried in it.
    let wing = |from: f64| Mass::over((from, from + wide), (-out, deep / 2.0));
    let mut pitch = || [3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0][dice.below(9)];
    let (p, q, r) = (pitch(), pitch(), pitch());
    let from = if dice.below(3) == 0 { 0.0 } else { from };
    let hip = |mass: Mass, side: f64, end: f64| {
        mass.east_west(0.0, end, end).north_south(0.0, side, side)
    };
    let steep = [16.0, 18.0, 20.0][dice.below(3)];
    let high = [4.0, 5.0, 6.0][dice.below(3)];
    match dice.below(14) {
        0 => ("hip of two pitches", vec![hip(main, p, q)]),
        1 => (
            "hip of three pitches",
            vec![main.east_west(0.0, p, q).north_south(0.0, r, r)],
        ),
        2 => ("gable", vec![main.north_south(0.0, p, p)]),
        3 => (
            "saltbox",
            vec![main.north_south(0.0, p, q).east_west(0.0, r, r)],
        ),
        4 => (
            "half hip",
            vec![main.north_south(0.0, p, p).east_west(high, q, q)],
        ),
        5 => {
            let upper =
                main.north_south(0.0, steep, steep)
                    .north_south(high, p.min(9.0), p.min(9.0));
            ("gambrel", vec![upper])
        }
        6 => {
            let lower = hip(main, steep, steep);
            (
                "mansard",
                vec![lower.east_west(high, 5.0, 5.0).north_south(high, 5.0, 5.0)],
            )
        }
        7 => (
            "gable with a gable wing",
            vec![main.north_south(0.0, p, p), wing(from).east_west(0.0, p, p)],
        ),
        8 => (
            "gable with a wing of another pitch",
            vec![main.north_south(0.0, p, p), wing(from).east_west(0.0, q, q)],
        ),
        9 => (
            "hip with a hip wing",
            vec![hip(main, p, p), hip_wing(wing(from), p)],
        ),
        10 => (
            "hip with a gable wing",
            vec![hip(main, p, p), wing(from + 2.0).east_west(0.0, p, p)],
        ),
        11 => {
            let second = Mass::over(
                (from + wide + 6.0, from + 2.0 * wide + 6.0),
                (-out / 2.0, deep / 2.0),
            );
            (
                "gable with two wings",
                vec![
                    main.north_south(0.0, p, p),
                    wing(from).east_west(0.0, p, p),
                    second.east_west(0.0, q, q),
                ],
            )
        }
        12 => {
            let mut porch = Mass::over((0.0, long), (-out.min(10.0), 0.0));
            porch
                .planes
                .push(falling(Point::default(), 0.0, -NORTH, 3.0));
            (
                "gable with a porch of lower pitch",
                vec![main.north_south(0.0, p.max(5.0), p.max(5.0)), porch],
            )
        }
        _ => {
            let lean_to = Mass::over((long, long + out), (0.0, deep)).north_south(0.0, p, p);
            let bay = wing(from).east_west(0.0, q, q);
            (
                "long gable of two labels and a wing",
                vec![main.north_south(0.0, p, p), lean_to, bay],
            )
        }
    }
}

/// A hip end on the low y side of a wing.
fn hip_wing(wing: Mass, pitch: f64) -> Mass {
    let end = falling(wing.ring[0], 0.0, -NORTH, pitch);
    let mut wing = wing.east_west(0.0, pitch, pitch);
    wing.planes.push(end);
    wing
}

impl RandomRoof {
    /// The faces as they are, with their labels.
    fn plan_faces(&self) -> Vec<PlanFace> {
        let faces = self.faces.iter().map(|known| {
            let rings = known
                .rings
                .iter()
                .map(|r| r.iter().map(|p| (p.x, p.y)).collect::<Vec<_>>());
            PlanFace {
                rings: rings.collect(),
                ..face(known.rise_in_12, &[])
            }
        });
        faces.collect()
    }

    /// The exact plan.
    pub(crate) fn plan(&self) -> eavewright::roof::map::PlanMap {
        plan(&self.plan_faces())
    }

    /// A drawing of it in feet: every line with both ends off by up to `off_ft` along and across.
    pub(crate) fn traced(&self, dice: &mut Dice, off_ft: f64) -> String {
        let map = self.plan();
        let mut svg = String::from(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="400" height="400" viewBox="-200 -200 400 400"><g id="roof" fill="none" stroke="black" stroke-width="0.1">"#,
        );
        for edge in &map.edges {
            let mut place = |node: usize| {
                let mut off = || off_ft * (2.0 * dice.fraction() - 1.0);
                (map.nodes[node].x + off(), -map.nodes[node].y + off())
            };
            let ((x, y), (u, v)) = (place(edge.a), place(edge.b));
            let _ = write!(svg, r#"<path d="M{x:.4},{y:.4} L{u:.4},{v:.4}"/>"#);
        }
        svg += r#"</g><g id="pitch" font-size="1" text-anchor="middle">"#;
        for face in &self.faces {
            let _ = write!(
                svg,
                r#"<text x="{:.4}" y="{:.4}">{}/12</text>"#,
                face.at.x, -face.at.y, face.rise_in_12
            );
        }
        svg += r#"</g><g id="scale" font-size="1"><line x1="-150" y1="180" x2="-50" y2="180" stroke="black"/><text x="-100" y="179" text-anchor="middle">100 ft</text></g></svg>"#;
        svg
    }
}
