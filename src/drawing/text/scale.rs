//! Scales as people write them: `1/4" = 1'-0"`, `1:48`, `20ft=283.5`.

use super::sheet::{Sheet, sheet_at, unknown_sheet_at};
use super::title::of_a_roof;
use crate::units::text::{Scanner, length_at, normalise};

/// A scale as written.
#[derive(Clone, Debug, PartialEq)]
pub enum ScaleText {
    /// So many feet for an inch of paper.
    Paper {
        /// Feet per paper inch; of the first scale, where the text gives one for each of several sheets.
        feet_per_paper_inch: f64,
        /// The scales of the sheets that are named, where any is: on a page of another size none of them holds.
        sheets: Vec<OnSheet>,
        /// As written.
        text: String,
    },
    /// So many feet for a unit of the drawing's root user space.
    Units {
        /// Feet per drawing unit.
        feet_per_unit: f64,
        /// As written.
        text: String,
    },
}

/// A scale that holds on one size of sheet: `1:100 @ A1`.
#[derive(Clone, Debug, PartialEq)]
pub struct OnSheet {
    /// Feet per paper inch.
    pub feet_per_paper_inch: f64,
    /// The sheet.
    pub sheet: Sheet,
}

impl ScaleText {
    /// As written.
    pub fn text(&self) -> &str {
        match self {
            Self::Paper { text, .. } | Self::Units { text, .. } => text,
        }
    }
}

/// Reads a scale given by hand: `1/4in=1ft`, `1:48`, or `20ft=283.5` (a true length and as many drawing units).
///
/// ```
/// use eavewright::drawing::text::{parse_scale_text, ScaleText};
/// let scale = parse_scale_text("1/4in=1ft").unwrap();
/// assert!(matches!(scale, ScaleText::Paper { feet_per_paper_inch, .. } if feet_per_paper_inch == 4.0));
/// ```
pub fn parse_scale_text(text: &str) -> Option<ScaleText> {
    let plain = normalise(text);
    let plain = plain
        .trim_start_matches("scale")
        .trim_start_matches([':', '=', ' ']);
    scale_of(plain, text.trim(), true)
}

/// Reads a scale written on the drawing: `SCALE: 1/8" = 1'-0"`, `1:50`, `1 in = 20 ft`. Drawing units are never written
/// there.
pub fn scale_in_words(text: &str) -> Option<ScaleText> {
    let plain = normalise(text);
    if is_not_to_scale(text) {
        return None;
    }
    let body = match plain.find("scale") {
        Some(at) => plain[at + 5..].trim_start_matches([':', '=', '-', '.', ' ']),
        None => &plain[..],
    };
    scale_of(body, text.trim(), false)
}

/// A ratio with a run of less is a slope's, or a detail's.
const LEAST_OF_A_PLAN: f64 = 20.0;

/// Words that say of a ratio behind them that it is the drawing's scale, where nothing else is said. A title of another drawing
/// than the roof's, such as `SITE PLAN 1:500`, says nothing of the roof's.
const OF_A_SCALE: [&str; 7] = ["m", "mst", "maßstab", "massstab", "drawing", "dwg", "plan"];
/// Words that say that it is a slope's.
const OF_A_SLOPE: [&str; 8] = [
    "slope", "fall", "falls", "pitch", "grade", "gradient", "drain", "gefälle",
];

/// Reads the scale at the end of a drawing's title: `ROOF PLAN 1:100`, `M 1:50`. A slope, `SLOPE 1:20`, is none.
///
/// ```
/// use eavewright::drawing::text::scale_of_title;
/// assert!(scale_of_title("Roof Plan 1:100").is_some() && scale_of_title("SLOPE 1:40").is_none());
/// ```
pub fn scale_of_title(text: &str) -> Option<ScaleText> {
    let (words, paper) = words_and_ratio(text)?;
    let mut words = words
        .split(|c: char| !c.is_alphabetic())
        .filter(|word| !word.is_empty());
    let is_title = of_a_roof(text) || words.all(|word| OF_A_SCALE.contains(&word));
    (is_title && !is_not_to_scale(text)).then(|| paper.written(text))
}

/// Whether a text says that its drawing is not to scale: what else it says of a scale does not hold.
///
/// ```
/// use eavewright::drawing::text::is_not_to_scale;
/// assert!(is_not_to_scale("NOT TO SCALE") && is_not_to_scale("1:48 (N.T.S.)") && !is_not_to_scale("SCALE 1:48"));
/// ```
pub fn is_not_to_scale(text: &str) -> bool {
    let plain = normalise(text);
    let mut words = plain.split(|c: char| !c.is_alphanumeric() && c != '.');
    plain.contains("not to scale") || words.any(|word| word.replace('.', "") == "nts")
}

/// The words before the word scale in a text that gives one: `SITE PLAN - SCALE: 1" = 20'`.
pub(crate) fn before_scale(text: &str) -> Option<String> {
    let plain = normalise(text);
    let at = plain.find("scale")?;
    Some(plain[..at].to_string())
}

