//! Outlines with a courtyard, or a roof, inside: whose are the pitches that are written in it? And labels of short sides.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::MapOptions;
use eavewright::roof::{EdgeClass, Roof, RoofOptions};
use eavewright::units::Pitch;

/// A house of 60 by 50 ft round a ring of 20 by 10 ft, ten drawing units a foot, with texts of 1 ft.
fn round_a_ring(texts: &[(f64, f64, &str)], options: &MapOptions) -> Result<Roof, Vec<Finding>> {
    let lines = r#"<path d="M100 100H700V600H100Z"/><path d="M300 300H500V400H300Z"/>"#;
    solved(lines, texts, options)
}

fn solved(
    lines: &str,
    texts: &[(f64, f64, &str)],
    options: &MapOptions,
) -> Result<Roof, Vec<Finding>> {
    let text = |(x, y, text): &(f64, f64, &str)| format!(r#"<text x="{x}" y="{y}">{text}</text>"#);
    let texts: String = texts.iter().map(text).collect();
    let plan = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 700">
<g fill="none" stroke="black">{lines}</g><g font-size="10" text-anchor="middle">{texts}</g>
<g stroke="red"><path d="M100 660H700"/></g><text x="400" y="655" font-size="10">60'-0"</text></svg>"##
    );
    let drawing = Drawing::read(plan.as_bytes(), &ReadOptions::default()).unwrap();
    let options = RoofOptions {
        map: options.clone(),
        ..RoofOptions::default()
    };
    Roof::from_drawing(&drawing, &options).map_err(|unsolved| unsolved.findings)
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|f| f.code).collect()
}

const OUTSIDE: [(f64, f64, &str); 4] = [
    (400.0, 94.0, "6/12"),
    (400.0, 614.0, "6/12"),
    (84.0, 353.0, "6/12"),
    (716.0, 353.0, "6/12"),
];
const IN_THE_RING: [(f64, f64, &str); 4] = [
    (400.0, 314.0, "9/12"),
    (400.0, 394.0, "9/12"),
    (316.0, 353.0, "9/12"),
    (484.0, 353.0, "9/12"),
];

/// Corridors of 20 ft, 6 in 12 from without and 9 in 12 from within: they meet 12 ft in and 6 ft up, in a ring of ridges
/// of 36 by 26 ft. Hips of √(12² + 12² + 6²) = 18 ft and valleys of √(8² + 8² + 6²) ft at the corners.
#[track_caller]
fn has_a_court_at_9_in_12(roof: &Roof) {
    let near =
        |got: f64, expected: f64| assert!((got - expected).abs() < 0.01, "{got}, {expected}");
    let plan_sqft = |rise: f64| -> f64 {
        let faces = roof.faces.iter();
        let of = faces.filter(|f| (f.pitch.to_in_12() - rise).abs() < 1e-6);
        of.map(|f| f.plan_area.to_square_feet()).sum()
    };
    near(plan_sqft(6.0), 60.0 * 50.0 - 36.0 * 26.0);
    near(plan_sqft(9.0), 36.0 * 26.0 - 20.0 * 10.0);
    for (class, length) in [
        (EdgeClass::Eave, 280.0),
        (EdgeClass::Ridge, 124.0),
        (EdgeClass::Hip, 72.0),
        (EdgeClass::Valley, 4.0 * 164.0_f64.sqrt()),
    ] {
        near(roof.true_length(class).to_feet(), length);
    }
}

#[test]
fn pitches_written_in_a_courtyard_are_those_of_the_slopes_round_it() {
    let all: Vec<_> = OUTSIDE.iter().chain(&IN_THE_RING).copied().collect();
    let one_for_the_rest: Vec<_> = [(200.0, 230.0, "6/12")]
        .iter()
        .chain(&IN_THE_RING)
        .copied()
        .collect();
    let outline = MapOptions {
        outline: true,
        ..MapOptions::default()
    };
    let given = MapOptions {
        default_pitch: Some(Pitch::in_12(6.0)),
        ..MapOptions::default()
    };
    for (texts, options) in [
        (&all, &MapOptions::default()),
        (&all, &given),
        (&one_for_the_rest, &outline),
    ] {
        let roof = round_a_ring(texts, options).unwrap();
        has_a_court_at_9_in_12(&roof);
        assert!(codes(&roof.findings).contains(&"taken-for-courtyard"));
    }
}

