//! Of the files that a command for many plans is given: which of them this program wrote itself. A folder of plans, or a
//! pattern of the shell, meets them too, and a roof would count twice.

use std::path::Path;

use eavewright::drawing::written::{Written, written};

/// Most names that are told in one line.
const MOST_NAMES: usize = 8;

/// What a file is among the plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Somebody's plan; or one with marks that was put into the place of the plan, and so is the plan.
    Plan,
    /// What this program drew of a roof, with marks or without.
    Drawing,
    /// A plan or a drawing with marks, beside the one that they were put on.
    Marked,
    /// A plan with marks, without the plan itself.
    MarkedAlone,
}

/// What a file is; `is_given` says whether another path is among the plans.
pub(super) fn kind(path: &Path, bytes: &[u8], is_given: impl Fn(&Path) -> bool) -> Kind {
    let Some(Written { drawn, marked_of }) = written(bytes) else {
        return Kind::Plan;
    };
    let in_its_place = marked_of.iter().any(|name| path.ends_with(name));
    let mut plans = marked_of.iter().map(|name| path.with_file_name(name));
    if !in_its_place && plans.any(|plan| is_given(&plan)) {
        Kind::Marked
    } else if drawn {
        Kind::Drawing
    } else if in_its_place {
        Kind::Plan
    } else {
        Kind::MarkedAlone
    }
}

/// Names in a line that is not too long.
pub(super) fn listed(names: &[String]) -> String {
    let shown = names.len().min(MOST_NAMES);
    let mut text = names[..shown].join(", ");
    if shown < names.len() {
        text += &format!(" and {} more", names.len() - shown);
    }
    text
}
