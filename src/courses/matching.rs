//! Which opening piece comes out of the same shingle as which closing piece: a maximum matching.

use std::cell::OnceCell;

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
    for apart in 0..=graph.wait {
        let alone = closing_of.iter_mut().enumerate().filter(|c| c.1.is_none());
        for (o, closing) in alone {
            let mut partners = graph.partners_at(o, apart);
            *closing = partners.find(|&c| opening_of[c].is_none());
            if let Some(c) = *closing {
                opening_of[c] = Some(o);
            }
        }
    }
    let mut seen = Seen {
        by: vec![usize::MAX; n],
        in_vain: vec![false; n],
    };
    for o in 0..n {
        if closing_of[o].is_none() && graph.openings[o].is_some() {
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

/// Closing pieces that searches for a path have been at.
struct Seen {
    /// The opening piece that the last of these began at.
    by: Vec<usize>,
    /// Whether one found no path from there: then there will be none, whatever else is paired (Kuhn 1955, from memory).
    in_vain: Vec<bool>,
}

struct Graph<'a> {
    problem: &'a Problem,
    /// Lengths of every run's opening and closing piece.
    openings: Vec<Option<f64>>,
    closings: Vec<Option<f64>>,
    /// The first run of every course, and after the last one all runs.
    begins: Vec<usize>,
    /// Courses that a piece may wait, no more than there are.
    wait: usize,
    /// For every run's opening piece the runs whose closing piece fits, nearest first, where they were asked for.
    partners: Vec<OnceCell<Vec<usize>>>,
}

impl<'a> Graph<'a> {
    fn new(problem: &'a Problem, seats: &[Seat], wait: usize) -> Self {
        let numbered = || (0..).zip(seats);
        let courses = problem.runs.last().map_or(0, |run| run.course + 1);
        let mut begins = Vec::with_capacity(courses + 1);
        for (run, room) in problem.runs.iter().enumerate() {
            while begins.len() <= room.course {
                begins.push(run);
            }
        }
        begins.push(problem.runs.len());
        Self {
            problem,
            openings: numbered()
                .map(|(i, &seat)| problem.opening(i, seat))
                .collect(),
            closings: numbered()
                .map(|(i, &seat)| problem.closing(i, seat))
                .collect(),
            begins,
            wait: wait.min(courses),
            partners: vec![OnceCell::new(); problem.runs.len()],
        }
    }

    /// The runs so many courses from another whose closing piece comes out of one shingle with its opening piece, those
    /// below first.
    fn partners_at(&self, opening: usize, apart: usize) -> impl Iterator<Item = usize> {
        let course = self.problem.runs[opening].course;
        let in_course = |course: Option<usize>| {
            let runs = course.and_then(|c| Some(self.begins[c]..*self.begins.get(c + 1)?));
            runs.unwrap_or_default()
        };
        let above = (apart > 0).then_some(course + apart);
        let above = above.filter(|&c| c < self.begins.len());
        let runs = in_course(course.checked_sub(apart)).chain(in_course(above));
        let length = self.openings[opening];
        runs.filter(move |&c| {
            let lengths = length.zip(self.closings[c]);
            lengths.is_some_and(|(x, y)| self.problem.share((opening, x), (c, y)))
        })
    }

    fn partners(&self, opening: usize) -> &[usize] {
        self.partners[opening].get_or_init(|| {
            let all = (0..=self.wait).flat_map(|apart| self.partners_at(opening, apart));
            all.collect()
        })
    }

    /// Looks for a path from an opening piece without a partner to a closing piece without one, on which every second
    /// step goes to a partner, and gives all pieces on it their new partners.
    fn augment(
        &self,
        start: usize,
        closing_of: &mut [Option<usize>],
        opening_of: &mut [Option<usize>],
        seen: &mut Seen,
    ) {
        // The opening pieces on the path, each with the number of its partners that were asked.
        let mut path = vec![(start, 0)];
        while let Some((opening, asked)) = path.last_mut() {
            let Some(&closing) = self.partners(*opening).get(*asked) else {
                path.pop();
                continue;
            };
            *asked += 1;
            if seen.in_vain[closing] || seen.by[closing] == start {
                continue;
            }
            seen.by[closing] = start;
            match opening_of[closing] {
                Some(other) => path.push((other, 0)),
                None => {
                    for &(opening, asked) in &path {
                        let closing = self.partners(opening)[asked - 1];
                        closing_of[opening] = Some(closing);
                        opening_of[closing] = Some(opening);
                    }
                    return;
                }
            }
        }
        for (by, in_vain) in seen.by.iter().zip(&mut seen.in_vain) {
            *in_vain |= *by == start;
        }
    }
}
