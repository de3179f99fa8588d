//! Hatching of convex shapes with parallel lines.

use super::canvas::{Area, Canvas, Pen};
use crate::geometry::{Point, Vector, ring};

/// Hatch lines are never closer than this on paper, in mm.
pub(crate) const LEAST_SPACING: f64 = 0.9;
/// The thinnest line that a copier keeps, and the thinnest of the standard widths used.
const PEN: Pen = Pen::new(0.18);

/// Fills a convex polygon with lines in a direction, `spacing` mm apart. Lines are counted from the sheet's corner,
/// so that neighbouring shapes hatch as one. Nothing is drawn outside `within`, however far the shape reaches.
pub(crate) fn convex(
    canvas: &mut Canvas<'_>,
    shape: &[Point],
    within: Area,
    direction: Vector,
    spacing: f64,
) {
    let shape = &within.clip_ring(shape)[..];
    let Some(along) = direction.unit() else {
        return;
    };
    let across = along.turn_left();
    let offset = |p: Point| (p - Point::default()).dot(across);
    let low = shape
        .iter()
        .map(|&p| offset(p))
        .fold(f64::INFINITY, f64::min);
    let high = shape
        .iter()
        .map(|&p| offset(p))
        .fold(f64::NEG_INFINITY, f64::max);
    if !(low.is_finite() && high.is_finite()) {
        return;
    }
    let mut line = (low / spacing).ceil();
    while line * spacing < high {
        if let Some((a, b)) = chord(shape, across, line * spacing) {
            canvas.line(a, b, PEN);
        }
        line += 1.0;
    }
}

/// Where the line at a distance from the origin enters and leaves a convex shape.
fn chord(shape: &[Point], across: Vector, at: f64) -> Option<(Point, Point)> {
    let mut hits = ring::sides(shape).filter_map(|(a, b)| {
        let (da, db) = (
            (a - Point::default()).dot(across) - at,
            (b - Point::default()).dot(across) - at,
        );
        ((da > 0.0) != (db > 0.0)).then(|| a.lerp(b, da / (da - db)))
    });
    let first = hits.next()?;
    let second = hits.next()?;
    (first.distance(second) > 0.05).then_some((first, second))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::canvas::Fonts;

    #[test]
    fn a_chord_runs_from_side_to_side_of_a_square() {
        let square = [
            Point::new(0.0, 0.0),
            Point::new(2.0, 0.0),
            Point::new(2.0, 2.0),
            Point::new(0.0, 2.0),
        ];
        let length = chord(&square, Vector::new(0.0, 1.0), 0.5).map(|(a, b)| a.distance(b));
        assert!(length.is_some_and(|length| (length - 2.0).abs() < 1e-12));
        assert!(chord(&square, Vector::new(0.0, 1.0), 3.0).is_none());
    }

    #[test]
    fn a_shape_that_reaches_for_miles_is_hatched_no_farther_than_its_area() {
        let fonts = Fonts::load().unwrap_or_else(|finding| unreachable!("{}", finding.message));
        let mut canvas = Canvas::new(fonts);
        let shape =
            [(0.0, 0.0), (1e12, 0.0), (1e12, 5.0), (0.0, 5.0)].map(|(x, y)| Point::new(x, y));
        let area = Area::new(0.0, 0.0, 100.0, 200.0);
        convex(&mut canvas, &shape, area, Vector::new(1.0, 1.0), 0.9);
        // 100 × 5 mm across the diagonal: 105 / √2 / 0.9 = 82 lines.
        assert!(
            (80..=83).contains(&canvas.items.len()),
            "{}",
            canvas.items.len()
        );
    }
}
