//! The one typeface, for reading a drawing's text and for printing: Liberation Sans 2.1 under the SIL Open Font
//! License 1.1 (`LICENSE-OFL.txt` beside this file). Bundled unaltered, so that a plan reads and prints the same on a
//! machine with no fonts at all.

/// The regular weight, as a TrueType file.
pub const REGULAR: &[u8] = include_bytes!("LiberationSans-Regular.ttf");
/// The bold weight, as a TrueType file.
pub const BOLD: &[u8] = include_bytes!("LiberationSans-Bold.ttf");