/// The words before a ratio that may be a drawing's scale: `KEY PLAN 1:500`.
pub(super) fn before_ratio(text: &str) -> Option<String> {
    Some(words_and_ratio(text)?.0)
}

/// Whether a text ends in a ratio that may be a drawing's scale, whatever words stand before it.
pub fn ends_in_a_scale(text: &str) -> bool {
    words_and_ratio(text).is_some()
}

/// The words of a text, and the ratio behind them where it is none of a slope.
fn words_and_ratio(text: &str) -> Option<(String, PaperScale)> {
    let plain = normalise(text);
    let starts = plain.match_indices([' ', '=']);
    let (at, paper) = starts.map(|(at, _)| at + 1).find_map(|at| {
        let mut scanner = Scanner::new(&plain[at..]);
        Some((at, paper_scale(&mut scanner, ratio_or_lengths)?))
    })?;
    let words = &plain[..at];
    let mut each = words.split(|c: char| !c.is_alphabetic());
    let is_slope = each.any(|word| OF_A_SLOPE.contains(&word));
    let is_of_a_plan = paper.feet_per_paper_inch * 12.0 >= LEAST_OF_A_PLAN;
    (is_of_a_plan && !is_slope).then(|| (words.to_string(), paper))
}

fn scale_of(plain: &str, text: &str, units_too: bool) -> Option<ScaleText> {
    if let Some(paper) = paper_scale(&mut Scanner::new(plain), ratio_or_lengths) {
        return Some(paper.written(text));
    }
    if !units_too {
        return None;
    }
    let mut scanner = Scanner::new(plain);
    let left = length_at(&mut scanner, None)?;
    if !scanner.sign('=') {
        return None;
    }
    let units = scanner.decimal()?;
    (scanner.at_end() && units.value > 0.0 && left.feet > 0.0).then(|| ScaleText::Units {
        feet_per_unit: left.feet / units.value,
        text: text.to_string(),
    })
}

/// A scale on paper, and those of the sheets that are named behind it.
struct PaperScale {
    feet_per_paper_inch: f64,
    sheets: Vec<OnSheet>,
}

impl PaperScale {
    fn written(self, text: &str) -> ScaleText {
        ScaleText::Paper {
            feet_per_paper_inch: self.feet_per_paper_inch,
            sheets: self.sheets,
            text: text.trim().to_string(),
        }
    }
}

