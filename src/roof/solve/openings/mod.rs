//! Openings cut out of solved faces, with the flashing round them, and pipes set on their faces.
//!
//! The faces are cut first ([`faces`]), then the edges that ran along them ([`edges`]); what is flashed to an opening is read
//! from the sides that the faces then have on it ([`flashing`]).

mod edges;
mod faces;
mod flashing;

use std::collections::BTreeMap;

use crate::geometry::{Point, Vector, ring};
use crate::roof::map::{MapOpening, OpeningPart, PlanMap};
use crate::roof::{CRICKET_OVER_IN, FaceId, Opening, OpeningId, Penetration, Roof};
use crate::units::{Area, Length, Plan, number};
use crate::{Finding, Place};

use super::assemble::{Assembled, SolvedSheet};
use super::words;

/// A side counts as lying on a line when both its ends are this near (feet).
const ON_LINE_FT: f64 = 1e-4;
/// Pieces shorter than this (feet) are rounding.
const LEAST_FT: f64 = 1e-4;

/// What an opening cuts out of a face, in plan feet, counter-clockwise.
struct Part<'m> {
    opening: OpeningId,
    /// What of it lies on the face.
    ring: &'m [Point],
    /// All of it.
    outline: &'m [Point],
}

/// What cutting did besides.
#[derive(Debug)]
pub(super) struct Cut {
    /// The faces that were cut in pieces, each with its pieces.
    pub(super) pieces: Vec<Vec<FaceId>>,
    /// Plan area of strips too narrow to be roofed, which went with the openings, in ft².
    pub(super) strips_sqft: f64,
    /// Plan area of what openings cover and was not cut out, in ft².
    pub(super) kept_sqft: f64,
}

/// Cuts every opening of the maps out of the roof, and sets the pipes.
pub(super) fn cut(maps: &[PlanMap], sheets: &[SolvedSheet], assembled: &mut Assembled) -> Cut {
    let face_of = roof_faces(maps, sheets, assembled);
    let roof = &mut assembled.roof;
    let mut cuts: BTreeMap<FaceId, Vec<Part<'_>>> = BTreeMap::new();
    let mut walls = Vec::new();
    for (map, face_of) in maps.iter().zip(&face_of) {
        for opening in &map.openings {
            let id = OpeningId(roof.openings.len());
            let parts: Vec<(FaceId, &OpeningPart)> = opening
                .parts
                .iter()
                .filter_map(|part| Some(((*face_of.get(part.face)?)?, part)))
                .collect();
            for (face, part) in &parts {
                cuts.entry(*face).or_default().push(Part {
                    opening: id,
                    ring: &part.ring,
                    outline: &opening.outline,
                });
            }
            walls.extend(flashing::at_walls(roof, id, &opening.outline, &parts));
            let made = unflashed(roof, opening, &parts);
            roof.openings.push(made);
        }
    }
    let cut = faces::cut(roof, &cuts);
    edges::settle(roof, &cut);
    for opening in &mut roof.openings {
        opening.faces = cut.now(&opening.faces);
    }
    flashing::measure(roof, &walls);
    set_pipes(maps, &face_of, &cut, roof);
    Cut {
        pieces: cut.pieces.into_values().filter(|p| p.len() > 1).collect(),
        strips_sqft: cut.strips_sqft,
        kept_sqft: cut.kept_sqft,
    }
}

/// The roof's face of every face of every map.
fn roof_faces(
    maps: &[PlanMap],
    sheets: &[SolvedSheet],
    assembled: &Assembled,
) -> Vec<Vec<Option<FaceId>>> {
    let mut all: Vec<Vec<Option<FaceId>>> =
        maps.iter().map(|m| vec![None; m.faces.len()]).collect();
    for (solved, ids) in sheets.iter().zip(&assembled.face_of) {
        for (&face, &id) in solved.sheet.face_ids.iter().zip(ids) {
            all[solved.map][face] = Some(id);
        }
    }
    all
}

