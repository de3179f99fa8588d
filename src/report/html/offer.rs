//! The offer on the page: the customer's part alone, none of the costs behind it.

use super::Page;
use super::escape::escape;
use super::table::Table;
use crate::materials::Bid;
use crate::report::number::{decimal, money, money_change};
use crate::report::offer_words::{
    ALTERNATES, ALTERNATES_BASIS, held_words, no_price_words, unpriced_words,
};
use crate::report::typeset::typeset;

pub(super) fn section(page: &Page) -> Option<String> {
    let bid = &page.report.inputs().offer?.bid;
    let mut out = if let Some(words) = no_price_words(bid) {
        format!("<h2>Price</h2>\n<p>{}</p>\n", escape(words))
    } else {
        prices(bid).html()
    };
    if !bid.alternates.is_empty() {
        out += &alternates(bid).html();
    }
    for (head, sentences) in [
        ("The work", &bid.scope),
        ("Taken as given", &bid.assumptions),
        ("Not in the price", &bid.exclusions),
        ("Could change the price", &bid.cautions),
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
    let held = held_words(&page.report.inputs().project.date, bid);
    out += &format!("<p>{}</p>\n", escape(&typeset(&held)));
    Some(out)
}

fn prices(bid: &Bid) -> Table {
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
    if let Some(words) = unpriced_words(bid) {
        table = table.basis(typeset(&words));
    }
    table
}

fn alternates(bid: &Bid) -> Table {
    let mut table = Table::new("alternates", ALTERNATES)
        .words("Instead or besides")
        .figures("Change of price")
        .basis(ALTERNATES_BASIS);
    for alternate in &bid.alternates {
        let change = money_change(alternate.difference, &bid.currency);
        table.row("", &[escape(&typeset(&alternate.name)), escape(&change)]);
    }
    table
}
