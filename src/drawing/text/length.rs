//! Lengths as people write them: feet, inches and fractions, metres, millimetres.

use super::normalise;
use super::scan::{Number, Scanner};
use crate::units::METRES_PER_FOOT;

/// A length as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthText {
    /// In feet.
    pub feet: f64,
    /// One unit of the last digit written, in feet.
    pub step_ft: f64,
    /// Whether it was written in metric units.
    pub metric: bool,
}

/// What a bare number means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthUnit {
    /// Feet.
    Feet,
    /// Inches.
    Inches,
    /// Metres.
    Metres,
    /// Millimetres.
    Millimetres,
}

impl LengthUnit {
    /// Feet in one of it.
    pub const fn feet(self) -> f64 {
        match self {
            Self::Feet => 1.0,
            Self::Inches => 1.0 / 12.0,
            Self::Metres => 1.0 / METRES_PER_FOOT,
            Self::Millimetres => 0.001 / METRES_PER_FOOT,
        }
    }
    const fn is_metric(self) -> bool {
        matches!(self, Self::Metres | Self::Millimetres)
    }
}

/// Reads a text that is a length and nothing else. `bare` is what a number without a unit means; without it such a
/// text is no length.
///
/// ```
/// use eavewright::drawing::text::parse_length;
/// assert_eq!(parse_length("24'-6 1/2\"", None).unwrap().feet, 24.0 + 6.5 / 12.0);
/// assert_eq!(parse_length("7.62 m", None).unwrap().feet, 25.0);
/// assert!(parse_length("12\" OVERHANG", None).is_none());
/// ```
pub fn parse_length(text: &str, bare: Option<LengthUnit>) -> Option<LengthText> {
    let plain = normalise(text);
    let mut scanner = Scanner::new(&plain);
    let length = length_at(&mut scanner, bare)?;
    scanner.at_end().then_some(length)
}

/// Reads a length at the scanner's place and leaves the scanner after it.
pub(crate) fn length_at(scanner: &mut Scanner<'_>, bare: Option<LengthUnit>) -> Option<LengthText> {
    let start = scanner.clone();
    let number = scanner.mixed()?;
    if feet_sign(scanner) {
        return Some(feet_and_inches(scanner, number));
    }
    if inch_sign(scanner) {
        return Some(in_unit(number, LengthUnit::Inches));
    }
    if scanner.word(&["mm", "millimetres", "millimeters"]) {
        return Some(in_unit(number, LengthUnit::Millimetres));
    }
    if scanner.word(&["cm", "centimetres", "centimeters"]) {
        return Some(scaled(number, 0.01 / METRES_PER_FOOT, true));
    }
    if scanner.word(&["m", "metre", "metres", "meter", "meters"]) {
        return Some(in_unit(
            metres_with_comma(&start).unwrap_or(number),
            LengthUnit::Metres,
        ));
    }
    if let Some(unit) = bare {
        return Some(in_unit(number, unit));
    }
    *scanner = start;
    None
}

/// In metres a comma before three digits is a decimal comma: nobody draws a roof side of 7,470 metres.
fn metres_with_comma(start: &Scanner<'_>) -> Option<Number> {
    let written = start.rest().trim_start();
    let end = written.find(|c: char| !c.is_ascii_digit() && c != ',')?;
    let (whole, decimals) = written[..end].split_once(',')?;
    if decimals.len() != 3 {
        return None;
    }
    let value: f64 = format!("{whole}.{decimals}").parse().ok()?;
    Some(Number {
        value,
        step: 0.001,
        whole: false,
    })
}

fn feet_sign(scanner: &mut Scanner<'_>) -> bool {
    scanner.sign('\'') || scanner.word(&["ft", "feet", "foot"])
}

fn inch_sign(scanner: &mut Scanner<'_>) -> bool {
    scanner.sign('"') || scanner.word(&["in", "inch", "inches", "ins"])
}

/// What follows the feet: nothing, or a dash or blank and inches, whose mark people often leave out.
fn feet_and_inches(scanner: &mut Scanner<'_>, feet: Number) -> LengthText {
    let after_feet = scanner.clone();
    let mut ahead = scanner.clone();
    ahead.sign('-');
    ahead.skip_blanks();
    if feet.whole
        && let Some(inches) = ahead.mixed()
        && inches.value < 12.0
    {
        let marked = inch_sign(&mut ahead);
        if marked || ahead.at_end() {
            *scanner = ahead;
            return LengthText {
                feet: feet.value + inches.value / 12.0,
                step_ft: inches.step / 12.0,
                metric: false,
            };
        }
    }
    *scanner = after_feet;
    in_unit(feet, LengthUnit::Feet)
}

fn in_unit(number: Number, unit: LengthUnit) -> LengthText {
    if unit == LengthUnit::Inches {
        // Divided, not multiplied by a rounded twelfth: 6 in is exactly half a foot.
        return LengthText {
            feet: number.value / 12.0,
            step_ft: number.step / 12.0,
            metric: false,
        };
    }
    if unit == LengthUnit::Metres {
        return LengthText {
            feet: number.value / METRES_PER_FOOT,
            step_ft: number.step / METRES_PER_FOOT,
            metric: true,
        };
    }
    scaled(number, unit.feet(), unit.is_metric())
}

fn scaled(number: Number, feet: f64, metric: bool) -> LengthText {
    LengthText {
        feet: number.value * feet,
        step_ft: number.step * feet,
        metric,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn case(text: &str, feet: f64) {
        let read = parse_length(text, None).map(|l| l.feet);
        assert!(
            read.is_some_and(|r| (r - feet).abs() < 1e-9),
            "{text}: {read:?} instead of {feet}"
        );
    }

    #[test]
    fn feet_inches_and_fractions_are_read_in_every_spelling() {
        case("24'-6 1/2\"", 24.0 + 6.5 / 12.0);
        case("24’ 6½”", 24.0 + 6.5 / 12.0);
        case("24′–6½″", 24.0 + 6.5 / 12.0);
        case("24 ft 6 in", 24.5);
        case("24'-6", 24.5);
        case("24'6", 24.5);
        case("24.5 ft", 24.5);
        case("24.5'", 24.5);
        case("24 1/2'", 24.5);
        case("20'-0\"", 20.0);
        case("20' - 0''", 20.0);
        case("1,240.5 ft.", 1240.5);
        case("9'-0 3/16\"", 9.0 + 3.0 / 16.0 / 12.0);
        case("294 1/2\"", 24.0 + 6.5 / 12.0);
        case("0'-6\"", 0.5);
    }

    #[test]
    fn metres_are_read_with_point_and_comma() {
        case("7.47 m", 7.47 / 0.3048);
        case("7,47 m", 7.47 / 0.3048);
        case("7,470 m", 7.47 / 0.3048);
        case("7470 mm", 7.47 / 0.3048);
        case("7,470 mm", 7.47 / 0.3048);
        case("747 cm", 7.47 / 0.3048);
    }

    #[test]
    fn what_is_not_a_length_is_none() {
        for text in [
            "12\" OVERHANG TYP.",
            "6/12",
            "A-1",
            "7470",
            "R = 5'-0\"",
            "24'-13\"",
            "",
            "'",
        ] {
            assert_eq!(parse_length(text, None), None, "{text}");
        }
    }

    #[test]
    fn a_bare_number_is_a_length_only_where_a_unit_is_given() {
        let length = parse_length("7470", Some(LengthUnit::Millimetres)).unwrap();
        assert!((length.feet - 7.47 / 0.3048).abs() < 1e-9);
        assert!(length.metric);
    }
}
