//! Shingles with cutouts: these keep off the joints and cutouts of the course below as joints do.

use eavewright::courses::{
    Choices, CloseJoints, CourseFace, EdgeKind, Effort, FaceLayout, FaceRing, LayRules, RunLayout,
    ShingleFormat, formats, lay_face_with,
};
use eavewright::geometry::Point;
use eavewright::roof::FaceId;

use crate::courses_laws::{Dice, course_face, random_face, rules};

fn laid(face: &CourseFace, format: &ShingleFormat, rules: &LayRules) -> FaceLayout {
    lay_face_with(face, format, rules, &Choices::default(), Effort::QUICK).unwrap()
}

/// A face with one eave and one top between two sides of a kind.
fn between(kind: EdgeKind, width: f64, height: f64) -> CourseFace {
    let points = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)];
    let points = points.map(|(u, v)| Point::new(u, v)).to_vec();
    let kinds = vec![EdgeKind::Eave, kind, EdgeKind::Ridge, kind];
    CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new()).unwrap()
}

/// Joints and the cutouts between them and beyond them, up to the ends of a run.
fn cuts(run: &RunLayout, tab_in: f64) -> Vec<f64> {
    let left = run.butt_in.0.min(run.top_in.0);
    let right = run.butt_in.1.max(run.top_in.1);
    let Some(first) = run.joints_in.first() else {
        return Vec::new();
    };
    let from = ((left - first) / tab_in).ceil() as i64;
    let to = ((right - first) / tab_in).floor() as i64;
    (from..=to).map(|k| first + k as f64 * tab_in).collect()
}

/// The nearest that joints or cutouts of neighbouring courses come to each other.
fn nearest(layout: &FaceLayout, tab_in: f64) -> f64 {
    let mut least = f64::INFINITY;
    for (i, below) in layout.runs.iter().enumerate() {
        let above = layout.runs[i + 1..].iter();
        for above in above.filter(|run| run.course == below.course + 1) {
            for a in cuts(below, tab_in) {
                for b in cuts(above, tab_in) {
                    least = least.min((a - b).abs());
                }
            }
        }
    }
    least
}

#[test]
fn cutouts_lie_four_inches_off_those_of_the_course_below_on_random_faces() {
    let mut dice = Dice(36);
    let (mut kept, mut opened, mut opened_plain) = (0, 0, 0);
    for round in 0..60 {
        let face = course_face(&random_face(&mut dice), 1.0);
        let name = ["36x12", "39x13-tab"][round % 2];
        let format = formats::by_name(name, &[]).unwrap();
        let tab_in = format.width_in / 3.0;
        let layout = laid(&face, &format, &rules(1.0));
        let plain = ShingleFormat { tabs: 0, ..format };
        opened += layout.opened;
        opened_plain += laid(&face, &plain, &rules(1.0)).opened;
        let told = ["cutouts-too-close", "joints-too-close"];
        let is_told = layout.findings.iter().any(|f| told.contains(&f.code));
        assert_eq!(is_told, !layout.close_joints.is_empty(), "face {round}");
        if !is_told {
            kept += 1;
            let nearest = nearest(&layout, tab_in);
            assert!(nearest > 4.0 - 1e-4, "face {round}: {nearest}");
        }
    }
    assert!(kept >= 58, "{kept} of 60");
    // Fewer places are left to joints, but a chain of offcuts finds its way through them.
    assert!(
        opened * 200 <= opened_plain * 201,
        "{opened} for {opened_plain}"
    );
}

/// The trade's steps for tabs of 12 in are 4, 5 and 6 in; in a step of a tab, cutout would lie over cutout. 480 in between the
/// rakes' overhangs are 13 shingles and 12 in: in steps of 4 or 6 in from a whole shingle no end piece is shorter than 4 in.
#[test]
fn the_usual_steps_are_kept_and_a_step_of_a_tab_is_not() {
    let format = formats::by_name("36x12", &[]).unwrap();
    let stepped = |offset_in: f64| {
        let mut choices = Choices::default();
        choices.offset_in.insert(FaceId(0), offset_in);
        let face = between(EdgeKind::Rake, 479.0, 168.0);
        lay_face_with(
            &face,
            &format,
            &LayRules::default(),
            &choices,
            Effort::QUICK,
        )
        .unwrap()
    };
    let departs = |layout: &FaceLayout| layout.findings.iter().any(|f| f.code == "offset-not-kept");
    for offset_in in [4.0, 6.0, 16.0] {
        let layout = stepped(offset_in);
        assert!(!departs(&layout), "{offset_in}: {:?}", layout.findings);
        let apart = offset_in % 12.0;
        assert!((nearest(&layout, 12.0) - apart).abs() < 1e-4, "{offset_in}");
    }
    for offset_in in [9.0, 12.0] {
        let layout = stepped(offset_in);
        assert!(departs(&layout), "{offset_in}");
        assert!(nearest(&layout, 12.0) > 4.0 - 1e-4, "{offset_in}");
    }
}

#[test]
fn cutouts_keep_the_joint_distance_but_no_more_than_a_third_of_a_tab() {
    let of = |name: &str, joint_distance_in: f64| {
        let format = formats::by_name(name, &[]).unwrap();
        let rules = LayRules {
            joint_distance_in,
            ..LayRules::default()
        };
        rules.cutout_distance_in(&format)
    };
    assert_eq!(of("36x12", 4.0), Some(4.0));
    assert_eq!(of("36x12", 6.0), Some(4.0));
    assert_eq!(of("36x12", 3.0), Some(3.0));
    // Tabs of 13⅛ in.
    assert_eq!(of("39x13-tab", 6.0), Some(4.375));
    assert_eq!(of("36x12-plain", 6.0), None);
}

/// Between walls 50 in apart, every course has two joints: asked to lie 10 or 12 in off those of the two courses below, they
/// leave cutouts little room. What comes too near is told, with how near.
#[test]
fn cutouts_without_room_are_told_with_how_near_they_come() {
    let format = formats::by_name("36x12", &[]).unwrap();
    let mut told = 0;
    for (joint_distance_in, second_joint_distance_in) in [
        (4.0, 16.0),
        (10.0, 10.0),
        (12.0, 4.0),
        (12.0, 12.0),
        (14.0, 2.0),
        (16.0, 2.0),
    ] {
        let rules = LayRules {
            joint_distance_in,
            second_joint_distance_in,
            least_piece_in: 7.0,
            ..LayRules::default()
        };
        let asked = format!("{joint_distance_in} and {second_joint_distance_in} in");
        let layout = laid(&between(EdgeKind::Wall, 50.0, 45.0), &format, &rules);
        let near = nearest(&layout, 12.0);
        // What lies two courses apart has a rule of its own, which knows of joints alone.
        let of_next = |c: &&CloseJoints| c.nearest.1 - c.nearest.0 == 1;
        let close: Vec<&CloseJoints> = layout.close_joints.iter().filter(of_next).collect();
        assert!(near > 4.0 - 1e-4 || !close.is_empty(), "{asked}: {near}");
        for close in &close {
            assert!(close.distance_in > near - 1e-6, "{asked}: {close:?}");
            assert!(close.distance_in < close.asked_in, "{asked}: {close:?}");
        }
        if let Some(close) = close.iter().find(|c| c.is_of_cutouts) {
            assert_eq!(close.asked_in, 4.0);
            let code = "cutouts-too-close";
            assert!(layout.findings.iter().any(|f| f.code == code), "{asked}");
            told += 1;
        }
    }
    assert!(told > 0);
}
