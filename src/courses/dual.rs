//! A proven lower bound under the two-piece rule, stronger than the slice bound: prices for pieces.
//!
//! Let F be any function on [0, W] that never falls, with F(0) = 0 and F(W) = 1. Price an opening piece of length x
//! at f(x) = F(x), a closing piece of length y at g(y) = 1 − F(W − y), a run of one piece of width w at the lesser of
//! f(w) and g(w), a whole shingle at 1. Two pieces that share a shingle have x + y ≤ W, so x ≤ W − y and
//! f(x) + g(y) ≤ 1; a piece alone is priced at most 1. So no layout opens fewer shingles than the sum of its prices,
//! and that sum is at least the sum over runs of each run's cheapest seat, wherever its joints lie (joints of other
//! courses are not looked at, which can only make the bound smaller). Lengths are taken at one height h of the
//! pieces, and a mean of such bounds over several h is a bound again.
//!
//! F(x) = x / W gives the slice bound. Here F is piecewise linear, and its slopes are moved by multiplicative weights
//! towards the lengths that are scarce, in steps as long as what is wanted is away. (Dual feasible functions: Fekete and
//! Schepers 2001, from memory; Hall's condition is the case of a single step.)

use super::bound::width_at;
use super::problem::{Problem, TOLERANCE};
use super::runs::Run;
use super::whole::{ceiling, floor};

/// Parts of the width on which F is linear.
const PARTS: usize = 24;

/// After so many rounds what they gained says how much more there is to gain.
const SETTLING: usize = 4;

/// A density grows or falls by this factor in a round at most.
const MOST_FACTOR: f64 = 4.5;

/// The best bound found in some rounds; 0 with none. Looks no further than `enough`.
pub(super) fn price_bound(problem: &Problem, runs: &[Run], rounds: usize, enough: usize) -> usize {
    let heights = telling_heights(runs, problem.width);
    let kinds = kinds(problem, runs, &heights);
    if kinds.is_empty() {
        return 0;
    }
    let mut prices = Prices::level(heights.len());
    let mut best: f64 = 0.0;
    let mut best_before = [0.0; SETTLING];
    let mut pull = Pull::new(heights.len());
    for round in 0..rounds {
        let mut sum = 0.0;
        for kind in &kinds {
            let (price, at) = kind.cheapest(&prices);
            sum += kind.count * price;
            kind.pull(at, &mut pull);
        }
        best = best.max(sum);
        // As much more in every round that is left as of late, at most.
        let of_late = (best - best_before[round % SETTLING]) / SETTLING as f64;
        best_before[round % SETTLING] = best;
        let in_sight = best + of_late * (rounds - round - 1) as f64;
        let proven = rounded(best, runs.len());
        if proven >= enough || rounded(in_sight, runs.len()) == proven {
            break;
        }
        // What would prove that a shingle less is too few, or a little more than is proven.
        let wanted = (enough as f64 - 0.98).min(1.05 * sum + 3.0).max(best + 0.1);
        prices.move_towards(pull.take(), wanted - sum);
    }
    // A piece that no price fits has no finite price, and proves nothing here.
    if !best.is_finite() {
        return 0;
    }
    rounded(best, runs.len())
}

/// A shingle is not asked for by the rounding of the sums; nor by the tolerance of a pair and of both ends of a seat,
/// which F, rising by `PARTS` a width at most, makes so much dearer in every run.
fn rounded(bound: f64, runs: usize) -> usize {
    let given_away = 1e-6 + 3.0 * PARTS as f64 * TOLERANCE * runs as f64;
    (bound - given_away).ceil().max(0.0) as usize
}

/// The heights at which the runs need nearly the most width in all: where much less is needed, no
/// prices get above the slice bound.
fn telling_heights(runs: &[Run], width: f64) -> Vec<f64> {
    let top = runs
        .iter()
        .filter_map(|r| r.left.inner.last())
        .map(|p| p.0)
        .fold(0.0, f64::max);
    let exposure = runs.first().map_or(0.0, |r| r.exposure);
    let mut heights = vec![0.0, exposure, top];
    heights.dedup_by(|a, b| (*a - *b).abs() < 1e-9 * width);
    let need: Vec<f64> = heights
        .iter()
        .map(|&h| runs.iter().map(|r| width_at(r, h)).sum())
        .collect();
    let widest = need.iter().copied().fold(0.0, f64::max);
    heights
        .iter()
        .zip(&need)
        .filter(|(_, n)| **n >= 0.97 * widest)
        .map(|(h, _)| *h)
        .collect()
}

