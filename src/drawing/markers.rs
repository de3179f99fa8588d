//! Which lines have a marker at their start or end, and which of these are arrow heads.

use std::collections::BTreeMap;

use usvg::roxmltree::{Document, Node};

use super::marker_shape::{self, Marker};

/// The markers of a drawing by their ids, and classes whose style puts one on the ends of a line.
#[derive(Debug, Default)]
pub(super) struct MarkerClasses {
    start: BTreeMap<String, Marker>,
    end: BTreeMap<String, Marker>,
    by_id: BTreeMap<String, Marker>,
}

pub(super) fn marker_classes(document: &Document<'_>) -> MarkerClasses {
    let mut classes = MarkerClasses::default();
    for marker in document
        .descendants()
        .filter(|n| n.tag_name().name() == "marker")
    {
        if let Some(id) = marker.attribute("id") {
            let first = classes.by_id.entry(id.to_string());
            first.or_insert_with(|| marker_shape::of(&marker));
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
                let shown = |marker: Option<Marker>| marker.filter(|m| *m != Marker::None);
                if let Some(start) = shown(start) {
                    classes.start.insert(class.to_string(), start);
                }
                if let Some(end) = shown(end) {
                    classes.end.insert(class.to_string(), end);
                }
            }
        }
    }
    classes
}

impl MarkerClasses {
    /// The marker that a reference leads to. One that is not in the file draws nothing.
    fn shown(&self, value: &str) -> Marker {
        let id = value
            .split_once("url(")
            .and_then(|(_, rest)| rest.split(')').next());
        let id = id.map(|id| id.trim_matches(|c: char| c.is_whitespace() || "\"'#".contains(c)));
        let marker = id.and_then(|id| self.by_id.get(id));
        marker.copied().unwrap_or_default()
    }

    /// What a style sets at start and end, `None` where it says nothing of it.
    fn markers_in(&self, style: &str) -> (Option<Marker>, Option<Marker>) {
        let mut found = (None, None);
        for declaration in style.split(';') {
            let Some((name, value)) = declaration.split_once(':') else {
                continue;
            };
            let set = Some(self.shown(value));
            match name.trim() {
                "marker-start" => found.0 = set,
                "marker-end" => found.1 = set,
                "marker" => found = (set, set),
                _ => {}
            }
        }
        found
    }

    /// The markers at start and end of an element, `outer` those of the group round it.
    pub(super) fn of(&self, node: &Node<'_, '_>, outer: (Marker, Marker)) -> (Marker, Marker) {
        let mut markers = outer;
        let mut take = |(start, end): (Option<Marker>, Option<Marker>)| {
            markers.0 = start.unwrap_or(markers.0);
            markers.1 = end.unwrap_or(markers.1);
        };
        let attribute = |name: &str| node.attribute(name).map(|v| self.shown(v));
        take((attribute("marker-start"), attribute("marker-end")));
        if let Some(class) = node.attribute("class")
            && !(self.start.is_empty() && self.end.is_empty())
        {
            let of = |set: &BTreeMap<String, Marker>| {
                let mut set_by = class.split_whitespace().filter_map(|c| set.get(c));
                set_by.next().copied()
            };
            take((of(&self.start), of(&self.end)));
        }
        if let Some(style) = node.attribute("style")
            && style.contains("marker")
        {
            take(self.markers_in(style));
        }
        markers
    }
}
