//! Where runs end beside each kind of side, how a slope is divided into courses, and which faces are laid alike. In the
//! format 39x13: 39.375 in wide, 5.625 in exposed.

use eavewright::courses::{
    Choices, CourseFace, EdgeKind, Effort, EndPiece, FaceLayout, FaceRing, LayRules, RunLayout,
    StartCorner, formats, lay_face, lay_face_with, lay_faces, through_face, unfold,
};
use eavewright::geometry::{Point, ring};
use eavewright::roof::EdgeClass::{Eave, Rake, Ridge, Valley};
use eavewright::roof::{EdgeId, FaceId, OpeningId, Ring, Roof, Side};

use crate::courses::gable_face;
use crate::materials_support::{RoofBuilder, gable};

const EXPOSURE: f64 = 5.625;

fn ring_of(corners: &[(f64, f64)], kinds: &[EdgeKind]) -> FaceRing {
    let points = corners.iter().map(|c| Point::new(c.0, c.1)).collect();
    FaceRing::new(points, kinds.to_vec())
}

fn face(corners: &[(f64, f64)], kinds: &[EdgeKind], holes: Vec<FaceRing>) -> CourseFace {
    CourseFace::new(FaceId(0), ring_of(corners, kinds), holes).unwrap()
}

fn lay(face: &CourseFace, rules: &LayRules) -> FaceLayout {
    lay_face(face, &formats::by_name("39x13", &[]).unwrap(), rules).unwrap()
}

/// Nothing hangs over the eave and nothing is left to the cap: the courses cover the face and no more.
fn flush() -> LayRules {
    LayRules {
        eave_overhang_in: 0.0,
        ridge_skip_in: 0.0,
        ..LayRules::default()
    }
}

#[track_caller]
fn near(a: (f64, f64), b: (f64, f64)) {
    let off = (a.0 - b.0).abs().max((a.1 - b.1).abs());
    assert!(off < 1e-6, "{a:?} is not {b:?}");
}

/// What the pieces of a run show, in square inches.
fn shown(laid: &FaceLayout, run: usize) -> f64 {
    let pieces = laid.pieces();
    let of = pieces.iter().filter(|p| p.run == run);
    of.map(|p| ring::signed_area(&p.polygon)).sum()
}

#[test]
fn sides_that_lean_are_overhung_and_trimmed_square_to_their_line() {
    // Both sides lean in by 3 in 4: what is 1 in square to them is 1.25 in along the course.
    let corners = [(0.0, 0.0), (300.0, 0.0), (232.5, 90.0), (67.5, 90.0)];
    for (kind, out) in [
        (EdgeKind::Rake, 0.5 * 1.25),
        (EdgeKind::ValleyCut, -2.0 * 1.25),
        (EdgeKind::ValleyOpen, -3.0 * 1.25),
        (EdgeKind::Hip, 0.0),
    ] {
        let kinds = [EdgeKind::Eave, kind, EdgeKind::Ridge, kind];
        for run in &lay(&face(&corners, &kinds, Vec::new()), &flush()).runs {
            let line = |v: f64| (0.75 * v - out, 300.0 - 0.75 * v + out);
            let butt = run.course as f64 * EXPOSURE;
            near(run.butt_in, line(butt));
            near(run.top_in, line(butt + run.strip_in));
        }
    }
    // What runs through a valley ends square, 12 in along the course past the farthest of its line.
    let through = EdgeKind::ValleyThrough;
    let kinds = [EdgeKind::Eave, through, EdgeKind::Ridge, through];
    for run in &lay(&face(&corners, &kinds, Vec::new()), &flush()).runs {
        let butt = run.course as f64 * EXPOSURE;
        let ends = (0.75 * butt - 12.0, 300.0 - 0.75 * butt + 12.0);
        near(run.butt_in, ends);
        near(run.top_in, ends);
    }
}

