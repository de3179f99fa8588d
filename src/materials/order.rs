//! From exact needs to whole packages: each stock item is added up over the whole job and rounded once.

use std::collections::BTreeMap;

use super::MaterialLine;
use super::item::{Item, Measured};
use super::need::{Cut, Need};
use super::product::Product;
use super::roll::unroll;
use super::rules;
use super::settings::MaterialSettings;
use super::underlayment;
use super::words::{Words, counted, figure};
use crate::Finding;
use crate::courses::ShingleFormat;

/// Rounds up, forgiving what is only the last digits of a computation.
pub(super) fn up(x: f64) -> f64 {
    (x - 1e-9).ceil().max(0.0)
}

/// What a group of needs comes to, in the item's own measure (feet, square feet, numbers).
struct Tally {
    net: f64,
    consumed: f64,
    /// Packages before rounding.
    packages: f64,
    /// Whole packages.
    ordered: f64,
    /// What a package holds, in the item's own measure.
    holds: f64,
    /// How it was computed, after the list of purposes.
    how: String,
}

/// The lines of all needs, in the crew's order. Needs carry the index of their roof.
pub(super) fn lines(
    needs: &[(usize, Need)],
    format: Option<&ShingleFormat>,
    settings: &MaterialSettings,
    findings: &mut Vec<Finding>,
) -> Vec<MaterialLine> {
    let mut groups: BTreeMap<(Item, &str), Vec<&(usize, Need)>> = BTreeMap::new();
    for need in needs {
        groups
            .entry((need.1.item, need.1.variant.as_str()))
            .or_default()
            .push(need);
    }
    let order = Order {
        settings,
        format,
        words: Words::new(settings.metric),
    };
    groups
        .into_iter()
        .filter_map(
            |((item, variant), group)| match order.line(item, variant, &group) {
                Ok(line) => Some(line),
                Err(finding) => {
                    findings.push(finding);
                    None
                }
            },
        )
        .collect()
}

struct Order<'a> {
    settings: &'a MaterialSettings,
    format: Option<&'a ShingleFormat>,
    words: Words,
}

