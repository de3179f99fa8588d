//! What is done, in sentences: each of the lines of the order, and so of nothing that is in no price.

use std::collections::BTreeSet;

use super::cost::CostInputs;
use super::words::{Words, figure};
use super::{Item, MaterialLine};
use crate::roof::{EdgeClass, EdgeId};
use crate::units::number::{counted, listed};

/// What is done, one sentence each.
pub(super) fn scope(inputs: &CostInputs<'_>, words: Words) -> Vec<String> {
    let list = inputs.list;
    let order = Order { inputs };
    let mut said = Vec::new();
    if let Some(t) = list.tear_off {
        said.push(format!(
            "Take off {} of roofing from {} and haul it away.",
            counted(t.layers as usize, "layer"),
            words.squares(t.squares)
        ));
    }
    said.extend(order.shingles());
    if order
        .lines(Item::SelfAdhered)
        .any(|l| l.rules.contains(&"ice-barrier"))
    {
        said.push("Lay self-adhered sheet along the eaves against ice.".to_owned());
    }
    let edges: Vec<String> = [Item::DripEdgeEave, Item::DripEdgeRake]
        .into_iter()
        .filter_map(|item| order.edge_metal(item))
        .collect();
    if !edges.is_empty() {
        said.push(format!("Fit new edge metal to {}.", edges.join(" and ")));
    }
    let valleys = order.valleys_ft();
    if valleys > 0.0 {
        said.push(format!("Line {} of valley.", words.run(valleys)));
    }
    let has = |item: Item| order.lines(item).next().is_some();
    if [Item::StepFlashing, Item::SidewallFlashing, Item::Apron]
        .into_iter()
        .any(has)
    {
        let chimneys = if has(Item::Cricket) {
            ", with a cricket behind each wide chimney"
        } else {
            ""
        };
        said.push(format!("Flash walls and openings anew{chimneys}."));
    }
    if has(Item::PipeBoot) {
        said.push("Fit new boots to all pipes drawn.".to_owned());
    }
    if has(Item::RidgeVent) {
        said.push("Vent the ridges.".to_owned());
    }
    said
}

struct Order<'a> {
    inputs: &'a CostInputs<'a>,
}

impl<'a> Order<'a> {
    /// The lines of an item: one, or one a variant.
    fn lines(&self, item: Item) -> impl Iterator<Item = &'a MaterialLine> {
        let lines = self.inputs.list.lines.iter();
        lines.filter(move |l| l.key == item.key())
    }

    fn shingles(&self) -> Option<String> {
        let formats: Vec<String> = self
            .lines(Item::Shingles)
            .map(|l| l.item.to_lowercase())
            .collect();
        if formats.is_empty() {
            return None;
        }
        let besides: Vec<&str> = [
            (Item::Underlayment, "underlayment"),
            (Item::Starter, "starter"),
            (Item::Caps, "caps"),
        ]
        .into_iter()
        .filter(|(item, _)| self.lines(*item).next().is_some())
        .map(|(_, words)| words)
        .collect();
        let with = if besides.is_empty() {
            String::new()
        } else {
            format!(", with {}", listed(&besides, "and"))
        };
        Some(format!(
            "Lay {} on {}{with}.",
            formats.join(" and "),
            counted(self.inputs.faces().len(), "roof face"),
        ))
    }

    /// `80 ft of eave`: what of an edge metal's line lies on the roof, and along which edges.
    fn edge_metal(&self, item: Item) -> Option<String> {
        let line = self.lines(item).next()?;
        let classes: BTreeSet<EdgeClass> = (line.edges.iter())
            .filter_map(|at| self.edge(at).map(|(class, _)| class))
            .collect();
        let words: Vec<&str> = classes.into_iter().map(EdgeClass::words).collect();
        Some(format!(
            "{} {} of {}",
            figure(line.needed, 2),
            line.needed_unit,
            listed(&words, "and")
        ))
    }

    /// True length of the valleys that something is ordered for, in feet.
    fn valleys_ft(&self) -> f64 {
        let linings = [
            Item::SelfAdhered,
            Item::ValleySmoothRoll,
            Item::ValleyRoll,
            Item::ValleyMetal,
        ];
        let lined: BTreeSet<&(usize, EdgeId)> = linings
            .into_iter()
            .flat_map(|item| self.lines(item))
            .flat_map(|l| &l.edges)
            .collect();
        lined
            .into_iter()
            .filter_map(|at| self.edge(at))
            .filter(|(class, _)| *class == EdgeClass::Valley)
            .map(|(_, feet)| feet)
            .sum()
    }

    /// Class and true length, in feet, of an edge of one of the roofs.
    fn edge(&self, (roof, edge): &(usize, EdgeId)) -> Option<(EdgeClass, f64)> {
        let edge = self.inputs.roofs.get(*roof)?.edges.get(edge.0)?;
        Some((edge.class, edge.true_length.to_feet()))
    }
}
