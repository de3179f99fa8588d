//! What a text on the plan says.

use super::Says;
use super::text::{
    self, LengthText, LengthUnit, PitchText, ScaleText, parse_area, parse_length, parse_pitch,
    pitch_in_words, scale_in_words,
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
    /// What is written at a side of an outline, and a pitch in the same text: `6/12 EAVE 9'`. `None` where what it says of the
    /// side besides its pitch cannot be read.
    Side(Option<Says>, PitchText),
    /// Meant as a pitch, but unreadable.
    Spoilt,
    /// A pitch but for a slip, or something else altogether.
    NearPitch,
    /// An area in words or numbers that cannot be read.
    UnreadArea,
    /// It begins as what is written at a side of an outline does, and cannot be read.
    UnreadSide,
    /// A pipe's diameter whose figure or unit cannot be read.
    UnreadDiameter,
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
        .or_else(|| pitch_then_side(&plain));
    if let Some(meaning @ Meaning::Side(..)) = of_side {
        return meaning;
    }
    if let Some(pitch) = pitch_in_words(text) {
        let PitchText { half_step, .. } = pitch;
        return match of_side {
            Some(Meaning::UnreadSide) => Meaning::Side(None, pitch),
            None if speaks_of_a_height(&plain) => Meaning::Side(None, pitch),
            _ => Meaning::Roof(Says::Pitch {
                pitch: pitch.pitch,
                half_step,
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
    if let Some(meaning) = diameter(&plain, bare) {
        return meaning;
    }
    let whole_number = undoubted(&plain)
        .bytes()
        .all(|b| b.is_ascii_digit() || b == b',' || b == b' ');
    if whole_number && let Some(length) = length(&plain, bare) {
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
    of_side.unwrap_or(Meaning::Other)
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

/// Signs and words round a length that say how sure it is, not that it is another one: `24'-6" ±`, `24'-6" V.I.F.`.
const DOUBTS: [&str; 15] = [
    "±",
    "+/-",
    "-/+",
    "+-",
    "≈",
    "~",
    "v.i.f.",
    "vif",
    "verify in field",
    "field verify",
    "approx.",
    "approx",
    "o/o",
    "out to out",
    "out-to-out",
];

/// A length, with a doubt about it or in brackets perhaps.
fn length(plain: &str, bare: Option<LengthUnit>) -> Option<LengthText> {
    let read = |text: &str| match in_thousands(text, bare) {
        Some(figures) => parse_length(&figures, bare),
        None => parse_length(text, bare),
    };
    read(plain).or_else(|| read(undoubted(plain)))
}

/// Millimetres with a dot or a blank between thousands, without it: `14.000 mm`, `12 000 mm`. Nobody measures a roof to a
/// thousandth of a millimetre; a hundred and more are left as they stand, since programs write them so: `914.400 mm`.
fn in_thousands(plain: &str, bare: Option<LengthUnit>) -> Option<String> {
    let figures = plain.strip_suffix("mm").map(str::trim_end);
    let may_be_bare = bare == Some(LengthUnit::Millimetres);
    let figures = figures.or_else(|| may_be_bare.then_some(plain))?;
    let is_dotted = figures.contains('.') && figures.len() < plain.len();
    let groups: Vec<&str> = figures.split([' ', '.']).collect();
    let (first, rest) = groups.split_first()?;
    let digits = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let longest = if is_dotted { 2 } else { 3 };
    let parted = (1..=longest).contains(&first.len()) && digits(first) && !first.starts_with('0');
    let in_threes = !rest.is_empty() && rest.iter().all(|g| g.len() == 3 && digits(g));
    let one_sign = !(figures.contains('.') && (!is_dotted || figures.contains(' ')));
    (parted && in_threes && one_sign).then(|| format!("{} mm", groups.concat()))
}

/// Whether a length was read from a text that says more than the length.
pub(super) fn is_doubted(text: &str, bare: Option<LengthUnit>) -> bool {
    parse_length(text, bare).is_none() && in_thousands(&text::normalise(text), bare).is_none()
}

/// A text without the doubts before and after it, and the brackets round it.
fn undoubted(plain: &str) -> &str {
    let mut rest = plain.trim();
    loop {
        let before = rest;
        for doubt in DOUBTS {
            rest = rest.strip_prefix(doubt).unwrap_or(rest).trim();
            rest = rest.strip_suffix(doubt).unwrap_or(rest).trim();
        }
        let in_brackets = rest.strip_prefix('(').and_then(|r| r.strip_suffix(')'));
        rest = in_brackets.unwrap_or(rest).trim();
        // `24'-6" (VIF)`
        if let Some((length, doubt)) = rest.strip_suffix(')').and_then(|r| r.split_once('('))
            && DOUBTS.contains(&doubt.trim())
        {
            rest = length.trim();
        }
        if rest == before {
            return rest;
        }
    }
}

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
fn of_side(plain: &str) -> Option<Meaning> {
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
fn other_end(plain: &str) -> Option<Meaning> {
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

/// A length written with a pitch is the height of something from here on; below it is an overhang, a spacing or a depth.
const LEAST_HEIGHT_FT: f64 = 4.0;

/// Whether a text with a pitch gives the height of something in other words than an eave's: `6/12 PLATE 9'-0"`.
fn speaks_of_a_height(plain: &str) -> bool {
    let kept = without(&plain.replace([':', '=', '@', ','], " "), &BESIDE_PITCH);
    kept.split(' ').any(|word| {
        let height = parse_length(word.trim_start_matches('+'), None);
        height.is_some_and(|height| height.feet >= LEAST_HEIGHT_FT)
    })
}

/// Whether a pitch is no fraction of an inch that belongs to the feet before it: `9' 6/12`, but not `9' 1/2`.
fn over_12(pitch: &str) -> bool {
    pitch.ends_with("12") || pitch.ends_with(['%', '°'])
}

/// A text that begins with a pitch, and what it says of the side after that: `6/12, EAVE 9'-0"`, `6/12 GABLE`.
fn pitch_then_side(plain: &str) -> Option<Meaning> {
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
        return Some(Meaning::Other);
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

/// A length beside one of these is a diameter.
const DIAMETER_WORDS: [&str; 9] = [
    "dia", "diam", "diameter", "pipe", "vent", "vtr", "stack", "flue", "plumbing",
];

/// Signs for a diameter, in small letters.
const DIAMETER_SIGNS: [char; 5] = ['ø', '⌀', '∅', 'φ', 'ϕ'];

/// `4" dia`, `dia 4"`, `ø4"`, `4"ø pipe`, `3" VTR`, `vent 4 in`; and with a sign for it a figure alone: `ø110`, `DN 110`. `bare`
/// is what a whole number without a unit means elsewhere.
fn diameter(plain: &str, bare: Option<LengthUnit>) -> Option<Meaning> {
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
pub(super) fn on_pipes(text: &str, bare: Option<LengthUnit>) -> Option<Meaning> {
    let plain = text::normalise(text);
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
        ] {
            assert_eq!(read(text, None), Meaning::Other, "{text}");
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
    fn millimetres_in_thousands_are_not_read_as_decimals() {
        let in_mm = |text: &str, bare| match read(text, bare) {
            Meaning::Length(length) => (length.feet * 304.8).round(),
            other => panic!("{text}: {other:?}"),
        };
        let metric = Some(LengthUnit::Millimetres);
        for text in [
            "14.000 mm",
            "14 000 mm",
            "14,000 mm",
            "14000 mm",
            "14.000mm",
        ] {
            assert_eq!(in_mm(text, None), 14_000.0, "{text}");
            assert!(!is_doubted(text, None), "{text}");
        }
        assert_eq!(in_mm("14 000", metric), 14_000.0);
        assert_eq!(in_mm("12.500 mm", None), 12_500.0);
        // What a program writes of 3 ft, and decimals that part no thousands.
        assert_eq!(in_mm("914.400 mm", None), 914.0);
        assert_eq!(in_mm("7470.0 mm", None), 7470.0);
        // Metres or millimetres: nobody knows.
        assert_eq!(read("14.000", metric), Meaning::Other);
        assert_eq!(read("14 000", None), Meaning::Other);
    }

    #[test]
    fn a_length_with_a_doubt_about_it_is_that_length() {
        for text in [
            "24'-6\" ±",
            "±24'-6\"",
            "24'-6\" VIF",
            "24'-6\" V.I.F.",
            "(24'-6\")",
            "24'-6\" (VIF)",
            "(24'-6\" +/-)",
            "~24.5 ft",
            "24'-6\" VERIFY IN FIELD",
            "24'-6\" O/O",
            "24'-6\" (OUT TO OUT)",
        ] {
            let Meaning::Length(length) = read(text, None) else {
                panic!("{text}");
            };
            assert_eq!(length.feet, 24.5, "{text}");
            assert!(is_doubted(text, None), "{text}");
        }
        assert!(!is_doubted("24'-6\"", None));
        assert!(matches!(
            read("7470 ±", Some(LengthUnit::Millimetres)),
            Meaning::Length(_)
        ));
        for text in ["24'-6\" ± 1\"", "24'-6\" CLEAR", "6 ±", "±"] {
            assert_eq!(read(text, None), Meaning::Other, "{text}");
        }
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
