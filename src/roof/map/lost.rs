//! A roof drawn with a pen that was left out: a dormer or a wing in a colour of its own, without a pitch, or one of the
//! faces that were drawn as filled shapes.
//!
//! Lines that are left out are walls, hatches, furniture as a rule. What tells a roof from these is the end of a ridge:
//! three lines that meet with no two of them in line, round closed areas. Walls and tables meet at corners and in T
//! joints, hatches cross.

use std::collections::BTreeSet;

use super::attempt::Attempt;
use super::build::{MapOptions, pitch_labels, spots};
use super::halfedge::Subdivision;
use super::islands::slopes;
use super::labels::{FaceFinder, Spot};
use super::ladder::climb;
use super::load;
use super::pens::{looks, rule_for};
use super::piece::{Piece, pieces};
use super::ring_round::ask_of_ring_round;
use super::select::StrokeSet;
use super::tell;
use crate::drawing::{Drawing, Role, Stroke};
use crate::geometry::{Point, Vector};
use crate::units::Pitch;
use crate::{Finding, Place, Severity};

/// Two lines that turn by less than this at their joint, as the cosine (10°), run on.
const IN_LINE: f64 = 0.985;
/// A face beside a ridge's end has at least this area in square feet ...
const LEAST_FACE_SQFT: f64 = 10.0;
/// ... and this width, as area over perimeter, in feet: strips are hatches.
const LEAST_WIDTH_FT: f64 = 0.5;

/// The reason not to take a choice of lines: it leaves out what looks like a roof on the roof.
pub(in crate::roof) fn roof_left_out(
    drawing: &Drawing,
    set: &StrokeSet,
    options: &MapOptions,
) -> Option<Finding> {
    let (chosen, left_out) = parted(drawing, set)?;
    let levels: BTreeSet<u32> = left_out.iter().map(|s| s.level).collect();
    levels.into_iter().find_map(|level| {
        let spots = spots(drawing, level);
        let labels = pitch_labels(drawing, level);
        let pitches: Vec<Pitch> = labels.iter().map(|label| label.pitch).collect();
        let [chosen, left_out] = [&chosen, &left_out].map(|all| of_level(all, level));
        let both = [chosen.as_slice(), left_out.as_slice()].concat();
        let pieces = pieces(&both);
        let attempt = climb(&pieces, &spots, options.tolerance_ft);
        let overlay = Overlay::new(&attempt, &pitches, &pieces, &both, chosen.len());
        let rule = |(_, stroke): (Point, &Stroke)| rule_for(drawing, &[stroke], &chosen);
        if let Some(found) = overlay.ridge_end() {
            return Some(told_on(found, rule(found)));
        }
        if let Some(found) = overlay.shed_dormer() {
            return Some(told_shed(found, rule((found.0, found.2))));
        }
        let parts: BTreeSet<usize> = overlay.labelled_parts().collect();
        let round = ask_of_ring_round(
            &attempt.sub,
            (&pieces, &both),
            drawing,
            |face| overlay.labelled[face],
            // Walls left out inside a face may stand round its pitch.
            |ring| {
                let is_chosen = ring.iter().any(|&half| !overlay.is_left_out(half));
                is_chosen && parts.contains(&attempt.sub.part[ring[0] / 2])
            },
        );
        if let Some(asked) = round.filter(|asked| asked.severity == Severity::Error) {
            return Some(asked);
        }
        let beside = overlay.filled_beside();
        if beside.is_empty() {
            return None;
        }
        let in_a_face = labelled_faces(&chosen, &spots, options);
        let lost = beside.into_iter().find(|(at, _)| !in_a_face(*at));
        lost.map(|found| told_beside(found, rule(found)))
    })
}

fn of_level<'a>(strokes: &[&'a Stroke], level: u32) -> Vec<&'a Stroke> {
    let of_level = strokes.iter().filter(|s| s.level == level);
    of_level.copied().collect()
}

