//! A maximum matching of opening and closing pieces that is kept up to date while single runs change: each change
//! costs a few searches for augmenting paths instead of a new matching.

use super::problem::{Problem, Seat};

/// The matching. A run number stands for its opening piece on one side and for its closing piece on the other.
#[derive(Clone, Debug)]
pub(super) struct Pairing {
    closing_of: Vec<u32>,
    opening_of: Vec<u32>,
    size: usize,
    /// Runs whose pieces may wait for each other: `reach[i]` is the range of runs within the wait of run i.
    reach: Vec<(u32, u32)>,
    seen: Vec<u32>,
    round: u32,
}

const NONE: u32 = u32::MAX;

/// Lengths of the pieces of every run; an absent piece is longer than any shingle.
#[derive(Clone, Debug)]
pub(super) struct Pieces {
    pub(super) opening: Vec<f64>,
    pub(super) closing: Vec<f64>,
}

impl Pieces {
    pub(super) fn new(problem: &Problem, seats: &[Seat]) -> Self {
        let mut pieces = Self {
            opening: vec![f64::INFINITY; seats.len()],
            closing: vec![f64::INFINITY; seats.len()],
        };
        for (i, &seat) in seats.iter().enumerate() {
            pieces.set(problem, i, seat);
        }
        pieces
    }
    /// Becomes the same as another, without a new allocation.
    pub(super) fn copy_from(&mut self, other: &Self) {
        self.opening.copy_from_slice(&other.opening);
        self.closing.copy_from_slice(&other.closing);
    }
    fn set(&mut self, problem: &Problem, run: usize, seat: Seat) {
        self.set_opening(problem, run, seat);
        self.set_closing(problem, run, seat);
    }
    fn set_opening(&mut self, problem: &Problem, run: usize, seat: Seat) {
        self.opening[run] = problem.opening(run, seat).unwrap_or(f64::INFINITY);
    }
    fn set_closing(&mut self, problem: &Problem, run: usize, seat: Seat) {
        self.closing[run] = problem.closing(run, seat).unwrap_or(f64::INFINITY);
    }
    fn share(&self, problem: &Problem, opening: usize, closing: usize) -> bool {
        let (x, y) = (self.opening[opening], self.closing[closing]);
        x + y <= 2.0 * problem.width && problem.share((opening, x), (closing, y))
    }
}

impl Pairing {
    pub(super) fn new(problem: &Problem, pieces: &Pieces, wait: usize) -> Self {
        let n = problem.runs.len();
        let reach = (0..n)
            .map(|i| {
                let c = problem.runs[i].course;
                let from = problem
                    .runs
                    .partition_point(|r| r.course < c.saturating_sub(wait));
                let to = problem
                    .runs
                    .partition_point(|r| r.course <= c.saturating_add(wait));
                (from as u32, to as u32)
            })
            .collect();
        let mut pairing = Self {
            closing_of: vec![NONE; n],
            opening_of: vec![NONE; n],
            size: 0,
            reach,
            seen: vec![0; n],
            round: 0,
        };
        for i in 0..n {
            pairing.grow_from_opening(problem, pieces, i);
        }
        pairing
    }

    /// Becomes the same as another of the same face, without a new allocation.
    pub(super) fn copy_from(&mut self, other: &Self) {
        self.closing_of.copy_from_slice(&other.closing_of);
        self.opening_of.copy_from_slice(&other.opening_of);
        self.size = other.size;
    }

    pub(super) fn size(&self) -> usize {
        self.size
    }

    /// Gives a run other pieces. The matching stays a largest one: taking a piece out loosens at most its partner,
    /// putting one in adds at most one shared shingle, and each is one search for an augmenting path.
    pub(super) fn reseat(
        &mut self,
        problem: &Problem,
        pieces: &mut Pieces,
        run: usize,
        seat: Seat,
    ) {
        let c = self.closing_of[run];
        pieces.opening[run] = f64::INFINITY;
        pieces.closing[run] = f64::INFINITY;
        if c != NONE {
            self.closing_of[run] = NONE;
            self.opening_of[c as usize] = NONE;
            self.size -= 1;
        }
        // Read only now: both pieces of one run may share one shingle, and then the pair is undone already.
        let o = self.opening_of[run];
        if o != NONE {
            self.opening_of[run] = NONE;
            self.closing_of[o as usize] = NONE;
            self.size -= 1;
        }
        if c != NONE {
            self.grow_from_closing(problem, pieces, c as usize);
        }
        if o != NONE {
            self.grow_from_opening(problem, pieces, o as usize);
        }
        // One at a time: were both put in before the first search, they could be given to each other, and a path
        // through both of them from two pieces that were left over before would never be looked for.
        pieces.set_opening(problem, run, seat);
        self.grow_from_opening(problem, pieces, run);
        pieces.set_closing(problem, run, seat);
        self.grow_from_closing(problem, pieces, run);
    }

    fn grow_from_opening(&mut self, problem: &Problem, pieces: &Pieces, opening: usize) {
        if self.closing_of[opening] != NONE || !pieces.opening[opening].is_finite() {
            return;
        }
        self.round += 1;
        if self.seek_closing(problem, pieces, opening) {
            self.size += 1;
        }
    }

    fn grow_from_closing(&mut self, problem: &Problem, pieces: &Pieces, closing: usize) {
        if self.opening_of[closing] != NONE || !pieces.closing[closing].is_finite() {
            return;
        }
        self.round += 1;
        if self.seek_opening(problem, pieces, closing) {
            self.size += 1;
        }
    }

    fn seek_closing(&mut self, problem: &Problem, pieces: &Pieces, opening: usize) -> bool {
        let (from, to) = self.reach[opening];
        for c in from..to {
            if self.opening_of[c as usize] == NONE && pieces.share(problem, opening, c as usize) {
                self.join(opening, c as usize);
                return true;
            }
        }
        for c in from..to {
            let taken = self.opening_of[c as usize];
            if self.seen[c as usize] == self.round
                || taken == NONE
                || taken as usize == opening
                || !pieces.share(problem, opening, c as usize)
            {
                continue;
            }
            self.seen[c as usize] = self.round;
            if self.seek_closing(problem, pieces, taken as usize) {
                self.join(opening, c as usize);
                return true;
            }
        }
        false
    }

    fn seek_opening(&mut self, problem: &Problem, pieces: &Pieces, closing: usize) -> bool {
        let (from, to) = self.reach[closing];
        for o in from..to {
            if self.closing_of[o as usize] == NONE && pieces.share(problem, o as usize, closing) {
                self.join(o as usize, closing);
                return true;
            }
        }
        for o in from..to {
            let taken = self.closing_of[o as usize];
            if self.seen[o as usize] == self.round
                || taken == NONE
                || taken as usize == closing
                || !pieces.share(problem, o as usize, closing)
            {
                continue;
            }
            self.seen[o as usize] = self.round;
            if self.seek_opening(problem, pieces, taken as usize) {
                self.join(o as usize, closing);
                return true;
            }
        }
        false
    }

    fn join(&mut self, opening: usize, closing: usize) {
        self.closing_of[opening] = closing as u32;
        self.opening_of[closing] = opening as u32;
    }
}
