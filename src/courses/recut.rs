//! Offcuts cut again. Where a hand-cut plain edge may lie in the field, a shingle yields as many end pieces as it holds:
//! cutting stock. The two pieces that keep a factory end come first; then shingles are spared by cutting their pieces
//! out of what others leave.

use super::matching::{Shared, matching};
use super::problem::{Problem, Seat};
use super::{LayRules, Reuse};

/// An end piece: the run, and whether it opens the run on the left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct EndOfRun {
    pub(super) run: usize,
    pub(super) opens: bool,
}

/// A piece cut from what another piece and its partner leave of their shingle, square-cut at both ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Recut {
    pub(super) of: EndOfRun,
    pub(super) piece: EndOfRun,
}

/// Which end pieces come out of which shingle.
pub(super) struct Cutting {
    pub(super) pairs: Vec<Shared>,
    pub(super) recuts: Vec<Recut>,
}

impl Cutting {
    /// As the rules allow.
    pub(super) fn new(problem: &Problem, seats: &[Seat], rules: &LayRules) -> Self {
        match rules.reuse {
            Reuse::None => Self::of_pairs(Vec::new()),
            Reuse::TwoPiece => Self::of_pairs(matching(problem, seats, rules.wait_courses)),
            Reuse::SquareCut => cut(problem, seats, rules.wait_courses),
        }
    }

    pub(super) fn of_pairs(pairs: Vec<Shared>) -> Self {
        Self {
            pairs,
            recuts: Vec::new(),
        }
    }

    /// Pieces that no shingle is opened for.
    pub(super) fn spared(&self) -> usize {
        self.pairs.len() + self.recuts.len()
    }
}

/// Pairs as the two-piece rule makes them, then every shingle spared whose pieces all fit into what other shingles
/// leave, the least used first and each piece where it leaves least. All pieces of one shingle are laid within `wait`
/// courses. A joint has one hand-cut end at most.
fn cut(problem: &Problem, seats: &[Seat], wait: usize) -> Cutting {
    let mut stock = Stock::new(problem, seats, wait);
    let mut order: Vec<usize> = (0..stock.shingles.len()).collect();
    order.sort_by(|&a, &b| {
        let used = |i: usize| stock.shingles[i].used;
        used(a).total_cmp(&used(b)).then(a.cmp(&b))
    });
    for shingle in order {
        stock.spare(shingle);
    }
    stock.cutting()
}

/// A shingle and what is cut from it.
struct Shingle {
    /// The pieces that keep a factory end in the field, two at most.
    own: Vec<EndOfRun>,
    /// Pieces cut from what those leave.
    more: Vec<EndOfRun>,
    used: f64,
    /// First and last course that its pieces are laid in.
    courses: [usize; 2],
}

struct Stock<'a> {
    problem: &'a Problem,
    seats: &'a [Seat],
    wait: usize,
    shingles: Vec<Shingle>,
    /// Runs without a whole shingle, whose one joint has a hand-cut end already.
    hand_cut: Vec<bool>,
}

impl<'a> Stock<'a> {
    fn new(problem: &'a Problem, seats: &'a [Seat], wait: usize) -> Self {
        let n = seats.len();
        let mut stock = Self {
            problem,
            seats,
            wait,
            shingles: Vec::new(),
            hand_cut: vec![false; n],
        };
        let (mut opening_cut, mut closing_cut) = (vec![false; n], vec![false; n]);
        for pair in matching(problem, seats, wait) {
            let (o, c) = (pair.opening_run, pair.closing_run);
            (opening_cut[o], closing_cut[c]) = (true, true);
            let slack = problem.slack[problem.runs[o].left_shape][problem.runs[c].right_shape];
            let ends = [(o, true), (c, false)].map(|(run, opens)| EndOfRun { run, opens });
            stock.open(&ends, slack);
        }
        for run in 0..n {
            for (opens, cut) in [(true, &opening_cut), (false, &closing_cut)] {
                let end = EndOfRun { run, opens };
                if !cut[run] && stock.length(end).is_some() {
                    stock.open(&[end], 0.0);
                }
            }
        }
        stock
    }

