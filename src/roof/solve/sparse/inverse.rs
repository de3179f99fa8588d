//! The entries of the inverse where the factor has some, by Takahashi's recurrences.

use super::normal::{Factor, Term};
use super::pattern::Pattern;

/// Inverse entries on the pattern of the factor.
#[derive(Clone, Debug)]
pub(in crate::roof::solve) struct SelectedInverse<'p> {
    pattern: &'p Pattern,
    /// By place.
    diagonal: Vec<f64>,
    below: Vec<f64>,
}

impl<'p> Factor<'p> {
    /// The entries of the inverse on the pattern of the factor.
    pub(in crate::roof::solve) fn selected_inverse(&self) -> SelectedInverse<'p> {
        let n = self.diagonal.len();
        let rows = &self.pattern.rows;
        let mut diagonal = vec![0.0; n];
        let mut below = vec![0.0; self.below.len()];
        // The column at hand by rows, which of them it has, and the sums Σ L·Z of its rows.
        let (mut entry, mut sum) = (vec![0.0; n], vec![0.0; n]);
        let mut column_of = vec![usize::MAX; n];
        for j in (0..n).rev() {
            let column = rows.range(j);
            for at in column.clone() {
                let row = rows.items[at];
                entry[row] = self.below[at];
                column_of[row] = j;
                sum[row] = 0.0;
            }
            // Each entry of the inverse counts for both of its rows, in rising order of the other one.
            for &k in &rows.items[column.clone()] {
                let (own, mut total) = (entry[k], sum[k]);
                total += own * diagonal[k];
                for at in rows.range(k) {
                    let row = rows.items[at];
                    if column_of[row] == j {
                        sum[row] += own * below[at];
                        total += entry[row] * below[at];
                    }
                }
                sum[k] = total;
            }
            let mut whole = 0.0;
            for at in column {
                below[at] = -sum[rows.items[at]] / self.diagonal[j];
                whole += self.below[at] * below[at];
            }
            diagonal[j] = (1.0 / self.diagonal[j] - whole) / self.diagonal[j];
        }
        SelectedInverse {
            pattern: self.pattern,
            diagonal,
            below,
        }
    }
}

impl SelectedInverse<'_> {
    /// The variance of Σ coefficient·unknown over blocks that occurred in one observation.
    pub(in crate::roof::solve) fn variance(&self, row: &[Term]) -> f64 {
        let size = |term: &Term| self.pattern.unknowns_of(term.block).len();
        let mut sum = 0.0;
        for one in row {
            for (i, &a) in one.coefficients[..size(one)].iter().enumerate() {
                for other in row {
                    let entries = self.entries(one.block, other.block);
                    for (j, &b) in other.coefficients[..size(other)].iter().enumerate() {
                        sum += a * b * entries(i, j);
                    }
                }
            }
        }
        sum
    }

    /// The entries of an unknown of one block and one of another, by their numbers in the blocks.
    fn entries(&self, one: usize, other: usize) -> impl Fn(usize, usize) -> f64 {
        let between = self.pattern.between(one, other);
        let place = self.pattern.place_of(one);
        move |i, j| match between {
            Some(between) => self.below[between.slot(&self.pattern.rows, i, j)],
            None if one != other => 0.0,
            None if i == j => self.diagonal[place + i],
            None => self.below[self.pattern.own_slot(one, i.min(j), i.max(j))],
        }
    }
}
