//! Packages of a job's own, and sizes and numbers that are slips: ordered right, or refused with what to say instead.

use eavewright::Finding;
use eavewright::job::Job;
use eavewright::materials::{CostInputs, MaterialList, Offer, PriceList};
use eavewright::roof::EdgeClass::{Rake, Ridge, Sidewall};
use eavewright::roof::Roof;

use crate::materials::{line, list, near};
use crate::materials_support::{courses, face, gable};

/// Why the settings of a job file's text are refused.
fn refused(job: &str) -> Finding {
    let job = Job::parse(job).unwrap_or_else(|f| panic!("{f:#?}"));
    let mut findings = job.material_settings(false).unwrap_err();
    assert_eq!(findings.len(), 1, "{findings:#?}");
    findings.remove(0)
}

fn offer(roof: &Roof, job: &str, prices: Option<&str>, metric: bool) -> Offer {
    let job = Job::parse(job).unwrap_or_else(|f| panic!("{f:#?}"));
    let settings = job.material_settings(metric).unwrap();
    let list = MaterialList::compute(roof, &courses(roof), &settings);
    let inputs = CostInputs {
        roofs: &[roof],
        list: &list,
        prices: &job.price_list(prices).unwrap(),
        labour: &job.labour,
        bidding: &job.bid,
        storeys: 1,
        date: None,
    };
    Offer::make(&inputs, None, metric).unwrap_or_else(|f| panic!("{f:#?}"))
}

#[test]
fn a_measure_is_no_package_and_what_to_say_instead_is_told() {
    for (product, unit, own) in [
        ("shingles", "square", "bundle"),
        ("underlayment_felt_15", "squares", "roll"),
        ("drip_edge_eave", "ft", "piece"),
        ("drip_edge_rake", "lin. ft", "piece"),
        ("hip_ridge_cap", "Feet", "bundle"),
        ("starter", "100 ft", "bundle"),
        ("self_adhered_sheet", "ft²", "roll"),
        ("drip_edge_eave", "linear metre", "piece"),
        ("underlayment_felt_15", "sq. yd", "roll"),
    ] {
        let said = refused(&format!(
            "[materials.products.{product}]\nunit = \"{unit}\"\n"
        ));
        assert_eq!(said.code, "product-package", "{product}");
        assert!(said.message.contains(&format!("“{unit}”")), "{said:?}");
        assert!(
            said.remedy.contains(&format!("price for one {own}")),
            "{said:?}"
        );
    }
}

#[test]
fn another_package_is_refused_until_the_job_says_what_one_holds() {
    for (product, unit, size, said) in [
        ("step_flashing", "box of 100", "holds", "holds = 100"),
        ("starter", "carton", "covers", "covers = \"200ft\""),
        (
            "valley_mineral_roll",
            "pallet",
            "length",
            "length = \"720ft\"",
        ),
        ("roofing_nails", "lb", "holds", "holds = 140"),
        ("drip_edge_eave", "bundle", "holds", "holds = 25"),
        ("sealant", "carton", "holds", "holds = 48"),
    ] {
        let job = format!("[materials.products.{product}]\nunit = \"{unit}\"\n");
        let told = refused(&job);
        assert_eq!(told.code, "product-package", "{product}");
        assert!(told.remedy.contains(size), "{told:?}");
        let settings = Job::parse(&format!("{job}{said}\n")).unwrap();
        assert!(settings.material_settings(false).is_ok(), "{product}");
    }
    // What comes one by one, and what a format says, is no matter of the package's name.
    for (product, unit) in [("pipe_boot", "box of 6"), ("shingles", "pallet")] {
        let job = format!("[materials.products.{product}]\nunit = \"{unit}\"\n");
        assert!(refused(&job).remedy.starts_with("Leave out `unit`"));
    }
    let two = "[materials.products.step_flashing]\nunit = \"box of 100\"\nholds = 50\n";
    assert!(refused(two).message.contains("holds 50"));
    // Another word for the same package changes nothing.
    for (product, unit) in [
        ("drip_edge_eave", "length"),
        ("sealant", "cartridge"),
        ("shingles", "Bundles"),
        ("cap_nails", "boxes"),
    ] {
        let job = format!("[materials.products.{product}]\nunit = \"{unit}\"\n");
        let job = Job::parse(&job).unwrap();
        assert!(job.material_settings(false).is_ok(), "{product}");
    }
}

