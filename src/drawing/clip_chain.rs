//! Clip paths that are clipped themselves: whether the resolver may be let to follow them.

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
    /// Not to be followed.
    Long,
}

impl Chains {
    pub(super) fn of(document: &Document<'_>) -> Self {
        let clip_paths = || document.descendants().filter(is_clip_path);
        let clipped = || clip_paths().filter(is_clipped).count();
        match clip_paths().take(MOST + 1).count() {
            0 => Self::None,
            1..=MOST => Self::Short,
            _ if clipped() <= MOST && !by_style_sheet(document) => Self::Short,
            _ => Self::Long,
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
