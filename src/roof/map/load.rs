//! Bounds on what is looked at as roof lines: lines that all cross each other make faces by the square of their number.

use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

use super::{groups, tangled};
use crate::Finding;
use crate::Place;
use crate::drawing::{Drawing, Role, Stroke};

/// Straight pieces of the lines that may be the roof's. The largest roofs that this was tried on have 60,000.
const MOST_PIECES: usize = 150_000;
/// Pairs of pieces whose boxes overlap, for each piece: a grid of 90 by 70 lines has 40.
const MOST_OVERLAPS: usize = 100;
/// ... counted from so many pairs on.
const FEW_OVERLAPS: usize = 200_000;

/// Crossings of lines that are looked through: every choice of pens and every tolerance looks at each of them.
const MOST_CROSSINGS: usize = 3_000;

/// Why the lines that may be the roof's are too many to be looked at.
pub(in crate::roof) fn too_many_lines(drawing: &Drawing) -> Option<Finding> {
    let of =
        |role: Role| (0..drawing.strokes.len()).filter(move |&i| drawing.strokes[i].role == role);
    let roof: Vec<usize> = of(Role::Roof).collect();
    let numbers = if roof.is_empty() {
        of(Role::Unsaid).collect()
    } else {
        roof
    };
    let strokes: Vec<&Stroke> = numbers.iter().map(|&i| &drawing.strokes[i]).collect();
    let pieces: usize = strokes.iter().map(|s| s.points.len()).sum();
    let told = if pieces > MOST_PIECES {
        format!("{pieces} straight pieces of line, more than {MOST_PIECES}, may be the roof's")
    } else if too_often(drawing, &numbers, overlap_much) {
        format!(
            "{pieces} straight pieces of line that may be the roof's cross each other everywhere"
        )
    } else if too_often(drawing, &numbers, |s| {
        tangled::cross_more_often_than(MOST_CROSSINGS, s)
    }) {
        format!(
            "{pieces} straight pieces of line that may be the roof's cross each other in more than {MOST_CROSSINGS} places"
        )
    } else {
        return None;
    };
    let first = strokes.first()?;
    Some(
        Finding::error("too-many-lines", format!("The drawing cannot be looked through: {told}."))
            .remedy("Draw the roof on a layer named roof, or leave hatches, grids and maps out with --ignore.")
            .place(Place::of(&first.source)),
    )
}

/// Whether something is too often so, among the lines of pens that are looked at too: those that cross each other
/// everywhere are not.
fn too_often(drawing: &Drawing, numbers: &[usize], is_so: impl Fn(&[&Stroke]) -> bool) -> bool {
    let is_so = |numbers: &[usize]| {
        let strokes: Vec<&Stroke> = numbers.iter().map(|&i| &drawing.strokes[i]).collect();
        is_so(&strokes)
    };
    is_so(numbers) && is_so(&groups::looked_at(drawing, numbers))
}

/// Whether strokes are too many to be looked through.
pub(super) fn is_too_much<'a>(strokes: impl Iterator<Item = &'a Stroke>) -> bool {
    let strokes: Vec<&Stroke> = strokes.collect();
    let pieces: usize = strokes.iter().map(|s| s.points.len()).sum();
    pieces > MOST_PIECES || overlap_much(&strokes)
}

fn overlap_much(strokes: &[&Stroke]) -> bool {
    let boxes: Vec<GeomWithData<Rectangle<[f64; 2]>, ()>> = strokes
        .iter()
        .flat_map(|s| s.points.windows(2))
        .map(|w| {
            let rectangle = Rectangle::from_corners([w[0].x, w[0].y], [w[1].x, w[1].y]);
            GeomWithData::new(rectangle, ())
        })
        .collect();
    let most = FEW_OVERLAPS.max(MOST_OVERLAPS * boxes.len());
    let tree = RTree::bulk_load(boxes);
    let mut pairs = 0_usize;
    for bounds in &tree {
        let area = rstar::RTreeObject::envelope(bounds);
        pairs += tree
            .locate_in_envelope_intersecting(&area)
            .take(most + 1)
            .count();
        if pairs > most {
            return true;
        }
    }
    false
}
