//! Stated areas: `2450 SF`, `24.5 squares`, `228 m²`.

use crate::units::text::{Scanner, normalise};
use crate::units::{METRES_PER_FOOT, SQUARE_FEET_PER_SQUARE};

/// An area as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaText {
    /// In square feet.
    pub square_feet: f64,
    /// Whether the words say that it is the whole roof's.
    pub whole_roof: bool,
    /// The part that the words name, such as `porch`: then it is not the whole roof's.
    pub part: Option<&'static str>,
    /// Whether the words say that it is measured in plan.
    pub plan: bool,
    /// Half a unit of the last digit written, in square feet.
    pub half_step_sqft: f64,
}

/// Words that may stand before or after an area.
const WORDS: [&str; 44] = [
    "roof",
    "roofarea",
    "area",
    "total",
    "true",
    "sloped",
    "surface",
    "approx",
    "plan",
    "projected",
    "horizontal",
    "of",
    "main",
    "net",
    "gross",
    "about",
    "garage",
    "porch",
    "dormer",
    "upper",
    "lower",
    "addition",
    "shed",
    "flat",
    "on",
    "slope",
    "grand",
    "incl",
    "including",
    "with",
    "and",
    "&",
    "overhang",
    "overhangs",
    "shingle",
    "shingles",
    "shingled",
    "asphalt",
    "typ",
    "north",
    "east",
    "south",
    "west",
    "side",
];

/// Words that name a part: what is said with them is not of the whole roof.
const PARTS: [&str; 13] = [
    "garage", "porch", "dormer", "upper", "lower", "addition", "shed", "flat", "north", "east",
    "south", "west", "side",
];

/// What follows these is counted in, and no part by itself: `ROOF AREA 1,500 SF INCL. PORCH`.
const COUNTED_IN: [&str; 3] = ["incl", "including", "with"];

/// Reads a text that is an area, perhaps with words such as `roof area` or `total` before or after it, or with the mark
/// of a face (`A =`, `S1:`, `N1`, `(A)`, `#1`, `FACE 1:`).
///
/// ```
/// use eavewright::drawing::text::parse_area;
/// assert_eq!(parse_area("Roof area: 2,450 sq ft").unwrap().square_feet, 2450.0);
/// assert_eq!(parse_area("24.5 squares").unwrap().square_feet, 2450.0);
/// assert_eq!(parse_area("S1: 425 SF ±").unwrap().square_feet, 425.0);
/// ```
pub fn parse_area(text: &str) -> Option<AreaText> {
    let plain = normalise(text)
        .replace("+/-", " ")
        .replace(['±', '~', '≈', '*'], " ");
    let plain = parted(without_mark(plain.trim()));
    let start = plain.find(|c: char| c.is_ascii_digit())?;
    let mut scanner = Scanner::new(&plain[start..]);
    let number = scanner.mixed()?;
    let per_unit = unit(&mut scanner)?;
    let sides = [&plain[..start], scanner.rest()].map(words_of);
    let words = sides.concat();
    if !words.iter().all(|w| WORDS.contains(w)) {
        return None;
    }
    let says = |word: &str| words.contains(&word);
    let part = sides.iter().find_map(|side| part_in(side));
    Some(AreaText {
        square_feet: number.value * per_unit,
        part,
        whole_roof: part.is_none() && (says("roof") || says("roofarea") || says("total")),
        plan: ["plan", "projected", "horizontal"].into_iter().any(says),
        half_step_sqft: number.step / 2.0 * per_unit,
    })
}

fn words_of(side: &str) -> Vec<&str> {
    let words = side.split([' ', ':', '=', '.', '-', ',', '(', ')']);
    words.filter(|w| !w.is_empty()).collect()
}

/// The part that words name.
fn part_in(words: &[&str]) -> Option<&'static str> {
    let mut by_itself = words.iter().take_while(|w| !COUNTED_IN.contains(w));
    by_itself.find_map(|word| PARTS.into_iter().find(|part| part == word))
}

