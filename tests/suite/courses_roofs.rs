//! Roofs built by hand, so that courses can be laid without a drawing.

use eavewright::geometry::{Plane, Point, Point3, Vector};
use eavewright::roof::{Edge, EdgeClass, EdgeId, Face, FaceId, Ring, Roof, Side};
use eavewright::units::{Area, Length, Pitch};

/// A face to build: the uphill direction, and its corners with what the side from each is.
type Built = (Vector, Vec<(f64, f64, EdgeClass)>);

/// A roof from faces of (corner, what the side from it is), each with its uphill direction.
fn roof(rise_in_12: f64, faces: &[Built]) -> Roof {
    let pitch = Pitch::in_12(rise_in_12);
    let mut made = Roof::default();
    for (i, (uphill, corners)) in faces.iter().enumerate() {
        let gradient = *uphill * pitch.to_rise_per_run();
        let lowest = corners
            .iter()
            .map(|c| gradient.x * c.0 + gradient.y * c.1)
            .fold(f64::INFINITY, f64::min);
        let plane = Plane {
            gradient,
            offset: -lowest,
        };
        let at = |c: &(f64, f64, EdgeClass)| {
            let p = Point::new(c.0, c.1);
            p.at_height(plane.height_at(p))
        };
        let mut ring = Ring::default();
        for (k, corner) in corners.iter().enumerate() {
            let (start, end): (Point3, Point3) =
                (at(corner), at(&corners[(k + 1) % corners.len()]));
            ring.corners.push(start);
            ring.sides.push(Side::Edge(EdgeId(made.edges.len())));
            made.edges.push(Edge {
                class: corner.2,
                faces: vec![FaceId(i)],
                start,
                end,
                plan_length: Length::feet(start.plan().distance(end.plan())),
                true_length: Length::feet(start.distance(end)),
                sources: Vec::new(),
            });
        }
        let points: Vec<Point> = corners.iter().map(|c| Point::new(c.0, c.1)).collect();
        let plan = Area::square_feet(eavewright::geometry::ring::signed_area(&points));
        made.faces.push(Face {
            name: format!("F{}", i + 1),
            pitch,
            plane,
            level: 0,
            outline: ring,
            holes: Vec::new(),
            plan_area: plan,
            true_area: pitch.true_area(plan),
            pitch_half_step: 0.0,
            label_at: points[0],
            why: String::new(),
            source: None,
        });
    }
    made
}

/// A gable with the ridge along x, each slope half of `depth_ft` long on the roof; 1 in 12 where no rise is given.
pub(crate) fn gable(length_ft: f64, depth_ft: f64, rise_in_12: f64) -> Roof {
    use EdgeClass::{Eave, Rake, Ridge};
    let rise = if rise_in_12 > 0.0 { rise_in_12 } else { 1.0 };
    // Depth in plan such that each slope is half of `depth_ft` long.
    let half = depth_ft / 2.0 / Pitch::in_12(rise).slope_factor();
    let l = length_ft;
    roof(
        rise,
        &[
            (
                Vector::new(0.0, 1.0),
                vec![
                    (0.0, 0.0, Eave),
                    (l, 0.0, Rake),
                    (l, half, Ridge),
                    (0.0, half, Rake),
                ],
            ),
            (
                Vector::new(0.0, -1.0),
                vec![
                    (l, 2.0 * half, Eave),
                    (0.0, 2.0 * half, Rake),
                    (0.0, half, Ridge),
                    (l, half, Rake),
                ],
            ),
        ],
    )
}

/// A hip roof with square corners and one pitch.
pub(crate) fn hip(length_ft: f64, depth_ft: f64, rise_in_12: f64) -> Roof {
    use EdgeClass::{Eave, Hip, Ridge};
    let (l, d, h) = (length_ft, depth_ft, depth_ft / 2.0);
    roof(
        rise_in_12,
        &[
            (
                Vector::new(0.0, 1.0),
                vec![
                    (0.0, 0.0, Eave),
                    (l, 0.0, Hip),
                    (l - h, h, Ridge),
                    (h, h, Hip),
                ],
            ),
            (
                Vector::new(0.0, -1.0),
                vec![(l, d, Eave), (0.0, d, Hip), (h, h, Ridge), (l - h, h, Hip)],
            ),
            (
                Vector::new(1.0, 0.0),
                vec![(0.0, d, Eave), (0.0, 0.0, Hip), (h, h, Hip)],
            ),
            (
                Vector::new(-1.0, 0.0),
                vec![(l, 0.0, Eave), (l, d, Hip), (l - h, h, Hip)],
            ),
        ],
    )
}
