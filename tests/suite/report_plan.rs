//! The plan on paper: what is marked, where north, names and lengths stand, and what the drawn plan says when read.

use std::fmt::Write as _;

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::geometry::Point;
use eavewright::place::Place;
use eavewright::report::{self, LabelMark, Paper, PdfOptions, Sheet, SheetMarks};
use eavewright::roof::{Roof, RoofOptions};

use crate::report_roofs::Job;
use crate::support::roof_of;

/// A gable at 6 in 12, its ridge along its length, in feet; 10 units a foot.
fn gable(length: f64, width: f64) -> String {
    let (right, ridge, foot) = (100.0 + 10.0 * length, 5.0 * width, 10.0 * width);
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1200 900"><g stroke="black" fill="none">
<rect x="100" y="0" width="{}" height="{foot}"/><line x1="100" y1="{ridge}" x2="{right}" y2="{ridge}"/></g>
<text x="150" y="{}" font-size="9">6/12</text><text x="150" y="{}" font-size="9">6/12</text>
<g id="scale"><line x1="100" y1="800" x2="300" y2="800" stroke="black"/><text x="190" y="798" font-size="9">20'</text></g></svg>"#,
        10.0 * length,
        ridge / 2.0,
        1.5 * ridge,
    )
}

/// Hips of 18 × 22 ft at 5 in 12 in two rows, 2 ft apart: on letter too small for all their lengths.
fn hips(columns: u32) -> String {
    let mut svg = String::from(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3000 900"><g stroke="black" fill="none">"#,
    );
    let mut pitches = String::new();
    for (column, row) in (0..columns).flat_map(|c| [(c, 0), (c, 1)]) {
        let (x, y) = (200.0 * f64::from(column), 260.0 * f64::from(row));
        let at = |dx: f64, dy: f64| format!("{},{}", x + dx, y + dy);
        let _ = write!(
            svg,
            r#"<rect x="{x}" y="{y}" width="180" height="220"/><polyline points="{} {} {}"/><polyline points="{} {} {}"/><polyline points="{} {}"/>"#,
            at(0.0, 0.0),
            at(90.0, 90.0),
            at(180.0, 0.0),
            at(0.0, 220.0),
            at(90.0, 130.0),
            at(180.0, 220.0),
            at(90.0, 90.0),
            at(90.0, 130.0),
        );
        for (dx, dy) in [(80.0, 30.0), (80.0, 200.0), (20.0, 110.0), (130.0, 110.0)] {
            let _ = write!(
                pitches,
                r#"<text x="{}" y="{}" font-size="9">5/12</text>"#,
                x + dx,
                y + dy
            );
        }
    }
    svg + "</g>"
        + &pitches
        + r#"<g id="scale"><line x1="0" y1="800" x2="200" y2="800" stroke="black"/><text x="90" y="798" font-size="9">20'</text></g></svg>"#
}

fn job(svg: &str) -> Job {
    let found = roof_of(svg.as_bytes());
    Job::of(found.expect("the plan is taken off"))
}

fn sheets(job: &Job, paper: Paper) -> Vec<SheetMarks> {
    let options = PdfOptions {
        paper,
        sheets: vec![Sheet::RoofPlan],
    };
    report::marks(&job.report(), &options).expect("sheets are drawn")
}

/// Least and greatest x and y of the roof's edges, in mm.
fn extent(sheet: &SheetMarks) -> ((f64, f64), (f64, f64)) {
    let ends = sheet.lines.iter().filter(|l| l.layer == "roof edges");
    let ends: Vec<Point> = ends.flat_map(|l| l.ends).collect();
    let over = |of: fn(&Point) -> f64| {
        let values = ends.iter().map(of);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(v), h.max(v))
        })
    };
    (over(|p| p.x), over(|p| p.y))
}

fn middle(label: &LabelMark) -> Point {
    label.corners[0].midpoint(label.corners[2])
}