/// Whether a text without a number is the head of a roof's area that stands beside or beneath it: `TOTAL ROOF AREA`.
///
/// ```
/// use eavewright::drawing::text::heads_an_area;
/// assert!(heads_an_area("TOTAL ROOF AREA:") && heads_an_area("Roof area"));
/// assert!(!heads_an_area("ROOF PLAN") && !heads_an_area("LIVING AREA"));
/// ```
pub fn heads_an_area(text: &str) -> bool {
    let plain = normalise(text);
    let words = words_of(&plain);
    let says = |word: &str| words.contains(&word);
    !has_digit(&plain)
        && words.iter().all(|w| WORDS.contains(w))
        && (says("total") || says("roofarea") || (says("roof") && says("area")))
}

/// Words without which a number with a unit of area is no roof's.
const ABOUT_ROOFS: [&str; 5] = ["roof", "area", "total", "shingle", "shingles"];
/// Words of areas that are no roof's, unless it is named too.
const OTHER_AREAS: [&str; 13] = [
    "floor",
    "living",
    "room",
    "lot",
    "site",
    "building",
    "footprint",
    "window",
    "glazing",
    "wall",
    "basement",
    "deck",
    "patio",
];

/// Whether a text speaks of a roof's area, in words or numbers that [`parse_area`] may not know: an area that nobody compares
/// has to be told.
///
/// ```
/// use eavewright::drawing::text::speaks_of_an_area;
/// assert!(speaks_of_an_area("ROOF AREA 960 SF MAX"));
/// assert!(!speaks_of_an_area("LIVING AREA 1,200 SF"));
/// ```
pub fn speaks_of_an_area(text: &str) -> bool {
    let plain = normalise(text);
    let words: Vec<&str> = plain
        .split(|c: char| !c.is_alphabetic())
        .filter(|w| !w.is_empty())
        .collect();
    let says = |word: &&str| words.contains(word);
    let others = is_of_another(&words);
    let about = (ABOUT_ROOFS.iter().any(says) || words.iter().any(of_roofs)) && !others;
    // `roof area 960` leaves the unit out.
    about && (has_unit(&plain) || (says(&"roof") && says(&"area") && has_digit(&plain)))
}

/// Whether a text has an area in it, or a number beside the word, whatever else it says: inside a face it may well be meant as
/// the face's. The words of another area (`LIVING AREA 1,200 SF`) say that it is not; a deck is what shingles lie on.
///
/// ```
/// use eavewright::drawing::text::has_an_area;
/// assert!(has_an_area("480 SF @ 6/12") && has_an_area("AREA=480"));
/// assert!(!has_an_area("BEDROOM 2") && !has_an_area("LIVING AREA 1,200 SF"));
/// ```
pub fn has_an_area(text: &str) -> bool {
    let plain = normalise(text);
    let words: Vec<&str> = plain
        .split(|c: char| !c.is_alphabetic())
        .filter(|w| !w.is_empty())
        .collect();
    let number = plain.split(|c: char| !c.is_ascii_digit());
    // `area 3` may be the name of a part.
    let large = number.map(str::len).any(|digits| digits > 1);
    let words: Vec<&str> = words.into_iter().filter(|w| *w != "deck").collect();
    !is_of_another(&words) && (has_unit(&plain) || (words.contains(&"area") && large))
}

/// Words for roofs, and the beginnings of such words, in the languages of drawings.
const ROOFS: [&str; 9] = [
    "roof", "shingle", "toit", "dach", "techo", "tejado", "cubierta", "telhado", "tetto",
];

fn of_roofs(word: &&str) -> bool {
    ROOFS.iter().any(|roof| word.starts_with(roof))
}

/// Whether words name an area that is no roof's.
fn is_of_another(words: &[&str]) -> bool {
    words.iter().any(|w| OTHER_AREAS.contains(w)) && !words.iter().any(of_roofs)
}

fn has_digit(plain: &str) -> bool {
    plain.contains(|c: char| c.is_ascii_digit())
}

/// Whether a unit of area follows a number.
pub(super) fn has_unit(plain: &str) -> bool {
    const OTHER_UNITS: [&str; 7] = [
        "sy",
        "sq yd",
        "square yards",
        "acres",
        "acre",
        "ft 2",
        "m 2",
    ];
    let plain = parted(plain);
    let ends = plain.char_indices().filter(|(at, c)| {
        let next = plain[at + c.len_utf8()..].chars().next();
        c.is_ascii_digit() && !next.is_some_and(|n| n.is_ascii_digit())
    });
    ends.map(|(at, _)| &plain[at + 1..]).any(|rest| {
        let mut scanner = Scanner::new(rest);
        unit(&mut scanner).is_some() || scanner.word(&OTHER_UNITS)
    })
}

