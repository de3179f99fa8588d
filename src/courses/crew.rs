//! What the crew needs of a layout: one pattern, then only what departs from it. All of it is told from the corner that
//! the face is begun at: what is said of a left end holds for the right end of a face begun at its right corner.

use std::collections::BTreeMap;

use super::profile::at;
use super::{FaceLayout, RunEnd, RunLayout, StartCorner, pattern};

/// An end of a run as the crew meets it: an index into [`FaceLayout::runs`], and the end, where the opening is the end at
/// the start corner.
pub type CrewEnd = (usize, RunEnd);

/// A rule for offcuts is told where at most one run in so many departs from it.
const DEPARTING: usize = 8;
/// Starts that come again after more courses than this are no cycle that a crew keeps in mind.
const LONGEST_CYCLE: usize = 16;
/// Lengths nearer than this are the same, in inches: the rounding of coordinates.
const SAME_IN: f64 = 1e-6;

/// How a run is opened or closed. Of the pieces of one shingle each is cut from what the one laid before it left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EndPiece {
    /// With a whole shingle.
    Whole,
    /// With a piece of a fresh shingle, of this length at its longest; the offcut is kept for an end, where one takes it.
    Cut {
        /// Length in inches.
        length_in: f64,
        /// What the offcut is kept for.
        save_for: Option<CrewEnd>,
    },
    /// With what an end laid before left.
    Offcut {
        /// Length in inches.
        length_in: f64,
        /// The end that left it.
        of: CrewEnd,
        /// What the rest is kept for, where a further piece comes out of it.
        save_for: Option<CrewEnd>,
    },
    /// The run is one piece; see its other end.
    None,
}

impl EndPiece {
    /// The length of the piece at its longest, in inches, where it is cut.
    pub fn length_in(self) -> Option<f64> {
        match self {
            Self::Cut { length_in, .. } | Self::Offcut { length_in, .. } => Some(length_in),
            Self::Whole | Self::None => None,
        }
    }
    /// The ends before and after it that share its shingle.
    fn shares_with(self) -> [Option<CrewEnd>; 2] {
        match self {
            Self::Cut { save_for, .. } => [None, save_for],
            Self::Offcut { of, save_for, .. } => [Some(of), save_for],
            Self::Whole | Self::None => [None, None],
        }
    }
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
    /// Whether its offcuts go where [`CrewSheet::offcut_lag`] sends them; without such a rule, whether it takes none and
    /// keeps none.
    pub offcuts_follow: bool,
}

/// The crew's sheet of one face.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewSheet {
    /// What most courses follow.
    pub pattern: Pattern,
    /// The widths of the first pieces of the first courses by a repeated step, in inches, after which they come again; empty
    /// where there is no such step, where it does not come round within the face, or where the start leans.
    pub starts_in: Vec<f64>,
    /// Where offcuts go by one rule: how many courses a run that an offcut opens lies above the one that its shingle closes
    /// (below, where negative), in the same part of its course; `None` where more than one run in eight departs from
    /// every such rule. What is left is used wherever it is long enough, and nowhere else.
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
                EndPiece::Cut { save_for, .. } => refer(save_for.as_mut(), order),
                EndPiece::Offcut { of, save_for, .. } => {
                    refer(Some(of), order);
                    refer(save_for.as_mut(), order);
                }
                EndPiece::Whole | EndPiece::None => {}
            }
        }
    }
    fn end(&self, end: RunEnd) -> EndPiece {
        match end {
            RunEnd::Opening => self.opening,
            RunEnd::Closing => self.closing,
        }
    }
}

fn refer(end: Option<&mut CrewEnd>, order: &[usize]) {
    if let Some((run, _)) = end {
        *run = order[*run];
    }
}

/// The ends of a layout that share a shingle with others, in the order that they are laid.
struct Shared {
    before: BTreeMap<CrewEnd, CrewEnd>,
    after: BTreeMap<CrewEnd, CrewEnd>,
}

