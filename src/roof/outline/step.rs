//! One step of the construction: everything that happens at one height, at once.
//!
//! There are no kinds of events and no order among ties. All that happens at a height is gathered into places; at
//! each place the front ends that arrive and leave are sorted by angle, and every sector of the inside between a
//! leaving and an arriving end becomes one new vertex. After T. Biedl, S. Huber and P. Palfrader, "Planar matchings
//! for weighted straight skeletons" (2016), from memory.

use super::number::{Number, Pair};
use super::pieces::{Piece, Pieces, Split, Stop as End};
use super::wavefront::{Event, Happening, NONE, RawArc, Stop, Wavefront};

/// Where something happens in a step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place<N> {
    pub(super) p: Pair<N>,
    pub(super) h: N,
    /// Itself, or the place that it was found to be the same as.
    pub(super) parent: u32,
    pub(super) node: u32,
}

/// What one step works with; kept from step to step for its memory alone.
#[derive(Default)]
pub(super) struct Scratch<N> {
    pub(super) places: Vec<Place<N>>,
    /// Vertices that have come to a place.
    pub(super) placed: Vec<u32>,
    pub(super) splits: Vec<Split<N>>,
    pub(super) waking: Vec<u32>,
    pub(super) pieces: Pieces<N>,
    ends: Vec<FrontEnd>,
    sides_at: Vec<(u32, u32)>,
    pub(super) fresh: Vec<u32>,
    pub(super) starts: Vec<u32>,
    pub(super) unsettled: Vec<u32>,
    group: Vec<Event<N>>,
}

/// A front that arrives at a place or leaves it.
#[derive(Clone, Copy, Debug)]
struct FrontEnd {
    place: u32,
    /// The angle at which it lies, seen from the place.
    ray: f64,
    leaves: bool,
    piece: u32,
}

impl<N: Number> Scratch<N> {
    pub(super) fn root(&self, mut place: u32) -> u32 {
        while self.places[place as usize].parent != place {
            place = self.places[place as usize].parent;
        }
        place
    }
    /// Makes two places one; the earlier stays.
    pub(super) fn unite(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        let (keep, give) = (a.min(b), a.max(b));
        self.places[give as usize].parent = keep;
    }
    pub(super) fn new_place(&mut self, p: Pair<N>, h: N) -> u32 {
        let parent = self.places.len() as u32;
        self.places.push(Place {
            p,
            h,
            parent,
            node: NONE,
        });
        parent
    }
    fn clear(&mut self) {
        self.places.clear();
        self.placed.clear();
        self.splits.clear();
        self.waking.clear();
        self.pieces.clear();
        self.ends.clear();
        self.sides_at.clear();
        self.fresh.clear();
        self.starts.clear();
        self.unsettled.clear();
    }
}

impl<N: Number> Wavefront<N> {
    /// Lets everything of the next height happen. False when nothing more will.
    pub(super) fn step(&mut self, s: &mut Scratch<N>) -> Result<bool, Stop> {
        s.clear();
        if !self.pop_group(s) {
            return Ok(false);
        }
        self.gather(s)?;
        self.unite_near_places(s);
        self.place_short_fronts(s);
        self.cut_pieces(s);
        self.annihilate_facing(s)?;
        self.make_nodes(s);
        self.draw_meetings(s);
        self.re_pair(s)?;
        self.relink(s);
        self.settle_catch_ups(s)?;
        self.expect_events(s);
        Ok(true)
    }

    /// Takes the events of one height off the queue.
    fn pop_group(&mut self, s: &mut Scratch<N>) -> bool {
        s.group.clear();
        let mut until = None;
        while let Some(&event) = self.queue.peek() {
            if until.is_some_and(|u| event.h > u) {
                break;
            }
            self.queue.pop();
            if !self.stands(event.what) {
                continue;
            }
            if until.is_none() {
                self.now = event.h.larger(self.now);
                until = Some(self.now + N::of(self.close.height));
            }
            s.group.push(event);
        }
        !s.group.is_empty()
    }

