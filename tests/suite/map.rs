//! The planar map on small plans, one fault each. The real roofs are in `map_real`.

use std::sync::Arc;

use eavewright::drawing::{Drawing, FallArrow, Label, ReadOptions, Role, Says, Stroke, Style};
use eavewright::geometry::{Point, Vector, ring};
use eavewright::place::Source;
use eavewright::roof::map::{MapOptions, PlanMap, build};
use eavewright::units::Pitch;
use eavewright::{Finding, Severity};
use geo::unary_union;
use geo::{Area, LineString, Polygon};
use proptest::prelude::*;

/// A plan under construction. Lengths in feet.
#[derive(Default)]
struct Plan(Drawing);

impl Plan {
    fn stroke(mut self, points: &[(f64, f64)], closed: bool, role: Role) -> Self {
        self.0.strokes.push(Stroke {
            points: points.iter().map(|&(x, y)| Point::new(x, y)).collect(),
            closed,
            curved: false,
            filled_only: false,
            role,
            level: 0,
            style: Style::default(),
            names: Arc::default(),
            source: source(&format!("s{}", self.0.strokes.len())),
        });
        self
    }
    fn line(self, a: (f64, f64), b: (f64, f64)) -> Self {
        self.stroke(&[a, b], false, Role::Roof)
    }
    fn shape(self, points: &[(f64, f64)]) -> Self {
        self.stroke(points, true, Role::Roof)
    }
    fn says(mut self, at: (f64, f64), text: &str, says: Says) -> Self {
        let at = Point::new(at.0, at.1);
        self.0.labels.push(Label {
            says,
            text: text.to_owned(),
            at,
            baseline: [at; 2],
            points_at: None,
            height_ft: 1.0,
            level: 0,
            source: source(&format!("l{}", self.0.labels.len())),
        });
        self
    }
    fn pitch(self, at: (f64, f64), rise: f64) -> Self {
        let says = Says::Pitch {
            pitch: Pitch::in_12(rise),
            half_step: 0.5 / 12.0,
        };
        self.says(at, &format!("{rise}/12"), says)
    }
    fn arrow(mut self, from: (f64, f64), to: (f64, f64)) -> Self {
        self.0.falls.push(FallArrow {
            from: Point::new(from.0, from.1),
            to: Point::new(to.0, to.1),
            level: 0,
            source: source("arrow"),
        });
        self
    }
    fn map(&self) -> PlanMap {
        let mut maps = build(&self.0, &MapOptions::default()).unwrap();
        assert_eq!(maps.len(), 1);
        check_laws(&maps[0]);
        maps.remove(0)
    }
    fn refused(&self) -> Vec<Finding> {
        build(&self.0, &MapOptions::default()).unwrap_err()
    }
}

fn source(id: &str) -> Arc<Source> {
    Arc::new(Source {
        id: Some(id.to_owned()),
        tag: "path".into(),
        ..Source::default()
    })
}

fn areas(map: &PlanMap) -> Vec<f64> {
    let mut areas: Vec<f64> = (0..map.faces.len()).map(|f| area(map, f)).collect();
    areas.sort_by(f64::total_cmp);
    areas
}

fn area(map: &PlanMap, face: usize) -> f64 {
    map.faces[face]
        .rings
        .iter()
        .map(|r| ring::signed_area(&map.corners(r)))
        .sum()
}

fn near(found: &[f64], wanted: &[f64], slack: f64) {
    assert_eq!(found.len(), wanted.len(), "{found:?} against {wanted:?}");
    for (f, w) in found.iter().zip(wanted) {
        assert!((f - w).abs() <= slack, "{found:?} against {wanted:?}");
    }
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|f| f.code).collect()
}

