//! Outlines with curves: each is built as a few flat facets, and its area and its eave are those of the curve.

use std::f64::consts::{PI, SQRT_2};

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::MapOptions;
use eavewright::roof::outline::{OutlineOptions, Overhangs};
use eavewright::roof::{EdgeClass, Roof, RoofOptions};

/// A roof over an outline in feet, ten drawing units each, with texts at places on the page.
fn roof_over(outline: &str, texts: &[(f64, f64, &str)]) -> Roof {
    roof_with(outline, texts, None)
}

/// The same over an outline of walls, with overhangs.
fn roof_with(outline: &str, texts: &[(f64, f64, &str)], walls: Option<Overhangs>) -> Roof {
    let texts: String = texts
        .iter()
        .map(|(x, y, text)| {
            format!(r#"<text x="{x}" y="{y}" font-size="10" text-anchor="middle">{text}</text>"#)
        })
        .collect();
    let svg = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400"><g id="roof" fill="none" stroke="#000">{outline}</g>
{texts}<g id="dims" stroke="#000"><line x1="50" y1="380" x2="450" y2="380"/><text x="250" y="376" font-size="10" text-anchor="middle">40'</text></g></svg>"##
    );
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let options = RoofOptions {
        map: MapOptions {
            outline: true,
            ..MapOptions::default()
        },
        outline: OutlineOptions {
            walls,
            ..OutlineOptions::default()
        },
        ..RoofOptions::default()
    };
    Roof::from_drawing(&drawing, &options).unwrap()
}

fn told(roof: &Roof) -> &Finding {
    let mut findings = roof.findings.iter();
    findings.find(|f| f.code == "curved-outline").unwrap()
}

#[track_caller]
fn near(got: f64, wanted: f64, slack: f64) {
    assert!((got - wanted).abs() <= slack, "{got} for {wanted}");
}

/// A cone of 10 ft at 12 in 12 has π 10² √2 = 444.29 ft² and an eave of 2 π 10 = 62.83 ft. Its eight facets lean on chords
/// 10 cos 22.5° = 9.239 ft from the middle and rise as much: hips of √(10² + 9.239²) = 13.614 ft.
#[test]
fn a_round_turret_is_eight_facets_with_the_area_and_the_eave_of_its_cone() {
    let roof = roof_over(
        r#"<circle cx="250" cy="170" r="100"/>"#,
        &[(250.0, 190.0, "12/12")],
    );
    assert_eq!(roof.faces.len(), 8);
    near(roof.true_area().to_square_feet(), PI * 100.0 * SQRT_2, 0.3);
    let length = |class| roof.true_length(class).to_feet();
    near(length(EdgeClass::Eave), 20.0 * PI, 0.03);
    near(length(EdgeClass::Hip), 8.0 * 13.614, 0.02);
    near(length(EdgeClass::Ridge), 0.0, 1e-6);
    let message = &told(&roof).message;
    for words in [
        "1 curve of the outline was built as 8 flat facets",
        "45°",
        "1 ft (305 mm)",
        "108 ft 11 in",
    ] {
        assert!(message.contains(words), "{message}");
    }
    assert!(!roof.findings.iter().any(|f| f.code == "round-edge"));
}

/// Of a cone of 30 ft a chord of 45° would stand 30 (1 - cos 22.5°) = 2.28 ft off; one of 360°/13 = 27.7° stands 0.87 ft off,
/// one of 30° 1.02.
#[test]
fn a_wide_curve_has_as_many_facets_as_stand_near_enough_to_it() {
    let roof = roof_over(
        r#"<circle cx="300" cy="310" r="300"/>"#,
        &[(300.0, 310.0, "6/12")],
    );
    assert_eq!(roof.faces.len(), 13);
    let factor = 1.25_f64.sqrt();
    near(roof.true_area().to_square_feet(), PI * 900.0 * factor, 1.0);
}

/// Corners rounded by 2 ft: 40 × 24 less (4 - π) 2² = 956.57 ft², two facets a corner.
#[test]
fn rounded_corners_of_a_hip_roof_are_two_facets_each() {
    let roof = roof_over(
        r#"<rect x="50" y="50" width="400" height="240" rx="20"/>"#,
        &[(250.0, 170.0, "6/12")],
    );
    assert_eq!(roof.faces.len(), 12);
    near(
        roof.plan_area().to_square_feet(),
        960.0 - (4.0 - PI) * 4.0,
        0.1,
    );
    let message = &told(&roof).message;
    assert!(
        message.contains("4 curves") && message.contains("8 flat facets"),
        "{message}"
    );
}

