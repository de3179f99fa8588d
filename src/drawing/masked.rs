//! What hides parts of a drawing and is not followed: masks, and clip paths made of letters.

use std::collections::BTreeSet;

use usvg::roxmltree::{Document, Node};

use super::read::Reader;
use crate::{Finding, Place};

/// Places named in one finding.
const MOST_PLACES: usize = 12;

/// The ids of the file's masks that hold something.
pub(super) fn masks(document: &Document<'_>) -> BTreeSet<String> {
    document
        .descendants()
        .filter(|n| n.tag_name().name() == "mask" && n.has_children())
        .filter_map(|n| n.attribute("id"))
        .map(str::to_string)
        .collect()
}

/// Whether an element is drawn through one of the masks.
pub(super) fn is_masked(node: &Node<'_, '_>, masks: &BTreeSet<String>) -> bool {
    if masks.is_empty() {
        return false;
    }
    let by_style = |style: &str| {
        style
            .split(';')
            .filter_map(|d| d.split_once(':'))
            .any(|(name, value)| name.trim() == "mask" && names_one(value, masks))
    };
    node.attribute("mask").is_some_and(|v| names_one(v, masks))
        || node.attribute("style").is_some_and(by_style)
}

/// `url(#id)`, with or without quotes.
fn names_one(value: &str, masks: &BTreeSet<String>) -> bool {
    let inside = value
        .trim()
        .strip_prefix("url(")
        .and_then(|v| v.split_once(')'));
    inside.is_some_and(|(link, _)| {
        masks.contains(
            link.trim()
                .trim_matches(['"', '\''])
                .trim_start_matches('#'),
        )
    })
}

impl Reader<'_> {
    /// Lines that a mask may hide are seen here: whoever drew them may not see them.
    pub(super) fn tell_masked(&mut self) {
        let hidden: BTreeSet<usize> = (0..self.shapes.len())
            .filter(|i| !self.out.contains_key(i))
            .map(|i| self.shapes[i].element)
            .filter(|&e| self.elements[e].masked || self.clipped_by_text.contains(&e))
            .collect();
        if hidden.is_empty() {
            return;
        }
        let mut finding = Finding::warning(
            "mask-not-applied",
            "Lines are drawn through a mask, or a clip path made of letters, which is not followed: all of them count as seen.",
        )
        .remedy("Release the mask and delete what it hides, or leave those lines out by --ignore.");
        for element in hidden.into_iter().take(MOST_PLACES) {
            finding = finding.place(Place::of(&self.elements[element].source));
        }
        self.findings.push(finding);
    }
}
