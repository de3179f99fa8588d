//! Lengths and pitches that a program wrote in pieces: `40`, `'`, `6`, `1/2`, `"`.
//!
//! Such pieces stand farther apart than the letters of a text and nearer than two texts. They are one text where they say one
//! length or pitch together, its unit with it. Where they may be one and do not say it, a piece of them says nothing: `40'` may
//! be 40'-6".

use super::near::Near;
use super::text::{parse_length, parse_pitch};
use super::words::{SAME_HAND, Words};

/// Pieces of one text stand no farther apart than this part of the size.
const GAP: f64 = 1.0;
/// The figures of a fraction may be smaller than the others, and raised, by such parts of the size.
const SIZES: std::ops::RangeInclusive<f64> = 0.45..=2.2;
const RAISED: f64 = 0.5;
/// Pieces overlap by no more than this part of the size.
const OVERLAP: f64 = 0.3;
/// A length or a pitch has no more pieces.
const MOST_PIECES: usize = 12;
/// No length or pitch is written in more bytes.
const LONGEST: usize = 24;

/// Joins the pieces of lengths and pitches.
pub(super) fn join(words: Vec<Words>) -> Vec<Words> {
    let figures: Vec<usize> = (0..words.len())
        .filter(|&i| is_of_figures(&words[i].text))
        .collect();
    let starts = Near::of(figures.iter().map(|&i| (words[i].start, words[i].start)));
    let mut next: Vec<Option<usize>> = vec![None; words.len()];
    let mut has_before = vec![false; words.len()];
    for &i in &figures {
        let near = starts.near(words[i].end, 2.0 * GAP * words[i].size());
        let after = near.into_iter().map(|at| figures[at]);
        let best = after
            .filter(|&j| j != i && !has_before[j] && goes_on(&words[i], &words[j]))
            .min_by(|&a, &b| {
                let gap = |j: usize| words[i].ahead(words[j].start).0;
                gap(a).total_cmp(&gap(b)).then(a.cmp(&b))
            });
        if let Some(j) = best {
            next[i] = Some(j);
            has_before[j] = true;
        }
    }
    let mut out: Vec<Option<Words>> = words.into_iter().map(Some).collect();
    for &first in figures.iter().filter(|&&i| !has_before[i]) {
        let row: Vec<usize> = std::iter::successors(Some(first), |&i| next[i])
            .take(MOST_PIECES + 1)
            .collect();
        let pieces: Vec<&Words> = row.iter().filter_map(|&i| out[i].as_ref()).collect();
        if let Some(one) = as_one(&pieces) {
            for &i in &row {
                out[i] = None;
            }
            out[first] = Some(one);
        }
    }
    out.into_iter().flatten().collect()
}

/// Whether a text is of figures and the marks of lengths and pitches alone.
fn is_of_figures(text: &str) -> bool {
    let mark =
        |c: char| "'\"\u{2019}\u{201d}\u{2032}\u{2033}-\u{2013}./\u{2044}:,° ½¼¾⅛⅜⅝⅞".contains(c);
    text.len() <= LONGEST && text.chars().all(|c| c.is_ascii_digit() || mark(c))
}

fn goes_on(a: &Words, b: &Words) -> bool {
    let (gap, rise) = a.ahead(b.start);
    a.same_hand(b.up, SAME_HAND)
        && SIZES.contains(&(b.size() / a.size()))
        && rise.abs() <= RAISED
        && (-OVERLAP..GAP).contains(&gap)
}

/// The pieces as one text: one that is read, or one of which no piece may be. `None` where they are texts of their own.
fn as_one(pieces: &[&Words]) -> Option<Words> {
    let (first, others) = pieces.split_first()?;
    if others.is_empty() || pieces.len() > MOST_PIECES {
        return None;
    }
    let texts: Vec<&str> = pieces.iter().map(|w| w.text.as_str()).collect();
    let whole = in_a_row(&texts);
    let is_read = others_say_nothing(&texts) && ends_in_its_unit(&whole) && says(&whole);
    let last = others.last().copied()?;
    (is_read || may_be_one(&texts)).then(|| Words {
        text: whole,
        end: last.end,
        last: last.last,
        in_pieces: !is_read,
        ..(*first).clone()
    })
}

/// Pieces with a blank between them, but before a mark.
fn in_a_row(texts: &[&str]) -> String {
    let mut row = String::new();
    for text in texts {
        if !row.is_empty() && text.contains(|c: char| c.is_ascii_digit()) {
            row.push(' ');
        }
        row.push_str(text);
    }
    row
}

/// Whether a text is a length or a pitch.
fn says(text: &str) -> bool {
    parse_length(text, None).is_some() || parse_pitch(text).is_some()
}

/// Whether no piece behind the first says anything by itself.
fn others_say_nothing(texts: &[&str]) -> bool {
    texts.iter().skip(1).all(|text| !says(text))
}

