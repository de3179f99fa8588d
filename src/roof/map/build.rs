//! From a drawing to its maps, one a level.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::assemble::assemble;
use super::kinds::{Context, kinds};
use super::labels::{FaceFinder, Spot};
use super::ladder::climb;
use super::openings::place_openings;
use super::outline::take_outlines;
use super::piece::pieces;
use super::walls::mark_walls;
use super::{LabelledPitch, PlanMap, arrows, tell};
use crate::drawing::{Drawing, Label, Role, Says, Stroke};
use crate::geometry::Point;
use crate::units::Pitch;
use crate::{Finding, Severity};

/// What the map of a drawing depends on besides the drawing.
#[derive(Clone, Debug, Default)]
pub struct MapOptions {
    /// The snap tolerance in feet; `None` finds the one that the drawing asks for.
    pub tolerance_ft: Option<f64>,
    /// The pitch of every face, or side of an outline, that carries no label.
    pub default_pitch: Option<Pitch>,
    /// Take every face that stands alone for the outline of a whole roof.
    pub outline: bool,
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
    build_from(drawing, &strokes, options)
}

/// The maps of all levels from a choice of the drawing's strokes.
///
/// # Errors
/// As for [`build`].
pub fn build_from(
    drawing: &Drawing,
    strokes: &[&Stroke],
    options: &MapOptions,
) -> Result<Vec<PlanMap>, Vec<Finding>> {
    let levels: BTreeSet<u32> = strokes.iter().map(|s| s.level).collect();
    let mut maps = Vec::new();
    let mut errors = Vec::new();
    for level in levels {
        let here: Vec<&Stroke> = strokes
            .iter()
            .copied()
            .filter(|s| s.level == level)
            .collect();
        let mut map = build_level(drawing, &here, level, options);
        let (bad, rest): (Vec<_>, Vec<_>) = std::mem::take(&mut map.findings)
            .into_iter()
            .partition(|f| f.severity == Severity::Error);
        map.findings = rest;
        errors.extend(bad);
        maps.push(map);
    }
    if errors.is_empty()
        && maps
            .iter()
            .all(|m| m.faces.is_empty() && m.outlines.is_empty())
    {
        errors.push(nothing(drawing, strokes));
    }
    if errors.is_empty() {
        Ok(maps)
    } else {
        Err(errors)
    }
}

fn nothing(drawing: &Drawing, strokes: &[&Stroke]) -> Finding {
    if strokes.is_empty() {
        return Finding::error(
            "no-roof-lines",
            "The drawing has no lines that could be a roof.",
        )
        .remedy("Draw the roof's outline and its hips, valleys and ridges as visible lines.");
    }
    let labelled = drawing
        .labels
        .iter()
        .any(|l| matches!(l.says, Says::Pitch { .. }));
    if labelled {
        return Finding::error(
            "no-face-closes",
            "The lines of the drawing close round none of its pitches.",
        )
        .remedy("Draw the outline of every face closed, and write its pitch inside it.");
    }
    Finding::error("no-pitch", "The drawing has no pitch that can be read.")
        .remedy("Write the pitch (6/12, 26.6°, 50%) inside every face as text, or give --pitch for all of them.")
}

/// A pitch label and where it counts.
pub(super) struct PitchLabel<'a> {
    pub(super) label: &'a Label,
    pub(super) pitch: Pitch,
    pub(super) half_step: f64,
    pub(super) at: Point,
}

impl PitchLabel<'_> {
    pub(super) fn as_pitch(&self) -> LabelledPitch {
        LabelledPitch {
            pitch: self.pitch,
            half_step: self.half_step,
            source: Some(Arc::clone(&self.label.source)),
        }
    }

    /// A letter is about half as wide as the text is high; the ends of the text lie a letter's half within.
    fn spot(&self) -> Spot {
        let half =
            self.label.height_ft * 0.25 * (self.label.text.chars().count() as f64 - 1.0).max(0.0);
        let others = if self.label.points_at.is_some() {
            Vec::new()
        } else {
            [-half, half]
                .map(|d| Point::new(self.at.x + d, self.at.y))
                .to_vec()
        };
        Spot {
            at: self.at,
            others,
        }
    }
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
    let spots: Vec<Spot> = labels.iter().map(PitchLabel::spot).collect();
    let attempt = climb(&pieces, &spots, options.tolerance_ft);
    let side_labels: Vec<Point> = drawing
        .labels
        .iter()
        .filter(|l| {
            l.level == level && matches!(l.says, Says::Gable | Says::Wall | Says::EaveHeight(_))
        })
        .map(|l| l.points_at.unwrap_or(l.at))
        .collect();
    let context = Context {
        attempt: &attempt,
        pieces: &pieces,
        strokes,
        labels: &labels,
        side_labels: &side_labels,
        options,
    };
    let kinds = kinds(&context);
    let (mut map, face_index) = assemble(&context, &kinds, level);
    map.findings = kinds.findings.clone();
    tell::open_lines(&context, &kinds.parts, &mut map.findings);
    map.largest_move = tell::mending(&context, &kinds.parts, &mut map.findings);
    let finder = FaceFinder::new(&attempt.sub);
    arrows::place_arrows(&mut map, drawing, |p| {
        finder.at(p).and_then(|f| face_index[f])
    });
    mark_walls(&mut map, drawing);
    let alone: Vec<bool> = (0..face_index.len())
        .filter(|&f| face_index[f].is_some())
        .map(|f| kinds.alone[f])
        .collect();
    take_outlines(&mut map, &alone, drawing, options);
    place_openings(&mut map, drawing, kinds.openings);
    map
}
