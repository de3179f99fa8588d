//! Walls drawn between two roofs, and faces inside others that stand over them: which is the higher one.

use eavewright::roof::{EdgeClass, Roof};

use crate::support::{length, near, plan_in_feet, roof_of};

fn told<'r>(roof: &'r Roof, code: &str) -> Vec<&'r str> {
    let of = roof.findings.iter().filter(|f| f.code == code);
    of.map(|f| f.message.as_str()).collect()
}

fn plan(roof: &str, pitches: &[(f64, f64, &str)], more: &str) -> Roof {
    roof_of(plan_in_feet(roof, pitches, more).as_bytes()).unwrap()
}

/// A house 30 × 24 ft at 8 in 12 and a garage 20 × 20 ft at 5 in 12 against its gable, with the wall drawn at the joint. With
/// level eaves the house stands over the garage everywhere. By hand: the house keeps its rakes, 4 × 12 × 1.201850, and the
/// garage its outer ones, 2 × 10 × 1.083333: 79.3555; the garage ends against the wall, 2 × 10.8333.
#[test]
fn where_two_gables_meet_at_a_wall_the_lower_one_ends_against_it() {
    let wall = r#"<g id="wall" stroke="red"><path d="M30 2V22"/></g>"#;
    let roof = plan(
        r#"<path d="M0 12H30"/><path d="M30 12H50"/><path d="M0 0H30V24H0Z"/><path d="M30 2H50V22H30Z"/>"#,
        &[
            (15.0, 6.0, "8/12"),
            (15.0, 18.0, "8/12"),
            (40.0, 7.0, "5/12"),
            (40.0, 17.0, "5/12"),
        ],
        wall,
    );
    near(length(&roof, EdgeClass::Rake), 79.3555, 1e-3);
    near(length(&roof, EdgeClass::Sidewall), 21.6667, 1e-3);
    near(length(&roof, EdgeClass::Eave), 100.0, 1e-6);
    let told = told(&roof, "wall-heights");
    assert_eq!(told.len(), 1);
    assert!(
        told[0].contains("N1 ends over it (rake) and N2 against it (sidewall)"),
        "{}",
        told[0]
    );
}

/// Left a gable 24 ft wide at 8 in 12, its ridge at 8 ft; right one 40 ft wide at 4 in 12, its ridge at 6.6667 ft. With level
/// eaves they cross 4 ft from the ridge: 8 − 4 × 2/3 = 6.6667 − 4/3. Nearer to it the left one is the taller, farther off the
/// right one.
#[test]
fn where_two_gables_cross_in_height_at_a_wall_each_is_under_it_for_its_part() {
    let wall = r#"<g id="wall" stroke="red"><path d="M30 8V32"/></g>"#;
    let roof = plan(
        r#"<path d="M0 20H30"/><path d="M30 20H60"/><path d="M0 8H30V32H0Z"/><path d="M30 0H60V40H30Z"/>"#,
        &[
            (15.0, 12.0, "8/12"),
            (15.0, 28.0, "8/12"),
            (45.0, 6.0, "4/12"),
            (45.0, 34.0, "4/12"),
        ],
        wall,
    );
    let (steep, flat) = ((13.0_f64).sqrt() / 3.0, (10.0_f64).sqrt() / 3.0);
    // Left under it over 8 ft on both sides, right over 4 ft.
    near(
        length(&roof, EdgeClass::Sidewall),
        2.0 * (8.0 * steep + 4.0 * flat),
        1e-2,
    );
    let rakes = 2.0 * (12.0 * steep + 4.0 * steep) + 2.0 * (20.0 * flat + 16.0 * flat);
    near(length(&roof, EdgeClass::Rake), rakes, 1e-2);
    near(roof.plan_area().to_square_feet(), 720.0 + 1200.0, 1e-6);
    for check in &roof.checks {
        assert!(check.holds(), "{check:?}");
    }
    assert!(told(&roof, "wall-heights")[0].contains("cross in height there"));
}

