//! What words say about areas: whose they are, and whether an area is meant that cannot be read.

use super::area::{WORDS, has_unit, is_signs, units_in, words_of};
use super::area_named::name_a_roof;
use crate::units::text::normalise;

/// Whether a text without a number is the head of a roof's area that stands beside or beneath it, perhaps with the unit:
/// `TOTAL ROOF AREA`, `ROOF AREA (SF)`, `GARAGE ROOF`.
///
/// ```
/// use eavewright::drawing::text::heads_an_area;
/// assert!(heads_an_area("TOTAL ROOF AREA:") && heads_an_area("Roof area (sq ft)"));
/// assert!(!heads_an_area("ROOF PLAN") && !heads_an_area("LIVING AREA"));
/// ```
pub fn heads_an_area(text: &str) -> bool {
    let is_head = |words: &[&str]| {
        let says = |word: &str| words.contains(&word);
        says("total") || says("roofarea") || (says("roof") && says("area")) || name_a_roof(words)
    };
    words_of_head(text, is_head)
}

/// Whether it is the head of the area of a part's roof: `GARAGE ROOF` may stand in a plan as well, with no area to it.
///
/// ```
/// use eavewright::drawing::text::heads_a_part;
/// assert!(heads_a_part("GARAGE ROOF") && !heads_a_part("TOTAL ROOF AREA") && !heads_a_part("GARAGE"));
/// ```
pub fn heads_a_part(text: &str) -> bool {
    words_of_head(text, name_a_roof)
}

/// Whether a text without a number but for its unit has only words that stand beside areas, and these are of some kind.
fn words_of_head(text: &str, are: impl Fn(&[&str]) -> bool) -> bool {
    let plain = normalise(text);
    let before = last_unit(&plain).map_or(plain.as_str(), |(before, _)| before);
    let words = words_of(before);
    !has_digit(before) && words.iter().all(|w| WORDS.contains(w)) && are(&words)
}

/// Whether a text heads a table of areas of roofs, so that its rows are of roofs though they do not say so. The title of the
/// drawing stands over everything in it, rooms too, and heads nothing.
///
/// ```
/// use eavewright::drawing::text::heads_areas_of_roofs;
/// assert!(heads_areas_of_roofs("ROOF AREAS") && heads_areas_of_roofs("ROOFING SCHEDULE"));
/// assert!(!heads_areas_of_roofs("ROOF PLAN") && !heads_areas_of_roofs("ROOF AREA 960 SF"));
/// ```
pub fn heads_areas_of_roofs(text: &str) -> bool {
    const TABLES: [&str; 7] = [
        "area", "areas", "schedule", "table", "takeoff", "summary", "squares",
    ];
    let plain = normalise(text);
    let says = |word: &&str| TABLES.contains(word);
    !has_digit(&plain) && topic_of_areas(&plain) == Some(true) && all_words(&plain).iter().any(says)
}

/// The unit in which the figures of a column are, of which a text is the head.
///
/// ```
/// use eavewright::drawing::text::unit_of_column;
/// assert_eq!(unit_of_column("AREA (SF)").as_deref(), Some("sf"));
/// assert_eq!(unit_of_column("AREA 960 SF"), None);
/// ```
pub fn unit_of_column(text: &str) -> Option<String> {
    let plain = normalise(text);
    let (before, unit) = last_unit(&plain)?;
    let is_head = !has_digit(before) && words_of(before).iter().all(|w| WORDS.contains(w));
    is_head.then(|| unit.to_owned())
}

/// Whether the areas of a column, of which a text is the head, are in plan; `None` where it says nothing of the surface.
///
/// ```
/// use eavewright::drawing::text::column_is_in_plan;
/// assert_eq!(column_is_in_plan("PLAN (SF)"), Some(true));
/// assert_eq!(column_is_in_plan("SLOPED AREA"), Some(false));
/// assert_eq!(column_is_in_plan("ROOF PLAN"), None);
/// ```
pub fn column_is_in_plan(text: &str) -> Option<bool> {
    const PLAN: [&str; 4] = ["plan", "projected", "horizontal", "footprint"];
    const SLOPE: [&str; 7] = [
        "sloped", "slope", "true", "actual", "surface", "roof", "shingled",
    ];
    let plain = normalise(text);
    let unit = last_unit(&plain);
    let before = unit.map_or(plain.as_str(), |(before, _)| before);
    let words = words_of(before);
    let is_area = |word: &str| ["area", "areas"].contains(&word);
    let known = |word: &&str| PLAN.contains(word) || SLOPE.contains(word) || is_area(word);
    let is_head = !has_digit(before) && words.iter().all(known);
    let speaks_of_areas = unit.is_some() || words.iter().any(|word| is_area(word));
    let is_of = |of: &[&str]| words.iter().any(|word| of.contains(word));
    (is_head && speaks_of_areas && (is_of(&PLAN) || is_of(&SLOPE))).then(|| is_of(&PLAN))
}

/// The unit that ends a text, with what stands before it.
fn last_unit(plain: &str) -> Option<(&str, &str)> {
    let last = units_in(plain).find(|unit| is_signs(&plain[unit.end..]))?;
    Some((&plain[..last.start], &plain[last.start..last.end]))
}