#[test]
fn a_roll_of_run_goods_is_as_long_as_the_job_says() {
    let roll = "[materials.products.ridge_vent]\nunit = \"roll\"\n";
    assert!(refused(roll).remedy.contains("holds = 1"));
    // A ridge of 40 ft less 1 ft at each end: two rolls of 20 ft.
    let list = list(
        &gable(40.0, 24.0, 6.0),
        &format!("{roll}length = \"20ft\"\n"),
    );
    let vent = line(&list, "ridge_vent");
    assert_eq!((vent.quantity, vent.unit.as_str()), (2.0, "roll"));
    // A box of pieces of 20 ft: how many are in it is not said.
    assert!(
        refused(&format!(
            "{}length = \"20ft\"\n",
            roll.replace("roll", "box")
        ))
        .remedy
        .contains("holds")
    );
}

#[test]
fn pieces_that_come_many_in_a_package_are_refused_until_the_package_is_named() {
    for (product, said) in [
        ("drip_edge_eave", "holds = 10"),
        ("step_flashing", "holds = 100"),
        ("step_flashing", "unit = \"piece\"\nholds = 100"),
        ("drip_edge_rake", "unit = \"lengths\"\nholds = 25"),
        ("deck_sheet", "holds = 40"),
    ] {
        let told = refused(&format!("[materials.products.{product}]\n{said}\n"));
        assert_eq!(told.code, "product-package", "{product}");
        assert!(told.remedy.contains("Name the package"), "{told:?}");
    }
    // One a piece is what a piece is, and what comes in boxes comes in larger ones too.
    for (product, said) in [
        ("step_flashing", "holds = 1"),
        ("roofing_nails", "holds = 3600"),
        ("cap_nails", "holds = 1000"),
        ("hip_ridge_cap", "holds = 30"),
        ("sealant", "holds = 5"),
    ] {
        let job = Job::parse(&format!("[materials.products.{product}]\n{said}\n")).unwrap();
        assert!(job.material_settings(false).is_ok(), "{product}");
    }
}

#[test]
fn sealant_holds_the_penetrations_that_it_serves_and_not_tubes() {
    let of = |holds: u32| {
        format!("[materials.products.sealant]\nunit = \"box of 12\"\nholds = {holds}\n")
    };
    // 12 tubes at the catalog's 4 penetrations each.
    let job = Job::parse(&of(48)).unwrap();
    assert!(job.material_settings(false).is_ok());
    let told = refused(&of(12));
    assert!(told.remedy.contains("`holds = 48`"), "{told:?}");
    let unsaid = refused("[materials.products.sealant]\nunit = \"box of 12\"\n");
    assert!(unsaid.remedy.contains("penetrations"), "{unsaid:?}");
}

#[test]
fn a_package_is_kept_as_one_and_its_name_follows_it() {
    for (product, said, unit, name) in [
        (
            "roofing_nails",
            "unit = \"carton\"\nholds = 7200",
            "carton",
            "Roofing nails, carton of 7,200",
        ),
        (
            "roofing_nails",
            "unit = \"boxes\"",
            "box",
            "Roofing nails, box of 7,200",
        ),
        (
            "cap_nails",
            "unit = \"Pails\"\nholds = 3000",
            "Pail",
            "Cap nails, Pail of 3,000",
        ),
        (
            "underlayment_felt_15",
            "unit = \"rolls\"",
            "roll",
            "Underlayment, No. 15 felt, 36 in × 144 ft",
        ),
        (
            "step_flashing",
            "unit = \"boxes of 100\"\nholds = 100",
            "box of 100",
            "Step flashing, 4 × 4 in, box of 100",
        ),
    ] {
        let job = Job::parse(&format!("[materials.products.{product}]\n{said}\n")).unwrap();
        let settings = job.material_settings(false).unwrap();
        let product = settings.catalog.product(product).unwrap();
        assert_eq!(product.unit.as_deref(), Some(unit));
        assert_eq!(product.name.as_deref(), Some(name));
    }
}