#[test]
fn a_warning_off_the_plan_marks_nothing_else_on_its_sheet() {
    let at = |x: f64, y: f64| {
        let place = Place {
            at: Some(Point::new(x, y)),
            ..Place::default()
        };
        Finding::warning("beside", "Something stands here.").place(place)
    };
    let mut job = job(&gable(40.0, 24.0));
    // A gable of 40 ft: one in its middle, one in a table beside it, one far off the paper.
    let on_roof = job.roof.faces[0].label_at;
    job.roof.findings = vec![
        at(on_roof.x, on_roof.y),
        at(on_roof.x + 55.0, on_roof.y),
        at(on_roof.x + 5000.0, on_roof.y),
    ];
    for paper in Paper::ALL {
        let options = PdfOptions {
            paper,
            sheets: vec![Sheet::RoofPlan, Sheet::Method],
        };
        let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
        let marked = sheets[0].labels.iter().filter(|l| l.layer == "findings");
        let marked: Vec<&str> = marked.map(|l| l.words.as_str()).collect();
        assert_eq!(marked, ["1"], "{}", paper.name());
        let ((left, right), (low, high)) = extent(&sheets[0]);
        let lines = sheets[0].lines.iter().filter(|l| l.layer == "findings");
        for end in lines.flat_map(|l| l.ends) {
            let near = (left - 9.0..right + 9.0).contains(&end.x)
                && (low - 9.0..high + 9.0).contains(&end.y);
            assert!(near, "{}: {end:?}", paper.name());
        }
    }
}

#[test]
fn the_north_mark_stands_off_the_roof_whatever_its_shape() {
    for (length, width) in [
        (30.0, 20.0),
        (40.0, 24.0),
        (44.0, 30.0),
        (50.0, 38.0),
        (60.0, 44.0),
        (64.0, 28.0),
        (38.0, 37.0),
    ] {
        for bearing in [0.0, 90.0, 180.0, 217.0] {
            let mut job = job(&gable(length, width));
            job.project.up_bearing_deg = bearing;
            for paper in Paper::ALL {
                let sheets = sheets(&job, paper);
                // On the largest sheets a zone is called so too.
                let north = |l: &&LabelMark| l.words == "N" && l.layer != "sheet";
                let norths: Vec<&LabelMark> = sheets[0].labels.iter().filter(north).collect();
                let what = format!("{length} × {width} at {bearing}° on {}", paper.name());
                let [north] = norths[..] else {
                    panic!("{} north marks: {what}", norths.len());
                };
                let ((left, right), (low, high)) = extent(&sheets[0]);
                let on_roof =
                    |p: &Point| (left..right).contains(&p.x) && (low..high).contains(&p.y);
                assert!(!north.corners.iter().any(on_roof), "{what}");
                let keyed = |l: &&LabelMark| l.layer == "key" && l.words != "N";
                for other in sheets[0].labels.iter().filter(keyed) {
                    let apart = middle(other).distance(middle(north));
                    assert!(apart > 3.0, "on “{}”: {what}", other.words);
                }
            }
        }
    }
}

#[test]
fn a_pitch_at_its_triangle_is_seen_as_6_over_12_and_the_drawn_plan_can_be_taken_off_again() {
    let job = job(&gable(40.0, 24.0));
    let svg = report::svg(&job.report()).expect("the plan is drawn");
    for seen in [" aria-label=\"6/12\"", ">6</text>", ">12</text>"] {
        assert_eq!(svg.matches(seen).count(), 2, "{seen}");
    }
    assert!(!svg.contains("></text>"), "an empty text");
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).expect("it is read");
    let again = Roof::from_drawing(&drawing, &RoofOptions::default());
    let again = again
        .map_err(|unsolved| unsolved.findings)
        .expect("it is solved");
    // 40 × 24 × √1.25, by hand; the drawing has thousandths of a millimetre at 1:48.
    let area = again.true_area().to_square_feet();
    assert!((area - 1_073.312_6).abs() < 0.05, "{area} ft²");
}

