//! Transforms written in styles, in the words of CSS: `rotate(30deg)`, `translate(3px, 4px)`. The resolver knows them
//! without units only, and passes over what it does not know.

use std::fmt::Write as _;

use crate::finding::excerpt;

/// Functions that the resolver knows.
const KNOWN: [&str; 6] = ["matrix", "translate", "scale", "rotate", "skewX", "skewY"];

/// The style with its transforms in plain numbers; `None` where it has none.
///
/// # Errors
/// What cannot be followed, as the rest of a sentence.
pub(super) fn plain(css: &str) -> Result<Option<String>, String> {
    if !["transform", "rotate", "scale", "translate"]
        .iter()
        .any(|word| css.contains(word))
    {
        return Ok(None);
    }
    let mut out = String::with_capacity(css.len());
    let mut changed = false;
    for part in css.split_inclusive([';', '{', '}']) {
        let (declaration, end) = match part.char_indices().next_back() {
            Some((at, ';' | '{' | '}')) => part.split_at(at),
            _ => (part, ""),
        };
        let value = match declaration.split_once(':') {
            Some((name, value)) if end != "{" => read(name.trim(), value)?.map(|new| (name, new)),
            _ => None,
        };
        match value {
            Some((name, new)) => {
                changed = true;
                let _ = write!(out, "{name}:{new}");
            }
            None => out.push_str(declaration),
        }
        out.push_str(end);
    }
    Ok(changed.then_some(out))
}

/// The plain value of a declaration that moves something.
fn read(name: &str, value: &str) -> Result<Option<String>, String> {
    let word = value.trim().trim_end_matches("!important").trim();
    match name {
        "transform" if word == "none" => Ok(None),
        "transform" => in_numbers(value).map(Some),
        "rotate" | "scale" | "translate" if word != "none" => {
            Err(format!("has the style {name}: {}", excerpt(word)))
        }
        "transform-box" if word != "view-box" => {
            Err(format!("has the style {name}: {}", excerpt(word)))
        }
        _ => Ok(None),
    }
}

/// Numbers without their units, angles in degrees and lengths in pixels.
fn in_numbers(value: &str) -> Result<String, String> {
    let mut out = String::with_capacity(value.len());
    let mut rest = value;
    while let Some(c) = rest.chars().next() {
        if c.is_ascii_alphabetic() {
            let word = taken(rest, |c| c.is_ascii_alphanumeric());
            if !KNOWN.contains(&word) && word != "important" {
                return Err(format!("has the style transform: {}", excerpt(value)));
            }
            out.push_str(word);
            rest = &rest[word.len()..];
        } else if c.is_ascii_digit() || c == '.' {
            let number = taken(rest, |c| c.is_ascii_digit() || c == '.');
            let unit = taken(&rest[number.len()..], |c| {
                c.is_ascii_alphabetic() || c == '%'
            });
            let (Ok(size), Some(one)) = (number.parse::<f64>(), in_unit(unit)) else {
                return Err(format!("has the style transform: {}", excerpt(value)));
            };
            let _ = write!(out, "{}", size * one);
            rest = &rest[number.len() + unit.len()..];
        } else {
            out.push(c);
            rest = &rest[c.len_utf8()..];
        }
    }
    Ok(out)
}

fn taken(text: &str, part: impl Fn(char) -> bool) -> &str {
    &text[..text.find(|c| !part(c)).unwrap_or(text.len())]
}

fn in_unit(unit: &str) -> Option<f64> {
    Some(match unit {
        "" | "px" | "deg" => 1.0,
        "rad" => 180.0 / std::f64::consts::PI,
        "grad" => 0.9,
        "turn" => 360.0,
        "in" => 96.0,
        "cm" => 96.0 / 2.54,
        "mm" => 96.0 / 25.4,
        "pt" => 96.0 / 72.0,
        "pc" => 16.0,
        _ => return None,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::*;

    #[test]
    fn angles_and_lengths_lose_their_units() {
        let of = |css: &str| plain(css).unwrap();
        assert_eq!(
            of("stroke:red;transform: rotate(.25turn) translate(3px, -1in)").as_deref(),
            Some("stroke:red;transform: rotate(90) translate(3, -96)")
        );
        assert_eq!(
            of(".a{transform:scale(2)}").as_deref(),
            Some(".a{transform:scale(2)}")
        );
        assert_eq!(of("stroke:red;transform-origin:3px 4px"), None);
    }

    #[test]
    fn what_the_resolver_would_pass_over_is_a_fault() {
        for css in [
            "transform:translate(-50%, 0)",
            "transform:rotateZ(30deg)",
            "rotate:30deg",
            "transform-box:fill-box",
        ] {
            assert!(plain(css).is_err(), "{css}");
        }
        assert_eq!(plain("rotate:none;transform:none"), Ok(None));
    }
}
