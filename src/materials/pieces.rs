//! How many whole pieces or packages something takes. What is longer than whole ones by less than a plan is read and metal
//! is cut to takes no further one: forgiven in lengths, so that it is as little of a roll as of a shingle.

/// What a run may be longer than whole pieces reach, in feet: a sixteenth of an inch, as a tape shows it; own choice.
pub(super) const SHORT_FT: f64 = 1.0 / 192.0;
/// The same of what is counted, and of squares of roof: a hundredth of one, own choice.
const SHORT_OF_ONE: f64 = 0.01;

/// Pieces for a length of which each covers `each_ft`.
pub(super) fn along(length_ft: f64, each_ft: f64) -> f64 {
    whole(length_ft, each_ft, SHORT_FT)
}

/// Packages for a number of which each holds `each`.
pub(super) fn holding(number: f64, each: f64) -> f64 {
    whole(number, each, SHORT_OF_ONE)
}

/// What an amount takes of what holds `each`, where so much of it is forgiven.
pub(super) fn whole(amount: f64, each: f64, forgiven: f64) -> f64 {
    // Of nothing the ceiling is −0.
    ((amount - forgiven) / each).ceil().max(0.0) + 0.0
}

#[cfg(test)]
mod tests {
    use super::{along, holding};

    #[test]
    fn a_sixteenth_of_an_inch_takes_no_further_piece_and_an_eighth_does() {
        // 12 ft in pieces of 4 ft are three, of 5 in twenty-nine, however a plan's corners were rounded.
        for (each_in, pieces) in [(48.0, 3.0), (5.0, 29.0)] {
            let of = |more_in: f64| along(12.0 + more_in / 12.0, each_in / 12.0);
            let whole_in = pieces * each_in - 144.0;
            for more_in in [-1e-6, 0.0, 1e-6, 0.06] {
                assert_eq!(of(whole_in + more_in), pieces);
            }
            assert_eq!(of(whole_in + 0.125), pieces + 1.0);
        }
        assert_eq!(along(0.0, 4.0).to_bits(), 0.0_f64.to_bits());
    }

    #[test]
    fn packages_are_whole_and_none_is_opened_for_the_last_digits_of_a_number() {
        assert_eq!(
            [539.9, 540.0, 540.001, 540.02].map(|n| holding(n, 27.0)),
            [20.0, 20.0, 20.0, 21.0]
        );
    }
}
