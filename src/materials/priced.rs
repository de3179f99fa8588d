//! What is bought, line by line, at the prices that can be used; and what is wrong with those that cannot.

use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

use super::cents::{Cents, product};
use super::cost::{CostInputs, CostLine};
use super::date::is_date;
use super::offer::Price;
use super::package;
use super::price::PriceList;
use super::words::figure;
use super::work::{CONTAINER, Work};
use super::{Item, MaterialLine, Measured, UnderlaymentKind};
use crate::Finding;
use crate::units::number::counted;

/// What is bought, and what of it has a price that cannot be used, which is told.
pub(super) struct Lines {
    pub(super) lines: Vec<CostLine>,
    pub(super) refused: Vec<String>,
}

/// The lines of all that is bought.
///
/// # Errors
/// An amount beyond all jobs.
pub(super) fn lines(
    inputs: &CostInputs<'_>,
    round: Cents,
    findings: &mut Vec<Finding>,
) -> Result<Lines, Finding> {
    let container = inputs.list.tear_off.map(|tear_off| Want {
        work: Work::TearOff,
        item: None,
        key: CONTAINER.to_owned(),
        key_in_words: CONTAINER.to_owned(),
        what: "Container, hauled and tipped".to_owned(),
        quantity: tear_off.containers,
        unit: CONTAINER,
        package: CONTAINER.to_owned(),
        holds: None,
    });
    let wanted = inputs.list.lines.iter().map(Want::of);
    let (mut lines, mut refused) = (Vec::new(), Vec::new());
    let mut dated = 0;
    let (mut without_unit, mut outlasted) = (Vec::new(), Vec::new());
    for want in container.into_iter().chain(wanted) {
        let usable = want.usable(inputs, findings);
        if let Some(price) = usable {
            dated += usize::from(price.valid_until.is_some());
            if inputs.prices.says_no_unit(want.price_key(inputs.prices)) {
                without_unit.push(format!("{} (one {})", want.what, want.package));
            }
            let until = price.valid_until.as_deref();
            if let Some(until) = until.filter(|until| runs_out_before_offer(until, inputs)) {
                outlasted.push(format!("{} ({until})", want.what));
            }
        }
        if usable.is_none() && inputs.prices.price(want.price_key(inputs.prices)).is_some() {
            refused.push(want.what.clone());
        }
        lines.push(want.priced(usable, round)?);
    }
    findings.extend(undated(dated, inputs.date));
    findings.extend(of_one_package(&without_unit));
    findings.extend(outlives_prices(&outlasted, inputs));
    Ok(Lines { lines, refused })
}

/// Told of prices without a unit: they may have been meant for another one.
fn of_one_package(without_unit: &[String]) -> Option<Finding> {
    (!without_unit.is_empty()).then(|| {
        Finding::warning(
            "price-without-unit",
            format!(
                "No unit is said for the price of: {}. It is taken for one package.",
                without_unit.join("; ")
            ),
        )
        .remedy("Write the unit that the price is for: in the column `unit` of the price list, or as `unit` beside a price of the job file.")
    })
}

/// Whether a price that holds on the day of the offer no longer does on the offer's last one.
fn runs_out_before_offer(until: &str, inputs: &CostInputs<'_>) -> bool {
    let last = inputs.bidding.valid_until.as_deref();
    let has_run_out = (inputs.date).is_some_and(|date| is_date(date) && date > until);
    is_date(until) && !has_run_out && last.is_some_and(|last| is_date(last) && last > until)
}

/// Told where an offer holds longer than prices that it is made of.
fn outlives_prices(outlasted: &[String], inputs: &CostInputs<'_>) -> Option<Finding> {
    let last = inputs.bidding.valid_until.as_deref()?;
    (!outlasted.is_empty()).then(|| {
        Finding::warning(
            "offer-outlasts-prices",
            format!(
                "The offer holds until {last}, and prices that it is made of run out before: {}.",
                outlasted.join("; ")
            ),
        )
        .remedy("Let `valid_until` under [bid] be no later than that of the prices, or ask for prices that hold as long.")
    })
}

/// Told where prices have a date and the job has none that they could be held against.
fn undated(dated: usize, date: Option<&str>) -> Option<Finding> {
    if dated == 0 || date.is_some_and(is_date) {
        return None;
    }
    let prices = match dated {
        1 => "1 price holds".to_owned(),
        n => format!("{n} prices hold"),
    };
    let finding = match date {
        None => Finding::note(
            "prices-undated",
            format!(
                "{prices} until a certain day, but the job has no date: whether they have run out is not known."
            ),
        ),
        Some(date) => Finding::warning(
            "prices-undated",
            format!(
                "{prices} until a certain day, but the job's date, “{date}”, is not written as year, month, day: whether they have run out is not known."
            ),
        ),
    };
    Some(finding.remedy("Say `date` under [project] in the job file as 2026-11-25."))
}

