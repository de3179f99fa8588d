//! Normal equations, gathered observation by observation, and their Cholesky factor.

use super::pattern::Pattern;

/// What an observation says about the unknowns of one block: their coefficients, as many as the block has.
#[derive(Clone, Copy, Debug, Default)]
pub(in crate::roof::solve) struct Term {
    pub(in crate::roof::solve) block: usize,
    pub(in crate::roof::solve) coefficients: [f64; 3],
}

/// Normal equations being gathered.
#[derive(Clone, Debug)]
pub(in crate::roof::solve) struct Normal<'p> {
    pattern: &'p Pattern,
    /// By place.
    diagonal: Vec<f64>,
    /// Below the diagonal, as in the pattern.
    below: Vec<f64>,
    /// By unknown.
    right: Vec<f64>,
}

/// A factor L with A = L·Lᵀ, by places.
#[derive(Clone, Debug)]
pub(in crate::roof::solve) struct Factor<'p> {
    pub(super) pattern: &'p Pattern,
    pub(super) diagonal: Vec<f64>,
    pub(super) below: Vec<f64>,
}

impl<'p> Normal<'p> {
    /// Empty equations.
    pub(in crate::roof::solve) fn new(pattern: &'p Pattern) -> Self {
        Self {
            pattern,
            diagonal: vec![0.0; pattern.count()],
            below: vec![0.0; pattern.rows.items.len()],
            right: vec![0.0; pattern.count()],
        }
    }

    /// Adds the observation Σ coefficient·unknown = value with a weight (1/σ²). Its blocks are different ones, linked to each
    /// other in the pattern.
    pub(in crate::roof::solve) fn observe(&mut self, row: &[Term], value: f64, weight: f64) {
        for (n, term) in row.iter().enumerate() {
            self.observe_alone(term, value, weight);
            for other in &row[n + 1..] {
                self.observe_pair(term, other, weight);
            }
        }
    }

    fn observe_alone(&mut self, term: &Term, value: f64, weight: f64) {
        let unknowns = self.pattern.unknowns_of(term.block);
        let place = self.pattern.place_of(term.block);
        let coefficients = &term.coefficients[..unknowns.len()];
        for (i, &a) in coefficients.iter().enumerate() {
            self.right[unknowns.start + i] += weight * a * value;
            self.diagonal[place + i] += weight * a * a;
            for (j, &b) in coefficients.iter().enumerate().skip(i + 1) {
                self.below[self.pattern.own_slot(term.block, i, j)] += weight * a * b;
            }
        }
    }

    fn observe_pair(&mut self, one: &Term, other: &Term, weight: f64) {
        let Some(between) = self.pattern.between(one.block, other.block) else {
            debug_assert!(false, "blocks of one observation are linked");
            return;
        };
        let size = |term: &Term| self.pattern.unknowns_of(term.block).len();
        let (rows, columns) = (size(one), size(other));
        for (i, &a) in one.coefficients[..rows].iter().enumerate() {
            for (j, &b) in other.coefficients[..columns].iter().enumerate() {
                self.below[between.slot(&self.pattern.rows, i, j)] += weight * a * b;
            }
        }
    }

    /// The factor and the right-hand side, by unknowns; `None` where the equations do not fix every unknown.
    pub(in crate::roof::solve) fn factor(self) -> Option<(Factor<'p>, Vec<f64>)> {
        let Self {
            pattern,
            mut diagonal,
            mut below,
            right,
        } = self;
        let rows = &pattern.rows;
        // Up to where each column is done: its next entry is that of the next row that it reaches.
        let mut next: Vec<usize> = rows.start[..diagonal.len()].to_vec();
        let mut dense = vec![0.0; diagonal.len()];
        for block in 0..pattern.blocks() {
            let (own, reaching) = pattern.reached(block);
            for k in own.clone() {
                let columns = || {
                    let earlier = reaching.iter().flat_map(|&b| pattern.places_at(b));
                    earlier.chain(own.start..k)
                };
                for i in columns() {
                    dense[i] = below[next[i]];
                }
                let mut pivot = diagonal[k];
                for i in columns() {
                    let entry = dense[i] / diagonal[i];
                    let done = rows.start[i]..next[i];
                    for (&row, &value) in rows.items[done.clone()].iter().zip(&below[done]) {
                        dense[row] -= value * entry;
                    }
                    pivot -= entry * entry;
                    below[next[i]] = entry;
                    next[i] += 1;
                }
                if pivot.is_nan() || pivot <= 0.0 {
                    return None;
                }
                diagonal[k] = pivot.sqrt();
            }
        }
        let factor = Factor {
            pattern,
            diagonal,
            below,
        };
        Some((factor, right))
    }
}

impl Factor<'_> {
    /// Solves A·x = b; both by unknowns.
    pub(in crate::roof::solve) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let mut x = vec![0.0; right.len()];
        self.for_unknowns(|unknown, place| x[place] = right[unknown]);
        for k in 0..x.len() {
            x[k] /= self.diagonal[k];
            let xk = x[k];
            for (row, value) in self.column(k) {
                x[row] -= value * xk;
            }
        }
        for k in (0..x.len()).rev() {
            let sum: f64 = self.column(k).map(|(row, value)| value * x[row]).sum();
            x[k] = (x[k] - sum) / self.diagonal[k];
        }
        let mut by_unknown = vec![0.0; x.len()];
        self.for_unknowns(|unknown, place| by_unknown[unknown] = x[place]);
        by_unknown
    }

    /// The entries below the diagonal of a column, rising rows.
    fn column(&self, k: usize) -> impl Iterator<Item = (usize, f64)> {
        let range = self.pattern.rows.range(k);
        let rows = self.pattern.rows.items[range.clone()].iter().copied();
        rows.zip(self.below[range].iter().copied())
    }

    fn for_unknowns(&self, mut visit: impl FnMut(usize, usize)) {
        for block in 0..self.pattern.blocks() {
            let first = self.pattern.place_of(block);
            for (n, unknown) in self.pattern.unknowns_of(block).enumerate() {
                visit(unknown, first + n);
            }
        }
    }
}