/// The lines of a choice, and the solid ones that it leaves out. `None` where layers decide or nothing is left out.
fn parted<'a>(drawing: &'a Drawing, set: &StrokeSet) -> Option<(Vec<&'a Stroke>, Vec<&'a Stroke>)> {
    if drawing.strokes.iter().any(|s| s.role == Role::Roof) {
        return None;
    }
    let taken = |i: usize| set.strokes.binary_search(&i).is_ok();
    let (chosen, rest): (Vec<_>, Vec<_>) = (0..drawing.strokes.len()).partition(|&i| taken(i));
    let of = |indices: Vec<usize>| indices.into_iter().map(|i| &drawing.strokes[i]);
    let looked_at = |i: &usize| set.tangled.binary_search(i).is_err();
    let left_out: Vec<&Stroke> = of(rest.into_iter().filter(looked_at).collect())
        .filter(|s| s.role == Role::Unsaid && !s.style.dashed)
        .collect();
    let too_much = load::is_too_much(left_out.iter().copied());
    (!left_out.is_empty() && !too_much).then(|| (of(chosen).collect(), left_out))
}

/// What tells whether a place lies in a face with a pitch that the chosen lines alone make.
fn labelled_faces(
    chosen: &[&Stroke],
    spots: &[Spot],
    options: &MapOptions,
) -> impl Fn(Point) -> bool {
    let attempt = climb(&pieces(chosen), spots, options.tolerance_ft);
    let finder = FaceFinder::new(&attempt.sub);
    let labelled = labelled(&attempt);
    move |p| finder.at(p).is_some_and(|face| labelled[face])
}

/// For each face whether it holds a pitch.
fn labelled(attempt: &Attempt) -> Vec<bool> {
    let mut labelled = vec![false; attempt.sub.faces.len()];
    for &face in attempt.label_face.iter().flatten() {
        labelled[face] = true;
    }
    labelled
}

/// For each face whether it holds a pitch that water runs down.
fn sloped(attempt: &Attempt, pitches: &[Pitch]) -> Vec<bool> {
    let mut sloped = vec![false; attempt.sub.faces.len()];
    for (face, &pitch) in attempt.label_face.iter().zip(pitches) {
        if let Some(face) = face {
            sloped[*face] |= slopes(pitch);
        }
    }
    sloped
}

/// The chosen lines with the left out ones over them.
pub(super) struct Overlay<'a> {
    pub(super) sub: &'a Subdivision,
    pub(super) labelled: Vec<bool>,
    pub(super) sloped: Vec<bool>,
    pub(super) pieces: &'a [Piece],
    /// The chosen ones first.
    pub(super) strokes: &'a [&'a Stroke],
    chosen: usize,
}

impl<'a> Overlay<'a> {
    fn new(
        attempt: &'a Attempt,
        pitches: &[Pitch],
        pieces: &'a [Piece],
        strokes: &'a [&'a Stroke],
        chosen: usize,
    ) -> Self {
        Self {
            sub: &attempt.sub,
            labelled: labelled(attempt),
            sloped: sloped(attempt, pitches),
            pieces,
            strokes,
            chosen,
        }
    }

    /// The parts of the drawing with a pitch in a face of theirs.
    fn labelled_parts(&self) -> impl Iterator<Item = usize> {
        let faces = self.labelled.iter().zip(&self.sub.face_part);
        faces
            .filter(|(labelled, _)| **labelled)
            .map(|(_, &part)| part)
    }

    /// The first end of a ridge that left out lines alone make, and one of these lines.
    fn ridge_end(&self) -> Option<(Point, &'a Stroke)> {
        let sub = self.sub;
        let out_of = out_of_nodes(sub);
        let node = (0..sub.nodes.len()).find(|&n| self.is_ridge_end(&out_of[n]))?;
        let piece = *sub.links[out_of[node][0] / 2].pieces.first()?;
        Some((sub.nodes[node], self.strokes[self.pieces[piece].stroke]))
    }

    fn is_ridge_end(&self, halves: &[usize]) -> bool {
        halves.iter().all(|&half| self.is_left_out(half))
            && meet_like_a_ridge(self.sub, halves)
            && self.lies_on_a_face(halves)
    }

    /// Whether a half-edge was drawn with left out lines alone.
    pub(super) fn is_left_out(&self, half: usize) -> bool {
        let drawn = &self.sub.links[half / 2].pieces;
        drawn.iter().all(|&p| self.pieces[p].stroke >= self.chosen)
    }

    /// Left out filled shapes without a pitch that have an edge in common with a chosen filled shape with one. A hatched
    /// region is one too, and lies on the chosen faces.
    fn filled_beside(&self) -> Vec<(Point, &'a Stroke)> {
        let sub = self.sub;
        let of_half = |half: usize| {
            let (known, other) = (sub.left[half]?, sub.left[half ^ 1]?);
            let lost = self.labelled[known] && !self.labelled[other] && self.is_wide(other);
            let stroke = self.filled_on_both_sides(half / 2).filter(|_| lost)?;
            let at = tell::inside_place(&sub.corners(&sub.faces[other][0]));
            Some((at, stroke))
        };
        (0..2 * sub.links.len()).filter_map(of_half).collect()
    }

    /// The left out filled shape of a link that a chosen filled shape was drawn along too.
    fn filled_on_both_sides(&self, link: usize) -> Option<&'a Stroke> {
        let drawn = self.sub.links[link].pieces.iter();
        let filled = drawn
            .map(|&p| self.pieces[p].stroke)
            .filter(|&s| self.strokes[s].closed && self.strokes[s].style.fill.is_some());
        let (chosen, left_out): (Vec<usize>, Vec<usize>) = filled.partition(|&s| s < self.chosen);
        let &first = left_out.first()?;
        (!chosen.is_empty()).then(|| self.strokes[first])
    }

    fn is_wide(&self, face: usize) -> bool {
        let (area, around) = (self.sub.area(face), self.sub.perimeter(face));
        area >= LEAST_FACE_SQFT && area >= LEAST_WIDTH_FT * around
    }

    /// Whether two areas without a pitch and a face with one lie round the ends of these half-edges.
    fn lies_on_a_face(&self, halves: &[usize]) -> bool {
        let sub = self.sub;
        let faces: BTreeSet<usize> = halves.iter().filter_map(|&h| sub.left[h]).collect();
        let (with, without): (Vec<usize>, Vec<usize>) =
            faces.into_iter().partition(|&f| self.labelled[f]);
        with.len() == 1 && without.len() == 2 && without.iter().all(|&f| self.is_wide(f))
    }
}

