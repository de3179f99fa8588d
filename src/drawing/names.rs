//! The names that an element bears, wherever programs put them.

use std::collections::BTreeMap;

use usvg::roxmltree::{Document, Node};

use super::layer::{self, NameRole, NameSays};

const INKSCAPE: &str = "http://www.inkscape.org/namespaces/inkscape";

/// A name that an element bears.
#[derive(Debug)]
pub(super) struct Name {
    pub(super) text: String,
    /// It is an id, which programs write too.
    pub(super) from_id: bool,
    /// It tells nobody anything.
    pub(super) made_up: bool,
}

/// What a name says about the element that bears it. An id is weaker than a name that somebody typed: `text12`,
/// `roof-edge-3` and `chimney` on a single shape are no layers: nothing is cut out of a face on the word of an id.
pub(super) fn said(name: &Name, tag: &str, is_group: bool) -> NameSays {
    if name.made_up || (name.from_id && tag == "text") {
        return NameSays::default();
    }
    let mut said = layer::read_name(&name.text);
    let weak = matches!(
        said.role,
        NameRole::Roof | NameRole::Note | NameRole::Opening | NameRole::Pipe
    );
    if name.from_id && !is_group && weak {
        said.role = NameRole::Unsaid;
    }
    said
}

/// The names of an element, the best first. `layers` is the drawing's table of layers.
pub(super) fn of(node: &Node<'_, '_>, layers: &BTreeMap<String, String>) -> Vec<Name> {
    let mut names = Vec::new();
    let mut push = |text: Option<&str>, from_id: bool| {
        if let Some(text) = text.map(str::trim).filter(|t| !t.is_empty()) {
            names.push(Name {
                made_up: from_id && layer::is_made_up(text),
                text: text.to_string(),
                from_id,
            });
        }
    };
    push(node.attribute((INKSCAPE, "label")), false);
    push(node.attribute("data-name"), false);
    for attribute in node.attributes() {
        let local = matches!(
            attribute.name(),
            "id" | "layerName" | "layername" | "name" | "label"
        );
        if attribute.namespace().is_some_and(|ns| ns != INKSCAPE) && local {
            push(Some(attribute.value()), false);
        }
        if attribute.name() == "layerMember"
            && let Some(name) = layers.get(attribute.value().trim())
        {
            push(Some(name), false);
        }
    }
    // A symbol's title names the symbol, not what a use of it is in this drawing.
    if !matches!(node.tag_name().name(), "text" | "symbol") {
        push(title_of(node), false);
    }
    push(node.attribute("data-layer"), false);
    if node.tag_name().name() == "g" {
        push(node.attribute("aria-label"), false);
    }
    push(node.attribute("id"), true);
    names
}

fn title_of<'a>(node: &Node<'a, '_>) -> Option<&'a str> {
    let title = node
        .children()
        .filter(Node::is_element)
        .take(3)
        .find(|c| c.tag_name().name() == "title")?;
    title.text()
}

/// Layer names by number, where a table of layers stands apart from the shapes.
pub(super) fn layer_table(document: &Document<'_>) -> BTreeMap<String, String> {
    let mut table = BTreeMap::new();
    for node in document
        .descendants()
        .filter(|n| n.tag_name().name() == "layer")
    {
        let value = |name: &str| {
            node.attributes()
                .find(|a| a.name() == name)
                .map(|a| a.value().to_string())
        };
        if let (Some(index), Some(name)) = (value("index"), value("name")) {
            table.insert(index, name);
        }
    }
    table
}
