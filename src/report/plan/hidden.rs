//! Edges of a lower roof that lie under a higher one: which parts of them are seen from above.

use super::chain::Chain;
use crate::geometry::{Point, ring};
use crate::roof::{FaceId, Roof};

/// An edge nearer than this to the outline of the roof above runs along it and is not hidden, in feet (half an inch).
const ALONG_FT: f64 = 0.5 / 12.0;
/// Parts of an edge shorter than this are not told apart, as a share of its length.
const LEAST_PART: f64 = 1e-9;

/// A part of an edge in plan, and whether a higher roof covers it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Part {
    pub(super) a: Point,
    pub(super) b: Point,
    pub(super) hidden: bool,
}

/// Whether any edge of the roof is hidden in part.
pub(crate) fn any(roof: &Roof) -> bool {
    super::chain::chains(roof)
        .iter()
        .flat_map(|chain| parts(roof, chain))
        .any(|part| part.hidden)
}

/// The edge in parts, each seen or hidden as a whole.
pub(super) fn parts(roof: &Roof, chain: &Chain) -> Vec<Part> {
    let (a, b) = (chain.start.plan(), chain.end.plan());
    let whole = Part {
        a,
        b,
        hidden: false,
    };
    let above = faces_above(roof, chain);
    if above.is_empty() {
        return vec![whole];
    }
    let mut cuts = vec![0.0, 1.0];
    for &face in &above {
        let corners = outline(roof, face);
        cuts.extend(ring::sides(&corners).filter_map(|(p, q)| crossing(a, b, p, q)));
    }
    cuts.sort_by(f64::total_cmp);
    let mut parts: Vec<Part> = Vec::new();
    for pair in cuts.windows(2) {
        if pair[1] - pair[0] < LEAST_PART {
            continue;
        }
        let (from, to) = (a.lerp(b, pair[0]), a.lerp(b, pair[1]));
        let middle = from.midpoint(to);
        let hidden = above
            .iter()
            .any(|&face| roof.face(face).covers(middle) && !runs_along(roof, face, middle));
        match parts.last_mut() {
            Some(last) if last.hidden == hidden => last.b = to,
            _ => parts.push(Part {
                a: from,
                b: to,
                hidden,
            }),
        }
    }
    if parts.is_empty() { vec![whole] } else { parts }
}

/// Faces of a higher level than all of the edge's own.
fn faces_above(roof: &Roof, chain: &Chain) -> Vec<FaceId> {
    let own = chain.faces.iter().map(|&id| roof.face(id).level).max();
    (0..roof.faces.len())
        .map(FaceId)
        .filter(|&id| own.is_some_and(|own| roof.face(id).level > own))
        .collect()
}

fn outline(roof: &Roof, face: FaceId) -> Vec<Point> {
    roof.face(face).outline.plan()
}

/// Where a–b crosses p–q, as a share of a–b.
fn crossing(a: Point, b: Point, p: Point, q: Point) -> Option<f64> {
    let (along, side) = (b - a, q - p);
    let turn = along.cross(side);
    if turn.abs() <= f64::EPSILON * along.length() * side.length() {
        return None;
    }
    let t = (p - a).cross(side) / turn;
    let s = (p - a).cross(along) / turn;
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&s)).then_some(t)
}

fn runs_along(roof: &Roof, face: FaceId, p: Point) -> bool {
    let corners = outline(roof, face);
    ring::sides(&corners).any(|(a, b)| {
        let along = b - a;
        let square = along.dot(along);
        let t = if square > 0.0 {
            ((p - a).dot(along) / square).clamp(0.0, 1.0)
        } else {
            0.0
        };
        p.distance(a.lerp(b, t)) < ALONG_FT
    })
}
