//! Names of packages: which of them mean one package, and which are measures and so none.

/// Names of one package, a group each.
const ALIKE: [&[&str]; 3] = [
    &[
        "piece", "pc", "each", "ea", "length", "stick", "bar", "sheet", "no", "unit",
    ],
    &["bundle", "pack", "packet", "package"],
    &["tube", "cartridge"],
];

/// What is measured and not packed, as people write it, in the singular.
const MEASURES: [&str; 36] = [
    "ft",
    "foot",
    "feet",
    "'",
    "lf",
    "lft",
    "lin ft",
    "linear ft",
    "linear foot",
    "linear feet",
    "lineal foot",
    "lineal feet",
    "running foot",
    "running feet",
    "in",
    "inch",
    "inche",
    "yd",
    "yard",
    "m",
    "lm",
    "metre",
    "meter",
    "mm",
    "cm",
    "square",
    "sq",
    "sq ft",
    "sqft",
    "sf",
    "ft2",
    "square foot",
    "square feet",
    "m2",
    "sqm",
    "square metre",
];

/// `bundle`, `bundles` and `Bundle` are one package; `box` and `boxes` too, and `piece` and `length`.
pub(super) fn is_same(a: &str, b: &str) -> bool {
    let (a, b) = (singular(a), singular(b));
    a == b || (ALIKE.iter()).any(|names| names.contains(&&*a) && names.contains(&&*b))
}

/// Whether a name is that of a measure, so many of which may stand before it: `ft`, `squares`, `100 sq ft`.
pub(super) fn is_measure(name: &str) -> bool {
    let plain = name.replace('²', "2").replace('.', " ");
    let words: Vec<&str> = plain.split_whitespace().collect();
    let plain = words.join(" ");
    let unit = plain.trim_start_matches(|c: char| c.is_ascii_digit() || c == ',' || c == ' ');
    MEASURES.contains(&&*singular(unit)) || singular(unit) == "square meter"
}

/// How many a name says that there are in it: 100 of `box of 100`.
pub(super) fn count_in(name: &str) -> Option<u32> {
    let (_, count) = name.rsplit_once(" of ")?;
    count.trim().replace(',', "").parse().ok()
}

/// In small letters, without the ending of many.
fn singular(name: &str) -> String {
    let name = name.trim().trim_end_matches('.').to_lowercase();
    let boxes = name
        .strip_suffix("es")
        .filter(|one| ["x", "ch", "sh", "ss"].iter().any(|end| one.ends_with(end)));
    match boxes.or_else(|| name.strip_suffix('s').filter(|one| !one.ends_with('s'))) {
        Some(one) => one.to_owned(),
        None => name,
    }
}

#[cfg(test)]
mod tests {
    use super::{count_in, is_measure, is_same};

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
        ] {
            assert!(is_measure(measure), "{measure}");
        }
        for package in ["roll", "box", "bundle", "box of 100", "5 gal pail", "lb"] {
            assert!(!is_measure(package), "{package}");
        }
        assert_eq!(
            (count_in("box of 2,000"), count_in("box")),
            (Some(2000), None)
        );
    }
}
