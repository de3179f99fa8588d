//! The catalog: what is sold in which packages. Shipped as TOML, overridden by the job file.

use std::collections::BTreeMap;

use super::product::Product;
use crate::Finding;

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
                Some(product) => *product = product.overlaid(over),
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

    /// All names in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.products.keys().map(String::as_str)
    }
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
