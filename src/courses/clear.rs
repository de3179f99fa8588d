//! How far the joints of two courses keep from each other, and of a shingle with cutouts these too: through a cutout
//! water reaches the course below as it does through a joint.

use super::{LayRules, ShingleFormat};

/// The distances that a course keeps from another, in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Clear {
    /// From any joint to any joint.
    pub(super) joint: f64,
    /// From any joint or cutout to any joint or cutout, where shingles have cutouts and the rule asks for it.
    pub(super) cutouts: Option<Cutouts>,
}

/// Cutouts lie at every joint and between joints at equal distances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cutouts {
    /// Width of a tab.
    pub(super) every: f64,
    /// How far off those of the other course lie.
    pub(super) distance: f64,
}

impl Cutouts {
    /// What a format's cutouts keep from those of the next course; `None` for a plain shingle.
    pub(super) fn of(format: &ShingleFormat, rules: &LayRules) -> Option<Self> {
        Some(Self {
            every: format.tab_width_in()?,
            distance: rules.cutout_distance_in(format)?,
        })
    }

    /// How near cutouts come to those of another course whose joints lie so far to the right.
    pub(super) fn nearest(&self, off: f64) -> f64 {
        let round = off.rem_euclid(self.every);
        round.min(self.every - round)
    }
}

impl Clear {
    /// Joints alone.
    pub(super) fn of_joints(distance: f64) -> Self {
        Self {
            joint: distance,
            cutouts: None,
        }
    }

    /// What one joint keeps others off: itself, and the cutouts up to the next joint, as how far they lie from it and the
    /// distance to keep from them. No cutout asks for more at the joint itself than the joint does.
    pub(super) fn marks(&self, width: f64) -> impl Iterator<Item = (f64, f64)> + use<> {
        let joint = self.joint;
        let (tabs, every, distance) = self.cutouts.map_or((1, 0.0, 0.0), |c| {
            ((width / c.every).round() as usize, c.every, c.distance)
        });
        (0..tabs.max(1)).map(move |tab| match tab {
            0 => (0.0, joint),
            _ => (tab as f64 * every, distance),
        })
    }

    /// How far from a joint to one side (−1 is left) the places begin that keep off it, once round the shingle.
    pub(super) fn offs(&self, side: f64, width: f64) -> impl Iterator<Item = f64> + use<> {
        self.marks(width)
            .map(move |(at, distance)| at + side * distance)
    }
}