/// Something to be bought.
struct Want<'a> {
    work: Work,
    /// The stock item; `None` for the container.
    item: Option<Item>,
    key: String,
    /// The key with the size in the order's words, as older price lists have it.
    key_in_words: String,
    what: String,
    quantity: f64,
    unit: &'a str,
    /// The same with what is in one: `piece of 10 ft`.
    package: String,
    /// How many are in one, where it is a matter of numbers.
    holds: Option<u32>,
}

impl<'a> Want<'a> {
    fn of(line: &'a MaterialLine) -> Self {
        let item = Item::ALL.iter().copied().find(|i| i.key() == line.key);
        Self {
            work: item.map_or(Work::Flashing, Work::of),
            item,
            key: line.price_key(),
            key_in_words: line.key_in_words(),
            what: line.item.clone(),
            quantity: line.quantity,
            unit: &line.unit,
            package: package_of(line),
            holds: match item {
                // A tube of sealant holds none of the pipes that it serves.
                Some(Item::Sealant) => None,
                Some(Item::Shingles) => Some(line.holds.round() as u32),
                _ => line.product.holds,
            },
        }
    }

    /// The key that its price is looked up by.
    fn price_key(&self, prices: &PriceList) -> &str {
        match prices.lists(&self.key_in_words) && !prices.lists(&self.key) {
            true => &self.key_in_words,
            false => &self.key,
        }
    }

    /// The price that can be used, and findings about one that cannot or may not hold.
    fn usable<'p>(
        &self,
        inputs: &CostInputs<'p>,
        findings: &mut Vec<Finding>,
    ) -> Option<&'p Price> {
        let prices = inputs.prices;
        let price = prices.price(self.price_key(prices))?;
        if price.price.0.is_zero() && self.key == CONTAINER {
            findings.push(
                Finding::note(
                    "price-zero",
                    "The price of a container is 0: hauling away is taken for somebody else's.",
                )
                .remedy("Give its price where hauling is in the offer."),
            );
        } else if price.price.0.is_zero() {
            findings.push(
                Finding::warning(
                    "price-zero",
                    format!(
                        "The price of {} is 0, which is none; it is left unpriced, and the total is without it.",
                        self.what
                    ),
                )
                .remedy("Give its price, or leave its line out."),
            );
            return None;
        }
        if let Some(unit) = price.unit.as_deref()
            && !package::is_one_of(unit, self.unit, self.holds)
            && !package::is_same(&package::of_one(unit), &self.package)
        {
            findings.push(
                Finding::warning(
                    "price-unit",
                    format!(
                        "The price of {} is for one {unit}, but the order counts in {}; it is left unpriced, and the total is without it.",
                        self.what, self.unit
                    ),
                )
                .remedy(format!("Give the price for one {}.", self.package)),
            );
            return None;
        }
        if let (Some(until), Some(date)) = (price.valid_until.as_deref(), inputs.date)
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
        // Felt and synthetic sheet both come in rolls, of two, four and ten squares: the unit tells nothing.
        let usual = UnderlaymentKind::default().price_key();
        if self.item == Some(Item::Underlayment)
            && self.key != usual
            && !inputs.prices.lists(&self.key)
        {
            findings.push(
                Finding::warning(
                    "price-of-which-kind",
                    format!(
                        "The price of `{}` does not say of which underlayment it is; it is taken for {}.",
                        Item::Underlayment.key(),
                        self.what
                    ),
                )
                .remedy(format!("Give the price of `{}`.", self.key)),
            );
        }
        Some(price)
    }

    fn priced(self, usable: Option<&Price>, round: Cents) -> Result<CostLine, Finding> {
        let quantity = Decimal::from_f64(self.quantity);
        let amount = usable.map(|p| {
            let amount = quantity.and_then(|quantity| product(&[quantity, p.price.0]));
            round.within(amount, &self.what)
        });
        Ok(CostLine {
            work: self.work,
            item: self.item,
            key: self.key,
            amount: amount.transpose()?,
            what: self.what,
            quantity: quantity.unwrap_or_default(),
            unit: self.unit.to_owned(),
            unit_price: usable.map(|p| p.price.0),
            supplier: usable.and_then(|p| p.supplier.clone()),
        })
    }
}

/// The package of a line with what is in one: `bundle of 21 shingles`, `piece of 10 ft`.
fn package_of(line: &MaterialLine) -> String {
    let unit = &line.unit;
    let holds = line.holds;
    let item = Item::ALL.into_iter().find(|item| item.key() == line.key);
    if package::count_in(unit).is_some() {
        return unit.clone();
    }
    // A tube of sealant holds none of the pipes that it serves.
    match item.filter(|i| *i != Item::Sealant).map(Item::measured) {
        Some(Measured::Count) if holds.round() > 1.0 => {
            let pieces = counted(holds.round() as usize, &line.needed_unit);
            format!("{unit} of {pieces}")
        }
        Some(Measured::Length | Measured::Area) => {
            format!("{unit} of {} {}", figure(holds, 2), line.needed_unit)
        }
        _ => unit.clone(),
    }
}
