//! The customer's part of an offer: what is done, on how much, at what price, on which assumptions. No internal cost
//! is in it.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::cautions::{cautions, of_plan};
use super::cents::{Cents, product};
use super::cost::{CostInputs, CostLine, CostSheet, cost_sheet};
use super::date::is_date;
use super::offer::{Bidding, Rounding, Sum};
use super::scope::{caps_from_field, left_out, scope};
use super::words::Words;
use super::work::Work;
use super::{Item, MaterialLine, package, porch};
use crate::Finding;

/// A customer's offer.
#[derive(Clone, Debug, PartialEq)]
pub struct Bid {
    /// Its title.
    pub title: String,
    /// What is done, one sentence each.
    pub scope: Vec<String>,
    /// Prices by part of the work. They add up to `price` exactly.
    pub lines: Vec<BidLine>,
    /// Whether any face takes shingles: where none does, no other shingles can be had instead.
    pub takes_shingles: bool,
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
        let (cost, mut findings) = cost_sheet(inputs)?;
        findings.extend(held_no_more(inputs.bidding, inputs.date));
        findings.extend(below_nothing(inputs.bidding, &cost));
        let round = Cents(cost.rounding);
        let words = Words::new(metric);
        let bidding = inputs.bidding;
        let mut scope = scope(inputs, &cost, words);
        scope.extend(bidding.scope.iter().cloned());
        let mut assumptions = inputs.prices.notes.clone();
        assumptions.extend(bidding.assumptions.iter().cloned());
        assumptions.extend(rests_on(inputs.list, &cost));
        assumptions.extend(taken_of_roofs(inputs));
        if inputs.list.findings.iter().any(|f| f.code == porch::CODE) {
            assumptions
                .push("The ice barrier behind porches is counted as at other eaves.".to_owned());
        }
        assumptions.push(rounding_words(cost.rounding).to_owned());
        let bid = Bid {
            title: bidding.title.clone().unwrap_or_else(|| "Roof".to_owned()),
            scope,
            lines: lines(&cost, inputs, words),
            takes_shingles: !inputs.faces().is_empty(),
            price: cost.price,
            tax: cost.tax_on_price,
            total: cost.total,
            currency: currency.unwrap_or_default().to_owned(),
            alternates: bidding
                .alternates
                .iter()
                .map(|sum| Alternate {
                    name: sum.name.clone(),
                    difference: round.cents(sum.amount.0),
                })
                .collect(),
            assumptions,
            exclusions: (left_out(inputs, &cost, words).into_iter())
                .chain(bidding.exclusions.iter().cloned())
                .collect(),
            cautions: cautions(inputs),
            unpriced: cost.unpriced.clone(),
            valid_until: bidding.valid_until.clone(),
        };
        Ok(Self {
            bid,
            cost,
            findings,
        })
    }

    /// Offers what another offer for the same roof has instead, such as another shingle format, by the difference in
    /// price; where other things lack a price in the two, the difference would be theirs too, and it is left out and
    /// told. What was noticed about the other offer is taken over.
    pub fn offer_instead(&mut self, name: impl Into<String>, other: &Self) {
        let name = name.into();
        for finding in &other.findings {
            // What is unpriced there is told by what it means here, and the job's own alternates change this price alone.
            let of_this_one = ["unpriced", BELOW_NOTHING].contains(&finding.code);
            let known = of_this_one || self.findings.contains(finding);
            if !known {
                self.findings.push(finding.clone());
            }
        }
        let without = |one: &Bid, than: &Bid| -> Vec<String> {
            let lacks = one
                .unpriced
                .iter()
                .filter(|what| !than.unpriced.contains(what));
            lacks.cloned().collect()
        };
        let mut differ = without(&other.bid, &self.bid);
        differ.extend(without(&self.bid, &other.bid));
        if differ.is_empty() {
            let alternate = Alternate::between(name, &self.bid, &other.bid);
            self.bid.alternates.push(alternate);
            return;
        }
        self.findings.push(
            Finding::warning(
                "alternate-unpriced",
                format!(
                    "“{name}” is not offered: no price that can be used for {}.",
                    differ.join("; ")
                ),
            )
            .remedy("Give the price for the unit in which the order counts."),
        );
    }
}

/// Told where an offer has run out on the day that it is dated, or where that is not known.
fn held_no_more(bidding: &Bidding, date: Option<&str>) -> Option<Finding> {
    let (until, date) = (bidding.valid_until.as_deref()?, date?);
    if is_date(until) && !is_date(date) {
        return Some(
            Finding::warning(
                "offer-undated",
                format!(
                    "The offer holds until {until}, but the job's date, “{date}”, is not written as year, month, day: whether it has run out is not known."
                ),
            )
            .remedy("Say `date` under [project] in the job file as 2026-11-25."),
        );
    }
    (is_date(until) && date > until).then(|| {
        Finding::warning(
            "offer-expired",
            format!("The offer holds until {until}, but is dated {date}."),
        )
        .remedy("Correct `valid_until` under [bid] or `date` under [project] in the job file.")
    })
}

/// The code of an alternate that takes more off than there is.
const BELOW_NOTHING: &str = "alternate-below-nothing";

/// Told where what could be had instead takes more off than the whole price.
fn below_nothing(bidding: &Bidding, cost: &CostSheet) -> Vec<Finding> {
    let is_beyond = |sum: &&Sum| cost.price + sum.amount.0 < Decimal::ZERO;
    let all = bidding.alternates.iter().filter(is_beyond);
    all.map(|beyond| {
        Finding::warning(
            BELOW_NOTHING,
            format!(
                "The alternate “{}” takes {} off a price of {}.",
                beyond.name,
                beyond.amount.0.abs(),
                cost.price
            ),
        )
        .remedy("Correct its `amount` in `alternates` under [bid] in the job file: it is what the price changes by.")
    })
    .collect()
}

