//! The customer's part of an offer: what is done, on how much, at what price, on which assumptions. No internal cost
//! is in it.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, RoundingStrategy};

use super::Item;
use super::cost::{CostInputs, CostSheet, Work, cost_sheet};
use super::offer::Rounding;
use super::words::Words;
use crate::roof::EdgeClass;
use crate::{Finding, Severity};

/// A customer's offer.
#[derive(Clone, Debug, PartialEq)]
pub struct Bid {
    /// Its title.
    pub title: String,
    /// What is done, one sentence each.
    pub scope: Vec<String>,
    /// Prices by part of the work. They add up to `price` exactly.
    pub lines: Vec<BidLine>,
    /// The price before tax.
    pub price: Decimal,
    /// Tax on the price.
    pub tax: Decimal,
    /// Price and tax.
    pub total: Decimal,
    /// The currency to print; empty where the job gives none.
    pub currency: String,
    /// What could be had instead or besides, and by how much the price changes.
    pub alternates: Vec<Alternate>,
    /// What was assumed.
    pub assumptions: Vec<String>,
    /// What is not included.
    pub exclusions: Vec<String>,
    /// What somebody should look at: the warnings of the material list.
    pub cautions: Vec<String>,
    /// What has no price yet: the total is without it.
    pub unpriced: Vec<String>,
    /// Until when the bid holds, as the job says it.
    pub valid_until: Option<String>,
}

/// One part of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct BidLine {
    /// What is done.
    pub what: String,
    /// How much of it, where that can be measured: (number, unit).
    pub quantity: Option<(f64, String)>,
    /// Its price in cents.
    pub amount: Decimal,
}

/// What could be had instead or besides.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternate {
    /// What it is.
    pub name: String,
    /// By how much the price changes when it is taken; negative where it is cheaper.
    pub difference: Decimal,
}

impl Alternate {
    /// Another bid for the same roof, such as one in another shingle format.
    pub fn between(name: impl Into<String>, base: &Bid, other: &Bid) -> Self {
        Self {
            name: name.into(),
            difference: other.price - base.price,
        }
    }
}

/// An offer: the bid and the cost sheet behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// For the customer.
    pub bid: Bid,
    /// For the contractor alone.
    pub cost: CostSheet,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

impl Offer {
    /// Makes an offer. Lengths are told in metres where `metric`.
    ///
    /// # Errors
    /// As [`cost_sheet`].
    pub fn make(
        inputs: &CostInputs<'_>,
        currency: Option<&str>,
        metric: bool,
    ) -> Result<Self, Vec<Finding>> {
        let (cost, findings) = cost_sheet(inputs)?;
        let words = Words::new(metric);
        let bidding = inputs.bidding;
        let mut scope = scope(inputs, words);
        scope.extend(bidding.scope.iter().cloned());
        let mut assumptions = inputs.prices.notes.clone();
        assumptions.extend(bidding.assumptions.iter().cloned());
        assumptions.extend(rests_on(inputs.list));
        assumptions.push(rounding_words(cost.rounding).to_owned());
        let bid = Bid {
            title: bidding.title.clone().unwrap_or_else(|| "Roof".to_owned()),
            scope,
            lines: lines(&cost, inputs, words),
            price: cost.price,
            tax: cost.tax_on_price,
            total: cost.total,
            currency: currency.unwrap_or_default().to_owned(),
            alternates: bidding
                .alternates
                .iter()
                .map(|sum| Alternate {
                    name: sum.name.clone(),
                    difference: sum.amount.0,
                })
                .collect(),
            assumptions,
            exclusions: bidding.exclusions.clone(),
            cautions: cautions(inputs.list),
            unpriced: cost.unpriced.clone(),
            valid_until: bidding.valid_until.clone(),
        };
        Ok(Self {
            bid,
            cost,
            findings,
        })
    }
}

/// How halves of a cent were rounded, as a sentence.
const fn rounding_words(rounding: Rounding) -> &'static str {
    match rounding {
        Rounding::HalfUp => "Amounts are rounded to the cent, halves up.",
        Rounding::HalfEven => "Amounts are rounded to the cent, halves to the even cent.",
    }
}

/// The price of each part of the work: its share of the cost at the price asked. Shares are cut from the running
/// total, so that they add up to the price to the cent.
fn lines(cost: &CostSheet, inputs: &CostInputs<'_>, words: Words) -> Vec<BidLine> {
    let mut shares: BTreeMap<Work, Decimal> = BTreeMap::new();
    for line in cost.lines() {
        *shares.entry(line.work).or_default() += line.amount.unwrap_or_default();
    }
    let all: Decimal = shares.values().sum();
    if all.is_zero() {
        return Vec::new();
    }
    let (mut before, mut given) = (Decimal::ZERO, Decimal::ZERO);
    let mut lines = Vec::new();
    for (work, share) in shares {
        before += share;
        let upto = (cost.price * before / all)
            .round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
        let amount = upto - given;
        given = upto;
        if !share.is_zero() {
            lines.push(BidLine {
                what: named(work, inputs),
                quantity: quantity(work, inputs, words),
                amount,
            });
        }
    }
    lines
}

