//! Whose an area is that stands in a slope, or under rows of a table: the slope's, a room's beneath it, or the whole roof's.

use std::fs;
use std::path::Path;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::review::{Review, ReviewSettings, Subject, Verdict};

use crate::support::roof_of;

/// The gable of 40 × 24 ft at 6 in 12: 480 ft² of plan a face, 536.66 on the slope, 1,073.31 in all. Its northern face reaches from
/// (100, 80) to (460, 188), its southern from there to (460, 296); nine units are a foot.
fn reviewed(more: &str) -> Review {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs/gable-40x24-6in12");
    let plan = fs::read_to_string(folder.join("plan.svg")).unwrap();
    let svg = plan.replace("</svg>", &format!("{more}</svg>"));
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let roof = roof_of(svg.as_bytes()).unwrap();
    Review::of(&drawing, &roof, None, &ReviewSettings::default()).unwrap()
}

/// Lines of one block of text, each eleven units below the one before.
fn block(x: u32, y: u32, lines: &[&str]) -> String {
    let line = |(i, text): (u32, &&str)| {
        let y = y + 11 * i;
        format!("<text x=\"{x}\" y=\"{y}\" font-size=\"9\">{text}</text>")
    };
    (0..).zip(lines).map(line).collect()
}

fn codes(review: &Review) -> Vec<&'static str> {
    review.findings.iter().map(|f| f.code).collect()
}

#[test]
fn areas_of_rooms_beneath_a_roof_are_told_as_not_compared() {
    let rooms = [
        block(120, 110, &["KITCHEN", "180 SF"]),
        block(380, 110, &["GREAT ROOM", "120 SF"]),
        block(120, 230, &["BEDROOM 1", "14'-0\" x 16'-0\"", "224 SF"]),
        block(380, 230, &["FIRST FLOOR", "130 SF"]),
        block(120, 400, &["ROOF AREA 1073 SF"]),
    ];
    let review = reviewed(&rooms.concat());
    let [total] = &review.areas[..] else {
        panic!("{:?}", review.areas);
    };
    assert_eq!(total.subject, Subject::Roof);
    assert_eq!(review.verdict(), Verdict::Agrees);
    assert_eq!(review.not_compared, 4);
    assert_eq!(codes(&review), ["stated-area-of-nothing"; 4]);
    let told = &review.findings[0].message;
    assert!(
        told.contains("stands beneath “KITCHEN”") && told.contains("face N1 (536.7 ft²)"),
        "{told}"
    );
    let short = reviewed(&block(120, 110, &["WC", "40 SF"]));
    assert_eq!(codes(&short), ["stated-area-of-nothing"]);
    // Two lines of one text are the same.
    let lines = r#"<text x="120" y="110" font-size="9"><tspan x="120" dy="0">LIVING ROOM</tspan><tspan x="120" dy="11">200 SF</tspan></text>"#;
    let review = reviewed(lines);
    assert!(review.areas.is_empty());
    assert_eq!(codes(&review), ["stated-area-of-nothing"]);
    // A garage is a part of the building, on one line or on two.
    let garage = reviewed(&block(120, 110, &["GARAGE", "440 SF"]));
    assert_eq!(codes(&garage), ["stated-area-of-nothing"]);
    assert!(garage.findings[0].message.contains("(garage)"));
}

#[test]
fn an_area_beneath_the_mark_of_a_face_or_words_for_it_is_the_faces() {
    for lines in [
        &["480 SF"][..],
        &["S1", "480 SF"],
        &["AREA A", "480 SF"],
        &["NORTH SIDE", "480 SF"],
        &["30 YR SHINGLES", "480 SF"],
        &["KITCHEN", "6/12", "480 SF"],
        &["ROOF", "480 SF"],
        &["DN", "480 SF"],
    ] {
        let review = reviewed(&block(120, 110, lines));
        let [check] = &review.areas[..] else {
            panic!("{lines:?}: {:?}", codes(&review));
        };
        assert!(matches!(check.subject, Subject::Face(_)), "{lines:?}");
        assert_eq!(
            check.likely().unwrap().cause.key(),
            "plan-for-true",
            "{lines:?}"
        );
    }
    // Whatever stands over it, the face's own area is the face's; and the roof's area may stand in a face.
    let own = reviewed(&block(120, 110, &["ZONE B", "537 SF"]));
    assert!(matches!(own.areas[0].subject, Subject::Face(_)));
    assert_eq!(own.verdict(), Verdict::Agrees);
    let whole = reviewed(&block(120, 110, &["TOTAL ROOF AREA", "1,073 SF"]));
    assert_eq!(whole.areas[0].subject, Subject::Roof);
    assert_eq!(whole.verdict(), Verdict::Agrees);
}

