//! A face's crew sheet in words: the pattern, then a course. All is told from the corner that the face is begun at.

use super::OutputUnits;
use crate::courses::{CrewRow, CrewSheet, EndPiece, FaceLayout, Pattern, StartCorner};
use crate::units::{Length, True};

/// The sides of a face as a crew knows them, seen from outside with the eave down.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ends {
    /// Where every course is begun.
    pub(super) near: &'static str,
    /// Where it ends.
    pub(super) far: &'static str,
}

pub(super) const fn corner_words(start: StartCorner) -> Ends {
    match start {
        StartCorner::Left => Ends {
            near: "left",
            far: "right",
        },
        StartCorner::Right => Ends {
            near: "right",
            far: "left",
        },
    }
}

/// The instruction that most courses follow, a line each.
pub(super) fn pattern_words(
    layout: &FaceLayout,
    sheet: &CrewSheet,
    units: OutputUnits,
) -> Vec<String> {
    let Ends { near, far } = corner_words(layout.start);
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let mut said = Vec::new();
    match sheet.pattern {
        Pattern::Step {
            step_in,
            first_joint_in,
        } => {
            // Joints repeat with every shingle, so a long step to one side is a short one to the other.
            let (step, side) = if step_in <= layout.width_in / 2.0 {
                (step_in, near)
            } else {
                (layout.width_in - step_in, far)
            };
            said.push(format!(
                "First joint {} from the {near} of course 1; every course's joints {} further {side}.",
                small(first_joint_in),
                small(step)
            ));
        }
        Pattern::RunOn { lag: 1 } => said.push(format!(
            "Open every course with the piece left at the {far} end of the course below."
        )),
        Pattern::RunOn { lag } => said.push(format!(
            "Open every course with the piece left at the {far} end of the course {lag} below."
        )),
        Pattern::None => said.push("Begin every course with its own first piece.".to_owned()),
    }
    // Opening with what the course below left is the rule for offcuts, too.
    let told =
        matches!(sheet.pattern, Pattern::RunOn { lag } if sheet.offcut_lag == Some(lag as i64));
    if let Some(lag) = sheet.offcut_lag.filter(|_| !told) {
        said.push(match lag {
            0 => format!("Offcuts, as a rule: what the {near} end leaves closes the same course."),
            l if l > 0 => {
                format!("Offcuts, as a rule: what the {far} end leaves opens the course {l} above.")
            }
            l => format!(
                "Offcuts, as a rule: what the {near} end leaves closes the course {} above.",
                -l
            ),
        });
    }
    let exceptions = sheet.exceptions();
    if exceptions > 0 && sheet.pattern != Pattern::None {
        said.push(format!(
            "Except in {} of {} runs:",
            exceptions,
            sheet.rows.len()
        ));
    }
    said
}

/// One course as the crew lays it.
pub(super) fn row_words(layout: &FaceLayout, row: &CrewRow, units: OutputUnits) -> String {
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let course_of = |run: usize| layout.runs.get(run).map_or(0, |r| r.course + 1);
    let end = |piece: EndPiece| match piece {
        EndPiece::Whole => Some("a whole shingle".to_owned()),
        EndPiece::Cut {
            length_in,
            save_for: None,
        } => Some(format!("{} cut", small(length_in))),
        EndPiece::Cut {
            length_in,
            save_for: Some(run),
        } => Some(format!(
            "{} cut, offcut for course {}",
            small(length_in),
            course_of(run)
        )),
        EndPiece::Offcut { length_in, of } => Some(format!(
            "{} offcut of course {}",
            small(length_in),
            course_of(of)
        )),
        EndPiece::None => None,
    };
    let parts: Vec<String> = [
        end(row.opening),
        (row.whole > 0).then(|| format!("{} whole", row.whole)),
        end(row.closing),
    ]
    .into_iter()
    .flatten()
    .collect();
    parts.join(" + ")
}
