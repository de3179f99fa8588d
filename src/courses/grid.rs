//! Layouts in one repeated step, tried in bulk: every run's places are a word of bits, one bit for each place of the
//! grid within a shingle, so that the nearest place that keeps its distances is found without a search, and a layout is
//! counted by how many pieces of each length it has.

use super::candidates::Seats;
use super::problem::{Problem, Seat};
use super::search::Score;
use super::threshold::Extra;

/// Lengths are told apart to this part of the grid when layouts are compared.
const FINER: usize = 3;

/// Room to count in: openings and what closings leave, for every unit.
const TALLIES: usize = 2 * (64 * FINER + 1);

/// What a run has at one place of the grid.
#[derive(Clone, Copy, Debug, Default)]
struct Cell {
    /// The opening piece's length in units, rounded up.
    opening: u8,
    /// What the closing piece leaves of a shingle in units, rounded down.
    left: u8,
    whole: u16,
}

/// A run before another whose joints may come near to it.
#[derive(Clone, Copy, Debug)]
struct Near {
    run: u32,
    /// 0 for the next course, 1 for the next but one.
    far: u8,
}

/// All places of the grid for all runs.
pub(super) struct Grid<'a> {
    problem: &'a Problem,
    /// Places within one shingle, 64 at most.
    cells: usize,
    /// Where place 0 is.
    start: f64,
    /// The distance between two places.
    pub(super) pitch: f64,
    per_pitch: f64,
    /// Units in a shingle.
    units: usize,
    allowed: Vec<u64>,
    table: Vec<Cell>,
    near: Vec<Near>,
    /// Run i's neighbours are `near[near_of[i]..near_of[i + 1]]`.
    near_of: Vec<u32>,
    /// For every place, what a joint there forbids in the next course, and in the next but one; nothing at the place
    /// of a run of one piece.
    forbidden: [[u64; SINGLE as usize + 1]; 2],
}

/// The place of a run of one piece.
const SINGLE: u8 = 64;

impl<'a> Grid<'a> {
    /// `None` where the grid has too many places for a word.
    pub(super) fn new(problem: &'a Problem, pitch: f64) -> Option<Self> {
        let cells = (problem.width / pitch).round().max(1.0) as usize;
        let units = cells * FINER;
        if cells > 64 || units >= usize::from(u8::MAX) {
            return None;
        }
        let mut grid = Self {
            problem,
            cells,
            start: problem.runs.first().map_or(0.0, |r| r.left_reach),
            pitch,
            per_pitch: 1.0 / pitch,
            units,
            allowed: Vec::with_capacity(problem.runs.len()),
            table: vec![Cell::default(); problem.runs.len() * cells],
            near: Vec::new(),
            near_of: vec![0],
            forbidden: [problem.joint_distance, problem.second_distance]
                .map(|distance| forbidden(cells, pitch, distance - problem.tolerance))
                .map(|at_0| {
                    let mut at = [0; SINGLE as usize + 1];
                    for (place, bits) in (0..).zip(&mut at[..cells]) {
                        *bits = turned(at_0, place, cells);
                    }
                    at
                }),
        };
        let extra = Extra::new(problem);
        for run in 0..problem.runs.len() {
            grid.fill_row(run, &extra);
            grid.note_near(run);
        }
        Some(grid)
    }

    fn fill_row(&mut self, run: usize, extra: &Extra) {
        let problem = self.problem;
        let room = &problem.runs[run];
        let per_unit = self.units as f64 / problem.width;
        let tolerance = problem.tolerance * per_unit;
        let most = self.units as f64;
        let mut allowed = 0;
        for range in &room.ranges {
            let first = ((range.low - problem.tolerance - self.start) / self.pitch).ceil() as i64;
            let last = ((range.high + problem.tolerance - self.start) / self.pitch).floor() as i64;
            for k in first..=last {
                let cell = k.rem_euclid(self.cells as i64) as usize;
                if allowed & (1 << cell) != 0 {
                    continue;
                }
                allowed |= 1 << cell;
                let joint = self.start + k as f64 * self.pitch;
                let opening = joint - room.left_reach + extra.left[room.left_shape];
                let closing = room.right_reach - problem.last(joint, range.whole)
                    + extra.right[room.right_shape];
                let left = problem.width - closing;
                self.table[run * self.cells + cell] = Cell {
                    opening: (opening * per_unit - tolerance).ceil().clamp(0.0, most) as u8,
                    left: (left * per_unit + tolerance).floor().clamp(0.0, most) as u8,
                    whole: range.whole.min(usize::from(u16::MAX)) as u16,
                };
            }
        }
        self.allowed.push(allowed);
    }

    /// Notes the runs below whose joints may come near.
    fn note_near(&mut self, run: usize) {
        let problem = self.problem;
        let room = &problem.runs[run];
        for (far, (list, distance)) in [
            (&room.next, problem.joint_distance),
            (&room.second, problem.second_distance),
        ]
        .into_iter()
        .enumerate()
        {
            for &other in list.iter().filter(|&&j| j < run) {
                let below = &problem.runs[other];
                if room.left_reach < below.right_reach + distance
                    && below.left_reach < room.right_reach + distance
                {
                    self.near.push(Near {
                        run: other as u32,
                        far: far as u8,
                    });
                }
            }
        }
        self.near_of.push(self.near.len() as u32);
    }

