//! Closed shapes that hold no pitch and touch no line of the roof: courtyards, symbols, other things beside the roof, and
//! roofs drawn over roofs without a pitch.

use std::collections::BTreeSet;

use super::TAKEN_FOR_COURTYARD;
use super::attempt::is_thin;
use super::courts::LEAST_SIDES;
use super::kinds::{Context, FaceKind, Kinds};
use super::lost::{meet_like_a_ridge, out_of_nodes};
use super::outline::reach;
use super::ring_round::ask_of_ring_round;
use super::shed::is_of_dormer_size;
use super::tell;
use crate::drawing::{Role, Stroke};
use crate::geometry::{Point, ring};
use crate::units::Pitch;
use crate::{Finding, Place};

/// A closed shape inside a face that nothing names is left out up to this size, in square feet, unless it may be a shed
/// dormer. Larger ones are taken for a courtyard.
const LARGEST_OPENING_SQFT: f64 = 100.0;
/// Smaller ones, in square feet, are symbols: arrow heads, letters.
const LEAST_OPENING_SQFT: f64 = 1.0;
/// A chimney or a skylight may have lines in it, such as a cross, up to this size, in square feet: smaller
/// openings are not deducted as a rule (common practice, no source). Lines in a larger shape part the faces of a roof.
const LARGEST_WITH_LINES_SQFT: f64 = 30.0;

/// What is written round a pitch covers less than this part of its face: a house on its lot covers more.
const SMALL_SHARE: f64 = 0.2;

/// A flat roof may have this pitch, rise over run: 1/2 in 12 (common practice, no source).
const FLATTEST_SLOPE: f64 = 0.5 / 12.0;

/// What the id of a shape that is an opening may say.
const OPENING_WORDS: [&str; 3] = ["chimney", "skylight", "opening"];

/// A closed shape inside a face of the roof.
struct Island {
    part: usize,
    area_sqft: f64,
    /// Whether a shed dormer may have its size and proportions.
    like_a_dormer: bool,
    /// Into how many closed areas its own lines part it.
    areas: usize,
    /// Whether the face round it slopes; one that stands alone may be the outline of a roof round a courtyard.
    in_slope: bool,
    /// Whether the pitches of slopes that fall to it are written round it.
    has_pitches_round_it: bool,
    place: Place,
}

/// Closed shapes without a label that lie inside a face and touch no other line: courtyards where they are large, roofs
/// without a pitch where lines part them; the rest is left out and told, like shapes beside the roof.
pub(super) fn islands(context: &Context<'_>, kinds: &mut Kinds) {
    let (upper, aside): (Vec<Aside>, Vec<Aside>) = beside(context, &kinds.parts)
        .into_iter()
        .partition(|aside| aside.on_upper_layer && aside.like_a_dormer);
    kinds.findings.extend(upper.into_iter().map(upper_roof));
    let mut left_out: Vec<Place> = aside.into_iter().map(|aside| aside.place).collect();
    for island in inside_faces(context, kinds) {
        if island.area_sqft < LEAST_OPENING_SQFT {
            left_out.push(island.place);
        } else if island.has_pitches_round_it {
            kinds.parts.push(island.part);
            kinds.findings.push(courtyard_by_its_pitches(island));
        } else if island.areas > 1 && island.area_sqft > LARGEST_WITH_LINES_SQFT {
            kinds.findings.push(roof_without_pitch(island));
        } else if island.in_slope
            && (island.like_a_dormer || island.area_sqft > LARGEST_OPENING_SQFT)
        {
            kinds.findings.push(dormer_or_courtyard(island));
        } else if island.area_sqft > LARGEST_OPENING_SQFT {
            kinds.parts.push(island.part);
            kinds.findings.push(courtyard(island));
        } else {
            kinds.findings.push(not_cut_out(island));
        }
    }
    kinds.parts.sort_unstable();
    kinds.findings.extend(ask_of_ring_round(
        &context.attempt.sub,
        (context.pieces, context.strokes),
        context.drawing,
        |face| matches!(kinds.faces[face], FaceKind::Roof(_)),
        |ring| {
            let part = context.attempt.sub.part[ring[0] / 2];
            kinds.parts.binary_search(&part).is_ok()
        },
    ));
    let left_out_roof = roof_round_its_pitches(context, kinds);
    let left_out_roof = left_out_roof.or_else(|| roof_layer_left_out(context, kinds));
    kinds.findings.extend(left_out_roof);
    if !left_out.is_empty() {
        let message = match left_out.len() {
            1 => "1 closed shape holds no pitch and was left out.".to_owned(),
            count => format!("{count} closed shapes hold no pitch and were left out."),
        };
        let told = Finding::note("no-roof", message);
        kinds.findings.push(tell::several(told, left_out));
    }
}

