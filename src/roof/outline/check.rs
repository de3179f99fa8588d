//! Proves a finished roof, or finds what is wrong with it.
//!
//! That faces tile the outline and lie on their planes does not make a set of faces the roof: but each face being one
//! simple ring (round holes, if others cut any out of it) that holds its own eave, with every inner line used once by each of its two faces and the outline used
//! once, covers every place exactly once (winding numbers add up to the outline's), and with no node from which water
//! cannot run down it is the roof that drains over its eaves.

use super::clean::Clean;
use super::construct::Drawn;
use super::faces::Linework;
use super::product::ArcKind;
use super::wavefront::Cause;
use crate::Place;
use crate::finding::Check;
use crate::geometry::{Point, ring};

/// Relative error of an area summed from its parts.
const AREA_WITHIN: f64 = 1e-9;
/// How far a corner may be from its plane, in feet: a thousandth of the thickness of paper.
const ON_PLANE_WITHIN_FT: f64 = 1e-7;
/// Crossings shallower than this, in feet, are rounding.
const CROSSES_BEYOND_FT: f64 = 1e-7;
/// Two ends of a line closer in height than this are level.
const LEVEL_WITHIN_FT: f64 = 1e-8;

/// What the checks look at.
pub(super) struct Proof<'a> {
    pub(super) clean: &'a Clean,
    pub(super) drawn: &'a Drawn,
    pub(super) work: &'a Linework,
    /// The kind of every arc and whether it is level, in the order of the linework.
    pub(super) kinds: &'a [(ArcKind, bool)],
    /// The plan area of every face.
    pub(super) areas: &'a [f64],
}

struct Worst {
    residual: f64,
    at: Option<(f64, f64)>,
}

impl Worst {
    fn new() -> Self {
        Self {
            residual: 0.0,
            at: None,
        }
    }
    fn take(&mut self, residual: f64, at: (f64, f64)) {
        // Something that is not a number is the worst of all.
        if residual.is_nan() || residual > self.residual {
            self.residual = if residual.is_nan() {
                f64::INFINITY
            } else {
                residual
            };
            self.at = Some(at);
        }
    }
}

