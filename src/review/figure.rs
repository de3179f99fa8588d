//! One figure of a list: a number with its unit, an area or a length.

use super::stated::SurfaceSaid;
use crate::drawing::text::parse_area;
use crate::units::{METRES_PER_FOOT, SQUARE_FEET_PER_SQUARE, parse_length_in};

/// Units of length, in feet.
const LENGTH_UNITS: [(&[&str], f64); 5] = [
    (&["ft", "feet", "foot", "lf", "lin ft", "lineal feet"], 1.0),
    (&["in", "inches", "inch"], 1.0 / 12.0),
    (&["m", "metres", "meters", "lm"], 1.0 / METRES_PER_FOOT),
    (&["cm"], 0.01 / METRES_PER_FOOT),
    (&["mm"], 0.001 / METRES_PER_FOOT),
];

/// What stands for a unit and says on which surface the figure was measured, and the unit without that.
pub(super) fn surface_said(unit: &str) -> (Option<SurfaceSaid>, &str) {
    match unit.to_lowercase().as_str() {
        "plan" | "in plan" => (Some(SurfaceSaid::Plan), ""),
        "true" | "sloped" | "on the slope" => (Some(SurfaceSaid::True), ""),
        _ => (None, unit),
    }
}

/// An area in square feet, half of its last digit, and whether words with it say that it is in plan. `metric`: what a number
/// without a unit is in.
pub(super) fn area(figure: &str, unit: &str, metric: bool) -> Option<(f64, f64, bool)> {
    let read = |text: &str| parse_area(text).map(|a| (a.square_feet, a.half_step_sqft, a.plan));
    let bare = if metric { "m2" } else { "sf" };
    let (sqft, half_step_sqft, plan) = read(&format!("{figure} {unit}")).or_else(|| {
        let bare_number = unit.is_empty() && number(figure).is_some();
        read(&format!("{figure} {bare}")).filter(|_| bare_number)
    })?;
    let fair = sqft.is_finite() && sqft > 0.0 && sqft < 1e9 * SQUARE_FEET_PER_SQUARE;
    fair.then_some((sqft, half_step_sqft, plan))
}

/// A length in feet, and half of the last digit written; an inch where it is written in feet and inches. It may be 0: a list
/// may say that a roof has no valley.
pub(super) fn length(figure: &str, unit: &str, metric: bool) -> Option<(f64, f64)> {
    // `128 lf`: the unit beside the number.
    let (figure, unit) = match figure.split_once(' ') {
        Some((before, after)) if unit.is_empty() && number(before).is_some() => {
            (before, after.trim())
        }
        _ => (figure, unit),
    };
    if let (Some((value, half_step)), Some(per_unit)) = (number(figure), per_unit(unit, metric)) {
        return Some((value * per_unit, half_step * per_unit));
    }
    let whole = format!("{figure} {unit}");
    let inches = parse_length_in(&whole).filter(|i| *i > 0.0)?;
    let (value, half_step) = figure
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .map_or(Some(figure), |end| figure.get(..end))
        .and_then(number)
        .filter(|(value, _)| *value > 0.0)?;
    let feet = inches / 12.0;
    let inches_too = (feet / value - 1.0).abs() > 1e-9 && figure.contains(['\'', '′']);
    Some((
        feet,
        if inches_too {
            1.0 / 24.0
        } else {
            half_step * feet / value
        },
    ))
}

/// Feet to a unit; `None` where it is none of length.
fn per_unit(unit: &str, metric: bool) -> Option<f64> {
    let unit = unit.trim_end_matches('.').to_lowercase();
    if unit.is_empty() {
        return Some(if metric { 1.0 / METRES_PER_FOOT } else { 1.0 });
    }
    let mut known = LENGTH_UNITS.iter();
    known
        .find(|(words, _)| words.contains(&unit.as_str()))
        .map(|(_, feet)| *feet)
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
        let feet = |figure, unit| length(figure, unit, false).map(|l| (l.0 * 1e6).round() / 1e6);
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
        assert_eq!(feet("128", "squares"), None);
        assert_eq!(feet("none", ""), None);
    }
}
