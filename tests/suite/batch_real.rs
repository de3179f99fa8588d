//! The open real roofs as one batch, and how far its table is from the truth about them.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::support::shared_data;

/// What became of one set of plans.
#[derive(Default)]
struct Outcomes {
    plans: usize,
    asked: usize,
    /// Per cent of the true area, of those that were taken off.
    errors: Vec<f64>,
}

fn class_and_area(folder: &Path) -> BTreeMap<String, (String, f64)> {
    let index: Value =
        serde_json::from_slice(&fs::read(folder.join("index.json")).unwrap()).unwrap();
    let roofs = index.as_array().unwrap().iter();
    roofs
        .map(|roof| {
            let text = |key: &str| roof[key].as_str().unwrap().to_owned();
            (
                text("id"),
                (text("cls"), roof["true_area"].as_f64().unwrap()),
            )
        })
        .collect()
}

fn outcomes(
    truth: &BTreeMap<String, (String, f64)>,
    table: &Path,
) -> BTreeMap<(bool, String), Outcomes> {
    let mut sets: BTreeMap<(bool, String), Outcomes> = BTreeMap::new();
    let mut reader = csv::Reader::from_path(table).unwrap();
    for row in reader.deserialize::<BTreeMap<String, String>>() {
        let row = row.unwrap();
        let name = row["plan"].strip_suffix(".svg").unwrap();
        let badly = name.ends_with(".noisy");
        let (class, area) = &truth[name.trim_end_matches(".noisy")];
        let set = sets.entry((badly, class.clone())).or_default();
        set.plans += 1;
        if row["outcome"] == "done" {
            let ours: f64 = row["true_area"].parse().unwrap();
            set.errors.push(100.0 * (ours / area - 1.0).abs());
        } else {
            assert_eq!(row["first_code"], "fall-open", "{}", row["plan"]);
            set.asked += 1;
        }
    }
    sets.values_mut()
        .for_each(|set| set.errors.sort_by(f64::total_cmp));
    sets
}

#[test]
fn the_real_roofs_in_one_batch_are_right_or_asked_about() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let out = tempfile::tempdir().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .arg("batch")
        .arg(folder.join("*.svg"))
        .args(["--units", "m", "--out"])
        .arg(out.path())
        .output()
        .unwrap();
    assert_eq!(
        output.status.code(),
        Some(1),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let sets = outcomes(&class_and_area(&folder), &out.path().join("plans.csv"));
    for ((badly, class), set) in &sets {
        let at = |part: f64| {
            set.errors
                .get((part * (set.errors.len().max(1) - 1) as f64) as usize)
                .copied()
        };
        let (middle, most, worst) = (at(0.5), at(0.9), at(1.0));
        eprintln!(
            "{class}, {}: {} plans, {} asked, area off by {middle:.3?} {most:.3?} {worst:.3?} %",
            if *badly { "badly" } else { "carefully" },
            set.plans,
            set.asked
        );
        let limit = if *badly { 1.2 } else { 0.1 };
        assert!(worst.unwrap_or(0.0) < limit);
        if class != "stepped" {
            assert!(
                set.errors.len() * 3 >= set.plans * 2,
                "{class}: too many are asked about"
            );
        }
    }
    assert_eq!(sets.values().map(|s| s.plans).sum::<usize>(), 252);
}
