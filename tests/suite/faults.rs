//! Writing goes wrong: a full disk, no permission, a kill at any moment. What was there before stays whole.
#![cfg(unix)]

use std::collections::BTreeSet;
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::os::unix::process::CommandExt as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

const GABLE: &str = include_str!("../../fixtures/roofs/gable-40x24-6in12/plan.svg");
const PROGRAM: &str = env!("CARGO_BIN_EXE_eavewright");

/// A plan with an earlier report of it: the same roof at another pitch.
fn with_an_earlier_report() -> (tempfile::TempDir, Vec<u8>) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("plan.svg"), GABLE).unwrap();
    let output = run(&mut program(&["takeoff", "plan.svg"], folder.path()));
    assert!(output.status.success());
    let report = fs::read(folder.path().join("plan-takeoff.pdf")).unwrap();
    fs::write(
        folder.path().join("plan.svg"),
        GABLE.replace("6/12", "9/12"),
    )
    .unwrap();
    (folder, report)
}

fn program(arguments: &[&str], folder: &Path) -> Command {
    let mut command = Command::new(PROGRAM);
    command
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1");
    command
}

fn run(command: &mut Command) -> Output {
    command.output().unwrap()
}

/// The program with no more room on the disk than this many blocks of 1,024 bytes for each file: what a shell's limit
/// refuses, a full disk refuses, with another word.
fn with_room(kilobytes: u32, arguments: &str, folder: &Path) -> Output {
    let script = format!("trap '' XFSZ; ulimit -f {kilobytes}; exec \"{PROGRAM}\" {arguments}");
    run(Command::new("bash")
        .args(["-c", &script])
        .current_dir(folder))
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_full_disk_leaves_the_earlier_report_as_it_was_and_no_half_file() {
    let (folder, earlier) = with_an_earlier_report();
    let output = with_room(4, "takeoff plan.svg --json plan.json", folder.path());
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("output-unwritable"), "{told}");
    assert_eq!(
        fs::read(folder.path().join("plan-takeoff.pdf")).unwrap(),
        earlier
    );
    assert_eq!(names(folder.path()), ["plan-takeoff.pdf", "plan.svg"]);
}

#[test]
fn a_disk_that_fills_up_stops_a_batch_and_with_room_again_it_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("lots")).unwrap();
    for n in 0..6 {
        let plan = GABLE.replace("6/12", &format!("{}/12", 4 + n));
        fs::write(folder.path().join(format!("lots/{n}.svg")), plan).unwrap();
    }
    // Room for the records, none for the larger PDF.
    let output = with_room(64, "batch lots --out out --also pdf", folder.path());
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("finished are kept"), "{told}");
    assert!(!folder.path().join("out/plans.csv").exists());
    let half: Vec<String> = names(&folder.path().join("out/plans"))
        .into_iter()
        .filter(|n| n.ends_with(".part"))
        .collect();
    assert_eq!(half, [""; 0]);
    let output = run(&mut program(
        &["batch", "lots", "--out", "out", "--also", "pdf"],
        folder.path(),
    ));
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(names(&folder.path().join("out/plans")).len(), 12);
}

#[test]
fn a_folder_that_may_not_be_written_keeps_its_report() {
    let (folder, earlier) = with_an_earlier_report();
    let mode = |mode| fs::set_permissions(folder.path(), fs::Permissions::from_mode(mode)).unwrap();
    mode(0o555);
    let mut command = program(&["takeoff", "plan.svg"], folder.path());
    // Permissions do not bind the system's administrator: as such, the program is run as nobody.
    let administrator = fs::write(folder.path().join("probe"), "").is_ok();
    if administrator {
        fs::remove_file(folder.path().join("probe")).unwrap();
        command.uid(65_534);
    }
    let output = command.output();
    mode(0o755);
    let Ok(output) = output else {
        eprintln!("skipped: nobody may not run the program where it is");
        return;
    };
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("output-unwritable"), "{told}");
    assert_eq!(
        fs::read(folder.path().join("plan-takeoff.pdf")).unwrap(),
        earlier
    );
}

#[test]
fn a_kill_at_any_moment_leaves_the_earlier_report_or_the_new_one() {
    let (folder, earlier) = with_an_earlier_report();
    let report = folder.path().join("plan-takeoff.pdf");
    let mut seen = BTreeSet::new();
    let whole = run(&mut program(
        &["takeoff", "plan.svg", "--pdf", "whole.pdf"],
        folder.path(),
    ));
    assert!(whole.status.success());
    let new = fs::read(folder.path().join("whole.pdf")).unwrap();
    assert_ne!(new, earlier);
    let mut wait = Duration::ZERO;
    while wait < Duration::from_secs(20) {
        fs::write(&report, &earlier).unwrap();
        let mut command = program(&["takeoff", "plan.svg"], folder.path());
        let mut child = command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(wait);
        let ended = child.try_wait().unwrap().is_some();
        child.kill().unwrap();
        child.wait().unwrap();
        let now = fs::read(&report).unwrap();
        assert!(
            now == earlier || now == new,
            "killed after {wait:?}: half a report"
        );
        seen.insert(now == new);
        if ended {
            break;
        }
        wait = wait * 5 / 4 + Duration::from_millis(1);
    }
    assert_eq!(
        seen.len(),
        2,
        "the kills were all too early or all too late"
    );
}

