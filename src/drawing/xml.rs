//! XML before and at parsing: what could fill memory or time is refused, undeclared prefixes are mended, errors get line
//! and column.

use std::sync::Arc;

use usvg::roxmltree::{self, Document, ParsingOptions};

use super::options::Limits;
use crate::finding::of_error;
use crate::units::number;
use crate::{Finding, Place, Source};

const SVG_NAMESPACE: &str = "xmlns=\"http://www.w3.org/2000/svg\"";
/// Drawing programs keep namespaces and styles in entities; these hold them with room to spare.
const ENTITY_BYTES: usize = 512;
const ENTITIES: usize = 64;
/// All uses of entities together may become so many bytes.
const ENTITIES_GROWN: usize = 4 << 20;
/// The parser compares every attribute of an element with every other.
const ATTRIBUTES: usize = 1000;
/// Prefixes that may be missing from a file.
const PREFIXES: usize = 16;

pub(super) fn parsing<'input>(limits: &Limits) -> ParsingOptions<'input> {
    ParsingOptions {
        allow_dtd: true,
        nodes_limit: u32::try_from(limits.elements.saturating_mul(8)).unwrap_or(u32::MAX),
        ..ParsingOptions::default()
    }
}

/// The text as the parser can take it: prefixes that were never declared are declared, on the line of the root.
///
/// # Errors
/// What is wrong with the XML, or why it is refused.
pub(super) fn mended(mut text: String, limits: &Limits) -> Result<String, Finding> {
    check_entities(&text)?;
    check_tags(&text, limits)?;
    if let Some(tag) = root_tag(&text)
        && (tag.starts_with("<svg") && !tag.contains("xmlns="))
    {
        declare(&mut text, SVG_NAMESPACE);
    }
    Ok(text)
}

/// Parses, declaring prefixes that are missing. The document borrows the text, so the text is handed in for change.
pub(super) fn with_document<T>(
    text: &mut String,
    limits: &Limits,
    read: impl FnOnce(&str, &Document<'_>) -> T,
) -> Result<T, Finding> {
    for _ in 0..PREFIXES {
        let missing = match Document::parse_with_options(text, parsing(limits)) {
            Ok(document) => return Ok(read(text, &document)),
            Err(roxmltree::Error::UnknownNamespace(prefix, _)) if !prefix.is_empty() => prefix,
            Err(error) => return Err(broken(&error)),
        };
        declare(
            text,
            &format!("xmlns:{missing}=\"urn:undeclared:{missing}\""),
        );
    }
    Err(Finding::error(
        "broken-xml",
        "The file uses many namespace prefixes that it never declares.",
    )
    .remedy("Open the drawing in a drawing program and save it again as plain SVG."))
}

/// Where the outermost element's start tag lies.
pub(super) fn root_start(text: &str) -> Option<usize> {
    let mut at = 0;
    loop {
        let rest = &text[at..];
        at += rest.find('<')?;
        let rest = &text[at..];
        at += if rest.starts_with("<?") {
            rest.find("?>")? + 2
        } else if rest.starts_with("<!--") {
            rest.find("-->")? + 3
        } else if rest.starts_with("<!") {
            doctype_end(rest)?
        } else {
            return Some(at);
        };
    }
}

fn doctype_end(rest: &str) -> Option<usize> {
    let mut quote: Option<char> = None;
    let mut inside = 0_i32;
    for (i, c) in rest.char_indices() {
        match (quote, c) {
            (Some(q), c) if c == q => quote = None,
            (Some(_), _) => {}
            (None, '"' | '\'') => quote = Some(c),
            (None, '[') => inside += 1,
            (None, ']') => inside -= 1,
            (None, '>') if inside <= 0 => return Some(i + 1),
            _ => {}
        }
    }
    None
}

fn root_tag(text: &str) -> Option<&str> {
    let start = root_start(text)?;
    let end = text[start..].find('>')?;
    Some(&text[start..=start + end])
}

fn declare(text: &mut String, declaration: &str) {
    let Some(start) = root_start(text) else {
        return;
    };
    let name = text[start..].find(|c: char| c.is_whitespace() || c == '>' || c == '/');
    if let Some(length) = name {
        text.insert_str(start + length, &format!(" {declaration}"));
    }
}

/// Refuses what no drawing program writes: entities that hold markup or other entities, long ones, many.
fn check_entities(text: &str) -> Result<(), Finding> {
    let Some(start) = text.find("<!DOCTYPE") else {
        return Ok(());
    };
    let end = doctype_end(&text[start..]).map_or(text.len(), |end| start + end);
    let mut grown = 0;
    for (count, (at, word)) in text[start..end].match_indices("<!ENTITY").enumerate() {
        let body = &text[start + at..end];
        let value = body.split(['"', '\'']).nth(1).unwrap_or_default();
        let name = body[word.len()..]
            .split_whitespace()
            .next()
            .unwrap_or_default();
        let most = ENTITIES_GROWN / value.len().max(1);
        let reference = format!("&{name};");
        let used = text[end..].matches(&reference).take(most + 1);
        grown += used.count() * value.len();
        let many = count >= ENTITIES || grown > ENTITIES_GROWN;
        if value.contains(['<', '&']) || value.len() > ENTITY_BYTES || many {
            return Err(Finding::error(
                "hostile-entities",
                "The file defines entities in a way that no drawing program does; they could fill the memory.",
            )
            .remedy("Open the drawing in a drawing program and save it again as plain SVG."));
        }
    }
    Ok(())
}

/// Counts nesting and attributes before the parser meets them. What is not well-formed is left for the parser to tell.
fn check_tags(text: &str, limits: &Limits) -> Result<(), Finding> {
    let mut depth = 0_usize;
    for tag in tags(text) {
        if tag.attributes > ATTRIBUTES {
            return Err(refused(
                "too-many-attributes",
                "an element with more attributes than",
                ATTRIBUTES,
            ));
        }
        if tag.closes {
            depth = depth.saturating_sub(1);
        } else if !tag.closed_at_once {
            depth += 1;
        }
        if depth > limits.depth {
            return Err(refused(
                "too-deep",
                "groups nested deeper than",
                limits.depth,
            ));
        }
    }
    Ok(())
}

/// A tag as it stands in the text.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tag<'t> {
    /// As written, with its prefix.
    pub(super) name: &'t str,
    /// Where its `<` is.
    pub(super) start: usize,
    /// Where its `>` is, or the end of the text.
    pub(super) end: usize,
    /// It is an end tag.
    pub(super) closes: bool,
    /// It stands for an element without content.
    pub(super) closed_at_once: bool,
    /// How many quoted values it has.
    attributes: usize,
}

