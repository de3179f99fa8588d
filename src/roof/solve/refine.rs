//! From a choice of directions to planes that meet: least squares over all gradients and heights.

use crate::geometry::{Plane, Point, Vector};

use super::region::{Region, Roofing};
use super::sheet::{Sheet, SheetEdge};
use super::sparse::{Normal, Pattern, Term, thin_order};

/// How closely heights must agree on a shared edge, besides the snap tolerance (metres).
const GAP_SIGMA_M: f64 = 0.01;
/// The direction chosen is kept weakly: this part of the slope.
pub(super) const DIRECTION_PART: f64 = 0.05;
/// A direction that an arrow gave is kept better.
const ARROW_PART: f64 = 0.02;
/// A label is never taken for more exact than this (rise over run).
const LEAST_SLOPE_SIGMA: f64 = 1e-4;
/// A face said to be level may still fall a little.
const FLAT_SIGMA: f64 = 0.01;
/// Ties every height weakly to zero, so that a part that nothing holds still has one solution (weight, 1/m²).
const HEIGHT_WEIGHT: f64 = 1e-8;
/// Ties the gradient of a face without a pitch (weight).
const FREE_GRADIENT_WEIGHT: f64 = 1e-6;
/// Where directions are held, they may turn this much less than usual.
const HELD: f64 = 0.02;
/// The unknowns of a face: its gradient, and the height at its middle.
const UNKNOWNS: usize = 3;
/// Gauss-Newton rounds.
const ROUNDS: usize = 4;
/// Rounds end when no gradient moves more than this.
const SETTLED: f64 = 1e-6;

/// One plane a face, over sheet metres.
pub(super) type Planes = Vec<Plane>;

/// What stays the same for every choice on one sheet.
#[derive(Clone, Debug)]
pub(super) struct Refiner {
    /// The equations of the whole sheet: a block a face.
    whole: Pattern,
    /// How much closer than usual the chosen directions are kept, as a factor on the deviation.
    hold: f64,
    /// A label's error is taken for at most this part of its slope.
    label_part: f64,
    /// For each corner how much closer than usual the heights of its faces must agree, as a factor on the deviation; empty
    /// where that is the same for all.
    hold_at: Vec<f64>,
}

/// Where faces may stand apart, a slope that leaves its label would hide that they do: labels are held to this part.
const LABEL_PART_WITH_STEPS: f64 = 0.01;

impl Refiner {
    pub(super) fn new(sheet: &Sheet) -> Self {
        let links: Vec<(usize, usize)> = sheet.edges.iter().filter_map(|e| e.both()).collect();
        let faces = sheet.faces.len();
        let order = thin_order(&vec![1.0; faces], &links);
        Self {
            whole: Pattern::new(&vec![UNKNOWNS; faces], &links, &order),
            hold: 1.0,
            label_part: f64::INFINITY,
            hold_at: Vec::new(),
        }
    }

    /// One that would rather leave faces apart than slopes off their labels.
    pub(super) fn with_steps(sheet: &Sheet) -> Self {
        Self {
            label_part: LABEL_PART_WITH_STEPS,
            ..Self::new(sheet)
        }
    }

    /// One that hardly turns the falls that were chosen.
    pub(super) fn holding(sheet: &Sheet) -> Self {
        Self {
            hold: HELD,
            ..Self::new(sheet)
        }
    }

    /// The same, with the heights of corners on the outline held besides.
    pub(super) fn holding_from_the_eaves(sheet: &Sheet) -> Self {
        let mut hold_at = vec![1.0; sheet.nodes.len()];
        for edge in sheet.edges.iter().filter(|e| e.both().is_none()) {
            hold_at[edge.a] = HELD;
            hold_at[edge.b] = HELD;
        }
        Self {
            hold_at,
            ..Self::holding(sheet)
        }
    }

    /// Moves the planes of the region's faces to the nearest ones to the chosen gradients that meet along every shared
    /// edge that is no step; all other planes stay. `slot` is scratch: one entry a face, all `usize::MAX`.
    pub(super) fn refine(
        &self,
        sheet: &Sheet,
        roofing: &mut Roofing,
        region: &Region,
        slot: &mut [usize],
    ) {
        for (at, &face) in region.faces.iter().enumerate() {
            slot[face] = at;
            roofing.planes[face] = Plane {
                gradient: roofing.chosen[face],
                offset: -roofing.chosen[face].dot(sheet.faces[face].middle - Point::default()),
            };
        }
        let part;
        let pattern = if region.faces.len() == self.whole.blocks() {
            &self.whole
        } else {
            part = part_pattern(sheet, region, slot);
            &part
        };
        for _ in 0..ROUNDS {
            let mut normal = Normal::new(pattern);
            for &index in &region.edges {
                observe_gap(sheet, &self.hold_at, roofing, index, slot, &mut normal);
            }
            for (at, &face) in region.faces.iter().enumerate() {
                observe_face(
                    sheet,
                    (self.hold, self.label_part),
                    face,
                    at,
                    roofing.chosen[face],
                    roofing.planes[face].gradient,
                    &mut normal,
                );
            }
            let Some((factor, right)) = normal.factor() else {
                break;
            };
            let x = factor.solve(&right);
            let mut moved = 0.0_f64;
            for (at, &face) in region.faces.iter().enumerate() {
                let g = Vector::new(x[3 * at], x[3 * at + 1]);
                moved = moved.max((g - roofing.planes[face].gradient).length());
                let middle = sheet.faces[face].middle - Point::default();
                roofing.planes[face] = Plane {
                    gradient: g,
                    offset: x[3 * at + 2] - g.dot(middle),
                };
            }
            if moved < SETTLED {
                break;
            }
        }
        for &face in &region.faces {
            slot[face] = usize::MAX;
        }
    }
}

