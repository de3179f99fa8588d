//! Scales as people write them: `1/4" = 1'-0"`, `1:48`, `20ft=283.5`.

use crate::units::text::{Scanner, length_at, normalise};

/// A scale as written.
#[derive(Clone, Debug, PartialEq)]
pub enum ScaleText {
    /// So many feet for an inch of paper.
    Paper {
        /// Feet per paper inch.
        feet_per_paper_inch: f64,
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
    let body = match plain.find("scale") {
        Some(at) => plain[at + 5..].trim_start_matches([':', '=', '-', '.', ' ']),
        None => &plain[..],
    };
    scale_of(body, text.trim(), false)
}

fn scale_of(plain: &str, text: &str, units_too: bool) -> Option<ScaleText> {
    let mut scanner = Scanner::new(plain);
    if let Some(ratio) = ratio(&mut scanner.clone()) {
        return Some(ScaleText::Paper {
            feet_per_paper_inch: ratio / 12.0,
            text: text.to_string(),
        });
    }
    let left = length_at(&mut scanner, None)?;
    if !scanner.sign('=') {
        return None;
    }
    let right_side = scanner.clone();
    if let Some(right) = length_at(&mut scanner, None)
        && ends(&scanner)
        && left.feet > 0.0
        && right.feet > 0.0
    {
        return Some(ScaleText::Paper {
            feet_per_paper_inch: right.feet / (left.feet * 12.0),
            text: text.to_string(),
        });
    }
    if !units_too {
        return None;
    }
    let mut scanner = right_side;
    let units = scanner.decimal()?;
    (scanner.at_end() && units.value > 0.0 && left.feet > 0.0).then(|| ScaleText::Units {
        feet_per_unit: left.feet / units.value,
        text: text.to_string(),
    })
}

/// `1:48`, `1 : 50`. The first number is 1; a run under 20 without the word scale is a pitch and is asked for elsewhere.
fn ratio(scanner: &mut Scanner<'_>) -> Option<f64> {
    let one = scanner.decimal()?;
    if !scanner.sign(':') {
        return None;
    }
    let many = scanner.decimal()?;
    (one.value == 1.0 && many.value >= 1.0 && ends(scanner)).then_some(many.value)
}

/// After the scale may stand a sheet size, `@ A3`, or a bracket.
fn ends(scanner: &Scanner<'_>) -> bool {
    let rest = scanner.rest().trim_start();
    rest.is_empty() || rest.starts_with('@') || rest.starts_with('(')
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
    fn what_is_no_scale_is_none() {
        for text in ["SCALE: AS NOTED", "6/12", "20'-0\"", "NTS", "A = 3"] {
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
