//! Lines and pitches that cannot be true together: told with size, place and the pitch that fits, however the pitch is written,
//! and taken off at the pitches written.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{EdgeClass, Face};
use eavewright::{Finding, Severity};

use crate::support::{near, plan_in_feet, roof_of, with_code};

/// A hip roof of 40 × 24 ft whose ridge ends are `run` ft inside the ends.
fn hip(run: f64, sides: &str, ends: &str, more: &str) -> String {
    let (west, east) = (run, 40.0 - run);
    let lines = format!(
        r#"<path d="M0 0H40V24H0Z M0 0L{west} 12L0 24 M40 0L{east} 12L40 24 M{west} 12H{east}"/>"#
    );
    let pitches = [
        (20.0, 5.0, sides),
        (20.0, 19.0, sides),
        (3.0, 12.0, ends),
        (37.0, 12.0, ends),
    ];
    plan_in_feet(&lines, &pitches, more)
}

/// The area of a face's polygon in space: half the length of Σ pᵢ × pᵢ₊₁.
fn polygon_sqft(face: &Face) -> f64 {
    let corners = &face.outline.corners;
    let mut sum = [0.0; 3];
    for (i, p) in corners.iter().enumerate() {
        let q = corners[(i + 1) % corners.len()];
        sum[0] += p.y * q.z - p.z * q.y;
        sum[1] += p.z * q.x - p.x * q.z;
        sum[2] += p.x * q.y - p.y * q.x;
    }
    sum.iter().map(|v| v * v).sum::<f64>().sqrt() / 2.0
}

/// By hand: at the ridge's end the long faces are 12 · 6/12 = 6 ft high and the ends 14 · 6/12 = 7 ft: 1 ft apart, and since their
/// gradients differ by 0.5 √2 the hips lie 1 / 0.7071 = 1.414 ft off. The long faces cover (40 + 12) / 2 · 12 = 312 ft², the
/// ends 24 · 14 / 2 = 168 ft²; times √1.25 that is 348.83 and 187.83. Ends of 12 · 6/14 = 5.14 in 12 fit, or sides of 7 in 12.
#[test]
fn hips_two_feet_too_long_are_told_alike_however_the_pitch_is_written_and_taken_off_as_written() {
    for label in ["6/12", "6.0/12", "6:12", "50%"] {
        let roof = roof_of(hip(14.0, label, label, "").as_bytes()).unwrap();
        let told = with_code(&roof.findings, "planes-do-not-meet");
        assert_eq!(told.len(), 4, "{label}: {:?}", roof.findings);
        for finding in told {
            assert_eq!(finding.severity, Severity::Warning);
            assert!(finding.message.contains("the hip from"), "{finding:?}");
            assert!(finding.message.contains("1 ft 5 in (43"), "{finding:?}");
            assert!(finding.message.contains("5.14/12"), "{finding:?}");
            assert!(finding.message.contains("7/12"), "{finding:?}");
        }
        for face in &roof.faces {
            near(face.plane.gradient.length(), 0.5, 1e-3);
            near(polygon_sqft(face), face.true_area.to_square_feet(), 0.2);
        }
        let check = |what: &str| {
            let mut all = roof.checks.iter();
            all.find(|c| c.what.starts_with(what)).unwrap()
        };
        let planes = check("planes agree");
        assert!(!planes.holds());
        near(planes.residual, 1.0, 0.02);
        assert!(!check("hips and valleys are drawn where").holds());
        near(roof.true_area().to_square_feet(), 1073.31, 0.01);
        near(roof.true_length(EdgeClass::Eave).to_feet(), 128.0, 0.01);
    }
}

