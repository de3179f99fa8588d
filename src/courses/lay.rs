//! Lays a face, and a roof face by face.

use crate::roof::{FaceId, Roof};
use crate::{Finding, Place, Severity};

use super::best::{Chosen, Found, best};
use super::candidates::{Seats, complete, nominal};
use super::face::{CourseFace, unfold_with};
use super::known::Known;
use super::layout::{Laid, assemble, grid_of};
use super::problem::{Problem, Seat};
use super::recut::Cutting;
use super::runs::{Run, ladder, runs};
use super::short_of_room::{eased, filled};
use super::tally::close_joints;
use super::tell::{headlap, joints_too_close, offset_not_kept, relaxed};
use super::wished::wished;
use super::{
    Choices, Courses, EdgeKind, Effort, FaceLayout, LaidBefore, LayRules, Layout, Reuse,
    ShingleFormat, StartCorner, path, rules, size,
};

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
        Self::lay_after(roof, format, rules, choices, &mut LaidBefore::default())
    }

    /// [`Courses::lay`] for one of many roofs: faces that were on an earlier one are not laid again.
    pub fn lay_after(
        roof: &Roof,
        format: &ShingleFormat,
        rules: &LayRules,
        choices: &Choices,
        before: &mut LaidBefore,
    ) -> Result<Self, Vec<Finding>> {
        let mut problems = rules::problems(format, rules);
        problems.extend(size::refused(roof, format));
        if !problems.is_empty() {
            return Err(problems);
        }
        let mut faces = Vec::new();
        let mut findings: Vec<Finding> = headlap(format).into_iter().collect();
        let mut known = Known::new(before);
        for id in (0..roof.faces.len()).map(FaceId) {
            match unfold_with(roof, id, rules, choices) {
                Ok(face) => {
                    let layout = known.lay(
                        face,
                        Terms {
                            format,
                            rules,
                            wish: Wish::of(choices, id),
                            effort: Effort::default(),
                        },
                    );
                    findings.extend(told(roof, id, &layout.findings));
                    faces.push(layout);
                }
                // That a face is too flat for shingles is the roof's own caution.
                Err(_) if choices.limits.refuses_shingles(roof.face(id)) => {}
                Err(finding) => findings.push(finding),
            }
        }
        if findings.iter().any(|f| f.severity == Severity::Error) {
            return Err(findings);
        }
        Ok(Self {
            format: format.clone(),
            rules: rules.clone(),
            choices: choices.clone(),
            faces,
            findings,
        })
    }
}

/// Lays the faces of one roof in their order, as [`lay_face_with`] lays each: faces of one shape are laid once.
pub fn lay_faces(
    faces: &[CourseFace],
    format: &ShingleFormat,
    rules: &LayRules,
    choices: &Choices,
    effort: Effort,
) -> Result<Vec<FaceLayout>, Vec<Finding>> {
    let problems = rules::problems(format, rules);
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut before = LaidBefore::default();
    let mut known = Known::new(&mut before);
    Ok(faces
        .iter()
        .map(|face| {
            known.lay(
                face.clone(),
                Terms {
                    format,
                    rules,
                    wish: Wish::of(choices, face.face),
                    effort,
                },
            )
        })
        .collect())
}

/// A face's findings with its name and place.
fn told(roof: &Roof, id: FaceId, findings: &[Finding]) -> Vec<Finding> {
    let face = roof.face(id);
    findings
        .iter()
        .map(|f| {
            let mut f = f.clone().place(Place::at(face.label_at));
            f.message = format!("{}: {}", face.name, f.message);
            f
        })
        .collect()
}

/// What the user wishes for one face.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Wish {
    pub(super) start: Option<StartCorner>,
    pub(super) offset_in: Option<f64>,
    pub(super) layout: Layout,
}

/// On what terms a face is laid: what its layout depends on beside the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Terms<'a> {
    pub(super) format: &'a ShingleFormat,
    pub(super) rules: &'a LayRules,
    pub(super) wish: Wish,
    pub(super) effort: Effort,
}