/// A half-round bay of 3 ft before the south side: 40 × 24 + π 3² / 2 = 974.14 ft², in four facets that all have the pitch
/// written once beside the bay.
#[test]
fn what_is_written_beside_a_round_bay_holds_for_all_its_facets() {
    let roof = roof_over(
        r#"<path d="M50 50 H450 V290 H280 A30 30 0 0 1 220 290 H50 Z"/>"#,
        &[(250.0, 170.0, "6/12"), (250.0, 336.0, "9/12")],
    );
    near(roof.plan_area().to_square_feet(), 960.0 + 4.5 * PI, 0.05);
    let steep = roof.faces.iter().filter(|f| f.pitch.to_in_12() > 8.0);
    assert_eq!(steep.count(), 4);
    assert!(told(&roof).message.contains("4 flat facets"));
}

/// An ellipse of 30 by 16 ft has π 15 × 8 = 376.99 ft².
#[test]
fn an_oval_is_parted_where_it_has_turned_by_even_shares() {
    let roof = roof_over(
        r#"<ellipse cx="250" cy="170" rx="150" ry="80"/>"#,
        &[(250.0, 170.0, "6/12")],
    );
    assert!((8..=16).contains(&roof.faces.len()), "{}", roof.faces.len());
    near(roof.plan_area().to_square_feet(), PI * 120.0, 0.3);
}

#[test]
fn straight_sides_are_no_facets_whatever_their_angles() {
    let octagon: Vec<String> = (0..8)
        .map(|k| (f64::from(k) * PI / 4.0).sin_cos())
        .map(|(sin, cos)| format!("{:.3},{:.3}", 250.0 + 100.0 * cos, 170.0 + 100.0 * sin))
        .collect();
    let roof = roof_over(
        &format!(r#"<polygon points="{}"/>"#, octagon.join(" ")),
        &[(250.0, 190.0, "12/12")],
    );
    assert_eq!(roof.faces.len(), 8);
    assert!(!roof.findings.iter().any(|f| f.code == "curved-outline"));
}

/// Walls round a circle of 10 ft and an overhang of 1 ft: an eave of 11 ft, π 11² = 380.13 ft².
#[test]
fn the_eave_of_a_round_turret_is_as_far_out_all_round_as_its_overhang() {
    let walls = Overhangs {
        eave_ft: Some(1.0),
        rake_ft: None,
    };
    let outline = r#"<circle cx="250" cy="170" r="100"/>"#;
    let roof = roof_with(outline, &[(250.0, 190.0, "12/12")], Some(walls));
    assert_eq!(roof.faces.len(), 8);
    near(roof.plan_area().to_square_feet(), PI * 121.0, 0.3);
    near(roof.true_length(EdgeClass::Eave).to_feet(), 22.0 * PI, 0.03);
}

/// Walls of 30 × 20 ft with half a circle of 10 ft at one end, overhang 1 ft: 31 × 22 ft and half a circle of 11 ft, all eaves at
/// one height: hips alone where they meet.
#[test]
fn the_eave_of_a_round_end_goes_on_level_and_as_far_out_into_that_of_straight_walls() {
    let walls = Overhangs {
        eave_ft: Some(1.0),
        rake_ft: None,
    };
    let outline = r#"<path d="M100 100H400A100 100 0 0 1 400 300H100Z"/>"#;
    let roof = roof_with(outline, &[(250.0, 200.0, "6/12")], Some(walls));
    let area = 31.0 * 22.0 + PI * 121.0 / 2.0;
    near(roof.plan_area().to_square_feet(), area, 0.2);
    let eave = 2.0 * 31.0 + 22.0 + 11.0 * PI;
    near(roof.true_length(EdgeClass::Eave).to_feet(), eave, 0.03);
    near(roof.true_length(EdgeClass::Rake).to_feet(), 0.0, 1e-6);
    for edge in roof.edges.iter().filter(|e| e.class == EdgeClass::Eave) {
        near(edge.start.z, 0.0, 1e-6);
        near(edge.end.z, 0.0, 1e-6);
    }
}

/// 40 × 24 ft of walls, a corner rounded by 12 ft, overhang 1 ft: 42 × 26 ft less the corner of a square of 13 ft round its quarter
/// circle, (1 − π/4) 13². The straight side of 12 ft that the curve runs into is none of its facets.
#[test]
fn a_short_straight_side_that_a_curve_runs_into_stays_straight() {
    let walls = Overhangs {
        eave_ft: Some(1.0),
        rake_ft: None,
    };
    let outline = r#"<path d="M50 50H330A120 120 0 0 1 450 170V290H50Z"/>"#;
    let roof = roof_with(outline, &[(200.0, 150.0, "6/12")], Some(walls));
    let area = 42.0 * 26.0 - (1.0 - PI / 4.0) * 169.0;
    near(roof.plan_area().to_square_feet(), area, 0.1);
    let eave = 2.0 * (42.0 + 26.0) - 26.0 + 13.0 * PI / 2.0;
    near(roof.true_length(EdgeClass::Eave).to_feet(), eave, 0.03);
    assert_eq!(roof.faces.len(), 6);
}
