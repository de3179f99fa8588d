//! Numbers and lengths as people write them, on a plan, in a job file and on the command line alike.

mod length;
mod normal;
mod scan;

pub(crate) use length::length_at;
pub use length::{LengthText, LengthUnit, parse_length, parse_length_in};
pub use normal::normalise;
pub(crate) use scan::{Number, Scanner};
