//! Sparse symmetric positive definite equations: Cholesky factors in a given order, and the entries of the inverse
//! on the pattern of the factor.
//!
//! Up-looking factorization (T. A. Davis, *Direct Methods for Sparse Linear Systems*, SIAM 2006, chapter 4), over a
//! pattern that is worked out once for all rounds; selected inverse by Takahashi's recurrences (K. Takahashi, J. Fagan,
//! M. Chen, 1973). Written from memory of both.

mod inverse;
mod normal;
mod order;
mod pattern;

pub(super) use inverse::SelectedInverse;
pub(super) use normal::{Normal, Term};
pub(super) use order::thin_order;
pub(super) use pattern::Pattern;

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
        let pattern = Pattern::new(&vec![1; n], &links, &order);
        let mut normal = Normal::new(&pattern);
        let term = |block, coefficient| Term {
            block,
            coefficients: [coefficient, 0.0, 0.0],
        };
        normal.observe(&[term(0, 1.0)], 1.0, 1.0);
        normal.observe(&[term(n - 1, 1.0)], 0.0, 1.0);
        for &(a, b) in &links {
            normal.observe(&[term(b, 1.0), term(a, -1.0)], 0.0, 1.0);
        }
        let (factor, right) = normal
            .factor()
            .unwrap_or_else(|| unreachable!("the chain is fixed at both ends"));
        let x = factor.solve(&right);
        let inverse = factor.selected_inverse();
        for (i, xi) in x.iter().enumerate() {
            let expected = (n - i) as f64 / (n + 1) as f64;
            assert!(
                (xi - expected).abs() < 1e-12,
                "{i}: {xi} instead of {expected}"
            );
            let diagonal = ((i + 1) * (n - i)) as f64 / (n + 1) as f64;
            assert!((inverse.variance(&[term(i, 1.0)]) - diagonal).abs() < 1e-12);
        }
        // Neighbours occur together: var(x₃ − x₂) = 4·6/10 + 3·7/10 − 2·3·6/10.
        let step = inverse.variance(&[term(3, 1.0), term(2, -1.0)]);
        assert!((step - (2.4 + 2.1 - 3.6)).abs() < 1e-12);
    }

    /// A corner of two coordinates and two faces of three unknowns, each pair observed together and by itself: a dense
    /// elimination of the same equations gives the same solution and the same variances.
    #[test]
    fn blocks_of_two_and_three_unknowns_solve_and_invert_like_dense_equations() {
        let sizes = [2, 3, 3];
        let first = [0, 2, 5];
        let links = [(0, 1), (0, 2), (1, 2)];
        let pattern = Pattern::new(&sizes, &links, &[2, 0, 1]);
        let mut normal = Normal::new(&pattern);
        let mut dense = [[0.0; 8]; 8];
        let mut right = [0.0; 8];
        let mut rows = Vec::new();
        for n in 0..12_u32 {
            let coefficient = |k: usize| f64::from((n + 1) * (7 * k as u32 + 3) % 11) - 4.5;
            let terms: Vec<Term> = (0..3)
                .filter(|&block| block != (n % 4) as usize)
                .map(|block| Term {
                    block,
                    coefficients: [0, 1, 2].map(|k| coefficient(3 * block + k)),
                })
                .collect();
            let (value, weight) = (f64::from(n % 5), 1.0 + f64::from(n % 3));
            normal.observe(&terms, value, weight);
            let mut row = [0.0; 8];
            for term in &terms {
                for k in 0..sizes[term.block] {
                    row[first[term.block] + k] = term.coefficients[k];
                }
            }
            for i in 0..8 {
                right[i] += weight * row[i] * value;
                for j in 0..8 {
                    dense[i][j] += weight * row[i] * row[j];
                }
            }
            rows.push((terms, row));
        }
        let (factor, by_unknown) = normal
            .factor()
            .unwrap_or_else(|| unreachable!("twelve observations of eight unknowns"));
        let x = factor.solve(&by_unknown);
        let expected = eliminate(dense, right);
        for (found, expected) in x.iter().zip(expected) {
            assert!((found - expected).abs() < 1e-8, "{found} {expected}");
        }
        let inverse = factor.selected_inverse();
        for (terms, row) in rows {
            let spread = eliminate(dense, row);
            let variance: f64 = row.iter().zip(spread).map(|(a, b)| a * b).sum();
            assert!((inverse.variance(&terms) - variance).abs() < 1e-8);
        }
    }

    /// Gaussian elimination, the largest pivot first.
    fn eliminate(mut a: [[f64; 8]; 8], mut b: [f64; 8]) -> [f64; 8] {
        for k in 0..8 {
            let pivot = (k..8)
                .max_by(|&i, &j| a[i][k].abs().total_cmp(&a[j][k].abs()))
                .unwrap_or(k);
            a.swap(k, pivot);
            b.swap(k, pivot);
            let row = a[k];
            for i in k + 1..8 {
                let factor = a[i][k] / row[k];
                for (cell, above) in a[i].iter_mut().zip(row) {
                    *cell -= factor * above;
                }
                b[i] -= factor * b[k];
            }
        }
        for k in (0..8).rev() {
            for j in k + 1..8 {
                b[k] -= a[k][j] * b[j];
            }
            b[k] /= a[k][k];
        }
        b
    }
}