#[test]
fn lengths_on_lines_a_little_off_upright_are_all_read_from_below() {
    // Rakes that a tracing has 2° off upright, to either side.
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 700 500"><g stroke="black" fill="none">
<polygon points="100,0 500,0 508,240 92,240"/><line x1="96" y1="120" x2="504" y2="120"/></g>
<text x="150" y="60" font-size="9">6/12</text><text x="150" y="180" font-size="9">6/12</text>
<g id="scale"><line x1="100" y1="400" x2="300" y2="400" stroke="black"/><text x="190" y="398" font-size="9">20'</text></g></svg>"#;
    let sheets = sheets(&job(svg), Paper::Letter);
    let rakes = sheets[0].labels.iter();
    let rakes = rakes.filter(|l| l.layer == "edge lengths" && l.words.starts_with("rake"));
    let ways: Vec<f64> = rakes.map(|l| l.corners[1].y - l.corners[0].y).collect();
    assert_eq!(ways.len(), 4);
    assert!(ways.iter().all(|&up| up > 5.0), "{ways:?}");
}

#[test]
fn where_two_roofs_meet_in_a_step_each_length_stands_on_its_own_roof() {
    let svg = include_str!("../../fixtures/roofs/clerestory-4in12/plan.svg");
    let job = job(svg);
    let sheets = sheets(&job, Paper::Letter);
    let (_, (low, high)) = extent(&sheets[0]);
    // The step lies 10 ft from the south eave of 24 ft: the north roof ends in a high edge, the south one at its wall.
    let step = low + (high - low) * 10.0 / 24.0;
    let y_of = |words: &str| {
        let mut labels = sheets[0].labels.iter();
        let label = labels.find(|l| l.words.starts_with(words));
        middle(label.expect("it is lettered")).y
    };
    assert!(y_of("high edge 30′-0″") > step);
    assert!(y_of("headwall 30′-0″") < step);
}

#[test]
fn a_length_too_long_for_its_step_is_led_to_from_its_own_roof() {
    // The lower roof of the clerestory is 3 ft wide: too narrow for `headwall 3′-0″`.
    let svg = include_str!("../../fixtures/roofs/clerestory-4in12/plan.svg");
    let narrow = [
        (
            "200,420 470,420 470,330 200,330",
            "300,420 327,420 327,330 300,330",
        ),
        ("x=\"335\" y=\"375\"", "x=\"313\" y=\"375\""),
        (
            "245,357 245,402 249.86,393.9 245,402 240.14,393.9",
            "313,385 313,412 315,407 313,412 311,407",
        ),
    ];
    let svg = narrow.iter().fold(svg.to_owned(), |svg, (wide, narrow)| {
        assert!(svg.contains(wide));
        svg.replace(wide, narrow)
    });
    let job = job(&svg);
    let sheets = sheets(&job, Paper::Letter);
    let (_, (low, high)) = extent(&sheets[0]);
    let step = low + (high - low) * 10.0 / 24.0;
    let lengths = sheets.iter().flat_map(|s| &s.labels);
    let mut wall = lengths.filter(|l| l.layer == "edge lengths" && l.words.starts_with("headwall"));
    assert!(wall.all(|l| middle(l).y < step), "on the higher roof");
}

#[test]
fn the_length_of_an_eave_over_a_porch_stands_beside_the_porch_and_not_in_it() {
    // The porch reaches from 10 to 22 ft along the eave of 40 ft, and 8 ft out from below it.
    let svg = include_str!("../../fixtures/roofs/porch-under-eave/plan.svg");
    let job = job(svg);
    for paper in Paper::ALL {
        let sheets = sheets(&job, paper);
        let ((left, right), (low, high)) = extent(&sheets[0]);
        let (foot, wide) = ((right - left) / 40.0, (10.0, 22.0));
        let eave = low + 8.0 * foot;
        assert!(((high - low) / foot - 32.0).abs() < 0.2, "{}", paper.name());
        let lengths = sheets[0].labels.iter();
        let lengths = lengths.filter(|l| l.layer == "edge lengths" && l.words == "eave 40′-0″");
        for at in lengths.map(middle).filter(|at| at.y < eave) {
            let along = (at.x - left) / foot;
            assert!(along < wide.0 || along > wide.1, "{along} ft");
        }
    }
}

