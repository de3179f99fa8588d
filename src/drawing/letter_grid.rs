//! Letters set in cells of one width: a typeface whose letters are all equally wide, or a program that placed each by its count.
//!
//! Letters are measured here as those of the one typeface that this program carries. In a typeface of one width a point or a
//! colon seems to have a blank behind it, which would cut `9.25:12` in two; that all letters begin at even steps tells it.

use super::words::{SAME_HAND, Words};
use crate::geometry::Vector;

/// The widths of cells, as parts of the size: typewriter faces have 0.5 to 0.6, and some programs space letters out (common
/// practice, no source).
const CELL: std::ops::RangeInclusive<f64> = 0.48..=0.92;
/// A step is a whole number of cells to this part of the size: places are often rounded to whole units, at sizes of nine or so.
const EVEN: f64 = 0.06;
/// A blank that is not drawn leaves one cell free; more are another text.
const MOST_CELLS: f64 = 2.0;
/// Fewer steps may be even by chance.
const LEAST_STEPS: usize = 3;
/// Letters whose natural widths differ by less than this part of the size are as far apart in any typeface: even steps say nothing.
const UNLIKE: f64 = 0.2;
/// Baselines of one row differ by no more than this part of the size.
const ONE_ROW: f64 = 0.12;

/// How many cells each letter but the last takes, where they stand in cells of one width.
pub(super) fn cells(letters: &[Words]) -> Option<Vec<usize>> {
    let first = letters.first()?;
    let along = letters.last()?.start - first.start;
    let u = along.unit()?;
    let size = first.size();
    let steps: Vec<f64> = letters
        .windows(2)
        .map(|pair| (pair[1].start - pair[0].start).dot(u) / size)
        .collect();
    let widths = letters[..letters.len() - 1]
        .iter()
        .map(|letter| letter.width() / size);
    let (narrowest, widest) = widths.fold((f64::INFINITY, 0.0_f64), |(low, high), width| {
        (low.min(width), high.max(width))
    });
    if steps.len() < LEAST_STEPS || widest - narrowest < UNLIKE {
        return None;
    }
    let least = steps.iter().copied().fold(f64::INFINITY, f64::min);
    if !CELL.contains(&least) {
        return None;
    }
    let count = |step: &f64| (step / least).round();
    let in_all: f64 = steps.iter().map(count).sum();
    let cell = steps.iter().sum::<f64>() / in_all;
    let is_even = |step: &f64| {
        let cells = count(step);
        cells <= MOST_CELLS && (step - cells * cell).abs() <= EVEN
    };
    let all_even = CELL.contains(&cell) && steps.iter().all(is_even);
    all_even.then(|| steps.iter().map(|step| count(step) as usize).collect())
}

/// Joins texts of one letter each, one after the other in the drawing, that stand in cells of one width.
pub(super) fn join(runs: Vec<Words>) -> Vec<Words> {
    let mut out = Vec::with_capacity(runs.len());
    let mut row: Vec<Words> = Vec::new();
    for run in runs {
        if !row.last().is_some_and(|last| goes_on(last, &run)) {
            out.append(&mut joined(std::mem::take(&mut row)));
        }
        row.push(run);
    }
    out.append(&mut joined(row));
    out
}

/// Whether a letter stands in the row of the one before it, a cell or two on.
fn goes_on(last: &Words, next: &Words) -> bool {
    let is_letter = |words: &Words| words.text.chars().count() == 1;
    let size = last.size();
    let u = last.along();
    let step: Vector = next.start - last.start;
    let (on, aside) = (step.dot(u) / size, u.cross(step).abs() / size);
    is_letter(last)
        && is_letter(next)
        && last.same_hand(next.up, SAME_HAND)
        && (next.size() / size - 1.0).abs() <= EVEN
        && aside <= ONE_ROW
        && (*CELL.start()..=MOST_CELLS * CELL.end()).contains(&on)
}

fn joined(row: Vec<Words>) -> Vec<Words> {
    let (Some(cells), Some(first)) = (cells(&row), row.first()) else {
        return row;
    };
    let mut words = first.clone();
    for (letter, before) in row[1..].iter().zip(cells) {
        words.take(&letter.text, [letter.start, letter.end], before > 1);
    }
    vec![words]
}
