//! A command's results: made all before the first is written, over nothing that was brought, told of at the end.

use std::path::{Path, PathBuf};

use eavewright::job::Job;

use super::Failure;
use super::args::ReadingArgs;
use super::output::{Pending, named_twice, write_all};
use super::settings::price_list_path;

/// A file that the user brought, and how it is called where a result would be written over it.
pub(crate) struct Brought {
    pub(crate) path: PathBuf,
    pub(crate) code: &'static str,
    pub(crate) what: &'static str,
}

impl Brought {
    pub(crate) fn new(path: impl Into<PathBuf>, code: &'static str, what: &'static str) -> Self {
        let path = path.into();
        Self { path, code, what }
    }

    /// The job file, and the price list that it names.
    pub(crate) fn of_job(reading: &ReadingArgs, job: &Job) -> Vec<Self> {
        let Some(file) = &reading.job else {
            return Vec::new();
        };
        let list = price_list_path(file, job);
        let list = list.map(|list| Self::new(list, "output-is-prices", "the price list"));
        let file = Self::new(file, "output-is-job", "the job file");
        std::iter::once(file).chain(list).collect()
    }
}

/// The results of a command.
pub(crate) struct Results {
    files: Vec<Pending>,
    brought: Vec<Brought>,
}

impl Results {
    /// None yet, of a command that reads these plans, and the job file with the price list that it names.
    pub(crate) fn of(plans: &[&Path], reading: &ReadingArgs, job: &Job) -> Self {
        let plans = plans.iter();
        let plans = plans.map(|plan| Brought::new(*plan, "output-is-plan", "the plan"));
        Self {
            files: Vec::new(),
            brought: plans.chain(Brought::of_job(reading, job)).collect(),
        }
    }

    /// Lets no result be written over another file that was brought.
    pub(crate) fn keep(&mut self, path: &Path, code: &'static str, what: &'static str) {
        self.brought.push(Brought::new(path, code, what));
    }

    pub(crate) fn add(&mut self, path: &Path, bytes: impl Into<Vec<u8>>) {
        self.files.push(Pending::new(path, bytes));
    }

    /// Told before anything else is: whether a result would be written over what was brought, or over another result.
    pub(crate) fn clear(&self) -> Result<(), Failure> {
        for brought in &self.brought {
            let Ok(input) = brought.path.canonicalize() else {
                continue;
            };
            let over = |file: &&Pending| file.path().canonicalize().is_ok_and(|p| p == input);
            if let Some(file) = self.files.iter().find(over) {
                let (file, what) = (file.path().display(), brought.what);
                let told = format!("{file} is {what} itself; give the result another name.");
                return Err(Failure::usage(brought.code, told));
            }
        }
        named_twice(&self.files).map_or(Ok(()), |twice| {
            let place = match twice.to_stdout() {
                true => "standard output".to_owned(),
                false => twice.place_in_words(),
            };
            let told =
                format!("Two results would be written to {place}: give each a place of its own.");
            Err(Failure::usage("output-named-twice", told))
        })
    }

    /// Writes all, or says which could not be written.
    pub(crate) fn save(&self) -> Result<(), Failure> {
        write_all(&self.files).map_err(|e| {
            Failure::usage(
                "output-unwritable",
                format!("{} cannot be written: {}.", e.place, e.cause),
            )
        })
    }

    /// Whether one of them has standard output to itself.
    pub(crate) fn take_stdout(&self) -> bool {
        self.files.iter().any(Pending::to_stdout)
    }

    /// The files written, a line each.
    pub(crate) fn wrote(&self) -> String {
        let lines = self.files.iter();
        lines
            .map(|file| format!("wrote {}\n", file.path().display()))
            .collect()
    }
}
