//! Adjusts the traced corners, the falls and the heights together, the least that makes the planes meet.
//!
//! A traced plan is a set of measurements with errors; that planes meet at common corners, that eaves and ridges are
//! level and that labels are right to their last digit are conditions. Robust weighted least squares by Gauss-Newton,
//! as a surveyor adjusts a traverse (weights after P. J. Huber, *Robust estimation of a location parameter*, 1964). The
//! topology never changes here.

use std::collections::BTreeMap;

use crate::geometry::{Plane, Point, Vector};
use crate::roof::map::PlanMap;
use crate::units::METRES_PER_FOOT;

use super::clearance::clearances;
use super::refine::Planes;
use super::sheet::Sheet;
use super::sparse::{Normal, SelectedInverse, thin_order};

/// The tracing error at the start, as a part of the snap tolerance.
const START_PART_OF_TOLERANCE: f64 = 0.25;
/// ... and the most that it can turn out to be: lines further off would not have been joined. Without this bound a small roof,
/// whose few lines hardly check each other, may let go of its lines altogether.
const MOST_PART_OF_TOLERANCE: f64 = 0.5;
/// The tracing error is never taken for less (metres): a plan is drawn, not machined.
const LEAST_TRACING_M: f64 = 0.0005;
/// Near small features a line cannot be off by more than this part of the distance to the next one.
const PART_OF_CLEARANCE: f64 = 0.15;
/// Ends overshoot: along the stroke they are this much less exact than across.
const ALONG_FACTOR: f64 = 2.0;
/// Inner nodes of a stroke lie on the line between its end nodes: this part of the tracing error, and at least so much.
const INNER_PART: f64 = 0.4;
const INNER_LEAST_M: f64 = 0.010;
/// Planes meet at common corners to this (metres).
const MEET_M: f64 = 0.004;
/// Edges within this of square to the fall are held level, and this much more of the snap tolerance over their length: on
/// an exact drawing a ridge that slopes a little is no level one ...
const LEVEL_DEG: f64 = 0.25;
const LEVEL_TOLERANCES: f64 = 2.0;
/// ... up to this ...
const MOST_LEVEL_DEG: f64 = 3.0;
/// ... to this rise per run, and this more over the length (metres).
const LEVEL_SIGMA: (f64, f64) = (0.009, 0.010);
/// A face said to be level may still fall a little (rise over run).
const FLAT_SIGMA: f64 = 0.01;
/// How exactly an arrow is drawn, as a part of the slope.
const ARROW_PART: f64 = 0.02;
/// Huber's limit for strokes, and for labels.
const HUBER: f64 = 2.5;
const HUBER_LABEL: f64 = 3.0;
/// Gauss-Newton rounds; after some of them the tracing error is estimated anew.
const ROUNDS: usize = 8;
const RESCALE_AFTER: [usize; 2] = [2, 4];
/// Where few observations check each other, what they say about their own errors is mixed with what was assumed, as if
/// that had been seen in so many checks.
const ASSUMED_CHECKS: f64 = 2.0;
/// What errors that hang together (a whole outline traced inside the line) add, measured on 101 traced real roofs.
const HONEST_FACTOR: f64 = 1.3;
/// Holds what nothing else holds (weight).
const WEAK: f64 = 1e-8;

/// A sheet after adjustment.
#[derive(Clone, Debug)]
pub(super) struct Adjusted {
    /// Corners in sheet metres.
    pub(super) nodes: Vec<Point>,
    pub(super) planes: Planes,
    /// One standard error of the true area in m².
    pub(super) true_area_std_error: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    /// A drawn end across its stroke: what the tracing error is estimated from. So many strokes were drawn through the
    /// very same point.
    Across {
        together: f64,
    },
    /// A drawn end along its stroke.
    Along {
        together: f64,
    },
    /// That planes meet, lines are straight and eaves level.
    Condition,
    Other,
}

/// How exact the observations turned out to be: by the squares of their misfits over their redundancy (a surveyor's
/// variance factor), group by group. Only the covariance uses it.
#[derive(Clone, Copy, Debug)]
struct Exactness {
    /// The tracing error in metres.
    tracing: f64,
    /// What the errors along strokes, and those of the conditions, are of what was assumed.
    along: f64,
    condition: f64,
}

