//! Steps in height: does a sheet need them, and which edges are they?
//!
//! Where the planes on both sides of a line cannot meet, one part of the roof stands higher. Whether they can is
//! tested first on the best roof without steps; only then may an edge be a step.

use std::collections::{BTreeMap, BTreeSet};

use crate::geometry::Vector;

use super::alternatives::Solution;
use super::classes::are_one_plane;
use super::cost;
use super::pending::ARROW_OFF_DEG;
use super::refine::gaps_between;
use super::region::{Region, Roofing};
use super::sheet::Sheet;

/// The best roof without steps may leave gaps of this cost: true roofs leave a tenth of it.
const MOST_GAP_COST: f64 = 1.0;
/// A roof with steps must fit better by this cost where one without them could be: as much as makes a rival no rival.
const CHEAPER_BY: f64 = 3.0;
/// Planes whose slopes across their edge differ by less have no crease there (rise over run; 1.5°).
const NO_CREASE: f64 = 0.026;
/// ... if the line is at least so long, in units of √(mean face area): a short line in a plane is a slip of the pen.
const LONG_PART: f64 = 0.3;
/// A fall is the arrow's when it is nearer to it than this: arrows are drawn by hand.
const ARROW_HELD_DEG: f64 = 5.0;
/// An edge that still gapes by more than this (metres) is a step ...
const GAPES_M: f64 = 0.08;
/// An edge that gapes this part of the worst gapes alike: least squares share a gap out between the lines that could
/// take it.
const GAPES_ALIKE: f64 = 0.8;
/// ... looked for at most so often.
pub(super) const MOST_ADDED: usize = 6;
/// Falls that differ by less (degrees) run the same way.
const SAME_WAY_DEG: f64 = 30.0;

/// That the planes of a sheet cannot meet without a step, in words; `None` where they can.
pub(super) fn gapes(sheet: &Sheet, best: &Solution) -> Option<&'static str> {
    let gapes =
        may_help(best) && worst_gaping(sheet, &best.roofing, &Region::whole(sheet)).is_some();
    gapes.then_some("planes that share an edge cannot meet in it")
}

/// What else a sheet needs steps for, in words; `None` where it needs none.
pub(super) fn needed(sheet: &Sheet, best: &Solution) -> Option<&'static str> {
    if !best.price.ponds.is_empty() {
        return Some("without a step water could not leave");
    }
    if turned_from_arrow(sheet, &best.roofing) {
        return Some("without a step a face could not fall as its arrow says");
    }
    for edge in &sheet.edges {
        let Some((left, right)) = edge.both() else {
            continue;
        };
        if sheet.faces[left].is_flat() && sheet.faces[right].is_flat() {
            return Some("two level faces lie side by side");
        }
    }
    let gradient = |face: usize| best.roofing.planes[face].gradient;
    let in_plane = without_crease(sheet, 0..sheet.edges.len(), gradient);
    (!in_plane.is_empty()).then_some("two faces would lie in one plane")
}

/// Which of these edges are pieces of straight lines that part no two planes for a good length.
fn without_crease(
    sheet: &Sheet,
    edges: impl Iterator<Item = usize>,
    gradient: impl Fn(usize) -> Vector,
) -> BTreeSet<usize> {
    let no_crease = |&index: &usize| {
        let edge = &sheet.edges[index];
        edge.both().is_some_and(|(left, right)| {
            let turn = gradient(left) - gradient(right);
            turn.dot(edge.along.turn_left()).abs() < NO_CREASE
        })
    };
    let pieces: Vec<usize> = edges.filter(no_crease).collect();
    let mut length_of: BTreeMap<usize, f64> = BTreeMap::new();
    for &index in &pieces {
        *length_of.entry(sheet.lines[index]).or_default() += sheet.edges[index].length;
    }
    let long = |index: &usize| length_of[&sheet.lines[*index]] >= LONG_PART * sheet.unit_length;
    pieces.into_iter().filter(long).collect()
}

/// Whether the best roof without steps leaves gaps that tracing hardly explains, though no line gapes for sure.
pub(super) fn may_help(best: &Solution) -> bool {
    best.price.gap_cost > MOST_GAP_COST
}

/// Why the best roof with steps is to be taken rather than the best one without.
pub(super) fn better(without: &Solution, with: &Solution) -> Option<&'static str> {
    (with.price.cost < without.price.cost - CHEAPER_BY)
        .then_some("without a step the planes could meet only by bending them")
}

/// Whether planes were made to meet by turning one away from the fall that its arrow gives. Candidates that agree with
/// the arrow were chosen, so it is the neighbours' planes that turned it: they meet it only by being bent.
fn turned_from_arrow(sheet: &Sheet, roofing: &Roofing) -> bool {
    let faces = sheet.faces.iter().enumerate();
    faces
        .filter(|(_, face)| !face.is_flat())
        .any(|(index, face)| {
            face.arrow.is_some_and(|arrow| {
                roofing.chosen[index].angle_to_deg(-arrow) <= ARROW_HELD_DEG
                    && roofing.planes[index].gradient.angle_to_deg(-arrow) > ARROW_OFF_DEG
            })
        })
}

