//! What the rules of the material list depend on, with the defaults that were taken where the job says nothing.

use std::collections::BTreeSet;

use super::catalog::Catalog;
use super::rules;
use crate::Finding;
use crate::job::{
    Counterflashing, CricketKind, Edition, Job, UnderlaymentKind, ValleyLining, VentRatio,
    WallFace, Wind,
};

/// Everything that the material list depends on beside the roof and its courses.
#[derive(Clone, Debug, PartialEq)]
pub struct MaterialSettings {
    /// Whether lengths are told in metres and packages are metric.
    pub metric: bool,
    /// The edition of the code.
    pub edition: Edition,
    /// Names of the rules that do not apply.
    pub rules_off: BTreeSet<String>,
    /// The wind zone.
    pub wind: Wind,
    /// Whether the code's table asks for an ice barrier; `None` where nobody said.
    pub ice_barrier: Option<bool>,
    /// Thickness of the exterior wall in inches.
    pub wall_thickness_in: f64,
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
    /// The settings of a job, `metric` where its numbers are written in metres.
    ///
    /// # Errors
    /// Names in the job that are not known: rules to switch off, products.
    pub fn for_job(job: &Job, metric: bool) -> Result<Self, Vec<Finding>> {
        let mut findings = Vec::new();
        for name in &job.site.rules_off {
            if rules::find(name).is_none() {
                findings.push(
                    Finding::error(
                        "unknown-rule",
                        format!("The job file switches off a rule that is not known: `{name}`."),
                    )
                    .remedy(format!("Known: {}.", rules::names().join(", "))),
                );
            }
        }
        let catalog = match Catalog::for_job(job, metric) {
            Ok(catalog) if findings.is_empty() => catalog,
            Ok(_) => return Err(findings),
            Err(more) => {
                findings.extend(more);
                return Err(findings);
            }
        };
        let (site, chosen) = (&job.site, &job.materials);
        Ok(Self {
            metric,
            edition: site.code.unwrap_or_default(),
            rules_off: site.rules_off.iter().cloned().collect(),
            wind: site.wind.unwrap_or_default(),
            ice_barrier: site.ice_barrier,
            wall_thickness_in: site.wall_thickness.map_or(6.0, |m| m.to_inches()),
            wall_face: site.wall_face.unwrap_or_default(),
            eave_overhang_in: job.plan.eave_overhang.map(|m| m.to_inches()),
            existing_layers: site.existing_layers,
            tear_off: site.tear_off.unwrap_or(true),
            deck_thickness_in: site.deck_thickness.map_or(0.5, |m| m.to_inches()),
            attic_floor_sqft: site.attic_floor.map(|a| a.to_square_feet()),
            vent_ratio: site.vent_ratio.unwrap_or_default(),
            ridge_vent: site.ridge_vent.unwrap_or(true),
            underlayment: chosen.underlayment.unwrap_or_default(),
            valley_lining: chosen.valley_lining.unwrap_or_default(),
            starter_at_rakes: chosen.starter_at_rakes.unwrap_or(false),
            caps_from_field: chosen.caps_from_field.unwrap_or(false),
            share_offcuts: chosen.share_offcuts.unwrap_or(false),
            pitch_change_flashing: chosen.pitch_change_flashing.unwrap_or(true),
            counterflashing: chosen.counterflashing.unwrap_or_default(),
            crickets: chosen.crickets.unwrap_or_default(),
            spare_bundle_per_squares: chosen.spare_bundle_per_squares.unwrap_or(40.0),
            handling_percent: chosen.handling_percent.map_or(0.0, |p| to_f64(p.0)),
            deck_sheets_per_10_squares: chosen.deck_sheets_per_10_squares.unwrap_or(2.0),
            catalog,
        })
    }

    /// Whether a rule of the table applies.
    pub fn applies(&self, rule: &str) -> bool {
        !self.rules_off.contains(rule)
    }
}

/// A decimal as a binary number: for quantities only, never for money.
pub(super) fn to_f64(d: rust_decimal::Decimal) -> f64 {
    use rust_decimal::prelude::ToPrimitive;
    d.to_f64().unwrap_or(0.0)
}
