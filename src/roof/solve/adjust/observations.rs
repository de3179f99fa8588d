//! What is observed of corners, falls and heights: drawn strokes, labels, arrows, and the conditions of a roof.

use crate::geometry::Vector;
use crate::roof::solve::sparse::Term;

use super::pieces::Piece;
use super::{Adjuster, LEAST_TRACING_M};

/// Near small features a line cannot be off by more than this part of the distance to the next one.
const PART_OF_CLEARANCE: f64 = 0.15;
/// Ends overshoot: along the stroke they are this much less exact than across.
const ALONG_FACTOR: f64 = 2.0;
/// Inner nodes of a stroke lie on the line between its end nodes: this part of the tracing error, and at least so much.
const INNER_PART: f64 = 0.4;
const INNER_LEAST_M: f64 = 0.010;
/// Planes meet at common corners to this (metres).
const MEET_M: f64 = 0.004;
/// Level edges are level to this rise per run, and this more over the length (metres).
const LEVEL_SIGMA: (f64, f64) = (0.009, 0.010);
/// A face said to be level may still fall a little (rise over run).
const FLAT_SIGMA: f64 = 0.01;
/// How exactly an arrow is drawn, as a part of the slope.
const ARROW_PART: f64 = 0.02;
/// A label is never taken for more exact than this (rise over run).
const LEAST_SLOPE_SIGMA: f64 = 1e-5;
/// Huber's limit for strokes, and for labels.
const HUBER: f64 = 2.5;
const HUBER_LABEL: f64 = 3.0;
/// Holds what nothing else holds (weight).
const WEAK: f64 = 1e-8;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Kind {
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

#[derive(Clone, Copy, Debug)]
pub(super) struct Observation {
    terms: [Term; 3],
    count: usize,
    /// Observed less computed.
    pub(super) misfit: f64,
    pub(super) sigma: f64,
    huber: f64,
    pub(super) kind: Kind,
}

impl Observation {
    /// Of a single block of unknowns, not robust.
    fn of(term: Term, misfit: f64, sigma: f64) -> Self {
        Self {
            terms: [term, Term::default(), Term::default()],
            count: 1,
            misfit,
            sigma,
            huber: f64::INFINITY,
            kind: Kind::Other,
        }
    }

    /// A condition on three blocks of unknowns.
    fn condition(terms: [Term; 3], misfit: f64, sigma: f64) -> Self {
        Self {
            terms,
            count: 3,
            misfit,
            sigma,
            huber: HUBER,
            kind: Kind::Condition,
        }
    }

    /// What it says about which unknowns.
    pub(super) fn row(&self) -> &[Term] {
        &self.terms[..self.count]
    }

    pub(super) fn weight(&self) -> f64 {
        let q = (self.misfit / self.sigma).abs();
        let robust = if q > self.huber { self.huber / q } else { 1.0 };
        robust / (self.sigma * self.sigma)
    }
}

impl Adjuster<'_> {
    /// Shows every observation, always in the same order.
    pub(super) fn observe(&self, visit: &mut impl FnMut(Observation)) {
        for piece in &self.pieces {
            self.observe_piece(piece, visit);
        }
        for face in 0..self.planes.len() {
            self.observe_label(face, visit);
        }
        for (index, edge) in self.sheet.edges.iter().enumerate() {
            if let Some((left, right)) = edge.both().filter(|_| !self.is_step[index]) {
                for node in [edge.a, edge.b] {
                    visit(self.meet(left, right, node));
                }
            }
        }
        for &(edge, face) in &self.level {
            if let Some(level) = self.level(edge, face) {
                visit(level);
            }
        }
        for node in 0..self.nodes.len() {
            for side in [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0)] {
                visit(Observation::of(corner(node, side), 0.0, 1.0 / WEAK.sqrt()));
            }
        }
    }

    /// The unknowns of a face: its gradient, and its height at its middle.
    fn face(&self, face: usize, gradient: Vector, height: f64) -> Term {
        Term {
            block: self.nodes.len() + face,
            coefficients: [gradient.x, gradient.y, height],
        }
    }

    fn sigma_at(&self, node: usize) -> f64 {
        self.tracing
            .min(PART_OF_CLEARANCE * self.clearance[node])
            .max(LEAST_TRACING_M)
    }

    fn observe_piece(&self, piece: &Piece, visit: &mut impl FnMut(Observation)) {
        let (first, last) = (piece.nodes[0], piece.nodes[piece.nodes.len() - 1]);
        let Some(along) = (piece.ends[1] - piece.ends[0]).unit() else {
            return;
        };
        let across = along.turn_left();
        for (slot, node) in [first, last].into_iter().enumerate() {
            let (sigma, together) = (self.sigma_at(node), piece.together[slot]);
            let off = piece.ends[slot] - self.nodes[node];
            let position = |direction: Vector, sigma, kind| Observation {
                huber: HUBER,
                kind,
                ..Observation::of(corner(node, direction), off.dot(direction), sigma)
            };
            visit(position(across, sigma, Kind::Across { together }));
            if piece.anchored[slot] {
                let kind = Kind::Along { together };
                visit(position(along, ALONG_FACTOR * sigma, kind));
            }
        }
        for &inner in &piece.nodes[1..piece.nodes.len() - 1] {
            if let Some(straight) = self.on_line(first, last, inner) {
                visit(straight);
            }
        }
    }

    /// An inner node of a stroke lies on the line between its end nodes. A stroke that runs back over itself meets its ends
    /// again: those say nothing.
    fn on_line(&self, first: usize, last: usize, inner: usize) -> Option<Observation> {
        if inner == first || inner == last {
            return None;
        }
        let (p, q, r) = (self.nodes[first], self.nodes[last], self.nodes[inner]);
        let across = (q - p).unit()?.turn_left();
        let t = (r - p).dot(q - p) / (q - p).dot(q - p);
        let terms = [(inner, 1.0), (first, t - 1.0), (last, -t)]
            .map(|(node, share)| corner(node, across * share));
        let sigma = (INNER_PART * self.sigma_at(inner)).max(INNER_LEAST_M);
        Some(Observation::condition(terms, -(r - p).dot(across), sigma))
    }

    fn observe_label(&self, face: usize, visit: &mut impl FnMut(Observation)) {
        let g = self.planes[face].gradient;
        let (x, y) = (Vector::new(1.0, 0.0), Vector::new(0.0, 1.0));
        let height = self.face(face, Vector::default(), 1.0);
        visit(Observation::of(height, 0.0, 1.0 / WEAK.sqrt()));
        let other = |direction: Vector, misfit: f64, sigma: f64| {
            Observation::of(self.face(face, direction, 0.0), misfit, sigma)
        };
        match (self.sheet.faces[face].slope, g.unit()) {
            (Some(_), _) if self.sheet.faces[face].is_flat() => {
                visit(other(x, -g.x, FLAT_SIGMA));
                visit(other(y, -g.y, FLAT_SIGMA));
            }
            (Some(slope), Some(up)) => {
                let sigma = self.sheet.faces[face].half_step / 3.0_f64.sqrt();
                visit(Observation {
                    huber: HUBER_LABEL,
                    ..other(up, slope - g.length(), sigma.max(LEAST_SLOPE_SIGMA))
                });
                // Turning is free but for a hair that keeps the equations regular, and for an arrow where no level edge
                // says how the face falls.
                let side = up.turn_left();
                let (misfit, sigma) = match self.arrows[face] {
                    Some(arrow) => (-side.dot(arrow) * g.length(), ARROW_PART * g.length()),
                    None => (0.0, 1.0),
                };
                visit(other(side, misfit, sigma));
            }
            _ => {
                visit(other(x, 0.0, 1.0));
                visit(other(y, 0.0, 1.0));
            }
        }
    }

    /// Two planes have one height at a common corner.
    fn meet(&self, left: usize, right: usize, node: usize) -> Observation {
        let p = self.nodes[node];
        let [left_term, right_term] = [(left, 1.0), (right, -1.0)].map(|(face, sign)| {
            let arm = p - self.sheet.faces[face].middle;
            self.face(face, arm * sign, sign)
        });
        let turn = self.planes[left].gradient - self.planes[right].gradient;
        Observation::condition(
            [left_term, right_term, corner(node, turn)],
            self.planes[right].height_at(p) - self.planes[left].height_at(p),
            MEET_M,
        )
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
        // Turning the edge by dq/length turns g·t by (g·n)·dq/length.
        let turn = g.dot(across) / (slope * length);
        let fall = Vector::new(along.x / slope, along.y / slope);
        let terms = [
            self.face(face, fall, 0.0),
            corner(edge.b, across * turn),
            corner(edge.a, across * -turn),
        ];
        let sigma = LEVEL_SIGMA.0 + LEVEL_SIGMA.1 / length;
        Some(Observation::condition(terms, -g.dot(along) / slope, sigma))
    }
}

/// The unknowns of a corner: its two coordinates.
fn corner(node: usize, direction: Vector) -> Term {
    Term {
        block: node,
        coefficients: [direction.x, direction.y, 0.0],
    }
}
