//! Closed shapes that hold no pitch and touch no line of the roof: courtyards, symbols, other things beside the roof, and
//! roofs drawn over roofs without a pitch.

use super::attempt::is_thin;
use super::kinds::{Context, FaceKind, Kinds};
use super::{LabelledPitch, tell};
use crate::geometry::ring;
use crate::{Finding, Place};

/// A closed shape inside a face that nothing names is left out up to this size, in square feet. Larger ones are taken for
/// a courtyard.
const LARGEST_OPENING_SQFT: f64 = 100.0;
/// Smaller ones, in square feet, are symbols: arrow heads, letters.
const LEAST_OPENING_SQFT: f64 = 1.0;
/// A chimney or a skylight may have lines in it, such as a cross, up to this size, in square feet: estimators do not
/// deduct smaller openings (a textbook of estimating: none under 30 ft²). Lines in a larger shape part the faces of a roof.
const LARGEST_WITH_LINES_SQFT: f64 = 30.0;

/// A flat roof may have this pitch, rise over run: 1/2 in 12 (common practice, no source).
const FLATTEST_SLOPE: f64 = 0.5 / 12.0;

/// A closed shape inside a face of the roof.
struct Island {
    part: usize,
    area_sqft: f64,
    /// Into how many closed areas its own lines part it.
    areas: usize,
    /// Whether the face round it slopes; one that stands alone may be the outline of a roof round a courtyard.
    in_slope: bool,
    place: Place,
}

/// Closed shapes without a label that lie inside a face and touch no other line: courtyards where they are large, roofs
/// without a pitch where lines part them; the rest is left out and told, like shapes beside the roof.
pub(super) fn islands(context: &Context<'_>, kinds: &mut Kinds) {
    let mut left_out = beside(context, &kinds.parts);
    for island in inside_faces(context, kinds) {
        if island.area_sqft < LEAST_OPENING_SQFT {
            left_out.push(island.place);
        } else if island.areas > 1 && island.area_sqft > LARGEST_WITH_LINES_SQFT {
            kinds.findings.push(roof_without_pitch(island));
        } else if island.area_sqft > LARGEST_OPENING_SQFT && island.in_slope {
            kinds.findings.push(dormer_or_courtyard(island));
        } else if island.area_sqft > LARGEST_OPENING_SQFT {
            kinds.parts.push(island.part);
            kinds.findings.push(courtyard(island));
        } else {
            kinds.findings.push(not_cut_out(island));
        }
    }
    kinds.parts.sort_unstable();
    if !left_out.is_empty() {
        let message = format!(
            "{} closed shapes hold no pitch and were left out.",
            left_out.len()
        );
        let told = Finding::note("no-roof", message);
        kinds.findings.push(tell::several(told, left_out));
    }
}

/// The closed shapes that lie in a face of the roof and are no part of it.
fn inside_faces(context: &Context<'_>, kinds: &Kinds) -> Vec<Island> {
    let sub = &context.attempt.sub;
    let mut areas = vec![0; 1 + sub.part.iter().copied().max().unwrap_or(0)];
    for face in (0..sub.faces.len()).filter(|&f| !is_thin(sub, f)) {
        areas[sub.face_part[face]] += 1;
    }
    let holes = (0..sub.faces.len()).filter_map(|f| match &kinds.faces[f] {
        FaceKind::Roof(pitch) => {
            let in_slope = !kinds.alone[f] && pitch.as_ref().is_some_and(slopes);
            Some(
                sub.faces[f]
                    .iter()
                    .skip(1)
                    .map(move |hole| (in_slope, hole)),
            )
        }
        FaceKind::Not => None,
    });
    holes
        .flatten()
        .filter_map(|(in_slope, hole)| {
            let part = sub.part[hole[0] / 2];
            if kinds.parts.binary_search(&part).is_ok() {
                return None;
            }
            let corners = sub.corners(hole);
            Some(Island {
                part,
                area_sqft: -ring::signed_area(&corners),
                areas: areas[part],
                in_slope,
                place: place(context, hole)?,
            })
        })
        .collect()
}

fn slopes(pitch: &LabelledPitch) -> bool {
    pitch.pitch.to_rise_per_run() > FLATTEST_SLOPE
}

/// The closed shapes beside the roof that are no part of it.
fn beside(context: &Context<'_>, parts: &[usize]) -> Vec<Place> {
    let sub = &context.attempt.sub;
    let outside = sub.outside.iter();
    outside
        .filter(|ring| parts.binary_search(&sub.part[ring[0] / 2]).is_err())
        .filter_map(|ring| place(context, ring))
        .collect()
}

/// The middle of a ring, on the element that its first side was drawn with.
fn place(context: &Context<'_>, ring: &[usize]) -> Option<Place> {
    let sub = &context.attempt.sub;
    let &piece = sub.links[ring[0] / 2].pieces.first()?;
    let source = &context.strokes[context.pieces[piece].stroke].source;
    Some(Place::on(source, ring::centroid(&sub.corners(ring))))
}

fn roof_without_pitch(island: Island) -> Finding {
    Finding::error(
        "shape-without-pitch",
        format!(
            "A shape of {:.0} ft² inside a face is parted by lines into {} closed areas, none with a pitch in it: a dormer or a higher roof cannot be taken off without its pitches.",
            island.area_sqft, island.areas
        ),
    )
    .remedy("Write the pitch inside each of its areas, and draw it on a layer named upper if it stands over the roof; if it is no roof, draw it on a layer named opening or note.")
    .place(island.place)
}

/// Courtyards and light wells lie in flat roofs or between slopes; what lies in the middle of one slope is a dormer as likely.
fn dormer_or_courtyard(island: Island) -> Finding {
    Finding::error(
        "shape-without-pitch",
        format!(
            "A closed shape of {:.0} ft² inside a sloped face has no pitch in it: it may be a dormer, or an opening.",
            island.area_sqft
        ),
    )
    .remedy("If it is a part of the roof, write its pitch inside it; if it is a hole in the roof, draw it on a layer named opening, else on one named note.")
    .place(island.place)
}

fn courtyard(island: Island) -> Finding {
    Finding::warning(
        "taken-for-courtyard",
        format!(
            "A closed shape of {:.0} ft² inside a face has no pitch in it: it was taken for a courtyard and not counted.",
            island.area_sqft
        ),
    )
    .remedy("If it is a part of the roof, write its pitch inside it.")
    .place(island.place)
}

fn not_cut_out(island: Island) -> Finding {
    Finding::note(
        "closed-shape-not-cut-out",
        format!(
            "A closed shape of {:.1} ft² in plan inside a face has no pitch in it and no layer that says what it is: it was left out, and the face's area is not less for it.",
            island.area_sqft
        ),
    )
    .remedy("If it is a chimney or a skylight, draw it on a layer named chimney, skylight or opening: then it is cut out and flashed round.")
    .place(island.place)
}
