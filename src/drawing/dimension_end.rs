//! Where a dimension line's length starts and stops: at the extension line, tick or arrow head that marks its end, at the
//! marks on either side of its text where it is a chain of lengths, or where it ends itself.

use super::dimension::{LayerSays, Segment, Segments, Shaft};
use crate::geometry::{Point, Vector};

/// One end of a dimension line.
#[derive(Clone, Debug)]
pub(super) struct End {
    /// Along the shaft from its first point, in drawing units.
    pub(super) at: f64,
    /// Shapes that are nothing but its marks.
    pub(super) shapes: Vec<usize>,
    pub(super) marked: bool,
    /// A mark of its own goes past the shaft, as extension lines, ticks and arrow heads do and corners of an outline do not.
    pub(super) crosses: bool,
    /// A tick or an arrow head marks it, which no side of an outline has.
    pub(super) ticked: bool,
    /// A long line square to the shaft that marks it and that no layer calls a dimension's: its shape, and where it stops on
    /// its longer side, across the shaft.
    pub(super) extension: Option<(usize, f64)>,
    /// How far it was moved to a line that neither its layer nor its shape calls an extension line, in drawing units.
    pub(super) moved: f64,
}

/// What else must be known to tell marks from other lines.
#[derive(Clone, Copy)]
pub(super) struct Around<'a> {
    pub(super) segments: &'a Segments,
    /// Lines that lengths were found beside: no marks of another one.
    pub(super) shafts: &'a [Shaft],
    /// Feet in a drawing unit, if the length is the shaft's.
    pub(super) feet_per_unit: f64,
}

/// A line that is no extension line by its layer or its shape marks an end that it meets so nearly, as a part of the
/// shaft: two such ends change a length by half a percent.
const HAIR: f64 = 0.0025;
/// A side of the roof ends where the next side crosses it, no farther than this from where its line was drawn to: ends that
/// run past or stop short by as much are mended.
const CORNER_FT: f64 = 1.0;
/// An extension line goes past its dimension line by no more text sizes than this, on the side where it goes less far past:
/// room for a second row of dimensions. Frames, grids and the outline go on. What is no longer is no side of a roof either.
const PAST: f64 = 3.0;
/// Marks nearer together than this, in text sizes, mark one place.
const ONE_PLACE: f64 = 0.1;
/// A text stands in the middle of its line when it is no farther from there than this, in text sizes.
const MIDDLE: f64 = 1.0;
/// The outer end of an extension line is free; a roof line that ends so near to another one, in text sizes, is met by it.
const MET: f64 = 0.5;
/// Of an end with more lines about it than this, none is left out as its mark: it lies in a hatch.
const MOST_MARKS: usize = 64;

/// Where the shaft's length really starts and stops: at the extension line, tick or arrow tip nearest to each end.
pub(super) fn ends(shaft: &Shaft, size: f64, around: Around<'_>) -> [End; 2] {
    let length = shaft.a.distance(shaft.b);
    let corner = if around.feet_per_unit > 0.0 {
        CORNER_FT / around.feet_per_unit
    } else {
        0.0
    };
    let hair = HAIR * length;
    let reach = Reach {
        size,
        mark: (1.5 * size).min(0.25 * length),
        hair,
        corner: corner.min(0.25 * length).max(hair),
    };
    let u = (shaft.b - shaft.a).unit().unwrap_or_default();
    let find = |target: f64| end_at(shaft, u, target, &reach, around);
    [find(0.0), find(length)]
}

/// How far from an end its mark may stand, in drawing units.
struct Reach {
    /// The text's size.
    size: f64,
    mark: f64,
    /// What is no extension line by its looks.
    hair: f64,
    /// The next side, where the shaft is a side of the roof.
    corner: f64,
}

