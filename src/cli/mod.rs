//! The command line: arguments, files, exit status. The only part that prints or touches a file.

mod args;
mod batch;
mod bounded;
mod check;
mod compare;
mod courses;
mod diff;
mod formats;
mod given;
mod job;
mod manual;
mod order;
mod output;
mod own;
mod plan;
mod progress;
mod results;
mod road;
mod settings;
mod takeoff;
mod tell;
mod watch;

use std::path::Path;
use std::process::ExitCode;

use clap::{CommandFactory as _, Parser as _};
use eavewright::Finding;

use args::{Cli, Command};
use tell::{Teller, printable_lines};

/// Why a command did not do what it was asked.
pub(crate) enum Failure {
    /// The command line, a file named on it or the job file is wrong: exit status 2.
    Usage(Vec<Finding>),
    /// The plan could not be taken off, and every reason has been printed: exit status 1.
    Plan,
    /// What was asked for was written, and figures differ beyond the tolerance: exit status 1.
    Differs,
}

impl Failure {
    /// A single reason of use.
    pub(crate) fn usage(code: &'static str, message: String) -> Self {
        Self::Usage(vec![Finding::error(code, message)])
    }
}

/// Runs the command that the arguments ask for.
pub(crate) fn run() -> ExitCode {
    let done = match Cli::parse().command {
        Command::Takeoff(args) => takeoff::run(&args),
        Command::Batch(args) => batch::run(&args),
        Command::Courses(args) => courses::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Diff(args) => diff::run(&args),
        Command::Compare(args) => compare::run(&args),
        Command::Order(args) => order::run(&args),
        Command::Formats(args) => formats::run(&args),
        Command::Job(command) => job::run(&command),
        Command::Completions { shell } => completions(shell),
        Command::Man { page } => manual::run(page.as_deref()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(Failure::Plan | Failure::Differs) => ExitCode::from(1),
        Err(Failure::Usage(findings)) => {
            Teller::new(Path::new(""), false, false).tell(&findings, false);
            ExitCode::from(2)
        }
    }
}

/// Prints a text for people on standard output: names in it may hold what a terminal would obey.
pub(crate) fn say(text: &str) -> Result<(), Failure> {
    print(printable_lines(text).as_bytes())
}

/// Prints results on standard output, as they are.
pub(crate) fn print(text: &[u8]) -> Result<(), Failure> {
    output::to_stdout(text).map_err(|e| {
        Failure::usage(
            "output-unwritable",
            format!("Standard output cannot be written: {e}."),
        )
    })
}

fn completions(shell: clap_complete::Shell) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "eavewright", &mut script);
    print(&script)
}
