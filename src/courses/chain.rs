//! One chain through the face. A course that is opened with what a closing piece left, or closed with what an opening
//! piece left, wastes nothing of that shingle and leaves one piece over in its turn: the chain goes on at that end. It
//! may go on at either end, with any course that an offcut may wait for, so that joints find places that keep the rules
//! almost everywhere; and whichever way it goes, what a chain of all runs wastes is at its two ends, less than a
//! shingle where these fit together. So it opens as few shingles as the slice bound asks for, or one more.
//!
//! Chains are grown course by course, the least wasteful ones kept (a beam search; Lowerre 1976, from memory).

use super::clear::Clear;
use super::pairing::Pairing;
use super::problem::{Problem, Seat};
use super::random::Random;
use super::room::Range;

/// Of the chains that waste least, so many are counted.
const COUNTED: usize = 3;

/// Where what is left at an end is wasted by more than such a part of a shingle, a whole one is tried as well.
const DEAR_PARTS: f64 = 18.0;

/// Chains whose wastes are the same number of such parts of a shingle are kept by lot: the least wasteful so far may be
/// alike.
const ALIKE_PARTS: f64 = 150.0;

/// What an end piece is, as an index into [`Chain::ends`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Opening,
    Closing,
}

impl Kind {
    const BOTH: [Self; 2] = [Self::Opening, Self::Closing];

    /// The kind that comes out of the same shingle.
    fn other(self) -> Self {
        match self {
            Self::Opening => Self::Closing,
            Self::Closing => Self::Opening,
        }
    }
}

/// A piece that shares its shingle with none yet.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Waiting {
    run: usize,
    length: f64,
}

/// A chain up to a run.
#[derive(Clone, Copy, Debug)]
struct Chain {
    /// Where the run's joints lie.
    seat: Seat,
    /// The chain up to the run before that this one goes on from.
    from: usize,
    /// Its two ends, by [`Kind`]: an opening and a closing piece that wait for what fits them.
    ends: [Option<Waiting>; 2],
    /// Inches of shingle wasted so far.
    waste: f64,
}

impl Chain {
    /// The same of chains that go on alike, and of hardly any others.
    fn mark(&self) -> u64 {
        let joint = match self.seat {
            Seat::Joints { first, .. } => first.to_bits(),
            Seat::Single { as_closing } => u64::from(as_closing),
        };
        let ends = self.ends.map(|end| end.map_or(0, |w| w.length.to_bits()));
        ends.into_iter()
            .fold(joint, |mark, end| mark.wrapping_mul(SPREAD) ^ end)
    }
}

/// An odd number with bits all over it.
const SPREAD: u64 = 0x9E37_79B9_7F4A_7C15;

/// What a chain is kept by, the least first: the parts of a shingle that it wastes, and in the last [`LOT_BITS`] a lot.
type Rank = u64;
const LOT_BITS: u32 = 40;

/// The layout of the chain that opens fewest shingles, and how many; so many chains are kept from run to run, and none
/// that wastes more than `most_waste` inches of shingle. `None` where no chain kept finds a place for a run.
pub(super) fn grown(
    problem: &Problem,
    wait: usize,
    grid: f64,
    kept: usize,
    most_waste: f64,
) -> Option<(usize, Vec<Seat>)> {
    let mut grower = Grower {
        problem,
        wait,
        grid,
        most_waste,
        kept: kept.max(1),
        chains: Vec::with_capacity(kept.max(1) * problem.runs.len()),
        next: Vec::new(),
        marks: Vec::new(),
        ranks: Vec::new(),
        worst: 0,
        below: Vec::new(),
        near: Vec::new(),
        random: Random::new(0),
        parts_per_in: ALIKE_PARTS / problem.width,
    };
    let mut last = 0..0;
    for run in 0..problem.runs.len() {
        let from = grower.chains.len();
        grower.note_below(run);
        if run == 0 {
            grower.begin(run, 0, 0.0);
        }
        for chain in last {
            grower.go_on(run, chain);
        }
        grower.keep();
        last = from..grower.chains.len();
        if last.is_empty() {
            return None;
        }
    }
    grower.fewest(last)
}

