//! The edges that the page shows: straight lines as a reader sees them, with their first face on the left.

use crate::geometry::{Point, Point3};
use crate::report::plan::chain::{self, Chain};
use crate::roof::{Roof, Side};

/// One straight edge. Walking from `a` to `b`, the first face is on the left.
pub(super) struct Line {
    pub(super) chain: Chain,
    pub(super) a: Point3,
    pub(super) b: Point3,
}

/// All edges of a roof; the schedule, the plan and the model number them in this order.
pub(super) fn lines(roof: &Roof) -> Vec<Line> {
    let mut lines: Vec<Line> = chain::chains(roof)
        .into_iter()
        .map(|chain| {
            let (a, b) = with_face_on_left(roof, &chain);
            Line { chain, a, b }
        })
        .collect();
    // By class, the longest first: the order in which people look things up.
    lines.sort_by(|p, q| {
        let (p, q) = (&p.chain, &q.chain);
        p.class.cmp(&q.class).then(q.true_ft.total_cmp(&p.true_ft))
    });
    lines
}

/// The ends in the order in which the first face's outline walks them (counter-clockwise, the face on the left).
fn with_face_on_left(roof: &Roof, chain: &Chain) -> (Point3, Point3) {
    let (a, b) = (chain.start, chain.end);
    let along = b.plan() - a.plan();
    let walked = chain.faces.first().and_then(|&id| {
        let face = roof.face(id);
        std::iter::once(&face.outline)
            .chain(&face.holes)
            .flat_map(|ring| {
                let n = ring.corners.len();
                (0..n).map(move |i| (ring.sides[i], ring.corners[i], ring.corners[(i + 1) % n]))
            })
            .find(|&(side, from, to)| {
                let of_class = matches!(side, Side::Edge(e) if roof.edge(e).class == chain.class);
                of_class && is_between(a.plan(), b.plan(), from.plan().midpoint(to.plan()))
            })
            .map(|(_, from, to)| to.plan() - from.plan())
    });
    if walked.is_some_and(|w| w.dot(along) < 0.0) {
        (b, a)
    } else {
        (a, b)
    }
}

/// Whether a place lies on a segment, within a hundredth of a foot.
fn is_between(a: Point, b: Point, p: Point) -> bool {
    const NEAR_FT: f64 = 0.01;
    (a.distance(p) + p.distance(b) - a.distance(b)) < NEAR_FT
}
