//! Names of packages: which of them mean one package, and which are measures and so none.

/// Names of one package, a group each.
const ALIKE: [&[&str]; 3] = [
    &[
        "piece", "pc", "each", "ea", "length", "stick", "bar", "sheet", "no", "unit",
    ],
    &["bundle", "pack", "packet", "package"],
    &["tube", "cartridge"],
];

/// Words that measures are named with, in the singular: one at the least is in each.
const MEASURES: [&str; 34] = [
    "ft",
    "foot",
    "feet",
    "'",
    "lf",
    "lft",
    "rft",
    "in",
    "inch",
    "\"",
    "yd",
    "yard",
    "m",
    "lm",
    "mtr",
    "metre",
    "meter",
    "mm",
    "cm",
    "millimetre",
    "millimeter",
    "centimetre",
    "centimeter",
    "square",
    "sq",
    "sqft",
    "sf",
    "sqm",
    "sm",
    "sqyd",
    "sy",
    "ft2",
    "m2",
    "yd2",
];

/// Words that stand beside them, as people write them.
const BESIDE: [&str; 8] = [
    "lin", "linear", "lineal", "run", "running", "of", "per", "a",
];

/// `bundle`, `bundles` and `Bundle` are one package; `box` and `boxes` too, and `piece` and `length`.
pub(super) fn is_same(a: &str, b: &str) -> bool {
    let (a, b) = (one(a).to_lowercase(), one(b).to_lowercase());
    a == b || (ALIKE.iter()).any(|names| names.contains(&&*a) && names.contains(&&*b))
}

/// Whether the package that a price is for is that of a line of the order: what a name says of how many are in it is
/// held against what the line's package `holds`.
pub(super) fn is_one_of(price: &str, line: &str, holds: Option<u32>) -> bool {
    let held = count_in(line).or(holds);
    is_same(bare(price), bare(line)) && count_in(price).is_none_or(|count| held == Some(count))
}

/// Whether a name is that of a measure, so many of which may stand before it: `ft`, `squares`, `100 sq ft`.
pub(super) fn is_measure(name: &str) -> bool {
    let plain = name
        .replace('²', "2")
        .replace(['.', '-', '/'], " ")
        .replace('^', "");
    let words: Vec<String> = plain
        .split_whitespace()
        .map(|word| word.trim_start_matches(|c: char| c.is_ascii_digit() || c == ','))
        .filter(|word| !word.is_empty())
        .map(|word| one(word).to_lowercase())
        .collect();
    let is_unit = |word: &String| MEASURES.contains(&&**word);
    words.iter().any(is_unit)
        && (words.iter()).all(|word| is_unit(word) || BESIDE.contains(&&**word))
}

/// How many a name says that there are in it: 100 of `box of 100`, 21 of `bundle of 21 shingles`.
pub(super) fn count_in(name: &str) -> Option<u32> {
    let (_, held) = name.rsplit_once(" of ")?;
    let (count, what) = held.trim().split_once(' ').unwrap_or((held.trim(), ""));
    let count = count.replace(',', "").parse().ok()?;
    (!is_measure(what)).then_some(count)
}

/// The name without how many are in it: `box` of `box of 100`.
pub(super) fn bare(name: &str) -> &str {
    match (count_in(name), name.rsplit_once(" of ")) {
        (Some(_), Some((package, _))) => package.trim(),
        _ => name.trim(),
    }
}

/// A name as it is of one: `box of 100` for `boxes of 100`.
pub(super) fn of_one(name: &str) -> String {
    match name.trim().split_once(" of ") {
        Some((package, held)) => format!("{} of {}", one(package), held.trim()),
        None => one(name).to_owned(),
    }
}

/// A name as it is of several: `boxes of 100` for `box of 100`.
pub(crate) fn of_many(name: &str) -> String {
    match name.split_once(" of ") {
        Some((package, held)) => format!("{} of {held}", of_many(package)),
        None if ["x", "ch", "sh", "ss"]
            .iter()
            .any(|end| name.ends_with(end)) =>
        {
            format!("{name}es")
        }
        None => format!("{name}s"),
    }
}

