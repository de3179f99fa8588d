//! One face as the search sees it: what every run allows, and which runs' joints must keep apart.

use super::clear::{Clear, Cutouts};
use super::room::{RunRoom, ease, room};
use super::runs::Run;
use super::shapes::{shape_of, slack};
use super::whole::ceiling;
use super::{LayRules, ShingleFormat};

/// Lengths are the same within this part of a shingle's width: two pieces come out of one shingle that are longer than
/// it together by so much.
pub(super) const TOLERANCE: f64 = 1e-7;

/// Where the joints of a run lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Seat {
    /// The first joint in inches along the eave, and the number of whole shingles up to the last joint.
    Joints { first: f64, whole: usize },
    /// One piece, no joint. It may share a shingle with a closing piece (then it is the right part) or with an
    /// opening piece (then it is the left part).
    Single { as_closing: bool },
}

/// A face ready for the search. All lengths in inches.
pub(super) struct Problem {
    pub(super) width: f64,
    /// 1 / width: the search divides by nothing.
    per_width: f64,
    pub(super) tolerance: f64,
    /// What a course keeps from the next one, and from the next but one: there cutouts may lie in line, as they do in steps
    /// of half a tab.
    pub(super) next: Clear,
    pub(super) second: Clear,
    pub(super) runs: Vec<RunRoom>,
    /// `slack[left shape][right shape]`: how much less than the sum of their reaches an opening and a closing piece
    /// need where their outlines lean together, in inches (0 or less).
    pub(super) slack: Vec<Vec<f64>>,
}

impl Problem {
    pub(super) fn new(runs: &[Run], format: &ShingleFormat, rules: &LayRules) -> Self {
        let width = format.width_in;
        let tolerance = TOLERANCE * width;
        let mut left_shapes: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut right_shapes: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut rooms: Vec<RunRoom> = runs
            .iter()
            .map(|run| {
                let mut room = room(run, width, rules, tolerance);
                room.left_shape = shape_of(&run.left, &mut left_shapes, tolerance);
                room.right_shape = shape_of(&run.right, &mut right_shapes, tolerance);
                room
            })
            .collect();
        let mut start_of = vec![0usize];
        for (i, run) in runs.iter().enumerate() {
            while start_of.len() <= run.course {
                start_of.push(i);
            }
        }
        start_of.push(runs.len());
        let in_course = |c: usize| match (start_of.get(c), start_of.get(c + 1)) {
            (Some(&a), Some(&b)) => a..b,
            _ => 0..0,
        };
        let next = Clear {
            joint: rules.joint_distance_in,
            cutouts: Cutouts::of(format, rules),
        };
        let second = Clear::of_joints(rules.second_joint_distance_in);
        let around: Vec<[Vec<usize>; 2]> = rooms
            .iter()
            .map(|room| {
                [(1, next), (2, second)].map(|(d, clear)| {
                    let c = room.course;
                    let below = if c >= d { in_course(c - d) } else { 0..0 };
                    let all = below.chain(in_course(c + d));
                    all.filter(|&other| room.is_near(&rooms[other], clear.joint))
                        .collect()
                })
            })
            .collect();
        for (room, [next, second]) in rooms.iter_mut().zip(around) {
            room.next = next;
            room.second = second;
        }
        let slack = left_shapes
            .iter()
            .map(|l| right_shapes.iter().map(|r| slack(l, r)).collect())
            .collect();
        Self {
            width,
            per_width: 1.0 / width,
            tolerance,
            next,
            second,
            runs: rooms,
            slack,
        }
    }

    /// Lets the end pieces of a run be shorter.
    pub(super) fn ease(&mut self, runs: &[Run], run: usize, least_piece: f64) {
        let (width, tolerance) = (self.width, self.tolerance);
        ease(
            &mut self.runs[run],
            &runs[run],
            width,
            least_piece,
            tolerance,
        );
    }

