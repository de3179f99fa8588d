//! Planes that do not meet in the lines drawn for them: how far off, which pitch would fit, and whether that is still a
//! drawing of this roof.
//!
//! What tracing explains is adjusted and not told. A little more is told, and the roof taken off with its labels. Where a
//! line is off by a good part of its faces, or the pitches that fit the lines would give another total, one of the
//! drawing's statements is false and any total would be a guess: there is no roof then.

use crate::geometry::Vector;
use crate::units::METRES_PER_FOOT;
use crate::{Finding, Place};

use super::classes;
use super::curves::Curves;
use super::pending::label;
use super::refine;
use super::region::Roofing;
use super::sheet::Sheet;
use super::words;

/// Beyond this and twice the snap tolerance (metres) a line is told to be drawn off.
const TOLD_OFF_M: f64 = 0.05;
/// Planes that differ by less (rise over run) meet nowhere near the line: only the gap in height says anything.
const NEARLY_PARALLEL: f64 = 0.1;
/// Lines that all but run one way (the determinant of their spread over its trace squared) leave a pitch open.
const LEAST_SPREAD: f64 = 1e-3;
/// A line further off than this part of √(area of the smaller face) is no line of these pitches: a hip of 45° would
/// lie some 7° off.
const REFUSED_PART: f64 = 0.125;
/// The pitches that fit the lines may change the true area by this part: the most that the program may be wrong by.
const REFUSED_AREA_PART: f64 = 0.015;

/// Whether the pitches that fit the lines make it a roof of another area than the labels do.
pub(super) fn other_area(sheet: &Sheet, fitted: &Roofing) -> bool {
    let (mut labelled, mut change) = (0.0, 0.0);
    for (face, plane) in sheet.faces.iter().zip(&fitted.planes) {
        let fits = plane.gradient.length().hypot(1.0);
        let by_label = face.slope.map_or(fits, |m| m.hypot(1.0));
        labelled += by_label * face.area;
        change += (fits - by_label) * face.area;
    }
    change.abs() > REFUSED_AREA_PART * labelled
}

/// How an inner edge misses the line in which its planes meet.
pub(super) struct Misfit {
    pub(super) edge: usize,
    pub(super) faces: [usize; 2],
    /// How far the planes stand apart along it, in metres of height.
    pub(super) parting: f64,
    /// How far off, in plan metres or, for planes that are nearly parallel, in metres of height.
    off: f64,
    in_height: bool,
    refused: bool,
}

/// Why the lines cannot all be shared by planes of the labelled pitches, where no other pitch of one face would mend it: then
/// something stands apart.
pub(super) fn unexplained(sheet: &Sheet, held: &Roofing) -> Option<&'static str> {
    let face_edges = sheet.face_edges();
    (0..sheet.edges.len())
        .filter_map(|edge| misfit(sheet, held, edge))
        .any(|m| m.refused && pitch_for(sheet, held, &face_edges, m.faces).is_none())
        .then_some("planes that share an edge cannot meet in it at the pitches written")
}

/// Where planes do not meet in the lines drawn for them.
#[derive(Clone, Debug, Default)]
pub(super) struct Misfits {
    /// Along straight lines.
    pub(super) findings: Vec<Finding>,
    /// The curves along which they do not, and those of them that are too far off.
    pub(super) curves: Vec<usize>,
    pub(super) refused_curves: Vec<usize>,
}

/// Inner edges along which the planes, held to their labels, do not meet.
pub(super) fn misfits(sheet: &Sheet, held: &Roofing, curves: &Curves, refuse: bool) -> Misfits {
    let found: Vec<Misfit> = (0..sheet.edges.len())
        .filter_map(|edge| misfit(sheet, held, edge))
        .collect();
    let mut misfits = Misfits::default();
    if found.is_empty() {
        return misfits;
    }
    let face_edges = sheet.face_edges();
    for misfit in &found {
        match curves.of_edge(misfit.edge) {
            Some(curve) => {
                misfits.curves.push(curve);
                if misfit.refused && refuse {
                    misfits.refused_curves.push(curve);
                }
            }
            None => {
                let fits = pitch_for(sheet, held, &face_edges, misfit.faces);
                let finding = tell(sheet, held, misfit, fits, refuse);
                misfits.findings.push(finding);
            }
        }
    }
    misfits
}

pub(super) fn misfit(sheet: &Sheet, roofing: &Roofing, index: usize) -> Option<Misfit> {
    let edge = &sheet.edges[index];
    let (left, right) = edge.both().filter(|_| !roofing.is_step[index])?;
    let gaps = refine::gaps(sheet, &roofing.planes, index)?;
    let gap = gaps[0].abs().max(gaps[1].abs());
    // The fit shares what is wrong between both ends of the line; the planes themselves part by the difference.
    let parting = gap.max((gaps[0] - gaps[1]).abs());
    let [g, h] = [left, right].map(|f| roofing.planes[f].gradient);
    let turn = (g - h).length();
    let in_height = turn <= NEARLY_PARALLEL;
    let per_height = if in_height { 1.0 } else { 1.0 / turn };
    let told_from = TOLD_OFF_M + 2.0 * sheet.tolerance;
    if gap * per_height <= told_from {
        return None;
    }
    // A gap in height is as bad as the shift in plan that would make it on the steeper face.
    let steeper = g.length().max(h.length()).max(NEARLY_PARALLEL);
    let shift = if in_height {
        parting / steeper
    } else {
        parting / turn
    };
    let smaller = sheet.faces[left].area.min(sheet.faces[right].area);
    Some(Misfit {
        edge: index,
        faces: [left, right],
        parting,
        off: parting * per_height,
        in_height,
        refused: shift > told_from.max(REFUSED_PART * smaller.sqrt()),
    })
}

