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
