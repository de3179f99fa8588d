//! Roofs and course layouts built by hand for the tests of materials.

use std::sync::Arc;

use eavewright::courses::{Courses, FaceLayout, FormatSource, LayRules, ShingleFormat};
use eavewright::geometry::{Plane, Point, Point3, Vector, ring};
use eavewright::place::Source;
use eavewright::roof::{
    Edge, EdgeClass, EdgeId, Face, FaceId, Flank, Flashing, Opening, Penetration, Ring, Roof, Side,
};
use eavewright::units::{Area, Length, Pitch};

/// Builds a roof corner by corner. Every face is given as its corners in plan with what lies along each side; sides
/// of two faces between the same corners become one edge.
#[derive(Default)]
pub(crate) struct RoofBuilder {
    roof: Roof,
}

impl RoofBuilder {
    /// A face of `rise` in 12 that falls to `fall` (a unit vector in plan), at height 0 over `origin`; its corners
    /// counter-clockwise, `classes[i]` between corner i and the next.
    pub(crate) fn face(
        mut self,
        name: &str,
        rise: f64,
        fall: (f64, f64),
        origin: (f64, f64),
        corners: &[(f64, f64)],
        classes: &[EdgeClass],
    ) -> Self {
        assert_eq!(corners.len(), classes.len(), "{name}");
        let pitch = Pitch::in_12(rise);
        let gradient = Vector::new(-fall.0, -fall.1) * pitch.to_rise_per_run();
        let plane = Plane {
            gradient,
            offset: -gradient.dot(Vector::new(origin.0, origin.1)),
        };
        let id = FaceId(self.roof.faces.len());
        let plan: Vec<Point> = corners.iter().map(|c| Point::new(c.0, c.1)).collect();
        let area = ring::signed_area(&plan);
        assert!(area > 0.0, "{name} is not counter-clockwise");
        let space: Vec<Point3> = plan
            .iter()
            .map(|p| p.at_height(plane.height_at(*p)))
            .collect();
        let sides = (0..space.len())
            .map(|i| Side::Edge(self.edge(id, classes[i], space[i], space[(i + 1) % space.len()])))
            .collect();
        self.roof.faces.push(Face {
            name: name.to_owned(),
            pitch,
            plane,
            level: 0,
            outline: Ring {
                corners: space,
                sides,
            },
            holes: Vec::new(),
            plan_area: Area::square_feet(area),
            true_area: pitch.true_area(Area::square_feet(area)),
            pitch_half_step: 0.0,
            label_at: ring::centroid(&plan),
            why: String::new(),
            source: None,
        });
        self
    }

    fn edge(&mut self, face: FaceId, class: EdgeClass, start: Point3, end: Point3) -> EdgeId {
        let same = |e: &Edge| {
            e.class == class && (e.start.distance(end) < 1e-6 && e.end.distance(start) < 1e-6)
        };
        if let Some(i) = self.roof.edges.iter().position(same) {
            self.roof.edges[i].faces.push(face);
            return EdgeId(i);
        }
        self.roof.edges.push(Edge {
            class,
            faces: vec![face],
            start,
            end,
            plan_length: Length::feet(start.plan().distance(end.plan())),
            true_length: Length::feet(start.distance(end)),
            sources: Vec::new(),
        });
        EdgeId(self.roof.edges.len() - 1)
    }

    /// An opening on the first face, `width` inches across the fall, `depth` feet of true length up it.
    pub(crate) fn opening(mut self, kind: &str, width_in: f64, depth_ft: f64) -> Self {
        let w = width_in / 12.0;
        self.roof.openings.push(Opening {
            kind: kind.to_owned(),
            outline: Vec::new(),
            faces: vec![FaceId(0)],
            flashing: flashing_round(FaceId(0), w, depth_ft),
            apron: Length::feet(w),
            sides: Length::feet(2.0 * depth_ft),
            head: Length::feet(w),
            width: Length::inches(width_in),
            meets_water: Length::inches(width_in),
            source: Arc::new(Source::default()),
        });
        self
    }

    /// A pipe through the first face.
    pub(crate) fn pipe(mut self, diameter_in: Option<f64>) -> Self {
        self.roof.penetrations.push(Penetration {
            at: Point::new(3.0, 3.0),
            face: FaceId(0),
            diameter: diameter_in.map(Length::inches),
            is_written: diameter_in.is_some(),
            source: Arc::new(Source::default()),
        });
        self
    }

