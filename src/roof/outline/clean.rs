//! Cleans an outline before anything is built on it: a local origin, a grid, no tiny sides, rings the right way
//! round, no side across another. Most failures of roofs in practice are failures of their outlines.

use super::grid::{Bounds, Grid};
use super::input::{OutlineInput, OutlineRules, Rises};
use super::lines::SAME_LINE_WITHIN_FT;
use super::problem::OutlineProblem;
use super::product::OutlineNote;
use crate::geometry::{Point, Vector, ring};

/// Corners are moved onto multiples of this, the size of an atom, so that sums and differences of coordinates are
/// exact: 2⁻³⁰ ft.
const GRID_FT: f64 = 1.0 / 1_073_741_824.0;

/// The largest extent of an outline, in feet: beyond it the exact tests would not fit their integers.
const LARGEST_FT: f64 = 4_000_000.0;

/// A side that a roof is built on, in coordinates about the local origin.
#[derive(Clone, Copy, Debug)]
pub(super) struct CleanSide {
    pub(super) start: (f64, f64),
    pub(super) end: (f64, f64),
    /// `None` for a side that stands still.
    pub(super) rise_per_run: Option<f64>,
    pub(super) eave: f64,
    /// Its number in the input.
    pub(super) input: usize,
}

/// A cleaned outline.
pub(super) struct Clean {
    pub(super) origin: Point,
    /// All sides, ring by ring.
    pub(super) sides: Vec<CleanSide>,
    /// Where each ring starts in `sides`, and the end of the last.
    pub(super) rings: Vec<usize>,
    pub(super) notes: Vec<OutlineNote>,
    /// The height of the lowest eave over the input's datum.
    pub(super) datum: f64,
}

/// Cleans an outline.
pub(super) fn clean(input: &OutlineInput, rules: &OutlineRules) -> Result<Clean, OutlineProblem> {
    let origin = local_origin(input)?;
    check_pitches(input)?;
    let mut clean = Clean {
        origin,
        sides: Vec::with_capacity(input.side_count()),
        rings: vec![0],
        notes: Vec::new(),
        datum: datum(input)?,
    };
    let mut first = 0;
    for index in 0..input.rings.len() {
        clean_ring(input, rules, index, first, &mut clean)?;
        first += input.rings[index].len();
    }
    check_crossings(&clean)?;
    check_courtyards(&clean)?;
    check_collinear(&clean)?;
    Ok(clean)
}

/// A whole number of feet near the middle, so that moving a plan by whole feet changes nothing.
fn local_origin(input: &OutlineInput) -> Result<Point, OutlineProblem> {
    let mut bounds = Bounds::default();
    let mut number = 0;
    for ring in &input.rings {
        for side in ring {
            if !side.start.is_finite() {
                return Err(OutlineProblem::NotANumber { side: number });
            }
            bounds.take((side.start.x, side.start.y));
            number += 1;
        }
    }
    if number == 0 {
        return Err(OutlineProblem::NoOutline);
    }
    let extent = (bounds.high.0 - bounds.low.0).max(bounds.high.1 - bounds.low.1);
    if extent > LARGEST_FT {
        return Err(OutlineProblem::TooLarge { extent_ft: extent });
    }
    Ok(Point::new(
        ((bounds.low.0 + bounds.high.0) / 2.0).floor(),
        ((bounds.low.1 + bounds.high.1) / 2.0).floor(),
    ))
}

fn check_pitches(input: &OutlineInput) -> Result<(), OutlineProblem> {
    let mut moving = false;
    for (number, side) in input.rings.iter().flatten().enumerate() {
        if let Rises::Eave(pitch) = side.rises {
            let m = pitch.to_rise_per_run();
            if !(m.is_finite() && m > 0.0) {
                return Err(OutlineProblem::NoPitch {
                    side: number,
                    rise_in_12: pitch.to_in_12(),
                });
            }
            if !side.eave_height_ft.is_finite() {
                return Err(OutlineProblem::NotANumber { side: number });
            }
            moving = true;
        }
    }
    if moving {
        Ok(())
    } else {
        Err(OutlineProblem::NothingRises)
    }
}

fn datum(input: &OutlineInput) -> Result<f64, OutlineProblem> {
    let lowest = input
        .rings
        .iter()
        .flatten()
        .filter(|side| side.is_eave())
        .fold(f64::INFINITY, |m, side| m.min(side.eave_height_ft));
    if lowest.is_finite() {
        Ok(lowest)
    } else {
        Err(OutlineProblem::NothingRises)
    }
}

