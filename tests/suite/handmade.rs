//! Roofs written down by hand, for tests of what comes after the roof. Every measure is computed from the corners.

use std::sync::Arc;

use eavewright::geometry::{Plane, Point, Point3, Vector, polygon_area, ring};
use eavewright::place::Source;
use eavewright::roof::{
    Check, Edge, EdgeClass, EdgeId, Face, FaceId, Opening, OpeningId, Penetration, Ring, Roof, Side,
};
use eavewright::units::{Area, Length, Pitch};

use crate::materials_support::flashing_round;

/// A face by its corners in plan, counter-clockwise, and the place and direction of its lowest line.
struct Sketch {
    name: &'static str,
    in_12: f64,
    /// A point on the face and its height.
    at: (f64, f64, f64),
    /// Direction uphill, of length 1 (or 0 for a flat face).
    up: (f64, f64),
    outline: &'static [(f64, f64)],
    holes: &'static [&'static [(f64, f64)]],
}

impl Sketch {
    fn plane(&self) -> Plane {
        let gradient = Vector::new(self.up.0, self.up.1) * (self.in_12 / 12.0);
        let (x, y, z) = self.at;
        Plane {
            gradient,
            offset: z - gradient.x * x - gradient.y * y,
        }
    }

    fn ring(&self, corners: &[(f64, f64)]) -> Vec<Point3> {
        corners
            .iter()
            .map(|&(x, y)| Point::new(x, y).at_height(self.plane().height_at(Point::new(x, y))))
            .collect()
    }
}

fn roof_of(sketches: &[Sketch], class_of: impl Fn(&[&str], Point3, Point3) -> EdgeClass) -> Roof {
    let mut roof = Roof {
        snap_tolerance_ft: 0.1,
        largest_move: Some((0.02, Point::new(0.0, 0.0))),
        ..Roof::default()
    };
    for (i, sketch) in sketches.iter().enumerate() {
        let corners = sketch.ring(sketch.outline);
        let sides = edges_of(&mut roof, sketches, i, &corners, &class_of);
        let holes: Vec<Ring> = sketch
            .holes
            .iter()
            .map(|hole| Ring {
                corners: sketch.ring(hole),
                sides: hole.iter().map(|_| Side::Opening(OpeningId(0))).collect(),
            })
            .collect();
        let plan = |ring: &[Point3]| -> Vec<Point> { ring.iter().map(|c| c.plan()).collect() };
        let outer = plan(&corners);
        let inner: Vec<Vec<Point>> = holes.iter().map(|h| plan(&h.corners)).collect();
        let inner: Vec<&[Point]> = inner.iter().map(Vec::as_slice).collect();
        let plan_area = Area::square_feet(polygon_area(&outer, &inner));
        let pitch = Pitch::in_12(sketch.in_12);
        roof.faces.push(Face {
            name: sketch.name.to_owned(),
            pitch,
            plane: sketch.plane(),
            level: 0,
            outline: Ring { corners, sides },
            holes,
            plan_area,
            true_area: pitch.true_area(plan_area),
            pitch_half_step: 0.0,
            label_at: ring::centroid(&outer),
            why: "written by hand".to_owned(),
            source: None,
        });
    }
    roof.checks.push(Check {
        what: "shared edges drawn twice give one height".to_owned(),
        residual: 0.0,
        limit: 0.02,
        unit: "ft",
        place: None,
    });
    roof
}

/// The sides of face `i`: the edge that an earlier face already made, or a new one.
fn edges_of(
    roof: &mut Roof,
    sketches: &[Sketch],
    i: usize,
    corners: &[Point3],
    class_of: &impl Fn(&[&str], Point3, Point3) -> EdgeClass,
) -> Vec<Side> {
    let near = |a: Point3, b: Point3| a.distance(b) < 1e-6;
    let mut sides = vec![];
    for k in 0..corners.len() {
        let (a, b) = (corners[k], corners[(k + 1) % corners.len()]);
        let known = roof
            .edges
            .iter()
            .position(|e| near(e.start, b) && near(e.end, a));
        let id = known.unwrap_or(roof.edges.len());
        if known.is_none() {
            let other = (i + 1..sketches.len()).find(|&j| {
                let ring = sketches[j].ring(sketches[j].outline);
                (0..ring.len()).any(|m| near(ring[m], b) && near(ring[(m + 1) % ring.len()], a))
            });
            let faces: Vec<FaceId> = std::iter::once(i).chain(other).map(FaceId).collect();
            let names: Vec<&str> = faces.iter().map(|f| sketches[f.0].name).collect();
            roof.edges.push(Edge {
                class: class_of(&names, a, b),
                faces,
                start: a,
                end: b,
                plan_length: Length::feet(a.plan().distance(b.plan())),
                true_length: Length::feet(a.distance(b)),
                sources: vec![],
            });
        }
        sides.push(Side::Edge(EdgeId(id)));
    }
    sides
}

