//! Text in boxes that SVG viewers lay out by themselves: flowed text of older files and web text in `foreignObject`.
//!
//! Both become plain text elements at the place where the box shows its words.

use usvg::roxmltree::Node;

use super::prepass::escape;

/// A text to be set in place of a box.
#[derive(Debug, PartialEq)]
pub(super) struct BoxedText {
    lines: Vec<String>,
    x: f64,
    /// The middle of all lines.
    middle: f64,
    size: f64,
    anchor: &'static str,
    style: String,
    transform: String,
}

impl BoxedText {
    /// As an SVG element with the id and the name prefix.
    pub(super) fn element(&self, id: &str, prefix: &str) -> String {
        const LEADING: f64 = 1.2;
        let first = self.middle - (self.lines.len() as f64 - 1.0) / 2.0 * LEADING * self.size
            + 0.36 * self.size;
        let lines: String = self
            .lines
            .iter()
            .enumerate()
            .map(|(i, line)| {
                let y = first + i as f64 * LEADING * self.size;
                format!(
                    "<{prefix}tspan x=\"{}\" y=\"{y}\">{}</{prefix}tspan>",
                    self.x,
                    escape(line)
                )
            })
            .collect();
        format!(
            "<{prefix}text id=\"{id}\" transform=\"{}\" style=\"font-size:{}px;text-anchor:{};fill:#000;{}\">{lines}</{prefix}text>",
            escape(&self.transform),
            self.size,
            self.anchor,
            escape(&self.style),
        )
    }
}

/// Old flowed text: paragraphs in a region.
pub(super) fn flowed(node: &Node<'_, '_>) -> Option<BoxedText> {
    let region = node
        .descendants()
        .filter(|n| n.tag_name().name() == "flowRegion")
        .flat_map(|r| r.descendants())
        .find(|n| n.tag_name().name() == "rect")?;
    let number = |name: &str| region.attribute(name).and_then(length);
    let (x, y, width) = (number("x")?, number("y")?, number("width")?);
    let lines: Vec<String> = node
        .descendants()
        .filter(|n| matches!(n.tag_name().name(), "flowPara" | "flowDiv"))
        .map(|p| words(&p))
        .filter(|l| !l.is_empty())
        .collect();
    if lines.is_empty() {
        return None;
    }
    let style = node.attribute("style").unwrap_or_default();
    let size = font_size(style)
        .or_else(|| node.attribute("font-size").and_then(length))
        .unwrap_or(12.0);
    let (anchor, x) = match property(style, "text-align").or_else(|| property(style, "text-anchor"))
    {
        Some("center" | "middle") => ("middle", x + width / 2.0),
        Some("end" | "right") => ("end", x + width),
        _ => ("start", x),
    };
    // Flowed text fills its region from the top.
    let middle = y + lines.len() as f64 * 0.6 * size;
    Some(BoxedText {
        lines,
        x,
        middle,
        size,
        anchor,
        style: visible_style(style),
        transform: node.attribute("transform").unwrap_or_default().to_string(),
    })
}

/// Web text in a box. Diagram programs place it with padding and margin; else it stands in the middle of its box.
pub(super) fn web(node: &Node<'_, '_>) -> Option<BoxedText> {
    let lines = web_lines(node);
    if lines.is_empty() {
        return None;
    }
    let styles: Vec<&str> = node
        .descendants()
        .filter_map(|n| n.attribute("style"))
        .collect();
    let size = styles
        .iter()
        .filter_map(|s| font_size(s))
        .rfind(|&s| s > 0.0)
        .unwrap_or(12.0);
    let placed = styles.iter().find_map(|s| padded(s, size, lines.len()));
    let (x, middle, anchor) = placed.or_else(|| boxed(node))?;
    Some(BoxedText {
        lines,
        x,
        middle,
        size,
        anchor,
        style: String::new(),
        transform: node.attribute("transform").unwrap_or_default().to_string(),
    })
}

/// A flex box of height 1 at `margin-left`, `padding-top`.
fn padded(style: &str, size: f64, lines: usize) -> Option<(f64, f64, &'static str)> {
    let number = |name: &str| property(style, name).and_then(length);
    let (left, top) = (number("margin-left")?, number("padding-top")?);
    let width = number("width").unwrap_or(0.0);
    let half = lines as f64 * 0.6 * size;
    let says = |name: &str, word: &str| property(style, name).is_some_and(|v| v.contains(word));
    let middle = if says("align-items", "flex-end") {
        top - half
    } else if says("align-items", "flex-start") {
        top + half
    } else {
        top
    };
    Some(if says("justify-content", "flex-start") {
        (left, middle, "start")
    } else if says("justify-content", "flex-end") {
        (left + width, middle, "end")
    } else {
        (left + width / 2.0, middle, "middle")
    })
}

fn boxed(node: &Node<'_, '_>) -> Option<(f64, f64, &'static str)> {
    let number = |name: &str| node.attribute(name).and_then(length);
    let (width, height) = (number("width")?, number("height")?);
    let (x, y) = (number("x").unwrap_or(0.0), number("y").unwrap_or(0.0));
    Some((x + width / 2.0, y + height / 2.0, "middle"))
}

/// Lines parted by breaks and blocks.
fn web_lines(node: &Node<'_, '_>) -> Vec<String> {
    let mut text = String::new();
    gather(node, &mut text, 0);
    text.split('\n')
        .map(|l| l.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|l| !l.is_empty())
        .collect()
}

fn gather(node: &Node<'_, '_>, out: &mut String, depth: usize) {
    const BLOCKS: [&str; 9] = ["div", "p", "br", "li", "ul", "table", "tr", "h1", "h2"];
    if depth > 64 || out.len() > 4096 {
        return;
    }
    for child in node.children() {
        let name = child.tag_name().name();
        if child.is_text() {
            out.push_str(&child.text().unwrap_or_default().replace(['\n', '\r'], " "));
        } else if child.is_element() && !matches!(name, "style" | "script" | "title") {
            let block = BLOCKS.contains(&name);
            out.push_str(if block { "\n" } else { "" });
            gather(&child, out, depth + 1);
            out.push_str(if block { "\n" } else { "" });
        }
    }
}

fn words(node: &Node<'_, '_>) -> String {
    let all: String = node
        .descendants()
        .filter_map(|n| if n.is_text() { n.text() } else { None })
        .collect();
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn property<'s>(style: &'s str, name: &str) -> Option<&'s str> {
    style
        .split(';')
        .filter_map(|d| d.split_once(':'))
        .rfind(|(n, _)| n.trim() == name)
        .map(|(_, v)| v.trim())
}

/// What of a style decides whether the text is seen.
fn visible_style(style: &str) -> String {
    ["display", "visibility", "opacity"]
        .iter()
        .filter_map(|name| Some(format!("{name}:{}", property(style, name)?)))
        .collect::<Vec<_>>()
        .join(";")
}

fn font_size(style: &str) -> Option<f64> {
    property(style, "font-size").and_then(length)
}

/// A length in pixels or user units.
fn length(text: &str) -> Option<f64> {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || ".-+eE".contains(c)))
        .unwrap_or(text.len());
    let per_unit = match text[end..].trim() {
        "" | "px" => 1.0,
        "pt" => 4.0 / 3.0,
        "mm" => 96.0 / 25.4,
        "in" => 96.0,
        _ => return None,
    };
    let number: f64 = text[..end].parse().ok()?;
    number.is_finite().then_some(number * per_unit)
}
