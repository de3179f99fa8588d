//! The pass over the XML before the SVG is resolved: what the resolver would lose is remembered, what it must not see
//! is taken out.
//!
//! Every drawing element gets an id that can be found again after styles, transforms and references are resolved.
//! Layer names, line numbers and markers are kept by that id. Patterns, filters, masks, markers, images, scripts and
//! foreign elements are cut out: they draw no roof line, and they are what hostile files are made of.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::Arc;

use usvg::roxmltree::{Document, Node, NodeType};

use super::clip_chain::Chains;
use super::element::{Element, Says};
use super::frame::{self, Frame};
use super::ids::Ids;
use super::layer::{self, NameRole, NameSays};
use super::lines::LineIndex;
use super::marker_shape::Marker;
use super::markers::{MarkerClasses, marker_classes};
use super::options::Limits;
use super::{
    LeftOut, boxed, css, css_colour, css_transform, effort, masked, names, numbers, reuse, spoken,
};
use crate::finding::excerpt;
use crate::place::Source;
use crate::{Finding, Place, Severity};

const SVG: &str = "http://www.w3.org/2000/svg";

/// What the pass makes of a file.
#[derive(Debug, Default)]
pub(super) struct Prepared {
    /// The SVG as the resolver may see it.
    pub(super) text: String,
    /// Elements by number.
    pub(super) elements: Vec<Element>,
    /// The number of an element by its id in `text`.
    pub(super) ids: Ids,
    /// Ids of patterns, now plain gradients: what is filled with one is hatched.
    pub(super) hatches: BTreeSet<String>,
    /// The root's size.
    pub(super) frame: Frame,
    pub(super) clip_chains: Chains,
    /// Words kept for shapes that may be their letters.
    pub(super) spoken: Vec<String>,
    pub(super) left_out: Vec<LeftOut>,
    pub(super) findings: Vec<Finding>,
}

/// Elements that draw, or hold what draws, and are handed on.
const KEPT: [&str; 20] = [
    "clipPath", "svg", "g", "a", "use", "symbol", "defs", "switch", "style", "path", "line",
    "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan", "textPath", "tref",
];
const DRAWING: [&str; 9] = [
    "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "use",
];
const GRADIENTS: [&str; 3] = ["linearGradient", "radialGradient", "stop"];

/// Runs the pass.
pub(super) fn prepare(
    text: &str,
    document: &Document<'_>,
    limits: &Limits,
) -> Result<Prepared, Vec<Finding>> {
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(vec![not_svg(&root)]);
    }
    reuse::check(document, limits).map_err(|f| vec![f])?;
    effort::check(document, limits).map_err(|f| vec![f])?;
    let mut pass = Pass {
        text,
        limits,
        lines: LineIndex::new(text),
        edits: Vec::new(),
        markers: marker_classes(document),
        masks: masked::masks(document),
        layers: names::layer_table(document),
        variables: css::Variables::of(text, document),
        errors: Vec::new(),
        drawing_elements: OnceCell::new(),
        roof_groups: OnceCell::new(),
        out: Prepared {
            ids: Ids::of(document),
            clip_chains: Chains::of(document),
            ..Prepared::default()
        },
    };
    pass.root(&root);
    let context = Context {
        says: Says::default(),
        names: Arc::from([]),
        layer: None,
        markers: Default::default(),
        spoken: None,
        masked: false,
    };
    pass.children(&root, &context, 1);
    if !pass.errors.is_empty() {
        return Err(pass.errors);
    }
    pass.out.text = apply(text, pass.edits);
    Ok(pass.out)
}

fn not_svg(root: &Node<'_, '_>) -> Finding {
    Finding::error(
        "not-svg",
        format!(
            "The file is XML but no SVG drawing: its outermost element is <{}>.",
            root.tag_name().name()
        ),
    )
    .remedy("Save or export the plan as SVG and give that file.")
}

/// What the groups around an element hand down.
#[derive(Clone)]
struct Context {
    says: Says,
    names: Arc<[String]>,
    layer: Option<Arc<str>>,
    markers: (Marker, Marker),
    spoken: Option<usize>,
    masked: bool,
}

