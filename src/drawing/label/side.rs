//! What is written at a side of an outline: a gable end, a wall, the height of an eave, with a pitch perhaps.

use super::Meaning;
use crate::drawing::Says;
use crate::drawing::text::{parse_length, parse_pitch, pitch_in_words};
use crate::units::text::{Scanner, length_at};

/// Words that say nothing more about a side: `GABLE END (TYP.)`.
const ANYWHERE: [&str; 5] = ["typ", "typical", "uno", "u.n.o", "-"];
/// Words before `gable` that tell how its eaves are finished, not another roof.
const BEFORE_GABLE: [&str; 4] = ["open", "boxed", "box", "plain"];
/// Words for the end of a roof, in a text of so many words at most: longer ones are notes.
const ENDS: [&str; 7] = [
    "gable",
    "gables",
    "jerkinhead",
    "jerkin",
    "rake",
    "dutch",
    "gbl",
];
const LONGEST_END: usize = 4;
const OF_GABLE: [&str; 5] = ["end", "ends", "side", "wall", "walls"];
const OF_WALL: [&str; 1] = ["above"];
const OF_EAVE: [&str; 13] = [
    "height",
    "heights",
    "ht",
    "hgt",
    "el",
    "elev",
    "elevation",
    "at",
    "line",
    "side",
    "aff",
    "a.f.f",
    "plate",
];

/// Words between a pitch and what else is said of its side.
const BESIDE_PITCH: [&str; 8] = ["pitch", "slope", "roof", "at", "with", "w/", "and", "&"];

/// What is written at a side of an outline: a gable end, a wall, the height of an eave. `None` for texts that do not begin
/// so.
pub(super) fn of_side(plain: &str) -> Option<Meaning> {
    let plain = BEFORE_GABLE
        .iter()
        .find_map(|word| plain.strip_prefix(word)?.strip_prefix([' ', '-']))
        .filter(|rest| rest.starts_with("gable"))
        .unwrap_or(plain);
    if let Some(rest) = after_word(plain, "gable") {
        let rest = without(rest.trim_start_matches('-'), &OF_GABLE);
        return Some(match pitch_in_words(&rest) {
            _ if rest.is_empty() => Meaning::Roof(Says::Gable),
            Some(pitch) => Meaning::Side(Some(Says::Gable), pitch),
            None => Meaning::UnreadSide,
        });
    }
    if let Some(rest) = after_word(plain, "wall") {
        return Some(match without(rest, &OF_WALL).as_str() {
            "" => Meaning::Roof(Says::Wall),
            _ => Meaning::UnreadSide,
        });
    }
    let rest = after_word(plain, "eave")?;
    if let Some(both) = height_and_pitch(rest) {
        return Some(both);
    }
    let rest = without(&rest.replace([':', '='], " "), &OF_EAVE);
    Some(match parse_length(&rest, None) {
        // A side is an eave where nothing else is said.
        _ if rest.is_empty() => Meaning::Other,
        Some(height) => Meaning::Roof(Says::EaveHeight(height.feet)),
        None => match parse_pitch(&rest) {
            Some(_) => Meaning::Other,
            None => Meaning::UnreadSide,
        },
    })
}

/// A text about the end of a roof in words that build no roof here: `CLIPPED GABLE`, `JERKINHEAD`, `HALF HIP`, with its pitch
/// perhaps.
pub(super) fn other_end(plain: &str) -> Option<Meaning> {
    let words: Vec<&str> = plain
        .split([' ', '-', '/', '(', ')', ',', '.'])
        .filter(|w| w.starts_with(char::is_alphabetic))
        .collect();
    let half_hip = words
        .windows(2)
        .any(|w| w[0] == "half" && w[1].starts_with("hip"));
    let speaks = half_hip || words.iter().any(|w| ENDS.contains(w));
    let begins = after_word(plain, "gable").is_some();
    if !speaks || begins || words.len() > LONGEST_END {
        return None;
    }
    let pitch = |w: &&str| !w.starts_with(char::is_alphabetic);
    let figures: Vec<&str> = plain.split(' ').filter(pitch).collect();
    let rest: Vec<&str> = words
        .iter()
        .copied()
        .filter(|w| !BEFORE_GABLE.contains(w))
        .collect();
    let pitch = parse_pitch(figures.join(" ").trim_matches([',', ';', ' ', '-']));
    match (pitch, rest.as_slice()) {
        // `6/12 GABLE`, `6/12 BOXED GABLE`
        (Some(pitch), ["gable", of @ ..])
            if of
                .iter()
                .all(|w| OF_GABLE.contains(w) || ANYWHERE.contains(w)) =>
        {
            Some(Meaning::Side(Some(Says::Gable), pitch))
        }
        (_, ["gable", ..]) => None,
        (Some(pitch), _) => Some(Meaning::Side(None, pitch)),
        (None, _) => Some(Meaning::UnreadSide),
    }
}