#[test]
fn no_boundary_of_a_detail_runs_through_the_name_of_another() {
    let job = job(&hips(6));
    let sheets = sheets(&job, Paper::Letter);
    let of = |sheet: &SheetMarks| -> Vec<LabelMark> {
        let named = sheet.labels.iter();
        let named = named.filter(|l| l.layer == "details" && l.words.starts_with("Detail"));
        named.cloned().collect()
    };
    assert!(of(&sheets[0]).len() > 1, "there are details");
    for sheet in &sheets {
        for name in of(sheet) {
            let [a, b, c, _] = name.corners;
            let crossed = |p: Point| (a.x..b.x).contains(&p.x) && (a.y..c.y).contains(&p.y);
            for line in sheet.lines.iter().filter(|l| l.layer == "details") {
                let [from, to] = line.ends;
                let hit = (0..=100).any(|i| crossed(from.lerp(to, f64::from(i) / 100.0)));
                assert!(!hit, "{} in {}", name.words, sheet.title);
            }
        }
    }
}

/// Small pyramids, `count` of them in a row, 10 ft square and 10 ft apart: on letter too small for all their names.
fn cabins(count: u32) -> String {
    let mut svg = String::from(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3000 900"><g stroke="black" fill="none">"#,
    );
    let mut pitches = String::new();
    for column in 0..count {
        let x = 200.0 * f64::from(column);
        let (right, middle) = (x + 100.0, x + 50.0);
        let _ = write!(
            svg,
            r#"<rect x="{x}" y="0" width="100" height="100"/><polyline points="{x},0 {middle},50 {right},100"/><polyline points="{right},0 {middle},50 {x},100"/>"#,
        );
        for (dx, dy) in [(40.0, 20.0), (40.0, 92.0), (6.0, 55.0), (72.0, 55.0)] {
            let _ = write!(
                pitches,
                r#"<text x="{}" y="{dy}" font-size="9">6/12</text>"#,
                x + dx
            );
        }
    }
    svg + "</g>"
        + &pitches
        + r#"<g id="scale"><line x1="0" y1="800" x2="200" y2="800" stroke="black"/><text x="90" y="798" font-size="9">20'</text></g></svg>"#
}

#[test]
fn a_detail_is_named_on_the_plan_with_the_sheet_it_is_on() {
    for svg in [hips(6), cabins(7)] {
        let sheets = sheets(&job(&svg), Paper::Letter);
        let names = |sheet: &SheetMarks| -> Vec<String> {
            let named = sheet.labels.iter();
            let named = named.filter(|l| l.layer == "details" && l.words.starts_with("Detail"));
            named.map(|l| l.words.clone()).collect()
        };
        let elsewhere: Vec<String> = names(&sheets[0])
            .into_iter()
            .filter(|name| name.contains(", sheet "))
            .collect();
        let mut found = Vec::new();
        for (i, sheet) in sheets.iter().enumerate().skip(1) {
            found.extend(names(sheet).iter().map(|n| format!("{n}, sheet {}", i + 1)));
        }
        assert!(!found.is_empty(), "there are details");
        let sorted = |names: &[String]| {
            let mut names = names.to_vec();
            names.sort();
            names
        };
        assert_eq!(sorted(&elsewhere), sorted(&found));
        // The letters go on from sheet to sheet.
        for (i, sheet) in sheets.iter().enumerate().skip(2) {
            let last = names(&sheets[i - 1]).into_iter().max();
            assert!(names(sheet).into_iter().min() > last, "sheet {}", i + 1);
        }
    }
}

#[test]
fn a_detail_shows_small_buildings_whole() {
    let sheets = sheets(&job(&cabins(7)), Paper::Letter);
    // A building cut by a boundary would say of its eaves that they are so long in all.
    let details = sheets.iter().skip(1).flat_map(|s| &s.labels);
    let lengths: Vec<&str> = details
        .filter(|l| l.layer == "edge lengths" || l.layer == "dimensions")
        .map(|l| l.words.as_str())
        .collect();
    assert!(lengths.contains(&"eave 10′-0″"), "{lengths:?}");
    assert!(
        !lengths.iter().any(|l| l.ends_with("in all")),
        "{lengths:?}"
    );
}

