//! A face turned flat: u along the eave, v up the slope, both in feet of true length; and how far it reaches in a
//! strip between two heights.

use crate::courses::level_sides;
use crate::geometry::{Point, Vector};
use crate::roof::{EdgeClass, EdgeId, Face, Roof, Side};

/// Heights nearer than this are one level, in feet.
const LEVEL_FT: f64 = 1e-6;
/// Corners nearer than this along the face are one, in feet.
const SAME_CORNER_FT: f64 = 1e-4;

/// What lies along a side of a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bound {
    Edge(EdgeClass),
    Opening,
}

/// One side of the flat face, from its lower to its upper end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FlatSide {
    pub(super) low: (f64, f64),
    pub(super) high: (f64, f64),
    pub(super) bound: Bound,
    /// The roof's edge, where it is one.
    pub(super) edge: Option<EdgeId>,
    /// Whether the face rises from it: its inside lies above.
    pub(super) is_foot: bool,
}

impl FlatSide {
    /// From where to where it lies along the face.
    pub(super) fn along(&self) -> (f64, f64) {
        (self.low.0.min(self.high.0), self.low.0.max(self.high.0))
    }
    /// Its height half way.
    pub(super) fn middle_v(&self) -> f64 {
        (self.low.1 + self.high.1) / 2.0
    }
    fn u_at(&self, v: f64) -> f64 {
        let (rise, run) = (self.high.1 - self.low.1, self.high.0 - self.low.0);
        self.low.0 + run * ((v - self.low.1) / rise)
    }
    /// How much longer a row gets that runs on past this side by so much, measured square to the side. Where the side all but
    /// lies along the row, that goes no farther than twice as much past its end, `rest_ft` on from the row's.
    fn more_past(&self, rest_ft: f64, square_ft: f64) -> f64 {
        let (rise, run) = (self.high.1 - self.low.1, self.high.0 - self.low.0);
        let all_along = square_ft * 1.0_f64.hypot(run / rise);
        all_along.min(rest_ft.max(0.0) + 2.0 * square_ft)
    }
}

/// A face turned flat.
#[derive(Clone, Debug)]
pub(super) struct FlatFace {
    pub(super) sides: Vec<FlatSide>,
    pub(super) lowest: f64,
    pub(super) highest: f64,
}

/// A part of the face between two level lines and two sides.
struct Trapezoid {
    /// Its left and right end half way up.
    middle: (f64, f64),
    height: f64,
    stretch: Stretch,
}

/// A stretch of a strip, with what bounds it on the left and on the right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub(super) left: f64,
    pub(super) right: f64,
    left_side: usize,
    right_side: usize,
}

impl Stretch {
    pub(super) fn length(&self) -> f64 {
        self.right - self.left
    }
}

impl FlatFace {
    /// A face turned flat; `None` for a level face, which has no eave to lie on.
    pub(super) fn of(roof: &Roof, face: &Face) -> Option<Self> {
        let fall = face.fall()?;
        let up = -fall;
        let right = Vector::new(up.y, -up.x);
        let factor = face.pitch.slope_factor();
        // In inches, as they are levelled for the courses.
        let flat = |p: Point| {
            let p = (p - Point::default()) * 12.0;
            Point::new(p.dot(right), p.dot(up) * factor)
        };
        let mut sides = Vec::new();
        for ring in std::iter::once(&face.outline).chain(&face.holes) {
            let n = ring.corners.len();
            let mut corners: Vec<Point> = ring.corners.iter().map(|c| flat(c.plan())).collect();
            level_sides(roof, ring, &mut corners);
            let feet = |i: usize| (corners[i % n].x / 12.0, corners[i % n].y / 12.0);
            for (i, side) in ring.sides.iter().enumerate().take(n) {
                let (a, b) = (feet(i), feet(i + 1));
                let (low, high) = if b.1 < a.1 { (b, a) } else { (a, b) };
                let (bound, edge) = match side {
                    Side::Edge(id) => (Bound::Edge(roof.edge(*id).class), Some(*id)),
                    Side::Opening(_) => (Bound::Opening, None),
                };
                sides.push(FlatSide {
                    low,
                    high,
                    bound,
                    edge,
                    // The inside lies on the left of every side.
                    is_foot: b.0 > a.0,
                });
            }
        }
        let lowest = sides.iter().map(|s| s.low.1).fold(f64::INFINITY, f64::min);
        let highest = sides
            .iter()
            .map(|s| s.high.1)
            .fold(f64::NEG_INFINITY, f64::max);
        (lowest < highest).then_some(Self {
            sides,
            lowest,
            highest,
        })
    }

