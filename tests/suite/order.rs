//! The order for several plans of one job.

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const GABLE: &str = "fixtures/roofs/gable-40x24-6in12/plan.svg";
const HIP: &str = "fixtures/roofs/hip-40x24-6in12/plan.svg";

fn order(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .arg("order")
        .args(arguments)
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")))
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn json(arguments: &[&str]) -> Value {
    let output = order(arguments);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}");
    serde_json::from_slice(&output.stdout).unwrap()
}

fn line<'v>(order: &'v Value, key: &str) -> &'v Value {
    let lines = order["materials"].as_array().unwrap();
    lines.iter().find(|l| l["key"] == key).unwrap()
}

#[test]
fn two_roofs_of_a_job_are_added_before_bundles_are_rounded() {
    // Starter by hand: 80 ft / 105 = 0.76 and 128 ft / 105 = 1.22, so 1 + 2 bundles apart; together 208 / 105 = 1.98,
    // so 2. Common practice, no source.
    let apart: f64 = [GABLE, HIP]
        .iter()
        .map(|plan| {
            let one = json(&[plan, "--json", "-"]);
            line(&one, "starter")["quantity"].as_f64().unwrap()
        })
        .sum();
    let both = json(&[GABLE, HIP, "--json", "-"]);
    let starter = line(&both, "starter");
    assert_eq!((apart, starter["quantity"].as_f64().unwrap()), (3.0, 2.0));
    assert!((starter["needed_amount"].as_f64().unwrap() - 208.0).abs() < 1e-6);
    let area: f64 = both["plans"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["true_area"].as_f64().unwrap())
        .sum();
    assert!((area - 2.0 * 1073.3126).abs() < 1e-3);
}

#[test]
fn the_suppliers_list_has_one_line_an_item_and_nothing_else() {
    let output = order(&[GABLE, HIP, "--csv", "-"]);
    let mut reader = csv::Reader::from_reader(output.stdout.as_slice());
    let keys: Vec<String> = reader
        .records()
        .map(|record| record.unwrap()[1].to_owned())
        .collect();
    let mut once = keys.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), keys.len());
    assert!(keys.iter().any(|k| k == "starter") && keys.iter().any(|k| k.starts_with("shingles")));
}

#[test]
fn one_attic_floor_for_several_plans_is_held_against_the_vents_of_all_of_them() {
    // R806.2 (READ). The gable holds 38 ft of ridge at 18 in² and 80 ft of eave at 9 in²: 684 and 720 in². The hip holds
    // 14 ft and 128 ft: 252 and 1,152 in². Together 2,808 in² (common practice), 1/150 of 2,925 ft².
    let said = |floor: &str| -> Vec<String> {
        let folder = tempfile::tempdir().unwrap();
        let job = folder.path().join("job.toml");
        let text = format!("[site]\nattic_floor = \"{floor} sqft\"\nvent_ratio = \"1/150\"\n");
        std::fs::write(&job, text).unwrap();
        let order = json(&[GABLE, HIP, "--json", "-", "--job", job.to_str().unwrap()]);
        let findings = order["findings"].as_array().unwrap().iter();
        let codes = findings.map(|f| f["code"].as_str().unwrap().to_owned());
        codes
            .filter(|c| c.starts_with("vents-") || c.starts_with("attic-"))
            .collect()
    };
    assert_eq!(said("2924"), ["attic-of-several"]);
    assert_eq!(said("2926"), ["vents-too-small", "attic-of-several"]);
}

#[test]
fn one_plan_that_cannot_be_taken_off_stops_the_order_and_says_which() {
    let output = order(&[GABLE, "fixtures/faults/no-scale.svg", "--csv", "-"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(output.stdout.is_empty());
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("fixtures/faults/no-scale.svg"), "{said}");
}

#[test]
fn what_was_noticed_on_a_plan_is_in_the_order_with_its_name_and_what_all_share_once() {
    // The dead valley is warned about; the gable beside it has nothing of its own.
    const DEAD_VALLEY: &str = "fixtures/roofs/dead-valley-3in12/plan.svg";
    let of = |plans: &[&str]| -> Vec<(Option<String>, String)> {
        let order = json(&[plans, &["--json", "-"]].concat());
        let findings = order["findings"].as_array().unwrap().iter();
        let text = |value: &Value| value.as_str().map(str::to_owned);
        findings
            .map(|f| (text(&f["plan"]), text(&f["code"]).unwrap()))
            .collect()
    };
    let both = of(&[GABLE, DEAD_VALLEY]);
    let takeoff = Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .args(["takeoff", DEAD_VALLEY, "--no-pdf", "--json", "-"])
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")))
        .output()
        .unwrap();
    let takeoff: Value = serde_json::from_slice(&takeoff.stdout).unwrap();
    let alone = takeoff["findings"].as_array().unwrap();
    assert!(alone.iter().any(|f| f["severity"] == "warning"));
    for finding in alone {
        let code = finding["code"].as_str().unwrap().to_owned();
        let named = (Some(DEAD_VALLEY.to_owned()), code);
        assert!(both.contains(&named), "{named:?}");
    }
    // What belongs to all of them is told once.
    let shared: Vec<&String> = both
        .iter()
        .filter(|f| f.0.is_none())
        .map(|f| &f.1)
        .collect();
    let mut once = shared.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), shared.len(), "{shared:?}");
}

