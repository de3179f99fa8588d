//! Stated areas: `2450 SF`, `24.5 squares`, `228 m²`.

use super::normalise;
use super::scan::Scanner;
use crate::units::{METRES_PER_FOOT, SQUARE_FEET_PER_SQUARE};

/// An area as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaText {
    /// In square feet.
    pub square_feet: f64,
    /// Whether the words say that it is the whole roof's.
    pub whole_roof: bool,
    /// Whether the words say that it is measured in plan.
    pub plan: bool,
    /// Half a unit of the last digit written, in square feet.
    pub half_step_sqft: f64,
}

/// Reads a text that is an area, perhaps with words such as `roof area` or `total` before it.
///
/// ```
/// use eavewright::drawing::text::parse_area;
/// assert_eq!(parse_area("Roof area: 2,450 sq ft").unwrap().square_feet, 2450.0);
/// assert_eq!(parse_area("24.5 squares").unwrap().square_feet, 2450.0);
/// ```
pub fn parse_area(text: &str) -> Option<AreaText> {
    let plain = normalise(text).replace("sq. ", "sq ");
    let start = plain.find(|c: char| c.is_ascii_digit())?;
    let words = plain[..start].trim_end_matches([' ', ':', '=', '.']);
    let allowed = words
        .split([' ', ':', '='])
        .filter(|w| !w.is_empty())
        .all(|w| {
            matches!(
                w,
                "roof"
                    | "area"
                    | "total"
                    | "true"
                    | "sloped"
                    | "surface"
                    | "approx"
                    | "plan"
                    | "projected"
                    | "horizontal"
            )
        });
    if !allowed {
        return None;
    }
    let mut scanner = Scanner::new(&plain[start..]);
    let number = scanner.decimal()?;
    let per_unit = unit(&mut scanner)?;
    let after = scanner.rest().trim();
    if !matches!(after, "" | "total" | "roof" | "roof area") {
        return None;
    }
    let says = |word: &str| words.split([' ', ':', '=']).any(|w| w == word);
    let whole_roof = (says("roof") && says("area")) || says("total") || !after.is_empty();
    Some(AreaText {
        square_feet: number.value * per_unit,
        whole_roof,
        plan: ["plan", "projected", "horizontal"].into_iter().any(says),
        half_step_sqft: number.step / 2.0 * per_unit,
    })
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
        "sq.ft",
        "ft^2",
    ]) {
        return Some(1.0);
    }
    if scanner.word(&["squares", "sqs", "sq", "square"]) {
        return Some(SQUARE_FEET_PER_SQUARE);
    }
    scanner
        .word(&[
            "m²",
            "m2",
            "sqm",
            "sq m",
            "square metres",
            "square meters",
            "m^2",
        ])
        .then_some(SQUARE_METRE)
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
        assert!((parse_area("228 m²").unwrap().square_feet - 2454.172).abs() < 0.001);
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
    fn other_numbers_are_no_areas() {
        for text in ["2450", "24'-6\"", "6/12", "3 m", "ROOM 12 SF"] {
            assert_eq!(parse_area(text), None, "{text}");
        }
    }
}
