//! What the command line refuses, leaves as it is, and where it prints what.

use std::fs;
use std::io::Read as _;
use std::process::{Command, Stdio};

use eavewright::job::Job;

use crate::command::{run, status, told};

const GABLE: &str = include_str!("../../fixtures/roofs/gable-40x24-6in12/plan.svg");

/// A folder with the gable, and with one that has no pitch and is refused.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    write("plan.svg", GABLE);
    write("none.svg", &GABLE.replace("6/12", ""));
    write("job.toml", JOB);
    folder
}

const JOB: &str = "[project]\nname = \"Heron Lane cottage\"\n";

#[test]
fn a_refused_plan_is_marked_over_nothing_that_the_user_brought() {
    let folder = folder();
    let read = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    for command in ["takeoff", "check", "courses", "compare"] {
        let over_job = [
            command, "none.svg", "--job", "job.toml", "--marked", "job.toml",
        ];
        let output = run(&over_job, folder.path());
        assert_eq!(status(&output), 2, "{command}");
        assert!(told(&output).contains("output-is-job"), "{command}");
        assert_eq!(read("job.toml"), JOB, "{command}");
    }
    let over_old = ["diff", "plan.svg", "none.svg", "--marked", "plan.svg"];
    let output = run(&over_old, folder.path());
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("output-is-plan"));
    assert_eq!(read("plan.svg"), GABLE);
}

#[test]
fn lengths_beyond_all_sense_are_refused_with_a_reason() {
    for (table, key, length, most) in [
        ("plan", "eave_overhang", "200ft", "10ft"),
        ("plan", "rake_overhang", "11 ft", "10ft"),
        ("site", "wall_thickness", "100ft", "4ft"),
        ("site", "deck_thickness", "50ft", "6in"),
        ("shingles", "rake_overhang", "50ft", "6in"),
        ("shingles", "ridge_skip", "2 m", "1ft"),
    ] {
        let wrong = Job::parse(&format!("[{table}]\n{key} = \"{length}\"\n")).unwrap_err();
        let message = &wrong[0].message;
        assert_eq!(wrong.len(), 1, "{key}");
        assert!(message.contains("line 2"), "{message}");
        let bound = format!("`{table}.{key}` is “{length}”, and {most} is the most: ");
        assert!(message.contains(&bound), "{message}");
    }
    assert!(Job::parse("[plan]\neave_overhang = \"10ft\"\n").is_ok());
}

/// The northern slope is 12 ft deep in plan.
#[test]
fn an_overhang_past_the_middle_of_a_slope_is_told() {
    let folder = folder();
    for (overhang, is_told) in [("7ft", true), ("2ft", false)] {
        let job = format!("[plan]\neave_overhang = \"{overhang}\"\n");
        fs::write(folder.path().join("o.toml"), job).unwrap();
        let output = run(
            &["takeoff", "plan.svg", "--job", "o.toml", "--no-pdf"],
            folder.path(),
        );
        assert_eq!(status(&output), 0);
        let said = told(&output).contains("[overhang-past-middle]");
        assert_eq!(said, is_told, "{overhang}");
    }
}

#[test]
fn a_rule_that_matches_nothing_is_told() {
    let folder = folder();
    let output = run(
        &[
            "takeoff",
            "plan.svg",
            "--no-pdf",
            "--roof",
            "layer:roof*",
            "--roof",
            "layer:roofs-of-x",
            "--ignore",
            "colour:red",
            "--ignore",
            "id:t9",
        ],
        folder.path(),
    );
    assert_eq!(status(&output), 0);
    let text = told(&output).replace("\n  ", " ");
    for rule in [
        "--roof layer:roofs-of-x",
        "--ignore colour:red",
        "--ignore id:t9",
    ] {
        assert!(
            text.contains(&format!("`{rule}` matches no")),
            "{rule}: {text}"
        );
    }
    assert!(!text.contains("`--roof layer:roof*`"), "{text}");
}

