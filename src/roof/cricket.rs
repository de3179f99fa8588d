//! Which openings take a cricket on their upper side, and whether it is drawn.

use super::{EdgeClass, Opening, Roof};
use crate::geometry::{Point, ring};

/// A chimney or other penetration wider than this across the fall is to have a cricket on its upper side, in inches
/// (IRC R903.2.2).
pub const CRICKET_OVER_IN: f64 = 30.0;
/// One drawn as wide as that is no wider, wherever its corners were rounded to: by this, in inches.
const AS_WIDE_IN: f64 = 1.0 / 16.0;
/// An edge that ends this near an opening's outline belongs to what is drawn round it, in feet.
const DRAWN_WITHIN_FT: f64 = 0.5;
/// Flashing above an opening shorter than this, in feet, is rounding.
const LEAST_FT: f64 = 1e-4;

impl Opening {
    /// Whether the code asks for a cricket above it: it is wider than [`CRICKET_OVER_IN`], a slope falls to it, which none
    /// does to one astride a ridge, and it is no skylight, whose frame is flashed as a unit.
    pub fn takes_cricket(&self) -> bool {
        self.width.to_inches() > CRICKET_OVER_IN + AS_WIDE_IN
            && self.head.to_feet() > LEAST_FT
            && !self.is_skylight()
    }

    /// Whether a corner of the roof, in plan feet, lies at its outline, within half a foot: an edge that ends there belongs to
    /// what is drawn round it.
    pub fn is_met_at(&self, corner: Point) -> bool {
        ring::sides(&self.outline).any(|(a, b)| corner.distance_to_segment(a, b) < DRAWN_WITHIN_FT)
    }
}

impl Roof {
    /// Whether a valley ends at an opening: its cricket is part of the plan.
    pub fn draws_cricket_of(&self, opening: &Opening) -> bool {
        self.edges
            .iter()
            .filter(|e| e.class == EdgeClass::Valley)
            .flat_map(|e| [e.start.plan(), e.end.plan()])
            .any(|end| opening.is_met_at(end))
    }
}
