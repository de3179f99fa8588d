//! Lengths as they are written on plans: with a doubt about them, in brackets, with signs between thousands.

use crate::drawing::text::{LengthText, LengthUnit, normalise, parse_length};

/// Signs and words round a length that say how sure it is, not that it is another one: `24'-6" ±`, `24'-6" V.I.F.`.
const DOUBTS: [&str; 17] = [
    "±",
    "+/-",
    "-/+",
    "+-",
    "≈",
    "~",
    "v.i.f.",
    "vif",
    "verify in field",
    "field verify",
    "approx.",
    "approx",
    "o/o",
    "out to out",
    "out-to-out",
    "typ.",
    "typ",
];

/// A length, with a doubt about it or in brackets perhaps.
pub(super) fn length(plain: &str, bare: Option<LengthUnit>) -> Option<LengthText> {
    let read = |text: &str| match in_thousands(text, bare) {
        Some(figures) => parse_length(&figures, bare),
        None => parse_length(text, bare),
    };
    read(plain)
        .or_else(|| in_two_units(plain))
        .or_else(|| read(undoubted(plain)))
}

/// A length with the same in other units in brackets behind it: `40'-0" (12192)`, `12.192 m [40'-0"]`. A whole number without a
/// unit there is millimetres. Two that differ are none.
fn in_two_units(plain: &str) -> Option<LengthText> {
    let (first, rest) = plain.split_once(['(', '['])?;
    let second = rest.strip_suffix([')', ']'])?;
    let one = parse_length(first.trim(), None)?;
    let other = parse_length(second.trim(), Some(LengthUnit::Millimetres))?;
    let rounding = (one.step_ft + other.step_ft) / 2.0;
    (one.metric != other.metric && (one.feet - other.feet).abs() <= rounding).then_some(one)
}

/// Millimetres with a dot or a blank between thousands, without it: `14.000 mm`, `12 000 mm`. Nobody measures a roof to a
/// thousandth of a millimetre; a hundred and more are left as they stand, since programs write them so: `914.400 mm`.
fn in_thousands(plain: &str, bare: Option<LengthUnit>) -> Option<String> {
    let figures = plain.strip_suffix("mm").map(str::trim_end);
    let may_be_bare = bare == Some(LengthUnit::Millimetres);
    let figures = figures.or_else(|| may_be_bare.then_some(plain))?;
    let is_dotted = figures.contains('.') && figures.len() < plain.len();
    let groups: Vec<&str> = figures.split([' ', '.']).collect();
    let (first, rest) = groups.split_first()?;
    let digits = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let longest = if is_dotted { 2 } else { 3 };
    let parted = (1..=longest).contains(&first.len()) && digits(first) && !first.starts_with('0');
    let in_threes = !rest.is_empty() && rest.iter().all(|g| g.len() == 3 && digits(g));
    let one_sign = !(figures.contains('.') && (!is_dotted || figures.contains(' ')));
    (parted && in_threes && one_sign).then(|| format!("{} mm", groups.concat()))
}

/// Whether a length was read from a text that says more than the length.
pub(in crate::drawing) fn is_doubted(text: &str, bare: Option<LengthUnit>) -> bool {
    parse_length(text, bare).is_none() && in_thousands(&normalise(text), bare).is_none()
}

/// A text without the doubts before and after it, and the brackets round it.
pub(super) fn undoubted(plain: &str) -> &str {
    let mut rest = plain.trim();
    loop {
        let before = rest;
        for doubt in DOUBTS {
            rest = rest.strip_prefix(doubt).unwrap_or(rest).trim();
            rest = rest.strip_suffix(doubt).unwrap_or(rest).trim();
        }
        let in_brackets = rest.strip_prefix('(').and_then(|r| r.strip_suffix(')'));
        rest = in_brackets.unwrap_or(rest).trim();
        // `24'-6" (VIF)`
        if let Some((length, doubt)) = rest.strip_suffix(')').and_then(|r| r.split_once('('))
            && DOUBTS.contains(&doubt.trim())
        {
            rest = length.trim();
        }
        if rest == before {
            return rest;
        }
    }
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::super::{Meaning, read};
    use super::*;

    #[test]
    fn millimetres_in_thousands_are_not_read_as_decimals() {
        let in_mm = |text: &str, bare| match read(text, bare) {
            Meaning::Length(length) => (length.feet * 304.8).round(),
            other => panic!("{text}: {other:?}"),
        };
        let metric = Some(LengthUnit::Millimetres);
        for text in [
            "14.000 mm",
            "14 000 mm",
            "14,000 mm",
            "14000 mm",
            "14.000mm",
        ] {
            assert_eq!(in_mm(text, None), 14_000.0, "{text}");
            assert!(!is_doubted(text, None), "{text}");
        }
        assert_eq!(in_mm("14 000", metric), 14_000.0);
        assert_eq!(in_mm("12.500 mm", None), 12_500.0);
        // What a program writes of 3 ft, and decimals that part no thousands.
        assert_eq!(in_mm("914.400 mm", None), 914.0);
        assert_eq!(in_mm("7470.0 mm", None), 7470.0);
        // Metres or millimetres: nobody knows.
        assert_eq!(read("14.000", metric), Meaning::Other);
        assert_eq!(read("14 000", None), Meaning::Other);
    }

    #[test]
    fn a_length_with_a_doubt_about_it_is_that_length() {
        for text in [
            "24'-6\" ±",
            "±24'-6\"",
            "24'-6\" VIF",
            "24'-6\" V.I.F.",
            "(24'-6\")",
            "24'-6\" (VIF)",
            "(24'-6\" +/-)",
            "~24.5 ft",
            "24'-6\" VERIFY IN FIELD",
            "24'-6\" O/O",
            "24'-6\" (OUT TO OUT)",
            "24'-6\" TYP.",
            "24'-6\" (7468)",
            "24'-6\" [7.47 m]",
        ] {
            let Meaning::Length(length) = read(text, None) else {
                panic!("{text}");
            };
            assert_eq!(length.feet, 24.5, "{text}");
            assert!(is_doubted(text, None), "{text}");
        }
        assert!(!is_doubted("24'-6\"", None));
        assert!(matches!(
            read("7470 ±", Some(LengthUnit::Millimetres)),
            Meaning::Length(_)
        ));
        for text in [
            "24'-6\" (7500)",
            "24'-6\" ± 1\"",
            "24'-6\" CLEAR",
            "6 ±",
            "±",
        ] {
            assert_eq!(read(text, None), Meaning::Other, "{text}");
        }
    }
}
