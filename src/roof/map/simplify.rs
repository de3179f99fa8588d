//! Takes points out of the middle of straight edges.

use crate::geometry::Point;

/// An edge under way: a run of one or more links.
#[derive(Clone, Debug)]
pub(super) struct Run {
    pub(super) a: usize,
    pub(super) b: usize,
    /// The half-edges from a to b, in order.
    pub(super) halves: Vec<usize>,
    /// Nodes taken out, from a to b.
    pub(super) within: Vec<usize>,
}

/// Joins runs at nodes that only two of them meet in, where no node lies farther than `tolerance` off the new edge.
/// `fixed` nodes stay.
pub(super) fn straighten(
    nodes: &[Point],
    runs: Vec<Run>,
    fixed: &[bool],
    tolerance: f64,
) -> Vec<Run> {
    let mut at: Vec<Vec<usize>> = vec![Vec::new(); nodes.len()];
    for (i, run) in runs.iter().enumerate() {
        at[run.a].push(i);
        at[run.b].push(i);
    }
    let mut runs: Vec<Option<Run>> = runs.into_iter().map(Some).collect();
    for node in 0..nodes.len() {
        let [i, j] = at[node][..] else { continue };
        if fixed[node] || i == j {
            continue;
        }
        let (Some(first), Some(second)) = (&runs[i], &runs[j]) else {
            continue;
        };
        let Some(joined) = join(first, second, node) else {
            continue;
        };
        let known = at[joined.a].iter().filter(|&&k| k != i).any(|&k| {
            runs[k]
                .as_ref()
                .is_some_and(|r| r.a == joined.b || r.b == joined.b)
        });
        if joined.a == joined.b || known || !is_straight(nodes, &joined, tolerance) {
            continue;
        }
        let far = joined.b;
        for k in &mut at[far] {
            if *k == j {
                *k = i;
            }
        }
        at[node].clear();
        runs[i] = Some(joined);
        runs[j] = None;
    }
    runs.into_iter().flatten().collect()
}

/// The run from the far end of `first` over `node` to the far end of `second`.
fn join(first: &Run, second: &Run, node: usize) -> Option<Run> {
    let first = if first.b == node {
        first.clone()
    } else {
        turned(first)
    };
    let second = if second.a == node {
        second.clone()
    } else {
        turned(second)
    };
    (first.b == node && second.a == node).then(|| Run {
        a: first.a,
        b: second.b,
        halves: [first.halves, second.halves].concat(),
        within: [first.within, vec![node], second.within].concat(),
    })
}

fn turned(run: &Run) -> Run {
    Run {
        a: run.b,
        b: run.a,
        halves: run.halves.iter().rev().map(|h| h ^ 1).collect(),
        within: run.within.iter().rev().copied().collect(),
    }
}

/// Whether the nodes taken out lie on the edge in order, within the tolerance.
fn is_straight(nodes: &[Point], run: &Run, tolerance: f64) -> bool {
    let (a, b) = (nodes[run.a], nodes[run.b]);
    let Some(unit) = (b - a).unit() else {
        return false;
    };
    let mut last = 0.0;
    run.within.iter().all(|&n| {
        let along = unit.dot(nodes[n] - a);
        let forward = along > last;
        last = along;
        forward && along < a.distance(b) && unit.cross(nodes[n] - a).abs() <= tolerance
    })
}