    fn open(&mut self, own: &[EndOfRun], slack: f64) {
        let lengths = own.iter().filter_map(|&end| self.length(end));
        let used = lengths.sum::<f64>() + slack;
        let courses = own.iter().map(|end| self.problem.runs[end.run].course);
        let range = courses.map(|c| [c; 2]).reduce(hull).unwrap_or_default();
        self.shingles.push(Shingle {
            own: own.to_vec(),
            more: Vec::new(),
            used,
            courses: range,
        });
    }

    fn length(&self, end: EndOfRun) -> Option<f64> {
        let seat = self.seats[end.run];
        if end.opens {
            self.problem.opening(end.run, seat)
        } else {
            self.problem.closing(end.run, seat)
        }
    }

    /// Cuts the pieces of a shingle out of others, if that can be done with all of them.
    fn spare(&mut self, shingle: usize) {
        if !self.shingles[shingle].more.is_empty() {
            return;
        }
        let mut moves: Vec<(EndOfRun, usize)> = Vec::new();
        for &piece in &self.shingles[shingle].own {
            let Some(host) = self.host(piece, shingle, &moves) else {
                return;
            };
            moves.push((piece, host));
        }
        self.shingles[shingle].own.clear();
        for (piece, host) in moves {
            self.put(piece, host);
        }
    }

    /// The shingle that has least left over when a piece is cut out of it too, some moves being made already.
    fn host(&self, piece: EndOfRun, from: usize, moves: &[(EndOfRun, usize)]) -> Option<usize> {
        if self.has_no_whole(piece.run)
            && (self.hand_cut[piece.run] || moves.iter().any(|(other, _)| other.run == piece.run))
        {
            return None;
        }
        let length = self.length(piece)?;
        let most = self.problem.width + self.problem.tolerance;
        (0..self.shingles.len())
            .filter(|&at| at != from && !self.shingles[at].own.is_empty())
            .filter_map(|at| {
                let (mut used, mut courses) = (length, [self.course(piece); 2]);
                for &(other, _) in moves.iter().filter(|(_, host)| *host == at) {
                    used += self.length(other)?;
                    courses = hull(courses, [self.course(other); 2]);
                }
                used += self.shingles[at].used;
                courses = hull(courses, self.shingles[at].courses);
                (used <= most && courses[1] - courses[0] <= self.wait).then_some((at, used))
            })
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
            .map(|(at, _)| at)
    }

    fn put(&mut self, piece: EndOfRun, host: usize) {
        let length = self.length(piece).unwrap_or(0.0);
        let course = self.course(piece);
        if self.has_no_whole(piece.run) {
            self.hand_cut[piece.run] = true;
        }
        let shingle = &mut self.shingles[host];
        shingle.more.push(piece);
        shingle.used += length;
        shingle.courses = hull(shingle.courses, [course; 2]);
    }

    /// Whether a run's one joint has end pieces on both sides.
    fn has_no_whole(&self, run: usize) -> bool {
        matches!(self.seats[run], Seat::Joints { whole: 0, .. })
    }

    fn course(&self, piece: EndOfRun) -> usize {
        self.problem.runs[piece.run].course
    }

    fn cutting(self) -> Cutting {
        let (mut pairs, mut recuts) = (Vec::new(), Vec::new());
        for shingle in &self.shingles {
            if let [opening, closing] = shingle.own[..] {
                pairs.push(Shared {
                    closing_run: closing.run,
                    opening_run: opening.run,
                });
            }
            if let Some(&of) = shingle.own.first() {
                recuts.extend(shingle.more.iter().map(|&piece| Recut { of, piece }));
            }
        }
        pairs.sort_by_key(|p| (p.closing_run.min(p.opening_run), p.closing_run));
        recuts.sort_by_key(|r| (r.piece.run, r.piece.opens));
        Cutting { pairs, recuts }
    }
}

fn hull(a: [usize; 2], b: [usize; 2]) -> [usize; 2] {
    [a[0].min(b[0]), a[1].max(b[1])]
}
