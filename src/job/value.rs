//! The kinds of value that a job file holds: lengths as text, money and percentages in exact decimals.

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;
use serde::de::{Deserialize, Deserializer, Error, Visitor};

use crate::units::{METRES_PER_FOOT, parse_length_in};

/// A length written as text with its unit, such as `"12in"`, `"1ft 6in"` or `"300 mm"`; never negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Measure {
    inches: f64,
}

impl Measure {
    /// From inches.
    pub const fn inches(inches: f64) -> Self {
        Self { inches }
    }
    /// In inches.
    pub const fn to_inches(self) -> f64 {
        self.inches
    }
    /// In feet.
    pub const fn to_feet(self) -> f64 {
        self.inches / 12.0
    }
}

/// An area written as text with its unit, such as `"1200 sqft"` or `"110 m2"`; never negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Surface {
    square_feet: f64,
}

impl Surface {
    /// From square feet.
    pub const fn square_feet(square_feet: f64) -> Self {
        Self { square_feet }
    }
    /// In square feet.
    pub const fn to_square_feet(self) -> f64 {
        self.square_feet
    }
}

/// An exact decimal: an amount of money, a percentage, a factor. Written as a number or as text (`38.5` or
/// `"38.50"`); the digits as written are kept, binary fractions never enter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Exact(pub Decimal);

impl Exact {
    /// A whole number.
    pub fn whole(n: i64) -> Self {
        Self(Decimal::from(n))
    }
    /// `mantissa` × 10^−`scale`: `Exact::new(385, 1)` is 38.5.
    pub fn new(mantissa: i64, scale: u32) -> Self {
        Self(Decimal::new(mantissa, scale))
    }
}

impl<'de> Deserialize<'de> for Measure {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(WithUnit {
            expects: "a length with its unit, such as \"12in\" or \"300 mm\"",
            read: parse_length_in,
        })
        .map(Self::inches)
    }
}

impl<'de> Deserialize<'de> for Surface {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(WithUnit {
            expects: "an area with its unit, such as \"1200 sqft\" or \"110 m2\"",
            read: parse_area_sqft,
        })
        .map(Self::square_feet)
    }
}

impl<'de> Deserialize<'de> for Exact {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(ExactVisitor)
    }
}

/// An area with its unit, in square feet.
fn parse_area_sqft(text: &str) -> Option<f64> {
    let text = text.trim().to_lowercase();
    let split = text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',')?;
    let number: f64 = text[..split].replace(',', "").parse().ok()?;
    let square_feet = match text[split..].trim() {
        "sqft" | "sq ft" | "ft2" | "ft²" | "sf" | "square feet" => number,
        "m2" | "m²" | "sqm" | "sq m" | "square metres" | "square meters" => {
            number / (METRES_PER_FOOT * METRES_PER_FOOT)
        }
        "square" | "squares" => number * crate::units::SQUARE_FEET_PER_SQUARE,
        _ => return None,
    };
    square_feet.is_finite().then_some(square_feet)
}

struct WithUnit {
    expects: &'static str,
    read: fn(&str) -> Option<f64>,
}

impl Visitor<'_> for WithUnit {
    type Value = f64;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.expects)
    }
    fn visit_str<E: Error>(self, text: &str) -> Result<f64, E> {
        match (self.read)(text) {
            Some(value) if value >= 0.0 => Ok(value),
            Some(_) => Err(E::custom(format!("\"{text}\" is less than nothing"))),
            None => Err(E::custom(format!("\"{text}\" is not {}", self.expects))),
        }
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
        parse_decimal(text)
            .map(Exact)
            .ok_or_else(|| E::custom(format!("\"{text}\" is not a decimal number")))
    }
}

/// A decimal as people write it: `1,234.50` and `1 234.50` too. A comma must stand before three figures.
pub fn parse_decimal(text: &str) -> Option<Decimal> {
    let text = text.trim();
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let mut groups = whole.split([',', ' ']);
    let first = groups.next()?;
    let mut digits = first.to_owned();
    for group in groups {
        if group.len() != 3 || first.is_empty() {
            return None;
        }
        digits.push_str(group);
    }
    if !fraction.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    if !fraction.is_empty() {
        digits.push('.');
        digits.push_str(fraction);
    }
    Decimal::from_str(&digits).ok()
}

#[cfg(test)]
mod tests {
    use super::{parse_area_sqft, parse_decimal};

    #[test]
    fn prices_keep_their_digits_and_thousands_are_read() {
        let text = |t: &str| parse_decimal(t).map(|d| d.to_string());
        assert_eq!(text("38.50").as_deref(), Some("38.50"));
        assert_eq!(text("1,234.5").as_deref(), Some("1234.5"));
        assert_eq!(text("12 500").as_deref(), Some("12500"));
        // A decimal comma is not a thousands comma.
        assert_eq!(text("38,50"), None);
        assert_eq!(text("1.234,50"), None);
        assert_eq!(text("ten"), None);
        assert_eq!(text(""), None);
    }

    #[test]
    fn areas_need_a_unit() {
        assert_eq!(parse_area_sqft("1,200 sqft"), Some(1200.0));
        assert_eq!(parse_area_sqft("12 squares"), Some(1200.0));
        assert_eq!(parse_area_sqft("1200"), None);
        assert_eq!(parse_area_sqft("9.290304 m2").map(f64::round), Some(100.0));
    }
}