struct Pass<'t> {
    text: &'t str,
    limits: &'t Limits,
    lines: LineIndex,
    edits: Vec<(Range<usize>, String)>,
    markers: MarkerClasses,
    masks: BTreeSet<String>,
    layers: BTreeMap<String, String>,
    variables: css::Variables,
    errors: Vec<Finding>,
    /// How many elements of the file draw something.
    drawing_elements: OnceCell<usize>,
    /// Where in the file groups stand that are called the roof, in bytes.
    roof_groups: OnceCell<Vec<Range<usize>>>,
    out: Prepared,
}

impl<'t> Pass<'t> {
    fn root(&mut self, root: &Node<'_, '_>) {
        let attribute = |name: &str| root.attribute(name);
        self.out.frame = frame::read(
            attribute("width"),
            attribute("height"),
            attribute("viewBox"),
            attribute("preserveAspectRatio"),
        );
        // The resolver is to work in the root's own user space, so it must not scale it to a page.
        for attribute in root.attributes().filter(|a| a.namespace().is_none()) {
            let name = attribute.name();
            let unwanted = match name {
                "width" | "height" => {
                    self.out.frame.view_box.is_some() || attribute.value().contains('%')
                }
                "viewBox" => self.out.frame.view_box.is_none(),
                "preserveAspectRatio" | "x" | "y" => true,
                _ => false,
            };
            if unwanted {
                self.edits.push((attribute.range(), String::new()));
            }
        }
    }

    fn children(&mut self, parent: &Node<'_, '_>, context: &Context, depth: usize) {
        for node in parent.children() {
            if !self.errors.is_empty() && self.errors.len() > 20 {
                return;
            }
            if node.is_element() {
                self.element(&node, context, depth);
            }
        }
    }

    fn element(&mut self, node: &Node<'_, '_>, context: &Context, depth: usize) {
        if self.too_much(node, depth) {
            return;
        }
        let name = node.tag_name().name();
        let foreign = node.tag_name().namespace().is_some_and(|ns| ns != SVG);
        if foreign || !(KEPT.contains(&name) || GRADIENTS.contains(&name)) {
            self.drop(node, context, name, foreign);
            return;
        }
        self.plain_styles(node);
        self.tell_clipped_clip(node);
        if GRADIENTS.contains(&name) || name == "style" {
            return;
        }
        let mut inner = self.context(node, context);
        if let Some(words) = spoken::words_of(node) {
            inner.spoken = Some(self.out.spoken.len());
            self.out.spoken.push(words);
        }
        self.remember(node, &inner);
        self.check_numbers(node, &inner);
        if name == "text" {
            self.text_lines(node);
        }
        self.children(node, &inner, depth + 1);
    }

    /// The first clip path inside a clip path that is not followed is told.
    fn tell_clipped_clip(&mut self, node: &Node<'_, '_>) {
        const CODE: &str = "clip-path-not-followed";
        if !self.out.clip_chains.lose(node) || self.out.findings.iter().any(|f| f.code == CODE) {
            return;
        }
        self.out.findings.push(
            Finding::warning(
                CODE,
                "A clip path, or a shape inside one, is clipped itself, which is not followed: what only that hides counts as seen.",
            )
            .remedy("Release the inner clip path, or save the drawing with its clipped shapes cut to what is seen.")
            .place(Place::of(&Arc::new(self.source(node, None)))),
        );
    }

    fn too_much(&mut self, node: &Node<'_, '_>, depth: usize) -> bool {
        let limit = if depth > self.limits.depth {
            Some(("too-deep", "groups nested deeper than", self.limits.depth))
        } else if self.out.elements.len() >= self.limits.elements {
            Some((
                "too-many-elements",
                "more elements than",
                self.limits.elements,
            ))
        } else {
            None
        };
        let Some((code, what, most)) = limit else {
            return false;
        };
        if !self.errors.iter().any(|e| e.code == code) {
            self.errors.push(
                Finding::error(code, format!("The drawing has {what} {most}."))
                    .remedy("Trace the roof in a new drawing, or remove what is no part of it.")
                    .place(Place::of(&Arc::new(self.source(node, None)))),
            );
        }
        true
    }

