//! What costs the resolver more than its size in the file: letters, and style rules.

use usvg::roxmltree::Document;

use super::options::Limits;
use super::xml::refused;
use crate::Finding;

/// Letters along a path cost more the more there are; nobody writes so many.
const ALONG_A_PATH: usize = 2_000;

/// Refuses drawings with more text, or more style rules for their elements, than the limits.
pub(super) fn check(document: &Document<'_>, limits: &Limits) -> Result<(), Finding> {
    let (mut elements, mut letters, mut rules) = (0_usize, 0_usize, 0_usize);
    for node in document.descendants() {
        if !node.is_text() {
            elements += usize::from(node.is_element());
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
            if inside("text") {
                letters += count;
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
    if rules.saturating_mul(elements) > limits.styling {
        return Err(refused(
            "too-many-styles",
            "more style rules for its elements than",
            limits.styling / elements.max(1),
        ));
    }
    Ok(())
}