    /// The runs that a run keeps away from, each with what to keep.
    pub(super) fn around(&self, run: usize) -> impl Iterator<Item = (usize, Clear)> + '_ {
        let room = &self.runs[run];
        let next = room.next.iter().map(|&run| (run, self.next));
        let second = room.second.iter();
        next.chain(second.map(|&run| (run, self.second)))
    }

    /// For every run the range of runs within so many courses of it.
    pub(super) fn within(&self, courses: usize) -> Vec<(u32, u32)> {
        let (mut from, mut to) = (0, 0);
        self.runs
            .iter()
            .map(|run| {
                let far =
                    |other: usize| run.course.saturating_sub(courses) > self.runs[other].course;
                while far(from) {
                    from += 1;
                }
                let last = run.course.saturating_add(courses);
                while to < self.runs.len() && self.runs[to].course <= last {
                    to += 1;
                }
                (from as u32, to as u32)
            })
            .collect()
    }

    /// The last joint.
    pub(super) fn last(&self, first: f64, whole: usize) -> f64 {
        first + whole as f64 * self.width
    }

    /// Length of the opening piece, as far as it reaches; `None` where the run has none that a closing piece could
    /// share a shingle with.
    pub(super) fn opening(&self, run: usize, seat: Seat) -> Option<f64> {
        let room = &self.runs[run];
        match seat {
            Seat::Joints { first, .. } => Some(first - room.left_reach),
            Seat::Single { as_closing: false } => Some(room.right_reach - room.left_reach),
            Seat::Single { as_closing: true } => None,
        }
    }

    /// Length of the closing piece.
    pub(super) fn closing(&self, run: usize, seat: Seat) -> Option<f64> {
        let room = &self.runs[run];
        match seat {
            Seat::Joints { first, whole } => Some(room.right_reach - self.last(first, whole)),
            Seat::Single { as_closing: true } => Some(room.right_reach - room.left_reach),
            Seat::Single { as_closing: false } => None,
        }
    }

    /// Whether the opening piece of one run and the closing piece of another come out of one shingle.
    pub(super) fn share(&self, opening: (usize, f64), closing: (usize, f64)) -> bool {
        let slack = self.slack[self.runs[opening.0].left_shape][self.runs[closing.0].right_shape];
        opening.1 + closing.1 + slack <= self.width + self.tolerance
    }

    /// The seat whose joints lie at a phase, if the run allows it.
    pub(super) fn seat_at(&self, run: usize, phase: f64) -> Option<Seat> {
        self.runs[run].ranges.iter().find_map(|r| {
            let k = ceiling((r.low - phase - self.tolerance) * self.per_width);
            let first = phase + k * self.width;
            (first <= r.high + self.tolerance).then_some(Seat::Joints {
                first,
                whole: r.whole,
            })
        })
    }

    /// A length once round the shingle: from 0 to the width, but for rounding.
    pub(super) fn once_round(&self, length: f64) -> f64 {
        length + ceiling(-length * self.per_width) * self.width
    }

    /// Whether two seats keep off each other everywhere.
    pub(super) fn apart(&self, a: Seat, b: Seat, clear: &Clear) -> bool {
        let (Seat::Joints { first: fa, .. }, Seat::Joints { first: fb, .. }) = (a, b) else {
            return true;
        };
        let keeps = |gap: f64| gap >= clear.joint - self.tolerance;
        let right = self.once_round(fb - fa);
        // What keeps off joints all along, as it mostly is, keeps off those that there are.
        let all_along = keeps(right) && keeps(self.width - right);
        let nearest = || self.nearest_gaps(a, b);
        (all_along || nearest().is_none_or(|gaps| gaps.into_iter().all(keeps)))
            && clear.cutouts.is_none_or(|cutouts| {
                let nearest = Self::nearest_cutouts(a, b, cutouts);
                nearest.is_none_or(|gap| gap >= cutouts.distance - self.tolerance)
            })
    }

    /// How near joints of two seats come to each other, and how near cutouts do, each with the distance asked; where both have
    /// joints, and where there are cutouts.
    pub(super) fn gaps(&self, a: Seat, b: Seat, clear: Clear) -> [Option<(f64, f64)>; 2] {
        let joints = self.distance(a, b).map(|gap| (gap, clear.joint));
        let cutouts = clear.cutouts.and_then(|cutouts| {
            let nearest = Self::nearest_cutouts(a, b, cutouts)?;
            Some((nearest, cutouts.distance))
        });
        [joints, cutouts]
    }

    /// The least distance between cutouts or joints of two seats that lie over each other, if both have joints.
    fn nearest_cutouts(a: Seat, b: Seat, cutouts: Cutouts) -> Option<f64> {
        match (a, b) {
            (Seat::Joints { first: a, .. }, Seat::Joints { first: b, .. }) => {
                Some(cutouts.nearest(b - a))
            }
            _ => None,
        }
    }

    /// The least distance between any joints of two seats, if both have joints.
    pub(super) fn distance(&self, a: Seat, b: Seat) -> Option<f64> {
        self.nearest_gaps(a, b).map(|[left, right]| left.min(right))
    }

    /// How far the joints of two seats are apart where they come nearest, the one to the left and the one to the right;
    /// where the runs are too short for one of them, the nearest that there is on that side.
    fn nearest_gaps(&self, a: Seat, b: Seat) -> Option<[f64; 2]> {
        let (
            Seat::Joints {
                first: fa,
                whole: na,
            },
            Seat::Joints {
                first: fb,
                whole: nb,
            },
        ) = (a, b)
        else {
            return None;
        };
        // Joints of a lie at fa + iW, those of b at fb + jW: the gap is (fb − fa) + kW with k = j − i, from −na to nb.
        let gap = fb - fa;
        let right = ceiling(-gap * self.per_width);
        let (least, most) = (-(na as f64), nb as f64);
        let at = |k: f64| (gap + k.max(least).min(most) * self.width).abs();
        Some([at(right - 1.0), at(right)])
    }

    /// Whether a seat keeps its distances from the seats of the neighbouring courses that are set.
    pub(super) fn agrees(&self, run: usize, seat: Seat, seats: &[Option<Seat>]) -> bool {
        let room = &self.runs[run];
        let keeps = |near: &[usize], clear: Clear| {
            near.iter()
                .all(|&j| seats[j].is_none_or(|other| self.apart(seat, other, &clear)))
        };
        keeps(&room.next, self.next) && keeps(&room.second, self.second)
    }

    /// The first place that a run allows, whatever its neighbours do.
    pub(super) fn any_seat(&self, run: usize) -> Seat {
        let first = self.runs[run].ranges.first();
        first.map_or(Seat::Single { as_closing: false }, |r| Seat::Joints {
            first: r.low,
            whole: r.whole,
        })
    }

    /// Places of a grid within one shingle.
    pub(super) fn cells(&self, grid: f64) -> usize {
        (self.width / grid).round().max(1.0) as usize
    }

    /// Pieces of a whole layout.
    pub(super) fn pieces_of(seats: &[Seat]) -> usize {
        seats.iter().map(|&seat| Self::pieces(seat)).sum()
    }

    /// Pieces that the seat asks for, whole and cut.
    pub(super) fn pieces(seat: Seat) -> usize {
        match seat {
            Seat::Joints { whole, .. } => whole + 2,
            Seat::Single { .. } => 1,
        }
    }
}
