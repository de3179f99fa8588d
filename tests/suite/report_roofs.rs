//! Roofs made by hand from their corners, for testing what is printed without reading or solving a drawing.

use eavewright::courses::{self, Choices, Comparison, Courses, LayRules, formats};
use eavewright::drawing::{Drawing, Scale};
use eavewright::geometry::{Plane, Point, Point3, Vector, ring};
use eavewright::materials::{CostInputs, MaterialList, Offer, PriceList};
use eavewright::place::Source;
use eavewright::report::{Inputs, OutputUnits, ProjectInfo, Report};
use eavewright::roof::{
    Check, Edge, EdgeClass, EdgeId, Face, FaceId, LEVEL_RISE_FT, Opening, OpeningId, Ring, Roof,
    Side,
};
use eavewright::units::{Area, Length, Pitch};

use crate::materials_support::flashing_round;

/// Everything that a report is made from.
pub(crate) struct Job {
    pub(crate) drawing: Drawing,
    pub(crate) roof: Roof,
    pub(crate) courses: Option<Courses>,
    pub(crate) materials: Option<MaterialList>,
    pub(crate) comparison: Option<Comparison>,
    pub(crate) offer: Option<Offer>,
    pub(crate) project: ProjectInfo,
    pub(crate) units: OutputUnits,
}

impl Job {
    pub(crate) fn of(roof: Roof) -> Self {
        let drawing = Drawing {
            scale: Scale {
                feet_per_unit: 0.0705,
                from: "the dimension 40′-0″".to_owned(),
                ..Scale::default()
            },
            ..Drawing::default()
        };
        Self {
            drawing,
            roof,
            courses: None,
            materials: None,
            comparison: None,
            offer: None,
            project: ProjectInfo {
                name: "Example cottage".to_owned(),
                client: "A. Example".to_owned(),
                address: "14 Example Lane".to_owned(),
                date: "2026-11-25".to_owned(),
                revision: "A".to_owned(),
                document: "EX-014".to_owned(),
                status: "example, invented data".to_owned(),
                source_file: "cottage.svg".to_owned(),
                ..ProjectInfo::default()
            },
            units: OutputUnits::Feet,
        }
    }
    pub(crate) fn in_metres(mut self) -> Self {
        self.units = OutputUnits::Metres;
        self
    }
    /// With courses laid in a format of the program's own list.
    pub(crate) fn laid(self, format: &str) -> Self {
        self.laid_by(format, &LayRules::default())
    }
    /// With courses laid by rules of one's own.
    pub(crate) fn laid_by(mut self, format: &str, rules: &LayRules) -> Self {
        let format = formats::by_name(format, &[]).expect("a known format");
        let choices = Choices::default();
        let laid = Courses::lay(&self.roof, &format, rules, &choices);
        self.courses = Some(laid.expect("courses are laid"));
        self
    }
    /// With materials, another format compared, and an offer at invented prices. Courses must have been laid.
    pub(crate) fn offered(mut self, job: &str) -> Self {
        let job = eavewright::job::Job::parse(job).expect("a job");
        let metric = self.units == OutputUnits::Metres;
        let courses = self.courses.as_ref().expect("courses");
        let settings = job.material_settings(metric).expect("settings");
        let list = MaterialList::compute(&self.roof, courses, &settings);
        let own = PriceList::demo().expect("prices");
        let offer = Offer::make(
            &CostInputs {
                roofs: &[&self.roof],
                list: &list,
                prices: &own.with(&job.prices),
                labour: &job.labour,
                bidding: &job.bid,
                storeys: 2,
                date: Some("2026-11-25"),
            },
            Some("$"),
            metric,
        );
        self.offer = Some(offer.expect("an offer"));
        self.materials = Some(list);
        let others = [courses.format.clone(), formats::shipped()[0].clone()];
        let compared = courses::compare(
            &self.roof,
            &others,
            &LayRules::default(),
            &Choices::default(),
            None,
        );
        self.comparison = Some(compared.expect("a comparison"));
        self
    }
    pub(crate) fn report(&self) -> Report<'_> {
        Report::new(Inputs {
            drawing: &self.drawing,
            roof: &self.roof,
            courses: self.courses.as_ref(),
            materials: self.materials.as_ref(),
            comparison: self.comparison.as_ref(),
            offer: self.offer.as_ref(),
            project: &self.project,
            units: self.units,
        })
    }
}

type Corner = (f64, f64, f64);

