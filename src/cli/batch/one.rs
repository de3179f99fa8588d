//! One plan of a batch: looked at, made by a worker unless it is finished already, and kept.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

use eavewright::Finding;
use eavewright::batch::{Header, Outcome, content_key, reasons};

use super::super::Failure;
use super::super::args::BatchArgs;
use super::super::road;
use super::crew::Crew;
use super::find::Plan;
use super::make::{Made, Maker, in_a_line};
use super::store::Store;

/// Sees to plans one at a time, on as many threads as there are workers.
pub(super) struct Desk {
    maker: Maker,
    crew: Crew,
    again: bool,
}

/// A plan that is finished.
pub(super) struct Done {
    pub(super) outcome: Outcome,
    /// In an earlier run.
    pub(super) before: bool,
    /// The first reason, where it was not taken off.
    pub(super) why: Option<String>,
}

impl Desk {
    pub(super) fn new(args: &BatchArgs, maker: Maker, workers: usize) -> Result<Self, Failure> {
        let crew = Crew::new(args, &maker, workers)?;
        Ok(Self {
            crew,
            maker,
            again: args.again,
        })
    }

    /// Does the plan, unless an earlier run has done the same plan in the same way.
    ///
    /// # Errors
    /// Only where the results cannot be written, or no worker can be started.
    pub(super) fn work(&self, path: &Path, plan: &Plan, store: &Store) -> Result<Done, Failure> {
        let (key, made) = match bytes(path) {
            Ok(bytes) => {
                let key = content_key(&[plan.name.as_bytes(), &bytes, self.maker.how()]);
                if let Some(outcome) = self.finished(plan, &key, store) {
                    return Ok(Done {
                        outcome,
                        before: true,
                        why: (outcome != Outcome::Done).then(|| earlier(plan, store)),
                    });
                }
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                (key, self.crew.make(&name, &bytes)?)
            }
            Err(e) => {
                let told =
                    Finding::error("plan-unreadable", format!("The plan cannot be read: {e}."));
                let units = self.maker.units();
                let made = Made::refused(Outcome::Unreadable, vec![told], units);
                (String::new(), made)
            }
        };
        let header = Header {
            plan: plan.name.to_string(),
            path: plan.shares_name.then(|| path.display().to_string()),
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

    /// How an earlier run finished it. A plan that was stopped, or on which the program itself failed, is tried again.
    fn finished(&self, plan: &Plan, key: &str, store: &Store) -> Option<Outcome> {
        let header = (!self.again).then(|| store.header(plan)).flatten()?;
        let settled = matches!(header.outcome, Outcome::Done | Outcome::Refused);
        (header.key == key && settled).then_some(header.outcome)
    }
}

/// Why an earlier run did not take it off.
fn earlier(plan: &Plan, store: &Store) -> String {
    let reasons = reasons(&store.record(plan).unwrap_or_default());
    let told = in_a_line(reasons.iter().map(|(code, message)| (&**code, &**message)));
    let told = told.map(|told| format!(": {told}")).unwrap_or_default();
    format!("refused in an earlier run{told}")
}

/// What is in a plan's file. What is none is not opened: a pipe would be waited for.
pub(super) fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    let kind = fs::metadata(path)?;
    if kind.is_file() {
        return road::bytes(path);
    }
    let what = if kind.is_dir() {
        "folder"
    } else {
        "pipe or a device"
    };
    Err(io::Error::other(format!("it is a {what}, not a file")))
}