/// With `sq.` parted from what follows: `sq. ft`, `sq.m`.
fn parted(plain: &str) -> String {
    plain.replace("sq. ", "sq ").replace("sq.", "sq ")
}

/// The text without the mark of a face before it: `A =`, `S1:`, `NW-2:`, `FACE 1:`; where a number follows, the colon may be
/// missing: `N1 480`, `(A) 480`, `#1 480`.
fn without_mark(plain: &str) -> &str {
    const NAMED: [&str; 3] = ["face ", "plane ", "section "];
    let named = NAMED.iter().find_map(|word| plain.strip_prefix(word));
    let bracketed = named.unwrap_or(plain).strip_prefix(['(', '[', '#']);
    let mark = bracketed.or(named).unwrap_or(plain);
    let letters = mark
        .find(|c: char| !c.is_ascii_alphabetic())
        .unwrap_or(mark.len());
    let after = mark[letters..].trim_start_matches('-');
    let end = after
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(after.len());
    let is_mark = letters <= 2
        && end <= 2
        && letters + end > 0
        && (letters > 0 || named.is_some() || bracketed.is_some());
    if !is_mark {
        return plain;
    }
    let after = &after[end..];
    let after = after.strip_prefix([')', ']']).unwrap_or(after);
    if let Some(rest) = after.trim_start().strip_prefix([':', '=']) {
        return rest.trim_start();
    }
    match after.strip_prefix(' ') {
        Some(rest) if rest.starts_with(|c: char| c.is_ascii_digit()) => rest,
        _ => plain,
    }
}