/// By hand: 12 · 6/12 = 6 ft against 9 · 6/12 = 4.5 ft, 1.5 ft apart, the hips 1.5 / 0.7071 = 2.12 ft off: an eighth of
/// √(24 · 9 / 2 ft²) is 1.30 ft. Ends of 8 in 12 fit: 9 · 8/12 = 6.
#[test]
fn hips_far_off_are_refused_for_their_pitches_and_no_arrow_is_asked_for() {
    let arrows = r#"<g id="fall" stroke="blue"><path d="M20 8V4"/><path d="M20 16V20"/><path d="M5 11H2"/><path d="M35 11H38"/></g>"#;
    for (label, more) in [
        ("6/12", ""),
        ("6.0/12", ""),
        ("26.6°", ""),
        ("6/12", arrows),
    ] {
        let findings = roof_of(hip(9.0, label, label, more).as_bytes()).unwrap_err();
        let told = with_code(&findings, "planes-do-not-meet");
        assert_eq!(told.len(), 4, "{label}: {findings:?}");
        for finding in told {
            assert_eq!(finding.severity, Severity::Error);
            assert!(finding.message.contains("the hip from"), "{finding:?}");
            assert!(finding.message.contains("8/12") || label != "6/12");
        }
        assert!(with_code(&findings, "fall-open").is_empty(), "{findings:?}");
        assert!(with_code(&findings, "steps-in-height").is_empty());
    }
    let fits = roof_of(hip(9.0, "6/12", "8/12", "").as_bytes()).unwrap();
    assert!(with_code(&fits.findings, "planes-do-not-meet").is_empty());
}

/// By hand: a hip of 12 ft of run, its end at 6.5 in 12 and its sides at 6 in 12: 6.5 and 6 ft, 0.5 ft apart; the gradients differ
/// by √(0.5² + 0.5417²) = 0.737, so that the hips lie 0.68 ft, 8 in, off.
#[test]
fn pitches_that_differ_by_no_more_than_their_rounding_are_told_with_the_hip_they_part_along() {
    let roof = roof_of(hip(12.0, "6/12", "6.5/12", "").as_bytes()).unwrap();
    let told = with_code(&roof.findings, "pitches-part-at-lines");
    assert_eq!(told.len(), 1, "{:?}", roof.findings);
    assert!(told[0].message.contains("6 in (15"), "{:?}", told[0]);
    assert!(told[0].message.contains("along the hip"), "{:?}", told[0]);
    assert_eq!(told[0].places.len(), 4);
    for face in &roof.faces {
        let pitch = face.pitch.to_rise_per_run();
        near(face.plane.gradient.length(), pitch, 1e-3);
    }
}