#[test]
fn roof_with_its_area_in_every_slope_is_each_slopes_own() {
    for words in ["ROOF", "ROOF AREA", "ROOF SLOPE", "MAIN ROOF"] {
        let slope = format!("{words} 537 SF");
        let slopes = [
            block(120, 110, &[&slope]),
            block(120, 230, &[&slope]),
            block(120, 400, &["TOTAL ROOF AREA 1073 SF"]),
        ];
        let review = reviewed(&slopes.concat());
        let subjects: Vec<bool> = review
            .areas
            .iter()
            .map(|a| matches!(a.subject, Subject::Face(_)))
            .collect();
        assert_eq!(subjects, [true, true, false], "{words}");
        assert_eq!(review.verdict(), Verdict::Agrees, "{words}");
    }
    // Alone, or said to be the total, one slope was counted for the roof.
    let total = block(120, 110, &["TOTAL ROOF AREA 537 SF"]) + &block(120, 400, &["ROOF 1073 SF"]);
    for text in [block(120, 110, &["ROOF AREA 537 SF"]), total] {
        let review = reviewed(&text);
        let wrong = review.areas.iter().find(|a| a.verdict == Verdict::Differs);
        let wrong = wrong.unwrap();
        assert_eq!(wrong.subject, Subject::Roof);
        assert_eq!(wrong.likely().unwrap().cause.key(), "one-side");
    }
}

/// 836 + 1,073 = 1,909 and 1,073 + 600 = 1,673: totals of the roof and more.
#[test]
fn a_total_of_the_roof_and_other_rows_is_not_the_roofs_in_whatever_order_they_stand() {
    for rows in [
        &["FIRST FLOOR 836 SF", "ROOF 1073 SF", "TOTAL 1909 SF"][..],
        &["ROOF 1073 SF", "FIRST FLOOR 836 SF", "TOTAL 1909 SF"],
        &[
            "SITE COVERAGE",
            "ROOF 1073 SF",
            "DRIVE 600 SF",
            "TOTAL 1673 SF",
        ],
        &["ROOF 1073 SF", "DRIVE 600 SF", "TOTAL 1673 SF"],
    ] {
        let review = reviewed(&block(120, 400, rows));
        let [roof] = &review.areas[..] else {
            panic!("{rows:?}: {:?}", review.areas);
        };
        assert_eq!(roof.stated_sqft, 1073.0, "{rows:?}");
        assert_eq!(review.verdict(), Verdict::Agrees, "{rows:?}");
        assert_eq!(codes(&review), ["stated-area-of-nothing"], "{rows:?}");
    }
    // In two columns the figures are nobody's, and told so.
    let columns = block(120, 400, &["ROOF", "DRIVE", "TOTAL"])
        + &block(240, 400, &["1073 SF", "600 SF", "1673 SF"]);
    let review = reviewed(&columns);
    assert_eq!((review.areas.len(), review.not_compared), (0, 3));
    assert_eq!(codes(&review), ["stated-area-of-nothing"; 3]);
    // A total of rows that are roofs all and parts is the roof's, right or wrong.
    for (total, verdict) in [
        ("TOTAL 1073 SF", Verdict::Agrees),
        ("TOTAL 960 SF", Verdict::Differs),
    ] {
        let rows = [
            "FIRST FLOOR 836 SF",
            "ROOF AREAS",
            "FRONT ROOF 537 SF",
            "PORCH ROOF 536 SF",
            total,
        ];
        let review = reviewed(&block(120, 400, &rows));
        let whole = review.areas.iter().find(|a| a.text == total).unwrap();
        assert_eq!((whole.subject, whole.verdict), (Subject::Roof, verdict));
    }
}

/// A table with a column in plan and one on the slope, outside the roof; figures with their unit, or the unit in the heads.
#[test]
fn a_total_in_a_column_of_plan_areas_is_in_plan_and_one_beside_it_on_the_slope() {
    let table = |heads: [&str; 2], unit: &str, total: [u32; 2]| {
        let (left, right) = (120, 220);
        let cell = |x: u32, y: u32, text: &str| block(x, y, &[text]);
        [
            cell(left, 400, heads[0]),
            cell(right, 400, heads[1]),
            cell(60, 412, "N1"),
            cell(left, 412, &format!("480{unit}")),
            cell(right, 412, &format!("537{unit}")),
            cell(60, 424, "TOTAL"),
            cell(left, 424, &format!("{}{unit}", total[0])),
            cell(right, 424, &format!("{}{unit}", total[1])),
        ]
        .concat()
    };
    let of_roof = |review: &Review| -> Vec<(f64, Verdict)> {
        let all = review.areas.iter().filter(|a| a.subject == Subject::Roof);
        all.map(|a| (a.stated_sqft, a.verdict)).collect()
    };
    for (heads, unit) in [
        (["PLAN (SF)", "SLOPED (SF)"], ""),
        (["PLAN AREA", "ROOF AREA"], " SF"),
        (["PROJECTED AREA", "TRUE AREA"], " SF"),
    ] {
        let right = reviewed(&table(heads, unit, [960, 1073]));
        let agree = [(960.0, Verdict::Agrees), (1073.0, Verdict::Agrees)];
        assert_eq!(of_roof(&right), agree, "{heads:?}");
        // The plan's area in the column of the slope's is wrong.
        let wrong = reviewed(&table(heads, unit, [960, 960]));
        assert_eq!(wrong.verdict(), Verdict::Differs, "{heads:?}");
    }
}
