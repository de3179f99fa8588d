//! What to buy, why, and at what price: computed from edges, faces and the course layout.
//!
//! Each rule of the trade has a file; it says what one run, row or face *needs*. Needs of all roofs of a job are
//! added up, and only then rounded, once for each stock item, in `order`.

mod across;
mod barrier;
mod bid;
mod caps;
mod catalog;
mod cautions;
mod cents;
mod corners;
mod cost;
mod cricket;
mod date;
mod drip;
mod field;
mod flashing;
mod formats;
mod frame;
mod ice;
mod item;
mod kind;
mod labour;
mod loading;
mod misnamed;
mod money;
mod nails;
mod need;
mod offer;
mod options;
mod order;
mod overlay;
mod package;
mod pieces;
mod pipes;
mod porch;
mod price;
mod priced;
mod product;
mod roll;
pub mod rules;
mod runs;
mod scope;
mod sealing;
mod settings;
mod site;
mod starter;
mod tally;
mod tear_off;
mod underlayment;
mod valley;
mod vent;
mod words;
mod work;

pub use bid::{Alternate, Bid, BidLine, Offer};
pub use catalog::Catalog;
pub use cost::{CostInputs, CostLine, CostSheet, ProfitRate, cost_sheet};
pub use cricket::cricket_height;
pub use date::is_date;
pub use ice::{IceReach, ice_reach_in};
pub use item::{Item, Measured};
pub(crate) use kind::is_ordered_in;
pub use loading::{LOADING_SOURCE, Loading, MOST_LB_PER_RIDGE_FT, Spread};
pub use money::{Exact, parse_decimal};
pub use offer::{Bidding, Labour, MOST_FOR_ONE, Price, Prices, Rounding, Sum};
pub use options::{
    Counterflashing, CricketKind, Edition, SidewallFlashing, UnderlaymentKind, ValleyLining,
    VentRatio, WallFace, Wind,
};
pub(crate) use order::step_length_at_least_in;
pub(crate) use overlay::layers_that_stay;
pub(crate) use package::of_many;
pub use price::{PriceList, plain_key};
pub use product::Product;
pub use settings::MaterialSettings;
pub use tear_off::{
    CONTAINER_CUYD, CONTAINER_LB, CUYD_PER_SQUARE_AND_LAYER, LB_PER_SQUARE_AND_LAYER,
    TEAR_OFF_SOURCE, TearOff,
};
pub use underlayment::DoubleUnderlayment;
pub(crate) use underlayment::past_valley;
pub use vent::{
    EAVE_NFA_SQIN_PER_FT, RIDGE_NFA_SQIN_PER_FT, RIDGE_VENT_SHORT_FT, VENT_SOURCE, Ventilation,
};
pub use work::{CONTAINER, Work};

use formats::Formats;

use crate::Finding;
use crate::courses::Courses;
use crate::roof::{EdgeClass, EdgeId, FaceId, Roof};

/// Everything to order for a job.
#[derive(Clone, Debug, Default)]
pub struct MaterialList {
    /// One line an item, in the order that a crew uses them.
    pub lines: Vec<MaterialLine>,
    /// What comes off the roof first; `None` where nothing does.
    pub tear_off: Option<TearOff>,
    /// Layers of roofing that lie on the deck; `None` where nobody said.
    pub existing_layers: Option<u32>,
    /// Layers of old roofing that stay under the new.
    pub layers_kept: u32,
    /// What the attics ask for and what ridges and eaves can hold, a roof each; of several roofs with one floor given, once
    /// for all of them.
    pub ventilation: Vec<Ventilation>,
    /// What the shingles weigh on the roof before they are laid.
    pub loading: Option<Loading>,
    /// The ice barrier of each face that has one.
    pub ice: Vec<IceReach>,
    /// The faces that take double underlayment.
    pub double_underlayment: Vec<DoubleUnderlayment>,
    /// The edition of the code that its rules were followed by.
    pub edition: Edition,
    /// Names of the rules that the job switched off.
    pub rules_off: Vec<String>,
    /// What was noticed.
    pub findings: Vec<Finding>,
    /// What was noticed of each roof by itself, in the order of the roofs; all of it is in `findings` too.
    pub findings_of: Vec<Vec<Finding>>,
    /// What the plans of several roofs are called, in the order of the roofs; where there is none, roofs are counted.
    pub plans: Vec<String>,
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
    /// The same in price keys, where the words of `variant` hang on the units that numbers are written in: `36x12` of a
    /// cricket, its width and height in inches.
    pub size: Option<String>,
    /// Exact need in `needed_unit`: what lies on the roof, without laps and cutting loss.
    pub needed: f64,
    /// The unit of `needed`, `consumed`, `holds` and `left_over`, such as `ft`.
    pub needed_unit: String,
    /// What is used up, laps and cutting loss included.
    pub consumed: f64,
    /// The same in packages, before rounding; the user's handling allowance included.
    pub needed_packages: f64,
    /// Whole packages to order, `allowance` included.
    pub quantity: f64,
    /// Packages among them that nothing computed asks for: spare bundles, the handling allowance.
    pub allowance: f64,
    /// Spare bundles among those.
    pub spare: f64,
    /// Of `consumed`, what is cut up for caps: field shingles.
    pub for_caps: f64,
    /// The package, such as `bundle`.
    pub unit: String,
    /// What one package holds, in `needed_unit`.
    pub holds: f64,
    /// What should be left of the order, allowances included; nothing where it is short by what is forgiven beyond whole packages.
    pub left_over: f64,
    /// How it was computed, in one line with the numbers.
    pub basis: String,
    /// Where the rule and the package size come from, or "common practice, no source".
    pub source: String,
    /// Where the package size and the laps come from: the last part of `source`.
    pub package_source: String,
    /// What the catalog says of it: sizes, laps, exposure.
    pub product: Product,
    /// The rules followed, by their names in [`rules::RULES`].
    pub rules: Vec<&'static str>,
    /// The edges that feed it: (index of the roof in the job, edge).
    pub edges: Vec<(usize, EdgeId)>,
    /// The faces that feed it: (index of the roof in the job, face).
    pub faces: Vec<(usize, FaceId)>,
}

