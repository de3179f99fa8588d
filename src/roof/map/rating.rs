//! How well a choice of strokes and the labels go together.

use std::collections::BTreeSet;

use super::attempt::{Attempt, is_thin};
use super::build::{PitchLabel, pitch_labels, spots};
use super::dashed;
use super::doubled::Doubled;
use super::labels::{FaceFinder, Spot};
use super::ladder::climb;
use super::outline::{gap, reach};
use super::pens::is_called_a_roof_line;
use super::piece::pieces;
use super::select::Search;
use super::text_frames::is_text_frame;
use crate::drawing::{Label, Stroke};
use crate::geometry::{Point, ring};

/// A ring with less than this share of the area within another is a chimney or a deck, not the edge.
const LEAST_SHARE: f64 = 0.25;

/// How well a choice of groups fits the labels. The order of the fields is the order of their weight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rating {
    /// Labels without a face of their own.
    pub(super) labels_unsuited: usize,
    /// Faces of the roof without a label, and lines in faces that bound nothing.
    pub(super) faces_unsuited: usize,
    /// Lines taken that go on outside the faces to a dashed line left out, which is the roof's edge then.
    pub(super) ends_on_dashed: usize,
    /// Dashed strokes taken: of equal choices the one without is better, since drafters dash what lies beneath.
    pub(super) dashed: usize,
    /// Strokes left out on layers that are called by a line of the roof.
    pub(super) roof_lines_left_out: usize,
    /// How much of the edge is made of two lines far apart, in whole feet: one of them is no edge, but a gutter's or a fascia's.
    pub(super) doubled_ft: i64,
    /// Plan area of the faces with a label, in whole square feet, negative: of equal choices the one that covers more is
    /// better, since walls and soffits are drawn inside the roof's edge.
    pub(super) less_covered: i64,
    /// Strokes left out: of equal choices the fuller one is better, since nothing is lost in silence.
    pub(super) left_out: usize,
    /// Labels that stand beside no outline, where no face holds one.
    pub(super) not_beside: usize,
    /// Plan area of all faces where none holds a label, as in an outline with its pitches beside it, in whole square feet.
    /// Negative where there are labels, since walls stand within the edge; without labels more of it is not better.
    pub(super) outlined: i64,
    /// How far ends were joined or taken on, in whole hundredths of a foot: lines that only just meet were not drawn to meet.
    pub(super) mended: i64,
    /// Of the labels without a face of their own those that stand in a face with another.
    pub(super) labels_crowded: usize,
}

impl Rating {
    /// What the choice covers, in square feet of plan.
    pub(super) fn sqft(&self) -> f64 {
        (self.outlined.abs() - self.less_covered) as f64
    }
}

/// A choice whose lines bound one face alone, which may be an outline.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ring {
    /// Its plan area, in square feet.
    pub(super) sqft: f64,
    /// Whether it is the only face of its choice.
    pub(super) is_alone: bool,
    /// One of its corners, in plan feet.
    pub(super) corner: Point,
    /// The corners of the box round it.
    low: Point,
    high: Point,
    /// Labels within it.
    pub(super) inside: usize,
    /// Labels outside it.
    pub(super) outside: usize,
    /// Labels, within it or outside, that stand too far from its sides to speak of one.
    pub(super) far: usize,
    /// Those of them that stand too far from its sides to speak of one.
    pub(super) not_beside: usize,
    /// Whether it is hardly larger than a pitch in it: a frame of the text, and no roof's edge.
    pub(super) is_text_frame: bool,
}

impl Ring {
    /// Of the one face that there is, or that holds labels: `count` says how many each holds.
    fn new(attempt: &Attempt, count: &[usize], outside: &Outside, spots: &[Spot]) -> Option<Self> {
        let sub = &attempt.sub;
        let mut held = (0..sub.faces.len()).filter(|&face| count[face] > 0);
        let face = match (held.next(), held.next()) {
            (Some(face), None) => face,
            (None, _) if sub.faces.len() == 1 => 0,
            _ => return None,
        };
        let corners = sub.corners(sub.faces[face].first()?);
        let fold = |of: fn(f64, f64) -> f64| {
            let all = corners.iter().copied();
            all.reduce(|a, b| Point::new(of(a.x, b.x), of(a.y, b.y)))
        };
        Some(Self {
            sqft: sub.area(face),
            is_alone: sub.faces.len() == 1,
            corner: *corners.first()?,
            low: fold(f64::min)?,
            high: fold(f64::max)?,
            inside: outside.labels - outside.all,
            outside: outside.all,
            far: outside.far,
            not_beside: outside.not_beside,
            is_text_frame: is_text_frame(sub, face, spots),
        })
    }

    /// Whether it runs round another on all four sides.
    pub(super) fn runs_round(&self, other: &Self) -> bool {
        let (low, high) = (other.low - self.low, self.high - other.high);
        low.x.min(low.y).min(high.x).min(high.y) > 0.0
    }

    /// Whether it runs round another as an edge runs round walls.
    pub(super) fn encloses(&self, other: &Self) -> bool {
        self.runs_round(other) && other.sqft >= LEAST_SHARE * self.sqft
    }
}

/// How many labels there are, how many of them stand outside all faces, and how many too far from the faces' sides to speak of
/// one: of those outside, and of all.
struct Outside {
    labels: usize,
    all: usize,
    not_beside: usize,
    far: usize,
}

