//! `eavewright job`: what a job file is begun from.

use std::fs::OpenOptions;
use std::io::{self, Write as _};
use std::path::Path;

use eavewright::Finding;
use eavewright::job;
use eavewright::materials::PriceList;

use super::args::{JobCommand, UnitsArg};
use super::bounded::Bounded;
use super::output::is_stdout;
use super::{Failure, print};

pub(crate) fn run(command: &JobCommand) -> Result<(), Failure> {
    match command {
        JobCommand::New { file } => begin(file),
        JobCommand::Schema => print(job::SCHEMA.as_bytes()),
        JobCommand::Prices { units } => print(match units {
            UnitsArg::M => PriceList::DEMO_METRIC.as_bytes(),
            UnitsArg::Ft => PriceList::DEMO.as_bytes(),
        }),
    }
}

/// Writes the starter file where nothing is yet.
fn begin(file: &Path) -> Result<(), Failure> {
    let text = job::starter_text().as_bytes();
    if is_stdout(file) {
        return print(text);
    }
    // Whether the file is there and its making are one step: nobody can put one there in between.
    let new = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(file)
        .map_err(|e| refused(file, &e))?;
    Bounded::new(&new).write_all(text).map_err(|e| {
        // Half a file that could not be written is of no use to anybody, and whether it goes is not worth a word.
        let _ = std::fs::remove_file(file);
        refused(file, &e)
    })?;
    print(format!("wrote {}\n", file.display()).as_bytes())
}

fn refused(file: &Path, error: &io::Error) -> Failure {
    if error.kind() == io::ErrorKind::AlreadyExists {
        return Failure::Usage(vec![
            Finding::error(
                "job-exists",
                format!("{} is there already and is left as it is.", file.display()),
            )
            .remedy("Give another name, or move the file away first."),
        ]);
    }
    Failure::usage(
        "output-unwritable",
        format!("{} cannot be written: {error}.", file.display()),
    )
}
