//! What a crew sheet says of first pieces: the pattern, and every width that a crew cannot mark by it alone.

use super::OutputUnits;
use super::crew_words::{PrintedStep, exceptions_words, offcut_words, pattern_words};
use crate::courses::{CrewSheet, FaceLayout, Pattern};

/// A width that is nearer than this to what the pattern gives is the pattern's, in inches: what is printed is rounded to
/// as much.
const BY_PATTERN_IN: f64 = 1.0 / 16.0;

/// The first piece of a run, at the start corner's end.
#[derive(Clone, Debug)]
pub(super) struct Start {
    /// From 1 at the eave.
    pub(super) course: usize,
    /// From 1 at the start corner: which run of its course.
    pub(super) part: usize,
    /// Width at the butt, in inches.
    pub(super) width_in: f64,
    /// Whether the run's joints lie where the pattern has them.
    follows: bool,
}

/// What is said of the first pieces of a face.
#[derive(Clone, Debug)]
pub(super) struct Starts {
    /// The pattern, a sentence each.
    pub(super) pattern: Vec<String>,
    /// First pieces of courses that the pattern does not give; of all courses where it gives none.
    pub(super) first: Vec<Start>,
    /// First pieces beyond a valley or an opening, all of them.
    pub(super) later: Vec<Start>,
    /// Whether the courses listed are all courses.
    pub(super) lists_all: bool,
}

impl Starts {
    /// Of a face with its crew's sheet.
    pub(super) fn of(layout: &FaceLayout, sheet: &CrewSheet, units: OutputUnits) -> Self {
        let (first, later): (Vec<Start>, Vec<Start>) =
            all(layout, sheet).into_iter().partition(|s| s.part == 1);
        let step = PrintedStep::of(layout, sheet, units);
        let is_given = |step: &PrintedStep, start: &Start| {
            let off = step.gives_in(start.course, layout.width_in) - start.width_in;
            off.abs() <= BY_PATTERN_IN || layout.width_in - off.abs() <= BY_PATTERN_IN
        };
        // A step is told by itself where most courses can be marked by it: where the start leans, none can.
        let given = step.map(|step| {
            let is_given: Vec<bool> = first.iter().map(|s| is_given(&step, s)).collect();
            let count = is_given.iter().filter(|given| **given).count();
            (step, is_given, 2 * count >= first.len())
        });
        if let Some((_, is_given, true)) = &given {
            let courses = first.len();
            let listed: Vec<Start> = first
                .into_iter()
                .zip(is_given)
                .filter_map(|(start, given)| (!given).then_some(start))
                .collect();
            let mut pattern = pattern_words(layout, sheet, units);
            if !listed.is_empty() {
                pattern.push(format!(
                    "Except in {} of {courses} courses, listed here.",
                    listed.len()
                ));
            }
            return Self {
                pattern,
                first: listed,
                later,
                lists_all: false,
            };
        }
        let mut pattern = match given {
            Some((step, ..)) => std::iter::once(format!(
                "Every course by its own first piece; as a check, its joints lie {} than those of the course below.",
                step.words(layout.start, units)
            ))
            .chain(offcut_words(layout, sheet))
            .collect(),
            None => pattern_words(layout, sheet, units),
        };
        pattern.extend(exceptions_words(sheet).map(|words| format!("{words}, marked *.")));
        Self {
            pattern,
            first,
            later,
            lists_all: true,
        }
    }

    /// `12`, `12*` where the run departs from a pattern that marks tell, `12, part 2`.
    pub(super) fn label(&self, start: &Start) -> String {
        let mark = if self.lists_all && !start.follows {
            "*"
        } else {
            ""
        };
        match start.part {
            1 => format!("{}{mark}", start.course),
            part => format!("{}, part {part}{mark}", start.course),
        }
    }
}

/// The first piece of every run, course by course from the start corner on.
fn all(layout: &FaceLayout, sheet: &CrewSheet) -> Vec<Start> {
    let mut starts: Vec<Start> = Vec::with_capacity(sheet.rows.len());
    for row in &sheet.rows {
        let before = starts.last().filter(|last| last.course == row.course);
        starts.push(Start {
            course: row.course,
            part: before.map_or(1, |last| last.part + 1),
            width_in: layout.first_piece_in(&layout.runs[row.run]),
            // Without a pattern every run that has a joint is told, and none departs.
            follows: row.follows || sheet.pattern == Pattern::None,
        });
    }
    starts
}
