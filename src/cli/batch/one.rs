//! The plans of a batch one after another: looked at, made by a worker unless they are finished already, and kept.

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
use super::find::{Found, Plan};
use super::make::{Made, Maker, in_a_line};
use super::store::Store;

/// Sees to plans, for each worker on a thread.
pub(super) struct Desk {
    maker: Maker,
    crew: Crew,
    again: bool,
}

/// A plan that a worker is to make.
struct ToMake<'p> {
    plan: &'p Plan,
    file_name: String,
    /// The hash of all that its result depends on.
    key: String,
    bytes: Vec<u8>,
}

enum Looked<'p> {
    Done(Done),
    ToMake(ToMake<'p>),
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

    /// Has plans made by the worker of a number, below that of the workers, as long as there are more.
    ///
    /// # Errors
    /// Only where the results cannot be written, or no worker can be started.
    pub(super) fn see_to<'p>(
        &self,
        worker: usize,
        hand_out: impl Fn() -> Option<&'p Plan>,
        found: &Found,
        store: &Store,
        told: impl Fn(&Plan, &Done),
    ) -> Result<(), Failure> {
        // `None` of a plan that is finished already.
        let look = |plan: &'p Plan| -> Result<Option<ToMake<'p>>, Failure> {
            Ok(match self.look_at(&found.path(plan), plan, store)? {
                Looked::ToMake(plan) => Some(plan),
                Looked::Done(done) => {
                    told(plan, &done);
                    None
                }
            })
        };
        let mut place = self.crew.place(worker);
        let mut ahead = None;
        loop {
            let plan = match ahead.take() {
                Some(plan) => plan,
                None => match hand_out().map(look).transpose()? {
                    Some(Some(plan)) => plan,
                    Some(None) => continue,
                    None => return Ok(()),
                },
            };
            if !place.is_busy() {
                place.give(&plan.file_name, &plan.bytes)?;
            }
            // One is looked at and no more, however many are finished already: the worker may be ready, and its time runs.
            ahead = hand_out().map(look).transpose()?.flatten();
            if let Some(plan) = &ahead {
                place.give_ahead(&plan.file_name, &plan.bytes);
            }
            let path = found.path(plan.plan);
            let done = keep(plan.plan, &path, plan.key, place.take(), store)?;
            told(plan.plan, &done);
        }
    }

    /// Looks whether a plan is to be made: not where an earlier run has done the same plan in the same way, nor where it cannot
    /// be read.
    fn look_at<'p>(
        &self,
        path: &Path,
        plan: &'p Plan,
        store: &Store,
    ) -> Result<Looked<'p>, Failure> {
        let bytes = match bytes(path) {
            Ok(bytes) => bytes,
            Err(e) => {
                let told =
                    Finding::error("plan-unreadable", format!("The plan cannot be read: {e}."));
                let units = self.maker.units();
                let made = Made::refused(Outcome::Unreadable, vec![told], units);
                return Ok(Looked::Done(keep(plan, path, String::new(), made, store)?));
            }
        };
        let key = content_key(&[plan.name.as_bytes(), &bytes, self.maker.how()]);
        if let Some(outcome) = self.finished(plan, &key, store) {
            return Ok(Looked::Done(Done {
                outcome,
                before: true,
                why: (outcome != Outcome::Done).then(|| earlier(plan, store)),
            }));
        }
        let file_name = path.file_name().unwrap_or_default().to_string_lossy();
        Ok(Looked::ToMake(ToMake {
            plan,
            file_name: file_name.into_owned(),
            key,
            bytes,
        }))
    }

    /// How an earlier run finished it. A plan that was stopped, or on which the program itself failed, is tried again.
    fn finished(&self, plan: &Plan, key: &str, store: &Store) -> Option<Outcome> {
        let header = (!self.again).then(|| store.header(plan)).flatten()?;
        let settled = matches!(header.outcome, Outcome::Done | Outcome::Refused);
        (header.key == key && settled).then_some(header.outcome)
    }
}

/// Keeps what was made of a plan.
fn keep(plan: &Plan, path: &Path, key: String, made: Made, store: &Store) -> Result<Done, Failure> {
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
