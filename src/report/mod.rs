//! What people and programs read: rounding happens here and nowhere else.

pub mod glb;
pub mod html;
pub mod view3d;