#[test]
fn a_sheet_with_nothing_on_it_is_refused_and_one_named_twice_is_printed_once() {
    let folder = folder();
    let sheets = |names: &str| {
        let arguments = ["takeoff", "plan.svg", "--pdf", "a.pdf", "--sheets", names];
        run(&arguments, folder.path())
    };
    for (names, code) in [
        ("review", "sheet-without-review"),
        ("plan,formats", "sheet-without-formats"),
        ("bid", "sheet-without-prices"),
    ] {
        let output = sheets(names);
        assert_eq!(status(&output), 2, "{names}");
        assert!(told(&output).contains(code), "{names}");
        assert!(!folder.path().join("a.pdf").exists());
    }
    let pages = |names: &str| {
        assert_eq!(status(&sheets(names)), 0);
        let pdf = lopdf::Document::load(folder.path().join("a.pdf")).unwrap();
        pdf.get_pages().len()
    };
    assert_eq!(pages("schedules,schedules"), pages("schedules"));
}

#[test]
fn what_is_asked_to_be_explained_is_explained_by_every_command() {
    let folder = folder();
    for arguments in [
        &["courses", "plan.svg", "--explain"][..],
        &["compare", "plan.svg", "--explain", "--formats", "39x13"],
        &["check", "plan.svg", "--explain"],
        &["diff", "plan.svg", "plan.svg", "--explain"],
        &[
            "takeoff",
            "plan.svg",
            "--explain",
            "--no-pdf",
            "--json",
            "-",
        ],
        &["takeoff", "plan.svg", "--explain", "--no-pdf", "--quiet"],
    ] {
        let output = run(arguments, folder.path());
        assert_eq!(status(&output), 0, "{arguments:?}");
        let said = told(&output);
        assert!(
            said.contains("Why each face falls as it does"),
            "{arguments:?}"
        );
        let widest = said.lines().map(|line| line.chars().count()).max();
        assert!(widest <= Some(80), "{arguments:?}: {said}");
    }
}

/// Longer than what a pipe holds, so that the program meets the closed end.
#[test]
fn a_reader_that_has_gone_away_is_no_failure_for_any_result() {
    let folder = folder();
    let mut child = Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .args(["takeoff", "plan.svg", "--no-pdf", "--html", "-"])
        .current_dir(folder.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut one = [0];
    let mut out = child.stdout.take().unwrap();
    out.read_exact(&mut one).unwrap();
    drop(out);
    assert!(child.wait().unwrap().success());
}

#[test]
fn a_face_that_is_not_there_is_refused_whatever_it_is_named_for() {
    let folder = folder();
    let output = run(&["courses", "plan.svg", "--face", "Z9"], folder.path());
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("face-unknown"));
}

#[test]
fn a_sheet_that_states_nothing_is_not_said_to_agree() {
    let folder = folder();
    let output = run(&["check", "plan.svg", "--json", "r.json"], folder.path());
    assert_eq!(status(&output), 0);
    let json = fs::read_to_string(folder.path().join("r.json")).unwrap();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["verdict"], "nothing-compared");
}

#[test]
fn control_characters_in_names_reach_neither_terminal_nor_drawing() {
    let folder = folder();
    fs::write(
        folder.path().join("c.toml"),
        "[project]\nname = \"a\\u001b[31mb\"\n",
    )
    .unwrap();
    let output = run(
        &[
            "takeoff", "plan.svg", "--job", "c.toml", "--no-pdf", "--svg", "s.svg",
        ],
        folder.path(),
    );
    assert_eq!(status(&output), 0);
    assert!(!output.stdout.contains(&0x1b));
    let svg = fs::read(folder.path().join("s.svg")).unwrap();
    assert!(!svg.contains(&0x1b));
}

