//! Numbers in attributes that the resolver would quietly take for nothing.

use usvg::roxmltree::Node;

const LENGTHS: [&str; 12] = [
    "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "width", "height",
];

/// What is wrong with a geometric attribute, as the rest of a sentence; `None` when it is sound or not geometric.
pub(super) fn fault(name: &str, value: &str) -> Option<String> {
    match name {
        "d" => path_fault(value),
        "points" | "transform" => not_a_number(value),
        _ if LENGTHS.contains(&name) || name == "ry" => {
            not_a_number(value).or_else(|| too_large(value))
        }
        _ => None,
    }
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

    #[test]
    fn numbers_that_are_none_are_found() {
        assert!(fault("x1", "NaN").is_some());
        assert!(fault("d", "M 0 0 L NaN 4").is_some());
        assert!(fault("d", "M0 0 L 1e400 4").is_some());
        assert!(fault("points", "0,0 Infinity,4").is_some());
        assert!(fault("x", "1e39").is_some());
    }

    #[test]
    fn sound_numbers_pass() {
        for (name, value) in [
            ("x1", "1e3"),
            ("d", "M0 0l.5.5-3 1e-7z"),
            ("points", "0,0 1,1"),
            ("width", "100%"),
        ] {
            assert!(fault(name, value).is_none(), "{value}");
        }
    }
}
