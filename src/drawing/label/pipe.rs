//! Diameters of pipes.

use super::Meaning;
use super::length::undoubted;
use crate::drawing::Says;
use crate::drawing::text::{LengthText, LengthUnit, normalise, parse_length};

/// A length beside one of these is a diameter.
const DIAMETER_WORDS: [&str; 9] = [
    "dia", "diam", "diameter", "pipe", "vent", "vtr", "stack", "flue", "plumbing",
];

/// Signs for a diameter, in small letters.
const DIAMETER_SIGNS: [char; 5] = ['ø', '⌀', '∅', 'φ', 'ϕ'];

/// `4" dia`, `dia 4"`, `ø4"`, `4"ø pipe`, `3" VTR`, `vent 4 in`; and with a sign for it a figure alone: `ø110`, `DN 110`. `bare`
/// is what a whole number without a unit means elsewhere.
pub(super) fn diameter(plain: &str, bare: Option<LengthUnit>) -> Option<Meaning> {
    let (mut said, mut is_dn) = (false, false);
    let kept: Vec<&str> = plain
        .split(' ')
        .flat_map(|w| w.split(DIAMETER_SIGNS))
        .map(|w| w.trim_end_matches('.'))
        .map(|w| match w.strip_prefix("dn") {
            Some(size) if size.chars().all(|c| c.is_ascii_digit()) => {
                is_dn = true;
                size
            }
            _ => w,
        })
        .filter(|w| {
            let about = DIAMETER_WORDS.contains(w);
            said |= about;
            !about && !w.is_empty()
        })
        .collect();
    let kept = kept.join(" ");
    let signed = plain.contains(DIAMETER_SIGNS);
    if signed || is_dn {
        // A nominal diameter is in millimetres wherever it is written.
        let metric = is_dn || bare.is_some_and(|unit| unit != LengthUnit::Inches);
        return kept
            .contains(|c: char| c.is_ascii_digit())
            .then(|| figure_of_pipe(&kept, metric));
    }
    let length = parse_length(&kept, None).filter(|_| said)?;
    Some(Meaning::Roof(Says::Diameter(length.feet)))
}

/// What a text on a layer of pipes says that has no word or sign for a diameter: a figure there is one. `None` for words and
/// the pipes' own numbers.
pub(in crate::drawing) fn on_pipes(text: &str, bare: Option<LengthUnit>) -> Option<Meaning> {
    let plain = normalise(text);
    let figure = undoubted(&plain);
    let begins = figure.starts_with(|c: char| c.is_ascii_digit() || c == '.');
    begins.then(|| match figure_of_pipe(figure, bare.is_some()) {
        Meaning::Roof(Says::Diameter(feet)) if parse_length(figure, None).is_none() => {
            Meaning::Roof(Says::PipeFigure(feet))
        }
        read => read,
    })
}

/// Pipes through roofs that have no unit written beside their figure are within these: in inches up to two feet, in
/// millimetres from half an inch; what is outside was meant in another unit, and which is not known.
const WIDEST_BARE_IN: f64 = 24.0;
const NARROWEST_BARE_MM: f64 = 12.0;

/// The diameter of a pipe by its figure, without a unit perhaps.
fn figure_of_pipe(figure: &str, metric: bool) -> Meaning {
    let (unit, least_ft, most_ft) = if metric {
        let mm = LengthUnit::Millimetres;
        (mm, NARROWEST_BARE_MM * mm.feet(), f64::INFINITY)
    } else {
        (LengthUnit::Inches, 0.0, WIDEST_BARE_IN / 12.0)
    };
    let in_bounds = |l: &LengthText| (least_ft..=most_ft).contains(&l.feet);
    let bare = || parse_length(figure, Some(unit)).filter(in_bounds);
    parse_length(figure, None)
        .or_else(bare)
        .filter(|l| l.feet > 0.0)
        .map_or(Meaning::UnreadDiameter, |l| {
            Meaning::Roof(Says::Diameter(l.feet))
        })
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::super::read;
    use super::*;

    #[test]
    fn a_length_with_a_word_for_a_pipe_is_its_diameter() {
        for text in ["3\" VTR", "VTR 3 in", "3\" vent", "3\" PLUMBING STACK"] {
            let diameter = Meaning::Roof(Says::Diameter(0.25));
            assert_eq!(read(text, None), diameter, "{text}");
        }
        assert_eq!(read("RIDGE VENT 4 FT", None), Meaning::Other);
    }

    #[test]
    fn a_diameter_without_a_unit_is_in_inches_or_millimetres_as_the_plan_is() {
        let metric = Some(LengthUnit::Millimetres);
        let inches = |figure: f64| Meaning::Roof(Says::Diameter(figure / 12.0));
        let in_mm = |text: &str, bare| match read(text, bare) {
            Meaning::Roof(Says::Diameter(feet)) => (feet * 304.8).round(),
            other => panic!("{text}: {other:?}"),
        };
        for text in ["Ø3", "3 Ø", "⌀ 3", "φ3"] {
            assert_eq!(read(text, None), inches(3.0), "{text}");
        }
        for text in ["Ø110", "110 Ø", "DN110", "DN 110", "dn110 pipe", "Ø 110 mm"] {
            assert_eq!(in_mm(text, metric), 110.0, "{text}");
        }
        // A nominal diameter is millimetres everywhere.
        assert_eq!(in_mm("DN110", None), 110.0);
        // A pipe of 110 in, of 3 mm, or of no figure that can be read: nothing is guessed.
        for (text, bare) in [
            ("Ø110", None),
            ("Ø3", metric),
            ("Ø3-4-5", None),
            ("Ø 2x4", metric),
        ] {
            assert_eq!(read(text, bare), Meaning::UnreadDiameter, "{text}");
        }
        assert_eq!(read("Ø", None), Meaning::Other);
        let figure = |inches: f64| Some(Meaning::Roof(Says::PipeFigure(inches / 12.0)));
        assert_eq!(on_pipes("3", None), figure(3.0));
        assert_eq!(on_pipes("1 1/2", None), figure(1.5));
        assert_eq!(on_pipes("3 in", None), Some(inches(3.0)));
        assert_eq!(on_pipes("0 in", None), Some(Meaning::UnreadDiameter));
        assert_eq!(on_pipes("110", None), Some(Meaning::UnreadDiameter));
        assert_eq!((on_pipes("P1", None), on_pipes("VTR", None)), (None, None));
    }
}
