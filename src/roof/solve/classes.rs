//! The class of an edge, by the interface's rules.

use crate::geometry::Vector;
use crate::roof::{Edge, EdgeClass, LEVEL_RISE_FT, LEVEL_RISE_PER_LENGTH, ONE_PLANE};

/// A face whose slope across an edge is below this falls along it; the other face decides.
const ALONG: f64 = 0.035;

/// Whether an edge of this plan length (feet) that rises so much (feet) is level.
pub(super) fn is_level(rise_ft: f64, length_ft: f64) -> bool {
    rise_ft.abs() <= LEVEL_RISE_PER_LENGTH * length_ft || rise_ft.abs() <= LEVEL_RISE_FT
}

impl Edge {
    /// Whether it is level, as the classes of edges have it.
    pub fn is_level(&self) -> bool {
        is_level(self.end.z - self.start.z, self.plan_length.to_feet())
    }

    /// Whether it is a valley that hardly falls: it keeps water and snow.
    pub fn is_dead_valley(&self) -> bool {
        self.class == EdgeClass::Valley && self.is_level()
    }
}

/// An edge with one face. `out` points out of it; `flat` says that the face is level.
pub(super) fn outer(gradient: Vector, flat: bool, level: bool, out: Vector) -> EdgeClass {
    if flat {
        EdgeClass::FlatEdge
    } else if !level {
        EdgeClass::Rake
    } else if gradient.dot(out) < 0.0 {
        EdgeClass::Eave
    } else {
        EdgeClass::HighEdge
    }
}

/// An edge of a face that ends at a wall or at the side of a higher part.
pub(super) fn at_wall(level: bool) -> EdgeClass {
    if level {
        EdgeClass::Headwall
    } else {
        EdgeClass::Sidewall
    }
}

/// Whether planes of two gradients that share an edge are one.
pub(super) fn are_one_plane(one: Vector, other: Vector) -> bool {
    (one - other).length() < ONE_PLANE
}

/// An edge between two faces: their gradients, whether each is level, and the unit normal into the first.
pub(super) fn inner(
    gradients: [Vector; 2],
    flat: [bool; 2],
    level: bool,
    into_first: Vector,
) -> EdgeClass {
    // Which way water crosses a line in one plane would be said by the last digits.
    if are_one_plane(gradients[0], gradients[1]) {
        return EdgeClass::InPlane;
    }
    if flat[0] || flat[1] {
        return EdgeClass::PitchChange;
    }
    // The rise going away from the edge: positive where the face falls towards it.
    let mut first = gradients[0].dot(into_first);
    let mut second = -gradients[1].dot(into_first);
    if first.abs() < ALONG && first.abs() <= second.abs() {
        first = second;
    } else if second.abs() < ALONG {
        second = first;
    }
    match (first > 0.0, second > 0.0) {
        (true, true) => EdgeClass::Valley,
        (false, false) if level => EdgeClass::Ridge,
        (false, false) => EdgeClass::Hip,
        _ => EdgeClass::PitchChange,
    }
}
