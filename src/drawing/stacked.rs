//! A pitch written as a fraction: the rise above the run, two texts for every program.

use super::words::Words;
use crate::geometry::Point;

/// The run stands so far below the rise, in sizes of the text.
const BELOW: std::ops::RangeInclusive<f64> = 0.8..=2.0;
/// Their middles lie so far apart along the text at most, in sizes.
const ASIDE: f64 = 0.4;
/// The sizes of both differ by less than this part.
const SAME_SIZE: f64 = 0.2;
/// No roof rises more than this in twelve.
const STEEPEST_IN_12: f64 = 36.0;
/// Pairs of a rise and a run that are looked at, at most: some 0.1 seconds. A drawing with more is no roof's.
const MOST_PAIRS: usize = 10_000_000;

/// Joins each rise with the 12 below it to one text.
pub(super) fn join(words: Vec<Words>) -> Vec<Words> {
    let those = |are: fn(&str) -> bool| -> Vec<usize> {
        let all = 0..words.len();
        all.filter(|&i| are(&words[i].text)).collect()
    };
    let (rises, runs) = (those(is_rise), those(|text| text == "12"));
    if runs.is_empty() || rises.len().saturating_mul(runs.len()) > MOST_PAIRS {
        return words;
    }
    let mut run_of: Vec<Option<usize>> = vec![None; words.len()];
    let mut taken = vec![false; words.len()];
    for run in runs {
        // A 12 may be the rise of 12/12.
        let stands_here = |i: &usize| *i != run && !taken[*i] && stands_on(&words[*i], &words[run]);
        let rise = rises.iter().copied().find(stands_here);
        if let Some(rise) = rise.filter(|_| !taken[run]) {
            run_of[rise] = Some(run);
            (taken[rise], taken[run]) = (true, true);
        }
    }
    let is_joined_run = |i: usize| taken[i] && run_of[i].is_none();
    (0..words.len())
        .filter(|&i| !is_joined_run(i))
        .map(|i| match run_of[i] {
            Some(run) => as_one(&words[i], &words[run]),
            None => words[i].clone(),
        })
        .collect()
}

fn is_rise(text: &str) -> bool {
    let plain = text.trim_end_matches(['½', '¼', '¾']);
    let whole = plain.parse::<f64>();
    !plain.starts_with(['-', '+']) && whole.is_ok_and(|rise| rise > 0.0 && rise <= STEEPEST_IN_12)
}

/// Whether the rise stands on the run, both read in one direction.
fn stands_on(rise: &Words, run: &Words) -> bool {
    let size = rise.size();
    let between = rise.middle() - run.middle();
    let above = between.dot(rise.up) / (size * size);
    let aside = between.dot(rise.along()).abs() / size;
    (run.size() / size - 1.0).abs() < SAME_SIZE
        && rise.up.dot(run.up) > 0.99 * size * run.size()
        && BELOW.contains(&above)
        && aside < ASIDE
}

fn as_one(rise: &Words, run: &Words) -> Words {
    let between = |a: Point, b: Point| a.midpoint(b);
    Words {
        text: format!("{}/12", rise.text),
        start: between(rise.start, run.start),
        end: between(rise.end, run.end),
        last: between(rise.last, run.last),
        ..rise.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vector;

    fn words(text: &str, x: f64, y: f64) -> Words {
        let half = 0.28 * text.len() as f64;
        Words {
            element: 0,
            text: text.to_string(),
            start: Point::new(x - half, y),
            end: Point::new(x + half, y),
            last: Point::new(x, y),
            up: Vector::new(0.0, -1.0),
            fill: None,
            in_pieces: false,
        }
    }

    fn texts(words: Vec<Words>) -> Vec<String> {
        join(words).into_iter().map(|w| w.text).collect()
    }

    #[test]
    fn a_rise_above_its_run_is_one_pitch() {
        let stacked = vec![
            words("6", 5.0, 3.0),
            words("12", 5.0, 4.1),
            words("12", 9.0, 4.1),
        ];
        assert_eq!(texts(stacked), ["6/12", "12"]);
        assert_eq!(
            texts(vec![words("12", 5.0, 4.1), words("4½", 5.0, 3.0)]),
            ["4½/12"]
        );
    }

    #[test]
    fn each_number_of_a_column_is_a_part_of_one_pitch() {
        for order in [[0, 1, 2], [2, 1, 0], [1, 0, 2]] {
            let column = order.map(|i| words("12", 5.0, 1.1 * f64::from(i)));
            let mut joined = texts(column.to_vec());
            joined.sort();
            assert_eq!(joined, ["12", "12/12"]);
        }
    }

    #[test]
    fn numbers_side_by_side_or_far_apart_are_no_pitch() {
        for (x, y) in [(6.5, 4.1), (5.0, 7.0), (5.0, 1.9)] {
            assert_eq!(
                texts(vec![words("6", 5.0, 3.0), words("12", x, y)]).len(),
                2
            );
        }
        assert_eq!(
            texts(vec![words("6'", 5.0, 3.0), words("12", 5.0, 4.1)]).len(),
            2
        );
    }
}
