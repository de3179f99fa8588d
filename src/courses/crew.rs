//! What the crew needs of a layout: one pattern, then only what departs from it. All of it is told from the corner that
//! the face is begun at: what is said of a left end holds for the right end of a face begun at its right corner.

use std::collections::BTreeMap;

use super::{FaceLayout, RunEnd, RunLayout, StartCorner, pattern};

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

/// The one instruction that most courses follow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pattern {
    /// Every course's joints lie one step nearer to the start corner than those of the course below.
    Step {
        /// The step in inches.
        step_in: f64,
        /// From the start of the first course, at its farthest, to its first joint by the pattern.
        first_joint_in: f64,
    },
    /// Every course is opened with the piece left at the far end of the course so many below.
    RunOn {
        /// So many courses.
        lag: usize,
    },
    /// Fewer than two courses have joints.
    None,
}

/// One run as the crew lays it.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewRow {
    /// Course, from 1 at the eave.
    pub course: usize,
    /// Index into [`FaceLayout::runs`].
    pub run: usize,
    /// The end at the start corner.
    pub opening: EndPiece,
    /// Whole shingles between the end pieces.
    pub whole: usize,
    /// The far end.
    pub closing: EndPiece,
    /// Whether its joints lie where the pattern puts them. A run of one piece has none and always follows.
    pub follows: bool,
}

/// The crew's sheet of one face.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewSheet {
    /// What most courses follow.
    pub pattern: Pattern,
    /// Of most pairs of pieces that come from one shingle: how many courses the opening one lies above the closing
    /// one (below, where negative); `None` without pairs.
    pub offcut_lag: Option<i64>,
    /// Every run, course by course from the start corner on.
    pub rows: Vec<CrewRow>,
    /// Heights to snap a chalk line at, in inches up the slope from the lowest eave: every fifth butt line
    /// (Navy manual, as cited in the trade notes).
    pub chalk_in: Vec<f64>,
    /// Courses, from 1, that are split by something in the face; its two sides meet again above because all butt
    /// lines are measured from one eave.
    pub split_courses: Vec<usize>,
}

impl CrewSheet {
    /// The repeated step, where the pattern is one.
    pub fn step_in(&self) -> Option<f64> {
        match self.pattern {
            Pattern::Step { step_in, .. } => Some(step_in),
            Pattern::RunOn { .. } | Pattern::None => None,
        }
    }
    /// Runs that depart from the pattern.
    pub fn exceptions(&self) -> usize {
        self.rows.iter().filter(|r| !r.follows).count()
    }
}

impl CrewRow {
    /// Names runs by their numbers in the layout itself: `order` tells them for those of its mirror image.
    fn refer_to(&mut self, order: &[usize]) {
        self.run = order[self.run];
        for end in [&mut self.opening, &mut self.closing] {
            match end {
                EndPiece::Cut {
                    save_for: Some(run),
                    ..
                }
                | EndPiece::Offcut { of: run, .. } => *run = order[*run],
                EndPiece::Cut { save_for: None, .. } | EndPiece::Whole | EndPiece::None => {}
            }
        }
    }
}

impl FaceLayout {
    /// The crew's sheet, told from the corner that the face is begun at.
    pub fn crew_sheet(&self) -> CrewSheet {
        match self.start {
            StartCorner::Left => self.sheet_from_left(),
            StartCorner::Right => {
                let order = self.mirror_order();
                let mut sheet = self.clone().mirrored().sheet_from_left();
                for row in &mut sheet.rows {
                    row.refer_to(&order);
                }
                sheet
            }
        }
    }

    /// The width at the butt of the piece that a run is begun with at the start corner, in inches. A run that leans by
    /// more than a shingle has its first joint before its butt begins, or far beyond: it is laid with whole shingles and
    /// trimmed to the line.
    pub(crate) fn first_piece_in(&self, run: &RunLayout) -> f64 {
        let (first, last) = (run.joints_in.first(), run.joints_in.last());
        let width = match self.start {
            StartCorner::Left => first.unwrap_or(&run.butt_in.1) - run.butt_in.0,
            StartCorner::Right => run.butt_in.1 - last.unwrap_or(&run.butt_in.0),
        };
        let leans = width <= 0.0 || width > self.width_in + 1e-6;
        if leans { self.width_in } else { width }
    }

