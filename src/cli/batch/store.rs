//! Where a batch keeps its results.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::path::{Path, PathBuf};

use eavewright::batch::{Header, Record, Shard, Table};

use super::super::Failure;
use super::super::bounded::Bounded;
use super::super::output::UNFINISHED;
use super::find::Plan;
use super::make::endings;

/// The folder of results.
pub(super) struct Store {
    pub(super) folder: PathBuf,
    pub(super) shard: Option<Shard>,
    /// Whether this run made the folder of plans, so that no earlier one left anything of its plans there.
    is_new: bool,
}

/// The folder in it for what is made of each plan.
pub(super) const PLANS: &str = "plans";
/// How a plan's record ends, and what is not finished yet.
pub(super) const RECORD: &str = "json";
pub(super) const PART: &str = "part";

/// A header with the name of a plan in it is a few hundred bytes; names are bounded by the system.
const LONGEST_HEADER_BYTES: u64 = 64 << 10;

pub(super) fn unwritable(path: &Path, why: &io::Error) -> Failure {
    Failure::usage(
        "output-unwritable",
        format!(
            "{} cannot be written: {why}. Plans that are finished are kept; the same command goes on from there.",
            path.display()
        ),
    )
}

impl Store {
    /// In a folder that need not be there yet.
    pub(super) fn at(folder: &Path, shard: Option<Shard>) -> Self {
        Self {
            folder: folder.to_path_buf(),
            shard,
            is_new: false,
        }
    }

    /// Makes the folders.
    pub(super) fn make(&mut self) -> Result<(), Failure> {
        let plans = self.folder.join(PLANS);
        // One that cannot be looked at may be there.
        self.is_new = matches!(plans.try_exists(), Ok(false));
        fs::create_dir_all(&plans).map_err(|e| unwritable(&plans, &e))
    }

    /// Where a plan's file with this ending is.
    pub(super) fn path(&self, plan: &Plan, ending: &str) -> PathBuf {
        let stem = plan.stem();
        self.folder.join(PLANS).join(format!("{stem}.{ending}"))
    }

    /// Where a table with this ending is: a share's tables stand beside those of the others.
    pub(super) fn table(&self, name: &str, ending: &str) -> PathBuf {
        let share = self.shard.map(|s| format!(".{}", s.label()));
        let share = share.unwrap_or_default();
        self.folder.join(format!("{name}{share}.{ending}"))
    }

    /// Where all tables of this run are.
    pub(super) fn tables(&self) -> Vec<PathBuf> {
        let of = |table: &Table| ["csv", "parquet"].map(|ending| self.table(table.name(), ending));
        Table::ALL.iter().flat_map(of).collect()
    }

    /// Tables of shares of another division, of any where this run is over all plans, and of all plans where it is over a
    /// share: whoever joins all tables of the folder would count plans twice.
    pub(super) fn tables_of_other_shares(&self) -> Vec<String> {
        let count = self.shard.map(Shard::count);
        let entries = fs::read_dir(&self.folder).into_iter().flatten().flatten();
        let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
        let mut others: Vec<String> = names
            .filter(|name| {
                let share = Table::ALL.iter().find_map(|table| {
                    let rest = name.strip_prefix(table.name())?;
                    let label = rest
                        .strip_suffix(".csv")
                        .or(rest.strip_suffix(".parquet"))?;
                    match label.strip_prefix('.') {
                        Some(label) => Some(Some(Shard::from_label(label)?.count())),
                        None => label.is_empty().then_some(None),
                    }
                });
                share.is_some_and(|share| share != count)
            })
            .collect();
        others.sort_unstable();
        others
    }

    /// Removes what an earlier run that was killed left of unfinished tables. Only a run that shuts out every other may.
    pub(super) fn clear_unfinished(&self) {
        let entries = fs::read_dir(&self.folder).into_iter().flatten().flatten();
        for entry in entries {
            let name = entry.file_name();
            if name.as_encoded_bytes().starts_with(UNFINISHED.as_bytes()) {
                // One that stays takes room and does no other harm.
                let _ = fs::remove_file(entry.path());
            }
        }
    }

    /// The header of a plan's record, where it is whole and so are the files that were made with it.
    pub(super) fn header(&self, plan: &Plan) -> Option<Header> {
        if self.is_new {
            return None;
        }
        let file = File::open(self.path(plan, RECORD)).ok()?;
        let bytes = file.metadata().ok()?.len();
        let mut start = String::new();
        let mut reader = BufReader::new(file.take(LONGEST_HEADER_BYTES));
        for _ in 0..2 {
            reader.read_line(&mut start).ok()?;
        }
        let header = Record::header(&start, bytes)?;
        let whole = header.files.iter().all(|(ending, &size)| {
            fs::metadata(self.path(plan, ending)).is_ok_and(|m| m.len() == size as u64)
        });
        whole.then_some(header)
    }