#[test]
fn one_pitch_in_a_ring_inside_an_outline_may_be_a_roof_or_a_courtyards_and_is_asked_about() {
    let middle = [(400.0, 353.0, "9/12")];
    let texts: Vec<_> = OUTSIDE.iter().chain(&middle).copied().collect();
    let findings = round_a_ring(&texts, &MapOptions::default()).unwrap_err();
    assert_eq!(codes(&findings), ["roof-or-courtyard"]);
    assert!(findings[0].message.contains("200 ft²"), "{findings:?}");
}

/// Where the outer pitches stand in the roof, so would those of a courtyard.
#[test]
fn pitches_in_a_ring_are_asked_about_where_those_outside_are_written_in_the_roof() {
    let in_roof = [
        (400.0, 118.0, "6/12"),
        (400.0, 588.0, "6/12"),
        (120.0, 353.0, "6/12"),
        (680.0, 353.0, "6/12"),
    ];
    let texts: Vec<_> = in_roof.iter().chain(&IN_THE_RING).copied().collect();
    let findings = round_a_ring(&texts, &MapOptions::default()).unwrap_err();
    assert_eq!(codes(&findings), ["roof-or-courtyard"]);
}

/// `9 in 12` is 3 ft long: its end lies in the courtyard, of which it is no pitch.
#[test]
fn a_pitch_whose_end_hangs_over_the_line_of_a_courtyard_stays_in_the_roof() {
    let beside = [
        (400.0, 290.0, "9/12"),
        (400.0, 414.0, "9/12"),
        (282.0, 353.0, "9/12"),
        (510.0, 353.0, "9 in 12"),
    ];
    let texts: Vec<_> = OUTSIDE.iter().chain(&beside).copied().collect();
    has_a_court_at_9_in_12(&round_a_ring(&texts, &MapOptions::default()).unwrap());
}

/// A garage of 20 by 22 ft, 2 ft out of line with a house of 30 by 26 ft on both sides. The pitches of the two ends of 2 ft
/// stand 1.2 ft above the garage's eaves and 1.3 ft beside their own.
#[test]
fn the_pitch_of_a_short_side_is_its_own_though_it_stands_nearer_to_the_one_beside_it() {
    let lines = r#"<path d="M100 100H400V120H600V340H400V360H100Z"/>"#;
    let texts = |short: &'static str| {
        [
            (250.0, 94.0, "6/12"),
            (250.0, 374.0, "6/12"),
            (84.0, 230.0, "6/12"),
            (500.0, 114.0, "6/12"),
            (500.0, 354.0, "6/12"),
            (616.0, 230.0, "6/12"),
            (413.0, 112.0, short),
            (413.0, 357.0, "6/12"),
        ]
    };
    for short in ["6/12", "9/12"] {
        let roof = solved(lines, &texts(short), &MapOptions::default()).unwrap();
        let plan = roof.plan_area().to_square_feet();
        assert!((plan - 1220.0).abs() < 0.01, "{plan}");
        assert!(codes(&roof.findings).contains(&"label-of-short-side"));
        let steep = roof.faces.iter().filter(|f| f.pitch.to_in_12() > 8.0);
        assert_eq!(steep.count(), usize::from(short == "9/12"));
    }
}

/// A south slope that a wing parts in two, and one half has no pitch. Every line stands in a group with its own name.
#[test]
fn lines_with_a_name_each_are_not_left_out_where_a_pitch_is_missing() {
    let lines = r#"<g id="eaves"><path d="M100 100H600V400H450V520H250V400H100Z"/></g>
<g id="a1"><path d="M100 250H600"/></g><g id="a2"><path d="M350 250V520"/></g>
<g id="a3"><path d="M350 250L250 400"/></g><g id="a4"><path d="M350 250L450 400"/></g>"#;
    let texts = [
        (350.0, 180.0, "6/12"),
        (200.0, 330.0, "6/12"),
        (300.0, 450.0, "9/12"),
        (400.0, 450.0, "9/12"),
    ];
    let roof = solved(lines, &texts, &MapOptions::default()).unwrap();
    assert_eq!(roof.faces.len(), 5);
    let computed = roof.findings.iter().find(|f| f.code == "pitch-computed");
    assert!(computed.unwrap().message.ends_with("at 6/12"));
}

