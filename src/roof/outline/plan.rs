//! From the outlines that a plan has to maps of built roofs.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::drawing::Drawing;
use crate::geometry::{Point, ring};
use crate::roof::map::{MapFace, OutlinePlan, PlanMap, SidePlan, share_openings};
use crate::{Finding, Place};

use super::align::align;
use super::curves;
use super::eaves::parted_by_overhang;
use super::input::Rises;
use super::{OutlineInput, OutlineRules, OutlineSide, build, offset_to_eaves, to_plan_map};

/// How outlines are built into roofs.
#[derive(Clone, Debug, Default)]
pub struct OutlineOptions {
    /// The rules of the construction.
    pub rules: OutlineRules,
    /// Where the outline follows the outside of the walls: how far eaves and rakes reach beyond it in plan, in feet.
    pub walls: Option<Overhangs>,
}

/// How far a roof reaches beyond the outside face of the walls, in plan feet; `None` where nobody said, and the roof is
/// taken to end at the wall.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Overhangs {
    /// At eaves.
    pub eave_ft: Option<f64>,
    /// At gable ends.
    pub rake_ft: Option<f64>,
}

/// A face narrower than this, as area over what is round it in feet, is less than a pencil line.
const NO_WIDTH_FT: f64 = 1e-4;

/// Faces of two eaves that all but lie on one line meet where corners of theirs are nearer than this, in feet: between them runs
/// at most a strip as wide as the eaves are apart.
const MEET_WITHIN_FT: f64 = 1.0;

/// Builds the roof of every outline that the maps hold; each becomes a map of its own with faces, and the outlines are
/// taken out. What was noticed is told in the findings of the new map.
///
/// # Errors
/// Every outline that has no roof, with its reason, place and remedy; and faces that are drawn, where walls were traced.
pub fn build_outlines(
    maps: &mut Vec<PlanMap>,
    drawing: &Drawing,
    options: &OutlineOptions,
) -> Result<(), Vec<Finding>> {
    let mut built: Vec<PlanMap> = Vec::new();
    let mut errors = Vec::new();
    for map in maps.iter_mut() {
        let outlines = std::mem::take(&mut map.outlines);
        for outline in outlines {
            match roof_map(&outline, map.level, map.tolerance_ft, options) {
                Ok(roof) => built.push(roof),
                Err(findings) => errors.extend(findings),
            }
        }
    }
    if options.walls.is_some() {
        errors.extend(maps.iter().find_map(drawn_on_walls));
    }
    if !errors.is_empty() {
        errors.extend(maps.iter().flat_map(|m| m.findings.clone()));
        return Err(errors);
    }
    let levels: BTreeSet<u32> = built.iter().map(|m| m.level).collect();
    maps.append(&mut built);
    for level in levels {
        let mut here: Vec<&mut PlanMap> = maps.iter_mut().filter(|m| m.level == level).collect();
        share_openings(&mut here, drawing);
    }
    Ok(())
}

/// Eaves and rakes are moved out from walls where hips, valleys and ridges are built; lines that are drawn stay where
/// they are, and a roof measured between walls is too small.
fn drawn_on_walls(map: &PlanMap) -> Option<Finding> {
    let drawn = map.faces.iter().find(|face| face.pitch.is_some())?;
    let corners = map.corners(drawn.rings.first()?);
    let told = Finding::error(
        "walls-with-drawn-faces",
        "The plan is said to be traced on the walls, but its faces are drawn: only the outline of walls alone is moved out by the overhang.",
    )
    .remedy("Draw the outline of the walls alone, with the pitches at its sides; or trace the edges of the eaves and rakes, and take `traced = \"walls\"` out of the job file.");
    Some(match corners.first() {
        Some(&corner) => told.place(Place::at(corner)),
        None => told,
    })
}

