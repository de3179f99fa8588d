//! Sides of an outline that were meant to lie on one line, or alongside each other, are put there before a roof is built.
//!
//! The roof over an outline jumps where two eaves come level: on one line they are one plane, a hair apart they are two,
//! with a spur of no width between them up to the ridge. No tracing tells the two apart, nor do the digits of a file.

use super::input::OutlineInput;
use crate::geometry::{Point, Vector};
use crate::roof::map::CURVE_BEND;
use crate::units::words::decimal_feet;
use crate::{Finding, Place};

/// Sides are meant to be parallel only where their directions differ by less than this sine, some 3°, whatever the tolerance
/// allows a short side; they stay as drawn where the outline bends beside them as little as a curve in short pieces.
const NEARLY: f64 = 0.05;
/// No corner moves farther than so many tolerances: one for each of its two sides.
const FARTHEST: f64 = 2.0;
/// Nor farther than this part of the shorter side at it, so that a small step that is drawn stays.
const GUARD: f64 = 0.45;
/// Moves under this, in feet, are rounding.
const ROUNDING_FT: f64 = 1e-3;
/// Eaves that lie nearer than this to one line, in feet, without being put there are told: three inches.
const NEAR_FT: f64 = 0.25;

/// An outline whose sides lie on common lines, and what that took.
pub(super) struct Aligned {
    pub(super) input: OutlineInput,
    /// How many sides moved by more than rounding.
    moved: usize,
    /// The corner that moved farthest, where it was, and how far it moved in feet.
    farthest: (Point, f64),
    /// Pairs of like eaves that all but lie on one line, by their distance from it in feet.
    near: Vec<([usize; 2], f64)>,
}

impl Aligned {
    /// What is told of it once the roof is built. Eaves that all but lie on one line matter where their faces meet.
    pub(super) fn findings(
        &self,
        place_of: impl Fn(usize) -> Place,
        meet: impl Fn([usize; 2]) -> bool,
    ) -> Vec<Finding> {
        let mut told = Vec::new();
        let (corner, by_ft) = self.farthest;
        if by_ft > ROUNDING_FT {
            told.push(
                Finding::note(
                    "outline-sides-aligned",
                    format!(
                        "{} of the outline were drawn almost, but not quite, on one line with others or alongside them, and have been put there; the farthest corner moved {}.",
                        crate::units::number::counted(self.moved, "side"),
                        decimal_feet(by_ft, 3)
                    ),
                )
                .place(Place::at(corner)),
            );
        }
        for ([a, b], off_ft) in self.near.iter().filter(|(pair, _)| meet(*pair)) {
            told.push(
                Finding::warning(
                    "outline-nearly-in-line",
                    format!(
                        "Sides {} and {} of the outline lie {} from one line: they were built as two eaves, and where their planes meet a hip and a valley may run beside each other all the way up.",
                        a + 1,
                        b + 1,
                        decimal_feet(*off_ft, 2)
                    ),
                )
                .remedy("If they are one eave, draw them on one line, or give a larger snap tolerance.")
                .place(place_of(*a))
                .place(place_of(*b)),
            );
        }
        told
    }
}

/// A side as a line: its middle and its direction.
#[derive(Clone, Copy, PartialEq)]
struct Line {
    middle: Point,
    along: Vector,
}

/// How much of a side may be moved.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Moves {
    /// Onto another's line.
    Onto,
    /// It turns about its middle, to run alongside another.
    Turns,
    /// It stays as drawn.
    Stays,
}

impl Moves {
    fn less(self) -> Self {
        match self {
            Self::Onto => Self::Turns,
            Self::Turns | Self::Stays => Self::Stays,
        }
    }
}

/// Puts the sides of an outline that lie on one line to within the tolerance onto one line, and those that run alongside
/// each other exactly alongside. The longest side of each lot stays where it is.
pub(super) fn align(input: OutlineInput, tolerance_ft: f64) -> Aligned {
    let ends = input.ends();
    let before = predecessors(&input);
    let drawn: Option<Vec<Line>> = ends
        .iter()
        .map(|&[a, b]| {
            Some(Line {
                middle: a.midpoint(b),
                along: (b - a).unit()?,
            })
        })
        .collect();
    // What has no length has no direction: the construction says what becomes of it.
    let Some(drawn) = drawn else {
        return Aligned {
            input,
            moved: 0,
            farthest: (Point::default(), 0.0),
            near: Vec::new(),
        };
    };
    let lengths: Vec<f64> = ends.iter().map(|[a, b]| a.distance(*b)).collect();
    let fit = Fit {
        drawn: &drawn,
        lengths: &lengths,
        before: &before,
        tolerance_ft,
    };
    let mut moves = fit.may_move();
    let (lines, corners) = loop {
        let lines = fit.lines(&moves);
        let corners = fit.corners(&lines, &ends);
        if !fit.hold_back(&mut moves, &lines, &corners, &ends) {
            break (lines, corners);
        }
    };
    let far = |side: usize| corners[side].distance(ends[side][0]);
    let farthest = (0..ends.len()).map(|i| (ends[i][0], far(i)));
    let farthest = farthest.fold((Point::default(), 0.0), |most, this| {
        if this.1 > most.1 { this } else { most }
    });
    let moved = (0..ends.len())
        .filter(|&i| {
            let off = |p: Point| lines[i].along.cross(p - lines[i].middle).abs();
            off(ends[i][0]).max(off(ends[i][1])) > ROUNDING_FT
        })
        .count();
    let near = near_pairs(&input, &lines, &before, tolerance_ft);
    let mut input = input;
    for (side, corner) in input.rings.iter_mut().flatten().zip(corners) {
        side.start = corner;
    }
    Aligned {
        input,
        moved,
        farthest,
        near,
    }
}

