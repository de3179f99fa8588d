//! Sizes of sheets as they stand behind a scale: `@ A1`, `(A3)`, `@ 24x36`, `@ ARCH D`.

use crate::units::text::Scanner;

/// A size of sheet that a text names.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its sides in inches, the shorter first; `None` where the words name none, as `FULL SIZE`.
    pub sides_in: Option<[f64; 2]>,
    /// As written, in capitals.
    pub text: String,
}

/// Pages whose sides differ by less than this part are of one size: the nearest two, such as letter and A4, are 6 % apart in one.
const ONE_SIZE: f64 = 0.02;
/// Sheets whose sides have one ratio to this part can be reduced to one another: a print that only fits the page has another.
const ONE_SHAPE: f64 = 0.02;

/// Half of A1 is A3 though its sides are rounded to millimetres: ratios nearer to a whole number than this are that.
const ROUNDED: f64 = 0.01;

impl Sheet {
    /// Whether a page of these sides, in inches, is this sheet, upright or lying.
    pub(crate) fn is_page(&self, page_in: [f64; 2]) -> bool {
        self.ratios(page_in)
            .is_some_and(|ratios| ratios.iter().all(|r| (r - 1.0).abs() <= ONE_SIZE))
    }

    /// How many times as long the sheet's sides are as the page's, where both have the same shape.
    pub(crate) fn times_of_page(&self, page_in: [f64; 2]) -> Option<f64> {
        let [short, long] = self.ratios(page_in)?;
        let times = (short * long).sqrt();
        let whole = times.round();
        let times = if (times - whole).abs() <= ROUNDED {
            whole
        } else {
            times
        };
        ((short / long - 1.0).abs() <= ONE_SHAPE).then_some(times)
    }

    fn ratios(&self, [a, b]: [f64; 2]) -> Option<[f64; 2]> {
        let [short, long] = self.sides_in?;
        Some([short / a.min(b), long / a.max(b)])
    }
}

/// Sides in millimetres: ISO 216, the A series.
const ISO: [(&str, [f64; 2]); 6] = [
    ("a0", [841.0, 1189.0]),
    ("a1", [594.0, 841.0]),
    ("a2", [420.0, 594.0]),
    ("a3", [297.0, 420.0]),
    ("a4", [210.0, 297.0]),
    ("a5", [148.0, 210.0]),
];
/// Sides in inches: ASME Y14.1, sizes A to E.
const ANSI: [(&str, [f64; 2]); 5] = [
    ("a", [8.5, 11.0]),
    ("b", [11.0, 17.0]),
    ("c", [17.0, 22.0]),
    ("d", [22.0, 34.0]),
    ("e", [34.0, 44.0]),
];
/// Sides in inches of architects' sheets (common practice, no source).
const ARCH: [(&str, [f64; 2]); 6] = [
    ("a", [9.0, 12.0]),
    ("b", [12.0, 18.0]),
    ("c", [18.0, 24.0]),
    ("d", [24.0, 36.0]),
    ("e1", [30.0, 42.0]),
    ("e", [36.0, 48.0]),
];
/// Sides in inches of office paper: letter and tabloid are sizes A and B of ASME Y14.1; legal, common practice, no source.
const OFFICE: [(&str, [f64; 2]); 4] = [
    ("letter", [8.5, 11.0]),
    ("legal", [8.5, 14.0]),
    ("tabloid", [11.0, 17.0]),
    ("ledger", [11.0, 17.0]),
];

/// Words before and behind a size.
const ABOUT: [&str; 9] = [
    "on", "sheet", "sheets", "size", "paper", "format", "din", "iso", "original",
];
/// Words of prints whose size is not named.
const PRINTS: [&str; 3] = ["full", "half", "reduced"];
/// A number from here on is millimetres where it has no unit: no sheet is so many inches wide.
const LEAST_MM: f64 = 60.0;
const MM_PER_INCH: f64 = 25.4;

/// Takes the sheet at the scanner's place, behind the `@` or the bracket before it.
pub(super) fn sheet_at(scanner: &mut Scanner<'_>) -> Option<Sheet> {
    let mut ahead = scanner.clone();
    while ahead.word(&ABOUT) {}
    let sides_in = sides_at(&mut ahead);
    if sides_in.is_none() && !ahead.word(&PRINTS) {
        return None;
    }
    while ahead.word(&ABOUT) || ahead.word(&PRINTS) {}
    Some(taken(scanner, &ahead, sides_in))
}

