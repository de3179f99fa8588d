//! `eavewright check` as people and scripts call it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::command::{run, status};

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures")
        .join(name)
}

fn folder_with(plan: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(fixture(plan), folder.path().join("plan.svg")).unwrap();
    folder
}

fn read(folder: &tempfile::TempDir, name: &str) -> String {
    fs::read_to_string(folder.path().join(name)).unwrap()
}

#[test]
fn a_sheet_that_took_plan_for_true_is_refused_with_status_1_and_marked() {
    let folder = folder_with("review/architects-sheet/plan.svg");
    let output = run(
        &[
            "check",
            "plan.svg",
            "--json",
            "review.json",
            "--pdf",
            "review.pdf",
        ],
        folder.path(),
    );
    assert_eq!(status(&output), 1);
    let json: serde_json::Value = serde_json::from_str(&read(&folder, "review.json")).unwrap();
    assert_eq!(json["schema"], "eavewright.check/1");
    assert_eq!(json["verdict"], "differs");
    let area = &json["areas"][0];
    assert_eq!(area["of"], "total");
    assert_eq!(area["stated"], 1152.0);
    assert_eq!(area["element"], "stated");
    assert_eq!(area["causes"][0]["cause"], "plan-for-true");
    // The number of the finding is the one in the marked drawing.
    let number = area["finding"].as_u64().unwrap();
    let marked = read(&folder, "plan-marked.svg");
    assert!(marked.contains("stated-area-differs"));
    assert!(marked.contains(&format!(">{number}</text>")), "{number}");
    // Everything else is as it was, byte for byte.
    let plan = read(&folder, "plan.svg");
    let at = marked.find("<g id=\"ignore-findings\"").unwrap();
    assert_eq!(marked[..at], plan[..at]);
    assert!(marked.ends_with(&plan[at..]));
    let printed = String::from_utf8(output.stdout).unwrap();
    assert!(
        printed.lines().all(|l| l.chars().count() <= 80),
        "{printed}"
    );
    assert!(printed.contains("−10.6"), "{printed}");
    let pdf = lopdf::Document::load(folder.path().join("review.pdf")).unwrap();
    assert_eq!(pdf.get_pages().len(), 1);
}

#[test]
fn a_sheet_that_is_right_passes_with_status_0() {
    let folder = folder_with("review/stated-right/plan.svg");
    let output = run(&["check", "plan.svg"], folder.path());
    assert_eq!(status(&output), 0);
    assert!(folder.path().join("plan-marked.svg").exists());
    assert!(!folder.path().join("plan-takeoff.pdf").exists());
}

#[test]
fn the_marked_drawing_gives_the_same_review_again() {
    let folder = folder_with("review/architects-sheet/plan.svg");
    let first = run(&["check", "plan.svg", "--json", "-"], folder.path());
    fs::rename(
        folder.path().join("plan-marked.svg"),
        folder.path().join("plan.svg"),
    )
    .unwrap();
    let again = run(&["check", "plan.svg", "--json", "-"], folder.path());
    assert!(!first.stdout.is_empty());
    assert!(
        first.stdout == again.stdout,
        "{}",
        String::from_utf8_lossy(&again.stderr)
    );
}

#[test]
fn a_list_beside_the_plan_is_compared_face_by_face() {
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    let list = folder.path().join("areas.csv");
    fs::write(&list, "S1,536.7\nN1,480\n").unwrap();
    let output = run(
        &["check", "plan.svg", "--against", "areas.csv", "--json", "-"],
        folder.path(),
    );
    assert_eq!(status(&output), 1);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let verdicts: Vec<&str> = json["areas"]
        .as_array()
        .unwrap()
        .iter()
        .map(|a| a["verdict"].as_str().unwrap())
        .collect();
    assert_eq!(verdicts, ["differs", "agrees"]);
    // Twice the difference is allowed: nothing differs.
    let loose = run(
        &[
            "check",
            "plan.svg",
            "--against",
            "areas.csv",
            "--tolerance",
            "21",
        ],
        folder.path(),
    );
    assert_eq!(status(&loose), 0);
}

