//! Curves in an outline, which are built as a few flat facets each.
//!
//! A curve comes as dozens of short straight pieces, and a plane that rose from each of them would be a roof that nobody
//! builds: as many hips, drip edges and starts as pieces. So each curve is parted evenly into the fewest facets that stand
//! near enough to it. Its points are kept with them: areas and eaves are those of the curve.

use std::f64::consts::FRAC_PI_4;

use crate::drawing::FLATTENING_TOLERANCE_FT;
use crate::geometry::{Point, Vector, circle, ring};

/// No facet of a curve turns by more than this, in radians: 45°, the eight facets of the usual turret. Common practice, no
/// source.
pub(in crate::roof) const WIDEST_FACET: f64 = FRAC_PI_4;
/// No facet stands farther from its curve than this, in feet: what an eave can be furred out by. Common practice, no source.
pub(in crate::roof) const FARTHEST_FACET_FT: f64 = 1.0;
/// A turn that exceeds a whole number of facets by this part of one is rounding.
const ROUNDING_PART: f64 = 0.02;

/// Pieces of a curve turn by less than this at their joints, in radians: 35°. More is a corner.
const CORNER_TURN: f64 = 0.61;
/// A piece that goes on straight turns by more than this, in radians, where it is one of a curve.
const STRAIGHT: f64 = 1e-6;
/// The pieces of a curve stand this many times as far from it as they were made to, at most, where snapping has moved their
/// ends: a quarter of an inch.
const PIECE_SLACK: f64 = 8.0;
/// Whoever draws facets draws no more than some 45 to the circle: what turns evenly and by less at each corner, in radians, is a
/// curve that an exporter wrote as straight pieces ...
const DRAWN_FACET: f64 = 0.139;
/// ... where the turn for each foot is the same from corner to corner but for this part.
const EVEN: f64 = 0.15;
/// A side is none of a curve's pieces where it bends so many times less for its length.
const STRAIGHTER: f64 = 4.0;
/// Such pieces are at most so many times as long as their neighbours.
const MOST_UNLIKE: f64 = 2.0;
/// Points of a circle lie this near to it, in feet, or this part of its radius.
pub(in crate::roof) const ON_CIRCLE_FT: f64 = 0.02;
pub(in crate::roof) const ON_CIRCLE_PART: f64 = 0.005;
/// Points of a curve nearer to a corner than this part of a facet are the corner.
const AT_CORNER: f64 = 1e-6;

/// A side that stands for a part of a curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Facet {
    /// Which curve of the outline, from 0.
    pub curve: usize,
    /// The points of the curve from the start of the side to its end, both included, in plan feet.
    pub points: Vec<Point>,
}

/// A ring with its curves parted into facets.
pub(super) struct Parted {
    /// Its corners.
    pub(super) corners: Vec<Point>,
    /// For each side what it is a facet of.
    pub(super) facets: Vec<Option<Facet>>,
    /// For each side of the ring as drawn the side that stands for it, the first of its curve.
    pub(super) side_of: Vec<usize>,
    /// For each side one as drawn that it stands for.
    pub(super) drawn: Vec<usize>,
}

/// Parts the curves of a ring into facets. `is_round` tells of each corner whether it came of flattening a curve; the curves
/// are numbered from `first`.
pub(super) fn part(corners: &[Point], is_round: &[bool], first: usize) -> Parted {
    let n = corners.len();
    let mut parted = Parted {
        corners: Vec::new(),
        facets: Vec::new(),
        side_of: vec![0; n],
        drawn: Vec::new(),
    };
    let mut runs = runs(corners, is_round);
    // So that no run is split by the start of the ring.
    let start = runs.first().map_or(0, |run| run.from);
    let mut curve = first;
    let mut at = 0;
    while at < n {
        let side = (start + at) % n;
        let new = parted.corners.len();
        let is_next = runs.first().is_some_and(|run| run.from == side);
        if !is_next {
            parted.side_of[side] = new;
            parted.drawn.push(side);
            parted.corners.push(corners[side]);
            parted.facets.push(None);
            at += 1;
            continue;
        }
        let run = runs.remove(0);
        let points: Vec<Point> = (0..=run.count).map(|k| corners[(side + k) % n]).collect();
        for facet in parts(&points, run.count == n) {
            parted.drawn.push(side);
            parted.corners.push(facet[0]);
            let points = facet;
            parted.facets.push(Some(Facet { curve, points }));
        }
        for k in 0..run.count {
            parted.side_of[(side + k) % n] = new;
        }
        curve += 1;
        at += run.count;
    }
    parted
}

