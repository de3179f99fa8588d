//! Roofs that ask more of the search than any house does.
#![cfg(target_os = "linux")]

use std::fmt::Write as _;
use std::process::Command;

use crate::command;

/// So many pyramids each way, side by side with valleys between, 4 ft wide, one drawing unit a foot.
fn pyramids(each_way: usize) -> String {
    let (first, width) = (10, 4);
    let last = first + width * each_way;
    let mut lines = String::new();
    for i in 0..=each_way {
        let at = first + width * i;
        let _ = write!(lines, "M{at} {first}V{last}M{first} {at}H{last}");
    }
    let mut labels = String::new();
    for x in (first..last).step_by(width) {
        for y in (first..last).step_by(width) {
            let (right, under) = (x + width, y + width);
            let _ = write!(lines, "M{x} {y}L{right} {under}M{x} {under}L{right} {y}");
            for (dx, dy) in [(1.7, 0.9), (1.7, 3.6), (0.4, 2.2), (3.0, 2.2)] {
                let (x, y) = (x as f64 + dx, y as f64 + dy);
                let _ = write!(
                    labels,
                    "<text x=\"{x}\" y=\"{y}\" font-size=\".3\">4/12</text>"
                );
            }
        }
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 60\"><path d=\"{lines}\" fill=\"none\" stroke=\"#000\"/>{labels}</svg>"
    )
}

/// Every corner between four pyramids is a pond over eight faces or fewer, and each pond is a cost over the faces round it:
/// told all at once, their tables would take more memory than a machine has.
#[test]
fn a_field_of_pyramids_full_of_ponds_is_asked_about_within_a_gigabyte() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("field.svg"), pyramids(9)).unwrap();
    let program = env!("CARGO_BIN_EXE_eavewright");
    let takeoff =
        format!("ulimit -v 1048576; exec \"{program}\" takeoff field.svg --scale 1ft=1 --no-pdf");
    let output = Command::new("bash")
        .args(["-c", &takeoff])
        .current_dir(folder.path())
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    let told = command::told(&output);
    assert_eq!(command::status(&output), 1, "{told}");
    assert!(told.contains("fall-open"), "{told}");
}