/// Density of F in every part of the width, for every height; all together 1.
struct Prices {
    density: Vec<f64>,
    /// For every height F at the beginning of every part, and its density there; a part before and one behind them, where F
    /// stays what it is.
    parts: Vec<(f64, f64)>,
    /// F(W) of every height: its share of the whole.
    shares: Vec<f64>,
    /// For every height the beginnings of parts, by their numbers, where F grows faster than before, and then those
    /// where it grows more slowly: see [`Kind::cheapest`].
    bends: Vec<[Vec<i32>; 2]>,
}

impl Prices {
    fn level(heights: usize) -> Self {
        let mut prices = Self {
            density: vec![1.0 / (heights * PARTS) as f64; heights * PARTS],
            parts: vec![(0.0, 0.0); heights * (PARTS + 2)],
            shares: vec![0.0; heights],
            bends: vec![[Vec::new(), Vec::new()]; heights],
        };
        prices.add_up();
        prices
    }
    /// Moves the densities, each by a factor, as far as the sum of prices would have to go to rise by so much if it were
    /// linear (the step length of Polyak 1969, from memory), but none by a greater factor than [`MOST_FACTOR`].
    fn move_towards(&mut self, pull: &[f64], rise: f64) {
        let both = || pull.iter().zip(&self.density);
        let mean: f64 = both().map(|(p, d)| p * d).sum();
        let spread: f64 = both().map(|(p, d)| d * (p - mean) * (p - mean)).sum();
        let farthest = pull.iter().fold(1e-12_f64, |m, p| m.max((p - mean).abs()));
        let rate = (rise / spread.max(1e-12)).min(MOST_FACTOR.ln() / farthest);
        for (d, p) in self.density.iter_mut().zip(pull) {
            *d = (*d * (rate * (p - mean)).exp()).max(1e-9);
        }
        self.normalise();
    }
    fn normalise(&mut self) {
        let sum: f64 = self.density.iter().sum();
        for d in &mut self.density {
            *d /= sum;
        }
        self.add_up();
    }
    fn add_up(&mut self) {
        let heights = self.density.chunks_exact(PARTS);
        let parts = self.parts.chunks_exact_mut(PARTS + 2);
        for ((density, parts), share) in heights.zip(parts).zip(&mut self.shares) {
            *share = 0.0;
            for (part, &density) in parts[1..].iter_mut().zip(density) {
                *part = (*share, density);
                *share += density;
            }
            parts[PARTS + 1] = (*share, 0.0);
        }
        for (density, [faster, slower]) in self.density.chunks_exact(PARTS).zip(&mut self.bends) {
            faster.clear();
            slower.clear();
            // F is level on both sides of the width.
            let before = [0.0].iter().chain(density);
            let after = density.iter().chain(&[0.0]);
            for (part, (before, after)) in (0..).zip(before.zip(after)) {
                if after > before {
                    faster.push(part);
                } else if after < before {
                    slower.push(part);
                }
            }
        }
    }
    /// F of the mark's height at its length.
    fn at(&self, mark: Mark) -> f64 {
        let part = mark.part.clamp(-1, PARTS as i32) + 1;
        let (before, density) = self.parts[mark.height as usize * (PARTS + 2) + part as usize];
        before + density * mark.rest
    }
    fn share(&self, h: usize) -> f64 {
        self.shares[h]
    }
}

/// A length at a height: the part of the width that it ends in, and how much of that part it has. Lengths below nothing and
/// beyond the width lie before the first part and behind the last.
#[derive(Clone, Copy, Debug)]
struct Mark {
    height: u32,
    part: i32,
    rest: f64,
}

impl Mark {
    fn of(height: usize, length: f64, width: f64) -> Self {
        let parts = length / width * PARTS as f64;
        let part = floor(parts);
        Self {
            height: height as u32,
            part: part as i32,
            rest: parts - part,
        }
    }
    /// The whole width.
    fn all(height: usize) -> Self {
        Self {
            height: height as u32,
            part: PARTS as i32,
            rest: 0.0,
        }
    }
    /// So many parts more.
    fn and(self, parts: i32) -> Self {
        Self {
            part: self.part + parts,
            ..self
        }
    }
}

/// What all runs together ask of the density of F.
struct Pull {
    /// For every height and part: what ends before it, and what it has of its own.
    ends: Vec<f64>,
    own: Vec<f64>,
    all: Vec<f64>,
}

