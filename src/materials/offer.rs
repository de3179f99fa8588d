//! `[prices]`, `[labour]` and `[bid]`: what things cost, how long they take, and how the offer is made of it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::money::Exact;

/// `[prices]`.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Prices {
    /// The currency as text to print before amounts.
    pub currency: Option<String>,
    /// A price list in CSV, beside the job file.
    pub list: Option<String>,
    /// Prices by the keys of the material list; they win over the list.
    pub items: BTreeMap<String, Price>,
}

/// No price of one, no rate and no sum put by is larger, in whatever currency; the job file's schema says the same.
pub const MOST_FOR_ONE: u32 = 1_000_000_000;

/// One unit price.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Price {
    /// For one unit.
    pub price: Exact,
    /// The unit that it is for; must be that of the order.
    pub unit: Option<String>,
    /// Until when it holds, `2026-12-31`.
    pub valid_until: Option<String>,
    /// Who gave it.
    pub supplier: Option<String>,
}

/// `[labour]`: hours are squares × hours a square × factors.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Labour {
    /// What an hour costs.
    pub rate: Option<Exact>,
    /// Hours to lay one square on a walkable roof of one storey; 0 where laying is somebody else's work.
    pub hours_per_square: Option<Exact>,
    /// Hours to tear off one square of one layer, of any slope.
    pub tear_off_hours_per_square: Option<Exact>,
    /// What each further layer adds, as a part of the first: 0.7.
    pub further_layer_factor: Option<Exact>,
    /// Factor of laying for faces over 6:12 up to 9:12, and for steeper ones where no other is given.
    pub slope_over_6: Option<Exact>,
    /// Factor of laying for faces over 9:12 up to 12:12, and for steeper ones where no other is given.
    pub slope_over_9: Option<Exact>,
    /// Factor of laying for faces over 12:12.
    pub slope_over_12: Option<Exact>,
    /// Factor for the second storey, and for higher ones where no other is given.
    pub second_storey: Option<Exact>,
    /// Factor for the third storey and above.
    pub third_storey: Option<Exact>,
    /// Factor for a cut-up roof.
    pub cut_up: Option<Exact>,
}

/// `[bid]`.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Bidding {
    /// The bid's title.
    pub title: Option<String>,
    /// Overhead in percent of cost.
    pub overhead_percent: Option<Exact>,
    /// Profit in percent of cost and overhead. Not together with `margin_percent`.
    pub markup_percent: Option<Exact>,
    /// Profit in percent of the price. Not together with `markup_percent`.
    pub margin_percent: Option<Exact>,
    /// Tax that the contractor pays on materials, in percent: a cost.
    pub tax_on_materials_percent: Option<Exact>,
    /// Tax that the customer pays on the price, in percent: added below the price.
    pub tax_on_price_percent: Option<Exact>,
    /// How halves of a cent are rounded.
    pub rounding: Option<Rounding>,
    /// Until when the bid holds, as text to print.
    pub valid_until: Option<String>,
    /// Sentences on what is included, beside those that follow from the takeoff.
    pub scope: Vec<String>,
    /// Sentences on what was assumed, beside those that follow from the takeoff.
    pub assumptions: Vec<String>,
    /// Sentences on what is not included.
    pub exclusions: Vec<String>,
    /// Sums put by for what cannot be measured: costs, on which overhead and profit come.
    pub allowances: Vec<Sum>,
    /// What could be had instead or besides: the sum is added to the price, as it stands, when it is taken.
    pub alternates: Vec<Sum>,
}

/// A named sum of money.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Sum {
    /// What it is for.
    pub name: String,
    /// How much; an alternate may be negative.
    pub amount: Exact,
}

/// How halves of a cent are rounded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rounding {
    /// Away from zero.
    #[default]
    HalfUp,
    /// To the even cent.
    HalfEven,
}
