//! What a batch keeps of each plan: the machine-readable takeoff, or the refusal, with one line more that says what
//! it was made from.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// How a plan came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Outcome {
    /// It was taken off.
    Done,
    /// It could not be, for the reasons in its findings.
    Refused,
    /// Its file could not be read.
    Unreadable,
    /// It was stopped, because it took more time or memory than a plan may.
    Stopped,
    /// The program failed on it: a defect to report.
    Failed,
}

impl Outcome {
    /// As tables and files say it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Refused => "refused",
            Self::Unreadable => "unreadable",
            Self::Stopped => "stopped",
            Self::Failed => "failed",
        }
    }
}

/// The line more.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Header {
    /// The plan's name in the batch.
    pub plan: String,
    /// Where it was found, where another plan of the batch has its name from another place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub path: Option<String>,
    /// How it came out.
    pub outcome: Outcome,
    /// What it was made from; see [`content_key`](super::content_key). Empty where the plan could not be read.
    pub key: String,
    /// The size of the rest of the record, by which a record cut short by a failing machine is known.
    pub rest_bytes: usize,
    /// Endings and sizes of the other files made from the plan.
    pub files: BTreeMap<String, usize>,
}

const LEAD: &str = "  \"batch\": ";

/// A finished plan as it is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Record;

impl Record {
    /// The record's text: the machine-readable takeoff or refusal, `{` on its first line, with the header as its
    /// second line.
    ///
    /// ```
    /// use eavewright::batch::{Header, Outcome, Record};
    /// let header = Header {
    ///     plan: "lots/7.svg".into(), path: None, outcome: Outcome::Done, key: "1a".into(), rest_bytes: 0, files: Default::default(),
    /// };
    /// let text = Record::write(header, "{\n  \"schema\": \"eavewright.takeoff/1\"\n}\n");
    /// assert_eq!(Record::header(&text, text.len() as u64).unwrap().plan, "lots/7.svg");
    /// // Cut short, it is none.
    /// assert!(Record::header(&text, text.len() as u64 - 1).is_none());
    /// ```
    pub fn write(mut header: Header, takeoff: &str) -> String {
        let rest = takeoff.strip_prefix("{\n").unwrap_or(takeoff);
        header.rest_bytes = rest.len();
        let line = serde_json::to_string(&header).unwrap_or_default();
        format!("{{\n{LEAD}{line},\n{rest}")
    }

    /// The header of a record whose text starts like this and is so long, where it is whole.
    pub fn header(start: &str, record_bytes: u64) -> Option<Header> {
        let line = start.strip_prefix("{\n")?.split_inclusive('\n').next()?;
        let header: Header =
            serde_json::from_str(line.strip_prefix(LEAD)?.strip_suffix(",\n")?).ok()?;
        let whole = "{\n".len() + line.len() + header.rest_bytes;
        (whole as u64 == record_bytes).then_some(header)
    }
}
