//! Laws that hold for every roof: random valid roofs are recovered, and where a plan lies on the sheet changes nothing.

use eavewright::geometry::{Point, Vector, ring};
use eavewright::roof::{EdgeClass, Roof, SolveOptions};
use proptest::prelude::*;

use crate::roof_plans::{PlanFace, plan};

/// The faces of the lower envelope of one plane a side over a convex polygon, each rising square to its side: the half
/// planes where its plane is lowest, cut out of the polygon.
fn envelope(polygon: &[Point], slopes: &[f64]) -> Vec<Vec<Point>> {
    let planes: Vec<(Vector, f64)> = ring::sides(polygon)
        .zip(slopes)
        .map(|((a, b), &m)| {
            let g = (b - a).unit().unwrap().turn_left() * m;
            (g, -g.dot(a - Point::default()))
        })
        .collect();
    (0..planes.len())
        .map(|i| {
            let mut face = polygon.to_vec();
            for j in (0..planes.len()).filter(|&j| j != i) {
                let (g, c) = (planes[j].0 - planes[i].0, planes[j].1 - planes[i].1);
                face = clip(&face, |p| g.dot(p - Point::default()) + c);
            }
            face
        })
        .collect()
}

/// The part of a convex ring where `keep` is not negative.
fn clip(points: &[Point], keep: impl Fn(Point) -> f64) -> Vec<Point> {
    let mut out = Vec::new();
    for (a, b) in ring::sides(points) {
        let (u, v) = (keep(a), keep(b));
        if u >= -1e-9 {
            out.push(a);
        }
        if (u > 1e-9 && v < -1e-9) || (u < -1e-9 && v > 1e-9) {
            out.push(a.lerp(b, u / (u - v)));
        }
    }
    out
}

fn faces(polygon: &[Point], slopes: &[f64]) -> Vec<PlanFace> {
    envelope(polygon, slopes)
        .iter()
        .zip(slopes)
        .map(|(ring, &m)| PlanFace {
            rings: vec![ring.iter().map(|p| (p.x, p.y)).collect()],
            pitch: Some(m),
            half_step: 1e-4,
            fall: None,
        })
        .collect()
}

/// A convex polygon with corners on a circle, none too near to the next; and a slope a side.
fn convex() -> impl Strategy<Value = (Vec<Point>, Vec<f64>)> {
    (4_usize..8).prop_flat_map(|n| {
        (
            prop::collection::vec(0.6..1.4_f64, n),
            prop::collection::vec(0.4..1.0_f64, n),
            15.0..40.0_f64,
        )
            .prop_map(|(steps, slopes, radius)| {
                let total: f64 = steps.iter().sum();
                let mut angle = 0.3;
                let points = steps
                    .iter()
                    .map(|step| {
                        angle += step / total * std::f64::consts::TAU;
                        Point::new(radius * angle.cos(), radius * angle.sin())
                    })
                    .collect();
                (points, slopes)
            })
    })
}

fn shortest_side_ft(faces: &[PlanFace]) -> f64 {
    let sides = faces.iter().flat_map(|f| {
        let points: Vec<Point> = f.rings[0].iter().map(|&(x, y)| Point::new(x, y)).collect();
        ring::sides(&points)
            .map(|(a, b)| a.distance(b))
            .collect::<Vec<_>>()
    });
    sides.fold(f64::INFINITY, f64::min)
}

fn accepted(faces: &[PlanFace]) -> Roof {
    let options = SolveOptions {
        accept_falls: true,
        // The drawing is exact: there is nothing to adjust, and adjusting would hold almost level ridges level.
        adjust: false,
        ..SolveOptions::default()
    };
    Roof::solve(&[plan(faces)], &options).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn the_lower_envelope_over_a_convex_outline_is_recovered((polygon, slopes) in convex()) {
        let faces = faces(&polygon, &slopes);
        // Faces that shrink to a hair are not drawn by anybody.
        prop_assume!(faces.iter().all(|f| f.rings[0].len() >= 3));
        prop_assume!(shortest_side_ft(&faces) > 0.5);
        let roof = accepted(&faces);
        let perimeter = ring::perimeter(&polygon);
        prop_assert!((roof.true_length(EdgeClass::Eave).to_feet() - perimeter).abs() < 1e-4, "eaves {} of {perimeter}", roof.true_length(EdgeClass::Eave).to_feet());
        let area: f64 = faces.iter().map(|f| {
            let points: Vec<Point> = f.rings[0].iter().map(|&(x, y)| Point::new(x, y)).collect();
            ring::signed_area(&points) * f.pitch.unwrap().hypot(1.0)
        }).sum();
        prop_assert!((roof.true_area().to_square_feet() / area - 1.0).abs() < 1e-9);
        for edge in roof.edges.iter().filter(|e| e.faces.len() == 2) {
            // A lower envelope is convex: water may cross a crease, but never gathers in one.
            prop_assert!(edge.class != EdgeClass::Valley);
            for end in [edge.start, edge.end] {
                for &face in &edge.faces {
                    prop_assert!((roof.face(face).plane.height_at(end.plan()) - end.z).abs() < 2e-3);
                }
            }
        }
        // V − E + F = 1 for one connected roof without holes.
        let map = plan(&self::faces(&polygon, &slopes));
        prop_assert_eq!(map.nodes.len() + map.faces.len(), map.edges.len() + 1);
    }

    #[test]
    fn turning_mirroring_moving_and_scaling_change_nothing((polygon, slopes) in convex(), turn in 0.0..std::f64::consts::TAU, mirror: bool, size in 0.5..3.0_f64) {
        let faces = faces(&polygon, &slopes);
        prop_assume!(faces.iter().all(|f| f.rings[0].len() >= 3));
        // Edges of a few inches are at the tracer's limit.
        prop_assume!(shortest_side_ft(&faces) * size.min(1.0) > 0.5);
        let (s, c) = turn.sin_cos();
        let moved: Vec<PlanFace> = faces.iter().map(|f| PlanFace {
            rings: vec![f.rings[0].iter().map(|&(x, y)| {
                let x = if mirror { -x } else { x };
                (size * (c * x - s * y) + 500.0, size * (s * x + c * y) - 300.0)
            }).collect()],
            ..f.clone()
        }).collect();
        let (a, b) = (accepted(&faces), accepted(&moved));
        prop_assert!((b.true_area().to_square_feet() / (a.true_area().to_square_feet() * size * size) - 1.0).abs() < 1e-9);
        // A ridge at the limit of level may be called a hip after turning: their sum may not change.
        let of = |roof: &Roof, classes: &[EdgeClass]| classes.iter().map(|&c| roof.true_length(c).to_feet()).sum::<f64>();
        for classes in [&[EdgeClass::Eave][..], &[EdgeClass::Ridge, EdgeClass::Hip], &[EdgeClass::Valley], &[EdgeClass::Rake]] {
            let (p, q) = (of(&a, classes) * size, of(&b, classes));
            prop_assert!((p - q).abs() < 1e-3 * size + 1e-3 * p, "{classes:?}: {p} and {q}");
        }
    }
}
