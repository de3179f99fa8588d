//! What the reader is told from outside: a scale, rules, limits.

use super::rule::Rule;
use super::text::ScaleText;

/// How a drawing is to be read.
#[derive(Clone, Debug, Default)]
pub struct ReadOptions {
    /// A scale given by hand; wins over what the drawing says.
    pub scale: Option<ScaleText>,
    /// The job is metric: a whole number beside a dimension line is millimetres.
    pub metric_job: bool,
    /// Shapes that are roof lines whatever else is said; where there are any, only those are.
    pub roof_rules: Vec<Rule>,
    /// Shapes (and texts) that are not looked at.
    pub ignore_rules: Vec<Rule>,
    /// Bounds that protect against hostile files.
    pub limits: Limits,
}

/// Bounds on a file. A file beyond one of them is refused.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Bytes, before and after unpacking. Default 64 MiB.
    pub bytes: usize,
    /// Elements. Default 150,000: as many straight pieces are looked at as lines that may be the roof's.
    pub elements: usize,
    /// Nesting. Default 256.
    pub depth: usize,
    /// Corners in paths and lines as they stand in the file, without those on layers that are left out; all together may be as many as
    /// `pieces`. Default 500,000.
    pub corners: usize,
    /// Straight pieces after flattening. Default 1,000,000.
    pub pieces: usize,
    /// Letters of all texts. Default 200,000: each is placed for itself.
    pub letters: usize,
    /// Style rules times elements: each rule is tried on each. Default 20,000,000.
    pub styling: usize,
    /// The largest coordinate, in drawing units. Default 1e7: beyond it the reader's numbers have less than a
    /// thousandth of the drawing's width left.
    pub coordinate: f64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            bytes: 64 << 20,
            elements: 150_000,
            depth: 256,
            corners: 500_000,
            pieces: 1_000_000,
            letters: 200_000,
            styling: 20_000_000,
            coordinate: 1e7,
        }
    }
}
