//! Planes that do not meet in the lines drawn for them: how far off, which pitch would fit, and whether that is still a
//! drawing of this roof.
//!
//! What tracing explains is adjusted and not told. A little more is told, and the roof taken off with its labels. Where a
//! line is off by a good part of its faces, or the pitches that fit the lines would give another total, one of the
//! drawing's statements is false and any total would be a guess: there is no roof then.

use crate::geometry::Vector;
use crate::units::METRES_PER_FOOT;
use crate::{Finding, Place};

use super::curves::Curves;
use super::label_place::roomiest_point;
use super::labels;
use super::pending::{label, plan_rings};
use super::refine;
use super::region::Roofing;
use super::sheet::Sheet;
use super::words;
use super::{aslant, classes};

/// Slopes that differ by less (rise over run) are written alike.
const ALIKE: f64 = 1e-6;
/// Beyond this and twice the snap tolerance (metres) a line is told to be drawn off.
const TOLD_OFF_M: f64 = 0.05;
/// A face that would fit at another pitch falls as it did when its fall turns by less (degrees).
const SAME_FALL_DEG: f64 = 5.0;
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

/// The lines along which a roof's planes do not meet: at exactly the pitches written, and at what those may mean.
#[derive(Clone, Debug)]
pub(super) struct Readings {
    /// Every slope exactly as its label says.
    pub(super) letter: Roofing,
    /// Slopes that leave their labels by no more than half of the last digit, where that makes the planes meet.
    pub(super) rounded: Roofing,
}

impl Readings {
    pub(super) fn of(sheet: &Sheet, roofing: &Roofing) -> Self {
        Self {
            letter: labels::to_the_letter(sheet, roofing),
            rounded: labels::held(sheet, roofing),
        }
    }

    /// How a line misses. Labels of two faces that read alike were rounded alike: only where they differ does rounding say why
    /// planes part that would meet at other pitches of the same labels.
    fn misfit(&self, sheet: &Sheet, edge: usize) -> Option<Misfit> {
        let exact = misfit(sheet, &self.letter, edge)?;
        if read_alike(sheet, exact.faces) {
            return Some(exact);
        }
        let rounded = misfit(sheet, &self.rounded, edge)?;
        let refused = exact.refused && rounded.refused;
        Some(Misfit { refused, ..exact })
    }

    /// Straight lines that miss only if labels that differ are taken to the letter.
    pub(super) fn missed_by_rounding(&self, sheet: &Sheet, curves: &Curves) -> Vec<Misfit> {
        (0..sheet.edges.len())
            .filter(|&edge| curves.of_edge(edge).is_none() && self.misfit(sheet, edge).is_none())
            .filter_map(|edge| misfit(sheet, &self.letter, edge))
            .collect()
    }
}

/// Whether the labels of two faces say the same slope.
fn read_alike(sheet: &Sheet, faces: [usize; 2]) -> bool {
    let [l, r] = faces.map(|f| sheet.faces[f].slope);
    l.zip(r).is_some_and(|(l, r)| (l - r).abs() <= ALIKE)
}

/// Why the lines cannot all be shared by planes of the labelled pitches, where no other pitch of one face would mend it: then
/// something stands apart.
pub(super) fn unexplained(sheet: &Sheet, held: &Roofing) -> Option<&'static str> {
    let face_edges = sheet.face_edges();
    (0..sheet.edges.len())
        .filter_map(|edge| misfit(sheet, held, edge))
        .any(|m| m.refused && pitches_for(sheet, held, &face_edges, m.faces).len() != 1)
        .then_some("planes that share an edge cannot meet in it at the pitches written")
}

