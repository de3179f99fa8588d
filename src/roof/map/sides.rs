//! What the labels say of the sides of an outline: each speaks of its own side, or in the middle of all of them.

use std::sync::Arc;

use super::bare_sides;
use super::between;
use super::build::MapOptions;
use super::curved::{self, Parted};
use super::flush;
use super::heights;
use super::kinds::default_pitch;
use super::nearly_straight;
use super::outline::{AtSide, OutlinePlan, SidePlan, place_of, reach};
use super::{DirectedEdge, LabelledPitch, PlanMap};
use crate::drawing::{Label, Says};
use crate::geometry::{Point, ring};
use crate::units::Pitch;
use crate::units::words::{self, feet};
use crate::{Finding, Place};

/// Inside, a label at a side is also nearer to it than this share of the roomiest place's distance.
const BESIDE_SHARE: f64 = 0.5;

/// The outline with what is written at its sides.
pub(super) fn plan(
    map: &PlanMap,
    face: usize,
    rings: &[Vec<Point>],
    near: &[AtSide<'_>],
    options: &MapOptions,
) -> (OutlinePlan, Vec<Finding>) {
    let (parted, mut findings) = parted(map, face, rings);
    let mut sides: Vec<Vec<SidePlan>> = (parted.iter().zip(&map.faces[face].rings))
        .map(|(parted, ring)| {
            let drawn = parted.drawn.iter().zip(&parted.facets);
            drawn
                .map(|(&drawn, facet)| SidePlan {
                    facet: facet.clone(),
                    ..blank(map, ring[drawn])
                })
                .collect()
        })
        .collect();
    let roomiest = roomiest(rings);
    let mut said = Said::default();
    let written_at = bare_sides::written_at(near, &parted, &sides, roomiest, options);
    findings.extend(written_at.findings.iter().cloned());
    for (at, &side) in near.iter().zip(&written_at.sides) {
        let side = &mut sides[at.ring][side];
        said.take(at, side, roomiest, &mut findings);
    }
    sides.iter_mut().for_each(|ring| say_all_round(ring));
    let rings: Vec<Vec<Point>> = parted.into_iter().map(|parted| parted.corners).collect();
    let place_of = |ring: usize, side: usize| {
        let corners = &rings[ring];
        Place::at(corners[side].midpoint(corners[(side + 1) % corners.len()]))
    };
    // What is told of a curve is told once.
    let is_first: Vec<Vec<bool>> = sides.iter().map(|ring| firsts(ring)).collect();
    let rest = said.pitch.or(options.default_pitch.map(default_pitch));
    for (r, ring) in sides.iter_mut().enumerate() {
        for (i, side) in ring.iter_mut().enumerate() {
            if is_first[r][i] {
                findings.extend(pitch_at_still_side(side));
                findings.extend(height_at_still_side(side, || place_of(r, i)));
            }
            side.pitch = side.pitch.take().or_else(|| rest.clone());
            if side.pitch.is_none() && !side.is_still() && is_first[r][i] {
                findings.push(
                    Finding::error("side-without-pitch", "A side of the outline has no pitch.")
                        .remedy("Write its pitch (or gable, or wall) beside it, or one pitch in the middle for all sides.")
                        .place(place_of(r, i)),
                );
            }
        }
    }
    findings.extend(between::ask(
        near,
        &rings,
        &sides,
        &written_at.sides,
        roomiest,
        rest.as_ref(),
    ));
    findings.extend(flush::two_roofs_in_line(
        map,
        near,
        &rings,
        &sides,
        &written_at.sides,
        roomiest,
    ));
    findings.extend(pitch_of_no_side(near, roomiest, &sides));
    findings.extend(heights::settle(&mut sides, said.eave_height_ft, place_of));
    (OutlinePlan { rings, sides }, findings)
}

/// Of every side whether it is no later facet of a curve.
pub(super) fn firsts(ring: &[SidePlan]) -> Vec<bool> {
    let curve = |i: usize| ring[i].facet.as_ref().map(|facet| facet.curve);
    (0..ring.len())
        .map(|i| curve(i).is_none() || i == 0 || curve(i - 1) != curve(i))
        .collect()
}

/// The rings of a face with their curves parted into facets, without corners that stand a hair off a straight side.
fn parted(map: &PlanMap, face: usize, rings: &[Vec<Point>]) -> (Vec<Parted>, Vec<Finding>) {
    let mut curves = 0;
    let mut all = Vec::new();
    let mut told = Vec::new();
    for (ring, corners) in map.faces[face].rings.iter().zip(rings) {
        let is_round: Vec<bool> = ring
            .iter()
            .map(|&side| map.round_nodes.binary_search(&map.ends(side).0).is_ok())
            .collect();
        let parted = curved::part(corners, &is_round, curves);
        let last = parted.facets.iter().flatten().map(|facet| facet.curve + 1);
        curves = last.fold(curves, usize::max);
        let on_wall = |side: usize| map.edges[ring[parted.drawn[side]].edge].on_wall;
        let walls: Vec<bool> = (0..parted.drawn.len()).map(on_wall).collect();
        let (parted, taken_out) = nearly_straight::take_out(parted, |corner| {
            walls[corner] != walls[(corner + walls.len() - 1) % walls.len()]
        });
        told.extend(taken_out);
        all.push(parted);
    }
    (all, told)
}

/// What is written at a curve holds for all its facets.
fn say_all_round(ring: &mut [SidePlan]) {
    let mut first: Option<SidePlan> = None;
    for side in ring {
        let Some(facet) = &side.facet else { continue };
        let of_curve = first.as_ref().and_then(|f| f.facet.as_ref());
        if of_curve.is_some_and(|f| f.curve == facet.curve) {
            if let Some(first) = &first {
                *side = SidePlan {
                    facet: side.facet.take(),
                    ..first.clone()
                };
            }
        } else {
            first = Some(side.clone());
        }
    }
}

/// What is written in the middle of an outline, for all sides that have nothing of their own.
#[derive(Default)]
struct Said {
    pitch: Option<LabelledPitch>,
    eave_height_ft: Option<f64>,
}

impl Said {
    /// Takes a label in, for its side or for all. One that contradicts an earlier one is told.
    fn take(
        &mut self,
        at: &AtSide<'_>,
        side: &mut SidePlan,
        roomiest: f64,
        findings: &mut Vec<Finding>,
    ) {
        let label = at.label;
        let where_it_is = |beside: bool| {
            if beside {
                "side of the outline"
            } else {
                "outline in the middle"
            }
        };
        match label.says {
            Says::Gable | Says::Wall if !is_of_its_side(at, roomiest) => {
                findings.push(of_no_side(label));
            }
            Says::Gable if side.wall => findings.push(contradiction(label, "a wall")),
            Says::Wall if side.gable => findings.push(contradiction(label, "a gable")),
            Says::Gable => side.gable = true,
            Says::Wall => side.wall = true,
            Says::EaveHeight(height) => {
                let beside = is_of_its_side(at, roomiest);
                let known = if beside {
                    &mut side.eave_height_ft
                } else {
                    &mut self.eave_height_ft
                };
                if *known.get_or_insert(height) != height {
                    findings.push(two_of(
                        label,
                        "two-eave-heights",
                        "eave heights",
                        where_it_is(beside),
                    ));
                }
            }
            Says::Pitch { pitch, half_step } => {
                let beside = is_beside(at, roomiest);
                let is_curve = side.facet.is_some();
                let known = if beside {
                    side.pitch_labels.push(Arc::clone(&label.source));
                    &mut side.pitch
                } else {
                    &mut self.pitch
                };
                match known {
                    Some(first) if !first.agrees(pitch, half_step) => findings.push(match beside {
                        true => two_pitches(label, first, is_curve),
                        false => two_of(label, "two-pitches", "pitches", where_it_is(beside)),
                    }),
                    Some(first) if first.counts_before(pitch, half_step) => {}
                    _ => {
                        *known = Some(LabelledPitch {
                            pitch,
                            half_step,
                            source: Some(Arc::clone(&label.source)),
                        });
                    }
                }
            }
            _ => {}
        }
    }
}

fn two_of(label: &Label, code: &'static str, what: &str, of: &str) -> Finding {
    Finding::error(
        code,
        format!("One {of} has two {what}; {} is the second.", label.text),
    )
    .remedy("Take one of them out, or move it nearer to its own side.")
    .place(Place::on(&label.source, place_of(label)))
}

/// Two pitches along one straight side, whether or not a corner is drawn between them.
fn two_pitches(label: &Label, known: &LabelledPitch, is_curve: bool) -> Finding {
    let first = words::pitch(known.pitch.to_rise_per_run());
    let at = if is_curve { "curve" } else { "straight side" };
    let told = Finding::error(
        "two-pitches",
        format!(
            "Two pitches are written at one {at} of the outline, {first} and “{}”: planes of two pitches do not meet along one eave.",
            label.text
        ),
    )
    .remedy("Write one pitch for the whole side; or step the outline where the pitch changes, so that a wall can stand between the two roofs; or, if one of the two speaks of another side, move it nearer to that one.")
    .place(Place::on(&label.source, place_of(label)));
    match &known.source {
        Some(source) => told.place(Place::of(source)),
        None => told,
    }
}

/// A side is a gable end or it ends against a wall.
fn contradiction(label: &Label, other: &str) -> Finding {
    Finding::error(
        "gable-and-wall",
        format!(
            "“{}” is written at a side of the outline that is said to be {other}.",
            label.text
        ),
    )
    .remedy("Take one of the two out, or move it nearer to its own side.")
    .place(Place::on(&label.source, place_of(label)))
}

/// In the middle, `gable` and `wall` do not say of which side.
fn of_no_side(label: &Label) -> Finding {
    Finding::error(
        "side-label-in-the-middle",
        format!(
            "“{}” stands in the middle of the outline: it does not say of which side.",
            label.text
        ),
    )
    .remedy("Write it beside its side, once for every side that it holds for.")
    .place(Place::on(&label.source, place_of(label)))
}

/// A pitch written at a gable or at a wall: the side stands still, and the pitch is told to be left out.
fn pitch_at_still_side(side: &SidePlan) -> Option<Finding> {
    let what = match (side.gable, side.wall) {
        (true, _) => "gable",
        (_, true) => "wall",
        _ => return None,
    };
    let written = side.pitch.as_ref()?;
    let rise = words::pitch(written.pitch.to_rise_per_run());
    let finding = Finding::warning(
        "pitch-at-gable",
        format!("A side of the outline is a {what} and has a pitch of {rise} beside it as well: it was built as a {what}, and the pitch left out."),
    )
    .remedy(format!(
        "Take `{what}` out if a plane rises from this side, else the pitch; a pitch for the planes beside it stands at their own sides."
    ));
    Some(match &written.source {
        Some(source) => finding.place(Place::of(source)),
        None => finding,
    })
}

/// A pitch in the middle is that of the sides without their own. Where there is none, and no side has this pitch, it is told.
fn pitch_of_no_side(
    near: &[AtSide<'_>],
    roomiest: f64,
    sides: &[Vec<SidePlan>],
) -> Option<Finding> {
    let is_used = |pitch: Pitch, half_step: f64| {
        let mut rising = sides.iter().flatten().filter(|side| !side.is_still());
        rising.any(|side| {
            side.pitch
                .as_ref()
                .is_some_and(|p| p.agrees(pitch, half_step))
        })
    };
    let unused: Vec<&Label> = near
        .iter()
        .filter(|at| !is_beside(at, roomiest))
        .filter(|at| {
            matches!(at.label.says, Says::Pitch { pitch, half_step } if !is_used(pitch, half_step))
        })
        .map(|at| at.label)
        .collect();
    let first = unused.first()?;
    let message = format!(
        "“{}” stands inside the outline beside none of its sides, and every side has a pitch of its own: it was not used.",
        first.text
    );
    let told = Finding::warning("pitch-unused", message)
        .remedy("If it is the pitch of a side, write it beside that side; if it is of a dormer or a higher roof, draw that with its pitch on a layer named upper; put a mere note on a layer named ignore.");
    let places = unused.iter().map(|l| Place::on(&l.source, place_of(l)));
    Some(super::tell::several(told, places.collect()))
}

/// The height of an eave written at a side that is none.
fn height_at_still_side(side: &SidePlan, place: impl Fn() -> Place) -> Option<Finding> {
    let height_ft = side.eave_height_ft.filter(|_| side.is_still())?;
    let what = if side.gable { "gable" } else { "wall" };
    let message = format!(
        "A side of the outline is a {what} and has the height of an eave beside it, {}: it was left out.",
        feet(height_ft)
    );
    let told = Finding::note("eave-height-at-gable", message)
        .remedy("Write it beside the eave that it speaks of.");
    Some(told.place(place()))
}

fn blank(map: &PlanMap, side: DirectedEdge) -> SidePlan {
    let edge = &map.edges[side.edge];
    SidePlan {
        wall: edge.on_wall,
        sources: edge.sources.clone(),
        ..SidePlan::default()
    }
}

/// Whether a label is written at a side and not in the middle.
pub(super) fn is_beside(at: &AtSide<'_>, roomiest: f64) -> bool {
    at.gap <= reach(at.label) && (!at.inside || at.distance <= BESIDE_SHARE * roomiest)
}

/// The same for a word that only sides have: however far it stands from its side, it is not in the middle.
pub(super) fn is_of_its_side(at: &AtSide<'_>, roomiest: f64) -> bool {
    !at.inside || at.distance <= BESIDE_SHARE * roomiest
}

/// The largest distance of a place inside from the sides, found on a grid: good to a tenth, which is enough here.
pub(super) fn roomiest(rings: &[Vec<Point>]) -> f64 {
    const STEPS: usize = 20;
    let Some(outer) = rings.first() else {
        return 0.0;
    };
    let low = outer.iter().fold((f64::INFINITY, f64::INFINITY), |m, p| {
        (m.0.min(p.x), m.1.min(p.y))
    });
    let high = outer
        .iter()
        .fold((f64::NEG_INFINITY, f64::NEG_INFINITY), |m, p| {
            (m.0.max(p.x), m.1.max(p.y))
        });
    let mut best = 0.0_f64;
    for i in 0..STEPS * STEPS {
        let step =
            |n: usize, from: f64, to: f64| from + (to - from) * (n as f64 + 0.5) / STEPS as f64;
        let p = Point::new(
            step(i % STEPS, low.0, high.0),
            step(i / STEPS, low.1, high.1),
        );
        if rings
            .iter()
            .enumerate()
            .all(|(i, r)| ring::contains(r, p) == (i == 0))
        {
            let distance = rings
                .iter()
                .flat_map(|r| ring::sides(r))
                .map(|(a, b)| p.distance_to_segment(a, b))
                .fold(f64::INFINITY, f64::min);
            best = best.max(distance);
        }
    }
    best
}