struct Grower<'a> {
    problem: &'a Problem,
    wait: usize,
    grid: f64,
    most_waste: f64,
    /// Chains kept from run to run.
    kept: usize,
    /// All chains kept, those up to one run after those up to the run before.
    chains: Vec<Chain>,
    /// The best so far of those that take in one run more, none of which go on alike; their marks; and what they are kept
    /// by, of which the most is at `worst`.
    next: Vec<Chain>,
    marks: Vec<u64>,
    ranks: Vec<Rank>,
    worst: usize,
    /// Runs of the two courses below a run that its joints may come near to, by how many runs before it they are, and what
    /// to keep from them.
    below: Vec<(usize, Clear)>,
    /// Their seats in a chain.
    near: Vec<(Seat, Clear)>,
    random: Random,
    /// In an inch, the parts of a shingle that wastes are told apart by.
    parts_per_in: f64,
}

impl Grower<'_> {
    /// Whether the same goes on from both: they wait for the same and end in the same joints.
    fn are_alike(&self, one: &Chain, other: &Chain) -> bool {
        let before = |c: &Chain| self.chains.get(c.from).map(|c| c.seat);
        one.seat == other.seat && one.ends == other.ends && before(one) == before(other)
    }

    /// Keeps the chains that take in one run more, the least wasteful first.
    fn keep(&mut self) {
        let mut order: Vec<usize> = (0..self.next.len()).collect();
        order.sort_unstable_by_key(|&at| self.ranks[at]);
        self.chains
            .extend(order.into_iter().map(|at| self.next[at]));
        self.next.clear();
        self.marks.clear();
        self.ranks.clear();
    }

    /// Of finished chains the one that opens fewest shingles.
    fn fewest(&self, finished: std::ops::Range<usize>) -> Option<(usize, Vec<Seat>)> {
        let waste = |&chain: &usize| {
            let chain = &self.chains[chain];
            chain.waste + self.wasted_at_the_ends(chain)
        };
        let mut order: Vec<usize> = finished.collect();
        order.sort_by(|a, b| waste(a).total_cmp(&waste(b)));
        let mut pairing: Option<Pairing> = None;
        let counted = order.into_iter().take(COUNTED).map(|chain| {
            let seats = self.seats(chain);
            let shared = Pairing::size_of(&mut pairing, self.problem, &seats, self.wait);
            (Problem::pieces_of(&seats) - shared, seats)
        });
        counted.min_by_key(|(opened, _)| *opened)
    }

    fn seats(&self, finished: usize) -> Vec<Seat> {
        let mut at = finished;
        let mut seats: Vec<Seat> = (0..self.problem.runs.len())
            .map(|_| {
                let chain = &self.chains[at];
                at = chain.from;
                chain.seat
            })
            .collect();
        seats.reverse();
        seats
    }

    /// What an end of a chain leaves of its shingle.
    fn left(&self, end: Option<Waiting>) -> f64 {
        end.map_or(0.0, |w| self.problem.width - w.length)
    }

    fn wasted_at_the_ends(&self, chain: &Chain) -> f64 {
        let both = chain.ends.iter().map(|&end| self.left(end)).sum::<f64>();
        match chain.ends {
            [Some(o), Some(c)] if self.share(o, c) => both - self.problem.width,
            _ => both,
        }
    }

    /// Whether an opening and a closing piece come out of one shingle.
    fn share(&self, opening: Waiting, closing: Waiting) -> bool {
        let course = |w: Waiting| self.problem.runs[w.run].course;
        let [opened, closed] = [opening, closing].map(|w| (w.run, w.length));
        course(opening).abs_diff(course(closing)) <= self.wait && self.problem.share(opened, closed)
    }

    /// Goes on from a chain with a run, in every way that its ends allow; where there is none, with a new chain.
    fn go_on(&mut self, run: usize, from: usize) {
        let course = self.problem.runs[run].course;
        let mut chain = Chain {
            from,
            ..self.chains[from]
        };
        for end in &mut chain.ends {
            if let Some(w) = *end
                && self.problem.runs[w.run].course.saturating_add(self.wait) < course
            {
                chain.waste += self.problem.width - w.length;
                *end = None;
            }
        }
        if chain.waste > self.most_waste {
            return;
        }
        self.note_near(from);
        let mut has_place = self.problem.runs[run].single;
        if has_place {
            self.lay_one_piece(run, chain);
        }
        for kind in Kind::BOTH {
            let partner = chain.ends[kind.other() as usize];
            let off = partner.and_then(|_| self.lay(run, chain, kind, partner));
            has_place |= off.is_some();
            if off.is_none_or(|off| off > self.problem.width / DEAR_PARTS) {
                has_place |= self.lay(run, chain, kind, None).is_some();
            }
        }
        if !has_place {
            self.begin(run, from, chain.waste + self.wasted_at_the_ends(&chain));
        }
    }

    /// Opens or closes a run with what the partner left, an end of the chain, or without one with a whole shingle, or as
    /// much of it as the rules allow. Says how much of it is wasted, if there is a place.
    fn lay(
        &mut self,
        run: usize,
        mut chain: Chain,
        kind: Kind,
        partner: Option<Waiting>,
    ) -> Option<f64> {
        let (problem, room) = (self.problem, &self.problem.runs[run]);
        let most = partner.map_or(problem.width, |w| {
            let there = &problem.runs[w.run];
            let slack = match kind {
                Kind::Opening => problem.slack[room.left_shape][there.right_shape],
                Kind::Closing => problem.slack[there.left_shape][room.right_shape],
            };
            (problem.width - slack - w.length).min(problem.width)
        });
        let (off, seat) = match kind {
            Kind::Opening => self.nearest(run, room.left_reach + most, -1.0)?,
            Kind::Closing => self.nearest(run, room.right_reach - most, 1.0)?,
        };
        chain.waste += off;
        if chain.waste > self.most_waste {
            return Some(off);
        }
        let piece = self.piece(run, seat, kind.other());
        let end = kind.other() as usize;
        chain.seat = seat;
        match partner {
            Some(_) => chain.ends[end] = piece,
            None => self.keep_waiting(&mut chain, end, piece?),
        }
        self.add(chain);
        Some(off)
    }

    fn piece(&self, run: usize, seat: Seat, kind: Kind) -> Option<Waiting> {
        let length = match kind {
            Kind::Opening => self.problem.opening(run, seat),
            Kind::Closing => self.problem.closing(run, seat),
        };
        length.map(|length| Waiting { run, length })
    }

    /// Of two pieces at one end the shorter one, which leaves more, waits; what the other leaves is wasted.
    fn keep_waiting(&self, chain: &mut Chain, end: usize, piece: Waiting) {
        let given_up = match chain.ends[end] {
            Some(before) if before.length <= piece.length => Some(piece),
            before => {
                chain.ends[end] = Some(piece);
                before
            }
        };
        chain.waste += self.left(given_up);
    }

    /// Lays a run as one piece, out of what an end of the chain left or as an end of it.
    fn lay_one_piece(&mut self, run: usize, chain: Chain) {
        for kind in Kind::BOTH {
            let seat = Seat::Single {
                as_closing: kind == Kind::Closing,
            };
            let Some(piece) = self.piece(run, seat, kind) else {
                continue;
            };
            let mut chain = Chain { seat, ..chain };
            let partner = chain.ends[kind.other() as usize];
            match partner.filter(|&w| match kind {
                Kind::Opening => self.share(piece, w),
                Kind::Closing => self.share(w, piece),
            }) {
                Some(partner) => {
                    chain.waste += (self.left(Some(piece)) - partner.length).max(0.0);
                    chain.ends[kind.other() as usize] = None;
                }
                None => self.keep_waiting(&mut chain, kind as usize, piece),
            }
            self.add(chain);
        }
    }

    /// Begins a chain with a run, at every place of the grid that keeps its distances.
    fn begin(&mut self, run: usize, from: usize, waste: f64) {
        if waste > self.most_waste {
            return;
        }
        let problem = self.problem;
        if problem.runs[run].single {
            let nothing = Chain {
                seat: Seat::Single { as_closing: false },
                from,
                ends: [None; 2],
                waste,
            };
            self.lay_one_piece(run, nothing);
        }
        let start = problem.runs[0].left_reach;
        for cell in 0..problem.cells(self.grid) {
            let seat = problem.seat_at(run, start + cell as f64 * self.grid);
            if let Some(seat) = seat.filter(|&seat| self.keeps_off(seat)) {
                self.add(Chain {
                    seat,
                    from,
                    ends: Kind::BOTH.map(|kind| self.piece(run, seat, kind)),
                    waste,
                });
            }
        }
    }

    /// Keeps a chain that takes in one run more, if it is among the best; of those that go on alike one.
    fn add(&mut self, chain: Chain) {
        if chain.waste > self.most_waste {
            return;
        }
        let parts = (chain.waste * self.parts_per_in) as u32;
        let rank = u64::from(parts.min(u32::MAX >> (LOT_BITS - 32))) << LOT_BITS
            | self.random.next() >> (64 - LOT_BITS);
        let is_full = self.next.len() == self.kept;
        if is_full && self.ranks[self.worst] <= rank {
            return;
        }
        let mark = chain.mark();
        let mut there = self.marks.iter().zip(&self.next);
        let alike = there.position(|(m, next)| *m == mark && self.are_alike(next, &chain));
        match alike.or_else(|| is_full.then_some(self.worst)) {
            Some(at) if self.ranks[at] <= rank => return,
            // One that is given up leaves its place to this one.
            Some(at) => {
                (self.next[at], self.marks[at], self.ranks[at]) = (chain, mark, rank);
            }
            None => {
                self.next.push(chain);
                self.marks.push(mark);
                self.ranks.push(rank);
            }
        }
        // Until so many are kept, none is given up.
        if self.next.len() == self.kept {
            self.note_worst();
        }
    }

    fn note_worst(&mut self) {
        let mut most = 0;
        for (at, &rank) in self.ranks.iter().enumerate() {
            if rank > most {
                (most, self.worst) = (rank, at);
            }
        }
    }

    /// Notes which runs of the two courses below a run its joints may come near to.
    fn note_below(&mut self, run: usize) {
        self.below.clear();
        let problem = self.problem;
        let room = &problem.runs[run];
        for (before, below) in problem.runs[..run].iter().rev().enumerate() {
            let clear = match room.course - below.course {
                0 => None,
                1 => Some(problem.next),
                2 => Some(problem.second),
                _ => break,
            };
            let near = clear.filter(|clear| room.is_near(below, clear.joint));
            self.below.extend(near.map(|clear| (before, clear)));
        }
    }

    /// Notes their seats in a chain.
    fn note_near(&mut self, from: usize) {
        self.near.clear();
        let (mut at, mut gone) = (from, 0);
        for &(before, clear) in &self.below {
            while gone < before {
                at = self.chains[at].from;
                gone += 1;
            }
            self.near.push((self.chains[at].seat, clear));
        }
    }

    fn keeps_off(&self, seat: Seat) -> bool {
        self.near
            .iter()
            .all(|(other, clear)| self.problem.apart(seat, *other, clear))
    }

    /// The seat that keeps its distances with a joint at a place or nearest to it on one side (−1 is left), and how far
    /// off it lies: at an end of what the run allows, or as near to another course's joint as it may. Whatever is in the
    /// way of one place says how far on the next one lies.
    fn nearest(&self, run: usize, joint: f64, side: f64) -> Option<(f64, Seat)> {
        let problem = self.problem;
        let off = |place: f64| problem.once_round((place - joint) * side);
        let (mut place, mut gone) = (joint, 0.0);
        loop {
            let on = |to: f64| problem.once_round((to - place) * side);
            let sooner = |a: &f64, b: &f64| on(*a).total_cmp(&on(*b));
            let next = match problem.seat_at(run, place) {
                None => {
                    let end = |range: &Range| if side < 0.0 { range.high } else { range.low };
                    problem.runs[run].ranges.iter().map(end).min_by(sooner)
                }
                Some(seat) => {
                    let is_in_the_way =
                        |near: &&(Seat, Clear)| !problem.apart(seat, near.0, &near.1);
                    match self.near.iter().find(is_in_the_way) {
                        None => return Some((gone, seat)),
                        Some((Seat::Joints { first, .. }, clear)) => clear
                            .offs(side, problem.width)
                            .map(|by| first + by)
                            .filter(|&to| on(to) > problem.tolerance)
                            .min_by(sooner),
                        Some((Seat::Single { .. }, _)) => None,
                    }
                }
            }?;
            // Once round there is none.
            if off(next) <= gone {
                return None;
            }
            (place, gone) = (next, off(next));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::bound::{slice_bound, slice_need};
    use super::super::layout::grid_of;
    use super::super::matching::matching;
    use super::super::plain_faces::{format, problem, trapezoid};
    use super::super::{EdgeKind, LayRules};
    use super::*;

    /// Gables, hips and faces between valleys in all widths: a chain keeps the rules, is counted as it is matched, and
    /// opens no more than a shingle over the slice bound beside rakes and hips.
    #[test]
    fn a_chain_keeps_the_rules_and_opens_a_shingle_over_the_bound_at_most() {
        let rules = LayRules::default();
        let mut at_the_bound = 0;
        let mut all = 0;
        for (lean, end) in [
            (0.0, EdgeKind::Rake),
            (0.6, EdgeKind::Hip),
            (1.1, EdgeKind::Hip),
            (-0.5, EdgeKind::ValleyCut),
        ] {
            for (name, eave) in [("36x12-plain", 411.0), ("39x13", 487.5), ("42x14", 530.25)] {
                let format = format(name);
                let (runs, problem) = problem(&trapezoid(eave, 160.0, lean, end), &format, &rules);
                let grid = grid_of(&format);
                let (opened, seats) = grown(&problem, 7, grid, 16, f64::INFINITY)
                    .unwrap_or_else(|| unreachable!("{name} {lean}"));
                let laid: Vec<Option<Seat>> = seats.iter().copied().map(Some).collect();
                for (run, &seat) in seats.iter().enumerate() {
                    assert!(problem.agrees(run, seat, &laid), "{name} {lean}: run {run}");
                }
                let shared = matching(&problem, &seats, 7).len();
                assert_eq!(opened, Problem::pieces_of(&seats) - shared);
                let bound = slice_bound(slice_need(&runs, problem.width), problem.width);
                if end != EdgeKind::ValleyCut {
                    assert!(opened <= bound + 1, "{name} {lean}: {opened} over {bound}");
                    at_the_bound += usize::from(opened == bound);
                    all += 1;
                }
            }
        }
        assert!(2 * at_the_bound >= all, "{at_the_bound} of {all}");
    }

    #[test]
    fn a_face_of_runs_as_wide_as_a_shingle_is_laid_in_single_pieces() {
        let format = format("36x12-plain");
        let rules = LayRules {
            rake_overhang_in: 0.0,
            ..LayRules::default()
        };
        let face = trapezoid(17.0, 100.0, 0.0, EdgeKind::Rake);
        let (_, problem) = problem(&face, &format, &rules);
        let (opened, seats) = grown(&problem, 7, grid_of(&format), 8, f64::INFINITY)
            .unwrap_or_else(|| unreachable!("single pieces lie anywhere"));
        assert!(seats.iter().all(|s| matches!(s, Seat::Single { .. })));
        // Two of 17 in come out of each shingle.
        assert_eq!(opened, seats.len().div_ceil(2));
    }
}
