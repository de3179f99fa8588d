//! Lengths, places and pitches as findings write them.

use crate::geometry::Point;

/// A length in feet as `1 ft 3 in`, to the nearest inch; under an inch as `3/4 in` to the nearest quarter.
pub(super) fn feet(length_ft: f64) -> String {
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

/// A place in plan feet as `(12.3, 4.5)`.
pub(super) fn place(p: Point) -> String {
    // −0.0 would print a sign.
    let tidy = |v: f64| if v.abs() < 0.05 { 0.0 } else { v };
    format!("({:.1}, {:.1})", tidy(p.x), tidy(p.y))
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
    fn lengths_read_as_a_tape_does() {
        assert_eq!(feet(1.25), "1 ft 3 in");
        assert_eq!(feet(0.999), "1 ft");
        assert_eq!(feet(0.05), "1/2 in");
        assert_eq!(pitch(0.5), "6/12");
        assert_eq!(pitch(0.6275), "7.53/12");
        assert_eq!(place(Point::new(-0.01, 12.34)), "(0.0, 12.3)");
    }
}
