//! A face's crew sheet in words: the pattern, then a course. All is told from the corner that the face is begun at.

use super::OutputUnits;
use crate::courses::{
    CrewEnd, CrewRow, CrewSheet, EndPiece, FaceLayout, Pattern, RunEnd, StartCorner,
};
use crate::roof::{EdgeClass, FaceId, Roof, Side};
use crate::units::{Length, True};

/// Whether a cap lies over what is left above a face's last course: on a ridge, or on the hips that meet at its top. Else
/// metal does, at a high edge or a wall.
pub(super) fn is_capped(roof: &Roof, face: FaceId) -> bool {
    // Corners nearer in height than this are level, in feet.
    const LEVEL_FT: f64 = 0.02;
    let outline = &roof.face(face).outline;
    let corners = &outline.corners;
    let top = corners
        .iter()
        .map(|c| c.z)
        .fold(f64::NEG_INFINITY, f64::max);
    let is_top = |i: usize| corners[i % corners.len()].z > top - LEVEL_FT;
    let classes = outline
        .sides
        .iter()
        .enumerate()
        .filter_map(|(i, side)| match side {
            Side::Edge(edge) => Some((is_top(i) && is_top(i + 1), roof.edge(*edge).class)),
            Side::Opening(_) => None,
        });
    let of_metal = [
        EdgeClass::HighEdge,
        EdgeClass::Headwall,
        EdgeClass::Sidewall,
    ];
    let mut is_capped = false;
    for (at_top, class) in classes {
        if at_top && of_metal.contains(&class) {
            return false;
        }
        is_capped |= matches!(class, EdgeClass::Ridge | EdgeClass::Hip);
    }
    is_capped
}

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
#[derive(Clone, Debug)]
pub(super) struct PrintedStep {
    /// The course that it is counted from, from 1: the lowest that follows the pattern.
    pub(super) from_course: usize,
    /// From the start of that course to its first joint, in inches.
    pub(super) first_in: f64,
    /// How far the joints of every course lie from those of the course below, in inches.
    pub(super) step_in: f64,
    /// Whether they lie nearer to the start corner than those below.
    pub(super) is_nearer: bool,
    /// The widths that courses are begun with in turn, from course 1, in inches; empty where none are told.
    starts_in: Vec<f64>,
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
            starts_in: (starts_told(sheet).iter())
                .map(|&start| units.tape_in(start))
                .collect(),
        })
    }
    /// The width of the first piece that a crew marks in a course by it, where every course starts straight above the
    /// one below, in inches: over nothing and up to a whole shingle. Widths told in turn go before the step, whose printed
    /// length is off by more with every course.
    pub(super) fn gives_in(&self, course: usize, shingle_in: f64) -> f64 {
        let mut in_turn = self.starts_in.iter().cycle();
        if let Some(start_in) = in_turn.nth(course.saturating_sub(1)) {
            return *start_in;
        }
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

/// What every run of a layout is called: `12`; where a course has several runs, `12a` and `12b`, the first the one at the
/// start corner.
pub(super) fn run_names(layout: &FaceLayout, sheet: &CrewSheet) -> Vec<String> {
    let mut names = vec![String::new(); layout.runs.len()];
    for course in sheet.rows.chunk_by(|a, b| a.course == b.course) {
        for (part, row) in course.iter().enumerate() {
            let letter = match (course.len(), u8::try_from(part)) {
                (1, _) => String::new(),
                (_, Ok(part @ ..26)) => char::from(b'a' + part).to_string(),
                _ => format!(".{}", part + 1),
            };
            names[row.run] = format!("{}{letter}", row.course);
        }
    }
    names
}

/// Another end as one end's words name it: of two pieces of one shingle one opens and one closes, so that the side is said
/// only where both do the same.
pub(super) fn other_end(
    names: &[String],
    (run, end): CrewEnd,
    from: RunEnd,
    start: StartCorner,
) -> String {
    let name = names.get(run).map_or("", String::as_str);
    let Ends { near, far } = corner_words(start);
    match (end == from, end) {
        (false, _) => name.to_owned(),
        (true, RunEnd::Opening) => format!("{name} {near}"),
        (true, RunEnd::Closing) => format!("{name} {far}"),
    }
}

/// The instruction that most courses follow.
pub(super) fn pattern_words(
    layout: &FaceLayout,
    sheet: &CrewSheet,
    units: OutputUnits,
) -> Option<String> {
    let Ends { near, far } = corner_words(layout.start);
    match sheet.pattern {
        Pattern::Step { .. } => PrintedStep::of(layout, sheet, units).map(|step| {
            format!(
                "First joint {} from the {near} of course {}; every course's joints {}.",
                units.tape(step.first_in),
                step.from_course,
                step.words(layout.start, units)
            )
        }),
        Pattern::RunOn { lag } => Some(format!(
            "Open every course with the piece left at the {far} end {}.",
            courses_away(lag as u64, "below")
        )),
        Pattern::None => Some("Begin every course with its own first piece.".to_owned()),
    }
}

/// The starts that are told in turn: one alone is none.
fn starts_told(sheet: &CrewSheet) -> &[f64] {
    match &sheet.starts_in[..] {
        [_] => &[],
        starts => starts,
    }
}

/// `Start widths in turn from course 1: 42″, 36″, 30″; then again.`, where the starts of courses come again.
pub(super) fn starts_words(sheet: &CrewSheet, units: OutputUnits) -> Option<String> {
    let widths: Vec<String> = starts_told(sheet).iter().map(|&w| units.tape(w)).collect();
    (!widths.is_empty()).then(|| {
        format!(
            "Start widths in turn from course 1: {}; then again.",
            widths.join(", ")
        )
    })
}

/// `of the course below`, `7 courses above`.
fn courses_away(count: u64, way: &str) -> String {
    match count {
        1 => format!("of the course {way}"),
        _ => format!("{count} courses {way}"),
    }
}

/// Where all offcuts go but those that are listed, if they go by a rule.
pub(super) fn offcut_words(layout: &FaceLayout, sheet: &CrewSheet) -> Option<String> {
    let Ends { near, far } = corner_words(layout.start);
    let lag = sheet.offcut_lag?;
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
        "Offcuts: what the {from} end leaves {does} {which}, where it is long enough; nothing else is kept."
    ))
}

