//! Circles that an exporter wrote as straight pieces: marked as the curves that they were.

use super::dashes::Pen;
use super::{Drawing, Stroke};
use crate::geometry::Point;

/// Between pieces of a circle the line turns by at most this, in degrees: the sides of an octagon turn by 45°.
const WIDEST_TURN_DEG: f64 = 20.0;
/// Turns at so many corners in a row make a curve.
const FEWEST_CORNERS: usize = 4;
/// The turn for each foot is the same all along, but for this part: points are rounded.
const EVEN: f64 = 0.15;
/// A piece begins where the last one ended, to this distance in feet.
const JOINED_FT: f64 = 0.001;

/// Marks strokes that follow a circle, and joins single lines that do so one after the other.
pub(super) fn mark(drawing: &mut Drawing) {
    join_single_lines(drawing);
    for stroke in &mut drawing.strokes {
        stroke.curved |= follows_a_circle(&stroke.points, stroke.closed);
    }
}

/// Whether a part of a chain turns evenly from corner to corner, as on a circle.
fn follows_a_circle(points: &[Point], closed: bool) -> bool {
    let count = points.len();
    // A run may go on across the start of a closed chain.
    let corners = if closed {
        0..count + FEWEST_CORNERS - 1
    } else {
        1..count.max(2) - 1
    };
    let bends = corners.map(|i| {
        let at = |step: usize| points[(i + count + step - 1) % count];
        bend([at(0), at(1), at(2)])
    });
    let mut run: Option<(f64, usize)> = None;
    for bend in bends {
        run = match (run, bend) {
            (Some((first, corners)), Some(bend)) if (bend / first - 1.0).abs() <= EVEN => {
                Some((first, corners + 1))
            }
            (_, bend) => bend.map(|b| (b, 1)),
        };
        if run.is_some_and(|(_, corners)| corners >= FEWEST_CORNERS) {
            return true;
        }
    }
    false
}

/// How much a line turns at a corner for each foot, in degrees; `None` where it goes straight on or turns sharply.
fn bend([a, b, c]: [Point; 3]) -> Option<f64> {
    const LEAST_TURN_DEG: f64 = 0.5;
    let (aside, ahead) = ((b - a).cross(c - b), (b - a).dot(c - b));
    // Nearly all corners of a drawing are sharper than this: they cost no arc tangent.
    if aside.abs() > ahead {
        return None;
    }
    let turn = aside.atan2(ahead).to_degrees();
    let feet = (a.distance(b) + b.distance(c)) / 2.0;
    (LEAST_TURN_DEG..=WIDEST_TURN_DEG)
        .contains(&turn.abs())
        .then_some(turn / feet)
}

/// Joins lines of one pen that go on from each other in the file and together follow a circle.
fn join_single_lines(drawing: &mut Drawing) {
    let strokes = &drawing.strokes;
    let mut joined: Vec<(usize, Vec<Point>)> = Vec::new();
    let mut start = 0;
    while start < strokes.len() {
        let points = chain_from(&strokes[start..]);
        let lines = points.len().max(2) - 1;
        if lines > FEWEST_CORNERS && follows_a_circle(&points, false) {
            joined.push((start, points));
        }
        start += lines;
    }
    let mut gone = vec![false; drawing.strokes.len()];
    for (first, mut points) in joined {
        let lines = points.len() - 1;
        gone[first + 1..first + lines].fill(true);
        let closed = points[0].distance(points[lines]) <= JOINED_FT;
        points.truncate(lines + usize::from(!closed));
        let stroke = &mut drawing.strokes[first];
        (stroke.points, stroke.closed) = (points, closed);
    }
    let mut gone = gone.into_iter();
    drawing.strokes.retain(|_| !gone.next().unwrap_or(false));
}

/// The points of the single lines that go on from the first stroke, turning little; empty where that is no single line.
fn chain_from(strokes: &[Stroke]) -> Vec<Point> {
    let single = |stroke: &Stroke| match stroke.points[..] {
        [a, b] if !stroke.closed && !stroke.filled_only => Some([a, b]),
        _ => None,
    };
    let Some(first) = single(&strokes[0]) else {
        return Vec::new();
    };
    let mut points = first.to_vec();
    for pair in strokes.windows(2) {
        let [.., before, end] = points[..] else { break };
        let next = single(&pair[1]).filter(|_| Pen::of(&pair[0]) == Pen::of(&pair[1]));
        match next {
            Some([a, b]) if a.distance(end) <= JOINED_FT && bend([before, a, b]).is_some() => {
                points.push(b);
            }
            _ => break,
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(sides: usize) -> Vec<Point> {
        let corner = |i: usize| {
            let (sin, cos) = (std::f64::consts::TAU * i as f64 / sides as f64).sin_cos();
            Point::new(30.0 + 5.0 * cos, 20.0 + 5.0 * sin)
        };
        (0..sides).map(corner).collect()
    }

    #[test]
    fn a_polygon_of_many_sides_is_a_circle_and_an_octagon_is_none() {
        assert!(follows_a_circle(&polygon(24), true));
        assert!(follows_a_circle(&polygon(64)[..9], false));
        assert!(!follows_a_circle(&polygon(8), true));
        assert!(!follows_a_circle(&polygon(24)[..5], false));
    }

    #[test]
    fn a_round_end_is_round_wherever_the_shape_starts() {
        // A bay of six even corners, two of them before the start, closed by a straight line across.
        let mut bay = polygon(24)[..8].to_vec();
        for _ in 0..bay.len() {
            assert!(follows_a_circle(&bay, true), "{bay:?}");
            bay.rotate_left(1);
        }
    }

    #[test]
    fn corners_that_turn_unevenly_or_to_and_fro_make_no_curve() {
        let zigzag = |i: usize| Point::new(i as f64, 0.1 * (i % 2) as f64);
        assert!(!follows_a_circle(
            &(0..12).map(zigzag).collect::<Vec<_>>(),
            false
        ));
        let spiral = |i: usize| Point::new(1.5_f64.powi(i as i32), (i * i) as f64 * 0.3);
        assert!(!follows_a_circle(
            &(0..8).map(spiral).collect::<Vec<_>>(),
            false
        ));
    }
}
