//! Places and pitches as findings write them, beside lengths and areas: in feet and inches and, since nobody knows here in
//! which units the reader works, in metres too.

use crate::geometry::Point;
use crate::units::METRES_PER_FOOT;

pub(in crate::roof) use crate::units::words::pitch;
use crate::units::words::{PITCH_PLACES, pitch_to};
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

/// Digits after the point of a rise in 12 where two would read alike.
const MOST_PITCH_PLACES: usize = 6;

/// A slope as rise in 12, with as many digits as it takes to be told from `other`: `3.004/12` where 3/12 is written.
pub(super) fn pitch_unlike(other: Option<f64>, rise_per_run: f64) -> String {
    let unlike = |&places: &usize| {
        other.is_none_or(|other| pitch_to(places, rise_per_run) != pitch_to(places, other))
    };
    let places = (PITCH_PLACES..MOST_PITCH_PLACES).find(unlike);
    pitch_to(places.unwrap_or(MOST_PITCH_PLACES), rise_per_run)
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
        assert_eq!(pitch_unlike(Some(0.25), 0.5), "6/12");
        assert_eq!(pitch_unlike(Some(0.25), 3.0042 / 12.0), "3.004/12");
        assert_eq!(pitch_unlike(Some(0.25), 0.25), "3/12");
        assert_eq!(pitch_unlike(None, 0.25), "3/12");
    }
}