/// By hand: 24 ft wide with the ridge at 12.5 ft: 12.5 · 6/12 = 6.25 ft on one side and 11.5 · 6/12 = 5.75 ft on the other.
#[test]
fn eaves_half_a_foot_apart_beside_a_ridge_are_noted() {
    let gable = |ridge: f64| {
        let lines = format!(r#"<path d="M0 0H40V24H0Z M0 {ridge}H40"/>"#);
        let pitches = [(20.0, 5.0, "6/12"), (20.0, 19.0, "6/12")];
        roof_of(plan_in_feet(&lines, &pitches, "").as_bytes()).unwrap()
    };
    let roof = gable(12.5);
    let told = with_code(&roof.findings, "eaves-at-two-heights");
    assert_eq!(told.len(), 1, "{:?}", roof.findings);
    assert!(told[0].message.contains("6 in (152 mm)"), "{:?}", told[0]);
    assert!(with_code(&gable(12.0).findings, "eaves-at-two-heights").is_empty());
}

/// One half of a slope parted off by a line and left without its pitch.
#[test]
fn a_face_whose_pitch_is_missing_is_told_so_and_not_asked_for_its_fall() {
    let lines = r#"<path d="M0 0H40V24H0Z M0 12H40 M20 0V12"/>"#;
    let pitches = [(30.0, 5.0, "6/12"), (20.0, 19.0, "6/12")];
    let findings = roof_of(plan_in_feet(lines, &pitches, "").as_bytes()).unwrap_err();
    let codes: Vec<&str> = findings.iter().map(|f| f.code).collect();
    assert!(!codes.contains(&"fall-open"), "{findings:?}");
    let told = findings.iter().find(|f| f.severity == Severity::Error);
    assert!(told.unwrap().message.contains("no pitch"), "{findings:?}");
}

/// A mansard of 42 × 30 ft: steep slopes 3 ft deep, flat ones 6 ft more, a level deck of 24 × 12 ft on top. Were the flat slopes
/// turned to fall inward, water would stand on the deck. By hand: pitch changes round the deck, 2 · (24 + 12) = 72 ft, and between the
/// slopes, 2 · (36 + 24) = 120 ft; hips 4 · √(3² + 3² + 6²) + 4 · √(6² + 6² + 2²) = 29.39 + 34.87 = 64.27 ft; no valley.
#[test]
fn a_level_deck_is_no_pond_so_a_mansard_with_one_is_settled() {
    let lines = r#"<path d="M0 0H42V30H0Z M3 3H39V27H3Z M9 9H33V21H9Z
        M0 0L9 9 M42 0L33 9 M42 30L33 21 M0 30L9 21"/>"#;
    let pitches = [
        (21.0, 1.5, "24/12"),
        (21.0, 28.5, "24/12"),
        (1.5, 15.0, "24/12"),
        (40.5, 15.0, "24/12"),
        (21.0, 6.0, "4/12"),
        (21.0, 24.0, "4/12"),
        (6.0, 15.0, "4/12"),
        (36.0, 15.0, "4/12"),
        (21.0, 15.0, "flat"),
    ];
    let roof = roof_of(plan_in_feet(lines, &pitches, "").as_bytes()).unwrap();
    near(
        roof.true_length(EdgeClass::PitchChange).to_feet(),
        192.0,
        0.01,
    );
    near(roof.true_length(EdgeClass::Hip).to_feet(), 64.266, 0.01);
    near(roof.true_length(EdgeClass::Valley).to_feet(), 0.0, 0.0);
    let highest = roof.faces.iter().flat_map(|f| &f.outline.corners);
    near(highest.map(|p| p.z).fold(0.0, f64::max), 8.0, 0.01);
}

/// The wall beside a shed's rake, 0.3 ft off it where 0.25 ft is joined.
#[test]
fn a_wall_on_which_no_edge_lies_is_told_with_its_place_and_distance() {
    let shed = |x: f64| {
        let wall = format!(r#"<g id="wall" stroke="red"><path d="M{x} 0V14"/></g>"#);
        let svg = plan_in_feet(
            r#"<path d="M0 0H30V14H0Z"/>"#,
            &[(15.0, 7.0, "5/12")],
            &wall,
        );
        let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
        let maps = map::build(&drawing, &MapOptions::default()).unwrap();
        let told = with_code(&maps[0].findings, "wall-off-the-edges");
        told.into_iter().cloned().collect::<Vec<Finding>>()
    };
    let [told] = &shed(-0.3)[..] else {
        unreachable!("one wall is off")
    };
    assert!(told.message.contains("0.30 ft"), "{told:?}");
    assert_eq!(told.places.len(), 1);
    assert!(shed(-0.2).is_empty());
}

/// A gable wing on a gable, all lines those of 6 in 12, with another pitch written in one of the wing's faces: that face is told to
/// fit at 6 in 12, and no face that has 6/12 written in it.
#[test]
fn a_face_that_would_fit_as_it_is_labelled_is_not_told_to_be_changed() {
    let lines = r#"<path d="M0 0H40V24H28V34H12V24H0Z M0 12H40 M12 24L20 16L28 24 M20 34V16"/>"#;
    for wrong in ["4/12", "8/12", "9/12"] {
        let pitches = [
            (6.0, 19.0, "6/12"),
            (20.0, 7.0, "6/12"),
            (15.5, 28.0, wrong),
            (24.5, 28.0, "6/12"),
        ];
        let drawing = Drawing::read(
            plan_in_feet(lines, &pitches, "").as_bytes(),
            &ReadOptions::default(),
        )
        .unwrap();
        let maps = map::build(&drawing, &MapOptions::default()).unwrap();
        let options = eavewright::roof::SolveOptions {
            tell_misfits: true,
            accept_falls: true,
            ..Default::default()
        };
        let roof = eavewright::roof::Roof::solve(&maps, &options).unwrap();
        let told = with_code(&roof.findings, "planes-do-not-meet");
        assert!(!told.is_empty(), "{wrong}");
        for finding in &told {
            let said = &finding.message;
            assert!(!said.contains("6/12 instead of 6/12"), "{said}");
            // Of two faces that would fit each is named with its place.
            assert!(!said.contains("or with 6/12"), "{said}");
        }
        let mends = format!("the lines would fit with 6/12 instead of {wrong} in the face at ");
        assert!(
            told.iter().any(|f| f.message.contains(&mends)),
            "{wrong}: {told:?}"
        );
    }
}
