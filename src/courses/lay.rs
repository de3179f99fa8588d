//! Lays a face, and a roof face by face.

use crate::roof::{FaceId, Roof};
use crate::{Finding, Place, Severity};

use super::best::{Effort, best};
use super::bound::slice_bound;
use super::candidates::{Seats, stepped};
use super::face::{CourseFace, unfold_with};
use super::matching::{Shared, matching};
use super::problem::{Problem, Seat};
use super::runs::{Run, ladder, runs};
use super::tally;
use super::{Choices, Courses, FaceLayout, LayRules, Reuse, RunLayout, ShingleFormat};

impl Courses {
    /// Lays every face of the roof that has a fall.
    ///
    /// Fails with every reason when the format or the rules cannot be laid at all.
    pub fn lay(
        roof: &Roof,
        format: &ShingleFormat,
        rules: &LayRules,
        choices: &Choices,
    ) -> Result<Self, Vec<Finding>> {
        let problems = super::rules::problems(format, rules);
        if !problems.is_empty() {
            return Err(problems);
        }
        let mut faces = Vec::new();
        let mut findings = Vec::new();
        for id in (0..roof.faces.len()).map(FaceId) {
            match unfold_with(roof, id, rules, choices) {
                Ok(face) => {
                    let layout = lay_checked(&face, format, rules);
                    let place = Place::at(roof.face(id).label_at);
                    findings.extend(layout.findings.iter().map(|f| {
                        let mut f = f.clone().place(place.clone());
                        f.message = format!("{}: {}", roof.face(id).name, f.message);
                        f
                    }));
                    faces.push(layout);
                }
                Err(finding) => findings.push(finding),
            }
        }
        if findings.iter().any(|f| f.severity == Severity::Error) {
            return Err(findings);
        }
        Ok(Self {
            format: format.clone(),
            rules: rules.clone(),
            faces,
            findings,
        })
    }
}

/// Lays one face. Fails with every reason when the format or the rules cannot be laid at all.
pub fn lay_face(
    face: &CourseFace,
    format: &ShingleFormat,
    rules: &LayRules,
) -> Result<FaceLayout, Vec<Finding>> {
    let problems = super::rules::problems(format, rules);
    if problems.is_empty() {
        Ok(lay_checked(face, format, rules))
    } else {
        Err(problems)
    }
}

fn lay_checked(face: &CourseFace, format: &ShingleFormat, rules: &LayRules) -> FaceLayout {
    let ladder = ladder(face, format, rules);
    let runs = runs(face, format, rules, &ladder);
    let problem = Problem::new(&runs, format, rules);
    let grid = format.width_in / 40.0;
    let mut findings = Vec::new();
    let bound =
        slice_bound(&runs, format.width_in).max(super::dual::price_bound(&problem, &runs, 80));
    let effort = Effort {
        starts: 4,
        moves: 4000,
    };
    let found = best(&problem, grid, bound, rules.wait_courses, effort);
    let seats: Seats = match found {
        Some(seats) => seats.into_iter().map(Some).collect(),
        None => stepped(
            &problem,
            runs.first()
                .map_or(0.0, |r| r.left.reach() + format.width_in),
            format.exposure_in,
            grid,
        ),
    };
    let pairs = match rules.reuse {
        Reuse::None => Vec::new(),
        _ => matching(&problem, &seats, rules.wait_courses),
    };
    let seated: Vec<Seat> = seats
        .iter()
        .enumerate()
        .map(|(i, s)| s.unwrap_or_else(|| forced(&problem, i, &mut findings)))
        .collect();
    assemble(
        face, rules, ladder, &runs, &problem, &seated, &pairs, bound, findings,
    )
}

/// A run that the rules leave no room for: its first allowed place, told.
fn forced(problem: &Problem, run: usize, findings: &mut Vec<Finding>) -> Seat {
    let room = &problem.runs[run];
    findings.push(Finding::warning(
        "joints-too-close",
        format!(
            "course {} leaves no place for joints {} in from the next course's",
            room.course + 1,
            problem.joint_distance
        ),
    ));
    room.ranges
        .first()
        .map_or(Seat::Single { as_closing: false }, |r| Seat::Joints {
            first: r.low,
            whole: r.whole,
        })
}

#[allow(clippy::too_many_arguments, reason = "gathers what the steps made")]
fn assemble(
    face: &CourseFace,
    rules: &LayRules,
    ladder: super::runs::Ladder,
    runs: &[Run],
    problem: &Problem,
    seats: &[Seat],
    pairs: &[Shared],
    bound: usize,
    findings: Vec<Finding>,
) -> FaceLayout {
    let pieces_laid: usize = seats.iter().map(|&s| Problem::pieces(s)).sum();
    let run_layouts = runs
        .iter()
        .zip(seats)
        .map(|(run, &seat)| run_layout(run, seat, problem.width))
        .collect();
    let (largest_pile, longest_wait_courses) = tally::waiting(problem, pairs);
    FaceLayout {
        face: face.face,
        net_area_sqin: face.net_area_sqin(),
        courses: ladder.courses,
        runs: run_layouts,
        pairs: pairs
            .iter()
            .map(|p| (p.closing_run, p.opening_run))
            .collect(),
        opened: pieces_laid - pairs.len(),
        opened_without_reuse: pieces_laid,
        bound,
        pieces_laid,
        cuts: tally::cuts(problem, runs, seats, pairs),
        offcuts_reused: pairs.len(),
        short_pieces: tally::pieces_under(runs, problem, seats, 2.0 * rules.least_piece_in),
        smallest_joint_distance_in: tally::smallest_distance(problem, seats),
        ridge_remainder_in: ladder.remainder,
        cap_covers_remainder: ladder.skipped,
        largest_pile,
        longest_wait_courses,
        findings,
    }
}

fn run_layout(run: &Run, seat: Seat, width: f64) -> RunLayout {
    let joints_in = match seat {
        Seat::Joints { first, whole } => (0..=whole).map(|i| first + i as f64 * width).collect(),
        Seat::Single { .. } => Vec::new(),
    };
    RunLayout {
        course: run.course,
        butt_in: (run.left.outer_at(0.0), -run.right.outer_at(0.0)),
        top_in: (run.left.outer_at(run.strip), -run.right.outer_at(run.strip)),
        butt_height_in: run.butt_v,
        joints_in,
    }
}
