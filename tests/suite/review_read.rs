//! Areas as people write them on a plan, and what becomes of those that cannot be read.

use std::fs;
use std::path::Path;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::review::{Review, ReviewSettings, Subject, Verdict};

use crate::support::roof_of;

/// The gable of 40 × 24 ft at 6 in 12 with more on its sheet: 480 ft² of plan a face, 536.66 on the slope. Nine units of the
/// drawing are a foot; the northern face reaches from (100, 80) to (460, 188).
fn gable_with(more: &str) -> Vec<u8> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs/gable-40x24-6in12");
    let plan = fs::read_to_string(folder.join("plan.svg")).unwrap();
    plan.replace("</svg>", &format!("{more}</svg>"))
        .into_bytes()
}

fn reviewed(svg: &[u8]) -> Review {
    let drawing = Drawing::read(svg, &ReadOptions::default()).unwrap();
    let settings = ReviewSettings::default();
    Review::of(&drawing, &roof_of(svg).unwrap(), None, &settings).unwrap()
}

/// A text in the northern face, above its pitch.
fn in_the_face(text: &str) -> Vec<u8> {
    let text = text.replace('<', "&lt;");
    gable_with(&format!(
        "<text x=\"200\" y=\"110\" font-size=\"9\">{text}</text>"
    ))
}

fn codes(review: &Review) -> Vec<&'static str> {
    review.findings.iter().map(|f| f.code).collect()
}

#[test]
fn square_feet_with_a_2_on_the_line_are_an_area_and_no_dimension() {
    for text in ["480 ft2", "480 ft^2", "480 FT2"] {
        // Along the eave of 40 ft, where a length would be its dimension.
        let along = format!("<text x=\"260\" y=\"78\" font-size=\"9\">{text}</text>");
        let review = reviewed(&gable_with(&along));
        let [check] = &review.areas[..] else {
            panic!("{text}: {review:?}");
        };
        assert_eq!(check.stated_sqft, 480.0, "{text}");
        assert!((check.computed_sqft - 536.656).abs() < 1e-3, "{text}");
    }
    // Parted from its 2 it may be 480 ft 2 in as well: neither.
    let review = reviewed(&in_the_face("480 ft 2"));
    assert_eq!(codes(&review), ["stated-area-unread"]);
}

#[test]
fn a_mark_before_an_area_needs_no_colon() {
    for text in [
        "N1 480 SF",
        "A 480 SF",
        "(A) 480 SF",
        "FACE 1: 480 SF",
        "R1 480 SF",
        "#1 480 SF",
        "480 sf*",
        "480 SF NORTH",
        "44.6 sq m",
        "44.6 square metres",
        "44.6 sq.m",
    ] {
        let review = reviewed(&in_the_face(text));
        let [check] = &review.areas[..] else {
            panic!("{text}: {review:?}");
        };
        // 480 ft² are 44.593 m².
        assert!((check.stated_sqft - 480.0).abs() < 0.1, "{text}");
        let cause = check.likely().map(|e| e.cause.key());
        assert_eq!(cause, Some("plan-for-true"), "{text}");
    }
}

#[test]
fn an_area_in_a_face_that_cannot_be_read_is_told_as_not_compared() {
    for text in [
        "480 SF EA.",
        "480 SF (1)",
        "480 SF @ 6/12",
        "6/12 - 480 SF",
        "AREA=480",
        "537 SF (PLAN 480)",
    ] {
        let review = reviewed(&in_the_face(text));
        assert_eq!(review.areas.len(), 0, "{text}");
        assert_eq!(codes(&review), ["stated-area-unread"], "{text}");
        assert_eq!(review.verdict(), Verdict::NothingCompared, "{text}");
    }
    // A room beneath the roof, and what stands beside the roof and speaks of none.
    for svg in [
        in_the_face("LIVING ROOM 480 SF"),
        gable_with("<text x=\"600\" y=\"500\" font-size=\"9\">ZONE B, 480 SF MIN</text>"),
    ] {
        assert_eq!(codes(&reviewed(&svg)), ["nothing-stated"]);
    }
}

#[test]
fn a_roof_beside_the_plan_is_known_in_one_word_and_in_other_languages() {
    let beside = |text: &str| {
        let text = format!("<text x=\"600\" y=\"500\" font-size=\"9\">{text}</text>");
        reviewed(&gable_with(&text))
    };
    let read = beside("ROOFAREA 960 SF");
    assert_eq!(read.areas[0].stated_sqft, 960.0);
    assert_eq!(codes(&beside("TOITURE 99,7 m²")), ["stated-area-unread"]);
}