/// Feet for an inch of paper at the scanner's place.
type OneScale = fn(&mut Scanner<'_>) -> Option<f64>;

/// Signs between the scales of several sheets.
const BETWEEN: [char; 9] = [',', ';', '/', '|', '&', '+', '-', '(', ')'];

/// A scale, and behind it a sheet, `@ A3`, more scales with their sheets, `@ A1, 1:200 @ A3`, or something in brackets.
fn paper_scale(scanner: &mut Scanner<'_>, one: OneScale) -> Option<PaperScale> {
    let first = one(scanner)?;
    let mut sheets = Vec::new();
    let mut of_sheet = |feet_per_paper_inch: f64, sheet: Sheet| {
        sheets.push(OnSheet {
            feet_per_paper_inch,
            sheet,
        });
    };
    if scanner.sign('@') {
        let sheet = sheet_at(scanner).unwrap_or_else(|| unknown_sheet_at(scanner));
        of_sheet(first, sheet);
    } else if scanner.rest().trim_start().starts_with('(') {
        let mut inside = scanner.clone();
        let _ = inside.sign('(');
        if let Some(sheet) = sheet_at(&mut inside) {
            *scanner = inside;
            of_sheet(first, sheet);
        }
    } else if !scanner.at_end() {
        return None;
    }
    loop {
        while BETWEEN.iter().any(|&sign| scanner.sign(sign)) || scanner.word(&["and", "or"]) {}
        let Some(further) = one(scanner) else { break };
        let marked = scanner.sign('@') || scanner.sign('(');
        let Some(sheet) = sheet_at(scanner).filter(|_| marked) else {
            break;
        };
        of_sheet(further, sheet);
    }
    Some(PaperScale {
        feet_per_paper_inch: first,
        sheets,
    })
}

fn ratio_or_lengths(scanner: &mut Scanner<'_>) -> Option<f64> {
    let mut ahead = scanner.clone();
    let found = ratio(&mut ahead).or_else(|| {
        ahead = scanner.clone();
        lengths(&mut ahead)
    });
    *scanner = ahead;
    found
}

/// `1:48`, `1 : 50`. The first number is 1; a run under 20 without the word scale is a pitch and is asked for elsewhere.
fn ratio(scanner: &mut Scanner<'_>) -> Option<f64> {
    let one = scanner.decimal()?;
    if !scanner.sign(':') {
        return None;
    }
    let many = scanner.decimal()?;
    (one.value == 1.0 && many.value >= 1.0).then_some(many.value / 12.0)
}

/// `1/4" = 1'-0"`.
fn lengths(scanner: &mut Scanner<'_>) -> Option<f64> {
    let left = length_at(scanner, None)?;
    if !scanner.sign('=') {
        return None;
    }
    let right = length_at(scanner, None)?;
    (left.feet > 0.0 && right.feet > 0.0).then(|| right.feet / (left.feet * 12.0))
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::*;

    fn feet_per_inch(text: &str) -> Option<f64> {
        match scale_in_words(text)? {
            ScaleText::Paper {
                feet_per_paper_inch,
                ..
            } => Some(feet_per_paper_inch),
            ScaleText::Units { .. } => None,
        }
    }

    #[test]
    fn written_scales_are_read_in_every_spelling() {
        for text in [
            "1/4\" = 1'-0\"",
            "SCALE: 1/4” = 1’-0”",
            "1/4in = 1ft",
            "1:48",
            "Scale 1:48",
            "Scale 1 : 48 @ A3",
        ] {
            assert_eq!(feet_per_inch(text), Some(4.0), "{text}");
        }
        assert_eq!(feet_per_inch("1 in = 20 ft"), Some(20.0));
        assert_eq!(feet_per_inch("1\" = 20'"), Some(20.0));
        assert_eq!(feet_per_inch("SCALE:1/8”=1’-0”"), Some(8.0));
    }

    #[test]
    fn a_scale_may_name_the_sheet_that_it_is_of_and_more_scales_those_of_theirs() {
        let of_sheets = |text: &str| match scale_in_words(text) {
            Some(ScaleText::Paper { sheets, .. }) => sheets
                .iter()
                .map(|s| (s.feet_per_paper_inch, s.sheet.text.clone()))
                .collect(),
            _ => panic!("no scale: {text}"),
        };
        let both = [(4.0, "A1".to_string()), (8.0, "A3".to_string())];
        for text in [
            "1:48 @ A1, 1:96 @ A3",
            "Scale 1:48@A1 / 1:96@A3",
            "SCALE: 1:48 (A1) 1:96 (A3)",
            "1:48 @ A1 (1:96 @ A3)",
            "1/4\" = 1'-0\" @ A1 and 1/8\" = 1'-0\" @ A3",
        ] {
            let sheets: Vec<(f64, String)> = of_sheets(text);
            assert_eq!(sheets, both, "{text}");
        }
        assert_eq!(
            of_sheets("1/4\" = 1'-0\" @ 22x34"),
            [(4.0, "22X34".to_string())]
        );
        assert_eq!(
            of_sheets("1:48 @ FULL SIZE"),
            [(4.0, "FULL SIZE".to_string())]
        );
        assert_eq!(of_sheets("1:48 @ 100%"), [(4.0, "100%".to_string())]);
        assert_eq!(of_sheets("1:48 (HALF)")[0].1, "HALF");
        assert_eq!(of_sheets("1:48 (ROOF)"), []);
    }

    #[test]
    fn a_drawings_title_may_end_in_its_scale_and_a_slope_is_none() {
        let of_title = |text: &str| match scale_of_title(text)? {
            ScaleText::Paper {
                feet_per_paper_inch,
                ..
            } => Some(feet_per_paper_inch),
            ScaleText::Units { .. } => None,
        };
        for text in [
            "M 1:48",
            "M=1:48",
            "DACHPLAN 1:48",
            "Roof Plan 1:48",
            "Maßstab 1:48 (A3)",
            "ROOF PLAN 1/4\" = 1'-0\"",
            "ROOF PLAN - 1/4” = 1’-0” @ A3",
        ] {
            assert_eq!(of_title(text), Some(4.0), "{text}");
            assert_eq!(scale_in_words(text), None, "{text}");
        }
        for text in [
            "SLOPE 1:20",
            "PLAN: FALL 1:60",
            "ROOF PLAN 1:12",
            "DETAIL 3 1:20",
            "DN 1:40",
            "PLAN 1",
            "ROOF PLAN 3\" = 1'-0\"",
            "ROOF PLAN NTS 1:48",
            "SLOPE 1/4\" = 1'-0\"",
        ] {
            assert_eq!(of_title(text), None, "{text}");
        }
        assert!(ends_in_a_scale("DRAUFSICHT 1:50") && !ends_in_a_scale("1/4 FALL 1:50"));
    }

    #[test]
    fn what_is_no_scale_is_none() {
        for text in [
            "SCALE: AS NOTED",
            "6/12",
            "20'-0\"",
            "NTS",
            "A = 3",
            "NOT TO SCALE 1/4\"=1'-0\"",
            "SCALE N.T.S. 1:48",
            "1:48 (NTS)",
        ] {
            assert_eq!(scale_in_words(text), None, "{text}");
        }
    }

    #[test]
    fn a_true_length_may_be_given_for_drawing_units() {
        let Some(ScaleText::Units { feet_per_unit, .. }) = parse_scale_text("20ft=283.5") else {
            panic!("not read");
        };
        assert!((feet_per_unit - 20.0 / 283.5).abs() < 1e-15);
    }
}
