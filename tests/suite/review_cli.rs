//! `eavewright check` as people and scripts call it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::command::{run, status, told};

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

#[test]
fn no_result_is_written_over_what_the_user_brought() {
    let folder = folder_with("review/architects-sheet/plan.svg");
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    write("a.csv", "total,1152\n");
    write("j.toml", "[prices]\nlist = \"p.csv\"\n");
    write("p.csv", "mine\n");
    write("plan-marked.svg", "<svg>mine</svg>");
    let told = |args: &[&str]| {
        let output = run(args, folder.path());
        assert_eq!(status(&output), 2, "{args:?}");
        String::from_utf8(output.stderr).unwrap()
    };
    let over_list = [
        "check",
        "plan.svg",
        "--against",
        "a.csv",
        "--json",
        "a.csv",
        "--marked",
        "m.svg",
    ];
    assert!(told(&over_list).contains("output-is-list"));
    assert!(told(&["check", "plan.svg"]).contains("marked-is-other"));
    assert_eq!(read(&folder, "a.csv"), "total,1152\n");
    assert_eq!(read(&folder, "plan-marked.svg"), "<svg>mine</svg>");
    assert_eq!(read(&folder, "p.csv"), "mine\n");
    // Its own marks of an earlier run go.
    let given = ["check", "plan.svg", "--marked", "plan-marked.svg"];
    assert_eq!(status(&run(&given, folder.path())), 1);
    assert_eq!(status(&run(&["check", "plan.svg"], folder.path())), 1);
}

#[test]
fn the_price_list_of_a_job_is_not_written_over() {
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    let prices = run(&["job", "prices"], folder.path()).stdout;
    fs::write(folder.path().join("p.csv"), &prices).unwrap();
    fs::write(folder.path().join("j.toml"), "[prices]\nlist = \"p.csv\"\n").unwrap();
    let takeoff = [
        "takeoff", "plan.svg", "--job", "j.toml", "--no-pdf", "--csv", "p.csv",
    ];
    let output = run(&takeoff, folder.path());
    assert_eq!(status(&output), 2);
    assert!(
        String::from_utf8(output.stderr)
            .unwrap()
            .contains("output-is-prices")
    );
    assert_eq!(fs::read(folder.path().join("p.csv")).unwrap(), prices);
}

/// A hip of 40 × 28 with hips at 45° beneath two whole pitches one apart: the slopes of 7 in 12 stand 14 · 7/12 = 8.17 ft
/// high where those of 6 in 12 stand 7 ft high.
#[test]
fn whole_pitches_that_the_hips_contradict_are_told_and_no_sheet_that_agrees() {
    let plan = |pitches: [&str; 4]| {
        let places = [(300, 165), (300, 315), (130, 240), (460, 240)];
        let texts: String = (places.iter().zip(pitches))
            .map(|((x, y), p)| format!("<text x=\"{x}\" y=\"{y}\">{p}</text>"))
            .collect();
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 600 400\"><g id=\"roof\" fill=\"none\" stroke=\"black\">\
             <path d=\"M100 100H500V380H100ZM240 240H360M100 100L240 240L100 380M500 100L360 240L500 380\"/></g>\
             <g id=\"pitch\" font-size=\"8\">{texts}</g><g id=\"scale\" font-size=\"8\">\
             <path d=\"M100 60H500\" stroke=\"black\"/><text x=\"290\" y=\"56\">40'-0\"</text></g></svg>"
        )
    };
    let folder = tempfile::tempdir().unwrap();
    let check = |pitches| {
        fs::write(folder.path().join("plan.svg"), plan(pitches)).unwrap();
        let output = run(&["check", "plan.svg"], folder.path());
        (status(&output), String::from_utf8(output.stderr).unwrap())
    };
    for [a, b] in [["6/12", "7/12"], ["4/12", "5/12"]] {
        let (status, told) = check([a, a, b, b]);
        assert_eq!(status, 1, "{told}");
        assert!(told.contains("pitches-part-at-lines"), "{told}");
        assert!(told.contains(a) && told.contains(b), "{told}");
    }
    let (status, told) = check(["6/12"; 4]);
    assert_eq!(status, 0, "{told}");
    assert!(!told.contains("pitches-part-at-lines"), "{told}");
}

