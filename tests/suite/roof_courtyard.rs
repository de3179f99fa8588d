//! Areas without a pitch in the middle of a roof: a court that slopes fall into, or a slope that was forgotten.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::{Roof, RoofOptions};

/// Four slopes of 4 in 12 round a square of 20 by 20 ft in the middle of 60 by 60 ft, one drawing unit a foot, and more.
fn round_a_square(more: &str) -> Result<Roof, Vec<Finding>> {
    let plan = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 80 90">
<g id="roof" fill="none" stroke="#000">
<path d="M10 10H70V70H10ZM30 30H50V50H30ZM10 10L30 30M70 10L50 30M70 70L50 50M10 70L30 50"/></g>
<g id="pitch"><text x="38" y="20" font-size="3">4/12</text><text x="38" y="62" font-size="3">4/12</text>
<text x="14" y="40" font-size="3">4/12</text><text x="58" y="40" font-size="3">4/12</text></g>
<g id="scale"><line x1="10" y1="80" x2="70" y2="80" stroke="#000"/>
<text x="36" y="79" font-size="3">60'-0"</text></g>{more}</svg>"##
    );
    let drawing = Drawing::read(plan.as_bytes(), &ReadOptions::default()).unwrap();
    Roof::from_drawing(&drawing, &RoofOptions::default()).map_err(|unsolved| unsolved.findings)
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|f| f.code).collect()
}

/// A flat top, or a lantern, whose pitch was not written.
#[test]
fn what_all_slopes_rise_to_is_no_courtyard_and_its_pitch_is_asked_for() {
    let findings = round_a_square("").unwrap_err();
    assert_eq!(codes(&findings), ["face-without-pitch"]);
    assert!(findings[0].message.contains("rises to it"), "{findings:?}");
    let at = findings[0].places[0].at.unwrap();
    assert!((at.x - 40.0).hypot(at.y + 40.0) < 1.0, "{at:?}");
}

#[test]
fn a_hole_that_is_drawn_as_an_opening_is_left_out_without_a_word_of_courtyards() {
    let opening = r##"<g id="opening" fill="none" stroke="#000"><path d="M30 30H50V50H30Z"/></g>"##;
    let roof = round_a_square(opening).unwrap();
    let told = codes(&roof.findings);
    assert!(!told.contains(&"taken-for-courtyard") && !told.contains(&"opening-outside"));
    let plan: f64 = roof
        .faces
        .iter()
        .map(|f| f.plan_area.to_square_feet())
        .sum();
    assert!((plan - 3200.0).abs() < 1e-6, "{plan}");
}

#[test]
fn a_court_that_the_slopes_fall_into_is_taken_for_one_and_that_is_told() {
    let falls = r##"<g id="fall" fill="none" stroke="#000"><path d="M40 24V28L39 27M40 28L41 27"/>
<path d="M40 58V53L39 54M40 53L41 54"/><path d="M24 36H28L27 35M28 36L27 37"/><path d="M57 36H53L54 35M53 36L54 37"/></g>"##;
    let roof = round_a_square(falls).unwrap();
    assert!(codes(&roof.findings).contains(&"taken-for-courtyard"));
}
