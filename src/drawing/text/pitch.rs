//! Pitches as people write them: rise in 12, rise : run, degrees, percent, words.

use super::area::has_unit;
use super::area_words::speaks_of_an_area;
use crate::units::Pitch;
use crate::units::text::{Number, Scanner, normalise};

/// A pitch as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PitchText {
    /// The pitch.
    pub pitch: Pitch,
    /// Half a unit of the last digit written, as rise per run.
    pub half_step: f64,
    /// How it is written.
    pub written: Written,
}

/// How a pitch is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Written {
    /// Rise and run: `6/12`, `1:2`, `1/4" per ft`; or the word `flat`.
    Ratio,
    /// `26.6°`
    Degrees,
    /// `50 %`
    Percent,
}

impl PitchText {
    /// Whether another text says the same pitch: the same, or one in another way, as sheets in two kinds of units have them.
    ///
    /// ```
    /// use eavewright::drawing::text::parse_pitch;
    /// let agree = |a, b| parse_pitch(a).unwrap().agrees(parse_pitch(b).unwrap());
    /// assert!(agree("6/12", "26.6°") && agree("6/12", "27°") && agree("1:3", "4/12"));
    /// assert!(!agree("6/12", "30°") && !agree("6/12", "6.5/12") && !agree("5/12", "6/12"));
    /// ```
    pub fn agrees(self, other: Self) -> bool {
        agree((self.pitch, self.half_step), (other.pitch, other.half_step))
    }
}

/// Two pitches written in two ways are one within so many halves of the finer one's last digit: rounded, or cut off (6/12 is
/// 26.565°, and `26.5°` on many a sheet). Two whole rises in 12 lie two halves apart, and are two.
const ONE_PITCH_HALVES: f64 = 1.9;

/// Of two pitches that are one, whether the first is the one that was meant: a rise in 12 in quarters, as roofs are pitched, or
/// else the one with more digits.
pub(crate) fn counts_before(
    (one, half_of_one): (Pitch, f64),
    (other, half_of_other): (Pitch, f64),
) -> bool {
    let in_quarters = |pitch: Pitch| {
        let quarters = pitch.to_in_12() * 4.0;
        (quarters - quarters.round()).abs() < 1e-6
    };
    match (in_quarters(one), in_quarters(other)) {
        (true, false) => true,
        (false, true) => false,
        _ => half_of_one <= half_of_other,
    }
}

/// Whether two pitches, each with half of its last digit as rise per run, are one: the coarser one, as it stands, is what the
/// finer one says.
pub(crate) fn agree(
    (one, half_of_one): (Pitch, f64),
    (other, half_of_other): (Pitch, f64),
) -> bool {
    let apart = (one.to_rise_per_run() - other.to_rise_per_run()).abs();
    apart <= ONE_PITCH_HALVES * half_of_one.min(half_of_other)
}

/// What is written as steeper is no pitch of a roof: rise in 12 beyond this, degrees from this on.
pub(super) const MOST_IN_12: f64 = 48.0;
pub(super) const MOST_DEG: f64 = 85.0;

/// Words that may stand beside a pitch without changing it.
const PITCH_WORDS: [&str; 8] = [
    "pitch", "slope", "roof", "fall", "pitched", "sloped", "sloping", "grade",
];

/// Words that stand beside a percentage that is added to an area: `ROOF 375 SF, 10% WASTE`.
const ALLOWANCE_WORDS: [&str; 7] = [
    "waste",
    "wastage",
    "loss",
    "allowance",
    "overage",
    "extra",
    "handling",
];

/// Words beside an angle that is a direction on the plan, not a fall.
const BEARING_WORDS: [&str; 14] = [
    "n", "e", "s", "w", "north", "east", "south", "west", "true", "turned", "rotate", "rotated",
    "bearing", "azimuth",
];

/// Steeper roofs than this, in 12, are spires: two figures before a run of 12 that give more are a number and a rise (common practice, no
/// source).
pub(super) const STEEPEST_USUAL: f64 = 24.0;

/// The longest text, in characters, that may be a pitch that cannot be read ...
pub(super) const LONGEST_SPOILT: usize = 24;
/// ... and the longest that is written of one face, not a note on the whole.
pub(super) const LONGEST_OF_FACE: usize = 60;

