//! What several test files need.

use std::path::PathBuf;

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::Roof;
use eavewright::roof::SolveOptions;
use eavewright::roof::map::{self, MapOptions};

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