impl MaterialLine {
    /// The key by which prices are looked up: `key`, or `key:variant`. It is the same whatever units numbers are written in.
    pub fn price_key(&self) -> String {
        self.key_of(self.size.as_deref().unwrap_or(&self.variant))
    }

    /// The key of price lists that name a size as the order's words do: `cricket:36 in wide, 12 in high`.
    pub(crate) fn key_in_words(&self) -> String {
        self.key_of(&self.variant)
    }

    fn key_of(&self, kind: &str) -> String {
        if kind.is_empty() {
            self.key.to_owned()
        } else {
            format!("{}:{kind}", self.key)
        }
    }
}

impl MaterialList {
    /// Whether there may be old roofing, which can hold asbestos: there is some, or nobody said that there is none.
    pub fn may_meet_old_roofing(&self) -> bool {
        self.existing_layers != Some(0)
    }

    /// The name of a roof's plan, where several have to be told apart: those of one job may have faces of one name.
    pub(super) fn plan_of(&self, roof: usize) -> Option<String> {
        (self.findings_of.len() > 1).then(|| match self.plans.get(roof) {
            Some(name) => name.clone(),
            None => format!("roof {}", roof + 1),
        })
    }

    /// What one roof takes. Nails and limits of slope are judged by `courses.choices`: make these with
    /// [`MaterialSettings::choices`].
    pub fn compute(roof: &Roof, courses: &Courses, settings: &MaterialSettings) -> Self {
        Self::compute_job(&[(roof, courses)], settings)
    }

    /// What several roofs or phases of one job take together: needs are added before anything is rounded. For choices see
    /// [`MaterialList::compute`].
    pub fn compute_job(roofs: &[(&Roof, &Courses)], settings: &MaterialSettings) -> Self {
        let mut list = Self {
            edition: settings.edition,
            existing_layers: settings.existing_layers,
            layers_kept: settings.layers_kept(),
            rules_off: settings.rules_off.iter().cloned().collect(),
            ..Self::default()
        };
        let formats = Formats::of(roofs);
        // One floor for several roofs is that of all their attics: held against each it would ask too much of all.
        let of_each = MaterialSettings {
            attic_floor_sqft: settings.attic_floor_sqft.filter(|_| roofs.len() < 2),
            ..settings.clone()
        };
        let mut needs = Vec::new();
        let (mut stripped, mut ridge_ft) = (0.0, 0.0);
        for (index, (roof, courses)) in roofs.iter().enumerate() {
            let site = site::Site::new(roof, courses, &of_each);
            let found = site.needs();
            needs.extend(found.needs.into_iter().map(|mut need| {
                Formats::tell_apart(&mut need, &courses.format);
                (index, need)
            }));
            for finding in &found.findings {
                if !list.findings.contains(finding) {
                    list.findings.push(finding.clone());
                }
            }
            list.findings_of.push(found.findings);
            list.ventilation.extend(found.ventilation);
            list.ice.extend(
                found
                    .ice
                    .into_iter()
                    .map(|ice| IceReach { roof: index, ..ice }),
            );
            list.double_underlayment
                .extend(found.double.into_iter().map(|double| DoubleUnderlayment {
                    roof: index,
                    ..double
                }));
            stripped += found.stripped_squares;
            ridge_ft += roof.true_length(EdgeClass::Ridge).to_feet();
        }
        if roofs.len() > 1
            && let Some((sum, findings)) = vent::together(&list.ventilation, settings)
        {
            list.ventilation = vec![sum];
            list.findings.extend(findings);
        }
        list.lines = order::lines(&needs, &formats, settings, &mut list.findings);
        let layers = settings.existing_layers.unwrap_or(0);
        list.tear_off = (stripped > 0.0).then(|| TearOff::of(stripped, layers));
        list.loading = Loading::of(&list.lines, &formats, ridge_ft);
        list
    }
}
