//! Which reflex vertex may run into which front, looked up in a grid.
//!
//! Work goes in spans of height. Within a span every live front, and every live reflex vertex, is entered in the
//! cells that it sweeps until the end of the span, and each vertex is tested against the fronts in its cells; what
//! changes during the span is tested when it changes. So every pair that can meet within the span is tested with the
//! motions that it has. At the end of the span all is entered anew, in cells that suit the fewer fronts left.

use super::grid::{Bounds, Grid};
use super::number::Number;
use super::wavefront::{Event, Happening, NONE, Wavefront};

/// Below so many vertices every reflex one is tested against every front.
const GRID_FROM: usize = 40;

/// The grid of one span.
#[derive(Default)]
pub(super) struct Search {
    /// The top of the span; nothing above it is looked for.
    pub(super) until: f64,
    brute: bool,
    all: Vec<u32>,
    grid: Grid,
    front_heads: Vec<u32>,
    reflex_heads: Vec<u32>,
    /// (vertex, next entry of the cell).
    entries: Vec<(u32, u32)>,
    question: u32,
}

impl<N: Number> Wavefront<N> {
    /// Starts a new span at the present height: enters and tests all that is alive.
    pub(super) fn start_span(&mut self) {
        let all: Vec<u32> = (0..self.vertices.len() as u32)
            .filter(|&v| self.vertex(v).alive)
            .collect();
        self.search.brute = all.len() < GRID_FROM;
        let reflex: Vec<u32> = all
            .iter()
            .copied()
            .filter(|&v| self.vertex(v).reflex)
            .collect();
        self.search.all.clone_from(&all);
        if self.search.brute || reflex.is_empty() {
            self.search.brute = true;
            self.search.until = f64::INFINITY;
        } else {
            self.lay_grid(&all, &reflex);
            for &x in &all {
                self.enter_front(x);
            }
        }
        for &v in &reflex {
            self.test_vertex(v);
        }
        if !self.search.brute {
            for &v in &reflex {
                self.enter_reflex(v);
            }
        }
    }

    /// Chooses cells about as large as the fronts are long, and a span that lets a vertex cross about one of them.
    fn lay_grid(&mut self, all: &[u32], reflex: &[u32]) {
        let mut bounds = Bounds::default();
        let mut length = 0.0;
        for &v in all {
            let p = self.vertex(v).at(self.now);
            bounds.take((p.x.to_f64(), p.y.to_f64()));
            let q = self.vertex(self.vertex(v).next).at(self.now);
            length += (q - p).size();
        }
        let mut speeds: Vec<f64> = reflex.iter().map(|&v| self.vertex(v).u.size()).collect();
        let middle = speeds.len() / 2;
        let (_, &mut median, _) = speeds.select_nth_unstable_by(middle, f64::total_cmp);
        let mean = length / all.len() as f64;
        let search = &mut self.search;
        search.grid.lay(&bounds, mean, all.len());
        search.until = self.now.to_f64() + search.grid.cell() / median.max(1e-3);
        let cells = search.grid.len();
        for heads in [&mut search.front_heads, &mut search.reflex_heads] {
            heads.clear();
            heads.resize(cells, NONE);
        }
        search.entries.clear();
    }

    fn plain(&self, v: u32, h: N) -> (f64, f64) {
        let p = self.vertex(v).at(h);
        (p.x.to_f64(), p.y.to_f64())
    }

    /// What a front sweeps until the end of the span, or until it is gone.
    fn swept(&self, x: u32) -> [(f64, f64); 4] {
        let y = self.vertex(x).next;
        let mut top = N::of(self.search.until);
        if let Some(h) = self.collapse_of(x)
            && h < top
        {
            top = h;
        }
        [
            self.plain(x, self.now),
            self.plain(y, self.now),
            self.plain(y, top),
            self.plain(x, top),
        ]
    }

    /// Where a vertex runs until the end of the span.
    fn path(&self, v: u32) -> [(f64, f64); 2] {
        [
            self.plain(v, self.now),
            self.plain(v, N::of(self.search.until)),
        ]
    }

    /// Enters a front in the cells that it sweeps within the span.
    fn enter_front(&mut self, x: u32) {
        let swept = self.swept(x);
        self.search.grid.cover(&swept);
        for &cell in &self.search.grid.cells {
            let head = &mut self.search.front_heads[cell as usize];
            self.search.entries.push((x, *head));
            *head = (self.search.entries.len() - 1) as u32;
        }
    }