    /// The eaves whose lower ends lie from one height up to under another: where each lies along the face.
    pub(super) fn eaves_between(&self, from: f64, to: f64) -> Vec<(f64, f64)> {
        let here = |s: &&FlatSide| {
            s.bound == Bound::Edge(EdgeClass::Eave) && s.low.1 >= from && s.low.1 < to
        };
        let eaves = self.sides.iter().filter(here);
        eaves.map(FlatSide::along).collect()
    }

    /// How far out the sides go that rise from a corner, one on the other, up to a height: as far as they lean away, by
    /// `outer`. Ends nearer than `near` in height are one corner.
    pub(super) fn outward(
        &self,
        corner: (f64, f64),
        top: f64,
        near: f64,
        outer: fn(f64, f64) -> f64,
    ) -> f64 {
        let (mut at, mut out) = (corner, corner.0);
        for _ in 0..self.sides.len() {
            let rises = |s: &&FlatSide| {
                s.high.1 - s.low.1 > LEVEL_FT
                    && s.high.1 > at.1 + LEVEL_FT
                    && (s.low.0 - at.0).abs() < SAME_CORNER_FT
                    && (s.low.1 - at.1).abs() < near
            };
            let side = match self.sides.iter().find(rises) {
                Some(side) if at.1 < top => side,
                _ => break,
            };
            let end = if side.high.1 > top {
                side.u_at(top)
            } else {
                side.high.0
            };
            out = outer(out, end);
            at = side.high;
        }
        out
    }

    /// The trapezoids that the face has between two heights.
    fn trapezoids(&self, from: f64, to: f64) -> Vec<Trapezoid> {
        let (from, to) = (from.max(self.lowest), to.min(self.highest));
        let mut levels: Vec<f64> = self
            .sides
            .iter()
            .flat_map(|s| [s.low.1, s.high.1])
            .filter(|v| *v > from && *v < to)
            .chain([from, to])
            .collect();
        levels.sort_by(f64::total_cmp);
        let mut found = Vec::new();
        for pair in levels.windows(2) {
            let (low, high) = (pair[0], pair[1]);
            if high - low < LEVEL_FT {
                continue;
            }
            let middle = (low + high) / 2.0;
            let mut crossed: Vec<(f64, usize)> = self
                .sides
                .iter()
                .enumerate()
                .filter(|(_, s)| s.low.1 < middle && s.high.1 > middle)
                .map(|(i, s)| (s.u_at(middle), i))
                .collect();
            crossed.sort_by(|a, b| a.0.total_cmp(&b.0));
            for ends in crossed.chunks_exact(2) {
                let ((left_mid, l), (right_mid, r)) = (ends[0], ends[1]);
                let (ls, rs) = (&self.sides[l], &self.sides[r]);
                let stretch = Stretch {
                    left: ls.u_at(low).min(ls.u_at(high)),
                    right: rs.u_at(low).max(rs.u_at(high)),
                    left_side: l,
                    right_side: r,
                };
                found.push(Trapezoid {
                    middle: (left_mid, right_mid),
                    height: high - low,
                    stretch,
                });
            }
        }
        found
    }

    /// The stretches that a sheet between two heights must cover: the strip seen along the slope, stretches that
    /// overlap joined.
    pub(super) fn stretches(&self, from: f64, to: f64) -> Vec<Stretch> {
        let mut all: Vec<Stretch> = self
            .trapezoids(from, to)
            .into_iter()
            .map(|t| t.stretch)
            .collect();
        all.sort_by(|a, b| a.left.total_cmp(&b.left));
        let mut joined: Vec<Stretch> = Vec::new();
        for s in all {
            match joined.last_mut() {
                Some(last) if s.left <= last.right + LEVEL_FT => {
                    if s.right > last.right {
                        last.right = s.right;
                        last.right_side = s.right_side;
                    }
                }
                _ => joined.push(s),
            }
        }
        joined
    }

    /// The area between two heights, in square feet of true area.
    pub(super) fn area(&self, from: f64, to: f64) -> f64 {
        self.area_within((f64::NEG_INFINITY, f64::INFINITY), from, to)
    }

