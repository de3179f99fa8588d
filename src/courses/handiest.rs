//! Of layouts that open equally few shingles, the one that is easiest to lay.

use super::matching::{Shared, matching};
use super::problem::{Problem, Seat};
use super::recut::Cutting;
use super::runs::Run;
use super::{LayRules, Reuse, pattern, tally};

/// How hard a layout is on the crew, less being better: runs out of one repeated step, cuts, short pieces, the pile of
/// waiting offcuts.
type Trouble = (usize, usize, usize, usize);

/// Of layouts that open equally few shingles, the one that is easiest to lay.
pub(super) struct Handiest<'a> {
    problem: &'a Problem,
    runs: &'a [Run],
    rules: &'a LayRules,
    best: Option<Best>,
}

struct Best {
    /// Shingles opened, and the trouble.
    key: (usize, Trouble),
    seats: Vec<Seat>,
    cutting: Cutting,
}

impl<'a> Handiest<'a> {
    pub(super) fn new(problem: &'a Problem, runs: &'a [Run], rules: &'a LayRules) -> Self {
        Self {
            problem,
            runs,
            rules,
            best: None,
        }
    }

    /// Offers a layout that opens so many shingles by the two-piece rule.
    pub(super) fn offer(&mut self, by_two_pieces: usize, seats: Vec<Seat>) {
        self.look_at(by_two_pieces, None, seats);
    }

    /// Offers a layout with the shingles that two of its pieces share.
    pub(super) fn offer_matched(&mut self, pairs: Vec<Shared>, seats: Vec<Seat>) {
        let by_two_pieces = Problem::pieces_of(&seats) - pairs.len();
        self.look_at(by_two_pieces, Some(pairs), seats);
    }

    fn look_at(&mut self, by_two_pieces: usize, pairs: Option<Vec<Shared>>, seats: Vec<Seat>) {
        let (opened, cut) = match self.rules.reuse {
            Reuse::SquareCut => {
                let cut = Cutting::new(self.problem, &seats, self.rules);
                (Problem::pieces_of(&seats) - cut.spared(), Some(cut))
            }
            Reuse::None | Reuse::TwoPiece => (by_two_pieces, None),
        };
        let out_of_step = self.out_of_step(&seats);
        let is_worse = |best: &Best| (best.key.0, best.key.1.0) < (opened, out_of_step);
        if self.best.as_ref().is_some_and(is_worse) {
            return;
        }
        let cutting = cut.unwrap_or_else(|| {
            let pairs =
                pairs.unwrap_or_else(|| matching(self.problem, &seats, self.rules.wait_courses));
            Cutting::of_pairs(pairs)
        });
        let key = (opened, self.trouble(out_of_step, &seats, &cutting));
        if self.best.as_ref().is_none_or(|best| key < best.key) {
            self.best = Some(Best {
                key,
                seats,
                cutting,
            });
        }
    }

    /// Runs that do not follow the commonest step.
    fn out_of_step(&self, seats: &[Seat]) -> usize {
        let firsts: Vec<(usize, f64)> = seats
            .iter()
            .zip(&self.problem.runs)
            .filter_map(|(seat, room)| match seat {
                Seat::Joints { first, .. } => Some((room.course, *first)),
                Seat::Single { .. } => None,
            })
            .collect();
        let following = pattern::commonest(&firsts, self.problem.width).map_or(0, |s| s.runs);
        firsts.len() - following
    }

    fn trouble(&self, out_of_step: usize, seats: &[Seat], cutting: &Cutting) -> Trouble {
        let least = 2.0 * self.rules.least_piece_in;
        (
            out_of_step,
            tally::cuts(self.problem, self.runs, seats, cutting),
            tally::pieces_under(self.runs, self.problem, seats, least),
            tally::waiting(self.problem, cutting).0,
        )
    }

    /// The layout, and which of its pieces come out of which shingle.
    pub(super) fn laid(self) -> Option<(Vec<Seat>, Cutting)> {
        self.best.map(|best| (best.seats, best.cutting))
    }
}