fn unit(scanner: &mut Scanner<'_>) -> Option<f64> {
    const SQUARE_METRE: f64 = 1.0 / (METRES_PER_FOOT * METRES_PER_FOOT);
    if scanner.word(&[
        "sf",
        "s.f",
        "sq ft",
        "sqft",
        "sq feet",
        "square feet",
        "ft²",
        "ft2",
        "ft^2",
    ]) {
        return Some(1.0);
    }
    // Before squares, whose words they begin with.
    if scanner.word(&[
        "m²",
        "m2",
        "sqm",
        "sq m",
        "sq metres",
        "sq meters",
        "square metres",
        "square meters",
        "m^2",
    ]) {
        return Some(SQUARE_METRE);
    }
    scanner
        .word(&["squares", "sqs", "sq", "square"])
        .then_some(SQUARE_FEET_PER_SQUARE)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::*;

    #[test]
    fn areas_are_read_in_feet_squares_and_metres() {
        for text in [
            "2450 SF",
            "2,450 sq ft",
            "2,450 sq. ft.",
            "24.5 squares",
            "24.5 SQ",
            "2450 ft²",
        ] {
            let area = parse_area(text).unwrap();
            assert_eq!(area.square_feet, 2450.0, "{text}");
            assert!(!area.whole_roof, "{text}");
        }
        for text in [
            "228 m²",
            "228 sq m",
            "228 sq.m",
            "228 sq. m",
            "228 square metres",
            "228 SQ METERS",
        ] {
            let area = parse_area(text).unwrap();
            assert!((area.square_feet - 2454.172).abs() < 0.001, "{text}");
        }
        assert!(parse_area("ROOF AREA 2450 SF").unwrap().whole_roof);
    }

    #[test]
    fn an_area_knows_its_last_digit_and_whether_it_is_said_to_be_in_plan() {
        let squares = parse_area("24.5 squares").unwrap();
        assert!((squares.half_step_sqft - 5.0).abs() < 1e-12);
        assert!(!squares.plan);
        let plan = parse_area("ROOF PLAN AREA: 960 SF").unwrap();
        assert!(plan.plan && plan.whole_roof);
        assert_eq!(plan.half_step_sqft, 0.5);
    }

    #[test]
    fn areas_are_read_with_whatever_stands_round_them() {
        for text in [
            "ROOF AREA - 1073 SF",
            "AREA OF ROOF = 1073 SF",
            "MAIN ROOF: 1073 SF",
            "1073 SF ROOF",
            "TOTAL 1,073 SF (SLOPED)",
            "Roof area ± 1073 sf",
            "ROOF AREA (INCL. OVERHANGS) 1073 SF",
            "GRAND TOTAL 1073 SF",
            "ASPHALT SHINGLE ROOF - 1073 SF",
            "TOTAL AREA OF ROOF SHINGLES 1073 SF",
        ] {
            let area = parse_area(text).unwrap();
            assert!(
                area.whole_roof && area.square_feet == 1073.0,
                "{text}: {area:?}"
            );
        }
        for text in [
            "A = 425 SF",
            "S1: 425 SF",
            "NW-2 : 425 sq. ft.",
            "425 SF ±",
            "425± SF",
            "AREA +/- 425 SF",
            "GARAGE ROOF 425 SF",
            "SHINGLE AREA 425 SF",
        ] {
            let area = parse_area(text).unwrap();
            assert!(
                !area.whole_roof && area.square_feet == 425.0,
                "{text}: {area:?}"
            );
        }
        for text in [
            "N1 425 SF",
            "A 425 SF",
            "(A) 425 SF",
            "FACE 1: 425 SF",
            "R1 425 SF",
            "#1 425 SF",
            "425 sf*",
            "425 SF NORTH",
        ] {
            let area = parse_area(text).unwrap();
            assert!(!area.whole_roof && area.square_feet == 425.0, "{text}");
        }
        assert_eq!(parse_area("(425 SF)").unwrap().square_feet, 425.0);
        assert_eq!(parse_area("12 SQ").unwrap().square_feet, 1200.0);
        assert!(parse_area("ROOFAREA 960 SF").unwrap().whole_roof);
        assert!(parse_area("ROOF 1073 SF (PLAN)").unwrap().plan);
    }

    #[test]
    fn what_is_counted_in_makes_an_area_no_parts() {
        for text in [
            "ROOF AREA = 1,500 SF INCL. PORCH",
            "ROOF AREA INCL. PORCH AND GARAGE: 1,500 SF",
            "TOTAL ROOF AREA WITH SHED 1,500 SF",
        ] {
            let area = parse_area(text).unwrap();
            assert!(area.whole_roof && area.part.is_none(), "{text}: {area:?}");
        }
        let porch = parse_area("PORCH ROOF AREA 200 SF INCL. OVERHANG").unwrap();
        assert_eq!((porch.part, porch.whole_roof), (Some("porch"), false));
    }

    #[test]
    fn an_area_in_words_or_numbers_that_are_not_read_is_noticed() {
        for text in [
            "ROOF AREA 1,073 SF / 10.73 SQ",
            "ROOF AREA 960 sf. (9.6 sq)",
            "roof area 1.073,3 ft²",
            "roof area 1 073 ft²",
            "ROOF AREA 960 SF MAX",
            "ROOF AREA < 960 SF",
            "ROOF AREA 107 SY",
            "Roof area 1073",
            "TOITURE 99,7 m²",
        ] {
            assert_eq!(parse_area(text), None, "{text}");
            assert!(speaks_of_an_area(text), "{text}");
        }
        for text in [
            "ROOF PLAN",
            "ROOM 12 SF",
            "TOTAL RISE 9'",
            "BUILDING AREA 777 SF",
            "AREA 3",
        ] {
            assert!(!speaks_of_an_area(text), "{text}");
        }
    }

    #[test]
    fn an_area_among_other_words_and_numbers_is_noticed_for_the_face_that_it_stands_in() {
        for text in [
            "480 SF EA.",
            "480 SF (1)",
            "480 SF @ 6/12",
            "6/12 - 480 SF",
            "AREA=480",
            "537 SF (PLAN 480)",
            "480 ft 2",
        ] {
            assert_eq!(parse_area(text), None, "{text}");
            assert!(has_an_area(text), "{text}");
        }
        for text in ["6/12", "AREA 3", "LIVING AREA 1,200 SF", "12'-6\"", "2450"] {
            assert!(!has_an_area(text), "{text}");
        }
    }

    #[test]
    fn other_numbers_are_no_areas() {
        for text in ["2450", "24'-6\"", "6/12", "3 m", "ROOM 12 SF"] {
            assert_eq!(parse_area(text), None, "{text}");
        }
    }
}
