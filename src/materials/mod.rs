//! What to buy, why, and at what price: computed from edges, faces and the course layout.

use crate::Finding;

/// Everything to order for a job.
#[derive(Clone, Debug, Default)]
pub struct MaterialList {
    /// One line an item, in the order that a crew uses them.
    pub lines: Vec<MaterialLine>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// One item to order.
#[derive(Clone, Debug)]
pub struct MaterialLine {
    /// What it is.
    pub item: String,
    /// A short stable key, such as `drip_edge_eave`.
    pub key: &'static str,
    /// Exact need in `needed_unit`.
    pub needed: f64,
    /// The unit of `needed`, such as `ft`.
    pub needed_unit: String,
    /// Whole packages to order.
    pub quantity: f64,
    /// The package, such as `bundle`.
    pub unit: String,
    /// How it was computed, in one line with the numbers.
    pub basis: String,
    /// Where the rule and the package size come from, or "common practice, no source".
    pub source: String,
}
