//! How likely an assignment of falls is: a sum over edges and faces; negative is likely.
//!
//! A log-linear model. The weights were fitted on solutions of real city roofs (open LoD2 models) by maximum
//! likelihood and rounded; none of them carries the result alone. Lengths count in units of √(mean face area), so
//! that neither the size of the roof nor the unit matters. Slopes are rise over run, lengths metres.

use crate::geometry::Vector;

use super::sheet::{Sheet, SheetEdge};

/// Outer edge, level, the face falls towards it.
const EAVE: f64 = -1.0;
/// Outer edge, level, the face rises towards it.
const HIGH_EDGE: f64 = 0.3;
/// Outer edge, oblique to the fall, the face falls outward.
const OBLIQUE_OUT: f64 = 0.8;
/// Outer edge, oblique to the fall, the face falls inward.
const OBLIQUE_IN: f64 = 1.6;
const RIDGE: f64 = -0.8;
const HIP: f64 = 0.1;
/// Fitted at 1.4; raised, since city models hold hardly any trough inside a roof and 1.4 leaves a gambrel open.
const LEVEL_VALLEY: f64 = 1.8;
const VALLEY: f64 = -0.6;
/// Water crosses an inner edge on to a steeper face.
const CROSS_STEEPER: f64 = -0.2;
/// Water crosses an inner edge on to a flatter face.
const CROSS_FLATTER: f64 = 0.9;
/// Two faces in one plane, or flat beside flat: why was the line drawn?
const NO_CREASE: f64 = 1.7;
/// ... and how short it is says nothing about that where nobody would have split a plane: a small piece with a label of
/// its own, or a sheet of two faces only. Such a line costs this besides, in full when it is as long as so many snap
/// tolerances.
pub(super) const NEEDLESS_LINE: f64 = 5.0;
const NEEDLESS_FROM_TOLERANCES: f64 = 4.0;
/// A face whose √area is below this part of the usual one is a small piece; graded.
const SMALL_PIECE: f64 = 0.4;
/// Gradients that differ by this part of the slope are one plane no more; graded.
const ONE_PLANE_PART: f64 = 0.12;
/// Weight of a height gap against the rest.
const GAP: f64 = 1.1;
/// A sloped face without any edge square to its fall.
const NO_LEVEL_EDGE: f64 = 1.8;
/// How far from square that edge may be, in degrees.
const SQUARE_DEG: f64 = 5.0;
/// How carefully arrows are drawn (degrees): a foot or two of them, with ends an inch off.
const ARROW_SIGMA_DEG: f64 = 2.5;
/// A level edge grades into an oblique one over this angle: real eaves are up to 5° off.
const GRADE_DEG: f64 = 8.0;
/// A level inner edge grades into a sloping one over this rise per run.
const GRADE_RISE: f64 = 0.05;
/// A face whose slope across an edge is below this falls along it; the other face decides.
const ALONG: f64 = 0.035;
/// Two planes whose slopes across the edge differ less than this have no crease; graded.
const CREASE: f64 = 0.05;
/// The most that one gap may cost.
pub(super) const MOST_GAP: f64 = 60.0;
/// What a step costs, per unit length and per straight line, where steps are allowed.
const STEP_LENGTH: f64 = 1.0;
pub(super) const STEP_LINE: f64 = 0.3;

/// 1 at 0, falling to 0 at `limit`.
fn grade(value: f64, limit: f64) -> f64 {
    (1.0 - (value / limit).powi(2)).max(0.0)
}

/// What an outer edge says about the fall of its one face. `out` is the unit normal pointing out of the face.
pub(super) fn outer(sheet: &Sheet, edge: &SheetEdge, g: Vector, out: Vector) -> f64 {
    if g.is_zero() || edge.on_wall {
        return 0.0;
    }
    let units = edge.length / sheet.unit_length;
    let to_normal = g.angle_to_deg(out).min(g.angle_to_deg(-out));
    let level = grade(to_normal, GRADE_DEG);
    let rake = grade(90.0 - to_normal, GRADE_DEG);
    let oblique = 1.0 - level - rake;
    let falls_out = g.dot(out) < 0.0;
    let (at_level, at_oblique) = if falls_out {
        (EAVE, OBLIQUE_OUT)
    } else {
        (HIGH_EDGE, OBLIQUE_IN)
    };
    units * (level * at_level + oblique * at_oblique)
}

/// Stands for a fall and a pitch that nothing says: it costs a little and meets every neighbour.
pub(super) const UNKNOWN: Vector = Vector {
    x: f64::NAN,
    y: f64::NAN,
};
/// What it costs. A fall that the neighbours fix usually has an eave or a ridge and costs less.
const UNKNOWN_COST: f64 = 0.5;

fn is_unknown(g: Vector) -> bool {
    g.x.is_nan()
}

/// What one face costs by itself: its outer edges, and whether any edge is square to its fall.
pub(super) fn alone(sheet: &Sheet, edges: &[usize], face: usize, g: Vector) -> f64 {
    if is_unknown(g) {
        return UNKNOWN_COST;
    }
    let mut sum = 0.0;
    for &index in edges {
        let edge = &sheet.edges[index];
        if let Some((_, out)) = edge.outer() {
            sum += outer(sheet, edge, g, out);
        }
    }
    let square = g.is_zero() || has_square_edge(sheet, edges, g);
    if !square && sheet.faces[face].slope.is_some() {
        sum += NO_LEVEL_EDGE;
    }
    if let Some(arrow) = sheet.faces[face].arrow {
        sum += robust(g.angle_to_deg(-arrow) / ARROW_SIGMA_DEG);
    }
    sum
}

