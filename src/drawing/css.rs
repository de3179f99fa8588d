//! Style functions that the resolver does not know: `var(--name)` and `light-dark(a, b)`.

use std::collections::BTreeMap;

use usvg::roxmltree::Document;

/// The values of custom properties, wherever in the file they are set.
#[derive(Debug, Default)]
pub(super) struct Variables(BTreeMap<String, String>);

impl Variables {
    pub(super) fn of(text: &str, document: &Document<'_>) -> Self {
        let mut all = BTreeMap::new();
        if !text.contains("--") {
            return Self(all);
        }
        for node in document.descendants() {
            if let Some(style) = node.attribute("style") {
                collect(style, &mut all);
            }
            if node.tag_name().name() == "style" {
                let css: String = node.children().filter_map(|c| c.text()).collect();
                css.split(['{', '}'])
                    .for_each(|part| collect(part, &mut all));
            }
        }
        Self(all)
    }

    /// The value with functions replaced by what they stand for on a light page; `None` when there is none in it.
    pub(super) fn resolved(&self, value: &str) -> Option<String> {
        if !calls(value, &["var(", "light-dark("]) {
            return None;
        }
        let mut out = value.to_string();
        // A variable may hold another; a few rounds settle what sane files have.
        for _ in 0..32 {
            let Some((start, name)) = innermost(&out) else {
                break;
            };
            let open = start + name.len() + 1;
            let Some(end) = closing(&out, open) else {
                break;
            };
            let body = out[open..end].to_string();
            let new = self.call(name, &body);
            out.replace_range(start..=end, &new);
        }
        Some(out)
    }

    fn call(&self, name: &str, body: &str) -> String {
        let (first, second) = match split_top(body) {
            Some((a, b)) => (a.trim(), Some(b.trim())),
            None => (body.trim(), None),
        };
        if name == "light-dark" {
            return first.to_string();
        }
        self.0
            .get(first)
            .cloned()
            .or(second.map(str::to_string))
            .unwrap_or_else(|| "none".to_string())
    }
}

/// Whether one of the functions is called. Nearly no value holds a bracket: every value of every element is looked at.
pub(super) fn calls(css: &str, functions: &[&str]) -> bool {
    css.contains('(')
        && css.match_indices('(').any(|(bracket, _)| {
            let called = &css[..=bracket];
            functions.iter().any(|name| called.ends_with(name))
        })
}

fn collect(style: &str, all: &mut BTreeMap<String, String>) {
    for declaration in style.split(';') {
        if let Some((name, value)) = declaration.split_once(':')
            && name.trim().starts_with("--")
        {
            all.entry(name.trim().to_string())
                .or_insert_with(|| value.trim().to_string());
        }
    }
}

fn innermost(text: &str) -> Option<(usize, &'static str)> {
    ["var", "light-dark"]
        .into_iter()
        .filter_map(|name| Some((text.rfind(&format!("{name}("))?, name)))
        .max()
}

fn closing(text: &str, open: usize) -> Option<usize> {
    let mut depth = 1;
    for (i, c) in text[open..].char_indices() {
        match c {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return Some(open + i);
        }
    }
    None
}

/// Splits at the first comma that stands in no bracket.
fn split_top(body: &str) -> Option<(&str, &str)> {
    let mut depth = 0;
    for (i, c) in body.char_indices() {
        match c {
            '(' => depth += 1,
            ')' => depth -= 1,
            ',' if depth == 0 => return Some((&body[..i], &body[i + 1..])),
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn variables_and_light_dark_pairs_become_plain_values() {
        let mut all = BTreeMap::new();
        collect("--ink: #102030; --w: 2", &mut all);
        let variables = Variables(all);
        let value = |v: &str| variables.resolved(v);
        assert_eq!(
            value("stroke:var(--ink)").as_deref(),
            Some("stroke:#102030")
        );
        assert_eq!(value("var(--none, red)").as_deref(), Some("red"));
        assert_eq!(
            value("fill:light-dark(rgb(0, 0, 0), var(--ink))").as_deref(),
            Some("fill:rgb(0, 0, 0)")
        );
        assert_eq!(value("stroke:red"), None);
    }
}
