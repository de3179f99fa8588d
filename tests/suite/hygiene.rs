//! Files as other systems and other countries write them: line endings, byte order marks, names, decimal commas.

use std::fs;
use std::path::Path;

use crate::command::{run, told};

const GABLE: &str = include_str!("../../fixtures/roofs/gable-40x24-6in12/plan.svg");
const HOUSE: &str = include_str!("../../examples/quillback-road.svg");
const JOB: &str = include_str!("../../examples/quillback-road.toml");

fn takeoff(arguments: &[&str], folder: &Path) -> Vec<u8> {
    let all = [
        &["takeoff", "--no-pdf", "--quiet", "--json", "-"],
        arguments,
    ]
    .concat();
    let output = run(&all, folder);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    output.stdout
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("plan.svg"), GABLE).unwrap();
    folder
}

#[test]
fn a_plan_and_a_job_file_say_the_same_whatever_ends_their_lines() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    let unix = takeoff(&["plan.svg"], folder.path());
    for ending in ["\r\n", "\r"] {
        fs::write(at("other.svg"), GABLE.replace('\n', ending)).unwrap();
        let other = takeoff(&["other.svg"], folder.path());
        // Findings tell the line they are about: a carriage return alone ends no line for those who count lines so.
        let (a, b) = (roof_of(&unix), roof_of(&other));
        assert_eq!(a, b, "lines end in {ending:?}");
    }
    fs::write(at("house.svg"), HOUSE).unwrap();
    fs::write(at("unix.toml"), JOB).unwrap();
    fs::write(at("dos.toml"), JOB.replace('\n', "\r\n")).unwrap();
    fs::write(at("mark.toml"), format!("\u{feff}{JOB}")).unwrap();
    let unix = takeoff(&["house.svg", "--job", "unix.toml"], folder.path());
    for job in ["dos.toml", "mark.toml"] {
        assert!(
            takeoff(&["house.svg", "--job", job], folder.path()) == unix,
            "{job}"
        );
    }
}

fn roof_of(json: &[u8]) -> serde_json::Value {
    let mut value: serde_json::Value = serde_json::from_slice(json).unwrap();
    value.as_object_mut().unwrap().remove("findings");
    value
}

#[test]
fn lists_of_figures_plans_and_prices_may_end_their_lines_as_they_like() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    let list =
        "\u{feff}face,area\r\nS1,537\r\n\r\n# a comment\r\ntotal,\"1,073.3\"\r\neave,80 ft\r\n";
    fs::write(at("areas.csv"), list).unwrap();
    let checked = run(
        &["check", "plan.svg", "--against", "areas.csv", "--json", "-"],
        folder.path(),
    );
    assert_eq!(checked.status.code(), Some(0), "{}", told(&checked));
    let json: serde_json::Value = serde_json::from_slice(&checked.stdout).unwrap();
    assert_eq!(json["areas"].as_array().unwrap().len(), 2);

    fs::write(at("plans.txt"), "\u{feff}plan.svg\r\n\r\n").unwrap();
    let batch = run(&["batch", "plans.txt", "--out", "out"], folder.path());
    assert_eq!(batch.status.code(), Some(0), "{}", told(&batch));

    let prices = run(&["job", "prices"], folder.path()).stdout;
    let prices = String::from_utf8(prices).unwrap();
    let job = "[prices]\nlist = \"prices.csv\"\n";
    fs::write(at("job.toml"), job).unwrap();
    fs::write(at("prices.csv"), &prices).unwrap();
    let unix = takeoff(&["plan.svg", "--job", "job.toml"], folder.path());
    fs::write(at("prices.csv"), prices.replace('\n', "\r\n")).unwrap();
    assert!(takeoff(&["plan.svg", "--job", "job.toml"], folder.path()) == unix);
}

