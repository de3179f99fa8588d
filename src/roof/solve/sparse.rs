//! Sparse symmetric positive definite equations: Cholesky factors in a given order, and the entries of the inverse
//! on the pattern of the factor.
//!
//! Up-looking factorization over the elimination tree (T. A. Davis, *Direct Methods for Sparse Linear Systems*,
//! SIAM 2006, chapter 4); selected inverse by Takahashi's recurrences (K. Takahashi, J. Fagan, M. Chen, 1973).
//! Written from memory of both.

use std::collections::BTreeSet;

/// Normal equations being gathered.
#[derive(Clone, Debug)]
pub(super) struct Normal {
    /// `place[unknown]` is its position in the order of elimination.
    place: Vec<usize>,
    /// Upper triangle by column, in the order of elimination: (row ≤ column, value), not yet summed.
    columns: Vec<Vec<(usize, f64)>>,
    right: Vec<f64>,
}

/// A factor L with A = L·Lᵀ, by columns.
#[derive(Clone, Debug)]
pub(super) struct Factor {
    place: Vec<usize>,
    diagonal: Vec<f64>,
    /// Entries below the diagonal, rising rows.
    below: Vec<Vec<(usize, f64)>>,
}

/// Inverse entries on the pattern of the factor.
#[derive(Clone, Debug)]
pub(super) struct SelectedInverse {
    place: Vec<usize>,
    diagonal: Vec<f64>,
    below: Vec<Vec<(usize, f64)>>,
}

impl Normal {
    /// Empty equations for as many unknowns as `order` lists; `order[k]` is eliminated k-th.
    pub(super) fn new(order: &[usize]) -> Self {
        let mut place = vec![0; order.len()];
        for (k, &unknown) in order.iter().enumerate() {
            place[unknown] = k;
        }
        Self {
            place,
            columns: vec![Vec::new(); order.len()],
            right: vec![0.0; order.len()],
        }
    }

    /// Adds the observation Σ coefficient·unknown = value with a weight (1/σ²).
    pub(super) fn observe(&mut self, row: &[(usize, f64)], value: f64, weight: f64) {
        for (n, &(i, a)) in row.iter().enumerate() {
            let pi = self.place[i];
            self.right[pi] += weight * a * value;
            for &(j, b) in &row[n..] {
                let pj = self.place[j];
                self.columns[pi.max(pj)].push((pi.min(pj), weight * a * b));
            }
        }
    }

    /// The factor; `None` where the equations do not fix every unknown.
    pub(super) fn factor(&self) -> Option<Factor> {
        let n = self.columns.len();
        let mut parent = vec![usize::MAX; n];
        let mut seen = vec![usize::MAX; n];
        let mut diagonal = vec![0.0; n];
        let mut below: Vec<Vec<(usize, f64)>> = vec![Vec::new(); n];
        let mut dense = vec![0.0; n];
        let mut reach = Vec::new();
        for k in 0..n {
            reach.clear();
            seen[k] = k;
            let mut pivot = 0.0;
            for &(row, value) in &self.columns[k] {
                if row == k {
                    pivot += value;
                    continue;
                }
                // Entries of one place are summed here, in the order in which they were observed.
                dense[row] += value;
                let mut at = row;
                while seen[at] != k {
                    seen[at] = k;
                    reach.push(at);
                    if parent[at] == usize::MAX {
                        parent[at] = k;
                    }
                    at = parent[at];
                }
            }
            reach.sort_unstable();
            for &i in &reach {
                let entry = dense[i] / diagonal[i];
                dense[i] = 0.0;
                for &(row, value) in &below[i] {
                    dense[row] -= value * entry;
                }
                pivot -= entry * entry;
                below[i].push((k, entry));
            }
            if pivot.is_nan() || pivot <= 0.0 {
                return None;
            }
            diagonal[k] = pivot.sqrt();
        }
        Some(Factor {
            place: self.place.clone(),
            diagonal,
            below,
        })
    }

    /// The right-hand side, in the order of the unknowns.
    pub(super) fn solve(&self, factor: &Factor) -> Vec<f64> {
        let by_unknown: Vec<f64> = self.place.iter().map(|&p| self.right[p]).collect();
        factor.solve(&by_unknown)
    }
}

