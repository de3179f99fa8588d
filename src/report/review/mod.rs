//! A plan review, for people at a terminal and for scripts.

mod json;
mod text;

pub use json::json;
pub use text::text;

use super::{Report, number};
use crate::review::{AreaCheck, Explanation, LengthCheck, Review, Subject, SurfaceSaid, Verdict};

/// What a stated area is of, by name.
pub(super) fn subject(report: &Report<'_>, check: &AreaCheck) -> String {
    match check.subject {
        Subject::Face(id) => report.roof().face(id).name.clone(),
        Subject::Part(faces) => {
            let names = faces.faces().map(|id| report.roof().face(id).name.as_str());
            names.collect::<Vec<_>>().join(" + ")
        }
        Subject::Roof => "total".to_owned(),
    }
}

/// The first figures of a check's table: theirs, ours, the difference and its percent. Rounding in what they stated does
/// not make a difference smaller: the verdict says what it is worth.
pub(super) fn figures([stated, computed]: [f64; 2], percent: f64, places: u32) -> [String; 4] {
    [
        number::decimal(stated, places),
        number::decimal(computed, places),
        number::signed(stated - computed, places),
        number::signed(percent, 1),
    ]
}

/// What a cause leaves of a difference; nothing where a number in it was chosen to leave nothing.
pub(super) fn left(report: &Report<'_>, check: &AreaCheck, e: &Explanation) -> Option<String> {
    let kk = report.units().per_square_foot();
    (!e.is_guess()).then(|| number::signed((check.stated_sqft - e.sqft) * kk, 1))
}

/// What a stated length is of: `hip`, or `plan hip` where it says that it was measured in plan.
pub(super) fn length_subject(check: &LengthCheck) -> String {
    match check.surface {
        SurfaceSaid::True => check.class.words().to_owned(),
        SurfaceSaid::Plan => format!("plan {}", check.class.words()),
    }
}

/// The first figures of a length's table. A line of a class that is given edge by edge has its own alone: no edge is to be held
/// against the class.
pub(super) fn length_figures(check: &LengthCheck, k: f64) -> [String; 4] {
    match check.together {
        Some(_) => [
            number::decimal(check.stated_ft * k, 2),
            String::new(),
            String::new(),
            String::new(),
        ],
        None => figures(
            [check.stated_ft * k, check.computed_ft * k],
            check.percent(),
            2,
        ),
    }
}

/// What the lines of a class that is given edge by edge come to, told with the last of them.
pub(super) fn together(review: &Review, check: &LengthCheck, k: f64) -> Option<String> {
    let all = check.together?;
    let of_class = |l: &&LengthCheck| {
        l.together.is_some() && (l.class, l.surface) == (check.class, check.surface)
    };
    let last = review.lengths.iter().rfind(of_class)?;
    (last.line == check.line).then(|| {
        let [stated, computed, difference, percent] = figures(
            [all.stated_ft * k, check.computed_ft * k],
            check.percent(),
            2,
        );
        format!(
            "{} lines of {}, together {stated}; computed {computed}, {difference}, {percent} %",
            all.lines,
            length_subject(check),
        )
    })
}

/// How far a figure is rounded, where that is why nothing is decided.
pub(super) fn rounding(report: &Report<'_>, check: &AreaCheck) -> String {
    let units = report.units();
    format!(
        "rounded by up to {} {}: too coarse to decide",
        number::decimal(check.half_step_sqft * units.per_square_foot(), 1),
        units.area_sign()
    )
}

/// What all comparisons come to, as a sentence without its full stop.
pub(super) fn verdict(review: &Review) -> String {
    let tolerance = number::trimmed(100.0 * review.tolerance, 3);
    let count = |verdict| review.verdicts().filter(|v| *v == verdict).count();
    let stated = review.verdicts().count();
    let (differ, coarse) = (count(Verdict::Differs), count(Verdict::TooCoarse));
    let who = |n: usize| match (n, stated) {
        (1, 1) => "The one stated figure".to_owned(),
        (2, 2) => "Both stated figures".to_owned(),
        _ if n == stated => format!("All {stated} stated figures"),
        _ => format!("{n} of {stated} stated figures"),
    };
    let verb =
        |n: usize, one: &'static str, several: &'static str| if n == 1 { one } else { several };
    let mut said = Vec::new();
    if differ > 0 {
        let verb = verb(differ, "differs", "differ");
        said.push(format!("{} {verb} by more than {tolerance} %", who(differ)));
    }
    if coarse > 0 {
        let verb = verb(coarse, "is", "are");
        said.push(format!(
            "{} {verb} too coarse to decide within {tolerance} %",
            who(coarse)
        ));
    }
    if stated == 0 {
        said.push("Nothing was compared".to_owned());
    } else if differ + coarse == 0 {
        let verb = verb(stated, "agrees", "agree");
        said.push(format!("{} {verb} within {tolerance} %", who(stated)));
    }
    match review.not_compared {
        0 => {}
        1 => said.push("1 stated area was not compared".to_owned()),
        n => said.push(format!("{n} stated areas were not compared")),
    }
    said.join("; ")
}

/// The number of one of the review's findings, as marks and sheets carry it.
pub(super) fn number(report: &Report<'_>, finding: Option<usize>) -> Option<usize> {
    report.number_of(report.review()?.findings.get(finding?)?)
}
