//! From a drawing to its maps, one a level.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::assemble::assemble;
use super::dashed::tell_beneath;
use super::kinds::{Context, kinds};
use super::labels::{FaceFinder, Spot};
use super::ladder::climb;
use super::openings::place_openings;
use super::outline::{Owned, take_outlines, tell_unread};
use super::piece::pieces;
use super::select::{StrokeSet, candidates};
use super::self_crossing::self_crossings;
use super::text_frames::{Letters, tell_frames};
use super::twice::drawn_twice;
use super::walls::mark_walls;
use super::{LabelledPitch, PlanMap, arrows, tell};
use crate::drawing::{Drawing, Label, Says, Stroke};
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
    let first = candidates(drawing, options).into_iter().next();
    build_from(drawing, &first.unwrap_or_default(), options)
}

/// The maps of all levels from a choice of the drawing's strokes.
///
/// # Errors
/// As for [`build`].
pub fn build_from(
    drawing: &Drawing,
    set: &StrokeSet,
    options: &MapOptions,
) -> Result<Vec<PlanMap>, Vec<Finding>> {
    let strokes: Vec<&Stroke> = set.strokes.iter().map(|&i| &drawing.strokes[i]).collect();
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
    let asked = set.findings.iter().cloned();
    let (asked, told): (Vec<Finding>, Vec<Finding>) =
        asked.partition(|f| f.severity == Severity::Error);
    if let Some(map) = maps.first_mut() {
        map.findings.splice(0..0, told);
    }
    errors.splice(0..0, asked);
    if errors.is_empty()
        && maps
            .iter()
            .all(|m| m.faces.is_empty() && m.outlines.is_empty())
    {
        errors.push(nothing(drawing, &strokes));
    }
    if errors.is_empty() {
        Ok(maps)
    } else {
        // A shape that crosses itself often is the reason for the rest. Where the lines make faces all the same, the
        // crossing was a corner of two of them.
        errors.splice(0..0, self_crossings(&strokes));
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

    fn spot(&self) -> Spot {
        if self.label.points_at.is_some() {
            return Spot {
                at: self.at,
                others: Vec::new(),
                letters: None,
            };
        }
        let [start, end] = self.label.baseline;
        Spot {
            at: self.at,
            others: vec![start.midpoint(end), start, end],
            letters: Some(Letters {
                at: self.label.at,
                baseline: self.label.baseline,
                height_ft: self.label.height_ft,
            }),
        }
    }
}

/// Where the pitch labels of a level stand.
pub(super) fn spots(drawing: &Drawing, level: u32) -> Vec<Spot> {
    let labels = pitch_labels(drawing, level);
    labels.iter().map(PitchLabel::spot).collect()
}

/// The pitch labels of a level.
pub(super) fn pitch_labels(drawing: &Drawing, level: u32) -> Vec<PitchLabel<'_>> {
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
    let spots = spots(drawing, level);
    let attempt = climb(&pieces, &spots, options.tolerance_ft);
    let side_labels: Vec<&Label> = drawing
        .labels
        .iter()
        .filter(|l| {
            l.level == level && matches!(l.says, Says::Gable | Says::Wall | Says::EaveHeight(_))
        })
        .collect();
    let context = Context {
        drawing,
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
    map.findings.extend(tell::too_small(&map));
    map.findings.extend(attempt.tangled_at.map(tell::tangled));
    map.findings.extend(tell_frames(&attempt));
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
    let face_at = |p: Point| finder.at(p).and_then(|f| face_index[f]);
    let of_faces = labels
        .iter()
        .zip(&attempt.label_face)
        .map(|(l, face)| Owned {
            label: l.label,
            face: face.and_then(|f| face_index[f]),
            speaks_of: None,
        });
    let of_sides = side_labels.iter().map(|&label| Owned {
        label,
        face: face_at(label.points_at.unwrap_or(label.at)),
        speaks_of: None,
    });
    let mut owned: Vec<Owned<'_>> = of_faces.chain(of_sides).collect();
    let beneath = tell_beneath(drawing, level, strokes, |p| face_at(p).is_some());
    map.findings.extend(beneath);
    take_outlines(&mut map, &alone, &mut owned, options);
    tell_unread(&mut map, drawing);
    map.findings.extend(drawn_twice(&map, drawing));
    // An outline has no faces yet to put anything in: whoever builds its roof places the openings then.
    if map.outlines.is_empty() {
        place_openings(&mut map, drawing);
    }
    map
}
