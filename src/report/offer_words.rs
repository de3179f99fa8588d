//! What both papers of an offer say in the same words: the sheet and the page.

use crate::materials::Bid;

/// In place of a price; `None` where there is one.
pub(super) const fn no_price_words(bid: &Bid) -> Option<&'static str> {
    match (bid.lines.is_empty(), bid.takes_shingles) {
        (false, _) => None,
        (true, true) => Some("Nothing is priced yet: the prices are missing."),
        (true, false) => Some("No work in this offer: no face takes shingles."),
    }
}

/// Over what could be had instead or besides.
pub(super) const ALTERNATES: &str = "If you would rather have";
/// What the differences are of.
pub(super) const ALTERNATES_BASIS: &str = "by so much the price changes, before tax";

/// What is in no sum; `None` where all is priced.
pub(super) fn unpriced_words(bid: &Bid) -> Option<String> {
    (!bid.unpriced.is_empty()).then(|| {
        format!(
            "Not in this price, because nobody has priced it: {}.",
            bid.unpriced.join("; ")
        )
    })
}

/// From when and how long the offer holds, and what it rests on.
pub(super) fn held_words(date: &str, bid: &Bid) -> String {
    let dated = if date.is_empty() {
        String::new()
    } else {
        format!("Dated {date}. ")
    };
    let until = bid.valid_until.as_ref();
    let holds = until.map_or_else(String::new, |until| format!("Holds until {until}. "));
    format!("{dated}{holds}Quantities are from the takeoff of the roof.")
}
