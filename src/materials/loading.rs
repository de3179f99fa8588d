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

impl Loading {
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

    /// Pounds on each foot of ridge when they are spread evenly; `None` for a roof without a ridge, or where the weight is
    /// not stated.
    pub fn lb_per_ridge_ft(&self) -> Option<f64> {
        let weight_lb = self.weight_lb?;
        (self.ridge_ft > 0.0).then(|| weight_lb / self.ridge_ft)
    }
}
