//! Edges of one class that go on in one straight line, or together are one round edge, are one run: metal is cut for
//! the run, not for the edge. A run stays on one level and ends where a wall does.

use std::collections::BTreeSet;

use super::corners::{Corners, SAME_CORNER_FT};
use crate::geometry::{Point3, Vector};
use crate::roof::{Edge, EdgeClass, EdgeId, FaceId, Roof};

/// Directions nearer than this are the same: the sine of one degree.
const SAME_LINE_SIN: f64 = 0.017_452;

/// A run of edges of one class, straight or one round edge.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Run {
    pub(super) edges: Vec<EdgeId>,
    /// The faces along it, each once.
    pub(super) faces: Vec<FaceId>,
    pub(super) true_ft: f64,
    /// The ends; of a sloping run the lower one first.
    pub(super) ends: [Point3; 2],
}

/// The runs of a class among the edges that `keep` lets through, in the order of their first edges; `corners` are those of all
/// edges of the roof.
pub(super) fn runs(
    roof: &Roof,
    corners: &Corners<EdgeId>,
    class: EdgeClass,
    keep: impl Fn(EdgeId) -> bool,
) -> Vec<Run> {
    // `None` for those that have been joined to another.
    let mut runs: Vec<Option<Run>> = Vec::new();
    let mut ends: Corners<usize> = Corners::new();
    let counts = |id: EdgeId| roof.edge(id).class == class && keep(id);
    let mut round: Vec<Run> = Vec::new();
    let mut in_round = vec![false; roof.edges.len()];
    for arc in roof
        .round_edges
        .iter()
        .filter(|a| a.iter().all(|&id| counts(id)))
    {
        for id in arc {
            in_round[id.0] = true;
        }
        round.extend(round_run(roof, arc));
    }
    for i in (0..roof.edges.len()).filter(|&i| !in_round[i]) {
        let id = EdgeId(i);
        if !counts(id) {
            continue;
        }
        let mut run = single(roof, id);
        // An edge may close the gap between two runs, so look again after each joining.
        while let Some(earlier) = first_before(roof, corners, &runs, &ends, &run)
            .and_then(|k| runs.get_mut(k))
            .and_then(Option::take)
        {
            run = joined(earlier, run);
        }
        for end in run.ends {
            ends.add(end, runs.len());
        }
        runs.push(Some(run));
    }
    let mut runs: Vec<Run> = runs.into_iter().flatten().chain(round).collect();
    runs.sort_by_key(|r| r.edges.iter().min().copied());
    runs
}

/// The first of the runs that goes on as another does; `ends` are theirs.
fn first_before(
    roof: &Roof,
    corners: &Corners<EdgeId>,
    runs: &[Option<Run>],
    ends: &Corners<usize>,
    run: &Run,
) -> Option<usize> {
    let touching = run.ends.iter().flat_map(|&end| ends.at(end));
    touching
        .filter(|&k| {
            let earlier = runs.get(k).and_then(Option::as_ref);
            earlier.is_some_and(|r| joins(r, run) && goes_on(roof, corners, r, run))
        })
        .min()
}

fn single(roof: &Roof, id: EdgeId) -> Run {
    let edge = roof.edge(id);
    Run {
        edges: vec![id],
        faces: edge.faces.clone(),
        true_ft: edge.true_length.to_feet(),
        ends: lower_first(edge.start, edge.end),
    }
}

/// The pieces of a round edge as one run.
fn round_run(roof: &Roof, arc: &[EdgeId]) -> Option<Run> {
    let (first, last) = (roof.edge(*arc.first()?), roof.edge(*arc.last()?));
    let mut run = single(roof, *arc.first()?);
    run.ends = lower_first(first.start, last.end);
    for &id in &arc[1..] {
        run.true_ft += roof.edge(id).true_length.to_feet();
        run.edges.push(id);
    }
    run.edges.sort_unstable();
    Some(run)
}

