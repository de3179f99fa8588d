//! Which of two lines is the roof's edge, and of which side or roof a label speaks: what the drawing decides is taken and told,
//! what it leaves open is asked, never guessed.

use eavewright::drawing::{Drawing, ReadOptions, parse_scale_text};
use eavewright::roof::map::MapOptions;
use eavewright::roof::{EdgeClass, Roof, RoofOptions};
use eavewright::{Finding, Severity};

/// A plan of 10 units to the foot, with its dimension of 40 ft beneath.
fn page(shapes: &str, texts: &[(f64, f64, &str)]) -> String {
    let texts = texts.iter().map(|(x, y, text)| {
        let (x, y) = (x * 10.0, y * 10.0);
        format!(r#"<text x="{x}" y="{y}" font-size="8" text-anchor="middle">{text}</text>"#)
    });
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-100 -100 900 800"><g fill="none" stroke="black" stroke-width="1.4">{shapes}</g>
        {}<g id="dims"><path d="M0 600H400" stroke="black" stroke-width="0.4"/><text x="200" y="596" font-size="8">40'-0"</text></g></svg>"#,
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

#[track_caller]
fn refused(result: Result<Roof, Vec<Finding>>, code: &str) -> Finding {
    let errors = result.map(|roof| roof.findings).unwrap_err();
    let found = errors
        .iter()
        .find(|f| f.code == code && f.severity == Severity::Error);
    found.unwrap_or_else(|| panic!("{errors:?}")).clone()
}

#[track_caller]
fn told<'r>(roof: &'r Roof, code: &str) -> &'r Finding {
    let found = roof.findings.iter().find(|f| f.code == code);
    found.unwrap_or_else(|| panic!("{:?}", roof.findings))
}

#[track_caller]
fn covers(roof: &Roof, plan_sqft: f64) {
    let sqft = roof.plan_area().to_square_feet();
    assert!(
        (sqft - plan_sqft).abs() < 0.01,
        "{sqft} instead of {plan_sqft}"
    );
}

const WALLS: &str = r#"<path d="M20 20H380V220H20Z"/>"#;
const DASHED_EDGE: &str = r#"<path d="M0 0H400V240H0Z" stroke-dasharray="5 3"/>"#;

/// 40 × 24 ft over walls of 36 × 20: the ridge goes on over the walls to the dashed edge.
#[test]
fn a_dashed_edge_on_which_the_ridge_ends_is_the_roofs_and_not_the_walls_beneath() {
    let ridge = r#"<path d="M0 120H400"/>"#;
    let pitches = [(20.0, 7.0, "6/12"), (20.0, 17.0, "6/12")];
    let roof = solve(
        &page(&[DASHED_EDGE, WALLS, ridge].concat(), &pitches),
        false,
    )
    .unwrap();
    covers(&roof, 960.0);
    let told = told(&roof, "dashed-edge-taken");
    assert_eq!(told.severity, Severity::Warning);
    assert!(
        told.message.contains("960") && told.message.contains("720"),
        "{}",
        told.message
    );
    // The same with hips that run to the dashed corners.
    let hips = r#"<path d="M120 120H280M0 0L120 120L0 240M400 0L280 120L400 240"/>"#;
    let pitches = [
        (20.0, 7.0, "6/12"),
        (20.0, 17.0, "6/12"),
        (5.0, 12.3, "6/12"),
        (35.0, 12.3, "6/12"),
    ];
    let roof = solve(&page(&[DASHED_EDGE, WALLS, hips].concat(), &pitches), false).unwrap();
    covers(&roof, 960.0);
}

#[test]
fn a_dashed_ring_round_a_solid_one_is_asked_about_where_nothing_tells_which_is_the_edge() {
    let middle = [(20.0, 12.0, "6/12")];
    let beside = [
        (20.0, -1.0, "6/12"),
        (20.0, 25.2, "6/12"),
        (-2.0, 12.0, "GABLE"),
        (42.0, 12.0, "GABLE"),
    ];
    let near_walls = r#"<path d="M10 10H390V230H10Z"/>"#;
    for (walls, texts, inner) in [
        (WALLS, &middle[..], "720"),
        (near_walls, &beside[..], "836"),
    ] {
        let found = refused(
            solve(&page(&[DASHED_EDGE, walls].concat(), texts), true),
            "which-edge",
        );
        assert!(
            found.message.contains("960") && found.message.contains(inner),
            "{}",
            found.message
        );
    }
}

