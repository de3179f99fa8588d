//! The plans that an order is given: each read once; what this program wrote of another of them is left out, and a plan that
//! is there twice is told.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use eavewright::Finding;
use eavewright::drawing::written;

use super::own::{self, Kind, listed};
use super::{Failure, road};

/// A plan of the order.
pub(super) struct Given {
    pub(super) path: PathBuf,
    pub(super) bytes: Vec<u8>,
}

impl Given {
    fn name(&self) -> String {
        self.path.display().to_string()
    }
}

/// The plans that count, in the order given, and what is to be said of them all.
///
/// # Errors
/// Where one of the files cannot be read.
pub(super) fn plans(paths: &[PathBuf]) -> Result<(Vec<Given>, Vec<Finding>), Failure> {
    let read = |path: &PathBuf| {
        let bytes = road::read(path)?;
        let path = path.clone();
        Ok(Given { path, bytes })
    };
    let given: Vec<Given> = paths.iter().map(read).collect::<Result<_, Failure>>()?;
    let (kept, mut findings) = without_own(given);
    findings.extend(twice(&kept));
    Ok((kept, findings))
}

/// Without plans and drawings with marks of which the one that they were put on is given too. This program's own drawings are left
/// out beside plans: of which plan they are they do not say. Given by themselves they are what is to be ordered.
fn without_own(given: Vec<Given>) -> (Vec<Given>, Vec<Finding>) {
    let place = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    let places: Vec<PathBuf> = given.iter().map(|one| place(&one.path)).collect();
    let is_given = |path: &Path| places.contains(&place(path));
    let kinds: Vec<Kind> = (given.iter())
        .map(|one| own::kind(&one.path, &one.bytes, is_given))
        .collect();
    let is_plan = |kind: &Kind| matches!(kind, Kind::Plan | Kind::MarkedAlone);
    let has_plans = kinds.iter().any(is_plan);
    let counts = |kind: &Kind| is_plan(kind) || (!has_plans && *kind == Kind::Drawing);
    // Two that each bear marks of the other: neither is the plan more than its fellow.
    if !kinds.iter().any(counts) {
        return (given, Vec::new());
    }
    let named = |of: Kind| -> Vec<String> {
        let all = given.iter().zip(&kinds);
        all.filter(|(_, kind)| **kind == of)
            .map(|(one, _)| one.name())
            .collect()
    };
    let mut findings = Vec::new();
    let (marked, drawings) = (named(Kind::Marked), named(Kind::Drawing));
    if !marked.is_empty() {
        findings.push(
            Finding::warning(
                "marked-plan-left-out",
                format!(
                    "Left out, as it is a plan of this order with this program's marks on it: {}.",
                    listed(&marked)
                ),
            )
            .remedy("Name the plan or its marked copy, not both; to order the marked copy, take the plan out."),
        );
    }
    if has_plans && !drawings.is_empty() {
        findings.push(
            Finding::warning(
                "own-drawing-left-out",
                format!(
                    "Left out, as this program drew it: {}.",
                    listed(&drawings)
                ),
            )
            .remedy("Name the plan that it was drawn from; a roof of which only such a drawing is left is ordered by itself."),
        );
    }
    let kept = given.into_iter().zip(kinds);
    let kept = kept.filter(|(_, kind)| counts(kind));
    (kept.map(|(one, _)| one).collect(), findings)
}

/// Told of plans that are the same to the last letter, under one path or several, packed or not: two houses may be built by one
/// plan, so all of them count.
fn twice(kept: &[Given]) -> Vec<Finding> {
    let mut alike: BTreeMap<Vec<u8>, Vec<String>> = BTreeMap::new();
    for one in kept {
        let text = written::text(&one.bytes).map(String::into_bytes);
        let text = text.unwrap_or_else(|| one.bytes.clone());
        alike.entry(text).or_default().push(one.name());
    }
    let mut several: Vec<Vec<String>> = alike.into_values().filter(|n| n.len() > 1).collect();
    several.sort();
    let told = |names: &Vec<String>| {
        Finding::warning(
            "plan-given-twice",
            format!(
                "These are one and the same plan, and its roof is ordered {} times: {}.",
                names.len(),
                listed(names)
            ),
        )
        .remedy("Right where so many roofs are built by it; else name it once.")
    };
    several.iter().map(told).collect()
}
