//! A plane over the plan: z = gradient · p + offset.

use super::{Point, Vector};

/// A plane that is not vertical.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Plane {
    /// The direction of steepest rise; its length is rise over run.
    pub gradient: Vector,
    /// The height at the origin.
    pub offset: f64,
}

impl Plane {
    /// The height over a place.
    pub fn height_at(self, p: Point) -> f64 {
        self.gradient.x * p.x + self.gradient.y * p.y + self.offset
    }
    /// How far it is on the plane, straight up its gradient, to rise by so much, in the unit of `rise`: `rise` × √(1 + g²) / g
    /// for a rise over run of g; `None` on a level one.
    pub fn length_to_rise(self, rise: f64) -> Option<f64> {
        let steepness = self.gradient.length();
        let length = rise * steepness.hypot(1.0) / steepness;
        (steepness > 0.0 && length.is_finite()).then_some(length)
    }
}
