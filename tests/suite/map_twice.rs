//! Roofs and edges that are drawn twice on one sheet.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::{Roof, RoofOptions};

/// A gable of so many units, with its lower left corner here and a pitch in each face.
fn gable((x, y): (f64, f64), (width, depth): (f64, f64), pen: &str) -> String {
    let (right, ridge, top) = (x + width, y + depth / 2.0, y + depth);
    let label = |at: f64| {
        let middle = x + width / 2.0;
        format!(r#"<text x="{middle}" y="{at}" font-size="8" text-anchor="middle">6/12</text>"#)
    };
    format!(
        r#"<path fill="none" {pen} d="M{x} {y}H{right}V{top}H{x}ZM{x} {ridge}H{right}"/>{}{}"#,
        label(y + depth / 4.0),
        label(y + 0.75 * depth)
    )
}

/// A sheet of 10 units to the foot.
fn roof_of(drawn: &str) -> (Roof, Vec<Finding>) {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1200 700">{drawn}
        <g id="dims"><path d="M50 650H450" stroke="black"/><text x="240" y="646" font-size="10">40'-0"</text></g></svg>"#
    );
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let roof = Roof::from_drawing(&drawing, &RoofOptions::default()).unwrap();
    let told = roof.findings.clone();
    (roof, told)
}

fn told<'f>(findings: &'f [Finding], code: &str) -> Option<&'f Finding> {
    findings.iter().find(|f| f.code == code)
}

const BLACK: &str = r#"stroke="black""#;
const HOUSE: (f64, f64) = (400.0, 240.0);