    fn enter_reflex(&mut self, v: u32) {
        let path = self.path(v);
        self.search.grid.cover(&path);
        for &cell in &self.search.grid.cells {
            let head = &mut self.search.reflex_heads[cell as usize];
            self.search.entries.push((v, *head));
            *head = (self.search.entries.len() - 1) as u32;
        }
    }

    /// Tests what a step has made: new vertices against all fronts, new fronts against all reflex vertices.
    pub(super) fn search_new(&mut self, fresh: &[u32], starts: &[u32]) {
        if self.search.brute {
            self.search.all.extend_from_slice(fresh);
            if self.search.all.len() > 2 * self.live + 16 {
                let vertices = &self.vertices;
                self.search.all.retain(|&v| vertices[v as usize].alive);
            }
        } else {
            for &x in starts {
                self.enter_front(x);
            }
        }
        for &v in fresh {
            if self.vertex(v).reflex {
                self.test_vertex(v);
            }
        }
        for &x in starts {
            self.test_front(x);
        }
        if !self.search.brute {
            for &v in fresh {
                if self.vertex(v).reflex {
                    self.enter_reflex(v);
                }
            }
        }
    }

    fn test_vertex(&mut self, v: u32) {
        if self.search.brute {
            for i in 0..self.search.all.len() {
                let x = self.search.all[i];
                if self.vertex(x).alive {
                    self.queue_hit(v, x);
                }
            }
            return;
        }
        let path = self.path(v);
        self.search.grid.cover(&path);
        self.search.question += 1;
        let question = self.search.question;
        for i in 0..self.search.grid.cells.len() {
            let mut entry = self.search.front_heads[self.search.grid.cells[i] as usize];
            while entry != NONE {
                let (x, next) = self.search.entries[entry as usize];
                entry = next;
                let front = &mut self.vertices[x as usize];
                if front.alive && front.asked != question {
                    front.asked = question;
                    self.queue_hit(v, x);
                }
            }
        }
    }

    fn test_front(&mut self, x: u32) {
        if self.search.brute {
            for i in 0..self.search.all.len() {
                let v = self.search.all[i];
                if self.vertex(v).alive && self.vertex(v).reflex {
                    self.queue_hit(v, x);
                }
            }
            return;
        }
        let swept = self.swept(x);
        self.search.grid.cover(&swept);
        self.search.question += 1;
        let question = self.search.question;
        for i in 0..self.search.grid.cells.len() {
            let mut entry = self.search.reflex_heads[self.search.grid.cells[i] as usize];
            while entry != NONE {
                let (v, next) = self.search.entries[entry as usize];
                entry = next;
                let vertex = &mut self.vertices[v as usize];
                if vertex.alive && vertex.asked != question {
                    vertex.asked = question;
                    self.queue_hit(v, x);
                }
            }
        }
    }

    /// Queues the event if the vertex runs into the front before the end of the span, both moving as they do now.
    fn queue_hit(&mut self, v: u32, x: u32) {
        if let Some(h) = self.hit(v, x) {
            let y = self.vertex(x).next;
            self.queue.push(Event {
                h,
                what: Happening::Hit { v, x, y },
            });
        }
    }

    #[inline]
    fn hit(&self, v: u32, x: u32) -> Option<N> {
        let (vertex, start) = (self.vertex(v), self.vertex(x));
        let side = start.right;
        if v == x || v == start.next || side == vertex.left || side == vertex.right {
            return None;
        }
        let line = self.line(side);
        let closing = line.v - line.n.dot(vertex.u);
        if closing.to_f64() <= 1e-14 {
            return None;
        }
        let p = vertex.at(self.now);
        let ahead = line.ahead(p, self.now);
        let close = self.close.place;
        if ahead.to_f64() < -close {
            return None;
        }
        let wait = ahead.larger(N::zero()) / closing;
        let h = self.now + wait;
        if h.to_f64() > self.search.until {
            return None;
        }
        let end = self.vertex(start.next);
        // Born at one node, in two sectors of the inside: they have just been told apart.
        if ahead.to_f64() <= close && (vertex.node == start.node || vertex.node == end.node) {
            return None;
        }
        let p = p + vertex.u.times(wait);
        let d = line.direction();
        let from_x = d.dot(p - start.at(h)).to_f64();
        if from_x < -self.slack(x, v) {
            return None;
        }
        let to_y = d.dot(end.at(h) - p).to_f64();
        (to_y >= -self.slack(start.next, v)).then_some(h)
    }
}