/// All labels stand more than 4 ft from the walls: only beside the dashed line do they speak of its sides.
#[test]
fn labels_that_only_a_dashed_edge_has_beside_it_say_that_it_is_the_edge() {
    let texts = [
        (20.0, -2.4, "6/12"),
        (20.0, 26.9, "6/12"),
        (-3.4, 12.0, "GABLE"),
        (43.4, 12.0, "GABLE"),
    ];
    let roof = solve(&page(&[DASHED_EDGE, WALLS].concat(), &texts), true).unwrap();
    covers(&roof, 960.0);
}

/// Walls dashed beneath the roof, as roof plans show them; and a boundary far round it.
#[test]
fn dashed_walls_within_the_roof_are_still_no_edge_of_it() {
    let roof = r#"<path d="M0 0H400V240H0Z"/>"#;
    let walls = r#"<path d="M20 20H380V220H20Z" stroke-dasharray="5 3"/>"#;
    let solved = solve(
        &page(&[roof, walls].concat(), &[(20.0, 12.0, "6/12")]),
        true,
    )
    .unwrap();
    covers(&solved, 960.0);
    assert!(
        solved
            .findings
            .iter()
            .all(|f| f.severity == Severity::Note || !f.code.contains("dashed"))
    );
    let boundary = r#"<path d="M-90 -90H650V550H-90Z" stroke-dasharray="5 3"/>"#;
    let solved = solve(
        &page(&[roof, boundary].concat(), &[(20.0, 12.0, "6/12")]),
        true,
    )
    .unwrap();
    covers(&solved, 960.0);
    assert_eq!(
        told(&solved, "dashed-line-round").severity,
        Severity::Warning
    );
}

/// The ridge ends on the solid edge, and a gutter runs dashed half a foot round it.
#[test]
fn a_dashed_gutter_that_the_ridge_stops_short_of_is_no_edge_of_the_roof() {
    let gutter = r#"<path d="M-5 -5H405V245H-5Z" stroke-dasharray="5 3"/>"#;
    let roof = r#"<path d="M0 0H400V240H0Z"/><path d="M0 120H400" stroke="red"/>"#;
    let pitches = [(20.0, 7.0, "6/12"), (20.0, 17.0, "6/12")];
    let solved = solve(&page(&[gutter, roof].concat(), &pitches), false).unwrap();
    covers(&solved, 960.0);
}

/// A porch of 20 × 10 ft whose upper 2 ft lie dashed beneath the main eave: 160 of its 200 ft² are seen.
#[test]
fn a_porch_that_runs_on_dashed_beneath_the_main_roof_is_warned_about() {
    let main =
        r#"<path d="M0 0H400V240H0Z"/><path d="M0 120H400"/><path d="M100 240V320H300V240"/>"#;
    let beneath = r#"<path d="M100 240V220H300V240" stroke-dasharray="4 3"/>"#;
    let fall = r#"<g id="fall"><path d="M250 260V300"/></g>"#;
    let pitches = [
        (20.0, 6.0, "6/12"),
        (20.0, 16.0, "6/12"),
        (20.0, 28.0, "3/12"),
    ];
    let roof = solve(&page(&[main, beneath, fall].concat(), &pitches), false).unwrap();
    covers(&roof, 1120.0);
    assert_eq!(told(&roof, "runs-on-beneath").severity, Severity::Warning);
}

