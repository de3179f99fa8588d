//! Places and pitches as findings write them, beside lengths and areas: in feet and inches and, since nobody knows here in
//! which units the reader works, in metres too.

use crate::geometry::Point;
use crate::units::METRES_PER_FOOT;

pub(super) use crate::units::words::{area, feet, inches};

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
    fn places_and_areas_are_in_both_units_and_pitches_in_12() {
        assert_eq!(
            place(Point::new(-0.01, 12.34)),
            "(0.0, 12.3) ft or (0.00, 3.76) m"
        );
        assert_eq!(
            area(crate::units::Area::<crate::units::Plan>::square_feet(36.0)),
            "36 ft² (3.3 m²)"
        );
        assert_eq!(pitch(0.5), "6/12");
        assert_eq!(pitch(0.6275), "7.53/12");
    }
}