/// Walls all round, written in the roof that ends at them: a tower, whose roof is its own.
#[test]
fn a_ring_with_walls_round_it_is_a_roof_inside_the_outline() {
    let tower = [
        (400.0, 290.0, "wall"),
        (400.0, 414.0, "wall"),
        (280.0, 353.0, "wall"),
        (520.0, 353.0, "wall"),
        (400.0, 353.0, "9/12"),
    ];
    let texts: Vec<_> = OUTSIDE.iter().chain(&tower).copied().collect();
    let options = MapOptions {
        outline: true,
        ..MapOptions::default()
    };
    let roof = round_a_ring(&texts, &options).unwrap();
    let plan = roof.plan_area().to_square_feet();
    assert!((plan - 3000.0).abs() < 0.01, "{plan}");
    assert!(!codes(&roof.findings).contains(&"taken-for-courtyard"));
}

/// A gambrel 40 ft long: its south eave, drawn 1.1° aslant, rises by 2 times 0.8 ft.
#[test]
fn an_eave_drawn_a_little_aslant_on_a_steep_slope_is_told_to_be_taken_for_a_rake() {
    let gambrel = |end: f64| {
        let lines = format!(
            r#"<path d="M100 100H500V{end}L100 400Z"/><path d="M100 150H500M100 250H500M100 350H500"/>"#
        );
        let texts = [
            (300.0, 130.0, "24/12"),
            (300.0, 200.0, "7/12"),
            (300.0, 300.0, "7/12"),
            (300.0, 380.0, "24/12"),
        ];
        let roof = solved(&lines, &texts, &MapOptions::default()).unwrap();
        let mut told = roof.findings.iter();
        told.find(|f| f.code == "eave-taken-for-rake")
            .map(|f| f.message.clone())
    };
    assert_eq!(gambrel(400.0), None);
    let told = gambrel(408.0).unwrap();
    assert!(
        told.contains("of S1 from") && told.contains("1 ft 7 in"),
        "{told}"
    );
}

/// Nothing is written but the length of the long side: that is measured along the outline, and not inside a frame.
#[test]
fn a_rectangle_round_a_court_without_any_pitch_is_no_frame_where_it_is_measured() {
    let options = MapOptions {
        outline: true,
        default_pitch: Some(Pitch::in_12(6.0)),
        ..MapOptions::default()
    };
    let roof = round_a_ring(&[], &options).unwrap();
    let plan = roof.plan_area().to_square_feet();
    assert!((plan - 2800.0).abs() < 0.01, "{plan}");
    assert!(codes(&roof.findings).contains(&"taken-for-courtyard"));
}

/// A house of 60 by 48 ft, hipped at 6 in 12.
const HOUSE: &str = r#"<path d="M100 100H700V580H100Z"/>"#;
const ROUND_HOUSE: [(f64, f64, &str); 4] = [
    (400.0, 94.0, "6/12"),
    (400.0, 594.0, "6/12"),
    (84.0, 343.0, "6/12"),
    (716.0, 343.0, "6/12"),
];

#[track_caller]
fn in_the_house(
    ring: &str,
    outside: &[(f64, f64, &str)],
    inside: &[(f64, f64, &str)],
) -> Result<Roof, Vec<Finding>> {
    let texts: Vec<_> = outside.iter().chain(inside).copied().collect();
    solved(&format!("{HOUSE}{ring}"), &texts, &MapOptions::default())
}

/// Two rings of 10 by 10 ft and 1.5 by 12 ft: smaller than what is a courtyard without a word, with their pitches in the roof
/// round them. The ends of the texts beside the shaft hang over its lines.
#[test]
fn a_small_ring_with_its_pitches_round_it_is_a_courtyard() {
    let court = r#"<path d="M350 290H450V390H350Z"/>"#;
    let shaft = r#"<path d="M390 280H405V400H390Z"/>"#;
    let at = |x: [f64; 3], y: [f64; 2]| {
        [
            (x[1], y[0], "6/12"),
            (x[1], y[1], "6/12"),
            (x[0], 343.0, "6/12"),
            (x[2], 343.0, "6/12"),
        ]
    };
    for (ring, texts, area_sqft, round_it_ft) in [
        (
            court,
            at([336.0, 400.0, 464.0], [284.0, 404.0]),
            100.0,
            40.0,
        ),
        (shaft, at([382.0, 397.0, 414.0], [264.0, 424.0]), 18.0, 27.0),
    ] {
        let roof = in_the_house(ring, &ROUND_HOUSE, &texts).unwrap();
        let near = |got: f64, expected: f64| assert!((got - expected).abs() < 0.01, "{got}");
        let plan_sqft = 60.0 * 48.0 - area_sqft;
        near(roof.plan_area().to_square_feet(), plan_sqft);
        let true_sqft: f64 = roof
            .faces
            .iter()
            .map(|f| f.true_area.to_square_feet())
            .sum();
        near(true_sqft, plan_sqft * 1.25_f64.sqrt());
        let eave_ft = roof.true_length(EdgeClass::Eave).to_feet();
        near(eave_ft, 216.0 + round_it_ft);
        assert!(codes(&roof.findings).contains(&"taken-for-courtyard"));
    }
}

