//! Arrows of the fall layer: from high to low, by their head where they have one, else from the first point to the last.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::FallArrow;
use super::arrow::is_round;
use super::extent::Extent;
use super::layer::NameRole;
use super::read::Reader;
use super::shape::Shape;
use crate::geometry::{Point, Vector};
use crate::{Finding, Place};

/// A stroke of a head, or a dot at an end, is shorter than its shaft by this factor.
const SHORTER: f64 = 2.0;
/// A stroke of a head starts no farther from the tip than this part of its length.
const TOUCHES: f64 = 0.1;
/// A stroke of a head runs back beside its shaft: by at least this part of its length along it, some 70° off it at most ...
const BACK: f64 = 0.34;
/// ... and leads away from it by this part.
const ASIDE: f64 = 0.1;
/// A stroke that is all there is of a head is shorter than its shaft by this factor: a longer one may be the fall of the face
/// beside it, which starts at the same peak.
const ALONE_SHORTER: f64 = 6.0;
/// The two strokes of a head are of one length, but for this part of it.
const ONE_LENGTH: f64 = 0.1;

impl Reader<'_> {
    /// What a shape of the fall layer is as an arrow: none where it is a part of another one.
    ///
    /// # Errors
    /// What is told where nobody can say which way it points.
    pub(super) fn fall(
        &self,
        index: usize,
        shafts: &BTreeMap<usize, (Point, Point)>,
        to_plan: impl Fn(Point) -> Point,
    ) -> Result<Option<FallArrow>, Finding> {
        let shape = &self.shapes[index];
        let element = &self.elements[shape.element];
        if self.arrows.iter().any(|a| a.heads.contains(&index)) {
            return Ok(None);
        }
        let arrow = self.arrows.iter().find(|a| a.shaft == index);
        let (ends, two_headed) = match (arrow, shafts.get(&index)) {
            (Some(arrow), _) => ((arrow.tail, arrow.tip), arrow.two_headed),
            (None, Some(&ends)) if is_stroke_of_a_head(index, ends, shafts) => return Ok(None),
            (None, Some(&(from, to))) => {
                let tips = [(from, to), (to, from)]
                    .map(|(tip, tail)| has_strokes_of_a_head(index, tip, tail, shafts));
                let ends = if tips == [true, false] {
                    (to, from)
                } else {
                    (from, to)
                };
                (ends, tips == [true, true])
            }
            (None, None) if is_closed(shape) && !is_dot(shape, shafts) => {
                return Err(
                    Finding::warning(
                        "not-an-arrow",
                        "A closed shape of the fall layer is neither a line with a head nor a head at the end of one, and was not used: it does not say which way it points.",
                    )
                    .remedy("Draw a line there from high to low, with or without a head.")
                    .place(Place::of(&element.source)),
                );
            }
            (None, None) => return Ok(None),
        };
        if two_headed {
            return Err(
                Finding::warning(
                    "arrow-with-two-heads",
                    "An arrow of the fall layer has a head at both ends and was not used: it does not say which one is low.",
                )
                .remedy("Take the head at the high end away.")
                .place(Place::of(&element.source)),
            );
        }
        Ok(Some(FallArrow {
            from: to_plan(ends.0),
            to: to_plan(ends.1),
            level: element.says.level,
            source: Arc::clone(&element.source),
        }))
    }

    /// The shaft of each shape of the fall layer that is no closed one.
    pub(super) fn fall_shafts(&self) -> BTreeMap<usize, (Point, Point)> {
        let all = self.shapes.iter().enumerate();
        all.filter(|(_, shape)| self.elements[shape.element].says.role == NameRole::Fall)
            .filter(|(_, shape)| !is_closed(shape))
            .filter_map(|(i, shape)| Some((i, self.shaft(shape)?)))
            .collect()
    }

    /// The longest line of a shape, turned so that the shorter ones, which draw the head, stand at its end. A shaft and its
    /// head may be one stroke of the pen.
    fn shaft(&self, shape: &Shape) -> Option<(Point, Point)> {
        let mut runs: Vec<Vec<Point>> = self
            .chains(shape, f64::INFINITY)
            .flat_map(|chain| until_turned_back(&chain.points))
            .collect();
        runs.sort_by(|a, b| length(b).total_cmp(&length(a)));
        let (shaft, heads) = runs.split_first()?;
        let (from, to) = (*shaft.first()?, *shaft.last()?);
        let nearest = |end: Point| {
            heads
                .iter()
                .flatten()
                .map(|p| p.distance(end))
                .fold(f64::INFINITY, f64::min)
        };
        Some(if nearest(from) < nearest(to) {
            (to, from)
        } else {
            (from, to)
        })
    }
}

