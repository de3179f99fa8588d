//! Amounts rounded to the cent in one stated way, within what a job may come to.

use rust_decimal::{Decimal, RoundingStrategy};

use super::money::Exact;
use super::offer::Rounding;
use crate::Finding;

/// No amount and no total is larger, in whatever currency: what is has a slip in it. The exact decimals hold products
/// of two such amounts, so that shares of a price can be worked out.
const MOST: Decimal = Decimal::from_parts(3_567_587_328, 232, 0, false, 0);

/// Rounds to cents in one stated way.
#[derive(Clone, Copy)]
pub(super) struct Cents(pub(super) Rounding);

impl Cents {
    /// An amount to the cent; what rounds to nothing has no sign.
    pub(super) fn cents(self, amount: Decimal) -> Decimal {
        let way = match self.0 {
            Rounding::HalfUp => RoundingStrategy::MidpointAwayFromZero,
            Rounding::HalfEven => RoundingStrategy::MidpointNearestEven,
        };
        let cents = amount.round_dp_with_strategy(2, way);
        if cents.is_zero() { cents.abs() } else { cents }
    }

    /// So many percent of an amount, to the cent; nothing where no percentage is given.
    ///
    /// # Errors
    /// An amount beyond all jobs.
    pub(super) fn percent(self, of: Decimal, percent: Option<Exact>) -> Result<Decimal, Finding> {
        percent.map_or(Ok(Decimal::ZERO), |p| {
            let part = product(&[of, p.0]).map(|p| p / Decimal::ONE_HUNDRED);
            self.within(part, "A percentage")
        })
    }

    /// An amount to the cent, where it could be worked out and is one that a job may come to.
    ///
    /// # Errors
    /// An amount beyond all jobs, by the name of `what` it is.
    pub(super) fn within(self, amount: Option<Decimal>, what: &str) -> Result<Decimal, Finding> {
        amount
            .filter(|amount| amount.abs() <= MOST)
            .map(|amount| self.cents(amount))
            .ok_or_else(|| too_large(what))
    }
}

/// The product of all of these; `None` where it is more than exact decimals hold.
pub(super) fn product(factors: &[Decimal]) -> Option<Decimal> {
    let all = |so_far: Decimal, factor: &Decimal| so_far.checked_mul(*factor);
    factors.iter().try_fold(Decimal::ONE, all)
}

/// That something comes to more than any job does.
pub(super) fn too_large(what: &str) -> Finding {
    Finding::error(
        "sum-too-large",
        format!("{what} comes to more than a million million."),
    )
    .remedy("Look for a slip in its price, hours or percentage, and in the package size.")
}

#[cfg(test)]
mod tests {
    use super::{Cents, MOST, product};
    use crate::materials::Rounding;
    use rust_decimal::Decimal;

    #[test]
    fn what_rounds_to_nothing_has_no_sign() {
        let round = |way| Cents(way).cents(Decimal::new(-4, 3)).to_string();
        assert_eq!(round(Rounding::HalfUp), "0.00");
        assert_eq!(round(Rounding::HalfEven), "0.00");
    }

    #[test]
    fn an_amount_beyond_all_jobs_is_told_and_stops_nothing() {
        assert_eq!(MOST, Decimal::from(1_000_000_000_000_u64));
        let half_up = Cents(Rounding::HalfUp);
        assert!(half_up.within(Some(MOST), "All").is_ok());
        assert!(half_up.within(Some(MOST + Decimal::ONE), "All").is_err());
        let beyond = product(&[Decimal::MAX, Decimal::TEN]);
        let told = half_up.within(beyond, "The steel").err();
        assert_eq!(told.as_ref().map(|f| f.code), Some("sum-too-large"));
        assert!(told.is_some_and(|f| f.message.starts_with("The steel")));
    }
}