impl Pull {
    fn new(heights: usize) -> Self {
        Self {
            ends: vec![0.0; heights * PARTS],
            own: vec![0.0; heights * PARTS],
            all: vec![0.0; heights * PARTS],
        }
    }
    /// Asks for `by` more everywhere below a length.
    fn add(&mut self, mark: Mark, by: f64) {
        if mark.part < 0 {
            return;
        }
        let (part, rest) = match mark.part as usize {
            part if part < PARTS => (part, mark.rest),
            _ => (PARTS - 1, 1.0),
        };
        let at = mark.height as usize * PARTS + part;
        self.ends[at] += by;
        self.own[at] += by * rest;
    }
    /// The sums of all that was added, and starts again.
    fn take(&mut self) -> &[f64] {
        for h in (0..self.all.len()).step_by(PARTS) {
            let mut above = 0.0;
            for at in (h..h + PARTS).rev() {
                self.all[at] = above + self.own[at];
                above += self.ends[at];
            }
        }
        self.ends.fill(0.0);
        self.own.fill(0.0);
        &self.all
    }
}

/// Runs that are alike.
struct Kind {
    count: f64,
    shape: Shape,
    /// Heights that the pieces have.
    heights: Vec<usize>,
    seats: Vec<Seats>,
    /// For the first of all its seats, height by height: the opening piece's length, and what the closing piece leaves.
    marks: Vec<(Mark, Mark)>,
    /// Where one piece may cover the run: at every height its length, and what it leaves as a closing piece.
    single: Option<Vec<(Mark, Mark)>>,
}

/// Seats that the first joint may have, one part of the width apart.
struct Seats {
    /// Whole shingles of every seat.
    whole: f64,
    count: i32,
    /// Where a length passes from one part to the next at every seat; else there is one, at the end of a stretch.
    bending: Option<Bending>,
}

/// The length of an end piece passes from one part to the next.
struct Bending {
    height: usize,
    /// 0 where it is the length of the opening piece, 1 where it is what the closing piece leaves.
    side: usize,
    /// The part that begins at the first seat.
    part: i32,
}

/// What makes runs alike.
struct Shape {
    /// (least first joint, most first joint, whole shingles), the joint measured from the left reach.
    ranges: Vec<(f64, f64, usize)>,
    single: bool,
    /// For every height: the left end line and the right end line, measured from the left reach; `None` above the
    /// pieces.
    ends: Vec<Option<(f64, f64)>>,
}

/// Where a run's cheapest seat is.
#[derive(Clone, Copy)]
enum Cheapest {
    /// One of these seats, by its number.
    Joint(usize, i32),
    Single,
}

fn kinds(problem: &Problem, runs: &[Run], heights: &[f64]) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    for (run, room) in runs.iter().zip(&problem.runs) {
        let top = run.left.inner.last().map_or(0.0, |p| p.0);
        let origin = room.left_reach;
        let shape = Shape {
            ranges: room
                .ranges
                .iter()
                .map(|r| (r.low - origin, r.high - origin, r.whole))
                .collect(),
            single: room.single,
            ends: heights
                .iter()
                .map(|&h| {
                    (h <= top + problem.tolerance).then(|| {
                        (
                            run.left.inner_at(h) - origin,
                            -run.right.inner_at(h) - origin,
                        )
                    })
                })
                .collect(),
        };
        match kinds
            .iter_mut()
            .find(|k| k.shape.is_like(&shape, problem.tolerance))
        {
            Some(like) => like.count += 1.0,
            None => kinds.push(Kind::new(shape, problem.width)),
        }
    }
    kinds
}

impl Shape {
    fn is_like(&self, other: &Self, tolerance: f64) -> bool {
        // Alike but for rounding, of which the sum gives away a hundred times as much for every run.
        let near = |a: f64, b: f64| (a - b).abs() <= 0.01 * tolerance;
        self.single == other.single
            && self.ranges.len() == other.ranges.len()
            && self
                .ranges
                .iter()
                .zip(&other.ranges)
                .all(|(a, b)| near(a.0, b.0) && near(a.1, b.1) && a.2 == b.2)
            && self
                .ends
                .iter()
                .zip(&other.ends)
                .all(|(a, b)| match (a, b) {
                    (Some(a), Some(b)) => near(a.0, b.0) && near(a.1, b.1),
                    (None, None) => true,
                    _ => false,
                })
    }
}

impl Kind {
    fn new(shape: Shape, width: f64) -> Self {
        let heights = (0..).zip(&shape.ends);
        let present: Vec<(usize, (f64, f64))> = heights
            .filter_map(|(h, ends)| Some((h, (*ends)?)))
            .collect();
        let single = shape.single.then(|| {
            let marks = present.iter().map(|&(h, (a, b))| {
                let wide = b - a;
                (Mark::of(h, wide, width), Mark::of(h, width - wide, width))
            });
            marks.collect()
        });
        let mut kind = Self {
            count: 1.0,
            heights: present.iter().map(|&(h, _)| h).collect(),
            seats: Vec::new(),
            marks: Vec::new(),
            single,
            shape,
        };
        kind.note_seats(&present, width);
        kind
    }

