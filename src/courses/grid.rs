//! Layouts in one repeated step, tried in bulk: every run's places are a word of bits, one bit for each place of the
//! grid within a shingle, so that the nearest place that keeps its distances is found without a search, and a layout is
//! counted by how many pieces of each length it has.

use super::clear::Clear;
use super::hall::{Strips, Tally};
use super::problem::{Problem, Seat};
use super::search::Score;
use super::threshold::Extra;
use super::whole::{ceiling, floor};

/// Lengths are told apart to this part of the grid when layouts are compared.
const FINER: usize = 3;

/// What a run has at one place of the grid.
#[derive(Clone, Copy, Debug, Default)]
struct Cell {
    /// Where the opening piece's length in units, rounded up, is counted.
    opening: u8,
    /// Where what the closing piece leaves of a shingle in units, rounded down, is counted.
    left: u8,
    whole: u16,
}

/// The places that a run has, and the runs before it that it keeps away from.
#[derive(Clone, Copy, Debug)]
struct Row {
    course: usize,
    /// Places, one bit each.
    allowed: u64,
    /// Its neighbours are `near[near_from..near_to]`.
    near_from: usize,
    near_to: usize,
    /// Whether one piece may cover it.
    single: bool,
}

/// A run before another whose joints may come near to it.
#[derive(Clone, Copy, Debug)]
struct Near {
    run: u32,
    /// Whether it is in the next course but one, and not in the next.
    far: bool,
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
    /// 1 / pitch and 1 / places within a shingle: the search divides by nothing.
    per_pitch: f64,
    per_cells: f64,
    /// Units in a shingle, and where they are counted.
    units: usize,
    strips: Strips,
    rows: Vec<Row>,
    table: Vec<Cell>,
    near: Vec<Near>,
    /// Whether every run keeps away from the run before it, as from the next course, and from the one before that, as
    /// from the next but one, and from no other.
    is_chain: bool,
    /// For every place, what a joint there leaves to the next course, and to the next but one; everything at the place
    /// of a run of one piece.
    leaves: [[u64; 256]; 2],
}

/// The place of a run of one piece.
const SINGLE: u8 = 64;

impl Row {
    /// The free place nearest to a target, or that of one piece; `None` where there is neither.
    #[inline]
    fn place(&self, free: u64, target: usize, cells: usize) -> Option<u8> {
        if free & (1 << target) != 0 {
            return Some(target as u8);
        }
        match free {
            0 => self.single.then_some(SINGLE),
            _ => Some(nearest(free, target, cells)),
        }
    }
}

impl<'a> Grid<'a> {
    /// `None` where the grid has too many places for a word, or the face too many runs for a tally.
    pub(super) fn new(problem: &'a Problem, pitch: f64) -> Option<Self> {
        let cells = problem.cells(pitch);
        let units = cells * FINER;
        if cells > 64 || problem.runs.len() > i16::MAX as usize {
            return None;
        }
        let strips = Strips::new(units);
        let mut grid = Self {
            problem,
            cells,
            start: problem.runs.first().map_or(0.0, |r| r.left_reach),
            pitch,
            per_pitch: 1.0 / pitch,
            per_cells: 1.0 / cells as f64,
            units,
            strips,
            rows: Vec::with_capacity(problem.runs.len()),
            table: vec![Cell::default(); problem.runs.len() * cells],
            near: Vec::new(),
            is_chain: true,
            leaves: [problem.next, problem.second]
                .map(|clear| forbidden(cells, pitch, clear, problem.tolerance))
                .map(|at_0| {
                    let mut at = [u64::MAX; 256];
                    for (place, bits) in at[..cells].iter_mut().enumerate() {
                        *bits = !turned(at_0, place, cells);
                    }
                    at
                }),
        };
        let extra = Extra::new(problem);
        let places: Vec<u8> = (0..=units).map(|unit| strips.place(unit)).collect();
        for (run, room) in problem.runs.iter().enumerate() {
            let allowed = grid.fill_cells(run, &extra, &places);
            let near_from = grid.near.len();
            grid.note_near(run);
            let row = Row {
                course: room.course,
                allowed,
                near_from,
                near_to: grid.near.len(),
                single: room.single,
            };
            let before = [1, 2].into_iter().zip([false, true]);
            let chain = before.filter_map(|(back, far)| Some((run.checked_sub(back)?, far)));
            grid.is_chain &= grid
                .near(&row)
                .iter()
                .map(|near| (near.run as usize, near.far))
                .eq(chain);
            grid.rows.push(row);
        }
        Some(grid)
    }

