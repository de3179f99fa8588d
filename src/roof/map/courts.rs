//! Rings inside an outline that were taken for roofs, because something is written in them or beside them: courtyards, mostly,
//! with the pitches of the slopes round them written in the yard, as those of the other sides are written outside the roof.

use std::collections::BTreeSet;

use super::PlanMap;
use super::TAKEN_FOR_COURTYARD;
use super::build::MapOptions;
use super::islands::slopes;
use super::outline::{AtSide, Owned, at_side, is_outline, near, reach};
use super::sides::{is_beside, roomiest};
use crate::drawing::{Label, Says};
use crate::geometry::{Point, ring};
use crate::units::Pitch;
use crate::{Finding, Place};

/// Labels along at least so many sides of a ring speak of its sides: a roof of one face has one label.
pub(super) const LEAST_SIDES: usize = 2;

/// A ring smaller than this, in square feet, may be a cupola as well as a courtyard, where its pitches are none of the roof's
/// round it: a cupola is seldom wider than 12 or 13 ft (common practice, no source).
const LARGEST_CUPOLA_SQFT: f64 = 180.0;

/// What a ring inside an outline is.
enum Ring {
    /// A roof of its own.
    Roof,
    /// A courtyard, whose labels are those of the sides round it.
    Court,
    /// Either.
    Open,
}

