//! One spelling for what programs and keyboards write in many: quotes, dashes, fractions, spaces.

/// The text in small letters with plain quotes, dashes, slashes and digits; fractions of one character written out
/// (`6½` becomes `6 1/2`); runs of blanks as one blank; zero-width characters gone.
///
/// ```
/// use eavewright::units::text::normalise;
/// assert_eq!(normalise("24’ – 6½”"), "24' - 6 1/2\"");
/// ```
pub fn normalise(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if c.is_ascii() {
            push_ascii(&mut out, c);
        } else {
            push_plain(&mut out, c);
        }
    }
    if out.ends_with(' ') {
        out.pop();
    }
    out
}

/// Runs of blanks are one, and none is at the beginning.
fn push_blank(out: &mut String) {
    if !out.is_empty() && !out.ends_with(' ') {
        out.push(' ');
    }
}

/// Two single quotes are a double one.
fn push_single_quote(out: &mut String) {
    if out.ends_with('\'') {
        out.pop();
        out.push('"');
    } else {
        out.push('\'');
    }
}

fn push_ascii(out: &mut String, c: char) {
    match c {
        '\'' | '`' => push_single_quote(out),
        c if c.is_whitespace() || c.is_control() => push_blank(out),
        c => out.push(c.to_ascii_lowercase()),
    }
}

fn push_plain(out: &mut String, c: char) {
    if let Some(fraction) = fraction(c) {
        if out.ends_with(|d: char| d.is_ascii_digit()) {
            out.push(' ');
        }
        out.push_str(fraction);
        return;
    }
    if let Some(digit) = small_digit(c) {
        // A raised numerator after a whole number: 6¹⁄₂.
        if is_raised(c) && ends_in_full_size_digit(out) && c != '²' && c != '³' {
            out.push(' ');
        }
        out.push(digit);
        return;
    }
    match c {
        '\u{2018}' | '\u{2019}' | '\u{201b}' | '\u{2032}' | '\u{00b4}' | '\u{02b9}'
        | '\u{02bc}' | '\u{ff07}' => push_single_quote(out),
        '\u{201c}' | '\u{201d}' | '\u{201f}' | '\u{2033}' | '\u{02ba}' | '\u{02dd}'
        | '\u{ff02}' => out.push('"'),
        '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{ff0d}' => out.push('-'),
        '\u{2044}' | '\u{2215}' | '\u{ff0f}' => out.push('/'),
        '\u{2236}' | '\u{ff1a}' => out.push(':'),
        '\u{ba}' | '\u{2da}' => out.push('°'),
        '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}' | '\u{ad}' => {}
        '\u{ff10}'..='\u{ff19}' => {
            out.push(char::from(b'0' + (c as u32 - 0xff10) as u8));
        }
        c if c.is_whitespace() || c.is_control() => push_blank(out),
        c => out.extend(c.to_lowercase()),
    }
}

fn ends_in_full_size_digit(out: &str) -> bool {
    out.ends_with(|d: char| d.is_ascii_digit())
}

fn is_raised(c: char) -> bool {
    matches!(c, '¹' | '²' | '³' | '\u{2070}'..='\u{2079}')
}

/// Raised and lowered digits, except ² and ³ which stay as they are for `m²`.
fn small_digit(c: char) -> Option<char> {
    let digit = match c {
        '¹' => 1,
        '\u{2070}' => 0,
        '\u{2074}'..='\u{2079}' => c as u32 - 0x2070,
        '\u{2080}'..='\u{2089}' => c as u32 - 0x2080,
        _ => return None,
    };
    char::from_digit(digit, 10)
}

fn fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '⅕' => "1/5",
        '⅖' => "2/5",
        '⅗' => "3/5",
        '⅘' => "4/5",
        '⅙' => "1/6",
        '⅚' => "5/6",
        '⅒' => "1/10",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::normalise;

    #[test]
    fn every_way_to_write_half_an_inch_becomes_one() {
        for text in ["6½\"", "6 1/2\"", "6 1⁄2”", "6 ¹⁄₂″", "6¹⁄₂''"] {
            assert_eq!(normalise(text), "6 1/2\"", "{text}");
        }
    }

    #[test]
    fn blanks_and_quotes_are_joined_from_the_left() {
        for (text, plain) in [
            ("  6\t /\u{a0}\n12 ", "6 / 12"),
            ("24\u{2019}\u{200b}'", "24\""),
            ("24' ' ", "24' '"),
            ("'''", "\"'"),
            ("\u{b}`A`\u{0}", "'a'"),
            (" \u{3000}", ""),
        ] {
            assert_eq!(normalise(text), plain, "{text:?}");
        }
    }

    #[test]
    fn square_metres_keep_their_two() {
        assert_eq!(normalise("228 M²"), "228 m²");
    }
}
