//! Improves a layout one run at a time: fewer shingles opened first, then less missing for the next one.

use super::pairing::Pairing;
use super::problem::{Problem, Seat};
use super::random::Random;
use super::threshold::Lengths;

/// How good a layout is; less is better.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(super) struct Score {
    /// Shingles opened.
    pub(super) opened: usize,
    /// What is missing over all thresholds (see [`Lengths::shared`]).
    pub(super) missing: usize,
}

/// Counts a layout as if offcuts might wait as long as they must: exactly where one threshold says what fits, else with
/// what nearly fits counted as not fitting.
pub(super) fn quick_score(problem: &Problem, lengths: &mut Lengths, seats: &[Seat]) -> Score {
    lengths.fill(problem, seats);
    let (shared, missing) = lengths.shared();
    Score {
        opened: Problem::pieces_of(seats) - shared,
        missing,
    }
}

/// What the search may do.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    /// Moves tried; a number and not a time, so that the same face is always laid the same way.
    pub(super) moves: usize,
    /// The search stops here.
    pub(super) bound: usize,
    /// Most courses that an offcut waits.
    pub(super) wait: usize,
    /// The grid that joints lie on where nothing else asks for another place.
    pub(super) grid: f64,
    /// Where the random numbers start.
    pub(super) seed: u64,
}

/// Improves the seats in place and returns the shingles opened. Runs that were moved without need go back to where
/// they were, so that a layout made by one instruction keeps as much of it as its count allows.
pub(super) fn improve(problem: &Problem, seats: &mut Vec<Seat>, limits: Limits) -> usize {
    let plan = seats.clone();
    let opened = Walk::new(problem, seats.clone(), limits).run(seats);
    if *seats == plan {
        return opened;
    }
    let mut walk = Walk::new(problem, seats.clone(), limits);
    walk.straighten(&plan);
    seats.clone_from(&walk.seats);
    walk.score().opened
}

struct Walk<'a> {
    problem: &'a Problem,
    limits: Limits,
    /// Places of the grid within a shingle.
    cells: usize,
    /// For every run the range of runs that an offcut of it may serve.
    within: Vec<(u32, u32)>,
    seats: Vec<Seat>,
    pieces_count: usize,
    lengths: Lengths,
    exact: Pairing,
    /// What `exact` was before the move that is being tried.
    kept: Pairing,
    random: Random,
}

impl<'a> Walk<'a> {
    fn new(problem: &'a Problem, seats: Vec<Seat>, limits: Limits) -> Self {
        let mut lengths = Lengths::new(problem);
        lengths.fill(problem, &seats);
        let exact = Pairing::new(problem, &seats, limits.wait);
        Self {
            problem,
            limits,
            cells: problem.cells(limits.grid),
            within: problem.within(limits.wait),
            pieces_count: Problem::pieces_of(&seats),
            seats,
            lengths,
            kept: exact.clone(),
            exact,
            random: Random::new(limits.seed),
        }
    }

    fn score(&self) -> Score {
        Score {
            opened: self.pieces_count - self.exact.size(),
            missing: self.lengths.shared().1,
        }
    }

    fn run(mut self, best_seats: &mut Vec<Seat>) -> usize {
        let mut now = self.score();
        let mut best = now;
        best_seats.clone_from(&self.seats);
        if self.seats.is_empty() {
            return 0;
        }
        for step in 0..self.limits.moves {
            if best.opened <= self.limits.bound {
                break;
            }
            let run = self.pick();
            let Some(seat) = self.propose(run) else {
                continue;
            };
            let old = self.seats[run];
            if seat == old || !self.agrees(run, seat) {
                continue;
            }
            self.take(run, seat);
            let then = self.score();
            // Cooling from 1 to 0: how much worse a step may make the layout.
            let heat = 1.0 - step as f64 / self.limits.moves as f64;
            if self.accept(now, then, heat) {
                now = then;
                if then < best {
                    best = then;
                    best_seats.clone_from(&self.seats);
                }
            } else {
                self.give_back(run, old);
            }
        }
        best.opened
    }

