//! The pitch of a face: rise over run.

use super::{Area, Plan, True};

/// A pitch, kept as rise per unit of run. 6 in 12 is 0.5; never the old "rise over span" fraction.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Pitch {
    rise_per_run: f64,
}

impl Pitch {
    /// Level.
    pub const FLAT: Self = Self { rise_per_run: 0.0 };

    /// From rise over run, both in the same unit.
    pub const fn rise_per_run(rise_per_run: f64) -> Self {
        Self { rise_per_run }
    }
    /// From inches of rise in 12 inches of run.
    pub const fn in_12(rise: f64) -> Self {
        Self::rise_per_run(rise / 12.0)
    }
    /// From the angle to the horizontal, in degrees.
    pub fn degrees(degrees: f64) -> Self {
        Self::rise_per_run(degrees.to_radians().tan())
    }
    /// As rise over run.
    pub const fn to_rise_per_run(self) -> f64 {
        self.rise_per_run
    }
    /// As rise in 12.
    pub const fn to_in_12(self) -> f64 {
        self.rise_per_run * 12.0
    }
    /// As the angle to the horizontal, in degrees.
    pub fn to_degrees(self) -> f64 {
        self.rise_per_run.atan().to_degrees()
    }
    /// True over plan along the fall, and for areas: √(1 + m²).
    ///
    /// ```
    /// use eavewright::units::Pitch;
    /// assert!((Pitch::in_12(6.0).slope_factor() - 1.118034).abs() < 1e-6);
    /// ```
    pub fn slope_factor(self) -> f64 {
        1.0_f64.hypot(self.rise_per_run)
    }
    /// The area on the slope over a plan area: plan × √(1 + m²).
    pub fn true_area(self, plan: Area<Plan>) -> Area<True> {
        Area::square_feet(plan.to_square_feet() * self.slope_factor())
    }
}