/// What holds for every map: rings close, each edge is used once from each side that has a face, outer rings run
/// counter-clockwise and holes clockwise, and Euler's rule.
fn check_laws(map: &PlanMap) {
    let mut uses = vec![[None; 2]; map.edges.len()];
    for (f, face) in map.faces.iter().enumerate() {
        for (i, ring) in face.rings.iter().enumerate() {
            for (k, &side) in ring.iter().enumerate() {
                let next = ring[(k + 1) % ring.len()];
                assert_eq!(map.ends(side).1, map.ends(next).0, "the ring is closed");
                assert!(
                    uses[side.edge][usize::from(side.reversed)]
                        .replace(f)
                        .is_none()
                );
            }
            assert_eq!(ring::signed_area(&map.corners(ring)) > 0.0, i == 0);
        }
    }
    let mut parent: Vec<usize> = (0..map.nodes.len()).collect();
    fn root(parent: &[usize], mut n: usize) -> usize {
        while parent[n] != n {
            n = parent[n];
        }
        n
    }
    for (edge, [left, right]) in map.edges.iter().zip(uses) {
        assert_eq!((edge.left, edge.right), (left, right));
        assert!(left.is_some() || right.is_some());
        let (a, b) = (root(&parent, edge.a), root(&parent, edge.b));
        parent[a] = b;
    }
    for piece in &map.drawn {
        assert!(piece.nodes.len() >= 2);
    }
}

/// A gable of 40 by 24 ft: two faces of 480 ft².
fn gable() -> Plan {
    Plan::default()
        .shape(&[(0.0, 0.0), (40.0, 0.0), (40.0, 24.0), (0.0, 24.0)])
        .line((0.0, 12.0), (40.0, 12.0))
        .pitch((20.0, 6.0), 6.0)
        .pitch((20.0, 18.0), 6.0)
}

#[test]
fn a_ridge_that_ends_in_the_middle_of_two_rakes_parts_a_gable_into_two_faces() {
    let map = gable().map();
    near(&areas(&map), &[480.0, 480.0], 1e-9);
    assert_eq!((map.nodes.len(), map.edges.len()), (6, 7));
    assert!(map.findings.is_empty(), "{:?}", map.findings);
    let ridge = map
        .edges
        .iter()
        .filter(|e| e.left.is_some() && e.right.is_some());
    assert_eq!(
        ridge
            .map(|e| e.sources[0].id.clone().unwrap())
            .collect::<Vec<_>>(),
        ["s1"]
    );
}

#[test]
fn a_ridge_that_stops_short_and_one_that_runs_past_are_mended_and_told() {
    let plan = |from: f64, to: f64| {
        Plan::default()
            .shape(&[(0.0, 0.0), (40.0, 0.0), (40.0, 24.0), (0.0, 24.0)])
            .line((from, 12.0), (to, 12.0))
            .pitch((20.0, 6.0), 6.0)
            .pitch((20.0, 18.0), 6.0)
            .map()
    };
    for map in [plan(0.3, 39.8), plan(-0.3, 40.2), plan(0.3, 40.2)] {
        // The drawn end pulls the joint a little off the rake: by hundredths of a foot at most.
        near(&areas(&map), &[480.0, 480.0], 0.2);
        assert!(!map.findings.is_empty());
    }
    let (farthest, _) = plan(0.3, 39.8).largest_move.unwrap();
    assert!((0.1..0.5).contains(&farthest), "{farthest}");
}

#[test]
fn an_edge_drawn_twice_a_hair_apart_is_one_edge() {
    let map = gable().line((0.05, 12.04), (39.97, 11.97)).map();
    near(&areas(&map), &[480.0, 480.0], 1.5);
    let shared: Vec<_> = map
        .edges
        .iter()
        .filter(|e| e.left.is_some() && e.right.is_some())
        .collect();
    assert_eq!(shared.len(), 1);
    assert_eq!(shared[0].sources.len(), 2);
}

