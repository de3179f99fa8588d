//! Numbers as printed: halves up, thousands comma, true minus sign, set fractions.

use rust_decimal::Decimal;

use crate::units::number::{MINUS, grouped, thousands, whole};
pub(crate) use crate::units::number::{capital, counted, decimal, signed};

/// The foot mark.
pub(crate) const PRIME: char = '′';
/// The inch mark.
pub(crate) const DOUBLE_PRIME: char = '″';
/// A guard against what is whole but for the last bits.
const WHOLE_GUARD: f64 = 1e-6;

/// [`decimal`] without trailing zeros: `6`, `6.5`, `7.25`.
pub(crate) fn trimmed(value: f64, places: u32) -> String {
    let out = decimal(value, places);
    if !out.contains('.') {
        return out;
    }
    out.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Whether an amount in this unit is measured rather than counted.
pub(crate) fn is_measure(unit: &str) -> bool {
    matches!(unit, "ft" | "m" | "ft²" | "m²")
}

/// Whether a part of one counts: of what is measured, and of sheets that are allowed by the square.
fn is_in_parts(unit: &str) -> bool {
    is_measure(unit) || unit == "sheet"
}

/// An amount that is needed: lengths and areas to so many places; of what comes whole, the whole one that is begun is
/// needed.
pub(crate) fn needed(value: f64, unit: &str, places: u32) -> String {
    if is_measure(unit) {
        trimmed(value, places)
    } else if is_in_parts(unit) {
        in_sheets(value)
    } else {
        trimmed((value - WHOLE_GUARD).ceil(), 0)
    }
}

/// Sheets, to the same hundredth wherever they are printed, so that all papers and the basis of their line agree; what is less
/// is still shown.
fn in_sheets(value: f64) -> String {
    const PLACES: u32 = 2;
    let least = if value > WHOLE_GUARD { 0.01 } else { value };
    trimmed(value.max(least), PLACES)
}

/// An amount that is left over: of what comes whole, only what is left whole.
pub(crate) fn left_over(value: f64, unit: &str) -> String {
    if is_measure(unit) {
        trimmed(value, 1)
    } else if is_in_parts(unit) {
        in_sheets(value)
    } else {
        trimmed((value + WHOLE_GUARD).floor(), 0)
    }
}

/// A whole count: `1,031`.
pub(crate) fn count(value: usize) -> String {
    thousands(value as u64)
}

/// An amount of money in its currency: `$7,830.15`, `EUR 7,830.15`, `−$40.00`. It comes rounded to the cent.
pub(crate) fn money(amount: Decimal, currency: &str) -> String {
    in_currency(amount, &format!("{:.2}", amount.abs()), currency)
}

/// A price of one with all the places that it has, two at the least: `$38.753`, `$0.50`.
pub(crate) fn unit_price(price: Decimal, currency: &str) -> String {
    let text = price.abs().normalize().to_string();
    let places = text.split_once('.').map_or(0, |(_, places)| places.len());
    match places {
        0..=2 => money(price, currency),
        _ => in_currency(price, &text, currency),
    }
}

/// The digits of an amount with its sign, its currency and thousands apart.
fn in_currency(amount: Decimal, text: &str, currency: &str) -> String {
    let (whole, cents) = text.split_once('.').unwrap_or((text, "00"));
    let mut out = String::new();
    if amount.is_sign_negative() && !amount.is_zero() {
        out.push(MINUS);
    }
    out.push_str(currency);
    if currency.ends_with(char::is_alphabetic) {
        out.push(' ');
    }
    out + &grouped(whole) + "." + cents
}

/// An amount of what is bought, with all the places that it has: `61,071`, `12.5`.
pub(crate) fn quantity(amount: Decimal) -> String {
    let text = amount.normalize().to_string();
    match text.split_once('.') {
        Some((whole, places)) => format!("{}.{places}", grouped(whole)),
        None => grouped(&text),
    }
}

/// A change of an amount, with its sign: `+$640.00`, `−$40.00`, `$0.00`.
pub(crate) fn money_change(amount: Decimal, currency: &str) -> String {
    let plus = if amount > Decimal::ZERO { "+" } else { "" };
    format!("{plus}{}", money(amount, currency))
}

/// The value that [`decimal`] prints, as a number: for telling whether printed rows add up.
pub(crate) fn rounded(value: f64, places: u32) -> f64 {
    let unit = 10_f64.powi(places as i32);
    whole(value * unit) as f64 / unit
}

/// A fraction of `of` (8 or 16) as printed, reduced: `⅛`, `½`, `⁵⁄₁₆`; empty for none.
fn fraction(mut numerator: u64, mut of: u64) -> String {
    while numerator > 0 && numerator.is_multiple_of(2) && of > 1 {
        numerator /= 2;
        of /= 2;
    }
    match (numerator, of) {
        (0, _) => String::new(),
        (1, 2) => "½".to_owned(),
        (1, 4) => "¼".to_owned(),
        (3, 4) => "¾".to_owned(),
        (1, 8) => "⅛".to_owned(),
        (3, 8) => "⅜".to_owned(),
        (5, 8) => "⅝".to_owned(),
        (7, 8) => "⅞".to_owned(),
        _ => format!("{}⁄{}", raised(numerator), lowered(of)),
    }
}

fn raised(n: u64) -> String {
    digits_from(n, ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'])
}

fn lowered(n: u64) -> String {
    digits_from(n, ['₀', '₁', '₂', '₃', '₄', '₅', '₆', '₇', '₈', '₉'])
}

fn digits_from(n: u64, table: [char; 10]) -> String {
    n.to_string()
        .bytes()
        .map(|b| table[usize::from(b - b'0')])
        .collect()
}

/// Feet and inches to the nearest 1/8 in: `18′-9⅛″`, `40′-0″`; below one foot inches alone: `4⅜″`.
pub(crate) fn feet_inches(feet: f64) -> String {
    feet_inches_in(feet, 8)
}

fn feet_inches_in(feet: f64, of: u64) -> String {
    if !feet.is_finite() {
        return "–".to_owned();
    }
    let parts = whole(feet * 12.0 * of as f64);
    let magnitude = parts.unsigned_abs();
    let sign = if parts < 0 { "−" } else { "" };
    let (whole_feet, rest) = (magnitude / (12 * of), magnitude % (12 * of));
    let inches = inches_of(rest, of, whole_feet > 0);
    if whole_feet == 0 {
        format!("{sign}{inches}{DOUBLE_PRIME}")
    } else {
        format!(
            "{sign}{}{PRIME}-{inches}{DOUBLE_PRIME}",
            thousands(whole_feet)
        )
    }
}

/// Inches from parts; a bare fraction loses its zero only where no feet stand before it.
fn inches_of(parts: u64, of: u64, after_feet: bool) -> String {
    let (whole, rest) = (parts / of, parts % of);
    let fraction = fraction(rest, of);
    if whole == 0 && !fraction.is_empty() && !after_feet {
        fraction
    } else {
        format!("{}{fraction}", thousands(whole))
    }
}

/// Inches alone to the nearest 1/8: `39⅜″`.
pub(crate) fn inches(inches: f64) -> String {
    inches_in(inches, 8)
}

/// Inches alone to the nearest 1/16, for ridge remainders: `4⁵⁄₁₆″`.
pub(crate) fn inches_to_sixteenth(inches: f64) -> String {
    inches_in(inches, 16)
}

fn inches_in(inches: f64, of: u64) -> String {
    let parts = whole(inches * of as f64);
    let sign = if parts < 0 { "−" } else { "" };
    format!(
        "{sign}{}{DOUBLE_PRIME}",
        inches_of(parts.unsigned_abs(), of, false)
    )
}

/// Rise in 12 without a unit: `6`, `6½`, `6⅜`; to two places where it is no eighth: `7.03`.
pub(crate) fn rise_in_12(rise: f64) -> String {
    let eighths = rise * 8.0;
    if (eighths - eighths.round()).abs() < 0.01 {
        inches_of(whole(eighths).unsigned_abs(), 8, false)
    } else {
        trimmed(rise, 2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_part_of_a_sheet_is_shown() {
        for (value, printed) in [(0.0, "0"), (0.004, "0.01"), (2.473, "2.47"), (2.1, "2.1")] {
            for places in [1, 2] {
                assert_eq!(needed(value, "sheet", places), printed);
            }
            assert_eq!(left_over(value, "sheet"), printed);
        }
        assert_eq!(needed(0.047, "ft", 1), "0");
    }

    #[test]
    fn feet_and_inches_are_set_with_reduced_fractions() {
        for (feet, printed) in [
            (40.0, "40′-0″"),
            (18.762_777, "18′-9⅛″"),
            (1.0, "1′-0″"),
            (0.9999, "1′-0″"),
            (4.375 / 12.0, "4⅜″"),
            (0.5 / 12.0, "½″"),
            (0.0, "0″"),
            (12.0 + 0.5 / 12.0, "12′-0½″"),
            (1204.0, "1,204′-0″"),
            (-1.5, "−1′-6″"),
        ] {
            assert_eq!(feet_inches(feet), printed);
        }
    }

    #[test]
    fn halves_go_up_even_where_binary_arithmetic_lost_a_hair() {
        assert_eq!(decimal(0.125, 2), "0.13");
        assert_eq!(decimal(1.005, 2), "1.01");
        assert_eq!(decimal(-0.005, 2), "−0.01");
        assert_eq!(inches(0.0625), "⅛″");
    }

    #[test]
    fn a_number_that_rounds_to_nothing_has_no_sign() {
        assert_eq!(decimal(-0.001, 2), "0.00");
        assert_eq!(feet_inches(-0.0001), "0″");
    }

    #[test]
    fn money_is_printed_to_the_cent_with_its_currency() {
        let printed = |cents, currency| money(Decimal::new(cents, 2), currency);
        assert_eq!(printed(783_015, "$"), "$7,830.15");
        assert_eq!(printed(-123_456_700, "EUR"), "−EUR 1,234,567.00");
        assert_eq!(printed(5, ""), "0.05");
        assert_eq!(money(Decimal::new(125, 0), "$"), "$125.00");
        let each = |units, places| unit_price(Decimal::new(units, places), "$");
        assert_eq!(each(38_753, 3), "$38.753");
        assert_eq!(each(1_234_567_800, 5), "$12,345.678");
        assert_eq!(
            (each(5, 1), each(98_000, 4)),
            ("$0.50".into(), "$9.80".into())
        );
    }

    #[test]
    fn thousands_are_separated() {
        assert_eq!(decimal(1_234_567.891, 2), "1,234,567.89");
        assert_eq!(count(999), "999");
        assert_eq!(count(1000), "1,000");
        assert_eq!(quantity(Decimal::new(610_710, 1)), "61,071");
        assert_eq!(quantity(Decimal::new(1_000_125, 3)), "1,000.125");
    }

    #[test]
    fn one_face_is_no_faces() {
        assert_eq!(counted(1, "face"), "1 face");
        assert_eq!(counted(1200, "face"), "1,200 faces");
    }

    #[test]
    fn sixteenths_are_set_with_small_figures() {
        assert_eq!(inches_to_sixteenth(4.3125), "4⁵⁄₁₆″");
        assert_eq!(inches_to_sixteenth(0.9375), "¹⁵⁄₁₆″");
        assert_eq!(inches_to_sixteenth(4.25), "4¼″");
    }

    #[test]
    fn a_pitch_prints_as_whole_fraction_or_decimal() {
        assert_eq!(rise_in_12(6.0), "6");
        assert_eq!(rise_in_12(6.5), "6½");
        assert_eq!(rise_in_12(7.03), "7.03");
    }
}