/// The gable has 40 × 24 ft with an overhang of 18 in at eaves and 12 in at rakes. Without that at eaves alone it has 40 × 21 ft:
/// 840 √1.25 = 939.15; without that at rakes alone 38 × 24: 912 √1.25 = 1,019.65.
#[test]
fn one_of_two_overhangs_may_have_been_left_out_alone() {
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    write(
        "job.toml",
        "[plan]\neave_overhang = \"18in\"\nrake_overhang = \"12in\"\n",
    );
    for (total, reach) in [
        ("939.1", "overhang of 18 in at eaves left out"),
        ("1019.6", "overhang of 12 in at rakes left out"),
        (
            "892.2",
            "overhang of 18 in at eaves and 12 in at rakes left out",
        ),
    ] {
        write("stated.csv", &format!("total,{total}\n"));
        let arguments = [
            "check",
            "plan.svg",
            "--against",
            "stated.csv",
            "--job",
            "job.toml",
            "--json",
            "out.json",
        ];
        assert_eq!(status(&run(&arguments, folder.path())), 1);
        let json: serde_json::Value = serde_json::from_str(&read(&folder, "out.json")).unwrap();
        let causes = json["areas"][0]["causes"].as_array().unwrap();
        let words = causes[0]["words"].as_str().unwrap();
        assert!(words.ends_with(reach), "{total}: {words}");
        assert_eq!(causes.len(), 1, "{total}: {causes:?}");
    }
}

#[test]
fn results_of_a_packed_plan_are_named_without_both_of_its_endings() {
    use std::io::Write as _;
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    let plan = fs::read(folder.path().join("plan.svg")).unwrap();
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packed.write_all(&plan).unwrap();
    fs::write(folder.path().join("p.svg.gz"), packed.finish().unwrap()).unwrap();
    run(&["check", "p.svg.gz"], folder.path());
    run(&["takeoff", "p.svg.gz"], folder.path());
    for name in ["p-marked.svgz", "p-takeoff.pdf"] {
        assert!(folder.path().join(name).is_file(), "{name}");
    }
}

/// Spreadsheets save Unicode text so where they are asked for it.
#[test]
fn lists_and_job_files_may_be_utf_16_with_its_mark() {
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    let at = |name: &str| folder.path().join(name);
    let utf16 = |text: &str| -> Vec<u8> {
        let units = std::iter::once(0xfeff).chain(text.encode_utf16());
        units.flat_map(u16::to_le_bytes).collect()
    };
    fs::write(at("areas.csv"), utf16("face,area (m²)\r\nS1,49.86\r\n")).unwrap();
    fs::write(
        at("job.toml"),
        utf16("[project]\nname = \"Ünder the eaves\"\n"),
    )
    .unwrap();
    fs::write(at("plans.txt"), utf16("plan.svg\r\n")).unwrap();
    let list = [
        "check",
        "plan.svg",
        "--against",
        "areas.csv",
        "--job",
        "job.toml",
    ];
    let output = run(&list, folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let output = run(&["batch", "plans.txt", "--out", "out"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    // Half a letter at its end is no text.
    let mut damaged = utf16("S1,49.86\n");
    damaged.pop();
    fs::write(at("areas.csv"), damaged).unwrap();
    let output = run(
        &["check", "plan.svg", "--against", "areas.csv"],
        folder.path(),
    );
    assert_eq!(status(&output), 2);
    let told = told(&output);
    assert!(
        told.contains("against-unreadable") && told.contains("\n  do "),
        "{told}"
    );
    let output = run(&["check", "plan.svg", "--job", "none.toml"], folder.path());
    assert_eq!(status(&output), 2);
    assert!(self::told(&output).contains("\n  do "));
}

/// The shell counts in blocks of 512 or 1,024 bytes: eight of them are less than any sheet.
#[cfg(target_os = "linux")]
#[test]
fn a_report_longer_than_the_system_lets_files_be_is_refused_and_nothing_left_behind() {
    let folder = folder_with("roofs/gable-40x24-6in12/plan.svg");
    let limited = |command: &str| {
        let program = env!("CARGO_BIN_EXE_eavewright");
        let line = format!("ulimit -f 8; exec {program} {command}");
        let mut shell = Command::new("sh");
        shell.args(["-c", &line]).current_dir(folder.path());
        shell.output().unwrap()
    };
    let output = limited("takeoff plan.svg");
    assert_eq!(status(&output), 2, "{}", told(&output));
    assert!(told(&output).contains("cannot be written: it would be longer"));
    let files = fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(files, 1, "the plan alone");
    assert!(output.status.code().is_some());
    let batch = limited("batch plan.svg --out out");
    assert!(
        matches!(batch.status.code(), Some(1 | 2)),
        "{:?}",
        batch.status
    );
    assert!(told(&batch).contains("would be longer"), "{}", told(&batch));
}
