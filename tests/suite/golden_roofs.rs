//! Roofs worked by hand, each with its working and source beside it in `fixtures/roofs/<name>/expected.toml`.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use eavewright::roof::{EdgeClass, Roof};
use serde::Deserialize;

use crate::support::roof_of;

/// Feet and square feet, printed by hand to four decimals.
const TOLERANCE: f64 = 0.0006;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    plan_area: f64,
    true_area: f64,
    /// True area of each face by its name.
    faces: BTreeMap<String, f64>,
    /// True length by class; classes not named have none.
    lengths: BTreeMap<String, f64>,
}

fn fixtures() -> Vec<PathBuf> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs");
    let mut folders: Vec<PathBuf> = fs::read_dir(root)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    folders.sort();
    assert!(folders.len() >= 29, "fixtures are missing");
    folders
}

fn differences(roof: &Roof, expected: &Expected) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut check = |what: String, got: f64, want: f64| {
        if (got - want).abs() > TOLERANCE {
            wrong.push(format!("{what}: {got:.4}, worked by hand {want:.4}"));
        }
    };
    check(
        "plan area".into(),
        roof.plan_area().to_square_feet(),
        expected.plan_area,
    );
    check(
        "true area".into(),
        roof.true_area().to_square_feet(),
        expected.true_area,
    );
    for class in EdgeClass::ALL {
        let want = expected.lengths.get(class.key()).copied().unwrap_or(0.0);
        check(
            class.words().into(),
            roof.true_length(class).to_feet(),
            want,
        );
    }
    for face in &roof.faces {
        let want = expected.faces.get(&face.name).copied();
        check(
            format!("face {}", face.name),
            face.true_area.to_square_feet(),
            want.unwrap_or(0.0),
        );
    }
    if roof.faces.len() != expected.faces.len() {
        wrong.push(format!(
            "{} faces, not {}",
            roof.faces.len(),
            expected.faces.len()
        ));
    }
    wrong
}

#[test]
fn every_roof_worked_by_hand_comes_out_as_worked() {
    let mut wrong = Vec::new();
    for folder in fixtures() {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let expected: Expected =
            toml::from_str(&fs::read_to_string(folder.join("expected.toml")).unwrap()).unwrap();
        match roof_of(&fs::read(folder.join("plan.svg")).unwrap()) {
            Ok(roof) => wrong.extend(
                differences(&roof, &expected)
                    .into_iter()
                    .map(|d| format!("{name}: {d}")),
            ),
            Err(findings) => {
                wrong.extend(findings.iter().map(|f| format!("{name}: {}", f.message)))
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}
