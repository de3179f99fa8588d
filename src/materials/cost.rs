//! The internal cost sheet: every line with its price, overhead, profit, tax. Money is exact; each printed amount is
//! rounded to the cent once, and every total is the sum of printed amounts.

use rust_decimal::Decimal;

use super::cents::{Cents, product};
use super::labour::{self, Hours, LabourLine};
use super::offer::{Bidding, Labour, Rounding, Sum};
use super::price::PriceList;
use super::work::Work;
use super::{Item, MaterialList, priced};
use crate::Finding;
use crate::roof::{Face, Roof};

/// One line of cost.
#[derive(Clone, Debug, PartialEq)]
pub struct CostLine {
    /// The part of the work.
    pub work: Work,
    /// The stock item; `None` for hauling, labour and allowances.
    pub item: Option<Item>,
    /// The key that its price was looked up by; empty for labour and allowances.
    pub key: String,
    /// What it is.
    pub what: String,
    /// How many.
    pub quantity: Decimal,
    /// Of which unit.
    pub unit: String,
    /// The price of one; `None` where it is not known.
    pub unit_price: Option<Decimal>,
    /// Quantity × unit price, in cents; `None` where the price is not known.
    pub amount: Option<Decimal>,
    /// Where the price comes from.
    pub supplier: Option<String>,
}

/// How a job asks for profit, in percent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ProfitRate {
    /// Of cost and overhead.
    MarkUp(Decimal),
    /// Of the price.
    Margin(Decimal),
}

/// What the job costs the contractor, and how the price is made of it. Internal: not for the customer.
#[derive(Clone, Debug, PartialEq)]
pub struct CostSheet {
    /// Materials and services with a unit price.
    pub materials: Vec<CostLine>,
    /// Labour in hours.
    pub labour: Vec<CostLine>,
    /// Sums put by.
    pub allowances: Vec<CostLine>,
    /// Tax that the contractor pays on materials, hauling left out: a cost.
    pub tax_on_materials: Decimal,
    /// All of the above.
    pub cost: Decimal,
    /// Overhead on the cost.
    pub overhead: Decimal,
    /// Profit: a mark-up on cost and overhead, or a margin of the price.
    pub profit: Decimal,
    /// The rate of it, as the job writes it; `None` where it asks for no profit.
    pub profit_rate: Option<ProfitRate>,
    /// Cost, overhead and profit.
    pub price: Decimal,
    /// Tax that the customer pays on the price.
    pub tax_on_price: Decimal,
    /// Price and tax.
    pub total: Decimal,
    /// What has no price and is in no sum.
    pub unpriced: Vec<String>,
    /// How halves of a cent were rounded.
    pub rounding: Rounding,
    /// Sentences on what labour was reckoned with.
    pub labour_assumptions: Vec<String>,
}

impl CostSheet {
    /// Profit in percent of the price: the margin, however the profit was made.
    pub fn margin_percent(&self) -> Option<Decimal> {
        (!self.price.is_zero()).then(|| self.profit * Decimal::ONE_HUNDRED / self.price)
    }

    /// Whether a part of the work takes hours, or nobody has said yet how many: what takes none by the job is left to others.
    pub fn has_labour(&self, work: Work) -> bool {
        self.labour.iter().any(|line| line.work == work)
    }

    /// What bears tax on materials.
    pub(super) fn taxed(&self) -> impl Iterator<Item = &CostLine> {
        taxed(&self.materials)
    }

    /// What bears none.
    pub(super) fn untaxed(&self) -> impl Iterator<Item = &CostLine> {
        let services = self.materials.iter().filter(|l| !is_taxed(l));
        services.chain(&self.labour).chain(&self.allowances)
    }

    /// All lines.
    pub fn lines(&self) -> impl Iterator<Item = &CostLine> {
        self.materials
            .iter()
            .chain(&self.labour)
            .chain(&self.allowances)
    }
}

/// What a cost sheet is made of.
#[derive(Clone, Copy, Debug)]
pub struct CostInputs<'a> {
    /// The roofs of the job.
    pub roofs: &'a [&'a Roof],
    /// What they take.
    pub list: &'a MaterialList,
    /// Unit prices.
    pub prices: &'a PriceList,
    /// Rates, hours and factors.
    pub labour: &'a Labour,
    /// Overhead, profit, tax, rounding, allowances.
    pub bidding: &'a Bidding,
    /// Storeys up to the eaves; 1 where nobody said.
    pub storeys: u32,
    /// The date of the offer as `2026-11-25`, to see which prices have run out.
    pub date: Option<&'a str>,
}