    /// Fills a run's row of the table and returns the places that it has. `places` says where each of some units is counted.
    fn fill_cells(&mut self, run: usize, extra: &Extra, places: &[u8]) -> u64 {
        let problem = self.problem;
        let room = &problem.runs[run];
        let per_unit = self.units as f64 / problem.width;
        let tolerance = problem.tolerance * per_unit;
        let place = |units: i64| places[units.clamp(0, self.units as i64) as usize];
        let mut allowed = 0;
        for range in &room.ranges {
            let first = ceiling((range.low - problem.tolerance - self.start) * self.per_pitch);
            let last = floor((range.high + problem.tolerance - self.start) * self.per_pitch);
            let joint = self.start + first * self.pitch;
            let opening = joint - room.left_reach + extra.left[room.left_shape];
            let closing =
                room.right_reach - problem.last(joint, range.whole) + extra.right[room.right_shape];
            let left = problem.width - closing;
            // From place to place both grow by a whole number of units.
            let mut opening = ceiling(opening * per_unit - tolerance) as i64;
            let mut left = floor(left * per_unit + tolerance) as i64;
            let whole = range.whole.min(usize::from(u16::MAX)) as u16;
            let mut cell = (first as i64).rem_euclid(self.cells as i64) as usize;
            for _ in first as i64..=last as i64 {
                if allowed & (1 << cell) == 0 {
                    allowed |= 1 << cell;
                    self.table[run * self.cells + cell] = Cell {
                        opening: place(opening),
                        left: place(left),
                        whole,
                    };
                }
                opening += FINER as i64;
                left += FINER as i64;
                cell = if cell + 1 == self.cells { 0 } else { cell + 1 };
            }
        }
        allowed
    }

    /// Notes the runs below whose joints may come near.
    fn note_near(&mut self, run: usize) {
        let problem = self.problem;
        let room = &problem.runs[run];
        for (far, list, clear) in [
            (false, &room.next, problem.next),
            (true, &room.second, problem.second),
        ] {
            for &other in list.iter().filter(|&&j| j < run) {
                if room.is_near(&problem.runs[other], clear.joint) {
                    self.near.push(Near {
                        run: other as u32,
                        far,
                    });
                }
            }
        }
    }

    fn near(&self, row: &Row) -> &[Near] {
        &self.near[row.near_from..row.near_to]
    }

    /// What a joint at a place leaves to the next course, or to the next but one.
    fn leaves(&self, place: u8, far: bool) -> u64 {
        self.leaves[usize::from(far)][usize::from(place)]
    }

    pub(super) fn cells(&self) -> usize {
        self.cells
    }

    /// The places, one bit each, from which every run with joints can be laid at its step, found for all origins at
    /// once. A run that is one piece wherever it is laid follows any step.
    pub(super) fn pure_origins(&self, step: usize) -> u64 {
        let cells = self.cells;
        let too_close = |near: &Near| {
            let between = (1 + usize::from(near.far)) * step % cells;
            self.leaves(0, near.far) & (1 << between) == 0
                && self.rows[near.run as usize].allowed != 0
        };
        let mut jointed = self.rows.iter().filter(|row| row.allowed != 0);
        jointed
            .try_fold(u64::MAX >> (64 - cells), |origins, row| {
                if self.near(row).iter().any(too_close) {
                    return None;
                }
                Some(origins & turned(row.allowed, row.course * step % cells, cells))
            })
            .unwrap_or(0)
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
        places.extend(self.rows.iter().map(|row| {
            while course < row.course {
                course += 1;
                target = self.to_the_left(target, step);
            }
            if row.allowed == 0 {
                SINGLE
            } else {
                target as u8
            }
        }));
    }