/// The height of an eave and its pitch, whichever stands first: `9' 6/12`, `6:12 AT 9'-0"`.
fn height_and_pitch(rest: &str) -> Option<Meaning> {
    let mut words: Vec<&str> = OF_EAVE.to_vec();
    words.extend(BESIDE_PITCH);
    let rest = without(rest, &words);
    rest.match_indices(' ').find_map(|(blank, _)| {
        let (first, second) = (&rest[..blank], &rest[blank + 1..]);
        let height = |text: &str| parse_length(&text.replace([':', '='], " "), None);
        let (height, pitch) = match (height(first), height(second)) {
            (Some(height), _) if over_12(second) => (height, parse_pitch(second)?),
            (_, Some(height)) => (height, parse_pitch(first)?),
            _ => return None,
        };
        Some(Meaning::Side(Some(Says::EaveHeight(height.feet)), pitch))
    })
}

/// A length written with a pitch, or with what stands at an eave, is the height of something from here on; below it is an overhang,
/// a spacing or a depth.
const LEAST_HEIGHT_FT: f64 = 4.0;

/// Whether a text gives the height of something, with a pitch or with words for it: `6/12 PLATE 9'-0"`.
pub(super) fn speaks_of_a_height(plain: &str) -> bool {
    let kept = without(&plain.replace([':', '=', '@', ','], " "), &BESIDE_PITCH);
    let starts = kept.match_indices(' ').map(|(blank, _)| blank + 1);
    std::iter::once(0).chain(starts).any(|start| {
        let mut scanner = Scanner::new(kept[start..].trim_start_matches('+'));
        let height = length_at(&mut scanner, None);
        height.is_some_and(|height| height.feet >= LEAST_HEIGHT_FT)
    })
}

/// Words for what an eave's height is measured to, which is no eave's height itself: a wall's plate lies beneath the eave by
/// as much as the rafters' heel, less what they fall over the overhang (common practice, no source).
const OF_HEIGHT: [&str; 17] = [
    "eave", "eaves", "plate", "plates", "wall", "walls", "gutter", "gutters", "fascia", "soffit",
    "bearing", "brg", "top", "t.o.p", "t.o.w", "tow", "t.o",
];
/// Heights of something that is no eave.
const OF_OTHERS: [&str; 8] = [
    "ridge", "peak", "floor", "f.f", "ceiling", "chimney", "slab", "grade",
];
/// Lengths of something, not heights.
const OF_LENGTHS: [&str; 11] = [
    "o.c", "oc", "min", "max", "length", "lengths", "long", "cont", "extend", "board", "below",
];
/// A text of more words is a note on something else.
const MOST_WORDS: usize = 8;

/// The height of something at an eave in other words than an eave's: `PLATE HT. 9'-0"`, `TOP OF WALL 9'-0"`, `HIGH EAVE +4'-0"`.
pub(super) fn in_other_words(plain: &str) -> Option<Meaning> {
    let words: Vec<&str> = plain
        .split([' ', '(', ')', ':', '=', ',', '@'])
        .map(|word| word.trim_end_matches('.'))
        .filter(|word| word.starts_with(char::is_alphabetic))
        .collect();
    let says = |some: &[&str]| words.iter().any(|word| some.contains(word));
    let measures = plain.starts_with(|c: char| c.is_ascii_digit()) || plain.contains(" x ");
    let speaks = says(&OF_HEIGHT)
        && !says(&OF_OTHERS)
        && !says(&OF_LENGTHS)
        && !measures
        && words.len() <= MOST_WORDS;
    (speaks && speaks_of_a_height(plain)).then_some(Meaning::UnreadSide)
}

