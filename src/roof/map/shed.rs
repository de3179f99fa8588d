//! A shed dormer drawn with a pen that was left out: one closed shape in a slope, as chimneys, furniture and symbols are.
//!
//! What tells it from these is its size and that it stands by itself: no other line of those left out meets it, as they do
//! in hatches, rows of panels, crossed skylights and rooms, and its pen draws nothing right across the roof's own lines.

use std::f64::consts::PI;

use super::lost::Overlay;
use super::pens::alike;
use super::tell;
use crate::drawing::Stroke;
use crate::geometry::{Point, ring};

/// No chimney or skylight is as large, in square feet: openings below it are not deducted as a rule (common practice, no source).
const LEAST_DORMER_SQFT: f64 = 30.0;
/// A dormer is no strip: its area over its perimeter, in feet. One of 4 × 8 ft has 1.33; what lies between the lines of
/// a hatch 2 ft apart has less than 1.
const LEAST_WIDTH_FT: f64 = 1.2;
/// At most this share of its slope: what covers more is the walls beneath the roof.
const LARGEST_SHARE: f64 = 0.5;
/// At least this share of the line round it is its own; the rest may be the ridge.
const OWN_SHARE: f64 = 0.5;
/// Area over that of a circle as long round: what is as round as that is a mark (an octagon has 0.948).
const ROUND: f64 = 0.98;
/// A straight line that crosses a line of the roof and is this long, in feet, is a wall's: a chimney on a ridge has none.
const WALL_FT: f64 = 10.0;

impl<'a> Overlay<'a> {
    /// The first closed area in a slope that may be a shed dormer: a place in it, its size in square feet, and a stroke.
    pub(super) fn shed_dormer(&self) -> Option<(Point, f64, &'a Stroke)> {
        let lost_at = self.left_out_at_nodes();
        let floor_plans = self.floor_plans();
        let of_face = |face: usize| {
            let stroke = self.alone_in_a_slope(face, &lost_at)?;
            let drawn = !floor_plans.iter().any(|of| alike(of, stroke));
            let at = tell::inside_place(&self.sub.corners(&self.sub.faces[face][0]));
            drawn.then(|| (at, self.sub.area(face), stroke))
        };
        (0..self.sub.faces.len()).find_map(of_face)
    }

    /// How many left out links meet at each node.
    fn left_out_at_nodes(&self) -> Vec<usize> {
        let sub = self.sub;
        let mut count = vec![0; sub.nodes.len()];
        for half in (0..2 * sub.links.len()).filter(|&h| self.is_left_out(h)) {
            count[sub.start(half)] += 1;
        }
        count
    }

    /// A stroke round a face that may be a dormer by its size, and stands by itself in a face that slopes.
    fn alone_in_a_slope(&self, face: usize, lost_at: &[usize]) -> Option<&'a Stroke> {
        let sub = self.sub;
        let halves = sub.faces[face].first()?;
        let around = ring::perimeter(&sub.corners(halves));
        let own: Vec<usize> = halves
            .iter()
            .copied()
            .filter(|&h| self.is_left_out(h))
            .collect();
        let slope = sub.left[own.first()? ^ 1]?;
        let in_one_slope = own.iter().all(|&h| sub.left[h ^ 1] == Some(slope));
        let own_length: f64 = own.iter().map(|&h| self.length(h)).sum();
        let of_dormer_size = !self.labelled[face]
            && is_of_dormer_size(sub.area(face), around)
            && sub.area(face) <= LARGEST_SHARE * (sub.area(face) + sub.area(slope));
        let ends: usize = own.len() * 2;
        let met: usize = nodes_of(&own, |h| sub.start(h))
            .iter()
            .map(|&n| lost_at[n])
            .sum();
        let by_itself = met == ends;
        (of_dormer_size
            && self.sloped[slope]
            && in_one_slope
            && own_length >= OWN_SHARE * around
            && by_itself)
            .then(|| self.strokes[self.pieces[sub.links[own[0] / 2].pieces[0]].stroke])
    }

    fn length(&self, half: usize) -> f64 {
        let sub = self.sub;
        sub.nodes[sub.start(half)].distance(sub.nodes[sub.start(half ^ 1)])
    }

    /// A stroke of each left out pen with a long straight line that goes on beyond a line of the roof.
    fn floor_plans(&self) -> Vec<&'a Stroke> {
        let sub = self.sub;
        let mut of_roof = vec![false; sub.nodes.len()];
        for half in (0..2 * sub.links.len()).filter(|&h| !self.is_left_out(h)) {
            of_roof[sub.start(half)] = true;
        }
        // The pieces that come to a node of the roof's lines, each twice where it goes on.
        let mut arriving: Vec<(usize, usize)> = (0..2 * sub.links.len())
            .filter(|&h| self.is_left_out(h) && of_roof[sub.start(h)])
            .flat_map(|h| {
                sub.links[h / 2]
                    .pieces
                    .iter()
                    .map(move |&p| (p, sub.start(h)))
            })
            .filter(|&(p, _)| self.pieces[p].length() >= WALL_FT)
            .collect();
        arriving.sort_unstable();
        let crossing = arriving.windows(2).filter(|pair| pair[0] == pair[1]);
        let mut strokes: Vec<usize> = crossing.map(|pair| self.pieces[pair[0].0].stroke).collect();
        strokes.dedup();
        strokes.into_iter().map(|s| self.strokes[s]).collect()
    }
}

/// The nodes at both ends of half-edges, each once.
fn nodes_of(halves: &[usize], start: impl Fn(usize) -> usize) -> Vec<usize> {
    let mut nodes: Vec<usize> = halves
        .iter()
        .flat_map(|&h| [start(h), start(h ^ 1)])
        .collect();
    nodes.sort_unstable();
    nodes.dedup();
    nodes
}

/// Whether a shed dormer may have this area and this length round it, in feet.
pub(super) fn is_of_dormer_size(area_sqft: f64, around_ft: f64) -> bool {
    let round = 4.0 * PI * area_sqft / (around_ft * around_ft);
    area_sqft >= LEAST_DORMER_SQFT && area_sqft >= LEAST_WIDTH_FT * around_ft && round < ROUND
}
