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

use super::problem::Problem;
use super::runs::Run;

/// Parts of the width on which F is linear.
const PARTS: usize = 36;

/// The best bound found in some rounds; 0 with none.
pub(super) fn price_bound(problem: &Problem, runs: &[Run], rounds: usize) -> usize {
    let heights = heights(runs, problem.width);
    let kinds = kinds(problem, runs, &heights);
    if kinds.is_empty() {
        return 0;
    }
    let mut prices = Prices::level(heights.len());
    let mut best: f64 = 0.0;
    // Start at the height whose slice is widest: that is the slice bound.
    let slices: Vec<f64> = (0..heights.len())
        .map(|h| {
            let only = Prices::level_at(h, heights.len());
            kinds
                .iter()
                .map(|k| k.count * k.cheapest(&only, problem.width).0)
                .sum()
        })
        .collect();
    let widest = slices.iter().copied().fold(0.0, f64::max);
    best = best.max(widest);
    let top: Vec<f64> = slices
        .iter()
        .map(|s| if *s > widest - 0.5 { 1.0 } else { 0.02 })
        .collect();
    prices.weigh(&top);
    for round in 0..rounds {
        let mut pull = vec![0.0; heights.len() * PARTS];
        let mut sum = 0.0;
        for kind in &kinds {
            let (price, at) = kind.cheapest(&prices, problem.width);
            sum += kind.count * price;
            kind.pull(at, problem.width, &mut pull);
        }
        best = best.max(sum);
        let rate = 0.6 / (1.0 + round as f64 * 0.15);
        prices.move_towards(&pull, rate);
    }
    // A shingle is not asked for by the rounding of the sums.
    (best - 1e-6).ceil().max(0.0) as usize
}

fn heights(runs: &[Run], width: f64) -> Vec<f64> {
    let top = runs
        .iter()
        .filter_map(|r| r.left.inner.last())
        .map(|p| p.0)
        .fold(0.0, f64::max);
    let exposure = runs.first().map_or(0.0, |r| r.exposure);
    let mut heights = vec![0.0, exposure, top];
    heights.dedup_by(|a, b| (*a - *b).abs() < 1e-9 * width);
    heights
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
    fn level_at(h: usize, heights: usize) -> Self {
        let mut prices = Self::level(heights);
        for (i, d) in prices.density.iter_mut().enumerate() {
            *d = if i / PARTS == h {
                1.0 / PARTS as f64
            } else {
                0.0
            };
        }
        prices.add_up();
        prices
    }
    fn weigh(&mut self, weights: &[f64]) {
        for (i, d) in self.density.iter_mut().enumerate() {
            *d *= weights[i / PARTS];
        }
        self.normalise();
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
    /// F of one height at a length given in parts of the width.
    fn at(&self, h: usize, parts: f64) -> f64 {
        let clamped = parts.clamp(0.0, PARTS as f64);
        let whole = (clamped as usize).min(PARTS - 1);
        self.sums[h * (PARTS + 1) + whole]
            + self.density[h * PARTS + whole] * (clamped - whole as f64)
    }
    /// F(W) of one height: its share of the whole.
    fn share(&self, h: usize) -> f64 {
        self.sums[h * (PARTS + 1) + PARTS]
    }
}

/// Runs that are alike.
struct Kind {
    count: f64,
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
    Joint { first: f64, whole: usize },
    Single,
}

fn kinds(problem: &Problem, runs: &[Run], heights: &[f64]) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    for (run, room) in runs.iter().zip(&problem.runs) {
        let top = run.left.inner.last().map_or(0.0, |p| p.0);
        let origin = room.left_reach;
        let kind = Kind {
            count: 1.0,
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
            .find(|k| k.is_like(&kind, problem.tolerance))
        {
            Some(like) => like.count += 1.0,
            None => kinds.push(kind),
        }
    }
    kinds
}

impl Kind {
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

    /// The least price of a seat of this run.
    fn cheapest(&self, prices: &Prices, width: f64) -> (f64, Cheapest) {
        let mut best = (f64::INFINITY, Cheapest::Single);
        if self.single {
            best.0 = self.single_price(prices, width);
        }
        let part = width / PARTS as f64;
        for &(low, high, whole) in &self.ranges {
            let mut look = |first: f64| {
                if (low..=high).contains(&first) {
                    let price = self.price(prices, first, whole, width);
                    if price < best.0 {
                        best = (price, Cheapest::Joint { first, whole });
                    }
                }
            };
            look(low);
            look(high);
            // Between the places where a length passes from one part to the next the price is linear, so the least
            // is at one of them.
            for &(a, b) in self.ends.iter().flatten() {
                for base in [a, b - (whole + 1) as f64 * width] {
                    let mut k = ((low - base) / part).ceil();
                    while base + k * part <= high {
                        look(base + k * part);
                        k += 1.0;
                    }
                }
            }
        }
        best
    }

    fn price(&self, prices: &Prices, first: f64, whole: usize, width: f64) -> f64 {
        let to_parts = PARTS as f64 / width;
        let last = first + whole as f64 * width;
        let mut price = whole as f64;
        for (h, ends) in self.ends.iter().enumerate() {
            if let Some((a, b)) = *ends {
                price += prices.at(h, (first - a) * to_parts) + prices.share(h)
                    - prices.at(h, (width - (b - last)) * to_parts);
            }
        }
        price
    }

    fn single_price(&self, prices: &Prices, width: f64) -> f64 {
        let to_parts = PARTS as f64 / width;
        self.ends
            .iter()
            .enumerate()
            .filter_map(|(h, ends)| ends.map(|(a, b)| (h, b - a)))
            .map(|(h, wide)| {
                let f = prices.at(h, wide * to_parts);
                let g = prices.share(h) - prices.at(h, (width - wide) * to_parts);
                f.min(g)
            })
            .sum()
    }

    /// What this run asks of the density of F: more below its opening piece's length, less below what its closing
    /// piece leaves.
    fn pull(&self, at: Cheapest, width: f64, pull: &mut [f64]) {
        let part = width / PARTS as f64;
        let mut add = |h: usize, length: f64, by: f64| {
            for k in 0..PARTS {
                let covered = ((length - k as f64 * part) / part).clamp(0.0, 1.0);
                if covered <= 0.0 {
                    break;
                }
                pull[h * PARTS + k] += by * covered;
            }
        };
        for (h, ends) in self.ends.iter().enumerate() {
            let Some((a, b)) = *ends else { continue };
            match at {
                Cheapest::Joint { first, whole } => {
                    add(h, width, self.count);
                    add(h, first - a, self.count);
                    add(h, width - (b - first - whole as f64 * width), -self.count);
                }
                Cheapest::Single => add(h, b - a, self.count),
            }
        }
    }
}
