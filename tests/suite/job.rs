//! Reading job files.

use eavewright::job::Job;
use eavewright::materials::Edition;

#[test]
fn a_job_file_gives_names_lengths_and_prices() {
    let job = Job::parse(
        "[project]\nname = \"Heron Lane cottage\"\n[plan]\neave_overhang = \"1ft 3in\"\n\
         [site]\ncode = \"2018\"\nice_barrier = true\n[prices.items]\nshingles = { price = 38.50, unit = \"bundle\" }\n",
    )
    .unwrap();
    assert_eq!(job.project.name.as_deref(), Some("Heron Lane cottage"));
    assert_eq!(job.plan.eave_overhang.unwrap().to_inches(), 15.0);
    assert_eq!(job.site.code, Some(Edition::Irc2018));
    assert_eq!(job.prices.items["shingles"].price.0.to_string(), "38.5");
}

#[test]
fn an_unknown_key_is_refused_with_its_line_and_the_nearest_known_one() {
    let findings = Job::parse("# a job\n[site]\nice_barier = true\n[projects]\n").unwrap_err();
    assert_eq!(findings.len(), 2, "{findings:#?}");
    assert!(
        findings
            .iter()
            .any(|f| f.message.contains("line 3") && f.remedy.contains("`ice_barrier`"))
    );
    assert!(
        findings
            .iter()
            .any(|f| f.message.contains("line 4") && f.remedy.contains("`project`"))
    );
}

#[test]
fn a_length_without_a_unit_is_refused() {
    for wall in ["6", "\"6\"", "\"six in\"", "\"-6in\""] {
        let findings = Job::parse(&format!("[site]\nwall_thickness = {wall}\n")).unwrap_err();
        assert_eq!(findings[0].code, "job-value", "{wall}");
        assert!(
            findings[0].message.contains("line 2"),
            "{}",
            findings[0].message
        );
    }
}

#[test]
fn everything_wrong_with_a_job_file_is_told_at_once() {
    let text = "[site]\nice_barrier = \"yes\"\ncode = \"2020\"\n[shingles]\nvalley = \"closedcut\"\n\
                [bid]\nallowances = [{ name = \"x\", amuont = 1 }]\n[plan]\nwidth = 3\n";
    let findings = Job::parse(text).unwrap_err();
    let told = |line: u32, remedy: &str| {
        let line = format!("line {line}");
        findings
            .iter()
            .any(|f| f.message.contains(&line) && f.remedy.contains(remedy))
    };
    assert!(
        told(2, "Correct") && told(3, "2021") && told(5, "`closed-cut`"),
        "{findings:#?}"
    );
    assert!(
        told(7, "`amount`") && told(9, "Known here: "),
        "{findings:#?}"
    );
}

#[test]
fn broken_toml_is_told_with_line_and_column() {
    let findings = Job::parse("[site]\nwind = high\n").unwrap_err();
    assert_eq!(findings[0].code, "job-not-toml");
    assert!(
        findings[0].message.contains("line 2, column 8"),
        "{}",
        findings[0].message
    );
}

#[test]
fn another_kind_of_file_is_told_in_a_few_lines() {
    let findings = Job::parse(&"<svg>\n".repeat(60)).unwrap_err();
    assert_eq!(findings.len(), 4, "{findings:#?}");
    assert!(
        findings[3].message.contains("more places"),
        "{}",
        findings[3].message
    );
}

#[test]
fn a_rule_or_price_that_is_not_known_is_refused_with_the_nearest() {
    let findings = Job::parse("[site]\nrules_off = [\"drip-edges\"]\n").unwrap_err();
    assert!(findings[0].remedy.contains("`drip-edge`"), "{findings:#?}");
    let job = Job::parse("[prices.items]\nshingle = { price = 38 }\n").unwrap();
    let findings = job.price_list(None).unwrap_err();
    assert!(findings[0].remedy.contains("`shingles`"), "{findings:#?}");
    let own = Job::parse("[prices.items]\n\"pipe_boot:3 in\" = { price = 12 }\n").unwrap();
    assert!(
        own.price_list(None)
            .unwrap()
            .price("pipe_boot:3 in")
            .is_some()
    );
}

#[test]
fn the_jobs_own_prices_win_over_the_list() {
    let job = Job::parse("[prices.items]\nstarter = { price = 40 }\n").unwrap();
    let list = job
        .price_list(Some(
            "item,unit,price\nstarter,bundle,49.5\nsealant,tube,7\n",
        ))
        .unwrap();
    let price = |key: &str| list.price(key).unwrap().price.0.to_string();
    assert_eq!(
        (price("starter"), price("sealant")),
        ("40".into(), "7".into())
    );
}

#[test]
fn laying_rules_of_a_job_replace_only_what_they_say() {
    use eavewright::courses::{LayRules, ValleyType};
    let job =
        Job::parse("[shingles]\nvalley = \"woven\"\njoint_distance = \"152.4 mm\"\n").unwrap();
    let rules = job.shingles.rules(LayRules::default());
    assert_eq!(rules.valley, ValleyType::Woven);
    assert!((rules.joint_distance_in - 6.0).abs() < 1e-12);
    assert_eq!(rules.least_piece_in, LayRules::default().least_piece_in);
}

#[test]
fn a_package_of_nothing_is_refused() {
    for size in ["length = \"0in\"", "end_lap = \"10ft\""] {
        let text = format!("[materials.products.drip_edge_eave]\n{size}\n");
        let findings = Job::parse(&text)
            .unwrap()
            .material_settings(false)
            .unwrap_err();
        assert_eq!(findings[0].code, "product-size", "{size}");
    }
    let longer = "[materials.products.drip_edge_eave]\nlength = \"12ft\"\n";
    assert!(Job::parse(longer).unwrap().material_settings(false).is_ok());
}

#[test]
fn a_text_that_no_paper_holds_is_refused_with_its_line() {
    let job =
        |letters: usize| Job::parse(&format!("[project]\nname = \"{}\"\n", "a".repeat(letters)));
    assert!(job(2000).is_ok());
    let told = job(2001).unwrap_err();
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].code, "text-too-long");
    assert!(told[0].message.contains("line 2"), "{}", told[0].message);
}