/// For each node the half-edges that leave it.
pub(super) fn out_of_nodes(sub: &Subdivision) -> Vec<Vec<usize>> {
    let mut out_of: Vec<Vec<usize>> = vec![Vec::new(); sub.nodes.len()];
    for half in 0..2 * sub.links.len() {
        out_of[sub.start(half)].push(half);
    }
    out_of
}

/// Whether the half-edges out of a node are three with no two in line, as a ridge and its hips or valleys are.
pub(super) fn meet_like_a_ridge(sub: &Subdivision, halves: &[usize]) -> bool {
    let &[a, b, c] = halves else { return false };
    let way = |half: usize| -> Vector {
        let run = sub.nodes[sub.start(half ^ 1)] - sub.nodes[sub.start(half)];
        run.unit().unwrap_or_default()
    };
    let turned = |p: usize, q: usize| way(p).dot(way(q)).abs() < IN_LINE;
    turned(a, b) && turned(b, c) && turned(c, a)
}

fn told_on(found: (Point, &Stroke), rule: Option<String>) -> Finding {
    let message = format!(
        "Lines that are not drawn as the roof's are ({}) meet inside a face like a ridge and its valleys, round areas without a pitch: a dormer or a wing would be lost.",
        looks(found.1, true)
    );
    told(message, found, rule)
}

fn told_shed((at, area_sqft, stroke): (Point, f64, &Stroke), rule: Option<String>) -> Finding {
    let message = format!(
        "A closed shape of {area_sqft:.0} ft² that is not drawn as the roof's lines are ({}) stands by itself in a slope, without a pitch: a shed dormer would be lost.",
        looks(stroke, true)
    );
    told(message, (at, stroke), rule)
}

fn told_beside(found: (Point, &Stroke), rule: Option<String>) -> Finding {
    let message = format!(
        "A filled shape ({}) beside the roof's faces, filled as they are, has no pitch in it: a face would be lost.",
        looks(found.1, true)
    );
    told(message, found, rule)
}

/// A rule that takes lines of the roof out too is none.
fn told(message: String, (at, stroke): (Point, &Stroke), rule: Option<String>) -> Finding {
    let rule = rule.map_or(String::new(), |rule| format!(" (--ignore '{rule}')"));
    Finding::error("roof-without-pitch-left-out", message)
        .remedy(format!(
            "Write the pitch inside each of these areas; if they are no roof, leave them out{rule} or draw them on a layer named note."
        ))
        .place(Place::on(&stroke.source, at))
}
