//! Elevations and sections beside a plan, and arrows that no layer says are falls.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::{Roof, RoofOptions, Unsolved};
use eavewright::{Finding, Severity};

fn text((x, y): (f64, f64), words: &str) -> String {
    format!(r#"<text x="{x}" y="{y}" font-size="9" text-anchor="middle">{words}</text>"#)
}

fn lines(d: &str) -> String {
    format!(r#"<path d="{d}" fill="none" stroke="black"/>"#)
}

/// A gable of 40 × 24 ft at 10 units to the foot, 960 ft² in plan, and what is drawn beside it.
fn beside_a_gable(pitches: &str, drawn: &str) -> Result<Roof, Unsolved> {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 900">{}{}{}{}{drawn}</svg>"#,
        lines("M50 50H450V290H50ZM50 170H450"),
        text((250.0, 110.0), pitches),
        text((250.0, 230.0), pitches),
        lines("M50 330H450M50 322v16M450 322v16") + &text((250.0, 327.0), "40'-0\""),
    );
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    Roof::from_drawing(&drawing, &RoofOptions::default())
}

fn told<'f>(findings: &'f [Finding], code: &str) -> Option<&'f Finding> {
    findings.iter().find(|f| f.code == code)
}

fn plan_sqft(roof: &Roof) -> f64 {
    roof.plan_area().to_square_feet()
}

/// A wall of 16 × 4 ft under a roof of 4 ft seen from the side, with a pitch in each.
fn elevation() -> String {
    lines("M540 160H700V200H540ZM540 200V240H700V200")
        + &text((620.0, 185.0), "6/12")
        + &text((620.0, 225.0), "6/12")
}

/// The rafters of a house cut through, over its walls and its floor, with the pitch beside a rafter.
fn section() -> String {
    lines("M540 200L620 160L700 200")
        + &lines("M550 195V290H690V195")
        + &text((570.0, 172.0), "6/12")
}

#[test]
fn an_elevation_over_its_title_is_left_out_and_told() {
    let roof = beside_a_gable(
        "6/12",
        &(elevation() + &text((620.0, 270.0), "SOUTH ELEVATION")),
    );
    let roof = roof.unwrap();
    assert!(
        (plan_sqft(&roof) - 960.0).abs() < 1e-6,
        "{}",
        plan_sqft(&roof)
    );
    let told = told(&roof.findings, "another-view").unwrap();
    assert_eq!(told.severity, Severity::Warning);
    assert!(
        told.message.contains("“SOUTH ELEVATION”") && told.message.contains("“6/12”"),
        "{told:?}"
    );
    assert_eq!(told.places.len(), 2);
}

#[test]
fn an_elevation_under_its_title_is_left_out_too() {
    let roof = beside_a_gable(
        "6/12",
        &(elevation() + &text((620.0, 150.0), "ANSICHT VON SÜDEN")),
    );
    assert!((plan_sqft(&roof.unwrap()) - 960.0).abs() < 1e-6);
}

#[test]
fn a_section_with_a_pitch_beside_its_rafters_does_not_stop_the_plan() {
    let roof = beside_a_gable("6/12", &(section() + &text((620.0, 310.0), "SECTION A-A"))).unwrap();
    assert!((plan_sqft(&roof) - 960.0).abs() < 1e-6);
    assert!(told(&roof.findings, "another-view").is_some());
}