#[derive(Clone, Debug)]
struct Observation {
    row: Vec<(usize, f64)>,
    /// Observed less computed.
    misfit: f64,
    sigma: f64,
    huber: f64,
    kind: Kind,
}

impl Observation {
    fn weight(&self) -> f64 {
        let q = (self.misfit / self.sigma).abs();
        let robust = if q > self.huber { self.huber / q } else { 1.0 };
        robust / (self.sigma * self.sigma)
    }
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

/// A drawn piece over the sheet's nodes.
struct Piece {
    ends: [Point; 2],
    nodes: Vec<usize>,
    anchored: [bool; 2],
    /// How many pieces were drawn through the very same point: it was traced once.
    together: [f64; 2],
}

/// Adjusts one sheet; `None` where the equations could not be solved.
pub(super) fn adjust(
    map: &PlanMap,
    sheet: &Sheet,
    planes: &[Plane],
    is_step: &[bool],
) -> Option<Adjusted> {
    let level = level_edges(sheet, planes);
    let mut arrows: Vec<Option<Vector>> = sheet.faces.iter().map(|f| f.arrow).collect();
    for &(_, face) in &level {
        arrows[face] = None;
    }
    let tracing = (START_PART_OF_TOLERANCE * sheet.tolerance).max(LEAST_TRACING_M);
    let mut adjuster = Adjuster {
        sheet,
        pieces: pieces(map, sheet),
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
    };
    let order = adjuster.order();
    for round in 1..=ROUNDS {
        let observations = adjuster.observations();
        let normal = normal_of(&order, &observations);
        let factor = normal.factor()?;
        let moved = adjuster.apply(&normal.solve(&factor));
        if RESCALE_AFTER.contains(&round) {
            let inverse = factor.selected_inverse();
            adjuster.rescale(&inverse);
        } else if moved < 1e-7 && round > RESCALE_AFTER[1] {
            break;
        }
    }
    let factor = normal_of(&order, &adjuster.observations_as_exact_as_found()).factor()?;
    let gradient = adjuster.area_gradient();
    let spread = factor.solve(&gradient);
    let variance: f64 = gradient.iter().zip(&spread).map(|(g, s)| g * s).sum();
    Some(Adjusted {
        nodes: adjuster.nodes,
        planes: adjuster.planes,
        true_area_std_error: HONEST_FACTOR * variance.max(0.0).sqrt(),
    })
}

fn normal_of(order: &[usize], observations: &[Observation]) -> Normal {
    let mut normal = Normal::new(order);
    for o in observations {
        normal.observe(&o.row, o.misfit, o.weight());
    }
    normal
}

/// The drawn pieces that lie on this sheet, over its nodes.
fn pieces(map: &PlanMap, sheet: &Sheet) -> Vec<Piece> {
    let mut slot = vec![None; map.nodes.len()];
    for (at, &node) in sheet.node_ids.iter().enumerate() {
        slot[node] = Some(at);
    }
    let local = |p: Point| Point::default() + (p - sheet.origin) * METRES_PER_FOOT;
    let bits = |p: Point| (p.x.to_bits(), p.y.to_bits());
    let mut traced: BTreeMap<(u64, u64), f64> = BTreeMap::new();
    for end in map.drawn.iter().flat_map(|piece| piece.ends) {
        *traced.entry(bits(end)).or_insert(0.0) += 1.0;
    }
    map.drawn
        .iter()
        .filter_map(|piece| {
            let nodes: Option<Vec<usize>> = piece.nodes.iter().map(|&n| slot[n]).collect();
            Some(Piece {
                ends: piece.ends.map(local),
                nodes: nodes.filter(|n| n.len() >= 2)?,
                anchored: piece.anchored,
                together: piece
                    .ends
                    .map(|end| traced.get(&bits(end)).copied().unwrap_or(1.0)),
            })
        })
        .collect()
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

/// What a group of observations says about its own errors.
#[derive(Clone, Copy, Debug, Default)]
struct Checked {
    /// Sum of the squared misfits over the squared errors assumed.
    squares: f64,
    redundancy: f64,
}

impl Checked {
    /// The variance of the group over the one assumed; `prior` is taken where nothing is known.
    fn factor(self, prior: f64) -> f64 {
        (self.squares + ASSUMED_CHECKS * prior) / (self.redundancy + ASSUMED_CHECKS)
    }
}

impl Adjuster<'_> {
    fn node(&self, node: usize) -> [usize; 2] {
        [2 * node, 2 * node + 1]
    }
    fn face(&self, face: usize) -> [usize; 3] {
        let base = 2 * self.nodes.len() + 3 * face;
        [base, base + 1, base + 2]
    }

    /// An order of elimination over blocks: a node's two unknowns, a face's three.
    fn order(&self) -> Vec<usize> {
        let nodes = self.nodes.len();
        let mut weight = vec![2.0; nodes];
        weight.resize(nodes + self.planes.len(), 3.0);
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
            let faces: Vec<usize> = [edge.left, edge.right]
                .into_iter()
                .flatten()
                .map(|f| nodes + f)
                .collect();
            if let [left, right] = faces[..] {
                links.push((left, right));
            }
            for face in faces {
                links.push((edge.a, face));
                links.push((edge.b, face));
            }
        }
        thin_order(&weight, &links)
            .into_iter()
            .flat_map(|block| {
                if block < nodes {
                    self.node(block).to_vec()
                } else {
                    self.face(block - nodes).to_vec()
                }
            })
            .collect()
    }

