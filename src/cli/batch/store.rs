//! Where a batch keeps its results.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::path::{Path, PathBuf};

use eavewright::batch::{Header, Record, Shard};

use super::super::Failure;
use super::find::Plan;

/// The folder of results.
pub(super) struct Store {
    pub(super) folder: PathBuf,
    pub(super) shard: Option<Shard>,
}

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
    pub(super) fn new(folder: &Path, shard: Option<Shard>) -> Result<Self, Failure> {
        let plans = folder.join("plans");
        fs::create_dir_all(&plans).map_err(|e| unwritable(&plans, &e))?;
        Ok(Self {
            folder: folder.to_path_buf(),
            shard,
        })
    }

    /// Where a plan's file with this ending is.
    pub(super) fn path(&self, plan: &Plan, ending: &str) -> PathBuf {
        let stem = plan.stem();
        self.folder.join("plans").join(format!("{stem}.{ending}"))
    }

    /// Where a table with this ending is: a share's tables stand beside those of the others.
    pub(super) fn table(&self, name: &str, ending: &str) -> PathBuf {
        let share = self.shard.map(|s| format!(".{}", s.label()));
        let share = share.unwrap_or_default();
        self.folder.join(format!("{name}{share}.{ending}"))
    }

    /// The header of a plan's record, where it is whole and so are the files that were made with it.
    pub(super) fn header(&self, plan: &Plan) -> Option<Header> {
        let file = File::open(self.path(plan, "json")).ok()?;
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
        fs::read_to_string(self.path(plan, "json"))
    }

    /// Keeps a plan's files, then its record: while the record is not in its place, nothing of the plan counts.
    pub(super) fn keep(
        &self,
        plan: &Plan,
        mut header: Header,
        text: &str,
        files: &BTreeMap<String, Vec<u8>>,
    ) -> Result<(), Failure> {
        for (ending, bytes) in files {
            self.put(&self.path(plan, ending), bytes)?;
            header.files.insert(ending.clone(), bytes.len());
        }
        let record = Record::write(header, text);
        self.put(&self.path(plan, "json"), record.as_bytes())
    }

    /// Writes a file beside its place and renames it into it. The name of the unfinished file is always the same, so
    /// that runs that are killed leave no heap of them. Nothing waits for the disk, which would take longer than the
    /// plan did: after a power cut, the sizes in the headers tell which results have to be made again.
    fn put(&self, path: &Path, bytes: &[u8]) -> Result<(), Failure> {
        let mut name = path.file_name().unwrap_or_default().to_owned();
        name.push(".part");
        let part = path.with_file_name(name);
        let write = |part: &Path| File::create(part)?.write_all(bytes);
        let written = write(&part).or_else(|e| {
            // The plan's folder may not be there yet.
            match part.parent() {
                Some(folder) if e.kind() == io::ErrorKind::NotFound => {
                    fs::create_dir_all(folder).and_then(|()| write(&part))
                }
                _ => Err(e),
            }
        });
        written.and_then(|()| fs::rename(&part, path)).map_err(|e| {
            // Half a file is of no use, and on a full disk it is in the way.
            let _ = fs::remove_file(&part);
            unwritable(path, &e)
        })
    }
}
