//! Numbers in attributes that the resolver would quietly take for nothing.

use std::str::FromStr as _;

use svgtypes::{Length, LengthListParser, NumberListParser, PathParser, Transform};
use usvg::roxmltree::Node;

use crate::finding::excerpt;

const LENGTHS: [&str; 13] = [
    "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "width", "height",
];

/// What is wrong with a geometric attribute, as the rest of a sentence; `None` when it is sound or not geometric.
pub(super) fn fault(tag: &str, name: &str, value: &str) -> Option<String> {
    match name {
        "d" => path_fault(value).or_else(|| torn_path(value)),
        "points" => not_a_number(value).or_else(|| torn_points(value)),
        "transform" => not_a_number(value).or_else(|| no_transform(value)),
        _ if LENGTHS.contains(&name) => not_a_number(value)
            .or_else(|| too_large(value))
            .or_else(|| no_length(tag, name, value)),
        _ => None,
    }
}

/// The attributes by which an element is placed: others of the same names mean nothing on it.
fn places(tag: &str) -> &'static [&'static str] {
    match tag {
        "line" => &["x1", "y1", "x2", "y2"],
        "rect" => &["x", "y", "width", "height", "rx", "ry"],
        "circle" => &["cx", "cy", "r"],
        "ellipse" => &["cx", "cy", "rx", "ry"],
        "use" => &["x", "y", "width", "height"],
        "text" | "tspan" => &["x", "y"],
        _ => &[],
    }
}

/// Whether an attribute is one length, around which blanks mean nothing.
pub(super) fn is_one_length(tag: &str, name: &str) -> bool {
    !is_list(tag) && places(tag).contains(&name)
}

/// Letters have a place each.
fn is_list(tag: &str) -> bool {
    matches!(tag, "text" | "tspan")
}

/// Values that stand for none.
fn says_nothing(value: &str) -> bool {
    matches!(
        value.trim(),
        "" | "auto" | "none" | "inherit" | "initial" | "unset"
    )
}

fn no_length(tag: &str, name: &str, value: &str) -> Option<String> {
    if !places(tag).contains(&name) || says_nothing(value) {
        return None;
    }
    let sound = if is_list(tag) {
        LengthListParser::from(value).all(|length| length.is_ok())
    } else {
        Length::from_str(value.trim()).is_ok()
    };
    (!sound).then(|| {
        format!(
            "holds “{}”, which is no length and would count as nothing",
            excerpt(value)
        )
    })
}

fn no_transform(value: &str) -> Option<String> {
    (!says_nothing(value) && Transform::from_str(value).is_err()).then(|| {
        format!(
            "holds “{}”, which is no transform and would count as none",
            excerpt(value)
        )
    })
}

fn torn_points(value: &str) -> Option<String> {
    if says_nothing(value) {
        return None;
    }
    let mut count = 0_usize;
    for number in NumberListParser::from(value) {
        if number.is_err() {
            return Some(
                "holds something that is no number; the points from there on would be lost"
                    .to_string(),
            );
        }
        count += 1;
    }
    (!count.is_multiple_of(2))
        .then(|| "holds an odd count of numbers: one of a point's two is missing".to_string())
}

fn torn_path(value: &str) -> Option<String> {
    (!says_nothing(value) && PathParser::from(value).any(|part| part.is_err()))
        .then(|| "holds path data that breaks off; the rest of it would be lost".to_string())
}

/// Long values are gone through once, by a table of what each byte may be a part of.
const NO_PATH_DATA: u8 = 1;
const WORD: u8 = 2;
const EXPONENT: u8 = 4;
const KINDS: [u8; 256] = {
    let mut kinds = [NO_PATH_DATA; 256];
    let path_data = b"MmZzLlHhVvCcSsQqTtAa.,+-eE0123456789 \t\n\r\x0c";
    let mut i = 0;
    while i < path_data.len() {
        kinds[path_data[i] as usize] = 0;
        i += 1;
    }
    // No word for what is no number is without one of these letters, and hardly any number has one.
    let words = b"NnUu";
    let mut i = 0;
    while i < words.len() {
        kinds[words[i] as usize] |= WORD;
        i += 1;
    }
    kinds[b'e' as usize] |= EXPONENT;
    kinds[b'E' as usize] |= EXPONENT;
    kinds
};

fn kinds_in(value: &str) -> u8 {
    value
        .bytes()
        .fold(0, |kinds, b| kinds | KINDS[usize::from(b)])
}