    /// Lays every course `step` places to the left of the course below, or at the nearest place that the rules allow.
    /// Puts the places into `places` and says whether every run found one.
    pub(super) fn stepped(&self, origin: usize, step: usize, places: &mut Vec<u8>) -> bool {
        places.clear();
        let (origin, step) = (origin % self.cells, step % self.cells);
        if self.is_chain {
            return self.stepped_chain(origin, step, places);
        }
        let (mut course, mut target) = (0, origin);
        for row in &self.rows {
            while course < row.course {
                course += 1;
                target = self.to_the_left(target, step);
            }
            let near = self.near(row).iter();
            let free = near.fold(row.allowed, |free, near| {
                free & self.leaves(places[near.run as usize], near.far)
            });
            match row.place(free, target, self.cells) {
                Some(place) => places.push(place),
                None => return false,
            }
        }
        true
    }

    /// The same where every run keeps away from the two before it alone.
    fn stepped_chain(&self, origin: usize, step: usize, places: &mut Vec<u8>) -> bool {
        let Some(first) = self.rows.first() else {
            return true;
        };
        let [next, next_but_one] = &self.leaves;
        let mut target = (0..first.course).fold(origin, |at, _| self.to_the_left(at, step));
        let (mut last, mut last_but_one) = (SINGLE, SINGLE);
        places.resize(self.rows.len(), SINGLE);
        for (row, at) in self.rows.iter().zip(places.iter_mut()) {
            let left = next[usize::from(last)] & next_but_one[usize::from(last_but_one)];
            let Some(place) = row.place(row.allowed & left, target, self.cells) else {
                return false;
            };
            *at = place;
            (last, last_but_one) = (place, last);
            target = self.to_the_left(target, step);
        }
        true
    }