#[test]
fn two_plans_of_one_name_are_told_apart_by_where_they_were_found() {
    let folder = tempfile::tempdir().unwrap();
    for of in ["a", "b"] {
        fs::create_dir(folder.path().join(of)).unwrap();
        fs::write(folder.path().join(of).join("p.svg"), GABLE).unwrap();
    }
    fs::write(folder.path().join("b/q.svg"), GABLE).unwrap();
    let output = run(&["batch", "a", "b", "--out", "o"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let mut table = csv::Reader::from_path(folder.path().join("o/plans.csv")).unwrap();
    let heads = table.headers().unwrap().clone();
    let at = heads.iter().position(|h| h == "path").unwrap();
    let paths: Vec<String> = (table.records())
        .map(|row| row.unwrap()[at].replace('\\', "/"))
        .collect();
    assert_eq!(paths, ["a/p.svg", "b/p.svg", ""]);
    let record = fs::read_to_string(folder.path().join("o/plans/p.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&record).unwrap();
    assert!(record["batch"]["path"].as_str().unwrap().ends_with("p.svg"));
}

#[test]
fn tables_of_another_division_into_shares_are_told() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("a")).unwrap();
    fs::write(folder.path().join("a/p.svg"), GABLE).unwrap();
    let shard = |shard: &str| {
        run(
            &["batch", "a", "--out", "o", "--shard", shard],
            folder.path(),
        )
    };
    for (share, is_told) in [("1/2", false), ("2/2", false), ("1/3", true)] {
        let output = shard(share);
        assert_eq!(status(&output), 0);
        let said = told(&output).contains("another division into shares");
        assert_eq!(said, is_told, "{share}: {}", told(&output));
    }
    // Tables over all plans beside those of a share, too.
    let into_w = |more: &[&str]| {
        let words = [&["batch", "a", "--out", "w"], more].concat();
        run(&words, folder.path())
    };
    assert!(!told(&into_w(&[])).contains("another division"));
    assert!(told(&into_w(&["--shard", "1/2"])).contains("another division into shares"));
    // A run over all clears what a killed one left half done.
    fs::write(folder.path().join("o/.eavewright-x1"), "").unwrap();
    assert_eq!(
        status(&run(&["batch", "a", "--out", "o"], folder.path())),
        0
    );
    assert!(!folder.path().join("o/.eavewright-x1").exists());
}

#[test]
fn a_review_is_told_where_nothing_can_be_written() {
    let folder = folder();
    let output = run(
        &["check", "plan.svg", "--marked", "nowhere/m.svg"],
        folder.path(),
    );
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("output-unwritable"));
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.contains("computed: 1,073.31 ft² true"), "{text}");
}

/// Two slopes to the south, of 12 × 30 and 8 × 30 ft of plan: where the shorter one grows past the other they change names.
#[test]
fn a_face_that_took_another_name_is_told_though_it_did_not_change() {
    let folder = tempfile::tempdir().unwrap();
    let shed = |x: f64, deep: f64| {
        format!(
            "<rect x=\"{x}\" y=\"100\" width=\"300\" height=\"{}\"/>",
            10.0 * deep
        )
    };
    let plan = |second: f64| {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 900 500\"><g id=\"roof\" fill=\"none\" stroke=\"black\">{}{}</g>\
             <g id=\"pitch\" font-size=\"8\"><text x=\"200\" y=\"140\">4/12</text><text x=\"600\" y=\"140\">4/12</text></g>\
             <g id=\"fall\" stroke=\"black\"><line x1=\"300\" y1=\"110\" x2=\"300\" y2=\"170\"/>\
             <line x1=\"700\" y1=\"110\" x2=\"700\" y2=\"170\"/></g><g id=\"scale\" font-size=\"8\">\
             <line x1=\"100\" y1=\"60\" x2=\"400\" y2=\"60\" stroke=\"black\"/><text x=\"240\" y=\"56\">30'-0\"</text></g></svg>",
            shed(100.0, 12.0),
            shed(500.0, second)
        )
    };
    fs::write(folder.path().join("a.svg"), plan(8.0)).unwrap();
    fs::write(folder.path().join("b.svg"), plan(16.0)).unwrap();
    let output = run(&["diff", "a.svg", "b.svg"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.contains("S1, was S2"), "{text}");
    assert!(text.contains("S2, was S1: unchanged"), "{text}");
}

#[cfg(unix)]
#[test]
fn a_link_to_a_file_that_is_not_there_yet_names_that_file() {
    let folder = folder();
    std::os::unix::fs::symlink("out.txt", folder.path().join("link.txt")).unwrap();
    let twice = [
        "takeoff", "plan.svg", "--no-pdf", "--json", "link.txt", "--csv", "out.txt",
    ];
    let output = run(&twice, folder.path());
    assert_eq!(status(&output), 2, "{}", told(&output));
    assert!(!folder.path().join("out.txt").exists());
}

