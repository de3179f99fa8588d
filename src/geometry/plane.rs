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
}
