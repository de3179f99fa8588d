//! Kinds of one item as price keys name them: a size is the same size however it is written.

use super::item::Item;
use super::words::figure;
use super::{nails, pipes};
use crate::roof::CRICKET_OVER_IN;
use crate::units::number::has_decimal_comma;
use crate::units::parse_length_in;

/// No chimney is wider than this, in inches: a size in millimetres without their unit is a slip.
const WIDEST_CRICKET_IN: f64 = 240.0;

/// A key with its kind in one spelling: `pipe_boot:3″` is `pipe_boot:3in`, `cricket:36 × 9` is `cricket:36x9`.
pub(super) fn plain_key(key: &str) -> String {
    let Some((item, kind)) = key.split_once(':') else {
        return letters(key);
    };
    let item = letters(item);
    let of = Item::ALL.into_iter().find(|i| i.key() == item);
    let sized = match of {
        Some(Item::PipeBoot | Item::Nails | Item::NailsLong) => {
            parse_length_in(kind).map(|inches| format!("{}in", figure(inches, 3)))
        }
        Some(Item::Cricket) => cricket(kind).map(|size| cricket_key(&size)),
        _ => None,
    };
    let kind = sized.unwrap_or_else(|| letters(kind));
    format!("{item}:{kind}")
}

/// Whether orders have lines of a kind, given as [`plain_key`] writes it, of an item that comes in sizes.
pub(crate) fn is_ordered_in(item: Item, kind: &str) -> bool {
    let length = || parse_length_in(kind);
    match item {
        Item::PipeBoot => kind == letters(pipes::NO_SIZE) || length().is_some_and(pipes::is_a_boot),
        Item::Nails | Item::NailsLong => {
            let longer = kind.strip_suffix("orlonger").and_then(parse_length_in);
            longer.is_some_and(|inches| nails::item_of(inches) == item)
                || length().is_some_and(|inches| nails::is_sold(item, inches))
        }
        Item::Cricket => cricket(kind).is_some_and(|size| {
            let width = size.first().copied().unwrap_or_default();
            width > CRICKET_OVER_IN && width <= WIDEST_CRICKET_IN
        }),
        _ => false,
    }
}

/// Whether two sizes, in inches, are one in price keys, which have three decimals.
pub(super) fn is_one_size(a: f64, b: f64) -> bool {
    figure(a, 3) == figure(b, 3)
}

/// Small letters without blanks, and one sign for `by`.
fn letters(text: &str) -> String {
    let letters = text.chars().filter(|c| !c.is_whitespace());
    let small = letters.flat_map(char::to_lowercase);
    small.map(|c| if c == '×' { 'x' } else { c }).collect()
}

fn cricket_key(size: &[f64]) -> String {
    let size: Vec<String> = size.iter().map(|inches| figure(*inches, 0)).collect();
    size.join("x")
}

/// Width and height of a cricket in inches, or its width alone: `36x9`, `36" × 9"`, `914 x 229 mm`, `36 in wide, 9 in high`.
/// What has no unit is inches, as in the order's own keys.
fn cricket(kind: &str) -> Option<Vec<f64>> {
    let plain = kind.to_lowercase().replace('×', "x");
    let words = ["wide", "high"];
    let parts: Vec<String> = match plain.split_once(words[0]) {
        Some((width, height)) => vec![
            width.to_owned(),
            height.trim_start_matches(',').replace(words[1], ""),
        ],
        None => plain.split('x').map(str::to_owned).collect(),
    };
    if parts.iter().any(|part| has_decimal_comma(part.trim())) {
        return None;
    }
    // Thousands of millimetres have a comma.
    let parts: Vec<String> = parts.iter().map(|p| p.trim().replace(',', "")).collect();
    let last = parts
        .last()
        .filter(|last| !last.is_empty())
        .or(parts.first())?;
    let unit = last.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    let unit = if last.len() == unit.len() { "" } else { unit };
    let sizes: Option<Vec<f64>> = parts
        .iter()
        .filter(|part| !part.is_empty())
        .map(|part| {
            let bare = part.chars().all(|c| c.is_ascii_digit() || c == '.');
            match (bare, unit.trim()) {
                (true, "") => part.parse().ok(),
                (true, unit) => parse_length_in(&format!("{part} {unit}")),
                (false, _) => parse_length_in(part),
            }
        })
        .collect();
    sizes.filter(|sizes| (1..=2).contains(&sizes.len()) && sizes.iter().all(|s| *s > 0.0))
}