impl Shared {
    fn of(layout: &FaceLayout) -> Self {
        let (openings, closings) = layout.shingle_numbers();
        let mut pieces: BTreeMap<usize, Vec<CrewEnd>> = BTreeMap::new();
        for (run, (opening, closing)) in openings.into_iter().zip(closings).enumerate() {
            for (number, end) in [(opening, RunEnd::Opening), (closing, RunEnd::Closing)] {
                if let Some(number) = number {
                    pieces.entry(number).or_default().push((run, end));
                }
            }
        }
        let two = || pieces.values().flat_map(|of_one| of_one.windows(2));
        Self {
            before: two().map(|two| (two[1], two[0])).collect(),
            after: two().map(|two| (two[0], two[1])).collect(),
        }
    }
}

/// The parts of every course: its runs from left to right.
struct Parts {
    /// The first run of every course, by the course's number, and after the last one all runs.
    begins: Vec<usize>,
    courses: Vec<usize>,
}

impl Parts {
    fn of(runs: &[RunLayout]) -> Self {
        let courses: Vec<usize> = runs.iter().map(|run| run.course).collect();
        let all = courses.last().map_or(0, |last| last + 1);
        Self {
            begins: (0..=all)
                .map(|course| courses.partition_point(|&c| c < course))
                .collect(),
            courses,
        }
    }

    /// The run in the same part of the course so many above.
    fn run_above(&self, run: usize, lag: i64) -> Option<usize> {
        let part = run - self.begins[self.courses[run]];
        let course = usize::try_from(self.courses[run] as i64 + lag).ok()?;
        let (from, to) = (*self.begins.get(course)?, *self.begins.get(course + 1)?);
        (from + part < to).then_some(from + part)
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

    /// The length of the piece that a run is begun with at the start corner, at its longest, in inches: from the farthest
    /// that its end line reaches to its first joint. A run without a joint is one piece.
    pub(crate) fn first_piece_in(&self, run: &RunLayout) -> f64 {
        let (from, to) = (run.farthest_left_in(), run.farthest_right_in());
        match self.start {
            StartCorner::Left => run.joints_in.first().unwrap_or(&to) - from,
            StartCorner::Right => to - run.joints_in.last().unwrap_or(&from),
        }
    }

    fn sheet_from_left(&self) -> CrewSheet {
        let shared = Shared::of(self);
        let (pattern, follows) = self.pattern(&shared);
        let mut rows: Vec<CrewRow> = (0..self.runs.len())
            .map(|i| self.crew_row(i, follows[i], &shared))
            .collect();
        let offcut_lag = self.offcut_rule(&mut rows);
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
            starts_in: self.starts_by(pattern),
            pattern,
            offcut_lag,
            rows,
            chalk_in: butts.into_iter().step_by(5).collect(),
            split_courses: split,
        }
    }

    /// The pattern with the fewest exceptions, if most courses follow it, and which runs do. A step wins a tie: it needs no
    /// pile. The run at the start corner speaks for its course: those beyond a valley or an opening begin where these put
    /// them.
    fn pattern(&self, shared: &Shared) -> (Pattern, Vec<bool>) {
        let exceptions = |follows: &[bool]| {
            let leading = (0..follows.len()).filter(|&i| self.leads(i));
            leading.filter(|&i| !follows[i]).count()
        };
        let Some((pattern, follows)) = self.step_pattern() else {
            return (Pattern::None, vec![true; self.runs.len()]);
        };
        let (pattern, follows) = match self.run_on_pattern(shared) {
            Some((other, others)) if exceptions(&others) < exceptions(&follows) => (other, others),
            _ => (pattern, follows),
        };
        // What most runs depart from is no pattern: every run with a joint is told then.
        let courses = (0..self.runs.len()).filter(|&i| self.leads(i)).count();
        if 2 * exceptions(&follows) > courses {
            let jointless = self.runs.iter().map(|r| r.joints_in.is_empty());
            return (Pattern::None, jointless.collect());
        }
        (pattern, follows)
    }

    /// Whether a run is the leftmost one of its course.
    fn leads(&self, index: usize) -> bool {
        let course = |i: usize| self.runs[i].course;
        index == 0 || course(index - 1) != course(index)
    }