/// A part of the work with what it holds, where its name alone does not say.
fn named(work: Work, inputs: &CostInputs<'_>) -> String {
    let words = work.words();
    if work != Work::Allowances {
        return words.to_owned();
    }
    let sums = &inputs.bidding.allowances;
    let names: Vec<&str> = sums.iter().map(|sum| sum.name.as_str()).collect();
    format!("{words}: {}", names.join(", "))
}

/// What the price rests on beside what the job says: what nobody has seen or said yet.
fn rests_on(list: &super::MaterialList) -> Vec<String> {
    let sheets = list.lines.iter().find(|l| l.key == Item::DeckSheet.key());
    sheets
        .map(|line| {
            format!(
                "Nobody has seen the deck: {} to mend it are in the price.",
                crate::units::number::counted(line.quantity as usize, &line.unit)
            )
        })
        .into_iter()
        .collect()
}

/// What may change the price, and what goes before the offer whatever it says.
fn cautions(list: &super::MaterialList) -> Vec<String> {
    let mut said: Vec<String> = list
        .findings
        .iter()
        .filter(|f| is_caution(f))
        .map(|f| f.message.clone())
        .collect();
    if list.tear_off.is_some() {
        said.push("Old roofing can hold asbestos. Where it may, work stops until it has been tested; its removal is not in the price.".to_owned());
    }
    said.push("Local codes and the shingle maker's instructions go before anything in this offer; what they ask for beyond it is settled before work begins.".to_owned());
    said
}

/// Whether a finding of the list is something that the customer must know: warnings, and what nobody has said.
fn is_caution(finding: &Finding) -> bool {
    const UNSAID: [&str; 2] = ["ice-barrier-not-said", "layers-not-said"];
    finding.severity >= Severity::Warning || UNSAID.contains(&finding.code)
}

/// How much there is of a part of the work.
fn quantity(work: Work, inputs: &CostInputs<'_>, words: Words) -> Option<(f64, String)> {
    let list = inputs.list;
    let needed = |keys: &[&str]| -> f64 {
        list.lines
            .iter()
            .filter(|l| keys.contains(&l.key))
            .map(|l| l.needed)
            .sum()
    };
    let squares = || -> f64 {
        let faces = inputs.faces();
        faces.iter().map(|f| f.true_area.to_squares()).sum()
    };
    let length = words.length_unit().to_owned();
    match work {
        Work::TearOff => list.tear_off.map(|t| words.squares_of(t.squares)),
        Work::Under | Work::Shingles => Some(words.squares_of(squares())),
        Work::EdgeMetal => Some((needed(&["drip_edge_eave", "drip_edge_rake"]), length)),
        Work::Vents => Some((needed(&["ridge_vent"]), length)),
        Work::Deck | Work::Flashing | Work::Allowances => None,
    }
}

/// What is done, from the takeoff.
fn scope(inputs: &CostInputs<'_>, words: Words) -> Vec<String> {
    let list = inputs.list;
    let faces = inputs.faces();
    let length = |class: EdgeClass| -> f64 {
        inputs
            .roofs
            .iter()
            .map(|r| r.true_length(class).to_feet())
            .sum()
    };
    let mut said = Vec::new();
    if let Some(t) = list.tear_off {
        said.push(format!(
            "Take off {} of roofing from {} and haul it away.",
            crate::units::number::counted(t.layers as usize, "layer"),
            words.squares(t.squares)
        ));
    }
    if let Some(line) = list.lines.iter().find(|l| l.key == "shingles") {
        said.push(format!(
            "Lay {} on {}, with underlayment, starter and caps.",
            line.item.to_lowercase(),
            crate::units::number::counted(faces.len(), "roof face")
        ));
    }
    let lined = |item: Item| list.lines.iter().any(|l| l.key == item.key());
    if lined(Item::SelfAdhered)
        && inputs
            .list
            .lines
            .iter()
            .any(|l| l.rules.contains(&"ice-barrier"))
    {
        said.push("Lay self-adhered sheet along the eaves against ice.".to_owned());
    }
    let runs = |classes: [(EdgeClass, &str); 2]| -> Option<String> {
        let said: Vec<String> = classes
            .into_iter()
            .filter(|(class, _)| length(*class) > 0.0)
            .map(|(class, what)| format!("{} of {what}", words.run(length(class))))
            .collect();
        (!said.is_empty()).then(|| said.join(" and "))
    };
    if let Some(edges) = runs([(EdgeClass::Eave, "eave"), (EdgeClass::Rake, "rake")]) {
        said.push(format!("Fit new edge metal to {edges}."));
    }
    if length(EdgeClass::Valley) > 0.0 {
        said.push(format!(
            "Line {} of valley.",
            words.run(length(EdgeClass::Valley))
        ));
    }
    if lined(Item::StepFlashing) || lined(Item::SidewallFlashing) || lined(Item::Apron) {
        let chimneys = if lined(Item::Cricket) {
            ", with a cricket behind each wide chimney"
        } else {
            ""
        };
        said.push(format!("Flash walls and openings anew{chimneys}."));
    }
    if lined(Item::PipeBoot) {
        said.push("Fit new boots to all pipes drawn.".to_owned());
    }
    if lined(Item::RidgeVent) {
        said.push("Vent the ridges.".to_owned());
    }
    said
}
