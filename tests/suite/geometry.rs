//! Points, vectors, planes and rings against figures worked by hand, and as laws.

use eavewright::geometry::{Plane, Point, Point3, Vector, ring};
use proptest::prelude::*;

#[track_caller]
fn near(got: f64, expected: f64) {
    let within = 1e-9 * expected.abs().max(1.0);
    assert!((got - expected).abs() < within, "{got} for {expected}");
}

fn points(corners: &[(f64, f64)]) -> Vec<Point> {
    corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
}

/// 40 by 24 less its north-east quarter.
const L: [(f64, f64); 6] = [
    (3.0, 5.0),
    (43.0, 5.0),
    (43.0, 17.0),
    (23.0, 17.0),
    (23.0, 29.0),
    (3.0, 29.0),
];

#[test]
fn points_and_vectors_add_and_turn_as_drawn_on_paper() {
    let (p, q) = (Point::new(3.0, -2.0), Point::new(8.0, 10.0));
    // 5, 12, 13.
    near(p.distance(q), 13.0);
    near(q.distance(p), 13.0);
    assert_eq!(q - p, Vector::new(5.0, 12.0));
    assert_eq!(p + Vector::new(5.0, 12.0), q);
    assert_eq!(q - Vector::new(5.0, 12.0), p);
    assert_eq!(p.midpoint(q), Point::new(5.5, 4.0));
    assert_eq!(p.lerp(q, 0.0), p);
    assert_eq!(p.lerp(q, 0.25), Point::new(4.25, 1.0));
    assert_eq!(p.at_height(7.0), Point3::new(3.0, -2.0, 7.0));
    assert_eq!(Point3::new(3.0, -2.0, 7.0).plan(), p);

    let (u, v) = (Vector::new(3.0, 4.0), Vector::new(-2.0, 5.0));
    assert_eq!(u + v, Vector::new(1.0, 9.0));
    assert_eq!(u - v, Vector::new(5.0, -1.0));
    assert_eq!(u * 2.0, Vector::new(6.0, 8.0));
    assert_eq!(-u, Vector::new(-3.0, -4.0));
    let mut sum = u;
    sum += v;
    assert_eq!(sum, u + v);
    near(u.length(), 5.0);
    near(u.dot(v), 14.0);
    near(u.cross(v), 23.0);
    assert_eq!(u.turn_left(), Vector::new(-4.0, 3.0));
    assert_eq!(u.unit(), Some(Vector::new(3.0, 4.0) * 0.2));
    assert_eq!(Vector::default().unit(), None);
    assert!(Vector::default().is_zero() && !Vector::new(0.0, -1.0).is_zero());
    assert!(!Vector::new(1e-300, 0.0).is_zero());
    assert_eq!(Vector::new(f64::INFINITY, 0.0).unit(), None);
    // 2, 3, 6: 7.
    near(
        Point3::new(1.0, 1.0, 1.0).distance(Point3::new(3.0, 4.0, 7.0)),
        7.0,
    );
    for (x, y, finite) in [
        (0.0, 0.0, true),
        (f64::NAN, 0.0, false),
        (0.0, f64::INFINITY, false),
    ] {
        assert_eq!(Point::new(x, y).is_finite(), finite);
    }
}

#[test]
fn bearings_go_round_by_the_east_from_the_north() {
    for (x, y, bearing) in [
        (0.0, 1.0, 0.0),
        (1.0, 1.0, 45.0),
        (1.0, 0.0, 90.0),
        (0.0, -1.0, 180.0),
        (-1.0, 0.0, 270.0),
        (-1.0, 1.0, 315.0),
        (-1e-18, 1.0, 0.0),
    ] {
        let got = Vector::new(x, y).bearing_deg();
        near(got, bearing);
        assert!((0.0..360.0).contains(&got));
    }
    // What is only the rounding of the other component is no bearing.
    assert!(Vector::new(2e-17, 0.5).bearing_deg() == 0.0);
    assert!(Vector::new(1e-15, 0.5).bearing_deg() > 0.0);
    let v = Vector::from_bearing_deg(30.0);
    near(v.x, 0.5);
    near(v.y, 0.75_f64.sqrt());
}

#[test]
fn a_plane_rises_along_its_gradient_from_its_offset() {
    let plane = Plane {
        gradient: Vector::new(0.5, -0.25),
        offset: 3.0,
    };
    near(plane.height_at(Point::new(4.0, 8.0)), 3.0);
    near(plane.height_at(Point::new(6.0, 2.0)), 5.5);
}

#[test]
fn the_measures_of_an_l_are_those_of_its_two_rectangles() {
    let l = points(&L);
    near(ring::signed_area(&l), 720.0);
    let turned: Vec<Point> = l.iter().rev().copied().collect();
    near(ring::signed_area(&turned), -720.0);
    near(ring::perimeter(&l), 128.0);
    // 40 x 12 about (23, 11) and 20 x 12 about (13, 23): (2 * 23 + 13) / 3, (2 * 11 + 23) / 3.
    for outline in [&l, &turned] {
        let c = ring::centroid(outline);
        near(c.x, 59.0 / 3.0);
        near(c.y, 15.0);
    }
    assert_eq!(ring::signed_area(&[]), 0.0);
    assert_eq!(ring::centroid(&[]), Point::default());
    // No area: the mean of the points.
    let flat = points(&[(1.0, 2.0), (3.0, 2.0), (8.0, 2.0)]);
    let mean = ring::centroid(&flat);
    near(mean.x, 4.0);
    near(mean.y, 2.0);
    assert_eq!(ring::sides(&l).count(), 6);
    assert_eq!(ring::sides(&l).last(), Some((l[5], l[0])));
}

