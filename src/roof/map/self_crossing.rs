//! Closed shapes that cross themselves: no face has such an outline, so the line was drawn in a wrong order.

use crate::drawing::Stroke;
use crate::geometry::Point;
use crate::{Finding, Place};

/// Shapes with more corners are traced curves or text, not faces drawn by hand; looking at every pair of their sides
/// would take long.
const MOST_CORNERS: usize = 200;

/// One error for every closed shape of which two sides cross.
pub(super) fn self_crossings(strokes: &[&Stroke]) -> Vec<Finding> {
    strokes
        .iter()
        .filter(|s| s.closed && s.points.len() <= MOST_CORNERS)
        .filter_map(|stroke| {
            let at = first_crossing(&stroke.points)?;
            Some(
                Finding::error("self-crossing", "A closed shape crosses itself here.")
                    .remedy("Draw its corners in order round the face, or draw the two parts as two shapes.")
                    .place(Place::on(&stroke.source, at)),
            )
        })
        .collect()
}

fn first_crossing(ring: &[Point]) -> Option<Point> {
    let n = ring.len();
    let side = |i: usize| (ring[i], ring[(i + 1) % n]);
    (0..n).find_map(|i| {
        // Neighbouring sides share a corner and cannot cross.
        (i + 2..n)
            .filter(|&j| (j + 1) % n != i)
            .find_map(|j| crossing(side(i), side(j)))
    })
}

/// Where two sides cross in their insides.
fn crossing((a, b): (Point, Point), (c, d): (Point, Point)) -> Option<Point> {
    let (u, v) = (b - a, d - c);
    let (c_side, d_side) = (u.cross(c - a), u.cross(d - a));
    let (a_side, b_side) = (v.cross(a - c), v.cross(b - c));
    let proper = c_side * d_side < 0.0 && a_side * b_side < 0.0;
    proper.then(|| a.lerp(b, a_side / (a_side - b_side)))
}

#[cfg(test)]
mod tests {
    use super::first_crossing;
    use crate::geometry::Point;

    #[test]
    fn a_bow_tie_crosses_itself_in_its_middle_and_a_square_does_not() {
        let p = Point::new;
        let bow = [p(0.0, 0.0), p(2.0, 2.0), p(2.0, 0.0), p(0.0, 2.0)];
        assert_eq!(first_crossing(&bow), Some(p(1.0, 1.0)));
        let square = [p(0.0, 0.0), p(2.0, 0.0), p(2.0, 2.0), p(0.0, 2.0)];
        assert_eq!(first_crossing(&square), None);
    }
}
