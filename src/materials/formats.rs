//! The shingle formats of a job: one as a rule; where roofs of one job have several, each is an item of its own.

use super::item::Item;
use super::need::Need;
use crate::courses::{Courses, ShingleFormat};
use crate::roof::Roof;

/// The formats, each once, in the order of the roofs.
pub(super) struct Formats<'a> {
    formats: Vec<&'a ShingleFormat>,
}

impl<'a> Formats<'a> {
    pub(super) fn of(roofs: &[(&'a Roof, &'a Courses)]) -> Self {
        let mut formats: Vec<&ShingleFormat> = Vec::new();
        for (_, courses) in roofs {
            if !formats.iter().any(|f| f.name == courses.format.name) {
                formats.push(&courses.format);
            }
        }
        Self { formats }
    }

    /// Marks a need of shingles with its format: a bundle of one is not a bundle of another.
    pub(super) fn tell_apart(need: &mut Need, format: &ShingleFormat) {
        if need.item == Item::Shingles {
            need.variant.clone_from(&format.name);
        }
    }

    /// The format that a line of shingles is of.
    pub(super) fn of_variant(&self, variant: &str) -> Option<&'a ShingleFormat> {
        let named = self.formats.iter().find(|f| f.name == variant);
        named.or_else(|| self.formats.first()).copied()
    }
}