#[cfg(unix)]
#[test]
fn a_link_to_a_file_that_is_not_there_yet_stays_a_link() {
    let folder = folder();
    std::os::unix::fs::symlink("out.json", folder.path().join("link.json")).unwrap();
    let json = ["takeoff", "plan.svg", "--no-pdf", "--json", "link.json"];
    assert_eq!(status(&run(&json, folder.path())), 0);
    let link = folder.path().join("link.json");
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert!(folder.path().join("out.json").is_file());
}

#[test]
fn the_reasons_of_a_refusal_are_told_where_nothing_can_be_marked() {
    let folder = folder();
    let output = run(
        &["check", "none.svg", "--marked", "nowhere/m.svg"],
        folder.path(),
    );
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("output-unwritable"));
    assert!(told(&output).contains("pitch"), "{}", told(&output));
}

#[test]
fn two_results_for_one_place_are_refused_before_anything_is_told() {
    let folder = folder();
    let twice = ["check", "plan.svg", "--json", "r", "--pdf", "r"];
    let output = run(&twice, folder.path());
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("output-named-twice"));
    assert!(output.stdout.is_empty());
}

#[test]
fn the_earlier_revision_is_called_so_where_a_result_would_be_written_over_it() {
    let folder = folder();
    fs::write(folder.path().join("old.svg"), GABLE).unwrap();
    let over_old = ["diff", "old.svg", "plan.svg", "--json", "old.svg"];
    let output = run(&over_old, folder.path());
    assert_eq!(status(&output), 2);
    let said = told(&output).replace("\n  ", " ");
    assert!(said.contains("is the earlier revision itself"), "{said}");
}

/// The shell counts in blocks of 512 or 1,024 bytes: the starter is longer than four of either, and so is any takeoff.
#[cfg(target_os = "linux")]
#[test]
fn what_is_longer_than_the_system_lets_files_be_is_refused_in_a_job_file_and_on_standard_output() {
    let folder = folder();
    let limited = |command: &str| {
        let program = env!("CARGO_BIN_EXE_eavewright");
        let line = format!("ulimit -f 4; exec {program} {command}");
        let mut shell = Command::new("sh");
        shell.args(["-c", &line]).current_dir(folder.path());
        shell.output().unwrap()
    };
    for (command, file) in [
        ("job new new.toml", "new.toml"),
        ("job new - > new.toml", "new.toml"),
        ("takeoff plan.svg --no-pdf --json - > t.json", "t.json"),
        ("takeoff plan.svg --no-pdf --json - >> t.json", "t.json"),
    ] {
        let output = limited(command);
        assert_eq!(status(&output), 2, "{command}: {}", told(&output));
        let said = told(&output).replace("\n  ", " ");
        assert!(
            said.contains("it would be longer than"),
            "{command}: {said}"
        );
        if command == "job new new.toml" {
            assert!(!folder.path().join(file).exists());
        } else {
            let length = fs::metadata(folder.path().join(file)).unwrap().len();
            assert_eq!(length, 0, "{command}");
        }
    }
}

#[cfg(target_os = "linux")]
#[test]
fn standard_output_has_one_name_in_words_and_is_had_alone_by_any_of_its_names() {
    let folder = folder();
    let output = run(
        &["takeoff", "plan.svg", "--no-pdf", "--json", "/dev/stdout"],
        folder.path(),
    );
    assert_eq!(status(&output), 0, "{}", told(&output));
    let json: Result<serde_json::Value, _> = serde_json::from_slice(&output.stdout);
    assert!(json.is_ok());
    let twice = [
        "takeoff",
        "plan.svg",
        "--no-pdf",
        "--json",
        "/dev/stdout",
        "--csv",
        "-",
    ];
    let output = run(&twice, folder.path());
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("output-named-twice"));
    let program = env!("CARGO_BIN_EXE_eavewright");
    let line = format!("exec {program} takeoff plan.svg --no-pdf --json - > /dev/full");
    let mut shell = Command::new("sh");
    let output = shell.args(["-c", &line]).current_dir(folder.path());
    let output = output.output().unwrap();
    assert_eq!(status(&output), 2);
    let said = told(&output);
    assert!(said.contains("Standard output cannot be written"), "{said}");
}