fn length(run: &[Point]) -> f64 {
    run.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// The runs of a line between the corners where it turns by more than a right angle.
fn until_turned_back(points: &[Point]) -> Vec<Vec<Point>> {
    let mut runs: Vec<Vec<Point>> = Vec::new();
    let mut run: Vec<Point> = Vec::new();
    for &p in points {
        if let [.., before, corner] = run[..]
            && (corner - before).dot(p - corner) < 0.0
        {
            runs.push(std::mem::replace(&mut run, vec![corner]));
        }
        if run.last() != Some(&p) {
            run.push(p);
        }
    }
    runs.push(run);
    runs
}

/// Whether a short line of the fall layer starts at the end of a longer one, as a stroke of a drawn head does, or stands across
/// it, as a bar does where an arrow starts.
fn is_stroke_of_a_head(
    index: usize,
    (from, to): (Point, Point),
    shafts: &BTreeMap<usize, (Point, Point)>,
) -> bool {
    let long = from.distance(to);
    shafts.iter().any(|(&other, &(a, b))| {
        let touches = |p: Point| p.distance(a).min(p.distance(b)) < TOUCHES * long;
        let is_shorter = a.distance(b) > SHORTER * long;
        other != index && is_shorter && [from, to, from.midpoint(to)].into_iter().any(touches)
    })
}

/// Whether short lines run back from the tip of a shaft, each a stroke of its own as some programs draw a head: two of one
/// length, one on each side, or a very short one alone. What stands across its other end, or leads on from it, is none.
fn has_strokes_of_a_head(
    index: usize,
    tip: Point,
    tail: Point,
    shafts: &BTreeMap<usize, (Point, Point)>,
) -> bool {
    let Some(back) = (tail - tip).unit() else {
        return false;
    };
    // How long a stroke is, below 0 on the right of the shaft.
    let stroke = |a: Point, b: Point| {
        let v: Vector = b - a;
        let long = a.distance(b);
        let aside = v.cross(back);
        let is_one = tip.distance(tail) > SHORTER * long
            && a.distance(tip) < TOUCHES * long
            && v.dot(back) >= BACK * long
            && aside.abs() >= ASIDE * long;
        is_one.then(|| long.copysign(aside))
    };
    let others = shafts.iter().filter(|&(&other, _)| other != index);
    let strokes: Vec<f64> = others
        .filter_map(|(_, &(a, b))| stroke(a, b).or_else(|| stroke(b, a)))
        .collect();
    let is_head = |&one: &f64| {
        let mirrored = |other: &f64| (one + other).abs() <= ONE_LENGTH * one.abs();
        tip.distance(tail) > ALONE_SHORTER * one.abs() || strokes.iter().any(mirrored)
    };
    strokes.iter().any(is_head)
}

/// Whether all lines of a shape come back to where they start, round something.
fn is_closed(shape: &Shape) -> bool {
    !shape.outlines.is_empty()
        && shape.outlines.iter().all(|outline| {
            let last = outline.pieces.last().map(|p| p.end());
            let comes_back = last == Some(outline.start) || outline.closed || shape.filled_only();
            comes_back && outline.pieces.len() > 1
        })
}

/// Whether a shape is a dot at an end of a longer line.
fn is_dot(shape: &Shape, shafts: &BTreeMap<usize, (Point, Point)>) -> bool {
    if !shape.outlines.iter().all(is_round) {
        return false;
    }
    let Some(extent) = Extent::of_shape(shape) else {
        return false;
    };
    let (middle, size) = (extent.middle(), extent.size());
    shafts.values().any(|&(a, b)| {
        a.distance(b) > SHORTER * size && middle.distance(a).min(middle.distance(b)) <= size
    })
}
