//! The roof that an outline implies: hips, valleys and ridges from the eaves, a pitch per side and the gables.
//!
//! It is the weighted straight skeleton: every eave moves inward at a speed of run over rise, and the paths of the
//! corners are the linework. Outline → [`align`] → [`clean`] → fronts ([`lines`], [`wavefront`]) → everything that happens at one
//! height at once ([`step`], [`pieces`], [`catch_up`]; candidates from [`search`]) → [`faces`] → [`check`]. A roof that
//! fails a check is built again with more digits, and if it still fails is an error.

mod align;
mod catch_up;
mod check;
mod clean;
mod compare;
mod construct;
mod convert;
mod curves;
mod eaves;
mod faces;
mod grid;
mod input;
mod lines;
mod number;
mod pieces;
mod plan;
mod problem;
mod product;
mod search;
mod step;
mod wavefront;

pub use compare::{Difference, DrawnLine, compare_with_drawn};
pub use convert::{OutlineMap, to_plan_map};
pub use eaves::offset_to_eaves;
pub use input::{CatchUp, OutlineInput, OutlineRules, OutlineSide, Rises};
pub use plan::{OutlineOptions, Overhangs, build_outlines};
pub use problem::OutlineProblem;
pub use product::{ArcKind, OutlineArc, OutlineNote, OutlineRoof, RoofSide};

use check::Proof;
use clean::Clean;
use construct::{Drawn, construct};
use faces::Linework;
use number::DoubleDouble;
use wavefront::{Cause, Closeness, RawArc, Stop};

use crate::finding::Check;
use crate::geometry::{Plane, Point3, Vector};
use crate::units::Area;

/// Builds the roof over an outline and proves it.
///
/// # Errors
/// What is wrong with the outline, where the pitches do not decide and the rule is to refuse, or which check failed.
///
/// ```
/// use eavewright::geometry::Point;
/// use eavewright::roof::outline::{self, ArcKind, OutlineInput, OutlineRules};
/// use eavewright::units::Pitch;
///
/// let corners = [(0.0, 0.0), (40.0, 0.0), (40.0, 24.0), (0.0, 24.0)].map(|(x, y)| Point::new(x, y));
/// let hip = OutlineInput::one_pitch(&corners, Pitch::in_12(6.0));
/// let roof = outline::build(&hip, &OutlineRules::default()).unwrap();
/// assert!((roof.lengths(ArcKind::Ridge).0.to_feet() - 16.0).abs() < 1e-9);
/// assert!((roof.lengths(ArcKind::Hip).1.to_feet() - 72.0).abs() < 1e-9);
/// ```
pub fn build(input: &OutlineInput, rules: &OutlineRules) -> Result<OutlineRoof, OutlineProblem> {
    let clean = clean::clean(input, rules)?;
    let close = |height: f64, place: f64, rounding: f64| Closeness {
        height,
        place,
        rounding,
    };
    let mut failure = match attempt(
        input,
        &clean,
        construct::<f64>(&clean, rules.catch_up, close(5e-8, 2e-7, 1e-12)),
    ) {
        Ok(roof) => return Ok(roof),
        Err(Failure::Final(problem)) => return Err(problem),
        Err(Failure::Again(what)) => what,
    };
    // More digits, and other ideas of what happens together.
    for (height, place) in [(1e-15, 1e-13), (1e-12, 1e-10), (1e-9, 1e-8)] {
        let drawn = construct::<DoubleDouble>(&clean, rules.catch_up, close(height, place, 1e-20));
        match attempt(input, &clean, drawn) {
            Ok(roof) => return Ok(roof),
            Err(Failure::Final(problem)) => return Err(problem),
            Err(Failure::Again(what)) => failure = what,
        }
    }
    Err(OutlineProblem::NotProven { what: failure })
}

/// Why an attempt gave no roof.
enum Failure {
    /// More digits will not help.
    Final(OutlineProblem),
    /// More digits may help; what failed.
    Again(String),
}

