//! What is made of one plan: its record and its files, from its name and its bytes alone.

use std::collections::BTreeMap;
use std::fs;
use std::panic::{self, AssertUnwindSafe};
use std::path::Path;

use clap::ValueEnum as _;

use eavewright::batch::Outcome;
use eavewright::courses::LaidBefore;
use eavewright::job::Job;
use eavewright::report::{self, OutputUnits, PdfOptions, refusal_json};
use eavewright::{Finding, Severity};

use super::super::Failure;
use super::super::args::{AlsoArg, BatchArgs};
use super::super::plan::project;
use super::super::progress::Progress;
use super::super::road::{self, Takeoff};
use super::super::settings::Settings;
use super::super::takeoff::pdf_options;

/// What is the same for all plans.
pub(super) struct Maker {
    settings: Settings,
    units: OutputUnits,
    also: Vec<AlsoArg>,
    pdf: PdfOptions,
    /// All that a result depends on besides the plan, in bytes.
    how: Vec<u8>,
}

/// What was made of a plan.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Made {
    pub(super) outcome: Outcome,
    /// The first reason, where it was not taken off.
    pub(super) why: Option<String>,
    /// The record without its header.
    pub(super) text: String,
    /// Other files by their endings.
    pub(super) files: BTreeMap<String, Vec<u8>>,
}

impl Maker {
    pub(super) fn new(args: &BatchArgs) -> Result<Self, Failure> {
        let settings = Settings::of(&args.reading)?;
        let mut also = args.also.clone();
        also.sort_unstable();
        also.dedup();
        Ok(Self {
            units: settings.units(),
            pdf: pdf_options(&args.paper, &[], None, settings.units())?,
            how: how(args, &also, &settings)?,
            settings,
            also,
        })
    }

    pub(super) fn job(&self) -> &Job {
        &self.settings.job
    }

    /// All that a result depends on besides the plan, in bytes.
    pub(super) fn how(&self) -> &[u8] {
        &self.how
    }

    /// The units of what is written.
    pub(super) fn units(&self) -> OutputUnits {
        self.units
    }

    /// Takes a plan off. A panic is a defect of the program, and no reason to leave the other plans undone.
    pub(super) fn make(&self, file_name: &str, bytes: &[u8], before: &mut LaidBefore) -> Made {
        let take_off = AssertUnwindSafe(|| self.take_off(file_name, bytes, before));
        let made = panic::catch_unwind(take_off);
        made.unwrap_or_else(|panic| {
            let words = (panic.downcast_ref::<&str>().map(ToString::to_string))
                .or_else(|| panic.downcast_ref::<String>().cloned())
                .unwrap_or_default();
            Made::failed(&words, self.units)
        })
    }

    fn take_off(&self, file_name: &str, bytes: &[u8], before: &mut LaidBefore) -> Made {
        let refused =
            |findings: Vec<Finding>| Made::refused(outcome(&findings), findings, self.units);
        let none = Progress::none();
        let mut takeoff = match road::take_off_after(bytes, &self.settings, &none, before) {
            Ok(takeoff) => takeoff,
            Err(reasons) => return refused(reasons.findings),
        };
        takeoff.compare(&self.settings);
        match takeoff.price(&self.settings) {
            Ok(()) => (self.report(file_name, &takeoff))
                .unwrap_or_else(|told| Made::refused(Outcome::Failed, vec![told], self.units)),
            Err(Failure::Usage(findings)) => refused(findings),
            Err(Failure::Plan | Failure::Differs) => refused(Vec::new()),
        }
    }

    fn report(&self, file_name: &str, takeoff: &Takeoff) -> Result<Made, Finding> {
        let project = project(Path::new(file_name), &self.settings);
        let report = takeoff.report(&project, self.units);
        let mut files = BTreeMap::new();
        let mut of_paper = Vec::new();
        for also in &self.also {
            let bytes = match also {
                AlsoArg::Pdf => {
                    let pdf = report::pdf(&report, &self.pdf)?;
                    of_paper = pdf.findings;
                    pdf.bytes
                }
                AlsoArg::Csv => report::csv(&report).into_bytes(),
                AlsoArg::Svg => report::svg(&report)?.into_bytes(),
                AlsoArg::Html => report::html::page(&report).into_bytes(),
                AlsoArg::Glb => report::glb::write(&takeoff.roof, &project.source_file),
            };
            files.insert(ending(*also).to_owned(), bytes);
        }
        Ok(Made {
            outcome: Outcome::Done,
            text: report::json(&report.with_findings(&of_paper)),
            files,
            why: None,
        })
    }
}

/// Reasons, each a code and a message, as they are told in one line: the first, and how many more there are.
pub(super) fn in_a_line<'a>(
    mut reasons: impl Iterator<Item = (&'a str, &'a str)>,
) -> Option<String> {
    let (code, message) = reasons.next()?;
    let more = match reasons.count() {
        0 => String::new(),
        more => format!(" (and {more} more)"),
    };
    Some(format!("{message} [{code}]{more}"))
}

impl Made {
    /// A plan that was not taken off, with every reason.
    pub(super) fn refused(outcome: Outcome, findings: Vec<Finding>, units: OutputUnits) -> Self {
        let errors = findings.iter().filter(|f| f.severity == Severity::Error);
        let why = in_a_line(errors.map(|f| (f.code, f.message.as_str())));
        Self {
            outcome,
            why,
            text: refusal_json(&findings, units),
            files: BTreeMap::new(),
        }
    }

    /// A plan that the program failed on, in its last words.
    pub(super) fn failed(words: &str, units: OutputUnits) -> Self {
        let told = Finding::error(
            "program-failed",
            format!("The program failed on this plan: {words}."),
        )
        .remedy("Please report it together with the plan; the other plans are not touched by it.");
        Self::refused(Outcome::Failed, vec![told], units)
    }
}

/// What a refusal is by its reasons: one that lies in the program or the machine is tried again by the next run.
fn outcome(findings: &[Finding]) -> Outcome {
    let says = |code: &str| findings.iter().any(|f| f.code == code);
    match (says("reader-failed"), says("no-memory")) {
        (true, _) => Outcome::Failed,
        (_, true) => Outcome::Stopped,
        _ => Outcome::Refused,
    }
}

/// The endings of all files that may be made of a plan besides its record.
pub(super) fn endings() -> impl Iterator<Item = &'static str> {
    AlsoArg::value_variants().iter().map(|also| ending(*also))
}

const fn ending(also: AlsoArg) -> &'static str {
    match also {
        AlsoArg::Pdf => "pdf",
        AlsoArg::Csv => "csv",
        AlsoArg::Svg => "svg",
        AlsoArg::Html => "html",
        AlsoArg::Glb => "glb",
    }
}

/// The program's version, the options, and what the job file and its price list say: not where it is, which differs
/// between machines.
fn how(args: &BatchArgs, also: &[AlsoArg], settings: &Settings) -> Result<Vec<u8>, Failure> {
    let mut reading = args.reading.clone();
    let job = match reading.job.take() {
        Some(path) => fs::read(&path).map_err(|e| {
            let told = format!("The job file {} cannot be read: {e}.", path.display());
            Failure::usage("job-unreadable", told)
        })?,
        None => Vec::new(),
    };
    let version = env!("CARGO_PKG_VERSION");
    let options = format!(
        "{version} {reading:?} {also:?} {:?} {:?} ",
        args.paper, settings.prices
    );
    Ok([options.into_bytes(), job].concat())
}