impl Outside {
    fn of(attempt: &Attempt, labels: &[PitchLabel<'_>]) -> Self {
        let sub = &attempt.sub;
        let rings = sub.faces.iter().filter_map(|face| face.first());
        let rings: Vec<Vec<Point>> = rings.map(|halves| sub.corners(halves)).collect();
        let is_far = |label: &&Label| {
            let mut sides = rings.iter().flat_map(|r| ring::sides(r));
            !sides.any(|(a, b)| gap(label, a, b) <= reach(label))
        };
        let all = labels.iter().zip(&attempt.label_face);
        let outside = all.filter_map(|(label, face)| face.is_none().then_some(label.label));
        let outside: Vec<&Label> = outside.collect();
        Self {
            labels: labels.len(),
            all: outside.len(),
            not_beside: outside.into_iter().filter(is_far).count(),
            far: labels.iter().map(|l| l.label).filter(is_far).count(),
        }
    }
}

impl Search<'_> {
    /// How well a choice fits, and its ring where it is one.
    pub(super) fn rate_new(&self, strokes: &[usize]) -> (Rating, Option<Ring>) {
        let here = strokes.iter().map(|&i| &self.drawing.strokes[i]);
        let roof_lines = here.clone().filter(|s| is_called_a_roof_line(s)).count();
        let mut rating = Rating {
            dashed: here.filter(|s| s.style.dashed).count(),
            roof_lines_left_out: self.roof_lines().saturating_sub(roof_lines),
            left_out: self.all_strokes().count() - strokes.len(),
            ..Rating::default()
        };
        let levels: BTreeSet<u32> = self.drawing.strokes.iter().map(|s| s.level).collect();
        let mut ring = None;
        for &level in &levels {
            ring = self.rate_level(strokes, level, &mut rating);
        }
        (rating, ring.filter(|_| levels.len() == 1))
    }

    /// Adds what a level of a choice has for and against it; returns its ring where it is one.
    fn rate_level(&self, strokes: &[usize], level: u32, rating: &mut Rating) -> Option<Ring> {
        let here = strokes.iter().map(|&i| &self.drawing.strokes[i]);
        let here: Vec<&Stroke> = here.filter(|s| s.level == level).collect();
        let spots = spots(self.drawing, level);
        let pieces = pieces(&here);
        let attempt = climb(&pieces, &spots, self.options.tolerance_ft);
        let sub = &attempt.sub;
        let taken_on = attempt.net.mended.iter().map(|m| m.by_ft);
        let mended = taken_on.fold(attempt.tolerance, f64::max);
        rating.mended = rating.mended.max((mended * 100.0).round() as i64);
        let dashed = self.dashed_left_out(strokes, level);
        if !dashed.is_empty() {
            let finder = FaceFinder::new(sub);
            rating.ends_on_dashed += dashed::ends_on(&attempt, &pieces, &finder, &dashed);
        }
        let mut count = vec![0_usize; sub.faces.len()];
        let mut parts: Vec<usize> = Vec::new();
        let mut covered = 0.0;
        for &face in attempt.label_face.iter().flatten() {
            if count[face] == 0 {
                covered += sub.area(face);
            }
            count[face] += 1;
            parts.push(sub.face_part[face]);
        }
        parts.sort_unstable();
        rating.less_covered -= covered.round() as i64;
        let is_roof = |f: usize| parts.is_empty() || parts.binary_search(&sub.face_part[f]).is_ok();
        let doubled = Doubled::of(&attempt, &pieces, is_roof);
        rating.doubled_ft += doubled.length_ft.round() as i64;
        let outside = Outside::of(&attempt, &pitch_labels(self.drawing, level));
        if parts.is_empty() {
            let all: f64 = (0..sub.faces.len()).map(|f| sub.area(f)).sum();
            let worse = if spots.is_empty() { 1 } else { -1 };
            rating.outlined += worse * all.round() as i64;
            rating.not_beside += outside.not_beside;
        }
        rating.labels_unsuited += attempt.faults.stray_labels + attempt.faults.crowded_labels;
        rating.labels_crowded += attempt.faults.crowded_labels;
        rating.faces_unsuited += attempt.faults.lost_lines;
        if self.options.default_pitch.is_none() {
            rating.faces_unsuited += (0..sub.faces.len())
                .filter(|&f| count[f] == 0 && !is_thin(sub, f))
                .filter(|&f| parts.binary_search(&sub.face_part[f]).is_ok())
                .count();
        }
        Ring::new(&attempt, &count, &outside, &spots)
    }

    /// The strokes that there are to choose from, and those of the roof layer.
    fn all_strokes(&self) -> impl Iterator<Item = &Stroke> {
        let in_groups = self.groups.iter().flat_map(|g| &g.strokes);
        let all = self.said.iter().chain(in_groups);
        all.map(|&i| &self.drawing.strokes[i])
    }

    /// How many of them stand on layers that are called by a line of the roof.
    fn roof_lines(&self) -> usize {
        let called = self.all_strokes().filter(|s| is_called_a_roof_line(s));
        called.count()
    }

    /// The dashed strokes of a level that a choice leaves out.
    fn dashed_left_out(&self, taken: &[usize], level: u32) -> Vec<&Stroke> {
        let all = self.groups.iter().flat_map(|g| &g.strokes);
        all.filter(|i| taken.binary_search(i).is_err())
            .map(|&i| &self.drawing.strokes[i])
            .filter(|s| s.level == level && s.style.dashed)
            .collect()
    }
}