    /// Notes the seats among which the cheapest is, whatever the prices.
    fn note_seats(&mut self, present: &[(usize, (f64, f64))], width: f64) {
        let part = width / PARTS as f64;
        for (low, high, whole) in self.shape.ranges.clone() {
            let mut note = |first: f64, count: i32, bending| {
                let last = first + whole as f64 * width;
                self.seats.push(Seats {
                    whole: whole as f64,
                    count,
                    bending,
                });
                self.marks.extend(present.iter().map(|&(h, (a, b))| {
                    (
                        Mark::of(h, first - a, width),
                        Mark::of(h, width - (b - last), width),
                    )
                }));
            };
            note(low, 1, None);
            note(high, 1, None);
            for &(height, (a, b)) in present {
                for (side, base) in [a, b - (whole + 1) as f64 * width].into_iter().enumerate() {
                    let least = ceiling((low - base) / part);
                    let most = floor((high - base) / part);
                    let bending = Bending {
                        height,
                        side,
                        part: least as i32,
                    };
                    note(
                        base + least * part,
                        (most - least) as i32 + 1,
                        Some(bending),
                    );
                }
            }
        }
    }

    /// The least price of a seat of this run. It is linear in the first joint but where a length passes from one part
    /// to the next, so the least is at an end of a stretch, or where the price bends upwards: where F grows faster from
    /// the opening piece's length on, or more slowly from what the closing piece leaves on.
    fn cheapest(&self, prices: &Prices) -> (f64, Cheapest) {
        let mut best = (f64::INFINITY, Cheapest::Single);
        if let Some(single) = &self.single {
            best.0 = self.single_price(single, prices);
        }
        let share: f64 = self.heights.iter().map(|&h| prices.share(h)).sum();
        let marks = self.marks.chunks_exact(self.heights.len().max(1));
        for ((number, seats), marks) in self.seats.iter().enumerate().zip(marks) {
            let mut look_at = |seat: i32| {
                let ends =
                    |&(x, left): &(Mark, Mark)| prices.at(x.and(seat)) - prices.at(left.and(seat));
                let price = seats.whole + share + marks.iter().map(ends).sum::<f64>();
                if price < best.0 {
                    best = (price, Cheapest::Joint(number, seat));
                }
            };
            match &seats.bending {
                None => look_at(0),
                Some(bending) => prices.bends[bending.height][bending.side]
                    .iter()
                    .map(|part| part - bending.part)
                    .skip_while(|&seat| seat < 0)
                    .take_while(|&seat| seat < seats.count)
                    .for_each(look_at),
            }
        }
        best
    }

    /// A run of one piece is an opening or a closing one, at all heights.
    fn single_price(&self, single: &[(Mark, Mark)], prices: &Prices) -> f64 {
        let opening: f64 = single.iter().map(|&(wide, _)| prices.at(wide)).sum();
        let closing = self.heights.iter().zip(single);
        let closing: f64 = closing
            .map(|(&h, &(_, left))| prices.share(h) - prices.at(left))
            .sum();
        opening.min(closing)
    }

