//! Faces without a label in a part of the drawing that has labels: faces whose pitch follows, courtyards, and what is asked for.

use super::attempt::is_thin;
use super::build::PitchLabel;
use super::kinds::{Context, FaceKind, default_pitch, plan_area};
use super::tell::inside_place;
use super::{TAKEN_FOR_COURTYARD, overlaps};
use crate::geometry::Point;
use crate::{Finding, Place};

/// A face without a label is one of the roof, of a pitch to be computed, where so many labelled faces share an edge with it.
const LEAST_KNOWN_BESIDE: usize = 2;

/// What lies beside a face without a label.
pub(super) struct Beside {
    /// Whether it touches the outside.
    outside: bool,
    /// How many labelled faces share an edge of its outer ring: what lies in a hole of it, as a plan in its frame, does not
    /// count.
    labelled: usize,
    /// Whether another face without a label does: two courtyards do not lie side by side. Or whether one at the outside
    /// has none: where one label was forgotten, another may be.
    pub(super) another: bool,
}

impl Beside {
    pub(super) fn new(
        context: &Context<'_>,
        inside: &[Vec<&PitchLabel<'_>>],
        face: usize,
        outside: bool,
    ) -> Self {
        let sub = &context.attempt.sub;
        let mut beside: Vec<usize> = sub.faces[face][0]
            .iter()
            .filter_map(|half| sub.left[half ^ 1])
            .filter(|&other| other != face && (!inside[other].is_empty() || !is_thin(sub, other)))
            .collect();
        beside.sort_unstable();
        beside.dedup();
        let labelled = beside.iter().filter(|&&f| !inside[f].is_empty()).count();
        Self {
            outside,
            labelled,
            another: labelled < beside.len(),
        }
    }
}

/// What a face without a label is, where others of its part have one.
pub(super) fn unlabelled(
    context: &Context<'_>,
    face: usize,
    beside: &Beside,
    findings: &mut Vec<Finding>,
) -> FaceKind {
    let sub = &context.attempt.sub;
    let area = sub.area(face);
    if is_thin(sub, face) {
        return FaceKind::Not;
    }
    if let Some(pitch) = context.options.default_pitch {
        return FaceKind::Roof(Some(default_pitch(pitch)));
    }
    // Between known faces its pitch may follow from theirs: the solver says. A frame beside its title block has one neighbour.
    if beside.outside && beside.labelled >= LEAST_KNOWN_BESIDE {
        return FaceKind::Roof(None);
    }
    let at = inside_place(&sub.corners(&sub.faces[face][0]));
    if !beside.outside
        && let Some(found) = overlaps::ask(context, at, area)
    {
        findings.push(found);
        return FaceKind::Not;
    }
    if beside.outside || beside.another {
        findings.push(without_pitch(context, at, area));
    } else {
        findings.push(
            Finding::warning(
                TAKEN_FOR_COURTYARD,
                format!("An area of {} inside the roof has no pitch in it: it was taken for a courtyard and not counted.", plan_area(area)),
            )
            .remedy("If it is a face of the roof, write its pitch inside it; if it is a chimney or a skylight, draw it on a layer of that name.")
            .place(Place::at(at)),
        );
    }
    FaceKind::Not
}

/// At most so many texts are named.
const MOST_NAMED: usize = 3;

/// A face without a pitch, and the pitches in no face that may be meant for it: a text whose leader was not understood, or that
/// stands beside its face.
fn without_pitch(context: &Context<'_>, at: Point, area: f64) -> Finding {
    let labels = context.labels.iter().zip(&context.attempt.label_face);
    let mut stray: Vec<&PitchLabel<'_>> = labels
        .filter(|(_, face)| face.is_none())
        .map(|(label, _)| label)
        .collect();
    let nearer =
        |a: &&PitchLabel<'_>, b: &&PitchLabel<'_>| a.at.distance(at).total_cmp(&b.at.distance(at));
    if stray.len() > MOST_NAMED {
        stray.select_nth_unstable_by(MOST_NAMED, nearer);
        stray.truncate(MOST_NAMED);
    }
    stray.sort_by(nearer);
    let texts: Vec<String> = stray
        .iter()
        .map(|l| format!("“{}”", l.label.text))
        .collect();
    let (named, move_it) = match &texts[..] {
        [] => (String::new(), ""),
        [text] => (format!(" The pitch {text} stands in no face."), MOVE_IT),
        texts => (
            format!(" The pitches {} stand in no face.", texts.join(", ")),
            MOVE_IT,
        ),
    };
    let told = Finding::error(
        "face-without-pitch",
        format!("A face of {} in plan has no pitch in it.{named}", plan_area(area)),
    )
    .remedy(format!("Write its pitch inside it{move_it}, or give --pitch for all faces without one; if it is no face (a frame round the plan), draw it on a layer named note."))
    .place(Place::at(at));
    let places = stray.iter().map(|l| Place::on(&l.label.source, l.at));
    places.fold(told, Finding::place)
}

/// What to do with a pitch in no face.
const MOVE_IT: &str = ", or draw a line from the text into it that touches no other line";