    /// Puts every vertex that something happens to at a place.
    fn gather(&mut self, s: &mut Scratch<N>) -> Result<(), Stop> {
        for i in 0..s.group.len() {
            let Event { h, what } = s.group[i];
            let h = h.larger(self.now);
            match what {
                Happening::Collapse { x, y } => {
                    let (a, b) = (self.vertex(x), self.vertex(y));
                    let slower = if a.u.size() <= b.u.size() { a } else { b };
                    let p = slower.at(h);
                    if self.is_elsewhere(s, x, p) || self.is_elsewhere(s, y, p) {
                        continue;
                    }
                    let place = s.new_place(p, h);
                    self.bring(s, x, place);
                    self.bring(s, y, place);
                }
                Happening::Hit { v, x, y } => self.gather_hit(s, [v, x, y], h),
                Happening::Wake { side } => self.wake(s, side, h)?,
            }
        }
        Ok(())
    }

    fn gather_hit(&mut self, s: &mut Scratch<N>, [v, x, y]: [u32; 3], h: N) {
        let p = self.vertex(v).at(h);
        if self.is_elsewhere(s, v, p) {
            return;
        }
        let (a, b) = (self.vertex(x), self.vertex(y));
        let d = self.line(a.right).direction();
        let near_x = d.dot(p - a.at(h)).to_f64() <= self.slack(x, v);
        let near_y = d.dot(b.at(h) - p).to_f64() <= self.slack(y, v);
        if (near_x && self.is_elsewhere(s, x, p)) || (near_y && self.is_elsewhere(s, y, p)) {
            return;
        }
        let t = d.dot(p);
        let place = s.new_place(p, h);
        self.bring(s, v, place);
        if near_x {
            self.bring(s, x, place);
        }
        if near_y {
            self.bring(s, y, place);
        }
        if !near_x && !near_y {
            s.splits.push(Split { x, t, place });
        }
    }

    /// Whether a vertex has come to another place already, a hair earlier: then this event will not happen, and what
    /// becomes of the vertex has been asked for anew by the end of the step.
    fn is_elsewhere(&self, s: &Scratch<N>, v: u32, p: Pair<N>) -> bool {
        match self.vertex(v).place {
            NONE => false,
            place => (s.places[s.root(place) as usize].p - p).size() > self.near(),
        }
    }

    /// Places nearer than this are one.
    fn near(&self) -> f64 {
        4.0 * self.close.place
    }

    /// How far two vertices may be apart at an event of both: heights are not exact, and they move.
    pub(super) fn slack(&self, a: u32, b: u32) -> f64 {
        let speed = (self.vertex(a).u - self.vertex(b).u).size();
        self.close.place + self.close.rounding * speed
    }

    /// Brings a vertex to a place; where it is at one already, the two are the same.
    pub(super) fn bring(&mut self, s: &mut Scratch<N>, v: u32, place: u32) {
        let vertex = &mut self.vertices[v as usize];
        if vertex.place == NONE {
            vertex.place = place;
            s.placed.push(v);
        } else {
            s.unite(vertex.place, place);
        }
    }

    fn unite_near_places(&mut self, s: &mut Scratch<N>) {
        if s.places.len() < 2 {
            return;
        }
        let mut order: Vec<u32> = (0..s.places.len() as u32).collect();
        order.sort_by(|&a, &b| {
            let x = |i: u32| s.places[i as usize].p.x.to_f64();
            x(a).total_cmp(&x(b)).then(a.cmp(&b))
        });
        let near = self.near();
        for i in 0..order.len() {
            for j in i + 1..order.len() {
                let (a, b) = (order[i], order[j]);
                let apart = s.places[b as usize].p - s.places[a as usize].p;
                if apart.x.to_f64() > near {
                    break;
                }
                if apart.y.to_f64().abs() <= near {
                    s.unite(a, b);
                }
            }
        }
    }

