//! Faces whose sides lean across the courses, as traced plans have them: nothing may be laid with fewer shingles than its
//! area takes, nor with fewer than the bound that is printed as proven.

use std::fs;

use eavewright::Severity;
use eavewright::courses::{
    Choices, CourseFace, Courses, EdgeKind, EndPiece, FaceRing, LayRules, formats, lay_face,
};
use eavewright::geometry::Point;
use eavewright::roof::FaceId;

use crate::support::{roof_of, shared_data};

/// A face between rakes whose foot rises to the right, in inches.
fn rising_foot(width: f64, rise: f64, height: f64, foot: EdgeKind) -> CourseFace {
    let points = [(0.0, 0.0), (width, rise), (width, height), (0.0, height)];
    let points = points.map(|(x, y)| Point::new(x, y)).to_vec();
    let kinds = vec![foot, EdgeKind::Rake, EdgeKind::Ridge, EdgeKind::Rake];
    CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new()).unwrap()
}

#[test]
fn a_wedge_along_a_leaning_eave_takes_its_shingles() {
    // 40 ft of eave that climbs 8 in: the first two courses run out on it over yards.
    let face = rising_foot(480.0, 8.0, 100.0, EdgeKind::Eave);
    let format = formats::by_name("36x12", &[]).unwrap();
    let layout = lay_face(&face, &format, &LayRules::default()).unwrap();
    assert!(
        layout.bound <= layout.opened,
        "{} under {}",
        layout.opened,
        layout.bound
    );
    // Area: 480 × (100 + 92) / 2 in²; no layout covers it with less area of shingles.
    let area = 480.0 * 96.0;
    assert!(
        layout.opened as f64 * format.exposed_area_sqin() >= area,
        "{}",
        layout.opened
    );
    // The lean is on the roof: it is told, and nothing is asked to be mended.
    let leans = layout.findings.iter().find(|f| f.code == "run-leans");
    assert!(
        leans
            .is_some_and(|f| f.severity == Severity::Note && f.message.contains("not quite level"))
    );
}

#[test]
fn no_real_roof_opens_fewer_shingles_than_its_bound_or_more_than_without_reuse() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let mut plans: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    plans.sort();
    let format = formats::by_name("39x13", &[]).unwrap();
    let (mut laid, mut wrong) = (0, Vec::new());
    // Every fifth plan, careful ones and badly traced ones, is enough to meet all kinds of leaning sides.
    for plan in plans
        .iter()
        .filter(|p| p.extension().is_some_and(|e| e == "svg"))
        .step_by(5)
    {
        let Ok(roof) = roof_of(&fs::read(plan).unwrap()) else {
            continue;
        };
        let Ok(courses) = Courses::lay(&roof, &format, &LayRules::default(), &Choices::default())
        else {
            continue;
        };
        for face in &courses.faces {
            laid += 1;
            if !(face.bound <= face.opened && face.opened <= face.pieces_laid) {
                let name = &roof.face(face.face).name;
                wrong.push(format!(
                    "{} {name}: bound {}, opened {}, pieces {}",
                    plan.display(),
                    face.bound,
                    face.opened,
                    face.pieces_laid
                ));
            }
        }
    }
    assert!(laid > 50, "only {laid} faces were laid");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_crew_is_told_the_longest_side_of_a_first_piece_that_leans_where_the_eave_steps() {
    // A hip on the left that leans in by 0.8; its eave is 13 in higher than the one to the right of it, so that the
    // third course (butt 11.25 in up) shows the foot of the hip 1.75 in above its butt.
    let (lean, step) = (0.8, 13.0);
    let top = 90.0;
    let points = [
        (100.0, 0.0),
        (400.0, 0.0),
        (400.0, top),
        (lean * (top - step), top),
        (0.0, step),
        (100.0, step),
    ];
    let points = points.map(|(x, y)| Point::new(x, y)).to_vec();
    let kinds = vec![
        EdgeKind::Eave,
        EdgeKind::Wall,
        EdgeKind::Ridge,
        EdgeKind::Hip,
        EdgeKind::Eave,
        EdgeKind::Wall,
    ];
    let face = CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new()).unwrap();
    let rules = LayRules {
        eave_overhang_in: 0.0,
        ..LayRules::default()
    };
    let format = formats::by_name("39x13", &[]).unwrap();
    let layout = lay_face(&face, &format, &rules).unwrap();
    let sheet = layout.crew_sheet();
    let mut leaning = 0;
    for (run, row) in layout.runs.iter().zip(&sheet.rows) {
        let butt = run.course as f64 * format.exposure_in;
        // The leaning end is governed by its butt edge, the hip's line carried on below its foot.
        let foot = if butt + run.strip_in > step {
            lean * (butt - step)
        } else {
            100.0
        };
        let told = match row.opening {
            EndPiece::Whole => format.width_in,
            EndPiece::Cut { length_in, .. } | EndPiece::Offcut { length_in, .. } => length_in,
            EndPiece::None => panic!("course {} is one piece", row.course),
        };
        let first = run.joints_in[0];
        assert!(
            (told - (first - foot)).abs() < 1e-6,
            "course {}: {told} told, {} needed",
            row.course,
            first - foot
        );
        leaning += usize::from(foot < 100.0);
    }
    assert_eq!(layout.runs[2].course, 2);
    assert!(leaning >= layout.runs.len() - 2 && leaning >= 10);
}

/// A foot that is no eave may be drawn askew by a hair. Below it the courses overhang as far as beside it, and no run begins
/// a mile away, where the line of the foot would be half an inch lower.
#[test]
fn a_foot_askew_by_a_hair_is_no_side_of_the_first_course() {
    let face = rising_foot(473.0, 0.004, 120.0, EdgeKind::PitchChange);
    let format = formats::by_name("39x13", &[]).unwrap();
    let laid = lay_face(&face, &format, &LayRules::default()).unwrap();
    assert!(!laid.runs.is_empty());
    for run in &laid.runs {
        let (left, right) = run.butt_in;
        assert!(left > -40.0 && right < 513.0, "{left} to {right} in");
    }
}

/// Trims square to a valley that is all but level would reach for miles along the course.
#[test]
fn a_valley_askew_by_a_hair_at_the_foot_ends_no_course_far_away() {
    for kind in [EdgeKind::ValleyCut, EdgeKind::ValleyOpen] {
        for rise in [0.000_01, 0.004, 0.5] {
            let face = rising_foot(473.0, rise, 120.0, kind);
            let format = formats::by_name("39x13", &[]).unwrap();
            let laid = lay_face(&face, &format, &LayRules::default()).unwrap();
            // 120 × 473 in² in shingles of 39⅜ × 5⅝ in are 256.3; a course more at each end of the slope is 13 each.
            assert!((256..290).contains(&laid.opened), "{} opened", laid.opened);
            for run in &laid.runs {
                let ends = [run.butt_in.0, run.butt_in.1, run.top_in.0, run.top_in.1];
                assert!(
                    ends.iter().all(|u| u.abs() < 520.0),
                    "{kind:?} {rise}: {ends:?}"
                );
            }
        }
    }
}
