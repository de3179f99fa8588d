//! Colours in functions that the resolver does not know, and would take for no colour at all.

/// The longer names first, since one is the end of another.
const UNKNOWN: [&str; 7] = [
    "color-mix(",
    "oklch(",
    "oklab(",
    "color(",
    "hwb(",
    "lch(",
    "lab(",
];

/// The style with such colours replaced by plain ones; `None` where it has none. The same words give the same colour, so
/// that pens stay told apart, and none is as light as a page; a colour without any opacity becomes `none`.
pub(super) fn plain(css: &str) -> Option<String> {
    if !super::css::calls(css, &UNKNOWN) {
        return None;
    }
    let mut out = css.to_string();
    let mut changed = false;
    for name in UNKNOWN {
        let mut from = 0;
        while let Some(found) = out[from..].find(name) {
            let start = from + found;
            from = start + name.len();
            let named = out[..start].ends_with(|c: char| c.is_ascii_alphanumeric() || c == '-');
            let Some(end) = end_of(&out, from).filter(|_| !named) else {
                continue;
            };
            let new = instead_of(&out[from..end]);
            out.replace_range(start..=end, &new);
            from = start + new.len();
            changed = true;
        }
    }
    changed.then_some(out)
}

/// Where the bracket that is open before `from` closes.
fn end_of(text: &str, from: usize) -> Option<usize> {
    let mut depth = 1;
    text[from..].char_indices().find_map(|(i, c)| {
        depth += match c {
            '(' => 1,
            ')' => -1,
            _ => 0,
        };
        (depth == 0).then_some(from + i)
    })
}

fn instead_of(words: &str) -> String {
    let unseen = words
        .rsplit_once('/')
        .is_some_and(|(_, opacity)| opacity.trim().trim_end_matches('%').parse() == Ok(0.0));
    if unseen {
        return "none".to_string();
    }
    // Fowler, Noll and Vo's hash, the usual 32 bits.
    let hash = words.bytes().fold(0x811c_9dc5_u32, |hash, byte| {
        (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    });
    format!("#{:06x}", hash & 0x7f_7f7f)
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn unknown_colours_become_plain_ones_that_differ() {
        let black = plain("stroke:oklch(0 0 0);fill:none");
        let other = plain("stroke:oklch(0.6 0.2 30);fill:none");
        assert!(black.is_some() && other.is_some() && black != other);
        assert_eq!(plain("oklch(0 0 0)"), plain("oklch(0 0 0)"));
        assert_eq!(
            plain("stroke:lab(50% 40 59 / 0%)").as_deref(),
            Some("stroke:none")
        );
    }

    #[test]
    fn known_colours_and_other_words_stay() {
        for css in [
            "stroke:rgb(0, 0, 0)",
            "label(3)",
            "stroke:#000",
            "colour(1)",
        ] {
            assert_eq!(plain(css), None, "{css}");
        }
    }
}
