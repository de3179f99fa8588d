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

/// A garage of 20 × 20 ft at 6 in 12 apart from the house: 400 ft² of plan, 223.6 on the slope a face and 447.2 together.
const GARAGE: &str = r##"<g id="roof garage" fill="none" stroke="black"><rect x="500" y="80" width="180" height="180"/>
    <line x1="500" y1="170" x2="680" y2="170"/></g><g font-size="9"><text x="590" y="120">6/12</text><text x="590" y="210">6/12</text></g>"##;

fn one_check(review: &Review) -> &eavewright::review::AreaCheck {
    let [check] = &review.areas[..] else {
        panic!("{:?}", codes(review));
    };
    check
}

#[test]
fn the_area_of_a_garage_that_stands_apart_is_that_of_all_its_faces() {
    let garage = |text: &str| {
        let text = format!("<text x=\"510\" y=\"240\" font-size=\"8\">{text}</text>");
        reviewed(&gable_with(&format!("{GARAGE}{text}")))
    };
    let right = garage("GARAGE ROOF 447 SF");
    let check = one_check(&right);
    assert!(matches!(check.subject, Subject::Part(_)), "{check:?}");
    assert!((check.computed_sqft - 400.0 * 1.25_f64.sqrt()).abs() < 0.01);
    assert_eq!(right.verdict(), Verdict::Agrees);
    // In plan it is still the garage's.
    let plan = garage("GARAGE ROOF 400 SF");
    let causes: Vec<&str> = one_check(&plan)
        .explanations
        .iter()
        .map(|e| e.cause.key())
        .collect();
    assert_eq!(causes, ["plan-for-true"]);
    // One face of it by its figure, and every other area in a face is that face's.
    let face = garage("GARAGE 223.6 SF");
    assert!(matches!(one_check(&face).subject, Subject::Face(_)));
    let face = garage("447 SF");
    assert!(matches!(one_check(&face).subject, Subject::Face(_)));
    assert_eq!(face.verdict(), Verdict::Differs);
}

/// A porch of the house itself may be any of its faces: only a figure that is the face's own is held against it.
#[test]
fn the_area_of_a_part_that_no_line_parts_from_the_house_is_held_against_no_single_face() {
    let review = reviewed(&in_the_face("DORMER ROOF 100 SF"));
    assert_eq!(codes(&review), ["stated-area-of-nothing"]);
    assert_eq!(review.verdict(), Verdict::NothingCompared);
    let told = &review.findings[0].message;
    assert!(
        told.contains("(dormer)") && told.contains("face N1 (536.7 ft²)"),
        "{told}"
    );
    for (text, verdict) in [
        ("PORCH ROOF 537 SF", Verdict::Agrees),
        ("PORCH ROOF 480 SF", Verdict::Differs),
    ] {
        let review = reviewed(&in_the_face(text));
        assert!(
            matches!(one_check(&review).subject, Subject::Face(_)),
            "{text}"
        );
        assert_eq!(review.verdict(), verdict, "{text}");
    }
}

/// The lantern's southern face has 32 ft² of plan and 35.78 on the slope; 9 units are not a foot here, 10 are.
#[test]
fn a_note_over_a_higher_level_is_of_the_face_that_has_its_area_and_else_of_the_highest() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs");
    let plan = fs::read_to_string(folder.join("lantern-on-gable-6in12/plan.svg")).unwrap();
    let noted = |text: &str| {
        let note = format!(
            "<g id=\"note\"><text x=\"300\" y=\"316\" font-size=\"5\" text-anchor=\"middle\">{text}</text></g></svg>"
        );
        let svg = plan.replace("</svg>", &note);
        let roof = roof_of(svg.as_bytes()).unwrap();
        let review = reviewed(svg.as_bytes());
        let check = one_check(&review);
        let Subject::Face(face) = check.subject else {
            panic!("{check:?}");
        };
        (roof.face(face).level, check.verdict)
    };
    assert_eq!(noted("35.8 SF"), (1, Verdict::Agrees));
    // 40 × 12 × √1.25, of which the lantern covers a part.
    assert_eq!(noted("536.7 SF"), (0, Verdict::Agrees));
    assert_eq!(noted("44 SF"), (1, Verdict::Differs));
}

/// Rows of a table, each with its words at 520 and its figure at 640, 12 units below the one before.
fn table(rows: &[(&str, &str)]) -> Review {
    let row = |(i, (words, figure)): (usize, &(&str, &str))| {
        let y = 100 + 12 * i;
        let text = |x: u32, text: &str| match text {
            "" => String::new(),
            text => format!("<text x=\"{x}\" y=\"{y}\" font-size=\"9\">{text}</text>"),
        };
        text(520, words) + &text(640, figure)
    };
    let rows: String = rows.iter().enumerate().map(row).collect();
    reviewed(&gable_with(&rows))
}

