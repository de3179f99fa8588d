//! What several test files need.

use std::path::PathBuf;

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::Roof;
use eavewright::roof::SolveOptions;

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

/// The roof of a plan, with every option at its default.
pub(crate) fn roof_of(svg: &[u8]) -> Result<Roof, Vec<Finding>> {
    let drawing = Drawing::read(svg, &ReadOptions::default())?;
    let maps = map::build(&drawing, &MapOptions::default())?;
    Roof::solve(&maps, &SolveOptions::default()).map_err(|unsolved| unsolved.findings)
}