fn clean_ring(
    input: &OutlineInput,
    rules: &OutlineRules,
    index: usize,
    first: usize,
    clean: &mut Clean,
) -> Result<(), OutlineProblem> {
    let sides = &input.rings[index];
    let origin = clean.origin;
    let snap = |p: Point| {
        let on_grid = |x: f64| (x / GRID_FT).round() * GRID_FT;
        (on_grid(p.x - origin.x), on_grid(p.y - origin.y))
    };
    // Corners kept, each with the side that starts there.
    let mut kept: Vec<((f64, f64), usize)> = Vec::with_capacity(sides.len());
    for (i, side) in sides.iter().enumerate() {
        let p = snap(side.start);
        match kept.last_mut() {
            Some((q, number)) if distance(*q, p) < rules.drop_sides_under_ft => {
                note_dropped(clean, first + *number, distance(*q, p));
                *number = i;
            }
            _ => kept.push((p, i)),
        }
    }
    while let [(p, _), .., (q, number)] = kept[..]
        && distance(p, q) < rules.drop_sides_under_ft
    {
        note_dropped(clean, first + number, distance(p, q));
        kept.pop();
    }
    if kept.len() < 3 {
        return Err(OutlineProblem::NoArea {
            ring: index,
            side: first,
        });
    }
    let corners: Vec<Point> = kept.iter().map(|&((x, y), _)| Point::new(x, y)).collect();
    let area = ring::signed_area(&corners);
    if area.abs() < rules.drop_sides_under_ft * ring::perimeter(&corners) {
        return Err(OutlineProblem::NoArea {
            ring: index,
            side: first,
        });
    }
    let turned = (area > 0.0) != (index == 0);
    let n = kept.len();
    let from = clean.sides.len();
    for i in 0..n {
        let (start, number) = kept[i];
        let end = kept[(i + 1) % n].0;
        let side = &sides[number];
        let rise_per_run = match side.rises {
            Rises::Eave(pitch) => Some(pitch.to_rise_per_run()),
            Rises::Gable | Rises::Wall => None,
        };
        clean.sides.push(CleanSide {
            start: if turned { end } else { start },
            end: if turned { start } else { end },
            rise_per_run,
            eave: if side.is_eave() {
                side.eave_height_ft - clean.datum
            } else {
                0.0
            },
            input: first + number,
        });
    }
    if turned {
        clean.sides[from..].reverse();
        clean.notes.push(OutlineNote::RingTurned { ring: index });
    }
    clean.rings.push(clean.sides.len());
    Ok(())
}

fn note_dropped(clean: &mut Clean, side: usize, length_ft: f64) {
    clean
        .notes
        .push(OutlineNote::SideDropped { side, length_ft });
}

