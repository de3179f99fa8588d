//! The counts that a layout states, counted again from its joints, and the figures that follow from them.

use std::collections::BTreeMap;

use eavewright::courses::{
    Choices, CourseFace, Courses, EdgeKind, Effort, EndPiece, FaceLayout, FaceRing, LayRules,
    Layout, Pattern, Reuse, RunLayout, ShingleFormat, changeover, endless_clearance_in, formats,
    lay_face, lay_face_with, longest_clean_run_in, start_cycle,
};
use eavewright::geometry::Point;
use eavewright::roof::FaceId;

use crate::courses::gable_face;
use crate::materials_support::{courses_in, gable, three_tab};

/// A plain face between rakes, in inches.
fn face(wide_in: f64, up_in: f64) -> CourseFace {
    gable_face(wide_in, up_in, 0)
}

/// The lengths of the pieces at a run's ends; of a run of one piece its length.
fn ends(run: &RunLayout) -> Vec<f64> {
    let (left, right) = (run.left_line_in[0].1, run.right_line_in[0].1);
    match (run.joints_in.first(), run.joints_in.last()) {
        (Some(first), Some(last)) => vec![first - left, right - last],
        _ => vec![right - left],
    }
}

/// What is counted again: cuts, pieces under twice the least, the largest pile, the longest wait, the closest joints.
type Counts = (usize, usize, usize, usize, Option<i64>);

fn counted(laid: &FaceLayout, least_piece_in: f64) -> Counts {
    let lengths: Vec<Vec<f64>> = laid.runs.iter().map(ends).collect();
    let is_cut = |l: &&f64| **l < laid.width_in - 1e-4;
    let cut = lengths.iter().flatten().filter(is_cut).count();
    // One stroke parts a shingle into two pieces that use all of it.
    let (mut strokes, mut longest) = (0, 0);
    let mut waits = vec![0_usize; laid.courses];
    for &(closing, opening) in &laid.pairs {
        let both = (&lengths[closing], &lengths[opening]);
        if both.0.len() == 2 && both.1.len() == 2 {
            strokes += usize::from((both.0[1] + both.1[0] - laid.width_in).abs() < 1e-4);
        }
        let (a, b) = (laid.runs[closing].course, laid.runs[opening].course);
        longest = longest.max(a.abs_diff(b));
        for wait in &mut waits[a.min(b)..a.max(b)] {
            *wait += 1;
        }
    }
    let pieces = lengths.iter().filter(|l| l.len() == 2).flatten();
    let short = pieces.filter(|l| **l < 2.0 * least_piece_in - 1e-4).count();
    let mut closest = f64::INFINITY;
    for (i, lower) in laid.runs.iter().enumerate() {
        for upper in laid.runs[i..]
            .iter()
            .filter(|r| r.course == lower.course + 1)
        {
            for (a, b) in lower
                .joints_in
                .iter()
                .flat_map(|a| upper.joints_in.iter().map(move |b| (a, b)))
            {
                closest = closest.min((a - b).abs());
            }
        }
    }
    let pile = waits.into_iter().max().unwrap_or(0);
    (cut - strokes, short, pile, longest, thousandths(closest))
}

/// So that lengths compare: thousandths of an inch.
fn thousandths(length: f64) -> Option<i64> {
    length.is_finite().then(|| (length * 1000.0).round() as i64)
}

#[test]
fn cuts_short_pieces_and_waiting_offcuts_are_those_that_the_joints_give() {
    let rules = LayRules::default();
    let mut all: BTreeMap<&str, usize> = BTreeMap::new();
    for name in ["36x12", "39x13"] {
        let format = formats::by_name(name, &[]).unwrap();
        for wide in [20.0, 59.0, 70.0, 200.0, 251.0, 359.0, 390.0] {
            for reuse in [Reuse::None, rules.reuse] {
                let rules = LayRules {
                    reuse,
                    ..rules.clone()
                };
                let laid = lay_face(&face(wide, 150.0), &format, &rules).unwrap();
                assert!(laid.cut_again.is_empty());
                let stated: Counts = (
                    laid.cuts,
                    laid.short_pieces,
                    laid.largest_pile,
                    laid.longest_wait_courses,
                    laid.smallest_joint_distance_in.and_then(thousandths),
                );
                assert_eq!(
                    stated,
                    counted(&laid, rules.least_piece_in),
                    "{name}, {wide} in"
                );
                assert_eq!(laid.offcuts_reused, laid.pairs.len());
                *all.entry("cuts").or_default() += laid.cuts;
                *all.entry("pairs").or_default() += laid.pairs.len();
                *all.entry("pile").or_default() += laid.largest_pile;
            }
        }
    }
    // Otherwise nothing would have been counted.
    assert!(all.values().all(|n| *n > 10), "{all:?}");
}