/// A party wall between two gables that are alike: nothing says which is taller, so it rises above both.
#[test]
fn a_wall_between_roofs_of_one_height_has_both_end_against_it() {
    let wall = r#"<g id="wall" stroke="red"><path d="M20 0V24"/></g>"#;
    let roof = plan(
        r#"<path d="M0 0H40V24H0ZM0 12H40M20 0V24"/>"#,
        &[
            (10.0, 6.0, "6/12"),
            (10.0, 18.0, "6/12"),
            (30.0, 6.0, "6/12"),
            (30.0, 18.0, "6/12"),
        ],
        wall,
    );
    near(
        length(&roof, EdgeClass::Sidewall),
        4.0 * 12.0 * 1.25_f64.sqrt(),
        1e-3,
    );
    assert!(told(&roof, "wall-heights")[0].contains("both end against it"));
}

/// The porch leans against the wall under the main eave: all of it is lower than that eave.
#[test]
fn a_porch_against_a_wall_hangs_below_the_eave_over_it() {
    let more = r#"<g id="wall" stroke="red"><path d="M8 24H32"/></g><g id="fall" stroke="blue"><path d="M14 26V30"/></g>"#;
    let roof = plan(
        r#"<path d="M0 12H40"/><path d="M8 24V32H32V24"/><path d="M0 0H40V24H0Z"/>"#,
        &[
            (20.0, 6.0, "8/12"),
            (20.0, 18.0, "8/12"),
            (20.0, 29.0, "3/12"),
        ],
        more,
    );
    let of = |class| roof.edges.iter().filter(move |e| e.class == class);
    let head = of(EdgeClass::Headwall)
        .map(|e| e.start.z.max(e.end.z))
        .fold(f64::MIN, f64::max);
    let eave_over = of(EdgeClass::Eave)
        .filter(|e| (e.start.y + 24.0).abs() < 1e-6 && (e.end.y + 24.0).abs() < 1e-6)
        .map(|e| e.start.z.min(e.end.z))
        .fold(f64::MAX, f64::min);
    assert!(head < eave_over, "{head} {eave_over}");
    near(length(&roof, EdgeClass::Headwall), 24.0, 1e-6);
    let told = told(&roof, "wall-height");
    assert_eq!(told.len(), 1);
    assert!(
        told[0].contains("S2 is shown a little way below S1"),
        "{}",
        told[0]
    );
}

/// A shed dormer of 3 in 12, 12 × 9.6 ft, in a slope of 8 in 12, drawn with an arrow in every face. By hand: it hangs on the
/// slope by its top (pitch change 12); its front stands over the slope (eave 12, headwall 12); its cheeks are rakes of
/// 9.6 × 1.030776 = 9.8955 over sidewalls of 9.6 × 1.201850 = 11.5378.
#[test]
fn a_shed_dormer_inside_a_steeper_slope_stands_over_it() {
    let falls = r#"<g id="fall" stroke="blue"><path d="M18 18V22"/><path d="M8 18V24"/><path d="M10 10V4"/></g>"#;
    let roof = plan(
        r#"<path d="M0 14H40"/><path d="M14 14.4V24H26V14.4H14"/><path d="M0 0H40V28H0Z"/>"#,
        &[
            (7.0, 21.0, "8/12"),
            (20.0, 7.0, "8/12"),
            (20.0, 19.5, "3/12"),
        ],
        falls,
    );
    near(length(&roof, EdgeClass::PitchChange), 12.0, 1e-3);
    near(length(&roof, EdgeClass::Headwall), 12.0, 1e-3);
    near(length(&roof, EdgeClass::Eave), 80.0 + 12.0, 1e-3);
    near(length(&roof, EdgeClass::Sidewall), 2.0 * 11.5378, 1e-2);
    near(
        length(&roof, EdgeClass::Rake),
        4.0 * 14.0 * 1.201850 + 2.0 * 9.8955,
        1e-2,
    );
    let height = |name: &str| {
        let face = roof.faces.iter().find(|f| f.name == name).unwrap();
        let middle = eavewright::geometry::Point::new(20.0, -20.0);
        face.plane.height_at(middle)
    };
    assert!(height("S2") > height("S1"));
}

