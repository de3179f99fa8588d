//! What a layout has to tell of its courses: rules that had to give way, and where.

use super::changeover::HEADLAP_IN;
use super::problem::{Problem, Seat};
use super::room::RunRoom;
use super::{LayRules, ShingleFormat};
use crate::Finding;
use crate::units::number;

/// Short of the usual headlap by no more than this is not short: sizes in millimetres are no round number of inches.
const HEADLAP_SLACK_IN: f64 = 0.01;

/// Told of a format whose courses lie under the two above them by less than is usual.
pub(super) fn headlap(format: &ShingleFormat) -> Option<Finding> {
    let headlap_in = format.headlap_in();
    (headlap_in < HEADLAP_IN - HEADLAP_SLACK_IN).then(|| {
        let small = |length_in: f64| inches(rounded(length_in));
        Finding::warning(
            "headlap-short",
            format!(
                "shingles of the format \"{}\" are {} high and show {}: that leaves {} of headlap, and {} is usual",
                format.name,
                small(format.height_in),
                small(format.exposure_in),
                small(headlap_in),
                small(HEADLAP_IN)
            ),
        )
        .remedy("Correct the format's `height` or `exposure` by what stands on the wrapper.")
    })
}

/// To a thousandth: millimetres are no round number of inches.
fn rounded(length_in: f64) -> f64 {
    number::whole(length_in * 1000.0) as f64 / 1000.0
}

/// What had to be relaxed so that every run can be laid.
pub(super) fn relaxed(problem: &Problem, rules: &LayRules) -> Vec<Finding> {
    let mut found = Vec::new();
    let least = problem
        .runs
        .iter()
        .filter_map(|r| r.relaxed_piece)
        .reduce(f64::min);
    if let Some(least) = least {
        let at = where_runs(problem, |r| r.relaxed_piece.is_some());
        found.push(Finding::warning(
            "end-pieces-short",
            format!(
                "end pieces {} long have no place in {at}, so pieces down to {} are laid there",
                inches(rules.least_piece_in),
                inches(least)
            ),
        ));
    }
    if problem.runs.iter().any(|r| r.relaxed_clear) {
        let at = where_runs(problem, |r| r.relaxed_clear);
        found.push(
            Finding::warning(
                "joint-near-valley",
                format!(
                    "joints cannot keep {} from the valley's centre line in {at}: too short",
                    inches(rules.valley_joint_clear_in)
                ),
            )
            .remedy("run the other side through the valley"),
        );
    }
    if problem.runs.iter().any(|r| r.leans) {
        let at = where_runs(problem, |r| r.leans);
        // What tracing alone puts askew was made level before: this lean is on the roof, and nothing has to be mended.
        found.push(
            Finding::note(
                "run-leans",
                format!(
                    "in {at} an edge of the face is not quite level and runs out along the course, by more than a shingle within it; whole shingles are counted as far as that course reaches, and the crew trims them to the edge"
                ),
            )
            .remedy("Where that edge is level on the roof, draw it square to the face's fall; where it is not, nothing has to be done."),
        );
    }
    found
}

/// Where the step that the user chose for a face keeps the rules in every course from no first joint: how many courses
/// depart from it. `departing` are their runs.
pub(super) fn offset_not_kept(problem: &Problem, offset_in: f64, departing: &[usize]) -> Finding {
    let numbers: Vec<usize> = departing
        .iter()
        .map(|&run| problem.runs[run].course + 1)
        .collect();
    Finding::note(
        "offset-not-kept",
        format!(
            "no first joint lets the offset of {} that the job asks for keep the rules in every course; in {} of {} runs the joints lie at the nearest place that the rules allow, in {}",
            inches(offset_in),
            departing.len(),
            problem.runs.len(),
            courses(&numbers)
        ),
    )
    .remedy("Choose another offset, or leave it out: the program then looks for the best one.")
}

/// A length as both kinds of reader measure it: `10 in (254 mm)`.
fn inches(length_in: f64) -> String {
    const MM_PER_IN: f64 = 25.4;
    let mm = number::decimal(length_in * MM_PER_IN, 0);
    format!("{length_in} in ({mm} mm)")
}

/// The seats of a layout that may have gaps: a run that the rules leave no room for gets its first place, told.
pub(super) fn seated(
    problem: &Problem,
    seats: &[Option<Seat>],
    findings: &mut Vec<Finding>,
) -> Vec<Seat> {
    let gaps: Vec<usize> = seats
        .iter()
        .enumerate()
        .filter(|(_, seat)| seat.is_none())
        .map(|(run, _)| problem.runs[run].course + 1)
        .collect();
    if !gaps.is_empty() {
        findings.push(
            Finding::warning(
                "joints-too-close",
                format!(
                    "the joint rules leave no place in {}, so joints come closer there than they should",
                    courses(&gaps)
                ),
            )
            .remedy("ask for a smaller joint distance or least end piece, or run the other side through the valley"),
        );
    }
    seats
        .iter()
        .enumerate()
        .map(|(run, seat)| seat.unwrap_or_else(|| problem.any_seat(run)))
        .collect()
}

fn where_runs(problem: &Problem, wanted: impl Fn(&RunRoom) -> bool) -> String {
    let numbers: Vec<usize> = problem
        .runs
        .iter()
        .filter(|r| wanted(r))
        .map(|r| r.course + 1)
        .collect();
    courses(&numbers)
}

/// Course numbers in ascending order, one for every run meant, as words: each course once, with the number of its runs
/// where it is more than one, and courses that follow each other as a range.
fn courses(of_runs: &[usize]) -> String {
    let mut parts: Vec<(usize, usize, usize)> = Vec::new();
    for same in of_runs.chunk_by(|a, b| a == b) {
        let (course, runs) = (same[0], same.len());
        match parts.last_mut() {
            Some((_, to, of)) if *to + 1 == course && *of == runs => *to = course,
            _ => parts.push((course, course, runs)),
        }
    }
    let several = parts.len() > 1 || parts.iter().any(|(from, to, _)| from < to);
    let words: Vec<String> = parts.iter().map(part).collect();
    let list = match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.concat(),
    };
    format!("{} {list}", if several { "courses" } else { "course" })
}

fn part(&(from, to, runs): &(usize, usize, usize)) -> String {
    let range = match to - from {
        0 => from.to_string(),
        1 => format!("{from}, {to}"),
        _ => format!("{from} to {to}"),
    };
    match (runs, from == to) {
        (1, _) => range,
        (_, true) => format!("{range} ({runs} runs)"),
        (_, false) => format!("{range} ({runs} runs each)"),
    }
}

#[cfg(test)]
mod tests {
    use super::courses;

    #[test]
    fn a_course_is_named_once_however_many_of_its_runs_are_meant() {
        assert_eq!(courses(&[3, 3, 3]), "course 3 (3 runs)");
        assert_eq!(courses(&[3]), "course 3");
        assert_eq!(courses(&[2, 3]), "courses 2, 3");
        assert_eq!(
            courses(&[1, 2, 3, 4, 6, 6, 7, 7, 8, 8, 11]),
            "courses 1 to 4, 6 to 8 (2 runs each) and 11"
        );
        assert_eq!(courses(&[5, 9, 9]), "courses 5 and 9 (2 runs)");
    }
}
