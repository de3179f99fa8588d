//! Lengths and areas as findings write them: in feet and inches and, since nobody knows here in which units the reader works,
//! in metres too.

use super::{Area, METRES_PER_FOOT, Surface, number};

const MM_PER_IN: f64 = 25.4;

/// A length in feet as `1 ft 3 in (381 mm)`, to the nearest inch; under an inch as `3/4 in (19 mm)` to the nearest quarter;
/// from a metre on as `31 ft 2 in (9.50 m)`.
pub(crate) fn feet(length_ft: f64) -> String {
    let metres = length_ft.abs() * METRES_PER_FOOT;
    let metric = match metres {
        under if under < 0.9995 => format!("{} mm", number::decimal(under * 1e3, 0)),
        _ => format!("{} m", number::decimal(metres, 2)),
    };
    format!("{} ({metric})", feet_and_inches(length_ft))
}

fn feet_and_inches(length_ft: f64) -> String {
    let inches = length_ft.abs() * 12.0;
    if inches < 1.0 {
        return match (inches * 4.0).round() as i64 {
            0 => "under 1/8 in".to_string(),
            1 => "1/4 in".to_string(),
            2 => "1/2 in".to_string(),
            3 => "3/4 in".to_string(),
            _ => "1 in".to_string(),
        };
    }
    let whole = inches.round() as i64;
    match (whole / 12, whole % 12) {
        (0, i) => format!("{i} in"),
        (f, 0) => format!("{f} ft"),
        (f, i) => format!("{f} ft {i} in"),
    }
}

/// A length that was measured in decimals of a foot, with so many of them: `0.125 ft (38 mm)`.
pub(crate) fn decimal_feet(length_ft: f64, places: u32) -> String {
    let mm = length_ft * METRES_PER_FOOT * 1e3;
    format!(
        "{} ft ({} mm)",
        number::decimal(length_ft, places),
        number::decimal(mm, 0)
    )
}

/// A length that was measured in decimals of an inch: `4.00 in (102 mm)`.
pub(crate) fn decimal_inches(length_in: f64) -> String {
    format!(
        "{} in ({} mm)",
        number::decimal(length_in, 2),
        number::decimal(length_in * MM_PER_IN, 0)
    )
}

/// A length that a rule states in inches: `30 in (762 mm)`.
pub(crate) fn inches(length_in: f64) -> String {
    format!(
        "{length_in} in ({} mm)",
        number::decimal(length_in * MM_PER_IN, 0)
    )
}

/// An area as `36 ft² (3.3 m²)`.
pub(crate) fn area<S: Surface>(area: Area<S>) -> String {
    let sqft = area.to_square_feet();
    format!(
        "{} ft² ({} m²)",
        number::decimal(sqft, 0),
        number::decimal(sqft * METRES_PER_FOOT * METRES_PER_FOOT, 1)
    )
}

/// Digits after the point of a rise in 12.
pub(crate) const PITCH_PLACES: usize = 2;

/// A slope, rise over run, as rise in 12: `6/12`, `7.53/12`.
pub(crate) fn pitch(rise_per_run: f64) -> String {
    pitch_to(PITCH_PLACES, rise_per_run)
}

/// The same with so many digits after the point, and no idle zeros.
pub(crate) fn pitch_to(places: usize, rise_per_run: f64) -> String {
    let text = format!("{:.places$}", rise_per_run * 12.0);
    let text = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    format!("{text}/12")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_read_as_a_tape_does_in_feet_or_in_metres() {
        // 1.25 × 304.8 = 381; 0.05 × 304.8 = 15.24; 31.1667 × 0.3048 = 9.4996; 3.28 × 304.8 = 999.7.
        assert_eq!(feet(1.25), "1 ft 3 in (381 mm)");
        assert_eq!(feet(0.999), "1 ft (304 mm)");
        assert_eq!(feet(0.05), "1/2 in (15 mm)");
        assert_eq!(feet(31.0 + 2.0 / 12.0), "31 ft 2 in (9.50 m)");
        assert_eq!(feet(3.28), "3 ft 3 in (1.00 m)");
        assert_eq!(inches(30.0), "30 in (762 mm)");
        assert_eq!(decimal_feet(0.125, 3), "0.125 ft (38 mm)");
        assert_eq!(decimal_inches(4.0), "4.00 in (102 mm)");
    }
}
