//! Rules worked by hand from the plan to the order (`fixtures/rules/*.toml`, each case with its source and working),
//! through the program as its user runs it.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::process::Command;

use serde::Deserialize;
use serde_json::Value;

/// Needs are printed by hand to four decimals.
const TOLERANCE: f64 = 0.0006;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    name: String,
    /// The plan, from the repository's root.
    plan: String,
    /// What the job file says.
    #[serde(default)]
    job: String,
    #[serde(default)]
    units: Option<String>,
    source: String,
    working: String,
    lines: Vec<Line>,
    /// Keys of which no line may be.
    #[serde(default)]
    none: Vec<String>,
    /// Codes of findings that must be told.
    #[serde(default)]
    findings: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    key: String,
    /// What tells lines of one key apart; part of the item's name.
    #[serde(default)]
    variant: String,
    needed: f64,
    /// Whole packages; left out where they follow from the course layout.
    order: Option<f64>,
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn takeoff(case: &Case) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("job.toml");
    fs::write(&job, &case.job).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .args(["takeoff", &case.plan, "--no-pdf", "--json", "-", "--job"])
        .arg(&job)
        .args(["--units", case.units.as_deref().unwrap_or("ft")])
        .current_dir(root())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{}: {said}", case.name);
    serde_json::from_slice(&output.stdout).unwrap()
}

fn wrong_in(case: &Case) -> Vec<String> {
    let takeoff = takeoff(case);
    let materials = takeoff["materials"].as_array().unwrap();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let mut wrong = Vec::new();
    for line in &case.lines {
        let found: Vec<&Value> = materials
            .iter()
            .filter(|m| text(&m["key"]) == line.key && text(&m["item"]).contains(&line.variant))
            .collect();
        let [found] = found.as_slice() else {
            wrong.push(format!(
                "{} lines of {} {}",
                found.len(),
                line.key,
                line.variant
            ));
            continue;
        };
        let needed = found["needed_amount"].as_f64().unwrap();
        if (needed - line.needed).abs() > TOLERANCE {
            wrong.push(format!(
                "{}: needed {needed}, not {}",
                line.key, line.needed
            ));
        }
        let order = found["quantity"].as_f64().unwrap();
        if line.order.is_some_and(|o| (o - order).abs() > 1e-9) {
            wrong.push(format!("{}: order {order}: {}", line.key, found["basis"]));
        }
    }
    for key in &case.none {
        if materials.iter().any(|m| text(&m["key"]) == *key) {
            wrong.push(format!("there is {key}"));
        }
    }
    let codes: Vec<String> = takeoff["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| text(&f["code"]))
        .collect();
    for code in &case.findings {
        if !codes.contains(code) {
            wrong.push(format!("{code} is not told"));
        }
    }
    wrong
        .iter()
        .map(|w| format!("{}: {w}", case.name))
        .collect()
}

fn check(file: &str, at_least: usize) {
    #[derive(Deserialize)]
    struct Cases {
        case: Vec<Case>,
    }
    let text = fs::read_to_string(root().join("fixtures/rules").join(file)).unwrap();
    let Cases { case: cases } = toml::from_str(&text).unwrap();
    assert!(cases.len() >= at_least, "cases are missing");
    let mut names = BTreeMap::new();
    for case in &cases {
        assert!(!case.source.is_empty() && !case.working.is_empty());
        *names.entry(&case.name).or_insert(0) += 1;
    }
    assert!(names.values().all(|n| *n == 1), "a name stands twice");
    let wrong: Vec<String> = cases.iter().flat_map(wrong_in).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_lies_along_edges_is_ordered_as_worked_by_hand() {
    check("edges.toml", 12);
}

#[test]
fn sheets_and_linings_are_ordered_as_worked_by_hand() {
    check("sheets.toml", 10);
}

#[test]
fn flashing_at_walls_and_openings_is_ordered_as_worked_by_hand() {
    check("walls-and-openings.toml", 5);
}

#[test]
fn field_shingles_and_what_the_code_refuses_are_as_worked_by_hand() {
    check("field.toml", 6);
}