/// For every side the one before it in its ring.
fn predecessors(input: &OutlineInput) -> Vec<usize> {
    let mut before = Vec::with_capacity(input.side_count());
    for ring in &input.rings {
        let first = before.len();
        before.extend((0..ring.len()).map(|i| first + (i + ring.len() - 1) % ring.len()));
    }
    before
}

/// Sides that run one way, and the lines that they lie on.
struct Family {
    along: Vector,
    /// Whether a line is walked along `along`, and how far to the left of the first side's middle it lies.
    lines: Vec<(bool, f64)>,
    from: Point,
}

struct Fit<'a> {
    drawn: &'a [Line],
    lengths: &'a [f64],
    before: &'a [usize],
    tolerance_ft: f64,
}

impl Fit<'_> {
    fn may_move(&self) -> Vec<Moves> {
        let mut moves = vec![Moves::Onto; self.drawn.len()];
        for (side, &before) in self.before.iter().enumerate() {
            let bend = self.drawn[before].along.cross(self.drawn[side].along);
            if bend.abs() < CURVE_BEND {
                moves[before] = Moves::Stays;
                moves[side] = Moves::Stays;
            }
        }
        moves
    }

    /// The line of every side: the longest lead, each other one joins the family that it turns least for.
    fn lines(&self, moves: &[Moves]) -> Vec<Line> {
        let mut order: Vec<usize> = (0..self.drawn.len()).collect();
        order.sort_by(|&a, &b| self.lengths[b].total_cmp(&self.lengths[a]).then(a.cmp(&b)));
        let mut families: Vec<Family> = Vec::new();
        let mut lines = self.drawn.to_vec();
        for side in order.into_iter().filter(|&i| moves[i] != Moves::Stays) {
            let Line { middle, along } = self.drawn[side];
            let turn = |family: &Family| family.along.cross(along).abs();
            let nearest = (0..families.len())
                .min_by(|&a, &b| turn(&families[a]).total_cmp(&turn(&families[b])))
                .filter(|&f| {
                    let sine = turn(&families[f]);
                    sine < NEARLY && sine * self.lengths[side] / 2.0 <= self.tolerance_ft
                });
            let Some(nearest) = nearest else {
                families.push(Family {
                    along,
                    lines: vec![(true, 0.0)],
                    from: middle,
                });
                continue;
            };
            let family = &mut families[nearest];
            let onward = family.along.dot(along) > 0.0;
            lines[side].along = if onward { family.along } else { -family.along };
            if moves[side] == Moves::Turns {
                continue;
            }
            let offset = family.along.cross(middle - family.from);
            let on = (family.lines.iter())
                .filter(|(way, _)| *way == onward)
                .map(|&(_, at)| at)
                .find(|at| (offset - at).abs() <= self.tolerance_ft);
            match on {
                Some(at) => {
                    lines[side].middle = middle + family.along.turn_left() * (at - offset);
                }
                None => family.lines.push((onward, offset)),
            }
        }
        lines
    }

    /// Where each side starts: where its line meets the one before it. Between sides that stay as drawn nothing moves.
    fn corners(&self, lines: &[Line], ends: &[[Point; 2]]) -> Vec<Point> {
        let stays = |side: usize| lines[side] == self.drawn[side];
        (0..lines.len())
            .map(|side| {
                let before = self.before[side];
                let (p, q) = (lines[before], lines[side]);
                let sine = p.along.cross(q.along);
                if stays(before) && stays(side) || sine == 0.0 {
                    return ends[side][0];
                }
                let back = (p.middle - q.middle).cross(p.along) / q.along.cross(p.along);
                q.middle + q.along * back
            })
            .collect()
    }

    /// Sides at a corner that would move too far are moved less. Whether there were any.
    fn hold_back(
        &self,
        moves: &mut [Moves],
        lines: &[Line],
        corners: &[Point],
        ends: &[[Point; 2]],
    ) -> bool {
        let mut any = false;
        for side in 0..lines.len() {
            let before = self.before[side];
            let shorter = self.lengths[side].min(self.lengths[before]);
            let most = (FARTHEST * self.tolerance_ft).min(GUARD * shorter);
            // Not so that what is no number holds.
            let holds = corners[side].distance(ends[side][0]) <= most;
            if holds {
                continue;
            }
            for at in [before, side] {
                if lines[at] != self.drawn[at] && moves[at] != Moves::Stays {
                    moves[at] = moves[at].less();
                    any = true;
                }
            }
        }
        any
    }
}

/// Pairs of eaves that rise alike from one height and all but lie on one line, without a step drawn between them.
fn near_pairs(
    input: &OutlineInput,
    lines: &[Line],
    before: &[usize],
    tolerance_ft: f64,
) -> Vec<([usize; 2], f64)> {
    let sides: Vec<_> = input.rings.iter().flatten().collect();
    let mut near = Vec::new();
    for (a, first) in sides.iter().enumerate().filter(|(_, s)| s.is_eave()) {
        for (b, second) in sides.iter().enumerate().skip(a + 1) {
            let alike =
                first.rises == second.rises && first.eave_height_ft == second.eave_height_ft;
            let stepped = before[before[b]] == a || before[before[a]] == b;
            let one_way = lines[a].along == lines[b].along;
            if !alike || stepped || !one_way {
                continue;
            }
            let off = lines[a]
                .along
                .cross(lines[b].middle - lines[a].middle)
                .abs();
            if off > tolerance_ft && off <= NEAR_FT {
                near.push(([a, b], off));
            }
        }
    }
    near
}