fn title(words: &str) -> String {
    format!(r#"<text x="700" y="420" font-size="12">{words}</text>"#)
}

/// The ridge of a saltbox lies where slopes of 6 and 12 in 12 meet.
fn saltbox((x, y): (f64, f64), (width, depth): (f64, f64)) -> String {
    let (right, ridge, top) = (x + width, y + depth / 3.0, y + depth);
    let middle = x + width / 2.0;
    format!(
        r#"<path fill="none" stroke="black" d="M{x} {y}H{right}V{top}H{x}ZM{x} {ridge}H{right}"/>
        <text x="{middle}" y="{}" font-size="8">12/12</text><text x="{middle}" y="{}" font-size="8">6/12</text>"#,
        y + depth / 6.0,
        y + depth / 1.5
    )
}

/// 40 × 24 ft and the same at half its size: 960 and 240 ft² in plan, both counted. Gables of equal slopes are as common as
/// garages: of them a title has to say it.
#[test]
fn a_roof_that_is_drawn_again_at_another_size_is_told() {
    let small = ((600.0, 60.0), (200.0, 120.0));
    let two = gable((50.0, 50.0), HOUSE, BLACK) + &gable(small.0, small.1, BLACK);
    assert!(told(&roof_of(&two).1, "roof-drawn-twice").is_none());
    let (_, findings) = roof_of(&(two + &title("KEY PLAN (NTS)")));
    assert!(told(&findings, "roof-drawn-twice").is_some());
    let (roof, findings) = roof_of(&(saltbox((50.0, 50.0), HOUSE) + &saltbox(small.0, small.1)));
    assert!((roof.plan_area().to_square_feet() - 1200.0).abs() < 0.1);
    let found = told(&findings, "roof-drawn-twice").unwrap();
    assert!(
        found.message.contains("960 ft²") && found.message.contains("240 ft²"),
        "{found:?}"
    );
    assert_eq!(found.places.len(), 2);
    // A garage of other proportions is no copy.
    let garage = gable((600.0, 60.0), (200.0, 160.0), BLACK);
    let (_, findings) = roof_of(&(gable((50.0, 50.0), HOUSE, BLACK) + &garage));
    assert!(told(&findings, "roof-drawn-twice").is_none());
}

#[test]
fn two_equal_houses_are_told_only_where_a_title_says_that_one_may_be_the_other() {
    let two = gable((50.0, 50.0), HOUSE, BLACK) + &gable((600.0, 50.0), HOUSE, BLACK);
    for (words, is_told) in [
        ("ROOF PLAN", false),
        ("NEW RIDGE VENT", false),
        ("NEW ROOF VENT, TYP.", false),
        ("EXISTING ROOF PLAN (DEMO)", true),
        ("NEW ROOF PLAN", true),
    ] {
        let (_, findings) = roof_of(&(two.clone() + &title(words)));
        let found = told(&findings, "roof-drawn-twice");
        assert_eq!(found.is_some(), is_told, "{words}");
        assert!(found.is_none_or(|f| f.message.contains(words)), "{found:?}");
    }
}

/// Lines of one pen along all edges, 6 in within them: all 128 ft of the edge, and between them 40 × 24 - 39 × 23 = 63 ft². The
/// roof is taken off between the two.
#[test]
fn an_edge_of_two_lines_far_apart_is_told_with_what_it_does_to_the_area() {
    let within = |inches: f64| {
        let by = inches / 12.0 * 10.0;
        let (width, depth) = (400.0 - 2.0 * by, 240.0 - 2.0 * by);
        let (x, y) = (50.0 + by, 50.0 + by);
        let second =
            format!(r#"<path fill="none" stroke="black" d="M{x} {y}h{width}v{depth}h-{width}z"/>"#);
        roof_of(&(gable((50.0, 50.0), HOUSE, BLACK) + &second)).1
    };
    let found = within(6.0);
    let found = told(&found, "edge-of-two-lines").unwrap();
    assert!(
        found.message.contains("0.50 ft (152 mm) apart"),
        "{found:?}"
    );
    // An edge that was traced twice.
    assert!(told(&within(2.0), "edge-of-two-lines").is_none());
}

/// 40 × 24 ft before the work, 50 × 24 ft after it.
#[test]
fn plans_of_two_states_are_told_whatever_their_shapes_and_two_buildings_are_not() {
    let two = gable((50.0, 50.0), HOUSE, BLACK) + &gable((600.0, 50.0), (500.0, 240.0), BLACK);
    let titled = |left: &str, right: &str| {
        let at = |x: f64, words: &str| {
            format!(r#"<text x="{x}" y="330" font-size="12" text-anchor="middle">{words}</text>"#)
        };
        roof_of(&(two.clone() + &at(250.0, left) + &at(850.0, right))).1
    };
    for (left, right, is_told) in [
        ("EXISTING ROOF PLAN", "PROPOSED ROOF PLAN", true),
        ("ROOF PLAN", "ROOF FRAMING PLAN", true),
        ("ROOF PLAN (E)", "ROOF PLAN (N)", true),
        ("HOUSE ROOF PLAN", "GARAGE ROOF PLAN", false),
        ("EXISTING ROOF", "NEW ROOF", false),
        ("ROOF PLAN", "SITE PLAN", false),
    ] {
        let findings = titled(left, right);
        let found = told(&findings, "roof-drawn-twice");
        assert_eq!(found.is_some(), is_told, "{left}, {right}");
        let names = |f: &Finding| f.message.contains(left) && f.message.contains(right);
        assert!(found.is_none_or(names), "{found:?}");
    }
}

#[test]
fn a_plan_of_the_framing_of_a_roof_shows_the_roof_again() {
    let two = gable((50.0, 50.0), HOUSE, BLACK) + &gable((600.0, 50.0), HOUSE, BLACK);
    for (words, is_told) in [
        ("ROOF FRAMING PLAN", true),
        ("ROOF DRAINAGE PLAN", true),
        ("ROOF VENTILATION PLAN", true),
        ("FRAMING PLAN", true),
        ("ROOF FRAMING", false),
        ("ROOF TRUSS", false),
    ] {
        let (_, findings) = roof_of(&(two.clone() + &title(words)));
        let found = told(&findings, "roof-drawn-twice");
        assert_eq!(found.is_some(), is_told, "{words}");
    }
}