#[test]
fn faces_drawn_as_shapes_with_small_gaps_and_overlaps_share_their_edge() {
    for gap in [-0.1, 0.1] {
        let map = Plan::default()
            .shape(&[(0.0, 0.0), (40.0, 0.0), (40.0, 12.0 - gap), (0.0, 12.0)])
            .shape(&[(0.0, 12.0 + gap), (40.0, 12.0), (40.0, 24.0), (0.0, 24.0)])
            .pitch((20.0, 6.0), 6.0)
            .pitch((20.0, 18.0), 6.0)
            .map();
        assert_eq!(
            map.edges
                .iter()
                .filter(|e| e.left.is_some() && e.right.is_some())
                .count(),
            1
        );
        near(&areas(&map), &[480.0, 480.0], 3.0);
    }
}

#[test]
fn a_point_in_the_middle_of_a_straight_eave_makes_no_second_edge() {
    let map = Plan::default()
        .shape(&[
            (0.0, 0.0),
            (17.0, 0.0),
            (40.0, 0.0),
            (40.0, 24.0),
            (0.0, 24.0),
        ])
        .line((0.0, 12.0), (25.0, 12.0))
        .line((25.0, 12.0), (40.0, 12.0))
        .pitch((20.0, 6.0), 6.0)
        .pitch((20.0, 18.0), 6.0)
        .map();
    assert_eq!((map.nodes.len(), map.edges.len()), (6, 7));
    let half = map
        .drawn
        .iter()
        .find(|d| d.ends[1] == Point::new(25.0, 12.0))
        .unwrap();
    assert_eq!((half.nodes.len(), half.anchored), (2, [true, false]));
}

/// Four slopes round a square in the middle, with the pitch of one.
fn around_a_court() -> Plan {
    Plan::default()
        .shape(&[(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)])
        .shape(&[(20.0, 20.0), (40.0, 20.0), (40.0, 40.0), (20.0, 40.0)])
        .line((0.0, 0.0), (20.0, 20.0))
        .line((60.0, 0.0), (40.0, 20.0))
        .line((60.0, 60.0), (40.0, 40.0))
        .line((0.0, 60.0), (20.0, 40.0))
        .pitch((30.0, 10.0), 4.0)
}

#[test]
fn a_courtyard_is_no_face_and_is_told() {
    let map = around_a_court()
        .pitch((50.0, 30.0), 4.0)
        .pitch((30.0, 50.0), 4.0)
        .pitch((10.0, 30.0), 4.0)
        .map();
    near(&areas(&map), &[800.0; 4], 1e-9);
    assert!(codes(&map.findings).contains(&"taken-for-courtyard"));
}

#[test]
fn a_higher_roof_drawn_inside_a_flat_one_leaves_a_hole_in_it() {
    let map = Plan::default()
        .shape(&[(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)])
        .shape(&[(20.0, 20.0), (40.0, 20.0), (40.0, 40.0), (20.0, 40.0)])
        .pitch((10.0, 10.0), 0.0)
        .pitch((30.0, 30.0), 4.0)
        .map();
    near(&areas(&map), &[400.0, 3200.0], 1e-9);
    assert_eq!(map.faces.iter().map(|f| f.rings.len()).max(), Some(2));
}

#[test]
fn a_roof_without_pitches_inside_a_face_is_refused_and_not_taken_for_a_courtyard() {
    let square = |rise: f64| {
        Plan::default()
            .shape(&[(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)])
            .shape(&[(20.0, 20.0), (40.0, 20.0), (40.0, 40.0), (20.0, 40.0)])
            .pitch((10.0, 10.0), rise)
    };
    let with_ridge = |rise: f64| square(rise).line((20.0, 30.0), (40.0, 30.0));
    let in_a_slope = gable().shape(&[(25.0, 2.0), (39.0, 2.0), (39.0, 10.0), (25.0, 10.0)]);
    for (refused, says, at) in [
        (with_ridge(0.0), "400 ft²", Point::new(30.0, 30.0)),
        (with_ridge(4.0), "400 ft²", Point::new(30.0, 30.0)),
        (in_a_slope, "112 ft²", Point::new(32.0, 6.0)),
    ] {
        let findings = refused.refused();
        assert_eq!(codes(&findings), ["shape-without-pitch"]);
        assert!(findings[0].message.contains(says));
        assert_eq!(findings[0].places[0].at, Some(at));
    }
    let in_a_flat_roof = square(0.0).map();
    near(&areas(&in_a_flat_roof), &[3200.0], 1e-9);
    assert!(codes(&in_a_flat_roof.findings).contains(&"taken-for-courtyard"));
}

