//! Clip paths that are clipped themselves: whether the resolver may be let to follow them.

use std::collections::BTreeSet;

use usvg::roxmltree::{Document, Node};

/// A drawing with more clip paths that are clipped themselves is hostile: the resolver goes down a chain of them by calling
/// itself.
const MOST: usize = 64;

/// What clip paths of clip paths a drawing may have.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Chains {
    /// There is no clip path at all.
    #[default]
    None,
    /// Few enough to be followed.
    Short,
    /// Not to be followed: too many, in a circle, or made by a style sheet.
    Long,
}

impl Chains {
    pub(super) fn of(document: &Document<'_>) -> Self {
        let clip_paths = || document.descendants().filter(is_clip_path);
        let clipped: Vec<Node<'_, '_>> = clip_paths().filter(is_clipped).collect();
        if clip_paths().next().is_none() {
            Self::None
        } else if clipped.len() <= MOST && !by_style_sheet(document) && have_an_end(&clipped) {
            Self::Short
        } else {
            Self::Long
        }
    }

    /// Whether the clip path of this element is not followed: that of a clip path in a long chain, and that of a shape
    /// inside a clip path, which could be multiplied without end.
    pub(super) fn lose(self, node: &Node<'_, '_>) -> bool {
        self != Self::None
            && is_clipped(node)
            && (is_clip_path(node) && self == Self::Long
                || node.ancestors().skip(1).any(|outer| is_clip_path(&outer)))
    }
}

/// Whether a style sheet may clip anything, clip paths too.
fn by_style_sheet(document: &Document<'_>) -> bool {
    let sheets = document
        .descendants()
        .filter(|n| n.tag_name().name() == "style");
    let mut texts = sheets.flat_map(|n| n.children().filter_map(|c| c.text()));
    texts.any(|css| css.contains("clip-path"))
}

fn is_clip_path(node: &Node<'_, '_>) -> bool {
    node.tag_name().name() == "clipPath"
}

/// Whether every chain of clipped clip paths comes to an end: the resolver notices circles of two alone, and would go
/// round longer ones until its stack is full.
fn have_an_end(clipped: &[Node<'_, '_>]) -> bool {
    let mut left = clipped.to_vec();
    loop {
        let ids: BTreeSet<&str> = left.iter().flat_map(|n| attributes(n, "id")).collect();
        let before = left.len();
        left.retain(|n| said(n).any(|value| named(value).is_none_or(|id| ids.contains(id))));
        if left.is_empty() || left.len() == before {
            return left.is_empty();
        }
    }
}

/// Whether the element itself says that it is clipped, in an attribute or its style.
fn is_clipped(node: &Node<'_, '_>) -> bool {
    said(node).next().is_some()
}

/// The clip paths that an element says it has, in an attribute or its style.
fn said<'a>(node: &Node<'a, '_>) -> impl Iterator<Item = &'a str> {
    let declarations = attributes(node, "style").flat_map(|style| style.split(';'));
    let by_style = declarations
        .filter_map(|d| d.split_once(':'))
        .filter(|(name, _)| name.trim() == "clip-path")
        .map(|(_, value)| value);
    let clips = |value: &&str| {
        ["url(", "inherit", "var("]
            .iter()
            .any(|w| value.contains(w))
    };
    attributes(node, "clip-path").chain(by_style).filter(clips)
}

/// The values of an attribute in whatever namespace: the resolver takes several.
fn attributes<'a>(node: &Node<'a, '_>, name: &'static str) -> impl Iterator<Item = &'a str> {
    let named = node.attributes().filter(move |a| a.name() == name);
    named.map(|a| a.value())
}

/// The id that a value names; `None` where it is another element's value (`inherit`), or put in later (`var()`).
fn named(value: &str) -> Option<&str> {
    let (_, inside) = value.split_once("url(")?;
    let (_, id) = inside.split_once('#')?;
    id.split([')', '\'', '"', ' ']).next()
}
