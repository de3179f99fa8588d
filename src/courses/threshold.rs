//! How many shingles can be shared when an opening and a closing piece fit together exactly if their lengths add up
//! to no more than a width: counted by Hall's condition, in one pass over the sorted lengths.

use super::problem::{Problem, Seat};

/// Per left shape and right shape: what to add to a length so that one threshold serves. Never too little: what fits
/// by the threshold fits on the roof.
#[derive(Clone, Debug)]
pub(super) struct Extra {
    pub(super) left: Vec<f64>,
    pub(super) right: Vec<f64>,
}

impl Extra {
    pub(super) fn new(problem: &Problem) -> Self {
        let max = |it: &mut dyn Iterator<Item = f64>| it.fold(f64::NEG_INFINITY, f64::max);
        let left: Vec<f64> = problem
            .slack
            .iter()
            .map(|row| max(&mut row.iter().copied()).min(0.0))
            .collect();
        let columns = problem.slack.first().map_or(0, Vec::len);
        let right = (0..columns)
            .map(|b| max(&mut problem.slack.iter().zip(&left).map(|(row, l)| row[b] - l)))
            .collect();
        Self { left, right }
    }
}

/// Lengths of all opening and closing pieces, sorted, kept up to date as seats change.
#[derive(Clone, Debug)]
pub(super) struct Lengths {
    extra: Extra,
    limit: f64,
    /// Ascending.
    openings: Vec<f64>,
    /// Ascending.
    closings: Vec<f64>,
}

impl Lengths {
    pub(super) fn new(problem: &Problem) -> Self {
        let extra = Extra::new(problem);
        Self {
            extra,
            limit: problem.width + problem.tolerance,
            openings: Vec::new(),
            closings: Vec::new(),
        }
    }

    pub(super) fn fill(&mut self, problem: &Problem, seats: &[Seat]) {
        self.openings.clear();
        self.closings.clear();
        for (i, &seat) in seats.iter().enumerate() {
            let (x, y) = self.lengths(problem, i, seat);
            self.openings.extend(x);
            self.closings.extend(y);
        }
        self.openings.sort_unstable_by(f64::total_cmp);
        self.closings.sort_unstable_by(f64::total_cmp);
    }

    fn lengths(&self, problem: &Problem, run: usize, seat: Seat) -> (Option<f64>, Option<f64>) {
        let room = &problem.runs[run];
        (
            problem
                .opening(run, seat)
                .map(|x| x + self.extra.left[room.left_shape]),
            problem
                .closing(run, seat)
                .map(|y| y + self.extra.right[room.right_shape]),
        )
    }

    pub(super) fn replace(&mut self, problem: &Problem, run: usize, old: Seat, new: Seat) {
        let (x_old, y_old) = self.lengths(problem, run, old);
        let (x_new, y_new) = self.lengths(problem, run, new);
        change(&mut self.openings, x_old, x_new);
        change(&mut self.closings, y_old, y_new);
    }

    /// The number of shared shingles, and the sum over all closing pieces, the longest first, of how many so far find no
    /// opening piece: what is missing, even where it is not the tightest place.
    pub(super) fn shared(&self) -> (usize, usize) {
        let mut fitting = 0;
        let mut worst = 0;
        let mut sum = 0;
        for (taken, closing) in self.closings.iter().rev().enumerate() {
            while fitting < self.openings.len() && self.openings[fitting] + closing <= self.limit {
                fitting += 1;
            }
            let missing = (taken + 1).saturating_sub(fitting);
            worst = worst.max(missing);
            sum += missing;
        }
        (self.closings.len() - worst, sum)
    }
}

/// Takes a length out of those sorted, and puts another in.
fn change(sorted: &mut Vec<f64>, old: Option<f64>, new: Option<f64>) {
    let place = |sorted: &[f64], length: f64| sorted.partition_point(|&v| v < length);
    let out = old.map(|old| place(sorted, old));
    match (out.filter(|&out| out < sorted.len()), new) {
        (Some(out), Some(new)) => {
            // The place with the old one still there.
            let into = place(sorted, new);
            if out < into {
                sorted.copy_within(out + 1..into, out);
                sorted[into - 1] = new;
            } else {
                sorted.copy_within(into..out, into + 1);
                sorted[into] = new;
            }
        }
        (Some(out), None) => {
            sorted.remove(out);
        }
        (None, Some(new)) => sorted.insert(place(sorted, new), new),
        (None, None) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::super::hall::{Strips, Tally};
    use super::super::plain_faces::{format, problem, trapezoid};
    use super::super::random::Random;
    use super::super::{EdgeKind, LayRules};
    use super::*;

    #[test]
    fn lengths_kept_while_runs_change_are_those_of_the_layout() {
        let face = trapezoid(300.0, 300.0, 0.48, EdgeKind::Hip);
        let problem = problem(&face, &format("36x12"), &LayRules::default()).1;
        let runs = problem.runs.len();
        let mut random = Random::new(5);
        let mut seats: Vec<Seat> = (0..runs).map(|run| problem.any_seat(run)).collect();
        let mut kept = Lengths::new(&problem);
        kept.fill(&problem, &seats);
        for _ in 0..500 {
            let run = random.below(runs);
            let single = problem.runs[run].single.then_some(Seat::Single {
                as_closing: random.below(2) == 0,
            });
            let at = random.unit() * problem.width;
            let Some(seat) = single.or_else(|| problem.seat_at(run, at)) else {
                continue;
            };
            kept.replace(&problem, run, seats[run], seat);
            seats[run] = seat;
            let mut anew = Lengths::new(&problem);
            anew.fill(&problem, &seats);
            assert_eq!(kept.openings, anew.openings);
            assert_eq!(kept.closings, anew.closings);
        }
    }

    #[test]
    fn whole_units_are_counted_alike_in_strips_and_in_lengths() {
        let face = trapezoid(300.0, 100.0, 0.0, EdgeKind::Rake);
        let problem = problem(&face, &format("36x12"), &LayRules::default()).1;
        let strips = Strips::new(36);
        let mut random = Random::new(9);
        for pieces in 1..200 {
            let mut tally = Tally::new();
            let mut lengths = Lengths::new(&problem);
            for _ in 0..pieces {
                let (opening, closing) = (random.below(37), random.below(37));
                tally.add_opening(strips.place(opening));
                tally.add_closing(strips.place(36 - closing));
                lengths.openings.push(opening as f64);
                lengths.closings.push(closing as f64);
            }
            lengths.openings.sort_by(f64::total_cmp);
            lengths.closings.sort_by(f64::total_cmp);
            let (shared, missing) = lengths.shared();
            assert_eq!(tally.unserved(strips), pieces - shared);
            // Pieces alike are missed together there, and one after another here.
            assert!(tally.missing(strips) >= missing);
        }
    }
}
