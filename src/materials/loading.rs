//! What stacked bundles weigh on the roof, so that they are spread along the ridge and not set down in one place.

use super::MaterialLine;
use super::formats::Formats;
use super::item::Item;

/// The bundles of field shingles on the roof before they are laid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loading {
    /// Bundles ordered.
    pub bundles: f64,
    /// What they weigh together, in pounds; `None` where a format does not state the weight of its bundle.
    pub weight_lb: Option<f64>,
    /// Ridge to spread them along, in feet of true length.
    pub ridge_ft: f64,
}

/// What stacked bundles may weigh on a foot of ridge, in pounds: 20 lb/ft², the live load that roofs are commonly framed
/// for, over 4 ft on either side. Own choice, no source.
pub const MOST_LB_PER_RIDGE_FT: f64 = 160.0;

/// Where these figures come from.
pub const LOADING_SOURCE: &str = "a bundle: the format's own figure; along the ridge: own choice, the live load of 20 lb/ft² that roofs are commonly framed for, over 4 ft on either side";

/// Where the bundles go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// Along the ridge.
    AlongRidge,
    /// Up in lifts and over the faces: along the ridge they would be too heavy.
    InLifts,
    /// There is no ridge to spread them along.
    NoRidge,
}

impl Spread {
    /// By the ridge there is, in feet, and what they weigh, in pounds, where that is known.
    pub fn of(ridge_ft: f64, weight_lb: Option<f64>) -> Self {
        if ridge_ft <= 0.0 {
            return Self::NoRidge;
        }
        match weight_lb {
            Some(lb) if lb > MOST_LB_PER_RIDGE_FT * ridge_ft => Self::InLifts,
            _ => Self::AlongRidge,
        }
    }
}

impl Loading {
    /// Where the bundles go.
    pub fn spread(&self) -> Spread {
        Spread::of(self.ridge_ft, self.weight_lb)
    }

    pub(super) fn of(lines: &[MaterialLine], formats: &Formats<'_>, ridge_ft: f64) -> Option<Self> {
        let (mut bundles, mut weight_lb) = (0.0, Some(0.0));
        for line in lines.iter().filter(|l| l.key == Item::Shingles.key()) {
            bundles += line.quantity;
            let bundle_lb = formats.of_variant(&line.variant)?.bundle_weight_lb;
            weight_lb = weight_lb
                .filter(|_| bundle_lb > 0.0)
                .map(|lb| lb + line.quantity * bundle_lb);
        }
        (bundles > 0.0).then_some(Self {
            bundles,
            weight_lb,
            ridge_ft,
        })
    }

    /// Pounds of a bundle, on average where there are several formats; `None` where the weight is not stated.
    pub fn lb_per_bundle(&self) -> Option<f64> {
        let weight_lb = self.weight_lb?;
        (self.bundles > 0.0).then(|| weight_lb / self.bundles)
    }

    /// Pounds on each foot of ridge when they are spread evenly; `None` for a roof without a ridge, or where the weight is
    /// not stated.
    pub fn lb_per_ridge_ft(&self) -> Option<f64> {
        let weight_lb = self.weight_lb?;
        (self.ridge_ft > 0.0).then(|| weight_lb / self.ridge_ft)
    }
}
