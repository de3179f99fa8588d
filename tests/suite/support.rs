//! What several test files need.

use std::path::PathBuf;
use std::time::Duration;

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{EdgeClass, Roof, SolveOptions};

/// What takes less than two seconds by itself may take so long in a test, with others beside it and hardly optimised.
pub(crate) const AMONG_OTHERS: Duration = Duration::from_secs(10);

/// The shared data folder beside the repository (`../shared/data/<name>`), or `None`, told on standard error, where
/// it is absent: tests that read it must then return at once.
pub(crate) fn shared_data(name: &str) -> Option<PathBuf> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../shared/data")
        .join(name);
    if path.exists() {
        return Some(path);
    }
    eprintln!("skipped: {} is not there", path.display());
    None
}

/// The careful drawings of the real roofs, in order; the noisy ones are of the same roofs.
pub(crate) fn careful_plans() -> Option<Vec<PathBuf>> {
    let mut plans: Vec<PathBuf> = std::fs::read_dir(shared_data("realroofs")?)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            let name = path.to_string_lossy();
            name.ends_with(".svg") && !name.ends_with(".noisy.svg")
        })
        .collect();
    plans.sort();
    Some(plans)
}

/// The roof of a plan, with every option at its default.
pub(crate) fn roof_of(svg: &[u8]) -> Result<Roof, Vec<Finding>> {
    let drawing = Drawing::read(svg, &ReadOptions::default())?;
    let maps = map::build(&drawing, &MapOptions::default())?;
    Roof::solve(&maps, &SolveOptions::default()).map_err(|unsolved| unsolved.findings)
}

/// The true length of all edges of a class, in feet.
pub(crate) fn length(roof: &Roof, class: EdgeClass) -> f64 {
    roof.true_length(class).to_feet()
}

#[track_caller]
pub(crate) fn near(value: f64, expected: f64, within: f64) {
    assert!(
        (value - expected).abs() <= within,
        "{value} instead of {expected}"
    );
}

/// A plan in feet, y down, with pitches at places and a dimension of 40 ft.
pub(crate) fn plan_in_feet(roof: &str, pitches: &[(f64, f64, &str)], more: &str) -> String {
    let labels = pitches
        .iter()
        .map(|(x, y, pitch)| format!(r#"<text x="{x}" y="{y}">{pitch}</text>"#));
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 110 90"><style>text{{font-size:0.5px}}</style>
        <g id="roof" fill="none" stroke="black" stroke-width="0.1">{roof}</g>
        <g id="pitch">{}</g>{more}
        <g id="dimension" stroke="green"><path d="M0 60H40"/><text x="20" y="59.8">40'-0"</text></g></svg>"#,
        labels.collect::<String>()
    )
}

/// The findings with a code.
pub(crate) fn with_code<'f>(findings: &'f [Finding], code: &str) -> Vec<&'f Finding> {
    findings.iter().filter(|f| f.code == code).collect()
}
