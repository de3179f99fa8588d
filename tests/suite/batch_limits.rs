//! One plan that takes too long, too much memory or the life of its worker costs the others nothing.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::command::told;

const GABLE: &str = include_str!("../../fixtures/roofs/gable-40x24-6in12/plan.svg");

/// So many hipped houses of 40 by 24 feet in one drawing, at a tenth of an inch a foot.
fn development(houses: usize) -> String {
    let columns = 80;
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"400in\" height=\"400in\" viewBox=\"0 0 4000 4000\">\n\
         <g id=\"roof\" fill=\"none\" stroke=\"black\">\n",
    );
    for n in 0..houses {
        let (x, y) = (n % columns * 48, n / columns * 32);
        let (a, b, c, d) = (x + 40, y + 24, x + 12, x + 28);
        let m = y + 12;
        writeln!(
            svg,
            "<path d=\"M{x},{y}H{a}V{b}H{x}ZM{x},{y}L{c},{m}L{x},{b}M{a},{y}L{d},{m}L{a},{b}M{c},{m}H{d}\"/>"
        )
        .unwrap();
    }
    svg + "</g>\n</svg>\n"
}

fn batch(more: &[&str], folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_eavewright"));
    command
        .args(["batch", "lots", "--out", "out", "--pitch", "6/12"])
        .args(["--scale", "1in=10ft", "--jobs", "1"])
        .args(more)
        .current_dir(folder);
    command
}

/// A small house before and behind something else.
fn lots(name: &str, plan: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let lots = folder.path().join("lots");
    fs::create_dir(&lots).unwrap();
    for house in ["a.svg", "z.svg"] {
        fs::write(lots.join(house), GABLE).unwrap();
    }
    fs::write(lots.join(name), plan).unwrap();
    folder
}

fn outcomes(folder: &Path) -> Vec<(String, String, String)> {
    let mut reader = csv::Reader::from_path(folder.join("out/plans.csv")).unwrap();
    let heads = reader.headers().unwrap().clone();
    let column = |name: &str| heads.iter().position(|h| h == name).unwrap();
    let (plan, outcome, code) = (column("plan"), column("outcome"), column("first_code"));
    let rows = reader.records().map(|row| {
        let row = row.unwrap();
        (row[plan].into(), row[outcome].into(), row[code].into())
    });
    rows.collect()
}

#[test]
fn a_plan_over_its_time_is_stopped_and_told_and_tried_again_when_it_has_more() {
    let folder = lots("development.svg", &development(4000));
    let output = batch(&["--time-limit", "2"], folder.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1), "{}", told(&output));
    assert!(
        told(&output).contains("development.svg: The plan was not finished in 2 s"),
        "{}",
        told(&output)
    );
    let rows = outcomes(folder.path());
    let of = |n: usize| (rows[n].1.as_str(), rows[n].2.as_str());
    assert_eq!(of(1), ("stopped", "plan-takes-too-long"), "{rows:?}");
    assert_eq!((of(0).0, of(2).0), ("done", "done"), "{rows:?}");

    // Another plan in its place, or more time, and it is made; what was finished is not made again.
    fs::write(folder.path().join("lots/development.svg"), development(2)).unwrap();
    let output = batch(&[], folder.path()).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let printed = String::from_utf8(output.stdout).unwrap();
    assert!(
        printed.contains("2 finished in an earlier run"),
        "{printed}"
    );
    assert!(outcomes(folder.path()).iter().all(|row| row.1 == "done"));
}

#[cfg(target_os = "linux")]
#[test]
fn a_plan_over_its_memory_is_told_and_the_others_are_made() {
    // As many elements as may be, in nearly as many bytes.
    let class = "x".repeat(400);
    let mut plan = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100in\" height=\"100in\" viewBox=\"0 0 1000 1000\">",
    );
    for n in 0..120_000 {
        let (x, y) = (n % 900, n / 900);
        write!(
            plan,
            "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"9\" height=\"9\" fill=\"none\" stroke=\"#000\"/>"
        )
        .unwrap();
    }
    plan += "</svg>";
    let folder = lots("heavy.svg", &plan);
    let output = batch(&["--memory-limit", "256"], folder.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1), "{}", told(&output));
    let rows = outcomes(folder.path());
    let of = |n: usize| (rows[n].1.as_str(), rows[n].2.as_str());
    assert_eq!(of(1), ("stopped", "plan-takes-too-much-memory"), "{rows:?}");
    assert_eq!((of(0).0, of(2).0), ("done", "done"), "{rows:?}");
}

#[cfg(target_os = "linux")]
#[test]
fn a_worker_that_is_killed_costs_its_plan_and_no_other() {
    use std::time::{Duration, Instant};
    let folder = lots("development.svg", &development(4000));
    let mut run = batch(&["--quiet"], folder.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    // The worker is killed once the first plan is finished: it then works on the second.
    let since = Instant::now();
    while !folder.path().join("out/plans/a.json").exists() {
        assert!(since.elapsed() < Duration::from_secs(60));
        std::thread::sleep(Duration::from_millis(5));
    }
    std::thread::sleep(Duration::from_millis(100));
    let children = fs::read_to_string(format!("/proc/{0}/task/{0}/children", run.id())).unwrap();
    // Whichever thread started it, it is a child of the process.
    let children = if children.trim().is_empty() {
        let tasks = fs::read_dir(format!("/proc/{}/task", run.id())).unwrap();
        let of = |task: fs::DirEntry| fs::read_to_string(task.path().join("children")).unwrap();
        tasks.map(|task| of(task.unwrap())).collect()
    } else {
        children
    };
    let worker = children.split_whitespace().next().expect("no worker");
    let killed = Command::new("kill").args(["-9", worker]).status().unwrap();
    assert!(killed.success());
    assert_eq!(run.wait().unwrap().code(), Some(1));
    let rows = outcomes(folder.path());
    let of = |n: usize| (rows[n].1.as_str(), rows[n].2.as_str());
    assert_eq!(of(1), ("failed", "program-failed"), "{rows:?}");
    assert_eq!((of(0).0, of(2).0), ("done", "done"), "{rows:?}");
}