#[test]
fn a_piece_at_a_leaning_end_is_always_cut_and_one_stroke_parts_two_that_lean_alike() {
    let format = formats::by_name("39x13", &[]).unwrap();
    let rules = LayRules::default();
    let (up, mut strokes, mut whole, mut short) = (120.0, 0, 0, 0);
    // How far the left and the right side move to the right from the eave to the ridge.
    for (left, right) in [(60., -60.), (0., -60.), (60., 0.), (60., 60.), (-40., -40.)] {
        for wide in [197.0, 251.0, 300.0] {
            let points = [(0.0, 0.0), (wide, 0.0), (wide + right, up), (left, up)];
            let points = points.map(|(x, y)| Point::new(x, y)).to_vec();
            let kinds = vec![
                EdgeKind::Eave,
                EdgeKind::Hip,
                EdgeKind::Ridge,
                EdgeKind::Hip,
            ];
            let ring = FaceRing::new(points, kinds);
            let face = CourseFace::new(FaceId(0), ring, Vec::new()).unwrap();
            let laid = lay_face(&face, &format, &rules).unwrap();
            assert!(laid.cut_again.is_empty());
            let (mut cuts, mut of_these_short) = (0, 0);
            for run in &laid.runs {
                // Where an end stands upright its piece may be a whole shingle.
                let (opening, closing) = (ends(run)[0], ends(run)[1]);
                let upright = |lean: f64, length: f64| lean == 0.0 && length > laid.width_in - 1e-4;
                let both = [upright(left, opening), upright(right, closing)];
                whole += both.iter().filter(|w| **w).count();
                cuts += both.iter().filter(|w| !**w).count();
                // The length at mid exposure says whether a piece is short.
                let at = run.course as f64 * format.exposure_in - 0.5 + run.strip_in / 2.0;
                let first = run.joints_in[0] - left * at / up;
                let last = wide + right * at / up - run.joints_in[run.joints_in.len() - 1];
                let is_short = |l: &&f64| **l < 2.0 * rules.least_piece_in - 1e-4;
                of_these_short += [first, last].iter().filter(is_short).count();
            }
            // A piece that ends at the ridge leans below it alone: what is cut off it does not fit another course.
            let leans_all_the_way =
                |run: usize| laid.runs[run].butt_height_in + format.height_in <= up;
            let by_one_stroke = |&&(closing, opening): &&(usize, usize)| {
                let used = ends(&laid.runs[closing])[1] + ends(&laid.runs[opening])[0];
                let alike = closing == opening
                    || (leans_all_the_way(closing) && leans_all_the_way(opening));
                left == right && alike && (used - laid.width_in).abs() < 1e-4
            };
            let at_once = laid.pairs.iter().filter(by_one_stroke).count();
            let what = format!("{left}, {right}, {wide}");
            assert_eq!(laid.cuts, cuts - at_once, "{what}");
            assert_eq!(laid.short_pieces, of_these_short, "{what}");
            strokes += at_once;
            short += of_these_short;
        }
    }
    assert!(
        strokes > 0 && whole > 0 && short > 0,
        "{strokes} {whole} {short}"
    );
}