impl Terms<'_> {
    /// Whether the layout may be chosen: without reuse, or with an offset that the user wants, the usual one is laid.
    pub(super) fn are_free(&self) -> bool {
        self.wish.offset_in.is_none() && self.rules.reuse != Reuse::None
    }
}

impl Wish {
    pub(super) fn of(choices: &Choices, face: FaceId) -> Self {
        Self {
            start: choices.start.get(&face).copied(),
            offset_in: choices.offset_in.get(&face).copied(),
            layout: choices.layout,
        }
    }
}

/// Lays one face from its left corner. Fails with every reason when the format or the rules cannot be laid at all.
pub fn lay_face(
    face: &CourseFace,
    format: &ShingleFormat,
    rules: &LayRules,
) -> Result<FaceLayout, Vec<Finding>> {
    lay_face_with(face, format, rules, &Choices::default(), Effort::default())
}

/// [`lay_face`] with the user's choices for the face, and with more or less work put in.
pub fn lay_face_with(
    face: &CourseFace,
    format: &ShingleFormat,
    rules: &LayRules,
    choices: &Choices,
    effort: Effort,
) -> Result<FaceLayout, Vec<Finding>> {
    let problems = rules::problems(format, rules);
    if problems.is_empty() {
        let terms = Terms {
            format,
            rules,
            wish: Wish::of(choices, face.face),
            effort,
        };
        Ok(lay_checked(face, terms))
    } else {
        Err(problems)
    }
}

/// Lays a face whose format and rules were found good.
pub(super) fn lay_checked(face: &CourseFace, terms: Terms<'_>) -> FaceLayout {
    match terms.wish.start.unwrap_or_default() {
        StartCorner::Left => lay_from_left(face, terms),
        // Everything about a shingle is the same in a mirror but the end that the piece feeds.
        StartCorner::Right => lay_from_left(&face.mirrored(), terms).mirrored(),
    }
}

fn lay_from_left(face: &CourseFace, terms: Terms<'_>) -> FaceLayout {
    let Terms {
        format,
        rules,
        wish,
        ..
    } = terms;
    let ladder = ladder(face, format, rules);
    let runs = runs(face, format, rules, &ladder);
    let mut problem = Problem::new(&runs, format, rules);
    let grid = grid_of(format);
    let mut tried = tried(&problem, &runs, terms, grid);
    let mut steps = None;
    if tried.has_gaps() {
        // Steps that keep the rules are told as they were before these gave way.
        steps = Some(std::mem::take(&mut tried.found.steps));
        let step = wish.offset_in.unwrap_or(format.exposure_in);
        eased(
            &mut problem,
            &runs,
            rules.least_piece_in,
            tried.usual,
            |problem| usual(problem, step, grid),
        );
        tried = self::tried(&problem, &runs, terms, grid);
    }
    let Tried {
        usual,
        departing,
        found,
    } = tried;
    let steps = steps.unwrap_or(found.steps);
    let Chosen { seats, cutting } = found.chosen.unwrap_or_else(|| Chosen {
        seats: filled(&problem, &usual),
        cutting: None,
    });
    let mut findings = relaxed(&problem, &runs, &seats, rules);
    if let Some(offset_in) = wish.offset_in
        && !departing.is_empty()
    {
        findings.push(offset_not_kept(&problem, offset_in, &departing));
    }
    if wish.layout == Layout::Regular && terms.are_free() && steps.is_empty() {
        findings.push(Finding::note(
            "no-repeated-step",
            "no repeated step keeps the rules on every course; the step that most courses can follow is laid, and the others lie at the nearest place that the rules allow",
        ));
    }
    let close_joints = close_joints(&problem, &seats);
    for close in &close_joints {
        findings.push(joints_too_close(close, face.has(EdgeKind::ValleyThrough)));
    }
    let usual_pieces = complete(usual).map(|seats| Problem::pieces_of(&seats));
    let cutting = cutting.unwrap_or_else(|| Cutting::new(&problem, &seats, rules));
    assemble(Laid {
        face,
        rules,
        format,
        ladder,
        runs: &runs,
        problem: &problem,
        seats: &seats,
        cutting: &cutting,
        bound: found.bound,
        usual_pieces,
        steps,
        close_joints,
        findings,
    })
}

