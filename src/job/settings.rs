//! What a job says about materials, as the settings that the material list takes.

use super::{Job, UnitSystem, prices};
use crate::Finding;
use crate::materials::{Catalog, MaterialSettings, PriceList, rules};

impl Job {
    /// The settings of the material list, `metric` where its numbers are written in metres. Packages are those of
    /// the units that the job says, since its prices are for these; where it says none, those of the numbers.
    ///
    /// # Errors
    /// Names in the job that are not known: rules to switch off, products.
    pub fn material_settings(&self, metric: bool) -> Result<MaterialSettings, Vec<Finding>> {
        let mut findings = self.unknown_rules();
        let packages = self.has_metric_packages(metric);
        let catalog = match Catalog::overlaid(packages, &self.materials.products) {
            Ok(catalog) if findings.is_empty() => catalog,
            Ok(_) => return Err(findings),
            Err(more) => {
                findings.extend(more);
                return Err(findings);
            }
        };
        let mut settings = MaterialSettings::with(catalog, metric);
        settings.metric_packages = packages;
        self.site_settings(&mut settings);
        self.chosen_settings(&mut settings);
        Ok(settings)
    }

    /// Whether the packages ordered and priced are metric, `metric` where numbers are written in metres.
    pub fn has_metric_packages(&self, metric: bool) -> bool {
        (self.plan.units).map_or(metric, |units| units == UnitSystem::Metres)
    }

    /// The job's prices: those of the price list's text, where one is given, with the job's own over them. What is
    /// priced and can be in no order is among the list's doubts.
    ///
    /// # Errors
    /// What is wrong in the price list; prices in the job file for items that no list can have, or twice.
    pub fn price_list(&self, csv: Option<&str>) -> Result<PriceList, Vec<Finding>> {
        let mut findings = prices::unknown(&self.prices);
        let list = match csv.map(PriceList::from_csv) {
            Some(Ok(list)) => list,
            Some(Err(more)) => {
                findings.extend(more);
                return Err(findings);
            }
            None => PriceList::default(),
        };
        if !findings.is_empty() {
            return Err(findings);
        }
        let mut list = list.with(&self.prices);
        list.doubts = prices::doubts(&list, &self.shingles.formats);
        Ok(list)
    }

    /// Told where numbers are written in metres, and so metric packages ordered, while the job does not say that its
    /// prices are for these.
    pub fn package_doubt(&self, metric: bool) -> Option<Finding> {
        (metric && self.plan.units.is_none() && self.asks_for_offer()).then(|| {
            Finding::warning(
                "price-packages",
                "Metric packages are ordered, and the job file does not say that its prices are for these: a piece of edge metal is 2 m long, not 10 ft.",
            )
            .remedy("Say `units` under [plan] in the job file: packages are of these units, whatever units numbers are written in.")
        })
    }

    /// Whether the job says anything that an offer is made of: prices, labour, or how the bid is made.
    pub fn asks_for_offer(&self) -> bool {
        self.prices != Default::default()
            || self.labour != Default::default()
            || self.bid != Default::default()
    }

    fn unknown_rules(&self) -> Vec<Finding> {
        self.site
            .rules_off
            .iter()
            .filter(|name| rules::find(name).is_none())
            .map(|name| {
                Finding::error(
                    "unknown-rule",
                    format!("The job file switches off a rule that is not known: `{name}`."),
                )
                .remedy(format!("Known: {}.", rules::names().join(", ")))
            })
            .collect()
    }

    fn site_settings(&self, settings: &mut MaterialSettings) {
        let site = &self.site;
        settings.rules_off = site.rules_off.iter().cloned().collect();
        settings.ice_barrier = site.ice_barrier;
        settings.existing_layers = site.existing_layers;
        settings.attic_floor_sqft = site.attic_floor.map(|a| a.to_square_feet());
        settings.eave_overhang_in = self.plan.eave_overhang.map(|l| l.to_inches());
        set(&mut settings.edition, site.code);
        set(&mut settings.wind, site.wind);
        set(&mut settings.wall_face, site.wall_face);
        set(&mut settings.tear_off, site.tear_off);
        set(&mut settings.vent_ratio, site.vent_ratio);
        set(&mut settings.ridge_vent, site.ridge_vent);
        settings.wall_thickness_in = site.wall_thickness.map(|l| l.to_inches());
        set(
            &mut settings.deck_thickness_in,
            site.deck_thickness.map(|l| l.to_inches()),
        );
    }

    fn chosen_settings(&self, settings: &mut MaterialSettings) {
        let chosen = &self.materials;
        set(&mut settings.underlayment, chosen.underlayment);
        set(&mut settings.valley_lining, chosen.valley_lining);
        set(&mut settings.starter_at_rakes, chosen.starter_at_rakes);
        set(&mut settings.caps_from_field, chosen.caps_from_field);
        set(&mut settings.share_offcuts, chosen.share_offcuts);
        set(
            &mut settings.pitch_change_flashing,
            chosen.pitch_change_flashing,
        );
        set(&mut settings.sidewall_flashing, chosen.sidewall_flashing);
        set(&mut settings.counterflashing, chosen.counterflashing);
        set(&mut settings.crickets, chosen.crickets);
        set(
            &mut settings.spare_bundle_per_squares,
            chosen.spare_bundle_per_squares,
        );
        set(
            &mut settings.handling_percent,
            chosen.handling_percent.map(|p| p.to_f64()),
        );
        set(
            &mut settings.deck_sheets_per_10_squares,
            chosen.deck_sheets_per_10_squares,
        );
    }
}

/// What the job says, where it says something.
fn set<T>(setting: &mut T, said: Option<T>) {
    if let Some(said) = said {
        *setting = said;
    }
}