fn attempt(
    input: &OutlineInput,
    clean: &Clean,
    drawn: Result<Drawn, Stop>,
) -> Result<OutlineRoof, Failure> {
    let drawn = drawn.map_err(|stop| explain(clean, stop))?;
    let work = faces::assemble(clean, &drawn).map_err(Failure::Again)?;
    let kinds: Vec<(ArcKind, bool)> = work
        .arcs
        .iter()
        .map(|arc| kind(&drawn, &work, arc))
        .collect();
    let mut areas: Vec<f64> = work
        .rings
        .iter()
        .map(|ring| plan_area(&work, ring))
        .collect();
    for (side, hole) in &work.holes {
        areas[*side] += plan_area(&work, hole);
    }
    let checks = Proof {
        clean,
        drawn: &drawn,
        work: &work,
        kinds: &kinds,
        areas: &areas,
    }
    .run();
    if let Some(failed) = checks.iter().find(|check| !check.holds()) {
        return Err(Failure::Again(in_words(failed)));
    }
    Ok(product(input, clean, &drawn, &work, &kinds, &areas, checks))
}

fn in_words(failed: &Check) -> String {
    let place = match failed.place.as_ref().and_then(|place| place.at) {
        Some(p) => format!(" near ({:.3}, {:.3}) ft", p.x, p.y),
        None => String::new(),
    };
    format!(
        "{}: off by {:.3e} {} where {:.0e} is allowed{place}",
        failed.what, failed.residual, failed.unit, failed.limit
    )
}

fn explain(clean: &Clean, stop: Stop) -> Failure {
    let count = clean.sides.len() as u32;
    // A wall under a raised eave is its side.
    let input = |side: u32| clean.sides[side.min(count - 1) as usize].input;
    match stop {
        Stop::Tangled(what) => Failure::Again(what.to_owned()),
        Stop::Open(sides) => Failure::Final(OutlineProblem::NeverCloses {
            sides: sides.into_iter().map(input).collect(),
        }),
        Stop::CatchUp {
            shallow,
            steep,
            height,
            length,
        } => Failure::Final(OutlineProblem::CatchUp {
            shallow: input(shallow),
            steep: input(steep),
            height_ft: height,
            length_ft: length,
        }),
        Stop::BuriedEave(side) => Failure::Final(OutlineProblem::BuriedEave {
            side: input(side),
            height_ft: clean.sides[side as usize].eave,
        }),
    }
}

/// What an arc is, from the two planes that meet there, and whether it is level.
fn kind(drawn: &Drawn, work: &Linework, arc: &RawArc) -> (ArcKind, bool) {
    let (a, b) = (
        &drawn.fronts[arc.left as usize],
        &drawn.fronts[arc.right as usize],
    );
    let level = a.class == b.class || arc.cause == Cause::Meeting;
    if arc.cause == Cause::Eave {
        return (ArcKind::Eave, true);
    }
    match (a.moves(), b.moves()) {
        (false, false) => return (ArcKind::WallCorner, false),
        (true, true) => {}
        _ => return (ArcKind::Rake, level),
    }
    if a.same_way(b) {
        let seam = a.rise_per_run == b.rise_per_run;
        return if seam {
            (ArcKind::Seam, false)
        } else {
            (ArcKind::PitchChange, true)
        };
    }
    let (p, q) = (work.nodes[arc.from as usize], work.nodes[arc.to as usize]);
    // Square to the arc, into the right face: convex if the right plane falls below the left one there.
    let m = (q.1 - p.1, p.0 - q.0);
    let change =
        b.rise_per_run * (b.n.0 * m.0 + b.n.1 * m.1) - a.rise_per_run * (a.n.0 * m.0 + a.n.1 * m.1);
    match (change < 0.0, level) {
        (true, true) => (ArcKind::Ridge, true),
        (true, false) => (ArcKind::Hip, false),
        (false, level) => (ArcKind::Valley, level),
    }
}

/// About the first corner, so that no digits are lost far from the origin.
fn plan_area(work: &Linework, ring: &[u32]) -> f64 {
    let Some(&first) = ring.first() else {
        return 0.0;
    };
    let o = work.nodes[first as usize];
    let twice: f64 = ring
        .windows(2)
        .map(|w| {
            let (a, b) = (work.nodes[w[0] as usize], work.nodes[w[1] as usize]);
            (a.0 - o.0) * (b.1 - o.1) - (a.1 - o.1) * (b.0 - o.0)
        })
        .sum();
    twice / 2.0
}