/// How halves of a cent were rounded, as a sentence.
const fn rounding_words(rounding: Rounding) -> &'static str {
    match rounding {
        Rounding::HalfUp => "Amounts are rounded to the cent, halves up.",
        Rounding::HalfEven => "Amounts are rounded to the cent, halves to the even cent.",
    }
}

/// The price of each part of the work: its share of the cost at the price asked, with the tax on materials where it is
/// paid. Shares are cut from the running total, so that they add up to the price to the cent. A sum put by is settled for
/// itself: each has its own line.
fn lines(cost: &CostSheet, inputs: &CostInputs<'_>, words: Words) -> Vec<BidLine> {
    let all_taxed: Decimal = cost.taxed().filter_map(|l| l.amount).sum();
    let with_tax = |amount: Decimal| -> Decimal {
        let tax = product(&[cost.tax_on_materials, amount]).and_then(|t| t.checked_div(all_taxed));
        amount + tax.unwrap_or_default()
    };
    let mut parts: BTreeMap<(Work, usize), (Vec<&CostLine>, Decimal)> = BTreeMap::new();
    let taxed = cost.taxed().map(|line| (line, true));
    let all = taxed.chain(cost.untaxed().map(|line| (line, false)));
    for (i, (line, is_taxed)) in all.enumerate() {
        let Some(amount) = line.amount.filter(|a| !a.is_zero()) else {
            continue;
        };
        let apart = match line.work {
            Work::Allowances => i,
            _ => 0,
        };
        let (lines, sum) = parts.entry((line.work, apart)).or_default();
        lines.push(line);
        *sum += if is_taxed { with_tax(amount) } else { amount };
    }
    let all: Decimal = parts.values().map(|(_, sum)| *sum).sum();
    let caps_from_field = caps_from_field(inputs.list);
    let (mut before, mut given) = (Decimal::ZERO, Decimal::ZERO);
    let mut out = Vec::new();
    for ((work, _), (lines, sum)) in parts {
        before += sum;
        // Both are within what a job may come to, whose square exact decimals hold.
        let share = product(&[cost.price, before]).and_then(|part| part.checked_div(all));
        let upto = Cents(cost.rounding).cents(share.unwrap_or(given));
        out.push(BidLine {
            what: work.called(&lines, caps_from_field),
            quantity: quantity(work, &lines, inputs, words),
            amount: upto - given,
        });
        given = upto;
    }
    out
}

/// What the price rests on beside what the job says: what nobody has seen or said yet.
fn rests_on(list: &super::MaterialList, cost: &CostSheet) -> Option<String> {
    let sheets = list.lines.iter().find(|l| l.key == Item::DeckSheet.key())?;
    let mut priced = cost.materials.iter().filter(|l| l.amount.is_some());
    let is_priced = priced.any(|l| l.item == Some(Item::DeckSheet));
    let mending = match is_priced {
        true => format!(
            "{} {} in the price",
            match sheets.quantity > 1.0 {
                true => format!("{} {}", sheets.quantity, package::of_many(&sheets.unit)),
                false => format!("1 {}", sheets.unit),
            } + " to mend it",
            if sheets.quantity > 1.0 { "are" } else { "is" }
        ),
        false => "what it takes to mend it is not in the price".to_owned(),
    };
    Some(format!("Nobody has seen the deck: {mending}."))
}

/// What the roofs rest on that their drawings do not say: falls that were taken, and steps in height.
fn taken_of_roofs(inputs: &CostInputs<'_>) -> Vec<String> {
    let roofs = inputs.roofs.iter().enumerate();
    let taken = roofs.flat_map(|(i, roof)| {
        let has = |code: &str| roof.findings.iter().filter(|f| f.code == code).count();
        let falls = match has("fall-accepted") {
            0 => None,
            1 => Some("The plan does not say which way 1 face falls; the likeliest fall is taken.".to_owned()),
            n => Some(format!(
                "The plan does not say which way {n} faces fall; the likeliest falls are taken."
            )),
        };
        let steps = (has("steps-in-height") > 0).then(|| {
            "The plan does not say how high each part of the roof stands; steps in height are taken where its faces do not meet.".to_owned()
        });
        [falls, steps]
            .into_iter()
            .flatten()
            .map(move |said| of_plan(inputs.list, i, &said))
    });
    taken.collect()
}

/// How much there is of a part of the work, of what in it has a price.
fn quantity(
    work: Work,
    priced: &[&CostLine],
    inputs: &CostInputs<'_>,
    words: Words,
) -> Option<(f64, String)> {
    let list = inputs.list;
    let has = |item: Item| priced.iter().any(|l| l.item == Some(item));
    let needed = || -> f64 {
        let of = |l: &&MaterialLine| (priced.iter()).any(|p| p.key == l.price_key());
        list.lines.iter().filter(of).map(|l| l.needed).sum()
    };
    let all = || {
        let faces = inputs.faces();
        words.squares_of(faces.iter().map(|f| f.true_area.to_squares()).sum())
    };
    match work {
        Work::TearOff => list.tear_off.map(|t| words.squares_of(t.squares)),
        // What lies on all of the roof is measured by it; starter, caps and valley lining are not.
        Work::Under => (has(Item::Underlayment) || has(Item::CapNails)).then(all),
        Work::Shingles => {
            let is_laid = priced.iter().any(|l| l.item.is_none());
            (is_laid || has(Item::Shingles)).then(all)
        }
        Work::EdgeMetal | Work::Vents => Some((needed(), words.length_unit().to_owned())),
        Work::Deck | Work::Flashing | Work::Allowances => None,
    }
}
