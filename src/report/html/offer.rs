//! The offer on the page: the customer's part alone, none of the costs behind it.

use super::Page;
use super::escape::escape;
use super::table::Table;
use crate::report::number::{decimal, money};
use crate::report::typeset::typeset;

pub(super) fn section(page: &Page) -> Option<String> {
    let bid = &page.report.inputs().offer?.bid;
    let in_currency = |amount| escape(&money(amount, &bid.currency));
    let mut table = Table::new("offer", "Price")
        .words("Part of the work")
        .figures("Quantity")
        .words("Unit")
        .figures("Amount");
    for line in &bid.lines {
        let (quantity, unit) = line
            .quantity
            .as_ref()
            .map_or_else(Default::default, |(quantity, unit)| {
                (decimal(*quantity, 2), escape(unit))
            });
        table.row(
            "",
            &[
                escape(&typeset(&line.what)),
                quantity,
                unit,
                in_currency(line.amount),
            ],
        );
    }
    let empty = String::new;
    let mut sum = |words: &str, amount| {
        table.total(&[words.to_owned(), empty(), empty(), in_currency(amount)]);
    };
    if bid.tax.is_zero() {
        sum("Price", bid.price);
    } else {
        sum("Price before tax", bid.price);
        sum("Tax", bid.tax);
        sum("To pay", bid.total);
    }
    if !bid.unpriced.is_empty() {
        table = table.basis(format!(
            "Not in this price, because nobody has priced it: {}.",
            bid.unpriced.join("; ")
        ));
    }
    let mut out = table.html();
    for (head, sentences) in [
        ("The work", &bid.scope),
        ("Taken as given", &bid.assumptions),
        ("Not in the price", &bid.exclusions),
    ] {
        if sentences.is_empty() {
            continue;
        }
        let items: String = sentences
            .iter()
            .map(|s| format!("<li>{}</li>\n", escape(&typeset(s))))
            .collect();
        out += &format!("<h2>{head}</h2>\n<ul>\n{items}</ul>\n");
    }
    Some(out)
}
