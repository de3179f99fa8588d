//! A maximum matching of opening and closing pieces that is kept up to date while single runs change: each change
//! costs a few searches for augmenting paths instead of a new matching. Who fits whom is kept as rows of bits, so that
//! a search looks at 64 partners at once.

use super::problem::{Problem, Seat};

/// The matching. A run number stands for its opening piece on one side and for its closing piece on the other.
#[derive(Clone, Debug)]
pub(super) struct Pairing {
    openings: Side,
    closings: Side,
    size: usize,
    /// `most[left shape][right shape]`: what an opening and a closing piece out of one shingle may measure together.
    most: Vec<Vec<f64>>,
    rows: Rows,
    search: Search,
}

/// What a search has seen; kept so that a search allocates nothing.
#[derive(Clone, Debug)]
struct Search {
    /// Pieces that it has not been at, one bit a run.
    unseen: Vec<u64>,
    /// The path that it is on: pieces of one side, each with the piece of the other side that it asks for.
    path: Vec<(u32, u32)>,
}

/// All opening or all closing pieces.
#[derive(Clone, Debug)]
struct Side {
    /// Lengths; an absent piece is longer than any shingle.
    length: Vec<f64>,
    /// The numbers of their shapes in the problem.
    shape: Vec<usize>,
    /// The run whose piece of the other side shares the shingle.
    partner: Vec<u32>,
    /// For every piece, the pieces of the other side that fit.
    fits: Vec<u64>,
    /// Runs whose piece is there and has no partner, one bit a run.
    lonely: Vec<u64>,
}