/// Lines of a layer that says roof of which no part holds a pitch, where only other lines would be taken: boxes round the pitches
/// on a layer of their own.
fn roof_layer_left_out(context: &Context<'_>, kinds: &Kinds) -> Option<Finding> {
    let sub = &context.attempt.sub;
    let is_roofs = |pieces: &[usize]| {
        let mut drawn = pieces.iter().map(|&piece| context.pieces[piece].stroke);
        drawn.any(|stroke| context.strokes[stroke].role == Role::Roof)
    };
    let links = sub.links.iter().zip(&sub.part);
    let of_layer: BTreeSet<usize> = links
        .filter(|(link, _)| is_roofs(&link.pieces))
        .map(|(_, &part)| part)
        .collect();
    let is_taken = kinds.parts.iter().any(|part| of_layer.contains(part));
    if is_taken || kinds.parts.is_empty() {
        return None;
    }
    let faces = 0..sub.faces.len();
    let face = faces
        .filter(|&face| of_layer.contains(&sub.face_part[face]))
        .max_by(|a, b| sub.area(*a).total_cmp(&sub.area(*b)))?;
    let place = Place::at(ring::centroid(&sub.corners(&sub.faces[face][0])));
    Some(
        Finding::error(
            "roof-without-pitch-left-out",
            "The lines of the roof's layer hold no pitch of their own, and only lines of other layers would be taken.",
        )
        .remedy("Write the pitches into the faces on that layer; boxes round them and their leaders go on a layer named note.")
        .place(place),
    )
}

/// A roof with ridges and hips of which no face has a pitch, and small shapes in its faces with pitches: these alone would be
/// taken.
fn roof_round_its_pitches(context: &Context<'_>, kinds: &Kinds) -> Option<Finding> {
    let sub = &context.attempt.sub;
    let is_taken = |part: usize| kinds.parts.binary_search(&part).is_ok();
    let round = (0..sub.faces.len()).filter(|&face| !is_taken(sub.face_part[face]));
    let holds_small = |&face: &usize| {
        let mut holes = sub.faces[face].iter().skip(1);
        holes.any(|hole| {
            let area_sqft = -ring::signed_area(&sub.corners(hole));
            is_taken(sub.part[hole[0] / 2])
                && area_sqft <= LARGEST_OPENING_SQFT.min(SMALL_SHARE * sub.area(face))
        })
    };
    let round: Vec<usize> = round.filter(holds_small).collect();
    if round.is_empty() {
        return None;
    }
    let out_of = out_of_nodes(sub);
    let ridge_ends: Vec<usize> = (out_of.iter())
        .filter(|halves| meet_like_a_ridge(sub, halves))
        .map(|halves| sub.part[halves[0] / 2])
        .collect();
    let face = round
        .into_iter()
        .find(|&face| ridge_ends.contains(&sub.face_part[face]))?;
    let same_part = (0..sub.faces.len()).filter(|&f| sub.face_part[f] == sub.face_part[face]);
    // With the small shapes in them.
    let outer = same_part.map(|f| ring::signed_area(&sub.corners(&sub.faces[f][0])));
    let area_sqft: f64 = outer.sum();
    let corners = sub.corners(&sub.faces[face][0]);
    Some(
        Finding::error(
            "roof-without-pitch-left-out",
            format!("Lines that meet like a ridge and its hips, round {area_sqft:.0} ft² in plan, have no pitch in their faces but in small shapes inside them: the roof itself would be left out."),
        )
        .remedy("If these shapes are frames round the pitches, leave them out with --ignore or draw them on a layer named note; if they are on the roof, write the pitch of the faces round them too.")
        .place(Place::at(tell::inside_place(&corners))),
    )
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
            let in_slope = !kinds.alone[f] && pitch.as_ref().is_some_and(|p| slopes(p.pitch));
            Some(
                sub.faces[f]
                    .iter()
                    .skip(1)
                    .map(move |hole| (f, in_slope, hole)),
            )
        }
        FaceKind::Not => None,
    });
    holes
        .flatten()
        .filter_map(|(face, in_slope, hole)| {
            let part = sub.part[hole[0] / 2];
            if kinds.parts.binary_search(&part).is_ok() {
                return None;
            }
            let corners = sub.corners(hole);
            let area_sqft = -ring::signed_area(&corners);
            Some(Island {
                part,
                area_sqft,
                like_a_dormer: is_of_dormer_size(area_sqft, ring::perimeter(&corners)),
                areas: areas[part],
                in_slope,
                has_pitches_round_it: kinds.alone[face]
                    && areas[part] == 1
                    && sides_with_a_pitch(context, face, hole) >= LEAST_SIDES,
                place: place(context, hole)?,
            })
        })
        .collect()
}