#[test]
fn a_price_may_name_the_package_with_or_without_what_is_in_it() {
    let walls = face(6.0, Sidewall, Ridge, Sidewall).roof();
    // 68 steps, so one box of 100 at 95, or two of 50.
    let cost = |unit: &str, holds: u32, priced: &str| -> String {
        let job = format!(
            "[materials.products.step_flashing]\nunit = \"{unit}\"\nholds = {holds}\n\
             [prices.items]\nstep_flashing = {{ price = 95, unit = \"{priced}\" }}\n"
        );
        let offer = offer(&walls, &job, None, false);
        let told = offer.findings.iter().find(|f| f.code == "price-unit");
        match told {
            Some(told) => told.remedy.clone(),
            None => offer.cost.cost.normalize().to_string(),
        }
    };
    for (unit, priced) in [
        ("box", "box of 100"),
        ("box", "box of 100 pieces"),
        ("box of 100", "box"),
        ("box of 100", "boxes of 100"),
        ("box", "box"),
    ] {
        assert_eq!(cost(unit, 100, priced), "95", "{unit}, {priced}");
    }
    assert_eq!(cost("box", 50, "box"), "190");
    assert_eq!(
        cost("box", 100, "box of 50"),
        "Give the price for one box of 100 pieces."
    );
    assert_eq!(
        cost("box of 100", 100, "piece"),
        "Give the price for one box of 100."
    );
    // What a remedy says can be written: sizes too.
    let remedied = |item: &str, unit: &str| {
        let job = format!("[prices.items]\n{item} = {{ price = 1, unit = \"{unit}\" }}\n");
        let offer = offer(&gable(40.0, 24.0, 6.0), &job, None, false);
        !offer.findings.iter().any(|f| f.code == "price-unit")
    };
    for (item, unit) in [
        ("roofing_nails", "box of 7,200"),
        ("shingles", "bundle of 27 shingles"),
        ("drip_edge_eave", "piece of 10 ft"),
        ("cap_nails", "box of 2,000 nails"),
    ] {
        assert!(remedied(item, unit), "{item}");
    }
    assert!(!remedied("drip_edge_eave", "piece of 12 ft") && !remedied("cap_nails", "box of 500"));
}

#[test]
fn pieces_that_come_in_boxes_are_ordered_and_priced_by_the_box() {
    // Walls on both sides of a face 12 ft deep: 68 steps (as by the piece), so one box of 100, at 95.
    let walls = face(6.0, Sidewall, Ridge, Sidewall).roof();
    let box_of = "[materials.products.step_flashing]\nunit = \"box\"\nholds = 100\n";
    let listed = list(&walls, box_of);
    let step = line(&listed, "step_flashing");
    near(step.needed, 68.0);
    near(step.quantity, 1.0);
    near(step.left_over, 32.0);
    assert_eq!(step.item, "Step flashing, 4 × 4 in, box of 100");
    assert!(
        step.basis.contains("68 pieces, 100 a box, each 7 in long"),
        "{}",
        step.basis
    );
    let priced =
        format!("{box_of}[prices.items]\nstep_flashing = {{ price = 95, unit = \"box\" }}\n");
    let cost = offer(&walls, &priced, None, false).cost.cost;
    assert_eq!(cost.normalize().to_string(), "95");
    // Two eaves of 40 ft take 5 pieces of 10 ft each: 10, so 3 bundles of 4; 120 ft less 100 ft are left.
    let bundles = "[materials.products.drip_edge_eave]\nunit = \"bundle\"\nholds = 4\n";
    let listed = list(&gable(40.0, 24.0, 6.0), bundles);
    let eave = line(&listed, "drip_edge_eave");
    near(eave.quantity, 3.0);
    near(
        eave.needed_packages,
        2.0 * (480.0 - 2.0) / (120.0 - 2.0) / 4.0,
    );
    near(eave.consumed, 100.0);
    near(eave.left_over, 20.0);
}

#[test]
fn a_price_for_a_measure_is_not_used_and_the_package_is_told_with_its_size() {
    let remedy = |item: &str, unit: &str| -> String {
        let job = format!("[prices.items]\n{item} = {{ price = 1, unit = \"{unit}\" }}\n");
        let offer = offer(&gable(40.0, 24.0, 6.0), &job, None, false);
        let told: Vec<&Finding> = (offer.findings.iter())
            .filter(|f| f.code == "price-unit")
            .collect();
        assert_eq!(told.len(), 1, "{item}");
        told[0].remedy.clone()
    };
    for (item, unit, package) in [
        ("shingles", "square", "bundle of 27 shingles"),
        ("drip_edge_eave", "ft", "piece of 10 ft"),
        ("underlayment", "square", "roll of 432 ft²"),
        ("cap_nails", "lb", "box of 2,000 nails"),
        ("starter", "ft", "bundle of 105 ft"),
    ] {
        let expected = format!("Give the price for one {package}.");
        assert_eq!(remedy(item, unit), expected);
    }
}

#[test]
fn a_spare_bundle_goes_by_the_squares_of_roof_and_not_by_caps() {
    // 10.73 squares are less than 11: one spare, whether 32 shingles more (0.4 squares) are cut up for caps or not.
    let roof = gable(40.0, 24.0, 6.0);
    for caps_from_field in [false, true] {
        let job = format!(
            "[materials]\nspare_bundle_per_squares = 11\ncaps_from_field = {caps_from_field}\n"
        );
        near(line(&list(&roof, &job), "shingles").allowance, 1.0);
    }
}