#[test]
fn pieces_show_what_a_side_leaves_them_that_turns_within_a_course() {
    let corners = [
        (0.0, 0.0),
        (300.0, 0.0),
        (280.0, 70.0),
        (240.0, 120.0),
        (50.0, 120.0),
        (10.0, 47.0),
    ];
    let (eave, hip, ridge) = (EdgeKind::Eave, EdgeKind::Hip, EdgeKind::Ridge);
    let turning = face(&corners, &[eave, hip, hip, ridge, hip, hip], Vec::new());
    let laid = lay(&turning, &flush());
    let left = |v: f64| match v < 47.0 {
        true => v * 10.0 / 47.0,
        false => 10.0 + (v - 47.0) * 40.0 / 73.0,
    };
    let right = |v: f64| match v < 70.0 {
        true => 300.0 - v * 20.0 / 70.0,
        false => 280.0 - (v - 70.0) * 40.0 / 50.0,
    };
    let mut all = 0.0;
    for (i, run) in laid.runs.iter().enumerate() {
        let (low, high) = (
            run.course as f64 * EXPOSURE,
            run.course as f64 * EXPOSURE + run.strip_in,
        );
        near(run.butt_in, (left(low), right(low)));
        near(run.top_in, (left(high), right(high)));
        all += shown(&laid, i);
    }
    // Together what the corners enclose.
    near((all, 0.0), (ring::signed_area(&turning.outer.points), 0.0));
}

#[test]
fn pieces_that_run_through_a_valley_show_as_far_as_they_are_laid() {
    // The valley leans out by 1 in 2; the farthest of it in a course is at its top.
    let corners = [(0.0, 0.0), (300.0, 0.0), (360.0, 120.0), (0.0, 120.0)];
    let kinds = [
        EdgeKind::Eave,
        EdgeKind::ValleyThrough,
        EdgeKind::Ridge,
        EdgeKind::Wall,
    ];
    let laid = lay(&face(&corners, &kinds, Vec::new()), &flush());
    for (i, run) in laid.runs.iter().enumerate() {
        let top = run.course as f64 * EXPOSURE + run.strip_in;
        let area = run.strip_in * (300.0 + top / 2.0 + 12.0);
        near((shown(&laid, i), 0.0), (area, 0.0));
    }
}

#[test]
fn metric_shingles_step_by_whole_millimetres() {
    // 1050 mm are 42 times 25 mm, and no whole number of sixteenths of an inch.
    let own = "[[format]]\nname = \"own\"\nsource = \"invented\"\npieces_per_bundle = 21\nunit = \"mm\"\n\
        width = 1050\nheight = 337\nexposure = 143\n";
    let format = formats::parse(own).unwrap().remove(0);
    let wall = EdgeKind::Wall;
    let corners = [(0.0, 0.0), (354.0, 0.0), (354.0, 120.0), (0.0, 120.0)];
    let kinds = [EdgeKind::Eave, wall, EdgeKind::Ridge, wall];
    let laid = lay_face(
        &face(&corners, &kinds, Vec::new()),
        &format,
        &LayRules::default(),
    )
    .unwrap();
    assert!(!laid.steps.is_empty());
    for step in &laid.steps {
        let grids = step.offset_in * 25.4 / 25.0;
        assert!((grids - grids.round()).abs() < 1e-6, "{}", step.offset_in);
    }
}

#[test]
fn what_is_left_above_the_last_whole_course_is_a_course_from_an_inch_on() {
    // The first course hangs over the eave by half an inch.
    for (up, courses, remainder, to_the_cap) in [
        // Less than an inch, but there is no course below it.
        (0.4, 1, 0.9, false),
        (5.825, 1, 0.7, true),
        (6.125, 2, 1.0, false),
        // 11.25 in are two courses; so they are where coordinates are off by their rounding.
        (10.75, 2, 0.0, false),
        (10.75 - 1e-8, 2, 0.0, false),
        (10.75 + 1e-6, 2, 0.0, false),
    ] {
        let laid = lay(&gable_face(300.0, up, 0), &LayRules::default());
        assert_eq!(laid.courses, courses, "{up} in");
        assert_eq!(laid.cap_covers_remainder, to_the_cap, "{up} in");
        near((laid.ridge_remainder_in, 0.0), (remainder, 0.0));
    }
}

fn hole(x: f64, y: f64) -> FaceRing {
    let corners = [(x, y), (x + 30.0, y), (x + 30.0, y + 30.0), (x, y + 30.0)];
    let wall = EdgeKind::Wall;
    ring_of(&corners, &[EdgeKind::Apron, wall, wall, wall])
}

