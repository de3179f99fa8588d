//! The offer and the costs behind it as a machine reads them. Amounts are decimals in cents, which JSON's numbers hold
//! to the digit.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

use crate::materials::{Bid, CostLine, CostSheet};

#[derive(Serialize)]
pub(super) struct OfferOut<'a> {
    title: &'a str,
    currency: &'a str,
    price: f64,
    tax: f64,
    total: f64,
    lines: Vec<OfferLine<'a>>,
    alternates: Vec<AlternateOut<'a>>,
    unpriced: &'a [String],
    scope: &'a [String],
    assumptions: &'a [String],
    exclusions: &'a [String],
    cautions: &'a [String],
    valid_until: Option<&'a str>,
}

#[derive(Serialize)]
struct OfferLine<'a> {
    what: &'a str,
    quantity: Option<f64>,
    unit: Option<&'a str>,
    amount: f64,
}

#[derive(Serialize)]
struct AlternateOut<'a> {
    name: &'a str,
    difference: f64,
}

#[derive(Serialize)]
pub(super) struct CostOut<'a> {
    materials: Vec<CostLineOut<'a>>,
    labour: Vec<CostLineOut<'a>>,
    allowances: Vec<CostLineOut<'a>>,
    tax_on_materials: f64,
    cost: f64,
    overhead: f64,
    profit: f64,
    price: f64,
    tax_on_price: f64,
    total: f64,
    labour_assumptions: &'a [String],
}

#[derive(Serialize)]
struct CostLineOut<'a> {
    what: &'a str,
    key: &'a str,
    quantity: f64,
    unit: &'a str,
    unit_price: Option<f64>,
    amount: Option<f64>,
    supplier: Option<&'a str>,
}

/// The nearest binary number: written out, it has the decimal's own digits up to fifteen of them.
fn number(amount: Decimal) -> f64 {
    amount.to_f64().unwrap_or(f64::NAN)
}

/// What the customer may read.
pub(super) fn offer(bid: &Bid) -> OfferOut<'_> {
    OfferOut {
        title: &bid.title,
        currency: &bid.currency,
        price: number(bid.price),
        tax: number(bid.tax),
        total: number(bid.total),
        lines: bid
            .lines
            .iter()
            .map(|line| OfferLine {
                what: &line.what,
                quantity: line.quantity.as_ref().map(|(quantity, _)| *quantity),
                unit: line.quantity.as_ref().map(|(_, unit)| unit.as_str()),
                amount: number(line.amount),
            })
            .collect(),
        alternates: bid
            .alternates
            .iter()
            .map(|alternate| AlternateOut {
                name: &alternate.name,
                difference: number(alternate.difference),
            })
            .collect(),
        unpriced: &bid.unpriced,
        scope: &bid.scope,
        assumptions: &bid.assumptions,
        exclusions: &bid.exclusions,
        cautions: &bid.cautions,
        valid_until: bid.valid_until.as_deref(),
    }
}

/// What the contractor alone may read.
pub(super) fn cost(cost: &CostSheet) -> CostOut<'_> {
    CostOut {
        materials: cost.materials.iter().map(line).collect(),
        labour: cost.labour.iter().map(line).collect(),
        allowances: cost.allowances.iter().map(line).collect(),
        tax_on_materials: number(cost.tax_on_materials),
        cost: number(cost.cost),
        overhead: number(cost.overhead),
        profit: number(cost.profit),
        price: number(cost.price),
        tax_on_price: number(cost.tax_on_price),
        total: number(cost.total),
        labour_assumptions: &cost.labour_assumptions,
    }
}

fn line(line: &CostLine) -> CostLineOut<'_> {
    CostLineOut {
        what: &line.what,
        key: &line.key,
        quantity: number(line.quantity),
        unit: &line.unit,
        unit_price: line.unit_price.map(number),
        amount: line.amount.map(number),
        supplier: line.supplier.as_deref(),
    }
}