/// Of whose areas a text speaks, so that it says what a total beneath it is of: `true` for a roof's, `false` for another's
/// (`SECOND FLOOR`, `GLAZING SCHEDULE`, `ROOF VENTS`), `None` for none.
///
/// ```
/// use eavewright::drawing::text::topic_of_areas;
/// assert_eq!(topic_of_areas("ROOF AREAS"), Some(true));
/// assert_eq!(topic_of_areas("GLAZING SCHEDULE"), Some(false));
/// assert_eq!(topic_of_areas("NORTH"), None);
/// ```
pub fn topic_of_areas(text: &str) -> Option<bool> {
    let plain = normalise(text);
    let words = all_words(&plain);
    // Vents and attics are named with the roof that they are of.
    let beneath = |w: &&str| ["attic", "vent", "vents", "ventilation"].contains(w);
    if words.iter().any(beneath) || is_of_another(&words) {
        return Some(false);
    }
    words.iter().any(of_roofs).then_some(true)
}

/// Whether words over an area may be those of the face in which both stand: its mark (`S1`, `AREA A`), words that may stand beside
/// an area (`NORTH SIDE`) or words about roofs. Others name what lies beneath, such as a room.
///
/// ```
/// use eavewright::drawing::text::may_be_of_a_face;
/// assert!(may_be_of_a_face("S1") && may_be_of_a_face("NORTH SIDE") && may_be_of_a_face("30 YR SHINGLES"));
/// assert!(!may_be_of_a_face("KITCHEN") && !may_be_of_a_face("BR 1"));
/// ```
pub fn may_be_of_a_face(text: &str) -> bool {
    const FACES: [&str; 11] = [
        "face", "plane", "section", "ne", "nw", "se", "sw", "pitch", "up", "down", "dn",
    ];
    let plain = normalise(text);
    let words = all_words(&plain);
    let is_known = |w: &&str| w.chars().count() == 1 || FACES.contains(w) || WORDS.contains(w);
    words.iter().any(of_roofs) || words.iter().all(is_known)
}

/// Whether a text names a roof, or what lies on it.
pub fn is_of_roofs(text: &str) -> bool {
    all_words(&normalise(text)).iter().any(of_roofs)
}

/// Whether a text is a number and nothing else, of two digits or more: beside the head of an area it is one without its unit.
pub fn is_bare_figure(text: &str) -> bool {
    let plain = normalise(text);
    let of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' ');
    plain.chars().all(of_number) && plain.bytes().filter(u8::is_ascii_digit).count() > 1
}

/// Words without which a number with a unit of area is no roof's.
pub(super) const ABOUT_ROOFS: [&str; 5] = ["roof", "area", "total", "shingle", "shingles"];
/// Words of areas that are no roof's, unless it is named too.
const OTHER_AREAS: [&str; 17] = [
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
    "attic",
    "vent",
    "ventilation",
    "door",
];

/// Whether a text speaks of a roof's area, in words or numbers that [`parse_area`](super::parse_area) may not know: an area that nobody compares
/// has to be told.
///
/// ```
/// use eavewright::drawing::text::speaks_of_an_area;
/// assert!(speaks_of_an_area("ROOF AREA 960 SF MAX"));
/// assert!(!speaks_of_an_area("LIVING AREA 1,200 SF"));
/// ```
pub fn speaks_of_an_area(text: &str) -> bool {
    let plain = normalise(text);
    let words = all_words(&plain);
    let says = |word: &&str| words.contains(word);
    let others = is_of_another(&words);
    let about = (ABOUT_ROOFS.iter().any(says) || words.iter().any(of_roofs)) && !others;
    // `roof area 960` leaves the unit out, and `roofing sf 960 max` has it before the number.
    let of_roof = words.iter().any(of_roofs);
    let meant = of_roof && (says(&"area") || units_in(&plain).next().is_some());
    about && (has_unit(&plain) || (meant && has_digit(&plain)))
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
    let words = all_words(&plain);
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

pub(super) fn all_words(plain: &str) -> Vec<&str> {
    let words = plain.split(|c: char| !c.is_alphabetic());
    words.filter(|w| !w.is_empty()).collect()
}

pub(super) fn of_roofs(word: &&str) -> bool {
    ROOFS.iter().any(|roof| word.starts_with(roof))
}

/// Whether words name an area that is no roof's.
fn is_of_another(words: &[&str]) -> bool {
    let is_other = |w: &&str| {
        OTHER_AREAS.contains(w)
            || w.strip_suffix('s')
                .is_some_and(|one| OTHER_AREAS.contains(&one))
    };
    words.iter().any(is_other) && !words.iter().any(of_roofs)
}

fn has_digit(plain: &str) -> bool {
    plain.contains(|c: char| c.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::super::area::parse_area;
    use super::*;

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
            "ROOFING SQUARES: 10.7",
            "ROOF SF 900 MAX",
            "ROOF AREA: 900 SF, 6/12",
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
    fn what_a_table_is_of_is_known_by_its_words() {
        for text in [
            "FIRST FLOOR",
            "WINDOWS",
            "ATTIC VENT CALCULATION",
            "ROOF VENTILATION",
            "LOT 12",
        ] {
            assert_eq!(topic_of_areas(text), Some(false), "{text}");
        }
        for text in ["ROOF AREAS", "SHINGLES", "ROOF OVER PORCH"] {
            assert_eq!(topic_of_areas(text), Some(true), "{text}");
        }
        assert_eq!(topic_of_areas("SOUTH FACE"), None);
    }
}
