//! How much a drawing grows when everything that is used again is drawn again.

use std::collections::HashMap;

use usvg::roxmltree::{Document, Node, NodeId};

use super::options::Limits;
use super::xml::refused;
use crate::Finding;

/// Elements used through so many others are a loop or a trap.
const CHAIN: usize = 1000;

/// Refuses drawings whose `<use>` elements multiply beyond the limit on elements.
pub(super) fn check(document: &Document<'_>, limits: &Limits) -> Result<(), Finding> {
    let uses = document
        .descendants()
        .filter(|n| n.tag_name().name() == "use")
        .count();
    if uses == 0 {
        return Ok(());
    }
    let by_id = document
        .descendants()
        .filter_map(|n| Some((n.attribute("id")?, n)))
        .collect();
    let mut count = Count {
        by_id,
        known: HashMap::new(),
    };
    let total = count
        .of(&document.root_element(), 0)
        .ok_or_else(|| refused("too-deep", "elements used through others more than", CHAIN))?;
    if total > limits.elements as u64 {
        return Err(refused(
            "too-many-elements",
            "more elements, counting those that are used again, than",
            limits.elements,
        ));
    }
    Ok(())
}

struct Count<'a, 'i> {
    by_id: HashMap<&'a str, Node<'a, 'i>>,
    /// The size of an element; 0 while it is being counted, which breaks loops.
    known: HashMap<NodeId, u64>,
}

impl<'a, 'i> Count<'a, 'i> {
    fn of(&mut self, node: &Node<'a, 'i>, depth: usize) -> Option<u64> {
        if let Some(&known) = self.known.get(&node.id()) {
            return Some(known);
        }
        if depth > CHAIN {
            return None;
        }
        self.known.insert(node.id(), 0);
        let mut total = 1_u64;
        for child in node.children().filter(Node::is_element) {
            if child.tag_name().name() != "defs" {
                total = total.saturating_add(self.of(&child, depth + 1)?);
            }
        }
        if node.tag_name().name() == "use"
            && let Some(target) = target(node).and_then(|id| self.by_id.get(id).copied())
        {
            total = total.saturating_add(self.of(&target, depth + 1)?);
        }
        self.known.insert(node.id(), total);
        Some(total)
    }
}

fn target<'a>(node: &Node<'a, '_>) -> Option<&'a str> {
    const XLINK: &str = "http://www.w3.org/1999/xlink";
    node.attribute("href")
        .or_else(|| node.attribute((XLINK, "href")))?
        .trim()
        .strip_prefix('#')
}