/// Views stacked over each other: each title names what stands over it, and the plan's own title keeps the plan.
#[test]
fn of_drawings_over_and_under_a_title_the_nearer_one_is_meant() {
    let moved = format!(r#"<g transform="translate(-370 240)">{}</g>"#, section());
    let drawn = text((250.0, 352.0), "ROOF PLAN") + &moved + &text((250.0, 545.0), "SECTION A-A");
    let roof = beside_a_gable("6/12", &drawn).unwrap();
    assert!((plan_sqft(&roof) - 960.0).abs() < 1e-6);
}

/// A house of 960 ft² with the mark of a section under it, and a garage of 20 × 12 ft: 240 ft². Which of the two the title means is
/// not to be known.
#[test]
fn a_larger_drawing_over_such_a_title_may_be_the_roof_and_is_asked_about() {
    let garage = lines("M540 50H740V170H540ZM540 110H740")
        + &text((640.0, 85.0), "6/12")
        + &text((640.0, 145.0), "6/12");
    let marked = garage.clone() + &text((250.0, 350.0), "SECTION A-A");
    let asked = beside_a_gable("6/12", &marked).unwrap_err();
    let asked = told(&asked.findings, "view-or-roof").unwrap();
    assert!(
        asked.message.contains("as large as what is left"),
        "{asked:?}"
    );
    // With the plan's title beneath the house it is the plan.
    let titled = marked + &text((250.0, 365.0), "ROOF PLAN");
    let roof = beside_a_gable("6/12", &titled).unwrap();
    assert!((plan_sqft(&roof) - 1200.0).abs() < 1e-6);
}

#[test]
fn a_title_in_the_roof_or_by_the_only_roof_takes_nothing_out() {
    for at in [(250.0, 200.0), (250.0, 350.0)] {
        let roof = beside_a_gable("6/12", &text(at, "CROSS SECTION")).unwrap();
        assert!((plan_sqft(&roof) - 960.0).abs() < 1e-6);
        assert!(told(&roof.findings, "another-view").is_none());
    }
}

/// Whether what stands at a title is left out, and nothing else of the sheet but the gable is taken for a roof.
fn is_left_out(drawn: &str) -> bool {
    let roof = beside_a_gable("6/12", drawn).unwrap_or_else(|e| panic!("{drawn}: {e:?}"));
    let is_alone = (plan_sqft(&roof) - 960.0).abs() < 1e-6;
    assert_eq!(told(&roof.findings, "another-view").is_some(), is_alone);
    is_alone
}

/// Windows in the wall and the ground beneath it touch nothing of it; the roof is drawn half a letter above it.
#[test]
fn what_lies_in_a_view_or_all_but_touches_it_is_left_out_with_it() {
    let windows = lines("M560 212h20v20h-20ZM620 212h20v20h-20Z");
    let ground = lines("M530 239H710");
    let roof = lines("M540 160H700V200H540Z") + &text((620.0, 185.0), "6/12");
    let wall = lines("M540 205V240H700V205Z") + &text((620.0, 225.0), "6/12");
    let drawn = roof + &wall + &windows + &ground + &text((620.0, 270.0), "SOUTH ELEVATION");
    let sheet = beside_a_gable("6/12", &drawn).unwrap();
    assert!((plan_sqft(&sheet) - 960.0).abs() < 1e-6);
    // Nothing of it is told of by itself.
    let warned = |f: &&Finding| f.severity == Severity::Warning && f.code != "no-layers";
    let warned: Vec<&Finding> = sheet.findings.iter().filter(warned).collect();
    assert_eq!(warned.len(), 1, "{warned:?}");
}

/// The elevation reaches from 540 to 700 and down to 240, and is 160 units wide: half of that is 80.
#[test]
fn a_title_stands_under_its_drawing_and_not_far_from_it() {
    for (at, is_its) in [
        ((620.0, 270.0), true),
        ((560.0, 270.0), true),
        ((620.0, 312.0), true),
        ((620.0, 340.0), false),
        ((760.0, 230.0), false),
        ((790.0, 270.0), false),
    ] {
        let drawn = elevation() + &text(at, "SOUTH ELEVATION");
        assert_eq!(is_left_out(&drawn), is_its, "{at:?}");
    }
}

/// A pitch to the right of the view, by two of its heights and by eight.
#[test]
fn a_pitch_hardly_beside_a_view_is_its_own() {
    let section = || {
        lines("M540 200L620 160L700 200")
            + &lines("M550 195V290H690V195")
            + &text((620.0, 310.0), "SECTION A-A")
    };
    assert!(is_left_out(&(section() + &text((716.0, 190.0), "6/12"))));
    // No pitch is the view's then, and its walls are no roof.
    let far = beside_a_gable("6/12", &(section() + &text((790.0, 190.0), "6/12")));
    let findings = match far {
        Ok(roof) => roof.findings,
        Err(unsolved) => unsolved.findings,
    };
    assert!(told(&findings, "another-view").is_none(), "{findings:?}");
}

/// A view of 36 × 26 ft at its title is nearly as large as the gable of 40 × 24 ft, one of 36 × 22 ft is not: 936 and 792 of 960.
#[test]
fn a_view_that_is_nearly_as_large_as_the_plan_is_asked_about() {
    let view = |height: u32| {
        let low = 50 + height;
        lines(&format!("M500 50H860V{low}H500Z"))
            + &text((680.0, 120.0), "6/12")
            + &text((680.0, f64::from(low) + 20.0), "SOUTH ELEVATION")
    };
    assert!(is_left_out(&view(220)));
    let asked = beside_a_gable("6/12", &view(260)).unwrap_err();
    assert!(told(&asked.findings, "view-or-roof").is_some());
}

/// A shaft of 9 ft with a filled head at its end.
fn arrow(x: f64, from: f64, to: f64) -> String {
    let back = if to > from { to - 8.0 } else { to + 8.0 };
    lines(&format!("M{x} {from}V{to}"))
        + &format!(r#"<path d="M{x} {to}L{} {back}H{}z"/>"#, x - 3.0, x + 3.0)
}

/// Lines alone cannot tell a butterfly from a gable.
#[test]
fn a_butterfly_with_arrows_on_no_layer_is_told() {
    let inward = arrow(150.0, 60.0, 150.0) + &arrow(150.0, 280.0, 190.0);
    let roof = beside_a_gable("2/12", &inward).unwrap();
    let found = told(&roof.findings, "arrow-against-fall").unwrap();
    assert_eq!(found.severity, Severity::Warning);
    assert_eq!(found.places.len(), 2);
}

#[test]
fn arrows_down_a_gable_say_nothing_against_it() {
    let outward = arrow(150.0, 150.0, 60.0) + &arrow(150.0, 190.0, 280.0);
    let roof = beside_a_gable("2/12", &outward).unwrap();
    assert!(told(&roof.findings, "arrow-against-fall").is_none());
}

/// One arrow up beside one down: a leader to the ridge perhaps.
#[test]
fn an_arrow_up_the_slope_beside_others_down_is_told() {
    let both = arrow(150.0, 150.0, 60.0) + &arrow(350.0, 60.0, 150.0);
    let roof = beside_a_gable("2/12", &both).unwrap();
    assert!(told(&roof.findings, "arrow-against-fall").is_some());
}

/// 78 × 43 ft on the sheet, less the gable in it.
#[test]
fn a_note_of_pitches_in_the_frame_of_the_sheet_makes_no_face() {
    for frame in ["M10 10H790V440H10Z", "M10 10H790V440H10ZM500 10V440"] {
        let drawn = lines(frame) + &text((640.0, 215.0), "1. ROOF PITCH 4:12 MIN. FOR SHINGLES");
        let roof = beside_a_gable("6/12", &drawn).unwrap();
        assert!((plan_sqft(&roof) - 960.0).abs() < 1e-6);
        let told = told(&roof.findings, "taken-for-frame").unwrap();
        assert!(told.message.contains("4:12 MIN"), "{told:?}");
    }
}

#[test]
fn a_title_block_that_states_a_pitch_is_said_to_be_one_perhaps() {
    let drawn = lines("M510 150H790V440H510Z") + &text((640.0, 215.0), "ROOF PITCH 6:12");
    let asked = beside_a_gable("6/12", &drawn).unwrap_err();
    assert!(told(&asked.findings, "could-be-notes").is_some());
}

/// A pitch in a ring round its own letters: the shed round it is asked which way it falls, and not whether the ring is the edge.
#[test]
fn a_ring_round_a_pitch_is_no_edge_of_a_lone_shed() {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 500">
        <path d="M110 110H530V390H110Z" fill="none" stroke="black" stroke-width="1.3"/>{}
        <circle cx="320" cy="246.8" r="13" fill="none" stroke="black" stroke-width="0.5"/>{}</svg>"#,
        text((320.0, 250.0), "9/12"),
        lines("M110 420H530M110 412v16M530 412v16") + &text((320.0, 417.0), "42'-0\""),
    );
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let asked = Roof::from_drawing(&drawing, &RoofOptions::default()).unwrap_err();
    assert!(
        told(&asked.findings, "which-edge").is_none(),
        "{:?}",
        asked.findings
    );
    assert!(
        told(&asked.findings, "fall-open").is_some(),
        "{:?}",
        asked.findings
    );
}

/// An L of 40 × 24 and 16 × 12 ft with the wing flush with the main gable: the wing's eave goes on in line with it.
fn flush_wing(corner: &str) -> Result<Roof, Unsolved> {
    let labels = [
        ((250.0, 64.0), "6/12"),
        ((430.0, 170.0), "GABLE"),
        ((430.0, 355.0), "6/12"),
        ((370.0, 402.0), "GABLE"),
        ((308.0, 355.0), "6/12"),
        ((170.0, 282.0), "6/12"),
        ((75.0, 170.0), "GABLE"),
    ];
    let labels: String = labels.iter().map(|&(at, words)| text(at, words)).collect();
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 520">{}{labels}{}</svg>"#,
        lines(&format!("M50 50H450{corner}V410H290V290H50Z")),
        lines("M50 30H450M50 22v16M450 22v16") + &text((250.0, 27.0), "40'-0\""),
    );
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    Roof::from_drawing(&drawing, &RoofOptions::default())
}

#[test]
fn a_wing_flush_with_a_gable_is_refused_where_a_corner_is_drawn_between_them() {
    let refused = flush_wing("V290").unwrap_err();
    let refused = told(&refused.findings, "two-roofs-in-line").unwrap();
    assert!(refused.message.contains("6/12") && refused.message.contains("GABLE"));
    // Without the corner both texts speak of one side.
    let roof = flush_wing("").unwrap();
    assert!(told(&roof.findings, "pitch-at-gable").is_some());
}
