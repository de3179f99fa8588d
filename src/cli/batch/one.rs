//! One plan of a batch: taken off, or told why not, and kept.

use std::collections::BTreeMap;
use std::fs;
use std::panic::{self, AssertUnwindSafe};
use std::path::Path;

use eavewright::batch::{Header, Outcome, content_key};
use eavewright::report::{self, Inputs, OutputUnits, PdfOptions, Report, refusal_json};
use eavewright::{Finding, Severity};

use super::super::Failure;
use super::super::args::{AlsoArg, BatchArgs};
use super::super::progress::Progress;
use super::super::road::{self, Takeoff};
use super::super::settings::Settings;
use super::super::takeoff::{pdf_options, project};
use super::find::Plan;
use super::store::Store;

/// What is the same for all plans.
pub(super) struct Worker {
    settings: Settings,
    units: OutputUnits,
    also: Vec<AlsoArg>,
    pdf: PdfOptions,
    /// All that a result depends on besides the plan, in bytes.
    how: Vec<u8>,
    again: bool,
}

/// A plan that is finished.
pub(super) struct Done {
    pub(super) outcome: Outcome,
    /// In an earlier run.
    pub(super) before: bool,
    /// The first reason, where it was not taken off just now.
    pub(super) why: Option<String>,
}

/// What was made of a plan.
struct Made {
    outcome: Outcome,
    text: String,
    files: BTreeMap<&'static str, Vec<u8>>,
    why: Option<String>,
}

impl Worker {
    pub(super) fn new(args: &BatchArgs) -> Result<Self, Failure> {
        let settings = Settings::of(&args.reading)?;
        let mut also = args.also.clone();
        also.sort_unstable();
        also.dedup();
        Ok(Self {
            units: settings.units(),
            pdf: pdf_options(args.paper.as_deref(), &[], false)?,
            how: how(args, &also, &settings)?,
            settings,
            also,
            again: args.again,
        })
    }

    /// Does the plan, unless an earlier run has done the same plan in the same way.
    ///
    /// # Errors
    /// Only where the results cannot be written.
    pub(super) fn work(&self, path: &Path, plan: &Plan, store: &Store) -> Result<Done, Failure> {
        let (key, made) = match fs::read(path) {
            Ok(bytes) => {
                let key = content_key(&[plan.name.as_bytes(), &bytes, &self.how]);
                if let Some(outcome) = self.finished(plan, &key, store) {
                    return Ok(Done {
                        outcome,
                        before: true,
                        why: (outcome != Outcome::Done)
                            .then(|| "refused in an earlier run".to_owned()),
                    });
                }
                (key, self.guarded(path, &bytes))
            }
            Err(e) => {
                let told =
                    Finding::error("plan-unreadable", format!("The plan cannot be read: {e}."));
                (String::new(), self.refused(Outcome::Unreadable, vec![told]))
            }
        };
        let header = Header {
            plan: plan.name.to_string(),
            outcome: made.outcome,
            key,
            rest_bytes: 0,
            files: BTreeMap::new(),
        };
        store.keep(plan, header, &made.text, &made.files)?;
        Ok(Done {
            outcome: made.outcome,
            before: false,
            why: made.why,
        })
    }

    /// How an earlier run finished it. A plan on which the program itself failed is tried again.
    fn finished(&self, plan: &Plan, key: &str, store: &Store) -> Option<Outcome> {
        let header = (!self.again).then(|| store.header(plan)).flatten()?;
        let settled = matches!(header.outcome, Outcome::Done | Outcome::Refused);
        (header.key == key && settled).then_some(header.outcome)
    }

    /// A panic is a defect of the program, and no reason to leave the other plans undone.
    fn guarded(&self, path: &Path, bytes: &[u8]) -> Made {
        let made = panic::catch_unwind(AssertUnwindSafe(|| self.make(path, bytes)));
        made.unwrap_or_else(|panic| {
            let words = (panic.downcast_ref::<&str>().map(ToString::to_string))
                .or_else(|| panic.downcast_ref::<String>().cloned())
                .unwrap_or_default();
            let told = Finding::error(
                "program-failed",
                format!("The program failed on this plan: {words}."),
            )
            .remedy(
                "Please report it together with the plan; the other plans are not touched by it.",
            );
            self.refused(Outcome::Failed, vec![told])
        })
    }

    fn make(&self, path: &Path, bytes: &[u8]) -> Made {
        let mut takeoff = match road::take_off(bytes, &self.settings, &Progress::none()) {
            Ok(takeoff) => takeoff,
            Err(refused) => return self.refused(Outcome::Refused, refused.findings),
        };
        match takeoff.price(&self.settings) {
            Ok(()) => (self.report(path, &takeoff))
                .unwrap_or_else(|told| self.refused(Outcome::Failed, vec![told])),
            Err(Failure::Usage(findings)) => self.refused(Outcome::Refused, findings),
            Err(Failure::Plan | Failure::Differs) => self.refused(Outcome::Refused, Vec::new()),
        }
    }

    fn report(&self, path: &Path, takeoff: &Takeoff) -> Result<Made, Finding> {
        let project = project(path, &self.settings);
        let report = Report::new(Inputs {
            drawing: &takeoff.drawing,
            roof: &takeoff.roof,
            courses: Some(&takeoff.courses),
            materials: Some(&takeoff.materials),
            comparison: takeoff.comparison.as_ref(),
            offer: takeoff.offer.as_ref(),
            project: &project,
            units: self.units,
        });
        let mut files = BTreeMap::new();
        for also in &self.also {
            let bytes = match also {
                AlsoArg::Pdf => report::pdf(&report, &self.pdf)?.bytes,
                AlsoArg::Csv => report::csv(&report).into_bytes(),
                AlsoArg::Svg => report::svg(&report)?.into_bytes(),
                AlsoArg::Html => report::html::page(&report).into_bytes(),
                AlsoArg::Glb => report::glb::write(&takeoff.roof, &project.source_file),
            };
            files.insert(ending(*also), bytes);
        }
        Ok(Made {
            outcome: Outcome::Done,
            text: report::json(&report),
            files,
            why: None,
        })
    }

    fn refused(&self, outcome: Outcome, findings: Vec<Finding>) -> Made {
        let errors = findings.iter().filter(|f| f.severity == Severity::Error);
        let more = errors.clone().count().saturating_sub(1);
        let why = errors.take(1).map(|f| {
            let more = if more > 0 {
                format!(" (and {more} more)")
            } else {
                String::new()
            };
            format!("{} [{}]{more}", f.message, f.code)
        });
        Made {
            outcome,
            why: why.last(),
            text: refusal_json(&findings, self.units),
            files: BTreeMap::new(),
        }
    }
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

/// The program's version, the options, and what the job file and its price list say: not where it is, which differs between machines.
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

/// A plan that the program fails on is told in one line with the others that fail, not by the system's message.
pub(super) fn hide_panics() {
    panic::set_hook(Box::new(|_| {}));
}
