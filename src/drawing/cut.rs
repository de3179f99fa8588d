//! Outlines cut where a clip path hides them.

use super::curve::{Outline, Piece};
use super::region::{Effort, Region};
use crate::geometry::Point;

/// Straight steps along a curve between which its meeting a border is looked for.
const STEPS: usize = 32;

/// A border nearer than this share of a piece to its end, or to another border, is that one.
const OWN_END: f64 = 1e-7;

/// The seen parts of an outline; `None` where all of it is seen, or where the effort is spent before that is known.
pub(super) fn cut(
    outline: &Outline,
    region: &Region,
    slack: f64,
    effort: &mut Effort,
) -> Option<Vec<Outline>> {
    let parts = parts_of(outline, region, slack, effort)?;
    if parts.iter().all(|p| p.seen) {
        return None;
    }
    let mut seen: Vec<Outline> = Vec::new();
    for run in parts.chunk_by(|a, b| a.seen == b.seen) {
        if run[0].seen {
            seen.push(Outline {
                start: run[0].from,
                pieces: run.iter().map(|p| p.piece).collect(),
                closed: false,
            });
        }
    }
    let goes_on = outline.closed && parts[0].seen && parts[parts.len() - 1].seen;
    if goes_on && seen.len() > 1 {
        let first = seen.remove(0);
        if let Some(last) = seen.last_mut() {
            last.pieces.extend(first.pieces);
        }
    }
    Some(seen)
}

/// A part of an outline between two borders.
struct Part {
    from: Point,
    piece: Piece,
    seen: bool,
}

fn parts_of(
    outline: &Outline,
    region: &Region,
    slack: f64,
    effort: &mut Effort,
) -> Option<Vec<Part>> {
    let sides = region.side_count();
    let mut parts = Vec::new();
    let mut from = outline.start;
    let end = outline.pieces.last().map_or(outline.start, |p| p.end());
    let closing =
        (outline.closed && end.distance(outline.start) > 0.0).then_some(Piece::Line(outline.start));
    for piece in outline.pieces.iter().copied().chain(closing) {
        if !effort.spend(sides * steps(piece)) {
            return None;
        }
        let borders = crossings(from, piece, region, slack);
        if !effort.spend(sides * (borders.len() + 1)) {
            return None;
        }
        let mut at = 0.0;
        for to in borders.into_iter().chain([1.0]) {
            let (start, part) = between(from, piece, at, to);
            let middle = on(start, part, 0.5);
            parts.push(Part {
                from: start,
                piece: part,
                seen: region.shows(middle, slack),
            });
            at = to;
        }
        from = piece.end();
    }
    Some(parts)
}

/// Where a piece meets the border, as shares of it in order; its own ends are no such places.
fn crossings(from: Point, piece: Piece, region: &Region, slack: f64) -> Vec<f64> {
    let steps = steps(piece);
    let at = |i: usize| on(from, piece, i as f64 / steps as f64);
    let mut all: Vec<f64> = (0..steps)
        .flat_map(|i| {
            let shares = region.crossings(at(i), at(i + 1), slack);
            shares
                .into_iter()
                .map(move |s| (i as f64 + s) / steps as f64)
        })
        .collect();
    all.retain(|s| (OWN_END..=1.0 - OWN_END).contains(s));
    all.dedup_by(|b, a| *b - *a < OWN_END);
    all
}

fn steps(piece: Piece) -> usize {
    match piece {
        Piece::Line(_) => 1,
        Piece::Cubic(..) => STEPS,
    }
}

fn on(from: Point, piece: Piece, t: f64) -> Point {
    match piece {
        Piece::Line(to) => from.lerp(to, t),
        Piece::Cubic(a, b, to) => {
            let (pa, ab, bq) = (from.lerp(a, t), a.lerp(b, t), b.lerp(to, t));
            pa.lerp(ab, t).lerp(ab.lerp(bq, t), t)
        }
    }
}

/// The part of a piece between two shares of it, and where it starts.
fn between(from: Point, piece: Piece, low: f64, high: f64) -> (Point, Piece) {
    let (start, end) = (on(from, piece, low), on(from, piece, high));
    let Piece::Cubic(a, b, to) = piece else {
        return (start, Piece::Line(end));
    };
    if low == 0.0 && high == 1.0 {
        return (from, piece);
    }
    // The polar form of the cubic at the part's own ends.
    let blossom = |r: f64, s: f64, t: f64| {
        let step = |p: [Point; 3]| p[0].lerp(p[1], s).lerp(p[1].lerp(p[2], s), t);
        step([from.lerp(a, r), a.lerp(b, r), b.lerp(to, r)])
    };
    let handles = (blossom(low, low, high), blossom(low, high, high));
    (start, Piece::Cubic(handles.0, handles.1, end))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::super::region::Part as RegionPart;
    use super::*;

    /// Seen is what lies between x = 0 and 10.
    fn strip() -> Region {
        let ring = [(0.0, -99.0), (10.0, -99.0), (10.0, 99.0), (0.0, 99.0)];
        let ring = ring.map(|(x, y)| Point::new(x, y)).to_vec();
        Region::new(vec![RegionPart::new(vec![ring], false).unwrap()])
    }

    fn path(points: &[(f64, f64)], closed: bool) -> Outline {
        let mut points = points.iter().map(|&(x, y)| Point::new(x, y));
        Outline {
            start: points.next().unwrap(),
            pieces: points.map(Piece::Line).collect(),
            closed,
        }
    }

    #[test]
    fn a_line_that_leaves_the_clip_ends_at_its_border() {
        let seen = cut(
            &path(&[(5.0, 0.0), (20.0, 0.0)], false),
            &strip(),
            0.0,
            &mut Effort::new(1000),
        )
        .unwrap();
        assert_eq!(seen, [path(&[(5.0, 0.0), (10.0, 0.0)], false)]);
    }

    #[test]
    fn a_closed_outline_cut_twice_stays_in_one_piece_across_its_own_start() {
        let outline = path(&[(5.0, 0.0), (20.0, 0.0), (20.0, 5.0), (5.0, 5.0)], true);
        let seen = cut(&outline, &strip(), 0.0, &mut Effort::new(1000)).unwrap();
        let expected = path(&[(10.0, 5.0), (5.0, 5.0), (5.0, 0.0), (10.0, 0.0)], false);
        assert_eq!(seen, [expected]);
    }

    #[test]
    fn a_curve_is_cut_on_the_border_and_stays_the_same_curve() {
        let (a, b, to) = (
            Point::new(5.0, 0.0),
            Point::new(15.0, 5.0),
            Point::new(20.0, 5.0),
        );
        let curve = Outline {
            start: Point::new(0.0, 0.0),
            pieces: vec![Piece::Cubic(a, b, to)],
            closed: false,
        };
        let seen = cut(&curve, &strip(), 0.0, &mut Effort::new(1000)).unwrap();
        let end = seen[0].pieces[0].end();
        // Half-way by symmetry, which is where two steps along the curve meet.
        assert!(end.distance(Point::new(10.0, 2.5)) < 1e-9, "{end:?}");
    }

    #[test]
    fn what_lies_inside_is_untouched_and_what_lies_outside_is_gone() {
        assert_eq!(
            cut(
                &path(&[(1.0, 0.0), (9.0, 5.0)], false),
                &strip(),
                0.0,
                &mut Effort::new(1000)
            ),
            None
        );
        let outside = cut(
            &path(&[(11.0, 0.0), (19.0, 5.0)], false),
            &strip(),
            0.0,
            &mut Effort::new(1000),
        )
        .unwrap();
        assert!(outside.is_empty());
    }
}
