//! Lines between two faces of one plane: a lower roof's end or a line that parts nothing, never a hip or a valley.

use eavewright::Finding;
use eavewright::roof::{EdgeClass, Roof};

use crate::support::{length, near, plan_in_feet, roof_of, with_code};

fn solve(roof: &str, pitches: &[(f64, f64, &str)], more: &str) -> Result<Roof, Vec<Finding>> {
    roof_of(plan_in_feet(roof, pitches, more).as_bytes())
}

/// Gables 40 × 28 and 24 × 24 ft at 7 in 12, their ridges in one line, and between them a breezeway 12 ft long and `wide`, its
/// ridge in that line too.
fn breezeway(wide: f64, more: &str) -> Result<Roof, Vec<Finding>> {
    let (top, foot) = (14.0 - wide / 2.0, 14.0 + wide / 2.0);
    let (north, south) = (14.0 - wide / 4.0, 14.0 + wide / 4.0);
    let pitch = |x: f64, y: f64| (x, y, "7/12");
    solve(
        &format!(
            r#"<path d="M0 0H40V28H0Z"/><path d="M0 14H40"/><path d="M40 {top}H52"/><path d="M40 {foot}H52"/>
            <path d="M40 14H52"/><path d="M52 2H76V26H52Z"/><path d="M52 14H76"/>"#
        ),
        &[
            pitch(20.0, 7.0),
            pitch(20.0, 21.0),
            pitch(64.0, 8.0),
            pitch(64.0, 20.0),
            pitch(46.0, north),
            pitch(46.0, south),
        ],
        more,
    )
}

/// By hand, at 1.157704 ft a foot up the slope: the gables keep their rakes, (4 × 14 + 4 × 12) × 1.157704 = 120.4012, and the
/// breezeway ends against both with four sidewalls, 4 × 6 × 1.157704 = 27.7849.
#[test]
fn a_breezeway_of_known_falls_ends_against_both_gables() {
    let arrows = r#"<g id="fall" fill="none" stroke="black"><path d="M10 16V24"/><path d="M10 12V4"/><path d="M58 16V24"/>
        <path d="M58 12V4"/><path d="M43 14.5V19.5"/><path d="M43 13.5V8.5"/></g>"#;
    let roof = breezeway(12.0, arrows).unwrap();
    near(length(&roof, EdgeClass::Rake), 120.4012, 1e-3);
    near(length(&roof, EdgeClass::Sidewall), 27.7849, 1e-3);
    near(length(&roof, EdgeClass::Eave), 152.0, 1e-6);
    near(length(&roof, EdgeClass::Ridge), 76.0, 1e-6);
    assert!(!with_code(&roof.findings, "steps-in-height").is_empty());
}

/// Where it is asked about, the finding says that a wall would settle it; and it does. By hand for 10 ft: sidewalls
/// 4 × 5 × 1.157704 = 23.1541.
#[test]
fn a_breezeway_without_arrows_is_asked_about_and_a_wall_settles_it() {
    let findings = breezeway(10.0, "").unwrap_err();
    let told = with_code(&findings, "line-in-one-plane");
    assert_eq!(told.len(), 1, "{findings:?}");
    assert!(told[0].message.starts_with("4 lines, 20 ft"), "{told:?}");
    assert_eq!(told[0].places.len(), 4);
    assert!(!with_code(&findings, "fall-open").is_empty());
    let wall = r#"<g id="wall" stroke="red"><path d="M40 9V19"/><path d="M52 9V19"/></g>"#;
    let roof = breezeway(10.0, wall).unwrap();
    near(length(&roof, EdgeClass::Rake), 120.4012, 1e-3);
    near(length(&roof, EdgeClass::Sidewall), 23.1541, 1e-3);
    assert!(with_code(&roof.findings, "line-in-one-plane").is_empty());
}

#[test]
fn no_breezeway_in_line_with_the_ridge_has_hips_or_valleys() {
    for wide in [3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 11.0, 12.0, 14.0, 18.0] {
        match breezeway(wide, "") {
            Ok(roof) => {
                near(length(&roof, EdgeClass::Hip), 0.0, 0.0);
                near(length(&roof, EdgeClass::Valley), 0.0, 0.0);
                // Both lines run up both slopes.
                near(
                    length(&roof, EdgeClass::InPlane),
                    2.0 * wide * 1.157704,
                    1e-3,
                );
                let told = with_code(&roof.findings, "line-in-one-plane");
                assert_eq!(told.len(), 1, "{wide}");
            }
            Err(findings) => assert!(
                !with_code(&findings, "fall-open").is_empty()
                    && !with_code(&findings, "line-in-one-plane").is_empty(),
                "{wide}: {findings:?}"
            ),
        }
    }
}

