//! What changed as findings with their places, so that the new plan can be marked with them.

use super::{Revised, edge_at, edge_words};
use crate::report::number;
use crate::review::CutId;
use crate::{Finding, Place};

/// Every change as a note at its place in the new plan: first the faces, openings and pipes in the order of
/// their numbers, then the edges.
pub fn findings(revised: &Revised<'_>) -> Vec<Finding> {
    let units = revised.new.units();
    let mut all = Vec::new();
    for (_, change) in revised.changed() {
        let (old, new) = revised.true_sqft(change);
        let more = number::decimal((new - old).abs() * units.per_square_foot(), 2);
        let message = format!(
            "{}: {}. True area {more} {} {} than before.",
            revised.name(change),
            revised.all_words(change),
            units.area_sign(),
            if new < old { "less" } else { "more" },
        );
        let at = revised.at(change);
        let finding = Finding::note("face-changed", message);
        all.push(at.into_iter().fold(finding, |f, p| f.place(Place::at(p))));
    }
    for (_, change) in revised.changed_cuts() {
        let code = match change.new.or(change.old) {
            Some(CutId::Pipe(_)) => "pipe-changed",
            _ => "opening-changed",
        };
        let message = format!(
            "{}: {}.",
            revised.cut_name(change),
            revised.all_cut_words(change)
        );
        let at = revised.cut_at(change).into_iter();
        all.push(at.fold(Finding::note(code, message), |f, p| f.place(Place::at(p))));
    }
    for (_, change) in revised.changed_edges() {
        all.push(
            Finding::note("edge-changed", format!("{}.", edge_words(change, units)))
                .place(Place::at(edge_at(change))),
        );
    }
    all
}