/// A hip roof of 12 × 8 ft at 6 in 12 on a level of its own.
const LANTERN: &str = r#"<g id="level 2" fill="none" stroke="black"><path d="M14 18H26V26H14Z"/><path d="M18 22H22"/>
    <path d="M14 18L18 22L14 26"/><path d="M26 18L22 22L26 26"/><text x="20" y="20">6/12</text><text x="20" y="25">6/12</text>
    <text x="15" y="22">6/12</text><text x="23.5" y="22">6/12</text></g>"#;

/// It stands in the middle of a slope: its foot is told to be flashed in no line. Drawn as an opening too the foot is cut
/// out, 96 ft², and flashed: 12 ft below, 12 ft above and 2 × 8 × 1.118034 beside it.
#[test]
fn the_foot_of_what_stands_in_a_slope_is_told_and_is_flashed_where_it_is_drawn() {
    let lines = r#"<path d="M0 15H40"/><path d="M0 0H40V30H0Z"/>"#;
    let pitches = [(8.0, 7.0, "6/12"), (8.0, 22.0, "6/12")];
    let roof = plan(lines, &pitches, LANTERN);
    let covered = told(&roof, "covered-roof");
    assert_eq!(covered.len(), 1);
    assert!(
        covered[0].contains("nothing is listed to flash it"),
        "{}",
        covered[0]
    );
    assert!(covered[0].contains("96 ft² (8.9 m²)"), "{}", covered[0]);
    let foot = r#"<g id="opening" fill="none" stroke="black"><path d="M14 18H26V26H14Z"/></g>"#;
    let roof = plan(lines, &pitches, &format!("{LANTERN}{foot}"));
    assert!(told(&roof, "covered-roof").is_empty());
    let opening = &roof.openings[0];
    near(opening.apron.to_feet(), 12.0, 1e-6);
    near(opening.head.to_feet(), 12.0, 1e-6);
    near(opening.sides.to_feet(), 16.0 * 1.25_f64.sqrt(), 1e-6);
}

/// Lean-tos of 6 in 12, 22 ft deep, and of 3 in 12, 12 ft deep, rise to one wall. With level eaves their tops are at 11 and 3 ft:
/// the taller one ends over the wall, as over a row of windows. Alike they end against a wall that rises above both.
#[test]
fn of_two_lean_tos_that_rise_to_one_wall_the_taller_one_ends_over_it() {
    let wall = r#"<g id="wall" stroke="red"><path d="M0 22H40"/></g>"#;
    let falls = r#"<g id="fall" stroke="blue"><path d="M10 15V5"/><path d="M10 25V31"/></g>"#;
    let of = |deep: f64, pitch: &str| {
        let lines = format!(
            r#"<path d="M0 0H40V22H0Z"/><path d="M0 22V{0}H40V22"/>"#,
            22.0 + deep
        );
        let pitches = [(20.0, 10.0, "6/12"), (20.0, 24.0 + deep / 2.0, pitch)];
        plan(&lines, &pitches, &format!("{wall}{falls}"))
    };
    let unlike = of(12.0, "3/12");
    near(length(&unlike, EdgeClass::HighEdge), 40.0, 1e-6);
    near(length(&unlike, EdgeClass::Headwall), 40.0, 1e-6);
    let said = told(&unlike, "wall-heights");
    assert_eq!(said.len(), 1);
    assert!(
        said[0]
            .contains("with level eaves N1 ends over it (high edge) and S1 against it (headwall)"),
        "{}",
        said[0]
    );
    let alike = of(22.0, "6/12");
    near(length(&alike, EdgeClass::HighEdge), 0.0, 0.0);
    near(length(&alike, EdgeClass::Headwall), 80.0, 1e-6);
    assert!(told(&alike, "wall-heights")[0].contains("both end against it"));
}