    fn sigma_at(&self, node: usize) -> f64 {
        self.tracing
            .min(PART_OF_CLEARANCE * self.clearance[node])
            .max(LEAST_TRACING_M)
    }

    fn observations(&self) -> Vec<Observation> {
        let mut list = Vec::new();
        for piece in &self.pieces {
            self.observe_piece(piece, &mut list);
        }
        for face in 0..self.planes.len() {
            self.observe_label(face, &mut list);
        }
        for (index, edge) in self.sheet.edges.iter().enumerate() {
            if let Some((left, right)) = edge.both().filter(|_| !self.is_step[index]) {
                for node in [edge.a, edge.b] {
                    list.push(self.meet(left, right, node));
                }
            }
        }
        for &(edge, face) in &self.level {
            list.extend(self.level(edge, face));
        }
        for index in 0..self.nodes.len() {
            for unknown in self.node(index) {
                list.push(weak(unknown));
            }
        }
        list
    }

    /// The observations with their errors as they turned out to be, for the covariance. A corner of a polygon ends two of
    /// its sides but was traced once: each side has half of what it says.
    fn observations_as_exact_as_found(&mut self) -> Vec<Observation> {
        let found = self.exactness;
        self.tracing = found.tracing;
        let mut list = self.observations();
        for observation in &mut list {
            observation.sigma *= match observation.kind {
                Kind::Across { together } => together.sqrt(),
                Kind::Along { together } => found.along * together.sqrt(),
                Kind::Condition => found.condition,
                Kind::Other => 1.0,
            };
        }
        list
    }

    fn observe_piece(&self, piece: &Piece, list: &mut Vec<Observation>) {
        let (first, last) = (piece.nodes[0], piece.nodes[piece.nodes.len() - 1]);
        let Some(along) = (piece.ends[1] - piece.ends[0]).unit() else {
            return;
        };
        let across = along.turn_left();
        for (slot, node) in [first, last].into_iter().enumerate() {
            let (sigma, together) = (self.sigma_at(node), piece.together[slot]);
            let off = piece.ends[slot] - self.nodes[node];
            list.push(self.position(
                node,
                across,
                off.dot(across),
                sigma,
                Kind::Across { together },
            ));
            if piece.anchored[slot] {
                list.push(self.position(
                    node,
                    along,
                    off.dot(along),
                    ALONG_FACTOR * sigma,
                    Kind::Along { together },
                ));
            }
        }
        for &inner in &piece.nodes[1..piece.nodes.len() - 1] {
            list.extend(self.on_line(first, last, inner));
        }
    }

    fn position(
        &self,
        node: usize,
        direction: Vector,
        misfit: f64,
        sigma: f64,
        kind: Kind,
    ) -> Observation {
        let [x, y] = self.node(node);
        Observation {
            row: vec![(x, direction.x), (y, direction.y)],
            misfit,
            sigma,
            huber: HUBER,
            kind,
        }
    }

