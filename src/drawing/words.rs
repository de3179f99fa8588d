//! Letters put together again to the texts that the eye reads.
//!
//! Programs write one text as one element, as a run for every few letters, as a list of positions, or as an element for
//! every letter. Only positions and sizes tell what belongs together.

use super::drawn_between::Drawn;
use super::letter_grid;
use super::near::Near;
use super::pieces;
use super::shape::Letter;
use super::text::{parse_length, pitch_in_words};
use crate::geometry::{Point, Vector};

/// A text on one baseline.
#[derive(Clone, Debug)]
pub(super) struct Words {
    pub(super) element: usize,
    pub(super) text: String,
    /// On the baseline, at the left of the first letter.
    pub(super) start: Point,
    /// On the baseline, at the right of the last letter.
    pub(super) end: Point,
    /// On the baseline, at the left of the last letter.
    pub(super) last: Point,
    /// From the baseline upwards, of the length of the letters' size.
    pub(super) up: Vector,
    pub(super) fill: Option<String>,
    /// Whether it stands in pieces that are too near to be texts of their own and do not say how they belong together.
    pub(super) in_pieces: bool,
}

/// A letter may stand so far before the last one, by rounding and for accents, as a part of the size.
const BACK: f64 = 0.05;
/// Runs of a text whose baselines differ by more than this part of the size are two lines.
const BASELINE: f64 = 0.6;
/// Within a text element a gap wider than this part of the size parts two texts.
const WIDE_GAP: f64 = 1.5;
/// Between elements a gap wider than this part of the size parts two texts.
const JOIN_GAP: f64 = 0.45;
/// Runs of different elements whose baselines differ by this part of the size are two texts.
const BASELINE_OFF: f64 = 0.12;
/// The figures of a fraction behind a whole number are smaller than its own by this part at least.
const SMALLER: f64 = 0.8;
/// A gap wider than this part of the size is a blank.
const BLANK: f64 = 0.2;
/// Texts whose upward directions have at least this cosine, 3.6° apart, are in one line.
pub(super) const SAME_HAND: f64 = 0.998;

impl Words {
    fn new(letter: &Letter) -> Self {
        Self {
            element: letter.element,
            text: letter.text.clone(),
            start: letter.start,
            end: letter.end,
            last: letter.start,
            up: letter.up,
            fill: letter.fill.clone(),
            in_pieces: false,
        }
    }
    /// The size of the letters.
    pub(super) fn size(&self) -> f64 {
        self.up.length()
    }
    /// The direction of reading, of length 1.
    pub(super) fn along(&self) -> Vector {
        (self.end - self.start)
            .unit()
            .or_else(|| self.up.turn_left().unit())
            .unwrap_or(Vector::new(1.0, 0.0))
    }
    /// The middle of the text: half-way along and half of a capital letter up.
    pub(super) fn middle(&self) -> Point {
        self.start.midpoint(self.end) + self.up * 0.36
    }
    pub(super) fn width(&self) -> f64 {
        self.start.distance(self.end)
    }
    /// How far a point lies after the end, along the baseline, and above it; in sizes.
    pub(super) fn ahead(&self, p: Point) -> (f64, f64) {
        let u = self.along();
        let v = p - self.end;
        let up = self.up * (1.0 / self.size());
        (v.dot(u) / self.size(), v.dot(up) / self.size())
    }
    pub(super) fn same_hand(&self, up: Vector, least: f64) -> bool {
        let (a, b) = (self.up, up);
        let sizes = a.length() * b.length();
        sizes > 0.0 && a.dot(b) / sizes > least
    }
    /// Goes on with more text, behind a blank where one is seen.
    pub(super) fn take(&mut self, text: &str, [last, end]: [Point; 2], is_blank: bool) {
        let blank_there = self.text.ends_with(' ') || text.starts_with(' ');
        if is_blank && !blank_there {
            self.text.push(' ');
        }
        self.text.push_str(text);
        (self.last, self.end) = (last, end);
    }
}

/// Puts letters together. Between two lengths a mark may be drawn, and then they are no text of one.
pub(super) fn join(letters: &[Letter], drawn: &Drawn<'_>) -> Vec<Words> {
    let mut runs = Vec::new();
    let mut current: Vec<&Letter> = Vec::new();
    let mut so_far: Option<Words> = None;
    for letter in letters {
        let is_break = letter.text.contains(['\u{2028}', '\u{200b}', '\n']);
        match &mut so_far {
            Some(words) if !is_break && follows(words, letter) => {
                words.take(&letter.text, [letter.start, letter.end], false);
            }
            _ => {
                runs.extend(run(&current));
                current.clear();
                so_far = (!is_break).then(|| Words::new(letter));
            }
        }
        if !is_break {
            current.push(letter);
        }
    }
    runs.extend(run(&current));
    let runs = runs.into_iter().filter_map(trimmed).collect();
    pieces::join(join_runs(letter_grid::join(runs), drawn))
}