/// Whether a pitch is no fraction of an inch that belongs to the feet before it: `9' 6/12`, but not `9' 1/2`.
fn over_12(pitch: &str) -> bool {
    pitch.ends_with("12") || pitch.ends_with(['%', '°'])
}

/// A text that begins with a pitch, and what it says of the side after that: `6/12, EAVE 9'-0"`, `6/12 GABLE`.
pub(super) fn pitch_then_side(plain: &str) -> Option<Meaning> {
    let starts = |word: &str| {
        let mut all = plain.match_indices(word).map(|(at, _)| at);
        all.find(|&at| !plain[..at].ends_with(char::is_alphanumeric))
    };
    let at = ["gable", "wall", "eave"]
        .into_iter()
        .filter_map(starts)
        .min()?;
    let (head, tail) = plain.split_at(at);
    let side = of_side(tail)?;
    let Some(pitch) = parse_pitch(&without(head, &BESIDE_PITCH)) else {
        // Something else is spoken of, and the side only with it.
        return Some(in_other_words(plain).unwrap_or(Meaning::Other));
    };
    Some(match side {
        Meaning::Roof(says) => Meaning::Side(Some(says), pitch),
        Meaning::UnreadSide => Meaning::Side(None, pitch),
        // A side that says nothing more.
        _ if !tail.contains(|c: char| c.is_ascii_digit()) => Meaning::Other,
        // The same pitch twice, or another: `6/12 GABLE 8/12`.
        _ => Meaning::UnreadSide,
    })
}

/// What follows a word, or its plural, at the start of a text.
fn after_word<'t>(plain: &'t str, word: &str) -> Option<&'t str> {
    let rest = plain.trim_start_matches(['(', ' ']).strip_prefix(word)?;
    let rest = rest.strip_prefix('s').unwrap_or(rest);
    (!rest.starts_with(char::is_alphabetic)).then_some(rest)
}

