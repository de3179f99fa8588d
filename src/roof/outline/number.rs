//! The numbers that the construction is carried out in: `f64`, or double-double where `f64` is not enough.
//!
//! Double-double (an unevaluated sum of two `f64`, about 106 bits) after T. J. Dekker, "A floating-point technique
//! for extending the available precision", Numerische Mathematik 18 (1971), and D. E. Knuth's two-sum (The Art of
//! Computer Programming, vol. 2, 4.2.2); quoted from memory.

use std::fmt::Debug;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// What the construction asks of a number.
pub(super) trait Number:
    Copy
    + Default
    + Debug
    + PartialOrd
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    fn of(value: f64) -> Self;
    fn to_f64(self) -> f64;
    fn sqrt(self) -> Self;

    fn zero() -> Self {
        Self::of(0.0)
    }
    fn larger(self, other: Self) -> Self {
        if other > self { other } else { self }
    }
}

impl Number for f64 {
    #[inline]
    fn of(value: f64) -> Self {
        value
    }
    #[inline]
    fn to_f64(self) -> f64 {
        self
    }
    #[inline]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
}

/// The sum `hi + lo`, where `lo` is at most half a unit in the last place of `hi`.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub(super) struct DoubleDouble {
    hi: f64,
    lo: f64,
}

/// The rounded sum and its exact error.
fn two_sum(a: f64, b: f64) -> (f64, f64) {
    let s = a + b;
    let bb = s - a;
    (s, (a - (s - bb)) + (b - bb))
}

/// As [`two_sum`], where `a` is not smaller than `b` in size.
fn quick_two_sum(a: f64, b: f64) -> (f64, f64) {
    let s = a + b;
    (s, b - (s - a))
}

/// The upper and lower halves of the mantissa.
fn split(a: f64) -> (f64, f64) {
    const SPLITTER: f64 = 134_217_729.0; // 2^27 + 1
    let t = SPLITTER * a;
    let hi = t - (t - a);
    (hi, a - hi)
}

/// The rounded product and its exact error.
fn two_product(a: f64, b: f64) -> (f64, f64) {
    let p = a * b;
    let (ah, al) = split(a);
    let (bh, bl) = split(b);
    (p, ((ah * bh - p) + ah * bl + al * bh) + al * bl)
}

impl DoubleDouble {
    fn normal(hi: f64, lo: f64) -> Self {
        let (hi, lo) = quick_two_sum(hi, lo);
        Self { hi, lo }
    }
}

impl Add for DoubleDouble {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let (s, e) = two_sum(self.hi, other.hi);
        let (t, f) = two_sum(self.lo, other.lo);
        let (s, e) = quick_two_sum(s, e + t);
        Self::normal(s, e + f)
    }
}
impl Neg for DoubleDouble {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            hi: -self.hi,
            lo: -self.lo,
        }
    }
}
impl Sub for DoubleDouble {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}
impl Mul for DoubleDouble {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let (p, e) = two_product(self.hi, other.hi);
        Self::normal(p, e + (self.hi * other.lo + self.lo * other.hi))
    }
}
impl Div for DoubleDouble {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let first = self.hi / other.hi;
        let rest = self - other * Self::of(first);
        let second = rest.hi / other.hi;
        let rest = rest - other * Self::of(second);
        let third = rest.hi / other.hi;
        let (hi, lo) = quick_two_sum(first, second);
        Self::normal(hi, lo + third)
    }
}

impl Number for DoubleDouble {
    fn of(value: f64) -> Self {
        Self { hi: value, lo: 0.0 }
    }
    fn to_f64(self) -> f64 {
        self.hi + self.lo
    }
    /// One step of Newton's method on the f64 root doubles its digits.
    fn sqrt(self) -> Self {
        if self.hi <= 0.0 {
            return Self::zero();
        }
        let root = Self::of(self.hi.sqrt());
        let better = (root + self / root) * Self::of(0.5);
        (better + self / better) * Self::of(0.5)
    }
}

/// A displacement or place in the plane in the construction's own numbers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair<N> {
    pub(super) x: N,
    pub(super) y: N,
}

impl<N: Number> Pair<N> {
    pub(super) fn new(x: N, y: N) -> Self {
        Self { x, y }
    }
    #[inline]
    pub(super) fn dot(self, o: Self) -> N {
        self.x * o.x + self.y * o.y
    }
    #[inline]
    pub(super) fn cross(self, o: Self) -> N {
        self.x * o.y - self.y * o.x
    }
    #[inline]
    pub(super) fn times(self, k: N) -> Self {
        Self::new(self.x * k, self.y * k)
    }
    /// Turned a quarter to the right: from the inward normal of a side to its direction.
    #[inline]
    pub(super) fn turn_right(self) -> Self {
        Self::new(self.y, -self.x)
    }
    /// Size by the larger coordinate; within a factor √2 of the length.
    pub(super) fn size(self) -> f64 {
        self.x.to_f64().abs().max(self.y.to_f64().abs())
    }
}
impl<N: Number> Add for Pair<N> {
    type Output = Self;
    #[inline]
    fn add(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y)
    }
}
impl<N: Number> Sub for Pair<N> {
    type Output = Self;
    #[inline]
    fn sub(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_third_times_three_misses_one_by_less_than_1e_31() {
        let third = DoubleDouble::of(1.0) / DoubleDouble::of(3.0);
        let miss = third + third + third - DoubleDouble::of(1.0);
        assert!(miss.to_f64().abs() < 1e-31, "{miss:?}");
    }

    #[test]
    fn the_root_of_two_squares_back_to_two() {
        let root = DoubleDouble::of(2.0).sqrt();
        let miss = root * root - DoubleDouble::of(2.0);
        assert!(miss.to_f64().abs() < 1e-30, "{miss:?}");
        assert!((root.lo).abs() > 1e-18, "the lower half carries digits");
    }
}
