//! What a review is told.

/// A difference up to this part is none: 1 %, what careful tracing reaches (common practice, no source).
const TOLERANCE: f64 = 0.01;

/// What a review is told.
#[derive(Clone, Debug, PartialEq)]
pub struct ReviewSettings {
    /// A difference up to this part of the computed figure is none.
    pub tolerance: f64,
    /// How far the roof reaches beyond the walls, where that is known; several where only one of eaves and rakes is, and
    /// the other may be anything usual. Each is tried.
    pub overhangs: Vec<Overhang>,
    /// Whether findings are told in metres.
    pub metric: bool,
}

/// How far the roof reaches beyond the walls, in feet of plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overhang {
    /// At eaves and other level outer edges.
    pub eave_ft: f64,
    /// At rakes.
    pub rake_ft: f64,
}

impl Default for ReviewSettings {
    fn default() -> Self {
        Self {
            tolerance: TOLERANCE,
            overhangs: Vec::new(),
            metric: false,
        }
    }
}
