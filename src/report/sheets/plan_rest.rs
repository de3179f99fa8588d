//! The lengths that found no room on any plan or detail: in a table, so that none is lost.

use std::collections::BTreeSet;

use super::Draft;
use super::table::{Column, Table};
use crate::report::Report;
use crate::report::canvas::Mark;
use crate::report::plan::{self, Chain};

/// The table of level edges without their length on these sheets; `None` where all have it.
pub(super) fn table(report: &Report<'_>, chains: &[Chain], sheets: &[&Draft<'_>]) -> Option<Table> {
    let items = sheets.iter().flat_map(|sheet| &sheet.canvas.items);
    let texts: BTreeSet<&str> = items
        .filter_map(|item| match &item.mark {
            Mark::Text(text) => Some(text.content.as_str()),
            Mark::Lines(_) | Mark::Stroke { .. } | Mark::Fill { .. } => None,
        })
        .collect();
    let rest = plan::unlettered(report, chains, &texts);
    if rest.is_empty() {
        return None;
    }
    let columns = vec![
        Column::words("Class"),
        Column::words("Faces").grows(1.0),
        Column::figures("True"),
    ];
    let mut table = Table::new("Without room at their edge", columns);
    table.subject = "level edges".to_owned();
    for chain in rest {
        let names = chain
            .faces
            .iter()
            .map(|&id| report.roof().face(id).name.as_str());
        table.rows.push(vec![
            chain.class.words().into(),
            names.collect::<Vec<_>>().join("–").into(),
            report.units().length(chain.true_ft).into(),
        ]);
    }
    Some(table)
}