#[test]
fn names_of_any_script_and_length_give_results_that_can_be_found() {
    let folder = tempfile::tempdir().unwrap();
    let long = format!("{}.svg", "屋".repeat(83));
    for name in [
        "屋根 平面図.svg",
        "Приозёрная 7.svg",
        "بيت.svg",
        "a,\"b\";c.svg",
        long.as_str(),
    ] {
        fs::write(folder.path().join(name), GABLE).unwrap();
    }
    let output =
        run(program(&["batch", ".", "--out", "out"], folder.path()).env("LC_ALL", "tr_TR.UTF-8"));
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let mut rows = csv::Reader::from_path(folder.path().join("out/plans.csv")).unwrap();
    let plans: BTreeSet<String> = rows.records().map(|r| r.unwrap()[0].to_owned()).collect();
    assert!(
        plans.contains("屋根 平面図.svg")
            && plans.contains("a,\"b\";c.svg")
            && plans.contains(&long)
    );
    assert_eq!(
        fs::read_dir(folder.path().join("out/plans"))
            .unwrap()
            .count(),
        5
    );
}

#[test]
fn a_plan_and_a_job_with_the_line_ends_of_another_system_give_the_same_numbers() {
    let folder = tempfile::tempdir().unwrap();
    let job = "[project]\nname = \"Heron Lane\"\n\n[shingles]\nformat = \"36x12\"\n";
    let dos = |text: &str| text.replace('\n', "\r\n");
    fs::create_dir(folder.path().join("dos")).unwrap();
    fs::create_dir(folder.path().join("unix")).unwrap();
    fs::write(folder.path().join("unix/plan.svg"), GABLE).unwrap();
    fs::write(folder.path().join("unix/job.toml"), job).unwrap();
    fs::write(folder.path().join("dos/plan.svg"), dos(GABLE)).unwrap();
    fs::write(
        folder.path().join("dos/job.toml"),
        format!("\u{feff}{}", dos(job)),
    )
    .unwrap();
    let takeoff = |at: &str, locale: &str| {
        let arguments = [
            "takeoff", "plan.svg", "--job", "job.toml", "--no-pdf", "--json", "-",
        ];
        let output = run(program(&arguments, &folder.path().join(at)).env("LC_ALL", locale));
        assert_eq!(
            output.status.code(),
            Some(0),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8(output.stdout).unwrap()
    };
    let unix = takeoff("unix", "C");
    assert_eq!(unix, takeoff("dos", "C"));
    // Neither does a language with a comma for the decimal point change a sign.
    assert_eq!(unix, takeoff("unix", "de_DE.UTF-8"));
}

#[test]
fn a_pipe_that_is_named_as_a_result_is_written_to_and_stays_a_pipe() {
    use std::os::unix::fs::FileTypeExt as _;
    let (folder, _) = with_an_earlier_report();
    let pipe = folder.path().join("plan.json");
    assert!(run(Command::new("mkfifo").arg(&pipe)).status.success());
    let reading = {
        let pipe = pipe.clone();
        std::thread::spawn(move || fs::read_to_string(pipe).unwrap())
    };
    let output = run(&mut program(
        &["takeoff", "plan.svg", "--json", "plan.json"],
        folder.path(),
    ));
    assert!(output.status.success());
    // Looked at before the reader is waited for: it waits for ever when a file has taken the pipe's place.
    assert!(fs::symlink_metadata(&pipe).unwrap().file_type().is_fifo());
    let takeoff: serde_json::Value = serde_json::from_str(&reading.join().unwrap()).unwrap();
    assert!(takeoff.is_object());
}

#[test]
fn a_link_that_is_named_as_a_result_stays_and_its_file_is_the_new_report() {
    let (folder, earlier) = with_an_earlier_report();
    let shared = folder.path().join("shared");
    fs::create_dir(&shared).unwrap();
    let report = folder.path().join("plan-takeoff.pdf");
    fs::rename(&report, shared.join("report.pdf")).unwrap();
    std::os::unix::fs::symlink("shared/report.pdf", &report).unwrap();
    let output = run(&mut program(&["takeoff", "plan.svg"], folder.path()));
    assert!(output.status.success());
    assert!(fs::symlink_metadata(&report).unwrap().is_symlink());
    assert_ne!(fs::read(shared.join("report.pdf")).unwrap(), earlier);
    assert_eq!(names(&shared), ["report.pdf"]);
}

#[test]
fn two_results_in_one_place_are_refused_and_nothing_is_written() {
    let (folder, earlier) = with_an_earlier_report();
    fs::create_dir(folder.path().join("out")).unwrap();
    for (json, csv) in [
        ("sums.txt", "sums.txt"),
        ("sums.txt", "out/../sums.txt"),
        ("-", "-"),
    ] {
        let output = run(&mut program(
            &["takeoff", "plan.svg", "--json", json, "--csv", csv],
            folder.path(),
        ));
        let told = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{told}");
        assert!(told.contains("output-named-twice"), "{told}");
        assert_eq!(
            names(folder.path()),
            ["out", "plan-takeoff.pdf", "plan.svg"]
        );
    }
    let report = fs::read(folder.path().join("plan-takeoff.pdf")).unwrap();
    assert_eq!(report, earlier);
}

#[test]
fn the_job_file_is_never_written_over() {
    let (folder, _) = with_an_earlier_report();
    let job = folder.path().join("job.toml");
    fs::write(&job, "[project]\nname = \"A house\"\n").unwrap();
    let output = run(&mut program(
        &[
            "takeoff",
            "plan.svg",
            "--job",
            "job.toml",
            "--csv",
            "./job.toml",
        ],
        folder.path(),
    ));
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("output-is-job"), "{told}");
    assert_eq!(
        fs::read_to_string(&job).unwrap(),
        "[project]\nname = \"A house\"\n"
    );
}

#[test]
fn a_folder_that_is_not_there_is_named() {
    let (folder, _) = with_an_earlier_report();
    let output = run(&mut program(
        &["takeoff", "plan.svg", "--pdf", "bids/plan.pdf"],
        folder.path(),
    ));
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("there is no folder bids"), "{told}");
}