    /// The step from course to course and the place of the first joint that most courses lie at.
    fn step_pattern(&self) -> Option<(Pattern, Vec<bool>)> {
        let width = self.width_in;
        let firsts: Vec<(usize, f64)> = self
            .runs
            .iter()
            .enumerate()
            .filter(|(i, _)| self.leads(*i))
            .filter_map(|(_, r)| Some((r.course, *r.joints_in.first()?)))
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
        let start = self.runs.first().map_or(0.0, RunLayout::farthest_left_in);
        let first = (step.origin - start).rem_euclid(width);
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

    /// The widths that courses are begun with by a repeated step before they come again, where all courses begin straight
    /// above each other.
    fn starts_by(&self, pattern: Pattern) -> Vec<f64> {
        let Pattern::Step {
            step_in,
            first_joint_in,
        } = pattern
        else {
            return Vec::new();
        };
        let start = self.runs.first().map_or(0.0, RunLayout::farthest_left_in);
        let is_here = |u: f64| (u - start).abs() < pattern::ON_PATTERN_IN;
        let leading = (0..self.runs.len()).filter(|&i| self.leads(i));
        let is_straight = leading
            .map(|i| &self.runs[i])
            .all(|run| run.left_line_in.iter().all(|&(_, u)| is_here(u)));
        if !is_straight {
            return Vec::new();
        }
        let width = self.width_in;
        let start_of = |course: usize| {
            let at = (first_joint_in - course as f64 * step_in).rem_euclid(width);
            // A start narrower than a tape shows is a joint of the course's edge: the course begins with the next one.
            if at < pattern::ON_PATTERN_IN || width - at < pattern::ON_PATTERN_IN {
                width
            } else {
                at
            }
        };
        let comes_round = |courses: &usize| {
            let off = (*courses as f64 * step_in).rem_euclid(width);
            off.min(width - off) < pattern::ON_PATTERN_IN
        };
        let most = self.courses.min(LONGEST_CYCLE);
        let courses = (1..=most).find(comes_round).unwrap_or(0);
        (0..courses).map(start_of).collect()
    }

    /// The lag that opens the most runs with what the right end of a course below left.
    fn run_on_pattern(&self, shared: &Shared) -> Option<(Pattern, Vec<bool>)> {
        let lag_of = |i: usize| {
            let (run, end) = *shared.before.get(&(i, RunEnd::Opening))?;
            let below = self.runs[run].course;
            if end == RunEnd::Opening {
                return None;
            }
            self.runs[i].course.checked_sub(below).filter(|l| *l > 0)
        };
        let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
        for lag in (0..self.runs.len()).filter_map(lag_of) {
            *counts.entry(lag).or_default() += 1;
        }
        let most = counts.values().max()?;
        let lag = counts.iter().find(|(_, n)| *n == most).map(|(l, _)| *l)?;
        let follows = (0..self.runs.len())
            .map(|i| lag_of(i) == Some(lag))
            .collect();
        Some((Pattern::RunOn { lag }, follows))
    }

    /// Where offcuts go by one rule, if nearly all go there; marks the rows that keep it. Without a rule those keep it that
    /// take nothing and leave nothing.
    fn offcut_rule(&self, rows: &mut [CrewRow]) -> Option<i64> {
        let shared = |row: &CrewRow| {
            let ends = [row.opening, row.closing];
            ends.into_iter()
                .flat_map(EndPiece::shares_with)
                .flatten()
                .count()
        };
        let mut lags: Vec<i64> = self.pairs.iter().map(|pair| self.lag_of(*pair)).collect();
        lags.sort_unstable();
        lags.dedup();
        let parts = Parts::of(&self.runs);
        let best = lags
            .into_iter()
            .filter_map(|lag| Some((lag, self.keeping(lag, rows, &parts)?)))
            .max_by_key(|(lag, keeps)| {
                let kept = keeps.iter().filter(|keeps| **keeps).count();
                (kept, std::cmp::Reverse(lag.abs()), *lag)
            });
        let (lag, keeps) = match best {
            Some((lag, keeps)) => (Some(lag), keeps),
            None => (None, rows.iter().map(|row| shared(row) == 0).collect()),
        };
        for (row, keeps) in rows.iter_mut().zip(keeps) {
            row.offcuts_follow = keeps;
        }
        lag
    }

    /// Which rows keep the rule that the shingle that closes a run opens the run so many courses above it, in the same part
    /// of its course, wherever it is long enough for both; `None` where more than one in [`DEPARTING`] do not.
    fn keeping(&self, lag: i64, rows: &[CrewRow], parts: &Parts) -> Option<Vec<bool>> {
        let partner = |run: usize, end: RunEnd| -> Option<CrewEnd> {
            let other = match end {
                RunEnd::Opening => (parts.run_above(run, -lag)?, RunEnd::Closing),
                RunEnd::Closing => (parts.run_above(run, lag)?, RunEnd::Opening),
            };
            let (closing, opening) = match end {
                RunEnd::Opening => (other.0, run),
                RunEnd::Closing => (run, other.0),
            };
            self.is_enough_for(closing, opening).then_some(other)
        };
        let keeps = |row: usize, end: RunEnd| {
            let mut others = rows[row].end(end).shares_with().into_iter().flatten();
            others.next() == partner(row, end) && others.next().is_none()
        };
        let mut departing = 0;
        (0..rows.len())
            .map(|row| {
                let keeps = keeps(row, RunEnd::Opening) && keeps(row, RunEnd::Closing);
                departing += usize::from(!keeps);
                (DEPARTING * departing <= rows.len()).then_some(keeps)
            })
            .collect()
    }

    /// How many courses the run that a pair's shingle opens lies above the one that it closes.
    fn lag_of(&self, (closing, opening): (usize, usize)) -> i64 {
        self.runs[opening].course as i64 - self.runs[closing].course as i64
    }

    /// Whether one shingle closes one run and opens another.
    fn is_enough_for(&self, closing: usize, opening: usize) -> bool {
        let (closed, opened) = (&self.runs[closing], &self.runs[opening]);
        let (Some(last), Some(first)) = (closed.joints_in.last(), opened.joints_in.first()) else {
            // A run of one piece is told by itself.
            return true;
        };
        let heights = || {
            let lines = closed.right_line_in.iter().chain(&opened.left_line_in);
            lines.map(|point| point.0)
        };
        heights().all(|h| {
            let closes = at(&closed.right_line_in, h, f64::max) - last;
            let opens = first - at(&opened.left_line_in, h, f64::min);
            closes + opens <= self.width_in + SAME_IN
        })
    }

    fn crew_row(&self, index: usize, follows: bool, shared: &Shared) -> CrewRow {
        let run = &self.runs[index];
        let (left, right) = (run.farthest_left_in(), run.farthest_right_in());
        let (opens, closes) = ((index, RunEnd::Opening), (index, RunEnd::Closing));
        let is_shared =
            |end: &CrewEnd| shared.before.contains_key(end) || shared.after.contains_key(end);
        let (opening, closing) = match (run.joints_in.first(), run.joints_in.last()) {
            (Some(first), Some(last)) => (
                self.end_piece(opens, first - left, shared),
                self.end_piece(closes, right - last, shared),
            ),
            _ if is_shared(&closes) => {
                (EndPiece::None, self.end_piece(closes, right - left, shared))
            }
            _ => (self.end_piece(opens, right - left, shared), EndPiece::None),
        };
        CrewRow {
            course: run.course + 1,
            run: index,
            opening,
            whole: run.joints_in.len().saturating_sub(1),
            closing,
            follows,
            offcuts_follow: true,
        }
    }

    /// Of the pieces of one shingle, the one laid first is cut, and each further one comes out of what is left; in one run
    /// the opening piece is laid first.
    fn end_piece(&self, end: CrewEnd, length_in: f64, shared: &Shared) -> EndPiece {
        let save_for = shared.after.get(&end).copied();
        match shared.before.get(&end) {
            Some(&of) => EndPiece::Offcut {
                length_in,
                of,
                save_for,
            },
            None if save_for.is_none() && length_in >= self.width_in - SAME_IN => EndPiece::Whole,
            None => EndPiece::Cut {
                length_in,
                save_for,
            },
        }
    }
}

impl RunLayout {
    /// How far to the left the pieces of the run reach, in inches along the eave.
    pub fn farthest_left_in(&self) -> f64 {
        let line = self.left_line_in.iter().map(|p| p.1);
        line.reduce(f64::min).unwrap_or(self.butt_in.0)
    }
    /// How far to the right they reach.
    pub fn farthest_right_in(&self) -> f64 {
        let line = self.right_line_in.iter().map(|p| p.1);
        line.reduce(f64::max).unwrap_or(self.butt_in.1)
    }
}
