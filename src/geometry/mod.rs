//! Plane geometry without a roofing word in it.

mod plane;
mod point;
pub mod ring;

pub use plane::Plane;
pub use point::{Point, Point3, Vector};