#[test]
fn wrong_use_is_status_2_and_leaves_nothing() {
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    fs::write(folder.path().join("areas.csv"), "S9,536.7\n").unwrap();
    for wrong in [
        &["check", "plan.svg", "--against", "areas.csv"][..],
        &["check", "plan.svg", "--against", "absent.csv"],
        &["check", "plan.svg", "--tolerance", "little"],
        &["check", "plan.svg", "--tolerance", "-1"],
        &["check", "absent.svg"],
        &["check", "plan.svg", "--marked", "plan.svg"],
    ] {
        let output = run(wrong, folder.path());
        assert_eq!(status(&output), 2, "{wrong:?}");
    }
    assert!(!folder.path().join("plan-marked.svg").exists());
}

#[test]
fn a_plan_that_cannot_be_taken_off_is_marked_and_refused() {
    let folder = folder_with("faults/two-pitches-in-one-face.svg");
    let output = run(
        &["check", "plan.svg", "--json", "review.json"],
        folder.path(),
    );
    assert_eq!(status(&output), 1);
    assert!(read(&folder, "plan-marked.svg").contains("<circle"));
    assert!(!folder.path().join("review.json").exists());
    assert!(String::from_utf8(output.stderr).unwrap().starts_with("1 "));
}

#[test]
fn a_review_in_metres_tells_the_same_percent() {
    let folder = folder_with("review/plan-for-true/plan.svg");
    let percent = |units: &str| -> f64 {
        let output = run(
            &["check", "plan.svg", "--units", units, "--json", "-"],
            folder.path(),
        );
        let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        json["areas"][0]["percent"].as_f64().unwrap()
    };
    assert!((percent("ft") - percent("m")).abs() < 1e-9);
    assert!((percent("ft") + 10.557_28).abs() < 1e-4);
}

#[test]
fn a_drawn_line_that_the_pitches_put_elsewhere_is_a_difference() {
    let folder = folder_with("doubtful/pitches-that-cannot-meet.svg");
    let output = run(&["check", "plan.svg", "--json", "r.json"], folder.path());
    assert_eq!(status(&output), 1);
    let json: serde_json::Value = serde_json::from_str(&read(&folder, "r.json")).unwrap();
    assert!(json["lines_off"].as_u64().unwrap() > 0);
    assert_eq!(json["verdict"], "differs");
    assert!(read(&folder, "plan-marked.svg").contains("planes-do-not-meet"));
}

#[test]
fn a_list_on_standard_input_that_is_too_coarse_is_said_to_be_so_with_status_0() {
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    fs::write(folder.path().join("areas.csv"), "total,11 squares\n").unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .args(["check", "plan.svg", "--against", "-", "--pdf", "review.pdf"])
        .current_dir(folder.path())
        .stdin(fs::File::open(folder.path().join("areas.csv")).unwrap())
        .output()
        .unwrap();
    assert_eq!(status(&output), 0);
    let printed = String::from_utf8(output.stdout).unwrap();
    assert!(
        printed.lines().all(|l| l.chars().count() <= 80),
        "{printed}"
    );
    assert!(printed.contains("+26.7     +2.5  too coarse"), "{printed}");
    assert!(
        printed.contains("The one stated figure is too coarse to decide within 1 %"),
        "{printed}"
    );
    let pdf = lopdf::Document::load(folder.path().join("review.pdf")).unwrap();
    assert_eq!(pdf.get_pages().len(), 1);
}

#[test]
fn a_length_of_an_edge_that_is_not_there_has_no_percent() {
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    fs::write(folder.path().join("areas.csv"), "hip,20\n").unwrap();
    let output = run(
        &["check", "plan.svg", "--against", "areas.csv"],
        folder.path(),
    );
    let printed = String::from_utf8(output.stdout).unwrap();
    assert!(printed.contains("+20.00        –  differs"), "{printed}");
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(!told.contains("scale"), "{told}");
}
