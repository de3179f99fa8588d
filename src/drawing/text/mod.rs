//! What an estimator writes on a plan: lengths, pitches, scales, areas. Used for the drawing's own labels, for the job
//! file and for the command line alike.

mod area;
mod length;
mod normal;
mod pitch;
mod scale;
mod scan;

pub use area::{AreaText, parse_area};
pub use length::{LengthText, LengthUnit, parse_length};
pub use normal::normalise;
pub use pitch::{PitchText, looks_like_a_pitch, parse_pitch, pitch_in_words};
pub use scale::{ScaleText, parse_scale_text, scale_in_words};