/// The porch drawn whole, over 40 ft² of the main slope.
#[test]
fn two_faces_that_lie_over_each_other_are_refused_and_no_courtyard() {
    let shapes = r#"<path d="M0 0H400V120H0Z"/><path d="M0 120H400V240H0Z"/><path d="M100 220H300V320H100Z"/>"#;
    let fall = r#"<g id="fall"><path d="M250 260V300"/></g>"#;
    let pitches = [
        (20.0, 6.0, "6/12"),
        (20.0, 16.0, "6/12"),
        (20.0, 28.0, "3/12"),
    ];
    let found = refused(
        solve(&page(&[shapes, fall].concat(), &pitches), false),
        "faces-overlap",
    );
    for part in ["6/12", "3/12", "40 ft²"] {
        assert!(found.message.contains(part), "{}", found.message);
    }
}

const HOUSE: &str = r#"<path d="M0 0H400V240H0Z"/>"#;

/// The label is 2.2 ft from the house and 3.8 from the garage. House: 960 ft²; at 6/12 the true area is 960 × √1.25 but for
/// the east hip end at 12/12. The garage keeps 4/12 all round: 400 × √(1 + 1/9) = 421.64.
#[test]
fn a_label_between_two_outlines_speaks_of_the_nearer_one_alone() {
    let garage = r#"<path d="M460 0H660V200H460Z"/>"#;
    let texts = [
        (20.0, 12.3, "6/12"),
        (56.0, 10.3, "4/12"),
        (42.2, 10.0, "12/12"),
    ];
    let roof = solve(&page(&[HOUSE, garage].concat(), &texts), true).unwrap();
    let of_garage = roof
        .faces
        .iter()
        .filter(|f| f.outline.corners.iter().all(|p| p.x > 45.0));
    let sqft: f64 = of_garage.map(|f| f.true_area.to_square_feet()).sum();
    assert!(
        (sqft - 400.0 * (10.0_f64 / 9.0).sqrt()).abs() < 0.01,
        "{sqft}"
    );
    let steep = roof
        .faces
        .iter()
        .filter(|f| (f.pitch.to_in_12() - 12.0).abs() < 1e-6)
        .count();
    assert_eq!(steep, 1);
}

#[test]
fn a_label_as_near_to_one_roof_as_to_another_is_asked_about() {
    let other = r#"<path d="M0 265H300V450H0Z"/>"#;
    let texts = [
        (20.0, 12.0, "6/12"),
        (15.0, 36.0, "4/12"),
        (20.0, 25.4, "3/12"),
    ];
    let found = refused(
        solve(&page(&[HOUSE, other].concat(), &texts), true),
        "label-between-roofs",
    );
    assert!(found.message.contains("3/12"), "{}", found.message);
}

/// A notch of 16 × 24 ft, the label 1.37 ft from one of its sides and 1.40 from the other.
#[test]
fn a_label_in_a_notch_as_near_to_one_side_as_to_the_other_is_asked_about() {
    let notched = r#"<path d="M0 0H400V400H240V240H0Z"/>"#;
    for word in ["12/12", "GABLE"] {
        let texts = [(20.0, 12.0, "6/12"), (22.6, 25.65, word)];
        let found = refused(solve(&page(notched, &texts), true), "label-between-sides");
        assert!(found.message.contains(word), "{}", found.message);
        assert_eq!(found.places.len(), 3);
        // Of the general pitch it makes no difference, and nearer to one of them it is that side's.
        let same = [(20.0, 12.0, "6/12"), (22.6, 25.65, "6/12")];
        assert!(solve(&page(notched, &same), true).is_ok());
        let nearer = [(20.0, 12.0, "6/12"), (12.0, 25.2, word)];
        assert!(solve(&page(notched, &nearer), true).is_ok());
    }
}

/// At 4 ft from its side the last letter is 2.8 ft off; a word of which no letter is within reach is asked about, and what is
/// nowhere near is warned about.
#[test]
fn a_word_beside_a_side_is_measured_from_its_letters_and_asked_about_where_it_stands_too_far() {
    let gables = |east: f64| {
        [
            (20.0, 12.0, "6/12"),
            (-2.0, 12.0, "GABLE"),
            (east, 12.0, "GABLE"),
        ]
    };
    let roof = solve(&page(HOUSE, &gables(44.0)), true).unwrap();
    let rakes = 4.0 * 12.0_f64.hypot(6.0);
    assert!((roof.true_length(EdgeClass::Rake).to_feet() - rakes).abs() < 0.01);
    let found = refused(
        solve(&page(HOUSE, &gables(46.0)), true),
        "side-label-too-far",
    );
    assert!(found.message.contains("GABLE"), "{}", found.message);
    let roof = solve(&page(HOUSE, &gables(70.0)), true).unwrap();
    assert_eq!(
        told(&roof, "side-label-too-far").severity,
        Severity::Warning
    );
}

