//! What the crew needs of a layout: one pattern, then only what departs from it.

use std::collections::BTreeMap;

use super::FaceLayout;

/// How a run is opened or closed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EndPiece {
    /// With a whole shingle.
    Whole,
    /// With a piece of a fresh shingle, of this length at its longest; the offcut is kept for the run with this
    /// number, where one takes it.
    Cut {
        /// Length in inches.
        length_in: f64,
        /// Index into [`FaceLayout::runs`].
        save_for: Option<usize>,
    },
    /// With what the run of this number left.
    Offcut {
        /// Length in inches.
        length_in: f64,
        /// Index into [`FaceLayout::runs`].
        of: usize,
    },
    /// The run is one piece; see its other end.
    None,
}

/// One run as the crew lays it.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewRow {
    /// Course, from 1 at the eave.
    pub course: usize,
    /// Index into [`FaceLayout::runs`].
    pub run: usize,
    /// The left end.
    pub opening: EndPiece,
    /// Whole shingles between the end pieces.
    pub whole: usize,
    /// The right end.
    pub closing: EndPiece,
    /// Whether the joints follow the pattern's step from the course below.
    pub follows: bool,
}

/// The crew's sheet of one face.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewSheet {
    /// The step that most courses follow: joints this far to the left of the course below, in inches; `None` with
    /// fewer than two courses that have joints.
    pub step_in: Option<f64>,
    /// Every run.
    pub rows: Vec<CrewRow>,
    /// Heights to snap a chalk line at, in inches up the slope from the lowest eave: every fifth butt line
    /// (Navy manual, as cited in the trade notes).
    pub chalk_in: Vec<f64>,
    /// Courses, from 1, that are split by something in the face; its two sides meet again above because all butt
    /// lines are measured from one eave.
    pub split_courses: Vec<usize>,
}

impl FaceLayout {
    /// The crew's sheet.
    pub fn crew_sheet(&self) -> CrewSheet {
        let step = self.usual_step();
        let mut opens = BTreeMap::new();
        let mut closes = BTreeMap::new();
        for &(closing, opening) in &self.pairs {
            closes.insert(closing, opening);
            opens.insert(opening, closing);
        }
        let rows = (0..self.runs.len())
            .map(|i| self.crew_row(i, step, &opens, &closes))
            .collect();
        let mut split: Vec<usize> = self
            .runs
            .windows(2)
            .filter(|two| two[0].course == two[1].course)
            .map(|two| two[0].course + 1)
            .collect();
        split.dedup();
        let mut butts: Vec<f64> = self.runs.iter().map(|r| r.butt_height_in).collect();
        butts.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        CrewSheet {
            step_in: step,
            rows,
            chalk_in: butts.into_iter().step_by(5).collect(),
            split_courses: split,
        }
    }

    fn crew_row(
        &self,
        index: usize,
        step: Option<f64>,
        opens: &BTreeMap<usize, usize>,
        closes: &BTreeMap<usize, usize>,
    ) -> CrewRow {
        let run = &self.runs[index];
        let reach = |line: &[(f64, f64)], pick: fn(f64, f64) -> f64| {
            line.iter().map(|p| p.1).reduce(pick).unwrap_or(0.0)
        };
        let left = reach(&run.left_line_in, f64::min);
        let right = reach(&run.right_line_in, f64::max);
        let (opening, closing) = match (run.joints_in.first(), run.joints_in.last()) {
            (Some(first), Some(last)) => (
                self.end_piece(index, first - left, opens),
                self.end_piece(index, right - last, closes),
            ),
            _ if closes.contains_key(&index) => {
                (EndPiece::None, self.end_piece(index, right - left, closes))
            }
            _ => (self.end_piece(index, right - left, opens), EndPiece::None),
        };
        CrewRow {
            course: run.course + 1,
            run: index,
            opening,
            whole: run.joints_in.len().saturating_sub(1),
            closing,
            follows: run.course == 0 || self.follows(index, step),
        }
    }

    /// Of two pieces of one shingle, the one laid first is cut and the other is its offcut; in one run the opening
    /// piece is laid first.
    fn end_piece(
        &self,
        index: usize,
        length_in: f64,
        partners: &BTreeMap<usize, usize>,
    ) -> EndPiece {
        match partners.get(&index) {
            Some(&other) if other < index => EndPiece::Offcut {
                length_in,
                of: other,
            },
            Some(&other) => EndPiece::Cut {
                length_in,
                save_for: Some(other),
            },
            None if length_in >= self.width_in - 1e-6 => EndPiece::Whole,
            None => EndPiece::Cut {
                length_in,
                save_for: None,
            },
        }
    }

    /// The step from a run to the nearest run of the course below, within one shingle.
    fn step_of(&self, index: usize) -> Option<f64> {
        let run = &self.runs[index];
        let joint = run.joints_in.first()?;
        let below = self.runs[..index]
            .iter()
            .rev()
            .find(|r| r.course + 1 == run.course && !r.joints_in.is_empty())?;
        Some((below.joints_in.first()? - joint).rem_euclid(self.width_in))
    }

    fn follows(&self, index: usize, step: Option<f64>) -> bool {
        match (self.step_of(index), step) {
            (Some(a), Some(b)) => {
                let off = (a - b).rem_euclid(self.width_in);
                off.min(self.width_in - off) < 1.0 / 32.0
            }
            _ => false,
        }
    }

    /// The commonest step, to the nearest sixteenth of an inch.
    fn usual_step(&self) -> Option<f64> {
        let mut counts: BTreeMap<i64, usize> = BTreeMap::new();
        for i in 0..self.runs.len() {
            if let Some(step) = self.step_of(i) {
                *counts.entry((step * 16.0).round() as i64).or_default() += 1;
            }
        }
        let most = counts.values().max().copied()?;
        let (sixteenths, _) = counts.into_iter().find(|(_, n)| *n == most)?;
        Some(sixteenths as f64 / 16.0)
    }
}