    pub(super) fn cells(&self) -> usize {
        self.cells
    }

    /// The places, one bit each, from which every run can be laid at its step: what `stepped` calls being at its step,
    /// found for all origins at once.
    pub(super) fn pure_origins(&self, step: usize) -> u64 {
        let cells = self.cells;
        let too_close = |near: &Near| {
            let between = (1 + usize::from(near.far)) * step % cells;
            self.forbidden[usize::from(near.far)][0] & (1 << between) != 0
        };
        if self.near.iter().any(too_close) {
            return 0;
        }
        let runs = self.problem.runs.iter().zip(&self.allowed);
        runs.fold(u64::MAX >> (64 - cells), |origins, (room, &allowed)| {
            origins & turned(allowed, (room.course * step % cells) as u8, cells)
        })
    }

    /// The place so many places to the left of another, round the grid; both below its number of places.
    fn to_the_left(&self, place: usize, step: usize) -> usize {
        let round = if place >= step { 0 } else { self.cells };
        place + round - step
    }

    /// The places of a layout with every run at its step.
    pub(super) fn at_steps(&self, origin: usize, step: usize, places: &mut Vec<u8>) {
        let step = step % self.cells;
        let (mut course, mut target) = (0, origin % self.cells);
        places.clear();
        places.extend(self.problem.runs.iter().map(|room| {
            while course < room.course {
                course += 1;
                target = self.to_the_left(target, step);
            }
            target as u8
        }));
    }

    /// Lays every course `step` places to the left of the course below, or at the nearest place that the rules allow.
    /// Puts the places into `places` and says whether every run found one.
    pub(super) fn stepped(&self, origin: usize, step: usize, places: &mut Vec<u8>) -> bool {
        places.clear();
        let (cells, step) = (self.cells, step % self.cells);
        let (mut course, mut target) = (0, origin % cells);
        for (run, room) in self.problem.runs.iter().enumerate() {
            while course < room.course {
                course += 1;
                target = self.to_the_left(target, step);
            }
            let mut free = self.allowed[run];
            for near in &self.near[self.near_of[run] as usize..self.near_of[run + 1] as usize] {
                let there = places[near.run as usize];
                free &= !self.forbidden[usize::from(near.far)][usize::from(there)];
            }
            if free & (1 << target) != 0 {
                places.push(target as u8);
                continue;
            }
            if free == 0 {
                if !room.single {
                    return false;
                }
                places.push(SINGLE);
                continue;
            }
            places.push(nearest(free, target, cells));
        }
        true
    }

    /// Opens every course with what the right end of the course `lag` below leaves of its last shingle, or at the
    /// nearest place that the rules allow; the first `lag` courses go in repeated steps. Says whether every run found
    /// a place.
    pub(super) fn run_on(&self, lag: usize, step: f64, seats: &mut Vec<Seat>) -> bool {
        seats.clear();
        let problem = self.problem;
        for (run, room) in problem.runs.iter().enumerate() {
            let left_by = problem.runs[..run]
                .iter()
                .rposition(|below| below.course + lag <= room.course)
                .filter(|&j| problem.runs[j].course + lag == room.course);
            let target = match left_by.and_then(|j| problem.closing(j, seats[j])) {
                Some(closing) => room.left_reach + problem.width - closing,
                None => room.left_reach + problem.width - room.course as f64 * step,
            };
            let near = &self.near[self.near_of[run] as usize..self.near_of[run + 1] as usize];
            let exact = problem.seat_at(run, target).filter(|&seat| {
                near.iter().all(|near| {
                    let distance = match near.far {
                        0 => problem.joint_distance,
                        _ => problem.second_distance,
                    };
                    problem.apart(seat, seats[near.run as usize], distance)
                })
            });
            let seat = exact.or_else(|| {
                let mut free = self.allowed[run];
                for near in near {
                    if let Seat::Joints { first, .. } = seats[near.run as usize] {
                        free &= !self.forbidden_by(first, usize::from(near.far));
                    }
                }
                if free == 0 {
                    return None;
                }
                let place = self.place_under(target);
                problem.seat_at(run, self.at(usize::from(nearest(free, place, self.cells))))
            });
            match seat {
                Some(seat) => seats.push(seat),
                None if room.single => seats.push(Seat::Single { as_closing: false }),
                None => return false,
            }
        }
        true
    }

    /// The place of the grid at a joint or next to the left of it.
    fn place_under(&self, joint: f64) -> usize {
        let places = (joint - self.start + self.problem.tolerance) * self.per_pitch;
        // Cut down to a whole number without a call, as on plain x86-64 `f64::floor` is.
        let cut = places as i64;
        let floor = if places < cut as f64 { cut - 1 } else { cut };
        floor.rem_euclid(self.cells as i64) as usize
    }