fn end_at(shaft: &Shaft, u: Vector, target: f64, reach: &Reach, around: Around<'_>) -> End {
    let bare = End {
        at: target,
        shapes: Vec::new(),
        marked: false,
        crosses: false,
        ticked: false,
        extension: None,
        moved: 0.0,
    };
    // A line that would meet the shaft if it went on by 0.6 sizes, however aslant, ends within two sizes of there.
    let end = shaft.a + u * target;
    let far = reach.mark.max(reach.corner) + 2.0 * reach.size;
    let mut marks: Vec<Mark> = around
        .segments
        .near(end, far)
        .filter(|s| s.layer != LayerSays::LeftOut)
        .filter_map(|s| mark(shaft, u, s, target, reach, around.segments))
        .collect();
    let off = |m: &Mark| (m.at - target).abs();
    // Extension lines go before ticks, and both before heads, unless a tick stands nearer to the end than any line.
    let nearest = |rank: Rank| {
        marks
            .iter()
            .filter(|m| m.rank == rank)
            .min_by(|a, b| off(a).total_cmp(&off(b)))
    };
    let tick = nearest(Rank::Tick);
    // What meets a side of the roof at its very end ends it, at whatever angle; else what is square to it goes first.
    let corner = nearest(Rank::Corner)
        .filter(|c| off(c) <= reach.hair || nearest(Rank::Extension).is_none());
    let line = match (nearest(Rank::Extension), corner) {
        (Some(line), Some(corner)) if off(corner) < off(line) => Some(corner),
        (line, corner) => line.or(corner),
    };
    let best = match line {
        Some(line) if tick.is_none_or(|t| off(line) <= off(t) + ONE_PLACE * reach.size) => {
            Some(line)
        }
        _ => tick.or_else(|| nearest(Rank::Head)),
    };
    let Some(best) = best.copied() else {
        return bare;
    };
    let at = best.at;
    // A line that goes past the shaft by as little as an extension line does looks like one.
    let borne_out = best.layer == LayerSays::Dimension
        || best.crosses
        || matches!(best.rank, Rank::Tick | Rank::Head)
        || tick.is_some_and(|t| (t.at - at).abs() <= ONE_PLACE * reach.size);
    let too_many = marks.len() > MOST_MARKS;
    marks.retain(|m| m.crosses && !(too_many && m.is_long(reach.size)));
    marks.retain(|m| is_its_own(m, shaft, reach.size, around));
    End {
        crosses: !marks.is_empty(),
        ticked: marks.iter().any(|m| m.rank != Rank::Extension),
        extension: marks
            .iter()
            .filter(|m| m.layer == LayerSays::Nothing && m.is_long(reach.size))
            .min_by(|a, b| (a.at - at).abs().total_cmp(&(b.at - at).abs()))
            .map(|m| (m.segment.shape, m.far)),
        shapes: shapes(&marks),
        at,
        marked: true,
        moved: if borne_out { 0.0 } else { (at - target).abs() },
    }
}