/// At how many sides of a ring in a face a pitch is written that stands in the face, nearer than to any other ring of it.
fn sides_with_a_pitch(context: &Context<'_>, face: usize, hole: &[usize]) -> usize {
    let sub = &context.attempt.sub;
    let nearest_of = |ring: &[usize], at: Point| {
        let corners = sub.corners(ring);
        let distances = ring::sides(&corners).map(|(a, b)| at.distance_to_segment(a, b));
        distances
            .enumerate()
            .map(|(side, d)| (d, side))
            .min_by(|a, b| a.0.total_cmp(&b.0))
    };
    let in_face = context.labels.iter().zip(&context.attempt.label_face);
    let sides = in_face
        .filter(|(_, of)| **of == Some(face))
        .filter_map(|(label, _)| {
            let (distance, side) = nearest_of(hole, label.at)?;
            let of_others = sub.faces[face]
                .iter()
                .filter(|ring| ring.as_slice() != hole);
            let nearer =
                |ring: &Vec<usize>| nearest_of(ring, label.at).is_some_and(|(d, _)| d < distance);
            let is_its_own = distance <= reach(label.label) && !{ of_others }.any(nearer);
            is_its_own.then_some(side)
        });
    sides.collect::<BTreeSet<usize>>().len()
}

/// Whether a face of this pitch is a slope.
pub(super) fn slopes(pitch: Pitch) -> bool {
    pitch.to_rise_per_run() > FLATTEST_SLOPE
}

/// A closed shape beside the roof that is no part of it.
struct Aside {
    area_sqft: f64,
    /// Whether a roof may have its size and proportions.
    like_a_dormer: bool,
    /// Whether its layer says that it is a roof over others: nothing else is drawn there.
    on_upper_layer: bool,
    place: Place,
}

/// The closed shapes beside the roof that are no part of it.
fn beside(context: &Context<'_>, parts: &[usize]) -> Vec<Aside> {
    let sub = &context.attempt.sub;
    let outside = sub.outside.iter();
    outside
        .filter(|ring| parts.binary_search(&sub.part[ring[0] / 2]).is_err())
        .filter_map(|ring| {
            let corners = sub.corners(ring);
            let area_sqft = -ring::signed_area(&corners);
            let stroke = stroke(context, ring)?;
            Some(Aside {
                area_sqft,
                like_a_dormer: is_of_dormer_size(area_sqft, ring::perimeter(&corners)),
                on_upper_layer: stroke.role == Role::Roof && stroke.level > 0,
                place: Place::on(&stroke.source, ring::centroid(&corners)),
            })
        })
        .collect()
}

/// The middle of a ring, on the element that its first side was drawn with.
fn place(context: &Context<'_>, ring: &[usize]) -> Option<Place> {
    let corners = context.attempt.sub.corners(ring);
    let stroke = stroke(context, ring)?;
    Some(Place::on(&stroke.source, ring::centroid(&corners)))
}

/// What the first side of a ring was drawn with.
fn stroke<'a>(context: &Context<'a>, ring: &[usize]) -> Option<&'a Stroke> {
    let &piece = context.attempt.sub.links[ring[0] / 2].pieces.first()?;
    Some(context.strokes[context.pieces[piece].stroke])
}

fn upper_roof(aside: Aside) -> Finding {
    Finding::error(
        "shape-without-pitch",
        format!(
            "A closed shape of {:.0} ft² on a layer of roofs over others has no pitch that was read.",
            aside.area_sqft
        ),
    )
    .remedy("Write its pitch inside it on a layer of its own, named upper pitch (level 2 pitch and so on); if it is no roof, draw it on a layer named note.")
    .place(aside.place)
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

fn courtyard_by_its_pitches(island: Island) -> Finding {
    Finding::warning(
        TAKEN_FOR_COURTYARD,
        format!(
            "A closed shape of {:.0} ft² inside an outline has pitches written round it, along its sides: it was taken for a courtyard, with slopes that fall to it, and not counted.",
            island.area_sqft
        ),
    )
    .remedy("If no slope falls to it, move the pitches away from it; if it is a chimney or a skylight, draw it on a layer of that name.")
    .place(island.place)
}

fn courtyard(island: Island) -> Finding {
    Finding::warning(
        TAKEN_FOR_COURTYARD,
        format!(
            "A closed shape of {:.0} ft² inside a face has no pitch in it: it was taken for a courtyard and not counted.",
            island.area_sqft
        ),
    )
    .remedy("If it is a part of the roof, write its pitch inside it.")
    .place(island.place)
}

/// An id is no layer: programs write ids too, and nothing is cut out of a face on the word of one. Where it says an opening,
/// the opening that is not flashed costs money.
fn not_cut_out(island: Island) -> Finding {
    const CODE: &str = "closed-shape-not-cut-out";
    let left_out = format!(
        "A closed shape of {:.1} ft² in plan inside a face has no pitch in it and no layer that says what it is: it was left out, and the face's area is not less for it",
        island.area_sqft
    );
    let id = island.place.source.as_ref().and_then(|s| s.id.as_deref());
    let says_opening = |id: &&str| {
        let id = id.to_lowercase();
        OPENING_WORDS.iter().any(|word| id.contains(word))
    };
    let finding = match id.filter(says_opening) {
        Some(id) => Finding::warning(
            CODE,
            format!("{left_out}. Its id, “{id}”, says an opening, but an id is no layer."),
        ),
        None => Finding::note(CODE, format!("{left_out}.")),
    };
    finding.remedy("If it is a chimney or a skylight, draw it on a layer named chimney, skylight or opening: then it is cut out and flashed round.")
    .place(island.place)
}
