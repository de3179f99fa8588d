//! The job file on the command line: begun, priced, printed.

use std::fs;
use std::path::{Path, PathBuf};

use eavewright::job::{Job, SCHEMA};
use eavewright::materials::PriceList;

use crate::command::run;

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn a_new_job_file_can_be_used_and_is_never_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let output = run(&["job", "new", "a.toml"], folder.path());
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let path = folder.path().join("a.toml");
    let begun = fs::read_to_string(&path).unwrap();
    assert!(Job::parse(&begun).is_ok());
    fs::write(&path, "[project]\nname = \"Kept\"\n").unwrap();
    let again = run(&["job", "new", "a.toml"], folder.path());
    assert_eq!(again.status.code(), Some(2));
    assert!(text(&again.stderr).contains("[job-exists]"));
    assert!(fs::read_to_string(&path).unwrap().contains("Kept"));
}

#[test]
fn the_schema_and_a_price_list_come_out_whole() {
    let folder = tempfile::tempdir().unwrap();
    let schema = run(&["job", "schema"], folder.path());
    assert_eq!(text(&schema.stdout), SCHEMA);
    let prices = run(&["job", "prices"], folder.path());
    let list = PriceList::from_csv(&text(&prices.stdout)).unwrap();
    assert!(list.price("shingles").is_some() && !list.notes.is_empty());
    let metric = run(&["job", "prices", "--units", "m"], folder.path());
    let metric = PriceList::from_csv(&text(&metric.stdout)).unwrap();
    let unit = |list: &PriceList| list.price("sealant").and_then(|p| p.unit.clone());
    assert_eq!(unit(&list).as_deref(), Some("tube"));
    assert_eq!(unit(&metric).as_deref(), Some("cartridge"));
}

fn example() -> (tempfile::TempDir, PathBuf) {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let folder = tempfile::tempdir().unwrap();
    fs::copy(
        examples.join("quillback-road.svg"),
        folder.path().join("plan.svg"),
    )
    .unwrap();
    let job = folder.path().join("job.toml");
    fs::copy(examples.join("quillback-road.toml"), &job).unwrap();
    (folder, job)
}

fn json(folder: &Path) -> serde_json::Value {
    let arguments = [
        "takeoff", "plan.svg", "--job", "job.toml", "--no-pdf", "--json", "-",
    ];
    let output = run(&arguments, folder);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// A sum of money in whole cents.
fn cents(value: &serde_json::Value) -> i64 {
    (value.as_f64().unwrap() * 100.0).round() as i64
}

#[test]
fn the_examples_price_is_the_sum_of_its_parts_and_made_of_its_costs() {
    let (folder, _) = example();
    let json = json(folder.path());
    let (offer, cost) = (&json["offer"], &json["internal_cost"]);
    let parts = |of: &serde_json::Value| -> i64 {
        let lines = of.as_array().unwrap();
        lines.iter().map(|line| cents(&line["amount"])).sum()
    };
    assert!(cents(&offer["price"]) > 0);
    assert_eq!(parts(&offer["lines"]), cents(&offer["price"]));
    assert_eq!(
        parts(&cost["materials"])
            + parts(&cost["labour"])
            + parts(&cost["allowances"])
            + cents(&cost["tax_on_materials"]),
        cents(&cost["cost"])
    );
    // 13 % of the price is profit, 12 % of the cost is overhead (examples/quillback-road.toml).
    let made = (cents(&cost["cost"]) as f64 * 1.12 / 0.87) as i64;
    assert!((made - cents(&offer["price"])).abs() <= 2, "{made}");
    let assumed = text(offer["assumptions"].to_string().as_bytes());
    assert!(assumed.contains("invented"), "{assumed}");
}

#[test]
fn a_price_list_beside_the_job_is_read_and_what_it_lacks_is_told() {
    let (folder, job) = example();
    let said = fs::read_to_string(&job).unwrap();
    fs::write(&job, said.replace("\"demo\"", "\"own.csv\"")).unwrap();
    let own = folder.path().join("own.csv");
    fs::write(&own, "item,unit,price\nshingles,bundle,40\n").unwrap();
    let offer = json(folder.path())["offer"].clone();
    let unpriced: Vec<&str> = offer["unpriced"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|item| item.as_str())
        .collect();
    assert!(unpriced.iter().any(|item| item.starts_with("Starter")));
    assert!(!unpriced.iter().any(|item| item.starts_with("Shingles")));
    fs::remove_file(own).unwrap();
    let arguments = ["takeoff", "plan.svg", "--job", "job.toml"];
    let output = run(&arguments, folder.path());
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("[price-list-unreadable]"));
}

