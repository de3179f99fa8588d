//! Exact decimals: money, percentages, factors. Binary fractions never enter.

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;
use serde::de::{Deserialize, Deserializer, Error, Visitor};

use crate::units::number::has_decimal_comma;

/// An exact decimal: an amount of money, a percentage, a factor. Written as a number or as text (`38.5` or
/// `"38.50"`); the digits as written are kept, binary fractions never enter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Exact(pub Decimal);

impl Exact {
    /// A whole number.
    pub fn whole(n: i64) -> Self {
        Self(Decimal::from(n))
    }
    /// As a binary number: for quantities only, never for money.
    pub fn to_f64(self) -> f64 {
        use rust_decimal::prelude::ToPrimitive;
        self.0.to_f64().unwrap_or(0.0)
    }
    /// `mantissa` × 10^−`scale`: `Exact::new(385, 1)` is 38.5.
    pub fn new(mantissa: i64, scale: u32) -> Self {
        Self(Decimal::new(mantissa, scale))
    }
}

impl<'de> Deserialize<'de> for Exact {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(ExactVisitor)
    }
}

struct ExactVisitor;

impl Visitor<'_> for ExactVisitor {
    type Value = Exact;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a decimal number, such as 38.50")
    }
    fn visit_i64<E: Error>(self, n: i64) -> Result<Exact, E> {
        Ok(Exact::whole(n))
    }
    fn visit_u64<E: Error>(self, n: u64) -> Result<Exact, E> {
        Ok(Exact(Decimal::from(n)))
    }
    fn visit_f64<E: Error>(self, x: f64) -> Result<Exact, E> {
        // The shortest text that reads back as the same binary number is what stood in the file.
        self.visit_str(&x.to_string())
    }
    fn visit_str<E: Error>(self, text: &str) -> Result<Exact, E> {
        if let Some((whole, decimals)) = either_way(text) {
            return Err(E::custom(format!(
                "\"{text}\" may be {whole}{decimals} or {whole}.{decimals}; write one of the two"
            )));
        }
        parse_decimal(text)
            .map(Exact)
            .ok_or_else(|| E::custom(format!("\"{text}\" is not a decimal number")))
    }
}

/// A decimal as people write it: `1,234.50` and `1 234.50` too. A comma must stand between thousands: `38,50` and
/// `0,385` are none.
pub fn parse_decimal(text: &str) -> Option<Decimal> {
    let text = text.trim();
    let (sign, unsigned) = match text.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", text.strip_prefix('+').unwrap_or(text)),
    };
    let grouped = unsigned.replace(' ', ",");
    if has_decimal_comma(&grouped) || grouped.starts_with(',') || grouped.ends_with(',') {
        return None;
    }
    let digits = grouped.replace(',', "");
    let is_figure = |c: char| c.is_ascii_digit() || c == '.';
    if !digits.chars().all(is_figure) || !digits.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    Decimal::from_str(&format!("{sign}{digits}")).ok()
}

/// The figures before and after a comma that may part thousands or be a decimal one: 31,500.
pub(super) fn either_way(amount: &str) -> Option<(&str, &str)> {
    let (whole, after) = amount.trim().split_once(',')?;
    (after.len() == 3 && !after.contains(',') && parse_decimal(amount).is_some())
        .then_some((whole, after))
}

#[cfg(test)]
mod tests {
    use super::parse_decimal;

    #[test]
    fn prices_keep_their_digits_and_thousands_are_read() {
        let text = |t: &str| parse_decimal(t).map(|d| d.to_string());
        assert_eq!(text("38.50").as_deref(), Some("38.50"));
        assert_eq!(text("1,234.5").as_deref(), Some("1234.5"));
        assert_eq!(text("12 500").as_deref(), Some("12500"));
        assert_eq!(text("-1,234.5").as_deref(), Some("-1234.5"));
        assert_eq!(text("+5.").as_deref(), Some("5"));
        // A decimal comma is not a thousands comma.
        assert_eq!(text("38,50"), None);
        assert_eq!(text("0,385"), None);
        assert_eq!(text("-0,385"), None);
        assert_eq!(text("1234,567"), None);
        assert_eq!((text("1,"), text(",5"), text("1.2.3")), (None, None, None));
        assert_eq!(text("1.234,50"), None);
        assert_eq!(text("ten"), None);
        assert_eq!(text(""), None);
    }
}
