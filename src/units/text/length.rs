//! Lengths as people write them: feet, inches and fractions, metres, millimetres.

use super::normal::normalise;
use super::scan::{Number, Scanner};
use crate::units::METRES_PER_FOOT;

/// A length as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthText {
    /// In feet.
    pub feet: f64,
    /// The same in inches, not rounded once more: 18 1/2 in is 18.5.
    pub inches: f64,
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
    /// Centimetres.
    Centimetres,
    /// Millimetres.
    Millimetres,
}

const MILLIMETRES_PER_INCH: f64 = 25.4;

impl LengthUnit {
    /// Feet in one of it.
    pub const fn feet(self) -> f64 {
        match self {
            Self::Feet => 1.0,
            Self::Inches => 1.0 / 12.0,
            Self::Metres => 1.0 / METRES_PER_FOOT,
            Self::Centimetres => 0.01 / METRES_PER_FOOT,
            Self::Millimetres => 0.001 / METRES_PER_FOOT,
        }
    }
    pub(crate) const fn is_metric(self) -> bool {
        !matches!(self, Self::Feet | Self::Inches)
    }
}

/// Reads a text that is a length and nothing else. `bare` is what a number without a unit means; without it such a
/// text is no length.
///
/// ```
/// use eavewright::units::text::parse_length;
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

/// Reads a length with its unit and gives inches; `None` where it is no length or has no unit. The result may be negative
/// or zero: what is allowed is the caller's business. A comma inside a number is refused: in a setting nothing tells whether
/// it parts thousands or decimals.
///
/// ```
/// use eavewright::units::parse_length_in;
/// assert_eq!(parse_length_in("1'-6 1/2\""), Some(18.5));
/// assert_eq!(parse_length_in("5⅝ in"), Some(5.625));
/// assert_eq!(parse_length_in("254 mm"), Some(10.0));
/// assert_eq!(parse_length_in("12"), None);
/// ```
pub fn parse_length_in(text: &str) -> Option<f64> {
    let plain = normalise(text);
    let comma_in_number = |w: &[u8]| w[1] == b',' && w[2].is_ascii_digit();
    if plain.as_bytes().windows(3).any(comma_in_number) {
        return None;
    }
    let (sign, size) = match plain.strip_prefix('-') {
        Some(size) => (-1.0, size),
        None => (1.0, plain.as_str()),
    };
    Some(sign * parse_length(size, None)?.inches)
}

/// Whether there is a length, with its unit, in a text that says other things too: `24'-6" CLEAR`.
pub(crate) fn has_a_length(text: &str) -> bool {
    let plain = normalise(text);
    let mut starts = plain.char_indices().filter(|(at, c)| {
        let before = plain[..*at].chars().next_back();
        let goes_on = before.is_some_and(|b| b.is_alphanumeric() || matches!(b, '.' | ',' | '/'));
        c.is_ascii_digit() && !goes_on
    });
    starts.any(|(at, _)| length_at(&mut Scanner::new(&plain[at..]), None).is_some())
}

/// Reads a length at the scanner's place and leaves the scanner after it.
pub(crate) fn length_at(scanner: &mut Scanner<'_>, bare: Option<LengthUnit>) -> Option<LengthText> {
    let start = scanner.clone();
    let number = scanner.mixed()?;
    let mut squared = scanner.clone();
    if squared.word(&SQUARE_FEET) && squared.at_end() {
        *scanner = start;
        return None;
    }
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
        return Some(in_unit(number, LengthUnit::Centimetres));
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
    // After a decimal point a comma before it parts thousands: 1,234.5 m.
    let end = written.find(|c: char| !c.is_ascii_digit() && c != ',')?;
    if written[end..].starts_with('.') {
        return None;
    }
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

/// What a raised 2 that lost its place makes of square feet: the 2 is no inches. Inches with their mark still are: `24 ft 2"`.
const SQUARE_FEET: [&str; 3] = ["ft2", "ft 2", "ft^2"];

fn feet_sign(scanner: &mut Scanner<'_>) -> bool {
    const WORDS: [&str; 3] = ["ft", "feet", "foot"];
    // Inches may follow without a blank: 1ft6in.
    scanner.sign('\'') || scanner.word(&WORDS) || scanner.word_before_digits(&WORDS)
}

fn inch_sign(scanner: &mut Scanner<'_>) -> bool {
    scanner.sign('"') || scanner.word(&["in", "inch", "inches", "ins"])
}

/// What follows the feet: nothing, or a dash, comma or blank and inches, whose mark people often leave out.
fn feet_and_inches(scanner: &mut Scanner<'_>, feet: Number) -> LengthText {
    let after_feet = scanner.clone();
    let mut ahead = scanner.clone();
    let _ = ahead.sign('-') || ahead.sign(',');
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
                inches: feet.value * 12.0 + inches.value,
                step_ft: inches.step / 12.0,
                metric: false,
            };
        }
    }
    *scanner = after_feet;
    in_unit(feet, LengthUnit::Feet)
}