    /// Opens every course with what the right end of the course `lag` below leaves of its last shingle, or at the
    /// nearest place that the rules allow; the first `lag` courses go in repeated steps. Says whether every run found
    /// a place.
    pub(super) fn run_on(&self, lag: usize, step: f64, seats: &mut Vec<Seat>) -> bool {
        seats.clear();
        let problem = self.problem;
        // The last run at least so many courses below.
        let mut below = 0;
        for (run, room) in problem.runs.iter().enumerate() {
            while problem.runs[below].course + lag <= room.course {
                below += 1;
            }
            let left_by = below
                .checked_sub(1)
                .filter(|&j| problem.runs[j].course + lag == room.course);
            let target = match left_by.and_then(|j| problem.closing(j, seats[j])) {
                Some(closing) => room.left_reach + problem.width - closing,
                None => room.left_reach + problem.width - room.course as f64 * step,
            };
            let near = self.near(&self.rows[run]);
            let exact = problem.seat_at(run, target).filter(|&seat| {
                near.iter().all(|near| {
                    let clear = match near.far {
                        false => problem.next,
                        true => problem.second,
                    };
                    problem.apart(seat, seats[near.run as usize], &clear)
                })
            });
            let seat = exact.or_else(|| {
                let mut free = self.rows[run].allowed;
                for near in near {
                    if let Seat::Joints { first, .. } = seats[near.run as usize] {
                        free &= self.left_by(first, near.far);
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
        let cells = self.cells as f64;
        let places = floor((joint - self.start + self.problem.tolerance) * self.per_pitch);
        // Once round the shingle without a division; the product may lie on the wrong side of a whole number.
        let place = places - cells * floor(places * self.per_cells);
        if place < 0.0 {
            (place + cells) as usize
        } else if place < cells {
            place as usize
        } else {
            (place - cells) as usize
        }
    }

    /// The places that a joint anywhere leaves: those that joints on the places to the left and right of it leave.
    fn left_by(&self, joint: f64, far: bool) -> u64 {
        let under = self.place_under(joint);
        let over = if under + 1 < self.cells { under + 1 } else { 0 };
        self.leaves(under as u8, far) & self.leaves(over as u8, far)
    }

    /// Counts a layout, unless it opens more than `most`. Offcuts may wait as long as they must; what nearly fits may be
    /// counted as not fitting.
    pub(super) fn count(&self, places: &[u8], most: usize) -> Option<Score> {
        let mut tally = Tally::new();
        let (mut pieces, mut closings) = (0, 0);
        for (run, (row, &place)) in self.table.chunks_exact(self.cells).zip(places).enumerate() {
            let Some(cell) = row.get(usize::from(place)) else {
                tally.add_opening(self.single(run));
                pieces += 1;
                continue;
            };
            tally.add_opening(cell.opening);
            tally.add_closing(cell.left);
            pieces += usize::from(cell.whole) + 2;
            closings += 1;
        }
        let opened = pieces - closings + tally.unserved(self.strips);
        (opened <= most).then(|| Score {
            opened,
            missing: tally.missing(self.strips),
        })
    }

    /// Where a run of one piece is counted: as an opening piece. There are few of them, and the search looks at both.
    fn single(&self, run: usize) -> u8 {
        let room = &self.problem.runs[run];
        let units = self.units as f64;
        let wide = (room.right_reach - room.left_reach) / self.problem.width;
        self.strips
            .place((wide * units).ceil().clamp(0.0, units) as usize)
    }

    /// The seats at the places of a layout; `None` where a place that lies at an end of what a run allows is, by the
    /// rounding, not within it.
    pub(super) fn seats(&self, places: &[u8]) -> Option<Vec<Seat>> {
        let seats = places.iter().enumerate().map(|(run, &place)| match place {
            SINGLE => Some(Seat::Single { as_closing: false }),
            _ => self.problem.seat_at(run, self.at(usize::from(place))),
        });
        seats.collect()
    }

    /// The layout with every run at its step.
    pub(super) fn laid(&self, origin: usize, step: usize) -> Option<Vec<Seat>> {
        let mut places = Vec::new();
        self.at_steps(origin, step, &mut places);
        self.seats(&places)
    }

    /// Whether some run has no place of the grid and more than one piece, so that it asks for places off the grid.
    pub(super) fn misses_a_run(&self) -> bool {
        let mut runs = self.problem.runs.iter().zip(&self.rows);
        runs.any(|(room, row)| row.allowed == 0 && !room.single)
    }

    /// Where place `cell` is.
    pub(super) fn at(&self, cell: usize) -> f64 {
        self.start + cell as f64 * self.pitch
    }
}

/// The places that a joint at place 0 leaves no other, once round the shingle.
fn forbidden(cells: usize, pitch: f64, clear: Clear, tolerance: f64) -> u64 {
    let is_too_near = |&k: &usize| {
        (k.min(cells - k) as f64) * pitch < clear.joint - tolerance
            || clear
                .cutouts
                .is_some_and(|c| c.nearest(k as f64 * pitch) < c.distance - tolerance)
    };
    (0..cells)
        .filter(is_too_near)
        .fold(0, |bits, k| bits | 1 << k)
}

/// Bits moved up by so many places, once round; fewer than there are cells.
fn turned(bits: u64, by: usize, cells: usize) -> u64 {
    if by == 0 {
        return bits;
    }
    let all = u64::MAX >> (64 - cells);
    ((bits << by) | (bits >> (cells - by))) & all
}

/// The set bit nearest to a place, once round; the lower of two.
fn nearest(free: u64, target: usize, cells: usize) -> u8 {
    let from_target = match target {
        0 => free,
        _ => turned(free, cells - target, cells),
    };
    let up = from_target.trailing_zeros() as usize;
    let down = cells - (63 - from_target.leading_zeros() as usize);
    let at = if down <= up {
        target + cells - down
    } else {
        target + up
    };
    // Without a division: this is where the layouts in steps spend their time.
    (if at < cells { at } else { at - cells }) as u8
}

#[cfg(test)]
mod tests {
    use super::super::candidates::Seats;
    use super::super::layout::grid_of;
    use super::super::plain_faces::{format, problem, trapezoid};
    use super::super::search::quick_score;
    use super::super::threshold::Lengths;
    use super::super::{EdgeKind, LayRules};
    use super::*;

    /// Every step with every third first joint, on faces with one run a course: the layouts keep the rules and are the
    /// same by either way, and the count in units is that in inches but for pieces that all but fit.
    #[test]
    fn layouts_in_steps_keep_the_rules_and_are_seldom_counted_with_a_piece_too_many() {
        let rules = LayRules::default();
        let (mut laid, mut too_many) = (0, 0);
        for (name, eave, slope, lean, end) in [
            ("36x12-plain", 500.0, 170.0, 0.0, EdgeKind::Rake),
            ("39x13", 420.0, 150.0, 0.9, EdgeKind::Hip),
            ("39x13", 260.0, 140.0, -0.7, EdgeKind::ValleyCut),
            ("36x12-plain", 390.0, 100.0, -0.4, EdgeKind::ValleyThrough),
            // Up to courses of one piece.
            ("42x14", 200.0, 110.0, 0.8, EdgeKind::Hip),
        ] {
            let format = format(name);
            let (_, problem) = problem(&trapezoid(eave, slope, lean, end), &format, &rules);
            let pitch = grid_of(&format);
            let mut grid = Grid::new(&problem, pitch).unwrap_or_else(|| unreachable!("no grid"));
            assert!(grid.is_chain, "{name}");
            let mut lengths = Lengths::new(&problem);
            let (mut chain, mut general) = (Vec::new(), Vec::new());
            for step in 1..grid.cells() {
                for origin in (0..grid.cells()).step_by(3) {
                    grid.is_chain = true;
                    let found = grid.stepped(origin, step, &mut chain);
                    grid.is_chain = false;
                    assert_eq!(grid.stepped(origin, step, &mut general), found);
                    if !found {
                        continue;
                    }
                    assert_eq!(chain, general);
                    let seats = grid.seats(&chain).unwrap_or_default();
                    let all: Seats = seats.iter().copied().map(Some).collect();
                    for (run, &seat) in seats.iter().enumerate() {
                        assert!(problem.agrees(run, seat, &all), "{name}: run {run}");
                    }
                    if grid.pure_origins(step) & (1 << origin) != 0 {
                        grid.at_steps(origin, step, &mut general);
                        assert_eq!(chain, general);
                    }
                    let exact = quick_score(&problem, &mut lengths, &seats).opened;
                    let counted = grid.count(&chain, usize::MAX).map_or(0, |s| s.opened);
                    assert!(counted >= exact, "{name}: {counted} for {exact}");
                    assert!(grid.count(&chain, counted - 1).is_none());
                    laid += 1;
                    too_many += counted - exact;
                }
            }
        }
        assert!(laid > 1000, "{laid}");
        assert!(5 * too_many < laid, "{too_many} in {laid}");
    }

    #[test]
    fn run_on_layouts_keep_the_rules_and_open_courses_with_what_was_left() {
        let rules = LayRules::default();
        let format = format("36x12-plain");
        let face = trapezoid(505.0, 170.0, 0.0, EdgeKind::Rake);
        let (_, problem) = problem(&face, &format, &rules);
        let grid = Grid::new(&problem, grid_of(&format)).unwrap_or_else(|| unreachable!("no grid"));
        let mut seats = Vec::new();
        for lag in 1..=6 {
            assert!(grid.run_on(lag, 5.0, &mut seats), "lag {lag}");
            let all: Seats = seats.iter().copied().map(Some).collect();
            let mut opened_with_it = 0;
            for (run, &seat) in seats.iter().enumerate() {
                assert!(problem.agrees(run, seat, &all), "lag {lag}: run {run}");
                let left = run
                    .checked_sub(lag)
                    .and_then(|j| problem.closing(j, seats[j]));
                let takes = left.zip(problem.opening(run, seat));
                let exactly = |(y, x): (f64, f64)| (x + y - problem.width).abs() < 1e-6;
                opened_with_it += usize::from(takes.is_some_and(exactly));
            }
            // 505 in are 14 shingles and an inch: at a lag of one, the joints of neighbours would be too near.
            assert!(
                lag == 1 || opened_with_it >= seats.len() / 2,
                "lag {lag}: {opened_with_it}"
            );
        }
    }

    #[test]
    fn a_joint_off_the_grid_leaves_what_its_neighbours_on_it_leave() {
        let format = format("36x12-plain");
        let face = trapezoid(500.0, 100.0, 0.0, EdgeKind::Rake);
        let (_, problem) = problem(&face, &format, &LayRules::default());
        let grid = Grid::new(&problem, grid_of(&format)).unwrap_or_else(|| unreachable!("no grid"));
        for k in -100_i64..100 {
            let place = k.rem_euclid(grid.cells() as i64) as usize;
            let at = grid.at(0) + k as f64 * grid.pitch;
            assert_eq!(grid.place_under(at), place, "{k}");
            assert_eq!(
                grid.place_under(at + 0.9 * grid.pitch),
                place,
                "{k} and more"
            );
        }
    }

    #[test]
    fn places_near_a_joint_are_forbidden_on_both_sides_and_round_the_shingle() {
        let joints = Clear::of_joints(2.0);
        assert_eq!(forbidden(9, 1.0, joints, 1e-9), 0b1_0000_0011);
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
