//! What a text on the plan says.

use super::Says;
use super::text::{
    self, LengthText, LengthUnit, PitchText, ScaleText, parse_area, parse_length, pitch_in_words,
    scale_in_words,
};

/// What a text says to the reader.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Meaning {
    /// A written scale.
    Scale(ScaleText),
    /// A length, which may be a dimension's.
    Length(LengthText),
    /// Something about the roof.
    Roof(Says),
    /// Meant as a pitch, but unreadable.
    Spoilt,
    /// A pitch but for a slip, or something else altogether.
    NearPitch,
    /// An area in words or numbers that cannot be read.
    UnreadArea,
    /// Nothing that is needed here.
    Other,
}

/// Reads a text. `bare` is what a whole number without a unit means, if it means a length at all.
pub(super) fn read(text: &str, bare: Option<LengthUnit>) -> Meaning {
    let plain = text::normalise(text);
    if plain.len() > 200 {
        return Meaning::Other;
    }
    if plain.contains("scale") {
        return scale_in_words(text).map_or(Meaning::Other, Meaning::Scale);
    }
    if let Some(length) = parse_length(text, None) {
        return Meaning::Length(length);
    }
    if let Some(PitchText { pitch, half_step }) = pitch_in_words(text) {
        return Meaning::Roof(Says::Pitch { pitch, half_step });
    }
    if let Some(scale) = scale_in_words(text) {
        return Meaning::Scale(scale);
    }
    if let Some(area) = parse_area(text) {
        return Meaning::Roof(Says::StatedArea {
            square_feet: area.square_feet,
            whole_roof: area.whole_roof,
        });
    }
    if let Some(says) = words(&plain) {
        return Meaning::Roof(says);
    }
    let whole_number = plain.bytes().all(|b| b.is_ascii_digit() || b == b',');
    if whole_number && let Some(length) = parse_length(text, bare) {
        return Meaning::Length(length);
    }
    if text::looks_like_a_pitch(text) {
        return Meaning::Spoilt;
    }
    if text::nearly_a_pitch(text) {
        return Meaning::NearPitch;
    }
    if text::speaks_of_an_area(text) {
        return Meaning::UnreadArea;
    }
    Meaning::Other
}

fn words(plain: &str) -> Option<Says> {
    match plain.trim_matches(['(', ')', '.']) {
        "gable" | "gable end" => return Some(Says::Gable),
        "wall" => return Some(Says::Wall),
        _ => {}
    }
    if let Some(rest) = plain.strip_prefix("eave") {
        let rest = rest
            .trim_start_matches('s')
            .trim_start_matches([' ', ':', '='])
            .trim_start_matches("height")
            .trim_start_matches("at")
            .trim_start_matches([' ', ':', '=', '+', '@']);
        return parse_length(rest, None).map(|l| Says::EaveHeight(l.feet));
    }
    diameter(plain).map(Says::Diameter)
}

/// `4" dia`, `dia 4"`, `ø4"`, `4"ø pipe`.
fn diameter(plain: &str) -> Option<f64> {
    let mut said = false;
    let kept: Vec<&str> = plain
        .split([' ', 'ø', '⌀', '∅'])
        .map(|w| w.trim_end_matches('.'))
        .filter(|w| {
            let about = matches!(*w, "dia" | "diam" | "diameter");
            said |= about;
            !about && !matches!(*w, "pipe" | "vent" | "vtr" | "")
        })
        .collect();
    said |= plain.contains(['ø', '⌀', '∅']);
    if !said {
        return None;
    }
    parse_length(&kept.join(" "), None).map(|l| l.feet)
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::*;
    use crate::units::Pitch;

    #[test]
    fn words_about_sides_and_pipes_are_understood() {
        assert_eq!(read("GABLE", None), Meaning::Roof(Says::Gable));
        assert_eq!(read("wall", None), Meaning::Roof(Says::Wall));
        assert_eq!(read("eave 9'", None), Meaning::Roof(Says::EaveHeight(9.0)));
        assert_eq!(
            read("Eave height: 9'-6\"", None),
            Meaning::Roof(Says::EaveHeight(9.5))
        );
        assert_eq!(read("6\" dia", None), Meaning::Roof(Says::Diameter(0.5)));
        assert_eq!(read("⌀6\"", None), Meaning::Roof(Says::Diameter(0.5)));
    }

    #[test]
    fn a_ratio_is_a_pitch_or_a_scale_by_its_size() {
        assert!(matches!(read("1:50", None), Meaning::Scale(_)));
        let Meaning::Roof(Says::Pitch { pitch, .. }) = read("1:2", None) else {
            panic!("no pitch");
        };
        assert_eq!(pitch, Pitch::rise_per_run(0.5));
    }

    #[test]
    fn a_bare_number_is_a_length_in_a_metric_job_only() {
        assert_eq!(read("7470", None), Meaning::Other);
        assert!(matches!(
            read("7470", Some(LengthUnit::Millimetres)),
            Meaning::Length(_)
        ));
    }

    #[test]
    fn dates_notes_and_sheet_numbers_say_nothing() {
        for text in [
            "DATE: 6/12/24",
            "NOTE: 12\" OVERHANG TYP.",
            "SHEET A-1",
            "LIVING AREA 1,200 SF",
            "ROOF AREA",
            "SEE ROOF PLAN, TOTAL 3 SHEETS",
            "N",
            "ROOF PLAN",
            "SCALE: AS NOTED",
        ] {
            assert_eq!(read(text, None), Meaning::Other, "{text}");
        }
    }
}
