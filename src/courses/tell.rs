//! What a layout has to tell of its courses: rules that had to give way, and where.

use super::changeover::HEADLAP_IN;
use super::problem::{Problem, Seat};
use super::room::RunRoom;
use super::runs::Run;
use super::tally::shorter_end_piece;
use super::{CloseJoints, LayRules, ShingleFormat};
use crate::Finding;
use crate::units::number;

/// Short of the usual headlap by no more than this is not short: sizes in millimetres are no round number of inches.
const HEADLAP_SLACK_IN: f64 = 0.01;

/// Told of a format whose courses lie under the two above them by less than is usual.
pub(super) fn headlap(format: &ShingleFormat) -> Option<Finding> {
    let headlap_in = format.headlap_in();
    (headlap_in < HEADLAP_IN - HEADLAP_SLACK_IN).then(|| {
        Finding::warning(
            "headlap-short",
            format!(
                "shingles of the format \"{}\" are {} high and show {}: that leaves {} of headlap, and {} is usual",
                format.name,
                inches(format.height_in),
                inches(format.exposure_in),
                inches(headlap_in),
                inches(HEADLAP_IN)
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
pub(super) fn relaxed(
    problem: &Problem,
    runs: &[Run],
    seats: &[Seat],
    rules: &LayRules,
) -> Vec<Finding> {
    let mut found = Vec::new();
    let is_short = |piece: &f64| *piece < rules.least_piece_in - problem.tolerance;
    let short = |run: usize| {
        let piece = shorter_end_piece(problem, &runs[run], seats[run]);
        piece.filter(|piece| problem.runs[run].relaxed_piece.is_some() && is_short(piece))
    };
    let least = (0..runs.len()).filter_map(short).reduce(f64::min);
    if let Some(least) = least {
        let numbers: Vec<usize> = (0..runs.len())
            .filter(|&run| short(run).is_some())
            .map(|run| runs[run].course + 1)
            .collect();
        found.push(Finding::warning(
            "end-pieces-short",
            format!(
                "end pieces {} long have no place in {}, so pieces down to {} are laid there",
                inches(rules.least_piece_in),
                courses(&numbers),
                measured(least)
            ),
        ));
    }
    if problem.runs.iter().any(|r| r.relaxed_clear) {
        let at = where_runs(problem, |r| r.relaxed_clear);
        found.push(
            Finding::warning(
                "joint-near-valley",
                format!(
                    "joints cannot keep {} from the valley's centre line in {at}: no whole shingles fit between both ends",
                    inches(rules.valley_joint_clear_in)
                ),
            )
            .remedy("Say `through = false` for this face in the job file, under [shingles.faces] and its name: then the other side runs through the valley."),
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
pub(super) fn inches(length_in: f64) -> String {
    const MM_PER_IN: f64 = 25.4;
    let length_in = rounded(length_in);
    let mm = number::decimal(length_in * MM_PER_IN, 0);
    format!("{length_in} in ({mm} mm)")
}

/// A length that was laid, as near as a tape tells it: `2.6 in (66 mm)`.
fn measured(length_in: f64) -> String {
    inches(number::whole(length_in * 10.0) as f64 / 10.0)
}

/// Joints or cutouts that come nearer to each other than the rules ask.
pub(super) fn joints_too_close(close: &CloseJoints, runs_through: bool) -> Finding {
    let remedy = match runs_through {
        true => "Ask for a smaller joint distance, or run the other side through the valley.",
        false => "Ask for a smaller joint distance.",
    };
    Finding::warning(
        match close.is_of_cutouts {
            true => "cutouts-too-close",
            false => "joints-too-close",
        },
        format!(
            "the joint rules leave too little room in {}: {} come down to {} from {} in courses {} and {}, where {} is asked",
            course_words(close.courses.iter().map(|course| course + 1)),
            close.what(),
            measured(close.distance_in),
            close.other(),
            close.nearest.0 + 1,
            close.nearest.1 + 1,
            inches(close.asked_in)
        ),
    )
    .remedy(remedy)
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

/// Numbers of courses in ascending order as words, `courses 7 to 9 and 13`.
pub(crate) fn course_words(numbers: impl Iterator<Item = usize>) -> String {
    courses(&numbers.collect::<Vec<_>>())
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
    // Two courses are no range.
    let parts = parts
        .into_iter()
        .flat_map(|(from, to, of)| match to - from {
            1 => vec![(from, from, of), (to, to, of)],
            _ => vec![(from, to, of)],
        });
    let parts: Vec<(usize, usize, usize)> = parts.collect();
    let several = parts.len() > 1 || parts.iter().any(|(from, to, _)| from < to);
    let words: Vec<String> = parts.iter().map(part).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let list = number::listed(&words, "and");
    format!("{} {list}", if several { "courses" } else { "course" })
}

fn part(&(from, to, runs): &(usize, usize, usize)) -> String {
    let range = match from == to {
        true => from.to_string(),
        false => format!("{from} to {to}"),
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
        assert_eq!(courses(&[2, 3]), "courses 2 and 3");
        assert_eq!(courses(&[19, 20, 22, 23]), "courses 19, 20, 22 and 23");
        assert_eq!(courses(&[4, 4, 5, 5]), "courses 4 (2 runs) and 5 (2 runs)");
        assert_eq!(
            courses(&[1, 2, 3, 4, 6, 6, 7, 7, 8, 8, 11]),
            "courses 1 to 4, 6 to 8 (2 runs each) and 11"
        );
        assert_eq!(courses(&[5, 9, 9]), "courses 5 and 9 (2 runs)");
    }
}