    /// A plan's whole record.
    pub(super) fn record(&self, plan: &Plan) -> io::Result<String> {
        fs::read_to_string(self.path(plan, RECORD))
    }

    /// The records that are none of these plans', in order.
    pub(super) fn others(&self, plans: &[Plan]) -> Vec<String> {
        let mark = |stem: &str| {
            let mut mark = DefaultHasher::new();
            stem.hash(&mut mark);
            mark.finish()
        };
        // Eight bytes a plan, for there may be a million.
        let mut marks: Vec<u64> = plans.iter().map(|plan| mark(&plan.stem())).collect();
        marks.sort_unstable();
        let mut others = Vec::new();
        let mut folders = vec![String::new()];
        while let Some(inner) = folders.pop() {
            // What cannot be looked into is not told of: nothing is written there by this run either.
            let entries = fs::read_dir(self.folder.join(PLANS).join(&inner));
            for entry in entries.into_iter().flatten().flatten() {
                let name = format!("{inner}{}", entry.file_name().to_string_lossy());
                if entry.file_type().is_ok_and(|kind| kind.is_dir()) {
                    folders.push(name + "/");
                } else if let Some(stem) = name.strip_suffix(".json")
                    && marks.binary_search(&mark(stem)).is_err()
                {
                    others.push(name);
                }
            }
        }
        others.sort_unstable();
        others
    }

    /// Keeps a plan's files, then its record: while the record is not in its place, nothing of the plan counts.
    ///
    /// All are written beside their places first, so that a full disk leaves what an earlier run made as it was. Then
    /// that goes, its record last, before the first new file is put into its place: wherever a run is killed, no order
    /// lies beside the record of another roof.
    pub(super) fn keep(
        &self,
        plan: &Plan,
        mut header: Header,
        text: &str,
        files: &BTreeMap<String, Vec<u8>>,
    ) -> Result<(), Failure> {
        for (ending, bytes) in files {
            header.files.insert(ending.clone(), bytes.len());
        }
        let record = Record::write(header, text);
        let mut results: Vec<(PathBuf, &[u8])> = (files.iter())
            .map(|(ending, bytes)| (self.path(plan, ending), &bytes[..]))
            .collect();
        results.push((self.path(plan, RECORD), record.as_bytes()));
        for (n, (path, bytes)) in results.iter().enumerate() {
            write(path, bytes).map_err(|e| {
                // Half a result is of no use, and on a full disk it is in the way.
                for (path, _) in &results[..=n] {
                    let _ = fs::remove_file(part(path));
                }
                unwritable(path, &e)
            })?;
        }
        if !self.is_new {
            self.clear_away(plan, files)?;
        }
        for (path, _) in &results {
            fs::rename(part(path), path).map_err(|e| unwritable(path, &e))?;
        }
        Ok(())
    }

    /// Removes what an earlier run made of a plan, its record last, but not what waits to take its place.
    fn clear_away(&self, plan: &Plan, files: &BTreeMap<String, Vec<u8>>) -> Result<(), Failure> {
        for ending in endings() {
            let path = self.path(plan, ending);
            remove(&path)?;
            if !files.contains_key(ending) {
                remove(&part(&path))?;
            }
        }
        remove(&self.path(plan, RECORD))
    }
}

/// The unfinished file beside its place. Its name is always the same, so that runs that are killed leave no heap of
/// them.
fn part(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".");
    name.push(PART);
    path.with_file_name(name)
}

/// Writes a file beside its place. Nothing waits for the disk, which would take longer than the plan did: after a power
/// cut, the sizes in the headers tell which results have to be made again.
fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let part = part(path);
    let write = || Bounded::new(File::create(&part)?).write_all(bytes);
    write().or_else(|e| {
        // The plan's folder may not be there yet.
        match part.parent() {
            Some(folder) if e.kind() == io::ErrorKind::NotFound => {
                fs::create_dir_all(folder).and_then(|()| write())
            }
            _ => Err(e),
        }
    })
}

/// Removes a file of an earlier run, if there is one.
fn remove(path: &Path) -> Result<(), Failure> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => {
            let told = format!(
                "{} is of an earlier run and cannot be removed: {e}.",
                path.display()
            );
            Err(Failure::usage("output-unwritable", told))
        }
        _ => Ok(()),
    }
}
