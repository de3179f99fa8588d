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
//! towards the lengths that are scarce. (Dual feasible functions: Fekete and Schepers 2001, from memory; Hall's
//! condition is the case of a single step.)

use super::bound::width_at;
use super::problem::Problem;
use super::runs::Run;

/// Parts of the width on which F is linear.
const PARTS: usize = 36;

/// The best bound found in some rounds; 0 with none. Looks no further than `enough`.
pub(super) fn price_bound(problem: &Problem, runs: &[Run], rounds: usize, enough: usize) -> usize {
    let (heights, widest) = telling_heights(runs, problem.width);
    let kinds = kinds(problem, runs, &heights);
    if kinds.is_empty() {
        return 0;
    }
    let mut prices = Prices::level(heights.len());
    let mut best: f64 = 0.0;
    // The mean of all prices so far settles where the prices themselves swing to and fro.
    let mut mean = vec![0.0; prices.density.len()];
    let mut pull = Pull::new(heights.len());
    for round in 0..rounds {
        let mut sum = 0.0;
        for kind in &kinds {
            let (price, at) = kind.cheapest(&prices);
            sum += kind.count * price;
            kind.pull(at, &mut pull);
        }
        best = best.max(sum);
        if rounded(best) >= enough {
            break;
        }
        for (m, d) in mean.iter_mut().zip(&prices.density) {
            *m += d * (round + 1) as f64;
        }
        if round % 20 == 19 {
            let settled = prices.with(&mean);
            let sum = kinds.iter().map(|k| k.count * k.cheapest(&settled).0).sum();
            best = best.max(sum);
            // Prices that have found nothing by now will find nothing.
            if best <= widest / problem.width + 1e-6 {
                break;
            }
        }
        let rate = 0.6 / (1.0 + round as f64 * 0.15).sqrt();
        prices.move_towards(pull.take(), rate);
    }
    // A piece that no price fits has no finite price, and proves nothing here.
    if !best.is_finite() {
        return 0;
    }
    rounded(best)
}

/// A shingle is not asked for by the rounding of the sums.
fn rounded(bound: f64) -> usize {
    (bound - 1e-6).ceil().max(0.0) as usize
}

/// The heights at which the runs need nearly the most width in all, and that width: where much less is needed, no
/// prices get above the slice bound.
fn telling_heights(runs: &[Run], width: f64) -> (Vec<f64>, f64) {
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
    let telling = heights
        .iter()
        .zip(&need)
        .filter(|(_, n)| **n >= 0.97 * widest)
        .map(|(h, _)| *h)
        .collect();
    (telling, widest)
}

/// Density of F in every part of the width, for every height; all together 1.
struct Prices {
    density: Vec<f64>,
    /// F at the ends of the parts, for every height.
    sums: Vec<f64>,
}

