//! The step that the user chose for a face, and the cycle that its starts make.

use eavewright::courses::{
    Choices, CourseFace, EdgeKind, Effort, FaceLayout, FaceRing, LayRules, formats, lay_face_with,
};
use eavewright::geometry::Point;
use eavewright::roof::FaceId;

use crate::courses::gable_face;

/// Plan lines at 45° on a slope of 6 in 12: du/dv is the cosine of 26.565°.
const LEAN: f64 = 0.894_427_191;

fn laid(face: &CourseFace, format: &str, offset_in: f64) -> FaceLayout {
    let mut choices = Choices::default();
    choices.offset_in.insert(FaceId(0), offset_in);
    let rules = LayRules {
        eave_overhang_in: 0.0,
        ..LayRules::default()
    };
    let format = formats::by_name(format, &[]).unwrap();
    lay_face_with(face, &format, &rules, &choices, Effort::QUICK).unwrap()
}

/// A face from a hip on the left to a valley on the right that it runs through, both leaning to the right, 135 in high.
fn from_hip_to_valley(eave: f64) -> CourseFace {
    let shift = LEAN * 135.0;
    let points = [
        (0.0, 0.0),
        (eave, 0.0),
        (eave + shift, 135.0),
        (shift, 135.0),
    ];
    let points = points.map(|(u, v)| Point::new(u, v)).to_vec();
    let kinds = vec![
        EdgeKind::Eave,
        EdgeKind::ValleyThrough,
        EdgeKind::Ridge,
        EdgeKind::Hip,
    ];
    CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new()).unwrap()
}

#[test]
fn an_offset_that_the_user_chose_is_laid_in_every_course_wherever_one_first_joint_allows_it() {
    // 39⅜ by 5⅝ in: both ends move 5.031 in to the right in a course, and so may the joints, by 5 in. From 32.24 in on the
    // sixth joint lies at 229.1; the keep-out begins at 239.55 − 10 = 229.55 and moves on faster, the right end is
    // 239.55 + 5.03 + 12 = 256.58, the last piece 27.5 in; the first shrinks from 32.24 by 0.031 in a course. Joints of
    // neighbouring courses are 5 in apart, of next but one 10.
    let laid = laid(&from_hip_to_valley(239.55), "39x13", 5.0);
    assert_eq!(laid.courses, 24);
    assert!(laid.findings.is_empty(), "{:?}", laid.findings);
    let sheet = laid.crew_sheet();
    assert_eq!(sheet.exceptions(), 0, "{:?}", sheet.pattern);
    for two in laid.runs.windows(2) {
        let [below, above] = [&two[0], &two[1]].map(|run| run.joints_in[0]);
        let step = (above - below).rem_euclid(39.375);
        assert!((step - 5.0).abs() < 1e-5, "{step}");
    }
    assert!(
        laid.smallest_joint_distance_in
            .is_some_and(|d| (d - 5.0).abs() < 1e-5)
    );
}

#[test]
fn where_no_first_joint_keeps_the_chosen_offset_a_note_says_in_how_many_runs() {
    // Between two valleys that are run through.
    let points = [(0.0, 0.0), (59.0, 0.0), (69.5, 15.0), (-10.5, 15.0)];
    let points = points.map(|(u, v)| Point::new(u, v)).to_vec();
    let kinds = vec![
        EdgeKind::Eave,
        EdgeKind::ValleyThrough,
        EdgeKind::Ridge,
        EdgeKind::ValleyThrough,
    ];
    let face = CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new()).unwrap();
    let laid = laid(&face, "36x12", 3.0);
    // 3 in is less than joints keep: from the second course on at least every other run departs.
    let told = laid.findings.iter().find(|f| f.code == "offset-not-kept");
    assert!(
        told.is_some_and(|f| f.message.contains(&format!("of {} runs", laid.runs.len()))),
        "{:?}",
        laid.findings
    );
}

#[test]
fn the_starts_of_a_repeated_step_are_told_up_to_where_they_come_again() {
    // 42 in in steps of 6 in: seven starts (common practice, no source). Over 432 in with both overhangs the last pieces are
    // 12, 18 … 42 and 6 in, all longer than the least.
    let rules_cycle = [42.0, 36.0, 30.0, 24.0, 18.0, 12.0, 6.0];
    let layout = laid(&gable_face(431.0, 120.0, 0), "42x14", 6.0);
    let sheet = layout.crew_sheet();
    assert_eq!(sheet.exceptions(), 0);
    assert_eq!(sheet.starts_in.len(), 7, "{:?}", sheet.starts_in);
    let first = rules_cycle
        .iter()
        .position(|start| (start - sheet.starts_in[0]).abs() < 1e-6)
        .unwrap();
    for (i, start) in sheet.starts_in.iter().enumerate() {
        assert!((start - rules_cycle[(first + i) % 7]).abs() < 1e-6);
        let run = &layout.runs[i];
        let laid = run.joints_in[0] - run.farthest_left_in();
        assert!((laid - start).abs() < 1e-6, "course {}: {laid}", i + 1);
    }
    // A start that leans gives every course another width.
    let leaning = laid(&from_hip_to_valley(239.55), "39x13", 5.0).crew_sheet();
    assert!(leaning.starts_in.is_empty());
}
