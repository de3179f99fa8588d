//! What costs the resolver more than its size in the file: letters, style rules, and clip paths made anew for each shape.

use std::collections::BTreeMap;

use usvg::roxmltree::{Document, Node};

use super::corners;
use super::options::Limits;
use super::xml::refused;
use crate::Finding;

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
    corners::check(document, limits)?;
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
