//! Whole numbers next to a length in units, without the call that `f64::ceil` and `f64::floor` are on plain x86-64, which
//! the search would spend half of its time in. Exact up to 2⁵¹: no length that is laid out
//! is a thousandth of that.

/// 1.5 · 2⁵²: next to it numbers are whole, and a sum with it is rounded to one (IEEE 754, binary64).
const NEXT_TO_WHOLE: f64 = 1.5 * (1_u64 << 52) as f64;

/// One of the whole numbers next to a number.
fn beside(x: f64) -> f64 {
    (x + NEXT_TO_WHOLE) - NEXT_TO_WHOLE
}

/// The least whole number that is not less.
pub(super) fn ceiling(x: f64) -> f64 {
    let whole = beside(x);
    if whole < x { whole + 1.0 } else { whole }
}

/// The greatest whole number that is not more.
pub(super) fn floor(x: f64) -> f64 {
    let whole = beside(x);
    if whole > x { whole - 1.0 } else { whole }
}

#[cfg(test)]
mod tests {
    use super::{ceiling, floor};

    const MOST: f64 = (1_u64 << 51) as f64;

    #[test]
    #[allow(clippy::float_cmp, reason = "whole numbers are exact")]
    fn they_are_what_the_library_gives() {
        let near = |n: i32| [-0.5, -1e-9, 0.0, 1e-9, 0.5].map(|by| f64::from(n) + by);
        for x in (-70..70)
            .flat_map(near)
            .chain([-1e15 - 0.5, 1e15 + 0.5, -MOST, MOST])
        {
            assert_eq!((ceiling(x), floor(x)), (x.ceil(), x.floor()), "{x}");
        }
    }
}