/// What the view says of heights: `±0″`, `+5′-0″`, what of, and what stands under it.
fn heights(svg: &str) -> Vec<String> {
    let options = PdfOptions {
        paper: Paper::Letter,
        sheets: vec![Sheet::View],
    };
    let sheets = report::marks(&job(svg).report(), &options).expect("the view is drawn");
    let labels = sheets[0].labels.iter();
    let labels = labels.filter(|l| l.layer == "dimensions" || l.layer == "key");
    labels.map(|l| l.words.clone()).collect()
}

#[test]
fn the_view_tells_the_height_of_the_top_of_any_roof() {
    // A turret 10 ft across at 12 in 12: its apex is 5 ft up.
    let turret = heights(include_str!(
        "../../fixtures/roofs/octagon-turret-10ft-12in12/plan.svg"
    ));
    assert!(turret.contains(&"apex".to_owned()), "{turret:?}");
    assert!(turret.contains(&"+5′-0″".to_owned()), "{turret:?}");
    // A shed 12 ft deep at 4 in 12: its high edge is 4 ft up.
    let shed = heights(include_str!(
        "../../fixtures/roofs/shed-20x12-4in12/plan.svg"
    ));
    for words in ["high edge", "+4′-0″", "lowest eave, datum", "±0″"] {
        assert!(shed.contains(&words.to_owned()), "{shed:?}");
    }
}

#[test]
fn the_datum_of_the_view_is_the_lowest_eave_and_no_height_is_under_it() {
    // The upper lean-to falls 14 ft at 4 in 12, the lower one 10 ft: 4 ft 8 in down and 3 ft 4 in down from where they meet.
    let said = heights(include_str!(
        "../../fixtures/roofs/clerestory-4in12/plan.svg"
    ));
    // From the south the lowest eave is behind the roof: it has no mark and is named.
    for words in [
        "+4′-8″",
        "+1′-4″",
        "Heights are above the lowest eave, that of N1.",
    ] {
        assert!(said.iter().any(|s| s == words), "{said:?}");
    }
    assert!(!said.iter().any(|s| s.contains('−')), "{said:?}");
    assert!(!said.iter().any(|s| s.contains("datum")), "{said:?}");
    assert!(
        said.iter()
            .any(|s| s.starts_with("How high an upper level stands")),
        "{said:?}"
    );
}

#[test]
fn cautions_are_never_torn_from_their_head() {
    // With every number of findings before them, so that they meet the foot of a column somewhere.
    for notes in 0..24 {
        let mut job = job(&gable(40.0, 24.0));
        for i in 0..notes {
            let words = format!(
                "a matter of three lines, so that the table of findings grows as a real one does, number {i}: nothing is to be done about it but to read it"
            );
            job.roof.findings.push(Finding::note("matter", words));
        }
        let options = PdfOptions {
            paper: Paper::Letter,
            sheets: vec![Sheet::Method],
        };
        let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
        for sheet in &sheets {
            let says = |words: &str| sheet.labels.iter().any(|l| l.words.starts_with(words));
            assert_eq!(
                says("Before anybody goes up"),
                says("Electricity:"),
                "{notes} notes, {}",
                sheet.title
            );
            assert_eq!(says("Falls:"), says("Electricity:"), "{notes} notes");
        }
        let mut labels = sheets.iter().flat_map(|s| &s.labels);
        assert!(
            labels.any(|l| l.words.starts_with("Electricity:")),
            "{notes} notes"
        );
    }
}

