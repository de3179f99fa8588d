//! What a box leaves of a straight line.

use super::Point;

/// The part of a straight line from `a` to `b` within the box between two corners, its border with it, as shares of its length
/// from `a`; both are the same where it only touches. `None` where it passes by (Liang and Barsky, *A new concept and method
/// for line clipping*, ACM Transactions on Graphics 3, 1984, from memory).
pub fn part_in_box(a: Point, b: Point, low: Point, high: Point) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (at, by, low, high) in [
        (a.x, b.x - a.x, low.x, high.x),
        (a.y, b.y - a.y, low.y, high.y),
    ] {
        if by == 0.0 {
            if at < low || at > high {
                return None;
            }
            continue;
        }
        let (s, t) = ((low - at) / by, (high - at) / by);
        from = from.max(s.min(t));
        to = to.min(s.max(t));
    }
    (from <= to).then_some((from, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(a: (f64, f64), b: (f64, f64)) -> Option<(f64, f64)> {
        let [a, b] = [a, b].map(|(x, y)| Point::new(x, y));
        part_in_box(a, b, Point::new(0.0, 0.0), Point::new(4.0, 2.0))
    }

    #[test]
    fn a_line_that_crosses_a_box_ends_in_it_lies_in_it_or_touches_it_has_a_part_there() {
        for (a, b, from, to) in [
            ((2.0, -3.0), (2.0, 5.0), 0.375, 0.625),
            ((-1.0, 1.0), (1.0, 1.0), 0.5, 1.0),
            ((1.0, 0.5), (1.0, 1.5), 0.0, 1.0),
            ((-1.0, 1.0), (1.0, 3.0), 0.5, 0.5),
            ((4.0, -1.0), (4.0, 0.0), 1.0, 1.0),
        ] {
            assert_eq!(part(a, b), Some((from, to)), "{a:?} {b:?}");
            assert_eq!(part(b, a), Some((1.0 - to, 1.0 - from)), "{b:?} {a:?}");
        }
    }

    #[test]
    fn a_line_that_passes_by_a_box_or_ends_before_it_has_none() {
        for (a, b) in [
            ((5.0, -3.0), (5.0, 5.0)),
            ((-1.0, 1.5), (1.0, 3.5)),
            ((1.0, 3.0), (3.0, 2.5)),
            ((1.0, -2.0), (1.0, -0.1)),
        ] {
            assert_eq!((part(a, b), part(b, a)), (None, None), "{a:?} {b:?}");
        }
    }
}
