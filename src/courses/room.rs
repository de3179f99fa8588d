//! What the rules for end pieces and valleys leave a run: where its first joint may lie.

use super::LayRules;
use super::ends::End;
use super::runs::Run;
use super::whole::floor;

/// A range of the first joint with the number of whole shingles that goes with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Range {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) whole: usize,
}

/// What a run allows.
#[derive(Clone, Debug)]
pub(super) struct RunRoom {
    pub(super) course: usize,
    /// How far out pieces must reach at the left and at the right, in u.
    pub(super) left_reach: f64,
    pub(super) right_reach: f64,
    /// Where the first joint may be.
    pub(super) ranges: Vec<Range>,
    /// Whether one piece may cover the run.
    pub(super) single: bool,
    /// Indices into [`Problem::slack`].
    pub(super) left_shape: usize,
    pub(super) right_shape: usize,
    /// Runs of the next course up and of the next but one, and down, whose joints may come too near.
    pub(super) next: Vec<usize>,
    pub(super) second: Vec<usize>,
    /// The least end piece that had to be allowed, where the rule's left no room.
    pub(super) relaxed_piece: Option<f64>,
    /// Whether the joint keep-out of a through valley had to be given up.
    pub(super) relaxed_clear: bool,
    /// Whether an end leans by more than a shingle within the course: then the one place left is not by the rules.
    pub(super) leans: bool,
}

impl RunRoom {
    /// Whether joints of two runs of unlike courses may come as near as this, in inches.
    pub(super) fn is_near(&self, other: &Self, distance: f64) -> bool {
        self.left_reach < other.right_reach + distance
            && other.left_reach < self.right_reach + distance
    }
}

/// What a run allows, the rules for its ends relaxed in steps where they leave it nothing.
pub(super) fn room(run: &Run, width: f64, rules: &LayRules, tolerance: f64) -> RunRoom {
    let left_reach = run.left.reach();
    let right_reach = -run.right.reach();
    let single = right_reach - left_reach <= width + tolerance;
    let mut room = RunRoom {
        course: run.course,
        left_reach,
        right_reach,
        ranges: Vec::new(),
        single,
        left_shape: 0,
        right_shape: 0,
        next: Vec::new(),
        second: Vec::new(),
        relaxed_piece: None,
        relaxed_clear: false,
        leans: false,
    };
    for clear in [true, false] {
        for part in [1.0, 0.75, 0.5, 0.25, 0.0] {
            let least_piece = rules.least_piece_in * part;
            room.ranges = ranges(run, width, least_piece, clear, tolerance);
            if !room.ranges.is_empty() || single {
                room.relaxed_piece = (part < 1.0).then_some(least_piece);
                room.relaxed_clear = !clear;
                return room;
            }
        }
    }
    // An end leans by more than a shingle within one course, and no joint keeps the end pieces within a shingle. The
    // crew lays whole shingles from the left and trims them to the line: as many as its whole reach takes.
    let first = left_reach + width;
    room.ranges = vec![Range {
        low: first,
        high: first,
        whole: (((right_reach - left_reach - tolerance) / width).ceil() - 2.0).max(0.0) as usize,
    }];
    room.leans = true;
    room
}

/// Lets the end pieces of a run be shorter than it allowed so far, where that leaves it any place.
pub(super) fn ease(room: &mut RunRoom, run: &Run, width: f64, least_piece: f64, tolerance: f64) {
    let is_less = room.relaxed_piece.is_none_or(|piece| least_piece < piece);
    if room.leans || !is_less {
        return;
    }
    let eased = ranges(run, width, least_piece, !room.relaxed_clear, tolerance);
    if !eased.is_empty() {
        room.ranges = eased;
        room.relaxed_piece = Some(least_piece);
    }
}

/// The farthest in that an end comes at mid exposure, of a whole and of a shortened course: the stricter of the two.
pub(super) fn innermost_at_middle(run: &Run, end: &End) -> f64 {
    let middles = [run.strip / 2.0, run.exposure / 2.0];
    let innermost = middles.map(|h| end.innermost_at(h));
    innermost[0].max(innermost[1])
}

/// Where the first joint may lie: the opening piece no longer than a shingle and no shorter than the least piece,
/// the same at the right end, no joint in a keep-out.
fn ranges(run: &Run, width: f64, least_piece: f64, clear: bool, tolerance: f64) -> Vec<Range> {
    let nearest = |end: &End| {
        let piece = innermost_at_middle(run, end) + least_piece;
        let keep_out = end.least_joint.filter(|_| clear);
        piece
            .max(keep_out.unwrap_or(f64::NEG_INFINITY))
            .max(end.reach())
    };
    let first_low = nearest(&run.left);
    let first_high = run.left.reach() + width;
    let last_high = -nearest(&run.right);
    let last_low = -(run.right.reach() + width);
    // Two at most on any but a leaning run.
    let mut found = Vec::with_capacity(2);
    // Most whole shingles first: the first joint farthest to the left.
    let most = floor((last_high - first_low + tolerance) / width);
    let mut n = most;
    while n >= 0.0 {
        let low = first_low.max(last_low - n * width);
        let high = first_high.min(last_high - n * width);
        if low > first_high + tolerance {
            break;
        }
        if high >= low - tolerance {
            found.push(Range {
                low,
                high: high.max(low),
                whole: n as usize,
            });
        }
        n -= 1.0;
    }
    found
}