/// Divided where the unit is the smaller part of another: 6 in is exactly half a foot, 254 mm exactly 10 in.
fn in_unit(number: Number, unit: LengthUnit) -> LengthText {
    let feet = |value: f64| match unit {
        LengthUnit::Feet => value,
        LengthUnit::Inches => value / 12.0,
        LengthUnit::Metres => value / METRES_PER_FOOT,
        LengthUnit::Centimetres | LengthUnit::Millimetres => value * unit.feet(),
    };
    let inches = match unit {
        LengthUnit::Feet => number.value * 12.0,
        LengthUnit::Inches => number.value,
        LengthUnit::Metres => number.value * 1000.0 / MILLIMETRES_PER_INCH,
        LengthUnit::Centimetres => number.value * 10.0 / MILLIMETRES_PER_INCH,
        LengthUnit::Millimetres => number.value / MILLIMETRES_PER_INCH,
    };
    LengthText {
        feet: feet(number.value),
        inches,
        step_ft: feet(number.step),
        metric: unit.is_metric(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
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
        case("24 ft 2 in", 24.0 + 2.0 / 12.0);
        case("24 ft 2\"", 24.0 + 2.0 / 12.0);
        case("24' 2", 24.0 + 2.0 / 12.0);
    }

    #[test]
    fn metres_are_read_with_point_and_comma() {
        case("7.47 m", 7.47 / 0.3048);
        case("7,47 m", 7.47 / 0.3048);
        case("7,470 m", 7.47 / 0.3048);
        case("1,234.5 m", 1234.5 / 0.3048);
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
            "480 ft2",
            "480 ft 2",
            "480 ft^2",
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

    #[track_caller]
    fn case_in(text: &str, inches: Option<f64>) {
        match (parse_length_in(text), inches) {
            (Some(a), Some(b)) => assert!((a - b).abs() < 1e-12, "{text}: {a}, not {b}"),
            (a, b) => assert_eq!(a, b, "{text}"),
        }
    }

    #[test]
    fn settings_in_feet_inches_and_fractions_are_read() {
        case_in("12in", Some(12.0));
        case_in("12 in.", Some(12.0));
        case_in("3/4\"", Some(0.75));
        case_in("1 1/2 in", Some(1.5));
        case_in("1½″", Some(1.5));
        case_in("1ft 6in", Some(18.0));
        case_in("24'-6 1/2\"", Some(294.5));
        case_in("24′ 6½″", Some(294.5));
        case_in("24' 6", Some(294.0));
        case_in("24.5 ft", Some(294.0));
        case_in("1'6''", Some(18.0));
        case_in("1ft6in", Some(18.0));
        case_in("1 ft, 6 in", Some(18.0));
        case_in("-2in", Some(-2.0));
    }

    #[test]
    fn metric_settings_are_exact() {
        case_in("25.4mm", Some(1.0));
        case_in("2.54 cm", Some(1.0));
        case_in("0.3048 m", Some(12.0));
        case_in("7 metres", Some(7000.0 / 25.4));
    }

    #[test]
    fn what_is_no_length_in_settings_is_refused() {
        for text in [
            "",
            "12",
            "in",
            "1/0 in",
            "12 inside",
            "1m 3in",
            "6in 1ft",
            "1ft 14in",
            "1e400in",
            "ten in",
            "1.2.3in",
            "1,5 ft",
            "1,200 mm",
        ] {
            case_in(text, None);
        }
    }
}
