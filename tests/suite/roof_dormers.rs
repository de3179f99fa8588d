//! Dormers drawn in the roof's own layer: what is asked about, and what is proposed.

use eavewright::drawing::{Drawing, ReadOptions, Rule};
use eavewright::geometry::Point;
use eavewright::roof::map::{self, MapOptions, PlanMap};
use eavewright::roof::{Roof, RoofOptions, SolveOptions, SuggestedFall};

/// The plan with only those arrows that pass `keep`, by the fall's component to the north.
fn plan(svg: &str, keep: impl Fn(f64) -> bool) -> Vec<PlanMap> {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let mut maps = map::build(&drawing, &MapOptions::default()).unwrap();
    for face in maps.iter_mut().flat_map(|m| &mut m.faces) {
        face.fall_hint = face.fall_hint.filter(|fall| keep(fall.y));
    }
    maps
}

fn asked(maps: &[PlanMap]) -> Vec<SuggestedFall> {
    match Roof::solve(maps, &SolveOptions::default()) {
        Ok(_) => Vec::new(),
        Err(unsolved) => unsolved.suggested_falls,
    }
}

/// A gable 60 × 40 ft with a dormer in its south slope, drawn with a pen of its own.
fn own_pen(pitches: &str) -> String {
    format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 100 80"><style>text{{font-size:1px}}</style>
        <path d="M0 0H60V40H0ZM0 20H60" fill="none" stroke="#000"/><text x="30" y="10">6/12</text><text x="10" y="32">6/12</text>
        <path d="M24 30V36H36V30L30 24ZM24 30L30 24M30 24V36" fill="none" stroke="#c00"/>{pitches}
        <g id="scale"><path d="M0 50h40" stroke="#00f"/><text x="16" y="49.5">40'-0"</text></g></svg>"##
    )
}

