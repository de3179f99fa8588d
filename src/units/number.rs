//! A number in words, as `report` prints it and the findings of a review tell it.

/// The minus sign; a hyphen is not one.
pub(crate) const MINUS: char = '−';

/// A guard against a half that binary arithmetic put a hair below the half: 1e-9 of the last digit is printed.
const HALF_GUARD: f64 = 0.5 + 1e-9;

/// Rounds to whole units, halves away from zero.
pub(crate) fn whole(value: f64) -> i64 {
    let magnitude = (value.abs() + HALF_GUARD).floor();
    (if value < 0.0 { -magnitude } else { magnitude }) as i64
}

/// Thousands separated by commas.
pub(crate) fn thousands(digits: u64) -> String {
    grouped(&digits.to_string())
}

/// Digits before a decimal point, in groups of three.
pub(crate) fn grouped(digits: &str) -> String {
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    out
}

/// A whole count of something: `1 face`, `1,200 faces`.
pub(crate) fn counted(value: usize, one: &str) -> String {
    let s = if value == 1 { "" } else { "s" };
    format!("{} {one}{s}", thousands(value as u64))
}

/// `eave` as `Eave`.
pub(crate) fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars
        .next()
        .map(|c| c.to_uppercase().chain(chars).collect())
        .unwrap_or_default()
}

/// A number with what is beyond so many decimal places cut off: a share just short of a bound does not read as the bound.
pub(crate) fn cut(value: f64, places: u32) -> f64 {
    const LAST_BITS: f64 = 1e-9;
    let unit = 10_f64.powi(places as i32);
    (value * unit + LAST_BITS).floor() / unit
}

/// A decimal number with a fixed count of places: `1,073.31`, `−7.25`, never `−0.00`.
pub(crate) fn decimal(value: f64, places: u32) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let unit = 10_u64.pow(places);
    let scaled = whole(value * unit as f64);
    let magnitude = scaled.unsigned_abs();
    let mut out = String::new();
    if scaled < 0 {
        out.push(MINUS);
    }
    out.push_str(&thousands(magnitude / unit));
    if places > 0 {
        out.push('.');
        let fraction = magnitude % unit;
        out.push_str(&format!("{fraction:0width$}", width = places as usize));
    }
    out
}

/// The same with a sign, as a difference has one: `+3.3`, `−6.8`, `0.0`.
pub(crate) fn signed(value: f64, places: u32) -> String {
    let printed = decimal(value, places);
    let is_more = value > 0.0 && printed.contains(|c: char| ('1'..='9').contains(&c));
    if is_more {
        format!("+{printed}")
    } else {
        printed
    }
}

/// A number as it is typed on a command line: without commas, and without zeros at the end of its decimals.
pub(crate) fn typed(value: f64, places: u32) -> String {
    let written = decimal(value, places).replace(',', "");
    match written.contains('.') {
        true => written
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned(),
        false => written,
    }
}

/// `a`, `a and b`, `a, b and c`, or with another word.
pub(crate) fn listed(all: &[&str], word: &str) -> String {
    match all.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} {word} {last}", others.join(", ")),
        None => String::new(),
    }
}

/// Whether the number that a figure begins with has a comma elsewhere than between thousands.
pub(crate) fn has_decimal_comma(figure: &str) -> bool {
    let end = figure.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','));
    let number = figure[..end.unwrap_or(figure.len())].trim_end_matches([',', '.']);
    let (whole, after) = number.split_once('.').unwrap_or((number, ""));
    let mut groups = whole.split(',');
    let first = groups.next().unwrap_or_default();
    let mut grouped = (1..=3).contains(&first.len()) && first != "0";
    let mut any = false;
    for group in groups {
        any = true;
        grouped &= group.len() == 3;
    }
    after.contains([',', '.']) || (any && !grouped)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_has_its_sign_unless_it_rounds_to_nothing() {
        for (value, printed) in [
            (31.25, "+31.3"),
            (-1073.25, "−1,073.3"),
            (0.04, "0.0"),
            (-0.04, "0.0"),
            (f64::INFINITY, "–"),
        ] {
            assert_eq!(signed(value, 1), printed);
        }
    }
}