fn lower_first(a: Point3, b: Point3) -> [Point3; 2] {
    if b.z < a.z { [b, a] } else { [a, b] }
}

fn joins(a: &Run, b: &Run) -> bool {
    // Apart from touching, the far ends must lie on opposite sides: the union is as long as both together.
    joint(a, b).is_some()
        && parallel(a, b)
        && (span(a, b) - a.true_ft - b.true_ft).abs() < SAME_CORNER_FT
}

/// The corner at which two runs touch.
fn joint(a: &Run, b: &Run) -> Option<Point3> {
    let meets_b = |p: &Point3| b.ends.iter().any(|q| p.distance(*q) < SAME_CORNER_FT);
    a.ends.into_iter().find(meets_b)
}

/// Whether the roof itself goes on from one run to the other. A level whose height nothing gives stands on the roof beneath,
/// so that the edges of both seem to be in one line; and where a wall ends at the joint, metal ends at the wall.
fn goes_on(roof: &Roof, corners: &Corners<EdgeId>, a: &Run, b: &Run) -> bool {
    let levels = |run: &Run| -> BTreeSet<u32> {
        let faces = run.faces.iter();
        faces.map(|&face| roof.face(face).level).collect()
    };
    levels(a) == levels(b) && joint(a, b).is_none_or(|at| !wall_ends(roof, corners, at, [a, b]))
}

/// Whether a headwall or sidewall, other than the runs themselves, ends at a corner and still stands there.
fn wall_ends(roof: &Roof, corners: &Corners<EdgeId>, at: Point3, besides: [&Run; 2]) -> bool {
    corners.at(at).any(|id| {
        let edge = roof.edge(id);
        is_wall(edge)
            && !besides.iter().any(|run| run.edges.contains(&id))
            && from(edge, at).is_some_and(|along| !runs_out(roof, corners, edge, at, along))
    })
}

fn is_wall(edge: &Edge) -> bool {
    matches!(edge.class, EdgeClass::Headwall | EdgeClass::Sidewall)
}

/// Which way an edge goes in plan from a corner that it ends at.
fn from(edge: &Edge, at: Point3) -> Option<Vector> {
    let (start, end) = (edge.start, edge.end);
    let way = |near: Point3, far: Point3| {
        (near.distance(at) < SAME_CORNER_FT).then(|| far.plan() - near.plan())
    };
    way(start, end).or_else(|| way(end, start))?.unit()
}

/// Whether a wall has no height left at a corner: the roof above it comes down to the same corner along it, as that of a shed
/// dormer does at the ridge.
fn runs_out(
    roof: &Roof,
    corners: &Corners<EdgeId>,
    wall: &Edge,
    at: Point3,
    along: Vector,
) -> bool {
    corners.at(at).any(|id| {
        let edge = roof.edge(id);
        let above = !is_wall(edge) && !edge.faces.iter().any(|face| wall.faces.contains(face));
        let same = |way: Vector| way.dot(along) > 0.0 && way.cross(along).abs() < SAME_LINE_SIN;
        above && from(edge, at).is_some_and(same)
    })
}

fn parallel(a: &Run, b: &Run) -> bool {
    let d = |r: &Run| {
        let [p, q] = r.ends;
        (q.x - p.x, q.y - p.y, q.z - p.z)
    };
    let (u, v) = (d(a), d(b));
    let cross = (
        u.1 * v.2 - u.2 * v.1,
        u.2 * v.0 - u.0 * v.2,
        u.0 * v.1 - u.1 * v.0,
    );
    let size = |w: (f64, f64, f64)| w.0.hypot(w.1).hypot(w.2);
    size(cross) <= SAME_LINE_SIN * size(u) * size(v)
}

