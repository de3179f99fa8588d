//! Which lines have a marker at their start or end.

use std::collections::BTreeSet;

use usvg::roxmltree::{Document, Node};

/// Classes whose style puts a marker on the ends of a line, and markers that draw nothing.
#[derive(Debug, Default)]
pub(super) struct MarkerClasses {
    start: BTreeSet<String>,
    end: BTreeSet<String>,
    empty: BTreeSet<String>,
}

/// Whether a marker has a shape in it that draws more than a point.
fn draws_something(marker: &Node<'_, '_>) -> bool {
    marker.descendants().any(|n| match n.tag_name().name() {
        "path" => n.attribute("d").is_some_and(|d| {
            d.contains(|c: char| c.is_ascii_alphabetic() && !"mMzZeE".contains(c))
        }),
        "polyline" | "polygon" | "line" | "circle" | "ellipse" | "rect" | "use" => true,
        _ => false,
    })
}

pub(super) fn marker_classes(document: &Document<'_>) -> MarkerClasses {
    let mut classes = MarkerClasses::default();
    for marker in document
        .descendants()
        .filter(|n| n.tag_name().name() == "marker")
    {
        if let Some(id) = marker.attribute("id")
            && !draws_something(&marker)
        {
            classes.empty.insert(id.to_string());
        }
    }
    for style in document
        .descendants()
        .filter(|n| n.tag_name().name() == "style")
    {
        let css: String = style.children().filter_map(|c| c.text()).collect();
        for rule in css.split('}') {
            let Some((selectors, body)) = rule.split_once('{') else {
                continue;
            };
            let (start, end) = classes.markers_in(body);
            for class in selectors.split(|c: char| !(c.is_alphanumeric() || "._-".contains(c))) {
                let Some(class) = class.rsplit_once('.').map(|(_, c)| c) else {
                    continue;
                };
                if start == Some(true) {
                    classes.start.insert(class.to_string());
                }
                if end == Some(true) {
                    classes.end.insert(class.to_string());
                }
            }
        }
    }
    classes
}

impl MarkerClasses {
    /// Whether a marker reference draws something.
    fn shows(&self, value: &str) -> bool {
        let id = value
            .trim()
            .trim_start_matches("url(")
            .trim_end_matches(')')
            .trim_matches(['"', '\'', '#']);
        id != "none" && !id.is_empty() && !self.empty.contains(id)
    }

    /// Whether a style sets (or unsets) markers at start and end.
    fn markers_in(&self, style: &str) -> (Option<bool>, Option<bool>) {
        let mut found = (None, None);
        for declaration in style.split(';') {
            let Some((name, value)) = declaration.split_once(':') else {
                continue;
            };
            let set = Some(self.shows(value));
            match name.trim() {
                "marker-start" => found.0 = set,
                "marker-end" => found.1 = set,
                "marker" => found = (set, set),
                _ => {}
            }
        }
        found
    }

    pub(super) fn of(&self, node: &Node<'_, '_>, outer: (bool, bool)) -> (bool, bool) {
        let mut markers = outer;
        let mut take = |(start, end): (Option<bool>, Option<bool>)| {
            markers.0 = start.unwrap_or(markers.0);
            markers.1 = end.unwrap_or(markers.1);
        };
        let attribute = |name: &str| node.attribute(name).map(|v| self.shows(v));
        take((attribute("marker-start"), attribute("marker-end")));
        if let Some(class) = node.attribute("class")
            && !(self.start.is_empty() && self.end.is_empty())
        {
            let has = |set: &BTreeSet<String>| class.split_whitespace().any(|c| set.contains(c));
            take((
                has(&self.start).then_some(true),
                has(&self.end).then_some(true),
            ));
        }
        if let Some(style) = node.attribute("style")
            && style.contains("marker")
        {
            take(self.markers_in(style));
        }
        markers
    }
}
