//! A total that is the sum of the faces stated with it: it is rounded by as much as they are together, and tells no more than they do.

use std::collections::BTreeMap;

use super::compare::ROUNDED;
use super::stated::{Stated, Subject, SurfaceSaid};
use crate::roof::{FaceId, Roof};

/// What the faces that are stated come to, on each surface on which all of them are.
pub(super) struct Sums {
    /// By whether it is in plan.
    all: BTreeMap<bool, Sum>,
}

#[derive(Clone, Copy, Default)]
struct Sum {
    sqft: f64,
    half_steps_sqft: f64,
}

impl Sums {
    pub(super) fn of(roof: &Roof, stated: &[Stated]) -> Self {
        let mut faces: BTreeMap<bool, BTreeMap<FaceId, Vec<&Stated>>> = BTreeMap::new();
        for s in stated {
            if let Subject::Face(face) = s.subject {
                let of_surface = faces.entry(is_plan(s.surface)).or_default();
                of_surface.entry(face).or_default().push(s);
            }
        }
        let whole = faces.into_iter().filter(|(_, of)| {
            of.len() == roof.faces.len() && of.values().all(|all| all.len() == 1)
        });
        let all = whole.map(|(plan, of)| {
            let sum = of.values().flatten().fold(Sum::default(), |sum, s| Sum {
                sqft: sum.sqft + s.sqft,
                half_steps_sqft: sum.half_steps_sqft + s.half_step_sqft,
            });
            (plan, sum)
        });
        Self { all: all.collect() }
    }

    /// The sum that a stated figure is; `None` for a face, and for a total that is another figure.
    fn sum(
        &self,
        subject: Subject,
        surface: SurfaceSaid,
        sqft: f64,
        half_step_sqft: f64,
    ) -> Option<Sum> {
        let sum = self.all.get(&is_plan(surface)).copied()?;
        let is_it = (sqft - sum.sqft).abs() <= half_step_sqft * (1.0 + ROUNDED);
        (subject == Subject::Roof && is_it).then_some(sum)
    }

    /// How far a figure may be rounded: a total that was added up from rounded faces by as much as all of them.
    pub(super) fn half_step_sqft(&self, stated: &Stated) -> f64 {
        let own = stated.half_step_sqft;
        let sum = self.sum(stated.subject, stated.surface, stated.sqft, own);
        sum.map_or(own, |sum| own.max(sum.half_steps_sqft))
    }

    /// Whether a figure is the sum of others that are stated.
    pub(super) fn is_sum(
        &self,
        subject: Subject,
        surface: SurfaceSaid,
        sqft: f64,
        half_step_sqft: f64,
    ) -> bool {
        self.sum(subject, surface, sqft, half_step_sqft).is_some()
    }
}

fn is_plan(surface: SurfaceSaid) -> bool {
    surface == SurfaceSaid::Plan
}