fn shapes(marks: &[Mark]) -> Vec<usize> {
    let mut shapes: Vec<usize> = marks.iter().map(|m| m.segment.shape).collect();
    shapes.sort_unstable();
    shapes.dedup();
    shapes
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Rank {
    /// A line square to the shaft.
    Extension,
    /// A short line askew across the shaft's end.
    Tick,
    /// A side of a small closed shape: an arrow head or a dot.
    Head,
    /// A line of the building that is not square to the side of it that it ends.
    Corner,
}

#[derive(Clone, Copy)]
struct Mark {
    rank: Rank,
    at: f64,
    segment: Segment,
    /// It goes past the shaft as extension lines, ticks and arrow heads do: a little.
    crosses: bool,
    layer: LayerSays,
    /// Where it stops on its longer side, across the shaft.
    far: f64,
}

impl Mark {
    fn is_long(&self, size: f64) -> bool {
        self.rank == Rank::Extension && self.segment.a.distance(self.segment.b) > PAST * size
    }
}

/// Whether what crosses a shaft is nothing but its mark. What no layer calls a dimension and is long has a free outer end:
/// where another line meets it there, it is a line of the building, or of a frame, near its corner.
fn is_its_own(mark: &Mark, shaft: &Shaft, size: f64, around: Around<'_>) -> bool {
    if mark.layer == LayerSays::Dimension || !mark.is_long(size) {
        return true;
    }
    let s = &mark.segment;
    let from_shaft = |p: Point| super::dimension::nearest_on(p, shaft.a, shaft.b).distance(p);
    let outer = if from_shaft(s.a) < from_shaft(s.b) {
        s.a
    } else {
        s.b
    };
    let is_itself = |o: &Segment| o.shape == s.shape && o.a == s.a && o.b == s.b;
    let is_shaft = |o: &Segment| {
        let among = |shaft: &Shaft| shaft.pieces.contains(&(o.a, o.b));
        among(shaft) || around.shafts.iter().any(among)
    };
    let meets = |o: &&Segment| {
        super::dimension::nearest_on(outer, o.a, o.b).distance(outer) <= MET * size
            && o.a.distance(o.b) > PAST * size
            && !is_itself(o)
            && !is_shaft(o)
            && !runs_along(o, s)
    };
    !around.segments.near(outer, MET * size).any(|o| meets(&o))
}

/// Whether two segments have one direction: a line drawn twice, or in pieces.
fn runs_along(a: &Segment, b: &Segment) -> bool {
    let (u, v) = ((a.b - a.a).unit(), (b.b - b.a).unit());
    u.zip(v).is_some_and(|(u, v)| u.cross(v).abs() < 0.05)
}

/// How a segment's own line meets a shaft's.
struct Meeting {
    /// Along the shaft.
    at: f64,
    /// The sine of the angle between them.
    rise: f64,
    /// How far the segment stops short of the shaft.
    gap: f64,
    /// How far it goes past it, on the side where it goes less far.
    past: f64,
    /// Where it stops on the other side, across the shaft.
    far: f64,
}

fn meeting(shaft: &Shaft, u: Vector, s: &Segment) -> Option<Meeting> {
    let (p, q) = (s.a - shaft.a, s.b - shaft.a);
    let (pa, qa) = (p.dot(u), q.dot(u));
    let (pr, qr) = (u.cross(p), u.cross(q));
    let long = s.a.distance(s.b);
    if long <= 0.0 {
        return None;
    }
    let rise = (qr - pr).abs() / long;
    if rise < 0.3 {
        return None;
    }
    let short = pr.abs().min(qr.abs());
    let (gap, past) = if pr * qr <= 0.0 {
        (0.0, short)
    } else {
        (short, 0.0)
    };
    Some(Meeting {
        at: pa + (qa - pa) * (-pr) / (qr - pr),
        rise,
        gap,
        past,
        far: if pr.abs() > qr.abs() { pr } else { qr },
    })
}

/// An arrow head or a dot reaches no farther than this, in text sizes.
const HEAD: f64 = 2.5;
/// No head or dot has more corners than this: those of an outline of thousands are not gone through for every side of it.
const MOST_CORNERS: usize = 100;
/// The widest place of an arrow head is in this part of its length at its back; of a dot it is in the middle.
const BACK: f64 = 0.35;

/// The place that an arrow head or a dot on the shaft marks, if a segment is a side of one: the tip of a head, whichever way it
/// points and wherever the line stops, and the middle of a dot.
fn head(shaft: &Shaft, u: Vector, s: &Segment, segments: &Segments, size: f64) -> Option<f64> {
    // Sides of a building are no head's, but where they are a fill's alone.
    let may_be = s.filled_only || s.layer != LayerSays::Building;
    if !may_be || shaft.shapes.contains(&s.shape) {
        return None;
    }
    let ring = segments.ring(s)?;
    if ring.len() > MOST_CORNERS {
        return None;
    }
    let corners: Vec<(f64, f64)> = ring
        .iter()
        .map(|&p| ((p - shaft.a).dot(u), u.cross(p - shaft.a)))
        .collect();
    let [(low, high), (left, right)] = [0, 1].map(|axis| {
        let all = corners.iter().map(|c| if axis == 0 { c.0 } else { c.1 });
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        })
    });
    let on_axis = left <= ONE_PLACE * size && right >= -ONE_PLACE * size;
    let wide = left.abs().max(right.abs());
    let long = high - low;
    if !on_axis || wide >= size || long >= HEAD * size {
        return None;
    }
    let points_at = |end: f64| {
        let mut there = corners.iter().filter(|c| (c.0 - end).abs() <= 0.1 * long);
        there.all(|c| c.1.abs() <= 0.25 * wide)
    };
    let widest: Vec<f64> = corners
        .iter()
        .filter(|c| c.1.abs() >= 0.9 * wide)
        .map(|c| c.0)
        .collect();
    let widest = widest.iter().sum::<f64>() / widest.len().max(1) as f64;
    Some(if widest <= low + BACK * long && points_at(high) {
        high
    } else if widest >= high - BACK * long && points_at(low) {
        low
    } else {
        f64::midpoint(low, high)
    })
}

