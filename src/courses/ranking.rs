//! Simple layouts, counted in bulk, and the most promising of them kept.

use super::candidates::{complete, run_on, stepped};
use super::grid::Grid;
use super::handiest::Handiest;
use super::matching::matching;
use super::pairing::Pairing;
use super::problem::{Problem, Seat};
use super::search::{Score, quick_score};
use super::threshold::Lengths;
use super::{Effort, StepOption, regular};

/// A layout in one repeated step without an exception.
#[derive(Clone, Copy)]
struct Pure {
    /// Shingles opened, counted without regard to how long offcuts wait.
    opened: usize,
    step: f64,
    origin: f64,
}

/// Layouts in one repeated step that are counted exactly, at most.
const PURE_TRIED: usize = 16;

/// Courses that an offcut waits in a run-on layout, at most.
const MOST_LAG: usize = 6;

/// The most promising layouts are counted exactly: so many at least.
const KEPT: usize = 8;

/// A layout that is worth keeping.
pub(super) struct Ranked {
    pub(super) score: Score,
    pub(super) seats: Vec<Seat>,
    /// Whether it was counted with offcuts waiting no longer than they may.
    pub(super) is_exact: bool,
}

/// The most promising layouts so far.
pub(super) struct Ranking<'a> {
    problem: &'a Problem,
    lengths: Lengths,
    keep: usize,
    wait: usize,
    stride: usize,
    /// The distance between places of the grid.
    pub(super) pitch: f64,
    /// `None` where some run has no place on it, or where there is none.
    grid: Option<Grid<'a>>,
    /// Whether some run has no place on the grid: then there is no layout in one repeated step without an exception.
    misses_a_run: bool,
    /// The best first.
    pub(super) ranked: Vec<Ranked>,
    /// For every step on the grid: its best layout without an exception.
    pure: Vec<Pure>,
}

impl<'a> Ranking<'a> {
    pub(super) fn new(problem: &'a Problem, effort: Effort, wait: usize, pitch: f64) -> Self {
        let grid = Grid::new(problem, pitch);
        let misses_a_run = grid.as_ref().is_some_and(Grid::misses_a_run);
        Self {
            problem,
            lengths: Lengths::new(problem),
            keep: effort.starts.max(KEPT),
            wait,
            stride: effort.stride.max(1),
            pitch,
            grid: grid.filter(|_| !misses_a_run),
            misses_a_run,
            ranked: Vec::new(),
            pure: Vec::new(),
        }
    }

    /// Layouts that a crew is told in a sentence: in one repeated step without an exception, or every course opened
    /// with what a course below left.
    pub(super) fn look_at_simple(&mut self) {
        match self.grid.take() {
            Some(grid) => {
                for step in self.steps() {
                    self.look_at_pure(&grid, step);
                }
                self.grid = Some(grid);
            }
            None if self.misses_a_run => {}
            None => self.look_off_grid(),
        }
        let first = *self.steps().start();
        for lag in 1..=MOST_LAG {
            self.look_at_run_on(lag, first);
        }
    }

    /// The others: in one repeated step where the rules leave a place for it, and run-on layouts whose first courses
    /// lie in other steps.
    pub(super) fn look_at_others(&mut self) {
        if let Some(grid) = self.grid.take() {
            for step in self.steps() {
                self.look_at_departing(&grid, step);
            }
            self.grid = Some(grid);
        } else if self.misses_a_run {
            self.look_off_grid();
        }
        for step in self.steps().skip(1).step_by(2 * self.stride) {
            // With a lag of one course the step is not used.
            for lag in 2..=MOST_LAG {
                self.look_at_run_on(lag, step);
            }
        }
    }

    /// Twice as densely as the others, since no place is looked for.
    fn look_at_pure(&mut self, grid: &Grid<'_>, step: usize) {
        let mut places = Vec::new();
        let pure = grid.pure_origins(step);
        let mut fewest: Option<(usize, usize)> = None;
        for origin in (0..grid.cells()).step_by(self.stride.div_ceil(2)) {
            if pure & (1 << origin) == 0 {
                continue;
            }
            grid.at_steps(origin, step, &mut places);
            let most = fewest.map_or(usize::MAX, |(least, _)| least);
            let opened = self.count(grid, &places, most.max(self.worst_kept()));
            fewest = [fewest, opened.map(|o| (o, origin))]
                .into_iter()
                .flatten()
                .min();
        }
        if let Some((_, origin)) = fewest {
            self.note_pure(grid, origin, step);
        }
    }

    fn look_at_departing(&mut self, grid: &Grid<'_>, step: usize) {
        let mut places = Vec::new();
        let pure = grid.pure_origins(step);
        for origin in (0..grid.cells()).step_by(self.stride) {
            if pure & (1 << origin) == 0 && grid.stepped(origin, step, &mut places) {
                self.count(grid, &places, self.worst_kept());
            }
        }
    }

    /// Counts a layout on the grid, unless it opens more than `most`, and keeps it if it is worth keeping.
    fn count(&mut self, grid: &Grid<'_>, places: &[u8], most: usize) -> Option<usize> {
        let score = grid.count(places, most)?;
        if let Some(at) = self.place_of(score) {
            self.keep_at(at, score, grid.seats(places)?);
        }
        Some(score.opened)
    }

    fn note_pure(&mut self, grid: &Grid<'_>, origin: usize, step: usize) {
        let Some(seats) = grid.laid(origin, step) else {
            return;
        };
        // What is told of a step is its exact count.
        let score = quick_score(self.problem, &mut self.lengths, &seats);
        self.pure.push(Pure {
            opened: score.opened,
            step: step as f64 * grid.pitch,
            origin: grid.at(origin),
        });
    }