#[cfg(test)]
mod tests {
    use super::{is_ordered_in, plain_key};
    use crate::materials::Item;

    #[test]
    fn a_size_is_the_same_however_it_is_written() {
        for (written, key) in [
            ("roofing_nails:1¼ in", "roofing_nails:1 1/4 in"),
            ("Roofing_Nails:1 1/4in", "roofing_nails:1 1/4 in"),
            ("roofing_nails:1.25\"", "roofing_nails:1 1/4 in"),
            ("pipe_boot:3 inch", "pipe_boot:3 in"),
            ("pipe_boot:3″", "pipe_boot:3 in"),
            ("pipe_boot:7.5 cm", "pipe_boot:75 mm"),
            ("cricket:36×9", "cricket:36x9"),
            ("cricket:36 x 9 in", "cricket:36x9"),
            ("cricket:36″ × 9″", "cricket:36x9"),
            ("cricket:36 in wide, 9 in high", "cricket:36x9"),
            ("cricket:914.4 mm wide, 228.6 mm high", "cricket:36x9"),
            ("cricket:1,016 mm wide, 254 mm high", "cricket:40x10"),
            ("cricket:914.4 x 228.6 mm", "cricket:36x9"),
            ("cricket:36 in wide", "cricket:36"),
            ("shingles:39×13", "shingles:39X13"),
        ] {
            assert_eq!(plain_key(written), plain_key(key), "{written}");
            assert_eq!(plain_key(&plain_key(written)), plain_key(key), "{written}");
        }
        assert_ne!(plain_key("pipe_boot:3 in"), plain_key("pipe_boot:75 mm"));
    }

    #[test]
    fn only_sizes_that_orders_have_are_kinds() {
        let is = |item: Item, kind: &str| {
            let key = plain_key(&format!("{}:{kind}", item.key()));
            is_ordered_in(item, key.split_once(':').unwrap_or_default().1)
        };
        for (item, kind) in [
            (Item::PipeBoot, "3 in"),
            (Item::PipeBoot, "110 mm"),
            (Item::PipeBoot, "size not given"),
            // Wider than any boot: listed as drawn.
            (Item::PipeBoot, "6.5 in"),
            (Item::Nails, "1 1/4 in"),
            (Item::Nails, "45 mm"),
            (Item::NailsLong, "2 in"),
            (Item::NailsLong, "3.33 in or longer"),
            (Item::Cricket, "36x9"),
            (Item::Cricket, "36"),
        ] {
            assert!(is(item, kind), "{kind}");
        }
        for (item, kind) in [
            (Item::PipeBoot, "banana"),
            (Item::PipeBoot, "2.5 in"),
            // Near to 75 mm, whose price key it is not.
            (Item::PipeBoot, "2.95 in"),
            (Item::Nails, "1.249 in"),
            (Item::Nails, "4 in or longer"),
            (Item::Cricket, "36x9,5"),
            (Item::PipeBoot, "3"),
            // Too long for a nailer, and so another item.
            (Item::Nails, "2 in"),
            (Item::NailsLong, "1 1/4 in"),
            (Item::Nails, "longer"),
            (Item::Cricket, "24x6"),
            (Item::Cricket, "914x229"),
            (Item::Cricket, "large"),
            (Item::Shingles, "39x13"),
        ] {
            assert!(!is(item, kind), "{kind}");
        }
    }
}
