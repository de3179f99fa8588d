//! Frames of a sheet that hold a note with a pitch in it: `1. ROOF PITCH 4:12 MIN. FOR SHINGLES` makes no face of what lies between the
//! frame and the roof.

use std::collections::BTreeMap;

use super::build::PitchLabel;
use super::kinds::{Context, is_frame, is_rectangle, plan_area};
use super::tell::several;
use crate::drawing::Role;
use crate::{Finding, Place};

/// Words that speak of pitches, where a face has its pitch alone as a rule (common practice, no source).
const OF_PITCHES: [&str; 8] = [
    "pitch", "pitches", "slope", "slopes", "min", "minimum", "max", "maximum",
];

/// Whether a text with a pitch in it speaks of pitches in words, as notes do.
pub(in crate::roof) fn speaks_of_pitches(text: &str) -> bool {
    let mut words = text.split(|c: char| !c.is_alphabetic());
    words.any(|word| OF_PITCHES.contains(&word.to_lowercase().as_str()))
}

/// The parts that are frames, sorted, and what is told of them: all pitches in a frame are such notes, all its faces with one are
/// rectangles, and it stands round a part with pitches of its own. What stands on a layer that says roof is none.
pub(super) fn note_frames(context: &Context<'_>, parts: &[usize]) -> (Vec<usize>, Option<Finding>) {
    let sub = &context.attempt.sub;
    let mut labels: BTreeMap<usize, Vec<(usize, &PitchLabel<'_>)>> = BTreeMap::new();
    for (face, texts) in context.labels_inside().into_iter().enumerate() {
        let of_part = texts.into_iter().map(|label| (face, label));
        labels
            .entry(sub.face_part[face])
            .or_default()
            .extend(of_part);
    }
    let is_note = |(face, label): &(usize, &PitchLabel<'_>)| {
        let corners = sub.corners(&sub.faces[*face][0]);
        label.label.points_at.is_none()
            && speaks_of_pitches(&label.label.text)
            && is_rectangle(&corners)
    };
    let says_roof = |face: usize| {
        let mut drawn = sub.faces[face][0]
            .iter()
            .flat_map(|half| &sub.links[half / 2].pieces);
        drawn.any(|&piece| context.strokes[context.pieces[piece].stroke].role == Role::Roof)
    };
    let frames = |part: usize| {
        let here = (0..sub.faces.len()).filter(move |&face| sub.face_part[face] == part);
        here.filter(|&face| is_frame(context, face) && !says_roof(face))
            .any(|face| {
                let mut holes = sub.faces[face].iter().skip(1);
                holes.any(|hole| {
                    let framed = sub.part[hole[0] / 2];
                    labels
                        .get(&framed)
                        .is_some_and(|of| !of.iter().all(is_note))
                })
            })
    };
    let of_notes = |part: &usize| {
        let texts = labels.get(part);
        texts.is_some_and(|texts| !texts.is_empty() && texts.iter().all(is_note)) && frames(*part)
    };
    let out: Vec<usize> = parts.iter().copied().filter(of_notes).collect();
    if out.is_empty() {
        return (out, None);
    }
    let notes: Vec<_> = out
        .iter()
        .filter_map(|part| labels.get(part))
        .flatten()
        .collect();
    let said: Vec<String> = notes
        .iter()
        .map(|(_, label)| format!("“{}”", label.label.text))
        .collect();
    let area = |&part: &usize| {
        let here = (0..sub.faces.len()).filter(move |&face| sub.face_part[face] == part);
        here.map(|face| sub.area(face)).sum::<f64>()
    };
    let told = Finding::warning(
        "taken-for-frame",
        format!(
            "Lines round other shapes with a note in them, {}, were taken for a frame round the plan, and what they enclose beside the roof, {}, for no part of it.",
            said.join(", "),
            plan_area(out.iter().map(area).sum())
        ),
    )
    .remedy("If they are the roof's, draw the roof on a layer named roof; if they are a frame, draw them on a layer named frame.");
    let places = notes.iter().map(|(_, l)| Place::on(&l.label.source, l.at));
    let told = several(told, places.collect());
    (out, Some(told))
}