/// Reads a text that is a pitch and nothing else, save words such as `pitch` or `slope`.
///
/// ```
/// use eavewright::drawing::text::parse_pitch;
/// assert_eq!(parse_pitch("6½/12").unwrap().pitch.to_in_12(), 6.5);
/// assert_eq!(parse_pitch("6 in 12 pitch").unwrap().pitch.to_in_12(), 6.0);
/// assert_eq!(parse_pitch("1:2").unwrap().pitch.to_rise_per_run(), 0.5);
/// assert!(parse_pitch("6/12/24").is_none());
/// ```
pub fn parse_pitch(text: &str) -> Option<PitchText> {
    let plain = normalise(text);
    if let Some(flat) = flat(&plain) {
        return Some(flat);
    }
    let kept: Vec<&str> = plain
        .split(' ')
        .filter(|w| !PITCH_WORDS.contains(&w.trim_matches([':', '=', '.', ',', '(', ')'])))
        .collect();
    let plain = kept.join(" ");
    let mut scanner = Scanner::new(plain.trim_matches(['(', ')']));
    let pitch = pitch_at(&mut scanner, true)?;
    scanner.at_end().then_some(pitch)
}

/// Finds the pitch in a text that says other things too: `MAIN ROOF 6/12`. Two different pitches in one text are none.
/// Dates, stated fractions and percentages of something else, such as a waste allowance, are not taken for one.
pub fn pitch_in_words(text: &str) -> Option<PitchText> {
    if let Some(pitch) = parse_pitch(text) {
        return Some(pitch);
    }
    let plain = normalise(text);
    if gives_part_of_a_pitch(&plain) {
        return None;
    }
    let named = says(&plain, &PITCH_WORDS);
    let mut found: Option<PitchText> = None;
    for (start, pitch) in pitches_among_words(&plain) {
        // Degrees and percentages are said of much else: `TRUE NORTH 12 DEGREES`.
        if pitch.written != Written::Ratio && (!named || is_allowance(&plain, start, pitch)) {
            continue;
        }
        match found {
            Some(before) if !before.agrees(pitch) => return None,
            Some(before)
                if counts_before(
                    (before.pitch, before.half_step),
                    (pitch.pitch, pitch.half_step),
                ) => {}
            _ => found = Some(pitch),
        }
    }
    found
}

/// All that is written as a pitch among other words, with where it starts.
fn pitches_among_words(plain: &str) -> Vec<(usize, PitchText)> {
    let mut found = Vec::new();
    let mut read_to = 0;
    for (start, _) in plain.char_indices() {
        // The half of 6 1/2:12 is no pitch by itself.
        if start < read_to || !starts_a_number(plain, start) {
            continue;
        }
        let mut scanner = Scanner::new(&plain[start..]);
        if let Some(pitch) = pitch_at(&mut scanner, false)
            && ends_clean(scanner.rest())
        {
            read_to = plain.len() - scanner.rest().len();
            found.push((start, pitch));
        }
    }
    found
}

/// Whether figures stand before what is written as a pitch that may be a part of it: `9. 25:12`, `5 1/ 2:12`, `6 .5:12`, `1 2/12`.
/// A blank is often a gap that a program left between letters.
pub(super) fn gives_part_of_a_pitch(plain: &str) -> bool {
    pitches_among_words(plain).iter().any(|&(start, pitch)| {
        let before = plain[..start].trim_end();
        let (words, figures) = before.rsplit_once(' ').unwrap_or(("", before));
        // What stands in front of it in the same word: `(.5/12` has nothing.
        let is_of_numbers = |c: char| c.is_ascii_digit() || ".,/-".contains(c);
        let in_figures =
            figures.starts_with(|c: char| c.is_ascii_digit()) && figures.chars().all(is_of_numbers);
        if !in_figures || before.len() == start {
            return false;
        }
        let Ok(number) = figures.parse::<u32>() else {
            // A rise and a run of its own is another pitch's.
            return parse_pitch(figures).is_none();
        };
        let after = &plain[start..];
        let rise: String = after.chars().take_while(char::is_ascii_digit).collect();
        // A roof, a sheet or a note has a number: `ROOF 1 6/12`. Alone it is one where both together are no rise.
        let together = format!("{number}{rise}").parse::<f64>();
        after.starts_with('.')
            || words.is_empty()
                && pitch.written == Written::Ratio
                && together.is_ok_and(|rise| rise <= STEEPEST_USUAL)
    })
}

fn says(plain: &str, some: &[&str]) -> bool {
    let mut words = plain.split(|c: char| !c.is_alphabetic());
    words.any(|w| some.contains(&w))
}

