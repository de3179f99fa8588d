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

/// A step from course to course as it is printed: what a crew that reads it marks.
#[derive(Clone, Copy, Debug)]
pub(super) struct PrintedStep {
    /// The course that it is counted from, from 1: the lowest that follows the pattern.
    pub(super) from_course: usize,
    /// From the start of that course to its first joint, in inches.
    pub(super) first_in: f64,
    /// How far the joints of every course lie from those of the course below, in inches.
    pub(super) step_in: f64,
    /// Whether they lie nearer to the start corner than those below.
    pub(super) is_nearer: bool,
}

impl PrintedStep {
    /// The step of a face, where its pattern is one.
    pub(super) fn of(layout: &FaceLayout, sheet: &CrewSheet, units: OutputUnits) -> Option<Self> {
        let Pattern::Step {
            step_in,
            first_joint_in,
        } = sheet.pattern
        else {
            return None;
        };
        // Joints repeat with every shingle, so a long step to one side is a short one to the other.
        let is_nearer = step_in <= layout.width_in / 2.0;
        let step_in = if is_nearer {
            step_in
        } else {
            layout.width_in - step_in
        };
        let mut last = None;
        let lowest = sheet.rows.iter().find(|row| {
            let begins = last.replace(row.course) != Some(row.course);
            begins && row.follows && !layout.runs[row.run].joints_in.is_empty()
        });
        let (from_course, first_in) = lowest.map_or((1, first_joint_in), |row| {
            let run = &layout.runs[row.run];
            (row.course, layout.first_piece_in(run))
        });
        Some(Self {
            from_course,
            first_in: units.tape_in(first_in),
            step_in: units.tape_in(step_in),
            is_nearer,
        })
    }
    /// The width of the first piece that a crew marks in a course by it, where every course starts straight above the
    /// one below, in inches: over nothing and up to a whole shingle.
    pub(super) fn gives_in(&self, course: usize, shingle_in: f64) -> f64 {
        let way = if self.is_nearer { -1.0 } else { 1.0 };
        let up = course as f64 - self.from_course as f64;
        let at = (self.first_in + way * up * self.step_in).rem_euclid(shingle_in);
        if at > 0.0 { at } else { shingle_in }
    }
    /// `11¼″ further left`.
    pub(super) fn words(&self, start: StartCorner, units: OutputUnits) -> String {
        let Ends { near, far } = corner_words(start);
        let side = if self.is_nearer { near } else { far };
        format!("{} further {side}", units.tape(self.step_in))
    }
}

/// The instruction that most courses follow, a line each.
pub(super) fn pattern_words(
    layout: &FaceLayout,
    sheet: &CrewSheet,
    units: OutputUnits,
) -> Vec<String> {
    let Ends { near, far } = corner_words(layout.start);
    let mut said = Vec::new();
    match sheet.pattern {
        Pattern::Step { .. } => said.extend(PrintedStep::of(layout, sheet, units).map(|step| {
            format!(
                "First joint {} from the {near} of course {}; every course's joints {}.",
                units.tape(step.first_in),
                step.from_course,
                step.words(layout.start, units)
            )
        })),
        Pattern::RunOn { lag } => said.push(format!(
            "Open every course with the piece left at the {far} end {}.",
            courses_away(lag as u64, "below")
        )),
        Pattern::None => said.push("Begin every course with its own first piece.".to_owned()),
    }
    said.extend(offcut_words(layout, sheet));
    said
}

/// `of the course below`, `7 courses above`.
fn courses_away(count: u64, way: &str) -> String {
    match count {
        1 => format!("of the course {way}"),
        _ => format!("{count} courses {way}"),
    }
}

/// Where the offcuts go as a rule, unless the pattern itself says it.
pub(super) fn offcut_words(layout: &FaceLayout, sheet: &CrewSheet) -> Option<String> {
    let Ends { near, far } = corner_words(layout.start);
    // Opening with what the course below left is the rule for offcuts, too.
    let told =
        matches!(sheet.pattern, Pattern::RunOn { lag } if sheet.offcut_lag == Some(lag as i64));
    let lag = sheet.offcut_lag.filter(|_| !told)?;
    let (from, does) = if lag > 0 {
        (far, "opens")
    } else {
        (near, "closes")
    };
    let which = match lag.unsigned_abs() {
        0 => "the same course".to_owned(),
        1 => "the course above".to_owned(),
        courses => format!("the course that lies {courses} courses above"),
    };
    Some(format!(
        "Offcuts, as a rule: what the {from} end leaves {does} {which}."
    ))
}

/// `Except in 4 of 29 runs`, where a pattern has exceptions.
pub(super) fn exceptions_words(sheet: &CrewSheet) -> Option<String> {
    let exceptions = sheet.exceptions();
    (exceptions > 0 && sheet.pattern != Pattern::None)
        .then(|| format!("Except in {exceptions} of {} runs", sheet.rows.len()))
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