#[test]
fn a_run_of_one_piece_is_cut_once_or_at_both_leaning_ends() {
    let format = formats::by_name("39x13", &[]).unwrap();
    let hip = EdgeKind::Hip;
    // Between upright sides one cut takes off what is too long; one at a leaning side leaves the other edge as it came.
    for (left, right, cuts) in [(0.0, 0.0, 1), (-5.0, 0.0, 1), (0.0, 5.0, 1), (5.0, 5.0, 2)] {
        let (wide, up) = (7.0, 56.25);
        let points = [(0.0, 0.0), (wide, 0.0), (wide + right, up), (left, up)];
        let points = points.map(|(x, y)| Point::new(x, y)).to_vec();
        let ring = FaceRing::new(points, vec![EdgeKind::Eave, hip, EdgeKind::Ridge, hip]);
        let face = CourseFace::new(FaceId(0), ring, Vec::new()).unwrap();
        let rules = LayRules {
            eave_overhang_in: 0.0,
            ..LayRules::default()
        };
        let laid = lay_face(&face, &format, &rules).unwrap();
        assert!(laid.runs.iter().all(|r| r.joints_in.is_empty()));
        assert_eq!(laid.cuts, 10 * cuts, "{left}, {right}");
    }
}

#[test]
fn of_two_pieces_of_one_shingle_the_crew_cuts_the_one_laid_first() {
    let format = formats::by_name("39x13", &[]).unwrap();
    let mut in_one_run = 0;
    // Where offcuts may not wait, only the two ends of one course share a shingle.
    for (wide, wait_courses) in [(251.0, 7), (251.0, 0), (390.0, 7), (390.0, 0)] {
        let rules = LayRules {
            wait_courses,
            ..LayRules::default()
        };
        let laid = lay_face(&face(wide, 150.0), &format, &rules).unwrap();
        let rows = laid.crew_sheet().rows;
        for &(closing, opening) in &laid.pairs {
            let (end, start) = (rows[closing].closing, rows[opening].opening);
            let (cut, offcut) = if closing < opening {
                (end, start)
            } else {
                (start, end)
            };
            let (first, later) = (closing.min(opening), closing.max(opening));
            let EndPiece::Cut { save_for, .. } = cut else {
                panic!("{wide} in, run {first}: {cut:?}")
            };
            let EndPiece::Offcut { of, .. } = offcut else {
                panic!("{wide} in, run {later}: {offcut:?}")
            };
            assert_eq!((save_for.map(|end| end.0), of.0), (Some(later), first));
            in_one_run += usize::from(closing == opening);
        }
    }
    assert!(in_one_run > 0, "no shingle opened and closed one run");
}

#[test]
fn waste_bundles_and_weight_follow_from_the_shingles_opened() {
    // Two faces of 40 × 13.416 ft: 77,278.5 in² each, 430 shingles of 180 in² each.
    let mut laid = courses_in(&gable(40.0, 24.0, 6.0), three_tab());
    for face in &mut laid.faces {
        face.opened_without_reuse = 450;
    }
    let net = 480.0 * 144.0 * 1.25_f64.sqrt();
    let percent = |shingles: f64| 100.0 * (shingles * 180.0 / net - 1.0);
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} is not {b}");
    near(
        laid.waste_percent(),
        100.0 * (154_800.0 / (2.0 * net) - 1.0),
    );
    near(laid.waste_percent_without_reuse(), percent(450.0));
    near(laid.faces[0].waste_percent_of(440), percent(440.0));
    // 860 / 27 = 31.85 bundles of 70 lb.
    assert_eq!(laid.bundles(), 32);
    near(laid.weight_lb().unwrap(), 860.0 / 27.0 * 70.0);
    laid.format.bundle_weight_lb = 0.0;
    assert_eq!(laid.weight_lb(), None);
    laid.faces[0].net_area_sqin = 0.0;
    near(laid.faces[0].waste_percent_of(1), 0.0);
}

#[test]
fn a_face_of_21_in_12_is_not_yet_steep_and_a_nail_line_must_be_above_the_exposure() {
    let mut format = three_tab();
    let at = |format: &ShingleFormat, rise| {
        let roof = gable(40.0, 24.0, rise);
        courses_in(&roof, format.clone()).nailing(&roof, FaceId(0))
    };
    assert_eq!(at(&format, 21.0).per_piece, 4);
    assert_eq!(at(&format, 21.0).caution, None);
    assert_eq!(at(&format, 21.5).per_piece, 6);
    // 5.625 in, a zone of 1 in above it.
    assert_eq!(at(&format, 6.0).zone_in, (5.625, 6.625));
    let caution = |format: &ShingleFormat| at(format, 6.0).caution.unwrap();
    format.sealed = false;
    assert!(caution(&format).contains("no sealant line"));
    format.nail_line_in = 5.0;
    assert!(caution(&format).contains("within the exposure"));
}

