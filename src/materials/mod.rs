//! What to buy, why, and at what price: computed from edges, faces and the course layout.
//!
//! Each rule of the trade has a file; it says what one run, row or face *needs*. Needs of all roofs of a job are
//! added up, and only then rounded, once for each stock item, in `order`.

mod caps;
mod catalog;
mod drip;
mod field;
mod frame;
mod ice;
mod item;
mod money;
mod nails;
mod need;
mod offer;
mod options;
mod order;
mod product;
mod roll;
pub mod rules;
mod runs;
mod settings;
mod site;
mod starter;
mod underlayment;
mod valley;
mod words;

pub use catalog::Catalog;
pub use ice::ice_reach_in;
pub use item::{Item, Measured};
pub use money::{Exact, parse_decimal};
pub use offer::{Bidding, Labour, Price, Prices, Rounding, Sum};
pub use options::{
    Counterflashing, CricketKind, Edition, UnderlaymentKind, ValleyLining, VentRatio, WallFace,
    Wind,
};
pub use product::Product;
pub use settings::MaterialSettings;

use crate::Finding;
use crate::courses::Courses;
use crate::roof::{EdgeId, FaceId, Roof};

/// Everything to order for a job.
#[derive(Clone, Debug, Default)]
pub struct MaterialList {
    /// One line an item, in the order that a crew uses them.
    pub lines: Vec<MaterialLine>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// One item to order.
#[derive(Clone, Debug, PartialEq)]
pub struct MaterialLine {
    /// What it is.
    pub item: String,
    /// A short stable key, such as `drip_edge_eave`.
    pub key: &'static str,
    /// What tells lines of one key apart, such as `3 in` of a pipe boot; empty for most.
    pub variant: String,
    /// Exact need in `needed_unit`: what lies on the roof, without laps and cutting loss.
    pub needed: f64,
    /// The unit of `needed`, `consumed` and `left_over`, such as `ft`.
    pub needed_unit: String,
    /// What is used up, laps and cutting loss included.
    pub consumed: f64,
    /// The same in packages, before rounding; the user's handling allowance included.
    pub needed_packages: f64,
    /// Whole packages to order, `allowance` included.
    pub quantity: f64,
    /// Packages among them that nothing computed asks for: spare bundles, the handling allowance.
    pub allowance: f64,
    /// The package, such as `bundle`.
    pub unit: String,
    /// What should be left of the order, allowances included.
    pub left_over: f64,
    /// How it was computed, in one line with the numbers.
    pub basis: String,
    /// Where the rule and the package size come from, or "common practice, no source".
    pub source: String,
    /// The rules followed, by their names in [`rules::RULES`].
    pub rules: Vec<&'static str>,
    /// The edges that feed it: (index of the roof in the job, edge).
    pub edges: Vec<(usize, EdgeId)>,
    /// The faces that feed it: (index of the roof in the job, face).
    pub faces: Vec<(usize, FaceId)>,
}

impl MaterialLine {
    /// The key by which prices are looked up: `key`, or `key:variant`.
    pub fn price_key(&self) -> String {
        if self.variant.is_empty() {
            self.key.to_owned()
        } else {
            format!("{}:{}", self.key, self.variant)
        }
    }
}

impl MaterialList {
    /// What one roof takes.
    pub fn compute(roof: &Roof, courses: &Courses, settings: &MaterialSettings) -> Self {
        Self::compute_job(&[(roof, courses)], settings)
    }

    /// What several roofs or phases of one job take together: needs are added before anything is rounded.
    pub fn compute_job(roofs: &[(&Roof, &Courses)], settings: &MaterialSettings) -> Self {
        let mut list = Self::default();
        let mut needs = Vec::new();
        for (index, (roof, courses)) in roofs.iter().enumerate() {
            let site = site::Site::new(roof, courses, settings);
            let found = site.needs();
            needs.extend(found.needs.into_iter().map(|need| (index, need)));
            list.findings.extend(found.findings);
        }
        let format = roofs.first().map(|(_, courses)| &courses.format);
        list.lines = order::lines(&needs, format, settings, &mut list.findings);
        list
    }
}
