//! `--watch`: a takeoff that is made again when the plan is saved.

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

/// Longer than any takeoff of a gable takes, on the slowest machine.
const PATIENCE: Duration = Duration::from_secs(180);

/// A program that is stopped when the test is over, whatever becomes of it.
struct Watching {
    child: Child,
    said: Receiver<String>,
}

impl Drop for Watching {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Watching {
    fn begin(folder: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_eavewright"))
            .args([
                "takeoff", "plan.svg", "--no-pdf", "--json", "a.json", "--watch",
            ])
            .current_dir(folder)
            .env("NO_COLOR", "1")
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (send, said) = channel();
        let out = BufReader::new(child.stderr.take().unwrap());
        thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                if line.starts_with("watching") && send.send(line).is_err() {
                    return;
                }
            }
        });
        Self { child, said }
    }
    /// Waits until a run is over.
    fn run_over(&self) {
        self.said.recv_timeout(PATIENCE).expect("a run that ends");
    }
}

fn area(folder: &Path) -> f64 {
    let text = fs::read(folder.join("a.json")).unwrap();
    let json: serde_json::Value = serde_json::from_slice(&text).unwrap();
    json["totals"]["true_area"].as_f64().unwrap()
}

#[test]
fn a_saved_plan_is_taken_off_again_and_a_half_saved_one_leaves_the_last_report() {
    let folder = tempfile::tempdir().unwrap();
    let plan = folder.path().join("plan.svg");
    let fixture =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs/gable-40x24-6in12/plan.svg");
    let text = fs::read_to_string(fixture).unwrap();
    fs::write(&plan, &text).unwrap();
    let watching = Watching::begin(folder.path());
    watching.run_over();
    // 960 ft² × √1.25.
    assert!((area(folder.path()) - 1073.3126).abs() < 0.001);
    // Half a file: told, and nothing written.
    fs::write(&plan, &text[..text.len() / 2]).unwrap();
    watching.run_over();
    assert!((area(folder.path()) - 1073.3126).abs() < 0.001);
    // Saved whole, and steeper: 960 ft² × √2.
    assert!(text.contains("6/12"), "the fixture writes its pitch so");
    fs::write(&plan, text.replace("6/12", "12/12")).unwrap();
    watching.run_over();
    let steep = area(folder.path());
    assert!((steep - 960.0 * 2.0_f64.sqrt()).abs() < 0.001, "{steep}");
}