/// A gable 44 × 28 ft whose south eave has a bump of its own pitch.
fn bump(wide: f64, deep: f64, more: &str) -> Result<Roof, Vec<Finding>> {
    let (right, foot) = (12.0 + wide, 28.0 + deep);
    solve(
        &format!(
            r#"<path d="M0 0H44V28H{right}V{foot}H12V28H0Z"/><path d="M0 14H44"/><path d="M12 28H{right}"/>"#
        ),
        &[
            (30.0, 7.0, "6/12"),
            (30.0, 21.0, "6/12"),
            (12.0 + wide / 2.0, 28.0 + deep / 2.0, "6/12"),
        ],
        more,
    )
}

/// Turned round, it would fall to the eave of the house, into a trough: that is never taken without asking, whatever the rest
/// of the roof is.
#[test]
fn a_small_bump_of_the_eave_is_never_turned_into_a_trough_in_silence() {
    for (wide, deep) in [(2.0, 2.0), (3.0, 1.5), (4.0, 2.0), (5.0, 2.0), (5.5, 3.0)] {
        match bump(wide, deep, "") {
            Ok(roof) => near(length(&roof, EdgeClass::Valley), 0.0, 0.0),
            Err(findings) => {
                assert!(
                    !with_code(&findings, "fall-open").is_empty(),
                    "{wide} × {deep}: {findings:?}"
                );
            }
        }
    }
}

#[test]
fn a_line_in_one_plane_is_told_with_its_length_and_its_place() {
    let arrow = r#"<g id="fall" fill="none" stroke="black"><path d="M13 28.3V29.7"/></g>"#;
    let roof = bump(4.0, 2.0, arrow).unwrap();
    near(length(&roof, EdgeClass::PitchChange), 0.0, 0.0);
    let told = with_code(&roof.findings, "line-in-one-plane");
    assert_eq!(told.len(), 1);
    assert!(
        told[0].message.contains(", 4 ft (1.22 m) long, "),
        "{told:?}"
    );
    let at = told[0].places[0].at.unwrap();
    near(at.x, 14.0, 1e-6);
    near(at.y, -28.0, 1e-6);
}

/// A gable of 40 × 28 ft at 6 in 12 whose slopes are drawn as two faces each, with arrows in all of them: nothing stands higher than
/// the rest, so no line is a step with two rakes. By hand: rakes 4 × 14 × 1.118034 = 62.6099, and across a slope 15.6525 in one plane.
#[test]
fn lines_across_a_slope_between_faces_at_one_height_are_no_rakes() {
    let slope = 14.0 * 1.118034;
    let arrow = |x: f64, down: bool| {
        let (from, to) = if down { (17.0, 25.0) } else { (11.0, 3.0) };
        format!(r#"<path d="M{x} {from}V{to}"/>"#)
    };
    for both in [false, true] {
        let (south, pitches) = match both {
            true => (
                r#"<path d="M16 14V28"/>"#,
                vec![(8.0, 21.0, "6/12"), (28.0, 21.0, "6/12")],
            ),
            false => ("", vec![(20.0, 21.0, "6/12")]),
        };
        let lines =
            format!(r#"<path d="M0 0H40V28H0Z"/><path d="M0 14H40"/><path d="M16 14V0"/>{south}"#);
        let pitches = [vec![(8.0, 7.0, "6/12"), (28.0, 7.0, "6/12")], pitches].concat();
        let falls: String = pitches
            .iter()
            .map(|(x, y, _)| arrow(*x, *y > 14.0))
            .collect();
        let more = format!(r#"<g id="fall" fill="none" stroke="black">{falls}</g>"#);
        let roof = solve(&lines, &pitches, &more).unwrap();
        near(length(&roof, EdgeClass::Rake), 4.0 * slope, 1e-3);
        let across = if both { 2.0 } else { 1.0 };
        near(length(&roof, EdgeClass::InPlane), across * slope, 1e-3);
        assert!(with_code(&roof.findings, "steps-in-height").is_empty());
        assert_eq!(with_code(&roof.findings, "line-in-one-plane").len(), 1);
    }
}
