//! Lengths and areas as a file has them: text with a unit.

use std::fmt;

use serde::de::{Deserialize, Deserializer, Error, Visitor};

use super::{METRES_PER_FOOT, SQUARE_FEET_PER_SQUARE, parse_length_in};

/// A length written as text with its unit, such as `"12in"`, `"1ft 6in"` or `"300 mm"`; never negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct LengthText {
    inches: f64,
}

impl LengthText {
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
pub struct AreaText {
    square_feet: f64,
}

impl AreaText {
    /// From square feet.
    pub const fn square_feet(square_feet: f64) -> Self {
        Self { square_feet }
    }
    /// In square feet.
    pub const fn to_square_feet(self) -> f64 {
        self.square_feet
    }
}

impl<'de> Deserialize<'de> for LengthText {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(WithUnit {
            expects: "a length with its unit, such as \"12in\" or \"300 mm\"",
            read: parse_length_in,
        })
        .map(Self::inches)
    }
}

impl<'de> Deserialize<'de> for AreaText {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(WithUnit {
            expects: "an area with its unit, such as \"1200 sqft\" or \"110 m2\"",
            read: parse_area_sqft,
        })
        .map(Self::square_feet)
    }
}

/// An area with its unit, in square feet. A comma is refused, as in a length: nothing tells whether it parts thousands or
/// decimals.
pub(crate) fn parse_area_sqft(text: &str) -> Option<f64> {
    let text = text.trim().to_lowercase();
    let split = text.find(|c: char| !c.is_ascii_digit() && c != '.')?;
    let number: f64 = text[..split].parse().ok()?;
    let square_feet = match text[split..].trim() {
        "sqft" | "sq ft" | "ft2" | "ft²" | "sf" | "square feet" => number,
        "m2" | "m²" | "sqm" | "sq m" | "square metres" | "square meters" => {
            number / (METRES_PER_FOOT * METRES_PER_FOOT)
        }
        "square" | "squares" => number * SQUARE_FEET_PER_SQUARE,
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

#[cfg(test)]
mod tests {
    use super::parse_area_sqft;

    #[test]
    fn areas_need_a_unit() {
        assert_eq!(parse_area_sqft("1200 sqft"), Some(1200.0));
        assert_eq!(parse_area_sqft("12 squares"), Some(1200.0));
        assert_eq!(parse_area_sqft("1200"), None);
        assert_eq!(parse_area_sqft("9.290304 m2").map(f64::round), Some(100.0));
    }

    #[test]
    fn a_comma_in_an_area_is_refused_as_it_is_in_a_length() {
        for text in ["90,5 m2", "1,200 sqft", "1.200,5 m2"] {
            assert_eq!(parse_area_sqft(text), None, "{text}");
        }
        assert_eq!(super::parse_length_in("1,200 mm"), None);
    }
}
