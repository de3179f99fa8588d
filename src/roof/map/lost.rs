//! A roof drawn with a pen that was left out: a dormer or a wing in a colour of its own, without a pitch.
//!
//! Lines that are left out are walls, hatches, furniture as a rule. What tells a roof from these is the end of a ridge:
//! three lines that meet with no two of them in line, round closed areas. Walls and tables meet at corners and in T
//! joints, hatches cross.

use std::collections::BTreeSet;

use super::attempt::Attempt;
use super::build::{MapOptions, spots};
use super::halfedge::Subdivision;
use super::ladder::climb;
use super::load;
use super::piece::{Piece, pieces};
use super::select::{StrokeSet, looks};
use crate::drawing::{Drawing, Role, Stroke};
use crate::geometry::{Point, Vector};
use crate::{Finding, Place};

/// Two lines that turn by less than this at their joint, as the cosine (10°), run on.
const IN_LINE: f64 = 0.985;
/// A face beside a ridge's end has at least this area in square feet ...
const LEAST_FACE_SQFT: f64 = 10.0;
/// ... and this width, as area over perimeter, in feet: strips are hatches.
const LEAST_WIDTH_FT: f64 = 0.5;

/// The reason not to take a choice of lines: it leaves out what looks like a roof on the roof.
pub(in crate::roof) fn roof_left_out(
    drawing: &Drawing,
    set: &StrokeSet,
    options: &MapOptions,
) -> Option<Finding> {
    let (chosen, left_out) = parted(drawing, set)?;
    let levels: BTreeSet<u32> = left_out.iter().map(|s| s.level).collect();
    levels.into_iter().find_map(|level| {
        let of_level = |all: &[&Stroke]| all.iter().copied().filter(|s| s.level == level).count();
        let here: Vec<&Stroke> = chosen
            .iter()
            .chain(&left_out)
            .copied()
            .filter(|s| s.level == level)
            .collect();
        let all = pieces(&here);
        let attempt = climb(&all, &spots(drawing, level), options.tolerance_ft);
        let overlay = Overlay {
            attempt: &attempt,
            pieces: &all,
            strokes: &here,
            chosen: of_level(&chosen),
        };
        overlay.ridge_end().map(told)
    })
}

/// The lines of a choice, and the solid ones that it leaves out. `None` where layers decide or nothing is left out.
fn parted<'a>(drawing: &'a Drawing, set: &StrokeSet) -> Option<(Vec<&'a Stroke>, Vec<&'a Stroke>)> {
    if drawing.strokes.iter().any(|s| s.role == Role::Roof) {
        return None;
    }
    let taken = |i: usize| set.strokes.binary_search(&i).is_ok();
    let (chosen, rest): (Vec<_>, Vec<_>) = (0..drawing.strokes.len()).partition(|&i| taken(i));
    let of = |indices: Vec<usize>| indices.into_iter().map(|i| &drawing.strokes[i]);
    let left_out: Vec<&Stroke> = of(rest)
        .filter(|s| s.role == Role::Unsaid && !s.style.dashed)
        .collect();
    let too_much = load::is_too_much(left_out.iter().copied());
    (!left_out.is_empty() && !too_much).then(|| (of(chosen).collect(), left_out))
}

/// The chosen lines with the left out ones over them.
struct Overlay<'a> {
    attempt: &'a Attempt,
    pieces: &'a [Piece],
    /// The chosen ones first.
    strokes: &'a [&'a Stroke],
    chosen: usize,
}

impl<'a> Overlay<'a> {
    fn sub(&self) -> &'a Subdivision {
        &self.attempt.sub
    }

    /// The first end of a ridge that left out lines alone make, and one of these lines.
    fn ridge_end(&self) -> Option<(Point, &'a Stroke)> {
        let sub = self.sub();
        let mut out_of: Vec<Vec<usize>> = vec![Vec::new(); sub.nodes.len()];
        for half in 0..2 * sub.links.len() {
            out_of[sub.start(half)].push(half);
        }
        let node = (0..sub.nodes.len()).find(|&n| self.is_ridge_end(&out_of[n]))?;
        let piece = *sub.links[out_of[node][0] / 2].pieces.first()?;
        Some((sub.nodes[node], self.strokes[self.pieces[piece].stroke]))
    }

    fn is_ridge_end(&self, halves: &[usize]) -> bool {
        let &[a, b, c] = halves else { return false };
        let left_out = |half: &usize| {
            let drawn = &self.sub().links[half / 2].pieces;
            drawn.iter().all(|&p| self.pieces[p].stroke >= self.chosen)
        };
        let turned = |p: usize, q: usize| self.way(p).dot(self.way(q)).abs() < IN_LINE;
        halves.iter().all(left_out)
            && turned(a, b)
            && turned(b, c)
            && turned(c, a)
            && self.lies_on_a_face(halves)
    }

    /// The direction of a half-edge, of length 1.
    fn way(&self, half: usize) -> Vector {
        let sub = self.sub();
        let run = sub.nodes[sub.start(half ^ 1)] - sub.nodes[sub.start(half)];
        run.unit().unwrap_or_default()
    }

    /// Whether two areas without a pitch and a face with one lie round the ends of these half-edges.
    fn lies_on_a_face(&self, halves: &[usize]) -> bool {
        let sub = self.sub();
        let faces: BTreeSet<usize> = halves.iter().filter_map(|&h| sub.left[h]).collect();
        let labelled = |f: &usize| self.attempt.label_face.contains(&Some(*f));
        let (with, without): (Vec<usize>, Vec<usize>) = faces.into_iter().partition(labelled);
        let wide = |f: &usize| {
            let area = sub.area(*f);
            area >= LEAST_FACE_SQFT && area >= LEAST_WIDTH_FT * sub.perimeter(*f)
        };
        with.len() == 1 && without.len() == 2 && without.iter().all(wide)
    }
}

fn told((at, stroke): (Point, &Stroke)) -> Finding {
    let rule = match (&stroke.source.layer, &stroke.style.stroke) {
        (Some(layer), _) => format!(" (--ignore 'layer:{layer}')"),
        (None, Some(colour)) => format!(" (--ignore 'colour:{colour}')"),
        (None, None) => String::new(),
    };
    Finding::error(
        "roof-without-pitch-left-out",
        format!(
            "Lines that are not drawn as the roof's are ({}) meet inside a face like a ridge and its valleys, round areas without a pitch: a dormer or a wing would be lost.",
            looks(stroke)
        ),
    )
    .remedy(format!(
        "Write the pitch inside each of these areas; if they are no roof, leave their lines out{rule} or draw them on a layer named note."
    ))
    .place(Place::on(&stroke.source, at))
}
