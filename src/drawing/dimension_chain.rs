//! A chain of lengths on one dimension line: which stretch of it a text stands beside.

use super::dimension::{LayerSays, Segment, Segments, Shaft};
use super::dimension_end::End;
use super::dimension_mark::{
    Around, HEAD, MET, MOST_MARKS, Mark, ONE_PLACE, PAST, Rank, head, is_its_own, meeting, shapes,
};
use crate::geometry::{Point, Vector};

/// An extension line that stops short of its dimension line by no more than this, in text sizes, still marks it.
const SHORT_OF: f64 = 0.3;
/// The middle of a text on a line's own row is no farther from it than this, in its sizes; the next row begins beyond.
const OWN_ROW: f64 = 1.25;
/// A text stands in the middle of its line when it is no farther from there than this, in text sizes.
const MIDDLE: f64 = 1.0;

/// The stretch of a chain of lengths that a text stands beside: between the nearest marks on either side of it. `None` where
/// nothing parts the line, or where the text stands in the middle of all of it and in none of its stretches.
pub(super) fn stretch(
    shaft: &Shaft,
    [start, end]: &[End; 2],
    text: &Beside,
    around: Around<'_>,
) -> Option<[End; 2]> {
    let u = (shaft.b - shaft.a).unit()?;
    // A chain is marked wherever it is parted, and at its ends too.
    if shaft.layer == LayerSays::Building || !(shaft.in_gap || (start.marked && end.marked)) {
        return None;
    }
    let inside = |at: f64| {
        let slack = ONE_PLACE * text.size;
        at > start.at + slack && at < end.at - slack
    };
    let half = shaft.a.distance(shaft.b) / 2.0;
    let crossing: Vec<Mark> = around
        .segments
        .near(shaft.a.midpoint(shaft.b), half + PAST * text.size)
        .filter(|s| may_part(shaft, s, text.size))
        .filter_map(|s| part(shaft, u, s, text.size, around.segments))
        .filter(|m| inside(m.at))
        .collect();
    let crossing = with_lengths_both_sides(crossing, shaft, u, text, around.segments);
    // So many lines cross no dimension: it lies in a hatch.
    if crossing.len() > 4 * MOST_MARKS {
        return None;
    }
    let is_ticked = |m: &Mark| {
        let near = |o: &Mark| (o.at - m.at).abs() <= ONE_PLACE * text.size;
        let heads = |o: &Mark| (o.at - m.at).abs() <= MET * text.size;
        let mut others = crossing.iter();
        others.any(|o| match o.rank {
            Rank::Tick => near(o),
            Rank::Head => heads(o),
            Rank::Extension | Rank::Corner => false,
        })
    };
    // A head or a dot marks the place of the line beside it, and its own where no line crosses there. A fill behind the text is
    // none.
    let parts_alone = |m: &Mark| {
        let beside = |o: &Mark| o.rank != Rank::Head && (o.at - m.at).abs() <= MET * text.size;
        (m.at - text.at).abs() > text.size && !crossing.iter().any(beside)
    };
    let all_ticked = start.ticked && end.ticked;
    let off_middle = |[from, to]: [f64; 2]| (text.at - f64::midpoint(from, to)).abs();
    let of_whole = off_middle([start.at, end.at]) <= MIDDLE * text.size;
    let mut parting: Vec<Mark> = crossing
        .iter()
        .filter(|m| m.rank != Rank::Head || parts_alone(m))
        .filter(|m| is_ticked(m) || !(all_ticked && of_whole))
        .copied()
        .collect();
    if parting.len() > MOST_MARKS {
        return None;
    }
    parting.retain(|m| !is_of_another(m, around) && is_its_own(m, shaft, text.size, around));
    let left = parting
        .iter()
        .filter(|m| m.at <= text.at)
        .max_by(|a, b| a.at.total_cmp(&b.at));
    let right = parting
        .iter()
        .filter(|m| m.at > text.at)
        .min_by(|a, b| a.at.total_cmp(&b.at));
    if left.is_none() && right.is_none() {
        return None;
    }
    let own = [
        left.map_or(start.at, |m| m.at),
        right.map_or(end.at, |m| m.at),
    ];
    if of_whole && off_middle(own) > off_middle([start.at, end.at]) + MET * text.size {
        return None;
    }
    let at_mark = |m: &Mark| {
        let here: Vec<Mark> = crossing
            .iter()
            .filter(|o| (o.at - m.at).abs() <= MET * text.size)
            .filter(|o| is_its_own(o, shaft, text.size, around))
            .copied()
            .collect();
        End {
            at: m.at,
            shapes: shapes(&here),
            marked: true,
            crosses: true,
            ticked: is_ticked(m),
            extension: (m.segment.layer == LayerSays::Nothing && m.is_long(text.size))
                .then_some((m.segment.shape, m.far)),
            moved: 0.0,
        }
    };
    let mut from = left.map_or_else(|| start.clone(), at_mark);
    let to = right.map_or_else(|| end.clone(), at_mark);
    // All of the chain's marks go with it, those between stretches without a text as well.
    for mark in &parting {
        from.shapes.extend(at_mark(mark).shapes);
    }
    from.shapes.extend(start.shapes.iter().chain(&end.shapes));
    Some([from, to])
}