/// Whether what is read of a text from `start` on is a percentage of something else than a run.
fn is_allowance(plain: &str, start: usize, pitch: PitchText) -> bool {
    pitch.written == Written::Percent
        && (says(plain, &ALLOWANCE_WORDS) || adds_to_an_area(&plain[..start]))
}

/// Whether a text that says no pitch gives an angle or a fall in other words than a pitch's, which may be meant as one where
/// a pitch is missed: `DN 35°`, `S=50%`. Bearings and allowances are none.
pub fn states_an_angle(text: &str) -> bool {
    let plain = normalise(text);
    let may_be_of_face = plain.chars().count() <= LONGEST_SPOILT && !speaks_of_an_area(&plain);
    let other = |(start, pitch): &(usize, PitchText)| match pitch.written {
        Written::Ratio => false,
        Written::Degrees => !says(&plain, &BEARING_WORDS),
        Written::Percent => !is_allowance(&plain, *start, *pitch),
    };
    may_be_of_face
        && pitch_in_words(text).is_none()
        && pitches_among_words(&plain).iter().any(other)
}

/// Whether a text gives pitches that contradict each other, among few enough words to be written of a face:
/// `EXISTING ROOF 5:12, NEW ROOF 6:12`.
pub fn gives_two_pitches(text: &str) -> bool {
    let plain = normalise(text);
    let all = pitches_among_words(&plain);
    let mut ratios = all.iter().filter(|(_, p)| p.written == Written::Ratio);
    let first = ratios.next();
    plain.chars().count() <= LONGEST_OF_FACE
        && first.is_some_and(|(_, first)| ratios.any(|(_, other)| !first.agrees(*other)))
}

/// Whether a percentage behind these words is so much more of an area: `375 SF ROOF +`.
fn adds_to_an_area(before: &str) -> bool {
    let area = before.trim_end().strip_suffix('+');
    area.is_some_and(|area| has_unit(area) || speaks_of_an_area(area))
}

fn flat(plain: &str) -> Option<PitchText> {
    let mut words = plain
        .split(' ')
        .map(|w| w.trim_matches(['(', ')', '.', ',']));
    let says_flat = plain
        .split(' ')
        .any(|w| w.trim_matches(['(', ')', '.', ',']) == "flat");
    (says_flat && words.all(|w| matches!(w, "flat" | "roof" | "area" | "deck" | "membrane")))
        .then_some(PitchText {
            pitch: Pitch::FLAT,
            half_step: 0.0,
            written: Written::Ratio,
        })
}

fn starts_a_number(plain: &str, at: usize) -> bool {
    let here = plain[at..].starts_with(|c: char| c.is_ascii_digit() || c == '.');
    let before = plain[..at].chars().next_back();
    let clear = match before {
        None => true,
        Some(c) => !c.is_alphanumeric() && !matches!(c, '/' | ':' | '-' | '.' | ',' | '\'' | '"'),
    };
    // "A: 6/12" and "ROOF:6/12" are labels with a name before them, "6:6/12" is not.
    let after_name = before == Some(':') && plain[..at - 1].ends_with(|c: char| c.is_alphabetic());
    here && (clear || after_name)
}

fn ends_clean(rest: &str) -> bool {
    let mut chars = rest.chars();
    match chars.next() {
        None | Some(' ' | ')' | ',' | ';' | '"' | '±') => true,
        // An arrow of the fall.
        Some('\u{2190}'..='\u{21ff}' | '\u{27f0}'..='\u{27ff}') => true,
        Some('.') => !rest[1..].starts_with(|c: char| c.is_ascii_digit()),
        Some(_) => false,
    }
}

/// Reads a pitch at the scanner's place. `alone`: nothing else stands in the text, so that `6-12` and ratios to other
/// runs than 12 may be believed.
fn pitch_at(scanner: &mut Scanner<'_>, alone: bool) -> Option<PitchText> {
    let mut ahead = scanner.clone();
    // Twelfths are no ruler fraction, so that 6/12 is not read as one half; 1/2:12 is half an inch in twelve.
    let rise = ahead.mixed()?;
    if ahead.sign('°') || ahead.word(&["deg", "degs", "degree", "degrees"]) {
        *scanner = ahead;
        return degrees(rise);
    }
    if ahead.sign('%') || ahead.word(&["percent", "pct"]) {
        *scanner = ahead;
        return Some(PitchText {
            pitch: Pitch::rise_per_run(rise.value / 100.0),
            half_step: rise.step / 200.0,
            written: Written::Percent,
        });
    }
    let inches = ahead.sign('"');
    if let Some(per_foot) = per_foot(&mut ahead, rise, inches) {
        *scanner = ahead;
        return Some(per_foot);
    }
    let sign = ratio_sign(&mut ahead, alone)?;
    let run = ahead.decimal()?;
    ahead.sign('"');
    let pitch = ratio(rise, sign, run, alone)?;
    *scanner = ahead;
    Some(pitch)
}