#[test]
fn a_side_without_a_pitch_names_the_text_that_stands_too_far_from_it() {
    let texts = [
        (20.0, -1.0, "6/12"),
        (20.0, 25.2, "6/12"),
        (-2.0, 12.0, "GABLE"),
        (46.0, 12.0, "8/12"),
    ];
    let found = refused(solve(&page(HOUSE, &texts), true), "side-without-pitch");
    assert!(found.message.contains("8/12"), "{}", found.message);
    // Or that cannot be understood.
    let unread = [&texts[..3], &[(42.5, 12.0, "EAVE 12")]].concat();
    let found = refused(solve(&page(HOUSE, &unread), true), "side-without-pitch");
    assert!(found.message.contains("EAVE 12"), "{}", found.message);
}

#[test]
fn boxed_gables_are_gables_and_clipped_ones_are_told_not_to_be_understood() {
    let ends = |word| {
        [
            (20.0, 12.0, "6/12"),
            (-2.0, 12.0, "GABLE"),
            (42.5, 12.0, word),
        ]
    };
    for word in ["BOXED GABLE", "OPEN GABLE"] {
        let roof = solve(&page(HOUSE, &ends(word)), true).unwrap();
        assert!(roof.true_length(EdgeClass::Hip).to_feet() < 0.01, "{word}");
    }
    for word in ["CLIPPED GABLE", "JERKINHEAD", "HALF HIP"] {
        let roof = solve(&page(HOUSE, &ends(word)), true).unwrap();
        assert!(told(&roof, "side-label-unread").message.contains(word));
    }
}

/// A dimension of 40 mm: a roof of 0.01 ft².
#[test]
fn a_roof_smaller_than_any_is_refused_with_the_scale_it_was_read_by() {
    let svg = page(HOUSE, &[(20.0, 12.0, "6/12")]).replace("40'-0\"", "40 mm");
    let found = refused(solve(&svg, true), "roof-too-small");
    assert!(found.message.contains("40 mm"), "{}", found.message);
}

/// A house of 68 × 40.8 ft with inches for feet is 19.3 ft²; a porch of 8'-0" × 4'-9 5/8" is 38.4 ft².
#[test]
fn a_house_by_inches_for_feet_is_refused_and_a_porch_is_not() {
    let at = |length: &str| page(HOUSE, &[(20.0, 12.0, "6/12")]).replace("40'-0\"", length);
    refused(solve(&at("5'-8\""), true), "roof-too-small");
    let roof = solve(&at("8'-0\""), true).unwrap();
    covers(&roof, 8.0 * 4.8);
}