/// Whether it ends in a mark of feet, inches or degrees, or is a pitch: figures without one may be another text's.
fn ends_in_its_unit(text: &str) -> bool {
    let marks = [
        '\'', '"', '\u{2019}', '\u{201d}', '\u{2032}', '\u{2033}', '°',
    ];
    text.ends_with(marks) || parse_pitch(text).is_some()
}

/// Whether pieces that are not read as one may be one text all the same: without the blanks between them they say something, or
/// one that does goes on in figures that are no number of their own.
fn may_be_one(texts: &[&str]) -> bool {
    let saying: Vec<bool> = texts.iter().map(|text| says(text)).collect();
    if !saying.contains(&true) {
        return says(&texts.concat());
    }
    // A whole number beside a length that ends in inches, or beside a pitch, is of something else: a grid line, a face.
    let is_number = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    let is_part = |text: &str| {
        let has_figures = text.contains(|c: char| c.is_ascii_digit());
        !is_number(text) && (has_figures || matches!(text, "." | "," | "/"))
    };
    let is_open = |text: &str| text.ends_with(['\'', '\u{2019}', '\u{2032}']);
    let pairs = texts.windows(2).zip(saying.windows(2));
    let mut pairs = pairs.map(|(texts, saying)| ([texts[0], texts[1]], [saying[0], saying[1]]));
    pairs.any(
        |([before, after], [before_says, after_says])| match (before_says, after_says) {
            (true, true) => is_open(before) && says(&format!("{before} {after}")),
            (true, false) => is_open(before) || is_part(after),
            (false, true) => is_part(before) || after.starts_with('.'),
            (false, false) => false,
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, Vector};

    /// Texts of size 1 in a row, each so far from the end of the one before it, a figure 0.556 wide.
    fn row(pieces: &[(f64, &str)]) -> Vec<(String, bool)> {
        let mut x = 0.0;
        let words = pieces.iter().map(|(gap, text)| {
            let start = Point::new(x + gap, 0.0);
            let end = Point::new(start.x + 0.556 * text.chars().count() as f64, 0.0);
            x = end.x;
            Words {
                element: 0,
                text: (*text).to_string(),
                start,
                end,
                last: start,
                up: Vector::new(0.0, -1.0),
                fill: None,
                in_pieces: false,
            }
        });
        let joined = join(words.collect());
        joined.into_iter().map(|w| (w.text, w.in_pieces)).collect()
    }

    #[track_caller]
    fn case(pieces: &[(f64, &str)], texts: &[(&str, bool)]) {
        let row = row(pieces);
        let row: Vec<(&str, bool)> = row.iter().map(|(t, p)| (t.as_str(), *p)).collect();
        assert_eq!(row, texts);
    }

    #[test]
    fn a_length_in_pieces_is_one_length() {
        case(
            &[(0.0, "40'"), (0.5, "6"), (0.4, "1/2"), (0.4, "\"")],
            &[("40' 6 1/2\"", false)],
        );
        case(&[(0.0, "40'"), (0.5, "-6\"")], &[("40' -6\"", false)]);
    }

    /// 40' and 6" may be two bays, 9. and 25:12 a note and a pitch, or one of each: neither is known.
    #[test]
    fn pieces_that_may_be_one_length_or_pitch_are_not_read_in_part() {
        case(&[(0.0, "40'"), (0.7, "6\"")], &[("40' 6\"", true)]);
        case(&[(0.0, "40'"), (0.7, "6")], &[("40' 6", true)]);
        case(&[(0.0, "9."), (0.7, "25:12")], &[("9. 25:12", true)]);
        case(
            &[(0.0, "1"), (0.7, "2"), (0.7, "/12")],
            &[("1 2 /12", true)],
        );
        case(&[(0.0, "5 1/"), (0.7, "2:12")], &[("5 1/ 2:12", true)]);
    }

    #[test]
    fn texts_side_by_side_that_are_whole_stay_two() {
        case(
            &[(0.0, "4'-0\""), (0.7, "6'-0\"")],
            &[("4'-0\"", false), ("6'-0\"", false)],
        );
        case(
            &[(0.0, "4'"), (0.7, "16'")],
            &[("4'", false), ("16'", false)],
        );
        case(
            &[(0.0, "1200"), (0.7, "1400")],
            &[("1200", false), ("1400", false)],
        );
        case(
            &[(0.0, "6/12"), (0.7, "6/12")],
            &[("6/12", false), ("6/12", false)],
        );
        case(
            &[(0.0, "3"), (0.7, "40'-0\"")],
            &[("3", false), ("40'-0\"", false)],
        );
        case(&[(0.0, "40'"), (1.2, "6")], &[("40'", false), ("6", false)]);
    }
}
