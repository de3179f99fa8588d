//! Adjusts the traced corners, the falls and the heights together, the least that makes the planes meet.
//!
//! A traced plan is a set of measurements with errors ([`pieces`]); that planes meet at common corners, that eaves and ridges
//! are level and that labels are right to their last digit are conditions ([`observations`]). Robust weighted least squares by
//! Gauss-Newton, as a surveyor adjusts a traverse (weights after P. J. Huber, *Robust estimation of a location parameter*,
//! 1964); how exact the tracing was is estimated on the way ([`exactness`]). The topology never changes here.

mod exactness;
mod observations;
mod pieces;

use crate::geometry::{Plane, Point, Vector};

use super::clearance::clearances;
use super::refine::Planes;
use super::sheet::Sheet;
use super::sparse::{Normal, Pattern, thin_order};

use exactness::Exactness;
use observations::{Kind, Observation};
pub(super) use pieces::Drawn;
use pieces::Piece;

/// The tracing error at the start, as a part of the snap tolerance.
const START_PART_OF_TOLERANCE: f64 = 0.25;
/// The tracing error is never taken for less (metres): a plan is drawn, not machined.
const LEAST_TRACING_M: f64 = 0.0005;
/// Edges within this of square to the fall are held level, and this much more of the snap tolerance over their length: on
/// an exact drawing a ridge that slopes a little is no level one ...
const LEVEL_DEG: f64 = 0.25;
const LEVEL_TOLERANCES: f64 = 2.0;
/// ... up to this.
const MOST_LEVEL_DEG: f64 = 3.0;
/// Gauss-Newton rounds; after some of them the tracing error is estimated anew.
const ROUNDS: usize = 8;
const RESCALE_AFTER: [usize; 2] = [2, 4];
/// Rounds end when no corner moves more than this (metres).
const SETTLED_M: f64 = 1e-7;
/// What errors that hang together (a whole outline traced inside the line) add, measured on 101 traced real roofs.
const HONEST_FACTOR: f64 = 1.3;

/// A sheet after adjustment.
#[derive(Clone, Debug)]
pub(super) struct Adjusted {
    /// Corners in sheet metres.
    pub(super) nodes: Vec<Point>,
    pub(super) planes: Planes,
    /// One standard error of the true area in m².
    pub(super) true_area_std_error: f64,
}

struct Adjuster<'a> {
    sheet: &'a Sheet,
    pieces: Vec<Piece>,
    /// Edges held level, each with the face whose fall it is square to.
    level: Vec<(usize, usize)>,
    /// The arrows of faces without a level edge.
    arrows: Vec<Option<Vector>>,
    is_step: &'a [bool],
    clearance: Vec<f64>,
    nodes: Vec<Point>,
    planes: Planes,
    /// The tracing error in metres.
    tracing: f64,
    exactness: Exactness,
}

/// Adjusts one sheet; `None` where the equations could not be solved.
pub(super) fn adjust(
    drawn: &Drawn<'_>,
    sheet: &Sheet,
    planes: &[Plane],
    is_step: &[bool],
) -> Option<Adjusted> {
    let mut adjuster = Adjuster::new(drawn, sheet, planes, is_step);
    let pattern = adjuster.pattern();
    for round in 1..=ROUNDS {
        let (factor, right) = adjuster.normal(&pattern, |o| o).factor()?;
        let moved = adjuster.apply(&factor.solve(&right));
        if RESCALE_AFTER.contains(&round) {
            adjuster.rescale(&factor.selected_inverse());
        } else if moved < SETTLED_M && round > RESCALE_AFTER[1] {
            break;
        }
    }
    let found = adjuster.exactness;
    adjuster.tracing = found.tracing;
    let as_found = adjuster.normal(&pattern, |o| as_exact_as_found(o, found));
    let (factor, _) = as_found.factor()?;
    let gradient = adjuster.area_gradient();
    let spread = factor.solve(&gradient);
    let variance: f64 = gradient.iter().zip(&spread).map(|(g, s)| g * s).sum();
    Some(Adjusted {
        nodes: adjuster.nodes,
        planes: adjuster.planes,
        true_area_std_error: HONEST_FACTOR * variance.max(0.0).sqrt(),
    })
}

/// An observation with its error as it turned out to be, for the covariance. A corner of a polygon ends two of its sides but was
/// traced once: each side has half of what it says.
fn as_exact_as_found(mut observation: Observation, found: Exactness) -> Observation {
    observation.sigma *= match observation.kind {
        Kind::Across { together } => together.sqrt(),
        Kind::Along { together } => found.along * together.sqrt(),
        Kind::Condition => found.condition,
        Kind::Other => 1.0,
    };
    observation
}

