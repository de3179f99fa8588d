//! Lines beside a layer that says roof: only the layer's own are the roof's, unless its faces lack some of the others.

use super::groups::Group;
use super::kinds::plan_area;
use super::rating::Rating;
use super::select::{Search, StrokeSet, looks_of};
use super::tell::several;
use crate::Finding;

impl Search<'_> {
    /// The choices where the lines of the roof's layer make a roof by themselves: these alone, but for lines without which
    /// pitches crowd in one of its faces, or faces have none. Pitches in faces that stand elsewhere are a table's or another
    /// building's.
    pub(super) fn with_what_the_layer_lacks(mut self, mut alone: StrokeSet) -> Vec<StrokeSet> {
        self.run();
        let none = vec![false; self.groups.len()];
        let Some((best, widest)) = self
            .best()
            .map(|(choice, rating)| (choice.clone(), *rating))
        else {
            return vec![alone];
        };
        let lacks = |r: &Rating| (r.labels_crowded, r.faces_unsuited);
        let mut needed = best.clone();
        let mut least = self.rate(&needed);
        for i in 0..needed.len() {
            if !std::mem::take(&mut needed[i]) {
                continue;
            }
            let without = self.rate(&needed);
            match lacks(&without) <= lacks(&least) {
                true => least = without,
                false => needed[i] = true,
            }
        }
        if needed == none || lacks(&least) >= lacks(&self.rate(&none)) {
            alone
                .findings
                .extend(self.left_beside(&best, &none, &widest));
            return vec![alone];
        }
        let beside = self.left_beside(&best, &needed, &widest);
        let groups: Vec<Group> = (self.groups.iter().zip(&needed))
            .filter(|(_, needed)| **needed)
            .map(|(group, _)| group.clone())
            .collect();
        let mut again = Search {
            groups: &groups,
            rated: std::collections::BTreeMap::new(),
            rings: std::collections::BTreeMap::new(),
            ..self
        };
        again.run();
        let mut sets = again.sets();
        let told = sets.iter_mut();
        told.for_each(|set| set.findings.extend(beside.clone()));
        sets
    }

    /// What is told of the lines that bound faces with pitches in them and are left out, since the layer does without them.
    fn left_beside(&mut self, best: &[bool], taken: &[bool], widest: &Rating) -> Option<Finding> {
        let more_sqft = widest.sqft() - self.rate(taken).sqft();
        let groups = self.groups.iter().zip(best.iter().zip(taken));
        let out: Vec<&Group> = groups
            .filter(|(_, (best, taken))| **best && !**taken)
            .map(|(group, _)| group)
            .collect();
        if out.is_empty() || more_sqft < 1.0 {
            return None;
        }
        let told = Finding::warning(
            "beside-the-roof-layer",
            format!(
                "Lines that are not on the roof's layer bound {} in plan with pitches of their own, and were left out: {}.",
                plan_area(more_sqft),
                looks_of(&out)
            ),
        )
        .remedy("If they are a part of the roof, draw them on the roof's layer; if not, draw them and their texts on a layer named note.");
        Some(several(told, self.places_of(&out)))
    }

    /// What is told of lines that are taken besides those of the roof's layer.
    pub(super) fn taken_besides_the_layer(&self, choice: &[bool]) -> Option<Finding> {
        let groups = self.groups.iter().zip(choice);
        let taken: Vec<&Group> = groups.filter(|(_, t)| **t).map(|(g, _)| g).collect();
        if self.said.is_empty() || taken.is_empty() {
            return None;
        }
        let told = Finding::warning(
            "taken-beside-the-roof-layer",
            format!(
                "The lines of the roof's layer alone leave pitches without a face of their own: others were taken with them, {}.",
                looks_of(&taken)
            ),
        )
        .remedy("If they are the roof's, draw them on its layer; if not, draw them on a layer named note.");
        Some(several(told, self.places_of(&taken)))
    }
}
