//! Prices held against what can be ordered: a key that no order has is a slip that would be found on the bill.

use std::collections::BTreeSet;

use super::read::suggestion;
use crate::Finding;
use crate::courses::{ShingleFormat, formats};
use crate::materials::{
    CONTAINER, Item, PriceList, Prices, UnderlaymentKind, is_ordered_in, plain_key,
};

/// Keys told one by one: a supplier's whole list may have hundreds that no roof takes.
const TOLD: usize = 5;

/// Prices of the job file for items that no order can have, or for one twice.
pub(super) fn unknown(prices: &Prices) -> Vec<Finding> {
    let known = items();
    let mut findings = Vec::new();
    let mut seen = BTreeSet::new();
    for key in prices.items.keys() {
        if !known.iter().any(|k| k == item_of(&plain_key(key))) {
            findings.push(
                Finding::error(
                    "unknown-price",
                    format!("The job file gives a price for an item that is not known: `{key}`."),
                )
                .remedy(suggestion(key, &known)),
            );
        }
        if !seen.insert(plain_key(key)) {
            findings.push(
                Finding::error(
                    "price-twice",
                    format!("The job file gives two prices for one item: `{key}`."),
                )
                .remedy("Leave one of them."),
            );
        }
    }
    findings
}

/// Prices that can be in no order: of items that are not known, which a price list may have, and of kinds and formats
/// that are not.
pub(super) fn doubts(list: &PriceList, own: &[ShingleFormat]) -> Vec<Finding> {
    let known = items();
    let mut findings = Vec::new();
    let (mut strange, mut of_no_kind) = (Vec::new(), Vec::new());
    for key in list.keys() {
        if !known.iter().any(|k| k == item_of(key)) {
            strange.push(key);
        } else if !is_kind(key, own) {
            of_no_kind.push(key);
        }
    }
    if !strange.is_empty() {
        findings.push(
            Finding::warning(
                "price-of-nothing",
                format!(
                    "The price list has items that are in no order: {}.",
                    few(&strange)
                ),
            )
            .remedy(suggestion(
                strange.first().copied().unwrap_or_default(),
                &known,
            )),
        );
    }
    if !of_no_kind.is_empty() {
        findings.push(
            Finding::warning(
                "price-of-nothing",
                format!(
                    "Prices are given for kinds that are in no order: {}.",
                    few(&of_no_kind)
                ),
            )
            .remedy("Write the kind as the order's `price_key` has it: a shingle format that is known, such as `shingles:39x13`; `underlayment:felt-15`, `felt-30` or `synthetic`; the size of a boot, nail or cricket, such as `pipe_boot:3 in`, `roofing_nails_long:2 1/2 in`, `cricket:36x9`."),
        );
    }
    findings
}

/// All that can be priced.
fn items() -> Vec<String> {
    let items = Item::ALL.iter().map(|i| i.key());
    items.chain([CONTAINER]).map(str::to_owned).collect()
}

/// The item of a key: `pipe_boot` of `pipe_boot:3 in`.
fn item_of(key: &str) -> &str {
    key.split(':').next().unwrap_or(key)
}

/// Whether orders have lines of the kind that a key names.
fn is_kind(key: &str, own: &[ShingleFormat]) -> bool {
    let Some((item, kind)) = key.split_once(':') else {
        return true;
    };
    let item = Item::ALL.into_iter().find(|i| i.key() == item);
    match item {
        Some(Item::Shingles) => {
            let known = formats::shipped();
            let mut names = own.iter().chain(&known).map(|f| plain_key(&f.name));
            names.any(|name| name == kind)
        }
        Some(Item::Underlayment) => UnderlaymentKind::ALL.iter().any(|k| k.key() == kind),
        Some(item) => is_ordered_in(item, kind),
        None => false,
    }
}

/// Some of the keys, and how many more there are.
fn few(keys: &[&str]) -> String {
    let told: Vec<String> = keys.iter().take(TOLD).map(|k| format!("`{k}`")).collect();
    let told = told.join(", ");
    match keys.len().saturating_sub(TOLD) {
        0 => told,
        more => format!("{told} and {more} more"),
    }
}
