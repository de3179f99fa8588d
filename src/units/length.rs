//! Lengths and areas that remember which surface they were measured on.

use std::iter::Sum;
use std::marker::PhantomData;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

use super::METRES_PER_FOOT;

/// Where a measure was taken. Implemented by the empty markers [`Plan`], [`True`] and [`Vertical`].
pub trait Surface: Copy + std::fmt::Debug + 'static {}

/// Measured in plan: the roof seen from straight above.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Plan;
/// Measured on the roof itself, along the slope.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct True;
/// Measured straight up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Vertical;

impl Surface for Plan {}
impl Surface for True {}
impl Surface for Vertical {}

/// A length along a surface. Adding a plan length to a true one does not compile:
///
/// ```compile_fail
/// use eavewright::units::{Length, Plan, True};
/// let _ = Length::<Plan>::feet(1.0) + Length::<True>::feet(1.0);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Length<S> {
    inches: f64,
    surface: PhantomData<S>,
}

/// An area on a surface.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Area<S> {
    square_feet: f64,
    surface: PhantomData<S>,
}

impl<S: Surface> Length<S> {
    /// No length at all.
    pub const ZERO: Self = Self {
        inches: 0.0,
        surface: PhantomData,
    };

    /// From inches. Kept in inches inside, so that sixteenths and feet are exact.
    pub const fn inches(inches: f64) -> Self {
        Self {
            inches,
            surface: PhantomData,
        }
    }
    /// From feet.
    pub const fn feet(feet: f64) -> Self {
        Self::inches(feet * 12.0)
    }
    /// From metres.
    pub const fn metres(metres: f64) -> Self {
        Self::feet(metres / METRES_PER_FOOT)
    }
    /// From millimetres.
    pub const fn millimetres(mm: f64) -> Self {
        Self::inches(mm / 25.4)
    }
    /// In inches.
    pub const fn to_inches(self) -> f64 {
        self.inches
    }
    /// In feet.
    pub const fn to_feet(self) -> f64 {
        self.inches / 12.0
    }
    /// In metres.
    pub const fn to_metres(self) -> f64 {
        self.inches / 12.0 * METRES_PER_FOOT
    }
    /// In millimetres.
    pub const fn to_millimetres(self) -> f64 {
        self.inches * 25.4
    }
    /// The larger of two.
    pub fn max(self, other: Self) -> Self {
        Self::inches(self.inches.max(other.inches))
    }
}

impl<S: Surface> Area<S> {
    /// No area at all.
    pub const ZERO: Self = Self {
        square_feet: 0.0,
        surface: PhantomData,
    };

    /// From square feet.
    pub const fn square_feet(square_feet: f64) -> Self {
        Self {
            square_feet,
            surface: PhantomData,
        }
    }
    /// From square metres.
    pub const fn square_metres(square_metres: f64) -> Self {
        Self::square_feet(square_metres / (METRES_PER_FOOT * METRES_PER_FOOT))
    }
    /// In square feet.
    pub const fn to_square_feet(self) -> f64 {
        self.square_feet
    }
    /// In square metres.
    pub const fn to_square_metres(self) -> f64 {
        self.square_feet * METRES_PER_FOOT * METRES_PER_FOOT
    }
}

impl Area<True> {
    /// In roofing squares of 100 ft² of true area.
    pub const fn to_squares(self) -> f64 {
        self.square_feet / super::SQUARE_FEET_PER_SQUARE
    }
}

macro_rules! additive {
    ($kind:ident, $field:ident, $make:ident) => {
        impl<S: Surface> Add for $kind<S> {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self::$make(self.$field + other.$field)
            }
        }
        impl<S: Surface> Sub for $kind<S> {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self::$make(self.$field - other.$field)
            }
        }
        impl<S: Surface> AddAssign for $kind<S> {
            fn add_assign(&mut self, other: Self) {
                self.$field += other.$field;
            }
        }
        impl<S: Surface> Neg for $kind<S> {
            type Output = Self;
            fn neg(self) -> Self {
                Self::$make(-self.$field)
            }
        }
        impl<S: Surface> Mul<f64> for $kind<S> {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self::$make(self.$field * factor)
            }
        }
        /// A measure over a measure is a plain number.
        impl<S: Surface> Div for $kind<S> {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.$field / other.$field
            }
        }
        impl<S: Surface> Sum for $kind<S> {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                all.fold(Self::ZERO, Add::add)
            }
        }
    };
}
additive!(Length, inches, inches);
additive!(Area, square_feet, square_feet);

impl<S: Surface> Mul for Length<S> {
    type Output = Area<S>;
    fn mul(self, other: Self) -> Area<S> {
        Area::square_feet(self.to_feet() * other.to_feet())
    }
}