    /// An inner node of a stroke lies on the line between its end nodes.
    fn on_line(&self, first: usize, last: usize, inner: usize) -> Option<Observation> {
        let (p, q, r) = (self.nodes[first], self.nodes[last], self.nodes[inner]);
        let across = (q - p).unit()?.turn_left();
        let t = (r - p).dot(q - p) / (q - p).dot(q - p);
        let mut row = Vec::with_capacity(6);
        for (node, share) in [(inner, 1.0), (first, t - 1.0), (last, -t)] {
            let [x, y] = self.node(node);
            row.push((x, share * across.x));
            row.push((y, share * across.y));
        }
        Some(Observation {
            row,
            misfit: -(r - p).dot(across),
            sigma: (INNER_PART * self.sigma_at(inner)).max(INNER_LEAST_M),
            huber: HUBER,
            kind: Kind::Condition,
        })
    }

    fn observe_label(&self, face: usize, list: &mut Vec<Observation>) {
        let [x, y, z] = self.face(face);
        let g = self.planes[face].gradient;
        list.push(weak(z));
        let other = |row, misfit, sigma, huber| Observation {
            row,
            misfit,
            sigma,
            huber,
            kind: Kind::Other,
        };
        match (self.sheet.faces[face].slope, g.unit()) {
            (Some(_), _) if self.sheet.faces[face].is_flat() => {
                list.push(other(vec![(x, 1.0)], -g.x, FLAT_SIGMA, f64::INFINITY));
                list.push(other(vec![(y, 1.0)], -g.y, FLAT_SIGMA, f64::INFINITY));
            }
            (Some(slope), Some(up)) => {
                let sigma = (self.sheet.faces[face].half_step / 3.0_f64.sqrt()).max(1e-5);
                list.push(other(
                    vec![(x, up.x), (y, up.y)],
                    slope - g.length(),
                    sigma,
                    HUBER_LABEL,
                ));
                // Turning is free but for a hair that keeps the equations regular, and for an arrow where no level edge
                // says how the face falls.
                let side = up.turn_left();
                let (misfit, sigma) = match self.arrows[face] {
                    Some(arrow) => (-side.dot(arrow) * g.length(), ARROW_PART * g.length()),
                    None => (0.0, 1.0),
                };
                list.push(other(
                    vec![(x, side.x), (y, side.y)],
                    misfit,
                    sigma,
                    f64::INFINITY,
                ));
            }
            _ => {
                list.push(other(vec![(x, 1.0)], 0.0, 1.0, f64::INFINITY));
                list.push(other(vec![(y, 1.0)], 0.0, 1.0, f64::INFINITY));
            }
        }
    }

    /// Two planes have one height at a common corner.
    fn meet(&self, left: usize, right: usize, node: usize) -> Observation {
        let p = self.nodes[node];
        let mut row = Vec::with_capacity(8);
        for (face, sign) in [(left, 1.0), (right, -1.0)] {
            let [x, y, z] = self.face(face);
            let arm = p - self.sheet.faces[face].middle;
            row.extend([(x, sign * arm.x), (y, sign * arm.y), (z, sign)]);
        }
        let turn = self.planes[left].gradient - self.planes[right].gradient;
        let [x, y] = self.node(node);
        row.extend([(x, turn.x), (y, turn.y)]);
        Observation {
            row,
            misfit: self.planes[right].height_at(p) - self.planes[left].height_at(p),
            sigma: MEET_M,
            huber: HUBER,
            kind: Kind::Condition,
        }
    }

    /// An edge square to a face's fall is level.
    fn level(&self, edge: usize, face: usize) -> Option<Observation> {
        let edge = &self.sheet.edges[edge];
        let run = self.nodes[edge.b] - self.nodes[edge.a];
        let (length, along) = (run.length(), run.unit()?);
        let g = self.planes[face].gradient;
        let slope = g.length();
        if slope <= 0.0 {
            return None;
        }
        let across = along.turn_left();
        let [x, y, _] = self.face(face);
        let mut row = vec![(x, along.x / slope), (y, along.y / slope)];
        // Turning the edge by dq/length turns g·t by (g·n)·dq/length.
        let turn = g.dot(across) / (slope * length);
        for (node, sign) in [(edge.b, 1.0), (edge.a, -1.0)] {
            let [x, y] = self.node(node);
            row.extend([(x, sign * turn * across.x), (y, sign * turn * across.y)]);
        }
        Some(Observation {
            row,
            misfit: -g.dot(along) / slope,
            sigma: LEVEL_SIGMA.0 + LEVEL_SIGMA.1 / length,
            huber: HUBER,
            kind: Kind::Condition,
        })
    }