fn roof_map(
    outline: &OutlinePlan,
    level: u32,
    tolerance_ft: f64,
    options: &OutlineOptions,
) -> Result<PlanMap, Vec<Finding>> {
    let sides: Vec<&SidePlan> = outline.sides.iter().flatten().collect();
    let ends: Vec<(Point, Point)> = outline
        .rings
        .iter()
        .flat_map(|ring| ring::sides(ring))
        .collect();
    let place_of = |side: usize| -> Place {
        let middle = ends.get(side).map(|(a, b)| a.midpoint(*b));
        let source = sides.get(side).and_then(|s| s.sources.first());
        Place {
            source: source.map(Arc::clone),
            at: middle,
        }
    };
    let drawn = OutlineInput {
        rings: rings(outline, &place_of)?,
    };
    let mut aligned = align(drawn, tolerance_ft);
    let mut input = std::mem::take(&mut aligned.input);
    let mut noticed = Vec::new();
    let refuse = |problem: super::OutlineProblem| vec![problem.to_finding(place_of)];
    if let Some(overhangs) = options.walls {
        noticed.extend(said_overhangs(&input, overhangs));
        let overhang_ft = overhang_of(&input, overhangs);
        let moved_ft = curves::moved_out(&overhang_ft, &sides);
        let mut eaves = offset_to_eaves(&input, |side| moved_ft[side]).map_err(refuse)?;
        curves::lower(&mut eaves, &overhang_ft, &moved_ft);
        noticed.extend(parted_by_overhang(&input, &eaves));
        input = eaves;
    }
    let roof = build(&input, &options.rules).map_err(refuse)?;
    let mut map = to_plan_map(&roof, level, |side| {
        sides.get(side).and_then(|s| s.pitch.clone())
    })
    .map;
    map.tolerance_ft = tolerance_ft;
    map.round_sides = curves::curves(&roof, &sides);
    let slivers: Vec<Finding> = map.faces.iter().filter_map(|f| sliver(&map, f)).collect();
    if !slivers.is_empty() {
        return Err(slivers);
    }
    let counted = roof.nodes.len();
    map.findings.push(
        Finding::note(
            "roof-built-from-outline",
            format!(
                "Only an outline of {} sides is drawn here: hips, valleys and ridges were built from the pitches of its sides ({counted} corners), and the result was proven.",
                sides.len()
            ),
        )
        .place(place_of(0)),
    );
    let corners = |side: usize| {
        roof.sides[side]
            .corners
            .iter()
            .map(|&c| roof.nodes[c].plan())
    };
    let meet = |[a, b]: [usize; 2]| {
        corners(a).any(|p| corners(b).any(|q| p.distance(q) <= MEET_WITHIN_FT))
    };
    noticed.extend(aligned.findings(place_of, meet));
    noticed.extend(roof.notes.iter().map(|n| n.to_finding(&roof, place_of)));
    noticed.extend(curves::told(&roof, &sides));
    map.findings.extend(noticed);
    Ok(map)
}

/// A face that came out without any width: its planes meet in a way that the digits of the drawing decide.
fn sliver(map: &PlanMap, face: &MapFace) -> Option<Finding> {
    let corners = map.corners(face.rings.first().map_or(&[], |ring| ring));
    let around = ring::perimeter(&corners);
    if corners.len() >= 3 && ring::signed_area(&corners) > NO_WIDTH_FT * around {
        return None;
    }
    let told = Finding::error(
        "outline-face-without-width",
        "A face of the roof over this outline came out without any width: sides of the outline come level there by a hair, and the drawing does not say which of them goes on.",
    )
    .remedy("Draw sides that belong together on one line and alongside each other, or draw the ridges, hips and valleys.");
    Some(match corners.first() {
        Some(&corner) => told.place(Place::at(corner)),
        None => told,
    })
}

/// The sides with what rises from them.
fn rings(
    outline: &OutlinePlan,
    place_of: &impl Fn(usize) -> Place,
) -> Result<Vec<Vec<OutlineSide>>, Vec<Finding>> {
    let mut missing = Vec::new();
    let mut index = 0;
    let mut rings = Vec::new();
    for (corners, sides) in outline.rings.iter().zip(&outline.sides) {
        let mut ring = Vec::new();
        for (&start, side) in corners.iter().zip(sides) {
            let rises = match (&side.pitch, side.gable, side.wall) {
                (_, true, _) => Rises::Gable,
                (_, _, true) => Rises::Wall,
                (Some(label), ..) => Rises::Eave(label.pitch),
                (None, ..) => {
                    missing.push(
                        Finding::error("side-without-pitch", "A side of the outline has no pitch.")
                            .remedy("Write its pitch beside it, `gable` or `wall`, or one pitch in the middle for all sides, or give --pitch.")
                            .place(place_of(index)),
                    );
                    Rises::Gable
                }
            };
            ring.push(OutlineSide {
                start,
                rises,
                eave_height_ft: side.eave_height_ft.unwrap_or(0.0),
            });
            index += 1;
        }
        rings.push(ring);
    }
    if missing.is_empty() {
        Ok(rings)
    } else {
        Err(missing)
    }
}

/// Walls were traced, but nobody said how far the roof reaches beyond those of its eaves, or of its gable ends.
fn said_overhangs(input: &OutlineInput, overhangs: Overhangs) -> Vec<Finding> {
    let has = |is: fn(&Rises) -> bool| input.rings.iter().flatten().any(|side| is(&side.rises));
    let needed = [
        (
            "eave_overhang",
            overhangs.eave_ft,
            has(|r| matches!(r, Rises::Eave(_))),
        ),
        (
            "rake_overhang",
            overhangs.rake_ft,
            has(|r| matches!(r, Rises::Gable)),
        ),
    ];
    let unsaid = needed
        .into_iter()
        .filter(|(_, reach, is_needed)| reach.is_none() && *is_needed);
    unsaid
        .map(|(key, ..)| {
            Finding::warning(
                "walls-without-overhang",
                format!("The outline was traced on the walls, and `{key}` is not said: the roof was taken to end at the wall there."),
            )
            .remedy(format!("Say `{key}` under [plan] in the job file; \"0in\" where there is none."))
        })
        .collect()
}

fn overhang_of(input: &OutlineInput, overhangs: Overhangs) -> Vec<f64> {
    let sides = input.rings.iter().flatten();
    sides
        .map(|side| match side.rises {
            Rises::Eave(_) => overhangs.eave_ft.unwrap_or(0.0),
            Rises::Gable => overhangs.rake_ft.unwrap_or(0.0),
            Rises::Wall => 0.0,
        })
        .collect()
}
