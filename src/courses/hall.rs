//! Hall's condition over lengths in whole units: how many closing pieces find no opening piece in what they leave of a
//! shingle. Units are kept in eight strips side by side, so that one instruction counts in all of them.

/// Strips side by side.
const STRIPS: usize = 8;

/// Places of a tally: all that a byte can name.
const PLACES: usize = 256;

/// Where in a tally each of some units is: the units of a strip follow each other from row to row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Strips {
    rows: usize,
}

impl Strips {
    /// For the units from 0 to `units`, 255 at most.
    pub(super) fn new(units: usize) -> Self {
        debug_assert!(units < PLACES, "{units} units");
        Self {
            rows: (units + 1).div_ceil(STRIPS),
        }
    }

    pub(super) fn place(self, unit: usize) -> u8 {
        (unit % self.rows * STRIPS + unit / self.rows) as u8
    }
}

/// How many pieces have each length.
pub(super) struct Tally {
    /// Opening pieces by their lengths.
    openings: [i16; PLACES],
    /// Closing pieces by what they leave.
    closings: [i16; PLACES],
}

impl Tally {
    pub(super) fn new() -> Self {
        Self {
            openings: [0; PLACES],
            closings: [0; PLACES],
        }
    }

    pub(super) fn add_opening(&mut self, place: u8) {
        self.openings[usize::from(place)] += 1;
    }

    pub(super) fn add_closing(&mut self, place: u8) {
        self.closings[usize::from(place)] += 1;
    }

    /// The closing pieces that find no opening piece, the longest served first.
    pub(super) fn unserved(&self, strips: Strips) -> usize {
        let mut short = self.short_before(strips);
        let mut worst = [0_i16; STRIPS];
        for (openings, closings) in self.rows(strips) {
            for strip in 0..STRIPS {
                short[strip] += closings[strip] - openings[strip];
                worst[strip] = worst[strip].max(short[strip]);
            }
        }
        worst.into_iter().fold(0, i16::max).unsigned_abs().into()
    }

    /// The sum over all closing pieces of how many of those as long or longer find no opening piece, pieces of one
    /// length taken together: what is missing, even where it is not the tightest place.
    pub(super) fn missing(&self, strips: Strips) -> usize {
        let mut short = self.short_before(strips);
        let mut missing = [0_i32; STRIPS];
        for (openings, closings) in self.rows(strips) {
            for strip in 0..STRIPS {
                short[strip] += closings[strip] - openings[strip];
                missing[strip] += i32::from(closings[strip]) * i32::from(short[strip].max(0));
            }
        }
        missing.into_iter().sum::<i32>().unsigned_abs() as usize
    }

    /// For every strip, closing less opening pieces in the strips before it.
    fn short_before(&self, strips: Strips) -> [i16; STRIPS] {
        let mut sums = [0_i16; STRIPS];
        for (openings, closings) in self.rows(strips) {
            for strip in 0..STRIPS {
                sums[strip] += closings[strip] - openings[strip];
            }
        }
        let mut short = 0;
        sums.map(|sum| {
            let before = short;
            short += sum;
            before
        })
    }

    fn rows(&self, strips: Strips) -> impl Iterator<Item = (&[i16; STRIPS], &[i16; STRIPS])> {
        let (openings, _) = self.openings.as_chunks();
        let (closings, _) = self.closings.as_chunks();
        openings.iter().zip(closings).take(strips.rows)
    }
}

#[cfg(test)]
mod tests {
    use super::{Strips, Tally};

    #[test]
    fn a_closing_piece_takes_an_opening_piece_no_longer_than_what_it_leaves() {
        let strips = Strips::new(20);
        let mut tally = Tally::new();
        for left in [2, 2, 7, 20] {
            tally.add_closing(strips.place(left));
        }
        for opening in [3, 7, 8] {
            tally.add_opening(strips.place(opening));
        }
        // The two that leave 2 find nothing; that which leaves 7 takes one of 3 and 7; that which leaves 20 another.
        assert_eq!(tally.unserved(strips), 2);
        assert_eq!(tally.missing(strips), 2 * 2 + 1 + 1);
    }

    #[test]
    fn every_unit_has_a_place_of_its_own() {
        for units in [1, 7, 8, 159, 192, 255] {
            let strips = Strips::new(units);
            let mut places: Vec<u8> = (0..=units).map(|unit| strips.place(unit)).collect();
            places.sort_unstable();
            places.dedup();
            assert_eq!(places.len(), units + 1);
        }
    }
}
