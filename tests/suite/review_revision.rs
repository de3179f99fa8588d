//! Two revisions of a plan. Figures are worked by hand beside each test.

use std::fs;
use std::path::{Path, PathBuf};

use eavewright::review::{ChangeKind, Revision};
use eavewright::roof::{EdgeClass, Roof};

use crate::support::roof_of;

use crate::command::run;

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures/revisions")
        .join(format!("{name}.svg"))
}

fn roof(name: &str) -> Roof {
    roof_of(&fs::read(fixture(name)).unwrap()).unwrap()
}

fn between(old: &str, new: &str) -> (Roof, Roof, Revision) {
    let (old, new) = (roof(old), roof(new));
    let revision = Revision::between(&old, &new);
    (old, new, revision)
}

#[test]
fn a_plan_against_itself_shows_no_change() {
    for name in ["gable", "hip-for-gable"] {
        let (.., revision) = between(name, name);
        assert!(revision.is_same(), "{revision:?}");
    }
    // Cross gables, turrets, mansards and butterflies too.
    let roofs = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs");
    for folder in fs::read_dir(roofs).unwrap() {
        let svg = fs::read(folder.unwrap().path().join("plan.svg")).unwrap();
        if let Ok(roof) = roof_of(&svg) {
            assert!(Revision::between(&roof, &roof).is_same());
        }
    }
}

#[test]
fn a_plan_moved_on_its_page_is_the_same_plan() {
    let (.., revision) = between("gable", "gable-moved-on-its-page");
    assert!(revision.is_same(), "{revision:?}");
    // 45 units right and 27 down at 9 units a foot.
    assert!((revision.shift.x - 5.0).abs() < 1e-6);
    assert!((revision.shift.y + 3.0).abs() < 1e-6);
}

#[test]
fn a_steeper_roof_keeps_its_plan_and_changes_both_pitches() {
    let (old, new, revision) = between("gable", "gable-steeper");
    for face in &revision.faces {
        let [
            ChangeKind::Pitch {
                from_in_12,
                to_in_12,
            },
        ] = face.kinds[..]
        else {
            panic!("{face:?}");
        };
        assert!((from_in_12 - 6.0).abs() < 1e-9 && (to_in_12 - 8.0).abs() < 1e-9);
    }
    assert!(revision.edges.is_empty());
    // 960 × (√(1 + (8/12)²) − √1.25) = 960 × (1.2018504 − 1.1180340) = 80.464.
    let grown = new.true_area().to_square_feet() - old.true_area().to_square_feet();
    assert!((grown - 80.464).abs() < 1e-3, "{grown}");
}

#[test]
fn a_longer_house_has_longer_faces_and_the_same_pitch() {
    let (.., revision) = between("gable", "gable-longer");
    assert_eq!(revision.shift.length(), 0.0);
    for face in &revision.faces {
        // 6 ft more of a face 12 ft deep.
        let [ChangeKind::Grew { by_sqft }, ChangeKind::Moved { by_ft }] = face.kinds[..] else {
            panic!("{face:?}");
        };
        assert!((by_sqft - 72.0).abs() < 1e-6, "{by_sqft}");
        assert!((by_ft - 6.0).abs() < 1e-6, "{by_ft}");
    }
}

#[test]
fn hipped_ends_are_new_faces_and_rakes_become_eaves() {
    let (old, new, revision) = between("gable", "hip-for-gable");
    let names = |kind: fn(&ChangeKind) -> bool| -> Vec<&str> {
        revision
            .faces
            .iter()
            .filter(|f| f.kinds.iter().any(kind))
            .map(|f| match (f.new, f.old) {
                (Some(id), _) => new.face(id).name.as_str(),
                (None, Some(id)) => old.face(id).name.as_str(),
                (None, None) => "",
            })
            .collect()
    };
    assert_eq!(names(|k| matches!(k, ChangeKind::Added)), ["E1", "W1"]);
    assert!(names(|k| matches!(k, ChangeKind::Removed)).is_empty());
    // The main faces lose a triangle of 12 × 12 / 2 at either end: 144.
    for face in revision.faces.iter().filter(|f| f.old.is_some()) {
        let lost = face.kinds.iter().find_map(|k| match k {
            ChangeKind::Shrank { by_sqft } => Some(*by_sqft),
            _ => None,
        });
        assert!((lost.unwrap() - 144.0).abs() < 1e-6, "{face:?}");
    }
    let ends: f64 = revision
        .edges
        .iter()
        .filter(|e| e.from == EdgeClass::Rake && e.to == EdgeClass::Eave)
        .map(|e| e.true_ft)
        .sum();
    assert!((ends - 48.0).abs() < 1e-6, "{:?}", revision.edges);
}

#[test]
fn back_again_is_the_change_turned_round() {
    let (.., there) = between("gable", "hip-for-gable");
    let (.., back) = between("hip-for-gable", "gable");
    let count = |revision: &Revision, kind: fn(&ChangeKind) -> bool| {
        let all = revision.faces.iter().flat_map(|f| &f.kinds);
        all.filter(|k| kind(k)).count()
    };
    assert_eq!(
        count(&there, |k| matches!(k, ChangeKind::Added)),
        count(&back, |k| matches!(k, ChangeKind::Removed))
    );
    assert_eq!(
        count(&there, |k| matches!(k, ChangeKind::Shrank { .. })),
        count(&back, |k| matches!(k, ChangeKind::Grew { .. }))
    );
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for name in ["gable", "gable-steeper", "hip-for-gable"] {
        fs::copy(fixture(name), folder.path().join(format!("{name}.svg"))).unwrap();
    }
    folder
}

