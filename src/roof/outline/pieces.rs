//! The fronts of one step, cut at the places where something happens; facing ones that lie on each other removed.

use super::number::{Number, Pair};
use super::step::Scratch;
use super::wavefront::{Cause, NONE, Stop as Halt, Wavefront};

/// Where a piece ends: at a place of this step, or at a vertex that nothing happens to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stop {
    Place(u32),
    Vertex(u32),
}

/// A piece of a front.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub(super) side: u32,
    pub(super) from: Stop,
    pub(super) to: Stop,
    pub(super) alive: bool,
}

/// A place inside a front: the front starts at vertex x, and the place lies at t along it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Split<N> {
    pub(super) x: u32,
    pub(super) t: N,
    pub(super) place: u32,
}

/// A level piece of linework between two places.
#[derive(Clone, Copy, Debug)]
pub(super) struct Meeting {
    pub(super) from: u32,
    pub(super) to: u32,
    pub(super) left: u32,
    pub(super) right: u32,
    pub(super) cause: Cause,
}

/// All pieces of one step.
pub(super) struct Pieces<N> {
    pub(super) all: Vec<Piece>,
    pub(super) meetings: Vec<Meeting>,
    starts: Vec<u32>,
    number: std::marker::PhantomData<N>,
}

impl<N> Default for Pieces<N> {
    fn default() -> Self {
        Self {
            all: Vec::new(),
            meetings: Vec::new(),
            starts: Vec::new(),
            number: std::marker::PhantomData,
        }
    }
}

impl<N> Pieces<N> {
    pub(super) fn clear(&mut self) {
        self.all.clear();
        self.meetings.clear();
        self.starts.clear();
    }
}

impl<N: Number> Wavefront<N> {
    fn stop_of(&self, s: &Scratch<N>, v: u32) -> Stop {
        match self.vertex(v).place {
            NONE => Stop::Vertex(v),
            place => Stop::Place(s.root(place)),
        }
    }

    /// Cuts every front that a place lies on.
    pub(super) fn cut_pieces(&mut self, s: &mut Scratch<N>) {
        let mut starts = std::mem::take(&mut s.pieces.starts);
        for &v in &s.placed {
            starts.push(v);
            starts.push(self.vertex(v).prev);
        }
        starts.extend(s.splits.iter().map(|split| split.x));
        starts.sort_unstable();
        starts.dedup();
        s.splits.sort_by(|a, b| {
            a.x.cmp(&b.x)
                .then(a.t.partial_cmp(&b.t).unwrap_or(std::cmp::Ordering::Equal))
                .then(a.place.cmp(&b.place))
        });
        let mut split = 0;
        for &x in &starts {
            let first = split;
            while split < s.splits.len() && s.splits[split].x == x {
                split += 1;
            }
            self.cut_front(s, x, first..split);
        }
        s.pieces.starts = starts;
    }

    fn cut_front(&mut self, s: &mut Scratch<N>, x: u32, splits: std::ops::Range<usize>) {
        let side = self.vertex(x).right;
        let last = self.stop_of(s, self.vertex(x).next);
        let mut from = self.stop_of(s, x);
        for i in splits {
            let to = Stop::Place(s.root(s.splits[i].place));
            // Places near an end of the front have become that end's place.
            if to == last {
                break;
            }
            self.add_piece(s, side, from, to);
            from = to;
        }
        self.add_piece(s, side, from, last);
    }

    /// The side that the front goes on as: the wall under a raised eave wakes as that eave, which is drawn.
    fn woken(&self, s: &mut Scratch<N>, side: u32, from: Stop, to: Stop) -> u32 {
        if !s.waking.contains(&side) {
            return side;
        }
        let eave = self.wakes[side as usize];
        if let (Stop::Place(from), Stop::Place(to)) = (from, to) {
            s.pieces.meetings.push(Meeting {
                from,
                to,
                left: eave,
                right: side,
                cause: Cause::Eave,
            });
        }
        eave
    }