#[test]
fn a_cycle_of_one_offset_alone_is_found_and_none_in_a_range_turned_round() {
    let cycle = start_cycle(42.0, 6.0, (6.0, 6.0)).unwrap();
    assert_eq!(cycle.offsets_in, [6.0; 7]);
    assert_eq!(start_cycle(42.0, 6.0, (8.0, 4.0)), None);
    assert_eq!(start_cycle(3.0, 6.0, (4.0, 8.0)), None);
    assert_eq!(start_cycle(42.0, 6.0, (0.0, 8.0)), None);
}

const OWN: &str = "[[format]]\nname = \"own\"\nsource = \"invented\"\npieces_per_bundle = 21\n";

#[test]
fn what_a_format_does_not_say_is_what_most_shingles_have() {
    let own = |text: &str| formats::parse(&format!("{OWN}{text}")).unwrap().remove(0);
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-6, "{a} is not {b}");
    let feet = own("width = 36\nheight = 12\nexposure = 5\n");
    assert!(feet.sealed && !feet.plain_edge && !feet.metric);
    assert_eq!(
        (feet.nails_per_piece, feet.nails_per_piece_high_wind),
        (4, 6)
    );
    // Half an inch above the exposure, whatever the unit.
    near(feet.nail_line_in, 5.5);
    let metric =
        own("unit = \"mm\"\nwidth = 1000\nheight = 337\nexposure = 143\nbundle_weight = 30\n");
    near(metric.nail_line_in, 143.0 / 25.4 + 0.5);
    near(metric.height_in, 337.0 / 25.4);
    near(metric.exposure_in, 143.0 / 25.4);
    // 30 kg at 0.45359237 kg to the pound.
    near(metric.bundle_weight_lb, 30.0 / 0.453_592_37);
    let line = "width = 36\nheight = 12\nexposure = 5\nnail_line = 6\nnail_zone = 1\nnails_per_piece = 6\n";
    let said = own(line);
    assert_eq!((said.nail_line_in, said.nail_zone_in), (6.0, 1.0));
    assert_eq!(
        (said.nails_per_piece, said.nails_per_piece_high_wind),
        (6, 6)
    );
}

#[test]
fn a_format_that_cannot_be_a_shingle_is_refused_with_its_reason() {
    let why = |size: &str, more: &str| {
        let refused = formats::parse(&format!("{OWN}{size}{more}")).unwrap_err();
        refused.message
    };
    let size = "width = 36\nheight = 12\nexposure = 5\n";
    for (size, reason) in [
        ("width = 0\nheight = 12\nexposure = 5\n", "above 0"),
        ("width = 36\nheight = 12\nexposure = 0\n", "above 0"),
        ("width = 36\nheight = inf\nexposure = 5\n", "above 0"),
        (
            "width = 36\nheight = 12\nexposure = 12.1\n",
            "greater than its height",
        ),
        ("width = 36\nheight = 12\nexposure = 6.01\n", "headlap"),
        (
            "unit = \"mm\"\nwidth = 1000\nheight = 280\nexposure = 143\n",
            "−6.000 mm",
        ),
    ] {
        assert!(why(size, "").contains(reason), "{size}");
    }
    for (more, reason) in [
        ("bundle_weight = -1\n", "no weight"),
        ("bundle_weight = inf\n", "no weight"),
        ("nails_per_piece = 0\n", "nails in every piece"),
        (
            "nails_per_piece = 6\nnails_per_piece_high_wind = 5\n",
            "no fewer",
        ),
        ("nail_line = 0\n", "outside of its height"),
        ("nail_line = 12\n", "outside of its height"),
        ("nail_zone = -1\n", "no height"),
    ] {
        assert!(why(size, more).contains(reason), "{more}");
    }
}