    /// Layouts that open more than this are not kept.
    fn worst_kept(&self) -> usize {
        match self.ranked.last() {
            Some(last) if self.ranked.len() >= self.keep => last.score.opened,
            _ => usize::MAX,
        }
    }

    /// In repeated steps, for runs that have no place of the grid, each at the nearest place there is.
    fn look_off_grid(&mut self) {
        let start = self.problem.runs.first().map_or(0.0, |r| r.left_reach);
        for step in self.steps() {
            let step = step as f64 * self.pitch;
            for origin in (0..self.problem.cells(self.pitch)).step_by(self.stride) {
                let origin = start + origin as f64 * self.pitch;
                if let Some(seats) = stepped(self.problem, origin, step, self.pitch) {
                    self.offer(seats, origin, step);
                }
            }
        }
    }

    /// Courses opened with what a course below left; the step only sets the first ones off.
    fn look_at_run_on(&mut self, lag: usize, step: usize) {
        let step = step as f64 * self.pitch;
        let mut seats = Vec::new();
        if let Some(grid) = &self.grid {
            if grid.run_on(lag, step, &mut seats) {
                self.offer_if_good(&seats);
            }
        } else if let Some(seats) = complete(run_on(self.problem, lag, step, self.pitch)) {
            self.offer_if_good(&seats);
        }
    }

    /// The steps that keep the joint distance from course to course, in places of the grid.
    fn steps(&self) -> std::ops::RangeInclusive<usize> {
        let least = (self.problem.next.joint / self.pitch - 1e-6).ceil();
        let least = least.max(1.0) as usize;
        least..=self.problem.cells(self.pitch).saturating_sub(least)
    }

    /// Shingles that the best one opens.
    pub(super) fn fewest(&self) -> Option<usize> {
        self.ranked.first().map(|first| first.score.opened)
    }

    pub(super) fn reaches(&self, bound: usize) -> bool {
        self.fewest().is_some_and(|opened| opened <= bound)
    }

    /// Where a layout with this score would stand among those kept, if it is worth keeping.
    fn place_of(&self, score: Score) -> Option<usize> {
        let at = self.ranked.partition_point(|ranked| ranked.score <= score);
        (at < self.keep && (at == 0 || self.ranked[at - 1].score != score)).then_some(at)
    }

    fn keep_at(&mut self, at: usize, score: Score, seats: Vec<Seat>) {
        let ranked = Ranked {
            score,
            seats,
            is_exact: false,
        };
        self.ranked.insert(at, ranked);
        self.ranked.truncate(self.keep);
    }

    fn offer(&mut self, seats: Vec<Seat>, origin: f64, step: f64) {
        let score = quick_score(self.problem, &mut self.lengths, &seats);
        self.note_step(score.opened, origin, step, &seats);
        if let Some(at) = self.place_of(score) {
            self.keep_at(at, score, seats);
        }
    }

    /// Keeps a layout if it is worth keeping.
    pub(super) fn offer_if_good(&mut self, seats: &[Seat]) {
        let score = quick_score(self.problem, &mut self.lengths, seats);
        if let Some(at) = self.place_of(score) {
            self.keep_at(at, score, seats.to_vec());
        }
    }

    fn note_step(&mut self, opened: usize, origin: f64, step: f64, seats: &[Seat]) {
        let at = self.pure.iter().position(|p| p.step == step);
        if at.is_some_and(|i| self.pure[i].opened <= opened) {
            return;
        }
        let pure = Pure {
            opened,
            step,
            origin,
        };
        let is_pure = regular::departures(self.problem, seats, origin, step) == 0;
        match (is_pure, at) {
            (false, _) => {}
            (true, Some(i)) => self.pure[i] = pure,
            (true, None) => self.pure.push(pure),
        }
    }

    /// Repeated steps that keep the rules without an exception, the best first.
    pub(super) fn pure_steps(&self) -> Vec<StepOption> {
        let mut steps: Vec<StepOption> = self
            .pure
            .iter()
            .map(|p| StepOption {
                offset_in: p.step,
                opened: p.opened,
            })
            .collect();
        steps.sort_by_key(|s| s.opened);
        steps
    }

    /// Offers the layouts in one repeated step that may open no more than so many shingles, counted exactly.
    pub(super) fn offer_pure(&self, opened: usize, handy: &mut Handiest<'_>) {
        let mut pure: Vec<&Pure> = self.pure.iter().filter(|p| p.opened <= opened).collect();
        pure.sort_by_key(|p| p.opened);
        for p in pure.into_iter().take(PURE_TRIED) {
            if let Some(seats) = stepped(self.problem, p.origin, p.step, self.pitch) {
                handy.offer_matched(matching(self.problem, &seats, self.wait), seats);
            }
        }
    }

    /// Puts the kept layouts in order, by their exact counts those that open no more than so many shingles by the quick one. Where
    /// several thresholds say what fits, the quick count may be a little too high, and such a layout be passed over.
    pub(super) fn rank_exactly(&mut self, most: usize) {
        let mut pairing: Option<Pairing> = None;
        for ranked in &mut self.ranked {
            if ranked.is_exact || ranked.score.opened > most {
                continue;
            }
            let seats = &ranked.seats;
            let shared = Pairing::size_of(&mut pairing, self.problem, seats, self.wait);
            ranked.score.opened = Problem::pieces_of(seats) - shared;
            ranked.is_exact = true;
        }
        self.ranked
            .sort_by_key(|ranked| (ranked.score.opened, ranked.score.missing));
    }
}