/// As on the continent: 460 + 330 + 460 = 1250 cm for a house of 12.50 m.
#[test]
fn numbers_without_a_unit_that_make_a_small_roof_are_asked_about() {
    let solve = |length: &str, more: &str, scale: Option<&str>| {
        let svg = page(HOUSE, &[(20.0, 12.0, "38°")]).replace("40'-0\"", length);
        let svg = svg.replace("</svg>", &format!("{more}</svg>"));
        let options = ReadOptions {
            metric_job: true,
            scale: scale.and_then(parse_scale_text),
            ..ReadOptions::default()
        };
        let drawing = Drawing::read(svg.as_bytes(), &options)?;
        let outline = RoofOptions {
            map: MapOptions {
                outline: true,
                ..MapOptions::default()
            },
            ..RoofOptions::default()
        };
        Roof::from_drawing(&drawing, &outline).map_err(|unsolved| unsolved.findings)
    };
    let metres = |roof: Roof| roof.plan_area().to_square_feet() * 0.3048 * 0.3048;
    let asked = refused(solve("1250", "", None), "number-without-unit");
    assert!(
        asked.message.contains("1.25 m long, by 1250 cm 12.50 m"),
        "{}",
        asked.message
    );
    assert!(
        asked.remedy.contains("--scale 1250cm=400 "),
        "{}",
        asked.remedy
    );
    refused(solve("2900", "", None), "number-without-unit");
    // 12.5 × 7.5 m, and 3 × 1.8 m, as they say.
    for (length, scale, area) in [
        ("1250 cm", None, 93.75),
        ("1250", Some("1250cm=400"), 93.75),
        ("12500", None, 93.75),
        ("3000", None, 5.4),
        ("2900 mm", None, 5.046),
    ] {
        let found = metres(solve(length, "", scale).unwrap());
        assert!((found - area).abs() < 1e-3, "{length}: {found}");
    }
    // A house of 12.5 m of which only an overhang of 750 mm has its length: by centimetres it would be 125 m long.
    let overhang = r#"<g id="dims"><path d="M0 640H24" stroke="black"/><text x="12" y="636" font-size="8" text-anchor="middle">750</text></g>"#;
    let svg_without = solve("", overhang, None).unwrap();
    assert!((metres(svg_without) - 93.75).abs() < 1e-3);
}

#[test]
fn an_arrow_with_up_beside_it_is_asked_about() {
    let shapes = r#"<path d="M0 0H400V240H0Z"/><path d="M0 120H400"/><g id="fall"><path d="M100 20V80"/></g>"#;
    let texts = [(20.0, 6.0, "6/12"), (20.0, 17.0, "6/12"), (11.5, 3.0, "UP")];
    refused(solve(&page(shapes, &texts), false), "arrow-says-up");
}

/// A mansard round a deck of which nothing can be read.
#[test]
fn a_deck_without_a_pitch_is_told_before_the_falls_round_it_are_asked() {
    let shapes = r#"<path d="M0 0H300V240H0Z"/><path d="M40 40H260V200H40Z"/><path d="M0 0L40 40M300 0L260 40M300 240L260 200M0 240L40 200"/>"#;
    let round = [
        (15.0, 2.3, "24/12"),
        (15.0, 22.3, "24/12"),
        (2.0, 12.0, "24/12"),
        (28.0, 12.0, "24/12"),
    ];
    let errors = solve(&page(shapes, &round), false).unwrap_err();
    assert_eq!(errors[0].code, "taken-for-courtyard");
    let deck = [&round[..], &[(15.0, 12.0, "MEMBRANE DECK, FLAT")]].concat();
    let roof = solve(&page(shapes, &deck), false).unwrap();
    assert_eq!(roof.faces.len(), 5);
}