#[test]
fn a_dormer_drawn_with_its_own_pen_is_never_lost() {
    let read = |svg: &str| Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let solve = |drawing: &Drawing| Roof::from_drawing(drawing, &RoofOptions::default());
    let labelled = own_pen(r##"<text x="26" y="33">6/12</text><text x="32" y="33">6/12</text>"##);
    let asked = solve(&read(&labelled)).unwrap_err();
    assert_eq!(asked.suggested_falls.len(), 4);
    let refused = solve(&read(&own_pen(""))).unwrap_err();
    let [told] = &refused.findings[..] else {
        panic!("{:?}", refused.findings)
    };
    assert_eq!(told.code, "roof-without-pitch-left-out");
    assert!(told.remedy.contains("colour:#cc0000"), "{}", told.remedy);
    assert_eq!(told.places[0].at, Some(Point::new(30.0, -24.0)));
    // Where its lines are said to be no roof's, nothing is asked.
    let options = ReadOptions {
        ignore_rules: vec![Rule::parse("colour:#cc0000").unwrap()],
        ..ReadOptions::default()
    };
    let without = Drawing::read(own_pen("").as_bytes(), &options).unwrap();
    assert_eq!(solve(&without).unwrap().faces.len(), 2);
}

/// A shed dormer is one closed shape, as much of what is left out is: it is told from these by its size and by standing
/// alone.
#[test]
fn a_shed_dormer_without_a_pitch_in_its_own_pen_is_refused_and_not_left_out() {
    let drawn = |path: &str| {
        let svg = own_pen("").replace("M24 30V36H36V30L30 24ZM24 30L30 24M30 24V36", path);
        let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
        Roof::from_drawing(&drawing, &RoofOptions::default())
    };
    for (shed, says) in [
        ("M24 24V34H36V24Z", "120 ft²"),
        // Its top is the ridge.
        ("M24 20V34H36V20", "168 ft²"),
        ("M24 20V34H36V20Z", "168 ft²"),
        ("M24 26V33H30V26Z", "42 ft²"),
        // With a chimney on the ridge in the same pen.
        ("M24 24V34H36V24ZM8 18h4v4h-4z", "120 ft²"),
    ] {
        let refused = drawn(shed).unwrap_err();
        let [told] = &refused.findings[..] else {
            panic!("{shed}: {:?}", refused.findings)
        };
        assert_eq!(told.code, "roof-without-pitch-left-out", "{shed}");
        assert!(told.message.contains(says), "{}", told.message);
    }
    for other in [
        // A chimney; a skylight with a cross; a row of panels; a tank, and a compass as a circle.
        "M24 24v5h5v-5z",
        "M24 24v5h5v-5zl5 5m0-5l-5 5",
        "M20 24h18v5h-18zM26 24v5M32 24v5",
        "M30 26a4 4 0 0 1 0 8a4 4 0 0 1 0 -8z",
        // A gutter or a walkway drawn as a strip.
        "M5 24h50v2h-50z",
        // The walls beneath the slope.
        "M2 22h56v16h-56z",
    ] {
        let roof = drawn(other).unwrap_or_else(|u| panic!("{other}: {:?}", u.findings));
        assert_eq!(roof.faces.len(), 2, "{other}");
    }
}

/// A floor plan beneath the roof: walls that meet in corners and T joints, with a pen of their own.
#[test]
fn walls_and_furniture_in_their_own_pen_are_left_out() {
    let rooms = own_pen("").replace(
        "M24 30V36H36V30L30 24ZM24 30L30 24M30 24V36",
        "M2 2H58V38H2ZM2 15H58M20 2V38M40 15V38M25 25h8v5h-8z",
    );
    let drawing = Drawing::read(rooms.as_bytes(), &ReadOptions::default()).unwrap();
    let roof = Roof::from_drawing(&drawing, &RoofOptions::default()).unwrap();
    assert_eq!(roof.faces.len(), 2);
}

const GABLE: &str = include_str!("../../fixtures/roofs/gable-dormer-6in12/plan.svg");
const SHED: &str = include_str!("../../fixtures/roofs/shed-dormer-3in12/plan.svg");

#[test]
fn arrows_in_a_gable_dormer_settle_the_slopes_round_it_too() {
    let level = |north: f64| north.abs() < 0.5;
    assert!(asked(&plan(GABLE, level)).is_empty());
    // Without any, nothing is settled in silence.
    assert_eq!(asked(&plan(GABLE, |_| false)).len(), 4);
}

#[test]
fn a_shed_dormer_is_proposed_to_fall_with_the_slope_below_it_and_not_against_a_wall() {
    let falls = asked(&plan(SHED, |_| false));
    let dormer = falls
        .iter()
        .find(|f| f.face_label.starts_with('3'))
        .unwrap();
    assert!(dormer.fall.y < -0.99, "{dormer:?}");
    assert_eq!(falls.len(), 3);
}

#[test]
fn arrows_of_one_stroke_with_their_head_point_along_their_shaft() {
    let drawing = Drawing::read(GABLE.as_bytes(), &ReadOptions::default()).unwrap();
    assert_eq!(drawing.falls.len(), 4);
    for fall in &drawing.falls {
        let run = (fall.to - fall.from).unit().unwrap();
        assert!(run.x.abs().max(run.y.abs()) > 0.9999, "{fall:?}");
    }
}

/// A gable 60 × 40 ft with an eyebrow dormer in its south slope: an arc over a straight front.
fn eyebrow(on_upper: bool, falls: &str) -> Vec<PlanMap> {
    let lines = r#"<path d="M24 36H36"/><path d="M36 36A6 6 0 0 0 24 36"/>"#;
    let pitch = r#"<text x="29" y="33">3/12</text>"#;
    let (roof, upper) = if on_upper { ("", lines) } else { (lines, "") };
    let (roof_pitch, upper_pitch) = if on_upper { ("", pitch) } else { (pitch, "") };
    let fall_layer = if on_upper { "fall upper" } else { "fall" };
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 100 80"><style>text{{font-size:1px}}</style>
        <g id="roof" fill="none" stroke="black"><path d="M0 0H60V40H0ZM0 20H60"/>{roof}</g>
        <g id="upper" fill="none" stroke="black">{upper}</g>
        <g id="pitch"><text x="30" y="10">6/12</text><text x="10" y="32">6/12</text>{roof_pitch}</g>
        <g id="upper pitch">{upper_pitch}</g>
        <g id="{fall_layer}" stroke="green">{falls}</g>
        <g id="scale"><path d="M0 50h40" stroke="blue"/><text x="16" y="49.5">40'-0"</text></g></svg>"#
    );
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    map::build(&drawing, &MapOptions::default()).unwrap()
}

#[test]
fn an_eyebrow_dormer_in_the_roofs_layer_is_refused_for_its_curve_and_not_for_its_pitch() {
    let codes = |maps: &[PlanMap]| -> Vec<&str> {
        let unsolved = Roof::solve(maps, &SolveOptions::default()).unwrap_err();
        unsolved.findings.iter().map(|f| f.code).collect()
    };
    let all = r#"<path d="M30 31V35"/><path d="M5 25V35"/><path d="M5 15V5"/>"#;
    let told = codes(&eyebrow(false, all));
    assert!(told.contains(&"curve-between-faces"), "{told:?}");
    assert!(!told.contains(&"pitch-contradicts-lines"), "{told:?}");
    let told = codes(&eyebrow(false, ""));
    assert!(told.contains(&"fall-open"), "{told:?}");
    assert!(told.contains(&"curve-between-faces"), "{told:?}");
}

#[test]
fn an_eyebrow_dormer_on_an_upper_layer_is_taken_off() {
    let maps = eyebrow(true, r#"<path d="M30 31V35"/>"#);
    let roof = Roof::solve(&maps, &SolveOptions::default()).unwrap();
    // Half a circle of 6 ft at 3/12.
    let true_sqft = std::f64::consts::PI * 18.0 * 1.0_f64.hypot(0.25);
    let found = roof.faces.iter().find(|f| f.level == 1).unwrap();
    let area = found.true_area.to_square_feet();
    assert!((area - true_sqft).abs() < 0.01 * true_sqft, "{area}");
}