/// What is found for a face under what its runs are allowed.
struct Tried {
    /// The layout as it is usually made, or in the step that the user wishes.
    usual: Seats,
    /// The runs that depart from that step.
    departing: Vec<usize>,
    found: Found,
}

impl Tried {
    /// Whether runs are left without a place.
    fn has_gaps(&self) -> bool {
        self.found.chosen.is_none() && self.usual.iter().any(Option::is_none)
    }
}

fn tried(problem: &Problem, runs: &[Run], terms: Terms<'_>, grid: f64) -> Tried {
    let step = terms.wish.offset_in.unwrap_or(terms.format.exposure_in);
    let mut usual = usual(problem, step, grid);
    let mut departing = Vec::new();
    if let Some(offset_in) = terms.wish.offset_in {
        let (seats, runs) = wished(problem, offset_in, grid, usual);
        usual = in_one_piece(problem, seats);
        departing = runs;
    }
    let found = best(problem, runs, terms, grid, &usual);
    Tried {
        usual,
        departing,
        found,
    }
}

/// The layout as it is usually made; where going up step by step runs into a course without a place, a shortest path
/// that keeps the rules, if there is one. A run no wider than a shingle is one piece.
fn usual(problem: &Problem, step: f64, grid: f64) -> Seats {
    let mut seats = nominal(problem, step, grid);
    if seats.iter().any(Option::is_none) {
        let origin = problem
            .runs
            .first()
            .map_or(0.0, |r| r.left_reach + problem.width);
        if let Some(found) = path::shortest(problem, origin, step, grid) {
            seats = found.into_iter().map(Some).collect();
        }
    }
    in_one_piece(problem, seats)
}

/// Seats with every run in one piece that is no wider than a shingle.
fn in_one_piece(problem: &Problem, mut seats: Seats) -> Seats {
    for (seat, room) in seats.iter_mut().zip(&problem.runs) {
        if room.single {
            *seat = Some(Seat::Single { as_closing: false });
        }
    }
    seats
}

#[cfg(test)]
mod tests {
    use super::super::plain_faces::{format, problem, trapezoid};
    use super::super::{EdgeKind, LayRules};
    use super::{grid_of, nominal, path};

    /// Between two valleys that are run through, joints have a window in every course that the keep-outs leave: first a
    /// wide one, then a narrow one. What lies nearest to its step in the wide one may stand over all of the narrow one.
    #[test]
    fn where_going_up_step_by_step_runs_into_a_dead_end_a_path_is_found() {
        for (wide, lean, step) in [(36.0, 0.3, 5.0), (59.0, 0.7, 8.0)] {
            let face = trapezoid(wide, 15.0, -lean, EdgeKind::ValleyThrough);
            let format = format("36x12");
            let rules = LayRules {
                eave_overhang_in: 0.0,
                ..LayRules::default()
            };
            let (_, problem) = problem(&face, &format, &rules);
            let grid = grid_of(&format);
            let origin = problem.runs[0].left_reach + problem.width;
            let by_steps = nominal(&problem, step, grid);
            assert!(by_steps.iter().any(Option::is_none), "{wide} {lean}");
            let found = path::shortest(&problem, origin, step, grid)
                .unwrap_or_else(|| unreachable!("no path for {wide} {lean}"));
            for (run, &seat) in found.iter().enumerate() {
                let seats: Vec<_> = found.iter().copied().map(Some).collect();
                assert!(
                    problem.agrees(run, seat, &seats),
                    "{wide} {lean}: run {run}"
                );
            }
        }
    }
}
