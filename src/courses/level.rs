//! Traced eaves, ridges and headwalls are level on the roof, and within the tracing's error on the plan. Courses and sheets are
//! laid against them as they are built: a side that leans by a hair would cross a course line over yards and leave a
//! wedge that nobody lays. So are the valley between two faces that fall against each other, the line at which the pitch
//! changes and the lower and upper side of an opening, where they are level at all.

use crate::geometry::Point;
use crate::roof::{EdgeClass, LEVEL_RISE_PER_LENGTH, Ring, Roof, Side};

/// Sides that lean by more than this in all, in inches up the slope, lean on the roof: twice the 20 mm within which an
/// edge is called level, since two traced ends are off.
const LEAST_LEAN_IN: f64 = 2.0 * 20.0 / 25.4;

/// Puts the ends of sides that are level by their class at one height up the slope: the mean of the chain's, weighted by
/// the lengths that meet there. `points` are the ring's corners in (u, v) inches.
pub(crate) fn level_sides(roof: &Roof, ring: &Ring, points: &mut [Point]) {
    let n = points.len();
    let level: Vec<bool> = (0..n)
        .map(|i| is_level(roof, ring.sides[i], points[i], points[(i + 1) % n]))
        .collect();
    // A ring that is level all round has no fall, and no course is laid on it.
    let Some(start) = level.iter().position(|l| !l) else {
        return;
    };
    let mut at = start + 1;
    while at <= start + n {
        let mut end = at;
        while end < start + n && level[end % n] {
            end += 1;
        }
        level_chain(points, at, end);
        at = end + 1;
    }
}

/// Levels the corners `from..=to` of the ring, counted round it.
fn level_chain(points: &mut [Point], from: usize, to: usize) {
    let n = points.len();
    let heights = (from..=to).map(|i| points[i % n].y);
    let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
        (l.min(v), h.max(v))
    });
    if to == from || high - low > LEAST_LEAN_IN {
        return;
    }
    let (mut sum, mut length) = (0.0, 0.0);
    for i in from..to {
        let (a, b) = (points[i % n], points[(i + 1) % n]);
        let side = a.distance(b);
        sum += side * (a.y + b.y) / 2.0;
        length += side;
    }
    if length > 0.0 {
        for i in from..=to {
            points[i % n].y = sum / length;
        }
    }
}

fn is_level(roof: &Roof, side: Side, a: Point, b: Point) -> bool {
    let (along, lean) = ((b.x - a.x).abs(), (b.y - a.y).abs());
    let within = |most: f64| lean <= LEAST_LEAN_IN.min(most);
    match side {
        Side::Edge(id) => match roof.edge(id).class {
            EdgeClass::Eave | EdgeClass::HighEdge | EdgeClass::Ridge | EdgeClass::Headwall => {
                within(along)
            }
            // Most valleys lean by their nature; one that rises less than an edge that is called level does not.
            EdgeClass::Valley | EdgeClass::PitchChange | EdgeClass::InPlane => {
                within(LEVEL_RISE_PER_LENGTH * along)
            }
            _ => false,
        },
        Side::Opening(_) => within(LEVEL_RISE_PER_LENGTH * along),
    }
}

#[cfg(test)]
mod tests {
    use super::level_chain;
    use crate::geometry::Point;

    /// The heights of a chain, 7 ft above a corner that is none of it, after levelling.
    fn levelled(chain: &[(f64, f64)]) -> Vec<f64> {
        let mut points = vec![Point::new(-50.0, 0.0)];
        points.extend(chain.iter().map(|&(u, v)| Point::new(u, 84.0 + v)));
        level_chain(&mut points, 1, chain.len());
        assert_eq!(points[0], Point::new(-50.0, 0.0));
        points[1..].iter().map(|p| p.y - 84.0).collect()
    }

    fn near(got: Vec<f64>, expected: &[f64]) {
        assert_eq!(got.len(), expected.len());
        for (a, b) in got.iter().zip(expected) {
            assert!((a - b).abs() < 1e-3, "{got:?}");
        }
    }

    #[test]
    fn an_eave_traced_askew_by_a_hair_is_level_at_its_mean_height() {
        near(levelled(&[(0.0, 0.0), (240.0, 1.0)]), &[0.5, 0.5]);
        // 60 in at 0.5 and 180 in at 1 in the mean: (60 × 0.5 + 180 × 1) / 240.
        let bent = levelled(&[(0.0, 0.0), (60.0, 1.0), (240.0, 1.0)]);
        near(bent, &[0.875; 3]);
    }

    #[test]
    fn an_eave_that_leans_on_the_roof_stays_as_it_is() {
        // Twice 20 mm is 1.575 in. Each side leans by less, both together by more.
        near(levelled(&[(0.0, 0.0), (240.0, 1.6)]), &[0.0, 1.6]);
        near(levelled(&[(0.0, 0.0), (240.0, 1.5)]), &[0.75, 0.75]);
        let chain = [(0.0, 0.0), (120.0, 1.0), (240.0, 2.0)];
        near(levelled(&chain), &[0.0, 1.0, 2.0]);
        // One corner alone is no side.
        near(levelled(&[(0.0, 3.0)]), &[3.0]);
    }
}