fn distance(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// A corner as whole steps of the grid.
fn steps(p: (f64, f64)) -> (i128, i128) {
    ((p.0 / GRID_FT) as i128, (p.1 / GRID_FT) as i128)
}

/// The sign of the turn a → b → c, exactly.
fn turn(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> i32 {
    // Most turns are decided by far more than rounding could do.
    let (ux, uy, vx, vy) = (b.0 - a.0, b.1 - a.1, c.0 - a.0, c.1 - a.1);
    let (left, right) = (ux * vy, uy * vx);
    let cross = left - right;
    if cross.abs() > 1e-14 * (left.abs() + right.abs()) {
        return if cross > 0.0 { 1 } else { -1 };
    }
    let (a, b, c) = (steps(a), steps(b), steps(c));
    let cross = (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0);
    cross.signum() as i32
}

/// Whether two sides have a point in common.
fn touch(a: &CleanSide, b: &CleanSide) -> bool {
    let apart =
        |a0: f64, a1: f64, b0: f64, b1: f64| a0.max(a1) < b0.min(b1) || b0.max(b1) < a0.min(a1);
    if apart(a.start.0, a.end.0, b.start.0, b.end.0)
        || apart(a.start.1, a.end.1, b.start.1, b.end.1)
    {
        return false;
    }
    let (p, q) = (turn(a.start, a.end, b.start), turn(a.start, a.end, b.end));
    let (r, s) = (turn(b.start, b.end, a.start), turn(b.start, b.end, a.end));
    // Of four points on one line the rectangles above have already told whether they overlap.
    p * q <= 0 && r * s <= 0
}

/// Refuses an outline that crosses or touches itself.
fn check_crossings(clean: &Clean) -> Result<(), OutlineProblem> {
    let mut bounds = Bounds::default();
    let mut length = 0.0;
    for side in &clean.sides {
        bounds.take(side.start);
        length += distance(side.start, side.end);
    }
    let count = clean.sides.len();
    let next: Vec<usize> = clean.successors();
    let refuse = |i: usize, j: usize| {
        let (a, b) = (&clean.sides[i], &clean.sides[j]);
        Err(OutlineProblem::CrossesItself {
            sides: [a.input, b.input],
            at: clean.origin + Vector::new(b.start.0, b.start.1),
        })
    };
    for (i, &j) in next.iter().enumerate() {
        if on_one_line(&clean.sides[i], &clean.sides[j]) == Some(Onward::Back) {
            return refuse(i, j);
        }
    }
    let mut grid = Grid::default();
    grid.lay(&bounds, length / count as f64, count);
    let mut heads = vec![u32::MAX; grid.len()];
    let mut entries: Vec<(u32, u32)> = Vec::with_capacity(4 * count);
    for i in 0..count {
        let side = &clean.sides[i];
        grid.cover(&[side.start, side.end]);
        for &cell in &grid.cells {
            let mut entry = heads[cell as usize];
            while entry != u32::MAX {
                let (j, rest) = entries[entry as usize];
                entry = rest;
                let j = j as usize;
                if next[i] != j && next[j] != i && touch(side, &clean.sides[j]) {
                    return refuse(i, j);
                }
            }
            entries.push((i as u32, heads[cell as usize]));
            heads[cell as usize] = (entries.len() - 1) as u32;
        }
    }
    Ok(())
}

impl Clean {
    /// For every side the next one of its ring.
    pub(super) fn successors(&self) -> Vec<usize> {
        let mut next: Vec<usize> = (1..=self.sides.len()).collect();
        for ring in self.rings.windows(2) {
            next[ring[1] - 1] = ring[0];
        }
        next
    }
    fn ring_corners(&self, ring: usize) -> Vec<Point> {
        self.sides[self.rings[ring]..self.rings[ring + 1]]
            .iter()
            .map(|side| Point::new(side.start.0, side.start.1))
            .collect()
    }
}

/// Every courtyard must lie inside the outer ring and outside the other courtyards.
fn check_courtyards(clean: &Clean) -> Result<(), OutlineProblem> {
    let rings: Vec<Vec<Point>> = (0..clean.rings.len() - 1)
        .map(|r| clean.ring_corners(r))
        .collect();
    for (r, corners) in rings.iter().enumerate().skip(1) {
        // No two rings touch, so one corner speaks for its ring.
        let p = corners[0];
        let elsewhere = !ring::contains(&rings[0], p)
            || (1..rings.len()).any(|q| q != r && ring::contains(&rings[q], p));
        if elsewhere {
            return Err(OutlineProblem::CourtyardOutside {
                side: clean.sides[clean.rings[r]].input,
                at: clean.origin + Vector::new(p.x, p.y),
            });
        }
    }
    Ok(())
}

/// Two sides on one line that meet at a corner and do not rise alike: two planes through one eave, or one plane that
/// has no neighbour to end at.
fn check_collinear(clean: &Clean) -> Result<(), OutlineProblem> {
    let next = clean.successors();
    for (i, side) in clean.sides.iter().enumerate() {
        let other = &clean.sides[next[i]];
        if side.rise_per_run == other.rise_per_run
            || on_one_line(side, other) != Some(Onward::Straight)
        {
            continue;
        }
        let sides = [side.input, other.input];
        let at = clean.origin + Vector::new(other.start.0, other.start.1);
        return Err(match (side.rise_per_run, other.rise_per_run) {
            (Some(a), Some(b)) => OutlineProblem::CollinearPitches {
                sides,
                rises_in_12: [a * 12.0, b * 12.0],
                at,
            },
            _ => OutlineProblem::GableInLine { sides, at },
        });
    }
    Ok(())
}

/// How a side that lies on the line of the one before it goes on.
#[derive(Clone, Copy, PartialEq)]
enum Onward {
    Straight,
    Back,
}

/// How the next side goes on if both lie on one line, as the fronts see it; `None` where they turn.
fn on_one_line(a: &CleanSide, b: &CleanSide) -> Option<Onward> {
    let (u, v) = (
        (a.end.0 - a.start.0, a.end.1 - a.start.1),
        (b.end.0 - b.start.0, b.end.1 - b.start.1),
    );
    let longer = u.0.hypot(u.1).max(v.0.hypot(v.1));
    if (u.0 * v.1 - u.1 * v.0).abs() > SAME_LINE_WITHIN_FT * longer {
        return None;
    }
    let onward = u.0 * v.0 + u.1 * v.1;
    if onward > 0.0 {
        Some(Onward::Straight)
    } else if onward < 0.0 {
        Some(Onward::Back)
    } else {
        None
    }
}
