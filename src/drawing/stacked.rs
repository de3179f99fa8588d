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

/// Joins each rise with the 12 below it to one text.
pub(super) fn join(words: Vec<Words>) -> Vec<Words> {
    let runs: Vec<usize> = (0..words.len())
        .filter(|&i| words[i].text == "12")
        .collect();
    if runs.is_empty() {
        return words;
    }
    let mut run_of: Vec<Option<usize>> = vec![None; words.len()];
    let mut taken = vec![false; words.len()];
    for run in runs {
        let rise = (0..words.len()).find(|&i| {
            i != run && !taken[i] && is_rise(&words[i].text) && stands_on(&words[i], &words[run])
        });
        if let Some(rise) = rise {
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
