//! Whole numbers next to a length in units, without the call that `f64::ceil` and `f64::floor` are on plain x86-64, which
//! the search would spend half of its time in. Exact for all that 64 bits hold.

/// The least whole number that is not less.
pub(super) fn ceiling(x: f64) -> f64 {
    let cut = x as i64 as f64;
    if cut < x { cut + 1.0 } else { cut }
}

/// The greatest whole number that is not more.
pub(super) fn floor(x: f64) -> f64 {
    let cut = x as i64 as f64;
    if cut > x { cut - 1.0 } else { cut }
}

#[cfg(test)]
mod tests {
    use super::{ceiling, floor};

    #[test]
    #[allow(clippy::float_cmp, reason = "whole numbers are exact")]
    fn they_are_what_the_library_gives() {
        let near = |n: i32| [-0.5, -1e-9, 0.0, 1e-9, 0.5].map(|by| f64::from(n) + by);
        for x in (-70..70).flat_map(near).chain([-1e15 - 0.5, 1e15 + 0.5]) {
            assert_eq!((ceiling(x), floor(x)), (x.ceil(), x.floor()), "{x}");
        }
    }
}
