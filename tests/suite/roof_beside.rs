//! Closed lines with a pitch in them that are no faces of the roof: rows of a table, other buildings beside the roof's layer,
//! boxes and circles round the pitches.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::{Roof, RoofOptions};
use eavewright::{Finding, Severity};

/// A page of 10 units to the foot, with its dimension of 40 ft beneath; texts are 0.8 ft high.
fn page(shapes: &str, texts: &[(f64, f64, &str)]) -> String {
    let texts = texts.iter().map(|(x, y, text)| {
        let (x, y) = (x * 10.0, y * 10.0 + 2.5);
        format!(r#"<text x="{x}" y="{y}" font-size="8" text-anchor="middle">{text}</text>"#)
    });
    format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-100 -100 900 700"><g fill="none" stroke="#000" stroke-width="1.2">{shapes}</g>
        {}<g id="dims"><path d="M0 400H400" stroke="black" stroke-width="0.4"/><text x="200" y="396" font-size="8">40'-0"</text></g></svg>"##,
        texts.collect::<String>()
    )
}

fn solve(svg: &str) -> Result<Roof, Vec<Finding>> {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default())?;
    let result = Roof::from_drawing(&drawing, &RoofOptions::default());
    result.map_err(|unsolved| unsolved.findings)
}

#[track_caller]
fn covers(roof: &Roof, plan_sqft: f64) {
    let sqft = roof.plan_area().to_square_feet();
    assert!((sqft - plan_sqft).abs() < 0.01, "{sqft}");
}

#[track_caller]
fn told<'f>(findings: &'f [Finding], code: &str) -> &'f Finding {
    let found = findings.iter().find(|f| f.code == code);
    found.unwrap_or_else(|| panic!("{findings:?}"))
}

/// 40 × 24 ft with its ridge, 960 ft².
const GABLE: &str = r#"<path d="M0 0H400V240H0Z"/><path d="M0 120H400"/>"#;
/// 40 × 24 ft with hips: the faces at its ends are 12 ft deep.
const HIP: &str = r#"<path d="M0 0H400V240H0Z"/><path d="M0 0L120 120L0 240M400 0L280 120L400 240M120 120H280"/>"#;
const IN_GABLE: [(f64, f64, &str); 2] = [(12.0, 6.0, "6:12"), (12.0, 18.0, "6:12")];
const IN_HIP: [(f64, f64, &str); 4] = [
    (20.0, 4.0, "6:12"),
    (20.0, 20.0, "6:12"),
    (4.0, 12.0, "6:12"),
    (36.0, 12.0, "6:12"),
];
/// Two rows of 22 × 2.7 ft.
const TABLE: &str = r#"<path d="M460 100H680V154H460Z"/><path d="M460 127H680"/>"#;
const ROWS: [(f64, f64, &str); 2] = [
    (57.0, 11.3, "MAIN ROOF 6:12"),
    (57.0, 14.0, "PORCH ROOF 4:12"),
];

#[test]
fn rows_hardly_higher_than_their_text_beside_a_roof_are_a_table() {
    let texts = [&IN_GABLE[..], &ROWS].concat();
    let roof = solve(&page(&[GABLE, TABLE].concat(), &texts)).unwrap();
    covers(&roof, 960.0);
    let found = told(&roof.findings, "taken-for-table");
    assert_eq!(found.severity, Severity::Warning);
    assert!(found.message.contains("PORCH ROOF 4:12"), "{found:?}");
    // A garage of 22 × 12 ft is called by its name as well.
    let garage = r#"<path d="M460 100H680V220H460Z"/><path d="M460 160H680"/>"#;
    let names = [(57.0, 13.0, "GARAGE 6:12"), (57.0, 19.0, "GARAGE 6:12")];
    let texts = [&IN_GABLE[..], &names].concat();
    covers(
        &solve(&page(&[GABLE, garage].concat(), &texts)).unwrap(),
        1224.0,
    );
}

/// What names nothing beside its pitch, or says that it is the usual one, may be a narrow roof.
#[test]
fn narrow_strips_with_bare_pitches_are_no_table() {
    for says in ["6:12", "6:12 TYP", "6:12 TYPICAL", "AT 6:12"] {
        let rows = [(57.0, 11.3, says), (57.0, 14.0, says)];
        let texts = [&IN_GABLE[..], &rows].concat();
        let roof = solve(&page(&[GABLE, TABLE].concat(), &texts))
            .unwrap_or_else(|e| panic!("{says}: {e:?}"));
        covers(&roof, 960.0 + 22.0 * 5.4);
        assert!(roof.findings.iter().all(|f| f.code != "taken-for-table"));
    }
}