impl Prices {
    fn level(heights: usize) -> Self {
        let mut prices = Self {
            density: vec![1.0 / (heights * PARTS) as f64; heights * PARTS],
            sums: vec![0.0; heights * (PARTS + 1)],
        };
        prices.add_up();
        prices
    }
    fn with(&self, density: &[f64]) -> Self {
        let mut other = Self {
            density: density.to_vec(),
            sums: self.sums.clone(),
        };
        other.normalise();
        other
    }
    fn move_towards(&mut self, pull: &[f64], rate: f64) {
        let scale = pull.iter().fold(1e-12_f64, |m, p| m.max(p.abs()));
        for (d, p) in self.density.iter_mut().zip(pull) {
            *d = (*d * (rate * p / scale).exp()).max(1e-9);
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
        let heights = self.density.len() / PARTS;
        for h in 0..heights {
            let mut sum = 0.0;
            for part in 0..PARTS {
                self.sums[h * (PARTS + 1) + part] = sum;
                sum += self.density[h * PARTS + part];
            }
            self.sums[h * (PARTS + 1) + PARTS] = sum;
        }
    }
    /// F of one height at a length.
    fn at(&self, h: usize, mark: Mark) -> f64 {
        let part = mark.part as usize;
        self.sums[h * (PARTS + 1) + part] + self.density[h * PARTS + part] * mark.rest
    }
    /// F(W) of one height: its share of the whole.
    fn share(&self, h: usize) -> f64 {
        self.sums[h * (PARTS + 1) + PARTS]
    }
}

/// A length: the part of the width that it ends in, and how much of that part it has.
#[derive(Clone, Copy, Debug)]
struct Mark {
    part: u32,
    rest: f64,
}

impl Mark {
    fn of(length: f64, width: f64) -> Self {
        let parts = (length / width * PARTS as f64).clamp(0.0, PARTS as f64);
        let part = (parts as usize).min(PARTS - 1);
        Self {
            part: part as u32,
            rest: parts - part as f64,
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
    fn add(&mut self, h: usize, mark: Mark, by: f64) {
        let at = h * PARTS + mark.part as usize;
        self.ends[at] += by;
        self.own[at] += by * mark.rest;
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
    /// Whole shingles of every seat looked at.
    whole: Vec<f64>,
    /// For every seat, height by height: the opening piece's length, and what the closing piece leaves.
    marks: Vec<(Mark, Mark)>,
    /// Where one piece may cover the run: at every height its length, and what it leaves as a closing piece.
    single: Option<Vec<(Mark, Mark)>>,
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
    Joint(usize),
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
        // Alike but for rounding: the tolerance is far inside the 1e-6 shingle that the sum gives away.
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

    /// The first joints with their whole shingles among which the cheapest is, whatever the prices: between the
    /// places where a length passes from one part to the next the price is linear.
    fn telling_joints(&self, width: f64) -> Vec<(f64, usize)> {
        let part = width / PARTS as f64;
        let mut joints = Vec::new();
        for &(low, high, whole) in &self.ranges {
            joints.push((low, whole));
            if high > low {
                joints.push((high, whole));
            }
            for &(a, b) in self.ends.iter().flatten() {
                for base in [a, b - (whole + 1) as f64 * width] {
                    let mut k = ((low - base) / part).ceil();
                    while base + k * part <= high {
                        joints.push((base + k * part, whole));
                        k += 1.0;
                    }
                }
            }
        }
        joints
    }
}

impl Kind {
    fn new(shape: Shape, width: f64) -> Self {
        let present: Vec<(usize, (f64, f64))> = shape
            .ends
            .iter()
            .enumerate()
            .filter_map(|(h, ends)| Some((h, (*ends)?)))
            .collect();
        let joints = shape.telling_joints(width);
        let mut marks = Vec::with_capacity(joints.len() * present.len());
        for &(first, whole) in &joints {
            let last = first + whole as f64 * width;
            marks.extend(present.iter().map(|&(_, (a, b))| {
                (
                    Mark::of(first - a, width),
                    Mark::of(width - (b - last), width),
                )
            }));
        }
        let single = shape.single.then(|| {
            present
                .iter()
                .map(|&(_, (a, b))| (Mark::of(b - a, width), Mark::of(width - (b - a), width)))
                .collect()
        });
        Self {
            count: 1.0,
            heights: present.iter().map(|&(h, _)| h).collect(),
            whole: joints.iter().map(|&(_, whole)| whole as f64).collect(),
            marks,
            single,
            shape,
        }
    }

    /// The least price of a seat of this run.
    fn cheapest(&self, prices: &Prices) -> (f64, Cheapest) {
        let mut best = (f64::INFINITY, Cheapest::Single);
        if let Some(single) = &self.single {
            best.0 = self.single_price(single, prices);
        }
        let share: f64 = self.heights.iter().map(|&h| prices.share(h)).sum();
        let mut look = |i: usize, price: f64| {
            if price < best.0 {
                best = (price, Cheapest::Joint(i));
            }
        };
        if let [h] = self.heights[..] {
            for (i, (whole, &(x, left))) in self.whole.iter().zip(&self.marks).enumerate() {
                look(i, whole + share + prices.at(h, x) - prices.at(h, left));
            }
        } else {
            let each = self.heights.len();
            for (i, whole) in self.whole.iter().enumerate() {
                let marks = &self.marks[i * each..(i + 1) * each];
                let at = |(&h, &(x, left)): (&usize, &(Mark, Mark))| {
                    prices.at(h, x) - prices.at(h, left)
                };
                let ends: f64 = self.heights.iter().zip(marks).map(at).sum();
                look(i, whole + share + ends);
            }
        }
        best
    }

    fn single_price(&self, single: &[(Mark, Mark)], prices: &Prices) -> f64 {
        self.heights
            .iter()
            .zip(single)
            .map(|(&h, &(wide, left))| {
                let f = prices.at(h, wide);
                let g = prices.share(h) - prices.at(h, left);
                f.min(g)
            })
            .sum()
    }

    /// What this run asks of the density of F: more below its opening piece's length, less below what its closing
    /// piece leaves.
    fn pull(&self, at: Cheapest, pull: &mut Pull) {
        let each = self.heights.len();
        let all = Mark {
            part: PARTS as u32 - 1,
            rest: 1.0,
        };
        for (i, &h) in self.heights.iter().enumerate() {
            match at {
                Cheapest::Joint(seat) => {
                    let (x, left) = self.marks[seat * each + i];
                    pull.add(h, all, self.count);
                    pull.add(h, x, self.count);
                    pull.add(h, left, -self.count);
                }
                Cheapest::Single => {
                    let wide = self.single.as_ref().map(|s| s[i].0);
                    if let Some(wide) = wide {
                        pull.add(h, wide, self.count);
                    }
                }
            }
        }
    }
}
