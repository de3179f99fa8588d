//! A line that runs round the roof as eaves run round walls, with no pitch between the two: either may be the roof's edge.

use super::halfedge::Subdivision;
use super::piece::Piece;
use super::which_edge::{Covers, Rules, ask_round};
use crate::drawing::{Drawing, Stroke};
use crate::geometry::{Point, ring};
use crate::{Finding, Place};

/// A line nearer to the roof's edge than this, in feet, is the edge drawn twice or a fascia (common practice, no source).
const NEAREST_FT: f64 = 0.25;
/// One farther from it than this, in feet, is a frame or a lot line: eaves that hang over farther are rare (common practice,
/// no source).
const FARTHEST_FT: f64 = 4.0;
/// Two sides run along each other where they turn by less than this, as the cosine (3°).
const PARALLEL: f64 = 0.9986;
/// The line runs along this part of the roof's edge at least: it may pass a bay or a chimney by.
const LEAST_ALONG: f64 = 0.9;

/// A ring round a part of the roof, as half-edges of each.
struct RingRound<'a> {
    outer: &'a [usize],
    inner: &'a [usize],
}

/// What is asked of the first line that runs round a part of the roof at the distance of an eave, where the face between them
/// is none of the roof's: `is_roof` says so of a face, `is_edge` of a ring that may be the roof's edge.
pub(super) fn ask_of_ring_round(
    sub: &Subdivision,
    (pieces, strokes): (&[Piece], &[&Stroke]),
    drawing: &Drawing,
    is_roof: impl Fn(usize) -> bool,
    is_edge: impl Fn(&[usize]) -> bool,
) -> Option<Finding> {
    let between = (0..sub.faces.len()).filter(|&face| !is_roof(face));
    let mut pairs = between.flat_map(|face| {
        let (outer, holes) = sub.faces[face].split_first().unzip();
        let holes = holes.into_iter().flatten();
        outer.into_iter().flat_map(move |outer| {
            let holes = holes.clone();
            holes.map(move |inner| RingRound { outer, inner })
        })
    });
    let found = pairs.find(|pair| {
        is_edge(pair.inner) && runs_along(&sub.corners(pair.outer), &sub.corners(pair.inner))
    })?;
    let [outer, inner] = [found.outer, found.inner].map(|ring| sub.corners(ring));
    let covers = Covers::of(ring::signed_area(&outer), -ring::signed_area(&inner));
    let drawn_with = |ring: &[usize]| {
        let links = ring.iter().flat_map(|half| &sub.links[half / 2].pieces);
        let mut drawn: Vec<usize> = links.map(|&piece| pieces[piece].stroke).collect();
        drawn.sort_unstable();
        drawn.dedup();
        drawn
    };
    let others = |out: &[usize]| -> [Vec<&Stroke>; 2] {
        let (out, stay): (Vec<usize>, Vec<usize>) =
            (0..strokes.len()).partition(|i| out.binary_search(i).is_ok());
        [out, stay].map(|of| of.into_iter().map(|i| strokes[i]).collect())
    };
    let rules = Rules::parting(
        drawing,
        others(&drawn_with(found.inner)),
        others(&drawn_with(found.outer)),
    );
    let corner = |ring: &[Point]| Place::at(ring[0]);
    let asked = ask_round(covers, &rules);
    Some(asked.place(corner(&outer)).place(corner(&inner)))
}

/// Whether the outer ring, counter-clockwise, runs along the inner one, clockwise, at the distance of an eave.
fn runs_along(outer: &[Point], inner: &[Point]) -> bool {
    let round_ft = ring::perimeter(inner);
    let strip_sqft = ring::signed_area(outer) + ring::signed_area(inner);
    // The strip between them is as long as what lies half-way.
    let half_way_ft = (ring::perimeter(outer) + round_ft) / 2.0;
    let along_ft: f64 = ring::sides(inner).map(|side| along(side, outer)).sum();
    along_ft >= LEAST_ALONG * round_ft && strip_sqft <= FARTHEST_FT * half_way_ft
}

/// How much of a side of the inner ring, clockwise, has the outer ring beside it, in feet.
fn along((a, b): (Point, Point), outer: &[Point]) -> f64 {
    // Turned, so that both rings run the same way.
    let (a, b) = (b, a);
    let (Some(way), length) = ((b - a).unit(), a.distance(b)) else {
        return 0.0;
    };
    let beside = ring::sides(outer).filter_map(|(c, d)| {
        let on = (d - c).unit().filter(|on| on.dot(way) >= PARALLEL)?;
        let (from, to) = ((c - a).dot(way).max(0.0), (d - a).dot(way).min(length));
        // What lies outside is to the right.
        let off = |run: f64| {
            let at = a + way * run;
            -way.cross(c + on * ((at - c).dot(way) / on.dot(way)) - at)
        };
        let is_eave = |run: f64| (NEAREST_FT..=FARTHEST_FT).contains(&off(run));
        (to > from && is_eave(from) && is_eave(to)).then_some(to - from)
    });
    beside.sum::<f64>().min(length)
}
