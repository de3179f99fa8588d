//! The state of the construction: loops of fronts at the present height, and what has been drawn so far.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::input::CatchUp;
use super::lines::Line;
use super::number::{Number, Pair};
use super::search::Search;

/// No vertex, no place, no piece.
pub(super) const NONE: u32 = u32::MAX;

/// Where two neighbouring fronts meet. Never changed once made, but for its neighbours: any change of its fronts
/// makes a new vertex, so that an event that names vertices is void as soon as one of them is gone.
#[derive(Clone, Copy, Debug)]
pub(super) struct Vertex<N> {
    pub(super) prev: u32,
    pub(super) next: u32,
    /// The side of the front that ends here.
    pub(super) left: u32,
    /// The side of the front that starts here.
    pub(super) right: u32,
    /// Where it was at its birth.
    pub(super) p: Pair<N>,
    /// The height of its birth.
    pub(super) h: N,
    /// Its velocity per height.
    pub(super) u: Pair<N>,
    /// The node that it was born at.
    pub(super) node: u32,
    pub(super) alive: bool,
    /// Whether it points into the inside: only such a vertex can run into a front.
    pub(super) reflex: bool,
    /// Scratch of one step: the place that it has come to.
    pub(super) place: u32,
    /// Scratch of one step: the piece that ends at it, and the piece that starts at it.
    pub(super) piece_in: u32,
    pub(super) piece_out: u32,
    /// Scratch of the search: the last question it was looked at for.
    pub(super) asked: u32,
}

impl<N: Number> Vertex<N> {
    #[inline]
    pub(super) fn at(&self, h: N) -> Pair<N> {
        self.p + self.u.times(h - self.h)
    }
}

/// A corner of the roof.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node<N> {
    pub(super) p: Pair<N>,
    pub(super) h: N,
}

/// What made an arc.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cause {
    /// The path of a vertex.
    Trace,
    /// Two facing fronts that came to lie on each other.
    Meeting,
    /// A front taken over by the plane of a neighbour on the same line.
    CatchUp,
    /// The eave of a side that starts higher than the lowest one.
    Eave,
}

/// A straight piece of the roof's linework between two faces.
#[derive(Clone, Copy, Debug)]
pub(super) struct RawArc {
    pub(super) from: u32,
    pub(super) to: u32,
    /// The side whose face lies to the left of from → to.
    pub(super) left: u32,
    pub(super) right: u32,
    pub(super) cause: Cause,
}

/// One plane taking over the front of another.
#[derive(Clone, Copy, Debug)]
pub(super) struct RawCatchUp {
    pub(super) winner: u32,
    pub(super) loser: u32,
    pub(super) height: f64,
    pub(super) from: u32,
    pub(super) to: u32,
}

/// What may happen to the fronts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Happening {
    /// The front between two neighbouring vertices shrinks to nothing.
    Collapse { x: u32, y: u32 },
    /// A reflex vertex runs into the front between x and y.
    Hit { v: u32, x: u32, y: u32 },
    /// The front of a side whose eave is here starts to move.
    Wake { side: u32 },
}

/// Something that happens at a height, unless a vertex that it names is gone by then.
#[derive(Clone, Copy, Debug)]
pub(super) struct Event<N> {
    pub(super) h: N,
    pub(super) what: Happening,
}

impl Happening {
    fn order(self) -> (u8, u32, u32, u32) {
        match self {
            Self::Wake { side } => (0, side, 0, 0),
            Self::Collapse { x, y } => (1, x, y, 0),
            Self::Hit { v, x, y } => (2, v, x, y),
        }
    }
}
impl<N: Number> PartialEq for Event<N> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl<N: Number> Eq for Event<N> {}
impl<N: Number> PartialOrd for Event<N> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl<N: Number> Ord for Event<N> {
    /// The lowest first in a max-heap; ties in a fixed order, so that two runs are the same run.
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .h
            .partial_cmp(&self.h)
            .unwrap_or(Ordering::Equal)
            .then_with(|| other.what.order().cmp(&self.what.order()))
    }
}

/// Why the construction stopped.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Stop {
    /// The fronts are in a state that cannot be: digits were lost. Worth another try with more of them.
    Tangled(&'static str),
    /// Some fronts are left and none of them will ever meet another: the sides of one loop.
    Open(Vec<u32>),
    /// A catch-up, and the rule is to refuse: shallower side, steeper side, height, length.
    CatchUp {
        shallow: u32,
        steep: u32,
        height: f64,
        length: f64,
    },
    /// The fronts beside a side have met over it before it reached its own eave height.
    BuriedEave(u32),
}

/// How close is the same, in feet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Closeness {
    /// Heights of events that happen together.
    pub(super) height: f64,
    /// Places that are one place.
    pub(super) place: f64,
    /// What rounding may have done to a height.
    pub(super) rounding: f64,
}