fn tell(
    sheet: &Sheet,
    roofing: &Roofing,
    misfit: &Misfit,
    fits: Option<(usize, f64)>,
    refuse: bool,
) -> Finding {
    let edge = &sheet.edges[misfit.edge];
    let [left, right] = misfit.faces;
    let (a, b) = (
        sheet.to_plan(sheet.nodes[edge.a]),
        sheet.to_plan(sheet.nodes[edge.b]),
    );
    let mut message = format!(
        "the {} from {} to {} is {} {} off where {} and {} meet",
        class_words(sheet, roofing, misfit.edge),
        words::place(a),
        words::place(b),
        if misfit.in_height {
            "in height"
        } else {
            "drawn"
        },
        words::feet(misfit.off / METRES_PER_FOOT),
        label(sheet, left),
        label(sheet, right),
    );
    if let Some((face, slope)) = fits {
        message += &format!(
            "; with {} instead of {} the lines would fit",
            words::pitch(slope),
            label(sheet, face)
        );
    }
    let finding = if misfit.refused && refuse {
        Finding::error("planes-do-not-meet", message).remedy(
            "Correct the pitch or the line; where a pitch is not known, leave its label out and it is computed from the lines.",
        )
    } else {
        Finding::warning("planes-do-not-meet", message)
            .remedy("Check both pitches and the line; one of the three is not what was built.")
    };
    finding.place(Place::at(a.midpoint(b)))
}

/// The face of the two that another pitch would fit, and that pitch; `None` where none does, or both would.
fn pitch_for(
    sheet: &Sheet,
    held: &Roofing,
    face_edges: &[Vec<usize>],
    faces: [usize; 2],
) -> Option<(usize, f64)> {
    let fitting: Vec<(usize, f64)> = faces
        .into_iter()
        .filter_map(|face| Some((face, fitting_pitch(sheet, held, &face_edges[face], face)?)))
        .collect();
    match fitting[..] {
        [one] => Some(one),
        _ => None,
    }
}

/// The pitch with which a face would meet all its neighbours, as they are labelled, in the lines drawn: its gradient agrees
/// with each of theirs along the line. `None` where one line alone leaves it open, or no pitch fits.
fn fitting_pitch(sheet: &Sheet, held: &Roofing, face_edges: &[usize], face: usize) -> Option<f64> {
    sheet.faces[face].slope?;
    let shared: Vec<(Vector, Vector, f64)> = face_edges
        .iter()
        .filter(|&&e| !held.is_step[e])
        .filter_map(|&e| {
            let edge = &sheet.edges[e];
            let (left, right) = edge.both()?;
            let other = if left == face { right } else { left };
            Some((edge.along, held.chosen[other], edge.length))
        })
        .collect();
    // Least squares over the rise of every line: two equations for the gradient.
    let (mut xx, mut xy, mut yy, mut right) = (0.0, 0.0, 0.0, Vector::default());
    for &(along, other, length) in &shared {
        let weight = length * length;
        xx += weight * along.x * along.x;
        xy += weight * along.x * along.y;
        yy += weight * along.y * along.y;
        right += along * (weight * other.dot(along));
    }
    let determinant = xx * yy - xy * xy;
    if determinant < LEAST_SPREAD * (xx + yy).powi(2) {
        return None;
    }
    let fits = Vector::new(
        (yy * right.x - xy * right.y) / determinant,
        (xx * right.y - xy * right.x) / determinant,
    );
    let meets = |&(along, other, length): &(Vector, Vector, f64)| {
        let turn = (fits - other).length();
        // Two faces in one plane would have no line between them.
        turn > NEARLY_PARALLEL
            && (fits - other).dot(along).abs() * length / turn <= TOLD_OFF_M + 2.0 * sheet.tolerance
    };
    shared.iter().all(meets).then(|| fits.length())
}

/// What an inner edge is, by the planes on both sides and their mean rise along it.
pub(super) fn class_words(sheet: &Sheet, roofing: &Roofing, index: usize) -> &'static str {
    let edge = &sheet.edges[index];
    let Some((left, right)) = edge.both() else {
        return "line";
    };
    let gradients: [Vector; 2] = [left, right].map(|f| roofing.planes[f].gradient);
    let rise = (gradients[0] + gradients[1]).dot(edge.along) / 2.0;
    let (rise_ft, length_ft) = (
        rise * edge.length / METRES_PER_FOOT,
        edge.length / METRES_PER_FOOT,
    );
    classes::inner(
        gradients,
        [left, right].map(|f| sheet.faces[f].is_flat()),
        classes::is_level(rise_ft, length_ft),
        edge.along.turn_left(),
    )
    .words()
}
