//! Rows of sheet cut from rolls, one after the other, with a lap wherever a roll ends inside a row. The list gives the longest
//! first: common practice, no source.

use super::pieces::SHORT_FT;

/// A rest of a roll shorter than this is not carried to the next row, in feet: common practice, no source.
const LEAST_REST_FT: f64 = 3.0;

/// What laying rows from rolls comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Rolled {
    /// Feet of roll used, laps and rests too short to use included.
    pub(super) used_ft: f64,
    /// End laps made.
    pub(super) laps: usize,
}

/// Lays rows, in order, from rolls of `roll_ft` with end laps of `lap_ft`; `None` for a roll no longer than its lap.
pub(super) fn unroll(
    rows: impl IntoIterator<Item = f64>,
    roll_ft: f64,
    lap_ft: f64,
) -> Option<Rolled> {
    if roll_ft <= lap_ft {
        return None;
    }
    let mut rolled = Rolled::default();
    let mut rest = 0.0;
    let take = |rolled: &mut Rolled, rest: &mut f64, length: f64| {
        *rest -= length;
        rolled.used_ft += length;
    };
    for row in rows {
        if rest < LEAST_REST_FT.min(roll_ft / 2.0) - SHORT_FT {
            // Too short to start a row with: lost.
            rolled.used_ft += rest;
            rest = roll_ft;
        }
        let mut left = row;
        while left > rest + SHORT_FT {
            // The rest of the roll ends inside the row; the next one laps it.
            left -= rest - lap_ft;
            rolled.laps += 1;
            let all = rest;
            take(&mut rolled, &mut rest, all);
            rest = roll_ft;
        }
        let last = left.min(rest);
        take(&mut rolled, &mut rest, last);
    }
    Some(rolled)
}

#[cfg(test)]
mod tests {
    use super::unroll;

    #[test]
    fn a_row_longer_than_the_rest_of_a_roll_takes_one_lap() {
        // 144 ft roll: rows of 40 ft: three whole, 24 ft of the fourth, 4 in lap, 16 ft 4 in of the next roll.
        let rolled = unroll([40.0; 4], 144.0, 1.0 / 3.0).unwrap_or_default();
        assert_eq!(rolled.laps, 1);
        assert!((rolled.used_ft - 160.0 - 1.0 / 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_rest_too_short_to_start_a_row_is_lost() {
        // Two rows of 71 ft leave 2 ft of the roll.
        let rolled = unroll([71.0, 71.0, 10.0], 144.0, 0.5).unwrap_or_default();
        assert_eq!(rolled.laps, 0);
        assert!((rolled.used_ft - 154.0).abs() < 1e-9);
    }

    #[test]
    fn a_row_may_take_several_rolls() {
        let rolled = unroll([100.0], 36.0, 0.5).unwrap_or_default();
        assert_eq!(rolled.laps, 2);
        assert!((rolled.used_ft - 101.0).abs() < 1e-9);
        assert!(unroll([1.0], 0.5, 0.5).is_none());
    }

    #[test]
    fn a_row_that_a_roll_just_holds_takes_no_lap_and_a_rest_of_three_feet_serves() {
        let rolled = |rows: &[f64], roll, lap| {
            let rolled = unroll(rows.iter().copied(), roll, lap).unwrap_or_default();
            (rolled.used_ft, rolled.laps)
        };
        assert_eq!(rolled(&[144.0], 144.0, 0.5), (144.0, 0));
        // 3 ft are left and are the next row.
        assert_eq!(rolled(&[141.0, 3.0], 144.0, 0.5), (144.0, 0));
        // Of rolls of 4 ft half a roll serves: less would be lost each time.
        assert_eq!(rolled(&[2.0, 2.0], 4.0, 0.5), (4.0, 0));
    }

    #[test]
    fn rows_longer_by_the_rounding_of_a_corner_take_no_lap_and_no_roll_more() {
        // Two rows of 72 ft to a roll of 144 ft; three rolls are used up, and no more than they hold.
        for row in [72.0, 72.0 + 1e-14, 72.0 + 2e-6, 72.002] {
            let rolled = unroll([row; 6], 144.0, 0.5).unwrap_or_default();
            assert_eq!(rolled.laps, 0, "{row}");
            assert!((rolled.used_ft - 432.0).abs() < 1e-9, "{row}: {rolled:?}");
        }
        // An inch longer: the second row laps.
        let rolled = unroll([72.0 + 1.0 / 12.0; 2], 144.0, 0.5).unwrap_or_default();
        assert_eq!(rolled.laps, 1);
    }
}
