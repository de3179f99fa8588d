//! The PDF, read back by another library than the one that wrote the marks.

use eavewright::report::{self, PdfOptions};
use lopdf::content::{Content, Operation};
use lopdf::{Document, Object};

use crate::report_roofs::{Job, ell, gable, hip};

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(i) => *i as f64,
        Object::Real(r) => f64::from(*r),
        _ => panic!("{object:?} is no number"),
    }
}

fn open(job: &Job) -> Document {
    let file = report::pdf(&job.report(), &PdfOptions::default()).expect("sheets are drawn");
    Document::load_mem(&file.bytes).expect("the file can be read")
}

/// Straight lines of the first sheet with the width that each is drawn with: (width, length), in points.
fn lines(document: &Document) -> Vec<(f64, f64)> {
    let page = *document.get_pages().values().next().expect("a page");
    let content = document.get_page_content(page);
    let operations = Content::decode(&content).expect("operators").operations;
    let (mut width, mut at, mut lines) = (0.0, (0.0, 0.0), Vec::new());
    for Operation { operator, operands } in operations {
        match operator.as_str() {
            "w" => width = number(&operands[0]),
            "m" => at = (number(&operands[0]), number(&operands[1])),
            "l" => {
                let to = (number(&operands[0]), number(&operands[1]));
                lines.push((width, (to.0 - at.0).hypot(to.1 - at.1)));
                at = to;
            }
            _ => {}
        }
    }
    lines
}

/// The ratio in the title block of the first sheet: 128 for `³⁄₃₂″ = 1′-0″ (1:128)`.
fn ratio(job: &Job) -> f64 {
    let sheets = report::marks(&job.report(), &PdfOptions::default()).expect("sheets are drawn");
    let scale = sheets[0]
        .labels
        .iter()
        .find_map(|label| label.words.split_once("1:"))
        .expect("a scale in the title block");
    scale.1.trim_end_matches(')').parse().expect("a ratio")
}

#[test]
fn a_40_ft_eave_measures_40_ft_on_paper_at_the_stated_scale() {
    const EAVE_WIDTH: f64 = 0.7 * 72.0 / 25.4;
    for job in [
        Job::of(gable()),
        Job::of(hip()),
        Job::of(ell()),
        Job::of(gable()).in_metres(),
    ] {
        // Points are 1/72 in, by the PDF standard (ISO 32000-1, 8.3.2.3).
        let feet = |points: f64| points / 72.0 / 12.0 * ratio(&job);
        let longest = lines(&open(&job))
            .into_iter()
            .filter(|(width, _)| (width - EAVE_WIDTH).abs() < 0.01)
            .map(|(_, length)| feet(length))
            .fold(0.0, f64::max);
        assert!((longest - 40.0).abs() < 0.01, "{longest} ft");
    }
}

#[test]
fn every_sheet_has_a_bookmark_and_the_file_a_title_and_a_language() {
    let job = Job::of(hip()).laid("36x12");
    let document = open(&job);
    let catalog = document.catalog().expect("a catalog");
    assert_eq!(
        catalog
            .get(b"Lang")
            .and_then(Object::as_str)
            .expect("a language"),
        b"en-US"
    );
    assert!(catalog.has(b"PageLabels"));
    let sheets = report::marks(&job.report(), &PdfOptions::default()).expect("sheets are drawn");
    assert_eq!(document.get_pages().len(), sheets.len());
    let bookmarks = document
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok())
        .filter(|dict| dict.has(b"Title") && dict.has(b"Dest"))
        .count();
    // One a sheet, and one head each over the course layouts and the crew sheets.
    assert_eq!(bookmarks, sheets.len() + 2);
}

#[test]
fn an_ordinary_house_stays_under_300_kb() {
    let job = Job::of(ell()).laid("39x13");
    let file = report::pdf(&job.report(), &PdfOptions::default()).expect("sheets are drawn");
    assert!(file.bytes.len() < 300_000, "{} bytes", file.bytes.len());
    assert!(file.findings.is_empty());
}

#[test]
fn a_name_in_letters_that_the_typeface_lacks_is_told() {
    let mut job = Job::of(gable());
    job.project.client = "漢字".to_owned();
    let file = report::pdf(&job.report(), &PdfOptions::default()).expect("sheets are drawn");
    assert_eq!(file.findings.len(), 1);
    assert!(file.findings[0].message.contains('漢'));
}