    /// A front next to a place that is too short to tell its ends apart is at the place altogether.
    fn place_short_fronts(&mut self, s: &mut Scratch<N>) {
        let mut i = 0;
        while i < s.placed.len() {
            let v = s.placed[i];
            i += 1;
            let place = self.vertex(v).place;
            let h = s.places[place as usize].h;
            for (x, y, other) in [
                (v, self.vertex(v).next, self.vertex(v).next),
                (self.vertex(v).prev, v, self.vertex(v).prev),
            ] {
                if self.vertex(other).place != NONE {
                    continue;
                }
                let (a, b) = (self.vertex(x), self.vertex(y));
                let d = self.line(a.right).direction();
                if d.dot(b.at(h) - a.at(h)).to_f64() <= self.close.place {
                    self.bring(s, other, place);
                }
            }
        }
    }

    /// Gives every place its node: where the two fronts that cross there most squarely do.
    fn make_nodes(&mut self, s: &mut Scratch<N>) {
        let at = &mut s.sides_at;
        for &v in &s.placed {
            let vertex = self.vertex(v);
            at.push((vertex.place, vertex.left));
            at.push((vertex.place, vertex.right));
        }
        for split in &s.splits {
            at.push((split.place, self.vertex(split.x).right));
        }
        for i in 0..s.sides_at.len() {
            s.sides_at[i].0 = s.root(s.sides_at[i].0);
        }
        s.sides_at.sort_unstable();
        s.sides_at.dedup();
        let mut from = 0;
        while from < s.sides_at.len() {
            let place = s.sides_at[from].0;
            let mut to = from;
            while to < s.sides_at.len() && s.sides_at[to].0 == place {
                to += 1;
            }
            let Place { p, h, .. } = s.places[place as usize];
            let p = self.best_crossing(&s.sides_at[from..to], p, h);
            s.places[place as usize].node = self.new_node(p, h);
            from = to;
        }
    }

    fn best_crossing(&self, sides: &[(u32, u32)], p: Pair<N>, h: N) -> Pair<N> {
        let first = self.line(sides[0].1);
        let mut best = (0.0, None);
        for &(_, side) in &sides[1..] {
            let line = self.line(side);
            let sine = first.n.cross(line.n).to_f64().abs();
            if sine > best.0 && !first.parallel(line) {
                best = (sine, Some(line));
            }
        }
        best.1.and_then(|line| first.meet(line, h)).unwrap_or(p)
    }

    /// Draws the level ridges between facing fronts, and the eaves of sides that wake.
    fn draw_meetings(&mut self, s: &mut Scratch<N>) {
        for m in &s.pieces.meetings {
            let (from, to) = (s.root(m.from), s.root(m.to));
            let (from, to) = (s.places[from as usize].node, s.places[to as usize].node);
            if from != to {
                self.arcs.push(RawArc {
                    from,
                    to,
                    left: m.left,
                    right: m.right,
                    cause: m.cause,
                });
            }
        }
    }

    /// At every place, makes one vertex of every sector of the inside.
    fn re_pair(&mut self, s: &mut Scratch<N>) -> Result<(), Stop> {
        for i in 0..s.pieces.all.len() {
            let Piece {
                side,
                from,
                to,
                alive,
            } = s.pieces.all[i];
            let nowhere = match (from, to) {
                (End::Place(a), End::Place(b)) => s.root(a) == s.root(b),
                _ => false,
            };
            if !alive || nowhere {
                s.pieces.all[i].alive = false;
                continue;
            }
            let ray = self.line(side).ray;
            let piece = i as u32;
            if let End::Place(p) = from {
                s.ends.push(FrontEnd {
                    place: s.root(p),
                    ray,
                    leaves: true,
                    piece,
                });
            }
            if let End::Place(p) = to {
                s.ends.push(FrontEnd {
                    place: s.root(p),
                    ray: if ray >= 2.0 { ray - 2.0 } else { ray + 2.0 },
                    leaves: false,
                    piece,
                });
            }
        }
        // At one angle an arriving end comes first: between it and a leaving one is the outside.
        s.ends.sort_by(|a, b| {
            a.place
                .cmp(&b.place)
                .then(a.ray.total_cmp(&b.ray))
                .then(a.leaves.cmp(&b.leaves))
                .then(a.piece.cmp(&b.piece))
        });
        let mut from = 0;
        while from < s.ends.len() {
            let place = s.ends[from].place;
            let mut to = from;
            while to < s.ends.len() && s.ends[to].place == place {
                to += 1;
            }
            let node = s.places[place as usize].node;
            for i in from..to {
                let out = s.ends[i];
                if !out.leaves {
                    continue;
                }
                let into = s.ends[if i + 1 == to { from } else { i + 1 }];
                if into.leaves {
                    return Err(Stop::Tangled("two fronts leave a place side by side"));
                }
                self.join(s, into.piece, out.piece, node)?;
            }
            from = to;
        }
        Ok(())
    }

