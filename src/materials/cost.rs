//! The internal cost sheet: every line with its price, overhead, profit, tax. Money is exact; each printed amount is
//! rounded to the cent once, and every total is the sum of printed amounts.

use rust_decimal::prelude::FromPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};

use super::labour::{self, LabourLine};
use super::offer::{Bidding, Labour, Rounding};
use super::price::PriceList;
use super::{Item, MaterialLine, MaterialList};
use crate::Finding;
use crate::roof::{Face, Roof};

/// The part of the work that a cost belongs to, in the order of a bid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Work {
    /// Taking the old roof off and hauling it away.
    TearOff,
    /// Mending the deck.
    Deck,
    /// Underlayment, ice barrier, valley lining.
    Under,
    /// Metal along eaves and rakes.
    EdgeMetal,
    /// Shingles with starter, caps and nails, laid.
    Shingles,
    /// Flashing, boots, crickets, sealing.
    Flashing,
    /// Vents.
    Vents,
    /// Sums put by.
    Allowances,
}

impl Work {
    /// As a bid calls it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::TearOff => "Take off and haul away",
            Self::Deck => "Deck repairs, allowance",
            Self::Under => "Underlayment and valley lining",
            Self::EdgeMetal => "Edge metal",
            Self::Shingles => "Shingles, laid, with starter and caps",
            Self::Flashing => "Flashing and sealing",
            Self::Vents => "Ridge vents",
            Self::Allowances => "Allowances",
        }
    }

    const fn of(item: Item) -> Self {
        match item {
            Item::DeckSheet => Self::Deck,
            Item::DripEdgeEave | Item::DripEdgeRake => Self::EdgeMetal,
            Item::SelfAdhered
            | Item::ValleySmoothRoll
            | Item::ValleyRoll
            | Item::ValleyMetal
            | Item::Underlayment
            | Item::CapNails => Self::Under,
            Item::Starter | Item::Shingles | Item::Caps | Item::Nails | Item::NailsLong => {
                Self::Shingles
            }
            Item::RidgeVent => Self::Vents,
            Item::PipeBoot
            | Item::Apron
            | Item::StepFlashing
            | Item::SidewallFlashing
            | Item::KickOut
            | Item::HeadFlashing
            | Item::Cricket
            | Item::Counterflashing
            | Item::PitchChangeFlashing
            | Item::Cement
            | Item::Sealant => Self::Flashing,
        }
    }
}

/// One line of cost.
#[derive(Clone, Debug, PartialEq)]
pub struct CostLine {
    /// The part of the work.
    pub work: Work,
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
/// A mark-up and a margin at once; a margin of the whole price or more.
pub fn cost_sheet(inputs: &CostInputs<'_>) -> Result<(CostSheet, Vec<Finding>), Vec<Finding>> {
    let bidding = inputs.bidding;
    check(bidding).map_err(|f| vec![f])?;
    let mut findings = Vec::new();
    let round = Cents(bidding.rounding.unwrap_or_default());
    let materials = material_lines(inputs, round, &mut findings);
    let (labour, labour_assumptions) = labour_lines(inputs, round);
    let allowances: Vec<CostLine> = bidding
        .allowances
        .iter()
        .map(|sum| CostLine {
            work: Work::Allowances,
            key: String::new(),
            what: sum.name.clone(),
            quantity: Decimal::ONE,
            unit: "sum".to_owned(),
            unit_price: Some(sum.amount.0),
            amount: Some(round.cents(sum.amount.0)),
            supplier: None,
        })
        .collect();
    let bought = total(&materials);
    // What hauls the old roof away is a service and no material.
    let services = materials.iter().filter(|l| l.work == Work::TearOff);
    let services: Decimal = services.filter_map(|l| l.amount).sum();
    let tax_on_materials = round.percent(bought - services, bidding.tax_on_materials_percent);
    let cost = bought + tax_on_materials + total(&labour) + total(&allowances);
    let overhead = round.percent(cost, bidding.overhead_percent);
    let base = cost + overhead;
    let price = match bidding.margin_percent {
        // A margin is a part of the price, a mark-up a part of the cost: 25 % margin is 33 1/3 % mark-up.
        Some(margin) => {
            round.cents(base * Decimal::ONE_HUNDRED / (Decimal::ONE_HUNDRED - margin.0))
        }
        None => base + round.percent(base, bidding.markup_percent),
    };
    let tax_on_price = round.percent(price, bidding.tax_on_price_percent);
    let unpriced: Vec<String> = materials
        .iter()
        .chain(&labour)
        .filter(|l| l.amount.is_none())
        .map(|l| l.what.clone())
        .collect();
    if !unpriced.is_empty() {
        findings.push(
            Finding::warning(
                "unpriced",
                format!(
                    "No price for: {}. The total is without them.",
                    unpriced.join("; ")
                ),
            )
            .remedy("Give their prices in the price list or under [prices.items] in the job file."),
        );
    }
    let sheet = CostSheet {
        materials,
        labour,
        allowances,
        tax_on_materials,
        cost,
        overhead,
        profit: price - base,
        price,
        tax_on_price,
        total: price + tax_on_price,
        unpriced,
        rounding: round.0,
        labour_assumptions,
    };
    Ok((sheet, findings))
}

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
        .is_some_and(|m| m.0 >= Decimal::ONE_HUNDRED)
    {
        return Err(Finding::error(
            "margin-too-large",
            "A margin of 100 % of the price or more leaves nothing for the cost.",
        )
        .remedy("Give a `margin_percent` under 100, or a `markup_percent`."));
    }
    Ok(())
}

