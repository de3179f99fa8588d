//! Lengths, places and pitches as findings write them: in feet and inches and, since nobody knows here in which units the
//! reader works, in metres too.

use crate::geometry::Point;
use crate::units::{Area, METRES_PER_FOOT, Surface, number};

const MM_PER_IN: f64 = 25.4;

/// A length in feet as `1 ft 3 in (381 mm)`, to the nearest inch; under an inch as `3/4 in (19 mm)` to the nearest quarter;
/// from a metre on as `31 ft 2 in (9.50 m)`.
pub(super) fn feet(length_ft: f64) -> String {
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

/// A length that a rule states in inches: `30 in (762 mm)`.
pub(super) fn inches(length_in: f64) -> String {
    format!(
        "{length_in} in ({} mm)",
        number::decimal(length_in * MM_PER_IN, 0)
    )
}

/// An area as `36 ft² (3.3 m²)`.
pub(super) fn area<S: Surface>(area: Area<S>) -> String {
    let sqft = area.to_square_feet();
    format!(
        "{} ft² ({} m²)",
        number::decimal(sqft, 0),
        number::decimal(sqft * METRES_PER_FOOT * METRES_PER_FOOT, 1)
    )
}

/// A place in plan feet as `(12.3, 4.5) ft or (3.75, 1.37) m`.
pub(super) fn place(p: Point) -> String {
    // −0.0 would print a sign.
    let pair = |k: f64, places: usize| {
        let least = 0.5 * 0.1_f64.powi(places as i32);
        let tidy = |v: f64| if v.abs() < least { 0.0 } else { v };
        format!("({:.places$}, {:.places$})", tidy(p.x * k), tidy(p.y * k))
    };
    format!("{} ft or {} m", pair(1.0, 1), pair(METRES_PER_FOOT, 2))
}

/// A slope as rise in 12, such as `6/12` or `7.53/12`.
pub(in crate::roof) fn pitch(rise_per_run: f64) -> String {
    let text = format!("{:.2}", rise_per_run * 12.0);
    format!("{}/12", text.trim_end_matches('0').trim_end_matches('.'))
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
    }

    #[test]
    fn places_and_areas_are_in_both_units_and_pitches_in_12() {
        assert_eq!(
            place(Point::new(-0.01, 12.34)),
            "(0.0, 12.3) ft or (0.00, 3.76) m"
        );
        assert_eq!(
            area(Area::<crate::units::Plan>::square_feet(36.0)),
            "36 ft² (3.3 m²)"
        );
        assert_eq!(pitch(0.5), "6/12");
        assert_eq!(pitch(0.6275), "7.53/12");
    }
}