impl Order<'_> {
    fn line(
        &self,
        item: Item,
        variant: &str,
        group: &[&(usize, Need)],
    ) -> Result<MaterialLine, Finding> {
        let name = product_name(item, self.settings);
        let product = self.settings.catalog.product(name).ok_or_else(|| {
            Finding::error(
                "no-product",
                format!("The catalog has no product `{name}`; it cannot be ordered."),
            )
        })?;
        let tally = self.tally(item, name, product, group)?;
        let spare = self.spare(item, group);
        let scale = match item.measured() {
            Measured::Length => self.words.length(1.0),
            Measured::Area => self.words.area(1.0),
            Measured::Count => 1.0,
        };
        let quantity = tally.ordered + spare;
        let without_handling = up(tally.consumed / tally.holds);
        Ok(MaterialLine {
            item: self.title(item, variant, product),
            key: item.key(),
            variant: variant.to_owned(),
            needed: tally.net * scale,
            needed_unit: self.unit_of(item).to_owned(),
            consumed: tally.consumed * scale,
            needed_packages: tally.packages,
            quantity,
            allowance: (quantity - without_handling).max(0.0),
            unit: product.unit.clone().unwrap_or_default(),
            left_over: (quantity * tally.holds - tally.consumed) * scale,
            basis: self.basis(item, group, &tally, spare),
            source: self.source(product, group),
            rules: rules_of(group),
            edges: gathered(group, |n| &n.edges),
            faces: gathered(group, |n| &n.faces),
        })
    }

    fn title(&self, item: Item, variant: &str, product: &Product) -> String {
        let name = product
            .name
            .clone()
            .unwrap_or_else(|| item.key().to_owned());
        match (item, self.format) {
            (Item::Shingles, Some(format)) => format!("{name} {}", format.name),
            _ if variant.is_empty() => name,
            _ => format!("{name}, {variant}"),
        }
    }

    fn unit_of(&self, item: Item) -> &'static str {
        match item.measured() {
            Measured::Length => self.words.length_unit(),
            Measured::Area => self.words.area_unit(),
            Measured::Count => match item {
                Item::Shingles => "shingle",
                Item::Nails | Item::CapNails => "nail",
                _ => "piece",
            },
        }
    }

    fn tally(
        &self,
        item: Item,
        name: &str,
        product: &Product,
        group: &[&(usize, Need)],
    ) -> Result<Tally, Finding> {
        let net: f64 = group.iter().map(|n| n.1.net).sum();
        let lacks = |what: &str| {
            Finding::error(
                "product-size",
                format!("The catalog's `{name}` has no usable {what}; it cannot be ordered."),
            )
            .remedy(format!("Say `{what}` under [materials.products.{name}]."))
        };
        match group.first().map(|n| &n.1.cut) {
            Some(Cut::Run(_)) => self
                .pieces(net, product, group)
                .ok_or_else(|| lacks("length")),
            Some(Cut::Row { .. }) => self
                .rolls(item, net, product, group)
                .ok_or_else(|| lacks("length")),
            _ => self.loose(item, net, product, group).ok_or_else(|| {
                lacks(if item == Item::Starter {
                    "covers"
                } else {
                    "holds"
                })
            }),
        }
    }

    /// Straight pieces, run by run: ⌈(run − lap) ÷ (piece − lap)⌉ each.
    fn pieces(&self, net: f64, product: &Product, group: &[&(usize, Need)]) -> Option<Tally> {
        let piece = product.length?.to_feet();
        let lap = product.end_lap.map_or(0.0, |l| l.to_feet());
        let past = product.past_ends.map_or(0.0, |l| l.to_feet());
        if piece <= lap {
            return None;
        }
        let runs: Vec<f64> = group
            .iter()
            .filter_map(|n| match n.1.cut {
                Cut::Run(run) => Some(run + 2.0 * past),
                _ => None,
            })
            .collect();
        let exact = |run: f64| ((run - lap) / (piece - lap)).max(0.0);
        let packages: f64 = runs.iter().map(|r| exact(*r)).sum();
        let ordered: f64 = runs.iter().map(|r| up(exact(*r)).max(1.0)).sum();
        let ends = if past > 0.0 {
            format!(" + {} past each end", self.words.small(past * 12.0))
        } else {
            String::new()
        };
        Some(Tally {
            net,
            consumed: ordered * piece,
            packages,
            ordered,
            holds: piece,
            how: format!(
                "each run{ends} in pieces of {} lapping {}, rounded up",
                self.words.run(piece),
                self.words.small(lap * 12.0)
            ),
        })
    }

    /// Rows cut from rolls in order.
    fn rolls(
        &self,
        item: Item,
        net: f64,
        product: &Product,
        group: &[&(usize, Need)],
    ) -> Option<Tally> {
        let roll = product.length?.to_feet();
        let lap = product.end_lap.map_or(0.0, |l| l.to_feet());
        let rows: Vec<f64> = group
            .iter()
            .filter_map(|n| match n.1.cut {
                Cut::Row {
                    length_ft,
                    width_part,
                } => {
                    let past = if item == Item::Underlayment || n.1.purpose == "eaves" {
                        0.0
                    } else {
                        product.past_ends.map_or(0.0, |l| l.to_feet())
                    };
                    Some((length_ft + 2.0 * past) * width_part)
                }
                _ => None,
            })
            .collect();
        let rolled = unroll(rows.iter().copied(), roll, lap)?;
        let per_foot = match item.measured() {
            Measured::Area => product.width?.to_feet(),
            _ => 1.0,
        };
        let packages = rolled.used_ft / roll;
        Some(Tally {
            net,
            consumed: rolled.used_ft * per_foot,
            packages,
            ordered: up(packages),
            holds: roll * per_foot,
            how: format!(
                "{} of {} in all, {}, from rolls of {}",
                counted(rows.len(), "row"),
                self.words.run(rows.iter().sum()),
                counted(rolled.laps, "end lap"),
                self.words.run(roll)
            ),
        })
    }

    /// What is used as measured, by what a package covers or holds.
    fn loose(
        &self,
        item: Item,
        net: f64,
        product: &Product,
        group: &[&(usize, Need)],
    ) -> Option<Tally> {
        let used: f64 = group
            .iter()
            .map(|n| match n.1.cut {
                Cut::Loose(used) => used,
                _ => 0.0,
            })
            .sum();
        let (holds, consumed, how) = match item {
            Item::Starter | Item::Cement => {
                let covers = product.covers?.to_feet();
                let unit = product.unit.as_deref().unwrap_or("package");
                let how = format!(
                    "{} ÷ {} a {unit}",
                    self.words.run(used),
                    self.words.run(covers)
                );
                (covers, used, how)
            }
            Item::Caps => {
                let exposure = product.exposure?;
                let holds = f64::from(product.holds?);
                let how = format!(
                    "each run ÷ {} exposed, rounded up: {} caps ÷ {holds} a bundle",
                    self.words.small(exposure.to_inches()),
                    figure(used, 0)
                );
                (holds * exposure.to_feet(), used * exposure.to_feet(), how)
            }
            Item::Shingles => {
                let holds = f64::from(self.format?.pieces_per_bundle);
                let how = format!("{} opened ÷ {holds} a bundle", figure(used, 0));
                (holds, used, how)
            }
            Item::Nails | Item::CapNails | Item::Sealant => {
                let holds = f64::from(product.holds?);
                let unit = product.unit.as_deref().unwrap_or("package");
                let how = format!("{} ÷ {holds} a {unit}", figure(used, 0));
                (holds, used, how)
            }
            _ => (1.0, used, String::new()),
        };
        if holds <= 0.0 {
            return None;
        }
        let handling = if item == Item::Shingles {
            1.0 + self.settings.handling_percent / 100.0
        } else {
            1.0
        };
        let packages = consumed * handling / holds;
        Some(Tally {
            net,
            consumed,
            packages,
            ordered: up(packages),
            holds,
            how,
        })
    }

    /// Spare bundles of shingles: one for every so many squares begun.
    fn spare(&self, item: Item, group: &[&(usize, Need)]) -> f64 {
        let per = self.settings.spare_bundle_per_squares;
        let Some(format) = self.format else {
            return 0.0;
        };
        if item != Item::Shingles || per <= 0.0 {
            return 0.0;
        }
        let net: f64 = group.iter().map(|n| n.1.net).sum();
        up(net / format.pieces_per_square() / per)
    }

    /// `eaves: 2 runs, 80 ft; high edges: 1 run, 20 ft: how`.
    fn basis(&self, item: Item, group: &[&(usize, Need)], tally: &Tally, spare: f64) -> String {
        let mut purposes: Vec<(&str, usize, f64)> = Vec::new();
        for (_, need) in group {
            match purposes.iter_mut().find(|p| p.0 == need.purpose) {
                Some(p) => {
                    p.1 += 1;
                    p.2 += need.net;
                }
                None => purposes.push((need.purpose, 1, need.net)),
            }
        }
        let parts: Vec<String> = purposes
            .iter()
            .map(|(purpose, n, net)| {
                let net = match item.measured() {
                    Measured::Length => self.words.run(*net),
                    Measured::Area => self.words.surface(*net),
                    Measured::Count => figure(*net, 1),
                };
                match item.measured() {
                    Measured::Length => format!("{purpose} {net} in {}", counted(*n, "run")),
                    _ => format!("{purpose} {net}"),
                }
            })
            .collect();
        let mut basis = parts.join(", ");
        if !tally.how.is_empty() {
            basis = format!("{basis}: {}", tally.how);
        }
        if item == Item::Shingles && self.settings.handling_percent > 0.0 {
            basis.push_str(&format!(
                ", plus {} % for handling",
                figure(self.settings.handling_percent, 2)
            ));
        }
        if spare > 0.0 {
            basis.push_str(&format!(", plus {spare} spare"));
        }
        basis
    }

    fn source(&self, product: &Product, group: &[&(usize, Need)]) -> String {
        let mut cited: Vec<String> = Vec::new();
        for name in rules_of(group) {
            if let Some(rule) = rules::find(name) {
                let text = rule.cite(self.settings.edition);
                if !cited.contains(&text) {
                    cited.push(text);
                }
            }
        }
        let package = product.source.as_deref().unwrap_or("the job file");
        if cited.is_empty() {
            return format!("package: {package}");
        }
        format!("rule: {}; package: {package}", cited.join(", "))
    }
}

fn rules_of(group: &[&(usize, Need)]) -> Vec<&'static str> {
    let mut all = Vec::new();
    for (_, need) in group {
        for rule in need.rules {
            if !all.contains(rule) {
                all.push(*rule);
            }
        }
    }
    all
}

fn gathered<Id: Copy + Ord>(
    group: &[&(usize, Need)],
    ids: impl Fn(&Need) -> &Vec<Id>,
) -> Vec<(usize, Id)> {
    let mut all: Vec<(usize, Id)> = group
        .iter()
        .flat_map(|(roof, need)| ids(need).iter().map(|id| (*roof, *id)))
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn product_name(item: Item, settings: &MaterialSettings) -> &'static str {
    match item {
        Item::Underlayment => underlayment::product_name(settings.underlayment),
        _ => item.key(),
    }
}