impl<'a> CostInputs<'a> {
    /// The faces that take shingles.
    pub(super) fn faces(&self) -> Vec<&'a Face> {
        let (roofs, list) = (self.roofs, self.list);
        list.lines
            .iter()
            .filter(|l| l.key == Item::Shingles.key())
            .flat_map(|l| &l.faces)
            .filter_map(|(roof, face)| roofs.get(*roof)?.faces.get(face.0))
            .collect()
    }
}

/// Makes the cost sheet; what was noticed comes with it.
///
/// # Errors
/// A mark-up and a margin at once; a margin of the whole price or more; an amount beyond all jobs.
pub fn cost_sheet(inputs: &CostInputs<'_>) -> Result<(CostSheet, Vec<Finding>), Vec<Finding>> {
    check(inputs.bidding)
        .and_then(|()| made(inputs))
        .map_err(|f| vec![f])
}

/// [`cost_sheet`] with its first reason not to make one.
fn made(inputs: &CostInputs<'_>) -> Result<(CostSheet, Vec<Finding>), Finding> {
    let bidding = inputs.bidding;
    let mut findings = inputs.prices.doubts.clone();
    let round = Cents(bidding.rounding.unwrap_or_default());
    let priced::Lines {
        lines: materials,
        refused,
    } = priced::lines(inputs, round, &mut findings)?;
    let Hours {
        lines: hours,
        assumptions: labour_assumptions,
        findings: doubts,
    } = labour::hours(&inputs.faces(), site(inputs), inputs.labour)?;
    findings.extend(doubts);
    let rate = inputs.labour.rate.map(|rate| rate.0);
    let is_free = rate.is_some_and(|rate| rate.is_zero());
    if is_free && hours.iter().any(|line| line.hours.is_some()) {
        findings.push(unpaid());
    }
    let rate = rate.filter(|rate| !rate.is_zero());
    let labour = hours.into_iter().map(|line| worked(line, rate, round));
    let labour: Vec<CostLine> = labour.collect::<Result<_, _>>()?;
    let allowances: Vec<CostLine> = bidding
        .allowances
        .iter()
        .map(|sum| put_by(sum, round))
        .collect::<Result<_, _>>()?;
    let bought = total(&materials);
    let taxed: Decimal = taxed(&materials).filter_map(|l| l.amount).sum();
    let tax_on_materials = round.percent(taxed, bidding.tax_on_materials_percent)?;
    let cost = bought + tax_on_materials + total(&labour) + total(&allowances);
    let overhead = round.percent(cost, bidding.overhead_percent)?;
    let base = cost + overhead;
    let price = match bidding.margin_percent {
        // A margin is a part of the price, a mark-up a part of the cost: 25 % margin is 33 1/3 % mark-up.
        Some(margin) => {
            let hundredfold = product(&[base, Decimal::ONE_HUNDRED]);
            hundredfold.and_then(|h| h.checked_div(Decimal::ONE_HUNDRED - margin.0))
        }
        None => Some(base + round.percent(base, bidding.markup_percent)?),
    };
    let price = round.within(price, "The price")?;
    let tax_on_price = round.percent(price, bidding.tax_on_price_percent)?;
    // What was told to have a price or a rate that is none is not told again.
    findings.extend(without_price(
        materials.iter().filter(|l| !refused.contains(&l.what)),
    ));
    findings.extend(without_pay(
        labour.iter().filter(|l| !(is_free && l.unit == HOUR)),
    ));
    let sheet = CostSheet {
        tax_on_materials,
        cost,
        overhead,
        profit: price - base,
        profit_rate: match (bidding.margin_percent, bidding.markup_percent) {
            (Some(margin), _) => Some(ProfitRate::Margin(margin.0)),
            (None, markup) => markup.map(|rate| ProfitRate::MarkUp(rate.0)),
        },
        price,
        tax_on_price,
        total: price + tax_on_price,
        unpriced: (materials.iter().chain(&labour))
            .filter(|l| l.amount.is_none())
            .map(|l| l.what.clone())
            .collect(),
        rounding: round.0,
        labour_assumptions,
        materials,
        labour,
        allowances,
    };
    Ok((sheet, findings))
}

/// What is torn off, and how high up the work is.
fn site(inputs: &CostInputs<'_>) -> labour::Site {
    let torn = inputs.list.tear_off;
    labour::Site {
        storeys: inputs.storeys,
        layers: torn.map_or(0, |t| t.layers),
        stripped_squares: torn.map_or(0.0, |t| t.squares),
    }
}

