//! The schema, the structs and the starter file say the same.

use std::collections::BTreeSet;
use std::fmt;

use eavewright::job::{self, Job, Materials, Plan, Project, SCHEMA, Shingles, Site};
use eavewright::materials::{Bidding, Catalog, Labour, Price, Prices, Product, Sum, rules};
use serde::de::{Deserialize, Deserializer, Visitor};
use serde_json::Value;

/// Answers every question about a struct with the names of its fields.
struct Fields<'f>(&'f mut BTreeSet<String>);

#[derive(Debug)]
struct Asked;

impl fmt::Display for Asked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("asked")
    }
}
impl std::error::Error for Asked {}
impl serde::de::Error for Asked {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self
    }
}

impl<'de> Deserializer<'de> for Fields<'_> {
    type Error = Asked;

    fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, Asked> {
        Err(Asked)
    }
    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        _: V,
    ) -> Result<V::Value, Asked> {
        self.0.extend(fields.iter().map(|f| (*f).to_owned()));
        Err(Asked)
    }
    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 u8 u16 u32 u64 f32 f64 char str string bytes byte_buf option unit unit_struct
        newtype_struct seq tuple tuple_struct map enum identifier ignored_any
    }
}

fn fields<'de, T: Deserialize<'de>>() -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    assert!(T::deserialize(Fields(&mut names)).is_err());
    assert!(!names.is_empty());
    names
}

fn schema() -> Value {
    serde_json::from_str(SCHEMA).unwrap()
}

fn keys(at: &str) -> BTreeSet<String> {
    let schema = schema();
    let found = schema.pointer(at).unwrap_or_else(|| panic!("{at}"));
    found.as_object().unwrap().keys().cloned().collect()
}

#[test]
fn the_schema_has_the_keys_of_the_structs() {
    let section = |name: &str| keys(&format!("/properties/{name}/properties"));
    assert_eq!(section("project"), fields::<Project>());
    assert_eq!(section("plan"), fields::<Plan>());
    assert_eq!(section("shingles"), fields::<Shingles>());
    assert_eq!(section("site"), fields::<Site>());
    assert_eq!(section("materials"), fields::<Materials>());
    assert_eq!(section("prices"), fields::<Prices>());
    assert_eq!(section("labour"), fields::<Labour>());
    assert_eq!(section("bid"), fields::<Bidding>());
    let products = "/properties/materials/properties/products/properties";
    let of_all: BTreeSet<String> = keys(products)
        .iter()
        .flat_map(|name| keys(&format!("{products}/{name}/properties")))
        .collect();
    assert_eq!(of_all, fields::<Product>());
    let price = "/properties/prices/properties/items/additionalProperties/properties";
    assert_eq!(keys(price), fields::<Price>());
    assert_eq!(
        keys("/properties/bid/properties/allowances/items/properties"),
        fields::<Sum>()
    );
    let face = "/properties/shingles/properties/faces/additionalProperties/properties";
    assert_eq!(keys(face), fields::<eavewright::job::FaceChoice>());
    let format = "/properties/shingles/properties/formats/items/properties";
    assert_eq!(keys(format), fields::<eavewright::courses::ShingleFormat>());
}

#[test]
fn the_schema_knows_the_rules_and_the_products() {
    let schema = schema();
    let words = schema
        .pointer("/properties/site/properties/rules_off/items/enum")
        .unwrap();
    let words: Vec<&str> = words
        .as_array()
        .unwrap()
        .iter()
        .map(|w| w.as_str().unwrap())
        .collect();
    assert_eq!(words, rules::names());
    let products = keys("/properties/materials/properties/products/properties");
    let catalog = Catalog::shipped(false).unwrap();
    assert_eq!(products, catalog.names().map(str::to_owned).collect());
}

#[test]
fn a_product_has_only_the_keys_that_its_order_is_worked_out_with() {
    let said = |product: &str, key: &str| {
        let job = format!("[materials.products.{product}]\n{key}\n");
        Job::parse(&job).map_err(|findings| findings[0].message.clone())
    };
    for (product, key) in [
        ("starter", "covers = \"100ft\""),
        ("hip_ridge_cap", "holds = 60"),
        ("valley_metal", "past_ends = \"4in\""),
        ("self_adhered_sheet", "side_lap = \"4in\""),
        ("roofing_nails", "holds = 500"),
        ("step_flashing", "holds = 100"),
        ("drip_edge_eave", "holds = 25"),
    ] {
        assert!(said(product, key).is_ok(), "{product}: {key}");
    }
    for (product, key) in [
        ("shingles", "holds = 3"),
        ("hip_ridge_cap", "covers = \"20ft\""),
        ("ridge_vent", "covers = \"20ft\""),
        ("drip_edge_eave", "covers = \"20ft\""),
        ("underlayment_felt_15", "covers = \"20ft\""),
        ("cap_nails", "covers = \"20ft\""),
        ("starter", "holds = 3"),
        ("pipe_boot", "holds = 3"),
        ("roof_cement", "holds = 3"),
        ("starter", "weight_lb = 50"),
    ] {
        let told = said(product, key).unwrap_err();
        let word = key.split(' ').next().unwrap();
        assert!(told.contains(word), "{product}: {told}");
    }
}

#[test]
fn the_starter_file_is_a_job_with_its_comments_and_without() {
    let starter = job::starter_text();
    assert_eq!(
        Job::parse(starter).unwrap().project.name.as_deref(),
        Some("New job")
    );
    // Every commented key taken in; a mark-up and a margin exclude each other only when an offer is made.
    let all: String = starter
        .lines()
        .map(|line| match line.strip_prefix("# ") {
            Some(key) if key.contains(" = ") || key.starts_with('[') => format!("{key}\n"),
            _ => format!("{line}\n"),
        })
        .collect();
    let job = Job::parse(&all).unwrap_or_else(|f| panic!("{f:#?}\n{all}"));
    assert_eq!(job.plan.eave_overhang.unwrap().to_inches(), 12.0);
    assert!(job.material_settings(false).is_ok());
    // Every key of the schema's sections stands in it.
    for section in [
        "project",
        "plan",
        "shingles",
        "site",
        "materials",
        "prices",
        "labour",
        "bid",
    ] {
        for key in keys(&format!("/properties/{section}/properties")) {
            let told =
                all.contains(&format!("\n{key} = ")) || all.contains(&format!("[{section}.{key}"));
            assert!(told, "{section}.{key} is not in the starter file");
        }
    }
}
