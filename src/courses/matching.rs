//! Which opening piece comes out of the same shingle as which closing piece: a maximum matching.

use super::problem::{Problem, Seat};

/// One shingle cut in two: the run that it closes on the right (with the part that keeps the factory left end), and
/// the run that it opens on the left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Shared {
    pub(super) closing_run: usize,
    pub(super) opening_run: usize,
}

/// As many shared shingles as there can be, none waiting longer than `wait` courses; among equal partners the one
/// that waits least is tried first. In order of the run that is laid first.
pub(super) fn matching(problem: &Problem, seats: &[Seat], wait: usize) -> Vec<Shared> {
    let graph = Graph::new(problem, seats, wait);
    let n = problem.runs.len();
    let mut closing_of: Vec<Option<usize>> = vec![None; n];
    let mut opening_of: Vec<Option<usize>> = vec![None; n];
    // Short waits first: a good start leaves little to augment and few long waits.
    let mut edges: Vec<(usize, usize, usize)> = graph
        .partners
        .iter()
        .enumerate()
        .flat_map(|(o, list)| list.iter().map(move |&(wait, c)| (wait, o, c)))
        .collect();
    edges.sort_unstable();
    for &(_, o, c) in &edges {
        if closing_of[o].is_none() && opening_of[c].is_none() {
            closing_of[o] = Some(c);
            opening_of[c] = Some(o);
        }
    }
    let mut seen = vec![usize::MAX; n];
    for o in 0..n {
        if closing_of[o].is_none() && !graph.partners[o].is_empty() {
            graph.augment(o, &mut closing_of, &mut opening_of, &mut seen);
        }
    }
    let mut pairs: Vec<Shared> = closing_of
        .iter()
        .enumerate()
        .filter_map(|(o, c)| {
            c.map(|c| Shared {
                closing_run: c,
                opening_run: o,
            })
        })
        .collect();
    pairs.sort_by_key(|p| (p.closing_run.min(p.opening_run), p.closing_run));
    pairs
}

struct Graph {
    /// For every run's opening piece: (courses between, run whose closing piece fits), nearest first.
    partners: Vec<Vec<(usize, usize)>>,
}

impl Graph {
    fn new(problem: &Problem, seats: &[Seat], wait: usize) -> Self {
        let reach = problem.within(wait);
        let closings: Vec<Option<f64>> = (0..)
            .zip(seats)
            .map(|(i, &seat)| problem.closing(i, seat))
            .collect();
        let partners = seats
            .iter()
            .enumerate()
            .map(|(o, &seat)| {
                let Some(length) = problem.opening(o, seat) else {
                    return Vec::new();
                };
                let course = problem.runs[o].course;
                let (from, to) = reach[o];
                let mut list: Vec<(usize, usize)> = (from as usize..to as usize)
                    .filter_map(|c| Some((c, closings[c]?)))
                    .filter(|&closing| problem.share((o, length), closing))
                    .map(|(c, _)| (problem.runs[c].course.abs_diff(course), c))
                    .collect();
                list.sort_unstable();
                list
            })
            .collect();
        Self { partners }
    }

    /// Looks for a path from an opening piece without a partner to a closing piece without one, on which every second
    /// step goes to a partner, and gives all pieces on it their new partners.
    fn augment(
        &self,
        start: usize,
        closing_of: &mut [Option<usize>],
        opening_of: &mut [Option<usize>],
        seen: &mut [usize],
    ) {
        // The opening pieces on the path, each with the number of its partners that were asked.
        let mut path = vec![(start, 0)];
        while let Some((opening, asked)) = path.last_mut() {
            let Some(&(_, closing)) = self.partners[*opening].get(*asked) else {
                path.pop();
                continue;
            };
            *asked += 1;
            if seen[closing] == start {
                continue;
            }
            seen[closing] = start;
            match opening_of[closing] {
                Some(other) => path.push((other, 0)),
                None => {
                    for &(opening, asked) in &path {
                        let (_, closing) = self.partners[opening][asked - 1];
                        closing_of[opening] = Some(closing);
                        opening_of[closing] = Some(opening);
                    }
                    return;
                }
            }
        }
    }
}