/// Sides in a row that are pieces of one curve: the first and how many.
struct Run {
    from: usize,
    count: usize,
}

/// The curves of a ring in order round it.
fn runs(corners: &[Point], is_round: &[bool]) -> Vec<Run> {
    let n = corners.len();
    let along: Vec<Vector> = ring::sides(corners).map(|(a, b)| b - a).collect();
    // How far the outline turns where each side starts.
    let turns: Vec<f64> = (0..n)
        .map(|i| {
            let (u, v) = (along[(i + n - 1) % n], along[i]);
            u.cross(v).atan2(u.dot(v))
        })
        .collect();
    let is_smooth = |i: usize| {
        let turn = turns[i % n].abs();
        is_round[i % n] && (STRAIGHT..CORNER_TURN).contains(&turn)
    };
    let beside = |i: usize| [along[(i + n - 1) % n], along[i % n]].map(Vector::length);
    let per_foot = |i: usize| turns[i % n] / beside(i).iter().sum::<f64>();
    // Both ends of a straight side between two curves turn alike as well, but not between pieces of one length.
    let is_even = |i: usize| {
        let [before, after] = beside(i);
        let of_a_length = before.max(after) <= MOST_UNLIKE * before.min(after);
        let like = |k: usize| is_smooth(k) && (per_foot(k) / per_foot(i) - 1.0).abs() <= EVEN;
        let is_facet = turns[i % n].abs() > DRAWN_FACET;
        is_smooth(i) && of_a_length && !is_facet && (like(i + 1) || like(i + n - 1))
    };
    // A piece of length L that turns by t at its ends stands L t / 8 from its curve.
    let is_piece = |i: usize| {
        let sharpest = [i, i + 1]
            .into_iter()
            .filter(|&k| is_smooth(k))
            .map(|k| turns[k % n].abs())
            .fold(0.0, f64::max);
        let off_ft = along[i].length() * sharpest / 8.0;
        let is_near = sharpest > 0.0 && off_ft <= PIECE_SLACK * FLATTENING_TOLERANCE_FT;
        // A straight side that a curve runs into turns for its length far less than the curve does.
        let bends = |(joint, beyond): (usize, usize)| {
            let bent = per_foot(joint).abs();
            is_smooth(joint) && (!is_smooth(beyond) || bent * STRAIGHTER > per_foot(beyond).abs())
        };
        let joints = [(i, i + n - 1), (i + 1, i + 2)];
        (is_near && joints.into_iter().any(bends)) || is_even(i) || is_even(i + 1)
    };
    let pieces: Vec<bool> = (0..n).map(is_piece).collect();
    // Whether a side and the one before it are of one curve: the outline goes on turning the same way.
    let goes_on: Vec<bool> = (0..n)
        .map(|i| {
            let before = (i + n - 1) % n;
            let same_way = !is_smooth(before) || turns[before] * turns[i] > 0.0;
            pieces[i] && pieces[before] && is_smooth(i) && same_way
        })
        .collect();
    if n > 0 && goes_on.iter().all(|&on| on) {
        // A closed curve starts at its easternmost point, wherever the ring was begun.
        let from = (0..n).fold(0, |best, i| {
            let (p, q) = (corners[i], corners[best]);
            if (p.x, p.y) > (q.x, q.y) { i } else { best }
        });
        return vec![Run { from, count: n }];
    }
    (0..n)
        .filter(|&i| pieces[i] && !goes_on[i])
        .map(|from| Run {
            from,
            count: 1 + (1..n).take_while(|k| goes_on[(from + k) % n]).count(),
        })
        .filter(|run| run.count > 1)
        .collect()
}

