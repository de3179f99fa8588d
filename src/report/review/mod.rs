//! A plan review, for people at a terminal and for scripts.

mod json;
mod text;

pub use json::json;
pub(super) use text::difference;
pub use text::text;

use super::Report;
use crate::review::{AreaCheck, Subject};

/// What a stated area is of, by name.
pub(super) fn subject(report: &Report<'_>, check: &AreaCheck) -> String {
    match check.subject {
        Subject::Face(id) => report.roof().face(id).name.clone(),
        Subject::Roof => "total".to_owned(),
    }
}

/// The number of one of the review's findings, as marks and sheets carry it.
pub(super) fn number(report: &Report<'_>, finding: Option<usize>) -> Option<usize> {
    report.number_of(report.review()?.findings.get(finding?)?)
}