    pub(crate) fn roof(self) -> Roof {
        self.roof
    }
}

/// Round an opening on one face: below it, beside it twice and above it.
pub(crate) fn flashing_round(face: FaceId, width_ft: f64, side_ft: f64) -> Vec<Flashing> {
    let stretch = |flank, length_ft| Flashing {
        face,
        flank,
        length: Length::feet(length_ft),
        up: Length::feet(length_ft),
    };
    vec![
        stretch(Flank::Below, width_ft),
        stretch(Flank::Beside, side_ft),
        stretch(Flank::Beside, side_ft),
        stretch(Flank::Above, width_ft),
    ]
}

use EdgeClass::{Eave, Hip, Rake, Ridge};

/// A gable roof `length` by `span` feet at the eave edge.
pub(crate) fn gable(length: f64, span: f64, rise: f64) -> Roof {
    gable_at(RoofBuilder::default(), 0.0, length, span, rise).roof()
}

/// The same, `x` feet to the right.
pub(crate) fn gable_at(to: RoofBuilder, x: f64, length: f64, span: f64, rise: f64) -> RoofBuilder {
    let (l, r, m) = (x, x + length, span / 2.0);
    to.face(
        "S1",
        rise,
        (0.0, -1.0),
        (x, 0.0),
        &[(l, 0.0), (r, 0.0), (r, m), (l, m)],
        &[Eave, Rake, Ridge, Rake],
    )
    .face(
        "N1",
        rise,
        (0.0, 1.0),
        (x, span),
        &[(r, span), (l, span), (l, m), (r, m)],
        &[Eave, Rake, Ridge, Rake],
    )
}

/// A hip roof `length` by `span` feet at the eave edge, of one pitch.
pub(crate) fn hip(length: f64, span: f64, rise: f64) -> Roof {
    let (m, a, b) = (span / 2.0, span / 2.0, length - span / 2.0);
    RoofBuilder::default()
        .face(
            "S1",
            rise,
            (0.0, -1.0),
            (0.0, 0.0),
            &[(0.0, 0.0), (length, 0.0), (b, m), (a, m)],
            &[Eave, Hip, Ridge, Hip],
        )
        .face(
            "N1",
            rise,
            (0.0, 1.0),
            (0.0, span),
            &[(length, span), (0.0, span), (a, m), (b, m)],
            &[Eave, Hip, Ridge, Hip],
        )
        .face(
            "E1",
            rise,
            (1.0, 0.0),
            (length, 0.0),
            &[(length, 0.0), (length, span), (b, m)],
            &[Eave, Hip, Hip],
        )
        .face(
            "W1",
            rise,
            (-1.0, 0.0),
            (0.0, 0.0),
            &[(0.0, span), (0.0, 0.0), (a, m)],
            &[Eave, Hip, Hip],
        )
        .roof()
}

/// A chimney 3 ft wide and 4 ft deep in plan whose lower left corner is there.
pub(crate) fn chimney_at(x: f64, y: f64) -> Vec<Point> {
    let corners = [(x, y), (x + 3.0, y), (x + 3.0, y + 4.0), (x, y + 4.0)];
    corners.map(|(x, y)| Point::new(x, y)).to_vec()
}

/// A slope of 6:12 and the left side of a cricket so far to the left of its chimney, which stands at (8, 4): the two meet in an
/// edge of this class.
pub(crate) fn beside_cricket(to_the_left: f64, class: EdgeClass) -> RoofBuilder {
    let (left, middle) = (8.0 - to_the_left, 9.5 - to_the_left);
    RoofBuilder::default()
        .face(
            "S1",
            6.0,
            (0.0, -1.0),
            (0.0, 0.0),
            &[
                (0.0, 0.0),
                (left, 0.0),
                (left, 8.0),
                (middle, 9.5),
                (middle, 12.0),
                (0.0, 12.0),
            ],
            &[Eave, Rake, class, Rake, Ridge, Rake],
        )
        .face(
            "W1",
            6.0,
            (-1.0, 0.0),
            (-to_the_left, 0.0),
            &[(left, 8.0), (middle, 8.0), (middle, 9.5)],
            &[EdgeClass::Sidewall, Ridge, class],
        )
}