#[test]
fn a_shape_on_an_upper_layer_without_a_pitch_is_refused_and_not_left_out() {
    let mut plan = gable().shape(&[(10.0, 2.0), (18.0, 2.0), (18.0, 8.0), (10.0, 8.0)]);
    plan.0.strokes.last_mut().unwrap().level = 1;
    let findings = plan.refused();
    assert_eq!(codes(&findings), ["shape-without-pitch"]);
    assert!(findings[0].message.contains("48 ft²"), "{findings:?}");
    assert_eq!(findings[0].places[0].at, Some(Point::new(14.0, 5.0)));
}

#[test]
fn a_dormer_of_48_square_feet_in_the_roofs_own_pen_is_refused_and_a_chimney_is_not() {
    let dormer = gable().shape(&[(10.0, 2.0), (18.0, 2.0), (18.0, 8.0), (10.0, 8.0)]);
    assert_eq!(codes(&dormer.refused()), ["shape-without-pitch"]);
    let chimney = gable().shape(&[(10.0, 2.0), (15.0, 2.0), (15.0, 7.0), (10.0, 7.0)]);
    let told = chimney.map().findings;
    assert!(codes(&told).contains(&"closed-shape-not-cut-out"));
}

#[test]
fn a_shape_whose_id_alone_says_that_it_is_a_chimney_is_warned_of() {
    let mut plan = gable().shape(&[(10.0, 2.0), (15.0, 2.0), (15.0, 7.0), (10.0, 7.0)]);
    let source = &mut plan.0.strokes.last_mut().unwrap().source;
    Arc::make_mut(source).id = Some("Chimney-2".into());
    let told = plan.map().findings;
    let left_out = told.iter().find(|f| f.code == "closed-shape-not-cut-out");
    let left_out = left_out.expect("it is told");
    assert_eq!(left_out.severity, Severity::Warning);
    assert!(left_out.message.contains("“Chimney-2”"), "{left_out:?}");
}

#[test]
fn a_long_strip_without_a_pitch_is_told_with_its_place() {
    let map = gable().line((0.0, 12.3), (40.0, 12.3)).map();
    let told = map
        .findings
        .iter()
        .find(|f| f.code == "strip-without-pitch");
    let at = told.unwrap().places[0].at.unwrap();
    assert!(at.distance(Point::new(20.0, 12.15)) < 1e-6, "{at:?}");
}

#[test]
fn a_long_line_hardly_beside_a_badly_traced_roof_is_warned_about_and_one_farther_off_is_not() {
    let told = |off: f64| {
        let map = Plan::default()
            .line((0.6, 0.0), (40.0, 0.6))
            .line((40.6, 0.0), (40.0, 24.6))
            .line((39.4, 24.0), (0.0, 24.0))
            .line((0.0, 24.6), (-0.6, 0.6))
            .line((0.6, 12.0), (39.4, 12.0))
            .line((5.0, -off), (25.0, -off))
            .pitch((20.0, 6.0), 6.0)
            .pitch((20.0, 18.0), 6.0)
            .map();
        assert_eq!(map.faces.len(), 2);
        codes(&map.findings).join(" ")
    };
    assert!(told(1.0).contains("line-from-the-roof"), "{}", told(1.0));
    assert!(told(4.0).contains("line-left-out"), "{}", told(4.0));
}

#[test]
fn an_area_inside_is_no_courtyard_where_another_face_lacks_its_pitch() {
    let findings = around_a_court()
        .pitch((50.0, 30.0), 4.0)
        .pitch((30.0, 50.0), 4.0)
        .refused();
    assert!(
        codes(&findings).contains(&"face-without-pitch"),
        "{findings:?}"
    );
}