/// Where rows of bits lie.
#[derive(Clone, Debug)]
struct Rows {
    /// Runs whose pieces may wait for each other: `reach[i]` is the range of runs within the wait of run i.
    reach: Vec<(u32, u32)>,
    /// 64-bit words in a row; row i begins at the word that run `reach[i].0` is in.
    words: usize,
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
        let left_shapes = problem.runs.iter().map(|run| run.left_shape);
        let right_shapes = problem.runs.iter().map(|run| run.right_shape);
        let most = |slack: &f64| problem.width + problem.tolerance - slack;
        let mut pairing = Self {
            openings: Side::new(left_shapes.collect(), words, all),
            closings: Side::new(right_shapes.collect(), words, all),
            size: 0,
            most: problem
                .slack
                .iter()
                .map(|row| row.iter().map(most).collect())
                .collect(),
            rows: Rows { reach, words },
            search: Search {
                unseen: vec![0; all],
                path: Vec::new(),
            },
        };
        pairing.fill(problem, seats);
        pairing
    }

    /// The shingles that a layout's pieces share, counted with what was allocated for another layout of the same face, if any was.
    pub(super) fn size_of(
        used: &mut Option<Self>,
        problem: &Problem,
        seats: &[Seat],
        wait: usize,
    ) -> usize {
        match used {
            Some(pairing) => pairing.fill(problem, seats),
            None => *used = Some(Self::new(problem, seats, wait)),
        }
        used.as_ref().map_or(0, Self::size)
    }

    /// Starts again with other pieces.
    pub(super) fn fill(&mut self, problem: &Problem, seats: &[Seat]) {
        self.size = 0;
        self.openings.clear();
        self.closings.clear();
        for (i, &seat) in seats.iter().enumerate() {
            if let Some(y) = problem.closing(i, seat) {
                self.closings.put_in(i, y);
            }
        }
        for (i, &seat) in seats.iter().enumerate() {
            self.set_opening(problem, i, seat);
            self.grow_from_opening(i);
        }
    }

    /// Becomes the same as another of the same face, without a new allocation.
    pub(super) fn copy_from(&mut self, other: &Self) {
        self.openings.copy_from(&other.openings);
        self.closings.copy_from(&other.closings);
        self.size = other.size;
    }

    pub(super) fn size(&self) -> usize {
        self.size
    }

    /// The first run from a number on, and round to it, with a piece that nothing shares a shingle with.
    pub(super) fn next_lonely(&self, run: usize) -> Option<usize> {
        let words = self.openings.lonely.iter().zip(&self.closings.lonely);
        let first_in = |keep: &dyn Fn(usize) -> u64| {
            let mut words = words.clone().enumerate();
            words.find_map(|(word, (o, c))| {
                let lonely = (o | c) & keep(word);
                (lonely != 0).then(|| word * 64 + lonely.trailing_zeros() as usize)
            })
        };
        first_in(&|word| match word.cmp(&(run / 64)) {
            std::cmp::Ordering::Less => 0,
            std::cmp::Ordering::Equal => u64::MAX << (run % 64),
            std::cmp::Ordering::Greater => u64::MAX,
        })
        .or_else(|| first_in(&|_| u64::MAX))
    }

    /// Gives a run other pieces. The matching stays a largest one: taking a piece out loosens at most its partner,
    /// putting one in adds at most one shared shingle, and each is one search for an augmenting path. One piece at a
    /// time: were both taken out before the first search, their partners could be given to each other, and a path
    /// through both of them from two pieces that were left over before would never be looked for; nor were it, if both
    /// were put in before.
    pub(super) fn reseat(&mut self, problem: &Problem, run: usize, seat: Seat) {
        let closing = self.openings.partner[run];
        if closing != NONE {
            self.part(run, closing as usize);
        }
        self.openings.take_out(run);
        self.rows
            .forget(run, &mut self.openings, &mut self.closings);
        // The run's own closing piece is taken out as well.
        if closing != NONE && closing as usize != run {
            self.grow_from_closing(closing as usize);
        }
        let opening = self.closings.partner[run];
        if opening != NONE {
            self.part(opening as usize, run);
        }
        self.closings.take_out(run);
        self.rows
            .forget(run, &mut self.closings, &mut self.openings);
        if opening != NONE {
            self.grow_from_opening(opening as usize);
        }
        self.set_opening(problem, run, seat);
        self.grow_from_opening(run);
        self.set_closing(problem, run, seat);
        self.grow_from_closing(run);
    }

    fn part(&mut self, opening: usize, closing: usize) {
        self.openings.loosen(opening);
        self.closings.loosen(closing);
        self.size -= 1;
    }

    fn set_opening(&mut self, problem: &Problem, run: usize, seat: Seat) {
        let Some(x) = problem.opening(run, seat) else {
            return;
        };
        self.openings.put_in(run, x);
        let most = &self.most[self.openings.shape[run]];
        let fits = |y: f64, shape: usize| y <= most[shape] - x;
        let (own, others) = (&mut self.openings, &mut self.closings);
        self.rows.note(run, own, others, fits);
    }

    fn set_closing(&mut self, problem: &Problem, run: usize, seat: Seat) {
        let Some(y) = problem.closing(run, seat) else {
            return;
        };
        self.closings.put_in(run, y);
        let shape = self.closings.shape[run];
        let fits = |x: f64, left: usize| x <= self.most[left][shape] - y;
        let (own, others) = (&mut self.closings, &mut self.openings);
        self.rows.note(run, own, others, fits);
    }

    fn grow_from_opening(&mut self, opening: usize) {
        let (from, to) = (&mut self.openings, &mut self.closings);
        self.size += usize::from(self.search.grow(&self.rows, opening, from, to));
    }

    fn grow_from_closing(&mut self, closing: usize) {
        let (from, to) = (&mut self.closings, &mut self.openings);
        self.size += usize::from(self.search.grow(&self.rows, closing, from, to));
    }
}

impl Side {
    fn new(shape: Vec<usize>, words: usize, all: usize) -> Self {
        let pieces = shape.len();
        Self {
            length: vec![f64::INFINITY; pieces],
            shape,
            partner: vec![NONE; pieces],
            fits: vec![0; pieces * words],
            lonely: vec![0; all],
        }
    }

    fn clear(&mut self) {
        self.length.fill(f64::INFINITY);
        self.partner.fill(NONE);
        self.fits.fill(0);
        self.lonely.fill(0);
    }

    fn copy_from(&mut self, other: &Self) {
        self.length.copy_from_slice(&other.length);
        self.partner.copy_from_slice(&other.partner);
        self.fits.copy_from_slice(&other.fits);
        self.lonely.copy_from_slice(&other.lonely);
    }

    fn is_lonely(&self, piece: usize) -> bool {
        self.lonely[piece / 64] & (1 << (piece % 64)) != 0
    }

    fn put_in(&mut self, piece: usize, length: f64) {
        self.length[piece] = length;
        self.lonely[piece / 64] |= 1 << (piece % 64);
    }