/// One face 20 ft along the eave and 12 ft deep in plan, with what lies at its right, its top and its left.
pub(crate) fn face(rise: f64, right: EdgeClass, top: EdgeClass, left: EdgeClass) -> RoofBuilder {
    RoofBuilder::default().face(
        "S1",
        rise,
        (0.0, -1.0),
        (0.0, 0.0),
        &[(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)],
        &[Eave, right, top, left],
    )
}

/// A gable 40 × 24 ft with a wing 16 ft wide that projects 10 ft to the south, all 6:12: two valleys of 12.000 ft.
pub(crate) fn gable_with_wing() -> Roof {
    use EdgeClass::Valley;
    RoofBuilder::default()
        .face(
            "S1",
            6.0,
            (0.0, -1.0),
            (0.0, 0.0),
            &[
                (0.0, 0.0),
                (12.0, 0.0),
                (20.0, 8.0),
                (28.0, 0.0),
                (40.0, 0.0),
                (40.0, 12.0),
                (0.0, 12.0),
            ],
            &[Eave, Valley, Valley, Eave, Rake, Ridge, Rake],
        )
        .face(
            "N1",
            6.0,
            (0.0, 1.0),
            (0.0, 24.0),
            &[(40.0, 24.0), (0.0, 24.0), (0.0, 12.0), (40.0, 12.0)],
            &[Eave, Rake, Ridge, Rake],
        )
        .face(
            "W1",
            6.0,
            (-1.0, 0.0),
            (12.0, 0.0),
            &[(12.0, -10.0), (20.0, -10.0), (20.0, 8.0), (12.0, 0.0)],
            &[Rake, Ridge, Valley, Eave],
        )
        .face(
            "E1",
            6.0,
            (1.0, 0.0),
            (28.0, 0.0),
            &[(20.0, -10.0), (28.0, -10.0), (28.0, 0.0), (20.0, 8.0)],
            &[Rake, Eave, Valley, Ridge],
        )
        .roof()
}

/// A three-tab format of 36 × 12 in at 5 in.
pub(crate) fn three_tab() -> ShingleFormat {
    ShingleFormat {
        name: "36x12".into(),
        description: "three-tab strip".into(),
        width_in: 36.0,
        height_in: 12.0,
        exposure_in: 5.0,
        pieces_per_bundle: 27,
        bundle_weight_lb: 70.0,
        nails_per_piece: 4,
        nails_per_piece_high_wind: 6,
        nail_line_in: 5.625,
        nail_zone_in: 1.0,
        tabs: 3,
        plain_edge: false,
        sealed: true,
        metric: false,
        source: FormatSource("test".into()),
    }
}

/// A layout that gives every face its area in whole shingles, rounded up, and one piece more laid than opened.
pub(crate) fn courses(roof: &Roof) -> Courses {
    courses_in(roof, three_tab())
}

pub(crate) fn courses_in(roof: &Roof, format: ShingleFormat) -> Courses {
    let faces = roof
        .faces
        .iter()
        .enumerate()
        .filter(|(_, f)| !f.is_flat())
        .map(|(i, face)| {
            let net = face.true_area.to_square_feet() * 144.0;
            let opened = (net / format.exposed_area_sqin() - 1e-9).ceil() as usize;
            FaceLayout {
                face: FaceId(i),
                net_area_sqin: net,
                courses: 1,
                findings: Vec::new(),
                runs: Vec::new(),
                pairs: Vec::new(),
                cut_again: Vec::new(),
                opened,
                opened_without_reuse: opened,
                bound: opened,
                pieces_laid: opened + 1,
                cuts: 1,
                offcuts_reused: 1,
                short_pieces: 0,
                smallest_joint_distance_in: None,
                close_joints: Vec::new(),
                joints_near_valley: Vec::new(),
                ridge_remainder_in: 0.0,
                cap_covers_remainder: false,
                largest_pile: 0,
                longest_wait_courses: 0,
                width_in: format.width_in,
                exposure_in: format.exposure_in,
                start: eavewright::courses::StartCorner::Left,
                steps: Vec::new(),
            }
        })
        .collect();
    Courses {
        format,
        rules: LayRules::default(),
        choices: eavewright::courses::Choices::default(),
        faces,
        findings: Vec::new(),
    }
}
