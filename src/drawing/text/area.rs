//! Stated areas: `2450 SF`, `24.5 squares`, `228 m²`.

use super::area_named::{Named, SaysPlan, Share, plan_in};
use super::area_words::{ABOUT_ROOFS, of_roofs};
use crate::units::text::{Number, Scanner, normalise};
use crate::units::{METRES_PER_FOOT, SQUARE_FEET_PER_SQUARE};

/// An area as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaText {
    /// In square feet.
    pub square_feet: f64,
    /// Whether the words say that it is the roof's and name no part of it: the whole roof's, but for a `share`.
    pub whole_roof: bool,
    /// The share of the roof that they give, which is all of it where it has nothing else.
    pub share: Option<Share>,
    /// The part that the words name, such as `porch`: then it is not the whole roof's.
    pub part: Option<&'static str>,
    /// Whether that part is one of a building, such as `garage`, whose roof may have several faces.
    pub of_building_part: bool,
    /// Whether the words speak of a roof: beside a part without one stands the area of a room or a floor as a rule.
    pub of_roof: bool,
    /// Whether `total` alone says that it is the whole roof's, and no word about roofs: it may be the total of anything.
    pub bare_total: bool,
    /// Whether the words say that it is a total, of a roof or of anything.
    pub total: bool,
    /// Whether the words say that it is measured in plan.
    pub plan: bool,
    /// Whether it stands with the title of the roof plan, which says nothing about the surface.
    pub titled: bool,
    /// Half a unit of the last digit written, in square feet.
    pub half_step_sqft: f64,
}

/// Words that may stand before or after an area.
pub(super) const WORDS: [&str; 44] = [
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
    let figure = number_first(&plain).or_else(|| unit_first(&plain))?;
    let sides = [figure.before, figure.after].map(words_of);
    let words = sides.concat();
    if !words.iter().all(|w| WORDS.contains(w)) {
        return None;
    }
    let says = |word: &str| words.contains(&word);
    let named = Named::by([&sides[0], &sides[1]]);
    let of_roof = says("roof") || says("roofarea");
    let no_part = named.part.is_none();
    let surface = sides.iter().filter_map(|side| plan_in(side));
    let surface: Vec<SaysPlan> = surface.collect();
    Some(AreaText {
        square_feet: figure.number.value * figure.per_unit,
        part: named.part,
        of_building_part: named.of_building_part,
        share: named.share,
        of_roof: named.of_roof,
        whole_roof: no_part && (of_roof || says("total") || named.share == Some(Share::Several)),
        bare_total: no_part && says("total") && !of_roof && !words.iter().any(of_roofs),
        total: says("total"),
        plan: surface.contains(&SaysPlan::Surface),
        titled: surface.contains(&SaysPlan::Title) && !surface.contains(&SaysPlan::Surface),
        half_step_sqft: figure.number.step / 2.0 * figure.per_unit,
    })
}

/// A number with its unit, in square feet, and what stands round them.
struct Figure<'a> {
    number: Number,
    per_unit: f64,
    before: &'a str,
    after: &'a str,
}

/// `ROOF AREA 960 SF`.
fn number_first(plain: &str) -> Option<Figure<'_>> {
    let start = number_from(plain, 0)?;
    let mut scanner = Scanner::new(&plain[start..]);
    let number = scanner.mixed()?;
    let per_unit = unit(&mut scanner)?;
    Some(Figure {
        number,
        per_unit,
        before: &plain[..start],
        after: scanner.rest(),
    })
}

/// `ROOF AREA (SF): 960`, `ROOF SQ FT 960`: the unit stands behind words and before the number, which ends the text.
fn unit_first(plain: &str) -> Option<Figure<'_>> {
    let found = units_in(plain).find_map(|found| {
        let start = number_from(plain, found.end)?;
        let between = &plain[found.end..start];
        let mut scanner = Scanner::new(&plain[start..]);
        let number = scanner.mixed()?;
        let ends = scanner.rest().trim_matches(['.', ')', ' ']).is_empty();
        (is_signs(between) && ends).then_some(Figure {
            number,
            per_unit: found.square_feet,
            before: &plain[..found.start],
            after: "",
        })
    })?;
    // A number behind a unit alone may be anything.
    let about = |w: &&str| ABOUT_ROOFS.contains(w);
    words_of(found.before).iter().any(about).then_some(found)
}

/// A unit of area somewhere in a text.
pub(super) struct UnitAt {
    /// The first byte of its words.
    pub(super) start: usize,
    /// The byte after them.
    pub(super) end: usize,
    square_feet: f64,
}

/// Every word of a text that is a unit of area. A square may be a shape where no number stands before it.
pub(super) fn units_in(plain: &str) -> impl Iterator<Item = UnitAt> {
    let starts = plain.char_indices().filter(|(at, c)| {
        let before = plain[..*at].chars().next_back();
        c.is_alphabetic() && !before.is_some_and(char::is_alphanumeric)
    });
    starts.filter_map(|(start, _)| {
        // As the scanner takes it: blanks may stand at the end where signs were taken out.
        let from = plain[start..].trim_end();
        let mut scanner = Scanner::new(from);
        let square_feet = unit(&mut scanner)?;
        let end = start + from.len() - scanner.rest().len();
        let is_shape = plain[start..end].trim_end_matches('.') == "square";
        (!is_shape).then_some(UnitAt {
            start,
            end,
            square_feet,
        })
    })
}