/// A face by its corners in feet, counter-clockwise seen from above.
pub(crate) struct Drawn {
    pub(crate) name: &'static str,
    pub(crate) corners: Vec<Corner>,
}

pub(crate) fn face(name: &'static str, corners: &[Corner]) -> Drawn {
    Drawn {
        name,
        corners: corners.to_vec(),
    }
}

fn point((x, y, z): Corner) -> Point3 {
    Point3::new(x, y, z)
}

/// The plane through the first three corners that span one.
fn plane(corners: &[Corner]) -> Plane {
    let (o, a) = (point(corners[0]), point(corners[1]));
    let b = corners[2..]
        .iter()
        .map(|&c| point(c))
        .find(|b| (a.plan() - o.plan()).cross(b.plan() - o.plan()).abs() > 1e-9)
        .expect("a face has an area");
    let (u, v) = (a.plan() - o.plan(), b.plan() - o.plan());
    let det = u.cross(v);
    let (du, dv) = (a.z - o.z, b.z - o.z);
    let gradient = Vector::new((du * v.y - dv * u.y) / det, (u.x * dv - v.x * du) / det);
    let offset = o.z - gradient.x * o.x - gradient.y * o.y;
    Plane { gradient, offset }
}

/// A roof from its faces. Sides that two faces share with the same ends are one edge.
pub(crate) fn roof(drawn: &[Drawn]) -> Roof {
    let planes: Vec<Plane> = drawn.iter().map(|f| plane(&f.corners)).collect();
    let mut edges: Vec<Edge> = Vec::new();
    let mut faces = Vec::new();
    for (i, f) in drawn.iter().enumerate() {
        let corners: Vec<Point3> = f.corners.iter().map(|&c| point(c)).collect();
        let sides = (0..corners.len())
            .map(|k| {
                let (a, b) = (corners[k], corners[(k + 1) % corners.len()]);
                Side::Edge(side(&mut edges, &planes, i, a, b))
            })
            .collect();
        let plan: Vec<Point> = corners.iter().map(|c| c.plan()).collect();
        let area = ring::signed_area(&plan);
        assert!(area > 0.0, "{} is not counter-clockwise", f.name);
        let pitch = Pitch::rise_per_run(planes[i].gradient.length());
        faces.push(Face {
            name: f.name.to_owned(),
            pitch,
            plane: planes[i],
            level: 0,
            outline: Ring { corners, sides },
            holes: Vec::new(),
            plan_area: Area::square_feet(area),
            true_area: pitch.true_area(Area::square_feet(area)),
            pitch_half_step: 0.0,
            label_at: ring::centroid(&plan),
            why: String::new(),
            source: None,
        });
    }
    Roof {
        faces,
        edges,
        checks: vec![Check {
            what: "heights of shared edges, from both planes".to_owned(),
            residual: 0.0001,
            limit: 0.02,
            unit: "ft",
            place: None,
        }],
        snap_tolerance_ft: 1.0 / 12.0,
        ..Roof::default()
    }
}

fn side(edges: &mut Vec<Edge>, planes: &[Plane], face: usize, a: Point3, b: Point3) -> EdgeId {
    let shared = edges
        .iter()
        .position(|e| e.start.distance(b) < 1e-6 && e.end.distance(a) < 1e-6);
    if let Some(found) = shared {
        let other = edges[found].faces[0].0;
        edges[found].faces.push(FaceId(face));
        edges[found].class = between(planes[other], planes[face], &edges[found]);
        return EdgeId(found);
    }
    let along = b.plan() - a.plan();
    let inward = along.turn_left();
    let uphill = planes[face].gradient.dot(inward);
    let level = (b.z - a.z).abs() < LEVEL_RISE_FT;
    let class = match (level, planes[face].gradient.length() < 0.03) {
        (true, true) => EdgeClass::FlatEdge,
        (true, false) if uphill > 0.0 => EdgeClass::Eave,
        (true, false) => EdgeClass::HighEdge,
        (false, _) => EdgeClass::Rake,
    };
    edges.push(Edge {
        class,
        faces: vec![FaceId(face)],
        start: a,
        end: b,
        plan_length: Length::feet(along.length()),
        true_length: Length::feet(a.distance(b)),
        sources: Vec::new(),
    });
    EdgeId(edges.len() - 1)
}