/// The points of a curve by facets, each from the last one's end.
fn parts(points: &[Point], closed: bool) -> Vec<Vec<Point>> {
    on_circle(points, closed).unwrap_or_else(|| by_turn(points))
}

/// An arc of a circle is parted by its angle, at places on the circle itself: so that the facets of a turret meet in one peak.
fn on_circle(points: &[Point], closed: bool) -> Option<Vec<Vec<Point>>> {
    let last = points.len() - 1;
    let (a, b, c) = match closed {
        true => (points[0], points[last / 3], points[2 * last / 3]),
        false => (points[0], points[last / 2], points[last]),
    };
    let (centre, radius) = circle(a, b, c)?;
    let slack = ON_CIRCLE_FT.max(ON_CIRCLE_PART * radius);
    let off = |p: &Point| (p.distance(centre) - radius).abs();
    if points.iter().any(|p| off(p) > slack) {
        return None;
    }
    let mut angles = vec![0.0];
    let mut total = 0.0;
    for pair in points.windows(2) {
        let (u, v) = (pair[0] - centre, pair[1] - centre);
        total += u.cross(v).atan2(u.dot(v));
        angles.push(total);
    }
    let stands_off = |count: usize| radius * (1.0 - (total / (2.0 * count as f64)).cos());
    let count = fewest(total, |count| stands_off(count) <= FARTHEST_FACET_FT, last);
    let start = points[0] - centre;
    let corner = |k: usize| match k {
        0 => points[0],
        k if k == count => points[last],
        k => {
            let (sin, cos) = (total * k as f64 / count as f64).sin_cos();
            centre + Vector::new(start.x * cos - start.y * sin, start.x * sin + start.y * cos)
        }
    };
    let share = |angle: f64| angle / total * count as f64;
    Some(
        (0..count)
            .map(|k| {
                let inside = |angle: f64| {
                    let share = share(angle) - k as f64;
                    share > AT_CORNER && share < 1.0 - AT_CORNER
                };
                let between = points.iter().zip(&angles);
                let between = between
                    .filter(|(_, angle)| inside(**angle))
                    .map(|(p, _)| *p);
                std::iter::once(corner(k))
                    .chain(between)
                    .chain([corner(k + 1)])
                    .collect()
            })
            .collect(),
    )
}

/// Any other curve is parted where it has turned by even shares, at points of its own.
fn by_turn(points: &[Point]) -> Vec<Vec<Point>> {
    let last = points.len() - 1;
    let mut turned = vec![0.0];
    let mut total = 0.0;
    for three in points.windows(3) {
        let (u, v) = (three[1] - three[0], three[2] - three[1]);
        let turn = u.cross(v).atan2(u.dot(v)).abs();
        turned.push(total + turn / 2.0);
        total += turn;
    }
    turned.push(total);
    let cuts = |count: usize| {
        let mut cuts = vec![0];
        for k in 1..count {
            let wanted = total * k as f64 / count as f64;
            let off = |i: &usize| (turned[*i] - wanted).abs();
            let after = cuts.last().map_or(1, |c| c + 1);
            let best = (after..last).min_by(|a, b| off(a).total_cmp(&off(b)));
            cuts.extend(best);
        }
        cuts.push(last);
        cuts
    };
    let near = |count: usize| {
        cuts(count).windows(2).all(|cut| {
            let (a, b) = (points[cut[0]], points[cut[1]]);
            let between = &points[cut[0]..=cut[1]];
            let farthest = between.iter().map(|p| p.distance_to_segment(a, b));
            farthest.fold(0.0, f64::max) <= FARTHEST_FACET_FT
        })
    };
    let count = fewest(total, near, last);
    cuts(count)
        .windows(2)
        .map(|cut| points[cut[0]..=cut[1]].to_vec())
        .collect()
}

/// The fewest facets for a curve that turns by so much, of `most` pieces.
fn fewest(total: f64, stand_near: impl Fn(usize) -> bool, most: usize) -> usize {
    let by_turn = (total.abs() / WIDEST_FACET - ROUNDING_PART).ceil().max(1.0) as usize;
    let by_turn = by_turn.min(most);
    (by_turn..most)
        .find(|&count| stand_near(count))
        .unwrap_or(most)
}