#[test]
fn openings_that_print_alike_are_one_row_of_their_table() {
    let svg = gable(40.0, 24.0).replace(
        "</g>\n<text",
        r#"</g><g id="skylight" stroke="black" fill="none"><rect x="200" y="40" width="20" height="40"/><rect x="280" y="40" width="20" height="40"/><rect x="360" y="40" width="20" height="40"/><rect x="280" y="160" width="30" height="40"/></g>
<text"#,
    );
    let options = PdfOptions {
        paper: Paper::Letter,
        sheets: vec![Sheet::Schedules],
    };
    let sheets = report::marks(&job(&svg).report(), &options).expect("sheets are drawn");
    let labels = || sheets.iter().flat_map(|s| &s.labels);
    let skylights = labels().filter(|l| l.words == "skylight").count();
    assert_eq!(skylights, 2);
    assert!(labels().any(|l| l.words == "3 ×"));
}

#[test]
fn a_job_with_a_very_long_name_is_named_in_letters_that_can_be_read() {
    let mut job = job(&gable(40.0, 24.0));
    job.project.name =
        "Renewal of the roof of the parish hall and the school behind it, ".repeat(4);
    for paper in Paper::ALL {
        let sheets = sheets(&job, paper);
        let of_name =
            |l: &&LabelMark| l.layer == "sheet" && job.project.name.contains(l.words.as_str());
        let lines: Vec<&LabelMark> = sheets[0].labels.iter().filter(of_name).collect();
        let lines = lines.iter().filter(|l| l.words.len() > 12);
        let heights: Vec<f64> = lines.map(|l| l.height_mm).collect();
        assert!(!heights.is_empty(), "{}", paper.name());
        assert!(heights.iter().all(|&h| h > 1.79), "{heights:?}");
    }
}

#[test]
fn a_long_name_and_a_long_client_are_printed_whole() {
    let mut job = job(&gable(40.0, 24.0));
    job.project.name = "Renewal of the roofs of the parish hall, the school behind it, the caretaker's house and the two sheds by the road, first phase".to_owned();
    job.project.client = "The Trustees of the Parish of Saint Bartholomew".to_owned();
    job.project.address = "1234 North Quillback Road, Springfield".to_owned();
    let client = format!("{}, {}", job.project.client, job.project.address);
    for paper in Paper::ALL {
        let labels = &sheets(&job, paper)[0].labels;
        let printed = labels.iter().filter(|l| l.layer == "sheet");
        let printed: Vec<&str> = printed.map(|l| l.words.as_str()).collect();
        for whole in [&job.project.name, &client] {
            // The longest line that goes on with it; zones have a letter or a figure.
            let mut left = whole.as_str();
            let next = |left: &str| {
                let lines = printed.iter().copied();
                let lines = lines.filter(|w| w.len() > 2 && left.starts_with(*w));
                lines.max_by_key(|line| line.len())
            };
            while let Some(line) = next(left) {
                left = left[line.len()..].trim_start();
            }
            assert_eq!(left, "", "{}: {printed:?}", paper.name());
        }
    }
}

#[test]
fn the_eaves_of_row_houses_are_one_chain_of_dimensions_under_which_the_whole_is_dimensioned() {
    let job = job(include_str!("../../fixtures/rules/plans/row-houses.svg"));
    let sheet = &sheets(&job, Paper::Letter)[0];
    let dimensions: Vec<&str> = sheet
        .labels
        .iter()
        .filter(|l| l.layer == "dimensions")
        .map(|l| l.words.as_str())
        .collect();
    let eaves = dimensions.iter().filter(|words| **words == "eave 20′-0″");
    assert_eq!(eaves.count(), 6, "{dimensions:?}");
    assert!(dimensions.contains(&"overall 60′-0″"), "{dimensions:?}");
}

#[test]
fn a_roof_with_a_wing_and_a_porch_is_dimensioned_as_a_whole_both_ways() {
    // 14 ft of wing, 28 ft of house, 6 ft of porch are as deep as the house is long.
    let job = job(include_str!("../../examples/quillback-road.svg"));
    let labels = &sheets(&job, Paper::Letter)[0].labels;
    let wholes = labels.iter().filter(|l| l.words == "overall 48′-0″");
    assert_eq!(wholes.count(), 2);
}