    /// Adds a piece, unless it has no length.
    fn add_piece(&mut self, s: &mut Scratch<N>, side: u32, from: Stop, to: Stop) {
        if from == to {
            return;
        }
        let side = self.woken(s, side, from, to);
        let index = s.pieces.all.len() as u32;
        if let Stop::Vertex(v) = from {
            self.vertices[v as usize].piece_out = index;
        }
        if let Stop::Vertex(v) = to {
            self.vertices[v as usize].piece_in = index;
        }
        s.pieces.all.push(Piece {
            side,
            from,
            to,
            alive: true,
        });
    }

    fn stop_at(&self, s: &Scratch<N>, stop: Stop, h: N) -> Pair<N> {
        match stop {
            Stop::Place(p) => s.places[s.root(p) as usize].p,
            Stop::Vertex(v) => self.vertex(v).at(h),
        }
    }

    /// Removes pieces that face each other on one line, and notes the level ridge that they leave.
    pub(super) fn annihilate_facing(&mut self, s: &mut Scratch<N>) -> Result<(), Halt> {
        // Which pieces leave and arrive at each place; short lists, as a place has few fronts.
        let mut at: Vec<(u32, u32, bool)> = Vec::new();
        let mut todo: Vec<u32> = Vec::new();
        for i in 0..s.pieces.all.len() {
            self.note_ends(s, i as u32, &mut at);
        }
        for &(place, ..) in &at {
            todo.push(place);
        }
        todo.sort_unstable();
        todo.dedup();
        at.sort_unstable();
        let mut later: Vec<(u32, u32, bool)> = Vec::new();
        let mut rounds = 0_usize;
        while let Some(place) = todo.pop() {
            rounds += 1;
            if rounds > 64 * (s.pieces.all.len() + 16) {
                return Err(Halt::Tangled("facing fronts do not come apart"));
            }
            let place = s.root(place);
            let mut ends: Vec<(u32, bool)> = Vec::new();
            let from = at.partition_point(|e| e.0 < place);
            for e in at[from..].iter().take_while(|e| e.0 == place) {
                ends.push((e.1, e.2));
            }
            ends.extend(
                later
                    .iter()
                    .filter(|e| s.root(e.0) == place)
                    .map(|e| (e.1, e.2)),
            );
            if let Some((out, into)) = self.facing_pair(s, place, &ends) {
                let new = self.annihilate(s, place, out, into);
                for piece in new.0 {
                    self.note_ends(s, piece, &mut later);
                }
                todo.push(place);
                todo.extend(new.1);
            }
        }
        Ok(())
    }

    fn note_ends(&self, s: &Scratch<N>, piece: u32, to: &mut Vec<(u32, u32, bool)>) {
        let p = s.pieces.all[piece as usize];
        if let Stop::Place(place) = p.from {
            to.push((s.root(place), piece, true));
        }
        if let Stop::Place(place) = p.to {
            to.push((s.root(place), piece, false));
        }
    }

    /// A leaving and an arriving piece at a place that lie on each other.
    fn facing_pair(&self, s: &Scratch<N>, place: u32, ends: &[(u32, bool)]) -> Option<(u32, u32)> {
        let here = |stop: Stop| matches!(stop, Stop::Place(p) if s.root(p) == place);
        for &(out, leaves) in ends {
            let o = s.pieces.all[out as usize];
            if !leaves || !o.alive || !here(o.from) {
                continue;
            }
            for &(into, leaves) in ends {
                let i = s.pieces.all[into as usize];
                if leaves || !i.alive || !here(i.to) || into == out {
                    continue;
                }
                if self.lie_on_each_other(s, place, o, i) {
                    return Some((out, into));
                }
            }
        }
        None
    }

    fn lie_on_each_other(&self, s: &Scratch<N>, place: u32, out: Piece, into: Piece) -> bool {
        if self.same_stop(s, out.to, into.from) {
            return true;
        }
        let (a, b) = (self.line(out.side), self.line(into.side));
        if a.parallel(b) {
            return !a.same_way(b);
        }
        // Almost parallel: they lie on each other if they do so at the nearer of the two far ends.
        if a.n.dot(b.n).to_f64() > -0.999 {
            return false;
        }
        let here = s.places[place as usize];
        let (p, q) = (
            self.stop_at(s, out.to, here.h),
            self.stop_at(s, into.from, here.h),
        );
        let d = a.direction();
        let gap = if d.dot(p - here.p) <= d.dot(q - here.p) {
            b.ahead(p, here.h)
        } else {
            a.ahead(q, here.h)
        };
        gap.to_f64().abs() <= self.close.place
    }