    /// What this run asks of the density of F: more below its opening piece's length, less below what its closing
    /// piece leaves.
    fn pull(&self, at: Cheapest, pull: &mut Pull) {
        let each = self.heights.len();
        match at {
            Cheapest::Joint(seats, seat) => {
                let marks = &self.marks[seats * each..][..each];
                for (&h, &(x, left)) in self.heights.iter().zip(marks) {
                    pull.add(Mark::all(h), self.count);
                    pull.add(x.and(seat), self.count);
                    pull.add(left.and(seat), -self.count);
                }
            }
            Cheapest::Single => {
                for &(wide, _) in self.single.iter().flatten() {
                    pull.add(wide, self.count);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::bound::{slice_bound, slice_need};
    use super::super::matching::matching;
    use super::super::plain_faces::{format, problem, trapezoid};
    use super::super::problem::Seat;
    use super::super::random::Random;
    use super::super::{EdgeKind, LayRules};
    use super::*;

    /// The fewest shingles with every run at a place of a grid or at an end of a stretch that it may take, the joints of
    /// other courses left aside.
    fn fewest_on_a_grid(problem: &Problem, places: usize) -> usize {
        let start = problem.runs[0].left_reach;
        let seats: Vec<Vec<Seat>> = (0..problem.runs.len())
            .map(|run| {
                let at = |k: usize| start + k as f64 * problem.width / places as f64;
                let ranges = &problem.runs[run].ranges;
                let ends = ranges.iter().flat_map(|range| [range.low, range.high]);
                let joints = (0..places)
                    .map(at)
                    .chain(ends)
                    .filter_map(|phase| problem.seat_at(run, phase));
                let single = [false, true].map(|as_closing| Seat::Single { as_closing });
                let single = problem.runs[run].single.then_some(single);
                joints.chain(single.into_iter().flatten()).collect()
            })
            .collect();
        let all: usize = seats.iter().map(Vec::len).product();
        let counts = (0..all).map(|mut number| {
            let layout: Vec<Seat> = seats
                .iter()
                .map(|places| {
                    let seat = places[number % places.len()];
                    number /= places.len();
                    seat
                })
                .collect();
            let pieces: usize = layout.iter().map(|&s| Problem::pieces(s)).sum();
            pieces - matching(problem, &layout, usize::MAX).len()
        });
        counts.min().unwrap_or(0)
    }

    #[test]
    fn no_layout_of_a_small_face_opens_fewer_shingles_than_the_bound() {
        let rules = LayRules::default();
        let (mut reached, mut above_slices, mut faces) = (0, 0, 0);
        for (name, courses) in [("36x12", 2), ("36x12", 3), ("39x13", 3)] {
            let format = format(name);
            let slope = format.exposure_in * courses as f64 - 0.5;
            for (end, lean) in [
                (EdgeKind::Rake, 0.0),
                (EdgeKind::Rake, 0.4),
                (EdgeKind::Hip, 0.9),
                (EdgeKind::ValleyCut, -0.9),
                (EdgeKind::Wall, 0.0),
                (EdgeKind::ValleyThrough, -0.5),
            ] {
                for eave in [30.0, 47.0, 58.0, 74.0, 101.0, 130.0, 150.0] {
                    let face = trapezoid(eave, slope, lean, end);
                    let (runs, problem) = problem(&face, &format, &rules);
                    let fewest = fewest_on_a_grid(&problem, 18);
                    let bound = price_bound(&problem, &runs, 400, usize::MAX);
                    let case = format!("{name}, {courses} courses, {eave} in, {end:?} {lean}");
                    assert!(bound <= fewest, "{case}: {bound} over {fewest}");
                    let slices = slice_bound(slice_need(&runs, problem.width), problem.width);
                    faces += 1;
                    reached += usize::from(bound == fewest);
                    above_slices += usize::from(bound > slices);
                }
            }
        }
        // A bound of nothing would be none: 119 of 126 are reached, 6 stand above the slices.
        assert!(10 * reached > 9 * faces, "{reached} of {faces}");
        assert!(above_slices > 3, "{above_slices} of {faces}");
    }

    #[test]
    fn no_first_joint_is_cheaper_than_the_cheapest_seat() {
        let width = 36.0;
        let mut random = Random::new(3);
        for case in 0..300 {
            // Ends that lean inwards or outwards, pieces that have both heights or only the lower one.
            let lean = 12.0 * random.unit() - 6.0;
            let (a, b) = (random.unit(), 100.0 + 30.0 * random.unit());
            let upper = (case % 3 > 0).then_some((a + lean, b - lean));
            let low = a + lean.max(0.0) + 4.0;
            let shape = Shape {
                ranges: vec![(low, low + 22.0 * random.unit(), 2)],
                single: false,
                ends: vec![Some((a, b)), upper],
            };
            let kind = Kind::new(shape, width);
            let mut prices = Prices::level(2);
            for _ in 0..case % 5 {
                let pull: Vec<f64> = (0..2 * PARTS).map(|_| random.unit() - 0.5).collect();
                prices.move_towards(&pull, 2.0);
            }
            let (least, _) = kind.cheapest(&prices);
            let (low, high, whole) = kind.shape.ranges[0];
            for part in 0..=1000 {
                let first = low + (high - low) * f64::from(part) / 1000.0;
                let ends = (0..).zip(&kind.shape.ends);
                let price: f64 = ends
                    .filter_map(|(h, ends)| Some((h, (*ends)?)))
                    .map(|(h, (a, b))| {
                        let left = width - (b - first - whole as f64 * width);
                        prices.share(h) + prices.at(Mark::of(h, first - a, width))
                            - prices.at(Mark::of(h, left, width))
                    })
                    .sum();
                let price = whole as f64 + price;
                assert!(price >= least - 1e-9, "case {case} at {first}");
            }
        }
    }
}
