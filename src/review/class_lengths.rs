//! The roof's length of each class of edges, worked out once for a review.

use std::collections::BTreeMap;

use super::SurfaceSaid;
use crate::roof::{EdgeClass, Roof};

/// The length of all edges of each class.
pub(super) struct ClassLengths {
    /// On the slope and in plan, in feet.
    feet: BTreeMap<EdgeClass, [f64; 2]>,
}

impl ClassLengths {
    pub(super) fn of(roof: &Roof) -> Self {
        let both = |class: EdgeClass| {
            [
                roof.true_length(class).to_feet(),
                roof.plan_length(class).to_feet(),
            ]
        };
        let all = EdgeClass::ALL.into_iter();
        Self {
            feet: all.map(|class| (class, both(class))).collect(),
        }
    }

    /// In feet; none of a class that the roof does not have.
    pub(super) fn feet(&self, class: EdgeClass, surface: SurfaceSaid) -> f64 {
        let [on_slope, in_plan] = self.feet.get(&class).copied().unwrap_or_default();
        match surface {
            SurfaceSaid::True => on_slope,
            SurfaceSaid::Plan => in_plan,
        }
    }
}
