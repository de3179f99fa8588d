//! From where the roof is seen.

use crate::geometry::{Point, Point3, ring};
use crate::roof::Roof;

/// How far the plan is turned, in degrees: 45° hips and valleys keep their slant, which a true isometric loses.
const TURN_DEG: f64 = 27.0;
/// How far down the eye looks.
const DOWN_DEG: f64 = 40.0;
/// Turned on by this where a face would be seen edge on.
const STEP_DEG: f64 = 10.0;
/// A face that shows less than this of its plan area is seen edge on.
const EDGE_ON: f64 = 0.06;

/// A direction of sight.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Eye {
    sin_turn: f64,
    cos_turn: f64,
    sin_down: f64,
    cos_down: f64,
}

impl Eye {
    fn new(turn_deg: f64) -> Self {
        let (sin_turn, cos_turn) = turn_deg.to_radians().sin_cos();
        let (sin_down, cos_down) = DOWN_DEG.to_radians().sin_cos();
        Self {
            sin_turn,
            cos_turn,
            sin_down,
            cos_down,
        }
    }
    /// The usual one, turned on until no face is seen edge on.
    pub(crate) fn on(roof: &Roof) -> Self {
        (0..5)
            .map(|i| Self::new(TURN_DEG + STEP_DEG * f64::from(i)))
            .find(|eye| !roof.faces.iter().any(|face| eye.sees_edge_on(face)))
            .unwrap_or_else(|| Self::new(TURN_DEG))
    }
    fn sees_edge_on(&self, face: &crate::roof::Face) -> bool {
        let seen: Vec<Point> = face
            .outline
            .corners
            .iter()
            .map(|&c| self.screen(c))
            .collect();
        let plan = face.outline.plan();
        ring::signed_area(&seen).abs() < EDGE_ON * ring::signed_area(&plan).abs()
    }
    /// Right and up on the picture, in feet.
    pub(crate) fn screen(&self, p: Point3) -> Point {
        let across = p.x * self.cos_turn + p.y * self.sin_turn;
        let away = p.y * self.cos_turn - p.x * self.sin_turn;
        Point::new(across, away * self.sin_down + p.z * self.cos_down)
    }
    /// How near: larger is nearer the eye, in feet.
    pub(crate) fn nearness(&self, p: Point3) -> f64 {
        let away = p.y * self.cos_turn - p.x * self.sin_turn;
        p.z * self.sin_down - away * self.cos_down
    }
}
