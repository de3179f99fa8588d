//! Pitches left out of drawings: computed where the lines fix them, asked for where they do not.
//!
//! `cargo test --release --test suite roof_missing -- --nocapture` prints the counts on the real roofs.

use eavewright::Severity;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{Roof, SolveOptions};

use crate::support::{roof_of, shared_data};

const HIP: &str = include_str!("../../fixtures/roofs/hip-40x24-6in12/plan.svg");
const GABLE: &str = include_str!("../../fixtures/roofs/gable-40x24-6in12/plan.svg");

/// The text elements of a drawing that say a pitch, as ranges of it.
fn labels(svg: &str) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(start) = svg[at..].find("<text").map(|i| at + i) {
        let end = start + svg[start..].find("</text>").unwrap() + "</text>".len();
        let says = svg[start..end].trim_end_matches("</text>");
        if says.ends_with("/12") || says.ends_with('%') || says.ends_with('°') {
            found.push(start..end);
        }
        at = end;
    }
    found
}

fn without(svg: &str, label: &std::ops::Range<usize>) -> String {
    [&svg[..label.start], &svg[label.end..]].concat()
}

#[test]
fn any_one_pitch_of_a_hip_roof_is_computed_from_the_others_and_told() {
    let whole = roof_of(HIP.as_bytes()).unwrap().true_area();
    let labels = labels(HIP);
    assert_eq!(labels.len(), 4);
    for label in &labels {
        let roof = roof_of(without(HIP, label).as_bytes()).unwrap();
        let area = roof.true_area().to_square_feet();
        assert!((area / whole.to_square_feet() - 1.0).abs() < 1e-6, "{area}");
        let told = roof.findings.iter().find(|f| f.code == "pitch-computed");
        assert!(told.unwrap().message.contains("6/12"));
    }
}

#[test]
fn the_pitch_of_a_gable_is_asked_for_since_its_ridge_leaves_it_open() {
    for label in labels(GABLE) {
        let findings = roof_of(without(GABLE, &label).as_bytes()).unwrap_err();
        assert!(
            findings.iter().any(|f| f.code == "face-without-pitch"),
            "{findings:?}"
        );
    }
}

#[test]
fn a_pitch_in_the_title_block_makes_no_face_of_the_frame() {
    let lines = r#"<path d="M10,10 H782 V602 H10 Z M560,602 V520 H782" fill="none" stroke="black" stroke-width="1.5"/>"#;
    let text = r#"<text x="600" y="560" font-size="12">ROOF 6:12 TYP.</text>"#;
    let framed = |frame: &str, title: &str| HIP.replace("</svg>", &format!("{frame}{title}</svg>"));
    let notes = framed(&format!("<g id=\"note\">{lines}"), &format!("{text}</g>"));
    let whole = roof_of(HIP.as_bytes()).unwrap().true_area();
    let roof = roof_of(notes.as_bytes()).unwrap();
    assert!((roof.true_area().to_square_feet() - whole.to_square_feet()).abs() < 1e-9);
    // Drawn as if it were the roof, it is refused and not taken off.
    let mixed = framed(
        &format!("<g id=\"roof\">{lines}</g>"),
        &format!("<g id=\"pitch\">{text}</g>"),
    );
    let findings = roof_of(mixed.as_bytes()).unwrap_err();
    assert!(
        findings.iter().any(|f| f.code == "face-without-pitch"),
        "{findings:?}"
    );
}

/// What became of one real roof without one of its pitches: the true area where one was computed.
fn computed_area(svg: &str) -> Option<f64> {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).ok()?;
    let maps = map::build(&drawing, &MapOptions::default()).ok()?;
    let roof = Roof::solve(&maps, &SolveOptions::default()).ok()?;
    let computed = roof.findings.iter().any(|f| {
        assert_ne!(f.severity, Severity::Error);
        f.code == "pitch-computed"
    });
    computed.then(|| roof.true_area().to_square_feet())
}

#[test]
fn pitches_left_out_of_real_roofs_are_computed_right_or_asked_for() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let (mut tried, mut computed) = (0, 0);
    let mut wrong = Vec::new();
    for truth in crate::roof_real::Truth::all(&folder) {
        if truth.class == "stepped" {
            continue;
        }
        let svg = std::fs::read_to_string(folder.join(format!("{}.svg", truth.id))).unwrap();
        for (index, label) in labels(&svg).iter().enumerate() {
            tried += 1;
            let Some(area) = computed_area(&without(&svg, label)) else {
                continue;
            };
            computed += 1;
            let off = area / truth.true_area_sqft() - 1.0;
            if off.abs() > 0.02 {
                wrong.push(format!("{} {index}: {:.1} % off", truth.id, 100.0 * off));
            }
        }
    }
    eprintln!("{tried} pitches left out, {computed} computed, wrong: {wrong:?}");
    assert!(computed * 2 > tried);
    assert!(wrong.is_empty(), "{wrong:?}");
}