    /// Takes a piece out that has no partner.
    fn take_out(&mut self, piece: usize) {
        self.length[piece] = f64::INFINITY;
        self.lonely[piece / 64] &= !(1 << (piece % 64));
    }

    /// The partners of a set of pieces that have one, in the first word.
    fn partners_of(&self, mut pieces: u64) -> u64 {
        let mut partners = 0;
        while pieces != 0 {
            partners |= 1 << (self.partner[take_first(&mut pieces)] % 64);
        }
        partners
    }

    fn join(&mut self, piece: usize, partner: usize) {
        self.partner[piece] = partner as u32;
        self.lonely[piece / 64] &= !(1 << (piece % 64));
    }

    fn loosen(&mut self, piece: usize) {
        self.partner[piece] = NONE;
        self.lonely[piece / 64] |= 1 << (piece % 64);
    }
}

impl Rows {
    fn within(&self, run: usize) -> std::ops::Range<usize> {
        let (from, to) = self.reach[run];
        from as usize..to as usize
    }

    fn row(&self, run: usize) -> std::ops::Range<usize> {
        run * self.words..(run + 1) * self.words
    }

    /// Where in a row the bit of another run is.
    fn bit(&self, row: usize, run: usize) -> (usize, u64) {
        let at = row * self.words + run / 64 - self.reach[row].0 as usize / 64;
        (at, 1 << (run % 64))
    }

    /// Notes which pieces of the other side, by length and shape, fit a run's piece.
    fn note(
        &self,
        run: usize,
        own: &mut Side,
        others: &mut Side,
        fits: impl Fn(f64, usize) -> bool,
    ) {
        let within = self.within(run);
        let lengths = others.length[within.clone()].iter();
        let shapes = &others.shape[within.clone()];
        for (other, (&length, &shape)) in within.zip(lengths.zip(shapes)) {
            if fits(length, shape) {
                let (at, bit) = self.bit(run, other);
                own.fits[at] |= bit;
                let (at, bit) = self.bit(other, run);
                others.fits[at] |= bit;
            }
        }
    }

    /// Notes that nothing fits a run's piece.
    fn forget(&self, run: usize, own: &mut Side, others: &mut Side) {
        let first = self.reach[run].0 as usize / 64;
        for (word, fits) in (first..).zip(&mut own.fits[self.row(run)]) {
            while *fits != 0 {
                let (at, bit) = self.bit(word * 64 + take_first(fits), run);
                others.fits[at] &= !bit;
            }
        }
    }

    /// The first piece that a row and a set of pieces have in common.
    #[inline]
    fn first_common(&self, row: usize, fits: &[u64], set: &[u64]) -> Option<usize> {
        let first = self.reach[row].0 as usize / 64;
        let words = fits[self.row(row)].iter().zip(&set[first..]);
        for (word, (a, b)) in (first..).zip(words) {
            let common = a & b;
            if common != 0 {
                return Some(word * 64 + common.trailing_zeros() as usize);
            }
        }
        None
    }
}

impl Search {
    /// Gives a piece that has no partner one, by a path on which every second step goes to a partner and which ends at
    /// a piece of the other side that has none: all pieces on it get new partners. Says whether there is such a path.
    fn grow(&mut self, rows: &Rows, start: usize, from: &mut Side, to: &mut Side) -> bool {
        if !from.is_lonely(start) {
            return false;
        }
        if let Some(end) = rows.first_common(start, &from.fits, &to.lonely) {
            from.join(start, end);
            to.join(end, start);
            return true;
        }
        let worth_it = from.length.len() > 64 || is_reached(start, from, to);
        worth_it && self.augment(rows, start, from, to)
    }

    fn augment(&mut self, rows: &Rows, start: usize, from: &mut Side, to: &mut Side) -> bool {
        self.unseen.fill(u64::MAX);
        self.path.clear();
        let mut at = start;
        loop {
            if let Some(end) = rows.first_common(at, &from.fits, &to.lonely) {
                from.join(at, end);
                to.join(end, at);
                for &(piece, partner) in &self.path {
                    from.join(piece as usize, partner as usize);
                    to.join(partner as usize, piece as usize);
                }
                return true;
            }
            // Back along the path to the last piece that may ask for another.
            let next = loop {
                if let Some(next) = rows.first_common(at, &from.fits, &self.unseen) {
                    break next;
                }
                match self.path.pop() {
                    Some((piece, _)) => at = piece as usize,
                    None => return false,
                }
            };
            self.unseen[next / 64] &= !(1 << (next % 64));
            self.path.push((at as u32, next as u32));
            at = to.partner[next] as usize;
        }
    }
}