/// Whether nothing but signs stands somewhere.
pub(super) fn is_signs(between: &str) -> bool {
    between.chars().all(|c| " :=-.,()[]".contains(c))
}

/// Where the first number of a text begins from a byte on. `.9` begins with its point, but not where that ends a word (`AREA.9`)
/// or a row of points; an area less than nothing is none: a dash before the number is a sign where nothing else stands before
/// it, or a colon does.
fn number_from(plain: &str, from: usize) -> Option<usize> {
    let digit = from + plain[from..].find(|c: char| c.is_ascii_digit())?;
    let parts = |before: &str| {
        let last = before.chars().next_back();
        last.is_none_or(|c| " (:=-".contains(c))
    };
    let start = match plain[..digit].strip_suffix('.') {
        Some(before) if parts(before) => before.len(),
        _ => digit,
    };
    let before = &plain[..start];
    let attached = before.ends_with('-');
    let signed = before.trim_end_matches([' ', '(']).strip_suffix('-');
    let is_minus = signed.is_some_and(|rest| {
        let rest = rest.trim_end_matches([' ', '(']);
        rest.is_empty() || attached && rest.ends_with([':', '='])
    });
    (!is_minus).then_some(start)
}

pub(super) fn words_of(side: &str) -> Vec<&str> {
    let words = side.split([' ', ':', '=', '.', '-', ',', '(', ')', '[', ']']);
    words.filter(|w| !w.is_empty()).collect()
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
    fn the_title_of_a_roof_plan_says_nothing_about_the_surface() {
        for text in ["ROOF PLAN - 1,073 SF", "ROOF PLAN: 1,073 SF TOTAL"] {
            let area = parse_area(text).unwrap();
            assert!(area.titled && !area.plan && area.whole_roof, "{text}");
        }
        for text in [
            "ROOF PLAN AREA 960 SF",
            "ROOF AREA (PLAN) 960 SF",
            "ROOF 960 SF PLAN",
            "PLAN ROOF AREA 960 SF",
        ] {
            let area = parse_area(text).unwrap();
            assert!(area.plan && !area.titled, "{text}");
        }
    }

    #[test]
    fn a_point_before_the_first_digit_is_a_decimal_point_and_leaders_are_none() {
        for (text, sqft) in [
            (".9 squares", 90.0),
            ("ROOF AREA .5 SQ", 50.0),
            ("S1: .5 SQ", 50.0),
            ("ROOF AREA (.5 SQ)", 50.0),
            ("ROOF AREA...1,073 SF", 1073.0),
            ("ROOF AREA. . . 1,073 SF", 1073.0),
            ("ROOF AREA.1,073 SF", 1073.0),
        ] {
            assert_eq!(
                parse_area(text).map(|a| a.square_feet),
                Some(sqft),
                "{text}"
            );
        }
    }

    #[test]
    fn an_area_less_than_nothing_is_none_and_a_dash_between_words_and_number_is_no_sign() {
        for text in [
            "-537 sf",
            "- 537 sf",
            "S1: -537 SF",
            "ROOF AREA = -900 SF",
            "-.5 SQ",
            "(-537 SF)",
        ] {
            assert_eq!(parse_area(text), None, "{text}");
        }
        for text in [
            "ROOF AREA - 900 SF",
            "AREA – 900 SF",
            "ROOF AREA -900 SF",
            "ROOF AREA-900 SF",
            "ROOF AREA: - 900 SF",
        ] {
            assert_eq!(
                parse_area(text).map(|a| a.square_feet),
                Some(900.0),
                "{text}"
            );
        }
    }

    #[test]
    fn a_unit_may_stand_before_its_number() {
        for (text, sqft) in [
            ("ROOF SF: 900", 900.0),
            ("ROOF AREA (SF): 1,073", 1073.0),
            ("TOTAL ROOF AREA SQ. FT. = 1,073", 1073.0),
            ("ROOF SQUARES: 10.73", 1073.0),
            ("ROOF SF - .5", 0.5),
        ] {
            let area = parse_area(text).unwrap();
            assert!(
                (area.square_feet - sqft).abs() < 1e-9 && area.whole_roof,
                "{text}"
            );
        }
        let metres = parse_area("ROOF AREA M2 99.7").unwrap();
        assert!((metres.square_feet - 99.7 / 0.092_903_04).abs() < 1e-6);
        for text in [
            "SF 12",
            "SQ 4",
            "ROOF SF: -900",
            "ROOF SF 900 / 2",
            "SQUARE ROOF HATCH 30",
            "ROOF SQ°SQ.",
            "FIRST FLOOR SF: 900",
        ] {
            assert_eq!(parse_area(text), None, "{text}");
        }
    }

    #[test]
    fn a_total_without_a_word_for_roofs_is_known_as_one() {
        let bare = |text: &str| parse_area(text).map(|a| (a.whole_roof, a.bare_total));
        assert_eq!(bare("TOTAL = 6.4 SF"), Some((true, true)));
        assert_eq!(bare("TOTAL ROOF AREA 960 SF"), Some((true, false)));
        assert_eq!(bare("TOTAL AREA OF SHINGLES 960 SF"), Some((true, false)));
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
    fn other_numbers_are_no_areas() {
        for text in ["2450", "24'-6\"", "6/12", "3 m", "ROOM 12 SF"] {
            assert_eq!(parse_area(text), None, "{text}");
        }
    }
}