    /// The same of what lies from one place along the face to another, in feet.
    pub(super) fn area_within(&self, (left, right): (f64, f64), from: f64, to: f64) -> f64 {
        // Between two heights at which no side crosses either end a trapezoid's width is straight.
        let crossing = |s: &FlatSide, u: f64| {
            let (low, high) = (s.low.0.min(s.high.0), s.low.0.max(s.high.0));
            (low < u && u < high).then(|| {
                let part = (u - s.low.0) / (s.high.0 - s.low.0);
                s.low.1 + part * (s.high.1 - s.low.1)
            })
        };
        let mut heights: Vec<f64> = self
            .sides
            .iter()
            .flat_map(|s| [crossing(s, left), crossing(s, right)])
            .flatten()
            .filter(|v| *v > from && *v < to)
            .chain([from, to])
            .collect();
        heights.sort_by(f64::total_cmp);
        heights
            .windows(2)
            .flat_map(|pair| self.trapezoids(pair[0], pair[1]))
            .map(|t| {
                let width = t.middle.1.min(right) - t.middle.0.max(left);
                width.max(0.0) * t.height
            })
            .sum()
    }

    /// The length of a sheet over a stretch that runs on past its ends by what `past` says for each bound, measured
    /// square to the side, in feet.
    pub(super) fn sheet_length(&self, stretch: &Stretch, past: impl Fn(Bound) -> f64) -> f64 {
        let [left, right] = [stretch.left_side, stretch.right_side].map(|i| &self.sides[i]);
        let more_left = left.more_past(stretch.left - left.along().0, past(left.bound));
        let more_right = right.more_past(right.along().1 - stretch.right, past(right.bound));
        stretch.length() + more_left + more_right
    }
}

#[cfg(test)]
mod tests {
    use super::{Bound, FlatFace, FlatSide};
    use crate::roof::EdgeClass;

    fn side(low: (f64, f64), high: (f64, f64), class: EdgeClass) -> FlatSide {
        FlatSide {
            low,
            high,
            bound: Bound::Edge(class),
            edge: None,
            is_foot: false,
        }
    }

    /// A hip end 24 ft wide at the eave and 12 ft up the slope, its eave at a height.
    fn triangle(v: f64) -> FlatFace {
        FlatFace {
            sides: vec![
                side((0.0, v), (24.0, v), EdgeClass::Eave),
                side((24.0, v), (12.0, v + 12.0), EdgeClass::Hip),
                side((0.0, v), (12.0, v + 12.0), EdgeClass::Hip),
            ],
            lowest: v,
            highest: v + 12.0,
        }
    }

    #[test]
    fn a_row_on_a_hip_end_is_as_long_as_its_lower_side() {
        for v in [0.0, 5.0] {
            let face = triangle(v);
            let rows = face.stretches(v + 3.0, v + 6.0);
            assert_eq!(rows.len(), 1);
            assert!((rows[0].length() - 18.0).abs() < 1e-9);
            // Half a foot square to a 45° hip is √2/2 ft along the row, at both ends.
            let long = face.sheet_length(&rows[0], |_| 0.5);
            assert!((long - 18.0 - 2.0_f64.sqrt()).abs() < 1e-9);
        }
    }

    #[test]
    fn past_a_ridge_that_leans_a_little_a_row_goes_on_no_farther_than_twice_the_overlap() {
        // A ridge of 30 ft that rises by 2 in: square to it half a foot is 90 ft along the row.
        let face = FlatFace {
            sides: vec![
                side((0.0, 0.0), (30.0, 0.0), EdgeClass::Eave),
                side((30.0, 0.0), (30.0, 9.0 + 1.0 / 6.0), EdgeClass::Rake),
                side((0.0, 9.0), (30.0, 9.0 + 1.0 / 6.0), EdgeClass::Ridge),
                side((0.0, 0.0), (0.0, 9.0), EdgeClass::Rake),
            ],
            lowest: 0.0,
            highest: 9.0 + 1.0 / 6.0,
        };
        let rows = face.stretches(9.0 + 1.0 / 12.0, 10.0);
        assert_eq!(rows.len(), 1);
        assert!((rows[0].length() - 15.0).abs() < 1e-9);
        let past = |bound| match bound {
            Bound::Edge(EdgeClass::Ridge) => 0.5,
            _ => 0.0,
        };
        let long = face.sheet_length(&rows[0], past);
        assert!((long - 31.0).abs() < 1e-9, "{long}");
    }

