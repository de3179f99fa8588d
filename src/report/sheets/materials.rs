//! What to order: needed, ordered, how it was computed, and where the rule comes from.

use super::flow::Flow;
use super::table::{Column, Table, TableStyle};
use super::{Draft, text_height};
use crate::materials::MaterialList;
use crate::report::canvas::Fonts;
use crate::report::pdf::Paper;
use crate::report::typeset::typeset;
use crate::report::{Report, number};

/// Draws the list, on as many sheets as it needs.
pub(super) fn draw<'f>(report: &Report<'_>, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
    let Some(materials) = report.inputs().materials else {
        return Vec::new();
    };
    let size = paper.landscape();
    let style = TableStyle {
        text: text_height(size),
    };
    let mut flow = Flow::new(fonts, size, "Materials", style, &[1.0]);
    flow.table(table(materials));
    flow.finish()
}

fn table(materials: &MaterialList) -> Table {
    let mut table = Table::new(
        "Materials",
        vec![
            Column::words("Item"),
            Column::figures("Needed"),
            Column::words(""),
            Column::figures("Order").bold(),
            Column::words("Sold as"),
            Column::words("How computed").grows(2.0),
            Column::words("Source").grows(1.0),
        ],
    );
    table.subject = "whole roof; needed is exact, order is rounded once to what is sold".to_owned();
    for line in &materials.lines {
        let item = if line.variant.is_empty() || line.item.contains(&line.variant) {
            line.item.clone()
        } else {
            format!("{}, {}", line.item, line.variant)
        };
        table.rows.push(vec![
            typeset(&item).into(),
            number::trimmed(line.needed, 1).into(),
            line.needed_unit.as_str().into(),
            number::trimmed(line.quantity, 2).into(),
            line.unit.as_str().into(),
            typeset(&line.basis).into(),
            typeset(&line.source).into(),
        ]);
    }
    table
}