    /// What styles say in words that the resolver does not know is said in plain ones.
    fn plain_styles(&mut self, node: &Node<'_, '_>) {
        for attribute in node.attributes() {
            let mut value = self.plain_style(attribute.value());
            if attribute.name() == "style" {
                let known = value.as_deref().unwrap_or(attribute.value());
                match css_transform::plain(known) {
                    Ok(Some(plain)) => value = Some(plain),
                    Ok(None) => {}
                    Err(what) => self.errors.push(self.not_followed(node, &what)),
                }
            }
            if let Some(value) = value {
                self.edits.push((attribute.range_value(), escape(&value)));
            }
        }
        if node.tag_name().name() == "style" {
            for part in node.children().filter(Node::is_text) {
                self.plain_sheet(node, &part);
            }
        }
    }

    fn plain_style(&self, value: &str) -> Option<String> {
        let resolved = self.variables.resolved(value);
        let known = resolved.as_deref().unwrap_or(value);
        css_colour::plain(known).or(resolved)
    }

    /// Whether a rule of a style sheet applies to anything is not known here: what it says is told, not refused.
    fn plain_sheet(&mut self, node: &Node<'_, '_>, part: &Node<'_, '_>) {
        let Some(css) = part.text() else { return };
        let mut value = self.plain_style(css);
        match css_transform::plain(value.as_deref().unwrap_or(css)) {
            Ok(Some(plain)) => value = Some(plain),
            Ok(None) => {}
            Err(what) => {
                let mut told = self.not_followed(node, &what);
                told.severity = Severity::Warning;
                self.out.findings.push(told);
            }
        }
        if let Some(css) = value {
            self.edits.push((part.range(), escape(&css)));
        }
    }

    fn not_followed(&self, node: &Node<'_, '_>, what: &str) -> Finding {
        let source = Arc::new(self.source(node, None));
        Finding::error(
            "transform-not-followed",
            format!(
                "A <{}> {what}, which cannot be followed: its lines would be in a wrong place.",
                excerpt(&source.tag)
            ),
        )
        .remedy(
            "Save the drawing as plain SVG, with transforms as matrices or applied to the lines.",
        )
        .place(Place::of(&source))
    }

    /// Cuts an element out, telling what the eye would have seen of it.
    fn drop(&mut self, node: &Node<'_, '_>, context: &Context, name: &str, foreign: bool) {
        if !foreign && name == "pattern" {
            self.hatch(node);
            return;
        }
        if !foreign && matches!(name, "foreignObject" | "flowRoot") {
            self.boxed(node, name, context);
            return;
        }
        self.edits.push((node.range(), String::new()));
        if !foreign && name == "image" {
            self.out.left_out.push(LeftOut {
                place: Place::of(&Arc::new(self.source(node, None))),
                why: "a picture".to_string(),
            });
        }
    }

    /// Text in a box becomes plain text where the box shows it; a box without a place or without words goes.
    fn boxed(&mut self, node: &Node<'_, '_>, name: &str, context: &Context) {
        let text = match name {
            "flowRoot" => boxed::flowed(node),
            _ => boxed::web(node),
        };
        let Some(text) = text else {
            self.edits.push((node.range(), String::new()));
            return;
        };
        let inner = self.context(node, context);
        let id = self.out.ids.made(self.out.elements.len());
        let element = text.element(&id, &prefix_of(self.text, node));
        self.edits.push((node.range(), element));
        self.push(node, &inner);
    }

    /// A pattern becomes a gradient of the same id, so that what is filled with it stays a filled shape; in user space, since
    /// a line along an axis has no box to take shares of.
    fn hatch(&mut self, node: &Node<'_, '_>) {
        let Some(id) = node.attribute("id") else {
            self.edits.push((node.range(), String::new()));
            return;
        };
        self.out.hatches.insert(id.to_string());
        let prefix = prefix_of(self.text, node);
        let stop = |at: u8, colour: &str| {
            format!("<{prefix}stop offset=\"{at}\" stop-color=\"{colour}\"/>")
        };
        let gradient = format!(
            "<{prefix}linearGradient id=\"{}\" gradientUnits=\"userSpaceOnUse\" x2=\"1\">{}{}</{prefix}linearGradient>",
            escape(id),
            stop(0, "#888"),
            stop(1, "#777"),
        );
        self.edits.push((node.range(), gradient));
    }