/// The letters of one element that go on from each other as a text.
fn run(letters: &[&Letter]) -> Option<Words> {
    let (first, others) = letters.split_first()?;
    let mut words = Words::new(first);
    let all: Vec<Words> = letters.iter().map(|letter| Words::new(letter)).collect();
    let cells = letter_grid::cells(&all);
    for (i, letter) in others.iter().enumerate() {
        let is_blank = match &cells {
            Some(cells) => cells[i] > 1,
            None => words.ahead(letter.start).0 > BLANK || begins_a_fraction(letters[i], letter),
        };
        words.take(&letter.text, [letter.start, letter.end], is_blank);
    }
    Some(words)
}

/// Whether a figure behind another is the smaller one of a fraction: 5 and a raised 1/2 are no 51/2.
fn begins_a_fraction(before: &Letter, letter: &Letter) -> bool {
    let is_figure = |letter: &Letter| letter.text.bytes().all(|b| b.is_ascii_digit());
    is_figure(before) && is_figure(letter) && letter.up.length() < SMALLER * before.up.length()
}

/// Whether a letter of the same text element goes on where the words end.
fn follows(words: &Words, letter: &Letter) -> bool {
    if words.element != letter.element || !words.same_hand(letter.up, 0.99) {
        return false;
    }
    let (gap, rise) = words.ahead(letter.start);
    let advance = (letter.end - letter.start).dot(words.along());
    // Reading never goes back: a letter before the last one begins another text, though their letters overlap.
    let step = (letter.start - words.last).dot(words.along());
    rise.abs() <= BASELINE && gap < WIDE_GAP && advance >= 0.0 && step > -BACK * words.size()
}

/// Without blanks at the ends; `None` when nothing is left.
fn trimmed(mut words: Words) -> Option<Words> {
    let total = words.text.chars().count();
    let lead = total - words.text.trim_start().chars().count();
    let tail = total - words.text.trim_end().chars().count();
    let body = words.text.trim().to_string();
    if body.is_empty() {
        return None;
    }
    // A blank is about 0.28 of the size wide.
    let u = words.along();
    let blank = 0.28 * words.size();
    words.start = words.start + u * (blank * lead as f64);
    words.end = words.end - u * (blank * tail as f64);
    words.text = body;
    Some(words)
}

/// Joins runs of different elements that continue each other on one baseline.
fn join_runs(runs: Vec<Words>, drawn: &Drawn<'_>) -> Vec<Words> {
    let starts = Near::of(runs.iter().map(|r| (r.start, r.start)));
    let mut next: Vec<Option<usize>> = vec![None; runs.len()];
    let mut has_before = vec![false; runs.len()];
    for (i, run) in runs.iter().enumerate() {
        let best = starts
            .near(run.end, JOIN_GAP * run.size() + BASELINE_OFF * run.size())
            .into_iter()
            .filter(|&j| j != i && !has_before[j] && continues(run, &runs[j]))
            .filter(|&j| !are_parted(run, &runs[j], drawn))
            .min_by(|&a, &b| {
                let gap = |j: usize| run.ahead(runs[j].start).0.abs();
                gap(a).total_cmp(&gap(b)).then(a.cmp(&b))
            });
        if let Some(j) = best {
            next[i] = Some(j);
            has_before[j] = true;
        }
    }
    let mut out = Vec::new();
    for (i, run) in runs.iter().enumerate() {
        if has_before[i] {
            continue;
        }
        let mut words = run.clone();
        let mut at = next[i];
        let mut left = runs.len();
        while let Some(j) = at
            && left > 0
        {
            left -= 1;
            let (gap, _) = words.ahead(runs[j].start);
            let is_blank = gap > BLANK;
            words.take(&runs[j].text, [runs[j].last, runs[j].end], is_blank);
            at = next[j];
        }
        out.push(words);
    }
    out
}

