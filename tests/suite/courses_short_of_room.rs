//! What gives way where the joint rules leave a face no layout: end pieces first, then the joint distance as little as may
//! be, and told. Format 36x12: 36 in wide, 5 in exposed.

use eavewright::courses::{
    CourseFace, EdgeKind, FaceLayout, FaceRing, LayRules, formats, lay_face,
};
use eavewright::geometry::Point;
use eavewright::roof::FaceId;

/// Nine courses 50 in wide between two walls: nothing overhangs, and a joint lies 14 to 36 in from the left, or two do, the
/// first up to 14 in from it.
fn between_walls() -> CourseFace {
    let corners = [(0.0, 0.0), (50.0, 0.0), (50.0, 45.0), (0.0, 45.0)];
    let kinds = [
        EdgeKind::Eave,
        EdgeKind::Wall,
        EdgeKind::Ridge,
        EdgeKind::Wall,
    ];
    let points = corners.map(|(u, v)| Point::new(u, v)).to_vec();
    CourseFace::new(FaceId(0), FaceRing::new(points, kinds.to_vec()), Vec::new()).unwrap()
}

fn laid(distance_in: f64, least_piece_in: f64) -> FaceLayout {
    let rules = LayRules {
        joint_distance_in: distance_in,
        second_joint_distance_in: distance_in,
        least_piece_in,
        eave_overhang_in: 0.0,
        ..LayRules::default()
    };
    let format = formats::by_name("36x12-plain", &[]).unwrap();
    lay_face(&between_walls(), &format, &rules).unwrap()
}

/// The least distance between joints of courses so many apart.
fn least_in(laid: &FaceLayout, apart: usize) -> f64 {
    let pairs = laid.runs.iter().flat_map(|a| {
        let others = laid.runs.iter();
        others
            .filter(move |b| b.course == a.course + apart)
            .map(move |b| (a, b))
    });
    let joints = pairs.flat_map(|(a, b)| {
        let of = a.joints_in.iter();
        of.flat_map(move |i| b.joints_in.iter().map(move |j| (i - j).abs()))
    });
    joints.fold(f64::INFINITY, f64::min)
}

/// The shortest end piece of all courses.
fn shortest_in(laid: &FaceLayout) -> f64 {
    let ends = laid.runs.iter().map(|run| {
        let (first, last) = (run.joints_in[0], run.joints_in[run.joints_in.len() - 1]);
        first.min(50.0 - last)
    });
    ends.fold(f64::INFINITY, f64::min)
}

fn said(laid: &FaceLayout, code: &str) -> Option<String> {
    let found = laid.findings.iter().find(|f| f.code == code);
    found.map(|f| f.sentences())
}

#[test]
fn end_pieces_are_shortened_before_joints_come_nearer_than_asked() {
    // Three courses whose joints are all 12 in apart share the 36 in of a shingle: 7, 19 and 31 in, or 1 in to either side.
    // The first of these has end pieces of 6 to 8 in, so 8 in cannot be kept there.
    let laid = laid(12.0, 8.0);
    for apart in [1, 2] {
        let least = least_in(&laid, apart);
        assert!(least > 12.0 - 1e-4, "{least} in, {apart} apart");
    }
    let mut short = 0;
    for run in &laid.runs {
        let (first, last) = (run.joints_in[0], run.joints_in[run.joints_in.len() - 1]);
        let shorter = first.min(50.0 - last);
        assert!(
            shorter > 6.0 - 1e-4,
            "course {}: {shorter} in",
            run.course + 1
        );
        short += usize::from(shorter < 8.0);
    }
    assert_eq!(short, 3, "every third of nine courses");
    assert_eq!(laid.close_joints, []);
    assert_eq!(said(&laid, "joints-too-close"), None);
    let told = said(&laid, "end-pieces-short").unwrap();
    assert!(
        told.starts_with("end pieces 8 in (203 mm) long have no place in courses "),
        "{told}"
    );
}

#[test]
fn what_the_rules_leave_room_for_is_laid_by_them_and_nothing_is_told() {
    // 7, 19 and 31 in again, with end pieces of 7 in.
    let laid = laid(12.0, 7.0);
    assert!(least_in(&laid, 1) > 12.0 - 1e-4 && least_in(&laid, 2) > 12.0 - 1e-4);
    assert!(laid.findings.is_empty(), "{:?}", laid.findings);
    assert!(shortest_in(&laid) > 7.0 - 1e-4);
}

#[test]
fn end_pieces_are_let_go_to_a_half_and_to_a_quarter_before_joints_are() {
    // As above, the pieces of every third course have 6 to 8 in.
    for asked_in in [14.0, 28.0] {
        let laid = laid(12.0, asked_in);
        assert!(least_in(&laid, 1) > 12.0 - 1e-4 && least_in(&laid, 2) > 12.0 - 1e-4);
        let shortest = shortest_in(&laid);
        assert!(
            (7.0 - 1e-4..8.0 + 1e-4).contains(&shortest),
            "{shortest} in"
        );
        assert_eq!(laid.close_joints, []);
        assert!(said(&laid, "end-pieces-short").is_some());
    }
}

#[test]
fn joints_that_cannot_keep_their_distance_lie_far_apart_and_the_nearest_are_told() {
    // 13 in three times do not go round 36 in: 12 in are the most. At the first place that a run has, joints would lie in line.
    let laid = laid(13.0, 4.0);
    let least = least_in(&laid, 1).min(least_in(&laid, 2));
    assert!(least > 8.0 && least < 12.0 + 1e-4, "{least} in");
    // The next course and the next but one are rules of their own, each with the courses that break it.
    let told = laid
        .findings
        .iter()
        .filter(|f| f.code == "joints-too-close");
    let told: Vec<String> = told.map(|f| f.sentences()).collect();
    assert!(!told.is_empty());
    assert_eq!(told.len(), laid.close_joints.len());
    for (close, told) in laid.close_joints.iter().zip(&told) {
        let (low, high) = close.nearest;
        let apart = high - low;
        assert!((close.distance_in - least_in(&laid, apart)).abs() < 1e-9);
        assert_eq!(close.asked_in, 13.0);
        let of = |course: usize| &laid.runs[course].joints_in;
        let nearest = |low: usize, high: usize| {
            let both = of(low)
                .iter()
                .flat_map(|i| of(high).iter().map(move |j| (i - j).abs()));
            both.fold(f64::INFINITY, f64::min)
        };
        assert!((nearest(low, high) - close.distance_in).abs() < 1e-9);
        let broken =
            (apart..laid.runs.len()).filter(|&high| nearest(high - apart, high) < 13.0 - 1e-4);
        let mut courses: Vec<usize> = broken.flat_map(|high| [high - apart, high]).collect();
        courses.sort_unstable();
        courses.dedup();
        assert_eq!(close.courses, courses);
        let but_one = if apart == 2 { " but one" } else { "" };
        let which = format!(
            "from those of the next course{but_one} in courses {} and {},",
            low + 1,
            high + 1
        );
        assert!(told.contains(&which), "{told}");
        assert!(
            told.ends_with("where 13 in (330 mm) is asked. Ask for a smaller joint distance."),
            "{told}"
        );
    }
}
