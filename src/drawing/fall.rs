//! Arrows of the fall layer: from high to low, by their head where they have one, else from the first point to the last.

use std::sync::Arc;

use super::FallArrow;
use super::arrow::is_round;
use super::curve::Chain;
use super::extent::Extent;
use super::fall_lines::{FallLine, FallLines, SHORTER};
use super::layer::NameRole;
use super::read::Reader;
use super::shape::Shape;
use crate::geometry::Point;
use crate::{Finding, Place};

impl Reader<'_> {
    /// What a shape of the fall layer is as an arrow: none where it is a part of another one.
    ///
    /// # Errors
    /// What is told where nobody can say which way it points.
    pub(super) fn fall(
        &self,
        index: usize,
        lines: &FallLines,
        to_plan: impl Fn(Point) -> Point,
    ) -> Result<Option<FallArrow>, Finding> {
        let shape = &self.shapes[index];
        let element = &self.elements[shape.element];
        if self.arrows.iter().any(|a| a.heads.contains(&index)) {
            return Ok(None);
        }
        let arrow = self.arrows.iter().find(|a| a.shaft == index);
        let (ends, two_headed) = match (arrow, lines.shaft(index)) {
            (Some(arrow), _) => ((arrow.tail, arrow.tip), arrow.two_headed),
            (None, Some(_)) if lines.is_part(index) => return Ok(None),
            (None, Some((from, to))) => match lines.headed(index) {
                [true, at_end] => ((to, from), at_end),
                [false, _] => ((from, to), false),
            },
            (None, None) if is_closed(shape) && !is_dot(shape, lines) => {
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

    /// Arrows with one head that stand on no layer of falls.
    pub(super) fn loose_arrows(&self, to_plan: impl Fn(Point) -> Point) -> Vec<FallArrow> {
        let pointing = self.arrows.iter().filter(|a| a.points && !a.two_headed);
        pointing
            .filter(|a| self.role(a.shaft) != NameRole::Fall)
            .map(|arrow| {
                let element = &self.elements[self.shapes[arrow.shaft].element];
                FallArrow {
                    from: to_plan(arrow.tail),
                    to: to_plan(arrow.tip),
                    level: element.says.level,
                    source: Arc::clone(&element.source),
                }
            })
            .collect()
    }

    /// The shapes of the fall layer that are no closed ones.
    pub(super) fn fall_lines(&self) -> FallLines {
        let all = self.shapes.iter().enumerate();
        let lines = all
            .filter(|(_, shape)| self.elements[shape.element].says.role == NameRole::Fall)
            .filter(|(_, shape)| !is_closed(shape))
            .filter_map(|(i, shape)| Some((i, self.fall_line(shape)?)));
        FallLines::of(lines.collect())
    }

    /// The longest line of a shape, turned so that the shorter ones, which draw the head, stand at its end. A shaft and its
    /// head may be one stroke of the pen.
    fn fall_line(&self, shape: &Shape) -> Option<FallLine> {
        let chains: Vec<Chain> = self.chains(shape, f64::INFINITY).collect();
        let mut runs: Vec<Vec<Point>> = chains
            .iter()
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
        let shaft = if nearest(from) < nearest(to) {
            (to, from)
        } else {
            (from, to)
        };
        let pieces = chains.iter().flat_map(|chain| chain.points.windows(2));
        let pieces = pieces.map(|ends| (ends[0], ends[1])).collect();
        Some(FallLine { shaft, pieces })
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
fn is_dot(shape: &Shape, lines: &FallLines) -> bool {
    if !shape.outlines.iter().all(is_round) {
        return false;
    }
    let Some(extent) = Extent::of_shape(shape) else {
        return false;
    };
    let (middle, size) = (extent.middle(), extent.size());
    lines.shafts().any(|(a, b)| {
        a.distance(b) > SHORTER * size && middle.distance(a).min(middle.distance(b)) <= size
    })
}