    fn context(&self, node: &Node<'_, '_>, outer: &Context) -> Context {
        let names = names::of(node, &self.layers);
        let mut inner = outer.clone();
        let is_group = matches!(
            node.tag_name().name(),
            "g" | "svg" | "symbol" | "a" | "switch" | "use"
        );
        let said = names
            .iter()
            .map(|name| {
                (
                    names::said(name, node.tag_name().name(), is_group),
                    name.from_id,
                )
            })
            .find(|(said, _)| *said != NameSays::default())
            .filter(|(said, _)| !self.is_wrapper(node, said.role));
        if let Some((said, by_id)) = said {
            inner.says = outer.says.inside(said, by_id);
        }
        if is_group && let Some(name) = names.iter().find(|n| !n.made_up) {
            inner.layer = Some(layer::readable(&name.text).into());
        }
        if !names.is_empty() {
            let own = names.into_iter().map(|n| n.text);
            inner.names = own.chain(outer.names.iter().cloned()).collect();
        }
        inner.markers = self.markers.of(node, outer.markers);
        inner.masked |= masked::is_masked(node, &self.masks);
        inner
    }

    /// Whether a group is only the wrapper of the whole drawing: programs call that a frame or a sheet, and people title
    /// the whole roof plan so.
    fn is_wrapper(&self, group: &Node<'_, '_>, role: NameRole) -> bool {
        let percent = match role {
            role if role.is_left_out() => 80,
            NameRole::Roof => 98,
            _ => return false,
        };
        let inside = group.descendants().filter(draws).count();
        let all = || group.document().descendants().filter(draws).count();
        let is_most =
            inside > 5 && inside * 100 > *self.drawing_elements.get_or_init(all) * percent;
        // A grid may well be most of what is drawn; where the roof has a layer elsewhere, it is a grid and no wrapper.
        is_most && (role == NameRole::Roof || !self.has_roof_outside(group))
    }

    /// Whether a group that is called the roof stands outside another one.
    fn has_roof_outside(&self, group: &Node<'_, '_>) -> bool {
        let all = || {
            let groups = group.document().descendants();
            let groups = groups.filter(|n| n.tag_name().name() == "g");
            let roof = |node: &Node<'_, '_>| {
                let names = names::of(node, &self.layers);
                let mut said = names.iter().map(|name| names::said(name, "g", true));
                let said = said.find(|said| *said != NameSays::default());
                said.is_some_and(|said| said.role == NameRole::Roof)
            };
            groups.filter(roof).map(|n| n.range()).collect()
        };
        let within = group.range();
        let ranges: &Vec<Range<usize>> = self.roof_groups.get_or_init(all);
        ranges
            .iter()
            .any(|r| r.end <= within.start || within.end <= r.start)
    }

    fn remember(&mut self, node: &Node<'_, '_>, context: &Context) {
        self.give_id(node);
        self.push(node, context);
    }

    fn push(&mut self, node: &Node<'_, '_>, context: &Context) {
        self.out.elements.push(Element {
            source: Arc::new(self.source(node, context.layer.as_deref())),
            says: context.says,
            names: Arc::clone(&context.names),
            markers: context.markers,
            spoken: context.spoken,
            masked: context.masked,
        });
    }

    fn source(&self, node: &Node<'_, '_>, layer: Option<&str>) -> Source {
        let (line, column) = self.lines.place(self.text, node.range().start);
        Source {
            id: node
                .attribute("id")
                .filter(|i| !i.is_empty())
                .map(str::to_string),
            tag: tag_of(node),
            layer: layer.map(str::to_string),
            line,
            column,
        }
    }

    /// The next element keeps its id in the text handed on where it is the first to have it, else it gets a new one.
    fn give_id(&mut self, node: &Node<'_, '_>) {
        let element = self.out.elements.len();
        let own = node
            .attribute_node("id")
            .filter(|a| a.namespace().is_none());
        if let Some(attribute) = &own
            && self.out.ids.keep(attribute.value(), element)
        {
            return;
        }
        let id = self.out.ids.made(element);
        match own {
            Some(attribute) => {
                self.edits.push((attribute.range(), format!("id=\"{id}\"")));
            }
            None => {
                let at = node.range().start + 1 + qualified_name_length(self.text, node);
                self.edits.push((at..at, format!(" id=\"{id}\"")));
            }
        }
    }

