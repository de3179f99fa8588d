//! The sums that a reader can follow by hand, as printed.

use eavewright::report::{self, PdfOptions, Sheet};

use crate::report_roofs::{Job, ell, gable};

/// The words of a kind of sheet, in the order that they were set.
fn words(job: &Job, sheet: Sheet) -> Vec<String> {
    let options = PdfOptions {
        sheets: vec![sheet],
        ..PdfOptions::default()
    };
    let sheets = report::marks(&job.report(), &options).unwrap();
    let labels = sheets.into_iter().flat_map(|s| s.labels);
    labels.map(|l| l.words).collect()
}

/// The figure set after some words.
fn after<'w>(words: &'w [String], label: &str) -> &'w str {
    let at = words
        .iter()
        .position(|w| w == label)
        .unwrap_or_else(|| panic!("no “{label}” in {words:?}"));
    &words[at + 1]
}

#[test]
fn what_is_needed_is_one_figure_on_paper_and_in_the_files() {
    // 40 × 24 ft at 6 in 12: 10.7331 squares, at 2 deck sheets for every ten 2.14663; three are ordered, 0.85337 left.
    let job = Job::of(gable())
        .laid("39x13")
        .offered("[site]\nexisting_layers = 1\n");
    let report = job.report();
    let sheets = 2.0 * 40.0 * 24.0 * 1.25_f64.sqrt() / 1000.0;
    let json: serde_json::Value = serde_json::from_str(&report::json(&report)).unwrap();
    let lines = json["materials"].as_array().unwrap();
    let deck = lines.iter().find(|l| l["key"] == "deck_sheet").unwrap();
    assert!((deck["needed_amount"].as_f64().unwrap() - sheets).abs() < 1e-9);
    assert_eq!(deck["quantity"], 3.0);
    assert!(deck["basis"].as_str().unwrap().ends_with(" 2.15"));
    let csv = report::csv(&report);
    let row = csv.lines().find(|l| l.contains("Deck sheet")).unwrap();
    assert!(row.contains(",2.1466"), "{row}");
    let words = words(&job, Sheet::Materials);
    let at = words
        .iter()
        .position(|w| w.starts_with("Deck sheet"))
        .unwrap();
    assert_eq!(words[at + 1..at + 7].join(" "), "2.1 2.1 piece 3 sheet 0.9");
    let text = report::summary(&report, &[]);
    let row = text.lines().find(|l| l.starts_with("Deck sheet")).unwrap();
    let row: Vec<&str> = row.split_whitespace().rev().collect();
    assert_eq!(row[..4], ["sheets", "3", "pieces", "2.1"]);
}

#[test]
fn faces_and_openings_make_up_what_the_outer_edges_enclose() {
    for job in [Job::of(gable()), Job::of(ell())] {
        let words = words(&job, Sheet::Method);
        let number =
            |label: &str| -> f64 { after(&words, label).replace(',', "").parse().unwrap() };
        let inside = number("Inside of the outer edges");
        let plan = job.roof.plan_area().to_square_feet();
        let openings: f64 = job
            .roof
            .openings
            .iter()
            .map(|o| eavewright::geometry::ring::signed_area(&o.outline).abs())
            .sum();
        assert!((inside - plan - openings).abs() < 0.006, "{inside}");
        assert!((number("Faces, added up") - plan).abs() < 0.006);
        assert_eq!(after(&words, "left over"), "0.00");
    }
}

#[test]
fn a_face_that_does_not_fit_its_neighbour_is_left_over_in_the_sum() {
    let mut job = Job::of(gable());
    // One face's schedule says a square foot more than its ring encloses.
    let face = &mut job.roof.faces[0];
    face.plan_area = eavewright::units::Area::square_feet(face.plan_area.to_square_feet() + 1.0);
    assert_eq!(after(&words(&job, Sheet::Method), "left over"), "1.00");
}

#[test]
fn every_rule_is_printed_with_where_it_stands_and_how_it_is_known() {
    let job = Job::of(gable())
        .laid("39x13")
        .offered("[site]\nice_barrier = true\n");
    let words = words(&job, Sheet::Method).join(" ");
    for rule in &eavewright::materials::rules::RULES {
        let first = rule.topic.split_whitespace().next().unwrap();
        assert!(words.contains(first), "{}", rule.name);
    }
    for said in [
        "from memory",
        "read: ",
        "no source",
        "edition 2021",
        "R905.1.2",
    ] {
        assert!(words.contains(said), "{said}");
    }
}
