//! From exact needs to whole packages: each stock item is added up over the whole job and rounded once.

use std::collections::BTreeMap;

use super::MaterialLine;
use super::caps;
use super::formats::Formats;
use super::item::{Item, Measured};
use super::need::Need;
use super::pieces;
use super::product::Product;
use super::rules;
use super::settings::MaterialSettings;
use super::tally::Tally;
use super::underlayment;
use super::words::{Words, figure, whole};
use crate::Finding;
use crate::courses::ShingleFormat;
use crate::units::number::counted;

/// The lines of all needs, in the crew's order. Needs carry the index of their roof.
pub(super) fn lines(
    needs: &[(usize, Need)],
    formats: &Formats<'_>,
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
    let mut lines = Vec::new();
    for ((item, variant), group) in groups {
        let order = Order {
            settings,
            format: formats.of_variant(variant),
            words: Words::new(settings.metric),
        };
        match order.line(item, variant, &group) {
            Ok(line) => {
                findings.extend(order.too_short(item, &line.product));
                lines.push(line);
            }
            Err(finding) => findings.push(finding),
        }
    }
    lines
}

pub(super) struct Order<'a> {
    pub(super) settings: &'a MaterialSettings,
    pub(super) format: Option<&'a ShingleFormat>,
    pub(super) words: Words,
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
            .remedy("Order it by hand.")
        })?;
        let tally = self.tally(item, product, group).ok_or_else(|| {
            Finding::error(
                "product-size",
                format!("The catalog's `{name}` does not say how large it is; it cannot be ordered."),
            )
            .remedy(format!(
                "Say its length and width, what it covers or what it holds, under [materials.products.{name}]."
            ))
        })?;
        let spare = self.spare(item, group);
        let scale = match item.measured() {
            Measured::Length => self.words.length(1.0),
            Measured::Area => self.words.area(1.0),
            Measured::Count => 1.0,
        };
        let quantity = tally.ordered + spare;
        let allowance = match item {
            Item::Shingles => quantity - pieces::holding(tally.consumed, tally.holds),
            _ => 0.0,
        };
        Ok(MaterialLine {
            item: self.title(item, variant, product),
            key: item.key(),
            variant: variant.to_owned(),
            size: group.first().and_then(|(_, need)| need.size.clone()),
            needed: unsigned(tally.net * scale),
            needed_unit: self.unit_of(item).to_owned(),
            consumed: unsigned(tally.consumed * scale),
            needed_packages: unsigned(tally.packages),
            quantity,
            allowance,
            spare,
            for_caps: unsigned(for_caps(group)),
            unit: product.unit.clone().unwrap_or_default(),
            holds: tally.holds * scale,
            // What is forgiven beyond whole packages leaves nothing over, not less.
            left_over: unsigned((quantity * tally.holds - tally.consumed).max(0.0) * scale),
            basis: self.basis(item, group, &tally, spare),
            source: self.source(product, group),
            package_source: package_source(product).to_owned(),
            product: product.clone(),
            rules: self.rules_of(group),
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
            // The catalog's name says which it is.
            (Item::Underlayment, _) => name,
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
                Item::DeckSheet => "sheet",
                Item::Nails | Item::NailsLong | Item::CapNails => "nail",
                _ => "piece",
            },
        }
    }

    /// Spare bundles of shingles: one for every so many squares of roof begun. Caps cut from tabs cover none.
    fn spare(&self, item: Item, group: &[&(usize, Need)]) -> f64 {
        let per = self.settings.spare_bundle_per_squares;
        let Some(format) = self.format else {
            return 0.0;
        };
        if item != Item::Shingles || per <= 0.0 {
            return 0.0;
        }
        let laid = group.iter().filter(|n| n.1.purpose != caps::FROM_TABS);
        let net: f64 = laid.map(|n| n.1.net).sum();
        pieces::holding(net / format.pieces_per_square(), per)
    }

    /// `eaves: 2 runs, 80 ft; high edges: 1 run, 20 ft: how`.
    fn basis(&self, item: Item, group: &[&(usize, Need)], tally: &Tally, spare: f64) -> String {
        let mut purposes: Vec<(&str, usize, f64, f64)> = Vec::new();
        for (_, need) in group {
            match purposes.iter_mut().find(|p| p.0 == need.purpose) {
                Some(p) => {
                    p.1 += 1;
                    p.2 += need.net;
                    p.3 += need.along_ft;
                }
                None => purposes.push((need.purpose, 1, need.net, need.along_ft)),
            }
        }
        let parts: Vec<String> = purposes
            .iter()
            .map(|(purpose, n, net, along_ft)| match item.measured() {
                Measured::Length => {
                    format!(
                        "{purpose} {} in {}",
                        self.words.run(*net),
                        counted(*n, "run")
                    )
                }
                Measured::Area => format!("{purpose} {}", self.words.surface(*net)),
                Measured::Count if *along_ft > 0.0 => format!(
                    "{purpose} {} up the slope: {}",
                    self.words.run(*along_ft),
                    whole(*net)
                ),
                // An allowance: a part of a sheet is one too.
                Measured::Count if item == Item::DeckSheet => {
                    format!("{purpose} {}", figure(*net, 2))
                }
                Measured::Count => format!("{purpose} {}", whole(*net)),
            })
            .collect();
        let mut basis = parts.join(", ");
        if !tally.how.is_empty() {
            basis = format!("{basis}: {}", tally.how);
        }
        if let Some(format) = self.format.filter(|_| item == Item::StepFlashing) {
            let length_in = step_length_at_least_in(format, self.settings.metric);
            basis.push_str(&format!(
                ", each {} long at the least: the exposure and {} of headlap",
                self.words.small(length_in),
                self.words.small(STEP_HEADLAP_IN)
            ));
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

    /// Told of pieces of step flashing that do not reach under the one above.
    fn too_short(&self, item: Item, product: &Product) -> Option<Finding> {
        let format = self.format.filter(|_| item == Item::StepFlashing)?;
        let length_in = product.length?.to_inches();
        let at_least_in = step_length_at_least_in(format, self.settings.metric);
        (length_in < step_length_in(format) - 1e-6).then(|| {
            Finding::warning(
                "step-flashing-short",
                format!(
                    "Step flashing is listed in pieces {} long, but each must be {}: the exposure and {} of headlap.",
                    self.words.small(length_in),
                    self.words.small(at_least_in),
                    self.words.small(STEP_HEADLAP_IN)
                ),
            )
            .remedy("Order longer pieces, and say their `length` under [materials.products.step_flashing].")
        })
    }

    fn source(&self, product: &Product, group: &[&(usize, Need)]) -> String {
        let mut cited: Vec<String> = Vec::new();
        for name in self.rules_of(group) {
            if let Some(rule) = rules::find(name) {
                let text = rule.cite(self.settings.edition);
                if !cited.contains(&text) {
                    cited.push(text);
                }
            }
        }
        let package = package_source(product);
        if cited.is_empty() {
            return format!("package: {package}");
        }
        format!("rule: {}; package: {package}", cited.join(", "))
    }

    /// The rules followed, without those that the job switches off.
    fn rules_of(&self, group: &[&(usize, Need)]) -> Vec<&'static str> {
        let mut all = Vec::new();
        for rule in group.iter().flat_map(|(_, need)| need.rules) {
            if self.settings.applies(rule) && !all.contains(rule) {
                all.push(*rule);
            }
        }
        all
    }
}