fn level_edges(sheet: &Sheet, planes: &[Plane]) -> Vec<(usize, usize)> {
    let most = MOST_LEVEL_DEG.to_radians().sin();
    let mut level = Vec::new();
    for (index, edge) in sheet.edges.iter().enumerate() {
        let traced = LEVEL_TOLERANCES * sheet.tolerance / edge.length;
        let limit = match edge.outer() {
            Some(_) => most,
            None => (LEVEL_DEG.to_radians() + traced).min(most),
        };
        for face in [edge.left, edge.right].into_iter().flatten() {
            let g = planes[face].gradient;
            let slope = g.length();
            if !sheet.faces[face].is_flat()
                && slope > 0.0
                && g.dot(edge.along).abs() < limit * slope
            {
                level.push((index, face));
            }
        }
    }
    level
}

impl<'a> Adjuster<'a> {
    fn new(drawn: &Drawn<'_>, sheet: &'a Sheet, planes: &[Plane], is_step: &'a [bool]) -> Self {
        let level = level_edges(sheet, planes);
        let mut arrows: Vec<Option<Vector>> = sheet.faces.iter().map(|f| f.arrow).collect();
        for &(_, face) in &level {
            arrows[face] = None;
        }
        let tracing = (START_PART_OF_TOLERANCE * sheet.tolerance).max(LEAST_TRACING_M);
        Self {
            sheet,
            pieces: drawn.pieces(sheet),
            level,
            arrows,
            is_step,
            clearance: clearances(sheet),
            nodes: sheet.nodes.clone(),
            planes: planes.to_vec(),
            tracing,
            exactness: Exactness {
                tracing,
                along: 1.0,
                condition: 1.0,
            },
        }
    }

    /// Which unknowns occur together: a corner's two are a block, and a face's three.
    fn pattern(&self) -> Pattern {
        let nodes = self.nodes.len();
        let mut sizes = vec![2; nodes];
        sizes.resize(nodes + self.planes.len(), 3);
        let mut links = Vec::new();
        for piece in &self.pieces {
            let (first, last) = (piece.nodes[0], piece.nodes[piece.nodes.len() - 1]);
            links.push((first, last));
            for &inner in &piece.nodes[1..piece.nodes.len() - 1] {
                links.push((first, inner));
                links.push((last, inner));
            }
        }
        for edge in &self.sheet.edges {
            links.push((edge.a, edge.b));
            let faces = [edge.left, edge.right].map(|face| face.map(|f| nodes + f));
            if let [Some(left), Some(right)] = faces {
                links.push((left, right));
            }
            for face in faces.into_iter().flatten() {
                links.push((edge.a, face));
                links.push((edge.b, face));
            }
        }
        let weight: Vec<f64> = sizes.iter().map(|&size| size as f64).collect();
        Pattern::new(&sizes, &links, &thin_order(&weight, &links))
    }

    /// The equations of all observations, each as `seen`.
    fn normal<'p>(
        &self,
        pattern: &'p Pattern,
        seen: impl Fn(Observation) -> Observation,
    ) -> Normal<'p> {
        let mut normal = Normal::new(pattern);
        self.observe(&mut |observation| {
            let o = seen(observation);
            normal.observe(o.row(), o.misfit, o.weight());
        });
        normal
    }

    /// Moves everything; returns the largest move of a node in metres.
    fn apply(&mut self, step: &[f64]) -> f64 {
        let (of_nodes, of_faces) = step.split_at(2 * self.nodes.len());
        let mut largest = 0.0_f64;
        for (node, by) in self.nodes.iter_mut().zip(of_nodes.chunks_exact(2)) {
            let by = Vector::new(by[0], by[1]);
            largest = largest.max(by.length());
            *node = *node + by;
        }
        let faces = self.planes.iter_mut().zip(&self.sheet.faces);
        for ((plane, face), by) in faces.zip(of_faces.chunks_exact(3)) {
            let gradient = plane.gradient + Vector::new(by[0], by[1]);
            let height = plane.height_at(face.middle) + by[2];
            *plane = Plane {
                gradient,
                offset: height - gradient.dot(face.middle - Point::default()),
            };
        }
        largest
    }

    /// How the total true area changes with every unknown.
    fn area_gradient(&self) -> Vec<f64> {
        let of_nodes = 2 * self.nodes.len();
        let mut gradient = vec![0.0; of_nodes + 3 * self.planes.len()];
        for (index, face) in self.sheet.faces.iter().enumerate() {
            let g = self.planes[index].gradient;
            let factor = 1.0_f64.hypot(g.length());
            for ring in &face.rings {
                let around: Vec<usize> = ring.iter().map(|&side| self.sheet.ends(side).0).collect();
                for (at, &node) in around.iter().enumerate() {
                    let before = self.nodes[around[(at + around.len() - 1) % around.len()]];
                    let after = self.nodes[around[(at + 1) % around.len()]];
                    gradient[2 * node] += factor * (after.y - before.y) / 2.0;
                    gradient[2 * node + 1] += factor * (before.x - after.x) / 2.0;
                }
            }
            gradient[of_nodes + 3 * index] += face.area * g.x / factor;
            gradient[of_nodes + 3 * index + 1] += face.area * g.y / factor;
        }
        gradient
    }
}