/// `Except in 4 of 29 runs`, where a pattern has exceptions: runs whose joints lie elsewhere.
pub(super) fn exceptions_words(sheet: &CrewSheet) -> Option<String> {
    let exceptions = sheet.exceptions();
    (exceptions > 0 && sheet.pattern != Pattern::None)
        .then(|| format!("Except in {exceptions} of {} runs", sheet.rows.len()))
}

/// What marks the runs whose joints depart from the pattern.
pub(super) const DEPARTS: &str = "*";

/// Whether departing runs have to be marked among those listed: where others are listed with them.
pub(super) fn are_marked(listed: usize, sheet: &CrewSheet) -> bool {
    let exceptions = sheet.exceptions();
    sheet.pattern != Pattern::None && exceptions > 0 && exceptions < listed
}

/// `Except in 4 of 29 runs, listed here.`, where some runs are listed. Those whose joints follow the pattern are no
/// exceptions from it; `for_what` they are listed is said of them: `for their offcuts`.
pub(super) fn listed_words(listed: usize, sheet: &CrewSheet, for_what: &str) -> Option<String> {
    let others = listed.saturating_sub(sheet.exceptions());
    let all = sheet.rows.len();
    match exceptions_words(sheet) {
        Some(words) if others == 0 => Some(format!("{words}, listed here.")),
        Some(words) => Some(format!(
            "{words}, marked {DEPARTS}; {others} more are listed {for_what}."
        )),
        None if others > 0 => Some(format!("{others} of {all} runs are listed {for_what}.")),
        None => None,
    }
}

/// The width of a run's first piece, rounded as the pattern's are where its widths are told: one piece has one number.
pub(super) fn start_width(sheet: &CrewSheet, inches: f64, units: OutputUnits) -> String {
    match sheet.pattern {
        Pattern::Step { .. } => units.tape(inches),
        Pattern::RunOn { .. } | Pattern::None => units.small(Length::<True>::inches(inches)),
    }
}

/// One run as the crew lays it.
pub(super) fn row_words(
    layout: &FaceLayout,
    sheet: &CrewSheet,
    row: &CrewRow,
    names: &[String],
    units: OutputUnits,
) -> String {
    let width = |inches: f64, at: RunEnd| match at {
        RunEnd::Opening => start_width(sheet, inches, units),
        RunEnd::Closing => units.small(Length::<True>::inches(inches)),
    };
    let end = |piece: EndPiece, at: RunEnd| {
        let course = |end: CrewEnd| format!("course {}", other_end(names, end, at, layout.start));
        let kept = |save_for: Option<CrewEnd>, what: &str| {
            save_for.map_or_else(String::new, |end| format!(", {what} for {}", course(end)))
        };
        match piece {
            EndPiece::Whole => Some("a whole shingle".to_owned()),
            EndPiece::Cut {
                length_in,
                save_for,
            } => Some(format!(
                "{} cut{}",
                width(length_in, at),
                kept(save_for, "offcut")
            )),
            EndPiece::Offcut {
                length_in,
                of,
                save_for,
            } => Some(format!(
                "{} offcut of {}{}",
                width(length_in, at),
                course(of),
                kept(save_for, "its rest")
            )),
            EndPiece::None => None,
        }
    };
    let parts: Vec<String> = [
        end(row.opening, RunEnd::Opening),
        (row.whole > 0).then(|| format!("{} whole", row.whole)),
        end(row.closing, RunEnd::Closing),
    ]
    .into_iter()
    .flatten()
    .collect();
    parts.join(" + ")
}