#[test]
fn a_job_with_prices_prices_all_of_its_roofs() {
    let job = "examples/quillback-road.toml";
    let price = |plans: &[&str]| {
        let arguments = [plans, &["--job", job, "--json", "-"]].concat();
        json(&arguments)["offer"]["price"].as_f64().unwrap()
    };
    let (one, both) = (price(&[GABLE]), price(&[GABLE, HIP]));
    // Allowances and the container come once, packages are rounded once: less than twice, more than once.
    assert!(both > 1.5 * one && both < 2.2 * one, "{one} {both}");
}

#[test]
fn formats_that_a_job_compares_are_offered_for_all_of_its_roofs() {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("job.toml");
    let told = |text: &str, plans: &[&str]| {
        std::fs::write(&job, text).unwrap();
        json(&[plans, &["--job", job.to_str().unwrap(), "--json", "-"]].concat())
    };
    let compare =
        "[site]\nexisting_layers = 0\nice_barrier = false\n[shingles]\ncompare = [\"36x12\"]\n";
    let prices = "[prices]\nlist = \"demo\"\n[labour]\nhours_per_square = 0\n";
    let priced = "[prices.items]\n\"shingles:36x12\" = { price = 30 }\n";
    let both = [GABLE, HIP];
    let offer = &told(&format!("{compare}{prices}{priced}"), &both)["offer"];
    let alternate = &offer["alternates"][0];
    assert_eq!(alternate["name"], "Shingles 36x12 instead");
    // What the roofs come to in that format is what an order in it comes to.
    let other =
        "[site]\nexisting_layers = 0\nice_barrier = false\n[shingles]\nformat = \"36x12\"\n";
    let instead = &told(&format!("{other}{prices}{priced}"), &both)["offer"];
    let price = |offer: &Value| offer["price"].as_f64().unwrap();
    let difference = alternate["difference"].as_f64().unwrap();
    assert!((price(instead) - price(offer) - difference).abs() < 1e-6);
    // Without its price it is not offered, and that is told; without any price that it is compared with nothing.
    let codes = |order: &Value| -> Vec<String> {
        let findings = order["findings"].as_array().unwrap();
        let codes = findings.iter().map(|f| f["code"].as_str().unwrap());
        codes.map(str::to_owned).collect()
    };
    let bare = codes(&told(&format!("{compare}{prices}"), &both));
    assert!(bare.iter().any(|c| c == "format-not-priced"), "{bare:?}");
    let none = codes(&told(compare, &both));
    assert!(none.iter().any(|c| c == "formats-not-compared"), "{none:?}");
}

#[test]
fn every_line_of_a_takeoff_names_the_edges_and_faces_that_feed_it() {
    let output = Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .args(["takeoff", HIP, "--no-pdf", "--json", "-"])
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")))
        .output()
        .unwrap();
    let takeoff: Value = serde_json::from_slice(&output.stdout).unwrap();
    let caps = line(&takeoff, "hip_ridge_cap");
    let length: f64 = caps["edges"]
        .as_array()
        .unwrap()
        .iter()
        .map(|at| &takeoff["edges"][at.as_u64().unwrap() as usize])
        .inspect(|edge| assert!(edge["class"] == "hip" || edge["class"] == "ridge"))
        .map(|edge| edge["true_length"].as_f64().unwrap())
        .sum();
    assert!((length - caps["needed_amount"].as_f64().unwrap()).abs() < 1e-9);
    assert_eq!(
        line(&takeoff, "underlayment")["faces"]
            .as_array()
            .unwrap()
            .len(),
        4
    );
}

