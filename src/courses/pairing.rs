//! A maximum matching of opening and closing pieces that is kept up to date while single runs change: each change
//! costs a few searches for augmenting paths instead of a new matching. Who fits whom is kept as rows of bits, so that
//! a search looks at 64 partners at once.

use super::problem::{Problem, Seat};

/// The matching. A run number stands for its opening piece on one side and for its closing piece on the other.
#[derive(Clone, Debug)]
pub(super) struct Pairing {
    /// Lengths of the pieces of every run; an absent piece is longer than any shingle.
    opening: Vec<f64>,
    closing: Vec<f64>,
    closing_of: Vec<u32>,
    opening_of: Vec<u32>,
    size: usize,
    /// Runs whose pieces may wait for each other: `reach[i]` is the range of runs within the wait of run i.
    reach: Vec<(u32, u32)>,
    /// 64-bit words in a row; row i begins at the word that run `reach[i].0` is in.
    words: usize,
    /// For every opening piece: the closing pieces that fit; for every closing piece: the opening pieces that fit.
    fits_opening: Vec<u64>,
    fits_closing: Vec<u64>,
    /// Runs whose piece has no partner, one bit a run.
    free_openings: Vec<u64>,
    free_closings: Vec<u64>,
    seen: Vec<u64>,
}

const NONE: u32 = u32::MAX;

impl Pairing {
    pub(super) fn new(problem: &Problem, seats: &[Seat], wait: usize) -> Self {
        let n = problem.runs.len();
        let reach = problem.within(wait);
        let words = reach
            .iter()
            .map(|&(from, to)| (to.max(1) - 1) as usize / 64 - from as usize / 64 + 1)
            .max()
            .unwrap_or(1);
        // A row may begin in the last word and still be as long as all others.
        let all = n / 64 + 1 + words;
        let mut pairing = Self {
            opening: vec![f64::INFINITY; n],
            closing: vec![f64::INFINITY; n],
            closing_of: vec![NONE; n],
            opening_of: vec![NONE; n],
            size: 0,
            reach,
            words,
            fits_opening: vec![0; n * words],
            fits_closing: vec![0; n * words],
            free_openings: vec![u64::MAX; all],
            free_closings: vec![u64::MAX; all],
            seen: vec![0; all],
        };
        pairing.fill(problem, seats);
        pairing
    }

    /// Starts again with other pieces.
    pub(super) fn fill(&mut self, problem: &Problem, seats: &[Seat]) {
        self.closing_of.fill(NONE);
        self.opening_of.fill(NONE);
        self.size = 0;
        self.fits_opening.fill(0);
        self.fits_closing.fill(0);
        self.free_openings.fill(u64::MAX);
        self.free_closings.fill(u64::MAX);
        self.opening.fill(f64::INFINITY);
        for (i, &seat) in seats.iter().enumerate() {
            self.closing[i] = problem.closing(i, seat).unwrap_or(f64::INFINITY);
        }
        for (i, &seat) in seats.iter().enumerate() {
            self.set_opening(problem, i, seat);
            self.grow_from_opening(i);
        }
    }

    /// Becomes the same as another of the same face, without a new allocation.
    pub(super) fn copy_from(&mut self, other: &Self) {
        self.opening.copy_from_slice(&other.opening);
        self.closing.copy_from_slice(&other.closing);
        self.closing_of.copy_from_slice(&other.closing_of);
        self.opening_of.copy_from_slice(&other.opening_of);
        self.fits_opening.copy_from_slice(&other.fits_opening);
        self.fits_closing.copy_from_slice(&other.fits_closing);
        self.free_openings.copy_from_slice(&other.free_openings);
        self.free_closings.copy_from_slice(&other.free_closings);
        self.size = other.size;
    }

    pub(super) fn size(&self) -> usize {
        self.size
    }

    /// Whether a run has a piece that nothing shares a shingle with.
    pub(super) fn has_lonely_piece(&self, run: usize) -> bool {
        (self.closing_of[run] == NONE && self.opening[run].is_finite())
            || (self.opening_of[run] == NONE && self.closing[run].is_finite())
    }

    /// Gives a run other pieces. The matching stays a largest one: taking a piece out loosens at most its partner,
    /// putting one in adds at most one shared shingle, and each is one search for an augmenting path.
    pub(super) fn reseat(&mut self, problem: &Problem, run: usize, seat: Seat) {
        let c = self.closing_of[run];
        if c != NONE {
            self.part(run as u32, c);
        }
        // Read only now: both pieces of one run may share one shingle, and then the pair is undone already.
        let o = self.opening_of[run];
        if o != NONE {
            self.part(o, run as u32);
        }
        self.clear(run);
        if c != NONE {
            self.grow_from_closing(c as usize);
        }
        if o != NONE {
            self.grow_from_opening(o as usize);
        }
        // One at a time: were both put in before the first search, they could be given to each other, and a path
        // through both of them from two pieces that were left over before would never be looked for.
        self.set_opening(problem, run, seat);
        self.grow_from_opening(run);
        self.set_closing(problem, run, seat);
        self.grow_from_closing(run);
    }