#[test]
fn the_crew_is_told_the_step_that_the_joints_lie_at_and_every_run_that_departs_from_it() {
    let format = formats::by_name("39x13", &[]).unwrap();
    let (mut steps, mut departed) = (0, 0);
    for wide in [251.0, 300.0, 359.0, 390.0, 411.0] {
        let laid = lay_face(&face(wide, 180.0), &format, &LayRules::default()).unwrap();
        let sheet = laid.crew_sheet();
        let start = laid.runs[0].left_line_in[0].1;
        if let Pattern::Step {
            step_in,
            first_joint_in,
        } = sheet.pattern
        {
            assert!(first_joint_in > 0.0 && first_joint_in <= laid.width_in);
            for (row, run) in sheet.rows.iter().zip(&laid.runs) {
                let wished = start + first_joint_in - run.course as f64 * step_in;
                let off = (run.joints_in[0] - wished).rem_euclid(laid.width_in);
                // What a tape shows: 1/32 in.
                let at_it = off.min(laid.width_in - off) < 1.0 / 32.0;
                assert_eq!(row.follows, at_it, "{wide} in, course {}", row.course);
            }
            steps += 1;
            departed += sheet.exceptions();
        }
        // A rule for offcuts is told only where it is one: of the pairs that depart from it each makes two rows depart, or
        // two of them share a row.
        let course = |run: usize| laid.runs[run].course as i64;
        let lags = laid.pairs.iter().map(|&(c, o)| course(o) - course(c));
        if let Some(lag) = sheet.offcut_lag {
            let off = lags.filter(|l| *l != lag).count();
            let departing = sheet.rows.iter().filter(|r| !r.offcuts_follow).count();
            assert!(off <= departing && 8 * departing <= sheet.rows.len());
        } else {
            let shared = sheet.rows.iter().filter(|r| !r.offcuts_follow).count();
            assert!(shared >= laid.pairs.len() && shared <= 2 * laid.pairs.len());
        }
        // Every fifth butt line from the lowest, which hangs over the eave by half an inch.
        let fifth = |k: usize| 5.0 * k as f64 * format.exposure_in - 0.5;
        assert_eq!(sheet.chalk_in.len(), laid.courses.div_ceil(5));
        for (k, at) in sheet.chalk_in.iter().enumerate() {
            assert!((at - fifth(k)).abs() < 1e-9, "{at}");
        }
        assert!(sheet.split_courses.is_empty());
    }
    assert!(steps > 0, "no step was told");
    eprintln!("{steps} faces in steps, {departed} runs out of step");
}