#[test]
fn the_area_in_a_title_block_is_compared() {
    for layer in ["Title", "Title block", "Sheet", "Frame"] {
        let sheet = |text: &str| {
            let text = format!(
                "<g id=\"a\" data-name=\"{layer}\"><text x=\"600\" y=\"500\" font-size=\"9\">{text}</text></g>"
            );
            reviewed(&gable_with(&text))
        };
        let review = sheet("ROOF AREA 960 SF");
        assert_eq!(review.areas.len(), 1, "{layer}");
        assert_eq!(review.verdict(), Verdict::Differs, "{layer}");
        assert_eq!(
            codes(&sheet("ROOF AREA 960 SF MAX")),
            ["stated-area-unread"],
            "{layer}"
        );
    }
    // What is to be ignored is.
    let text =
        "<g id=\"ignore\"><text x=\"600\" y=\"500\" font-size=\"9\">ROOF AREA 960 SF</text></g>";
    assert_eq!(codes(&reviewed(&gable_with(text))), ["nothing-stated"]);
}

/// A legend has its words in one column and its figures in another, or each figure beneath its words.
#[test]
fn the_words_of_an_area_may_stand_on_its_line_or_right_above_it() {
    for text in [
        r#"<text x="300" y="300" font-size="9">ROOF AREA</text><text x="420" y="300" font-size="9">960 SF</text>"#,
        r#"<text x="300" y="300" font-size="9"><tspan x="300" dy="0">ROOF AREA</tspan><tspan x="300" dy="11">960 SF</tspan></text>"#,
        r#"<text x="300" y="300" font-size="9">ROOF AREA: <tspan x="420">960 SF</tspan></text>"#,
        r#"<text x="300" y="300" font-size="9">TOTAL ROOF AREA</text><text x="310" y="312" font-size="9">960 SF</text>"#,
    ] {
        let text = text
            .replace("y=\"300\"", "y=\"350\"")
            .replace("y=\"312\"", "y=\"362\"");
        let review = reviewed(&gable_with(&text));
        assert_eq!(review.areas.len(), 1, "{text}: {:?}", codes(&review));
        assert_eq!(review.areas[0].subject, Subject::Roof, "{text}");
        assert_eq!(review.areas[0].stated_sqft, 960.0, "{text}");
    }
    // The head of a column of several is no one's.
    let column = r#"<text x="300" y="350" font-size="9">ROOF AREA</text><text x="300" y="362" font-size="9">480 SF</text>
        <text x="300" y="374" font-size="9">480 SF</text>"#;
    assert!(reviewed(&gable_with(column)).areas.is_empty());
    // Words with a figure between have it for their own, and wide words beside a column do not head the next one.
    let row = r#"<text x="300" y="350" font-size="9">ROOF AREA</text><text x="370" y="350" font-size="9">960 SF</text>
        <text x="420" y="350" font-size="9">GARAGE</text><text x="480" y="350" font-size="9">400 SF</text>"#;
    let columns = r#"<text x="300" y="350" font-size="9">TOTAL ROOF AREA</text><text x="400" y="350" font-size="9">LOT AREA</text>
        <text x="300" y="362" font-size="9">960 SF</text><text x="376" y="362" font-size="9">9,000 SF</text>"#;
    for text in [row, columns] {
        let review = reviewed(&gable_with(text));
        let stated: Vec<f64> = review.areas.iter().map(|a| a.stated_sqft).collect();
        assert_eq!(stated, [960.0], "{text}");
    }
    // Words that lie far off, below, or are another area's are none of its own.
    for text in [
        r#"<text x="300" y="320" font-size="9">ROOF AREA</text><text x="300" y="380" font-size="9">960 SF</text>"#,
        r#"<text x="300" y="380" font-size="9">ROOF AREA</text><text x="300" y="368" font-size="9">960 SF</text>"#,
        r#"<text x="300" y="368" font-size="9">LIVING AREA</text><text x="300" y="380" font-size="9">960 SF</text>"#,
    ] {
        let review = reviewed(&gable_with(text));
        assert_eq!(codes(&review), ["stated-area-of-nothing"], "{text}");
    }
}

#[test]
fn a_part_that_is_counted_in_does_not_make_an_area_the_parts() {
    let beside = |text: &str| {
        reviewed(&gable_with(&format!(
            "<text x=\"600\" y=\"500\" font-size=\"9\">{text}</text>"
        )))
    };
    let whole = beside("ROOF AREA = 1,500 SF INCL. PORCH");
    assert_eq!(whole.areas[0].stated_sqft, 1500.0);
    let part = beside("PORCH ROOF AREA = 200 SF");
    assert_eq!(codes(&part), ["stated-area-of-nothing"]);
    let told = &part.findings[0].message;
    assert!(told.contains("says that it is a part's (porch)"), "{told}");
}

#[test]
fn the_deck_beneath_the_shingles_is_told_in_a_face_as_not_compared() {
    let review = reviewed(&in_the_face("DECK AREA 480 SF"));
    assert_eq!(codes(&review), ["stated-area-unread"]);
    // The one behind the house is another's.
    let beside = "<text x=\"600\" y=\"500\" font-size=\"9\">DECK AREA 480 SF</text>";
    assert_eq!(codes(&reviewed(&gable_with(beside))), ["nothing-stated"]);
}