/// The unit of labour whose hours are given.
const HOUR: &str = "hour";

/// A line of labour at the job's rate.
fn worked(line: LabourLine, rate: Option<Decimal>, round: Cents) -> Result<CostLine, Finding> {
    let pay = line.hours.zip(rate).map(|(hours, rate)| {
        let pay = product(&[hours, rate]);
        round.within(pay, &line.what)
    });
    let (quantity, unit) = match line.hours {
        Some(hours) => (hours, HOUR),
        None => (line.squares, "square"),
    };
    Ok(CostLine {
        work: if line.tear_off {
            Work::TearOff
        } else {
            Work::Shingles
        },
        item: None,
        key: String::new(),
        amount: pay.transpose()?,
        what: line.what,
        quantity,
        unit: unit.to_owned(),
        unit_price: rate.filter(|_| line.hours.is_some()),
        supplier: None,
    })
}

/// A sum put by.
fn put_by(sum: &Sum, round: Cents) -> Result<CostLine, Finding> {
    Ok(CostLine {
        work: Work::Allowances,
        item: None,
        key: String::new(),
        what: sum.name.clone(),
        quantity: Decimal::ONE,
        unit: "sum".to_owned(),
        unit_price: Some(sum.amount.0),
        amount: Some(round.within(Some(sum.amount.0), &sum.name)?),
        supplier: None,
    })
}

/// What has no amount, in words; `None` where all have one.
fn unpriced<'l>(lines: impl Iterator<Item = &'l CostLine>) -> Option<String> {
    let names: Vec<&str> = lines
        .filter(|l| l.amount.is_none())
        .map(|l| l.what.as_str())
        .collect();
    (!names.is_empty()).then(|| names.join("; "))
}

fn without_price<'l>(materials: impl Iterator<Item = &'l CostLine>) -> Option<Finding> {
    let names = unpriced(materials)?;
    Some(
        Finding::warning(
            "unpriced",
            format!("No price for: {names}. The total is without them."),
        )
        .remedy("Give their prices in the price list or under [prices.items] in the job file."),
    )
}

fn without_pay<'l>(labour: impl Iterator<Item = &'l CostLine>) -> Option<Finding> {
    let names = unpriced(labour)?;
    Some(
        Finding::warning(
            "labour-unpriced",
            format!("No labour is in the price for: {names}. The total is without it."),
        )
        .remedy(
            "Give `rate`, `hours_per_square` and, where something is torn off, `tear_off_hours_per_square` under [labour] in the job file; hours of 0 for work that is not yours.",
        ),
    )
}

/// Told where an hour of labour costs nothing.
fn unpaid() -> Finding {
    Finding::warning(
        "labour-rate-zero",
        "The labour rate is 0, which is none; labour is left unpriced, and the total is without it.",
    )
    .remedy("Give `rate` under [labour] in the job file; hours of 0 for work that is not yours.")
}

/// The most profit in percent of the price: at that a price is ten times its cost, and beyond it grows without end.
const MOST_MARGIN: u32 = 90;

fn check(bidding: &Bidding) -> Result<(), Finding> {
    if bidding.margin_percent.is_some() && bidding.markup_percent.is_some() {
        return Err(Finding::error(
            "margin-and-markup",
            "The job file gives both a mark-up (percent of cost) and a margin (percent of price).",
        )
        .remedy("Keep one of `markup_percent` and `margin_percent` under [bid]."));
    }
    if bidding
        .margin_percent
        .is_some_and(|m| m.0 > Decimal::from(MOST_MARGIN))
    {
        return Err(Finding::error(
            "margin-too-large",
            format!(
                "A margin of more than {MOST_MARGIN} % of the price leaves less than a tenth of it for the cost."
            ),
        )
        .remedy(format!(
            "Give a `margin_percent` of {MOST_MARGIN} at most, or a `markup_percent`."
        )));
    }
    Ok(())
}

/// What of all that is bought bears tax on materials.
fn taxed(bought: &[CostLine]) -> impl Iterator<Item = &CostLine> {
    bought.iter().filter(|l| is_taxed(l))
}

/// What hauls the old roof away is a service and no material.
fn is_taxed(bought: &CostLine) -> bool {
    bought.work != Work::TearOff
}

fn total(lines: &[CostLine]) -> Decimal {
    lines.iter().filter_map(|l| l.amount).sum()
}