/// Four labels round a ring of 40 × 24 ft, as far from its sides as given.
fn round_the_house(off_ft: f64) -> [(f64, f64, &'static str); 4] {
    [
        (20.0, -off_ft, "6/12"),
        (20.0, 24.0 + off_ft + 0.5, "6/12"),
        (-off_ft - 1.0, 12.0, "6/12"),
        (40.0 + off_ft + 1.0, 12.0, "6/12"),
    ]
}

#[test]
fn of_two_solid_rings_with_the_labels_outside_both_the_outer_one_is_the_edge() {
    for (edge, walls) in [("0.7", "3"), ("3", "0.5")] {
        let shapes = format!(
            r#"<path d="M0 0H400V240H0Z" stroke-width="{edge}"/><path d="M20 20H380V220H20Z" stroke-width="{walls}"/>"#
        );
        let roof = solve(&page(&shapes, &round_the_house(1.0)), true).unwrap();
        covers(&roof, 960.0);
    }
}

/// The house of 40 × 24 ft with its labels 1 ft outside, and a terrace, a drip line or walls and eaves 3 ft round it: the outer
/// ring covers 46 × 30 ft.
#[test]
fn labels_between_two_rings_speak_of_either_and_which_is_the_edge_is_asked() {
    for outer in [r#"stroke-dasharray="5 3""#, r#"stroke-width="0.5""#] {
        let shapes = format!(r#"{HOUSE}<path d="M-30 -30H430V270H-30Z" {outer}/>"#);
        let found = refused(
            solve(&page(&shapes, &round_the_house(1.0)), true),
            "which-edge",
        );
        assert!(
            found.message.contains("960") && found.message.contains("1,380"),
            "{}",
            found.message
        );
    }
}

/// 7 and 10 ft out it is no overhang, and the labels are those of the house.
#[test]
fn a_setback_round_the_labels_of_a_house_is_told_and_no_edge() {
    for out in [70, 100] {
        let shapes = format!(
            r#"{HOUSE}<path d="M-{out} -{out}H{}V{}H-{out}Z" stroke-dasharray="5 3"/>"#,
            400 + out,
            240 + out
        );
        let roof = solve(&page(&shapes, &round_the_house(1.0)), true).unwrap();
        covers(&roof, 960.0);
        assert_eq!(told(&roof, "dashed-line-round").severity, Severity::Warning);
    }
}

#[test]
fn a_gutter_less_than_half_a_foot_outside_the_edge_is_told_and_not_asked_about() {
    let gutter = r#"<path d="M-4 -4H404V244H-4Z" stroke-dasharray="5 3"/>"#;
    let shapes = [HOUSE, gutter].concat();
    let roof = solve(&page(&shapes, &[(20.0, 12.0, "6/12")]), true).unwrap();
    covers(&roof, 960.0);
    assert_eq!(told(&roof, "dashed-line-round").severity, Severity::Warning);
}

/// A cross gable over walls drawn with the pen of its ridges.
#[test]
fn no_remedy_takes_the_solid_ridges_out_with_the_walls() {
    let edge = r#"<path d="M0 0H400V240H240V360H0Z" stroke-dasharray="5 3"/>"#;
    let walls = "M20 20H380M380 20V220M380 220H220M220 220V340M220 340H20M20 340V20";
    let lines = "M120 120H400M120 120V360M120 120L240 240M0 0L120 120";
    let each: String = [walls, lines]
        .iter()
        .flat_map(|lines| lines.split('M').skip(1))
        .map(|line| format!(r#"<path d="M{line}"/>"#))
        .collect();
    let pitches = [
        (26.0, 6.0, "6/12"),
        (30.0, 18.0, "6/12"),
        (6.0, 20.0, "6/12"),
        (18.0, 30.0, "6/12"),
    ];
    let found = refused(
        solve(&page(&[edge, &each].concat(), &pitches), false),
        "which-edge",
    );
    assert!(!found.remedy.contains("dash:no"), "{}", found.remedy);
    // Nor where the dashed edge was taken; where the walls are all that is solid, it may be said.
    let ridge = r#"<path d="M0 120H400"/>"#;
    let roof = solve(
        &page(
            &[DASHED_EDGE, WALLS, ridge].concat(),
            &[(20.0, 7.0, "6/12"), (20.0, 17.0, "6/12")],
        ),
        false,
    )
    .unwrap();
    let remedy = &told(&roof, "dashed-edge-taken").remedy;
    assert!(
        remedy.contains("dash:yes") && !remedy.contains("dash:no"),
        "{remedy}"
    );
    let found = refused(
        solve(
            &page(&[DASHED_EDGE, WALLS].concat(), &[(20.0, 12.0, "6/12")]),
            true,
        ),
        "which-edge",
    );
    assert!(found.remedy.contains("dash:no"), "{}", found.remedy);
}

/// The hips run over the walls to the dashed corners, and the pitch is given for all faces.
#[test]
fn a_dashed_edge_on_which_the_hips_end_is_the_roofs_without_a_label_too() {
    let hips = r#"<path d="M120 120H280M0 0L120 120L0 240M400 0L280 120L400 240"/>"#;
    let svg = page(&[DASHED_EDGE, WALLS, hips].concat(), &[]);
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let options = RoofOptions {
        map: MapOptions {
            default_pitch: Some(eavewright::units::Pitch::in_12(6.0)),
            ..MapOptions::default()
        },
        ..RoofOptions::default()
    };
    covers(&Roof::from_drawing(&drawing, &options).unwrap(), 960.0);
}

/// The label stands 3 ft beneath an end of 4 ft whose other sides begin 3.6 ft from it.
#[test]
fn a_label_squarely_before_a_narrow_end_is_of_that_end() {
    let bay = r#"<path d="M0 0H400V240H240V300H200V240H0Z"/>"#;
    let texts = [(20.0, 12.0, "6/12"), (22.0, 33.08, "GABLE")];
    assert!(solve(&page(bay, &texts), true).is_ok());
    // Off a corner it is before neither side.
    let off = [(20.0, 12.0, "6/12"), (41.0, -1.0, "GABLE")];
    refused(solve(&page(HOUSE, &off), true), "label-between-sides");
}

#[test]
fn stairs_that_go_up_beside_the_roof_say_nothing_of_its_arrows() {
    let shapes = r#"<path d="M0 0H400V240H0Z"/><path d="M0 120H400"/><g id="fall"><path d="M100 130V220"/></g>"#;
    let up = |x: f64, y: f64, word| [(20.0, 6.0, "6/12"), (30.0, 17.0, "6/12"), (x, y, word)];
    for (x, y) in [(10.5, 25.5), (14.5, 20.0)] {
        assert!(solve(&page(shapes, &up(x, y, "UP")), false).is_ok());
    }
    for word in ["UP", "UP →", "↑ UP", "(UP)"] {
        let found = solve(&page(shapes, &up(11.5, 17.0, word)), false);
        refused(found, "arrow-says-up");
    }
    for word in ["6/12 UP", "UP 6/12"] {
        let texts = [(20.0, 6.0, "6/12"), (12.8, 17.0, word)];
        refused(solve(&page(shapes, &texts), false), "arrow-says-up");
    }
}

/// 3.5 × 2.5 ft over a door.
#[test]
fn a_hood_over_a_door_is_small_and_taken_by_a_scale_given_by_hand() {
    let hood = r#"<path d="M0 0H35V25H0Z"/><g id="fall"><path d="M5 3V20"/></g>"#;
    let svg = page(hood, &[(2.0, 1.5, "4/12")]);
    let options = ReadOptions {
        scale: parse_scale_text("10ft=100"),
        ..ReadOptions::default()
    };
    let drawing = Drawing::read(svg.as_bytes(), &options).unwrap();
    let roof = Roof::from_drawing(&drawing, &RoofOptions::default()).unwrap();
    covers(&roof, 8.75);
    assert_eq!(told(&roof, "roof-too-small").severity, Severity::Warning);
}

/// An eave of 40 ft, and 1.2 or 1.5 ft below it the dimension of its walls, 36 ft, on a layer of dimensions: whole, or in two
/// pieces with the text in the gap.
#[test]
fn a_dimension_on_its_layer_beside_the_eave_is_not_laid_on_the_eave() {
    let hips = r#"<path d="M0 0H400V240H0Z"/><path d="M0 0L120 120L0 240M400 0L280 120L400 240M120 120H280"/>"#;
    let text = |y: f64| {
        format!(r#"<text x="200" y="{y}" font-size="8" text-anchor="middle">36'-0"</text>"#)
    };
    let lines = [
        r#"<path d="M20 252H380"/>"#.to_owned() + &text(248.0),
        r#"<path d="M20 255H170"/><path d="M230 255H380"/>"#.to_owned() + &text(258.0),
        r#"<path d="M20 255H140"/><path d="M260 255H380"/>"#.to_owned() + &text(258.0),
        r#"<path d="M20 255H170M230 255H380M16 259L24 251M376 259L384 251"/>"#.to_owned()
            + &text(258.0),
    ];
    for dims in lines {
        let svg = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-100 -100 900 800"><g fill="none" stroke="black">{hips}<g id="dims">{dims}</g></g></svg>"#
        );
        let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
        let feet = drawing.scale.feet_per_unit;
        assert!((feet - 0.1).abs() < 1e-6, "{feet} of {dims}");
    }
}

/// Walls 3 ft within the roof, drawn dashed since they lie beneath it, with the labels between the two.
#[test]
fn labels_between_a_solid_edge_and_the_walls_dashed_beneath_it_are_of_the_edge() {
    let walls = r#"<path d="M30 30H370V210H30Z" stroke-dasharray="5 3"/>"#;
    let texts = [
        (20.0, 2.0, "6/12"),
        (20.0, 23.0, "6/12"),
        (1.5, 12.0, "6/12"),
        (38.5, 12.0, "6/12"),
    ];
    let roof = solve(&page(&[HOUSE, walls].concat(), &texts), true).unwrap();
    covers(&roof, 960.0);
}

/// Eaves and walls 2 ft apart, each with a pen of its own: no house of 240 ft² round a courtyard.
#[test]
fn two_rings_as_far_apart_as_eaves_and_walls_are_asked_about_where_no_label_speaks_of_them() {
    let shapes = format!(r#"{HOUSE}<path d="M20 20H380V220H20Z" stroke-width="3"/>"#);
    let drawing = Drawing::read(page(&shapes, &[]).as_bytes(), &ReadOptions::default()).unwrap();
    let options = RoofOptions {
        map: MapOptions {
            outline: true,
            default_pitch: Some(eavewright::units::Pitch::in_12(6.0)),
            ..MapOptions::default()
        },
        ..RoofOptions::default()
    };
    let result = Roof::from_drawing(&drawing, &options);
    let found = refused(result.map_err(|unsolved| unsolved.findings), "which-edge");
    assert!(
        found.message.contains("960") && found.message.contains("720"),
        "{}",
        found.message
    );
}

/// A gable of 40 × 24 ft whose ridge ends on its walls, and a solid line round it: 1.5 ft out it encloses 43 × 27 ft = 1,161 ft².
/// A gutter is 5 in wide (common practice, no source), a lot line lies 6 ft off.
#[test]
fn a_solid_line_round_a_roof_at_the_distance_of_an_eave_is_asked_about_and_others_are_not() {
    let ridge = r#"<path d="M0 120H400"/>"#;
    let pitches = [(20.0, 7.0, "6/12"), (20.0, 17.0, "6/12")];
    let with_ring = |out: f64, pen: &str| {
        let (width, depth) = (400.0 + 2.0 * out, 240.0 + 2.0 * out);
        let ring = format!(r#"<path d="M-{out} -{out}h{width}v{depth}h-{width}Z" {pen}/>"#);
        solve(&page(&[HOUSE, ridge, &ring].concat(), &pitches), false)
    };
    for (pen, remedy) in [
        ("", "layer named ignore"),
        (r#"stroke-width="0.4""#, "layer named ignore"),
        (r##"stroke="#0000ff""##, "--ignore 'colour:#0000ff'"),
    ] {
        let found = refused(with_ring(15.0, pen), "which-edge");
        for area in ["1,161 ft²", "960 ft²"] {
            assert!(found.message.contains(area), "{}", found.message);
        }
        assert!(found.remedy.contains(remedy), "{}", found.remedy);
    }
    let gutter = with_ring(5.0 / 12.0 * 10.0, "").unwrap();
    covers(&gutter, 960.0);
    assert_eq!(told(&gutter, "line-round").severity, Severity::Warning);
    let lot_line = with_ring(60.0, "").unwrap();
    covers(&lot_line, 960.0);
    let is_edge = |f: &Finding| ["which-edge", "line-round"].contains(&f.code);
    assert!(!lot_line.findings.iter().any(is_edge));
}

/// Walls with a bay of 8 × 2 ft under an eave that runs past it; and a line round two of three sides alone.
#[test]
fn an_eave_line_that_passes_a_bay_by_is_one_and_a_line_far_off_on_one_side_is_none() {
    let walls = r#"<path d="M0 0H400V240H240V260H160V240H0Z"/><path d="M0 120H400"/>"#;
    let pitches = [(20.0, 7.0, "6/12"), (20.0, 17.0, "6/12")];
    let round = |d: &str| solve(&page(&[walls, d].concat(), &pitches), false);
    refused(round(r#"<path d="M-30 -30H430V270H-30Z"/>"#), "which-edge");
    covers(
        &round(r#"<path d="M-30 -30H600V270H-30Z"/>"#).unwrap(),
        976.0,
    );
}