/// Whether one of the edges is square to a gradient: an eave, a ridge or a level valley.
pub(super) fn has_square_edge(sheet: &Sheet, edges: &[usize], g: Vector) -> bool {
    edges.iter().any(|&index| {
        let along = sheet.edges[index].along;
        90.0 - g.angle_to_deg(along).min(g.angle_to_deg(-along)) <= SQUARE_DEG
    })
}

/// What the form of an inner edge costs, without its gap. `left` and `right` are the gradients of its faces, `steeper` the
/// length of the longer one.
pub(super) fn crease(
    sheet: &Sheet,
    edge: &SheetEdge,
    left: Vector,
    right: Vector,
    steeper: f64,
) -> f64 {
    if is_unknown(left) || is_unknown(right) {
        return 0.0;
    }
    let units = edge.length / sheet.unit_length;
    let (flat_left, flat_right) = (left.is_zero(), right.is_zero());
    if flat_left && flat_right {
        return units * NO_CREASE;
    }
    let normal = edge.along.turn_left();
    // Rise going away from the edge into each face: positive where the face falls towards the edge.
    let (into_left, into_right) = (left.dot(normal), -right.dot(normal));
    let smooth = grade(into_left + into_right, CREASE);
    let form = form_per_unit(edge, left, right, into_left, into_right);
    let one_plane = grade((left - right).length(), ONE_PLANE_PART * steeper);
    units * (smooth * NO_CREASE + (1.0 - smooth) * form) + one_plane * needless(sheet, edge)
}

/// What a line costs that parts nothing.
fn needless(sheet: &Sheet, edge: &SheetEdge) -> f64 {
    let Some((left, right)) = edge.both() else {
        return 0.0;
    };
    let smaller = sheet.faces[left].area.min(sheet.faces[right].area);
    let odd = if sheet.faces.len() == 2 {
        1.0
    } else {
        grade(smaller.sqrt() / sheet.unit_length, SMALL_PIECE)
    };
    let long = edge.length / (NEEDLESS_FROM_TOLERANCES * sheet.tolerance).max(f64::MIN_POSITIVE);
    NEEDLESS_LINE * odd * long.min(1.0)
}

fn form_per_unit(
    edge: &SheetEdge,
    left: Vector,
    right: Vector,
    into_left: f64,
    into_right: f64,
) -> f64 {
    let rise = ((left + right).dot(edge.along) / 2.0).abs();
    let level = grade(rise, GRADE_RISE);
    if left.is_zero() || right.is_zero() {
        let sloped = if left.is_zero() {
            into_right
        } else {
            into_left
        };
        return if sloped > 0.0 {
            CROSS_FLATTER
        } else {
            CROSS_STEEPER
        };
    }
    let (mut l, mut r) = (into_left, into_right);
    if l.abs() < ALONG {
        l = r;
    } else if r.abs() < ALONG {
        r = l;
    }
    match (l > 0.0, r > 0.0) {
        (true, true) => level * LEVEL_VALLEY + (1.0 - level) * VALLEY,
        (false, false) => level * RIDGE + (1.0 - level) * HIP,
        // Water leaves the face that falls towards the edge and runs on over the other one.
        (true, false) if r.abs() > l.abs() => CROSS_STEEPER,
        (false, true) if l.abs() > r.abs() => CROSS_STEEPER,
        _ => CROSS_FLATTER,
    }
}

/// The robust curve of a gap of q standard deviations.
pub(super) fn robust(q: f64) -> f64 {
    let q = q.abs();
    if q <= 2.0 { q * q / 2.0 } else { 2.0 * q - 2.0 }
}

/// The gap of an inner edge in the search, where only gradients are known: candidates are turned by the tracing of the
/// edges they come from.
pub(super) fn search_gap(
    sheet: &Sheet,
    edge: &SheetEdge,
    left: Vector,
    right: Vector,
    steeper: f64,
) -> f64 {
    if is_unknown(left) || is_unknown(right) {
        return 0.0;
    }
    let gap = ((left - right).dot(edge.along) * edge.length).abs();
    let sigma =
        0.03 * steeper * edge.length + 0.04 * steeper + 0.01 + 0.5 * steeper * sheet.tolerance;
    GAP * robust(gap / sigma).min(MOST_GAP)
}

/// The gap of an inner edge once heights are known: gaps at both ends in metres.
pub(super) fn solved_gap(sheet: &Sheet, gaps: [f64; 2], steeper: f64) -> f64 {
    let sigma = 0.02 + 0.5 * steeper * sheet.tolerance;
    let sum: f64 = gaps.iter().map(|g| robust(g / sigma) / 2.0).sum();
    GAP * sum.min(40.0)
}

/// What it costs that a face falls towards a wall: the trough there is as unlikely as a level valley.
pub(super) fn against_wall(sheet: &Sheet, edge: &SheetEdge, g: Vector, towards: Vector) -> f64 {
    if g.is_zero() || g.dot(towards) > 0.0 {
        return 0.0;
    }
    let level = grade(g.angle_to_deg(-towards), GRADE_DEG);
    LEVEL_VALLEY * level * edge.length / sheet.unit_length
}

/// What it costs to let an inner edge by itself be a step in height.
pub(super) fn step(sheet: &Sheet, edge: &SheetEdge) -> f64 {
    step_along(sheet, edge) + STEP_LINE
}

/// What it costs to let an edge be a piece of a step in height: [`STEP_LINE`] comes to it once for its line. A wall that a ridge
/// ends at is two edges, and one wall.
pub(super) fn step_along(sheet: &Sheet, edge: &SheetEdge) -> f64 {
    STEP_LENGTH * edge.length / sheet.unit_length
}