/// A text without the given words, the brackets, and the signs before and after words.
fn without(rest: &str, words: &[&str]) -> String {
    let kept: Vec<&str> = rest
        .split([' ', '(', ')'])
        .map(|w| {
            w.trim_start_matches([':', '=', '@', '+', ','])
                .trim_end_matches([':', '=', ',', ';', '.'])
        })
        .filter(|w| !w.is_empty() && !words.contains(w) && !ANYWHERE.contains(w))
        .collect();
    kept.join(" ")
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::super::read;
    use super::*;
    use crate::drawing::text::PitchText;
    use crate::units::Pitch;

    #[test]
    fn words_at_a_side_are_understood_as_drafters_write_them() {
        for text in [
            "GABLE TYP",
            "Gables",
            "GABLE WALL",
            "GABLE END (TYP)",
            "(gable)",
            "GABLE-END",
            "OPEN GABLE",
            "BOXED GABLE (TYP)",
            "BOX GABLE END",
        ] {
            assert_eq!(read(text, None), Meaning::Roof(Says::Gable), "{text}");
        }
        for text in ["WALL TYP.", "wall above"] {
            assert_eq!(read(text, None), Meaning::Roof(Says::Wall), "{text}");
        }
        for text in [
            "EAVE HT 12'",
            "EAVE EL 12'",
            "EAVE EL. = +12'-0\"",
            "EAVE HEIGHT AT 12'",
            "EAVES @ 12 ft (TYP.)",
            "Eave:12'",
        ] {
            let height = Meaning::Roof(Says::EaveHeight(12.0));
            assert_eq!(read(text, None), height, "{text}");
        }
        for text in ["GABLE 6/12", "GABLE END 6:12 (TYP)", "gable: 6 in 12"] {
            let Meaning::Side(Some(Says::Gable), PitchText { pitch, .. }) = read(text, None) else {
                panic!("{text}");
            };
            assert_eq!(pitch, Pitch::in_12(6.0), "{text}");
        }
        for text in [
            "GABLE WAL",
            "CLIPPED GABLE",
            "JERKINHEAD",
            "HALF HIP",
            "HALF-HIP END",
            "HIPPED GABLE",
            "DUTCH GABLE",
            "RAKE",
            "WALL BELOW",
            "EAVE -2'",
            "EAVE OVERHANG 12\"",
            "EAVE 12",
            // Heights at an eave, in other words than an eave's.
            "PLATE HT. 9'-0\"",
            "T.O. PLATE 9'-1 1/8\"",
            "T.O.W. +9'-0\"",
            "TOP OF WALL 9'-0\"",
            "GUTTER EL. 109'-0\"",
            "FASCIA 9'-0\"",
            "HIGH EAVE +4'-0\"",
            "RAISED EAVE 13'-0\"",
            "TOP OF WALL 2.75 m",
        ] {
            assert_eq!(read(text, None), Meaning::UnreadSide, "{text}");
        }
        // An eave is what a side is anyway; and these are other words.
        for text in [
            "EAVE",
            "EAVE LINE",
            "EAVES (TYP)",
            "GABLED ROOF",
            "WALLPAPER",
            "LOW EAVE",
            "GUTTER 5\"",
            "FASCIA 1X8",
            "2X6 WALL 8\"",
            "RIDGE 18'-0\" ABOVE PLATE",
            "ALUM. GUTTER W/ 2 DS, SLOPE 1/16\" PER FT",
        ] {
            assert_eq!(read(text, None), Meaning::Other, "{text}");
        }
        // Lengths of gutters, boards and walls are no heights.
        for text in [
            "DS @ GUTTER 10'-0\" O.C.",
            "FASCIA BOARD, 16' LENGTHS",
            "CONT. GUTTER, 40 FT",
            "40' GUTTER",
            "5\" GUTTER, 4'-0\" MIN FROM DOOR",
            "EXTEND WALL 4'-0\"",
        ] {
            assert_ne!(read(text, None), Meaning::UnreadSide, "{text}");
        }
    }

    #[test]
    fn a_pitch_and_what_is_said_of_its_side_in_one_text_are_both_read() {
        let nine = Some(Says::EaveHeight(9.0));
        for (text, of_side) in [
            ("6/12 eave 9'", nine.clone()),
            ("6/12, EAVE 9'-0\"", nine.clone()),
            ("6:12 PITCH @ EAVE HT. 9'", nine.clone()),
            ("6 in 12 - eave el. +9'-0\" (TYP)", nine.clone()),
            ("EAVE 9' 6/12", nine.clone()),
            ("EAVE: 6/12 AT 9'-0\"", nine.clone()),
            ("eave 9'-0\", slope 6/12", nine),
            ("6/12 GABLE", Some(Says::Gable)),
            ("6/12 BOXED GABLE", Some(Says::Gable)),
            ("6/12 CLIPPED GABLE", None),
            ("6/12, EAVE 2700", None),
            ("6/12 WALL ABOVE", Some(Says::Wall)),
            ("6/12, EAVE NINE FT", None),
            ("6/12 EAVE OVERHANG 12\"", None),
            ("EAVE NINE FT 6/12", None),
            // The height of something that is perhaps no eave's.
            ("6/12 EL. 9'-0\"", None),
            ("6/12 plate 9'-0\"", None),
            ("6/12, T.O.P. = +9'-1\"", None),
        ] {
            let Meaning::Side(says, PitchText { pitch, .. }) = read(text, None) else {
                panic!("{text}: {:?}", read(text, None));
            };
            assert_eq!((says, pitch), (of_side, Pitch::in_12(6.0)), "{text}");
        }
        for text in [
            "6/12",
            "6/12 EAVE",
            "EAVES 6/12",
            "6/12 ROOF",
            "6/12, 12\" OVERHANG",
            "MAIN ROOF 6/12, SEE WALL SECTION",
        ] {
            let Meaning::Roof(Says::Pitch { pitch, .. }) = read(text, None) else {
                panic!("{text}: {:?}", read(text, None));
            };
            assert_eq!(pitch, Pitch::in_12(6.0), "{text}");
        }
        // An inch fraction of a height is no pitch.
        let half = Meaning::Roof(Says::EaveHeight(9.0 + 0.5 / 12.0));
        assert_eq!(read("EAVE 9' 1/2", None), half);
    }
}