#[test]
fn every_shipped_price_is_for_the_package_that_the_catalog_has() {
    let busy = face(6.0, Sidewall, Ridge, Rake)
        .opening("chimney", 36.0, 3.0)
        .pipe(Some(3.0))
        .roof();
    let valleys = crate::materials_support::gable_with_wing();
    let metric = "[plan]\nunits = \"m\"\n";
    for (job, prices) in [("", PriceList::DEMO), (metric, PriceList::DEMO_METRIC)] {
        for roof in [&busy, &valleys] {
            for lining in ["self-adhered", "smooth-roll", "metal"] {
                let job = format!(
                    "{job}[site]\nexisting_layers = 1\n[materials]\nvalley_lining = \"{lining}\"\n"
                );
                let offer = offer(roof, &job, Some(prices), job.contains("\"m\""));
                let without: Vec<&String> = (offer.cost.unpriced.iter())
                    .filter(|what| !what.starts_with("Lay") && !what.starts_with("Tear"))
                    .collect();
                assert!(without.is_empty(), "{without:?}");
            }
        }
    }
}

#[test]
fn a_format_of_a_size_that_no_shingle_has_is_refused() {
    let format = |rest: &str| {
        Job::parse(&format!(
            "[[shingles.formats]]\nname = \"own\"\nsource = \"test\"\n{rest}"
        ))
    };
    let sizes = "width = 1000\nheight = 337\nexposure = 143\n";
    let told = format(&format!("{sizes}pieces_per_bundle = 21\n")).unwrap_err();
    assert!(
        told[0]
            .message
            .contains("1,000.0 in large, and 48 in is the most"),
        "{told:?}"
    );
    assert!(format(&format!("{sizes}unit = \"mm\"\npieces_per_bundle = 21\n")).is_ok());
    let inches = "width = 36\nheight = 12\nexposure = 5\n";
    for wrong in [
        "pieces_per_bundle = 1000000",
        "pieces_per_bundle = 0",
        "pieces_per_bundle = 21\nbundle_weight = -70",
        "pieces_per_bundle = 21\nbundle_weight = 7000",
        "pieces_per_bundle = 21\nnails_per_piece = 0",
        "pieces_per_bundle = 21\nnails_per_piece = 600",
        "pieces_per_bundle = 21\ntabs = 300",
    ] {
        assert!(format(&format!("{inches}{wrong}\n")).is_err(), "{wrong}");
    }
}

#[test]
fn values_that_mean_nothing_are_refused_with_their_key() {
    for (text, key, what) in [
        (
            "[materials]\nspare_bundle_per_squares = 0.01\n",
            "spare_bundle_per_squares",
            "must be 0, or a number from 1 to",
        ),
        (
            "[site]\nattic_floor = \"0 sqft\"\n",
            "attic_floor",
            "10 sqft is the least",
        ),
        (
            "[site]\nattic_floor = \"0.5 m2\"\n",
            "attic_floor",
            "10 sqft is the least",
        ),
        (
            "[site]\ndeck_thickness = \"0in\"\n",
            "deck_thickness",
            "1/4in is the least",
        ),
        ("[site]\nstoreys = 0\n", "storeys", "from 1 to 200"),
        (
            "[bid]\nallowances = [{ name = \" \", amount = 100 }]\n",
            "allowances.name",
            "is empty",
        ),
        ("[bid]\nexclusions = [\"\"]\n", "exclusions", "is empty"),
        (
            "[bid]\nmargin_percent = 95\n",
            "margin_percent",
            "from 0 to 90",
        ),
        (
            "[bid]\nvalid_until = \"31 December\"\n",
            "valid_until",
            "no date",
        ),
    ] {
        let found = Job::parse(text).unwrap_err();
        let message = &found[0].message;
        assert_eq!((found.len(), found[0].code), (1, "job-value"), "{text}");
        assert!(message.contains(key) && message.contains(what), "{message}");
    }
    for right in [
        "[materials]\nspare_bundle_per_squares = 0\n",
        "[materials]\nspare_bundle_per_squares = 6.2\n",
        "[site]\nattic_floor = \"90 m2\"\n",
        "[site]\ndeck_thickness = \"12 mm\"\n",
        "[bid]\nvalid_until = \"2026-12-31\"\nmargin_percent = 90\n",
    ] {
        assert!(Job::parse(right).is_ok(), "{right}");
    }
}
