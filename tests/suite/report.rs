//! What is printed and written.

use eavewright::report::{self, PdfOptions};

use crate::report_roofs::{Job, ell, gable, hip};

#[test]
fn the_same_report_makes_the_same_pdf_bytes() {
    let job = Job::of(ell());
    let make = || {
        report::pdf(&job.report(), &PdfOptions::default())
            .expect("sheets are drawn")
            .bytes
    };
    assert_eq!(make(), make());
}

#[test]
fn a_gable_in_json_has_every_class_and_its_true_area() {
    let job = Job::of(gable());
    let json: serde_json::Value =
        serde_json::from_str(&report::json(&job.report())).expect("JSON is well formed");
    assert_eq!(json["schema"], "eavewright.takeoff/1");
    let lengths = json["totals"]["lengths"].as_object().expect("an object");
    assert_eq!(lengths.len(), 11);
    assert_eq!(lengths["valley"], 0.0);
    // 960 ft² of plan at 6 in 12: 960 × √1.25, by hand.
    let area = json["totals"]["true_area"].as_f64().expect("a number");
    assert!((area - 1_073.312_629_2).abs() < 1e-6);
}

#[test]
fn metres_change_lengths_and_areas_but_not_squares() {
    let read = |job: &Job| -> serde_json::Value {
        serde_json::from_str(&report::json(&job.report())).expect("JSON is well formed")
    };
    let feet = read(&Job::of(hip()));
    let metres = read(&Job::of(hip()).in_metres());
    let number = |v: &serde_json::Value| v.as_f64().expect("a number");
    assert_eq!(
        number(&feet["totals"]["squares"]),
        number(&metres["totals"]["squares"])
    );
    let ridge = number(&metres["totals"]["lengths"]["ridge"]);
    assert!((ridge - 16.0 * 0.3048).abs() < 1e-12);
}

#[test]
fn the_summary_fits_a_terminal_of_80_columns() {
    for job in [Job::of(gable()), Job::of(ell()), Job::of(hip()).in_metres()] {
        let summary = report::summary(&job.report(), &[]);
        for line in summary.lines() {
            assert!(line.chars().count() <= 80, "too long: {line}");
        }
        assert!(summary.contains("squares"));
    }
}

/// Writes sheets to `target/sheets`, for looking at: `cargo test --test suite -- --ignored sheets_to_look_at`.
#[test]
#[ignore = "writes files for people to look at"]
fn sheets_to_look_at() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/sheets");
    std::fs::create_dir_all(&folder).expect("a folder to write in");
    for (name, job) in [
        ("gable", Job::of(gable())),
        ("hip", Job::of(hip())),
        ("ell", Job::of(ell())),
        ("ell-metric", Job::of(ell()).in_metres()),
    ] {
        let options = PdfOptions::default();
        let file = report::pdf(&job.report(), &options).expect("sheets are drawn");
        std::fs::write(folder.join(format!("{name}.pdf")), file.bytes).expect("written");
        std::fs::write(
            folder.join(format!("{name}.txt")),
            report::summary(&job.report(), &[]),
        )
        .expect("written");
        std::fs::write(
            folder.join(format!("{name}.json")),
            report::json(&job.report()),
        )
        .expect("written");
        std::fs::write(
            folder.join(format!("{name}.csv")),
            report::csv(&job.report()),
        )
        .expect("written");
    }
}