    #[test]
    fn a_sheet_across_a_notch_is_as_long_as_the_face_above_it() {
        // 30 ft wide from 4 ft up, below only from 5 to 12 and from 20 to 30 ft.
        let upright = |u, low, high| side((u, low), (u, high), EdgeClass::Rake);
        let face = FlatFace {
            sides: vec![
                side((5.0, 0.0), (12.0, 0.0), EdgeClass::Eave),
                upright(12.0, 0.0, 4.0),
                side((12.0, 4.0), (20.0, 4.0), EdgeClass::Headwall),
                upright(20.0, 0.0, 4.0),
                side((30.0, 0.0), (20.0, 0.0), EdgeClass::Eave),
                upright(30.0, 0.0, 9.0),
                side((30.0, 9.0), (0.0, 9.0), EdgeClass::Ridge),
                upright(0.0, 4.0, 9.0),
                side((0.0, 4.0), (5.0, 4.0), EdgeClass::Headwall),
                upright(5.0, 0.0, 4.0),
            ],
            lowest: 0.0,
            highest: 9.0,
        };
        let ends = |from, to| -> Vec<(f64, f64)> {
            let stretches = face.stretches(from, to);
            stretches.iter().map(|s| (s.left, s.right)).collect()
        };
        assert_eq!(ends(0.0, 3.0), [(5.0, 12.0), (20.0, 30.0)]);
        assert_eq!(ends(3.0, 6.0), [(0.0, 30.0)]);
        assert!((face.area(3.0, 6.0) - (7.0 + 10.0 + 2.0 * 30.0)).abs() < 1e-9);
        // The two feet are two eaves, and neither hangs together with the other.
        let eaves = face.eaves_between(0.0, 0.1);
        let [left, right] = eaves.as_slice() else {
            unreachable!("two eaves: {eaves:?}")
        };
        assert_eq!((*left, *right), ((5.0, 12.0), (20.0, 30.0)));
        let of = |ends: &(f64, f64)| face.area_within(*ends, 0.0, 3.0);
        assert!((of(left) - 21.0).abs() < 1e-9 && (of(right) - 30.0).abs() < 1e-9);
    }

    #[test]
    fn rows_widen_with_the_sides_that_lean_away_from_their_eave() {
        // An eave of 10 ft; on its right a valley that goes out 4 ft in 8, then a wall straight up; on its left a hip.
        let face = FlatFace {
            sides: vec![
                side((0.0, 0.0), (10.0, 0.0), EdgeClass::Eave),
                side((10.0, 0.0), (14.0, 8.0), EdgeClass::Valley),
                side((14.0, 8.0), (14.0, 12.0), EdgeClass::Sidewall),
                side((6.0, 12.0), (14.0, 12.0), EdgeClass::Ridge),
                side((0.0, 0.0), (6.0, 12.0), EdgeClass::Hip),
            ],
            lowest: 0.0,
            highest: 12.0,
        };
        let right = |top| face.outward((10.0, 0.0), top, 0.01, f64::max);
        assert_eq!([2.0, 8.0, 11.0].map(right), [11.0, 14.0, 14.0]);
        assert_eq!(face.outward((0.0, 0.0), 6.0, 0.01, f64::min), 0.0);
        // Nothing rises from the middle of the eave.
        assert_eq!(face.outward((5.0, 0.0), 6.0, 0.01, f64::max), 5.0);
    }

    #[test]
    fn a_part_of_a_hip_end_is_cut_by_its_hips() {
        let face = triangle(0.0);
        // Over the first 4 ft of the eave lies half a square of 4 ft; over the next 4 ft 4 to 8 ft high.
        assert!((face.area_within((0.0, 4.0), 0.0, 12.0) - 8.0).abs() < 1e-9);
        assert!((face.area_within((4.0, 8.0), 0.0, 12.0) - 24.0).abs() < 1e-9);
        // From 2 ft up only what the hip leaves: a triangle of 2 ft.
        assert!((face.area_within((0.0, 4.0), 2.0, 12.0) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn strips_of_a_hip_end_add_up_to_its_area() {
        let face = triangle(0.0);
        let sum: f64 = (0..6)
            .map(|i| face.area(f64::from(i) * 2.0, f64::from(i) * 2.0 + 2.0))
            .sum();
        assert!((sum - 144.0).abs() < 1e-9);
    }
}
