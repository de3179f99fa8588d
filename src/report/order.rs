//! What several roofs or phases of one job take together: the order alone, for the supplier.

use serde::Serialize;

use super::OutputUnits;
use super::json::{self, Units};
use super::json_money::{self, OfferOut};
use super::summary::{clipped, material_rows, offer_rows};
use crate::Finding;
use crate::materials::{MaterialList, Offer};
use crate::roof::Roof;

/// One plan of the job.
#[derive(Clone, Copy, Debug)]
pub struct Part<'a> {
    /// The name of the plan's file.
    pub name: &'a str,
    /// Its roof.
    pub roof: &'a Roof,
    /// What was noticed while it was taken off.
    pub findings: &'a [Finding],
}

/// An order over all plans of a job.
#[derive(Clone, Copy, Debug)]
pub struct JobOrder<'a> {
    /// The plans, in the order that they were named.
    pub parts: &'a [Part<'a>],
    /// What all of them take, added up before anything was rounded.
    pub list: &'a MaterialList,
    /// The bid for all of them, where the job gives prices.
    pub offer: Option<&'a Offer>,
    /// The units of every number written.
    pub units: OutputUnits,
}

impl<'a> JobOrder<'a> {
    /// What was noticed, each with the name of its plan; without one what belongs to all of them together.
    pub fn findings(&self) -> impl Iterator<Item = (Option<&'a str>, &'a Finding)> {
        let parts = self.parts;
        let of_parts = parts
            .iter()
            .flat_map(|part| part.findings.iter().map(|f| (Some(part.name), f)));
        let of_offer = self.offer.map_or(&[][..], |o| &o.findings);
        let of_all = self.list.findings.iter().chain(of_offer);
        let told = |f: &Finding| parts.iter().any(|part| part.findings.contains(f));
        of_parts.chain(of_all.filter(move |f| !told(f)).map(|f| (None, f)))
    }
}

/// The order on a terminal of 80 columns.
pub fn text(order: &JobOrder<'_>) -> String {
    let units = order.units;
    let mut out = format!(
        "{:<50}{:>15}\n",
        "plan",
        format!("true {}", units.area_sign())
    );
    for part in order.parts {
        out += &format!(
            "{:<50}{:>15}\n",
            clipped(part.name, 49),
            units.area(part.roof.true_area())
        );
    }
    if order.parts.len() > 1 {
        let all = order.parts.iter().map(|p| p.roof.true_area()).sum();
        out += &format!(
            "{:<50}{:>15}\n",
            format!("{} plans", order.parts.len()),
            units.area::<crate::units::True>(all)
        );
    }
    out.push('\n');
    material_rows(order.list, &mut out);
    if let Some(offer) = order.offer {
        offer_rows(&offer.bid, &mut out);
    }
    out
}

/// Comma-separated values: one line an item, a heading line first. Full precision, a point as the decimal mark.
pub fn csv(order: &JobOrder<'_>) -> String {
    const HEADS: [&str; 11] = [
        "item",
        "price_key",
        "order",
        "order_unit",
        "needed",
        "consumed",
        "left_over",
        "measured_in",
        "allowance",
        "basis",
        "source",
    ];
    super::csv::written(|table| {
        table.write_record(HEADS)?;
        order.list.lines.iter().try_for_each(|line| {
            table.write_record([
                line.item.as_str(),
                &line.price_key(),
                &line.quantity.to_string(),
                &line.unit,
                &line.needed.to_string(),
                &line.consumed.to_string(),
                &line.left_over.to_string(),
                &line.needed_unit,
                &line.allowance.to_string(),
                &line.basis,
                &line.source,
            ])
        })
    })
}

#[derive(Serialize)]
struct OrderOut<'a> {
    schema: &'static str,
    units: Units,
    plans: Vec<PlanOut<'a>>,
    materials: Vec<json::MaterialOut<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    offer: Option<OfferOut<'a>>,
    findings: Vec<PlanFindingOut<'a>>,
}

#[derive(Serialize)]
struct PlanFindingOut<'a> {
    /// The plan that it belongs to; none where it belongs to all of them.
    #[serde(skip_serializing_if = "Option::is_none")]
    plan: Option<&'a str>,
    #[serde(flatten)]
    finding: json::FindingOut<'a>,
}

#[derive(Serialize)]
struct PlanOut<'a> {
    name: &'a str,
    plan_area: f64,
    true_area: f64,
    squares: f64,
}

/// The order as a machine reads it, full precision.
pub fn json(order: &JobOrder<'_>) -> String {
    let k = order.units.per_square_foot();
    let out = OrderOut {
        schema: "eavewright.order/1",
        units: Units::of(order.units),
        plans: order
            .parts
            .iter()
            .map(|part| PlanOut {
                name: part.name,
                plan_area: part.roof.plan_area().to_square_feet() * k,
                true_area: part.roof.true_area().to_square_feet() * k,
                squares: part.roof.true_area().to_squares(),
            })
            .collect(),
        materials: order
            .list
            .lines
            .iter()
            .map(|l| json::material(l, None))
            .collect(),
        offer: order.offer.map(|o| json_money::offer(&o.bid)),
        findings: order
            .findings()
            .map(|(plan, finding)| PlanFindingOut {
                plan,
                finding: json::finding(finding, order.units.per_foot()),
            })
            .collect(),
    };
    serde_json::to_string_pretty(&out).unwrap_or_default() + "\n"
}
