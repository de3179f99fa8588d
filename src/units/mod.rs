//! Measures that cannot be mixed: a plan length is not a true length, a plan area is not a true area.
//!
//! The international foot (exactly 0.3048 m) is the only foot here.

mod length;
pub(crate) mod number;
mod pitch;
pub mod text;
pub(crate) mod words;
mod written;

pub use length::{Area, Length, Plan, Surface, True, Vertical};
pub use pitch::Pitch;
pub use text::parse_length_in;
pub(crate) use written::parse_area_sqft;
pub use written::{AreaText, LengthText};

/// Metres in one international foot, by definition (international yard and pound agreement, 1959).
pub const METRES_PER_FOOT: f64 = 0.3048;

/// Square feet in one roofing square: 100 ft² of finished roof surface, whatever units are printed.
pub const SQUARE_FEET_PER_SQUARE: f64 = 100.0;
