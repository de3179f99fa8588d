//! From a drawing to its maps, one a level.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::assemble::{FaceKind, assemble, is_left_over, touches_outside};
use super::attempt::Attempt;
use super::ladder::climb;
use super::piece::{Piece, pieces};
use super::{LabelledPitch, PlanMap};
use crate::drawing::{Drawing, Label, Role, Says, Stroke};
use crate::geometry::Point;
use crate::units::Pitch;
use crate::{Finding, Place, Severity};

/// What the map of a drawing depends on besides the drawing.
#[derive(Clone, Debug, Default)]
pub struct MapOptions {
    /// The snap tolerance in feet; `None` finds the one that the drawing asks for.
    pub tolerance_ft: Option<f64>,
    /// The pitch of every face that carries no label.
    pub default_pitch: Option<Pitch>,
}

/// The maps of all levels, the lowest first.
///
/// # Errors
/// Every reason why the lines and labels do not make a roof plan: lines that do not close, faces without a pitch or
/// with two.
pub fn build(drawing: &Drawing, options: &MapOptions) -> Result<Vec<PlanMap>, Vec<Finding>> {
    let said = drawing.strokes.iter().any(|s| s.role == Role::Roof);
    let wanted = if said { Role::Roof } else { Role::Unsaid };
    let strokes: Vec<&Stroke> = drawing
        .strokes
        .iter()
        .filter(|s| s.role == wanted)
        .collect();
    let levels: BTreeSet<u32> = strokes.iter().map(|s| s.level).collect();
    if levels.is_empty() {
        return Err(vec![
            Finding::error(
                "no-roof-lines",
                "The drawing has no lines that could be a roof.",
            )
            .remedy("Draw the roof's outline and its hips, valleys and ridges as visible lines."),
        ]);
    }
    let mut maps = Vec::new();
    let mut errors = Vec::new();
    for level in levels {
        let here: Vec<&Stroke> = strokes
            .iter()
            .copied()
            .filter(|s| s.level == level)
            .collect();
        let map = build_level(drawing, &here, level, options);
        let (bad, rest): (Vec<_>, Vec<_>) = map
            .findings
            .iter()
            .cloned()
            .partition(|f| f.severity == Severity::Error);
        errors.extend(bad);
        maps.push(PlanMap {
            findings: rest,
            ..map
        });
    }
    if errors.is_empty() {
        Ok(maps)
    } else {
        Err(errors)
    }
}

/// A pitch label and where it counts.
struct PitchLabel<'a> {
    label: &'a Label,
    pitch: Pitch,
    half_step: f64,
    at: Point,
}

fn pitch_labels(drawing: &Drawing, level: u32) -> Vec<PitchLabel<'_>> {
    let of_level = drawing.labels.iter().filter(|l| l.level == level);
    of_level
        .filter_map(|label| match label.says {
            Says::Pitch { pitch, half_step } => Some(PitchLabel {
                label,
                pitch,
                half_step,
                at: label.points_at.unwrap_or(label.at),
            }),
            _ => None,
        })
        .collect()
}

fn build_level(
    drawing: &Drawing,
    strokes: &[&Stroke],
    level: u32,
    options: &MapOptions,
) -> PlanMap {
    let pieces = pieces(strokes);
    let labels = pitch_labels(drawing, level);
    let places: Vec<Point> = labels.iter().map(|l| l.at).collect();
    let attempt = climb(&pieces, &places, options.tolerance_ft);
    let mut findings = Vec::new();
    let kinds = kinds(&attempt, &labels, options, &mut findings);
    let mut map = assemble(&attempt, &kinds, &pieces, strokes, level);
    map.largest_move = largest_move(&attempt, &pieces);
    for arrow in drawing.falls.iter().filter(|a| a.level == level) {
        let finder = super::labels::FaceFinder::new(&attempt.sub);
        let Some(face) = finder.at(arrow.from.midpoint(arrow.to)) else {
            continue;
        };
        let index = kinds[..face]
            .iter()
            .filter(|k| matches!(k, FaceKind::Roof(_)))
            .count();
        if matches!(kinds[face], FaceKind::Roof(_)) {
            map.faces[index].fall_hint = (arrow.to - arrow.from).unit();
        }
    }
    map.findings = findings;
    map
}

