//! Where a dimension line starts and stops: at the extension line, tick or arrow head that marks its end, or where it ends
//! itself.

use super::dimension::{LayerSays, Segment, Segments, Shaft};
use super::dimension_mark::{
    Around, MOST_MARKS, Mark, Meeting, ONE_PLACE, PAST, Rank, head, is_its_own, meeting, shapes,
};
use crate::geometry::Vector;

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

/// A line that is no extension line by its layer or its shape marks an end that it meets so nearly, as a part of the
/// shaft: two such ends change a length by half a percent.
const HAIR: f64 = 0.0025;
/// A side of the roof ends where the next side crosses it, no farther than this from where its line was drawn to: ends that
/// run past or stop short by as much are mended.
const CORNER_FT: f64 = 1.0;

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
    let borne_out = best.segment.layer == LayerSays::Dimension
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
            .filter(|m| m.segment.layer == LayerSays::Nothing && m.is_long(reach.size))
            .min_by(|a, b| (a.at - at).abs().total_cmp(&(b.at - at).abs()))
            .map(|m| (m.segment.shape, m.far)),
        shapes: shapes(&marks),
        at,
        marked: true,
        moved: if borne_out { 0.0 } else { (at - target).abs() },
    }
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