/// The equations of a part of the sheet, its faces eliminated as they come: the sheet's order would keep the fill of any part
/// small as well, but finding it would walk the whole sheet.
fn part_pattern(sheet: &Sheet, region: &Region, slot: &[usize]) -> Pattern {
    let links: Vec<(usize, usize)> = region
        .edges
        .iter()
        .filter_map(|&index| sheet.edges[index].both())
        .map(|(left, right)| (slot[left], slot[right]))
        .filter(|&(left, right)| left != usize::MAX && right != usize::MAX)
        .collect();
    let count = region.faces.len();
    let as_they_come: Vec<usize> = (0..count).collect();
    Pattern::new(&vec![UNKNOWNS; count], &links, &as_they_come)
}

/// The two faces of an inner edge have one height at both its ends. A face that is not sought is a constant.
fn observe_gap(
    sheet: &Sheet,
    hold_at: &[f64],
    roofing: &Roofing,
    index: usize,
    slot: &[usize],
    normal: &mut Normal,
) {
    let edge = &sheet.edges[index];
    let Some((left, right)) = edge.both().filter(|_| !roofing.is_step[index]) else {
        return;
    };
    let planes = &roofing.planes;
    let steeper = planes[left]
        .gradient
        .length()
        .max(planes[right].gradient.length());
    let sigma = GAP_SIGMA_M + 0.5 * steeper * sheet.tolerance;
    for node in [edge.a, edge.b] {
        let sigma = sigma * hold_at.get(node).copied().unwrap_or(1.0);
        let p = sheet.nodes[node];
        let mut row = [Term::default(); 2];
        let mut count = 0;
        let mut value = 0.0;
        for (face, sign) in [(left, 1.0), (right, -1.0)] {
            let at = slot[face];
            if at == usize::MAX {
                value -= sign * planes[face].height_at(p);
                continue;
            }
            let arm = p - sheet.faces[face].middle;
            row[count] = Term {
                block: at,
                coefficients: [sign * arm.x, sign * arm.y, sign],
            };
            count += 1;
        }
        normal.observe(&row[..count], value, 1.0 / (sigma * sigma));
    }
}

fn observe_face(
    sheet: &Sheet,
    (hold, label_part): (f64, f64),
    face: usize,
    at: usize,
    chosen: Vector,
    now: Vector,
    normal: &mut Normal,
) {
    let mut observe = |coefficients, value, weight| {
        let term = Term {
            block: at,
            coefficients,
        };
        normal.observe(&[term], value, weight);
    };
    observe([0.0, 0.0, 1.0], 0.0, HEIGHT_WEIGHT);
    let Some(slope) = sheet.faces[face].slope else {
        observe([1.0, 0.0, 0.0], chosen.x, FREE_GRADIENT_WEIGHT);
        observe([0.0, 1.0, 0.0], chosen.y, FREE_GRADIENT_WEIGHT);
        return;
    };
    let (Some(fall), Some(kept)) = (now.unit(), chosen.unit()) else {
        let weight = 1.0 / (FLAT_SIGMA * FLAT_SIGMA);
        observe([1.0, 0.0, 0.0], 0.0, weight);
        observe([0.0, 1.0, 0.0], 0.0, weight);
        return;
    };
    // |g| is linear along its own direction.
    let label = sheet.faces[face].half_step.min(label_part * slope);
    let sigma = label.max(LEAST_SLOPE_SIGMA);
    observe([fall.x, fall.y, 0.0], slope, 1.0 / (sigma * sigma));
    let side = kept.turn_left();
    let part = if sheet.faces[face].arrow.is_some() {
        ARROW_PART
    } else {
        DIRECTION_PART
    };
    let sigma = hold * part * slope;
    observe([side.x, side.y, 0.0], 0.0, 1.0 / (sigma * sigma));
}

/// The gap of an inner edge at its two ends: left face less right face, in metres.
pub(super) fn gaps(sheet: &Sheet, planes: &[Plane], edge: usize) -> Option<[f64; 2]> {
    let edge = &sheet.edges[edge];
    let (left, right) = edge.both()?;
    Some(gaps_between(
        &sheet.nodes,
        edge,
        planes[left],
        planes[right],
    ))
}

/// The same for two planes over corners that may have been moved.
pub(super) fn gaps_between(
    nodes: &[Point],
    edge: &SheetEdge,
    left: Plane,
    right: Plane,
) -> [f64; 2] {
    [edge.a, edge.b].map(|node| {
        let p = nodes[node];
        left.height_at(p) - right.height_at(p)
    })
}
