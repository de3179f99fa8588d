//! Text written plainly elsewhere, set as this report sets numbers: true prime marks and fractions.

use super::number::{DOUBLE_PRIME, PRIME};

/// `48'-0"` becomes `48′-0″`, `1 1/4 in` becomes `1¼ in`. Other slashes and quotes stay.
pub(crate) fn typeset(text: &str) -> String {
    let is_figure = |c: char| c.is_ascii_digit() || (!c.is_ascii() && "½¼¾⅛⅜⅝⅞".contains(c));
    // Prime marks and fractions stand with figures alone.
    if !text.contains(['\'', '"', '/']) || !text.contains(is_figure) {
        return text.to_owned();
    }
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut i = 0;
    while i < chars.len() {
        if let Some((set, next)) = fraction_at(&chars, i) {
            // The space between a whole number and its fraction goes.
            let whole_before =
                out.ends_with(' ') && out.trim_end().ends_with(|c: char| c.is_ascii_digit());
            if whole_before {
                out.pop();
            }
            out.push_str(set);
            i = next;
            continue;
        }
        out.push(match chars[i] {
            '\'' if out.ends_with(is_figure) => PRIME,
            '"' if out.ends_with(is_figure) => DOUBLE_PRIME,
            other => other,
        });
        i += 1;
    }
    out
}

/// A fraction of inches that starts here and stands alone, and the place after it.
fn fraction_at(chars: &[char], at: usize) -> Option<(&'static str, usize)> {
    const SET: [(&str, &str); 7] = [
        ("1/2", "½"),
        ("1/4", "¼"),
        ("3/4", "¾"),
        ("1/8", "⅛"),
        ("3/8", "⅜"),
        ("5/8", "⅝"),
        ("7/8", "⅞"),
    ];
    let before = at.checked_sub(1).and_then(|i| chars.get(i));
    if before.is_some_and(|c| c.is_alphanumeric() || "/.-".contains(*c)) {
        return None;
    }
    SET.into_iter().find_map(|(plain, set)| {
        let end = at + plain.len();
        let here = chars.get(at..end)?;
        let stands_alone = chars
            .get(end)
            .is_none_or(|c| !c.is_alphanumeric() && !"/.".contains(*c));
        (stands_alone && here.iter().copied().eq(plain.chars())).then_some((set, end))
    })
}

/// Columns of a plain terminal.
pub(crate) const COLUMNS: usize = 80;

/// Wraps plain text at the terminal's columns: `head` before the first line, `indent` before the others.
pub(crate) fn wrap(sentence: &str, head: &str, indent: &str, out: &mut String) {
    out.push_str(head);
    let mut length = head.chars().count();
    let mut fresh = true;
    for word in sentence.split_whitespace() {
        let wide = word.chars().count();
        if !fresh && length + 1 + wide > COLUMNS {
            out.push('\n');
            out.push_str(indent);
            length = indent.chars().count();
        } else if !fresh {
            out.push(' ');
            length += 1;
        }
        fresh = false;
        out.push_str(word);
        length += wide;
    }
    out.push('\n');
}

/// Plain text wrapped at the 80 columns of a terminal: `head` before the first line, `indent` before the others.
pub fn wrapped(text: &str, head: &str, indent: &str) -> String {
    let mut out = String::new();
    wrap(text, head, indent, &mut out);
    out
}

#[cfg(test)]
mod tests {
    use super::{typeset, wrapped};

    #[test]
    fn marks_and_fractions_of_inches_are_set() {
        assert_eq!(typeset("the dimension 48'-0\""), "the dimension 48′-0″");
        assert_eq!(typeset("Roofing nails, 1 1/4 in"), "Roofing nails, 1¼ in");
        assert_eq!(typeset("lap 1/2 in"), "lap ½ in");
        assert_eq!(typeset("24'-6 1/2\""), "24′-6½″");
    }

    #[test]
    fn pitches_dates_and_words_in_quotes_stay_as_they_are() {
        for text in ["21/24", "1/12 pitch", "layer \"roof\"", "shingle's", "11/4"] {
            assert_eq!(typeset(text), text);
        }
    }

    #[test]
    fn a_long_finding_is_wrapped_at_eighty_columns_and_indented() {
        let text = wrapped(&"word ".repeat(40), "  at ", "     ");
        assert!(text.lines().count() > 2);
        assert!(text.lines().all(|l| l.chars().count() <= 80));
        assert!(text.lines().skip(1).all(|l| l.starts_with("     word")));
    }
}
