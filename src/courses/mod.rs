//! Shingles laid course by course on the true shape of every face. Inches throughout.

mod before;
mod best;
mod bound;
mod candidates;
mod chain;
mod changeover;
mod choices;
mod clear;
mod compare;
mod crew;
mod cycle;
mod dual;
mod effort;
mod ends;
mod face;
mod format;
pub mod formats;
mod grid;
mod hall;
mod handiest;
mod known;
mod lay;
mod layout;
mod level;
mod matching;
mod nailing;
mod one_piece;
mod pairing;
mod path;
mod pattern;
#[cfg(test)]
mod plain_faces;
mod problem;
mod profile;
mod random;
mod ranking;
mod recut;
mod regular;
mod room;
mod rules;
mod runs;
mod search;
mod shapes;
mod short_of_room;
mod size;
mod suggest;
mod tally;
mod tell;
mod threshold;
mod tree;
mod whole;
mod wished;

pub use before::LaidBefore;
pub use changeover::{Changeover, changeover, endless_clearance_in, longest_clean_run_in};
pub use choices::{Choices, LEAST_NAILS_A_STRIP, Layout, StartCorner};
pub use compare::{Compared, Comparison, compare};
pub use crew::{CrewEnd, CrewRow, CrewSheet, EndPiece, Pattern};
pub use cycle::{StartCycle, start_cycle};
pub use effort::Effort;
pub use face::{CourseFace, EdgeKind, FaceRing, through_face, unfold, unfold_with};
pub use format::{FormatSource, ShingleFormat};
pub use lay::{lay_face, lay_face_with, lay_faces};
pub use layout::{CutAgain, Piece, PieceKind, RunEnd};
pub(crate) use level::level_sides;
pub use nailing::Nailing;
pub use rules::{LayRules, Reuse, ValleyType};
pub(crate) use tell::course_words;

pub use suggest::{Suggested, Suggestion, suggestions};

use crate::Finding;
use crate::roof::{FaceId, Roof};

/// Parts of a course that run onto each other by less than this are taken to meet, in inches.
const CROSSING_IN: f64 = 0.5;

/// The layout of a whole roof in one format.
#[derive(Clone, Debug)]
pub struct Courses {
    /// The format laid.
    pub format: ShingleFormat,
    /// The rules kept.
    pub rules: LayRules,
    /// The user's choices that it was laid by.
    pub choices: Choices,
    /// One layout a face that takes shingles, in the roof's order of faces; faces too flat for shingles by the choices' limits
    /// are absent.
    pub faces: Vec<FaceLayout>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// The layout of one face. Counts are whole shingles unless they say pieces.
#[derive(Clone, Debug)]
pub struct FaceLayout {
    /// The face.
    pub face: FaceId,
    /// Net area to be covered, in square inches on the slope.
    pub net_area_sqin: f64,
    /// Number of courses.
    pub courses: usize,
    /// Runs in order of course, then from left to right, seen from outside with the eave down.
    pub runs: Vec<RunLayout>,
    /// Pairs cut from one shingle: (run whose right end takes the piece with the factory left end, run whose left
    /// end takes the piece with the factory right end), as indices into `runs`.
    pub pairs: Vec<(usize, usize)>,
    /// Pieces cut from what the pieces of a shingle leave of it; only where square cuts are allowed.
    pub cut_again: Vec<CutAgain>,
    /// Shingles opened with the reuse that the rules allow.
    pub opened: usize,
    /// Shingles opened if no offcut were used again.
    pub opened_without_reuse: usize,
    /// Proven: no layout under the rules opens fewer.
    pub bound: usize,
    /// Pieces laid, whole and cut.
    pub pieces_laid: usize,
    /// Cuts made.
    pub cuts: usize,
    /// Pieces laid out of an offcut.
    pub offcuts_reused: usize,
    /// End pieces narrower than twice the least piece.
    pub short_pieces: usize,
    /// The smallest distance between joints of neighbouring courses, in inches; `None` with no two joints to compare.
    pub smallest_joint_distance_in: Option<f64>,
    /// Where joints or cutouts lie nearer to each other than the rules ask, since no layout found keeps them all.
    pub close_joints: Vec<CloseJoints>,
    /// Courses, from 0 at the eave, with a run too short for its joints to keep off a valley's centre line as the rules ask.
    pub joints_near_valley: Vec<usize>,
    /// What is left of the slope above the last whole exposure, in inches.
    pub ridge_remainder_in: f64,
    /// Whether the top course was left out because the cap covers the remainder.
    pub cap_covers_remainder: bool,
    /// Most offcuts waiting at one time.
    pub largest_pile: usize,
    /// The longest wait of an offcut, in courses.
    pub longest_wait_courses: usize,
    /// Width of the shingle laid.
    pub width_in: f64,
    /// Its exposure.
    pub exposure_in: f64,
    /// The corner that the courses start from.
    pub start: StartCorner,
    /// Repeated steps that keep every rule without an exception, each with the shingles opened, the fewest first;
    /// counted without regard to how long offcuts wait.
    pub steps: Vec<StepOption>,
    /// What was noticed on this face.
    pub findings: Vec<Finding>,
}

/// Joints nearer to those of the next course, or to those of the next but one, than the rules ask; or cutouts nearer to those
/// of the next course.
#[derive(Clone, Debug, PartialEq)]
pub struct CloseJoints {
    /// Whether joints keep their distance, and cutouts between them do not.
    pub is_of_cutouts: bool,
    /// The courses that have such joints, from 0 at the eave, in ascending order.
    pub courses: Vec<usize>,
    /// The two courses where joints come nearest.
    pub nearest: (usize, usize),
    /// How near, in inches.
    pub distance_in: f64,
    /// How far apart the rules ask those to be, in inches.
    pub asked_in: f64,
}

impl CloseJoints {
    /// What comes too near.
    pub(crate) fn what(&self) -> &'static str {
        match self.is_of_cutouts {
            true => "cutouts",
            false => "joints",
        }
    }

