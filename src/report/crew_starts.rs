//! What a crew sheet says of a face's runs: the pattern, and every run that a crew cannot lay by it alone, with its first
//! piece, with the offcuts that it takes and with those that are kept of it.

use super::OutputUnits;
use super::crew_words::{
    DEPARTS, PrintedStep, are_marked, corner_words, exceptions_words, listed_words, offcut_words,
    other_end, pattern_words, run_names, start_width, starts_words,
};
use crate::courses::{CrewEnd, CrewRow, CrewSheet, EndPiece, FaceLayout, Pattern, RunEnd};

/// A width that is nearer than this to what the pattern gives is the pattern's, in inches: what is printed is rounded to
/// as much.
const BY_PATTERN_IN: f64 = 1.0 / 16.0;
/// Where so few runs as one in this many are left to the pattern, all are listed.
const TOO_FEW: usize = 3;
/// What stands where nothing is taken or kept.
const NOTHING: &str = "–";
/// What stands at the other end of a run of one piece.
const ONE_PIECE: &str = "one piece";

/// What is said of the runs of a face.
#[derive(Clone, Debug)]
pub(super) struct Starts {
    /// The pattern, a sentence each.
    pub(super) pattern: Vec<String>,
    /// How to read the listed runs.
    pub(super) legend: Vec<String>,
    /// Heads of the columns of the runs listed.
    pub(super) heads: Vec<String>,
    /// The runs listed, course by course from the start corner on, a cell a column.
    pub(super) rows: Vec<Vec<String>>,
}

impl Starts {
    /// Of a face with its crew's sheet.
    pub(super) fn of(layout: &FaceLayout, sheet: &CrewSheet, units: OutputUnits) -> Self {
        let step = PrintedStep::of(layout, sheet, units);
        let firsts: Vec<bool> = (0..sheet.rows.len())
            .map(|i| i == 0 || sheet.rows[i - 1].course != sheet.rows[i].course)
            .collect();
        let is_given = |step: &PrintedStep, row: &CrewRow| {
            let first = layout.first_piece_in(&layout.runs[row.run]);
            let off = step.gives_in(row.course, layout.width_in) - first;
            off.abs() <= BY_PATTERN_IN || layout.width_in - off.abs() <= BY_PATTERN_IN
        };
        // The step gives the first piece of a course alone, not of a run beyond a valley or an opening.
        let left_to_it: Vec<bool> = sheet
            .rows
            .iter()
            .zip(&firsts)
            .map(|(row, first)| {
                let given = step.as_ref().is_some_and(|step| is_given(step, row));
                *first && given && row.follows && row.offcuts_follow
            })
            .collect();
        let left = left_to_it.iter().filter(|left| **left).count();
        // Where the start leans, a step gives few courses or none.
        let by_step = TOO_FEW * left > sheet.rows.len();
        let listed = sheet.rows.iter().zip(&left_to_it);
        let listed: Vec<&CrewRow> = listed
            .filter_map(|(row, left)| (!(by_step && *left)).then_some(row))
            .collect();
        let marks = !by_step || are_marked(listed.len(), sheet);
        let pattern = if by_step {
            let said = [
                pattern_words(layout, sheet, units),
                starts_words(sheet, units),
                listed_words(
                    listed.len(),
                    sheet,
                    "for their first piece or their offcuts",
                ),
                offcut_words(layout, sheet).or_else(|| {
                    let any = !sheet.rows.iter().all(|row| row.offcuts_follow);
                    any.then(|| "In courses not listed no offcut is laid or kept.".to_owned())
                }),
            ];
            said.into_iter().flatten().collect()
        } else {
            let check = step.map(|step| {
                format!(
                    "Every course by its own first piece; as a check, its joints lie {} than those of the course below.",
                    step.words(layout.start, units)
                )
            });
            let marked = exceptions_words(sheet).map(|words| format!("{words}, marked {DEPARTS}."));
            // That every course has its own first piece goes without saying where all are listed.
            let told = check.or_else(|| {
                let has_one = sheet.pattern != Pattern::None;
                if has_one {
                    pattern_words(layout, sheet, units)
                } else {
                    None
                }
            });
            let said = [told, marked];
            said.into_iter().flatten().collect()
        };
        Self {
            pattern,
            ..Self::listed(layout, sheet, &listed, marks, units)
        }
    }