/// Finds the courtyards among the faces that stand alone, tells them, and gives their labels to the outline round each.
/// Returns which faces of the map are none of the roof.
pub(super) fn take_courts(
    map: &mut PlanMap,
    alone: &[bool],
    labels: &mut [Owned<'_>],
    options: &MapOptions,
) -> Vec<bool> {
    let mut out = vec![false; map.faces.len()];
    let mut from_large: Vec<usize> = (0..map.faces.len()).filter(|&f| alone[f]).collect();
    let area = |f: usize| ring::signed_area(&map.corners(&map.faces[f].rings[0]));
    from_large.sort_by(|&a, &b| area(b).total_cmp(&area(a)));
    for round in from_large {
        // What stands in a courtyard is a roof again.
        if out[round] {
            continue;
        }
        let mut hole = 1;
        let mut seen: Option<Round> = None;
        while hole < map.faces[round].rings.len() {
            let inside = face_in(map, round, hole).filter(|&f| alone[f]);
            let ring = inside.map(|inside| {
                let seen = seen.get_or_insert_with(|| Round::of(map, round, labels, options));
                (inside, seen.what(map, inside, labels))
            });
            match ring {
                Some((inside, Ring::Court)) => {
                    out[inside] = true;
                    map.findings.push(courtyard(map, inside, labels));
                    for label in labels.iter_mut().filter(|l| l.face == Some(inside)) {
                        label.face = None;
                    }
                }
                Some((inside, Ring::Open)) => {
                    out[inside] = true;
                    map.findings.push(roof_or_courtyard(map, inside, labels));
                    // Nothing is asked of its sides as long as it is not known that there are any.
                    map.faces[round].rings.remove(hole);
                    continue;
                }
                Some((_, Ring::Roof)) | None => {}
            }
            hole += 1;
        }
    }
    out
}

/// The face on the other side of a ring of a face.
fn face_in(map: &PlanMap, face: usize, ring: usize) -> Option<usize> {
    let side = map.faces[face].rings[ring].first()?;
    let edge = &map.edges[side.edge];
    [edge.left, edge.right]
        .into_iter()
        .flatten()
        .find(|&f| f != face)
}

/// The face round a ring.
struct Round {
    /// The pitches of the slopes that fall from it outwards.
    pitches: Vec<Pitch>,
    /// Whether it is the outline of a roof with slopes.
    is_outline: bool,
    /// Whether the pitches of its outer sides are written in the roof: then those of a courtyard would be too.
    written_in_roof: bool,
}

impl Round {
    fn of(map: &PlanMap, face: usize, labels: &[Owned<'_>], options: &MapOptions) -> Self {
        let rings = map.rings(face);
        let near = near(labels, face, &rings);
        let rises = |n: &AtSide<'_>| match n.label.says {
            Says::Pitch { pitch, .. } => slopes(pitch),
            _ => true,
        };
        let roomiest = roomiest(&rings);
        let of_outer = near.iter().filter(|n| n.ring == 0);
        let written = of_outer.filter_map(|n| pitch_of(n.label));
        let at_outer_side = |n: &&AtSide<'_>| n.ring == 0 && is_beside(n, roomiest);
        let (in_roof, outside): (Vec<_>, Vec<_>) =
            near.iter().filter(at_outer_side).partition(|n| n.inside);
        Self {
            pitches: written.chain(options.default_pitch).collect(),
            is_outline: map.faces[face].fall_hint.is_none()
                && is_outline(map, face, &near, options)
                && (near.is_empty() || near.iter().any(rises)),
            written_in_roof: outside.is_empty() && !in_roof.is_empty(),
        }
    }

    fn what(&self, map: &PlanMap, inside: usize, labels: &[Owned<'_>]) -> Ring {
        let falls_one_way = map.faces[inside].fall_hint.is_some();
        if !self.is_outline || falls_one_way || stands_on_walls(map, inside, labels) {
            return Ring::Roof;
        }
        let within = labels.iter().filter(|l| l.face == Some(inside));
        let outer = [map.corners(&map.faces[inside].rings[0])];
        let pitches = within.clone().filter_map(|l| pitch_of(l.label));
        let differ = !self.pitches.is_empty() && !{ pitches }.any(|p| self.pitches.contains(&p));
        let is_cupola = differ && area_sqft(map, inside) < LARGEST_CUPOLA_SQFT;
        let sides: Option<BTreeSet<usize>> = within.map(|l| side_within_reach(l, &outer)).collect();
        match sides {
            Some(sides) if sides.is_empty() => Ring::Court,
            Some(sides) if sides.len() >= LEAST_SIDES && !self.written_in_roof && !is_cupola => {
                Ring::Court
            }
            _ => Ring::Open,
        }
    }
}

fn pitch_of(label: &Label) -> Option<Pitch> {
    match label.says {
        Says::Pitch { pitch, .. } => Some(pitch),
        _ => None,
    }
}

/// The side of a ring that a label is written at.
fn side_within_reach(label: &Owned<'_>, ring: &[Vec<Point>; 1]) -> Option<usize> {
    let at = at_side(label, ring)?;
    (at.gap <= reach(at.label)).then_some(at.side)
}

/// Whether a ring is the walls of a higher roof, at which the one round it ends: those that a layer gives, or the word written
/// round it at each of its sides.
fn stands_on_walls(map: &PlanMap, inside: usize, labels: &[Owned<'_>]) -> bool {
    let ring = &map.faces[inside].rings[0];
    let corners = [map.corners(ring)];
    let mut is_wall: Vec<bool> = ring.iter().map(|s| map.edges[s.edge].on_wall).collect();
    let round = labels.iter().filter(|l| l.face != Some(inside));
    for label in round.filter(|l| l.label.says == Says::Wall) {
        if let Some(side) = side_within_reach(label, &corners) {
            is_wall[side] = true;
        }
    }
    is_wall.into_iter().all(|w| w)
}

fn place(map: &PlanMap, face: usize) -> Place {
    let ring = &map.faces[face].rings[0];
    let at = ring::centroid(&map.corners(ring));
    let source = ring
        .first()
        .and_then(|side| map.edges[side.edge].sources.first());
    source.map_or(Place::at(at), |source| Place::on(source, at))
}

fn area_sqft(map: &PlanMap, face: usize) -> f64 {
    ring::signed_area(&map.corners(&map.faces[face].rings[0]))
}

fn courtyard(map: &PlanMap, inside: usize, labels: &[Owned<'_>]) -> Finding {
    let area = area_sqft(map, inside);
    let holds_any = labels.iter().any(|l| l.face == Some(inside));
    let message = match holds_any {
        true => format!(
            "A closed shape of {area:.0} ft² inside an outline has what is written in it along its sides: it was taken for a courtyard and not counted, and that for the pitches of the slopes round it."
        ),
        false => format!(
            "A closed shape of {area:.0} ft² inside an outline has no pitch in it: it was taken for a courtyard and not counted."
        ),
    };
    Finding::warning(TAKEN_FOR_COURTYARD, message)
        .remedy("If it is a roof of its own, draw it and its pitches on a layer named upper.")
        .place(place(map, inside))
}

fn roof_or_courtyard(map: &PlanMap, inside: usize, labels: &[Owned<'_>]) -> Finding {
    let area = area_sqft(map, inside);
    let within = labels.iter().filter(|l| l.face == Some(inside));
    let texts: Vec<String> = within.map(|l| format!("“{}”", l.label.text)).collect();
    Finding::error(
        "roof-or-courtyard",
        format!(
            "A closed shape of {area:.0} ft² inside an outline has {} in it: it may be a courtyard, with the slopes round it falling to it, or a roof of its own.",
            texts.join(", ")
        ),
    )
    .remedy("If it is a courtyard, write the pitches of its sides on the other side of its lines, in the roof; if it is a roof of its own, draw it and its pitches on a layer named upper.")
    .place(place(map, inside))
}