/// Each piece of step flashing reaches so far under the one above, in inches (a state specification, read).
const STEP_HEADLAP_IN: f64 = 2.0;

/// How long a piece of step flashing must be with shingles of a format, in inches: one lies with every course.
fn step_length_in(format: &ShingleFormat) -> f64 {
    format.exposure_in + STEP_HEADLAP_IN
}

/// The same as every paper has it, rounded up to what a tape shows: to an eighth of an inch, or a millimetre.
pub(crate) fn step_length_at_least_in(format: &ShingleFormat, metric: bool) -> f64 {
    const LAST_BITS: f64 = 1e-6;
    let per_in = if metric { 25.4 } else { 8.0 };
    (step_length_in(format) * per_in - LAST_BITS).ceil() / per_in
}

/// Of the field shingles that a group opens, those that are cut up for caps.
pub(super) fn for_caps(group: &[&(usize, Need)]) -> f64 {
    let caps = group.iter().filter(|n| n.1.purpose == caps::FROM_TABS);
    caps.map(|n| n.1.net).sum()
}

/// Nothing has no sign: a sum over nothing is −0, and would be written so.
pub(super) fn unsigned(amount: f64) -> f64 {
    amount + 0.0
}

fn package_source(product: &Product) -> &str {
    product.source.as_deref().unwrap_or("the job file")
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