/// Rounds to cents in one stated way.
#[derive(Clone, Copy)]
struct Cents(Rounding);

impl Cents {
    fn cents(self, amount: Decimal) -> Decimal {
        let way = match self.0 {
            Rounding::HalfUp => RoundingStrategy::MidpointAwayFromZero,
            Rounding::HalfEven => RoundingStrategy::MidpointNearestEven,
        };
        amount.round_dp_with_strategy(2, way)
    }
    fn percent(self, of: Decimal, percent: Option<super::Exact>) -> Decimal {
        percent.map_or(Decimal::ZERO, |p| {
            self.cents(of * p.0 / Decimal::ONE_HUNDRED)
        })
    }
}

fn total(lines: &[CostLine]) -> Decimal {
    lines.iter().filter_map(|l| l.amount).sum()
}

fn material_lines(
    inputs: &CostInputs<'_>,
    round: Cents,
    findings: &mut Vec<Finding>,
) -> Vec<CostLine> {
    let mut lines: Vec<CostLine> = Vec::new();
    if let Some(tear_off) = inputs.list.tear_off {
        let container = Want {
            work: Work::TearOff,
            key: "container".to_owned(),
            what: "Container, hauled and tipped".to_owned(),
            quantity: tear_off.containers,
            unit: "container",
        };
        lines.push(container.priced(inputs, round, findings));
    }
    for line in &inputs.list.lines {
        lines.push(Want::of(line).priced(inputs, round, findings));
    }
    lines
}

/// Something to be bought.
struct Want<'a> {
    work: Work,
    key: String,
    what: String,
    quantity: f64,
    unit: &'a str,
}

impl<'a> Want<'a> {
    fn of(line: &'a MaterialLine) -> Self {
        let item = Item::ALL.iter().find(|i| i.key() == line.key);
        Self {
            work: item.map_or(Work::Flashing, |i| Work::of(*i)),
            key: line.price_key(),
            what: line.item.clone(),
            quantity: line.quantity,
            unit: &line.unit,
        }
    }

    fn priced(
        self,
        inputs: &CostInputs<'_>,
        round: Cents,
        findings: &mut Vec<Finding>,
    ) -> CostLine {
        let found = inputs.prices.price(&self.key);
        let mut usable = found;
        if let Some(unit) = found.and_then(|p| p.unit.as_deref())
            && !same_unit(unit, self.unit)
        {
            findings.push(
                Finding::warning(
                    "price-unit",
                    format!(
                        "The price of {} is for one {unit}, but the order counts in {}; it is left unpriced.",
                        self.what, self.unit
                    ),
                )
                .remedy(format!("Give the price for one {}, or change the package in [materials.products].", self.unit)),
            );
            usable = None;
        }
        if let (Some(until), Some(date)) =
            (found.and_then(|p| p.valid_until.as_deref()), inputs.date)
            && is_date(until)
            && is_date(date)
            && date > until
        {
            findings.push(
                Finding::warning(
                    "price-expired",
                    format!(
                        "The price of {} held until {until}; the job is dated {date}.",
                        self.what
                    ),
                )
                .remedy("Ask for a new price."),
            );
        }
        let quantity = Decimal::from_f64(self.quantity).unwrap_or_default();
        CostLine {
            work: self.work,
            key: self.key,
            what: self.what,
            quantity,
            unit: self.unit.to_owned(),
            unit_price: usable.map(|p| p.price.0),
            amount: usable.map(|p| round.cents(quantity * p.price.0)),
            supplier: usable.and_then(|p| p.supplier.clone()),
        }
    }
}

/// `bundle`, `bundles` and `Bundle` are one unit.
fn same_unit(a: &str, b: &str) -> bool {
    let plain = |t: &str| t.trim().to_lowercase().trim_end_matches('s').to_owned();
    plain(a) == plain(b)
}

/// Whether a text is a date that sorts as text: `2026-11-25`.
pub(super) fn is_date(text: &str) -> bool {
    text.len() == 10
        && text.bytes().enumerate().all(|(i, b)| match i {
            4 | 7 => b == b'-',
            _ => b.is_ascii_digit(),
        })
}

fn labour_lines(inputs: &CostInputs<'_>, round: Cents) -> (Vec<CostLine>, Vec<String>) {
    let (squares, layers) = inputs
        .list
        .tear_off
        .map_or((0.0, 0), |t| (t.squares, t.layers));
    let site = labour::Site {
        storeys: inputs.storeys,
        layers,
    };
    let hours = labour::lines(&inputs.faces(), squares, site, inputs.labour);
    let assumptions = labour::assumptions(inputs.labour, &hours);
    let rate = inputs.labour.rate.map(|r| r.0);
    let lines = hours
        .into_iter()
        .map(|line: LabourLine| CostLine {
            work: if line.tear_off {
                Work::TearOff
            } else {
                Work::Shingles
            },
            key: String::new(),
            what: line.what,
            quantity: line.hours,
            unit: "hour".to_owned(),
            unit_price: rate,
            amount: rate.map(|r| round.cents(r * line.hours)),
            supplier: None,
        })
        .collect();
    (lines, assumptions)
}