    /// The places that a joint anywhere forbids: those that a joint on the places to the left and right of it forbid.
    fn forbidden_by(&self, joint: f64, far: usize) -> u64 {
        let under = self.place_under(joint);
        self.forbidden[far][under] | self.forbidden[far][(under + 1) % self.cells]
    }

    /// Counts a layout, unless it opens more than `most` however well its pieces fit. Offcuts may wait as long as they
    /// must; what nearly fits may be counted as not fitting.
    pub(super) fn count(&self, places: &[u8], most: usize) -> Option<Score> {
        let mut tally = [0_i16; TALLIES];
        let (mut pieces, mut closings) = (0, 0);
        for (row, &place) in places.iter().enumerate() {
            if place == SINGLE {
                // As an opening piece; there are few of them, and the search looks at both.
                let room = &self.problem.runs[row];
                let wide = (room.right_reach - room.left_reach) / self.problem.width;
                let wide = (wide * self.units as f64)
                    .ceil()
                    .clamp(0.0, self.units as f64);
                tally[wide as usize * 2] += 1;
                pieces += 1;
                continue;
            }
            let cell = self.table[row * self.cells + usize::from(place)];
            tally[usize::from(cell.opening) * 2] += 1;
            tally[usize::from(cell.left) * 2 + 1] += 1;
            pieces += usize::from(cell.whole) + 2;
            closings += 1;
        }
        if pieces - closings > most {
            return None;
        }
        // Hall's condition, the longest closing pieces first.
        let (mut short, mut worst, mut missing) = (0_i32, 0_i32, 0_i32);
        for pair in tally[..2 * (self.units + 1)].chunks_exact(2) {
            let closes = i32::from(pair[1]);
            short += closes - i32::from(pair[0]);
            worst = worst.max(short);
            missing += closes * short.max(0);
        }
        Some(Score {
            opened: pieces - closings + worst as usize,
            missing: missing as usize,
        })
    }

    /// The seats at the places of a layout.
    pub(super) fn seats(&self, places: &[u8]) -> Vec<Seat> {
        places
            .iter()
            .enumerate()
            .map(|(run, &place)| {
                let at = self.start + f64::from(place) * self.pitch;
                match place {
                    SINGLE => Seat::Single { as_closing: false },
                    _ => self
                        .problem
                        .seat_at(run, at)
                        .unwrap_or_else(|| self.problem.any_seat(run)),
                }
            })
            .collect()
    }

    /// The layout with every run at its step.
    pub(super) fn laid(&self, origin: usize, step: usize) -> Vec<Seat> {
        let mut places = Vec::new();
        self.at_steps(origin, step, &mut places);
        self.seats(&places)
    }

    /// Whether some run has no place of the grid and more than one piece, so that it asks for places off the grid.
    pub(super) fn misses_a_run(&self) -> bool {
        let mut runs = self.problem.runs.iter().zip(&self.allowed);
        runs.any(|(room, &allowed)| allowed == 0 && !room.single)
    }

    /// Where place `cell` is.
    pub(super) fn at(&self, cell: usize) -> f64 {
        self.start + cell as f64 * self.pitch
    }
}

/// Seats of a layout that may have gaps, if it has none.
pub(super) fn complete(seats: Seats) -> Option<Vec<Seat>> {
    seats.into_iter().collect()
}

/// The places nearer than a distance to place 0, once round the shingle.
fn forbidden(cells: usize, pitch: f64, distance: f64) -> u64 {
    (0..cells)
        .filter(|&k| (k.min(cells - k) as f64) * pitch < distance)
        .fold(0, |bits, k| bits | 1 << k)
}

/// Bits moved up by so many places, once round.
fn turned(bits: u64, by: u8, cells: usize) -> u64 {
    let by = usize::from(by);
    if by == 0 {
        return bits;
    }
    let all = u64::MAX >> (64 - cells);
    ((bits << by) | (bits >> (cells - by))) & all
}

/// The set bit nearest to a place, once round; the lower of two.
fn nearest(free: u64, target: usize, cells: usize) -> u8 {
    let from_target = turned(free, ((cells - target) % cells) as u8, cells);
    let up = from_target.trailing_zeros() as usize;
    let down = cells - (63 - from_target.leading_zeros() as usize);
    let at = if down <= up {
        target + cells - down
    } else {
        target + up
    };
    (at % cells) as u8
}

#[cfg(test)]
mod tests {
    use super::{forbidden, nearest, turned};

    #[test]
    fn places_near_a_joint_are_forbidden_on_both_sides_and_round_the_shingle() {
        assert_eq!(forbidden(9, 1.0, 2.0), 0b1_0000_0011);
        assert_eq!(turned(0b1_0000_0011, 1, 9), 0b0_0000_0111);
        assert_eq!(turned(0b1_0000_0011, 8, 9), 0b1_1000_0001);
    }

    #[test]
    fn the_nearest_free_place_is_taken_once_round_the_shingle() {
        assert_eq!(nearest(0b0_0001_0010, 2, 9), 1);
        assert_eq!(nearest(0b0_0001_0010, 3, 9), 4);
        assert_eq!(nearest(0b1_0001_0000, 0, 9), 8);
        assert_eq!(nearest(0b0_0000_0001, 0, 9), 0);
    }
}