impl Factor {
    /// Solves A·x = b; both in the order of the unknowns.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let n = self.diagonal.len();
        let mut x = vec![0.0; n];
        for (unknown, &p) in self.place.iter().enumerate() {
            x[p] = right[unknown];
        }
        for k in 0..n {
            x[k] /= self.diagonal[k];
            let xk = x[k];
            for &(row, value) in &self.below[k] {
                x[row] -= value * xk;
            }
        }
        for k in (0..n).rev() {
            let sum: f64 = self.below[k].iter().map(|&(row, v)| v * x[row]).sum();
            x[k] = (x[k] - sum) / self.diagonal[k];
        }
        self.place.iter().map(|&p| x[p]).collect()
    }

    /// The entries of the inverse on the pattern of the factor.
    pub(super) fn selected_inverse(&self) -> SelectedInverse {
        let n = self.diagonal.len();
        let mut inverse = SelectedInverse {
            place: self.place.clone(),
            diagonal: vec![0.0; n],
            below: self
                .below
                .iter()
                .map(|c| c.iter().map(|&(row, _)| (row, 0.0)).collect())
                .collect(),
        };
        for j in (0..n).rev() {
            let column = &self.below[j];
            for t in 0..column.len() {
                let i = column[t].0;
                let sum: f64 = column.iter().map(|&(k, v)| v * inverse.at(i, k)).sum();
                inverse.below[j][t].1 = -sum / self.diagonal[j];
            }
            let sum: f64 = column
                .iter()
                .zip(&inverse.below[j])
                .map(|(&(_, v), &(_, z))| v * z)
                .sum();
            inverse.diagonal[j] = (1.0 / self.diagonal[j] - sum) / self.diagonal[j];
        }
        inverse
    }
}

impl SelectedInverse {
    fn at(&self, i: usize, k: usize) -> f64 {
        if i == k {
            return self.diagonal[i];
        }
        let (column, row) = (i.min(k), i.max(k));
        self.below[column]
            .binary_search_by_key(&row, |&(r, _)| r)
            .map_or(0.0, |found| self.below[column][found].1)
    }

    /// The variance of Σ coefficient·unknown. Right for pairs of unknowns that occurred in one observation.
    pub(super) fn variance(&self, row: &[(usize, f64)]) -> f64 {
        let mut sum = 0.0;
        for &(i, a) in row {
            for &(j, b) in row {
                sum += a * b * self.at(self.place[i], self.place[j]);
            }
        }
        sum
    }
}

/// An order of elimination that keeps the fill small: always the unknown with the least weight of itself and its
/// neighbours (minimum degree, weighted). `weight[i]` is positive; ties go to the lower number.
pub(super) fn thin_order(weight: &[f64], links: &[(usize, usize)]) -> Vec<usize> {
    let n = weight.len();
    let mut near: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); n];
    for &(a, b) in links {
        if a != b {
            near[a].insert(b);
            near[b].insert(a);
        }
    }
    let key = |near: &[BTreeSet<usize>], i: usize| {
        let size = weight[i] + near[i].iter().map(|&j| weight[j]).sum::<f64>();
        // Positive floats order like their bits.
        (size.to_bits(), i)
    };
    let mut queue: BTreeSet<(u64, usize)> = (0..n).map(|i| key(&near, i)).collect();
    let mut order = Vec::with_capacity(n);
    while let Some((_, i)) = queue.pop_first() {
        order.push(i);
        let around: Vec<usize> = std::mem::take(&mut near[i]).into_iter().collect();
        for &j in &around {
            queue.remove(&key(&near, j));
        }
        for &j in &around {
            near[j].remove(&i);
            near[j].extend(around.iter().copied().filter(|&k| k != j));
        }
        for &j in &around {
            queue.insert(key(&near, j));
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chain of springs: the inverse of the second-difference matrix is known in closed form,
    /// (A⁻¹)ᵢⱼ = (i+1)(n−j)/(n+1) for i ≤ j.
    #[test]
    fn a_chain_solves_and_inverts_like_the_closed_form() {
        let n = 9;
        let links: Vec<(usize, usize)> = (1..n).map(|i| (i - 1, i)).collect();
        let order = thin_order(&vec![1.0; n], &links);
        let mut normal = Normal::new(&order);
        normal.observe(&[(0, 1.0)], 1.0, 1.0);
        normal.observe(&[(n - 1, 1.0)], 0.0, 1.0);
        for &(a, b) in &links {
            normal.observe(&[(b, 1.0), (a, -1.0)], 0.0, 1.0);
        }
        let factor = normal
            .factor()
            .unwrap_or_else(|| unreachable!("the chain is fixed at both ends"));
        let x = normal.solve(&factor);
        let inverse = factor.selected_inverse();
        for (i, xi) in x.iter().enumerate() {
            let expected = (n - i) as f64 / (n + 1) as f64;
            assert!(
                (xi - expected).abs() < 1e-12,
                "{i}: {xi} instead of {expected}"
            );
            let diagonal = ((i + 1) * (n - i)) as f64 / (n + 1) as f64;
            assert!((inverse.variance(&[(i, 1.0)]) - diagonal).abs() < 1e-12);
        }
        // Neighbours occur together: var(x₃ − x₂) = 4·6/10 + 3·7/10 − 2·3·6/10.
        let step = inverse.variance(&[(3, 1.0), (2, -1.0)]);
        assert!((step - (2.4 + 2.1 - 3.6)).abs() < 1e-12);
    }
}
