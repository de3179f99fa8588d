//! What the job costs the contractor, and how the price is made of it. For the contractor's eyes alone: no sheet of
//! the usual set.

use rust_decimal::Decimal;

use super::flow::{Flow, on_fewest_sheets};
use super::table::{Column, Table, TableStyle};
use super::{Draft, text_height};
use crate::materials::{CostLine, CostSheet, Offer, ProfitRate};
use crate::report::canvas::{Canvas, Fonts};
use crate::report::pdf::Paper;
use crate::report::typeset::typeset;
use crate::report::{Report, number};

/// Draws the sheet, more than one where there are many lines.
pub(super) fn draw<'f>(report: &Report<'_>, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
    let Some(offer) = report.inputs().offer else {
        return Vec::new();
    };
    let size = paper.landscape();
    on_fewest_sheets(&Canvas::new(fonts), text_height(size), |blank, style| {
        set(offer, blank, size, style)
    })
}

fn set<'f>(
    offer: &Offer,
    blank: Canvas<'f>,
    size: (f64, f64),
    style: TableStyle,
) -> Vec<Draft<'f>> {
    let (cost, currency) = (&offer.cost, offer.bid.currency.as_str());
    let mut flow = Flow::new(blank, size, "Costs, internal", style, &[1.6, 1.0]);
    flow.table(&lines(cost, currency));
    flow.next_column();
    flow.table(&sums(cost, currency));
    let mut said = cost.labour_assumptions.clone();
    said.extend(offer.bid.assumptions.iter().cloned());
    if !cost.allowances.is_empty() {
        said.push(
            "Allowances are costs: overhead and profit come on them, and the offer shows them at that price."
                .to_owned(),
        );
    }
    if !offer.bid.alternates.is_empty() {
        said.push(
            "Alternates of the job file change the price by the sum that stands there: neither overhead nor profit comes on it."
                .to_owned(),
        );
    }
    flow.paragraphs("Reckoned with", &said);
    flow.paragraphs(
        "For the contractor alone",
        &[
            "This sheet is printed only where it is asked for. Do not hand it on with the offer."
                .to_owned(),
        ],
    );
    flow.finish()
}

fn lines(cost: &CostSheet, currency: &str) -> Table {
    let mut table = Table::new(
        "Costs line by line",
        vec![
            Column::words("What").grows(1.0),
            Column::figures("Quantity"),
            Column::words("Unit"),
            Column::figures("Each"),
            Column::figures("Amount").bold(),
            Column::words("Supplier"),
        ],
    );
    table.subject = "materials, then labour, then allowances".to_owned();
    let unpriced = |amount: Option<Decimal>| {
        amount.map_or_else(
            || "no price".to_owned(),
            |amount| number::money(amount, currency),
        )
    };
    for line in cost.lines() {
        table.rows.push(vec![
            typeset(&line.what).into(),
            number::quantity(line.quantity).into(),
            line.unit.as_str().into(),
            each(line, currency).into(),
            unpriced(line.amount).into(),
            line.supplier.as_deref().unwrap_or_default().into(),
        ]);
    }
    let all: Decimal = cost.lines().filter_map(|l| l.amount).sum();
    table.total = Some(vec![
        "All lines".into(),
        "".into(),
        "".into(),
        "".into(),
        number::money(all, currency).into(),
        "".into(),
    ]);
    if !cost.unpriced.is_empty() {
        table.notes.push(format!(
            "Lines without a price are in no sum: {}.",
            cost.unpriced.len()
        ));
    }
    table
}

/// The price of one with all the places that it has: a nail may cost a tenth of a cent.
fn each(line: &CostLine, currency: &str) -> String {
    let price = line.unit_price;
    price.map_or_else(String::new, |price| number::unit_price(price, currency))
}

fn sums(cost: &CostSheet, currency: &str) -> Table {
    let mut table = Table::new(
        "From cost to price",
        vec![Column::words("").grows(1.0), Column::figures("Amount")],
    );
    table.heads = false;
    let money = |amount| number::money(amount, currency);
    let of = |lines: &[CostLine]| lines.iter().filter_map(|l| l.amount).sum::<Decimal>();
    let part = cost.margin_percent().map_or_else(String::new, |percent| {
        format!(", {}% of the price", percent.round_dp(1).normalize())
    });
    let margin = match cost.profit_rate {
        Some(ProfitRate::Margin(rate)) => format!(", {}% of the price", rate.normalize()),
        Some(ProfitRate::MarkUp(rate)) => format!(", mark-up of {}%{part}", rate.normalize()),
        None => part,
    };
    for (words, amount) in [
        ("Materials and hauling".to_owned(), of(&cost.materials)),
        ("Labour".to_owned(), of(&cost.labour)),
        ("Allowances".to_owned(), of(&cost.allowances)),
        ("Tax on materials".to_owned(), cost.tax_on_materials),
        ("Cost".to_owned(), cost.cost),
        ("Overhead".to_owned(), cost.overhead),
        (format!("Profit{margin}"), cost.profit),
        ("Price".to_owned(), cost.price),
        ("Tax on the price".to_owned(), cost.tax_on_price),
    ] {
        table.rows.push(vec![words.into(), money(amount).into()]);
    }
    table.total = Some(vec!["To pay".into(), money(cost.total).into()]);
    table
}