    /// A run to move: every other time the next one with a piece that nothing shares a shingle with, if there is one.
    fn pick(&mut self) -> usize {
        let run = self.random.below(self.seats.len());
        if self.random.below(2) == 0 {
            return run;
        }
        self.exact.next_lonely(run).unwrap_or(run)
    }

    /// Puts runs back where the plan has them, one after another and then several together, as long as no more
    /// shingles are opened for it.
    fn straighten(&mut self, plan: &[Seat]) {
        for together in [1, 1, 2, 1, 3, 1, 4, 2, 1] {
            let moved: Vec<usize> = (0..plan.len())
                .filter(|&i| self.seats[i] != plan[i])
                .collect();
            for group in moved.windows(together) {
                self.put_back(plan, group);
            }
        }
    }

    fn put_back(&mut self, plan: &[Seat], group: &[usize]) {
        let most = self.score().opened;
        let old: Vec<Seat> = group.iter().map(|&i| self.seats[i]).collect();
        for &i in group {
            self.seats[i] = plan[i];
        }
        let allowed = group.iter().all(|&i| self.agrees(i, plan[i]));
        for (&i, &seat) in group.iter().zip(&old) {
            self.seats[i] = seat;
        }
        if !allowed {
            return;
        }
        for &i in group {
            self.take(i, plan[i]);
        }
        if self.score().opened > most {
            for (&i, &seat) in group.iter().zip(&old) {
                self.take(i, seat);
            }
        }
    }

    fn accept(&mut self, now: Score, then: Score, heat: f64) -> bool {
        let cost = |s: Score| s.opened as f64 + 0.02 * s.missing as f64;
        let worse = cost(then) - cost(now);
        worse <= 0.0 || self.random.unit() < (-worse / (0.35 * heat + 1e-9)).exp()
    }

    fn agrees(&self, run: usize, seat: Seat) -> bool {
        let room = &self.problem.runs[run];
        let problem = self.problem;
        let keeps = |j: &usize, clear| problem.apart(seat, self.seats[*j], clear);
        room.next.iter().all(|j| keeps(j, &problem.next))
            && room.second.iter().all(|j| keeps(j, &problem.second))
    }

    fn take(&mut self, run: usize, seat: Seat) {
        let old = self.seats[run];
        self.pieces_count = self.pieces_count + Problem::pieces(seat) - Problem::pieces(old);
        self.lengths.replace(self.problem, run, old, seat);
        self.kept.copy_from(&self.exact);
        self.exact.reseat(self.problem, run, seat);
        self.seats[run] = seat;
    }

    fn give_back(&mut self, run: usize, old: Seat) {
        let seat = self.seats[run];
        self.pieces_count = self.pieces_count + Problem::pieces(old) - Problem::pieces(seat);
        self.lengths.replace(self.problem, run, seat, old);
        std::mem::swap(&mut self.exact, &mut self.kept);
        self.seats[run] = old;
    }

    /// Another seat for a run: a place of the grid, or one whose piece is just what another run's piece leaves of a
    /// shingle.
    fn propose(&mut self, run: usize) -> Option<Seat> {
        let room = &self.problem.runs[run];
        let pick = self.random.below(100);
        if room.single && pick < 30 {
            return Some(Seat::Single {
                as_closing: pick < 15,
            });
        }
        if pick < 60 {
            let start = self.problem.runs[0].left_reach;
            let at = start + self.random.below(self.cells) as f64 * self.limits.grid;
            return self.problem.seat_at(run, at);
        }
        let (from, to) = self.within[run];
        let other = from as usize + self.random.below((to - from) as usize);
        let there = self.seats[other];
        if pick < 80 {
            let y = self.problem.closing(other, there)?;
            let slack = self.problem.slack[room.left_shape][self.problem.runs[other].right_shape];
            let x = self.problem.width - slack - y;
            self.problem.seat_at(run, room.left_reach + x)
        } else {
            let x = self.problem.opening(other, there)?;
            let slack = self.problem.slack[self.problem.runs[other].left_shape][room.right_shape];
            let y = self.problem.width - slack - x;
            self.problem.seat_at(run, room.right_reach - y)
        }
    }
}