    /// What they are too near to.
    pub(crate) fn other(&self) -> &'static str {
        match self.nearest.1.abs_diff(self.nearest.0) {
            1 => "those of the next course",
            _ => "those of the next course but one",
        }
    }
}

/// One run of one course: a stretch without interruption.
#[derive(Clone, Debug)]
pub struct RunLayout {
    /// Course, from 0 at the eave.
    pub course: usize,
    /// Left and right end at the butt line, in inches along the eave, overhangs and laps included.
    pub butt_in: (f64, f64),
    /// Left and right end at the top of the exposed strip.
    pub top_in: (f64, f64),
    /// Height of the butt line above the face's lowest eave, up the slope, in inches.
    pub butt_height_in: f64,
    /// The joints between pieces, from left to right, in inches along the eave; empty for a single piece.
    pub joints_in: Vec<f64>,
    /// Height of the exposed strip: the exposure, or less at the top.
    pub strip_in: f64,
    /// The line that the left end is cut to, as (height above the butt line, u), up to the top of the pieces.
    pub left_line_in: Vec<(f64, f64)>,
    /// The line that the right end is cut to.
    pub right_line_in: Vec<(f64, f64)>,
}

/// A repeated offset from course to course, and what it costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepOption {
    /// How far every course's joints lie to the left of the course below.
    pub offset_in: f64,
    /// Shingles opened with the best first joint.
    pub opened: usize,
}

impl FaceLayout {
    /// Courses, from 0, of which two parts run over a ridge and onto each other: above a dormer or a wing both run through its
    /// valleys, and each reaches as far past its own as the lap asks.
    pub fn crossing_courses(&self) -> Vec<usize> {
        let pairs = self.runs.windows(2);
        let crossing = pairs.filter(|two| {
            let (left, right) = (&two[0], &two[1]);
            let ends = left.butt_in.1.max(left.top_in.1);
            let begins = right.butt_in.0.min(right.top_in.0);
            left.course == right.course && ends - begins > CROSSING_IN
        });
        let mut courses: Vec<usize> = crossing.map(|two| two[0].course).collect();
        courses.dedup();
        courses
    }
    /// 100 × (area of so many shingles − net area) / net area.
    pub fn waste_percent_of(&self, shingles: usize) -> f64 {
        waste_percent(
            shingles,
            self.width_in * self.exposure_in,
            self.net_area_sqin,
        )
    }
}

fn waste_percent(shingles: usize, shingle_sqin: f64, net_sqin: f64) -> f64 {
    if net_sqin > 0.0 {
        100.0 * (shingles as f64 * shingle_sqin - net_sqin) / net_sqin
    } else {
        0.0
    }
}

impl Courses {
    /// A face unfolded as it was laid.
    ///
    /// # Errors
    /// As [`unfold`].
    pub fn unfold(&self, roof: &Roof, face: FaceId) -> Result<CourseFace, Finding> {
        unfold_with(roof, face, &self.rules, &self.choices)
    }
    /// Whole shingles opened on all faces.
    pub fn opened(&self) -> usize {
        self.faces.iter().map(|f| f.opened).sum()
    }
    /// The proven bound over all faces.
    pub fn bound(&self) -> usize {
        self.faces.iter().map(|f| f.bound).sum()
    }
    /// Shingles opened if no offcut were used again.
    pub fn opened_without_reuse(&self) -> usize {
        self.faces.iter().map(|f| f.opened_without_reuse).sum()
    }
    /// Pieces laid.
    pub fn pieces_laid(&self) -> usize {
        self.faces.iter().map(|f| f.pieces_laid).sum()
    }
    /// Cuts made.
    pub fn cuts(&self) -> usize {
        self.faces.iter().map(|f| f.cuts).sum()
    }
    /// Pieces laid out of an offcut.
    pub fn offcuts_reused(&self) -> usize {
        self.faces.iter().map(|f| f.offcuts_reused).sum()
    }
    /// The smallest distance between joints of neighbouring courses on any face, in inches.
    pub fn smallest_joint_distance_in(&self) -> Option<f64> {
        let all = self
            .faces
            .iter()
            .filter_map(|f| f.smallest_joint_distance_in);
        all.reduce(f64::min)
    }
    /// Net area in square inches.
    pub fn net_area_sqin(&self) -> f64 {
        self.faces.iter().map(|f| f.net_area_sqin).sum()
    }
    /// 100 × (area opened − net area) / net area, the area of a shingle being width × exposure.
    pub fn waste_percent(&self) -> f64 {
        self.waste_percent_of(self.opened())
    }
    /// The same, if no offcut were used again.
    pub fn waste_percent_without_reuse(&self) -> f64 {
        self.waste_percent_of(self.opened_without_reuse())
    }
    /// The same, of a number of shingles for the whole roof.
    pub fn waste_percent_of(&self, shingles: usize) -> f64 {
        waste_percent(
            shingles,
            self.format.exposed_area_sqin(),
            self.net_area_sqin(),
        )
    }
    /// Bundles for the shingles opened, rounded up once for the roof.
    pub fn bundles(&self) -> usize {
        self.opened()
            .div_ceil(self.format.pieces_per_bundle.max(1) as usize)
    }
    /// Weight of the shingles opened, in pounds; `None` where the format does not state it.
    pub fn weight_lb(&self) -> Option<f64> {
        let bundles = self.opened() as f64 / f64::from(self.format.pieces_per_bundle.max(1));
        (self.format.bundle_weight_lb > 0.0).then_some(bundles * self.format.bundle_weight_lb)
    }
}
