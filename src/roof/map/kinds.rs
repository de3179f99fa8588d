//! What each face of the subdivision is: a face of the roof with its pitch, a courtyard, or no part of the roof.

use super::LabelledPitch;
use super::attempt::{Attempt, is_thin};
use super::build::{MapOptions, PitchLabel};
use super::courts::LEAST_SIDES;
use super::islands::islands;
use super::note_frames::note_frames;
use super::outline::{place_of, reach};
use super::piece::Piece;
use super::tables::tables;
use super::unlabelled::{Beside, unlabelled};
use crate::drawing::{Drawing, Label, Stroke};
use crate::geometry::{Point, ring};
use crate::units::{Area, Pitch, Plan, words};
use crate::{Finding, Place};

/// What a face of the subdivision turned out to be.
#[derive(Clone, Debug)]
pub(super) enum FaceKind {
    /// A face of the roof, with its pitch where one is known.
    Roof(Option<LabelledPitch>),
    /// A hole in the roof, or a part of the drawing that is no roof.
    Not,
}

/// What the faces are, and what else was learnt.
#[derive(Clone, Debug, Default)]
pub(super) struct Kinds {
    pub(super) faces: Vec<FaceKind>,
    /// Parts of the drawing that belong to the roof, sorted.
    pub(super) parts: Vec<usize>,
    /// Faces that are the only one of their part.
    pub(super) alone: Vec<bool>,
    pub(super) findings: Vec<Finding>,
}

/// Where there is no label at all, a part smaller than this share of the largest is no roof.
const LEAST_SHARE: f64 = 0.02;

/// What is measured nearer to a line than this, in feet, ends at it.
const AT_FRAME_FT: f64 = 0.5;

/// Everything that says what faces are.
pub(super) struct Context<'a> {
    pub(super) drawing: &'a Drawing,
    pub(super) attempt: &'a Attempt,
    pub(super) pieces: &'a [Piece],
    pub(super) strokes: &'a [&'a Stroke],
    pub(super) labels: &'a [PitchLabel<'a>],
    /// The other labels that speak of a side of an outline.
    pub(super) side_labels: &'a [&'a Label],
    pub(super) options: &'a MapOptions,
}

impl<'a> Context<'a> {
    /// The labels in each face.
    pub(super) fn labels_inside(&self) -> Vec<Vec<&'a PitchLabel<'a>>> {
        let mut inside = vec![Vec::new(); self.attempt.sub.faces.len()];
        for (label, face) in self.labels.iter().zip(&self.attempt.label_face) {
            if let Some(face) = face {
                inside[*face].push(label);
            }
        }
        inside
    }
}

/// Decides what every face is.
pub(super) fn kinds(context: &Context<'_>) -> Kinds {
    let sub = &context.attempt.sub;
    let mut kinds = Kinds::default();
    kinds.parts = roof_parts(context, &mut kinds.findings);
    let mut per_part: Vec<usize> = sub.face_part.clone();
    per_part.sort_unstable();
    let count = |part: usize| {
        per_part.partition_point(|&p| p <= part) - per_part.partition_point(|&p| p < part)
    };
    kinds.alone = sub.face_part.iter().map(|&part| count(part) == 1).collect();
    let inside = context.labels_inside();
    let outside = touches_outside(context, &kinds.parts);
    let is_forgotten = |f: usize| {
        let is_roof = kinds.parts.binary_search(&sub.face_part[f]).is_ok();
        is_roof && outside[f] && !kinds.alone[f] && inside[f].is_empty() && !is_thin(sub, f)
    };
    let forgotten = (0..sub.faces.len()).any(is_forgotten);
    for face in 0..sub.faces.len() {
        let kind = if kinds.parts.binary_search(&sub.face_part[face]).is_err() {
            FaceKind::Not
        } else if kinds.alone[face] {
            FaceKind::Roof(inside[face].first().map(|l| l.as_pitch()))
        } else if inside[face].is_empty() {
            let mut beside = Beside::new(context, &inside, face, outside[face]);
            beside.another |= forgotten;
            unlabelled(context, face, &beside, &mut kinds.findings)
        } else {
            labelled(&inside[face], &mut kinds.findings)
        };
        kinds.faces.push(kind);
    }
    islands(context, &mut kinds);
    kinds
}