    fn sheet_from_left(&self) -> CrewSheet {
        let mut opens = BTreeMap::new();
        let mut closes = BTreeMap::new();
        for &(closing, opening) in &self.pairs {
            closes.insert(closing, opening);
            opens.insert(opening, closing);
        }
        for again in &self.cut_again {
            for ((run, end), other) in [(again.piece, again.of.0), (again.of, again.piece.0)] {
                match end {
                    RunEnd::Opening => opens.entry(run).or_insert(other),
                    RunEnd::Closing => closes.entry(run).or_insert(other),
                };
            }
        }
        let (pattern, follows) = self.pattern(&opens);
        let rows = (0..self.runs.len())
            .map(|i| self.crew_row(i, follows[i], &opens, &closes))
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
            pattern,
            offcut_lag: self.offcut_lag(),
            rows,
            chalk_in: butts.into_iter().step_by(5).collect(),
            split_courses: split,
        }
    }

    /// The pattern with the fewest exceptions, if most runs follow it, and which those are. A step wins a tie: it needs no pile.
    fn pattern(&self, opens: &BTreeMap<usize, usize>) -> (Pattern, Vec<bool>) {
        let exceptions = |follows: &[bool]| follows.iter().filter(|f| !**f).count();
        let Some((pattern, follows)) = self.step_pattern() else {
            return (Pattern::None, vec![true; self.runs.len()]);
        };
        let (pattern, follows) = match self.run_on_pattern(opens) {
            Some((other, others)) if exceptions(&others) < exceptions(&follows) => (other, others),
            _ => (pattern, follows),
        };
        // What most runs depart from is no pattern: every run with a joint is told then.
        if 2 * exceptions(&follows) > self.runs.len() {
            let jointless = self.runs.iter().map(|r| r.joints_in.is_empty());
            return (Pattern::None, jointless.collect());
        }
        (pattern, follows)
    }

    /// The step from course to course and the place of the first joint that most runs lie at.
    fn step_pattern(&self) -> Option<(Pattern, Vec<bool>)> {
        let width = self.width_in;
        let firsts: Vec<(usize, f64)> = self
            .runs
            .iter()
            .filter_map(|r| Some((r.course, *r.joints_in.first()?)))
            .collect();
        let step = pattern::commonest(&firsts, width)?;
        let follows = self
            .runs
            .iter()
            .map(|r| {
                let first = r.joints_in.first();
                first.is_none_or(|&first| step.has(r.course, first, width))
            })
            .collect();
        let first = (step.origin - self.left_of(0)).rem_euclid(width);
        let first_joint_in = if first < pattern::ON_PATTERN_IN {
            width
        } else {
            first
        };
        let pattern = Pattern::Step {
            step_in: step.step,
            first_joint_in,
        };
        Some((pattern, follows))
    }

    /// The lag that opens the most runs with what the right end of a course below left.
    fn run_on_pattern(&self, opens: &BTreeMap<usize, usize>) -> Option<(Pattern, Vec<bool>)> {
        let lag_of = |i: usize| {
            let below = self.runs[*opens.get(&i)?].course;
            self.runs[i].course.checked_sub(below).filter(|l| *l > 0)
        };
        let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
        for lag in (0..self.runs.len()).filter_map(lag_of) {
            *counts.entry(lag).or_default() += 1;
        }
        let most = counts.values().max()?;
        let lag = counts.iter().find(|(_, n)| *n == most).map(|(l, _)| *l)?;
        let follows = (0..self.runs.len())
            .map(|i| lag_of(i) == Some(lag) || self.runs[i].joints_in.is_empty())
            .collect();
        Some((Pattern::RunOn { lag }, follows))
    }

    fn offcut_lag(&self) -> Option<i64> {
        let mut counts: BTreeMap<i64, usize> = BTreeMap::new();
        for &(closing, opening) in &self.pairs {
            let lag = self.runs[opening].course as i64 - self.runs[closing].course as i64;
            *counts.entry(lag).or_default() += 1;
        }
        let most = counts.values().max()?;
        counts.iter().find(|(_, n)| *n == most).map(|(l, _)| *l)
    }

    /// How far to the left the pieces of a run reach.
    fn left_of(&self, index: usize) -> f64 {
        let line = self.runs.get(index).map_or(&[][..], |r| &r.left_line_in);
        line.iter().map(|p| p.1).reduce(f64::min).unwrap_or(0.0)
    }

    fn crew_row(
        &self,
        index: usize,
        follows: bool,
        opens: &BTreeMap<usize, usize>,
        closes: &BTreeMap<usize, usize>,
    ) -> CrewRow {
        let run = &self.runs[index];
        let left = self.left_of(index);
        let right = run.right_line_in.iter().map(|p| p.1);
        let right = right.reduce(f64::max).unwrap_or(0.0);
        let (opening, closing) = match (run.joints_in.first(), run.joints_in.last()) {
            (Some(first), Some(last)) => (
                self.end_piece((index, RunEnd::Opening), first - left, opens),
                self.end_piece((index, RunEnd::Closing), right - last, closes),
            ),
            _ if closes.contains_key(&index) => (
                EndPiece::None,
                self.end_piece((index, RunEnd::Closing), right - left, closes),
            ),
            _ => (
                self.end_piece((index, RunEnd::Opening), right - left, opens),
                EndPiece::None,
            ),
        };
        CrewRow {
            course: run.course + 1,
            run: index,
            opening,
            whole: run.joints_in.len().saturating_sub(1),
            closing,
            follows,
        }
    }

    /// Of two pieces of one shingle, the one laid first is cut and the other is its offcut; in one run the opening
    /// piece is laid first.
    fn end_piece(
        &self,
        (index, end): (usize, RunEnd),
        length_in: f64,
        partners: &BTreeMap<usize, usize>,
    ) -> EndPiece {
        let is_later = |other: usize| other < index || (other == index && end == RunEnd::Closing);
        match partners.get(&index) {
            Some(&other) if is_later(other) => EndPiece::Offcut {
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
}