#[test]
fn a_stretch_without_joints_too_close_is_as_long_as_the_best_of_all_first_joints() {
    // Whole numbers: the best run has joints just at the distance, so its first joints are whole numbers too.
    let brute = |old: i64, new: i64, distance: i64| -> i64 {
        let far = 4 * old * new;
        let reach = |a: i64, b: i64| {
            let lower: Vec<i64> = (0..)
                .map(|k| a + k * old)
                .take_while(|j| *j <= far)
                .collect();
            let upper = (0..).map(|k| b + k * new).take_while(|j| *j <= far);
            let close = upper.flat_map(|u| {
                let near = lower.iter().filter(move |l| (*l - u).abs() < distance);
                near.map(move |l| u.max(*l))
            });
            close.min().unwrap_or(far)
        };
        let firsts = (1..=old).flat_map(|a| (1..=new).map(move |b| (a, b)));
        firsts.map(|(a, b)| reach(a, b)).max().unwrap_or(0)
    };
    let mut compared = 0;
    for new in 4..=11_i64 {
        for old in 3..new {
            // No distance over half a shingle can be kept at all.
            for distance in 1..=old / 2 {
                let (a, b, d) = (old as f64, new as f64, distance as f64);
                let found = longest_clean_run_in(a, b, d);
                assert_eq!(found, longest_clean_run_in(b, a, d));
                let gcd = (1..=old)
                    .rev()
                    .find(|g| old % g == 0 && new % g == 0)
                    .unwrap();
                assert_eq!(endless_clearance_in(a, b), gcd as f64 / 2.0);
                if gcd >= 2 * distance {
                    assert_eq!(found, f64::INFINITY);
                } else {
                    let best = brute(old, new, distance) as f64;
                    assert!(
                        (found - best).abs() < 1e-6,
                        "{old}, {new}, {distance}: {found}, {best}"
                    );
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 70, "{compared}");
}

#[test]
fn over_a_format_that_shows_nearly_all_of_its_height_no_other_begins() {
    let rules = LayRules::default();
    let new = formats::by_name("42x14", &[]).unwrap();
    let mut old = three_tab();
    let codes = |old: &_| {
        let laid = lay_face(&face(359.0, 120.0), old, &rules).unwrap();
        let (found, findings) = changeover(&laid, old, &new, &rules, 1..laid.courses);
        let codes: Vec<&str> = findings.iter().map(|f| f.code).collect();
        (found.len(), codes.contains(&"no-headlap"))
    };
    // 12 in high: 10 in leave no more than the 2 in of headlap.
    old.exposure_in = 10.0;
    assert_eq!(codes(&old), (0, true));
    old.exposure_in = 9.0;
    assert!(!codes(&old).1);
}

#[test]
fn joints_may_be_kept_half_a_shingle_apart_and_no_farther() {
    let mut rules = LayRules {
        second_joint_distance_in: 0.0,
        ..LayRules::default()
    };
    let lay = |rules: &LayRules| lay_face(&face(359.0, 60.0), &three_tab(), rules);
    rules.joint_distance_in = 18.0;
    assert!(lay(&rules).is_ok());
    rules.joint_distance_in = 18.1;
    assert!(lay(&rules).is_err());
}

#[test]
fn a_face_up_to_a_point_has_the_steps_that_its_runs_with_joints_can_keep() {
    // A hip end 10 ft wide at 4 in 12: the run at the tip is one piece and has no joint.
    let up = 60.0 * (1.0_f64 + 1.0 / 9.0).sqrt();
    let points = vec![
        Point::new(0.0, 0.0),
        Point::new(120.0, 0.0),
        Point::new(60.0, up),
    ];
    let ring = FaceRing::new(points, vec![EdgeKind::Eave, EdgeKind::Hip, EdgeKind::Hip]);
    let hip_end = CourseFace::new(FaceId(0), ring, Vec::new()).unwrap();
    let format = formats::by_name("36x12", &[]).unwrap();
    let rules = LayRules::default();
    let laid = lay_face(&hip_end, &format, &rules).unwrap();
    assert!(laid.runs.last().unwrap().joints_in.is_empty());
    assert!(!laid.steps.is_empty());
    for step in &laid.steps {
        assert!(step.offset_in >= rules.joint_distance_in && step.opened >= laid.bound);
    }
}

#[test]
fn without_reuse_no_step_is_said_to_be_laid_that_is_not() {
    // Between two valleys that are run through, no step can be kept on every course.
    let points = vec![
        Point::new(0.0, 0.0),
        Point::new(59.0, 0.0),
        Point::new(69.5, 15.0),
        Point::new(-10.5, 15.0),
    ];
    let valley = EdgeKind::ValleyThrough;
    let kinds = vec![EdgeKind::Eave, valley, EdgeKind::Ridge, valley];
    let face = CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new()).unwrap();
    let format = formats::by_name("36x12", &[]).unwrap();
    let choices = Choices {
        layout: Layout::Regular,
        ..Choices::default()
    };
    let told = |reuse| {
        let rules = LayRules {
            reuse,
            ..LayRules::default()
        };
        let laid = lay_face_with(&face, &format, &rules, &choices, Effort::default()).unwrap();
        assert!(laid.steps.is_empty());
        laid.findings.iter().any(|f| f.code == "no-repeated-step")
    };
    assert!(told(Reuse::TwoPiece));
    assert!(!told(Reuse::None));
}

#[test]
fn a_headlap_under_two_inches_is_told() {
    let roof = gable(20.0, 12.0, 6.0);
    for (exposure, told) in [("5", 0), ("5.004", 0), ("5.01", 1), ("6", 1)] {
        let size = format!("{OWN}width = 36\nheight = 12\nexposure = {exposure}\n");
        let format = formats::parse(&size).unwrap().remove(0);
        let laid = Courses::lay(&roof, &format, &LayRules::default(), &Choices::default());
        let laid = laid.unwrap_or_else(|f| panic!("{f:#?}"));
        let short = laid.findings.iter().filter(|f| f.code == "headlap-short");
        assert_eq!(short.count(), told, "{exposure}");
    }
}