    fn same_stop(&self, s: &Scratch<N>, a: Stop, b: Stop) -> bool {
        match (a, b) {
            (Stop::Place(a), Stop::Place(b)) => s.root(a) == s.root(b),
            (Stop::Vertex(a), Stop::Vertex(b)) => a == b,
            _ => false,
        }
    }

    /// Removes the common part of two facing pieces. Returns the pieces and places to look at again.
    fn annihilate(
        &mut self,
        s: &mut Scratch<N>,
        place: u32,
        out: u32,
        into: u32,
    ) -> (Vec<u32>, Vec<u32>) {
        let (o, i) = (s.pieces.all[out as usize], s.pieces.all[into as usize]);
        let here = s.places[place as usize];
        let d = self.line(o.side).direction();
        let reach = |this: &Self, s: &Scratch<N>, stop| {
            d.dot(this.stop_at(s, stop, here.h) - here.p).to_f64()
        };
        let (to_a, to_b) = (reach(self, s, o.to), reach(self, s, i.from));
        let mut touched = Vec::new();
        let same = self.same_stop(s, o.to, i.from)
            || (to_a - to_b).abs() <= 4.0 * self.close.place * (1.0 + self.line(o.side).v.to_f64());
        let far = if same {
            let far = self.promote(s, o.to, here.h, &mut touched);
            let other = self.promote(s, i.from, here.h, &mut touched);
            if far != other {
                s.unite(far, other);
                // Everything at either is at both now.
                touched.extend(0..s.pieces.all.len() as u32);
            }
            s.root(far)
        } else {
            let nearer = if to_a < to_b { o.to } else { i.from };
            self.promote(s, nearer, here.h, &mut touched)
        };
        s.pieces.all[out as usize].alive = false;
        s.pieces.all[into as usize].alive = false;
        if !same {
            let rest = if to_a < to_b {
                Piece {
                    to: Stop::Place(far),
                    ..i
                }
            } else {
                Piece {
                    from: Stop::Place(far),
                    ..o
                }
            };
            let index = s.pieces.all.len() as u32;
            if let Stop::Vertex(v) = rest.from {
                self.vertices[v as usize].piece_out = index;
            }
            if let Stop::Vertex(v) = rest.to {
                self.vertices[v as usize].piece_in = index;
            }
            s.pieces.all.push(rest);
            touched.push(index);
        }
        s.pieces.meetings.push(Meeting {
            from: place,
            to: far,
            left: i.side,
            right: o.side,
            cause: Cause::Meeting,
        });
        (touched, vec![far])
    }

    /// Makes a place of a stop, and cuts the fronts on both sides of it if they were not.
    fn promote(&mut self, s: &mut Scratch<N>, stop: Stop, h: N, touched: &mut Vec<u32>) -> u32 {
        let v = match stop {
            Stop::Place(p) => return s.root(p),
            Stop::Vertex(v) => v,
        };
        if self.vertex(v).place != NONE {
            return s.root(self.vertex(v).place);
        }
        let place = s.new_place(self.vertex(v).at(h), h);
        self.bring(s, v, place);
        let vertex = *self.vertex(v);
        for (index, leaving) in [(vertex.piece_out, true), (vertex.piece_in, false)] {
            if index == NONE {
                let x = if leaving { v } else { vertex.prev };
                let side = self.vertex(x).right;
                let other = if leaving { vertex.next } else { vertex.prev };
                let other = self.stop_of(s, other);
                let here = Stop::Place(place);
                touched.push(s.pieces.all.len() as u32);
                if leaving {
                    self.add_piece(s, side, here, other);
                } else {
                    self.add_piece(s, side, other, here);
                }
            } else {
                let piece = &mut s.pieces.all[index as usize];
                if leaving {
                    piece.from = Stop::Place(place);
                } else {
                    piece.to = Stop::Place(place);
                }
                touched.push(index);
            }
        }
        place
    }
}
