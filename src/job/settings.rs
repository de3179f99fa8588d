//! What a job says about materials, as the settings that the material list takes.

use super::Job;
use super::read::suggestion;
use crate::Finding;
use crate::materials::{Catalog, Item, MaterialSettings, PriceList, rules};

impl Job {
    /// The settings of the material list, `metric` where its numbers are written in metres.
    ///
    /// # Errors
    /// Names in the job that are not known: rules to switch off, products.
    pub fn material_settings(&self, metric: bool) -> Result<MaterialSettings, Vec<Finding>> {
        let mut findings = self.unknown_rules();
        let catalog = match Catalog::overlaid(metric, &self.materials.products) {
            Ok(catalog) if findings.is_empty() => catalog,
            Ok(_) => return Err(findings),
            Err(more) => {
                findings.extend(more);
                return Err(findings);
            }
        };
        let mut settings = MaterialSettings::with(catalog, metric);
        self.site_settings(&mut settings);
        self.chosen_settings(&mut settings);
        Ok(settings)
    }

    /// The job's prices: those of the price list's text, where one is given, with the job's own over them.
    ///
    /// # Errors
    /// What is wrong in the price list; prices in the job file for items that no list can have.
    pub fn price_list(&self, csv: Option<&str>) -> Result<PriceList, Vec<Finding>> {
        let mut findings = self.unknown_prices();
        let list = match csv.map(PriceList::from_csv) {
            Some(Ok(list)) => list,
            Some(Err(more)) => {
                findings.extend(more);
                return Err(findings);
            }
            None => PriceList::default(),
        };
        if findings.is_empty() {
            Ok(list.with(&self.prices))
        } else {
            Err(findings)
        }
    }

    /// Whether the job says anything that an offer is made of: prices, labour, or how the bid is made.
    pub fn asks_for_offer(&self) -> bool {
        self.prices != Default::default()
            || self.labour != Default::default()
            || self.bid != Default::default()
    }

    fn unknown_prices(&self) -> Vec<Finding> {
        let mut known: Vec<String> = Item::ALL.iter().map(|i| i.key().to_owned()).collect();
        known.push("container".to_owned());
        self.prices
            .items
            .keys()
            .filter(|key| {
                !known
                    .iter()
                    .any(|k| Some(k.as_str()) == key.split(':').next())
            })
            .map(|key| {
                Finding::error(
                    "unknown-price",
                    format!("The job file gives a price for an item that is not known: `{key}`."),
                )
                .remedy(suggestion(key, &known))
            })
            .collect()
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
        set(
            &mut settings.wall_thickness_in,
            site.wall_thickness.map(|l| l.to_inches()),
        );
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
