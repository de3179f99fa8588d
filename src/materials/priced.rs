//! What is bought, line by line, at the prices that can be used; and what is wrong with those that cannot.

use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

use super::cents::{Cents, product};
use super::cost::{CostInputs, CostLine};
use super::date::is_date;
use super::offer::Price;
use super::package;
use super::words::figure;
use super::work::{CONTAINER, Work};
use super::{Item, MaterialLine, Measured, UnderlaymentKind};
use crate::Finding;
use crate::units::number::counted;

/// The lines of all that is bought.
///
/// # Errors
/// An amount beyond all jobs.
pub(super) fn lines(
    inputs: &CostInputs<'_>,
    round: Cents,
    findings: &mut Vec<Finding>,
) -> Result<Vec<CostLine>, Finding> {
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
    let mut lines = Vec::new();
    let mut dated = 0;
    for want in container.into_iter().chain(wanted) {
        let usable = want.usable(inputs, findings);
        dated += usize::from(usable.is_some_and(|p| p.valid_until.is_some()));
        lines.push(want.priced(usable, round)?);
    }
    findings.extend(undated(dated, inputs.date));
    Ok(lines)
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
                Some(Item::Shingles) => Some(held(line).round() as u32),
                _ => line.product.holds,
            },
        }
    }

    /// The price that can be used, and findings about one that cannot or may not hold.
    fn usable<'p>(
        &self,
        inputs: &CostInputs<'p>,
        findings: &mut Vec<Finding>,
    ) -> Option<&'p Price> {
        let prices = inputs.prices;
        let key = match prices.lists(&self.key_in_words) && !prices.lists(&self.key) {
            true => &self.key_in_words,
            false => &self.key,
        };
        let price = prices.price(key)?;
        if let Some(unit) = price.unit.as_deref()
            && !package::is_one_of(unit, self.unit, self.holds)
            && !package::is_same(&package::of_one(unit), &self.package)
        {
            findings.push(
                Finding::warning(
                    "price-unit",
                    format!(
                        "The price of {} is for one {unit}, but the order counts in {}; it is left unpriced.",
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

/// What one package of a line holds, in its own measure.
fn held(line: &MaterialLine) -> f64 {
    (line.left_over + line.consumed) / line.quantity
}

/// The package of a line with what is in one: `bundle of 21 shingles`, `piece of 10 ft`.
fn package_of(line: &MaterialLine) -> String {
    let unit = &line.unit;
    let holds = held(line);
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
