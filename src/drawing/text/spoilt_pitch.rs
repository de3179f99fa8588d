//! Texts that were probably meant as a pitch and cannot be read as one.

use super::pitch::{
    LONGEST_OF_FACE, LONGEST_SPOILT, MOST_DEG, MOST_IN_12, STEEPEST_USUAL, gives_part_of_a_pitch,
    pitch_in_words,
};
use crate::units::text::{normalise, parse_length};

/// The largest part that an inch on a ruler is divided into.
const LARGEST_OF_RULERS: f64 = 64.0;

/// No roof is laid flatter, in 12 (IRC R905.9.1, from memory); nor is a scale in architects' units, or a date, a slope: `1/4":1'-0"`,
/// `06/2025`.
const FLATTEST: f64 = 0.25 + 1e-9;

/// Whether a text that is no pitch was probably meant as one: `?/12`, `6/l2`, `6/`, `1/3 pitch`.
pub fn looks_like_a_pitch(text: &str) -> bool {
    let plain = normalise(text);
    let long = plain.chars().count();
    if pitch_in_words(text).is_some() || long > LONGEST_OF_FACE {
        return false;
    }
    if gives_part_of_a_pitch(&plain) {
        return true;
    }
    if long > LONGEST_SPOILT {
        return false;
    }
    let digits = plain.chars().filter(char::is_ascii_digit).count();
    let pitchy_word = plain
        .split(|c: char| !c.is_alphabetic())
        .any(|w| matches!(w, "pitch" | "slope"));
    if pitchy_word {
        return digits > 0 || plain.contains('?');
    }
    // "six/12": whatever stands before it, a run of 12 is a pitch's.
    let squeezed = plain.replace(' ', "");
    let run_of_12 = ["/12", ":12", "in12"]
        .iter()
        .any(|end| squeezed.ends_with(end));
    if run_of_12 && squeezed.len() <= 12 && !squeezed.starts_with(|c: char| c.is_ascii_digit()) {
        return true;
    }
    let parts: Vec<&str> = plain.split(['/', ':']).map(str::trim).collect();
    let [over, under] = parts[..] else {
        return plain == "?" || two_pitches(&plain);
    };
    // Feet in twelve: the wrong mark, or another rise.
    let over = if under == "12" {
        over.trim_end_matches('\'')
    } else {
        over
    };
    let number_like = |p: &str| {
        p.len() <= 6
            && p.chars()
                .all(|c| c.is_ascii_digit() || "?xlioz.,- ½".contains(c))
    };
    number_like(over) && number_like(under) && (digits > 0) && !is_plain_fraction(over, under)
}

/// Whether a text that says nothing is a pitch in 12 but for a slip: `6x12`, `6:12:`, `6\12`, `6//12`; or steeper than any that
/// is believed: `90°`, `120/12`.
pub fn nearly_a_pitch(text: &str) -> bool {
    let plain = normalise(text).replace(' ', "");
    if is_beyond_pitches(&plain) || in_minutes(&plain) || is_rise_and_run(&plain) {
        return true;
    }
    let plain = plain.trim_matches(['(', ')', '.', ':', '/', ';', ',']);
    let Some(before) = plain.strip_suffix("12") else {
        return false;
    };
    let rise = before.trim_end_matches(|c: char| !c.is_ascii_digit());
    let sign = &before[rise.len()..];
    let slip = |c: char| "x×*\\|;_~=/:".contains(c);
    // Nothing but a pitch has a colon before its 12: `51/2:12`.
    let of_numbers = |c: char| c.is_ascii_digit() || ".,/:-".contains(c);
    if before.ends_with(':') && before.len() > 1 && before.chars().all(of_numbers) {
        return true;
    }
    let rise_fits = rise.parse::<f64>().is_ok_and(|r| r <= STEEPEST_USUAL);
    rise_fits && (1..=2).contains(&sign.chars().count()) && sign.chars().all(slip)
}