/// `1/4" per ft`, `1/4"/ft`, `1/4 in per foot`.
fn per_foot(scanner: &mut Scanner<'_>, rise: Number, inches: bool) -> Option<PitchText> {
    let mut ahead = scanner.clone();
    let inches = inches || ahead.word(&["in", "inch", "inches"]);
    let per = ahead.word(&["per", "in", "a"]) || ahead.sign('/');
    if !(inches && per && (ahead.word(&["ft", "foot"]))) {
        return None;
    }
    *scanner = ahead;
    Some(in_12(rise))
}

fn ratio_sign(scanner: &mut Scanner<'_>, alone: bool) -> Option<char> {
    for sign in ['/', ':'] {
        if scanner.sign(sign) {
            return Some(sign);
        }
    }
    if scanner.word(&["in", "on", "over", "to"])
        || scanner.word_before_digits(&["in", "on", "over"])
    {
        return Some('/');
    }
    (alone && scanner.sign('-')).then_some('-')
}

/// Runs other than 12 are believed with a colon only, when the text holds nothing else and the run is not one that
/// only scales have.
fn ratio(rise: Number, sign: char, run: Number, alone: bool) -> Option<PitchText> {
    if !run.whole && run.step <= 0.0 || run.value <= 0.0 {
        return None;
    }
    if run.value == 12.0 {
        return (rise.value <= MOST_IN_12).then(|| in_12(rise));
    }
    let believable = alone && sign == ':' && run.value < 20.0 && rise.value <= 3.0 * run.value;
    // 12:6 is written by people who put the run first.
    if !believable || rise.value == 12.0 {
        return None;
    }
    let slope = rise.value / run.value;
    Some(PitchText {
        pitch: Pitch::rise_per_run(slope),
        half_step: slope / run.value * run.step / 2.0,
        written: Written::Ratio,
    })
}

fn in_12(rise: Number) -> PitchText {
    PitchText {
        pitch: Pitch::in_12(rise.value),
        half_step: rise.step / 24.0,
        written: Written::Ratio,
    }
}