/// The class of an edge that `first` has on its left and `second` on its right.
fn between(first: Plane, second: Plane, edge: &Edge) -> EdgeClass {
    let across = (edge.end.plan() - edge.start.plan()).turn_left();
    let (left, right) = (first.gradient.dot(across), second.gradient.dot(across));
    let level = (edge.end.z - edge.start.z).abs() < LEVEL_RISE_FT;
    // Walking to the left, the slope turns from `right` to `left`.
    if level && left * right > 0.0 {
        EdgeClass::PitchChange
    } else if left > right {
        EdgeClass::Valley
    } else if level {
        EdgeClass::Ridge
    } else {
        EdgeClass::Hip
    }
}

/// 40 × 24 ft at 6 in 12, ridge along the length.
pub(crate) fn gable() -> Roof {
    roof(&[
        face(
            "S1",
            &[(0., 0., 0.), (40., 0., 0.), (40., 12., 6.), (0., 12., 6.)],
        ),
        face(
            "N1",
            &[(40., 24., 0.), (0., 24., 0.), (0., 12., 6.), (40., 12., 6.)],
        ),
    ])
}

/// 40 × 24 ft at 6 in 12, hips at both ends.
pub(crate) fn hip() -> Roof {
    roof(&[
        face(
            "S1",
            &[(0., 0., 0.), (40., 0., 0.), (28., 12., 6.), (12., 12., 6.)],
        ),
        face(
            "N1",
            &[
                (40., 24., 0.),
                (0., 24., 0.),
                (12., 12., 6.),
                (28., 12., 6.),
            ],
        ),
        face("E1", &[(40., 0., 0.), (40., 24., 0.), (28., 12., 6.)]),
        face("W1", &[(0., 24., 0.), (0., 0., 0.), (12., 12., 6.)]),
    ])
}

/// An L of 40 × 38 ft, wings 24 and 16 ft wide, at 8 in 12: hips, a valley, a gable end; a chimney in the north face.
pub(crate) fn ell() -> Roof {
    let k = 8.0 / 12.0;
    let z = |y: f64| y * k;
    let mut roof = roof(&[
        face(
            "N1",
            &[
                (40., 38., 0.),
                (0., 38., 0.),
                (12., 26., z(12.)),
                (40., 26., z(12.)),
            ],
        ),
        face(
            "S1",
            &[
                (16., 14., 0.),
                (40., 14., 0.),
                (40., 26., z(12.)),
                (12., 26., z(12.)),
                (8., 22., z(8.)),
            ],
        ),
        face(
            "W1",
            &[
                (0., 38., 0.),
                (0., 0., 0.),
                (8., 8., z(8.)),
                (8., 22., z(8.)),
                (12., 26., z(12.)),
            ],
        ),
        face(
            "E1",
            &[
                (16., 0., 0.),
                (16., 14., 0.),
                (8., 22., z(8.)),
                (8., 8., z(8.)),
            ],
        ),
        face("S2", &[(0., 0., 0.), (16., 0., 0.), (8., 8., z(8.))]),
    ]);
    cut_chimney(&mut roof, 0, (24., 30., 27., 33.));
    roof
}

/// Cuts an opening with level and sloping sides out of a face.
fn cut_chimney(roof: &mut Roof, face: usize, (left, low, right, high): (f64, f64, f64, f64)) {
    let plan = [
        Point::new(left, low),
        Point::new(right, low),
        Point::new(right, high),
        Point::new(left, high),
    ];
    let id = OpeningId(roof.openings.len());
    let cut = &mut roof.faces[face];
    let corners: Vec<Point3> = plan
        .iter()
        .rev()
        .map(|&p| p.at_height(cut.plane.height_at(p)))
        .collect();
    let area = Area::square_feet((right - left) * (high - low));
    cut.plan_area = cut.plan_area - area;
    cut.true_area = cut.pitch.true_area(cut.plan_area);
    cut.holes.push(Ring {
        sides: vec![Side::Opening(id); corners.len()],
        corners,
    });
    let slope = cut.pitch.slope_factor();
    roof.openings.push(Opening {
        kind: "chimney".to_owned(),
        outline: plan.to_vec(),
        faces: vec![FaceId(face)],
        flashing: flashing_round(FaceId(face), right - left, (high - low) * slope),
        apron: Length::feet(right - left),
        sides: Length::feet(2.0 * (high - low) * slope),
        head: Length::feet(right - left),
        width: Length::feet(right - left),
        meets_water: Length::feet(right - left),
        source: std::sync::Arc::new(Source::default()),
    });
}