fn continues(a: &Words, b: &Words) -> bool {
    let ratio = b.size() / a.size();
    if !(0.7..=1.4).contains(&ratio) || !a.same_hand(b.up, SAME_HAND) {
        return false;
    }
    if a.width() > 0.0 && b.width() > 0.0 && a.along().dot(b.along()) < 0.99 {
        return false;
    }
    let (gap, rise) = a.ahead(b.start);
    let next = rise.abs() < BASELINE_OFF && (-0.3..JOIN_GAP).contains(&gap);
    // Two whole pitches side by side are the labels of two small faces.
    next && ![a, b].iter().all(|w| pitch_in_words(&w.text).is_some())
}

/// Two lengths with a mark between them: 2' and 8" of a chain, and no 2'-8".
fn are_parted(a: &Words, b: &Words, drawn: &Drawn<'_>) -> bool {
    let are_lengths = [a, b].iter().all(|w| parse_length(&w.text, None).is_some());
    are_lengths && drawn.parts(a, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn join(letters: &[Letter]) -> Vec<Words> {
        super::join(letters, &Drawn::new(&[]))
    }

    fn letters(text: &str, x: &[f64]) -> Vec<Letter> {
        let letter = |(c, &x): (char, &f64)| Letter {
            element: 0,
            text: c.to_string(),
            start: Point::new(x, 0.0),
            end: Point::new(x + 3.2, 0.0),
            up: Vector::new(0.0, -5.0),
            fill: None,
        };
        text.chars().zip(x).map(letter).collect()
    }

    #[test]
    fn the_labels_of_two_narrow_faces_are_two_though_their_letters_overlap() {
        // As a converter from PDF writes two labels that overlap: one run with a list of places.
        let x = [294.3, 297.5, 299.1, 302.3, 301.9, 305.1, 306.8, 310.0];
        let words = join(&letters("6/126/12", &x));
        let texts: Vec<&str> = words.iter().map(|w| w.text.as_str()).collect();
        assert_eq!(texts, ["6/12", "6/12"]);
    }

    #[test]
    fn letters_set_tighter_than_they_are_wide_stay_one_text() {
        let words = join(&letters("MAIN", &[0.0, 1.8, 3.5, 5.0]));
        assert_eq!(words.len(), 1);
        assert_eq!(words[0].text, "MAIN");
    }

    /// Typewriter letters are 0.6 of the size wide: 3 at a size of 5. A point there seems to have a blank behind it.
    #[test]
    fn letters_in_cells_of_one_width_have_blanks_where_a_cell_is_free() {
        for (text, cells, read) in [
            ("9.25:12", &[0, 1, 2, 3, 4, 5, 6][..], "9.25:12"),
            ("5 1/2:12", &[0, 1, 2, 3, 4, 5, 6, 7], "5 1/2:12"),
            ("51/2:12", &[0, 2, 3, 4, 5, 6, 7], "5 1/2:12"),
            ("40'-6\"", &[0, 1, 2, 3, 4, 5], "40'-6\""),
        ] {
            for width in [3.0, 3.5, 4.0] {
                let x: Vec<f64> = cells.iter().map(|&at| width * f64::from(at)).collect();
                let mut row = letters(text, &x);
                // As wide as in the typeface that they are measured in.
                for letter in &mut row {
                    let is_narrow = letter.text.chars().all(|c| " .:/'-".contains(c));
                    let wide = if is_narrow { 1.39 } else { 2.78 };
                    letter.end = Point::new(letter.start.x + wide, 0.0);
                }
                let of_one = join(&row);
                let texts: Vec<&str> = of_one.iter().map(|w| w.text.as_str()).collect();
                assert_eq!(texts, [read], "{width}");
                // Each letter as an element.
                for (element, letter) in row.iter_mut().enumerate() {
                    letter.element = element;
                }
                let of_many = join(&row);
                let texts: Vec<&str> = of_many.iter().map(|w| w.text.as_str()).collect();
                assert_eq!(texts, [read], "{width}");
            }
        }
    }

    /// 5 and a raised, smaller 1/2, as word processors write it.
    #[test]
    fn a_small_fraction_behind_a_number_is_no_part_of_the_number() {
        let mut row = letters("51/2:12", &[0.0, 2.8, 4.4, 5.2, 6.8, 8.2, 11.0]);
        let widths = [2.8, 1.6, 0.8, 1.6, 1.4, 2.8, 2.8];
        for (letter, width) in row.iter_mut().zip(widths) {
            letter.end = Point::new(letter.start.x + width, 0.0);
        }
        for letter in &mut row[1..4] {
            let raised = Vector::new(0.0, -1.5);
            (letter.start, letter.end) = (letter.start + raised, letter.end + raised);
            letter.up = Vector::new(0.0, -2.8);
        }
        assert_eq!(join(&row)[0].text, "5 1/2:12");
    }
}