fn degrees(angle: Number) -> Option<PitchText> {
    if angle.value >= MOST_DEG {
        return None;
    }
    let pitch = Pitch::degrees(angle.value);
    let slope = pitch.to_rise_per_run();
    // d tan θ = (1 + tan² θ) dθ
    let half_step = (angle.step / 2.0).to_radians() * (1.0 + slope * slope);
    Some(PitchText {
        pitch,
        half_step,
        written: Written::Degrees,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::super::spoilt_pitch::looks_like_a_pitch;
    use super::*;

    #[track_caller]
    fn case(text: &str, in_12: f64) {
        let read = pitch_in_words(text).map(|p| p.pitch.to_in_12());
        assert!(
            read.is_some_and(|r| (r - in_12).abs() < 1e-9),
            "{text}: {read:?} instead of {in_12}"
        );
    }

    #[test]
    fn every_spelling_of_a_pitch_is_read() {
        for text in [
            "6/12",
            "6:12",
            "6 in 12",
            "6-12",
            "6 / 12 pitch",
            "Pitch: 6/12",
            "(6/12)",
            "6\" / 12\"",
            "6″ in 12″",
            "MAIN ROOF 6/12",
            "ROOF 1 6/12",
            "6/12 SLOPE",
            "6.0/12",
            "6 on 12",
            "A: 6/12",
            "50%",
            "slope 50 %",
            "1:2",
            "６／１２",
            "6/12±",
            "6in12",
            "6 in12",
            "6over12",
            "6/12→",
            "→6/12",
        ] {
            case(text, 6.0);
        }
        case("6.5/12", 6.5);
        case("6½/12", 6.5);
        case("6 1/2 / 12", 6.5);
        case("6-1/2:12", 6.5);
        case("½:12", 0.5);
        case("1/4\" per ft", 0.25);
        case("1/4\"/ft", 0.25);
        case("flat", 0.0);
        case("FLAT ROOF", 0.0);
        case("0/12", 0.0);
        case("26.6°", 12.0 * 26.6_f64.to_radians().tan());
        // A percentage with a sign is a fall, but behind an area.
        case("slope +10%", 1.2);
        case("ROOF 375 SF, 6/12, +10% WASTE", 6.0);
        case("MAIN ROOF 6 1/2:12", 6.5);
        case("6/12 TYP, 6/12", 6.0);
        // Of two that agree the rise in 12 is what was meant, rounded to degrees or cut off.
        case("6/12 (26.6°) slope", 6.0);
        case("6/12 (26.5°) slope", 6.0);
        case("26.6 deg", 12.0 * 26.6_f64.to_radians().tan());
    }

    #[test]
    fn what_only_resembles_a_pitch_is_none() {
        for text in [
            "DATE: 6/12/24",
            "6/12/2024",
            "2024-6-12",
            "NOTE: 12\" OVERHANG TYP.",
            "SHEET A-1",
            "20'-0\"",
            "1:48",
            "12:6",
            "1/3 pitch",
            "6/12 8/12",
            "6/12 7/12",
            "6/12 6.5/12",
            "waste 10%",
            "5:12 EXIST, 6:12 NEW",
            "3/12 OR 4/12",
            "5/12 TO 6/12",
            "6/12 & 6.5/12",
            "6/12 (30°) slope",
            "375 SF +10% WASTE",
            "375 SF ROOF +10% WASTE",
            "ROOF 375 SF + 10 %",
            "ROOF AREA 480 +10%",
            "SLOPE AREA 375 SF, 10 percent allowance",
            "N 26.6° E",
            "TRUE NORTH 12 DEGREES",
            "TURNED 12 DEGREES",
            "SOLAR 12 DEGREES E OF S",
            "LOT COVERAGE 40 PERCENT",
            "1/2",
            "sheet 6-12",
            "3/4\" ply",
            "level 2",
        ] {
            assert_eq!(pitch_in_words(text), None, "{text}");
        }
    }

    #[test]
    fn half_a_step_of_the_last_digit_is_kept() {
        let half = |t: &str| parse_pitch(t).unwrap().half_step * 12.0;
        assert!((half("6/12") - 0.5).abs() < 1e-12);
        assert!((half("6.5/12") - 0.05).abs() < 1e-12);
        assert!((half("6 1/2 /12") - 0.25).abs() < 1e-12);
        let degree = parse_pitch("45°").unwrap().half_step;
        assert!((degree - 0.5_f64.to_radians() * 2.0).abs() < 1e-12);
    }

    #[test]
    fn an_angle_among_other_words_may_be_meant_as_a_pitch_and_a_bearing_is_not() {
        for text in ["DN 35°", "DN 50 %", "S=50%", "Dachneigung 35°"] {
            assert!(states_an_angle(text), "{text}");
        }
        for text in [
            "N 26.6° E",
            "TURNED 12 DEGREES",
            "375 SF +10% WASTE",
            "slope 35°",
            "35°",
            "DN 6/12",
        ] {
            assert!(!states_an_angle(text), "{text}");
        }
    }

    #[test]
    fn figures_before_a_pitch_are_not_dropped() {
        for text in [
            "9. 25:12",
            "12. 5/12",
            "5 1/ 2:12",
            "6 .5:12",
            "1 2/12",
            "2. 6/12 PITCH",
            "ROOF 9. 25:12",
            "ROOF 6 .5/12",
        ] {
            assert_eq!(pitch_in_words(text), None, "{text}");
            assert!(looks_like_a_pitch(text), "{text}");
        }
        // Numbers of roofs, faces and notes.
        for text in [
            "ROOF 1 6/12",
            "2 6/12",
            "3  6:12",
            "9 6/12",
            "(2) 6/12",
            "#3 6/12",
            "2. ROOF 6/12",
        ] {
            case(text, 6.0);
        }
    }

    #[test]
    fn two_pitches_in_one_text_are_seen_in_a_longer_one_too() {
        assert!(gives_two_pitches("EXISTING ROOF 5:12, NEW ROOF 6:12"));
        assert!(!gives_two_pitches("EXISTING ROOF 5:12, NEW ROOF 5:12"));
        assert!(!gives_two_pitches("MAIN ROOF 6/12 (26.6°), DATE 6/12/24"));
    }
}