#[test]
fn a_frame_and_a_north_arrow_without_a_pitch_are_left_out_and_told() {
    let map = gable()
        .shape(&[(-20.0, -20.0), (80.0, -20.0), (80.0, 60.0), (-20.0, 60.0)])
        .shape(&[(60.0, 0.0), (62.0, 0.0), (61.0, 6.0)])
        .map();
    near(&areas(&map), &[480.0, 480.0], 1e-9);
    assert!(codes(&map.findings).contains(&"no-roof"));
}

#[test]
fn a_face_without_a_pitch_is_refused_with_its_size_and_place() {
    let mut plan = gable();
    plan.0.labels.pop();
    let findings = plan.refused();
    assert_eq!(codes(&findings), ["face-without-pitch"]);
    assert!(findings[0].message.contains("480"));
    assert_eq!(findings[0].places[0].at, Some(Point::new(20.0, 18.0)));
    let options = MapOptions {
        default_pitch: Some(Pitch::in_12(4.0)),
        ..MapOptions::default()
    };
    let maps = build(&plan.0, &options).unwrap();
    let given: Vec<_> = maps[0]
        .faces
        .iter()
        .filter(|f| f.pitch.as_ref().unwrap().source.is_none())
        .collect();
    assert_eq!(given.len(), 1);
}

#[test]
fn a_face_with_two_pitches_is_refused_and_the_same_pitch_twice_is_fine() {
    assert_eq!(
        codes(&gable().pitch((5.0, 6.0), 8.0).refused()),
        ["two-pitches"]
    );
    near(
        &areas(&gable().pitch((5.0, 6.0), 6.0).map()),
        &[480.0, 480.0],
        1e-9,
    );
}

/// 6 in 12 is 26.565° and 50 %: rounded 26.6° and 27°, cut off 26.5°. What was meant is 6 in 12, to which roofs are pitched; of
/// two that are none the one with more digits.
#[test]
fn a_pitch_written_in_two_ways_in_one_face_is_one_pitch_and_the_rise_in_quarters_counts() {
    let face = |texts: [&str; 2]| {
        let svg = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 500" font-size="8">
            <g id="roof" fill="none" stroke="black"><path d="M100 100H500V340H100Z M100 220H500"/></g>
            <g id="dims"><path stroke="black" d="M100 420H500"/><text x="290" y="416">40'-0"</text></g>
            <text x="300" y="160">6/12</text><text x="150" y="290">{}</text><text x="350" y="290">{}</text></svg>"#,
            texts[0], texts[1]
        );
        let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
        let maps = build(&drawing, &MapOptions::default());
        maps.map(|maps| {
            let pitches = maps[0].faces.iter().flat_map(|f| f.pitch.as_ref());
            pitches.map(|p| p.pitch.to_in_12()).fold(0.0, f64::max)
        })
    };
    for (texts, in_12) in [
        (["6/12", "26.6°"], 6.0),
        (["26.5°", "6/12"], 6.0),
        (["6/12", "27°"], 6.0),
        (["26.6°", "50%"], 6.0),
        (["6/12", "50%"], 6.0),
        (["30°", "57.7%"], 12.0 * 0.577),
    ] {
        let read = face(texts).unwrap_or_else(|f| panic!("{texts:?}: {f:?}"));
        assert!((read - in_12).abs() < 1e-9, "{texts:?}: {read}");
    }
    // 7 in 12 is 30.26°; 6 and 6.5 in 12 are two pitches, though one is written as if the other rounded to it.
    for texts in [
        ["7/12", "26.6°"],
        ["6/12", "7/12"],
        ["6/12", "6.5/12"],
        ["6/12", "26.4°"],
    ] {
        assert_eq!(
            codes(&face(texts).unwrap_err()),
            ["two-pitches"],
            "{texts:?}"
        );
    }
}

