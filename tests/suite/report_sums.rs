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