fn product(
    input: &OutlineInput,
    clean: &Clean,
    drawn: &Drawn,
    work: &Linework,
    kinds: &[(ArcKind, bool)],
    areas: &[f64],
    checks: Vec<Check>,
) -> OutlineRoof {
    let origin = clean.origin;
    let nodes = work
        .nodes
        .iter()
        .map(|&(x, y, z)| Point3::new(origin.x + x, origin.y + y, z))
        .collect();
    let mut sides: Vec<RoofSide> = input
        .rings
        .iter()
        .flatten()
        .map(|side| RoofSide {
            rises: side.rises,
            base: None,
            plane: None,
            corners: Vec::new(),
            holes: Vec::new(),
            plan_area: Area::ZERO,
            eave_ft: 0.0,
        })
        .collect();
    for (i, side) in clean.sides.iter().enumerate() {
        let to = &mut sides[side.input];
        let [a, b] = work.bases[i];
        to.base = Some([a as usize, b as usize]);
        to.corners = work.rings[i].iter().map(|&c| c as usize).collect();
        to.plan_area = Area::square_feet(areas[i]);
        to.eave_ft = side.eave;
        let front = &drawn.fronts[i];
        if front.moves() {
            let gradient = Vector::new(front.n.0, front.n.1) * front.rise_per_run;
            to.plane = Some(Plane {
                gradient,
                offset: -front.c * front.rise_per_run
                    - gradient.dot(Vector::new(origin.x, origin.y)),
            });
        }
    }
    for (side, hole) in &work.holes {
        let hole = hole.iter().map(|&c| c as usize).collect();
        sides[clean.sides[*side].input].holes.push(hole);
    }
    let input_side = |side: u32| clean.sides[drawn.fronts[side as usize].clean].input;
    let arcs = work
        .arcs
        .iter()
        .zip(kinds)
        .map(|(arc, &(kind, level))| OutlineArc {
            from: arc.from as usize,
            to: arc.to as usize,
            left: input_side(arc.left),
            right: input_side(arc.right),
            kind,
            level,
        })
        .collect();
    OutlineRoof {
        nodes,
        sides,
        arcs,
        notes: notes(input, clean, drawn, work),
        checks,
        datum_ft: clean.datum,
    }
}

fn notes(input: &OutlineInput, clean: &Clean, drawn: &Drawn, work: &Linework) -> Vec<OutlineNote> {
    let number = |side: u32| clean.sides[drawn.fronts[side as usize].clean].input;
    let mut notes = clean.notes.clone();
    for taken in &drawn.catch_ups {
        let nodes = [taken.from, taken.to].map(|i| work.renumbered[i as usize]);
        let [a, b] = nodes.map(|i| work.nodes[i as usize]);
        notes.push(OutlineNote::CatchUp {
            winner: number(taken.winner),
            loser: number(taken.loser),
            height_ft: taken.height,
            nodes: nodes.map(|i| i as usize),
            length_ft: (a.0 - b.0).hypot(a.1 - b.1),
        });
    }
    notes.extend(walls_over_roofs(clean, drawn));
    notes.extend(gables_at_corners(input, clean, drawn));
    notes
}

/// Corners between two sides from which no plane rises, one of them a gable: nothing ends there, and what rises from the other
/// sides runs up into the corner. Where two walls meet, a roof between them is what is drawn.
fn gables_at_corners(input: &OutlineInput, clean: &Clean, drawn: &Drawn) -> Vec<OutlineNote> {
    let rises: Vec<Rises> = (input.rings.iter().flatten())
        .map(|side| side.rises)
        .collect();
    let mut notes = Vec::new();
    for (i, &j) in clean.successors().iter().enumerate() {
        let (a, b) = (&drawn.fronts[i], &drawn.fronts[j]);
        let sides = [i, j].map(|k| clean.sides[k].input);
        let has_gable = sides.iter().any(|&side| rises[side] == Rises::Gable);
        if !a.moves() && !b.moves() && !a.same_way(b) && has_gable {
            let (x, y) = clean.sides[j].start;
            let at = clean.origin + Vector::new(x, y);
            notes.push(OutlineNote::GablesAtCorner { sides, at });
        }
    }
    notes
}

/// Still sides with an inner corner beside an eave.
fn walls_over_roofs(clean: &Clean, drawn: &Drawn) -> Vec<OutlineNote> {
    let mut sides: Vec<usize> = Vec::new();
    for (i, &j) in clean.successors().iter().enumerate() {
        let (a, b) = (&drawn.fronts[i], &drawn.fronts[j]);
        let reflex = a.n.0 * b.n.1 - a.n.1 * b.n.0 < 0.0;
        if reflex && a.moves() != b.moves() {
            sides.push(clean.sides[if a.moves() { j } else { i }].input);
        }
    }
    sides.sort_unstable();
    sides.dedup();
    sides
        .into_iter()
        .map(|side| OutlineNote::WallOverRoof { side })
        .collect()
}