/// A rise and a run in other words than are read, or of another run: `1in2`, `rise9run12`, `9":1'-0"`, `150/300`.
fn is_rise_and_run(plain: &str) -> bool {
    let is_a_slope = |rise: f64, run: f64| rise > 0.0 && run > 0.0 && 12.0 * rise / run > FLATTEST;
    let numbers = |signs: &[&str]| {
        let parted = signs.iter().find_map(|sign| plain.split_once(sign));
        let number = |part: &str| part.parse::<f64>().ok();
        let both = parted.and_then(|(rise, run)| number(rise).zip(number(run)));
        both.is_some_and(|(rise, run)| is_a_slope(rise, run))
    };
    let in_lengths = plain.split_once(':').is_some_and(|(rise, run)| {
        let length_ft = |part: &str| parse_length(part, None).map(|length| length.feet);
        length_ft(rise)
            .zip(length_ft(run))
            .is_some_and(|(rise, run)| is_a_slope(rise, run))
    });
    // What a ruler has is a length, and thickness: 3/8, 8/16.
    let of_a_ruler = plain
        .split_once('/')
        .is_none_or(|(_, run)| run.parse::<f64>().is_ok_and(|run| run <= LARGEST_OF_RULERS));
    let in_words = plain.contains("rise")
        && plain.contains("run")
        && plain.contains(|c: char| c.is_ascii_digit());
    numbers(&["in", "on", "over"]) || in_lengths || (!of_a_ruler && numbers(&["/"])) || in_words
}

/// Degrees and minutes: `26°34'`.
fn in_minutes(plain: &str) -> bool {
    let minutes = plain
        .strip_suffix('\'')
        .and_then(|rest| rest.split_once('°'));
    let number = |text: &str| text.parse::<u32>().is_ok_and(|n| n < 90);
    minutes.is_some_and(|(whole, part)| number(whole) && number(part))
}

fn is_beyond_pitches(plain: &str) -> bool {
    let rise = |end: &str| plain.strip_suffix(end)?.parse::<f64>().ok();
    let beyond = |end: &str, most: f64| rise(end).is_some_and(|rise| rise >= most);
    beyond("°", MOST_DEG) || beyond("/12", MOST_IN_12) || beyond(":12", MOST_IN_12)
}

fn two_pitches(plain: &str) -> bool {
    plain.matches("/12").count() + plain.matches(":12").count() > 1
}

/// `1/2`, `3/8`: a fraction that is written for a hundred reasons.
fn is_plain_fraction(over: &str, under: &str) -> bool {
    let number = |p: &str| p.parse::<u32>().ok();
    matches!((number(over), number(under)), (Some(a), Some(b)) if a < b && b != 12)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pitch_with_a_slip_in_it_is_nearly_one() {
        for text in [
            "51/2:12",
            "1 in 2",
            "9\":1'-0\"",
            "RISE 9 RUN 12",
            "150/300",
            "6x12",
            "6:12:",
            "6 × 12",
            "6\\12",
            "6//12",
            "6.5|12",
            "(6;12)",
            "26°34'",
        ] {
            assert_eq!(pitch_in_words(text), None, "{text}");
            assert!(nearly_a_pitch(text), "{text}");
        }
        for text in [
            "06/2025",
            "1/100",
            "1/4\":1'-0\"",
            "3/8",
            "8/16",
            "2 in",
            "SUNRISE RUN",
            "612",
            "12",
            "6/12/24",
            "12/6/12",
            "48x12",
            "6.12",
            "A:12",
            "level 12",
        ] {
            assert!(!nearly_a_pitch(text), "{text}");
        }
    }

    #[test]
    fn a_spoilt_pitch_is_noticed() {
        for text in [
            "six/12",
            "6'/12",
            "?/12",
            "6/l2",
            "6/",
            "1/3 pitch",
            "12/6",
            "6/12 8/12",
            "5:12 EXIST, 6:12 NEW",
            "3/12 OR 4/12",
            "x:12",
        ] {
            assert!(looks_like_a_pitch(text), "{text}");
        }
        for text in [
            "6/12",
            "DATE: 6/12/24",
            "N",
            "SHEET A-1",
            "1/2",
            "12/31/99",
            "MAIN ROOF",
        ] {
            assert!(!looks_like_a_pitch(text), "{text}");
        }
    }
}
