//! The catalog: what is sold in which packages. Shipped as TOML, overridden by the job file.

use std::collections::BTreeMap;

use super::product::Product;
use super::underlayment;
use crate::Finding;
use crate::units::LengthText;

/// The products known, by their names.
#[derive(Clone, Debug, PartialEq)]
pub struct Catalog {
    products: BTreeMap<String, Product>,
}

const FEET: &str = include_str!("catalog.toml");
const METRES: &str = include_str!("catalog_metric.toml");

impl Catalog {
    /// The packages shipped with the program: inch sizes, or metric ones for a metric job.
    ///
    /// # Errors
    /// None for the files shipped (a test reads both); a finding rather than a panic if one were broken.
    pub fn shipped(metric: bool) -> Result<Self, Finding> {
        let text = if metric { METRES } else { FEET };
        let products = toml::from_str(text).map_err(|e| {
            Finding::error(
                "catalog-broken",
                format!("The shipped catalog cannot be read: {}", e.message()),
            )
        })?;
        Ok(Self { products })
    }

    /// The shipped packages with a job's own over them.
    ///
    /// # Errors
    /// Products that the catalog does not know.
    pub fn overlaid(metric: bool, over: &BTreeMap<String, Product>) -> Result<Self, Vec<Finding>> {
        let mut catalog = Self::shipped(metric).map_err(|f| vec![f])?;
        let mut findings = Vec::new();
        for (name, over) in over {
            match catalog.products.get_mut(name) {
                Some(product) => {
                    findings.extend(product.misnamed(name, over));
                    *product = product.overlaid(over, metric);
                }
                None => findings.push(
                    Finding::error(
                        "unknown-product",
                        format!("The job file describes a product that the catalog does not know: `{name}`."),
                    )
                    .remedy(format!(
                        "Known: {}.",
                        catalog.products.keys().cloned().collect::<Vec<_>>().join(", ")
                    )),
                ),
            }
        }
        for (name, product) in &catalog.products {
            findings.extend(unusable(name, product));
        }
        if findings.is_empty() {
            Ok(catalog)
        } else {
            Err(findings)
        }
    }

    /// A product by its name.
    pub fn product(&self, name: &str) -> Option<&Product> {
        self.products.get(name)
    }

    /// A sheet's width and how far its rows lap, in feet; the lap is less than the width.
    pub(super) fn sheet(&self, name: &str) -> Option<(f64, f64)> {
        let product = self.product(name)?;
        let lap = product.side_lap.map_or(0.0, |l| l.to_feet());
        Some((product.width?.to_feet(), lap))
    }

    /// All names in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.products.keys().map(String::as_str)
    }
}

/// A piece or a row covers at least this beyond its lap, in inches; what covers less is a slip, and no roof is laid with
/// it.
const LEAST_COVERED_IN: f64 = 1.0;

/// What makes a product unusable, if anything: nothing sold may be empty or wholly eaten up by its laps.
fn unusable(name: &str, product: &Product) -> Option<Finding> {
    let inches = |l: Option<LengthText>| l.map(LengthText::to_inches);
    let lap = |l| inches(l).unwrap_or(0.0) + LEAST_COVERED_IN;
    // The underlayment of low slopes laps by more than its own side lap.
    let side_lap = inches(product.width)
        .filter(|_| underlayment::is_sheet(name))
        .map_or(0.0, |width| {
            12.0 * underlayment::double_lap_ft(width / 12.0)
        })
        + LEAST_COVERED_IN;
    let lengths = [
        ("length", inches(product.length), lap(product.end_lap)),
        (
            "width",
            inches(product.width),
            side_lap.max(lap(product.side_lap)),
        ),
        ("exposure", inches(product.exposure), 0.0),
        ("covers", inches(product.covers), 0.0),
        ("holds", product.holds.map(f64::from), 0.0),
    ];
    let (what, ..) = lengths
        .into_iter()
        .find(|(_, size, least)| size.is_some_and(|size| size <= 0.0 || size < *least))?;
    Some(
        Finding::error(
            "product-size",
            format!("The product `{name}` has a {what} of nothing, or hardly more than its lap."),
        )
        .remedy(format!(
            "Correct `{what}` under [materials.products.{name}] in the job file."
        )),
    )
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::Catalog;

    #[test]
    fn both_catalogs_read_and_know_the_same_products_with_a_source_each() {
        let names = |metric| {
            let catalog = Catalog::shipped(metric).unwrap_or_else(|f| panic!("{}", f.message));
            for (name, product) in &catalog.products {
                assert!(product.name.is_some() && product.unit.is_some(), "{name}");
                assert!(product.source.is_some(), "{name} has no source");
            }
            catalog.names().map(str::to_owned).collect::<Vec<_>>()
        };
        assert_eq!(names(false), names(true));
    }
}