fn lay_all(faces: &[CourseFace]) -> Vec<FaceLayout> {
    let format = formats::by_name("39x13", &[]).unwrap();
    let choices = Choices::default();
    lay_faces(
        faces,
        &format,
        &LayRules::default(),
        &choices,
        Effort::default(),
    )
    .unwrap()
}

#[test]
fn only_faces_with_the_same_sides_and_holes_are_laid_alike() {
    let box_of = |wide: f64, side: EdgeKind, holes: Vec<FaceRing>| {
        let corners = [(0.0, 0.0), (wide, 0.0), (wide, 90.0), (0.0, 90.0)];
        face(
            &corners,
            &[EdgeKind::Eave, side, EdgeKind::Ridge, side],
            holes,
        )
    };
    let (rake, wall) = (EdgeKind::Rake, EdgeKind::Wall);
    let (low, high, aside) = (hole(120.0, 20.0), hole(120.0, 50.0), hole(60.0, 20.0));
    let faces = [
        box_of(251.0, rake, vec![]),
        box_of(251.0, wall, vec![]),
        box_of(259.0, rake, vec![]),
        box_of(251.0, rake, vec![low.clone()]),
        box_of(251.0, rake, vec![high]),
        box_of(251.0, rake, vec![low.clone(), hole(200.0, 20.0)]),
        box_of(251.0, rake, vec![low, aside]),
    ];
    for (face, laid) in faces.iter().zip(lay_all(&faces)) {
        let alone = lay(face, &LayRules::default());
        assert_eq!(laid.opened, alone.opened);
        assert_eq!(laid.runs.len(), alone.runs.len());
        for (a, b) in laid.runs.iter().zip(&alone.runs) {
            assert_eq!((a.course, &a.joints_in), (b.course, &b.joints_in));
            near(a.butt_in, b.butt_in);
        }
    }
}

#[test]
fn a_face_like_the_mirror_image_of_another_is_laid_as_that_is_and_where_it_lies_itself() {
    let (eave, rake, ridge, hip) = (
        EdgeKind::Eave,
        EdgeKind::Rake,
        EdgeKind::Ridge,
        EdgeKind::Hip,
    );
    let one = face(
        &[(0.0, 0.0), (300.0, 0.0), (300.0, 90.0), (90.0, 90.0)],
        &[eave, rake, ridge, hip],
        vec![hole(180.0, 30.0)],
    );
    // What lies at u there lies at 1000 - u here.
    let other = face(
        &[(700.0, 0.0), (1000.0, 0.0), (910.0, 90.0), (700.0, 90.0)],
        &[eave, hip, ridge, rake],
        vec![hole(790.0, 30.0)],
    );
    let laid = lay_all(&[one, other]);
    let (one, other) = (&laid[0], &laid[1]);
    assert_eq!((other.opened, other.start), (one.opened, one.start.other()));
    let of = |laid: &FaceLayout, course: usize| -> Vec<RunLayout> {
        let runs = laid.runs.iter().filter(|r| r.course == course);
        runs.cloned().collect()
    };
    let turned = |(a, b): (f64, f64)| (1000.0 - b, 1000.0 - a);
    let mut split = 0;
    for course in 0..one.courses {
        let (ours, theirs) = (of(one, course), of(other, course));
        assert_eq!(ours.len(), theirs.len());
        split += usize::from(ours.len() > 1);
        // From left to right in both.
        for (a, b) in ours.iter().zip(theirs.iter().rev()) {
            near(b.butt_in, turned(a.butt_in));
            near(b.top_in, turned(a.top_in));
            assert_eq!(a.joints_in.len(), b.joints_in.len());
            for (j, k) in a.joints_in.iter().zip(b.joints_in.iter().rev()) {
                near((1000.0 - j, 0.0), (*k, 0.0));
            }
            for (line, image) in [
                (&a.left_line_in, &b.right_line_in),
                (&a.right_line_in, &b.left_line_in),
            ] {
                assert_eq!(line.len(), image.len());
                for (p, q) in line.iter().zip(image) {
                    near((p.0, 1000.0 - p.1), *q);
                }
            }
        }
    }
    assert!(split > 3, "{split} courses in two parts");
}