/// Whether all lines in which planes of the labelled pitches do not meet are hips and valleys, drawn aslant to the slopes on
/// both sides, that would fit at another pitch of one of these slopes, falling as it does: then the pitches and the lines
/// contradict each other. No roof stands a step apart along such lines.
pub(super) fn is_about_pitches(sheet: &Sheet, held: &Roofing) -> bool {
    let face_edges = sheet.face_edges();
    let mut misfits = (0..sheet.edges.len())
        .filter_map(|edge| misfit(sheet, held, edge))
        .peekable();
    misfits.peek().is_some()
        && misfits.all(|m| {
            aslant::is_aslant(sheet, held, m.edge)
                && m.faces.into_iter().any(|face| {
                    fitting(sheet, held, &face_edges[face], face)
                        .is_some_and(|fits| fits.angle_to_deg(held.chosen[face]) < SAME_FALL_DEG)
                })
        })
}

/// Where planes do not meet in the lines drawn for them.
#[derive(Clone, Debug, Default)]
pub(super) struct Misfits {
    /// Along straight lines.
    pub(super) findings: Vec<Finding>,
    /// The curves along which they do not, and those of them that are too far off.
    pub(super) curves: Vec<usize>,
    pub(super) refused_curves: Vec<usize>,
    /// The faces beside straight lines that are too far off.
    pub(super) refused_faces: Vec<usize>,
}

/// Inner edges along which the planes, held to their labels, do not meet.
pub(super) fn misfits(
    sheet: &Sheet,
    readings: &Readings,
    curves: &Curves,
    refuse: bool,
) -> Misfits {
    let mut misfits = Misfits::default();
    let mut straight = Vec::new();
    for edge in 0..sheet.edges.len() {
        match curves.of_edge(edge) {
            // A curve is no line of any two planes: what labels may mean decides whether it is near enough to one.
            Some(curve) => {
                let Some(misfit) = misfit(sheet, &readings.rounded, edge) else {
                    continue;
                };
                misfits.curves.push(curve);
                if misfit.refused && refuse {
                    misfits.refused_curves.push(curve);
                }
            }
            None => straight.extend(readings.misfit(sheet, edge)),
        }
    }
    if straight.is_empty() {
        return misfits;
    }
    let face_edges = sheet.face_edges();
    for misfit in &straight {
        let mut fits = pitches_for(sheet, &readings.letter, &face_edges, misfit.faces);
        // A face that would fit as it is labelled has nothing to be changed: what is wrong lies beyond its other lines.
        fits.retain(|&(face, slope)| {
            let label = sheet.faces[face].slope;
            label.is_none_or(|label| (label - slope).abs() > ALIKE)
        });
        let finding = tell(sheet, &readings.letter, misfit, &fits, refuse);
        misfits.findings.push(finding);
        if misfit.refused && refuse {
            misfits.refused_faces.extend(misfit.faces);
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
    fits: &[(usize, f64)],
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
    // Both faces beside a line may have one label: the place says which.
    let one = |&(face, slope): &(usize, f64)| {
        let at = roomiest_point(&plan_rings(sheet, face));
        format!(
            "{} instead of {} in the face at {}",
            words::pitch_unlike(sheet.faces[face].slope, slope),
            label(sheet, face),
            words::place(at)
        )
    };
    if !fits.is_empty() {
        let each: Vec<String> = fits.iter().map(one).collect();
        message += &format!("; the lines would fit with {}", each.join(", or with "));
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

/// Which of the two faces another pitch would fit, and that pitch.
fn pitches_for(
    sheet: &Sheet,
    held: &Roofing,
    face_edges: &[Vec<usize>],
    faces: [usize; 2],
) -> Vec<(usize, f64)> {
    faces
        .into_iter()
        .filter_map(|face| {
            let fits = fitting(sheet, held, &face_edges[face], face)?;
            Some((face, fits.length()))
        })
        .collect()
}

/// The gradient with which a face would meet all its neighbours, as they are labelled, in the lines drawn: it agrees
/// with each of theirs along the line. `None` where one line alone leaves it open, or no pitch fits.
fn fitting(sheet: &Sheet, held: &Roofing, face_edges: &[usize], face: usize) -> Option<Vector> {
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
    shared.iter().all(meets).then_some(fits)
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