/// Whether a chain of lengths parts at a place of its line.
pub(super) fn is_parted(shaft: &Shaft, at: Point, size: f64, segments: &Segments) -> bool {
    let Some(u) = (shaft.b - shaft.a).unit() else {
        return false;
    };
    let along = (at - shaft.a).dot(u);
    segments
        .near(at, HEAD * size)
        .filter(|s| may_part(shaft, s, size))
        .filter_map(|s| part(shaft, u, s, size, segments))
        .any(|m| m.crosses && (m.at - along).abs() <= MET * size)
}

/// Where a text stands on its line.
pub(super) struct Beside {
    /// Its middle, along the shaft.
    pub(super) at: f64,
    /// The letters' size.
    pub(super) size: f64,
}

/// Whether a segment may part a chain: by its layer, and by lying across it at all.
fn may_part(shaft: &Shaft, s: &Segment, size: f64) -> bool {
    let by_layer = match s.layer {
        LayerSays::Dimension => true,
        // Beside a layer of dimensions, other lines are the roof's.
        LayerSays::Nothing => shaft.layer == LayerSays::Nothing,
        LayerSays::Building | LayerSays::LeftOut => false,
    };
    let apart = |a: f64, b: f64, c: f64, d: f64, slack: f64| {
        a.max(b) + slack < c.min(d) || c.max(d) + slack < a.min(b)
    };
    let slack = SHORT_OF * size;
    by_layer
        && !apart(s.a.x, s.b.x, shaft.a.x, shaft.b.x, slack)
        && !apart(s.a.y, s.b.y, shaft.a.y, shaft.b.y, slack)
}

/// What parts a chain: a tick, or a line square to it that goes past it a little or ends near it. What only ends near it is a mark
/// by itself on the layer of dimensions alone.
fn part(shaft: &Shaft, u: Vector, s: &Segment, size: f64, segments: &Segments) -> Option<Mark> {
    let mut mark = Mark {
        rank: Rank::Head,
        at: 0.0,
        segment: *s,
        crosses: true,
        far: 0.0,
    };
    let long = s.a.distance(s.b);
    if let Some(tip) = head(shaft, u, s, segments, size) {
        mark.at = tip;
        return Some(mark);
    }
    if s.filled_only {
        return None;
    }
    let met = meeting(shaft, u, s)?;
    if met.gap > SHORT_OF * size || met.past > PAST * size {
        return None;
    }
    let crosses = met.past > 0.05 * size;
    (mark.at, mark.far) = (met.at, met.far);
    if met.rise > 0.985 {
        mark.rank = Rank::Extension;
        mark.crosses = crosses || s.layer == LayerSays::Dimension;
        return Some(mark);
    }
    mark.rank = Rank::Tick;
    (crosses && long < 3.0 * size).then_some(mark)
}

/// The marks of a chain, those that no layer calls one and that only end near its line where they part the text from another length
/// beside the line.
fn with_lengths_both_sides(
    mut marks: Vec<Mark>,
    shaft: &Shaft,
    u: Vector,
    text: &Beside,
    segments: &Segments,
) -> Vec<Mark> {
    if marks.iter().all(|m| m.crosses) {
        return marks;
    }
    let lengths = segments.lengths_beside(shaft.a, shaft.b, OWN_ROW * text.size);
    let at: Vec<f64> = lengths.iter().map(|&p| (p - shaft.a).dot(u)).collect();
    let part = |m: &Mark| at.iter().any(|&at| (at - m.at) * (text.at - m.at) < 0.0);
    marks.retain(|m| m.crosses || part(m));
    marks
}

/// Whether a line across a chain has a length of its own.
fn is_of_another(mark: &Mark, around: Around<'_>) -> bool {
    let piece = (mark.segment.a, mark.segment.b);
    around.shafts.iter().any(|s| s.pieces.contains(&piece))
}