/// The farthest two ends, and their distance.
fn farthest(a: &Run, b: &Run) -> ([Point3; 2], f64) {
    let ends = [a.ends[0], a.ends[1], b.ends[0], b.ends[1]];
    let mut best = (a.ends, a.ends[0].distance(a.ends[1]));
    for (i, p) in ends.iter().enumerate() {
        for q in &ends[i + 1..] {
            let d = p.distance(*q);
            if d > best.1 {
                best = ([*p, *q], d);
            }
        }
    }
    best
}

fn span(a: &Run, b: &Run) -> f64 {
    farthest(a, b).1
}

fn joined(a: Run, b: Run) -> Run {
    let ([p, q], _) = farthest(&a, &b);
    let mut faces = a.faces;
    for face in b.faces {
        if !faces.contains(&face) {
            faces.push(face);
        }
    }
    let mut edges = a.edges;
    edges.extend(b.edges);
    edges.sort_unstable();
    Run {
        edges,
        faces,
        true_ft: a.true_ft + b.true_ft,
        ends: lower_first(p, q),
    }
}

#[cfg(test)]
mod tests {
    use super::{Run, joined, joins};
    use crate::geometry::Point3;
    use crate::roof::{EdgeId, FaceId};

    fn run(id: usize, a: (f64, f64, f64), b: (f64, f64, f64)) -> Run {
        let ends = [a, b].map(|(x, y, z)| Point3::new(x, y, z));
        Run {
            edges: vec![EdgeId(id)],
            faces: vec![FaceId(id)],
            true_ft: ends[0].distance(ends[1]),
            ends,
        }
    }

    /// A run of 10 ft, and another of 10 ft from its end, bent by some degrees towards an axis.
    fn bent(axes: [usize; 2], degrees: f64) -> bool {
        let at = |along: f64, aside: f64| {
            let mut p = [2.0, 3.0, 4.0];
            p[axes[0]] += along;
            p[axes[1]] += aside;
            (p[0], p[1], p[2])
        };
        let (sin, cos) = degrees.to_radians().sin_cos();
        let a = run(0, at(0.0, 0.0), at(10.0, 0.0));
        joins(
            &a,
            &run(1, at(10.0, 0.0), at(10.0 + 10.0 * cos, 10.0 * sin)),
        )
    }

    #[test]
    fn edges_are_one_run_where_they_go_on_in_one_line() {
        for axes in [[0, 1], [1, 0], [0, 2], [2, 0], [1, 2], [2, 1]] {
            assert!(bent(axes, 0.0) && bent(axes, 0.5) && bent(axes, -0.5));
            // Bent by 3 degrees it would gape by over half an inch a foot.
            assert!(!bent(axes, 3.0) && !bent(axes, -3.0) && !bent(axes, 90.0));
        }
        let a = run(0, (0.0, 0.0, 0.0), (10.0, 0.0, 0.0));
        // Folded back on itself; a gap of half an inch; and beside it, 20 ft from end to far end (12, 16, 20).
        assert!(!joins(&a, &run(1, (10.0, 0.0, 0.0), (0.0, 0.0, 0.0))));
        assert!(!joins(&a, &run(1, (10.04, 0.0, 0.0), (20.0, 0.0, 0.0))));
        assert!(!joins(&a, &run(1, (6.0, 12.0, 0.0), (16.0, 12.0, 0.0))));
    }

    #[test]
    fn a_joined_run_reaches_from_its_lower_to_its_upper_end_and_has_the_faces_of_both() {
        let whole = joined(
            run(2, (5.0, 0.0, 5.0), (9.0, 0.0, 9.0)),
            run(1, (5.0, 0.0, 5.0), (1.0, 0.0, 1.0)),
        );
        assert_eq!(whole.edges, [EdgeId(1), EdgeId(2)]);
        assert_eq!(whole.faces, [FaceId(2), FaceId(1)]);
        assert!((whole.true_ft - 128.0_f64.sqrt()).abs() < 1e-9);
        assert_eq!(
            whole.ends,
            [Point3::new(1.0, 0.0, 1.0), Point3::new(9.0, 0.0, 9.0)]
        );
    }
}