/// Without the ending of many.
fn one(name: &str) -> &str {
    let name = name.trim().trim_end_matches('.');
    let without = |end: &str| -> Option<&str> {
        let at = name.len().checked_sub(end.len())?;
        let (one, last) = (name.get(..at)?, name.get(at..)?);
        last.eq_ignore_ascii_case(end).then_some(one)
    };
    let ends = |one: &str, ends: &[&str]| {
        let one = one.to_lowercase();
        ends.iter().any(|end| one.ends_with(end))
    };
    let boxes = without("es").filter(|one| ends(one, &["x", "ch", "sh", "ss"]));
    let pieces = || without("s").filter(|one| !one.is_empty() && !ends(one, &["s"]));
    boxes.or_else(pieces).unwrap_or(name)
}

#[cfg(test)]
mod tests {
    use super::{bare, count_in, is_measure, is_one_of, is_same, of_one};

    #[test]
    fn one_and_many_of_a_package_are_one_unit() {
        for (many, one) in [
            ("bundles", "bundle"),
            ("Boxes", "box"),
            ("pieces ", "piece"),
            ("gallons", "gallon"),
            ("tubes", "tube"),
            ("bunches", "bunch"),
            ("trusses", "truss"),
            ("pcs.", "piece"),
            ("length", "piece"),
            ("cartridge", "tube"),
        ] {
            assert!(is_same(many, one), "{many}");
        }
        assert!(!is_same("square", "bundle") && !is_same("box", "bundle"));
        assert!(!is_same("roll", "piece") && !is_same("tube", "piece"));
    }

    #[test]
    fn a_measure_is_no_package() {
        for measure in [
            "ft",
            "Feet",
            "lin. ft",
            "m",
            "metres",
            "square",
            "Squares",
            "sq. ft.",
            "100 sq ft",
            "ft²",
            "m²",
            "square meters",
            "inches",
            "10 ft",
            "10ft",
            "linear metre",
            "lin m",
            "lin.m",
            "running metre",
            "metre run",
            "lineal ft",
            "sq m",
            "sq. m.",
            "sq yd",
            "sq. yd",
            "square yards",
            "per ft",
            "m^2",
        ] {
            assert!(is_measure(measure), "{measure}");
        }
        for package in [
            "roll",
            "box",
            "bundle",
            "box of 100",
            "5 gal pail",
            "lb",
            "100",
            "",
            "a run",
            "box of 10 ft",
        ] {
            assert!(!is_measure(package), "{package}");
        }
        assert_eq!(
            (count_in("box of 2,000"), count_in("box")),
            (Some(2000), None)
        );
    }

    #[test]
    fn how_many_are_in_a_package_is_read_and_held_against_what_it_holds() {
        assert_eq!(count_in("bundle of 21 shingles"), Some(21));
        assert_eq!(
            (count_in("piece of 10 ft"), count_in("of 10")),
            (None, None)
        );
        assert_eq!(
            (bare("box of 100"), bare("piece of 10 ft")),
            ("box", "piece of 10 ft")
        );
        assert!(is_one_of("box of 100", "box", Some(100)));
        assert!(is_one_of("box", "box of 100", None));
        assert!(is_one_of("Boxes of 7,200", "box", Some(7200)));
        assert!(!is_one_of("box of 50", "box", Some(100)));
        assert!(!is_one_of("box of 50", "box of 100", Some(100)));
        assert!(!is_one_of("piece of 10", "piece", None));
    }

    #[test]
    fn the_name_of_many_is_kept_as_that_of_one() {
        for (many, kept) in [
            ("rolls", "roll"),
            ("Boxes", "Box"),
            ("boxes of 100", "box of 100"),
            ("pieces", "piece"),
            ("gross", "gross"),
            ("s", "s"),
            ("tüten", "tüten"),
        ] {
            assert_eq!(of_one(many), kept);
        }
    }
}