/// Of the lines beside a layer that says roof none are taken, whatever pitches stand in them, and what is left out is told.
#[test]
fn faces_beside_a_layer_that_says_roof_are_not_counted_and_told_with_their_area() {
    let garage = r#"<path d="M460 100H680V300H460Z"/><path d="M460 200H680"/>"#;
    let in_garage = [(57.0, 15.0, "6:12"), (57.0, 25.0, "6:12")];
    for (layer, beside, texts, sqft) in [
        ("Table", TABLE, ROWS, "119"),
        ("Existing garage", garage, in_garage, "440"),
    ] {
        let shapes = format!(r#"<g id="roof">{GABLE}</g><g id="{layer}">{beside}</g>"#);
        let texts = [&IN_GABLE[..], &texts].concat();
        let roof = solve(&page(&shapes, &texts)).unwrap();
        covers(&roof, 960.0);
        let found = told(&roof.findings, "beside-the-roof-layer");
        assert_eq!(found.severity, Severity::Warning);
        assert!(
            found.message.contains(sqft) && found.message.contains(layer),
            "{found:?}"
        );
        told(&roof.findings, "label-outside");
    }
}

/// The roof's layer holds the outline alone, with four pitches in it.
#[test]
fn lines_without_which_pitches_crowd_in_a_face_are_taken_beside_the_roofs_layer_and_told() {
    let (_, hips) = HIP.split_once("/>").unwrap();
    let edge = r#"<path d="M0 0H400V240"/><path d="M400 240H0V0"/>"#;
    let shapes =
        format!(r#"<g id="roof">{edge}</g><g id="interior">{hips}</g><g id="table">{TABLE}</g>"#);
    let texts = [&IN_HIP[..], &ROWS].concat();
    let roof = solve(&page(&shapes, &texts)).unwrap();
    covers(&roof, 960.0);
    assert_eq!(roof.faces.len(), 4);
    let found = told(&roof.findings, "taken-beside-the-roof-layer");
    assert!(found.message.contains("interior"), "{found:?}");
    told(&roof.findings, "beside-the-roof-layer");
}

/// Boxes of 4 × 2 ft, circles of 3 ft.
#[test]
fn boxes_and_circles_hardly_larger_than_the_pitches_in_them_are_no_faces() {
    let round = |shape: &dyn Fn(f64, f64) -> String, labels: &[(f64, f64, &str)]| {
        let at = labels.iter().map(|(x, y, _)| shape(10.0 * x, 10.0 * y));
        at.collect::<String>()
    };
    let boxes = |x: f64, y: f64| format!(r#"<path d="M{} {}h40v20h-40z"/>"#, x - 20.0, y - 10.0);
    let circles = |x: f64, y: f64| format!(r#"<circle cx="{x}" cy="{y}" r="15"/>"#);
    for (roof, labels) in [
        (GABLE, &IN_GABLE[..]),
        (HIP, &IN_HIP[..]),
        (HIP, &IN_HIP[..1]),
    ] {
        for frames in [round(&boxes, labels), round(&circles, labels)] {
            let all = if roof == HIP { &IN_HIP[..] } else { labels };
            let solved = solve(&page(&[roof, &frames].concat(), all)).unwrap();
            covers(&solved, 960.0);
            assert_eq!(
                told(&solved.findings, "text-frame").severity,
                Severity::Note
            );
        }
    }
}

/// 8 × 5 ft round a text of 0.8 ft: it could be a dormer, but not the roof.
#[test]
fn a_roof_with_its_only_pitches_in_small_shapes_on_it_is_refused() {
    let shape = |x: f64, y: f64| format!(r#"<path d="M{} {}h80v50h-80z"/>"#, x - 40.0, y - 25.0);
    let at = [(200.0, 40.0), (200.0, 200.0)];
    let shapes: String = at.iter().map(|&(x, y)| shape(x, y)).collect();
    let findings = solve(&page(&[HIP, &shapes].concat(), &IN_HIP[..2])).unwrap_err();
    let found = told(&findings, "roof-without-pitch-left-out");
    assert!(found.message.contains("960 ft²"), "{found:?}");
}

/// Beside a face without a pitch stands a text whose leader touches another line.
#[test]
fn a_face_without_a_pitch_names_the_pitches_that_stand_in_no_face() {
    let texts = [&IN_HIP[..1], &[(46.0, 12.0, "8:12")]].concat();
    let findings = solve(&page(HIP, &texts)).unwrap_err();
    let found = told(&findings, "face-without-pitch");
    assert!(found.message.contains("8:12"), "{found:?}");
}

/// The pitches of a gable on the roof's layer stand beside it in boxes of another layer, 12 × 9 ft each: whatever solves of these
/// boxes, they are not the roof.
#[test]
fn boxes_of_another_layer_are_not_taken_for_the_roof_whose_own_layer_holds_no_pitch() {
    let boxes = r#"<path d="M-140 20H-20V110H-140Z"/><path d="M-140 130H-20V220H-140Z"/>"#;
    let shapes = format!(r#"<g id="roof">{GABLE}</g><g id="tags">{boxes}</g>"#);
    let texts = [(-8.0, 6.5, "6:12"), (-8.0, 17.5, "6:12")];
    let svg = page(&shapes, &texts).replace(r#"viewBox="-100 "#, r#"viewBox="-200 "#);
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let mut options = RoofOptions::default();
    options.solve.accept_falls = true;
    let refused = Roof::from_drawing(&drawing, &options).unwrap_err();
    let found = told(&refused.findings, "roof-without-pitch-left-out");
    assert_eq!(found.severity, Severity::Error);
    assert!(found.message.contains("roof's layer"), "{found:?}");
}