#[test]
fn a_pitch_in_the_middle_that_no_side_has_is_told_with_its_text() {
    let roof =
        |middle: &'static str| in_the_house("", &ROUND_HOUSE, &[(400.0, 343.0, middle)]).unwrap();
    let other = roof("8/12");
    let told = other.findings.iter().find(|f| f.code == "pitch-unused");
    let told = told.unwrap();
    assert!(told.message.contains("“8/12”"), "{}", told.message);
    assert!(told.places[0].source.is_some() && told.places[0].at.is_some());
    assert!(!codes(&roof("6/12").findings).contains(&"pitch-unused"));
}

/// 12 by 12 ft in a gabled house at 6 in 12, with 12 in 12 at each of its sides: a cupola as likely as a courtyard.
#[test]
fn a_small_ring_whose_pitches_are_none_of_the_roofs_is_asked_about() {
    let ring = r#"<path d="M340 280H460V400H340Z"/>"#;
    let outside = [
        (400.0, 94.0, "6/12"),
        (400.0, 594.0, "6/12"),
        (75.0, 343.0, "gable"),
        (725.0, 343.0, "gable"),
    ];
    let inside = |pitch: &'static str| {
        [
            (400.0, 293.0, pitch),
            (400.0, 396.0, pitch),
            (356.0, 343.0, pitch),
            (444.0, 343.0, pitch),
        ]
    };
    let findings = in_the_house(ring, &outside, &inside("12/12")).unwrap_err();
    assert_eq!(codes(&findings), ["roof-or-courtyard"]);
    let court = in_the_house(ring, &outside, &inside("6/12")).unwrap();
    let plan = court.plan_area().to_square_feet();
    assert!((plan - 2736.0).abs() < 0.01, "{plan}");
}

/// The frame is 83 by 67 ft, 8 ft and more from the house; what is written in it stands at the sides of the house.
#[test]
fn a_rectangle_with_nothing_at_its_sides_is_the_frame_of_the_house_whose_sides_all_is_written_at() {
    let lines = r#"<path d="M20 20H850V690H20Z"/><path d="M100 100H700V580H100Z"/>"#;
    let mut gabled = ROUND_HOUSE;
    gabled[2].2 = "gable";
    gabled[3].2 = "gable";
    for texts in [ROUND_HOUSE, gabled] {
        let roof = solved(lines, &texts, &MapOptions::default()).unwrap();
        let plan = roof.plan_area().to_square_feet();
        assert!((plan - 2880.0).abs() < 0.01, "{plan}");
        assert!(codes(&roof.findings).contains(&"taken-for-frame"));
    }
}

/// A gable of 60 by 48 ft with a girder across it and a bearing line along it, one line on each layer: with the bearing line
/// for its ridge every face would have one pitch too, but it is not called a ridge.
#[test]
fn single_lines_on_layers_with_names_are_told_apart_where_faces_lack_a_pitch() {
    let house = |outline: &str| {
        let lines = format!(
            r#"{outline}<g id="Ridge"><path d="M100 340H700"/></g><g id="Girder"><path d="M500 100V580"/></g>
<g id="Bearing line"><path d="M100 220H700"/></g>"#
        );
        let texts = [(300.0, 180.0, "6/12"), (300.0, 500.0, "6/12")];
        solved(&lines, &texts, &MapOptions::default()).unwrap()
    };
    let shape = format!(r#"<g id="House">{HOUSE}</g>"#);
    let parted = r#"<g id="North eave"><path d="M100 100H700"/></g><g id="South eave"><path d="M100 580H700"/></g>
<g id="West rake"><path d="M100 100V580"/></g><g id="East rake"><path d="M700 100V580"/></g>"#;
    for outline in [shape.as_str(), parted] {
        let roof = house(outline);
        let areas = roof.faces.iter().map(|f| f.plan_area.to_square_feet());
        let areas: Vec<f64> = areas.collect();
        assert_eq!(areas.len(), 2);
        assert!(areas.iter().all(|a| (a - 1440.0).abs() < 0.01), "{areas:?}");
    }
}
