//! Which drawings this program wrote itself, told by marks inside them: a folder of plans may hold them too, and they
//! are no plans more.

use std::fmt::Write as _;

use super::bytes;
use super::options::Limits;
use super::prepass::escape;

/// Stands at the head of every drawing that this program makes of a roof.
pub(crate) const DRAWN: &str = "<!-- drawn by eavewright -->";
/// In a plan with marks, on their layer: the name of the plan's file.
const MARKED_OF: &str = "data-eavewright-plan";
/// How far into a drawing its head may reach: other programs write settings of theirs before it.
const HEAD_BYTES: usize = 4096;

/// What of its own this program knows a drawing for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    /// Whether this program drew it: it shows a roof, a face or two revisions.
    pub drawn: bool,
    /// The names of the files that marks were put on to make it, as often as it was marked.
    pub marked_of: Vec<String>,
}

/// What of its own this program knows a drawing for; `None` where it is someone's plan, or cannot be read.
pub fn written(bytes: &[u8]) -> Option<Written> {
    let text = text(bytes)?;
    let written = Written {
        drawn: text.find(DRAWN).is_some_and(|at| at < HEAD_BYTES),
        marked_of: text.split(MARKED_OF).skip(1).filter_map(value).collect(),
    };
    (written != Written::default()).then_some(written)
}

/// The text of a drawing, however it is packed and encoded: two files with one text are one drawing. `None` where it cannot be
/// read.
pub fn text(bytes: &[u8]) -> Option<String> {
    let decoded = bytes::decode(bytes, &Limits::default());
    decoded.ok().map(|decoded| decoded.text)
}

/// The attribute that says which file was marked.
pub(super) fn marked_of(file_name: &str) -> String {
    let plain: String = (file_name.chars())
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect();
    let mut attribute = String::new();
    // Writing to a string does not fail.
    let _ = write!(attribute, " {MARKED_OF}=\"{}\"", escape(&plain));
    attribute
}

/// The value of an attribute that goes on like this, with whichever quotes and references it was saved.
fn value(rest: &str) -> Option<String> {
    let quoted = rest.trim_start().strip_prefix('=')?.trim_start();
    let quote = quoted.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    let end = quoted[1..].find(quote)? + 2;
    let element = format!("<a b={}/>", &quoted[..end]);
    let read = usvg::roxmltree::Document::parse(&element).ok()?;
    read.root_element().attribute("b").map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::{Written, marked_of, written};

    #[test]
    fn a_marked_plan_tells_the_name_of_its_plan_however_another_program_saves_it() {
        let of = |attribute: &str| written(format!("<svg><g{attribute}/></svg>").as_bytes());
        let marked = |name: &str| {
            Some(Written {
                drawn: false,
                marked_of: vec![name.to_owned()],
            })
        };
        for name in ["lot 1.svg", "a&b\"<c>.svg", "дом.svg", "=.svg"] {
            assert_eq!(of(&marked_of(name)), marked(name), "{name}");
        }
        assert_eq!(
            of(" data-eavewright-plan = 'a&#x20;b.svg'"),
            marked("a b.svg")
        );
        assert_eq!(of(" data-eavewright-plan"), None);
        assert_eq!(of(" data-eavewright-plan=\"cut"), None);
        assert_eq!(of(" id=\"roof\""), None);
    }
}
