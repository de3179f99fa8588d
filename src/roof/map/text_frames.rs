//! Boxes and circles drawn round the pitch in a face, in the roof's own pen: frames of a text, and no faces.

use super::attempt::Attempt;
use super::halfedge::Subdivision;
use super::labels::Spot;
use super::net::Link;
use super::tell::several;
use crate::geometry::{Point, Vector, ring};
use crate::{Finding, Place};

/// Beside its text a frame has room for so many heights of it in all ...
const ROOM_BESIDE: f64 = 4.0;
/// ... and a box is so many of them high. A circle or a hexagon is as high as wide. Tags of drawings are drawn so (common
/// practice, no source).
const BOX_HIGH: f64 = 3.0;
/// A box has fewer corners than a circle or a hexagon.
const LEAST_ROUND: usize = 6;
/// A frame with more inside it, in square feet, could be a dormer as well.
const LARGEST_SQFT: f64 = 30.0;

/// The letters of a label that stands where it counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Letters {
    /// The middle of the text.
    pub(super) at: Point,
    /// The start and the end of its baseline.
    pub(super) baseline: [Point; 2],
    pub(super) height_ft: f64,
}

/// A frame that was left out.
#[derive(Clone, Copy, Debug)]
pub(super) struct TextFrame {
    area_sqft: f64,
    at: Point,
}

/// The links without those of frames: of lone shapes, hardly larger than the one pitch in them, in faces that have none. A face
/// round other faces with pitches is a frame or a legend itself. `None` where there is none.
pub(super) fn without_frames(
    sub: &Subdivision,
    label_face: &[Option<usize>],
    labels: &[Spot],
) -> Option<(Vec<Link>, Vec<TextFrame>)> {
    let mut count = vec![0_usize; sub.faces.len()];
    for &face in label_face.iter().flatten() {
        count[face] += 1;
    }
    let fitting = labels.iter().zip(label_face).filter_map(|(label, face)| {
        let face = (*face).filter(|&f| count[f] == 1)?;
        fits(sub, face, label.letters.as_ref()?).then_some(face)
    });
    let mut small: Vec<usize> = fitting.collect();
    if small.is_empty() {
        return None;
    }
    let parts = 1 + sub.part.iter().copied().max().unwrap_or(0);
    let mut faces = vec![0_usize; parts];
    sub.face_part.iter().for_each(|&part| faces[part] += 1);
    small.retain(|&face| faces[sub.face_part[face]] == 1);
    let mut holds_other = vec![false; parts];
    for face in (0..sub.faces.len()).filter(|&f| count[f] > 0) {
        holds_other[sub.face_part[face]] = true;
    }
    small
        .iter()
        .for_each(|&face| holds_other[sub.face_part[face]] = false);
    let stands_in_a_face = |face: &usize| {
        let round = sub.faces[*face][0].first().and_then(|h| sub.left[h ^ 1]);
        round.is_some_and(|round| {
            let mut holes = sub.faces[round].iter().skip(1);
            count[round] == 0 && !holes.any(|hole| holds_other[sub.part[hole[0] / 2]])
        })
    };
    let out: Vec<usize> = small.iter().copied().filter(stands_in_a_face).collect();
    if out.is_empty() {
        return None;
    }
    let mut gone = vec![false; parts];
    out.iter()
        .for_each(|&face| gone[sub.face_part[face]] = true);
    let links = sub.links.iter().zip(&sub.part);
    let kept = links.filter(|(_, part)| !gone[**part]);
    let frame = |&face: &usize| TextFrame {
        area_sqft: sub.area(face),
        at: ring::centroid(&sub.corners(&sub.faces[face][0])),
    };
    Some((
        kept.map(|(link, _)| link.clone()).collect(),
        out.iter().map(frame).collect(),
    ))
}

/// Whether a face is hardly larger than a pitch in it.
pub(super) fn is_text_frame(sub: &Subdivision, face: usize, labels: &[Spot]) -> bool {
    let mut letters = labels.iter().filter_map(|label| label.letters.as_ref());
    letters.any(|letters| fits(sub, face, letters))
}

/// Whether a face is hardly larger than the text in it.
fn fits(sub: &Subdivision, face: usize, letters: &Letters) -> bool {
    let [outer] = &sub.faces[face][..] else {
        return false;
    };
    let corners = sub.corners(outer);
    let [start, end] = letters.baseline;
    let Some(along) = (end - start).unit() else {
        return false;
    };
    let wide = start.distance(end) + ROOM_BESIDE * letters.height_ft;
    let high = match corners.len() < LEAST_ROUND {
        true => BOX_HIGH * letters.height_ft,
        false => wide,
    };
    let size = |way: Vector| {
        let (low, top) = ring::reach(&corners, way);
        top - low
    };
    size(along) <= wide && size(along.turn_left()) <= high && ring::contains(&corners, letters.at)
}

/// What is told of them.
pub(super) fn tell_frames(attempt: &Attempt) -> Option<Finding> {
    let frames = &attempt.framed;
    let message = match frames.len() {
        0 => return None,
        1 => "A closed shape hardly larger than the pitch in it was taken for a frame round the text: the pitch is that of the face round it.".to_owned(),
        count => format!(
            "{count} closed shapes hardly larger than the pitch in them were taken for frames round the text: each pitch is that of the face round it."
        ),
    };
    let told = match frames.iter().any(|frame| frame.area_sqft > LARGEST_SQFT) {
        true => Finding::warning("text-frame", message),
        false => Finding::note("text-frame", message),
    };
    let told =
        told.remedy("If one is a face on the roof, write the pitch of the face round it too.");
    Some(several(
        told,
        frames.iter().map(|f| Place::at(f.at)).collect(),
    ))
}
