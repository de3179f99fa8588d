//! A shallow front that starts further out is faster, and comes level with the steeper one beside it. The two are
//! one line then, with two speeds; which plane goes on is not a matter of drainage but of a rule.

use super::input::CatchUp;
use super::number::{Number, Pair};
use super::step::Scratch;
use super::wavefront::{Cause, NONE, RawArc, RawCatchUp, Stop, Wavefront};

/// Fronts that differ in length by less than this, in feet, are as wide as each other: no plan is drawn more exactly, and the
/// digits of its file must not decide which goes on.
const TIE_FT: f64 = 1e-3;

/// Neighbouring fronts on one line: `stops` are the vertices between and at the ends of `sides`.
struct Chain<N> {
    stops: Vec<u32>,
    places: Vec<Pair<N>>,
    sides: Vec<u32>,
}

impl<N: Number> Wavefront<N> {
    /// Settles every vertex of this step that is between two speeds on one line.
    pub(super) fn settle_catch_ups(&mut self, s: &mut Scratch<N>) -> Result<(), Stop> {
        for i in 0..s.unsettled.len() {
            let w = s.unsettled[i];
            let vertex = *self.vertex(w);
            if vertex.alive && self.line(vertex.left).v != self.line(vertex.right).v {
                let chain = self.chain_through(w)?;
                self.settle(s, &chain)?;
            }
        }
        Ok(())
    }

    fn on_one_line(&self, v: u32) -> bool {
        let (a, b) = (
            self.line(self.vertex(v).left),
            self.line(self.vertex(v).right),
        );
        let apart = (a.offset_at(self.now) - b.offset_at(self.now)).to_f64();
        a.same_way(b) && apart.abs() <= 8.0 * self.close.place * (1.0 + a.v.larger(b.v).to_f64())
    }

    fn chain_through(&self, w: u32) -> Result<Chain<N>, Stop> {
        let mut first = self.vertex(w).prev;
        while first != w && self.on_one_line(first) {
            first = self.vertex(first).prev;
        }
        let mut chain = Chain {
            stops: vec![first],
            places: Vec::new(),
            sides: Vec::new(),
        };
        let mut v = first;
        loop {
            chain.sides.push(self.vertex(v).right);
            v = self.vertex(v).next;
            chain.stops.push(v);
            if v == first {
                return Err(Stop::Tangled("a loop of fronts on one line"));
            }
            if !self.on_one_line(v) {
                break;
            }
        }
        chain.places = chain
            .stops
            .iter()
            .map(|&v| self.vertex(v).at(self.now))
            .collect();
        Ok(chain)
    }

    fn lengths(&self, chain: &Chain<N>) -> Vec<f64> {
        let d = self.line(chain.sides[0]).direction();
        chain
            .places
            .windows(2)
            .map(|w| d.dot(w[1] - w[0]).to_f64())
            .collect()
    }

    /// The speed that goes on.
    fn winning_speed(&self, chain: &Chain<N>, lengths: &[f64]) -> N {
        let mut speeds: Vec<(N, f64)> = Vec::new();
        for (&side, &length) in chain.sides.iter().zip(lengths) {
            let v = self.line(side).v;
            match speeds.iter_mut().find(|(speed, _)| *speed == v) {
                Some((_, sum)) => *sum += length,
                None => speeds.push((v, length)),
            }
        }
        // The shallowest plane is the fastest front.
        speeds.sort_by(|a, b| b.0.partial_cmp(&a.0).unwrap_or(std::cmp::Ordering::Equal));
        let mut best = speeds[0];
        if self.rule == CatchUp::Wider {
            for &(v, length) in &speeds[1..] {
                if length > best.1 + self.close.place.max(TIE_FT) {
                    best = (v, length);
                }
            }
        }
        best.0
    }