/// Sets which of the region's edges are cheaper as steps than as shared edges, with the gradients chosen, and those that
/// [`needed`] looks for.
pub(super) fn choose(sheet: &Sheet, roofing: &mut Roofing, region: &Region) {
    let edges = || region.edges.iter().copied();
    let in_plane = without_crease(sheet, edges(), |face| roofing.chosen[face]);
    // What a step would save along each edge, and along each line.
    let mut saved: Vec<(usize, f64)> = Vec::new();
    let mut by_line: BTreeMap<usize, f64> = BTreeMap::new();
    for index in edges() {
        let edge = &sheet.edges[index];
        let Some((left, right)) = edge.both() else {
            continue;
        };
        let (g, h) = (roofing.chosen[left], roofing.chosen[right]);
        let steeper = g.length().max(h.length());
        let shared =
            cost::crease(sheet, edge, g, h, steeper) + cost::search_gap(sheet, edge, g, h, steeper);
        let saves = shared - cost::step_along(sheet, edge);
        saved.push((index, saves));
        *by_line.entry(sheet.lines[index]).or_default() += saves.max(0.0);
    }
    for (index, saves) in saved {
        let pays = saves > 0.0 && by_line[&sheet.lines[index]] > cost::STEP_LINE;
        roofing.is_step[index] = pays || in_plane.contains(&index);
    }
}

/// Takes back steps between two faces of one plane that stand at one height: how high they are is known only when all parts are
/// stacked, and what does not rise there is a line in one plane.
pub(super) fn without_a_height(sheet: &Sheet, roofing: &mut Roofing) {
    for (index, edge) in sheet.edges.iter().enumerate() {
        let Some((left, right)) = edge.both().filter(|_| roofing.is_step[index]) else {
            continue;
        };
        let (left, right) = (roofing.planes[left], roofing.planes[right]);
        let gaps = gaps_between(&sheet.nodes, edge, left, right);
        let is_level = gaps.iter().all(|gap| gap.abs() <= GAPES_M);
        if is_level && are_one_plane(left.gradient, right.gradient) {
            roofing.is_step[index] = false;
        }
    }
}

/// The edge of the region that gapes worst beyond what tracing explains. Without making it a step, a step between two
/// parallel planes is missed, since their slopes agree.
pub(super) fn worst_gaping(sheet: &Sheet, roofing: &Roofing, region: &Region) -> Option<usize> {
    let mut gaping: Vec<(f64, usize)> = Vec::new();
    for &index in &region.edges {
        let edge = &sheet.edges[index];
        let Some((left, right)) = edge.both().filter(|_| !roofing.is_step[index]) else {
            continue;
        };
        let (left, right) = (roofing.planes[left], roofing.planes[right]);
        let gaps = gaps_between(&sheet.nodes, edge, left, right);
        let gap = gaps[0].abs().max(gaps[1].abs());
        let steeper = left.gradient.length().max(right.gradient.length());
        let excess = gap - (GAPES_M + steeper * sheet.tolerance);
        if excess > 0.0 {
            gaping.push((excess, index));
        }
    }
    let worst = gaping.iter().map(|g| g.0).fold(0.0, f64::max);
    let alike: Vec<usize> = gaping
        .iter()
        .filter(|g| g.0 >= GAPES_ALIKE * worst)
        .map(|g| g.1)
        .collect();
    let foot = alike
        .iter()
        .copied()
        .find(|&index| is_dormers_foot(sheet, roofing, index, &alike));
    if foot.is_some() {
        return foot;
    }
    // Of lines that gape alike the one goes that is the least likely to be shared: a ridge rather stays.
    let likely = |index: usize| {
        let edge = &sheet.edges[index];
        edge.both().map_or(0.0, |(left, right)| {
            let [g, h] = [left, right].map(|f| roofing.planes[f].gradient);
            let steeper = g.length().max(h.length());
            cost::crease(sheet, edge, g, h, steeper) / edge.length
        })
    };
    alike
        .into_iter()
        .max_by(|&a, &b| likely(a).total_cmp(&likely(b)).then(b.cmp(&a)))
}

/// Whether of two lines that a flatter face shares with the steeper one round it, which falls the same way, this one is the
/// lower. Such a face is a shed dormer: it hangs on the slope by its top and stands over it with its foot. Hung by its foot it
/// would be a pocket sunk into the slope.
fn is_dormers_foot(sheet: &Sheet, roofing: &Roofing, index: usize, alike: &[usize]) -> bool {
    let Some((left, right)) = sheet.edges[index].both() else {
        return false;
    };
    let [g, h] = [left, right].map(|f| roofing.chosen[f]);
    let (steeper, flatter) = match g.length() > h.length() {
        true => (left, g.length() - h.length()),
        false => (right, h.length() - g.length()),
    };
    let same_way = g.angle_to_deg(h) < SAME_WAY_DEG && !g.is_zero() && !h.is_zero();
    let up = roofing.chosen[steeper];
    let middle = |e: usize| sheet.nodes[sheet.edges[e].a].midpoint(sheet.nodes[sheet.edges[e].b]);
    let is_top = |&other: &usize| {
        let pair = sheet.edges[other].both();
        let same = pair == Some((left, right)) || pair == Some((right, left));
        let rise = up.dot(middle(other) - middle(index));
        other != index && same && rise > GAPES_M
    };
    same_way && flatter > NO_CREASE && alike.iter().any(is_top)
}

/// The shared edge of the region whose gap costs most more than a step in its place would: least squares may share one gap
/// out over several lines, none of which gapes beyond what tracing explains.
pub(super) fn cheaper_apart(sheet: &Sheet, roofing: &Roofing, region: &Region) -> Option<usize> {
    let saved = |&index: &usize| {
        let edge = &sheet.edges[index];
        let (left, right) = edge.both().filter(|_| !roofing.is_step[index])?;
        let (left, right) = (roofing.planes[left], roofing.planes[right]);
        let gaps = gaps_between(&sheet.nodes, edge, left, right);
        let steeper = left.gradient.length().max(right.gradient.length());
        let gap = cost::solved_gap(sheet, gaps, steeper);
        Some((gap - cost::step(sheet, edge).max(MOST_GAP_COST), index))
    };
    region
        .edges
        .iter()
        .filter_map(saved)
        .filter(|(saved, _)| *saved > 0.0)
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))
        .map(|(_, index)| index)
}
