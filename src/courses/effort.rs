//! How much work a layout is worth. Counted in moves, not in seconds: the same face is always laid the same way.

/// How much work to put into a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Chains kept from run to run.
    pub chains: usize,
    /// Simple layouts that are improved by a search.
    pub starts: usize,
    /// The same where no chain takes in every run, and on small faces.
    pub starts_without_chain: usize,
    /// Moves tried on each of them for every run of the face.
    pub moves_a_run: usize,
    /// Moves tried on each of them at most.
    pub moves: usize,
    /// First joints tried for every step: one in so many places of the grid.
    pub stride: usize,
    /// Rounds of prices for the bound, where the slice bound is not reached.
    pub rounds: usize,
}

impl Effort {
    /// Some tenths of a millisecond a face: the default.
    pub const QUICK: Self = Self {
        chains: 12,
        starts: 0,
        starts_without_chain: 2,
        moves_a_run: 30,
        moves: 1000,
        stride: 2,
        rounds: 12,
    };
    /// Tens to hundreds of milliseconds a face, for a last shingle or two and a bound closer to the count.
    pub const THOROUGH: Self = Self {
        chains: 200,
        starts: 8,
        starts_without_chain: 8,
        moves_a_run: usize::MAX,
        moves: 40_000,
        stride: 1,
        rounds: 400,
    };
}

impl Effort {
    pub(super) fn moves_for(self, runs: usize) -> usize {
        self.moves_a_run.saturating_mul(runs).min(self.moves)
    }
}

impl Default for Effort {
    fn default() -> Self {
        Self::QUICK
    }
}