/// An L of two wings at 6 in 12, hipped at every end: ridges at 4 and 5 ft, one valley. Plan 24 × ... = 1,024 ft².
pub(crate) fn l_hip() -> Roof {
    let face = |name, at, up, outline| Sketch {
        name,
        in_12: 6.0,
        at,
        up,
        outline,
        holes: &[],
    };
    let sketches = [
        face(
            "N1",
            (0.0, 34.0, 0.0),
            (0.0, -1.0),
            &[(40.0, 34.0), (0.0, 34.0), (10.0, 24.0), (30.0, 24.0)],
        ),
        face(
            "E1",
            (40.0, 0.0, 0.0),
            (-1.0, 0.0),
            &[(40.0, 14.0), (40.0, 34.0), (30.0, 24.0)],
        ),
        face(
            "E2",
            (16.0, 0.0, 0.0),
            (-1.0, 0.0),
            &[(16.0, 0.0), (16.0, 14.0), (8.0, 22.0), (8.0, 8.0)],
        ),
        face(
            "S1",
            (0.0, 14.0, 0.0),
            (0.0, 1.0),
            &[
                (16.0, 14.0),
                (40.0, 14.0),
                (30.0, 24.0),
                (10.0, 24.0),
                (8.0, 22.0),
            ],
        ),
        face(
            "S2",
            (0.0, 0.0, 0.0),
            (0.0, 1.0),
            &[(0.0, 0.0), (16.0, 0.0), (8.0, 8.0)],
        ),
        face(
            "W1",
            (0.0, 0.0, 0.0),
            (1.0, 0.0),
            &[
                (0.0, 0.0),
                (8.0, 8.0),
                (8.0, 22.0),
                (10.0, 24.0),
                (0.0, 34.0),
            ],
        ),
    ];
    roof_of(&sketches, |names, a, b| match names {
        [_] => EdgeClass::Eave,
        ["E2", "S1"] => EdgeClass::Valley,
        _ if a.z == b.z => EdgeClass::Ridge,
        _ => EdgeClass::Hip,
    })
}

/// A gable of 30 × 24 ft at 8 in 12 with a chimney through the south face, a pipe through the north one, and a lean-to
/// at 3 in 12 whose top edge meets the wall under the south eave.
pub(crate) fn gable_with_chimney() -> Roof {
    let sketches = [
        Sketch {
            name: "N1",
            in_12: 8.0,
            at: (0.0, 24.0, 3.0),
            up: (0.0, -1.0),
            outline: &[(30.0, 24.0), (0.0, 24.0), (0.0, 12.0), (30.0, 12.0)],
            holes: &[],
        },
        Sketch {
            name: "S1",
            in_12: 8.0,
            at: (0.0, 0.0, 3.0),
            up: (0.0, 1.0),
            outline: &[(0.0, 0.0), (30.0, 0.0), (30.0, 12.0), (0.0, 12.0)],
            holes: &[&[(20.0, 6.0), (20.0, 8.0), (23.0, 8.0), (23.0, 6.0)]],
        },
        Sketch {
            name: "S2",
            in_12: 3.0,
            at: (4.0, -8.0, 0.0),
            up: (0.0, 1.0),
            outline: &[(4.0, -8.0), (16.0, -8.0), (16.0, 0.0), (4.0, 0.0)],
            holes: &[],
        },
    ];
    let mut roof = roof_of(&sketches, |names, a, b| match names {
        [_, _] => EdgeClass::Ridge,
        ["S2"] if a.y == 0.0 && b.y == 0.0 => EdgeClass::Headwall,
        _ if a.z == b.z => EdgeClass::Eave,
        _ => EdgeClass::Rake,
    });
    let slope = Pitch::in_12(8.0).slope_factor();
    roof.openings.push(Opening {
        kind: "chimney".to_owned(),
        outline: [(20.0, 6.0), (23.0, 6.0), (23.0, 8.0), (20.0, 8.0)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec(),
        faces: vec![FaceId(1)],
        flashing: flashing_round(FaceId(1), 3.0, 2.0 * slope),
        apron: Length::feet(3.0),
        sides: Length::feet(4.0 * slope),
        head: Length::feet(3.0),
        width: Length::feet(3.0),
        meets_water: Length::feet(3.0),
        source: element("chimney-1"),
    });
    roof.penetrations.push(Penetration {
        at: Point::new(8.0, 20.0),
        face: FaceId(0),
        diameter: Some(Length::inches(4.0)),
        is_written: true,
        source: element("pipe-1"),
    });
    roof
}

fn element(id: &str) -> Arc<Source> {
    Arc::new(Source {
        id: Some(id.to_owned()),
        tag: "rect".into(),
        layer: Some("openings".to_owned()),
        line: 12,
        column: 3,
    })
}

/// The L-shaped roof again and again in rows: six faces each.
pub(crate) fn many_wings(count: usize) -> Roof {
    let mut all = Roof::default();
    for n in 0..count {
        let (dx, dy) = ((n % 7) as f64 * 50.0, (n / 7) as f64 * 45.0);
        let one = l_hip();
        let (faces, edges) = (all.faces.len(), all.edges.len());
        let moved = |p: Point3| Point3::new(p.x + dx, p.y + dy, p.z);
        for mut face in one.faces {
            face.name = format!("{}.{n}", face.name);
            face.plane.offset -= face.plane.gradient.x * dx + face.plane.gradient.y * dy;
            face.label_at = moved(face.label_at.at_height(0.0)).plan();
            for corner in &mut face.outline.corners {
                *corner = moved(*corner);
            }
            for side in &mut face.outline.sides {
                if let Side::Edge(EdgeId(i)) = side {
                    *i += edges;
                }
            }
            all.faces.push(face);
        }
        for mut edge in one.edges {
            (edge.start, edge.end) = (moved(edge.start), moved(edge.end));
            for FaceId(f) in &mut edge.faces {
                *f += faces;
            }
            all.edges.push(edge);
        }
    }
    all
}
