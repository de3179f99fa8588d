//! A corner set a hair off a straight side while tracing is no corner of the roof; what bends on purpose stays.

use eavewright::roof::EdgeClass;

use crate::outline_aligned::{Written, page, roof_of};

/// 40 × 24 ft, its south side with more corners, at these places along it and so far off.
fn house(more: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut corners = vec![(0.0, 0.0)];
    corners.extend_from_slice(more);
    corners.extend([(40.0, 0.0), (40.0, 24.0), (0.0, 24.0)]);
    corners
}

fn in_the_middle() -> Written {
    Written {
        sides: Vec::new(),
        elsewhere: vec![((20.0, 12.0), "6/12")],
    }
}

/// Four hips of 12 ft run, √(12² + 12² + 6²) = 18 ft.
#[test]
fn a_corner_a_hair_off_an_eave_makes_no_hip_and_is_told() {
    for off in [0.01, -0.01, 0.03, 0.1, -0.14] {
        for degrees in [0.0, 17.0] {
            let svg = page(&house(&[(17.0, off)]), &in_the_middle(), degrees);
            let (roof, told) = roof_of(&svg).unwrap();
            let hips = roof.true_length(EdgeClass::Hip).to_feet();
            assert_eq!(roof.faces.len(), 4, "{off}");
            assert!((hips - 72.0).abs() < 0.01, "{off}: {hips}");
            let told = told.iter().filter(|f| f.code == "outline-corner-taken-out");
            assert_eq!(told.count(), 1, "{off}");
        }
    }
    // Two corners in one side, one to each side of it.
    let svg = page(
        &house(&[(13.0, 0.03), (27.0, -0.02)]),
        &in_the_middle(),
        0.0,
    );
    let (roof, _) = roof_of(&svg).unwrap();
    assert!((roof.true_length(EdgeClass::Hip).to_feet() - 72.0).abs() < 0.01);
}

/// 40 ft of ridge, 24 ft √1.25 of rakes at each end.
#[test]
fn labels_at_the_sides_hold_for_a_side_with_a_corner_a_hair_off_it() {
    let written = Written {
        sides: vec!["6/12", "", "gable", "6/12", "gable"],
        elsewhere: Vec::new(),
    };
    let (roof, _) = roof_of(&page(&house(&[(17.0, -0.02)]), &written, 0.0)).unwrap();
    let lengths = [EdgeClass::Ridge, EdgeClass::Rake, EdgeClass::Hip];
    let lengths = lengths.map(|class| roof.true_length(class).to_feet());
    let rakes = 2.0 * 24.0 * 1.25_f64.sqrt();
    for (length, wanted) in lengths.into_iter().zip([40.0, rakes, 0.0]) {
        assert!((length - wanted).abs() < 0.01, "{lengths:?}");
    }
}

/// 0.5 ft off: more than a tracing's hair, so that the side bends: five faces.
#[test]
fn a_side_that_bends_stays_bent() {
    for off in [-0.5, -2.0] {
        let svg = page(&house(&[(20.0, off)]), &in_the_middle(), 0.0);
        let (roof, told) = roof_of(&svg).unwrap();
        assert_eq!(roof.faces.len(), 5, "{off}");
        assert!(told.iter().all(|f| f.code != "outline-corner-taken-out"));
    }
}
