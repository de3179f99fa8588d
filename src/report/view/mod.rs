//! The roof in parallel projection, seen from above a corner, with what is behind painted over.

mod eye;
mod order;
mod solid;

pub(crate) use eye::Eye;
pub(crate) use solid::{Kind, Polygon, polygons};

pub(crate) use order::painted;
