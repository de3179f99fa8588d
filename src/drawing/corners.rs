//! How many corners a drawing has, and on which layers: more than any plan needs are refused before they are resolved.

use std::collections::BTreeMap;
use std::sync::Arc;

use svgtypes::{NumberListParser, PathParser, PathSegment};
use usvg::roxmltree::{Document, Node};

use super::layer::{self, NameRole};
use super::names;
use super::options::Limits;
use super::xml::refused;
use crate::finding::excerpt;
use crate::place::Source;
use crate::units::number;
use crate::{Finding, Place};

/// Refuses more corners than the limit. Those on layers that are left out are resolved too, and cost as much as any; but a
/// survey beneath a plan may be larger than a plan: with those there may be as many as straight pieces.
pub(super) fn check(document: &Document<'_>, limits: &Limits) -> Result<(), Finding> {
    let elements = || document.descendants().filter(Node::is_element);
    let all: usize = elements().map(|node| corners_of(&node)).sum();
    if all <= limits.corners {
        return Ok(());
    }
    let table = names::layer_table(document);
    // In the order of the file a group comes before what it holds.
    let mut groups: BTreeMap<u32, (NameRole, Option<Arc<str>>)> = BTreeMap::new();
    let mut of_layers: BTreeMap<Option<Arc<str>>, usize> = BTreeMap::new();
    let mut largest: Option<(usize, Node<'_, '_>)> = None;
    let mut looked_at = 0;
    for node in elements() {
        let outer = node
            .parent()
            .and_then(|group| groups.get(&group.id().get()));
        let (mut role, mut layer) = outer.cloned().unwrap_or_default();
        let names = names::of(&node, &table);
        let is_group = node.tag_name().name() == "g";
        let said = |name| names::said(name, node.tag_name().name(), is_group).role;
        if let Some(own) = names.iter().map(said).find(|r| *r != NameRole::Unsaid) {
            role = own;
        }
        if is_group && let Some(name) = names.iter().find(|n| !n.made_up) {
            layer = Some(layer::readable(&name.text).into());
        }
        let corners = corners_of(&node);
        let is_left_out =
            role.is_left_out() || matches!(role, NameRole::Note | NameRole::Dimension);
        if !is_left_out {
            looked_at += corners;
        }
        if corners > 0 {
            *of_layers.entry(layer.clone()).or_default() += corners;
        }
        if largest.is_none_or(|(most, _)| corners > most) {
            largest = Some((corners, node));
        }
        if node.has_children() {
            groups.insert(node.id().get(), (role, layer));
        }
    }
    let told = if looked_at > limits.corners {
        refused(
            "too-many-pieces",
            "more corners in paths and lines than",
            limits.corners,
        )
    } else if all > limits.pieces {
        refused(
            "too-many-pieces",
            "more corners in paths and lines, with those on layers that are left out, than",
            limits.pieces,
        )
    } else {
        return Ok(());
    };
    let fullest = of_layers.into_iter().max_by_key(|(_, corners)| *corners);
    let told = match fullest {
        Some((Some(layer), corners)) => told.remedy(format!(
            "{} of its {} corners are on the layer “{}”: if that is no part of the roof, take it out of the drawing, or put it in as a picture; else trace the roof in a new drawing.",
            number::thousands(corners as u64),
            number::thousands(all as u64),
            excerpt(&layer)
        )),
        _ => told,
    };
    Err(match largest {
        Some((_, node)) => told.place(place_of(document, &node)),
        None => told,
    })
}

fn place_of(document: &Document<'_>, node: &Node<'_, '_>) -> Place {
    let at = document.text_pos_at(node.range().start);
    Place::of(&Arc::new(Source {
        line: at.row,
        column: at.col,
        tag: node.tag_name().name().to_owned().into(),
        ..Source::default()
    }))
}

/// The points that a path or a chain of lines is written with: its corners, and those that bend its curves.
fn corners_of(node: &Node<'_, '_>) -> usize {
    let value = |name: &str| node.attribute(name).unwrap_or_default();
    match node.tag_name().name() {
        "path" => {
            let steps = PathParser::from(value("d")).map_while(Result::ok);
            steps.map(|step| points_of(&step)).sum()
        }
        "polyline" | "polygon" => {
            let numbers = NumberListParser::from(value("points")).map_while(Result::ok);
            numbers.count() / 2
        }
        _ => 0,
    }
}

fn points_of(step: &PathSegment) -> usize {
    match step {
        PathSegment::CurveTo { .. } => 3,
        PathSegment::SmoothCurveTo { .. } | PathSegment::Quadratic { .. } => 2,
        PathSegment::ClosePath { .. } => 0,
        _ => 1,
    }
}