#[test]
fn a_crew_that_begins_at_the_right_corner_finds_both_pieces_of_a_shingle_beside_a_chimney_too() {
    let corners = [(0.0, 0.0), (300.0, 0.0), (300.0, 120.0), (0.0, 120.0)];
    let (eave, rake, ridge) = (EdgeKind::Eave, EdgeKind::Rake, EdgeKind::Ridge);
    let holed = face(
        &corners,
        &[eave, rake, ridge, rake],
        vec![hole(180.0, 30.0)],
    );
    let format = formats::by_name("39x13", &[]).unwrap();
    let mut choices = Choices::default();
    choices.start.insert(FaceId(0), StartCorner::Right);
    let rules = LayRules::default();
    let laid = lay_face_with(&holed, &format, &rules, &choices, Effort::default()).unwrap();
    assert!(laid.cut_again.is_empty());
    let sheet = laid.crew_sheet();
    // Every fifth butt line, however many runs lie on it; the first hangs half an inch over the eave.
    assert_eq!(sheet.chalk_in.len(), laid.courses.div_ceil(5));
    for (k, at) in sheet.chalk_in.iter().enumerate() {
        near((*at, 0.0), (5.0 * k as f64 * EXPOSURE - 0.5, 0.0));
    }
    let rows = sheet.rows;
    let (mut offcuts, mut split) = (0, 0);
    for row in &rows {
        let run = &laid.runs[row.run];
        assert_eq!(row.course, run.course + 1);
        split += rows.iter().filter(|r| r.course == row.course).count() - 1;
        // What a crew opens with lies at the right end.
        if let EndPiece::Cut { length_in, .. } | EndPiece::Offcut { length_in, .. } = row.opening {
            let first = run.butt_in.1 - run.joints_in.last().unwrap_or(&run.butt_in.0);
            near((length_in, 0.0), (first, 0.0));
        }
        for end in [row.opening, row.closing] {
            let EndPiece::Offcut { of: (of, _), .. } = end else {
                continue;
            };
            let pair =
                |&(a, b): &(usize, usize)| (a, b) == (of, row.run) || (b, a) == (of, row.run);
            assert!(laid.pairs.iter().any(pair), "{} of {of}", row.run);
            let from = rows.iter().find(|r| r.run == of).unwrap();
            let saved = [from.opening, from.closing].iter().any(
                |e| matches!(e, EndPiece::Cut { save_for: Some((run, _)), .. } if *run == row.run),
            );
            assert!(saved, "{of} saves nothing for {}", row.run);
            offcuts += 1;
        }
    }
    assert_eq!(offcuts, laid.pairs.len());
    assert!(
        offcuts > 5 && split > 5,
        "{offcuts} offcuts, {split} in parts"
    );
}

#[test]
fn what_encloses_no_area_is_no_face() {
    let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
    let kinds = [EdgeKind::Eave; 4];
    let refused = |outer: FaceRing, holes: Vec<FaceRing>| {
        let told = CourseFace::new(FaceId(0), outer, holes).err();
        told.is_some_and(|f| f.code == "face-not-closed")
    };
    let sound = || ring_of(&square, &kinds);
    assert!(!refused(sound(), vec![]));
    // Two corners; a side without a kind, and one without an edge; a corner nowhere; all corners on one line.
    assert!(refused(ring_of(&square[..2], &kinds[..2]), vec![]));
    assert!(refused(ring_of(&square, &kinds[..3]), vec![]));
    let mut bare = sound();
    bare.edges.pop();
    assert!(refused(bare, vec![]));
    for nowhere in [f64::NAN, f64::INFINITY] {
        let mut lost = sound();
        lost.points[2].x = nowhere;
        assert!(refused(lost, vec![]));
    }
    let line = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0)];
    assert!(refused(ring_of(&line, &kinds[..3]), vec![]));
    // A hole must be sound too.
    assert!(refused(sound(), vec![ring_of(&line, &kinds[..3])]));
}

