//! A large drawing cut in two, so that two threads resolve it.
//!
//! Each half has the groups round the place of the cut, and all that stands apart for use elsewhere (style sheets, clip
//! paths, gradients). What the halves show, one after the other, is what the whole shows: no drawing is cut in which
//! what is seen of an element may depend on those beside it.

use std::collections::BTreeSet;
use std::ops::Range;

use super::xml::{Tag, tags};

/// Drawings of fewer bytes are read in less time than it takes to notice.
const LEAST_BYTES: usize = 200_000;
/// Elements that only hold what is used elsewhere. All of these have to stand before the cut, right inside the root.
const APART: [&str; 6] = [
    "defs",
    "style",
    "clipPath",
    "linearGradient",
    "radialGradient",
    "symbol",
];
/// Elements that a cut may go through.
const GROUPS: [&str; 2] = ["g", "a"];
/// Elements that a cut may stand before.
const WHOLE: [&str; 8] = [
    "g", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse",
];
/// Words in a file whose elements may depend on their neighbours, or on the size of the group that they stand in; and
/// entities, which may hold anything.
const HELD_TOGETHER: [&str; 4] = ["objectBoundingBox", "first-child", "<!ENTITY", "fill-box"];

/// The two halves; `None` where the drawing is small or has to stay whole.
pub(super) fn of(text: &str) -> Option<[String; 2]> {
    if text.len() < LEAST_BYTES || HELD_TOGETHER.iter().any(|word| text.contains(word)) {
        return None;
    }
    // Without a view box a share of the page may be one of all that is drawn.
    if !text.contains("viewBox") && text.contains('%') {
        return None;
    }
    let cut = Cut::near_the_middle(text)?;
    let apart: Vec<&str> = cut.apart.iter().map(|range| &text[range.clone()]).collect();
    let (outermost, inner) = cut.open.split_first()?;
    if !stand_apart(text, &apart) {
        return None;
    }
    let mut head = String::with_capacity(cut.at + 100);
    head.push_str(&text[..cut.at]);
    for tag in cut.open.iter().rev() {
        head = head + "</" + tag.name + ">";
    }
    let mut tail = String::with_capacity(text.len() - cut.at + text.len() / 8);
    tail.push_str(&text[..=outermost.end]);
    apart.iter().for_each(|part| tail.push_str(part));
    for tag in inner {
        tail.push_str(&text[tag.start..=tag.end]);
    }
    tail.push_str(&text[cut.at..]);
    Some([head, tail])
}

/// A place between two elements.
struct Cut<'t> {
    at: usize,
    /// The start tags of the elements round it, the outermost first.
    open: Vec<Tag<'t>>,
    /// What stands apart before it.
    apart: Vec<Range<usize>>,
}

impl<'t> Cut<'t> {
    /// The first place in the second half of the text where a cut may be.
    fn near_the_middle(text: &'t str) -> Option<Self> {
        let (mut open, mut apart): (Vec<Tag<'t>>, Vec<Range<usize>>) = (Vec::new(), Vec::new());
        for tag in tags(text) {
            let inside_groups = open.split_first().is_some_and(|(root, inner)| {
                root.name == "svg" && inner.iter().all(|t| GROUPS.contains(&t.name))
            });
            if tag.closes {
                let opened = open.pop()?;
                if open.len() == 1 && APART.contains(&opened.name) {
                    apart.push(opened.start..tag.end + 1);
                }
            } else if tag.start > text.len() / 2 && inside_groups && WHOLE.contains(&tag.name) {
                let at = tag.start;
                return Some(Self { at, open, apart });
            } else if !tag.closed_at_once {
                open.push(tag);
            } else if open.len() == 1 && APART.contains(&tag.name) {
                apart.push(tag.start..tag.end + 1);
            }
        }
        None
    }
}

/// Whether all that is used elsewhere is among the parts that both halves have.
fn stand_apart(text: &str, apart: &[&str]) -> bool {
    let in_parts = |word: &str| apart.iter().map(|p| p.matches(word).count()).sum::<usize>();
    let all_apart = APART[1..].iter().all(|name| {
        let start = format!("<{name}");
        !text.contains(&start) || text.matches(&start).count() == in_parts(&start)
    });
    // A style sheet's selector may ask for the element before.
    let sheets = apart.iter().flat_map(|p| p.split("<style").skip(1));
    let mut sheets = sheets.map(|s| s.split("</style").next().unwrap_or_default());
    let ids: BTreeSet<&str> = apart
        .iter()
        .flat_map(|p| p.split(" id=\"").skip(1))
        .filter_map(|after| after.split('"').next())
        .collect();
    let known = |link: &str| {
        let link = link.trim_start_matches(['"', '\'', ' ', '\n', '\t', '\r']);
        match link.trim_start_matches("&quot;").strip_prefix('#') {
            Some(id) => {
                let id = id.split(['"', '\'', ')', '&', ' ']).next();
                id.is_some_and(|id| ids.contains(id))
            }
            // Other files are not looked at.
            None => !link.starts_with('&'),
        }
    };
    // A word that is not there is faster found than counted.
    let after_all = |word: &'static str| {
        let parts = text.contains(word).then(|| text.split(word).skip(1));
        parts.into_iter().flatten()
    };
    let mut used = after_all("href").filter_map(|after| after.trim_start().strip_prefix('='));
    all_apart
        && !sheets.any(|css| css.contains('+'))
        && after_all("url(").all(known)
        && used.all(known)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawing(start: &str, line: &str) -> String {
        let lines = line.repeat(LEAST_BYTES / line.len() + 1);
        format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{start}{lines}</g></svg>")
    }

    #[test]
    fn a_drawing_is_cut_between_elements_inside_its_groups() {
        let clip = "<defs><clipPath id=\"c\"><rect width=\"9\" height=\"9\"/></clipPath></defs>";
        let start = format!("{clip}<g clip-path=\"url(#c)\">");
        let text = drawing(&start, "<path d=\"M0 0h9\"/>");
        let [head, tail] = of(&text).unwrap_or_default();
        assert!(head.ends_with("<path d=\"M0 0h9\"/></g></svg>"));
        let again =
            format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{start}<path d=\"M0 0h9\"/>");
        assert!(tail.starts_with(&again));
        let count = |text: &str| text.matches("<path").count();
        assert_eq!(count(&head) + count(&tail), count(&text));
        assert!(count(&head).abs_diff(count(&tail)) < count(&text) / 10);
    }

    #[test]
    fn drawings_whose_elements_depend_on_others_stay_whole() {
        let line = "<path d=\"M0 0h9\"/>";
        for (start, line) in [
            ("<style>path + path{stroke:red}</style><g>", line),
            ("<style>path:first-child{stroke:red}</style><g>", line),
            (
                "<g><path id=\"p\" d=\"M0 0h9\"/>",
                "<use href=\"#p\"/><path/>",
            ),
            (
                "<g><clipPath id=\"c\"/>",
                "<path clip-path=\"url(#c)\" d=\"M0 0h9\"/>",
            ),
            ("<switch><g>", line),
            ("<g>", "<line x2=\"50%\"/>"),
            ("<g><text>", "<tspan>a</tspan>"),
        ] {
            assert_eq!(of(&drawing(start, line)), None, "{start}");
        }
        assert_eq!(of("<svg><path/></svg>"), None);
    }
}
