//! Which lengths stand beside which lines of a drawing, and what they measure.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::dimension::{self, Dimension, LayerSays, Segment, Segments, Shaft, Sheet};
use super::dimension_shared;
use super::label::{self, Meaning};
use super::layer::NameRole;
use super::read::Reader;
use super::text::LengthText;
use super::words::Words;
use super::{Says, Scale, strip};
use crate::geometry::Point;
use crate::units::METRES_PER_FOOT;

/// A filled shape so many times as long as wide is a line that an exporter outlined, whatever the scale: a dimension line.
const STRIP_SLENDER: f64 = 12.0;

/// A figure without a unit is no dimension of a roof below this, in feet: 100 mm. Grid lines, details and sheets have numbers
/// under a hundred (common practice, no source).
const LEAST_BARE_FT: f64 = 0.1 / METRES_PER_FOOT;

/// The lengths of a drawing.
#[derive(Default)]
pub(super) struct Measured {
    /// Those beside lines of their own.
    pub(super) dimensions: Vec<Dimension>,
    /// Those that share a line with others.
    pub(super) shared: Vec<Dimension>,
    /// Texts of those of which nothing tells whether they are a piece's of a line or all of it.
    pub(super) in_doubt: Vec<usize>,
}

impl Reader<'_> {
    pub(super) fn segments(&self) -> Segments {
        let mut all = Vec::new();
        let mut rings: Vec<Vec<Point>> = Vec::new();
        let mut pens = BTreeMap::new();
        // No length but its own diameter stands beside a pipe.
        let shapes = self.shapes.iter().enumerate();
        for (i, shape) in shapes.filter(|&(i, _)| self.role(i) != NameRole::Pipe) {
            let layer = self.layer_says(i);
            let filled_only = shape.filled_only();
            let style = &shape.style;
            let next = pens.len();
            let pen = (&style.stroke, style.width.to_bits(), style.dashed);
            let pen = *pens.entry(pen).or_insert(next);
            let segment = |(a, b): (Point, Point), ring: Option<usize>| Segment {
                a,
                b,
                shape: i,
                pen,
                layer,
                filled_only: filled_only && ring.is_some(),
                ring,
            };
            for outline in &shape.outlines {
                let centre_line = filled_only
                    .then(|| outline.flatten(f64::INFINITY, 0.0))
                    .and_then(|chain| strip::centre_line(&chain.points, STRIP_SLENDER));
                match centre_line {
                    Some(([a, b], _)) => all.push(segment((a, b), None)),
                    None => {
                        let chords: Vec<(Point, Point)> = outline.chords(filled_only).collect();
                        let closed = match (chords.first(), chords.last()) {
                            (Some(first), Some(last)) => filled_only || first.0 == last.1,
                            _ => false,
                        };
                        let ring = closed.then_some(rings.len());
                        if closed {
                            rings.push(chords.iter().map(|c| c.0).collect());
                        }
                        all.extend(chords.into_iter().map(|c| segment(c, ring)));
                    }
                }
            }
        }
        let texts = self.words.iter().zip(&self.meanings);
        let lengths = texts.filter(|(_, meaning)| matches!(meaning, Meaning::Length(_)));
        Segments::new(all, rings, lengths.map(|(w, _)| w.middle()).collect())
    }

    /// The lengths beside lines.
    pub(super) fn dimensions(&self) -> Measured {
        if !self
            .meanings
            .iter()
            .any(|m| matches!(m, Meaning::Length(_)))
        {
            return Measured::default();
        }
        let segments = self.segments();
        let pitches = self.pitches();
        let sheet = Sheet {
            segments: &segments,
            pitches: &pitches,
        };
        let beside: Vec<(usize, LengthText, Shaft)> = self
            .meanings
            .iter()
            .enumerate()
            .filter_map(|(i, meaning)| {
                let Meaning::Length(length) = meaning else {
                    return None;
                };
                let words = &self.words[i];
                let role = self.elements[words.element].says.role;
                if !self.may_measure(words, *length) {
                    return None;
                }
                let text_layer = match role {
                    NameRole::Dimension => LayerSays::Dimension,
                    role if role.is_left_out() => LayerSays::LeftOut,
                    _ => LayerSays::Nothing,
                };
                let shaft = dimension::shaft_of(words, *length, &segments, text_layer)?;
                Some((i, *length, shaft))
            })
            .collect();
        let shafts: Vec<Shaft> = beside.iter().map(|b| b.2.clone()).collect();
        let in_doubt = beside.iter().filter(|(_, _, shaft)| shaft.in_doubt);
        let measured = beside.iter().filter_map(|(i, length, shaft)| {
            dimension::measure(*i, &self.words[*i], *length, shaft, &shafts, sheet)
        });
        let (dimensions, shared) = dimension_shared::apart(measured.collect(), &self.words);
        Measured {
            dimensions,
            shared,
            in_doubt: in_doubt.map(|b| b.0).collect(),
        }
    }

    /// Whether a length may be that of a line beside it. On a layer of dimensions every figure may; elsewhere a small one
    /// without a unit numbers something, such as a grid line.
    pub(super) fn may_measure(&self, words: &Words, length: LengthText) -> bool {
        match self.elements[words.element].says.role {
            NameRole::Pipe => false,
            NameRole::Dimension => true,
            _ => label::has_unit(&words.text) || length.feet >= LEAST_BARE_FT,
        }
    }

    /// Where the roof's pitches are written, those that cannot be read too.
    fn pitches(&self) -> Vec<Point> {
        let all = self.words.iter().zip(&self.meanings);
        all.filter(|(words, meaning)| {
            let left_out = self.elements[words.element].says.role.is_left_out();
            let pitch = matches!(
                meaning,
                Meaning::Roof(Says::Pitch { .. })
                    | Meaning::Side(..)
                    | Meaning::Spoilt
                    | Meaning::NearPitch
            );
            pitch && !left_out
        })
        .map(|(words, _)| words.middle())
        .collect()
    }

    /// The dimensions in plan feet.
    pub(super) fn stated(&self, dimensions: &[Dimension], scale: &Scale) -> Vec<super::Dimension> {
        dimensions
            .iter()
            .map(|d| {
                let words = &self.words[d.words];
                super::Dimension {
                    stated_ft: d.length.feet,
                    half_step_ft: d.length.step_ft / 2.0,
                    from: scale.to_plan(d.from),
                    to: scale.to_plan(d.to),
                    text: words.text.clone(),
                    source: Arc::clone(&self.elements[words.element].source),
                }
            })
            .collect()
    }
}