    /// Moves everything; returns the largest move of a node in metres.
    fn apply(&mut self, step: &[f64]) -> f64 {
        let mut largest = 0.0_f64;
        for node in 0..self.nodes.len() {
            let [x, y] = self.node(node);
            let by = Vector::new(step[x], step[y]);
            largest = largest.max(by.length());
            self.nodes[node] = self.nodes[node] + by;
        }
        for face in 0..self.planes.len() {
            let [x, y, z] = self.face(face);
            let middle = self.sheet.faces[face].middle;
            let plane = self.planes[face];
            let gradient = plane.gradient + Vector::new(step[x], step[y]);
            let height = plane.height_at(middle) + step[z];
            self.planes[face] = Plane {
                gradient,
                offset: height - gradient.dot(middle - Point::default()),
            };
        }
        largest
    }

    /// Estimates the tracing error from the misfits across the strokes and their redundancy, and how exact the other
    /// observations are.
    fn rescale(&mut self, inverse: &SelectedInverse) {
        let (mut across, mut along, mut condition) =
            (Checked::default(), Checked::default(), Checked::default());
        for o in self.observations() {
            let group = match o.kind {
                Kind::Across { .. } => &mut across,
                Kind::Along { .. } => &mut along,
                Kind::Condition => &mut condition,
                Kind::Other => continue,
            };
            let weight = o.weight();
            group.squares += weight * o.misfit * o.misfit;
            group.redundancy += (1.0 - weight * inverse.variance(&o.row)).max(0.0);
        }
        let assumed = (START_PART_OF_TOLERANCE * self.sheet.tolerance).max(LEAST_TRACING_M);
        let before = self.tracing;
        let prior = (assumed / before).powi(2);
        let tracing = (before * across.factor(prior).sqrt()).max(LEAST_TRACING_M);
        self.exactness = Exactness {
            tracing,
            along: along.factor(prior).sqrt() * before / tracing,
            condition: condition.factor(1.0).sqrt(),
        };
        if across.redundancy > 1.0 {
            let factor = across.squares / across.redundancy;
            let most = (MOST_PART_OF_TOLERANCE * self.sheet.tolerance).max(LEAST_TRACING_M);
            self.tracing = (before * factor.sqrt()).clamp(LEAST_TRACING_M, most);
        }
    }

    /// How the total true area changes with every unknown.
    fn area_gradient(&self) -> Vec<f64> {
        let mut gradient = vec![0.0; 2 * self.nodes.len() + 3 * self.planes.len()];
        for (index, face) in self.sheet.faces.iter().enumerate() {
            let g = self.planes[index].gradient;
            let factor = 1.0_f64.hypot(g.length());
            for ring in &face.rings {
                let around: Vec<usize> = ring.iter().map(|&side| self.sheet.ends(side).0).collect();
                for (at, &node) in around.iter().enumerate() {
                    let before = self.nodes[around[(at + around.len() - 1) % around.len()]];
                    let after = self.nodes[around[(at + 1) % around.len()]];
                    let [x, y] = self.node(node);
                    gradient[x] += factor * (after.y - before.y) / 2.0;
                    gradient[y] += factor * (before.x - after.x) / 2.0;
                }
            }
            let [x, y, _] = self.face(index);
            gradient[x] += face.area * g.x / factor;
            gradient[y] += face.area * g.y / factor;
        }
        gradient
    }
}

fn weak(unknown: usize) -> Observation {
    Observation {
        row: vec![(unknown, 1.0)],
        misfit: 0.0,
        sigma: 1.0 / WEAK.sqrt(),
        huber: f64::INFINITY,
        kind: Kind::Other,
    }
}