#[test]
fn a_face_is_unfolded_from_the_left_end_of_its_lowest_corners() {
    // An eave of 20 ft, 5 ft up the plan, between valleys that spread by 10 ft on both sides over 10 ft of run at 6 in 12.
    let roof = RoofBuilder::default()
        .face(
            "S1",
            6.0,
            (0.0, -1.0),
            (0.0, 5.0),
            &[(10.0, 5.0), (30.0, 5.0), (40.0, 15.0), (0.0, 15.0)],
            &[Eave, Valley, Ridge, Valley],
        )
        .roof();
    let flat = unfold(&roof, FaceId(0), &LayRules::default()).unwrap();
    let up = 120.0 * 1.25_f64.sqrt();
    let corners = [(0.0, 0.0), (240.0, 0.0), (360.0, up), (-120.0, up)];
    assert_eq!(flat.outer.points.len(), 4);
    for (point, corner) in flat.outer.points.iter().zip(corners) {
        near((point.x, point.y), corner);
    }
    let (eave, ridge) = (EdgeKind::Eave, EdgeKind::Ridge);
    let through = EdgeKind::ValleyThrough;
    assert_eq!(flat.outer.kinds, [eave, through, ridge, through]);
}

#[test]
fn only_the_lower_side_of_an_opening_is_an_apron() {
    // Openings are on the right of their sides. The second is turned: its lower side climbs by 3.35 in 10 in of true
    // length; the third stands on a corner.
    let openings = [
        [(8.0, 4.0), (8.0, 6.0), (10.0, 6.0), (10.0, 4.0)],
        [(8.0, 4.6), (8.6, 6.6), (10.6, 6.0), (10.0, 4.0)],
        [(9.0, 3.0), (7.0, 5.0), (9.0, 7.0), (11.0, 5.0)],
    ];
    let (apron, wall) = (EdgeKind::Apron, EdgeKind::Wall);
    for (corners, lowest) in openings.into_iter().zip([apron, apron, wall]) {
        let mut roof = gable(40.0, 24.0, 6.0);
        let south = &mut roof.faces[0];
        let corners = corners.map(|c| Point::new(c.0, c.1));
        south.holes.push(Ring {
            corners: corners
                .map(|p| p.at_height(south.plane.height_at(p)))
                .to_vec(),
            sides: vec![Side::Opening(OpeningId(0)); 4],
        });
        let flat = unfold(&roof, FaceId(0), &LayRules::default()).unwrap();
        assert_eq!(flat.holes[0].kinds, [wall, wall, wall, lowest]);
        assert_eq!(flat.has(apron), lowest == apron);
    }
}

/// Two faces of 8 × 8 ft halves on both sides of a valley, the second so much longer along its upper edge.
fn two_at_a_valley(longer: f64) -> (Roof, EdgeId) {
    let roof = RoofBuilder::default()
        .face(
            "S1",
            6.0,
            (0.0, -1.0),
            (0.0, 0.0),
            &[(0.0, 0.0), (8.0, 8.0), (0.0, 8.0)],
            &[Valley, Ridge, Rake],
        )
        .face(
            "W1",
            6.0,
            (-1.0, 0.0),
            (0.0, 0.0),
            &[(0.0, 0.0), (8.0, -longer), (8.0, 8.0)],
            &[Rake, Ridge, Valley],
        )
        .roof();
    let valley = roof.edges.iter().position(|e| e.class == Valley).unwrap();
    assert_eq!(roof.edges[valley].faces.len(), 2);
    (roof, EdgeId(valley))
}

#[test]
fn the_larger_face_runs_through_a_valley_and_the_first_of_two_alike() {
    // 4 × longer × √1.25 ft² more: 0.004 is a tie, 0.04 is none.
    for (longer, face) in [(0.0, 0), (0.001, 0), (0.01, 1), (-1.0, 0)] {
        let (roof, valley) = two_at_a_valley(longer);
        let mut choices = Choices::default();
        assert_eq!(through_face(&roof, valley, &choices), Some(FaceId(face)));
        for chosen in [FaceId(0), FaceId(1)] {
            choices.through.insert(valley, chosen);
            assert_eq!(through_face(&roof, valley, &choices), Some(chosen));
        }
        // The one runs through, the other is cut.
        let kinds = |id| unfold(&roof, FaceId(id), &LayRules::default()).unwrap();
        assert!(kinds(face).has(EdgeKind::ValleyThrough));
        assert!(kinds(1 - face).has(EdgeKind::ValleyCut));
        assert!(!kinds(face).has(EdgeKind::ValleyCut));
    }
}