/// What a segment marks on the shaft near one of its ends.
fn mark(
    shaft: &Shaft,
    u: Vector,
    s: &Segment,
    target: f64,
    reach: &Reach,
    segments: &Segments,
) -> Option<Mark> {
    let size = reach.size;
    let marked = |rank: Rank, at: f64, crosses: bool, far: f64| Mark {
        rank,
        at,
        segment: *s,
        crosses,
        layer: s.layer,
        far,
    };
    if let Some(tip) = head(shaft, u, s, segments, size) {
        let near = (tip - target).abs() <= reach.mark;
        let own = s.layer != LayerSays::Building;
        return near.then(|| marked(Rank::Head, tip, own, 0.0));
    }
    if s.filled_only {
        return None;
    }
    let Meeting {
        at,
        rise,
        gap,
        past,
        far,
    } = meeting(shaft, u, s)?;
    let for_dimensions = match s.layer {
        LayerSays::Dimension => true,
        LayerSays::Nothing => past <= PAST * size,
        LayerSays::Building | LayerSays::LeftOut => false,
    };
    let near = if for_dimensions {
        reach.mark
    } else if s.layer == LayerSays::Building && shaft.layer == LayerSays::Building {
        reach.corner
    } else {
        reach.hair
    };
    let off = (at - target).abs();
    if gap > 0.6 * size || off > near {
        return None;
    }
    let crosses = for_dimensions && past > 0.05 * size;
    if rise > 0.985 {
        return Some(marked(Rank::Extension, at, crosses, far));
    }
    if crosses && s.a.distance(s.b) < 3.0 * size {
        return Some(marked(Rank::Tick, at, true, far));
    }
    // Two sides of a roof that both run past their corner, where no layer says so.
    let past_both = gap <= 0.0 && past <= reach.corner && off <= reach.corner;
    let is_corner = match shaft.layer {
        LayerSays::Building => s.layer == LayerSays::Building,
        LayerSays::Nothing => s.layer == LayerSays::Nothing && past_both,
        LayerSays::Dimension | LayerSays::LeftOut => false,
    };
    is_corner.then(|| marked(Rank::Corner, at, false, far))
}

/// The stretch of a chain of lengths that a text stands beside: between the nearest marks on either side of it. `None` where
/// nothing parts the line, or where the text stands in the middle of all of it and in none of its stretches.
pub(super) fn stretch(
    shaft: &Shaft,
    [start, end]: &[End; 2],
    text: &Beside,
    around: Around<'_>,
) -> Option<[End; 2]> {
    let u = (shaft.b - shaft.a).unit()?;
    let in_gap = shaft.pieces.len() > 1;
    // A chain is marked wherever it is parted, and at its ends too.
    if shaft.layer == LayerSays::Building || !(in_gap || (start.marked && end.marked)) {
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
        .filter(|s| may_part(shaft, s))
        .filter_map(|s| part(shaft, u, s, text.size, around.segments))
        .filter(|m| inside(m.at))
        .collect();
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
            extension: (m.layer == LayerSays::Nothing && m.is_long(text.size))
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

/// Where a text stands on its line.
pub(super) struct Beside {
    /// Its middle, along the shaft.
    pub(super) at: f64,
    /// The letters' size.
    pub(super) size: f64,
}

/// Whether a segment may part a chain: by its layer, and by lying across it at all.
fn may_part(shaft: &Shaft, s: &Segment) -> bool {
    let by_layer = match s.layer {
        LayerSays::Dimension => true,
        // Beside a layer of dimensions, other lines are the roof's.
        LayerSays::Nothing => shaft.layer == LayerSays::Nothing,
        LayerSays::Building | LayerSays::LeftOut => false,
    };
    let apart = |a: f64, b: f64, c: f64, d: f64, slack: f64| {
        a.max(b) + slack < c.min(d) || c.max(d) + slack < a.min(b)
    };
    let slack = 1e-3 * shaft.a.distance(shaft.b);
    by_layer
        && !apart(s.a.x, s.b.x, shaft.a.x, shaft.b.x, slack)
        && !apart(s.a.y, s.b.y, shaft.a.y, shaft.b.y, slack)
}

/// What parts a chain: a tick, or a line square to it that goes past it a little, or ends on it on the layer of dimensions.
fn part(shaft: &Shaft, u: Vector, s: &Segment, size: f64, segments: &Segments) -> Option<Mark> {
    let marked = |rank: Rank, at: f64, far: f64| Mark {
        rank,
        at,
        segment: *s,
        crosses: true,
        layer: s.layer,
        far,
    };
    let long = s.a.distance(s.b);
    if let Some(tip) = head(shaft, u, s, segments, size) {
        return Some(marked(Rank::Head, tip, 0.0));
    }
    if s.filled_only {
        return None;
    }
    let met = meeting(shaft, u, s)?;
    if met.gap > 0.05 * size || met.past > PAST * size {
        return None;
    }
    let crosses = met.past > 0.05 * size;
    if met.rise > 0.985 {
        let parts = crosses || s.layer == LayerSays::Dimension;
        return parts.then(|| marked(Rank::Extension, met.at, met.far));
    }
    (crosses && long < 3.0 * size).then(|| marked(Rank::Tick, met.at, met.far))
}

/// Whether a line across a chain has a length of its own.
fn is_of_another(mark: &Mark, around: Around<'_>) -> bool {
    let piece = (mark.segment.a, mark.segment.b);
    around.shafts.iter().any(|s| s.pieces.contains(&piece))
}
