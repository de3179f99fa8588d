//! Two revisions of a plan. Figures are worked by hand beside each test.

use std::fs;
use std::path::{Path, PathBuf};

use eavewright::review::{ChangeKind, CutKind, Revision};
use eavewright::roof::{EdgeClass, Roof};

use crate::support::roof_of;

use crate::command::run;
use crate::materials_support::RoofBuilder;

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
    for name in ["gable", "hip-for-gable", "gable-chimney-astride"] {
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

/// The plan `gable-wing` with its wing of 16 ft, 12 ft from the left, so far to the right and so wide, at 9 units a foot.
fn wing_at(moved_ft: f64, wide_ft: f64) -> Roof {
    let text = fs::read_to_string(fixture("gable-wing")).unwrap();
    let left = 208.0 + 9.0 * moved_ft;
    let (right, ridge) = (left + 9.0 * wide_ft, left + 4.5 * wide_ft);
    let head = 296.0 - 4.5 * wide_ft;
    let (west, east) = (ridge - 20.0, ridge + 20.0);
    let text = text
        .replace(
            "208,296 208,386 352,386 352,296",
            &format!("{left},296 {left},386 {right},386 {right},296"),
        )
        .replace(
            r#"x1="280" y1="386" x2="280" y2="224""#,
            &format!(r#"x1="{ridge}" y1="386" x2="{ridge}" y2="{head}""#),
        )
        .replace(
            r#"x1="208" y1="296" x2="280" y2="224""#,
            &format!(r#"x1="{left}" y1="296" x2="{ridge}" y2="{head}""#),
        )
        .replace(
            r#"x1="352" y1="296" x2="280" y2="224""#,
            &format!(r#"x1="{right}" y1="296" x2="{ridge}" y2="{head}""#),
        )
        .replace(r#"id="t3" x="245""#, &format!(r#"id="t3" x="{west}""#))
        .replace(r#"id="t4" x="315""#, &format!(r#"id="t4" x="{east}""#));
    roof_of(text.as_bytes()).unwrap()
}

#[test]
fn a_wing_that_is_moved_keeps_its_slopes_however_far_it_goes() {
    let old = roof("gable-wing");
    // Its slopes are 8 ft wide: from 4 to 12 ft on, each lies for the most part where the other lay, or on new ground.
    for moved_ft in [3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 11.0] {
        let new = wing_at(moved_ft, 16.0);
        let revision = Revision::between(&old, &new);
        assert!(
            revision.edges.is_empty(),
            "{moved_ft}: {:?}",
            revision.edges
        );
        for face in &revision.faces {
            let (before, now) = (face.old.unwrap(), face.new.unwrap());
            let (before, now) = (old.face(before), new.face(now));
            let turned = before.fall().unwrap().angle_to_deg(now.fall().unwrap());
            assert!(turned < 1.0, "{moved_ft}: {} was {}", now.name, before.name);
            if now.fall().unwrap().x.abs() > 0.5 {
                let [ChangeKind::Moved { by_ft }] = face.kinds[..] else {
                    panic!("{moved_ft}: {face:?}");
                };
                assert!((by_ft - moved_ft).abs() < 0.1, "{moved_ft}: {by_ft}");
            }
        }
    }
}

#[test]
fn a_wing_that_grows_narrower_or_wider_on_one_side_keeps_its_slopes() {
    // From 16 to 10 ft with the west side where it was: the east slope, 8 ft wide before and 5 now, keeps 2 ft of its ground.
    let (wide, narrow) = (wing_at(0.0, 16.0), wing_at(0.0, 10.0));
    for (old, new) in [(&wide, &narrow), (&narrow, &wide)] {
        let revision = Revision::between(old, new);
        for face in &revision.faces {
            let (before, now) = (face.old.unwrap(), face.new.unwrap());
            let turned = |by: f64| by > 1.0;
            let fall = |roof: &Roof, id| roof.face(id).fall().unwrap();
            assert!(
                !turned(fall(old, before).angle_to_deg(fall(new, now))),
                "{face:?}"
            );
        }
    }
}

#[test]
fn a_shed_turned_round_where_it_stands_is_one_that_falls_the_other_way() {
    use EdgeClass::{Eave, HighEdge, Rake};
    let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)];
    let shed = |fall: f64, classes: [EdgeClass; 4]| {
        let eave = (0.0, if fall < 0.0 { 0.0 } else { 12.0 });
        let built = RoofBuilder::default();
        built
            .face("S1", 6.0, (0.0, fall), eave, &corners, &classes)
            .roof()
    };
    let south = shed(-1.0, [Eave, Rake, HighEdge, Rake]);
    let north = shed(1.0, [HighEdge, Rake, Eave, Rake]);
    let revision = Revision::between(&south, &north);
    let [face] = &revision.faces[..] else {
        panic!("{revision:?}");
    };
    assert!(
        matches!(face.kinds[..], [ChangeKind::Fall { by_deg }] if (by_deg - 180.0).abs() < 1e-6),
        "{face:?}"
    );
    assert_eq!(revision.edges.len(), 2, "{:?}", revision.edges);
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
    for name in [
        "gable",
        "gable-steeper",
        "hip-for-gable",
        "gable-chimney",
        "gable-chimney-larger",
    ] {
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
            "--svg",
            "both.svg",
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
    // The edges go on with the numbers, on paper, on the terminal and in the drawing of both.
    let first = json["edges"][0]["number"].as_u64().unwrap();
    assert_eq!(first, faces as u64 + 1, "{json}");
    let printed = String::from_utf8(output.stdout).unwrap();
    assert!(
        printed.contains(&format!("\n{first:>2} eave that was rake: ")),
        "{printed}"
    );
    let both = read("both.svg");
    assert!(
        both.contains(&format!("{first} eave that was rake: ")),
        "{both}"
    );
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

/// The gable with more drawn in it, in layers named by their role.
fn gable_with(layers: &str) -> Roof {
    let gable = fs::read_to_string(fixture("gable")).unwrap();
    let drawn = gable.replace("<g id=\"pitch\"", &format!("{layers}<g id=\"pitch\""));
    roof_of(drawn.as_bytes()).unwrap()
}

/// A closed shape in the gable, its corners in feet from the plan's upper left corner, y down.
fn drawn(role: &str, (left, top): (f64, f64), (right, bottom): (f64, f64)) -> String {
    let (x, y) = (|ft: f64| 100.0 + 9.0 * ft, |ft: f64| 80.0 + 9.0 * ft);
    format!(
        "<g id=\"{role}\" fill=\"none\" stroke=\"black\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/></g>\n",
        x(left),
        y(top),
        9.0 * (right - left),
        9.0 * (bottom - top)
    )
}

fn pipe(at: (f64, f64), diameter_in: f64) -> String {
    format!(
        "<g id=\"pipe\" fill=\"none\" stroke=\"black\"><circle cx=\"{}\" cy=\"{}\" r=\"{}\"/></g>\n",
        100.0 + 9.0 * at.0,
        80.0 + 9.0 * at.1,
        9.0 * diameter_in / 24.0
    )
}

#[track_caller]
fn near(value: f64, by_hand: f64) {
    assert!((value - by_hand).abs() < 1e-3, "{value}, not {by_hand}");
}

/// What became of the one opening or pipe that either roof has.
#[track_caller]
fn only_cut(revision: &Revision) -> &[CutKind] {
    let [cut] = &revision.cuts[..] else {
        panic!("{:?}", revision.cuts);
    };
    &cut.kinds
}

#[test]
fn a_moved_chimney_is_the_chimney_that_was_there_and_no_face_changes() {
    let (.., revision) = between("gable-chimney", "gable-chimney-moved");
    // From 10 to 25 ft along the ridge, and from 4 to 2 ft below it.
    let [CutKind::Moved { across_ft, up_ft }] = *only_cut(&revision) else {
        panic!("{revision:?}");
    };
    near(across_ft.abs(), 15.0);
    near(up_ft, 2.0);
    assert!(revision.faces.iter().all(|f| f.kinds.is_empty()));
    assert!(!revision.is_same());
    let (.., back) = between("gable-chimney-moved", "gable-chimney");
    assert!(matches!(only_cut(&back), [CutKind::Moved { up_ft, .. }] if *up_ft < 0.0));
}

#[test]
fn a_chimney_that_grows_about_its_place_did_not_move_and_its_face_tells_what_it_takes() {
    let (_, new, revision) = between("gable-chimney", "gable-chimney-larger");
    let [CutKind::Resized { from, to }] = *only_cut(&revision) else {
        panic!("{revision:?}");
    };
    near(from.across_ft, 3.0);
    near(from.along_ft, 2.0);
    near(to.across_ft, 8.0);
    near(to.along_ft, 8.0);
    // 8 × 8 at 6/12.
    near(to.true_sqft, 64.0 * 1.25_f64.sqrt());
    // 64 − 6 = 58, and the outline is where it was.
    let changed: Vec<_> = revision
        .faces
        .iter()
        .filter(|f| !f.kinds.is_empty())
        .collect();
    let [face] = changed[..] else {
        panic!("{revision:?}");
    };
    assert_eq!(new.face(face.new.unwrap()).name, "S1");
    let [
        ChangeKind::Shrank { by_sqft },
        ChangeKind::Openings { from_sqft, to_sqft },
    ] = face.kinds[..]
    else {
        panic!("{face:?}");
    };
    near(by_sqft, 58.0);
    near(from_sqft, 6.0);
    near(to_sqft, 64.0);
}

#[test]
fn a_chimney_of_the_same_area_and_another_outline_is_told() {
    let old = gable_with(&drawn("chimney", (10.0, 4.0), (13.0, 6.0)));
    let new = gable_with(&drawn("chimney", (10.0, 4.0), (14.0, 5.5)));
    let revision = Revision::between(&old, &new);
    assert!(matches!(only_cut(&revision), [CutKind::Resized { .. }]));
    assert!(revision.faces.iter().all(|f| f.kinds.is_empty()));
    assert!(!revision.is_same());
}

#[test]
fn a_chimney_astride_the_ridge_is_one_and_moves_no_outline() {
    let (_, new, revision) = between("gable", "gable-chimney-astride");
    assert_eq!(only_cut(&revision), [CutKind::Added]);
    assert_eq!(revision.cuts[0].new.unwrap().faces(&new).len(), 2);
    for face in &revision.faces {
        // 2 × 2, half of it on either side.
        let [ChangeKind::Shrank { by_sqft }, ChangeKind::Openings { .. }] = face.kinds[..] else {
            panic!("{face:?}");
        };
        near(by_sqft, 2.0);
    }
    let along = gable_with(&drawn("chimney", (29.0, 11.0), (31.0, 13.0)));
    let revision = Revision::between(&new, &along);
    assert!(matches!(
        only_cut(&revision),
        [CutKind::Moved { across_ft, up_ft }]
            if (across_ft.abs() - 10.0).abs() < 1e-3 && up_ft.abs() < 1e-3
    ));
    assert!(revision.faces.iter().all(|f| f.kinds.is_empty()));
}

#[test]
fn a_chimney_at_the_end_of_the_ridge_leaves_the_corner_of_its_faces_where_it_was() {
    let end = gable_with(&drawn("chimney", (38.0, 11.0), (40.0, 13.0)));
    let revision = Revision::between(&roof("gable"), &end);
    for face in &revision.faces {
        assert!(
            matches!(
                face.kinds[..],
                [ChangeKind::Shrank { .. }, ChangeKind::Openings { .. }]
            ),
            "{face:?}"
        );
    }
}

#[test]
fn a_chimney_of_another_size_elsewhere_is_another_chimney() {
    let old = gable_with(&drawn("chimney", (10.0, 4.0), (13.0, 6.0)));
    let new = gable_with(&drawn("chimney", (30.0, 4.0), (34.0, 8.0)));
    let revision = Revision::between(&old, &new);
    let kinds: Vec<_> = revision.cuts.iter().map(|c| &c.kinds[..]).collect();
    assert_eq!(kinds, [[CutKind::Added], [CutKind::Removed]]);
}

#[test]
fn an_opening_beside_the_roof_is_told_as_one_that_cuts_nothing_out() {
    let beside = gable_with(&drawn("chimney", (42.0, 4.0), (44.0, 6.0)));
    let revision = Revision::between(&roof("gable"), &beside);
    assert_eq!(only_cut(&revision), [CutKind::Added]);
    assert!(revision.faces.iter().all(|f| f.kinds.is_empty()));
}

#[test]
fn a_skylight_where_a_chimney_stood_is_told_by_its_kind() {
    let at = |role| gable_with(&drawn(role, (10.0, 4.0), (13.0, 6.0)));
    let revision = Revision::between(&at("chimney"), &at("skylight"));
    assert_eq!(only_cut(&revision), [CutKind::Renamed]);
}

#[test]
fn of_a_row_of_skylights_only_the_one_that_moved_is_told() {
    let row = |last: f64| {
        let all = [4.0, 12.0, last].map(|x| drawn("skylight", (x, 4.0), (x + 2.0, 8.0)));
        gable_with(&all.concat())
    };
    let revision = Revision::between(&row(20.0), &row(30.0));
    let changed: Vec<_> = revision
        .cuts
        .iter()
        .filter(|c| !c.kinds.is_empty())
        .collect();
    assert_eq!(revision.cuts.len(), 3);
    let [cut] = changed[..] else {
        panic!("{revision:?}");
    };
    assert!(matches!(
        cut.kinds[..],
        [CutKind::Moved { across_ft, .. }] if (across_ft.abs() - 10.0).abs() < 1e-3
    ));
}

#[test]
fn pipes_come_go_move_and_change_their_diameter() {
    let (none, one) = (roof("gable"), gable_with(&pipe((30.0, 18.0), 3.0)));
    assert_eq!(only_cut(&Revision::between(&none, &one)), [CutKind::Added]);
    assert_eq!(
        only_cut(&Revision::between(&one, &none)),
        [CutKind::Removed]
    );
    let moved = Revision::between(&one, &gable_with(&pipe((10.0, 18.0), 3.0)));
    assert!(matches!(
        only_cut(&moved),
        [CutKind::Moved { across_ft, up_ft }]
            if (across_ft.abs() - 20.0).abs() < 1e-3 && up_ft.abs() < 1e-3
    ));
    let wider = Revision::between(&one, &gable_with(&pipe((30.0, 18.0), 4.0)));
    assert!(matches!(only_cut(&wider), [CutKind::Diameter { .. }]));
    assert!(!wider.is_same());
}

#[test]
fn a_plan_with_a_chimney_moved_on_its_page_is_the_same_plan() {
    let text = fs::read_to_string(fixture("gable-chimney")).unwrap();
    // A group round all of it moves it by 5 ft and 3 ft.
    let moved = text
        .replace("<title>", "<g transform=\"translate(45,27)\"><title>")
        .replace("</svg>", "</g></svg>");
    let moved = roof_of(moved.as_bytes()).unwrap();
    let revision = Revision::between(&roof("gable-chimney"), &moved);
    assert!(revision.is_same(), "{revision:?}");
}

#[test]
fn a_wing_notches_the_eave_as_deep_as_its_valleys_reach() {
    // The valleys meet 8 ft above the eave, and only 4 ft below the ridge.
    let notch = |old: &Roof, new: &Roof, lost_sqft: f64| {
        let revision = Revision::between(old, new);
        let south = revision
            .faces
            .iter()
            .find(|f| f.old.is_some() && f.new.is_some_and(|id| new.face(id).name == "S1"));
        let [ChangeKind::Shrank { by_sqft }, ChangeKind::Moved { by_ft }] =
            south.unwrap().kinds[..]
        else {
            panic!("{revision:?}");
        };
        assert!((by_sqft - lost_sqft).abs() < 0.5, "{by_sqft}");
        assert!((by_ft - 8.0).abs() < 0.1, "{by_ft}");
    };
    let (gable, wing) = (roof("gable"), roof("gable-wing"));
    notch(&gable, &wing, 64.0);
    // Traced anew, half an inch wider to the left and the right and shallower below, the notch is as deep.
    let text = fs::read_to_string(fixture("gable-wing")).unwrap();
    let traced = text
        .replace("100,296", "99.6,295.7")
        .replace("460,296", "460.4,295.7")
        .replace("208,296", "208,295.7")
        .replace("352,296", "352,295.7")
        .replace("460,80 100,80", "460.4,80.3 99.6,80.3")
        .replace(
            "x1=\"100\" y1=\"188\" x2=\"460\"",
            "x1=\"99.6\" y1=\"188\" x2=\"460.4\"",
        );
    notch(&gable, &roof_of(traced.as_bytes()).unwrap(), 64.0);
}

#[test]
fn a_small_step_in_a_large_face_is_told_with_its_area() {
    // 6 in × 1′-6″ is 0.75 ft² of a face of 480: less than 0.2 %.
    let text = fs::read_to_string(fixture("gable")).unwrap();
    let stepped = text.replace("460,80 100,80", "460,93.5 464.5,93.5 464.5,80 100,80");
    let revision = Revision::between(&roof("gable"), &roof_of(stepped.as_bytes()).unwrap());
    let north = &revision.faces[0];
    let [ChangeKind::Grew { by_sqft }, ChangeKind::Moved { by_ft }] = north.kinds[..] else {
        panic!("{revision:?}");
    };
    near(by_sqft, 0.75);
    near(by_ft, 0.5);
}

#[test]
fn what_tracing_moves_is_no_change_of_area() {
    // Half an inch all along both rakes: 24 × ½ in × 2 = 2 ft², within what a traced line is off by.
    let text = fs::read_to_string(fixture("gable")).unwrap();
    let traced = text
        .replace(
            "100,296 460,296 460,80 100,80",
            "99.6,296 460.4,296 460.4,80 99.6,80",
        )
        .replace(
            "x1=\"100\" y1=\"188\" x2=\"460\"",
            "x1=\"99.6\" y1=\"188\" x2=\"460.4\"",
        );
    let revision = Revision::between(&roof("gable"), &roof_of(traced.as_bytes()).unwrap());
    assert!(revision.is_same(), "{revision:?}");
}

#[test]
fn a_courtyard_is_taken_out_of_its_face_and_moves_no_outline() {
    let flat = fs::read_to_string(fixture("gable"))
        .unwrap()
        .replace(
            "<line id=\"r2\" x1=\"100\" y1=\"188\" x2=\"460\" y2=\"188\"/>",
            "",
        )
        .replace("<text id=\"t1\" x=\"280\" y=\"230\">6/12</text>", "")
        .replace("6/12", "flat");
    // 12 × 10 ft.
    let court = flat.replace(
        "<polygon id=\"r1\"",
        "<polygon id=\"r9\" points=\"136,206 244,206 244,116 136,116\"/>\n<polygon id=\"r1\"",
    );
    let (flat, court) = (
        roof_of(flat.as_bytes()).unwrap(),
        roof_of(court.as_bytes()).unwrap(),
    );
    let there = Revision::between(&flat, &court);
    assert!(matches!(
        there.faces[0].kinds[..],
        [ChangeKind::Shrank { by_sqft }, ChangeKind::TakenOut { by_sqft: hole }]
            if (by_sqft - 120.0).abs() < 1e-3 && (hole - 120.0).abs() < 1e-3
    ));
    let back = Revision::between(&court, &flat);
    assert!(matches!(
        back.faces[0].kinds[..],
        [ChangeKind::Grew { .. }, ChangeKind::FilledIn { .. }]
    ));
}

#[test]
fn a_chimney_that_grew_is_told_in_the_terminal_the_json_the_drawing_and_the_marked_plan() {
    let folder = folder();
    let output = run(
        &[
            "diff",
            "gable-chimney.svg",
            "gable-chimney-larger.svg",
            "--json",
            "d.json",
            "--svg",
            "d.svg",
            "--marked",
            "m.svg",
        ],
        folder.path(),
    );
    assert_eq!(output.status.code(), Some(0));
    let printed = String::from_utf8(output.stdout).unwrap();
    assert!(
        printed.lines().all(|l| l.chars().count() <= 80),
        "{printed}"
    );
    for words in [
        " 1 S1 ",
        "openings take 64.0 ft² of plan, 6.0",
        " 2 chimney in S1 ",
        "8′-0″ × 8′-0″ of plan, was 3′-0″ × 2′-0″",
        "+64.85",
    ] {
        assert!(printed.contains(words), "{words}: {printed}");
    }
    // Its middle stands 217 and 242 units from the page's corner, of 9 to a foot.
    let in_one_line: Vec<&str> = printed.split_whitespace().collect();
    assert!(
        in_one_line.join(" ").contains("at (24.1, -26.9) ft"),
        "{printed}"
    );
    let read = |name| fs::read_to_string(folder.path().join(name)).unwrap();
    let json: serde_json::Value = serde_json::from_str(&read("d.json")).unwrap();
    assert_eq!(json["same"], false);
    let opening = &json["openings"][0];
    assert_eq!(opening["number"], 2);
    assert_eq!(opening["new"]["kind"], "chimney");
    assert_eq!(opening["new"]["faces"][0], "S1");
    near(opening["old"]["plan_area"].as_f64().unwrap(), 6.0);
    near(opening["new"]["apron"].as_f64().unwrap(), 8.0);
    assert_eq!(opening["changes"][0]["kind"], "size");
    near(opening["changes"][0]["by"].as_f64().unwrap(), 58.0);
    assert_eq!(json["pipes"].as_array().unwrap().len(), 0);
    assert!(json["totals"]["cuts"]["old"].as_f64().unwrap() > 0.0);
    assert!(read("d.svg").contains("chimney in S1: 8′-0″ × 8′-0″"));
    let marked = read("m.svg");
    assert!(marked.contains("face-changed: ") && marked.contains("opening-changed: "));
}

#[test]
fn counts_of_shingles_are_whole_and_a_dearer_roof_has_its_plus() {
    let folder = folder();
    fs::write(
        folder.path().join("job.toml"),
        "[prices]\nlist = \"demo\"\n",
    )
    .unwrap();
    let output = run(
        &[
            "diff",
            "gable.svg",
            "gable-steeper.svg",
            "--job",
            "job.toml",
        ],
        folder.path(),
    );
    let printed = String::from_utf8(output.stdout).unwrap();
    let line = |start: &str| {
        let mut lines = printed.lines();
        lines.find(|l| l.starts_with(start)).unwrap().to_owned()
    };
    assert!(!line("shingles opened").contains('.'), "{printed}");
    // Nothing in the job sets a tax.
    let price = line("price ");
    assert!(price.contains('+') && !price.contains("tax"), "{price}");
}

#[test]
fn a_reason_tells_which_of_the_two_plans_it_is_of() {
    let folder = folder();
    let gable = fs::read_to_string(fixture("gable")).unwrap();
    let shed = gable
        .replace(
            "<line id=\"r2\" x1=\"100\" y1=\"188\" x2=\"460\" y2=\"188\"/>",
            "",
        )
        .replace("<text id=\"t1\" x=\"280\" y=\"230\">6/12</text>", "");
    fs::write(folder.path().join("shed.svg"), shed).unwrap();
    for plans in [["shed.svg", "gable.svg"], ["gable.svg", "shed.svg"]] {
        let output = run(&["diff", plans[0], plans[1]], folder.path());
        assert_eq!(output.status.code(), Some(1));
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(
            told.contains("fall-open") && told.contains("at shed.svg, plan ("),
            "{told}"
        );
    }
}

/// One eave 2 ft farther out moves the ridge by 1 ft; nothing was moved on the page, for the other eave and the chimney lie
/// where they lay.
#[test]
fn an_eave_that_moved_out_takes_no_chimney_with_it() {
    let gable = fs::read_to_string(fixture("gable")).unwrap();
    let chimney = drawn("chimney", (10.0, 4.0), (12.0, 6.0));
    let old = gable.replace("<g id=\"pitch\"", &format!("{chimney}<g id=\"pitch\""));
    let new = old.replace("296", "314").replace("188", "197");
    assert_ne!(old, new);
    let (old, new) = (
        roof_of(old.as_bytes()).unwrap(),
        roof_of(new.as_bytes()).unwrap(),
    );
    let revision = Revision::between(&old, &new);
    assert_eq!(revision.shift.length(), 0.0);
    assert!(only_cut(&revision).is_empty(), "{:?}", revision.cuts);
    let moved = |name: &str| {
        let face = revision.faces.iter().find(|f| {
            let new = f.new.map(|id| &new.face(id).name);
            new.is_some_and(|n| n == name)
        });
        let kinds = &face.unwrap().kinds;
        kinds.iter().find_map(|k| match k {
            ChangeKind::Moved { by_ft } => Some(*by_ft),
            _ => None,
        })
    };
    near(moved("N1").unwrap(), 1.0);
    near(moved("S1").unwrap(), 2.0);
}

#[test]
fn another_scale_is_told_before_what_comes_of_it() {
    let folder = folder();
    let gable = fs::read_to_string(fixture("gable")).unwrap();
    fs::write(folder.path().join("a.svg"), &gable).unwrap();
    // Ten per cent more.
    let dimension = gable.replace("40'-0\"", "44'-0\"");
    assert_ne!(dimension, gable);
    fs::write(folder.path().join("b.svg"), dimension).unwrap();
    let output = run(
        &["diff", "a.svg", "b.svg", "--json", "c.json"],
        folder.path(),
    );
    let text = String::from_utf8(output.stdout).unwrap().replace('\n', " ");
    assert!(
        text.contains("44′-0″ now, from the dimension 40′-0″ before"),
        "{text}"
    );
    assert!(text.contains("110.0 % of what it was"), "{text}");
    assert!(text.contains("by the scale alone"), "{text}");
    let json = fs::read_to_string(folder.path().join("c.json")).unwrap();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["scales"]["old"]["from"], "the dimension 40'-0\"");
}

/// A hip so many feet long and 24 ft wide, all at 6 in 12; a foot is 10 units.
fn hip_of(long_ft: f64) -> Roof {
    let right = 100.0 + 10.0 * long_ft;
    let inner = right - 120.0;
    let svg = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 600"><g id="roof" fill="none" stroke="#000">
        <path d="M100,100H{right}V340H100Z M100,100L220,220L100,340 M{right},100L{inner},220L{right},340 M220,220H{inner}"/></g>
        <text x="280" y="160">6/12</text><text x="280" y="290">6/12</text><text x="130" y="222">6/12</text>
        <text x="{}" y="222">6/12</text>
        <g id="dims"><path stroke="#000" d="M100,400H{right}"/><text x="290" y="397">{long_ft}'</text></g></svg>"##,
        right - 50.0,
    );
    roof_of(svg.as_bytes()).unwrap()
}

/// The eastern end is a triangle 24 ft wide and 12 ft deep: carried by 4 ft it shares (8/12)² = 44 % of its ground with itself,
/// by 30 ft none.
#[test]
fn the_end_of_a_hip_is_the_same_face_where_the_roof_grows_longer() {
    let old = hip_of(40.0);
    for longer_ft in [2.0, 4.0, 30.0] {
        let new = hip_of(40.0 + longer_ft);
        let revision = Revision::between(&old, &new);
        let name = |f: &eavewright::review::FaceChange| new.face(f.new.unwrap()).name.clone();
        assert_eq!(revision.faces.len(), 4, "{longer_ft}: {revision:?}");
        let end = revision.faces.iter().find(|f| name(f) == "E1").unwrap();
        let [ChangeKind::Moved { by_ft }] = end.kinds[..] else {
            panic!("{longer_ft}: {end:?}");
        };
        assert!((by_ft - longer_ft).abs() < 1e-3, "{by_ft}");
        let west = revision.faces.iter().find(|f| name(f) == "W1").unwrap();
        assert!(west.kinds.is_empty(), "{west:?}");
    }
}

/// Beside the house stands a gable of 12 × 12 ft; 7 ft further its slopes share 5/12 of their ground with themselves.
#[test]
fn a_wing_that_stands_elsewhere_moved_and_is_no_other() {
    let at = |x: f64| {
        let (right, middle) = (x + 120.0, x + 60.0);
        let svg = format!(
            r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1000 600"><g id="roof" fill="none" stroke="#000">
            <path d="M100,100H500V340H100Z M100,220H500 M{x},100H{right}V220H{x}Z M{x},160H{right}"/></g>
            <text x="280" y="160">6/12</text><text x="280" y="290">6/12</text>
            <text x="{middle}" y="135">6/12</text><text x="{middle}" y="195">6/12</text>
            <g id="dims"><path stroke="#000" d="M100,400H500"/><text x="290" y="397">40'</text></g></svg>"##
        );
        roof_of(svg.as_bytes()).unwrap()
    };
    let revision = Revision::between(&at(600.0), &at(670.0));
    let kinds: Vec<&[ChangeKind]> = revision.faces.iter().map(|f| &f.kinds[..]).collect();
    assert_eq!(kinds.len(), 4, "{revision:?}");
    let moved = |kinds: &&&[ChangeKind]| match kinds {
        [ChangeKind::Moved { by_ft }] => (by_ft - 7.0).abs() < 1e-3,
        _ => false,
    };
    assert_eq!(kinds.iter().filter(moved).count(), 2, "{revision:?}");
    assert_eq!(kinds.iter().filter(|k| k.is_empty()).count(), 2);
}

/// The same lines with another length written at one of them: whatever the scale, no face is new, gone or moved.
#[test]
fn lines_that_lie_where_they_lay_at_another_scale_are_the_same_faces() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    let gable = fs::read_to_string(fixture("gable")).unwrap();
    fs::write(at("a.svg"), &gable).unwrap();
    for written in ["20'-0\"", "30'-0\"", "41'-0\"", "53'-4\"", "60'-0\""] {
        fs::write(at("b.svg"), gable.replace("40'-0\"", written)).unwrap();
        let diff = [
            "diff", "a.svg", "b.svg", "--json", "c.json", "--svg", "d.svg",
        ];
        let text = String::from_utf8(run(&diff, folder.path()).stdout).unwrap();
        let text = text.replace('\n', " ");
        assert!(text.contains("by the scale alone"), "{written}: {text}");
        assert!(text.contains("changed otherwise"), "{written}: {text}");
        let json = fs::read_to_string(at("c.json")).unwrap();
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!(json["same"], false);
        for face in json["faces"].as_array().unwrap() {
            assert!(face["old"].is_object() && face["new"].is_object(), "{face}");
            assert_eq!(face["changes"].as_array().unwrap().len(), 0, "{face}");
        }
    }
}

/// What else changed is told beside the scale: a chimney drawn elsewhere, 4/3 of as far as it would have been.
#[test]
fn a_chimney_that_moved_is_told_at_another_scale_too() {
    let (old, moved) = (roof("gable-chimney"), roof("gable-chimney-moved"));
    let plain = Revision::between(&old, &moved);
    let svg = fs::read_to_string(fixture("gable-chimney-moved")).unwrap();
    let larger = roof_of(svg.replace("40'-0\"", "53'-4\"").as_bytes()).unwrap();
    let revision = Revision::at_scale(&old, &larger, 4.0 / 3.0);
    assert!(revision.is_rescaled() && !revision.lies_as_it_lay());
    assert!(
        revision
            .faces
            .iter()
            .all(|f| f.old.is_some() && f.new.is_some())
    );
    let moved = |revision: &Revision| match only_cut(revision)[..] {
        [CutKind::Moved { across_ft, up_ft }] => across_ft.hypot(up_ft),
        ref other => panic!("{other:?}"),
    };
    assert!((moved(&revision) / moved(&plain) - 4.0 / 3.0).abs() < 1e-3);
    // A plan drawn twice as large whose feet are as they were is the same plan.
    assert!(!Revision::at_scale(&old, &old, 0.5).is_rescaled());
}

/// Half of the corners of a gable stay where one end of it moved, and the end moved by 1.1 times as many feet as at the old
/// scale. The chimney that went took its own corners with it.
#[test]
fn a_roof_that_grew_or_lost_a_chimney_is_known_at_another_scale() {
    let old = roof("gable-chimney");
    let gone = fs::read_to_string(fixture("gable")).unwrap();
    let gone = roof_of(gone.replace("40'-0\"", "30'-0\"").as_bytes()).unwrap();
    let revision = Revision::at_scale(&old, &gone, 0.75);
    assert!(revision.is_rescaled());
    assert_eq!(only_cut(&revision), [CutKind::Removed]);
    let longer = fs::read_to_string(fixture("gable-longer")).unwrap();
    let longer = roof_of(longer.replace("46'-0\"", "50.6'").as_bytes()).unwrap();
    let plain = Revision::between(&roof("gable"), &roof("gable-longer"));
    let revision = Revision::at_scale(&roof("gable"), &longer, 1.1);
    assert!(revision.is_rescaled());
    let moved = |revision: &Revision| -> Vec<f64> {
        let kinds = revision.faces.iter().flat_map(|f| f.kinds.clone());
        kinds
            .filter_map(|kind| match kind {
                ChangeKind::Moved { by_ft } => Some(by_ft),
                _ => None,
            })
            .collect()
    };
    let (plain, at_scale) = (moved(&plain), moved(&revision));
    assert!(!plain.is_empty() && plain.len() == at_scale.len());
    for (before, now) in plain.into_iter().zip(at_scale) {
        assert!((now / before - 1.1).abs() < 1e-3, "{before} {now}");
    }
}

/// A text without its breaks of lines.
fn in_a_line(text: &[u8]) -> String {
    let words = std::str::from_utf8(text).unwrap().split_whitespace();
    words.collect::<Vec<_>>().join(" ")
}

/// The eave of the first plan was traced 0.04 ft farther out in the second, 0.06 ft at its scale: less than an inch, which is what tracing moves
/// lines by, and 60 × 0.06 = 3.6 ft² of plan more than the scale makes of it.
#[test]
fn what_differs_by_more_than_the_scale_is_not_said_to_differ_by_it_alone() {
    let folder = folder();
    let plan = |deep: f64, from: f64, long: &str| {
        let (right, eave, ridge) = (from + 400.0, from + deep, from + 120.0);
        format!(
            r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 600"><g id="roof" fill="none" stroke="#000">
            <path d="M{from},{from}H{right}V{eave}H{from}Z M{from},{ridge}H{right}"/></g>
            <text x="{0}" y="{1}">6/12</text><text x="{0}" y="{2}">6/12</text>
            <g id="dims"><path stroke="#000" d="M{from},{3}H{right}"/><text x="{0}" y="{4}">{long}</text></g></svg>"##,
            from + 180.0,
            from + 60.0,
            from + 190.0,
            from + 300.0,
            from + 297.0,
        )
    };
    let told = |old: String, new: String| {
        fs::write(folder.path().join("a.svg"), old).unwrap();
        fs::write(folder.path().join("b.svg"), new).unwrap();
        in_a_line(&run(&["diff", "a.svg", "b.svg"], folder.path()).stdout)
    };
    let first = || plan(240.0, 100.0, "40'");
    let traced = told(first(), plan(240.4, 100.0, "60'"));
    assert!(!traced.contains("by the scale alone"), "{traced}");
    assert!(
        traced.contains("comes of the scale and of less"),
        "{traced}"
    );
    let same = told(first(), plan(240.0, 100.0, "60'"));
    assert!(same.contains("The lines lie where they lay"), "{same}");
    let moved = told(first(), plan(240.0, 140.0, "60'"));
    assert!(moved.contains("The plan was moved on its page"), "{moved}");
    assert!(moved.contains("The lines are the same ones"), "{moved}");
    assert!(!moved.contains("lie where they lay"), "{moved}");
}

/// Flashing and sizes that went are told as they would have been at the new scale, as all else of them is.
#[test]
fn a_chimney_at_another_scale_is_told_with_what_it_would_have_been() {
    let folder = folder();
    let told = |name: &str, written: &str| {
        let new = fs::read_to_string(fixture(name)).unwrap();
        let new = new.replace("40'-0\"", written);
        fs::write(folder.path().join("b.svg"), new).unwrap();
        in_a_line(&run(&["diff", "gable-chimney.svg", "b.svg"], folder.path()).stdout)
    };
    let moved = told("gable-chimney-moved", "53'-4\"");
    assert!(moved.contains("moved by"), "{moved}");
    // Neither what lies below, beside and above it now, nor before.
    assert!(!moved.contains("beside"), "{moved}");
    let gone = told("gable", "30'-0\"");
    assert!(gone.contains("gone, 2′-3″ × 1′-6″ of plan"), "{gone}");
}
