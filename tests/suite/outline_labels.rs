//! What is written at the sides of an outline, and in its middle: nothing is taken for another side's, and nothing of two
//! that contradict each other.

use eavewright::roof::EdgeClass;
use eavewright::{Finding, Severity};

use crate::outline_aligned::{Written, page, roof_of};

/// A house of 40 by 24 ft.
const HOUSE: [(f64, f64); 4] = [(0.0, 0.0), (40.0, 0.0), (40.0, 24.0), (0.0, 24.0)];

fn house(elsewhere: &[((f64, f64), &'static str)]) -> String {
    let written = Written {
        sides: Vec::new(),
        elsewhere: [&[((20.0, 14.0), "6/12")], elsewhere].concat(),
    };
    page(&HOUSE, &written, 0.0)
}

#[track_caller]
fn refused(svg: &str, code: &str) -> Finding {
    let errors = roof_of(svg).unwrap_err();
    let found = errors.iter().find(|f| f.code == code);
    found.unwrap_or_else(|| panic!("{errors:?}")).clone()
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings
        .iter()
        .filter(|f| f.severity != Severity::Note)
        .map(|f| f.code)
        .collect()
}

/// Hips of 18 ft at all corners and a ridge of 16, as without any height.
#[test]
fn a_height_of_the_eave_in_the_middle_is_that_of_all_eaves() {
    let (roof, told) = roof_of(&house(&[((20.0, 11.0), "EAVE 9'-0\"")])).unwrap();
    assert_eq!(codes(&told), Vec::<&str>::new());
    assert!((roof.true_length(EdgeClass::Hip).to_feet() - 72.0).abs() < 0.01);
    assert!((roof.true_length(EdgeClass::Ridge).to_feet() - 16.0).abs() < 0.01);
}

#[test]
fn two_heights_at_one_eave_are_refused_in_either_order() {
    let (low, high) = (((18.0, -0.8), "EAVE 9'"), ((22.0, -0.8), "EAVE 11'"));
    for labels in [[low, high], [high, low]] {
        refused(&house(&labels), "two-eave-heights");
    }
    let twice = house(&[((10.0, -0.8), "EAVE 3'"), ((30.0, -0.8), "EAVE HT 3'-0\"")]);
    let told = roof_of(&twice).unwrap().1;
    assert_eq!(codes(&told), Vec::<&str>::new());
}

#[test]
fn a_side_that_is_called_a_gable_and_a_wall_is_refused() {
    let labels = [((18.0, -0.8), "GABLE"), ((22.0, -0.8), "WALL")];
    let found = refused(&house(&labels), "gable-and-wall");
    assert!(found.message.contains("WALL"), "{}", found.message);
}

#[test]
fn a_gable_in_the_middle_is_asked_about_since_it_is_beside_no_side() {
    for word in ["GABLE", "WALL"] {
        let found = refused(&house(&[((20.0, 11.0), word)]), "side-label-in-the-middle");
        assert!(found.message.contains(word), "{}", found.message);
    }
}

/// The gable's label stands 5 ft inside, which is farther than a pitch may: it can only speak of a side.
#[test]
fn a_gable_well_inside_its_side_is_still_its_own() {
    let (roof, _) = roof_of(&house(&[((5.0, 12.0), "GABLE")])).unwrap();
    let rakes = 2.0 * 12.0_f64.hypot(6.0);
    assert!((roof.true_length(EdgeClass::Rake).to_feet() - rakes).abs() < 0.01);
}

#[test]
fn one_pitch_written_twice_at_one_side_is_used_and_nothing_else_is_said() {
    let labels = [((10.0, -0.8), "6/12"), ((30.0, -0.8), "6/12")];
    let (_, told) = roof_of(&house(&labels)).unwrap();
    assert_eq!(codes(&told), Vec::<&str>::new());
    let labels = [((10.0, -0.8), "6/12"), ((30.0, -0.8), "8/12")];
    refused(&house(&labels), "two-pitches");
    // 26.6° is 6.01 in 12, 37° is 9.04: the one says what 6/12 says, the other does not, and is told as people write it.
    let labels = [((10.0, -0.8), "6/12"), ((30.0, -0.8), "26.6°")];
    let (_, told) = roof_of(&house(&labels)).unwrap();
    assert_eq!(codes(&told), Vec::<&str>::new());
    let labels = [((10.0, -0.8), "37°"), ((30.0, -0.8), "6/12")];
    let found = refused(&house(&labels), "two-pitches");
    assert!(
        found.message.contains("9.04/12 and “6/12”"),
        "{}",
        found.message
    );
}

/// A gable end whose planes beside it have the pitch that is written with it: it is told that the pitch is left out there.
#[test]
fn a_gable_with_a_pitch_in_one_text_is_a_gable() {
    let (roof, told) = roof_of(&house(&[((-0.8, 12.0), "GABLE 6/12")])).unwrap();
    let rakes = 2.0 * 12.0_f64.hypot(6.0);
    assert!((roof.true_length(EdgeClass::Rake).to_feet() - rakes).abs() < 0.01);
    assert_eq!(codes(&told), ["pitch-at-gable"]);
    let (_, told) = roof_of(&house(&[((-0.8, 12.0), "GABLE 37°")])).unwrap();
    let said = told.iter().find(|f| f.code == "pitch-at-gable").unwrap();
    assert!(
        said.message.contains("a pitch of 9.04/12 beside it"),
        "{}",
        said.message
    );
}

#[test]
fn words_at_a_side_that_are_not_understood_are_told_where_the_outline_alone_is_drawn() {
    let labels = [
        ((-0.8, 12.0), "GABLE WAL"),
        ((100.0, 100.0), "WALL SECTION"),
    ];
    let (_, told) = roof_of(&house(&labels)).unwrap();
    assert_eq!(codes(&told), ["side-label-unread"]);
    let (_, told) = roof_of(&house(&[((20.0, -0.8), "EAVE LINE")])).unwrap();
    assert_eq!(codes(&told), Vec::<&str>::new());
}

/// The south eave at 9 ft and the north one at 13 would move the ridge; neither is an eave's height in so many words.
#[test]
fn heights_of_plates_and_walls_beside_an_outline_are_told_and_not_dropped() {
    for (south, north) in [
        ("PLATE HT. 9'-0\"", "PLATE HT. 13'-0\""),
        ("TOP OF WALL 9'-0\"", "TOP OF WALL 13'-0\""),
        ("LOW EAVE +9'-0\"", "HIGH EAVE +13'-0\""),
    ] {
        let more = [((20.0, -3.0), south), ((20.0, 27.0), north)];
        let (areas, told) = halves(&gabled("6/12", "12/12", &more));
        near(areas, [640.0, 320.0]);
        let named = |text| told.iter().any(|f| f.message.contains(text));
        assert_eq!(codes(&told), ["side-label-unread"; 2]);
        assert!(named(south) && named(north), "{told:?}");
    }
    let (_, told) = halves(&gabled("6/12", "6/12", &[((20.0, -3.0), "FASCIA 1X8")]));
    assert_eq!(codes(&told), Vec::<&str>::new());
}

/// The house with gables at both ends and words at its long sides.
fn gabled(south: &'static str, north: &'static str, more: &[((f64, f64), &'static str)]) -> String {
    let words = Written {
        sides: vec![south, "gable", north, "gable"],
        elsewhere: more.to_vec(),
    };
    page(&HOUSE, &words, 0.0)
}

/// The plan areas of the south face and of the north one.
fn halves(svg: &str) -> ([f64; 2], Vec<Finding>) {
    let (roof, told) = roof_of(svg).unwrap();
    let area = |is_south: bool| {
        let mut faces = roof.faces.iter();
        let face = faces.find(|f| (f.plane.gradient.y > 0.0) == is_south);
        face.map_or(0.0, |f| f.plan_area.to_square_feet())
    };
    ([area(true), area(false)], told)
}

#[track_caller]
fn near(got: [f64; 2], wanted: [f64; 2]) {
    let off = got.iter().zip(wanted).map(|(a, b)| (a - b).abs());
    assert!(off.fold(0.0, f64::max) < 0.01, "{got:?} for {wanted:?}");
}

/// The south eave at 9 ft and the north one at 11: 9 + y/2 = 11 + (24 - y)/2 at y = 14 ft, so 40 × 14 and 40 × 10 ft².
#[test]
fn a_pitch_and_the_height_of_the_eave_in_one_text_are_both_used() {
    for (south, north) in [
        ("6/12 eave 9'", "6/12 eave 11'"),
        ("6/12, EAVE 9'-0\"", "6/12, EAVE 11'-0\""),
        ("eave 9' 6/12", "6/12 @ eave 11'"),
    ] {
        let (areas, told) = halves(&gabled(south, north, &[]));
        near(areas, [560.0, 400.0]);
        assert_eq!(codes(&told), Vec::<&str>::new(), "{south}");
    }
    let (areas, told) = halves(&gabled("6/12, eave nine", "6/12", &[]));
    near(areas, [480.0, 480.0]);
    assert_eq!(codes(&told), ["side-label-unread"]);
}

#[test]
fn a_pitch_with_gable_after_it_is_a_gable() {
    let (roof, told) = roof_of(&house(&[((-0.8, 12.0), "6/12 GABLE")])).unwrap();
    let rakes = 2.0 * 12.0_f64.hypot(6.0);
    assert!((roof.true_length(EdgeClass::Rake).to_feet() - rakes).abs() < 0.01);
    assert_eq!(codes(&told), ["pitch-at-gable"]);
}

#[test]
fn eaves_that_say_nothing_are_as_high_as_the_one_height_that_is_named() {
    let (areas, told) = halves(&gabled("6/12 eave 9'", "6/12", &[]));
    near(areas, [480.0, 480.0]);
    let assumed = told.iter().find(|f| f.code == "eave-heights-assumed");
    let message = &assumed.unwrap().message;
    assert!(message.contains("9 ft (2.74 m)"), "{message}");
    // With a height in the middle, that is what the silent ones have.
    let (areas, _) = halves(&gabled(
        "6/12 eave 9'",
        "6/12",
        &[((20.0, 12.0), "eave 11'")],
    ));
    near(areas, [560.0, 400.0]);
}

#[test]
fn an_eave_that_says_nothing_between_eaves_of_two_heights_is_asked_about() {
    let labels = [((10.0, -0.8), "eave 9'"), ((10.0, 24.8), "eave 11'")];
    let errors = roof_of(&house(&labels)).unwrap_err();
    let asked = errors
        .iter()
        .filter(|f| f.code == "side-without-eave-height");
    let asked: Vec<&Finding> = asked.collect();
    assert_eq!(asked.len(), 2, "{errors:?}");
    let heights = "9 ft (2.74 m), 11 ft (3.35 m)";
    assert!(asked[0].message.contains(heights), "{}", asked[0].message);
}

#[test]
fn the_height_of_an_eave_at_a_gable_is_told_to_be_left_out() {
    let (_, told) = halves(&gabled("6/12", "6/12", &[((-0.8, 6.0), "eave 9'")]));
    assert!(
        told.iter().any(|f| f.code == "eave-height-at-gable"),
        "{told:?}"
    );
}

/// A corner drawn in the straight south side, 6 in 12 to the left of it and 8 in 12 to the right.
#[test]
fn two_pitches_along_one_straight_eave_are_refused_with_both_ways_out() {
    let corners = [
        (0.0, 0.0),
        (20.0, 0.0),
        (40.0, 0.0),
        (40.0, 24.0),
        (0.0, 24.0),
    ];
    let words = Written {
        sides: vec!["6/12", "8/12", "gable", "6/12", "gable"],
        elsewhere: Vec::new(),
    };
    let found = refused(&page(&corners, &words, 0.0), "two-pitches");
    assert!(
        found.message.contains("6/12") && found.message.contains("8/12"),
        "{}",
        found.message
    );
    for way_out in ["one pitch", "a wall can stand between", "move it nearer"] {
        assert!(found.remedy.contains(way_out), "{}", found.remedy);
    }
}

#[test]
fn two_gables_at_one_corner_are_told_with_the_rule_that_they_are_built_by() {
    let labels = [((20.0, -0.8), "gable"), ((-0.8, 12.0), "gable")];
    let (_, told) = roof_of(&house(&labels)).unwrap();
    let found = told
        .iter()
        .find(|f| f.code == "gables-at-one-corner")
        .unwrap();
    assert!(found.message.contains("stand still"), "{}", found.message);
    // Walls on both sides of a corner are drawn there.
    let labels = [((20.0, -0.8), "wall"), ((-0.8, 12.0), "wall")];
    let (_, told) = roof_of(&house(&labels)).unwrap();
    assert_eq!(codes(&told), Vec::<&str>::new());
}
