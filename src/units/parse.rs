//! Lengths written as text: `12in`, `1'-6 1/2"`, `300 mm`, `2.5m`.

/// Reads a length with its unit and gives inches; `None` where it is no length or has no unit.
///
/// Feet may be followed by inches, the inches by a fraction; metric units stand alone. A bare number has no unit and
/// is refused. The result may be negative or zero: what is allowed is the caller's business.
///
/// ```
/// use eavewright::units::parse_length_in;
/// assert_eq!(parse_length_in("1'-6 1/2\""), Some(18.5));
/// assert_eq!(parse_length_in("5⅝ in"), Some(5.625));
/// assert_eq!(parse_length_in("254 mm"), Some(10.0));
/// assert_eq!(parse_length_in("12"), None);
/// ```
pub fn parse_length_in(text: &str) -> Option<f64> {
    let text = plain(text);
    let (negative, rest) = match text.trim().strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.trim()),
    };
    let mut groups = Vec::new();
    let mut rest = rest;
    while !rest.trim().is_empty() {
        let (number, after) = number(rest.trim_start())?;
        let (unit, after) = unit(after.trim_start());
        groups.push((number, unit));
        // The hyphen of 1'-6" joins, it does not subtract.
        let after = after.trim_start();
        rest = after.strip_prefix(['-', ',']).unwrap_or(after);
    }
    let inches = match groups.as_slice() {
        [(n, Unit::Inches)] => *n,
        [(n, Unit::Feet)] => n * 12.0,
        [(feet, Unit::Feet), (inches, Unit::Inches | Unit::Unsaid)] if *inches < 12.0 => {
            feet * 12.0 + inches
        }
        [(n, Unit::Millimetres)] => n / 25.4,
        [(n, Unit::Centimetres)] => n * 10.0 / 25.4,
        [(n, Unit::Metres)] => n * 1000.0 / 25.4,
        _ => return None,
    };
    let inches = if negative { -inches } else { inches };
    inches.is_finite().then_some(inches)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Unit {
    Feet,
    Inches,
    Millimetres,
    Centimetres,
    Metres,
    Unsaid,
}

/// Longest first, so that `mm` is not read as `m`.
const UNITS: [(&str, Unit); 17] = [
    ("millimetres", Unit::Millimetres),
    ("millimeters", Unit::Millimetres),
    ("inches", Unit::Inches),
    ("metres", Unit::Metres),
    ("meters", Unit::Metres),
    ("metre", Unit::Metres),
    ("meter", Unit::Metres),
    ("inch", Unit::Inches),
    ("feet", Unit::Feet),
    ("foot", Unit::Feet),
    ("in", Unit::Inches),
    ("ft", Unit::Feet),
    ("mm", Unit::Millimetres),
    ("cm", Unit::Centimetres),
    ("m", Unit::Metres),
    ("\"", Unit::Inches),
    ("'", Unit::Feet),
];

fn unit(text: &str) -> (Unit, &str) {
    for (word, unit) in UNITS {
        if let Some(rest) = text.strip_prefix(word) {
            // `in` of `inside` is no unit.
            let runs_on = word.ends_with(|c: char| c.is_alphabetic())
                && rest.starts_with(|c: char| c.is_alphabetic());
            if !runs_on {
                return (unit, rest.strip_prefix('.').unwrap_or(rest));
            }
        }
    }
    (Unit::Unsaid, text)
}

/// A number at the start: `6`, `6.5`, `1/2`, `6 1/2`.
fn number(text: &str) -> Option<(f64, &str)> {
    let (first, rest) = digits(text)?;
    if let Some((value, rest)) = over(first, rest) {
        return Some((value, rest));
    }
    let spaced = rest.trim_start();
    if let Some((top, after)) = digits(spaced)
        && let Some((fraction, after)) = over(top, after)
        && rest.len() != spaced.len()
    {
        return Some((first + fraction, after));
    }
    Some((first, rest))
}

fn over(top: f64, rest: &str) -> Option<(f64, &str)> {
    let (bottom, rest) = digits(rest.strip_prefix('/')?)?;
    (bottom > 0.0).then(|| (top / bottom, rest))
}

fn digits(text: &str) -> Option<(f64, &str)> {
    let end = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    // A unit's full stop is not part of the number.
    let number = text[..end].trim_end_matches('.');
    let value = number.parse().ok()?;
    Some((value, &text[number.len()..]))
}

/// Lower case, one form of each mark, fractions written out.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        let fraction = match c {
            '½' => "1/2",
            '¼' => "1/4",
            '¾' => "3/4",
            '⅛' => "1/8",
            '⅜' => "3/8",
            '⅝' => "5/8",
            '⅞' => "7/8",
            '⅓' => "1/3",
            '⅔' => "2/3",
            _ => "",
        };
        match c {
            _ if !fraction.is_empty() => {
                if out.ends_with(|d: char| d.is_ascii_digit()) {
                    out.push(' ');
                }
                out.push_str(fraction);
            }
            '′' | '’' | '‘' => out.push('\''),
            '″' | '”' | '“' => out.push('"'),
            '⁄' => out.push('/'),
            '−' | '–' => out.push('-'),
            '\u{a0}' | '\u{202f}' => out.push(' '),
            c => out.extend(c.to_lowercase()),
        }
    }
    out.replace("''", "\"")
}

#[cfg(test)]
mod tests {
    use super::parse_length_in;

    #[track_caller]
    fn case(text: &str, inches: Option<f64>) {
        match (parse_length_in(text), inches) {
            (Some(a), Some(b)) => assert!((a - b).abs() < 1e-12, "{text}: {a}, not {b}"),
            (a, b) => assert_eq!(a, b, "{text}"),
        }
    }

    #[test]
    fn feet_inches_and_fractions_are_read() {
        case("12in", Some(12.0));
        case("12 in.", Some(12.0));
        case("3/4\"", Some(0.75));
        case("1 1/2 in", Some(1.5));
        case("1½″", Some(1.5));
        case("1ft 6in", Some(18.0));
        case("24'-6 1/2\"", Some(294.5));
        case("24′ 6½″", Some(294.5));
        case("24' 6", Some(294.0));
        case("24.5 ft", Some(294.0));
        case("1'6''", Some(18.0));
    }

    #[test]
    fn metric_lengths_are_exact() {
        case("25.4mm", Some(1.0));
        case("2.54 cm", Some(1.0));
        case("0.3048 m", Some(12.0));
        case("7 metres", Some(7000.0 / 25.4));
    }

    #[test]
    fn what_is_no_length_is_refused() {
        for text in [
            "",
            "12",
            "in",
            "1/0 in",
            "12 inside",
            "1m 3in",
            "6in 1ft",
            "1ft 14in",
            "1e400in",
            "ten in",
            "1.2.3in",
        ] {
            case(text, None);
        }
    }
}