#[test]
fn a_total_beneath_other_areas_is_not_the_roofs_unless_it_says_so() {
    for rows in [
        &[
            ("AREA SCHEDULE", ""),
            ("FIRST FLOOR", "960 SF"),
            ("SECOND FLOOR", "800 SF"),
            ("TOTAL", "1,760 SF"),
        ][..],
        &[("GLAZING SCHEDULE", ""), ("TOTAL 39 SF", "")],
        &[
            ("ATTIC VENT CALCULATION", ""),
            ("960 / 150", ""),
            ("TOTAL = 6.4 SF", ""),
        ],
    ] {
        let review = table(rows);
        assert!(review.areas.is_empty(), "{rows:?}");
        let told = &review.findings[review.not_compared - 1].message;
        assert!(told.contains("stands beneath"), "{told}");
        assert!(
            codes(&review)
                .iter()
                .all(|c| *c == "stated-area-of-nothing")
        );
    }
    // The nearest words say of what a table is, and a total may say it itself.
    for rows in [
        &[
            ("LIVING AREA", "900 SF"),
            ("ROOF AREAS", ""),
            ("TOTAL", "1,073 SF"),
        ][..],
        &[("FIRST FLOOR", "960 SF"), ("TOTAL ROOF AREA", "1,073 SF")],
        &[("TOTAL", "1,073 SF")],
    ] {
        let review = table(rows);
        assert_eq!(one_check(&review).subject, Subject::Roof, "{rows:?}");
        assert_eq!(one_check(&review).verdict, Verdict::Agrees, "{rows:?}");
    }
}

#[test]
fn under_the_title_of_a_roof_plan_an_area_is_on_the_surface_that_it_agrees_with() {
    for (text, plan, verdict) in [
        ("ROOF PLAN - 1,073 SF", false, Verdict::Agrees),
        ("ROOF PLAN - 960 SF", true, Verdict::Agrees),
        ("ROOF PLAN - 900 SF", false, Verdict::Differs),
        ("ROOF PLAN AREA 1,073 SF", true, Verdict::Differs),
    ] {
        let review = table(&[(text, "")]);
        let check = one_check(&review);
        let in_plan = check.surface == eavewright::review::SurfaceSaid::Plan;
        assert_eq!((in_plan, check.verdict), (plan, verdict), "{text}");
    }
}

#[test]
fn an_area_with_its_unit_before_it_is_read_and_one_beside_a_pitch_is_told() {
    for text in [
        "ROOF SF: 900",
        "ROOF AREA (SQ FT) 900",
        "TOTAL SQUARES: 9.0",
    ] {
        let review = table(&[(text, "")]);
        assert_eq!(one_check(&review).stated_sqft, 900.0, "{text}");
    }
    let review = table(&[("ROOF AREA: 900 SF, 6/12", "")]);
    assert_eq!(codes(&review), ["stated-area-unread"]);
    // In a title block too.
    let text = "<g id=\"title\"><text x=\"600\" y=\"500\" font-size=\"9\">ROOF AREA: 900 SF, 6/12</text></g>";
    assert_eq!(codes(&reviewed(&gable_with(text))), ["stated-area-unread"]);
}

#[test]
fn a_number_without_a_unit_at_the_head_of_a_roofs_area_is_read_by_its_column_or_told() {
    for rows in [
        &[
            ("FACE", "AREA (SF)"),
            ("S1", "450"),
            ("TOTAL ROOF AREA", "900"),
        ][..],
        &[
            ("ROOF AREAS", ""),
            ("FACE", "AREA (SF)"),
            ("S1", "450"),
            ("TOTAL", "900"),
        ],
        &[("ROOF AREA (SF)", "900")],
        &[("ROOF AREA (SF)", ""), ("900", "")],
    ] {
        let review = table(rows);
        assert_eq!(one_check(&review).subject, Subject::Roof, "{rows:?}");
        assert_eq!(one_check(&review).stated_sqft, 900.0, "{rows:?}");
    }
    // A mere total speaks of the roof only where it is the roof's.
    let loads = [
        ("HVAC LOADS", ""),
        ("ZONE", "AREA (SF)"),
        ("BEDROOM", "220"),
    ];
    let with = |total| table(&[&loads[..], &[("TOTAL", total)]].concat());
    assert_eq!(codes(&with("1,240")), ["stated-area-of-nothing"]);
    assert_eq!(one_check(&with("1,073")).subject, Subject::Roof);
    let told = table(&[("TOTAL ROOF AREA", "900")]);
    assert_eq!(codes(&told), ["stated-area-unread"]);
    assert!(told.findings[0].message.contains("has no unit"));
    // A total of windows, and the number of a room.
    for rows in [&[("TOTAL", "12")][..], &[("ROOF PLAN", "12")]] {
        assert_eq!(codes(&table(rows)), ["nothing-stated"], "{rows:?}");
    }
}

/// Each of many figures has the words on its own line, however many stand above and below.
#[test]
fn every_line_of_a_long_table_has_its_own_words() {
    let row = |i: u32| {
        let y = 60.0 + 1.2 * f64::from(i);
        format!(
            "<text x=\"520\" y=\"{y}\" font-size=\"1\">TOTAL ROOF AREA</text>\
             <text x=\"540\" y=\"{y}\" font-size=\"1\">{} SF</text>",
            1000 + i
        )
    };
    let review = reviewed(&gable_with(&(0..400).map(row).collect::<String>()));
    let stated: Vec<f64> = review.areas.iter().map(|a| a.stated_sqft).collect();
    let all: Vec<f64> = (0..400).map(|i| f64::from(1000 + i)).collect();
    assert_eq!(stated, all);
    assert!(
        review
            .areas
            .iter()
            .all(|a| a.text.starts_with("TOTAL ROOF AREA"))
    );
}
