//! See the module of the same name in the library.

use eavewright::roof::{EdgeClass, Roof, SolveOptions};

use crate::roof_plans::{face, plan};

fn near(value: f64, expected: f64, within: f64) {
    assert!(
        (value - expected).abs() <= within,
        "{value} instead of {expected}"
    );
}

#[test]
fn a_gable_of_40_by_24_at_6_in_12_measures_as_worked_by_hand() {
    let map = plan(&[
        face(6.0, &[(0.0, 0.0), (40.0, 0.0), (40.0, 12.0), (0.0, 12.0)]),
        face(6.0, &[(0.0, 12.0), (40.0, 12.0), (40.0, 24.0), (0.0, 24.0)]),
    ]);
    let accept = SolveOptions {
        accept_falls: true,
        ..SolveOptions::default()
    };
    let roof = Roof::solve(&[map], &accept).unwrap();
    near(roof.true_area().to_square_feet(), 1073.313, 5e-4);
    near(roof.true_length(EdgeClass::Rake).to_feet(), 53.666, 5e-4);
    near(roof.true_length(EdgeClass::Eave).to_feet(), 80.0, 1e-9);
    near(roof.true_length(EdgeClass::Ridge).to_feet(), 40.0, 1e-9);
    let names: Vec<&str> = roof.faces.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(names, ["N1", "S1"]);
}

#[test]
fn a_hip_roof_of_40_by_24_has_a_ridge_of_16_and_hips_of_18() {
    let map = plan(&[
        face(6.0, &[(0.0, 0.0), (40.0, 0.0), (28.0, 12.0), (12.0, 12.0)]),
        face(6.0, &[(40.0, 0.0), (40.0, 24.0), (28.0, 12.0)]),
        face(
            6.0,
            &[(40.0, 24.0), (0.0, 24.0), (12.0, 12.0), (28.0, 12.0)],
        ),
        face(6.0, &[(0.0, 24.0), (0.0, 0.0), (12.0, 12.0)]),
    ]);
    let roof = Roof::solve(&[map], &SolveOptions::default()).unwrap();
    near(roof.true_area().to_square_feet(), 1073.313, 5e-4);
    near(roof.true_length(EdgeClass::Hip).to_feet(), 72.0, 1e-6);
    near(roof.true_length(EdgeClass::Ridge).to_feet(), 16.0, 1e-6);
    near(roof.true_length(EdgeClass::Eave).to_feet(), 128.0, 1e-6);
}
