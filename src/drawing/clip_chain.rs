//! Clip paths that are clipped themselves: whether the resolver may be let to follow them.

use usvg::roxmltree::{Document, Node};

/// A drawing with more clip paths that are clipped themselves is hostile: the resolver goes down a chain of them by calling
/// itself.
const MOST: usize = 64;

/// Whether the clip paths of clip paths are few enough to be followed.
pub(super) fn is_short(document: &Document<'_>) -> bool {
    let clip_paths = || document.descendants().filter(is_clip_path);
    let few = clip_paths().nth(MOST).is_none();
    few || (clip_paths().filter(is_clipped).nth(MOST).is_none() && !by_style_sheet(document))
}

/// Whether a style sheet may clip anything, clip paths too.
fn by_style_sheet(document: &Document<'_>) -> bool {
    let sheets = document
        .descendants()
        .filter(|n| n.tag_name().name() == "style");
    let mut texts = sheets.flat_map(|n| n.children().filter_map(|c| c.text()));
    texts.any(|css| css.contains("clip-path"))
}

/// Whether the clip path of this element is not followed: that of a clip path in a long chain, and that of a shape inside a
/// clip path, which could be multiplied without end.
pub(super) fn is_not_followed(node: &Node<'_, '_>, short: bool) -> bool {
    is_clipped(node)
        && (is_clip_path(node) && !short
            || node.ancestors().skip(1).any(|outer| is_clip_path(&outer)))
}

fn is_clip_path(node: &Node<'_, '_>) -> bool {
    node.tag_name().name() == "clipPath"
}

/// Whether the element itself says that it is clipped, in an attribute or its style.
fn is_clipped(node: &Node<'_, '_>) -> bool {
    let by_style = |style: &str| {
        style
            .split(';')
            .filter_map(|d| d.split_once(':'))
            .any(|(name, value)| name.trim() == "clip-path" && value.contains("url("))
    };
    node.attribute("clip-path")
        .is_some_and(|v| v.contains("url("))
        || node.attribute("style").is_some_and(by_style)
}