/// A garage falls to the gable wall of a house: its eave may drip over the house's wall, or run into it.
#[test]
fn a_roof_that_falls_to_a_wall_along_which_the_other_one_runs_is_a_guess_and_told() {
    let roof = plan(
        r#"<path d="M0 12H30"/><path d="M0 0H30V24H0Z"/><path d="M30 0H48V24H30"/>"#,
        &[
            (15.0, 6.0, "6/12"),
            (15.0, 18.0, "6/12"),
            (39.0, 12.0, "6/12"),
        ],
        r#"<g id="wall" stroke="red"><path d="M30 0V24"/></g><g id="fall" stroke="blue"><path d="M44 10H36"/></g>"#,
    );
    near(
        length(&roof, EdgeClass::Sidewall),
        2.0 * 12.0 * 1.25_f64.sqrt(),
        1e-3,
    );
    let said = told(&roof, "wall-heights");
    assert_eq!(said.len(), 1, "{:?}", roof.findings);
    assert!(
        said[0].contains("where the one that falls to the wall drips over it")
            && said[0].contains("(eave) and N1 against it (sidewall)"),
        "{}",
        said[0]
    );
}

/// The porch's head lies 1 ft beneath the eave of the house above it: behind it is the house's wall.
#[test]
fn a_porch_whose_head_is_under_the_eave_of_an_upper_level_ends_against_its_wall() {
    let upper = r#"<g id="level 2" fill="none" stroke="black"><path d="M0 0H40V24H0Z"/><path d="M0 12H40"/>
        <text x="20" y="6">8/12</text><text x="20" y="18">8/12</text></g>
        <g id="fall" stroke="blue"><path d="M20 26V30"/></g>"#;
    let roof = plan(
        r#"<path d="M1 23H39V32H1Z"/>"#,
        &[(14.0, 28.0, "3/12")],
        upper,
    );
    near(length(&roof, EdgeClass::Headwall), 38.0, 1e-6);
    near(length(&roof, EdgeClass::HighEdge), 0.0, 0.0);
    assert!(!told(&roof, "covered-roof")[0].contains("nothing is listed to flash it"));
}

/// A flat roof 8 × 8 ft with walls all round it in a slope of 6 in 12: sunk into the slope it would fill with water, so it stands
/// over it. By hand: four flat edges; the slope ends against its foot, 8 ft above and below and 2 × 8 × 1.118034 beside it.
#[test]
fn a_flat_roof_with_walls_all_round_it_stands_over_the_slope_that_it_is_in() {
    let lines = r#"<path d="M0 15H40"/><path d="M0 0H40V30H0Z"/><path d="M16 18H24V26H16Z"/>"#;
    let pitches = [
        (8.0, 7.0, "6/12"),
        (8.0, 22.0, "6/12"),
        (20.0, 22.0, "flat"),
    ];
    let wall = r#"<g id="wall" stroke="red"><path d="M16 18H24V26H16Z"/></g>"#;
    let roof = plan(lines, &pitches, wall);
    near(length(&roof, EdgeClass::FlatEdge), 32.0, 1e-6);
    near(length(&roof, EdgeClass::Headwall), 16.0, 1e-6);
    near(
        length(&roof, EdgeClass::Sidewall),
        16.0 * 1.25_f64.sqrt(),
        1e-3,
    );
    near(length(&roof, EdgeClass::Eave), 80.0, 1e-6);
}

/// What a wall parts is told as a question only where something depends on the answer.
#[test]
fn a_level_porch_under_an_eave_and_a_tower_are_no_guesses() {
    let porch = plan(
        r#"<path d="M0 12H40"/><path d="M8 24V32H32V24"/><path d="M0 0H40V24H0Z"/>"#,
        &[
            (20.0, 6.0, "8/12"),
            (20.0, 18.0, "8/12"),
            (20.0, 29.0, "flat"),
        ],
        r#"<g id="wall" stroke="red"><path d="M8 24H32"/></g>"#,
    );
    assert!(
        told(&porch, "wall-heights").is_empty(),
        "{:?}",
        porch.findings
    );
    let tower = plan(
        r#"<path d="M0 15H40"/><path d="M0 0H40V30H0Z"/><path d="M16 18H24V26H16Z"/>"#,
        &[
            (8.0, 7.0, "6/12"),
            (8.0, 22.0, "6/12"),
            (20.0, 22.0, "flat"),
        ],
        r#"<g id="wall" stroke="red"><path d="M16 18H24V26H16Z"/></g>"#,
    );
    assert!(told(&tower, "wall-heights").is_empty());
    assert_eq!(told(&tower, "wall-height").len(), 1);
}