/// Whether a path leads from a piece without a partner, and without a lonely one that fits it, to a lonely one of the
/// other side; for faces whose runs are one word. Looked for from both ends in turn: most often there is none, and few
/// pieces can be reached from the one end or from the other.
fn is_reached(start: usize, from: &Side, to: &Side) -> bool {
    let (lonely, lonely_back) = (to.lonely[0], from.lonely[0]);
    let (mut asking, mut asking_back) = (1 << start, lonely);
    let (mut unseen, mut unseen_back) = (u64::MAX, u64::MAX);
    while asking != 0 && asking_back != 0 {
        let new = from.fits[take_first(&mut asking)] & unseen;
        if new & lonely != 0 {
            return true;
        }
        unseen &= !new;
        asking |= to.partners_of(new);
        let new = to.fits[take_first(&mut asking_back)] & unseen_back;
        if new & (1 << start) != 0 {
            return true;
        }
        unseen_back &= !new;
        // One without a partner is the end of another path, and no step of this one.
        asking_back |= from.partners_of(new & !lonely_back);
    }
    false
}

fn take_first(set: &mut u64) -> usize {
    let first = set.trailing_zeros() as usize;
    *set &= *set - 1;
    first
}

#[cfg(test)]
mod tests {
    use super::super::matching::matching;
    use super::super::plain_faces::{format, problem, trapezoid};
    use super::super::random::Random;
    use super::super::{EdgeKind, LayRules};
    use super::*;

    /// One hip face of so many runs, 50 ft along the eave.
    fn hip(runs: usize) -> Problem {
        let face = trapezoid(600.0, 5.0 * runs as f64 - 0.5, 0.5, EdgeKind::Hip);
        let problem = problem(&face, &format("36x12"), &LayRules::default()).1;
        assert_eq!(problem.runs.len(), runs);
        problem
    }

    #[test]
    fn while_runs_change_the_matching_stays_as_large_as_one_made_anew() {
        let mut random = Random::new(1);
        // In one word, in just one, in two; up to runs of one piece. Offcuts wait seven courses, or as long as they must.
        let all = [33, 64, 65, 118].map(|runs| [(runs, 7), (runs, usize::MAX)]);
        for (runs, wait) in all.into_iter().flatten() {
            let problem = hip(runs);
            let start = problem.runs[0].left_reach;
            let mut seats: Vec<Seat> = (0..runs).map(|run| problem.any_seat(run)).collect();
            let mut pairing = Pairing::new(&problem, &seats, wait);
            for change in 0..400 {
                let run = random.below(runs);
                let joints = problem.seat_at(run, start + random.unit() * problem.width);
                let single = problem.runs[run].single.then_some(Seat::Single {
                    as_closing: random.below(2) == 0,
                });
                let Some(seat) = single.or(joints) else {
                    continue;
                };
                seats[run] = seat;
                pairing.reseat(&problem, run, seat);
                let anew = matching(&problem, &seats, wait);
                assert_eq!(pairing.size(), anew.len(), "{runs} runs, change {change}");
            }
        }
    }

    #[test]
    fn the_next_lonely_run_is_looked_for_once_round_the_face() {
        let runs = 102;
        let problem = hip(runs);
        let seats: Vec<Seat> = (0..runs).map(|run| problem.any_seat(run)).collect();
        let mut pairing = Pairing::new(&problem, &seats, 7);
        for side in [&mut pairing.openings, &mut pairing.closings] {
            side.lonely.fill(0);
        }
        assert_eq!(pairing.next_lonely(5), None);
        pairing.closings.lonely[1] = 1 << 3;
        pairing.openings.lonely[0] = 1 << 9;
        for (from, next) in [(0, 9), (9, 9), (10, 67), (67, 67), (68, 9)] {
            assert_eq!(pairing.next_lonely(from), Some(next), "from {from}");
        }
    }
}
