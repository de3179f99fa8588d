//! What costs the resolver more than its size in the file: letters, style rules, corners, and clip paths made anew for each
//! shape.

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
use crate::{Finding, Place};

/// Letters along a path cost more the more there are; nobody writes so many.
const ALONG_A_PATH: usize = 2_000;

/// Letters of one text cost more the more there are, by the square: half a second for these.
const IN_ONE_TEXT: usize = 20_000;

/// Each style rule is put among all others, however few elements there are: a second for these.
const STYLE_RULES: usize = 10_000;

/// Bytes of clip paths that are made anew for each element, times elements.
const CLIPPING: usize = 256 << 20;

/// Refuses drawings with more text, more corners, or more style rules for their elements, than the limits; and clip paths in
/// shares of what they clip that multiply.
pub(super) fn check(document: &Document<'_>, limits: &Limits) -> Result<(), Finding> {
    let (mut elements, mut letters, mut rules) = (0_usize, 0_usize, 0_usize);
    let mut clipping = 0_usize;
    let mut of_text: BTreeMap<u32, usize> = BTreeMap::new();
    check_corners(document, limits)?;
    for node in document.descendants() {
        if !node.is_text() {
            elements += usize::from(node.is_element());
            clipping = clipping.max(bytes_made_anew(&node));
            continue;
        }
        let inside = |name: &str| node.ancestors().any(|a| a.tag_name().name() == name);
        let text = node.text().unwrap_or_default();
        if inside("style") {
            rules += text.matches('{').count();
        } else if text.len() > 64 || !text.trim().is_empty() {
            let count = text.trim().chars().count();
            if count > ALONG_A_PATH && inside("textPath") {
                return Err(refused(
                    "too-much-text",
                    "more letters along a path than",
                    ALONG_A_PATH,
                ));
            }
            let texts = node.ancestors().filter(|a| a.tag_name().name() == "text");
            if let Some(text) = texts.last() {
                letters += count;
                *of_text.entry(text.id().get()).or_default() += count;
            }
        }
    }
    if letters > limits.letters {
        return Err(refused(
            "too-much-text",
            "more letters than",
            limits.letters,
        ));
    }
    if of_text.values().any(|&count| count > IN_ONE_TEXT) {
        return Err(refused(
            "too-much-text",
            "more letters in one text than",
            IN_ONE_TEXT,
        ));
    }
    if rules > STYLE_RULES {
        return Err(refused(
            "too-many-styles",
            "more style rules than",
            STYLE_RULES,
        ));
    }
    if rules.saturating_mul(elements) > limits.styling {
        return Err(refused(
            "too-many-styles",
            "more style rules for its elements than",
            limits.styling / elements.max(1),
        ));
    }
    if clipping.saturating_mul(elements) > CLIPPING {
        return Err(refused(
            "too-much-clipping",
            "clip paths in shares of their shapes, in bytes for each, more than",
            CLIPPING / elements.max(1),
        ));
    }
    Ok(())
}

/// Refuses more corners than the limit. Those on layers that are left out are resolved too, and cost as much as any; but a
/// survey beneath a plan may be larger than a plan: with those there may be as many as straight pieces.
fn check_corners(document: &Document<'_>, limits: &Limits) -> Result<(), Finding> {
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
            "{corners} of its {all} corners are on the layer “{}”: if that is no part of the roof, take it out of the drawing, or put it in as a picture; else trace the roof in a new drawing.",
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

/// The size of a clip path in shares of the clipped shape's box, which is worked out for each shape; what it uses from
/// elsewhere may be anything in the file.
fn bytes_made_anew(node: &Node<'_, '_>) -> usize {
    if node.tag_name().name() != "clipPath"
        || node.attribute("clipPathUnits") != Some("objectBoundingBox")
    {
        return 0;
    }
    let uses = node.descendants().any(|n| n.tag_name().name() == "use");
    if uses {
        node.document().input_text().len()
    } else {
        node.range().len()
    }
}
