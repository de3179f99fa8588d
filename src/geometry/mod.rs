//! Plane geometry without a roofing word in it.

mod clip;
mod plane;
mod point;
pub mod ring;
mod sets;
mod triangulate;

pub use clip::part_in_box;
pub use plane::Plane;
pub(crate) use point::circle;
pub use point::{Point, Point3, Vector, segments_cross};
pub(crate) use sets::Sets;
pub use triangulate::{polygon_area, triangulate};