    /// What stands in an attribute and is no number would quietly be taken for nothing: a line would start elsewhere. In what
    /// is left out anyway it is only told.
    fn check_numbers(&mut self, node: &Node<'_, '_>, context: &Context) {
        let tag = node.tag_name().name();
        for attribute in node.attributes().filter(|a| a.namespace().is_none()) {
            let (name, value) = (attribute.name(), attribute.value());
            // Groups and the like are placed by nothing else.
            if !(DRAWING.contains(&tag) || tag == "tspan" || name == "transform") {
                continue;
            }
            let Some(what) = numbers::fault(tag, name, value) else {
                if value.trim() != value && numbers::is_one_length(tag, name) {
                    let plain = value.trim().to_string();
                    self.edits.push((attribute.range_value(), plain));
                }
                continue;
            };
            if numbers::is_hidden(node) {
                continue;
            }
            let source = Arc::new(self.source(node, context.layer.as_deref()));
            let mut told = Finding::error(
                "bad-number",
                format!(
                    "The attribute {} of a <{}> {what}.",
                    excerpt(name),
                    excerpt(&source.tag)
                ),
            )
            .remedy("Delete the shape and draw it again, or mend the number.")
            .place(Place::of(&source));
            if context.says.role.is_left_out() {
                told.severity = Severity::Warning;
                self.out.findings.push(told);
            } else {
                self.errors.push(told);
            }
        }
    }

    /// A line feed between words parts lines for whoever wrote it; the resolver would make it a blank.
    fn text_lines(&mut self, text: &Node<'_, '_>) {
        for node in text
            .descendants()
            .filter(|n| n.node_type() == NodeType::Text)
        {
            let Some(content) = node.text() else { continue };
            let body = content.trim();
            if !body.contains(['\n', '\r', '\u{2028}']) {
                continue;
            }
            let parted: Vec<&str> = body.lines().map(str::trim).collect();
            let (head, tail) = content
                .find(body)
                .map_or(("", ""), |at| (&content[..at], &content[at + body.len()..]));
            let keep = |blank: &str| if blank.is_empty() { "" } else { " " }.to_string();
            let text = keep(head) + &escape(&parted.join("\u{2028}")) + &keep(tail);
            self.edits.push((node.range(), text));
        }
    }
}

/// The usual names cost no memory for each element.
fn tag_of(node: &Node<'_, '_>) -> Cow<'static, str> {
    let name = node.tag_name().name();
    match KEPT.iter().find(|k| **k == name) {
        Some(kept) => Cow::Borrowed(kept),
        None => Cow::Owned(name.to_string()),
    }
}

fn draws(node: &Node<'_, '_>) -> bool {
    DRAWING.contains(&node.tag_name().name())
}

fn qualified_name_length(text: &str, node: &Node<'_, '_>) -> usize {
    let tag = &text[node.range().start + 1..];
    tag.find(|c: char| c.is_whitespace() || c == '/' || c == '>')
        .unwrap_or(0)
}

/// `svg:` where the file writes its elements with a prefix.
fn prefix_of(text: &str, node: &Node<'_, '_>) -> String {
    let start = node.range().start + 1;
    let name = &text[start..start + qualified_name_length(text, node)];
    name.split_once(':')
        .map_or(String::new(), |(prefix, _)| format!("{prefix}:"))
}

pub(super) fn escape(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// Applies edits that do not overlap.
fn apply(text: &str, mut edits: Vec<(Range<usize>, String)>) -> String {
    edits.sort_by_key(|(range, _)| (range.start, range.end));
    let mut out = String::with_capacity(text.len() + edits.len() * 12);
    let mut at = 0;
    for (range, new) in edits {
        if range.start < at {
            continue;
        }
        out.push_str(&text[at..range.start]);
        out.push_str(&new);
        at = range.end;
    }
    out.push_str(&text[at..]);
    out
}