#[test]
fn lines_that_do_not_close_are_refused_with_the_gap() {
    let findings = Plan::default()
        .stroke(
            &[
                (0.0, 12.0),
                (0.0, 0.0),
                (40.0, 0.0),
                (40.0, 24.0),
                (0.0, 24.0),
                (0.0, 15.0),
            ],
            false,
            Role::Roof,
        )
        .pitch((20.0, 6.0), 6.0)
        .refused();
    assert_eq!(codes(&findings), ["lines-do-not-close"]);
    assert!(
        findings[0].message.contains("3.00 ft"),
        "{}",
        findings[0].message
    );
}

#[test]
fn a_pitch_beside_the_roof_is_told_and_not_used() {
    let map = gable().pitch((70.0, 60.0), 12.0).map();
    assert_eq!(codes(&map.findings), ["label-outside"]);
    assert!(
        map.faces
            .iter()
            .all(|f| f.pitch.as_ref().unwrap().pitch == Pitch::in_12(6.0))
    );
}

#[test]
fn an_arrow_goes_to_the_face_of_its_middle_and_a_contradiction_is_refused() {
    let map = gable().arrow((20.0, 10.0), (20.0, 2.0)).map();
    let hints: Vec<_> = map.faces.iter().filter_map(|f| f.fall_hint).collect();
    assert_eq!(hints, [Vector::new(0.0, -1.0)]);
    let crossing = gable().arrow((20.0, 14.0), (20.0, 2.0)).map();
    assert_eq!(codes(&crossing.findings), ["arrow-crosses-faces"]);
    let two = gable()
        .arrow((20.0, 10.0), (20.0, 2.0))
        .arrow((5.0, 2.0), (5.0, 10.0))
        .refused();
    assert_eq!(codes(&two), ["two-arrows"]);
}

#[test]
fn an_opening_over_the_ridge_is_cut_from_both_faces_and_bounds_neither() {
    let map = gable()
        .stroke(
            &[(18.0, 11.0), (22.0, 11.0), (22.0, 15.0), (18.0, 15.0)],
            true,
            Role::Opening,
        )
        .map();
    near(&areas(&map), &[480.0, 480.0], 1e-9);
    let mut parts: Vec<f64> = map.openings[0]
        .parts
        .iter()
        .map(|p| ring::signed_area(&p.ring))
        .collect();
    parts.sort_by(f64::total_cmp);
    near(&parts, &[4.0, 12.0], 1e-6);
}

#[test]
fn a_wall_along_half_an_eave_splits_it_there() {
    let map = gable()
        .stroke(&[(0.0, -0.1), (15.0, -0.1)], false, Role::Wall)
        .map();
    let length = |wall: bool| -> f64 {
        let on = map.edges.iter().filter(|e| e.on_wall == wall);
        on.map(|e| map.nodes[e.a].distance(map.nodes[e.b])).sum()
    };
    near(
        &[length(true), length(false)],
        &[15.0, 40.0 + 25.0 + 48.0 + 40.0],
        1e-6,
    );
    near(&areas(&map), &[480.0, 480.0], 1e-9);
}

#[test]
fn words_at_the_sides_of_a_lone_outline_are_given_to_those_sides() {
    let map = Plan::default()
        .shape(&[(0.0, 0.0), (40.0, 0.0), (40.0, 24.0), (0.0, 24.0)])
        .pitch((20.0, 12.0), 6.0)
        .says((-1.5, 12.0), "gable", Says::Gable)
        .pitch((20.0, 25.5), 9.0)
        .map();
    assert!(map.faces.is_empty());
    let sides = &map.outlines[0].sides[0];
    assert_eq!(sides.iter().filter(|s| s.gable).count(), 1);
    let mut pitches: Vec<f64> = sides
        .iter()
        .map(|s| s.pitch.as_ref().unwrap().pitch.to_in_12())
        .collect();
    pitches.sort_by(f64::total_cmp);
    near(&pitches, &[6.0, 6.0, 6.0, 9.0], 1e-9);
}