#[test]
fn what_lies_in_an_l_is_in_one_of_its_two_rectangles() {
    let l = points(&L);
    // Between the grid lines on which the sides lie, all round the L and in it.
    for i in 0..48 {
        for j in 0..34 {
            let p = Point::new(f64::from(i) + 0.5, f64::from(j) + 0.5);
            let low = (3.0..43.0).contains(&p.x) && (5.0..17.0).contains(&p.y);
            let high = (3.0..23.0).contains(&p.x) && (17.0..29.0).contains(&p.y);
            assert_eq!(ring::contains(&l, p), low || high, "{p:?}");
        }
    }
    // As high as a corner, but not on the outline: the corner's two sides must count once where the outline goes on up,
    // and twice or not at all where it turns back.
    let diamond = points(&[(0.0, -10.0), (20.0, 0.0), (0.0, 10.0), (-20.0, 0.0)]);
    for (outline, x, y, inside) in [
        (&diamond, 0.0, 0.0, true),
        (&diamond, -15.0, 0.0, true),
        (&diamond, -25.0, 0.0, false),
        (&diamond, 25.0, 0.0, false),
        (&diamond, -5.0, 10.0, false),
        (&diamond, -5.0, -10.0, false),
        (&l, 10.0, 17.0, true),
        (&l, 0.0, 17.0, false),
        (&l, 0.0, 5.0, false),
        (&l, 0.0, 29.0, false),
    ] {
        let p = Point::new(x, y);
        assert_eq!(ring::contains(outline, p), inside, "{p:?}");
    }
    // Slanted sides, from both sides: a 30 by 20 triangle and the places beside its slopes.
    let triangle = points(&[(0.0, 0.0), (30.0, 0.0), (10.0, 20.0)]);
    for (x, y, inside) in [
        (4.0, 7.9, true),
        (4.0, 8.1, false),
        (20.0, 9.9, true),
        (20.0, 10.1, false),
        (10.0, 19.9, true),
        (10.0, 20.1, false),
        (15.0, -0.1, false),
    ] {
        assert_eq!(
            ring::contains(&triangle, Point::new(x, y)),
            inside,
            "{x}, {y}"
        );
    }
}

/// A ring on a slope has its plan area times √(1 + slope²), whichever way it slopes.
#[test]
fn the_area_on_a_slope_is_the_plan_area_times_the_slope_factor() {
    for (x, y) in [(0.5, 0.0), (0.0, -0.75), (1.2, 0.9), (-0.3, 0.4)] {
        let plane = Plane {
            gradient: Vector::new(x, y),
            offset: -11.0,
        };
        let on_it: Vec<Point3> = points(&L)
            .iter()
            .map(|&p| p.at_height(plane.height_at(p)))
            .collect();
        let factor = (1.0 + x * x + y * y).sqrt();
        near(ring::newell_area(&on_it), 720.0 * factor);
    }
    // Upright: 40 ft long and 9 ft high, in no direction of the axes.
    let (a, b) = (Point::new(7.0, -3.0), Point::new(31.0, 29.0));
    let wall = [
        a.at_height(2.0),
        b.at_height(2.0),
        b.at_height(11.0),
        a.at_height(11.0),
    ];
    near(ring::newell_area(&wall), 360.0);
    assert_eq!(ring::newell_area(&[]), 0.0);
}

proptest! {
    /// Moving, turning and enlarging a ring does to its measures what it does to a drawing.
    #[test]
    fn measures_go_with_a_ring_that_is_moved_turned_and_enlarged(
        radii in prop::collection::vec(2.0..30.0_f64, 3..12),
        (dx, dy) in (-5000.0..5000.0_f64, -5000.0..5000.0_f64),
        turn in 0.0..6.2_f64,
        k in 0.1..20.0_f64,
    ) {
        let n = radii.len() as f64;
        let star: Vec<Point> = (radii.iter().enumerate())
            .map(|(i, r)| {
                let angle = i as f64 / n * std::f64::consts::TAU;
                Point::new(r * angle.cos(), r * angle.sin())
            })
            .collect();
        let (sin, cos) = turn.sin_cos();
        let moved = |p: Point| Point::new(k * (p.x * cos - p.y * sin) + dx, k * (p.x * sin + p.y * cos) + dy);
        let there: Vec<Point> = star.iter().map(|&p| moved(p)).collect();
        let (area, round) = (ring::signed_area(&star), ring::perimeter(&star));
        prop_assert!(area > 0.0);
        prop_assert!((ring::signed_area(&there) / (area * k * k) - 1.0).abs() < 1e-8);
        prop_assert!((ring::perimeter(&there) / (round * k) - 1.0).abs() < 1e-8);
        let (c, d) = (moved(ring::centroid(&star)), ring::centroid(&there));
        prop_assert!(c.distance(d) < 1e-6 * (k * 30.0));
        // A star holds the point that it is a star about.
        prop_assert!(ring::contains(&there, moved(Point::default())));
        prop_assert!(!ring::contains(&there, moved(Point::new(30.5, 0.1))));
    }
}