    /// Makes the vertex between an arriving and a leaving piece.
    fn join(&mut self, s: &mut Scratch<N>, into: u32, out: u32, node: u32) -> Result<(), Stop> {
        let left = s.pieces.all[into as usize].side;
        let right = s.pieces.all[out as usize].side;
        let (a, b) = (self.line(left), self.line(right));
        if a.parallel(b) && !a.same_way(b) {
            return Err(Stop::Tangled("facing fronts passed each other"));
        }
        let unsettled = a.parallel(b) && a.v != b.v;
        let w = self.new_vertex(left, right, node);
        s.pieces.all[into as usize].to = End::Vertex(w);
        s.pieces.all[out as usize].from = End::Vertex(w);
        s.fresh.push(w);
        if unsettled {
            s.unsettled.push(w);
        }
        Ok(())
    }

    /// Ends the vertices that came to a place and links the new ones along the pieces that are left.
    fn relink(&mut self, s: &mut Scratch<N>) {
        for i in 0..s.placed.len() {
            let v = s.placed[i];
            let place = s.root(self.vertex(v).place);
            let node = s.places[place as usize].node;
            self.end_vertex(v, node);
        }
        for piece in &s.pieces.all {
            if let (true, End::Vertex(x), End::Vertex(y)) = (piece.alive, piece.from, piece.to) {
                self.link(x, y);
                s.starts.push(x);
            }
            for end in [piece.from, piece.to] {
                if let End::Vertex(v) = end {
                    let vertex = &mut self.vertices[v as usize];
                    vertex.piece_in = NONE;
                    vertex.piece_out = NONE;
                }
            }
        }
        // A vertex between a front and itself is none.
        for i in 0..s.fresh.len() {
            let w = s.fresh[i];
            let vertex = *self.vertex(w);
            if vertex.left == vertex.right && vertex.alive && vertex.prev != w {
                self.link(vertex.prev, vertex.next);
                self.vertices[w as usize].alive = false;
                self.live -= 1;
                s.starts.push(vertex.prev);
            }
        }
    }

    /// Queues what the new vertices and fronts will run into.
    fn expect_events(&mut self, s: &mut Scratch<N>) {
        let vertices = &self.vertices;
        s.fresh.retain(|&w| vertices[w as usize].alive);
        s.starts.retain(|&x| vertices[x as usize].alive);
        s.starts.sort_unstable();
        s.starts.dedup();
        for i in 0..s.starts.len() {
            self.queue_collapse(s.starts[i]);
        }
        self.search_new(&s.fresh, &s.starts);
    }

    /// The front of a raised eave starts to move: both ends of every part of it get new velocities.
    fn wake(&mut self, s: &mut Scratch<N>, side: u32, h: N) -> Result<(), Stop> {
        s.waking.push(side);
        let mut found = false;
        for x in 0..self.vertices.len() as u32 {
            if !self.vertex(x).alive || self.vertex(x).right != side {
                continue;
            }
            found = true;
            for v in [x, self.vertex(x).next] {
                if self.vertex(v).place == NONE {
                    let place = s.new_place(self.vertex(v).at(h), h);
                    self.bring(s, v, place);
                }
            }
        }
        if found {
            Ok(())
        } else {
            Err(Stop::BuriedEave(self.wakes[side as usize]))
        }
    }
}