#[test]
fn a_lone_face_with_one_pitch_may_be_an_outline() {
    let plan = Plan::default()
        .shape(&[(0.0, 0.0), (40.0, 0.0), (40.0, 24.0), (0.0, 24.0)])
        .pitch((20.0, 12.0), 6.0);
    assert!(plan.map().faces[0].could_be_outline);
    assert!(!plan.arrow((20.0, 20.0), (20.0, 4.0)).map().faces[0].could_be_outline);
}

#[test]
fn hatching_in_another_colour_is_no_roof_line_and_is_told() {
    let mut plan = gable();
    for x in 1..12 {
        plan = plan.line((f64::from(x) * 3.0, 0.0), (f64::from(x) * 3.0 + 2.0, 12.0));
    }
    for (i, stroke) in plan.0.strokes.iter_mut().enumerate() {
        stroke.role = Role::Unsaid;
        stroke.style.stroke = Some(if i < 2 { "#000000" } else { "#888888" }.to_owned());
    }
    let map = plan.map();
    near(&areas(&map), &[480.0, 480.0], 1e-9);
    assert_eq!(codes(&map.findings), ["roof-lines-chosen"]);
}

/// Cells of a grid with random lines: a subdivision that is known beforehand.
fn grid(xs: &[f64], ys: &[f64]) -> Vec<[f64; 4]> {
    let pairs = |v: &[f64]| v.windows(2).map(|w| (w[0], w[1])).collect::<Vec<_>>();
    let (columns, rows) = (pairs(xs), pairs(ys));
    rows.iter()
        .flat_map(|r| columns.iter().map(move |c| [c.0, r.0, c.1, r.1]))
        .collect()
}

fn steps(widths: &[f64]) -> Vec<f64> {
    let mut at = vec![0.0];
    for w in widths {
        at.push(at[at.len() - 1] + w);
    }
    at
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Random grids turned by a random angle, drawn as shapes with the corners moved a little: every cell is found,
    /// the areas add up to the union that an independent library makes of the drawn shapes, and V − E + F = 1.
    #[test]
    fn every_cell_of_a_carelessly_drawn_grid_is_found(
        widths in prop::collection::vec(6.0..20.0_f64, 1..5),
        depths in prop::collection::vec(6.0..20.0_f64, 1..5),
        turn in 0.0..6.3_f64,
        seed in prop::collection::vec(-0.06..0.06_f64, 200),
    ) {
        let cells = grid(&steps(&widths), &steps(&depths));
        prop_assume!(cells.len() > 1);
        let (sin, cos) = turn.sin_cos();
        let mut noise = seed.iter().cycle();
        let mut plan = Plan::default();
        let mut shapes = Vec::new();
        for [x0, y0, x1, y1] in &cells {
            let corners: Vec<(f64, f64)> = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
                .iter()
                .map(|(x, y)| (*x * cos - *y * sin + noise.next().unwrap(), *x * sin + *y * cos + noise.next().unwrap()))
                .collect();
            let (mx, my) = ((x0 + x1) / 2.0, (y0 + y1) / 2.0);
            shapes.push(Polygon::new(LineString::from(corners.clone()), vec![]));
            plan = plan.shape(&corners).pitch((mx * cos - my * sin, mx * sin + my * cos), 6.0);
        }
        let map = plan.map();
        prop_assert_eq!(map.faces.len(), cells.len());
        let total: f64 = areas(&map).iter().sum();
        let united = unary_union(shapes.iter()).unsigned_area();
        let outline = 2.0 * (widths.iter().sum::<f64>() + depths.iter().sum::<f64>());
        prop_assert!((total - united).abs() < 0.15 * outline, "{} against {}", total, united);
        let (v, e, f) = (map.nodes.len() as i64, map.edges.len() as i64, map.faces.len() as i64);
        prop_assert_eq!(v - e + f, 1);
    }
}
