//! What a text on the plan says.

mod length;
mod pipe;
mod side;

use super::Says;
use super::text::{
    self, LengthText, LengthUnit, PitchText, ScaleText, parse_area, parse_pitch, pitch_in_words,
    scale_in_words,
};
pub(super) use length::is_doubted;
use length::{length, undoubted};
use pipe::diameter;
pub(super) use pipe::on_pipes;
use side::{in_other_words, of_side, other_end, pitch_then_side, speaks_of_a_height};

/// What a text says to the reader.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Meaning {
    /// A written scale.
    Scale(ScaleText),
    /// The scale in a drawing's title, which counts where nothing else gives one: the sheet may hold other drawings.
    TitleScale(ScaleText),
    /// A length, which may be a dimension's.
    Length(LengthText),
    /// Something about the roof.
    Roof(Says),
    /// What is written at a side of an outline, and a pitch in the same text: `6/12 EAVE 9'`. `None` where what it says of the
    /// side besides its pitch cannot be read.
    Side(Option<Says>, PitchText),
    /// Meant as a pitch, but unreadable.
    Spoilt,
    /// A pitch but for a slip or in words that say none, or something else altogether.
    NearPitch,
    /// An area in words or numbers that cannot be read.
    UnreadArea,
    /// It begins as what is written at a side of an outline does, or gives a height there in other words, and cannot be read.
    UnreadSide,
    /// A pipe's diameter whose figure or unit cannot be read.
    UnreadDiameter,
    /// A number of a scale bar.
    ScaleBar,
    /// Pieces that may be one length or pitch, and are not read as one.
    InPieces,
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
    if let Some(length) = length(&plain, None) {
        return Meaning::Length(length);
    }
    let of_side = of_side(&plain)
        .or_else(|| other_end(&plain))
        .or_else(|| pitch_then_side(&plain))
        .or_else(|| in_other_words(&plain));
    if let Some(meaning @ Meaning::Side(..)) = of_side {
        return meaning;
    }
    if let Some(pitch) = pitch_in_words(text) {
        return match of_side {
            Some(Meaning::UnreadSide) => Meaning::Side(None, pitch),
            None if speaks_of_a_height(&plain) => Meaning::Side(None, pitch),
            // `GUTTER, SLOPE 1/16" PER FT`: how that lies, not the roof.
            None if is_of_a_gutter(&plain) => Meaning::Other,
            _ => Meaning::Roof(Says::Pitch {
                pitch: pitch.pitch,
                half_step: pitch.half_step,
            }),
        };
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
    if let Some(meaning @ (Meaning::Roof(_) | Meaning::Other)) = of_side {
        return meaning;
    }
    // DN is down, or a pipe's size: which of them, the unit says.
    if text::states_an_angle(text) && !text::looks_like_a_pitch(text) {
        return Meaning::NearPitch;
    }
    if let Some(meaning) = diameter(&plain, bare) {
        return meaning;
    }
    if is_whole_number(undoubted(&plain))
        && let Some(length) = length(&plain, bare)
    {
        return Meaning::Length(length);
    }
    if text::looks_like_a_pitch(text) {
        return Meaning::Spoilt;
    }
    if text::nearly_a_pitch(text) || text::gives_two_pitches(text) {
        return Meaning::NearPitch;
    }
    if text::speaks_of_an_area(text) {
        return Meaning::UnreadArea;
    }
    if let Some(scale) = text::scale_of_title(text) {
        return Meaning::TitleScale(scale);
    }
    of_side.unwrap_or(Meaning::Other)
}

/// Whether a text is a length with its unit.
pub(super) fn has_unit(text: &str) -> bool {
    matches!(read(text, None), Meaning::Length(_))
}

/// Whether a text speaks of gutters or downspouts.
fn is_of_a_gutter(plain: &str) -> bool {
    let mut words = plain.split(|c: char| !c.is_alphabetic());
    words.any(|word| ["gutter", "gutters", "downspout", "downspouts", "ds"].contains(&word))
}

/// Whether a text is a whole number: digits, with commas between thousands perhaps. `11,58` is none.
fn is_whole_number(plain: &str) -> bool {
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit() || b == b' ');
    let mut parts = plain.split(',');
    parts.next().is_some_and(digits) && parts.all(|part| part.len() == 3 && digits(part))
}

/// Whether a text says that an arrow beside it points up the slope.
pub(super) fn says_up(text: &str) -> bool {
    let plain = text::normalise(text);
    let is_arrow = |c: char| matches!(c, '\u{2190}'..='\u{21ff}' | '\u{27f0}'..='\u{27ff}');
    let plain = plain.replace(is_arrow, " ");
    // Without the pitch before or after it.
    let words: Vec<&str> = plain
        .split_whitespace()
        .filter(|word| parse_pitch(word).is_none())
        .map(|word| word.trim_matches(['(', ')', '.', ',', ':', '-']))
        .filter(|word| !word.is_empty())
        .collect();
    let says = words.join(" ");
    matches!(
        &says[..],
        "up" | "slope up" | "up slope" | "upslope" | "rise"
    )
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
        // Metres with a decimal comma, and thousands of millimetres.
        let metric = Some(LengthUnit::Millimetres);
        assert_eq!(read("11,58", metric), Meaning::Other);
        let Meaning::Length(length) = read("11,580", metric) else {
            panic!("no length");
        };
        assert!((length.feet * 304.8 - 11_580.0).abs() < 1e-9);
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
