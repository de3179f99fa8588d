//! Runs the construction from the first front to the last ridge.

use std::collections::BinaryHeap;

use super::clean::Clean;
use super::input::CatchUp;
use super::lines::{Line, lines};
use super::number::{Number, Pair};
use super::search::Search;
use super::step::Scratch;
use super::wavefront::{
    Cause, Closeness, Event, Happening, NONE, RawArc, RawCatchUp, Stop, Wavefront,
};

/// What was drawn, in `f64`, about the local origin.
pub(super) struct Drawn {
    /// (x, y, height). The corners of the outline come first, in the order of the clean sides that start there.
    pub(super) nodes: Vec<(f64, f64, f64)>,
    pub(super) arcs: Vec<RawArc>,
    pub(super) catch_ups: Vec<RawCatchUp>,
    /// The line of every clean side, then the walls under raised eaves.
    pub(super) fronts: Vec<Front>,
}

/// The line of a side, in `f64`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Front {
    pub(super) n: (f64, f64),
    pub(super) c: f64,
    /// 0 for a side that stands still.
    pub(super) rise_per_run: f64,
    pub(super) class: u32,
    pub(super) ray: f64,
    /// The clean side that it is, or is the wall of.
    pub(super) clean: usize,
}

impl Front {
    /// The height of its plane over a place; only for sides that move.
    pub(super) fn height_at(&self, p: (f64, f64)) -> f64 {
        (self.ahead(p)) * self.rise_per_run
    }
    /// How far a place lies inside its line at height 0.
    pub(super) fn ahead(&self, p: (f64, f64)) -> f64 {
        self.n.0 * p.0 + self.n.1 * p.1 - self.c
    }
    pub(super) fn moves(&self) -> bool {
        self.rise_per_run > 0.0
    }
    pub(super) fn same_way(&self, other: &Self) -> bool {
        self.class == other.class && self.ray == other.ray
    }
}

/// Builds the linework over a clean outline.
pub(super) fn construct<N: Number>(
    clean: &Clean,
    rule: CatchUp,
    close: Closeness,
) -> Result<Drawn, Stop> {
    let mut front = start::<N>(clean, rule, close);
    front.start_span();
    let mut scratch = Scratch::default();
    // Every step ends at least one vertex or front; far more steps than sides are a loop.
    let most = 40 * clean.sides.len() + 1000;
    for _ in 0..most {
        if front.live == 0 {
            break;
        }
        let next = front.next_height();
        if next > front.search.until {
            front.now = N::of(front.search.until);
            front.start_span();
            continue;
        }
        if !front.step(&mut scratch)? {
            break;
        }
    }
    finish(clean, front)
}

/// The fronts at height 0.
fn start<N: Number>(clean: &Clean, rule: CatchUp, close: Closeness) -> Wavefront<N> {
    let count = clean.sides.len();
    let mut lines: Vec<Line<N>> = lines(&clean.sides);
    let mut wakes = vec![NONE; count];
    let mut first_front: Vec<u32> = (0..count as u32).collect();
    let mut queue = BinaryHeap::with_capacity(4 * count);
    for (i, side) in clean.sides.iter().enumerate() {
        if side.eave > 0.0 {
            let mut wall = lines[i];
            wall.v = N::zero();
            let h = N::of(side.eave);
            lines[i].c = lines[i].c - lines[i].v * h;
            first_front[i] = lines.len() as u32;
            queue.push(Event {
                h,
                what: Happening::Wake {
                    side: first_front[i],
                },
            });
            lines.push(wall);
            wakes.push(i as u32);
        }
    }
    let mut front = Wavefront {
        lines,
        wakes,
        vertices: Vec::with_capacity(4 * count),
        nodes: Vec::with_capacity(3 * count),
        arcs: Vec::with_capacity(4 * count),
        catch_ups: Vec::new(),
        queue,
        now: N::zero(),
        close,
        rule,
        search: Search::default(),
        live: 0,
    };
    let next = clean.successors();
    let mut previous = vec![0; count];
    for (i, &j) in next.iter().enumerate() {
        previous[j] = i;
    }
    for i in 0..count {
        let (a, b) = (
            front.lines[first_front[previous[i]] as usize],
            front.lines[first_front[i] as usize],
        );
        let (x, y) = clean.sides[i].start;
        let drawn = Pair::new(N::of(x), N::of(y));
        let p = a.meet(&b, N::zero()).unwrap_or(drawn);
        let node = front.new_node(p, N::zero());
        front.new_vertex(first_front[previous[i]], first_front[i], node);
    }
    for (i, &j) in next.iter().enumerate() {
        front.link(i as u32, j as u32);
    }
    for i in 0..count as u32 {
        front.queue_collapse(i);
    }
    front
}

impl<N: Number> Wavefront<N> {
    /// The height of the next event that still stands.
    fn next_height(&mut self) -> f64 {
        while let Some(&event) = self.queue.peek() {
            if self.stands(event.what) {
                return event.h.to_f64();
            }
            self.queue.pop();
        }
        f64::INFINITY
    }
}

fn finish<N: Number>(clean: &Clean, front: Wavefront<N>) -> Result<Drawn, Stop> {
    if front.live > 0 {
        let mut sides: Vec<u32> = front
            .vertices
            .iter()
            .filter(|v| v.alive)
            .map(|v| v.right)
            .collect();
        sides.sort_unstable();
        sides.dedup();
        // A loop with a front that moves always comes to something, its inside being bounded.
        let still = |&side: &u32| front.line(side).v == N::zero();
        return Err(if sides.iter().all(still) {
            Stop::Open(sides)
        } else {
            Stop::Tangled("fronts passed each other unseen")
        });
    }
    let count = clean.sides.len();
    for wall in count..front.lines.len() {
        let woke = |arc: &RawArc| arc.cause == Cause::Eave && arc.right as usize == wall;
        if !front.arcs.iter().any(woke) {
            return Err(Stop::BuriedEave(front.wakes[wall]));
        }
    }
    let fronts = front
        .lines
        .iter()
        .enumerate()
        .map(|(i, line)| {
            let of = if i < count {
                i
            } else {
                front.wakes[i] as usize
            };
            Front {
                n: (line.n.x.to_f64(), line.n.y.to_f64()),
                c: line.c.to_f64(),
                rise_per_run: if i < count {
                    clean.sides[i].rise_per_run.unwrap_or(0.0)
                } else {
                    0.0
                },
                class: line.class,
                ray: line.ray,
                clean: of,
            }
        })
        .collect();
    Ok(Drawn {
        nodes: front
            .nodes
            .iter()
            .map(|node| (node.p.x.to_f64(), node.p.y.to_f64(), node.h.to_f64()))
            .collect(),
        arcs: front.arcs,
        catch_ups: front.catch_ups,
        fronts,
    })
}