    fn settle(&mut self, s: &mut Scratch<N>, chain: &Chain<N>) -> Result<(), Stop> {
        let lengths = self.lengths(chain);
        if self.rule == CatchUp::Refuse {
            return Err(self.refusal(chain, &lengths));
        }
        let speed = self.winning_speed(chain, &lengths);
        let wins = |this: &Self, side: u32| this.line(side).v == speed;
        let mut after: Vec<u32> = Vec::with_capacity(chain.sides.len());
        let mut winner = chain
            .sides
            .iter()
            .copied()
            .find(|&side| wins(self, side))
            .ok_or(Stop::Tangled("no front goes on"))?;
        for &side in &chain.sides {
            if wins(self, side) {
                winner = side;
            }
            after.push(winner);
        }
        let nodes = self.nodes_of_changes(chain, &after);
        self.draw_breaks(chain, &after, &nodes);
        self.relink_chain(s, chain, &after, &nodes);
        Ok(())
    }

    fn refusal(&self, chain: &Chain<N>, lengths: &[f64]) -> Stop {
        let v = |side: u32| self.line(side).v;
        let (mut shallow, mut steep) = (0, 0);
        for (i, &side) in chain.sides.iter().enumerate() {
            if v(side) > v(chain.sides[shallow]) {
                shallow = i;
            }
            if v(side) < v(chain.sides[steep]) {
                steep = i;
            }
        }
        Stop::CatchUp {
            shallow: chain.sides[shallow],
            steep: chain.sides[steep],
            height: self.now.to_f64(),
            length: lengths[shallow].min(lengths[steep]),
        }
    }

    /// A node at every stop beside a front that is taken over.
    fn nodes_of_changes(&mut self, chain: &Chain<N>, after: &[u32]) -> Vec<u32> {
        let last = chain.stops.len() - 1;
        let lost = |i: usize| chain.sides[i] != after[i];
        let mut nodes = vec![NONE; chain.stops.len()];
        for (i, node) in nodes.iter_mut().enumerate() {
            if !((i > 0 && lost(i - 1)) || (i < last && lost(i))) {
                continue;
            }
            let vertex = *self.vertex(chain.stops[i]);
            let born_now = (self.now - vertex.h).to_f64() <= 2.0 * self.close.height;
            *node = if born_now {
                vertex.node
            } else {
                self.new_node(chain.places[i], self.now)
            };
        }
        nodes
    }

    fn draw_breaks(&mut self, chain: &Chain<N>, after: &[u32], nodes: &[u32]) {
        for (i, (&loser, &winner)) in chain.sides.iter().zip(after).enumerate() {
            if loser == winner {
                continue;
            }
            let (from, to) = (nodes[i], nodes[i + 1]);
            self.arcs.push(RawArc {
                from,
                to,
                left: winner,
                right: loser,
                cause: Cause::CatchUp,
            });
            self.catch_ups.push(RawCatchUp {
                winner,
                loser,
                height: self.now.to_f64(),
                from,
                to,
            });
        }
    }

    fn relink_chain(&mut self, s: &mut Scratch<N>, chain: &Chain<N>, after: &[u32], nodes: &[u32]) {
        let last = chain.stops.len() - 1;
        let mut previous = NONE;
        for i in 0..=last {
            let v = chain.stops[i];
            let before = *self.vertex(v);
            let left = if i == 0 { before.left } else { after[i - 1] };
            let right = if i == last { before.right } else { after[i] };
            let kept = left == before.left && right == before.right;
            let stop = if kept {
                v
            } else {
                self.end_vertex(v, nodes[i]);
                if left == right {
                    continue;
                }
                let w = self.new_vertex(left, right, nodes[i]);
                s.fresh.push(w);
                if i == 0 {
                    self.link(before.prev, w);
                    s.starts.push(before.prev);
                }
                if i == last {
                    self.link(w, before.next);
                    s.starts.push(w);
                }
                w
            };
            if previous != NONE {
                self.link(previous, stop);
                s.starts.push(previous);
            }
            previous = stop;
        }
    }
}
