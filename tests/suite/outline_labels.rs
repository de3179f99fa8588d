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
}

/// A gable end whose planes beside it have the pitch that is written with it: it is told that the pitch is left out there.
#[test]
fn a_gable_with_a_pitch_in_one_text_is_a_gable() {
    let (roof, told) = roof_of(&house(&[((-0.8, 12.0), "GABLE 6/12")])).unwrap();
    let rakes = 2.0 * 12.0_f64.hypot(6.0);
    assert!((roof.true_length(EdgeClass::Rake).to_feet() - rakes).abs() < 0.01);
    assert_eq!(codes(&told), ["pitch-at-gable"]);
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