/// The opening before anything is cut.
fn unflashed(roof: &Roof, opening: &MapOpening, parts: &[(FaceId, &OpeningPart)]) -> Opening {
    let width = |&(face, part): &(FaceId, &OpeningPart)| {
        let fall = roof.face(face).fall()?;
        Some(extent(&part.ring, fall.turn_left()))
    };
    let meets = parts
        .iter()
        .map(|&(face, part)| flashing::meets_water_ft(roof.face(face), &opening.outline, part));
    let mut faces: Vec<FaceId> = Vec::new();
    for &(face, _) in parts {
        if !faces.contains(&face) {
            faces.push(face);
        }
    }
    Opening {
        kind: opening.kind.to_string(),
        outline: opening.outline.clone(),
        faces,
        flashing: Vec::new(),
        apron: Length::feet(0.0),
        sides: Length::feet(0.0),
        head: Length::feet(0.0),
        width: Length::feet(parts.iter().filter_map(width).fold(0.0, f64::max)),
        meets_water: Length::feet(meets.sum()),
        source: opening.source.clone(),
    }
}

fn extent(points: &[Point], along: Vector) -> f64 {
    let (low, high) = ring::reach(points, along);
    (high - low).max(0.0)
}

/// Told of a pipe that stands in what was cut out of its face altogether.
fn in_opening(source: &std::sync::Arc<crate::Source>, at: Point) -> Finding {
    Finding::warning(
        "pipe-outside",
        "A pipe stands in an opening that covers the whole of its face, and was left out.",
    )
    .remedy("Move it to where there is roof.")
    .place(Place::on(source, at))
}

fn set_pipes(maps: &[PlanMap], face_of: &[Vec<Option<FaceId>>], cut: &faces::Cut, roof: &mut Roof) {
    for (map, face_of) in maps.iter().zip(face_of) {
        for pipe in &map.pipes {
            let Some(Some(face)) = pipe.face.and_then(|f| face_of.get(f)).copied() else {
                continue;
            };
            let pieces = cut.now(&[face]);
            if pieces.is_empty() {
                roof.findings.push(in_opening(&pipe.source, pipe.at));
                continue;
            }
            let on_piece = pieces
                .iter()
                .copied()
                .find(|&piece| ring::contains(&roof.face(piece).outline.plan(), pipe.at));
            roof.penetrations.push(Penetration {
                at: pipe.at,
                face: on_piece.or(pieces.first().copied()).unwrap_or(face),
                diameter: pipe.diameter_ft.map(Length::feet),
                is_written: pipe.is_written,
                source: pipe.source.clone(),
            });
        }
    }
}

/// Tells an opening that takes a cricket where none is drawn.
fn cricket(roof: &Roof, opening: &Opening) -> Option<Finding> {
    if !opening.takes_cricket() || roof.draws_cricket_of(opening) {
        return None;
    }
    let at = ring::centroid(&opening.outline);
    let faces = opening.faces.iter();
    let names: Vec<&str> = faces.map(|&f| roof.face(f).name.as_str()).collect();
    Some(
        Finding::warning(
            "cricket",
            format!(
                "The {} on {} is {} wide: over {} it needs a cricket on its upper side (IRC R903.2.2).",
                opening.kind,
                number::listed(&names, "and"),
                words::feet(opening.width.to_feet()),
                words::inches(CRICKET_OVER_IN),
            ),
        )
        .remedy("Draw the cricket with its pitches, or see that the list of materials has one.")
        .place(Place::on(&opening.source, at)),
    )
}

/// Strips from so much on are told (ft²).
const TOLD_STRIPS_SQFT: f64 = 1.0;

/// Tells openings that take crickets, the faces that openings cut in pieces, and strips that went with them; faces have their
/// names by now.
pub(super) fn told(roof: &Roof, cut: &Cut) -> Vec<Finding> {
    let strips = (cut.strips_sqft >= TOLD_STRIPS_SQFT).then(|| {
        let area = words::area(Area::<Plan>::square_feet(cut.strips_sqft));
        let message = format!(
            "Strips of {area} in all between openings and the lines beside them are too narrow to be roofed, and count with the openings."
        );
        Finding::note("opening-strips", message)
    });
    let crickets = roof.openings.iter().filter_map(|o| cricket(roof, o));
    let pieces = cut.pieces.iter().map(|pieces| {
        let names: Vec<&str> = pieces.iter().map(|&f| roof.face(f).name.as_str()).collect();
        let message = format!(
            "Openings cut one face into {} pieces: {}; each is a face of its own.",
            pieces.len(),
            number::listed(&names, "and"),
        );
        let finding = Finding::note("face-in-pieces", message);
        pieces.iter().fold(finding, |finding, &f| {
            finding.place(Place::at(roof.face(f).label_at))
        })
    });
    crickets.chain(pieces).chain(strips).collect()
}
