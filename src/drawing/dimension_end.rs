//! Where a dimension line's length starts and stops: at the extension line, tick or arrow head that marks its end, or
//! where it ends itself.

use super::dimension::{LayerSays, Segment, Segments, Shaft};
use crate::geometry::Vector;

/// One end of a dimension line.
pub(super) struct End {
    /// Along the shaft from its first point, in drawing units.
    pub(super) at: f64,
    pub(super) shapes: Vec<usize>,
    pub(super) marked: bool,
    /// The mark goes past the shaft, as extension lines, ticks and arrow heads do and corners of an outline do not.
    pub(super) crosses: bool,
    /// How far it was moved to a line that neither its layer nor its shape calls an extension line, in drawing units.
    pub(super) moved: f64,
}

/// A line that is no extension line by its layer or its shape marks an end that it meets so nearly, as a part of the
/// shaft: two such ends change a length by half a percent.
const HAIR: f64 = 0.0025;
/// An extension line goes past its dimension line by no more text sizes than this, on the side where it goes less far past:
/// room for a second row of dimensions. Frames, grids and the outline go on.
const PAST: f64 = 3.0;
/// Marks nearer together than this, in text sizes, mark one place.
const ONE_PLACE: f64 = 0.1;

/// Where the shaft's length really starts and stops: at the extension line, tick or arrow tip nearest to each end.
pub(super) fn ends(shaft: &Shaft, size: f64, segments: &Segments) -> [End; 2] {
    let length = shaft.a.distance(shaft.b);
    let reach = Reach {
        size,
        mark: (1.5 * size).min(0.25 * length),
        hair: HAIR * length,
    };
    let u = (shaft.b - shaft.a).unit().unwrap_or_default();
    let find = |target: f64| {
        let outward = if target > 0.0 { 1.0 } else { -1.0 };
        end_at(shaft, u, target, outward, &reach, segments)
    };
    [find(0.0), find(length)]
}

/// How far from an end its mark may stand, in drawing units.
struct Reach {
    /// The text's size.
    size: f64,
    mark: f64,
    /// What is no extension line by its looks.
    hair: f64,
}

fn end_at(
    shaft: &Shaft,
    u: Vector,
    target: f64,
    outward: f64,
    reach: &Reach,
    segments: &Segments,
) -> End {
    // A line that would meet the shaft if it went on by 0.6 sizes, however aslant, ends within two sizes of there.
    let end = shaft.a + u * target;
    let mut marks: Vec<Mark> = segments
        .near(end, reach.mark + 2.0 * reach.size)
        .filter(|s| s.layer != LayerSays::LeftOut)
        .filter(|s| {
            !shaft.shapes.contains(&s.shape) || s.a.distance(s.b) < shaft.a.distance(shaft.b)
        })
        .filter_map(|s| mark(shaft, u, s, target, reach))
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
    let best = match nearest(Rank::Extension) {
        Some(line) if tick.is_none_or(|t| off(line) <= off(t) + ONE_PLACE * reach.size) => {
            Some(line)
        }
        _ => tick.or_else(|| nearest(Rank::Head)),
    };
    let Some(best) = best.copied() else {
        return End {
            at: target,
            shapes: Vec::new(),
            marked: false,
            crosses: false,
            moved: 0.0,
        };
    };
    let at = if best.rank == Rank::Head {
        // Of a head's sides the one that reaches farthest ends in its tip.
        marks
            .iter()
            .filter(|m| m.rank == Rank::Head && (off(m) - off(&best)).abs() < 0.02 * reach.size)
            .map(|m| m.at * outward)
            .fold(f64::NEG_INFINITY, f64::max)
            * outward
    } else {
        best.at
    };
    // A line that goes past the shaft by as little as an extension line does looks like one.
    let borne_out = best.layer == LayerSays::Dimension
        || best.crosses
        || best.rank != Rank::Extension
        || tick.is_some_and(|t| (t.at - at).abs() <= ONE_PLACE * reach.size);
    marks.retain(|m| m.crosses);
    let mut shapes: Vec<usize> = marks.iter().map(|m| m.shape).collect();
    shapes.sort_unstable();
    shapes.dedup();
    End {
        at,
        crosses: !shapes.is_empty(),
        shapes,
        marked: true,
        moved: if borne_out { 0.0 } else { (at - target).abs() },
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Rank {
    /// A line square to the shaft.
    Extension,
    /// A short line askew across the shaft's end.
    Tick,
    /// A side of a small filled shape: an arrow head or a dot.
    Head,
}

#[derive(Clone, Copy)]
struct Mark {
    rank: Rank,
    at: f64,
    shape: usize,
    crosses: bool,
    layer: LayerSays,
}

/// What a segment marks on the shaft near one of its ends.
fn mark(shaft: &Shaft, u: Vector, s: &Segment, target: f64, reach: &Reach) -> Option<Mark> {
    let size = reach.size;
    let (p, q) = (s.a - shaft.a, s.b - shaft.a);
    let (pa, qa) = (p.dot(u), q.dot(u));
    let (pr, qr) = (u.cross(p), u.cross(q));
    let long = s.a.distance(s.b);
    if long <= 0.0 {
        return None;
    }
    let marked = |rank: Rank, at: f64, crosses: bool| Mark {
        rank,
        at,
        shape: s.shape,
        crosses,
        layer: s.layer,
    };
    if s.filled_only {
        let tip = if (pa - target).abs() > (qa - target).abs() {
            pa
        } else {
            qa
        };
        let small = long < 2.5 * size && pr.abs().max(qr.abs()) < size;
        let near = (tip - target).abs() <= reach.mark;
        return (small && near).then(|| marked(Rank::Head, tip, true));
    }
    // Where the segment's own line meets the shaft's.
    let rise = (qr - pr).abs() / long;
    if rise < 0.3 {
        return None;
    }
    let at = pa + (qa - pa) * (-pr) / (qr - pr);
    let past = pr.abs().min(qr.abs());
    let (gap, past) = if pr * qr <= 0.0 {
        (0.0, past)
    } else {
        (past, 0.0)
    };
    let for_dimensions = match s.layer {
        LayerSays::Dimension => true,
        LayerSays::Nothing => past <= PAST * size,
        LayerSays::Building | LayerSays::LeftOut => false,
    };
    let near = if for_dimensions {
        reach.mark
    } else {
        reach.hair
    };
    if gap > 0.6 * size || (at - target).abs() > near {
        return None;
    }
    let crosses = past > 0.05 * size;
    if rise > 0.985 {
        return Some(marked(Rank::Extension, at, crosses));
    }
    (crosses && long < 3.0 * size).then(|| marked(Rank::Tick, at, crosses))
}