/// The construction.
pub(super) struct Wavefront<N> {
    pub(super) lines: Vec<Line<N>>,
    /// For the wall under a raised eave: the side that wakes on it.
    pub(super) wakes: Vec<u32>,
    pub(super) vertices: Vec<Vertex<N>>,
    pub(super) nodes: Vec<Node<N>>,
    pub(super) arcs: Vec<RawArc>,
    pub(super) catch_ups: Vec<RawCatchUp>,
    pub(super) queue: BinaryHeap<Event<N>>,
    pub(super) now: N,
    pub(super) close: Closeness,
    pub(super) rule: CatchUp,
    pub(super) search: Search,
    pub(super) live: usize,
}

impl<N: Number> Wavefront<N> {
    #[inline]
    pub(super) fn vertex(&self, v: u32) -> &Vertex<N> {
        &self.vertices[v as usize]
    }
    #[inline]
    pub(super) fn line(&self, side: u32) -> &Line<N> {
        &self.lines[side as usize]
    }
    pub(super) fn new_node(&mut self, p: Pair<N>, h: N) -> u32 {
        self.nodes.push(Node { p, h });
        (self.nodes.len() - 1) as u32
    }

    /// Makes the vertex between two fronts, born at a node. Parallel fronts must be one front in all but name: same
    /// line, same way, same speed.
    pub(super) fn new_vertex(&mut self, left: u32, right: u32, node: u32) -> u32 {
        /// Below this sine the crossing of two lines is less certain than the node that the vertex is born at.
        const CROSSING_IS_CERTAIN: f64 = 0.01;
        let (a, b) = (self.line(left), self.line(right));
        let Node { p, h } = self.nodes[node as usize];
        let (p, u, reflex) = if a.parallel(b) {
            // Square to the front: the seam between two faces of one plane.
            (p - a.n.times(a.ahead(p, h)), a.n.times(a.v), false)
        } else {
            let cross = a.n.cross(b.n);
            let certain = cross.to_f64().abs() > CROSSING_IS_CERTAIN;
            let p = match a.meet(b, h) {
                Some(crossing) if certain => crossing,
                _ => p,
            };
            (p, a.crossing_velocity(b), cross < N::zero())
        };
        self.vertices.push(Vertex {
            prev: NONE,
            next: NONE,
            left,
            right,
            p,
            h,
            u,
            node,
            alive: true,
            reflex,
            place: NONE,
            piece_in: NONE,
            piece_out: NONE,
            asked: 0,
        });
        self.live += 1;
        (self.vertices.len() - 1) as u32
    }

    pub(super) fn link(&mut self, x: u32, y: u32) {
        self.vertices[x as usize].next = y;
        self.vertices[y as usize].prev = x;
    }

    /// Ends a vertex at a node and draws its path.
    pub(super) fn end_vertex(&mut self, v: u32, node: u32) {
        let vertex = &mut self.vertices[v as usize];
        vertex.alive = false;
        self.live -= 1;
        let (from, left, right) = (vertex.node, vertex.left, vertex.right);
        if from != node && left != right {
            self.arcs.push(RawArc {
                from,
                to: node,
                left,
                right,
                cause: Cause::Trace,
            });
        }
    }

    /// When the front that starts at x shrinks to nothing.
    pub(super) fn collapse_of(&self, x: u32) -> Option<N> {
        let (a, b) = (self.vertex(x), self.vertex(self.vertex(x).next));
        let d = self.line(a.right).direction();
        let length = d.dot(b.at(self.now) - a.at(self.now));
        let growth = d.dot(b.u - a.u);
        if growth < N::zero() {
            let wait = length / -growth;
            return Some(if wait > N::zero() {
                self.now + wait
            } else {
                self.now
            });
        }
        // A front of no length that does not grow has no business to stay.
        (growth.to_f64() < 1e-12 && length.to_f64() <= self.close.place).then_some(self.now)
    }

    pub(super) fn queue_collapse(&mut self, x: u32) {
        if let Some(h) = self.collapse_of(x) {
            let y = self.vertex(x).next;
            self.queue.push(Event {
                h,
                what: Happening::Collapse { x, y },
            });
        }
    }

    /// Whether everything that an event names is still there.
    pub(super) fn stands(&self, what: Happening) -> bool {
        let front = |x: u32, y: u32| {
            let a = self.vertex(x);
            a.alive && a.next == y && self.vertex(y).alive
        };
        match what {
            Happening::Collapse { x, y } => front(x, y),
            Happening::Hit { v, x, y } => self.vertex(v).alive && front(x, y),
            Happening::Wake { .. } => true,
        }
    }
}