    /// Takes both pieces of a run out.
    fn clear(&mut self, run: usize) {
        self.opening[run] = f64::INFINITY;
        self.closing[run] = f64::INFINITY;
        let (from, to) = self.reach[run];
        for other in from as usize..to as usize {
            let (at, bit) = self.bit(other, run);
            self.fits_closing[at] &= !bit;
            self.fits_opening[at] &= !bit;
        }
        let row = run * self.words..(run + 1) * self.words;
        self.fits_opening[row.clone()].fill(0);
        self.fits_closing[row].fill(0);
    }

    /// Where in a row the bit of another run is.
    fn bit(&self, row: usize, run: usize) -> (usize, u64) {
        let at = row * self.words + run / 64 - self.reach[row].0 as usize / 64;
        (at, 1 << (run % 64))
    }

    fn set_opening(&mut self, problem: &Problem, run: usize, seat: Seat) {
        let Some(x) = problem.opening(run, seat) else {
            return;
        };
        self.opening[run] = x;
        let slack = &problem.slack[problem.runs[run].left_shape];
        let (from, to) = self.reach[run];
        for c in from as usize..to as usize {
            let most = problem.width + problem.tolerance - slack[problem.runs[c].right_shape] - x;
            if self.closing[c] <= most {
                let (at, bit) = self.bit(run, c);
                self.fits_opening[at] |= bit;
                let (at, bit) = self.bit(c, run);
                self.fits_closing[at] |= bit;
            }
        }
    }

    fn set_closing(&mut self, problem: &Problem, run: usize, seat: Seat) {
        let Some(y) = problem.closing(run, seat) else {
            return;
        };
        self.closing[run] = y;
        let shape = problem.runs[run].right_shape;
        let (from, to) = self.reach[run];
        for o in from as usize..to as usize {
            let slack = problem.slack[problem.runs[o].left_shape][shape];
            if self.opening[o] <= problem.width + problem.tolerance - slack - y {
                let (at, bit) = self.bit(run, o);
                self.fits_closing[at] |= bit;
                let (at, bit) = self.bit(o, run);
                self.fits_opening[at] |= bit;
            }
        }
    }

    fn grow_from_opening(&mut self, opening: usize) {
        if self.closing_of[opening] != NONE || !self.opening[opening].is_finite() {
            return;
        }
        self.seen.fill(0);
        if self.seek_closing(opening) {
            self.size += 1;
        }
    }

    fn grow_from_closing(&mut self, closing: usize) {
        if self.opening_of[closing] != NONE || !self.closing[closing].is_finite() {
            return;
        }
        self.seen.fill(0);
        if self.seek_opening(closing) {
            self.size += 1;
        }
    }

    fn seek_closing(&mut self, opening: usize) -> bool {
        let first = self.reach[opening].0 as usize / 64;
        let row = opening * self.words;
        for w in 0..self.words {
            let hit = self.fits_opening[row + w] & self.free_closings[first + w];
            if hit != 0 {
                let c = (first + w) * 64 + hit.trailing_zeros() as usize;
                self.join(opening, c);
                return true;
            }
        }
        for w in 0..self.words {
            loop {
                let left = self.fits_opening[row + w] & !self.seen[first + w];
                if left == 0 {
                    break;
                }
                let c = (first + w) * 64 + left.trailing_zeros() as usize;
                self.seen[first + w] |= left & left.wrapping_neg();
                if self.seek_closing(self.opening_of[c] as usize) {
                    self.join(opening, c);
                    return true;
                }
            }
        }
        false
    }

    fn seek_opening(&mut self, closing: usize) -> bool {
        let first = self.reach[closing].0 as usize / 64;
        let row = closing * self.words;
        for w in 0..self.words {
            let hit = self.fits_closing[row + w] & self.free_openings[first + w];
            if hit != 0 {
                let o = (first + w) * 64 + hit.trailing_zeros() as usize;
                self.join(o, closing);
                return true;
            }
        }
        for w in 0..self.words {
            loop {
                let left = self.fits_closing[row + w] & !self.seen[first + w];
                if left == 0 {
                    break;
                }
                let o = (first + w) * 64 + left.trailing_zeros() as usize;
                self.seen[first + w] |= left & left.wrapping_neg();
                if self.seek_opening(self.closing_of[o] as usize) {
                    self.join(o, closing);
                    return true;
                }
            }
        }
        false
    }

    fn join(&mut self, opening: usize, closing: usize) {
        self.closing_of[opening] = closing as u32;
        self.opening_of[closing] = opening as u32;
        self.free_openings[opening / 64] &= !(1 << (opening % 64));
        self.free_closings[closing / 64] &= !(1 << (closing % 64));
    }

    fn part(&mut self, opening: u32, closing: u32) {
        let (o, c) = (opening as usize, closing as usize);
        self.closing_of[o] = NONE;
        self.opening_of[c] = NONE;
        self.free_openings[o / 64] |= 1 << (o % 64);
        self.free_closings[c / 64] |= 1 << (c % 64);
        self.size -= 1;
    }
}