/// The parts of the drawing that hold a pitch label, or have a label at a side; without any label those of size.
fn roof_parts(context: &Context<'_>, findings: &mut Vec<Finding>) -> Vec<usize> {
    let sub = &context.attempt.sub;
    let mut labelled: Vec<usize> = context
        .attempt
        .label_face
        .iter()
        .flatten()
        .copied()
        .collect();
    labelled.sort_unstable();
    labelled.dedup();
    let mut parts = Vec::new();
    for face in labelled {
        let framed = framed_parts(context, face);
        if framed.is_empty() {
            parts.push(sub.face_part[face]);
        } else {
            findings.push(taken_for_frame(&sub.corners(&sub.faces[face][0])));
            parts.extend(framed);
        }
    }
    parts.sort_unstable();
    parts.dedup();
    let (tables, told) = tables(context, &parts);
    parts.retain(|part| !tables.contains(part));
    findings.extend(told);
    let (frames, told) = note_frames(context, &parts);
    parts.retain(|part| !frames.contains(part));
    findings.extend(told);
    if parts.is_empty() && context.options.default_pitch.is_some() {
        parts = parts_of_size(context, findings);
    }
    let stray = context
        .labels
        .iter()
        .zip(&context.attempt.label_face)
        .filter(|(_, face)| face.is_none())
        .map(|(label, _)| label.at);
    let beside: Vec<Point> = stray
        .chain(
            context
                .side_labels
                .iter()
                .map(|l| l.points_at.unwrap_or(l.at)),
        )
        .collect();
    for at in beside {
        let part = nearest_part(context, at);
        parts.extend(part);
    }
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// How far from a side a label outside may stand, in feet, to make a part without labels a roof.
const BESIDE_FT: f64 = 10.0;

fn nearest_part(context: &Context<'_>, at: Point) -> Option<usize> {
    let sub = &context.attempt.sub;
    let distance = |i: usize| {
        let (a, b) = (sub.nodes[sub.links[i].a], sub.nodes[sub.links[i].b]);
        at.distance_to_segment(a, b)
    };
    (0..sub.links.len())
        .map(|i| (distance(i), i))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(d, _)| *d <= BESIDE_FT)
        .map(|(_, i)| sub.part[i])
}

/// Where nothing is labelled: the parts of some size, without a frame round them.
fn parts_of_size(context: &Context<'_>, findings: &mut Vec<Finding>) -> Vec<usize> {
    let sub = &context.attempt.sub;
    let frame = |face: usize| is_frame(context, face);
    let mut areas: Vec<(usize, f64)> = Vec::new();
    for face in (0..sub.faces.len()).filter(|&f| !frame(f)) {
        match areas
            .iter_mut()
            .find(|(part, _)| *part == sub.face_part[face])
        {
            Some((_, area)) => *area += sub.area(face),
            None => areas.push((sub.face_part[face], sub.area(face))),
        }
    }
    let largest = areas.iter().map(|&(_, a)| a).fold(0.0, f64::max);
    let parts: Vec<usize> = areas
        .into_iter()
        .filter(|&(_, area)| area >= LEAST_SHARE * largest)
        .map(|(part, _)| part)
        .collect();
    let left_out = (0..sub.faces.len()).filter(|&f| frame(f) && !parts.contains(&sub.face_part[f]));
    findings.extend(left_out.map(|face| taken_for_frame(&sub.corners(&sub.faces[face][0]))));
    parts
}

/// A plan area in square feet, as findings write it.
pub(in crate::roof) fn plan_area(sqft: f64) -> String {
    words::area(Area::<Plan>::square_feet(sqft))
}

fn taken_for_frame(corners: &[Point]) -> Finding {
    Finding::warning(
        "taken-for-frame",
        format!(
            "A rectangle of {} round other shapes was taken for a frame round the plan, and not for the outline of a roof.",
            plan_area(ring::signed_area(corners))
        ),
    )
    .remedy("If it is the roof's outline, write its pitches at its sides; if it is a frame, draw it on a layer named frame.")
    .place(Place::at(corners[0]))
}

/// Whether a face is what lies between a frame and the plan in it. What is measured lies inside a frame, and not along it.
pub(super) fn is_frame(context: &Context<'_>, face: usize) -> bool {
    let sub = &context.attempt.sub;
    let corners = sub.corners(&sub.faces[face][0]);
    let well_inside = |p: Point| {
        let mut sides = ring::sides(&corners);
        ring::contains(&corners, p) && sides.all(|(a, b)| p.distance_to_segment(a, b) > AT_FRAME_FT)
    };
    let mut measured = context.drawing.dimensions.iter();
    sub.faces[face].len() > 1
        && is_rectangle(&corners)
        && measured.all(|d| well_inside(d.from) && well_inside(d.to))
}