/// The figures of an order of these files of a folder, with its findings about the plans given.
fn order_in(folder: &Path, plans: &[&str]) -> (Value, Vec<String>) {
    let paths: Vec<String> = plans
        .iter()
        .map(|plan| folder.join(plan).display().to_string())
        .collect();
    let mut arguments: Vec<&str> = paths.iter().map(String::as_str).collect();
    arguments.extend(["--json", "-"]);
    let order = json(&arguments);
    let findings = order["findings"].as_array().unwrap().iter();
    let codes = findings.filter(|f| f["plan"].is_null());
    let codes = codes.map(|f| f["code"].as_str().unwrap().to_owned());
    let about_plans = codes
        .filter(|c| c.ends_with("-left-out") || c == "plan-given-twice")
        .collect();
    (order, about_plans)
}

#[test]
fn a_plan_beside_its_marked_copy_or_its_drawing_is_ordered_once_and_that_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::copy(GABLE, at.join("house.svg")).unwrap();
    let made = Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .args(["takeoff", "house.svg", "--no-pdf", "--svg", "drawn.svg"])
        .args(["--marked", "house-marked.svg"])
        .current_dir(at)
        .output()
        .unwrap();
    assert!(made.status.success());
    let (alone, told) = order_in(at, &["house.svg"]);
    assert_eq!(told, Vec::<String>::new());
    let all = ["drawn.svg", "house-marked.svg", "house.svg"];
    let (order, told) = order_in(at, &all);
    assert_eq!(told, ["marked-plan-left-out", "own-drawing-left-out"]);
    assert_eq!(order["materials"], alone["materials"]);
    assert_eq!(order["plans"].as_array().unwrap().len(), 1);
    // Each by itself is what is to be ordered.
    for one in ["drawn.svg", "house-marked.svg"] {
        let (order, told) = order_in(at, &[one]);
        assert_eq!(told, Vec::<String>::new(), "{one}");
        assert_eq!(line(&order, "starter"), line(&alone, "starter"), "{one}");
    }
}

/// A drawing of this program that was marked in its turn bears the signs of both.
#[test]
fn a_drawing_of_the_program_beside_its_marked_copy_is_ordered_once_and_that_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::copy(GABLE, at.join("house.svg")).unwrap();
    for arguments in [
        ["house.svg", "--svg", "drawn.svg"],
        ["drawn.svg", "--marked", "drawn-marked.svg"],
    ] {
        let made = Command::new(env!("CARGO_BIN_EXE_eavewright"))
            .args(["takeoff", "--no-pdf"])
            .args(arguments)
            .current_dir(at)
            .output()
            .unwrap();
        assert!(made.status.success());
    }
    let starter_ft = |plans: &[&str], codes: &[&str]| {
        let (order, told) = order_in(at, plans);
        assert_eq!(told, codes, "{plans:?}");
        line(&order, "starter")["needed_amount"].as_f64().unwrap()
    };
    // 80 ft of eaves, once.
    let marked = "marked-plan-left-out";
    let drawn = "own-drawing-left-out";
    for (plans, codes) in [
        (vec!["drawn.svg", "drawn-marked.svg"], vec![marked]),
        (vec!["drawn-marked.svg"], vec![]),
        (vec!["house.svg", "drawn-marked.svg"], vec![drawn]),
        (
            vec!["drawn-marked.svg", "drawn.svg", "house.svg"],
            vec![marked, drawn],
        ),
    ] {
        let starter = starter_ft(&plans, &codes);
        assert!((starter - 80.0).abs() < 1e-3, "{plans:?}: {starter}");
    }
}

#[test]
fn a_plan_given_twice_counts_twice_and_that_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::copy(GABLE, at.join("house.svg")).unwrap();
    std::fs::copy(GABLE, at.join("twin.svg")).unwrap();
    let packed = std::fs::File::create(at.join("packed.svgz")).unwrap();
    let mut packed = flate2::write::GzEncoder::new(packed, flate2::Compression::default());
    std::io::Write::write_all(&mut packed, &std::fs::read(GABLE).unwrap()).unwrap();
    packed.finish().unwrap();
    for plans in [
        ["house.svg", "./house.svg"],
        ["house.svg", "twin.svg"],
        ["house.svg", "packed.svgz"],
    ] {
        let (order, told) = order_in(at, &plans);
        assert_eq!(told, ["plan-given-twice"]);
        // 80 ft of eaves each.
        let starter = line(&order, "starter")["needed_amount"].as_f64().unwrap();
        assert!((starter - 160.0).abs() < 1e-6, "{starter}");
    }
    std::fs::copy(HIP, at.join("other.svg")).unwrap();
    assert_eq!(
        order_in(at, &["house.svg", "other.svg"]).1,
        Vec::<String>::new()
    );
}