    /// The runs listed, without a pattern; `marks` whether those that depart from it are marked.
    fn listed(
        layout: &FaceLayout,
        sheet: &CrewSheet,
        listed: &[&CrewRow],
        marks: bool,
        units: OutputUnits,
    ) -> Self {
        let names = run_names(layout, sheet);
        let ends = corner_words(layout.start);
        let width = |inches: f64| start_width(sheet, inches, units);
        let offcut = |piece: EndPiece, at: RunEnd| {
            if piece == EndPiece::None {
                return ONE_PIECE.to_owned();
            }
            let name = |end: CrewEnd| other_end(&names, end, at, layout.start);
            let (of, save_for) = match piece {
                EndPiece::Offcut { of, save_for, .. } => (Some(of), save_for),
                EndPiece::Cut { save_for, .. } => (None, save_for),
                EndPiece::Whole | EndPiece::None => (None, None),
            };
            let of = of.map(|end| format!("of {}", name(end)));
            let save_for = save_for.map(|end| format!("for {}", name(end)));
            of.into_iter()
                .chain(save_for)
                .collect::<Vec<_>>()
                .join(", ")
        };
        let mut rows: Vec<[String; 4]> = listed
            .iter()
            .map(|row| {
                // Without a pattern every run that has a joint is told, and none departs.
                let departs = marks && !row.follows && sheet.pattern != Pattern::None;
                let mark = if departs { DEPARTS } else { "" };
                // A run of one piece may be told at either end.
                let first = match row.opening {
                    EndPiece::None => row.closing,
                    piece => piece,
                };
                [
                    format!("{}{mark}", names[row.run]),
                    first.length_in().map_or_else(|| "whole".to_owned(), width),
                    offcut(row.opening, RunEnd::Opening),
                    offcut(row.closing, RunEnd::Closing),
                ]
            })
            .collect();
        let any = |column: usize| rows.iter().any(|row| !row[column].is_empty());
        let is_of_offcut = |piece: EndPiece| match piece {
            EndPiece::Offcut { .. } => true,
            EndPiece::Cut { save_for, .. } => save_for.is_some(),
            EndPiece::Whole | EndPiece::None => false,
        };
        // That a run is one piece tells at which end its offcuts are told: nothing where none are.
        let mut pieces = listed.iter().flat_map(|row| [row.opening, row.closing]);
        let offcuts = pieces.any(is_of_offcut);
        let (near, far) = (offcuts && any(2), offcuts && any(3));
        let shown = |column: usize| match column {
            2 => near,
            3 => far,
            _ => true,
        };
        let heads = ["course", ends.near, "offcut", ends.far];
        let heads = heads.into_iter().enumerate().filter(|(i, _)| shown(*i));
        let heads = heads.map(|(_, head)| head.to_owned()).collect();
        for row in &mut rows {
            for cell in row.iter_mut().filter(|cell| cell.is_empty()) {
                NOTHING.clone_into(cell);
            }
        }
        let mut legend = vec![format!(
            "First piece at the {}, at its longest; the {} end is cut to its line.",
            ends.near, ends.far
        )];
        if offcuts {
            legend.push("“for 12”: keep the offcut for course 12; “of 9”: lay the one kept in course 9; “–”: a new shingle, nothing kept.".to_owned());
        }
        if offcuts && rows.iter().flatten().any(|cell| cell == ONE_PIECE) {
            legend.push("“one piece”: the first piece is all of that course, and what stands at its other end is said of it.".to_owned());
        }
        if listed
            .iter()
            .any(|row| names[row.run] != row.course.to_string())
        {
            legend.push(format!(
                "12a, 12b: the parts of course 12 from the {} on, parted by a valley or an opening.",
                ends.near
            ));
        }
        let rows = rows.into_iter().map(|row| {
            let cells = row.into_iter().enumerate().filter(|(i, _)| shown(*i));
            cells.map(|(_, cell)| cell).collect()
        });
        Self {
            pattern: Vec::new(),
            legend,
            heads,
            rows: rows.collect(),
        }
    }
}