#[test]
fn what_a_roof_costs_is_printed_only_where_it_is_asked_for() {
    let (folder, job) = example();
    let takeoff = |more: &[&str]| {
        let mut arguments = vec![
            "takeoff", "plan.svg", "--job", "job.toml", "--html", "a.html",
        ];
        arguments.extend(more);
        run(&arguments, folder.path())
    };
    assert_eq!(takeoff(&[]).status.code(), Some(0));
    let page = fs::read_to_string(folder.path().join("a.html")).unwrap();
    let json = json(folder.path());
    let printed = |value: &serde_json::Value| {
        let cents = cents(value);
        let (thousands, rest) = (cents / 100_000, cents % 100_000);
        if thousands > 0 {
            format!("{thousands},{:03}.{:02}", rest / 100, rest % 100)
        } else {
            format!("{}.{:02}", rest / 100, rest % 100)
        }
    };
    assert!(page.contains(&printed(&json["offer"]["price"])));
    for secret in ["cost", "overhead", "profit"] {
        let amount = printed(&json["internal_cost"][secret]);
        assert!(!page.contains(&amount), "{secret} {amount}");
    }
    assert_eq!(takeoff(&["--sheets", "cost"]).status.code(), Some(0));
    // Without prices there is nothing to print on either.
    fs::write(&job, "[project]\nname = \"No prices\"\n").unwrap();
    let refused = takeoff(&["--sheets", "bid"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(text(&refused.stderr).contains("[sheet-without-prices]"));
}

#[test]
fn a_markup_and_a_margin_at_once_are_a_wrong_job() {
    let (folder, job) = example();
    let said = fs::read_to_string(&job).unwrap();
    fs::write(&job, said.replace("[bid]", "[bid]\nmarkup_percent = 15")).unwrap();
    let output = run(&["takeoff", "plan.svg", "--job", "job.toml"], folder.path());
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("[margin-and-markup]"));
    assert!(!folder.path().join("plan-takeoff.pdf").exists());
}

#[test]
fn another_format_is_compared_and_offered_where_its_bundles_have_a_price() {
    let (folder, job) = example();
    let takeoff = json(folder.path());
    let names: Vec<&str> = takeoff["offer"]["alternates"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|alternate| alternate["name"].as_str())
        .collect();
    // examples/quillback-road.toml compares 36x12 and 42x14 and prices 42x14 alone.
    assert!(names.iter().any(|n| n.contains("42x14")), "{names:?}");
    assert!(!names.iter().any(|n| n.contains("36x12")), "{names:?}");
    // Taken for the job's own format, the other costs just as much more.
    let difference = takeoff["offer"]["alternates"]
        .as_array()
        .unwrap()
        .iter()
        .find(|a| a["name"].as_str().is_some_and(|n| n.contains("42x14")))
        .map(|a| cents(&a["difference"]))
        .unwrap();
    let said = fs::read_to_string(&job).unwrap();
    let other = said.replace("[shingles]", "[shingles]\nformat = \"42x14\"");
    fs::write(&job, other).unwrap();
    let dear = cents(&json(folder.path())["offer"]["price"]);
    assert_eq!(dear - cents(&takeoff["offer"]["price"]), difference);
}

#[test]
fn a_comparison_is_printed_as_a_sheet() {
    let (folder, _) = example();
    let output = run(
        &[
            "compare",
            "plan.svg",
            "--formats",
            "39x13,36x12",
            "--pdf",
            "c.pdf",
        ],
        folder.path(),
    );
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let pdf = fs::read(folder.path().join("c.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF-"));
}

/// What a takeoff with its job says on the terminal, and its page.
fn told_and_page(folder: &Path) -> (String, String) {
    let arguments = [
        "takeoff",
        "plan.svg",
        "--job",
        "job.toml",
        "--no-pdf",
        "--html",
        "page.html",
    ];
    let output = run(&arguments, folder);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let page = fs::read_to_string(folder.join("page.html")).unwrap();
    (text(&output.stdout), page)
}

#[test]
fn the_page_says_of_an_offer_all_that_the_sheet_says() {
    let (folder, job) = example();
    let offer = &json(folder.path())["offer"];
    let (_, made) = told_and_page(folder.path());
    let texts = |key: &str| -> Vec<String> {
        let listed = offer[key].as_array().unwrap().iter();
        listed.map(|s| s.as_str().unwrap().to_owned()).collect()
    };
    // The first words of each, before anything that is set otherwise on paper.
    for sentence in ["cautions", "exclusions", "scope"]
        .into_iter()
        .flat_map(texts)
    {
        let begins: String = sentence.chars().take(12).collect();
        assert!(made.contains(&begins), "{sentence}");
    }
    assert!(made.contains("Holds until 2026-12-25."));
    assert!(made.contains("Open metal valleys") && made.contains("+$640.00"));
    // Where nothing is priced there is no price of nothing.
    fs::write(&job, "[bid]\ntitle = \"Roof\"\n").unwrap();
    let (_, unpriced) = told_and_page(folder.path());
    assert!(unpriced.contains("Nothing is priced yet"));
    assert!(made.contains("<table id=\"offer\">"));
    assert!(!unpriced.contains("<table id=\"offer\">"));
}

#[test]
fn where_no_face_takes_shingles_the_offer_says_so_and_has_no_other_shingles_instead() {
    let (folder, job) = example();
    let flat = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs/flat-20x10/plan.svg");
    fs::copy(flat, folder.path().join("plan.svg")).unwrap();
    // The example's job but for its allowance: all is priced, and two formats are compared.
    let written = fs::read_to_string(&job).unwrap();
    let lines = written.lines().filter(|l| !l.starts_with("allowances"));
    fs::write(&job, lines.collect::<Vec<_>>().join("\n")).unwrap();
    let none = "No work in this offer: no face takes shingles.";
    let (told, page) = told_and_page(folder.path());
    for said in [&told, &page] {
        assert!(said.contains(none), "{said}");
        assert!(!said.contains("$0.00") && !said.contains("prices are missing"));
    }
    let offer = &json(folder.path())["offer"];
    let alternates = offer["alternates"].as_array().unwrap();
    let names: Vec<&str> = (alternates.iter())
        .map(|alternate| alternate["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["Open metal valleys"]);
}

#[test]
fn lines_of_one_key_have_price_keys_that_tell_them_apart() {
    let (folder, _) = example();
    let materials = json(folder.path())["materials"].as_array().unwrap().clone();
    let keys: Vec<&str> = materials
        .iter()
        .map(|line| line["price_key"].as_str().unwrap())
        .collect();
    let mut once = keys.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), keys.len(), "{keys:?}");
    assert!(keys.contains(&"shingles:39x13") && keys.contains(&"underlayment:felt-15"));
}
