//! Numbers and lengths as people write them, on a plan, in a job file and on the command line alike.

mod length;
mod normal;
mod scan;

pub use length::{LengthText, LengthUnit, parse_length, parse_length_in};
pub(crate) use length::{has_a_length, length_at};
pub use normal::normalise;
pub(crate) use scan::{Number, Scanner};
