//! From a choice of directions to planes that meet: least squares over all gradients and heights.

use crate::geometry::{Plane, Point, Vector};

use super::sheet::Sheet;
use super::sparse::{Normal, thin_order, widened};

/// How closely heights must agree on a shared edge, besides the snap tolerance (metres).
const GAP_SIGMA_M: f64 = 0.01;
/// The direction chosen is kept weakly: this part of the slope.
const DIRECTION_PART: f64 = 0.05;
/// A label is never taken for more exact than this (rise over run).
const LEAST_SLOPE_SIGMA: f64 = 1e-4;
/// A face said to be level may still fall a little.
const FLAT_SIGMA: f64 = 0.01;
/// Ties every height weakly to zero, so that a part that nothing holds still has one solution (weight, 1/m²).
const HEIGHT_WEIGHT: f64 = 1e-8;
/// Ties the gradient of a face without a pitch (weight).
const FREE_GRADIENT_WEIGHT: f64 = 1e-6;
/// Gauss-Newton rounds.
const ROUNDS: usize = 4;

/// One plane a face, over sheet metres.
pub(super) type Planes = Vec<Plane>;

/// What stays the same for every choice on one sheet.
#[derive(Clone, Debug)]
pub(super) struct Refiner {
    order: Vec<usize>,
}

impl Refiner {
    pub(super) fn new(sheet: &Sheet) -> Self {
        let links: Vec<(usize, usize)> = sheet.edges.iter().filter_map(|e| e.both()).collect();
        let order = thin_order(&vec![1.0; sheet.faces.len()], &links);
        Self {
            order: widened(&order, 3),
        }
    }

    /// The planes nearest to the chosen gradients that meet along every shared edge that is no step.
    pub(super) fn planes(&self, sheet: &Sheet, chosen: &[Vector], is_step: &[bool]) -> Planes {
        let mut planes = start(sheet, chosen);
        for _ in 0..ROUNDS {
            let mut normal = Normal::new(&self.order);
            observe_gaps(sheet, &planes, is_step, &mut normal);
            for (face, &g) in chosen.iter().enumerate() {
                observe_face(sheet, face, g, planes[face].gradient, &mut normal);
            }
            let Some(factor) = normal.factor() else {
                break;
            };
            let x = normal.solve(&factor);
            let mut moved = 0.0_f64;
            for (face, plane) in planes.iter_mut().enumerate() {
                let g = Vector::new(x[3 * face], x[3 * face + 1]);
                moved = moved.max((g - plane.gradient).length());
                let middle = sheet.faces[face].middle - Point::default();
                *plane = Plane {
                    gradient: g,
                    offset: x[3 * face + 2] - g.dot(middle),
                };
            }
            if moved < 1e-9 {
                break;
            }
        }
        planes
    }
}

fn start(sheet: &Sheet, chosen: &[Vector]) -> Planes {
    chosen
        .iter()
        .zip(&sheet.faces)
        .map(|(&gradient, face)| Plane {
            gradient,
            offset: -gradient.dot(face.middle - Point::default()),
        })
        .collect()
}

/// Height of a face's plane over a point, as a row: gradient about the face's own middle, and height there.
pub(super) fn height_row(sheet: &Sheet, face: usize, p: Point) -> [(usize, f64); 3] {
    let arm = p - sheet.faces[face].middle;
    [
        (3 * face, arm.x),
        (3 * face + 1, arm.y),
        (3 * face + 2, 1.0),
    ]
}

fn observe_gaps(sheet: &Sheet, planes: &[Plane], is_step: &[bool], normal: &mut Normal) {
    for (index, edge) in sheet.edges.iter().enumerate() {
        let Some((left, right)) = edge.both().filter(|_| !is_step[index]) else {
            continue;
        };
        let steeper = planes[left]
            .gradient
            .length()
            .max(planes[right].gradient.length());
        let sigma = GAP_SIGMA_M + 0.5 * steeper * sheet.tolerance;
        for node in [edge.a, edge.b] {
            let p = sheet.nodes[node];
            let mut row = height_row(sheet, left, p).to_vec();
            row.extend(height_row(sheet, right, p).map(|(i, v)| (i, -v)));
            normal.observe(&row, 0.0, 1.0 / (sigma * sigma));
        }
    }
}

fn observe_face(sheet: &Sheet, face: usize, chosen: Vector, now: Vector, normal: &mut Normal) {
    let (x, y) = (3 * face, 3 * face + 1);
    normal.observe(&[(3 * face + 2, 1.0)], 0.0, HEIGHT_WEIGHT);
    let Some(slope) = sheet.faces[face].slope else {
        normal.observe(&[(x, 1.0)], chosen.x, FREE_GRADIENT_WEIGHT);
        normal.observe(&[(y, 1.0)], chosen.y, FREE_GRADIENT_WEIGHT);
        return;
    };
    let (Some(fall), Some(kept)) = (now.unit(), chosen.unit()) else {
        let weight = 1.0 / (FLAT_SIGMA * FLAT_SIGMA);
        normal.observe(&[(x, 1.0)], 0.0, weight);
        normal.observe(&[(y, 1.0)], 0.0, weight);
        return;
    };
    // |g| is linear along its own direction.
    let sigma = sheet.faces[face].half_step.max(LEAST_SLOPE_SIGMA);
    normal.observe(&[(x, fall.x), (y, fall.y)], slope, 1.0 / (sigma * sigma));
    let side = kept.turn_left();
    let sigma = DIRECTION_PART * slope;
    normal.observe(&[(x, side.x), (y, side.y)], 0.0, 1.0 / (sigma * sigma));
}

/// The gap of an inner edge at its two ends: left face less right face, in metres.
pub(super) fn gaps(sheet: &Sheet, planes: &[Plane], edge: usize) -> Option<[f64; 2]> {
    let edge = &sheet.edges[edge];
    let (left, right) = edge.both()?;
    Some([edge.a, edge.b].map(|node| {
        let p = sheet.nodes[node];
        planes[left].height_at(p) - planes[right].height_at(p)
    }))
}