/// What each face is, from the labels in it.
fn kinds(
    attempt: &Attempt,
    labels: &[PitchLabel<'_>],
    options: &MapOptions,
    findings: &mut Vec<Finding>,
) -> Vec<FaceKind> {
    let mut inside: Vec<Vec<&PitchLabel<'_>>> = vec![Vec::new(); attempt.sub.faces.len()];
    for (label, face) in labels.iter().zip(&attempt.label_face) {
        match face {
            Some(face) => inside[*face].push(label),
            None => findings.push(
                Finding::warning(
                    "label-outside",
                    format!(
                        "The pitch {} stands in no face of the roof.",
                        label.label.text
                    ),
                )
                .remedy("Move it into its face, or check that the lines round it close.")
                .place(Place::on(&label.label.source, label.at)),
            ),
        }
    }
    let outside = touches_outside(attempt);
    let mut kinds = Vec::new();
    for (face, inside) in inside.iter().enumerate() {
        kinds.push(kind(
            attempt,
            face,
            inside,
            outside[face],
            options,
            findings,
        ));
    }
    kinds
}

fn kind(
    attempt: &Attempt,
    face: usize,
    inside: &[&PitchLabel<'_>],
    outside: bool,
    options: &MapOptions,
    findings: &mut Vec<Finding>,
) -> FaceKind {
    let sub = &attempt.sub;
    if !attempt.in_roof[face] {
        return FaceKind::Not;
    }
    let corners = sub.corners(&sub.faces[face][0]);
    let place = Place::at(crate::geometry::ring::centroid(&corners));
    let Some(first) = inside.first() else {
        if is_left_over(attempt, face) {
            return FaceKind::Not;
        }
        if let Some(pitch) = options.default_pitch {
            return FaceKind::Roof(Some(LabelledPitch {
                pitch,
                half_step: 0.0,
                source: None,
            }));
        }
        let area = sub.area(face);
        if outside {
            findings.push(
                Finding::error(
                    "face-without-pitch",
                    format!("A face of {area:.0} ft² in plan has no pitch in it."),
                )
                .remedy("Write its pitch inside it, or give --pitch for all faces without one.")
                .place(place),
            );
        } else {
            findings.push(
                Finding::warning(
                    "taken-for-courtyard",
                    format!("An area of {area:.0} ft² inside the roof has no pitch in it and was taken for a courtyard."),
                )
                .remedy("If it is a face of the roof, write its pitch inside it.")
                .place(place),
            );
        }
        return FaceKind::Not;
    };
    if let Some(other) = inside.iter().find(|l| l.pitch != first.pitch) {
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
    FaceKind::Roof(Some(LabelledPitch {
        pitch: first.pitch,
        half_step: first.half_step,
        source: Some(Arc::clone(&first.label.source)),
    }))
}

/// The largest distance from a drawn end to its node, with that node's place.
fn largest_move(attempt: &Attempt, pieces: &[Piece]) -> Option<(f64, Point)> {
    let mut in_roof = vec![false; attempt.sub.nodes.len()];
    for (half, face) in attempt.sub.left.iter().enumerate() {
        if face.is_some_and(|f| attempt.in_roof[f]) {
            in_roof[attempt.sub.start(half)] = true;
        }
    }
    let mut largest: Option<(f64, Point)> = None;
    for (node, ends) in attempt.net.ends.iter().enumerate() {
        let at = attempt.net.nodes[node];
        for &(piece, side) in ends.iter().filter(|_| in_roof[node]) {
            let moved = pieces[piece].ends[side].distance(at);
            if moved > 0.0 && largest.is_none_or(|(most, _)| moved > most) {
                largest = Some((moved, at));
            }
        }
    }
    largest
}