/// The parts of the drawing inside a rectangle, at whose sides everything stands that is written in the rectangle, and nothing
/// at its own, inside or outside: then it is a frame. None where it is not. One pitch for all sides without their own would be that of its sides;
/// then only what is measured says what is framed.
fn framed_parts(context: &Context<'_>, face: usize) -> Vec<usize> {
    let sub = &context.attempt.sub;
    let sides_are_bare =
        context.options.default_pitch.is_none() || !context.drawing.dimensions.is_empty();
    if !sides_are_bare || !is_frame(context, face) {
        return Vec::new();
    }
    let rings: Vec<Vec<Point>> = sub.faces[face].iter().map(|r| sub.corners(r)).collect();
    let is_in = |at: Point| {
        ring::contains(&rings[0], at) && !rings[1..].iter().any(|hole| ring::contains(hole, at))
    };
    let of_sides = context.side_labels.iter().copied();
    let all = context.labels.iter().map(|l| l.label).chain(of_sides);
    let is_at = |label: &Label, ring: &[Point]| {
        let mut sides = ring::sides(ring);
        sides.any(|(a, b)| place_of(label).distance_to_segment(a, b) <= reach(label))
    };
    let mut framed = Vec::new();
    for label in all {
        if is_at(label, &rings[0]) {
            return Vec::new();
        }
        if !is_in(place_of(label)) {
            continue;
        }
        match (1..rings.len()).find(|&hole| is_at(label, &rings[hole])) {
            Some(hole) => framed.push(sub.part[sub.faces[face][hole][0] / 2]),
            None => return Vec::new(),
        }
    }
    if framed.len() < LEAST_SIDES {
        return Vec::new();
    }
    framed
}

/// Whether a ring fills the box along its longest side, whichever way that runs on the page.
pub(super) fn is_rectangle(corners: &[Point]) -> bool {
    let longest =
        ring::sides(corners).max_by(|a, b| a.0.distance(a.1).total_cmp(&b.0.distance(b.1)));
    let Some((from, along)) = longest.and_then(|(a, b)| Some((a, (b - a).unit()?))) else {
        return false;
    };
    let width = |across: crate::geometry::Vector| {
        let at = |p: &Point| across.dot(*p - from);
        let low = corners.iter().map(at).fold(f64::INFINITY, f64::min);
        let high = corners.iter().map(at).fold(f64::NEG_INFINITY, f64::max);
        high - low
    };
    ring::signed_area(corners) > 0.999 * width(along) * width(along.turn_left())
}

/// What faces touch the outside, or a part that is no roof.
fn touches_outside(context: &Context<'_>, parts: &[usize]) -> Vec<bool> {
    let sub = &context.attempt.sub;
    let is_roof = |f: usize| parts.binary_search(&sub.face_part[f]).is_ok();
    let mut outside = vec![false; sub.faces.len()];
    for (half, face) in sub.left.iter().enumerate() {
        if let Some(face) = face
            && sub.left[half ^ 1].is_none_or(|f| !is_roof(f))
        {
            outside[*face] = true;
        }
    }
    outside
}

/// The pitch of `--pitch`.
pub(super) fn default_pitch(pitch: Pitch) -> LabelledPitch {
    LabelledPitch {
        pitch,
        half_step: 0.0,
        source: None,
    }
}

/// The pitch that all labels in a face say; of those that agree, written in several ways, the one that was meant counts.
fn labelled(inside: &[&PitchLabel<'_>], findings: &mut Vec<Finding>) -> FaceKind {
    let mut first = inside[0];
    for label in &inside[1..] {
        if !first.as_pitch().counts_before(label.pitch, label.half_step) {
            first = label;
        }
    }
    let pitch = first.as_pitch();
    let contradicts = |l: &&&PitchLabel<'_>| !pitch.agrees(l.pitch, l.half_step);
    if let Some(other) = inside.iter().find(contradicts) {
        findings.push(
            Finding::error(
                "two-pitches",
                format!(
                    "One face has the pitches {} and {} in it.",
                    first.label.text, other.label.text
                ),
            )
            .remedy("Draw the line between them up to its ends, or take one of the labels out.")
            .place(Place::on(&first.label.source, first.at))
            .place(Place::on(&other.label.source, other.at)),
        );
    }
    FaceKind::Roof(Some(pitch))
}
