//! Lines that an exporter wrote as thin filled strips: the line that was drawn runs in the middle.

use super::Drawing;
use crate::geometry::Point;
use crate::{Finding, Place};

/// A strip is at most so wide, in feet: no face of a roof is so narrow.
const WIDEST_FT: f64 = 0.5;
/// A strip is at least so many times as long as wide.
const SLENDER: f64 = 5.0;
/// The two ends of a strip are as wide as each other, and its two sides as long, to this part.
const ALIKE: f64 = 0.1;
/// A finding names this many places at most.
const MOST_PLACES: usize = 8;

/// Puts the centre line in the place of each strip, and tells it.
pub(super) fn to_centre_lines(drawing: &mut Drawing) {
    let mut places = Vec::new();
    for stroke in drawing.strokes.iter_mut().filter(|s| s.filled_only) {
        let Some(([a, b], width)) = centre_line(&stroke.points, SLENDER) else {
            continue;
        };
        if width > WIDEST_FT {
            continue;
        }
        places.push(Place::on(&stroke.source, a.midpoint(b)));
        stroke.points = vec![a, b];
        stroke.closed = false;
        stroke.filled_only = false;
        stroke.style.stroke = stroke.style.fill.take();
    }
    if places.is_empty() {
        return;
    }
    let told = Finding::note(
        "strips-taken-for-lines",
        format!(
            "{} thin filled strips were taken for lines: their middles were measured.",
            places.len()
        ),
    );
    let told = places
        .into_iter()
        .take(MOST_PLACES)
        .fold(told, Finding::place);
    drawing.findings.push(told);
}

/// The middle line of a shape of four corners `slender` times as long as wide, and its width.
pub(super) fn centre_line(corners: &[Point], slender: f64) -> Option<([Point; 2], f64)> {
    let [a, b, c, d] = *corners else {
        return None;
    };
    let lengths = [a.distance(b), b.distance(c), c.distance(d), d.distance(a)];
    let (ends, [p, q, r, s]) = if lengths[0] < lengths[1] {
        ([lengths[0], lengths[2]], [a, b, c, d])
    } else {
        ([lengths[1], lengths[3]], [b, c, d, a])
    };
    let sides = [q.distance(r), s.distance(p)];
    let width = ends[0].max(ends[1]);
    let alike = |[x, y]: [f64; 2]| (x - y).abs() <= ALIKE * x.max(y);
    let long = sides[0].min(sides[1]) >= slender * width;
    (long && alike(ends) && alike(sides)).then(|| ([p.midpoint(q), r.midpoint(s)], width))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_a_strip_is_its_line_whichever_corner_comes_first() {
        let corners =
            [(0.0, 0.0), (20.0, 0.0), (20.0, 0.2), (0.0, 0.2)].map(|(x, y)| Point::new(x, y));
        for first in 0..4 {
            let mut turned = corners;
            turned.rotate_left(first);
            let ([a, b], width) = centre_line(&turned, SLENDER).unwrap_or_default();
            assert!((width - 0.2).abs() < 1e-12);
            assert!((a.y - 0.1).abs() < 1e-12 && (b.y - 0.1).abs() < 1e-12);
            assert!((a.distance(b) - 20.0).abs() < 1e-12);
        }
        let face =
            [(0.0, 0.0), (20.0, 0.0), (20.0, 3.0), (0.0, 3.0)].map(|(x, y)| Point::new(x, y));
        assert_eq!(centre_line(&face, 8.0), None);
    }
}