/// 1.5 is one and a half, and 1,5 must not become 15 or 1.
#[test]
fn a_decimal_comma_is_refused_with_what_to_write_instead() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    for (list, code) in [
        ("total,\"99,7\"\n", "against-decimal-comma"),
        ("total,99,7\n", "against-decimal-comma"),
        ("total,1,073.3\n", "against-decimal-comma"),
        ("total;1073,3\n", "against-columns"),
        ("S1,480,ft2,measured\n", "against-columns"),
        ("total,\"1.073,31 m²\"\n", "against-decimal-comma"),
        ("eave,\"24,38\",m\n", "against-decimal-comma"),
        ("total,9,6,squares\n", "against-decimal-comma"),
        ("face;area\nS1;480,5\n", "against-columns"),
        ("S1\t480\n", "against-columns"),
    ] {
        fs::write(at("areas.csv"), list).unwrap();
        let output = run(
            &[
                "check",
                "plan.svg",
                "--against",
                "areas.csv",
                "--marked",
                "m.svg",
            ],
            folder.path(),
        );
        assert_eq!(output.status.code(), Some(2), "{list}: {}", told(&output));
        assert!(told(&output).contains(code), "{list}: {}", told(&output));
        assert!(!at("m.svg").exists());
    }
    for job in [
        "[plan]\neave_overhang = \"1,5 ft\"\n",
        "[plan]\nnorth_deg = 12,5\n",
        "[prices.items]\nshingles = { price = \"38,75\" }\n",
    ] {
        fs::write(at("job.toml"), job).unwrap();
        let output = run(
            &["takeoff", "plan.svg", "--no-pdf", "--job", "job.toml"],
            folder.path(),
        );
        assert_eq!(output.status.code(), Some(2), "{job}: {}", told(&output));
        assert!(told(&output).contains("line 2"), "{job}: {}", told(&output));
    }
    // Where a comma is read in a number, it is read as what it must be.
    let scale = |text: &str| {
        let json = takeoff(&["plan.svg", "--scale", text], folder.path());
        let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
        json["scale"]["length_per_drawing_unit"].as_f64().unwrap()
    };
    assert!((scale("12,2m=360") - scale("12.2m=360")).abs() < 1e-12);
    assert!((scale("1:1,250") - scale("1:1250")).abs() < 1e-12);
}

#[test]
fn plans_may_have_any_name_in_any_folder() {
    let folder = tempfile::tempdir().unwrap();
    let long = format!("{} №7 “Süd”.svg", "屋根".repeat(35));
    for name in [
        "lot 7, north side.svg",
        "Dachfläche Straße.svg",
        "屋根伏図.svg",
        "سقف.svg",
        "-json.svg",
        "a'b&c#d%20.svg",
        &long,
    ] {
        let inner = folder.path().join("ordner mit leerzeichen/ほか");
        fs::create_dir_all(&inner).unwrap();
        fs::write(inner.join(name), GABLE).unwrap();
        let plan = format!("ordner mit leerzeichen/ほか/{name}");
        let output = run(&["takeoff", &plan, "--json", "out put.json"], folder.path());
        assert_eq!(output.status.code(), Some(0), "{name}: {}", told(&output));
        let pdf = inner.join(name.replace(".svg", "-takeoff.pdf"));
        assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF-"), "{name}");
        fs::remove_file(pdf).unwrap();
        fs::remove_file(folder.path().join("out put.json")).unwrap();
    }
    let batch = run(
        &[
            "batch",
            "ordner mit leerzeichen",
            "--out",
            "aus gabe",
            "--also",
            "svg",
        ],
        folder.path(),
    );
    assert_eq!(batch.status.code(), Some(0), "{}", told(&batch));
    assert!(
        folder
            .path()
            .join("aus gabe/plans/ほか/屋根伏図.json")
            .exists()
    );
    let table = fs::read_to_string(folder.path().join("aus gabe/plans.csv")).unwrap();
    assert!(
        table.contains("ほか/屋根伏図.svg") && table.contains("\"ほか/lot 7, north side.svg\"")
    );
}

/// The results of a batch may lie on a disk that another system reads; such plans cannot be there on Windows itself.
#[cfg(unix)]
#[test]
fn results_of_plans_with_names_that_some_system_refuses_go_under_others() {
    let folder = tempfile::tempdir().unwrap();
    let lots = folder.path().join("lots");
    fs::create_dir(&lots).unwrap();
    for name in ["nul.svg", "Con.svg", "a_b.svg", "a:b.svg", "a?b.svg"] {
        fs::write(lots.join(name), GABLE).unwrap();
    }
    let batch = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(batch.status.code(), Some(0), "{}", told(&batch));
    let written: Vec<String> = fs::read_dir(folder.path().join("out/plans"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    for name in &written {
        let base = name.split(['.', '~']).next().unwrap().to_lowercase();
        let device = ["nul", "con"].contains(&base.as_str());
        assert!(
            !name.contains([':', '?']) && (!device || name.contains('~')),
            "{name}"
        );
    }
    assert!(written.contains(&"a_b.json".to_owned()));
    assert_eq!(written.len(), 5, "{written:?}");
    // The plans are still called what they are called.
    let table = fs::read_to_string(folder.path().join("out/plans.csv")).unwrap();
    assert!(table.contains("\na_b.svg,"));
}