impl Proof<'_> {
    /// Makes all checks.
    pub(super) fn run(&self) -> Vec<Check> {
        let mut checks = vec![
            self.faces_fill_the_outline(),
            self.corners_lie_on_their_planes(),
            self.planes_agree_on_shared_lines(),
            self.faces_hold_their_eaves(),
            self.faces_are_simple(),
            self.no_ponds(),
            self.valleys_slope(),
        ];
        if let Some(m) = self.one_pitch() {
            checks.push(self.area_is_plan_area_times_factor(m));
            if !self.a_wall_stands_over_the_roof() {
                checks.push(self.faces_are_monotone());
            }
        }
        // Raised eaves and breaks close rounds of their own, and what lies in a hole hangs on nothing else.
        let raised = self.drawn.fronts.len() > self.clean.sides.len();
        if self.drawn.catch_ups.is_empty() && !raised && self.work.holes.is_empty() {
            checks.push(self.count_of_lines());
        }
        checks
    }

    fn check(&self, what: &str, worst: &Worst, limit: f64, unit: &'static str) -> Check {
        let origin = self.clean.origin;
        Check {
            what: what.to_owned(),
            residual: worst.residual,
            limit,
            unit,
            place: worst
                .at
                .map(|(x, y)| Place::at(Point::new(origin.x + x, origin.y + y))),
        }
    }

    fn node(&self, i: u32) -> (f64, f64, f64) {
        self.work.nodes[i as usize]
    }
    fn plan(&self, i: u32) -> (f64, f64) {
        let p = self.node(i);
        (p.0, p.1)
    }

    /// Every ring with its face: outer ones, then holes.
    fn all_rings(&self) -> impl Iterator<Item = (usize, &Vec<u32>)> {
        let outer = self.work.rings.iter().enumerate();
        outer.chain(self.work.holes.iter().map(|(side, ring)| (*side, ring)))
    }

    fn outline_area(&self) -> f64 {
        let twice: f64 = self
            .work
            .bases
            .iter()
            .map(|&[a, b]| {
                let (p, q) = (self.node(a), self.node(b));
                p.0 * q.1 - p.1 * q.0
            })
            .sum();
        twice / 2.0
    }

    fn faces_fill_the_outline(&self) -> Check {
        let outline = self.outline_area();
        let mut worst = Worst::new();
        worst.take(
            (self.areas.iter().sum::<f64>() - outline).abs(),
            self.plan(0),
        );
        let limit = AREA_WITHIN * outline.abs().max(1.0);
        self.check(
            "the faces' plan areas add up to the outline's",
            &worst,
            limit,
            "ft²",
        )
    }

    fn corners_lie_on_their_planes(&self) -> Check {
        let mut worst = Worst::new();
        for (side, ring) in self.all_rings() {
            let front = &self.drawn.fronts[side];
            for &i in ring {
                let p = self.node(i);
                worst.take((front.height_at((p.0, p.1)) - p.2).abs(), (p.0, p.1));
            }
        }
        self.check(
            "every corner lies on its face's plane",
            &worst,
            ON_PLANE_WITHIN_FT,
            "ft",
        )
    }

    fn planes_agree_on_shared_lines(&self) -> Check {
        let mut worst = Worst::new();
        for arc in &self.work.arcs {
            let (a, b) = (
                &self.drawn.fronts[arc.left as usize],
                &self.drawn.fronts[arc.right as usize],
            );
            if !(a.moves() && b.moves()) {
                continue;
            }
            for i in [arc.from, arc.to] {
                let p = self.plan(i);
                worst.take((a.height_at(p) - b.height_at(p)).abs(), p);
            }
        }
        self.check(
            "both planes give one height at both ends of every inner line",
            &worst,
            2.0 * ON_PLANE_WITHIN_FT,
            "ft",
        )
    }

    /// The eave is the first piece of the ring by construction; here that it has not been lost or turned.
    fn faces_hold_their_eaves(&self) -> Check {
        let mut worst = Worst::new();
        for (side, ring) in self.work.rings.iter().enumerate() {
            if !self.drawn.fronts[side].moves() {
                continue;
            }
            let [a, b] = self.work.bases[side];
            let raised = self.clean.sides[side].eave > 0.0;
            let held = if raised {
                ring.len() >= 3
            } else {
                ring.len() >= 3 && ring.contains(&a) && {
                    let at = ring.iter().position(|&i| i == a).unwrap_or(0);
                    ring[(at + 1) % ring.len()] == b
                }
            };
            if !held {
                worst.take(1.0, self.plan(a));
            }
        }
        self.check("every face holds its whole eave", &worst, 0.0, "faces")
    }

    fn faces_are_simple(&self) -> Check {
        let mut worst = Worst::new();
        let mut edges: Vec<(u32, u32)> = Vec::new();
        for (side, ring) in self.work.rings.iter().enumerate() {
            if ring.is_empty() {
                continue;
            }
            if self.areas[side] <= 0.0 || self.areas[side].is_nan() {
                worst.take(1.0, self.plan(ring[0]));
            }
            edges.clear();
            edges.extend(sides_of(ring));
            for (_, hole) in self.work.holes.iter().filter(|(face, _)| *face == side) {
                edges.extend(sides_of(hole));
                if !self.is_hole_in(hole, ring) {
                    worst.take(1.0, self.plan(hole[0]));
                }
            }
            if let Some(at) = self.first_crossing(&mut edges) {
                worst.take(1.0, self.plan(at));
            }
        }
        self.check(
            "every face is one simple ring, counter-clockwise, round its holes",
            &worst,
            0.0,
            "faces",
        )
    }

    /// Whether a ring is clockwise and, where it does not touch the outer one, inside of it.
    fn is_hole_in(&self, hole: &[u32], outer: &[u32]) -> bool {
        let points_of = |nodes: &[u32]| -> Vec<Point> {
            let points = nodes.iter().map(|&i| self.plan(i));
            points.map(|(x, y)| Point::new(x, y)).collect()
        };
        let (inner, around) = (points_of(hole), points_of(outer));
        let inside = |(i, &p): (&u32, &Point)| outer.contains(i) || ring::contains(&around, p);
        ring::signed_area(&inner) < 0.0 && hole.iter().zip(&inner).all(inside)
    }

    /// A node of two edges that cross; sorts the edges along x, so that only neighbours are compared.
    fn first_crossing(&self, edges: &mut [(u32, u32)]) -> Option<u32> {
        const FEW: usize = 12;
        let low = |e: &(u32, u32)| self.node(e.0).0.min(self.node(e.1).0);
        let high = |e: &(u32, u32)| self.node(e.0).0.max(self.node(e.1).0);
        let many = edges.len() > FEW;
        if many {
            edges.sort_by(|a, b| low(a).total_cmp(&low(b)));
        }
        for i in 0..edges.len() {
            let right = high(&edges[i]);
            for j in i + 1..edges.len() {
                if many && low(&edges[j]) > right {
                    break;
                }
                if self.cross(edges[i], edges[j]) {
                    return Some(edges[i].0);
                }
            }
        }
        None
    }

    fn cross(&self, e: (u32, u32), f: (u32, u32)) -> bool {
        if e.0 == f.0 || e.0 == f.1 || e.1 == f.0 || e.1 == f.1 {
            return false;
        }
        let (a, b, c, d) = (
            self.plan(e.0),
            self.plan(e.1),
            self.plan(f.0),
            self.plan(f.1),
        );
        let apart = |p: f64, q: f64, r: f64, s: f64| p.max(q) < r.min(s) || r.max(s) < p.min(q);
        if apart(a.0, b.0, c.0, d.0) || apart(a.1, b.1, c.1, d.1) {
            return false;
        }
        opposite(a, b, c, d) && opposite(c, d, a, b)
    }

    /// Every node over an eave has a way down: itself, or along level lines.
    fn no_ponds(&self) -> Check {
        let nodes = &self.work.nodes;
        let mut drains: Vec<bool> = nodes.iter().map(|p| p.2 <= LEVEL_WITHIN_FT).collect();
        let mut level: Vec<(u32, u32)> = Vec::new();
        for arc in &self.work.arcs {
            let rise = self.node(arc.to).2 - self.node(arc.from).2;
            if rise > LEVEL_WITHIN_FT {
                drains[arc.to as usize] = true;
            } else if rise < -LEVEL_WITHIN_FT {
                drains[arc.from as usize] = true;
            } else {
                level.push((arc.from, arc.to));
            }
        }
        loop {
            let mut changed = false;
            for &(a, b) in &level {
                let (a, b) = (a as usize, b as usize);
                if drains[a] != drains[b] {
                    drains[a] = true;
                    drains[b] = true;
                    changed = true;
                }
            }
            if !changed {
                break;
            }
        }
        let mut worst = Worst::new();
        let mut ponds = 0.0;
        for (i, drained) in drains.iter().enumerate() {
            if !drained {
                ponds += 1.0;
                worst.take(ponds, self.plan(i as u32));
            }
        }
        self.check("water runs down from every node", &worst, 0.0, "nodes")
    }

    /// A level valley would hold water; only a plane that took over a shallower one may leave one.
    fn valleys_slope(&self) -> Check {
        let mut worst = Worst::new();
        for (arc, &(kind, level)) in self.work.arcs.iter().zip(self.kinds) {
            if kind == ArcKind::Valley && level && arc.cause != Cause::CatchUp {
                worst.take(1.0, self.plan(arc.from));
            }
        }
        self.check("no valley is level", &worst, 0.0, "valleys")
    }

    /// The one pitch of all eaves, where there is one.
    fn one_pitch(&self) -> Option<f64> {
        let mut pitches = self.clean.sides.iter().filter_map(|side| side.rise_per_run);
        let first = pitches.next()?;
        let level = self.clean.sides.iter().all(|side| side.eave == 0.0);
        (level && pitches.all(|m| m == first)).then_some(first)
    }

    /// Whether a side that stands still has an inner corner: then its wall goes on over the roof, and shades faces.
    fn a_wall_stands_over_the_roof(&self) -> bool {
        let next = self.clean.successors();
        next.iter().enumerate().any(|(i, &j)| {
            let (a, b) = (&self.drawn.fronts[i], &self.drawn.fronts[j]);
            let reflex = a.n.0 * b.n.1 - a.n.1 * b.n.0 < 0.0;
            reflex && (!a.moves() || !b.moves())
        })
    }

    fn area_is_plan_area_times_factor(&self, m: f64) -> Check {
        let factor = 1.0_f64.hypot(m);
        let mut area = 0.0;
        for ring in &self.work.rings {
            area += self.area_on_slope(ring);
        }
        for (_, hole) in &self.work.holes {
            area -= self.area_on_slope(hole);
        }
        let expected = self.outline_area() * factor;
        let mut worst = Worst::new();
        worst.take((area - expected).abs(), self.plan(0));
        self.check(
            "the area on the slopes is the plan area times the slope factor",
            &worst,
            4.0 * AREA_WITHIN * expected.abs().max(1.0),
            "ft²",
        )
    }

    /// By Newell's vector, from the corners in space alone.
    fn area_on_slope(&self, ring: &[u32]) -> f64 {
        let Some(&first) = ring.first() else {
            return 0.0;
        };
        let o = self.node(first);
        let mut n = (0.0, 0.0, 0.0);
        let from_o = |i: u32| {
            let p = self.node(i);
            (p.0 - o.0, p.1 - o.1, p.2 - o.2)
        };
        for w in ring.windows(2) {
            let (a, b) = (from_o(w[0]), from_o(w[1]));
            n.0 += a.1 * b.2 - a.2 * b.1;
            n.1 += a.2 * b.0 - a.0 * b.2;
            n.2 += a.0 * b.1 - a.1 * b.0;
        }
        (n.0 * n.0 + n.1 * n.1 + n.2 * n.2).sqrt() / 2.0
    }

    /// Where all pitches are equal, a line square to the eave enters and leaves a face once.
    fn faces_are_monotone(&self) -> Check {
        let mut worst = Worst::new();
        for (_, hole) in &self.work.holes {
            worst.take(f64::INFINITY, self.plan(hole[0]));
        }
        for (side, ring) in self.work.rings.iter().enumerate() {
            let n = self.drawn.fronts[side].n;
            let along = |i: u32| {
                let p = self.node(i);
                n.1 * p.0 - n.0 * p.1
            };
            let Some(start) =
                (0..ring.len()).min_by(|&a, &b| along(ring[a]).total_cmp(&along(ring[b])))
            else {
                continue;
            };
            // Out from the least along the eave to the most and back: any other backward step is the residual.
            let mut falling = false;
            let mut back = 0.0_f64;
            for k in 0..ring.len() {
                let (i, j) = ((start + k) % ring.len(), (start + k + 1) % ring.len());
                let step = along(ring[j]) - along(ring[i]);
                if step < -CROSSES_BEYOND_FT {
                    falling = true;
                } else if falling {
                    back = back.max(step);
                }
            }
            worst.take(back, self.plan(ring[start]));
        }
        self.check(
            "every face is monotone along its eave",
            &worst,
            CROSSES_BEYOND_FT,
            "ft",
        )
    }

    /// The linework of an outline without courtyards is a tree; every courtyard adds one round.
    fn count_of_lines(&self) -> Check {
        let courtyards = self.clean.rings.len() as f64 - 2.0;
        let difference = self.work.arcs.len() as f64 - self.work.nodes.len() as f64;
        let mut worst = Worst::new();
        worst.take((difference - (courtyards - 1.0)).abs(), self.plan(0));
        self.check(
            "as many inner lines as nodes and courtyards ask for",
            &worst,
            0.0,
            "lines",
        )
    }
}

/// A ring's sides as pairs of nodes.
fn sides_of(ring: &[u32]) -> impl Iterator<Item = (u32, u32)> {
    (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]))
}

/// Whether c and d lie clearly on different sides of the line through a and b.
fn opposite(a: (f64, f64), b: (f64, f64), c: (f64, f64), d: (f64, f64)) -> bool {
    let u = (b.0 - a.0, b.1 - a.1);
    let limit = CROSSES_BEYOND_FT * u.0.abs().max(u.1.abs());
    let side = |p: (f64, f64)| u.0 * (p.1 - a.1) - u.1 * (p.0 - a.0);
    let (p, q) = (side(c), side(d));
    (p > limit && q < -limit) || (p < -limit && q > limit)
}