/// The tags of a text in their order. Comments and text sections are passed over.
pub(super) fn tags(text: &str) -> impl Iterator<Item = Tag<'_>> {
    let mut at = 0;
    std::iter::from_fn(move || {
        let start = loop {
            let start = at + text.get(at..)?.find('<')?;
            let rest = &text[start..];
            let skip = |end: &str| rest.find(end).map_or(text.len(), |e| start + e + end.len());
            at = match rest.as_bytes().get(1) {
                Some(b'!') if rest.starts_with("<!--") => skip("-->"),
                Some(b'!') if rest.starts_with("<![CDATA[") => skip("]]>"),
                Some(b'!') => doctype_end(rest).map_or(text.len(), |end| start + end),
                Some(b'?') => skip("?>"),
                _ => break start,
            };
        };
        let tag = tag(text, start);
        at = tag.end;
        Some(tag)
    })
}

/// The tag that begins at a `<`.
fn tag(text: &str, start: usize) -> Tag<'_> {
    let bytes = text.as_bytes();
    let closes = bytes.get(start + 1) == Some(&b'/');
    let named = start + 1 + usize::from(closes);
    let ends_name = |b: &u8| b.is_ascii_whitespace() || matches!(b, b'/' | b'>');
    let length = bytes[named..].iter().position(ends_name);
    let name_end = length.map_or(bytes.len(), |length| named + length);
    let mut attributes = 0;
    let mut at = name_end;
    while let Some(&b) = bytes.get(at) {
        match b {
            b'"' | b'\'' => {
                attributes += 1;
                // Most of a file is in quotes: a search for their end is faster than a look at each byte.
                match text[at + 1..].find(char::from(b)) {
                    Some(length) => at += length + 1,
                    None => at = bytes.len(),
                }
            }
            b'>' => break,
            _ => {}
        }
        at += 1;
    }
    let end = at.min(bytes.len());
    Tag {
        name: &text[named..name_end],
        start,
        end,
        closes,
        closed_at_once: !closes && bytes.get(end.wrapping_sub(1)) == Some(&b'/'),
        attributes,
    }
}

pub(super) fn refused(code: &'static str, what: &str, most: usize) -> Finding {
    Finding::error(
        code,
        format!(
            "The drawing has {what} {}; no plan needs that.",
            number::thousands(most as u64)
        ),
    )
    .remedy("Trace the roof in a new drawing, or remove what is no part of it.")
}

/// An XML error with its place.
fn broken(error: &roxmltree::Error) -> Finding {
    let pos = error.pos();
    let finding = Finding::error(
        "broken-xml",
        format!("The file is no well-formed SVG: {}.", of_error(error)),
    )
    .remedy(
        "Open the drawing in a drawing program and save it again; a file that was cut off or edited by hand is often the \
         cause.",
    );
    if pos.row == 0 {
        return finding;
    }
    finding.place(Place::of(&Arc::new(Source {
        line: pos.row,
        column: pos.col,
        ..Source::default()
    })))
}