#[test]
fn what_changed_is_told_with_areas_order_and_price() {
    let folder = folder();
    fs::write(
        folder.path().join("job.toml"),
        "[prices]\ncurrency = \"$\"\n[prices.items]\nshingles = { price = \"40.00\" }\n",
    )
    .unwrap();
    let output = run(
        &[
            "diff",
            "gable.svg",
            "gable-steeper.svg",
            "--job",
            "job.toml",
            "--json",
            "d.json",
            "--svg",
            "d.svg",
        ],
        folder.path(),
    );
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{told}");
    let printed = String::from_utf8(output.stdout).unwrap();
    assert!(
        printed.lines().all(|l| l.chars().count() <= 80),
        "{printed}"
    );
    assert!(printed.contains("pitch 8/12, was 6/12"), "{printed}");
    assert!(printed.contains("+80.46"), "{printed}");
    let text = fs::read_to_string(folder.path().join("d.json")).unwrap();
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["schema"], "eavewright.diff/1");
    assert_eq!(json["same"], false);
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    assert!((number(&json["totals"]["true_area"]["difference"]) - 80.464).abs() < 1e-3);
    assert!(number(&json["totals"]["lengths"]["eave"]["difference"]).abs() < 1e-9);
    // The price moves by the bundles, 40.00 each: nothing else has a price.
    let bundles = json["materials"]
        .as_array()
        .unwrap()
        .iter()
        .find(|m| m["key"].as_str().unwrap().starts_with("shingles:"))
        .map(|m| number(&m["difference"]))
        .unwrap();
    assert!(bundles > 0.0);
    let price: f64 = json["price"]["difference"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();
    assert!((price - 40.0 * bundles).abs() < 0.005, "{price}");
    assert_eq!(json["price"]["complete"], false);
    let drawing = fs::read_to_string(folder.path().join("d.svg")).unwrap();
    assert!(drawing.contains("hidden lines") && drawing.contains("findings"));
}

#[test]
fn the_new_plan_is_marked_with_what_changed_and_nothing_else_of_it() {
    let folder = folder();
    let output = run(
        &[
            "diff",
            "gable.svg",
            "hip-for-gable.svg",
            "--marked",
            "m.svg",
            "--json",
            "d.json",
        ],
        folder.path(),
    );
    assert_eq!(output.status.code(), Some(0));
    let read = |name| fs::read_to_string(folder.path().join(name)).unwrap();
    let (marked, new) = (read("m.svg"), read("hip-for-gable.svg"));
    let json: serde_json::Value = serde_json::from_str(&read("d.json")).unwrap();
    // Without the added line it is the new plan, byte for byte.
    let added: Vec<&str> = marked
        .lines()
        .filter(|l| l.contains("ignore findings"))
        .collect();
    assert_eq!(added.len(), 1);
    assert_eq!(marked.replace(&format!("{}\n", added[0]), ""), new);
    // A circle for each face and each edge that changed, with the first face's number beside it.
    let count = |list: &str, changed: fn(&serde_json::Value) -> bool| {
        json[list]
            .as_array()
            .unwrap()
            .iter()
            .filter(|v| changed(v))
            .count()
    };
    let faces = count("faces", |f| !f["changes"].as_array().unwrap().is_empty());
    let edges = count("edges", |_| true);
    assert!(
        faces >= 4 && edges >= 2,
        "{faces} faces, {edges} edges: {json}"
    );
    assert_eq!(added[0].matches("<circle").count(), faces + edges);
    assert!(added[0].contains("face-changed: ") && added[0].contains("eave that was rake"));
    assert!(added[0].contains(&format!(">{}</text>", faces + edges)));
    // The marks are no roof: the marked plan is the same roof.
    let again = run(
        &["diff", "hip-for-gable.svg", "m.svg", "--json", "-"],
        folder.path(),
    );
    let again: serde_json::Value = serde_json::from_slice(&again.stdout).unwrap();
    assert_eq!(again["same"], true);
}

#[test]
fn two_equal_plans_are_the_same_with_status_0() {
    let folder = folder();
    let output = run(
        &["diff", "gable.svg", "gable.svg", "--json", "-"],
        folder.path(),
    );
    assert_eq!(output.status.code(), Some(0));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["same"], true);
}

#[test]
fn a_revision_that_cannot_be_taken_off_is_refused_by_name() {
    let folder = folder();
    fs::write(folder.path().join("bad.svg"), "<svg").unwrap();
    let output = run(
        &["diff", "gable.svg", "bad.svg", "--json", "d.json"],
        folder.path(),
    );
    assert_eq!(output.status.code(), Some(1));
    assert!(!folder.path().join("d.json").exists());
    let absent = run(&["diff", "gable.svg", "absent.svg"], folder.path());
    assert_eq!(absent.status.code(), Some(2));
    let over = run(
        &[
            "diff",
            "gable.svg",
            "hip-for-gable.svg",
            "--svg",
            "gable.svg",
        ],
        folder.path(),
    );
    assert_eq!(over.status.code(), Some(2));
}
