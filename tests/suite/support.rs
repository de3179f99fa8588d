//! What several test files need.

use std::path::PathBuf;

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