fn path_fault(value: &str) -> Option<String> {
    let kinds = kinds_in(value);
    if kinds & NO_PATH_DATA != 0 {
        return not_a_number(value).or_else(|| {
            Some("holds something that is no path data; the rest of it would be lost".to_string())
        });
    }
    if kinds & EXPONENT != 0 {
        return exponent(value);
    }
    None
}

fn not_a_number(value: &str) -> Option<String> {
    let kinds = kinds_in(value);
    if kinds & (WORD | EXPONENT) == 0 {
        return None;
    }
    if kinds & WORD == 0 {
        return exponent(value);
    }
    let lower = value.to_ascii_lowercase();
    for (word, name) in [
        ("nan", "NaN"),
        ("inf", "an infinite number"),
        ("undefined", "an undefined number"),
    ] {
        if lower.contains(word) {
            return Some(format!("holds {name} where a number should be"));
        }
    }
    exponent(value)
}

fn too_large(value: &str) -> Option<String> {
    let digits = value.split(['.', 'e', 'E']).next().unwrap_or_default();
    (digits.bytes().filter(u8::is_ascii_digit).count() > 30)
        .then(|| "holds a number too large to draw".to_string())
}

/// A power of ten of three digits is beyond every drawing.
fn exponent(value: &str) -> Option<String> {
    let bytes = value.as_bytes();
    for (i, _) in bytes
        .iter()
        .enumerate()
        .filter(|(_, b)| matches!(b, b'e' | b'E'))
    {
        let number_before = i > 0 && (bytes[i - 1].is_ascii_digit() || bytes[i - 1] == b'.');
        let mut at = i + 1;
        if bytes.get(at) == Some(&b'+') {
            at += 1;
        }
        let digits = bytes[at.min(bytes.len())..]
            .iter()
            .take_while(|b| b.is_ascii_digit())
            .count();
        let value: u32 =
            std::str::from_utf8(&bytes[at.min(bytes.len())..at.min(bytes.len()) + digits])
                .ok()
                .and_then(|d| d.parse().ok())
                .unwrap_or(if digits > 0 { u32::MAX } else { 0 });
        if number_before && value > 30 {
            return Some("holds a number too large to draw".to_string());
        }
    }
    None
}

/// Whether the element or a group around it is switched off by an attribute of its own.
pub(super) fn is_hidden(node: &Node<'_, '_>) -> bool {
    node.ancestors().any(|n| {
        n.attribute("display") == Some("none")
            || n.attribute("style")
                .is_some_and(|s| s.replace(' ', "").contains("display:none"))
            || n.tag_name().name() == "defs"
    })
}

#[cfg(test)]
mod tests {
    use super::fault;

    #[track_caller]
    fn case(tag: &str, name: &str, value: &str, is_faulty: bool) {
        let found = fault(tag, name, value);
        assert_eq!(
            found.is_some(),
            is_faulty,
            "{tag} {name} {value}: {found:?}"
        );
    }

    #[test]
    fn numbers_that_are_none_are_found() {
        for (tag, name, value) in [
            ("line", "x1", "NaN"),
            ("path", "d", "M 0 0 L NaN 4"),
            ("path", "d", "M0 0 L 1e400 4"),
            ("polygon", "points", "0,0 Infinity,4"),
            ("rect", "x", "1e39"),
            // What the grammar of the attribute does not read would count as 0.
            ("line", "x1", "10O"),
            ("line", "x1", "100,5"),
            ("line", "x1", "abc"),
            ("line", "x1", "1 0"),
            ("rect", "width", "12 px"),
            ("circle", "r", "calc(1px + 2px)"),
            ("text", "x", "10 2O"),
            ("polygon", "points", "0,0 1O,4"),
            ("polygon", "points", "0,0 1,4 5"),
            ("path", "d", "M 0 0 L 4"),
            ("path", "d", "L 0 0 4 4"),
            ("g", "transform", "translate(10,"),
            ("g", "transform", "rotate(45deg)"),
        ] {
            case(tag, name, value, true);
        }
    }

    #[test]
    fn sound_numbers_pass() {
        for (tag, name, value) in [
            ("line", "x1", "1e3"),
            ("line", "x1", " 12.5mm "),
            ("line", "x1", ""),
            ("path", "d", "M0 0l.5.5-3 1e-7z"),
            ("path", "d", ""),
            ("polygon", "points", "0,0 1,1"),
            ("polygon", "points", " 0 0,1 1 \n"),
            ("rect", "width", "100%"),
            ("rect", "rx", "auto"),
            ("text", "x", "10 20.5,30"),
            ("g", "transform", "translate(10,5) rotate(45)"),
            ("g", "transform", ""),
            // It places nothing.
            ("path", "width", "wide"),
        ] {
            case(tag, name, value, false);
        }
    }
}
