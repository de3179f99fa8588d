//! An outline within a frame, a lot line or a panel: which of the two is the roof is asked where the drawing does not say, and
//! what says it is not asked.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::MapOptions;
use eavewright::roof::{Roof, RoofOptions};
use eavewright::{Finding, Severity};

/// A page of 10 units to the foot, with its dimension of 40 ft beneath.
fn page(shapes: &str, texts: &[(f64, f64, &str)]) -> String {
    let texts = texts.iter().map(|(x, y, text)| {
        let (x, y) = (x * 10.0, y * 10.0 + 2.5);
        format!(r#"<text x="{x}" y="{y}" font-size="8" text-anchor="middle">{text}</text>"#)
    });
    format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-200 -200 900 800"><g fill="none" stroke="#000" stroke-width="1.2">{shapes}</g>
        {}<g id="dims"><path d="M0 400H400" stroke="black" stroke-width="0.4"/><text x="200" y="396" font-size="8">40'-0"</text></g></svg>"##,
        texts.collect::<String>()
    )
}

fn solve(svg: &str, outline: bool) -> Result<Roof, Vec<Finding>> {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default())?;
    let options = RoofOptions {
        map: MapOptions {
            outline,
            ..MapOptions::default()
        },
        ..RoofOptions::default()
    };
    Roof::from_drawing(&drawing, &options).map_err(|unsolved| unsolved.findings)
}

/// Asked which is the edge, with both areas and the rule that takes the outer one out.
#[track_caller]
fn assert_asked(result: Result<Roof, Vec<Finding>>, areas: [&str; 2], rule: &str) {
    let errors = result.map(|roof| roof.findings).unwrap_err();
    let found = errors.iter().find(|f| f.code == "which-edge");
    let found = found.unwrap_or_else(|| panic!("{errors:?}"));
    for area in areas {
        assert!(found.message.contains(area), "{}", found.message);
    }
    assert!(found.remedy.contains(rule), "{}", found.remedy);
}

#[track_caller]
fn assert_covers(roof: Result<Roof, Vec<Finding>>, plan_sqft: f64) {
    let roof = roof.unwrap();
    let sqft = roof.plan_area().to_square_feet();
    assert!((sqft - plan_sqft).abs() < 0.01, "{sqft}");
    let errors = roof
        .findings
        .iter()
        .filter(|f| f.severity == Severity::Error);
    assert_eq!(errors.count(), 0);
}

/// 40 × 24 ft.
const HOUSE: &str = r#"<path d="M0 0H400V240H0Z"/>"#;
/// 56 × 48 ft.
const FRAME: &str = r#"<path d="M-80 -80H480V400H-80Z" stroke-width="2"/>"#;
const INSIDE: [(f64, f64, &str); 4] = [
    (20.0, 1.2, "6:12"),
    (20.0, 22.8, "6:12"),
    (1.8, 12.0, "GABLE"),
    (38.2, 12.0, "GABLE"),
];
const OUTSIDE: [(f64, f64, &str); 4] = [
    (20.0, -1.2, "6:12"),
    (20.0, 25.2, "6:12"),
    (-1.8, 12.0, "GABLE"),
    (41.8, 12.0, "GABLE"),
];

#[test]
fn a_frame_round_an_outline_with_its_pitches_is_asked_about() {
    for texts in [INSIDE, OUTSIDE] {
        let svg = page(&[FRAME, HOUSE].concat(), &texts);
        assert_asked(solve(&svg, false), ["2,688", "960"], "width");
    }
    // A lot line in its own colour, a panel without a line.
    let lot = r##"<path d="M-90 -70L470 -85L490 390L-75 405Z" stroke="#080"/>"##;
    let svg = page(&[lot, HOUSE].concat(), &INSIDE);
    assert_asked(solve(&svg, false), ["ft²", "960"], "colour");
    let panel = r##"<path d="M-80 -80H480V400H-80Z" fill="#f4f4ee" stroke="none"/>"##;
    let svg = page(&[panel, HOUSE].concat(), &INSIDE);
    assert_asked(solve(&svg, false), ["2,688", "960"], "ignore");
}

/// With a north mark or an empty box on the sheet the frame is no more the roof than without.
#[test]
fn other_closed_shapes_on_the_sheet_do_not_make_a_frame_the_roof() {
    let mark = r##"<circle cx="560" cy="0" r="15" stroke="#00f"/>"##;
    let title_box = r#"<path d="M380 340H480V400H380Z" stroke-width="2"/>"#;
    for other in [mark, title_box] {
        let svg = page(&[FRAME, HOUSE, other].concat(), &INSIDE);
        match solve(&svg, false) {
            Ok(roof) => assert_covers(Ok(roof), 960.0),
            asked => assert_asked(asked, ["ft²", "960"], "ignore"),
        }
    }
}

/// A lean-to of 20 × 8 ft is a twentieth of its frame.
#[test]
fn a_small_roof_in_a_large_frame_is_asked_about_as_well() {
    let lean_to = r#"<path d="M100 60H300V140H100Z"/>"#;
    let svg = page(&[FRAME, lean_to].concat(), &[(20.0, 10.0, "6:12")]);
    assert_asked(solve(&svg, true), ["2,688", "160"], "width");
}

#[test]
fn a_frame_on_a_layer_of_its_own_is_left_out_unasked() {
    let frame = format!(r#"<g id="frame">{FRAME}</g>"#);
    for texts in [INSIDE, OUTSIDE] {
        let svg = page(&[&frame, HOUSE].concat(), &texts);
        assert_covers(solve(&svg, false), 960.0);
    }
}

#[test]
fn a_chimney_walls_beneath_and_a_courtyard_are_not_asked_about() {
    let chimney = r#"<path d="M180 100H210V120H180Z" stroke-width="0.6"/>"#;
    let walls = r#"<path d="M20 20H380V220H20Z" stroke-width="0.6" stroke-dasharray="4 3"/>"#;
    for inner in [chimney, walls] {
        let svg = page(&[HOUSE, inner].concat(), &INSIDE);
        assert_covers(solve(&svg, false), 960.0);
    }
    // The middle label stands beside the chimney.
    let svg = page(&[HOUSE, chimney].concat(), &[(20.0, 8.5, "6:12")]);
    assert_covers(solve(&svg, true), 960.0);
}
