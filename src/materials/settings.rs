//! What the rules of the material list depend on, with the defaults that were taken where the job says nothing.

use std::collections::BTreeSet;

use super::catalog::Catalog;
use super::options::{
    Counterflashing, CricketKind, Edition, SidewallFlashing, UnderlaymentKind, ValleyLining,
    VentRatio, WallFace, Wind,
};
use super::rules::steep_above_in_12;
use crate::Finding;
use crate::courses::{Choices, LEAST_NAILS_A_STRIP};
use crate::roof::SlopeLimits;
use crate::units::Pitch;

/// Everything that the material list depends on beside the roof and its courses.
#[derive(Clone, Debug, PartialEq)]
pub struct MaterialSettings {
    /// Whether lengths are told in metres.
    pub metric: bool,
    /// Whether packages are metric, and boots and nails sold by the millimetre: they are of the units that the job says,
    /// whatever units lengths are told in.
    pub metric_packages: bool,
    /// The edition of the code.
    pub edition: Edition,
    /// Names of the rules that do not apply.
    pub rules_off: BTreeSet<String>,
    /// The wind zone; nails follow it through [`MaterialSettings::choices`].
    pub wind: Wind,
    /// Whether the code's table asks for an ice barrier; `None` where nobody said.
    pub ice_barrier: Option<bool>,
    /// Thickness of the exterior wall in inches; `None` where nobody said.
    pub wall_thickness_in: Option<f64>,
    /// From which face of the wall the ice barrier's reach is counted.
    pub wall_face: WallFace,
    /// Eave overhang in plan inches; `None` where nobody said.
    pub eave_overhang_in: Option<f64>,
    /// Layers of roofing there now; `None` where nobody said.
    pub existing_layers: Option<u32>,
    /// Whether they are torn off.
    pub tear_off: bool,
    /// Thickness of the deck in inches.
    pub deck_thickness_in: f64,
    /// Floor of the attic in square feet; `None` where nobody said.
    pub attic_floor_sqft: Option<f64>,
    /// Net free vent area to attic floor.
    pub vent_ratio: VentRatio,
    /// Whether ridges are vented.
    pub ridge_vent: bool,
    /// The sheet under the shingles.
    pub underlayment: UnderlaymentKind,
    /// What lies in a closed or woven valley.
    pub valley_lining: ValleyLining,
    /// Whether rakes get a starter strip.
    pub starter_at_rakes: bool,
    /// Whether caps are cut from three-tab field shingles.
    pub caps_from_field: bool,
    /// Whether the rest of one run of metal serves the next.
    pub share_offcuts: bool,
    /// Whether a level break of the pitch gets a flashing.
    pub pitch_change_flashing: bool,
    /// The flashing along walls that run up the slope; round openings it is always stepped.
    pub sidewall_flashing: SidewallFlashing,
    /// Where cap flashing goes.
    pub counterflashing: Counterflashing,
    /// How crickets are made.
    pub crickets: CricketKind,
    /// A spare bundle for every so many squares begun; 0 for none.
    pub spare_bundle_per_squares: f64,
    /// The user's handling allowance in percent of the shingles consumed.
    pub handling_percent: f64,
    /// Deck sheets allowed for every ten squares torn off.
    pub deck_sheets_per_10_squares: f64,
    /// What is sold in which packages.
    pub catalog: Catalog,
}

impl MaterialSettings {
    /// The settings of a job that says nothing.
    ///
    /// # Errors
    /// As [`Catalog::shipped`].
    pub fn shipped(metric: bool) -> Result<Self, Finding> {
        Ok(Self::with(Catalog::shipped(metric)?, metric))
    }

    /// The defaults with a catalog.
    pub fn with(catalog: Catalog, metric: bool) -> Self {
        Self {
            metric,
            metric_packages: metric,
            edition: Edition::default(),
            rules_off: BTreeSet::new(),
            wind: Wind::default(),
            ice_barrier: None,
            wall_thickness_in: None,
            wall_face: WallFace::default(),
            eave_overhang_in: None,
            existing_layers: None,
            tear_off: true,
            deck_thickness_in: 0.5,
            attic_floor_sqft: None,
            vent_ratio: VentRatio::default(),
            ridge_vent: true,
            underlayment: UnderlaymentKind::default(),
            valley_lining: ValleyLining::default(),
            starter_at_rakes: false,
            caps_from_field: false,
            share_offcuts: false,
            pitch_change_flashing: true,
            sidewall_flashing: SidewallFlashing::default(),
            counterflashing: Counterflashing::default(),
            crickets: CricketKind::default(),
            spare_bundle_per_squares: 40.0,
            handling_percent: 0.0,
            deck_sheets_per_10_squares: 2.0,
            catalog,
        }
    }

    /// Layers of old roofing that the new shingles go over.
    pub fn layers_kept(&self) -> u32 {
        match self.tear_off {
            true => 0,
            false => self.existing_layers.unwrap_or(0),
        }
    }

    /// Whether sheets that belong on the deck are left out, because old roofing stays on it (rule `overlay`).
    pub(super) fn leaves_sheets_out(&self) -> bool {
        self.layers_kept() > 0 && self.applies("overlay")
    }

    /// Whether a rule of the table applies.
    pub fn applies(&self, rule: &str) -> bool {
        !self.rules_off.contains(rule)
    }

    /// The slopes at which rules change, by the edition and without the rules that the job switches off: what the roof's
    /// cautions, the course layout and this list judge by.
    pub fn slope_limits(&self) -> SlopeLimits {
        let limits = SlopeLimits::default();
        let steep_above = Pitch::in_12(steep_above_in_12(self.edition));
        SlopeLimits {
            shingles_from: limits
                .shingles_from
                .filter(|_| self.applies("minimum-slope")),
            single_underlayment_from: limits
                .single_underlayment_from
                .filter(|_| self.applies("underlayment-low-slope")),
            steep_fastening_above: self.applies("steep-fastening").then_some(steep_above),
            ..limits
        }
    }

    /// The choices of a course layout with what the site says about nails and slopes.
    #[must_use]
    pub fn choices(&self, choices: Choices) -> Choices {
        Choices {
            high_wind: self.wind == Wind::High,
            least_nails: if self.applies("nails-number") {
                LEAST_NAILS_A_STRIP
            } else {
                0
            },
            limits: self.slope_limits(),
            ..choices
        }
    }
}
