//! What a batch was given besides plans is never where its results go.

use std::path::{Path, PathBuf};

use eavewright::Finding;
use eavewright::job::Job;

use super::super::Failure;
use super::super::args::BatchArgs;
use super::super::output::{UNFINISHED, folder_of, place};
use super::super::results::Brought;
use super::find::is_list;
use super::make::endings;
use super::store::{PART, PLANS, RECORD, Store};

/// Told before any folder is made: whether a table, or a plan's results, would take the place of a list of plans, the job file or
/// its price list.
pub(super) fn clear_of_brought(args: &BatchArgs, job: &Job, store: &Store) -> Result<(), Failure> {
    let tables: Vec<PathBuf> = store.tables().iter().map(|table| place(table)).collect();
    let folder = place(&store.folder);
    let plans = place(&store.folder.join(PLANS));
    for Brought { path, code, what } in brought(args, job) {
        if !path.exists() {
            continue;
        }
        // A link counts as itself and as what it leads to: either may be written over.
        let places = [place(&path), beside_its_folder(&path)];
        let is_table = places.iter().any(|p| tables.contains(p));
        let is_result = |p: &PathBuf| {
            (p.starts_with(&plans) && ends_like_a_result(p))
                || (p.parent() == Some(&*folder) && is_unfinished(p))
        };
        if is_table || places.iter().any(is_result) {
            let told = format!(
                "{} is {what} itself, and stands where a result of the batch would go.",
                path.display()
            );
            let told = Finding::error(code, told).remedy("Give another folder with --out.");
            return Err(Failure::Usage(vec![told]));
        }
    }
    Ok(())
}

fn brought(args: &BatchArgs, job: &Job) -> Vec<Brought> {
    let lists = args.sources.iter().filter(|source| is_list(source));
    let lists = lists.map(|list| Brought::new(list, "output-is-list", "the list of plans"));
    lists.chain(Brought::of_job(&args.reading, job)).collect()
}

/// The one name of the folder, with the file's own.
fn beside_its_folder(path: &Path) -> PathBuf {
    place(folder_of(path)).join(path.file_name().unwrap_or_default())
}

fn ends_like_a_result(path: &Path) -> bool {
    let ending = path.extension().unwrap_or_default();
    let mut all = endings().chain([RECORD, PART]);
    all.any(|own| ending.eq_ignore_ascii_case(own))
}

/// Whether a run over all plans would clear it away as what a killed one left.
fn is_unfinished(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default();
    name.as_encoded_bytes().starts_with(UNFINISHED.as_bytes())
}
