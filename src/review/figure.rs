//! One figure of a list: a number with its unit, an area or a length.

use super::stated::SurfaceSaid;
use crate::drawing::text::parse_area;
use crate::units::SQUARE_FEET_PER_SQUARE;
use crate::units::text::{LengthUnit, parse_length};

/// What lists call a running length in, and the plain unit.
const RUNNING: [(&str, &str); 10] = [
    ("lineal feet", "ft"),
    ("linear feet", "ft"),
    ("lineal ft", "ft"),
    ("linear ft", "ft"),
    ("lin. ft", "ft"),
    ("lin ft", "ft"),
    ("lft", "ft"),
    ("l.f", "ft"),
    ("lf", "ft"),
    ("lm", "m"),
];

/// What stands for a unit and says on which surface the figure was measured, and the unit without that.
pub(super) fn surface_said(unit: &str) -> (Option<SurfaceSaid>, &str) {
    match unit.to_lowercase().as_str() {
        "plan" | "in plan" => (Some(SurfaceSaid::Plan), ""),
        "true" | "sloped" | "on the slope" => (Some(SurfaceSaid::True), ""),
        _ => (None, unit),
    }
}

/// An area in square feet, half of its last digit, and whether words with it say that it is in plan. `bare`: the unit of a
/// number without one.
pub(super) fn area(figure: &str, unit: &str, bare: &str) -> Option<(f64, f64, bool)> {
    let read = |text: &str| parse_area(text).map(|a| (a.square_feet, a.half_step_sqft, a.plan));
    let (sqft, half_step_sqft, plan) = read(&format!("{figure} {unit}")).or_else(|| {
        let bare_number = unit.is_empty() && number(figure).is_some();
        read(&format!("{figure} {bare}")).filter(|_| bare_number)
    })?;
    let fair = sqft.is_finite() && sqft > 0.0 && sqft < 1e9 * SQUARE_FEET_PER_SQUARE;
    fair.then_some((sqft, half_step_sqft, plan))
}

/// A length in feet, and half of the last digit written. It may be 0: a list may say that a roof has no valley. `bare`: the
/// unit of a number without one.
pub(super) fn length(figure: &str, unit: &str, bare: LengthUnit) -> Option<(f64, f64)> {
    let whole = in_plain_units(&format!("{} {unit}", without_thousands(figure)));
    let read = parse_length(&whole, Some(bare)).filter(|l| l.feet.is_finite())?;
    Some((read.feet, read.step_ft / 2.0))
}

/// The unit of length that words are, those of a running length too.
pub(super) fn unit_of_length(words: &str) -> Option<LengthUnit> {
    use LengthUnit::{Centimetres, Feet, Inches, Metres, Millimetres};
    let one = parse_length(&in_plain_units(&format!("1 {words}")), None)?;
    let all = [Feet, Inches, Metres, Centimetres, Millimetres];
    all.into_iter().find(|unit| unit.feet() == one.feet)
}

/// `1,240 m` as `1240 m`: in a list a comma before three digits parts thousands, whatever the unit.
fn without_thousands(figure: &str) -> String {
    let figure = figure.trim();
    let end = figure.find(|c: char| !c.is_ascii_digit() && c != ',');
    let (number, rest) = figure.split_at(end.unwrap_or(figure.len()));
    let mut groups = number.split(',');
    let first = groups.next().map_or(0, str::len);
    let by_three = (1..=3).contains(&first) && groups.all(|group| group.len() == 3);
    match by_three {
        true => format!("{}{rest}", number.replace(',', "")),
        false => figure.to_owned(),
    }
}

/// `128 LF` as `128 ft`.
fn in_plain_units(text: &str) -> String {
    let plain = text.trim().trim_end_matches('.').to_lowercase();
    let running = RUNNING.iter().find_map(|(words, unit)| {
        let before = plain.strip_suffix(words)?;
        let parted = before.ends_with(|c: char| c.is_ascii_digit() || c == ' ');
        parted.then(|| format!("{before} {unit}"))
    });
    running.unwrap_or(plain)
}

/// A plain number with thousands commas, and half a unit of its last digit.
fn number(text: &str) -> Option<(f64, f64)> {
    let plain = text.trim().replace(',', "");
    let value: f64 = plain.parse().ok()?;
    let places = plain.split_once('.').map_or(0, |(_, after)| after.len());
    let places = i32::try_from(places).ok()?;
    (value.is_finite() && value >= 0.0).then(|| (value, 0.5 * 10_f64.powi(-places)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_read_with_its_unit_beside_it_or_in_a_column_of_its_own() {
        let feet = |figure, unit| {
            length(figure, unit, LengthUnit::Feet).map(|l| (l.0 * 1e6).round() / 1e6)
        };
        for (figure, unit) in [
            ("128", ""),
            ("128 lf", ""),
            ("128 LF", ""),
            ("128", "ft"),
            ("128'", ""),
            ("128 ft", ""),
            ("1536", "in"),
            ("39.0144", "m"),
            ("39014.4", "mm"),
            ("39014.4 mm", ""),
        ] {
            assert_eq!(feet(figure, unit), Some(128.0), "{figure} {unit}");
        }
        assert_eq!(feet("0", ""), Some(0.0));
        assert_eq!(feet("24'-6\"", ""), Some(24.5));
        assert_eq!(feet("0'-6\"", ""), Some(0.5));
        assert_eq!(feet("128", "squares"), None);
        assert_eq!(feet("none", ""), None);
    }

    #[test]
    fn a_length_is_known_to_half_of_its_last_digit_in_every_spelling() {
        for (figure, unit, metric, feet, half_step) in [
            ("40'-5\"", "", false, 40.0 + 5.0 / 12.0, 1.0 / 24.0),
            ("40 ft 5 in", "", false, 40.0 + 5.0 / 12.0, 1.0 / 24.0),
            (
                "40\u{2019}-5\u{201d}",
                "",
                false,
                40.0 + 5.0 / 12.0,
                1.0 / 24.0,
            ),
            ("40 1/2 ft", "", false, 40.5, 0.25),
            ("40 1/2", "ft", false, 40.5, 0.25),
            ("485 1/2\"", "", false, 485.5 / 12.0, 1.0 / 48.0),
            ("40.25 LF", "", false, 40.25, 0.005),
            ("1,240 lf.", "", false, 1240.0, 0.5),
            ("80 l.f.", "", false, 80.0, 0.5),
            ("80 LFT", "", false, 80.0, 0.5),
            ("1,240", "m", true, 1240.0 / 0.3048, 0.5 / 0.3048),
            ("1,240 lm", "", true, 1240.0 / 0.3048, 0.5 / 0.3048),
            ("12.3 lm", "", true, 12.3 / 0.3048, 0.05 / 0.3048),
            ("7,47", "m", true, 7.47 / 0.3048, 0.005 / 0.3048),
            ("1,234.5 m", "", true, 1234.5 / 0.3048, 0.05 / 0.3048),
        ] {
            let bare = if metric {
                LengthUnit::Metres
            } else {
                LengthUnit::Feet
            };
            let read = length(figure, unit, bare);
            let near =
                read.is_some_and(|(f, h)| (f - feet).abs() < 1e-9 && (h - half_step).abs() < 1e-9);
            assert!(near, "{figure} {unit}: {read:?}");
        }
        assert_eq!(length("-4", "ft", LengthUnit::Feet), None);
    }
}