/// Takes what stands behind an `@` and names no size that is known, up to a sign that parts it from what follows.
pub(super) fn unknown_sheet_at(scanner: &mut Scanner<'_>) -> Sheet {
    let rest = scanner.rest();
    let end = rest.find([',', ';', '/', '(', ')']).unwrap_or(rest.len());
    let after = Scanner::new(&rest[end..]);
    taken(scanner, &after, None)
}

/// What the scanner passes on its way to a place further on, as a sheet.
fn taken<'a>(scanner: &mut Scanner<'a>, to: &Scanner<'a>, sides_in: Option<[f64; 2]>) -> Sheet {
    let rest = scanner.rest();
    let text = &rest[..rest.len() - to.rest().len()];
    *scanner = to.clone();
    Sheet {
        sides_in,
        text: text.trim().to_uppercase(),
    }
}

/// The sides of a sheet, in inches, the shorter first.
fn sides_at(scanner: &mut Scanner<'_>) -> Option<[f64; 2]> {
    if let Some(sides_mm) = named(scanner, &ISO) {
        return Some(sides_mm.map(|side| side / MM_PER_INCH));
    }
    if let Some(sides_in) = named(scanner, &OFFICE) {
        return Some(sides_in);
    }
    for (family, sizes) in [("ansi", &ANSI[..]), ("arch", &ARCH[..])] {
        if scanner.word(&[family]) {
            let _ = scanner.sign('-');
            return named(scanner, sizes);
        }
    }
    let mut ahead = scanner.clone();
    let a = side(&mut ahead)?;
    if !(ahead.sign('x') || ahead.sign('×') || ahead.word(&["by"])) {
        return None;
    }
    let b = side(&mut ahead)?;
    let in_mm = ahead.word(&["mm"]) || a.max(b) >= LEAST_MM;
    *scanner = ahead;
    let per_inch = if in_mm { MM_PER_INCH } else { 1.0 };
    (a > 0.0 && b > 0.0).then(|| [a.min(b) / per_inch, a.max(b) / per_inch])
}

fn named(scanner: &mut Scanner<'_>, sizes: &[(&str, [f64; 2])]) -> Option<[f64; 2]> {
    let mut sizes = sizes.iter();
    sizes.find(|(name, _)| scanner.word(&[name])).map(|s| s.1)
}

fn side(scanner: &mut Scanner<'_>) -> Option<f64> {
    let side = scanner.mixed()?.value;
    let _ = scanner.sign('"') || scanner.word(&["in", "mm"]);
    Some(side)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::*;

    fn sides(text: &str) -> Option<[f64; 2]> {
        sheet_at(&mut Scanner::new(text))?.sides_in
    }

    #[test]
    fn sheets_are_known_by_letters_and_by_their_sides() {
        for (texts, sides_in) in [
            (
                &["24x36", "36\" x 24\"", "arch d", "sheet size 24 x 36"][..],
                [24.0, 36.0],
            ),
            (&["22x34", "ansi d", "ansi-d sheet"], [22.0, 34.0]),
            (&["11x17", "tabloid", "11 x 17 paper"], [11.0, 17.0]),
            (&["8 1/2 x 11", "8.5x11", "letter"], [8.5, 11.0]),
            (&["30 x 42", "arch e1"], [30.0, 42.0]),
        ] {
            for text in texts {
                assert_eq!(sides(text), Some(sides_in), "{text}");
            }
        }
        for text in ["a3", "din a3", "420 x 297 mm", "297x420"] {
            assert!(
                Sheet {
                    sides_in: sides(text),
                    text: String::new()
                }
                .is_page([16.535, 11.693]),
                "{text}"
            );
        }
        assert_eq!(
            sheet_at(&mut Scanner::new("full size")).unwrap().sides_in,
            None
        );
        for text in ["nts", "typ.", "see a3", "d", "100%"] {
            assert_eq!(sheet_at(&mut Scanner::new(text)), None, "{text}");
        }
    }

    /// A1 to A3 is half: each step of the series divides the sides by the square root of 2. Half of 22 × 34 is 11 × 17; 24 × 36
    /// is of another shape.
    #[test]
    fn a_sheet_of_one_shape_can_be_reduced_to_a_page() {
        let times = |text: &str, page: [f64; 2]| {
            sheet_at(&mut Scanner::new(text))
                .unwrap()
                .times_of_page(page)
        };
        assert_eq!(times("a1", [11.693, 16.535]), Some(2.0));
        assert_eq!(times("22x34", [17.0, 11.0]), Some(2.0));
        assert_eq!(times("24x36", [17.0, 11.0]), None);
    }
}
