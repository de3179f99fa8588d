//! Many plans at once, as people and scripts call it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use parquet::file::reader::{FileReader as _, SerializedFileReader};
use parquet::record::RowAccessor as _;

use crate::command::{run, status, told};

const GABLE: &str = include_str!("../../fixtures/roofs/gable-40x24-6in12/plan.svg");

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures")
        .join(name)
}

fn program(arguments: &[&str], folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_eavewright"));
    command.args(arguments).current_dir(folder);
    command
}

/// A folder with a copy of every roof of the fixtures, in folders of its own.
fn roofs() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for entry in fs::read_dir(fixture("roofs")).unwrap() {
        let entry = entry.unwrap();
        let to = folder.path().join("lots").join(entry.file_name());
        fs::create_dir_all(&to).unwrap();
        fs::copy(entry.path().join("plan.svg"), to.join("plan.svg")).unwrap();
    }
    folder
}

/// How many roofs the fixtures hold.
fn roof_count() -> usize {
    fs::read_dir(fixture("roofs")).unwrap().count()
}

/// Every file in a folder with what is in it, but for locks.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(at) = folders.pop() {
        for entry in fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_none_or(|e| e != "lock") {
                let name = path.strip_prefix(folder).unwrap();
                let name = name.to_string_lossy().replace('\\', "/");
                found.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    found
}

fn table(path: &Path) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(path).unwrap();
    let heads = reader.headers().unwrap().clone();
    let rows = reader.records().map(|row| {
        let row = row.unwrap();
        let cells = heads.iter().zip(row.iter());
        cells.map(|(h, c)| (h.to_owned(), c.to_owned())).collect()
    });
    rows.collect()
}

#[test]
fn a_folder_of_roofs_gives_a_record_each_and_tables_that_agree_with_the_takeoff_of_one() {
    let folder = roofs();
    let output = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let out = folder.path().join("out");
    let plans = table(&out.join("plans.csv"));
    let names: Vec<&str> = plans.iter().map(|p| p["plan"].as_str()).collect();
    let mut sorted = names.clone();
    sorted.sort_unstable();
    assert_eq!(names, sorted);
    assert_eq!(names.len(), roof_count());
    // The gable's areas are worked by hand beside its plan: 960 in plan, 1,073.31 true.
    let gable = plans
        .iter()
        .find(|p| p["plan"] == "gable-40x24-6in12/plan.svg");
    let gable = gable.unwrap();
    assert!((gable["plan_area"].parse::<f64>().unwrap() - 960.0).abs() < 1e-6);
    assert!((gable["true_area"].parse::<f64>().unwrap() - 1073.3126).abs() < 1e-3);
    assert_eq!(gable["outcome"], "done");

    let single = run(
        &[
            "takeoff",
            "lots/hip-40x24-6in12/plan.svg",
            "--json",
            "-",
            "--no-pdf",
        ],
        folder.path(),
    );
    let record = fs::read_to_string(out.join("plans/hip-40x24-6in12/plan.json")).unwrap();
    let mut of_batch: serde_json::Value = serde_json::from_str(&record).unwrap();
    let of_one: serde_json::Value = serde_json::from_slice(&single.stdout).unwrap();
    let header = of_batch.as_object_mut().unwrap().remove("batch").unwrap();
    assert_eq!(header["plan"], "hip-40x24-6in12/plan.svg");
    assert_eq!(of_batch, of_one);

    let faces = table(&out.join("faces.csv"));
    let edges = table(&out.join("edges.csv"));
    for plan in &plans {
        let of = |rows: &[BTreeMap<String, String>], column: &str| -> f64 {
            let rows = rows.iter().filter(|r| r["plan"] == plan["plan"]);
            rows.map(|r| r[column].parse::<f64>().unwrap()).sum()
        };
        let total: f64 = plan["true_area"].parse().unwrap();
        assert!((of(&faces, "true_area") - total).abs() < 1e-6 * total);
        let classes = [
            "eave",
            "high_edge",
            "rake",
            "ridge",
            "hip",
            "valley",
            "pitch_change",
            "headwall",
            "sidewall",
            "flat_edge",
            "in_plane",
        ];
        let lengths: f64 = classes
            .iter()
            .map(|c| plan[*c].parse::<f64>().unwrap())
            .sum();
        assert!((of(&edges, "true_length") - lengths).abs() < 1e-6 * lengths);
    }
}

#[test]
fn a_batch_offers_and_tells_what_the_takeoff_of_one_plan_does() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("lots")).unwrap();
    fs::write(folder.path().join("lots/lot.svg"), GABLE).unwrap();
    let job = "[project]\nname = \"屋根\"\n[shingles]\ncompare = [\"36x12\", \"42x14\"]\n\
               [prices]\nlist = \"demo\"\n[labour]\nrate = 60\nhours_per_square = 2\n\
               [bid]\nmarkup_percent = 20\n";
    fs::write(folder.path().join("j.toml"), job).unwrap();
    let ran = |arguments: &[&str]| {
        let output = run(arguments, folder.path());
        assert_eq!(status(&output), 0, "{}", told(&output));
    };
    ran(&[
        "takeoff",
        "lots/lot.svg",
        "--job",
        "j.toml",
        "--json",
        "one.json",
    ]);
    ran(&[
        "batch", "lots", "--out", "out", "--job", "j.toml", "--also", "pdf",
    ]);
    let read = |name: &str| -> serde_json::Value {
        let text = fs::read_to_string(folder.path().join(name)).unwrap();
        serde_json::from_str(&text).unwrap()
    };
    let (one, record) = (read("one.json"), read("out/plans/lot.json"));
    // The record is the takeoff: prices, alternates and what could not be printed with it.
    assert_eq!(record["findings"], one["findings"]);
    assert_eq!(record["offer"], one["offer"]);
    let codes: Vec<&str> = (record["findings"].as_array().unwrap().iter())
        .filter_map(|f| f["code"].as_str())
        .collect();
    assert!(codes.contains(&"letters-not-printed"), "{codes:?}");
    let alternates = record["offer"]["alternates"].as_array().unwrap().len();
    let unpriced = codes.iter().filter(|c| **c == "format-not-priced").count();
    assert_eq!(alternates + unpriced, 2);
}

#[test]
fn the_parquet_tables_say_what_the_csv_tables_say() {
    let folder = roofs();
    fs::write(folder.path().join("lots/broken.svg"), "<svg").unwrap();
    let output = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&output), 1);
    for name in ["plans", "faces", "edges"] {
        let path = folder.path().join("out").join(name);
        let file = fs::File::open(path.with_extension("parquet")).unwrap();
        let reader = SerializedFileReader::new(file).unwrap();
        let rows = table(&path.with_extension("csv"));
        let of_parquet: Vec<_> = reader
            .get_row_iter(None)
            .unwrap()
            .map(Result::unwrap)
            .collect();
        assert_eq!(of_parquet.len(), rows.len());
        assert!(rows.len() >= 16);
        for (parquet, csv) in of_parquet.iter().zip(&rows) {
            for (n, (column, _)) in parquet.get_column_iter().enumerate() {
                let cell = &csv[column];
                let same = if let Ok(text) = parquet.get_string(n) {
                    text == cell
                } else if let Ok(count) = parquet.get_long(n) {
                    count.to_string() == *cell
                } else if let Ok(number) = parquet.get_double(n) {
                    number == cell.parse::<f64>().unwrap()
                } else {
                    cell.is_empty()
                };
                assert!(same, "{name}: {column} is {cell} in the CSV");
            }
        }
    }
}

#[test]
fn plans_that_fail_are_told_in_their_place_and_stop_no_other() {
    let folder = roofs();
    for fault in ["no-scale.svg", "broken-xml.svg", "empty.svg"] {
        fs::copy(
            fixture("faults").join(fault),
            folder.path().join("lots").join(fault),
        )
        .unwrap();
    }
    let output = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&output), 1);
    let told = told(&output);
    assert!(
        told.contains("no-scale.svg: ") && told.contains("[no-scale]"),
        "{told}"
    );
    assert_eq!(told.lines().count(), 3, "{told}");
    let plans = table(&folder.path().join("out/plans.csv"));
    let refused: Vec<&str> = plans
        .iter()
        .filter(|p| p["outcome"] == "refused")
        .map(|p| p["plan"].as_str())
        .collect();
    assert_eq!(refused, ["broken-xml.svg", "empty.svg", "no-scale.svg"]);
    assert_eq!(plans.len(), roof_count() + 3);
    let no_scale = plans.iter().find(|p| p["plan"] == "no-scale.svg").unwrap();
    assert_eq!(
        (
            no_scale["first_code"].as_str(),
            no_scale["true_area"].as_str()
        ),
        ("no-scale", "")
    );
    assert!(String::from_utf8_lossy(&output.stdout).contains(&format!(
        "{} plans: {} taken off, 3 not",
        roof_count() + 3,
        roof_count()
    )));
}

#[test]
fn a_second_run_does_only_what_has_changed() {
    let folder = roofs();
    let batch = ["batch", "lots", "--out", "out"];
    assert_eq!(status(&run(&batch, folder.path())), 0);
    let first = contents(&folder.path().join("out"));
    let again = run(&batch, folder.path());
    assert!(
        String::from_utf8_lossy(&again.stdout)
            .contains(&format!("{} finished in an earlier run\n", roof_count()))
    );
    assert_eq!(contents(&folder.path().join("out")), first);

    let plan = folder.path().join("lots/pyramid-24-8in12/plan.svg");
    fs::write(
        &plan,
        fs::read_to_string(&plan).unwrap() + "<!-- touched -->\n",
    )
    .unwrap();
    let again = run(&batch, folder.path());
    assert!(String::from_utf8_lossy(&again.stdout).contains(&format!(
        "{} finished in an earlier run; 1 in ",
        roof_count() - 1
    )));

    // Another option is another result, and so is another job file; where the job file lies is not.
    let metric = [&batch[..], &["--units", "m"]].concat();
    let again = run(&metric, folder.path());
    assert!(!String::from_utf8_lossy(&again.stdout).contains("earlier"));
    fs::write(
        folder.path().join("a.toml"),
        "[project]\nname = \"Heron Lane\"\n",
    )
    .unwrap();
    fs::copy(folder.path().join("a.toml"), folder.path().join("b.toml")).unwrap();
    let job = |file| run(&[&batch[..], &["--job", file]].concat(), folder.path());
    assert!(!String::from_utf8_lossy(&job("a.toml").stdout).contains("earlier"));
    assert!(
        String::from_utf8_lossy(&job("b.toml").stdout)
            .contains(&format!("{} finished in an earlier run\n", roof_count()))
    );
}

#[test]
fn a_result_that_was_cut_short_or_lost_is_made_again() {
    let folder = roofs();
    let batch = ["batch", "lots", "--out", "out", "--also", "csv,svg"];
    assert_eq!(status(&run(&batch, folder.path())), 0);
    let out = folder.path().join("out");
    let first = contents(&out);
    let record = out.join("plans/pyramid-24-8in12/plan.json");
    let text = fs::read_to_string(&record).unwrap();
    fs::write(&record, &text[..text.len() / 2]).unwrap();
    fs::write(out.join("plans/flat-20x10/plan.svg"), "").unwrap();
    fs::remove_file(out.join("plans/l-hip-6in12/plan.csv")).unwrap();
    fs::remove_file(out.join("plans.csv")).unwrap();
    let again = run(&batch, folder.path());
    assert!(String::from_utf8_lossy(&again.stdout).contains(&format!(
        "{} finished in an earlier run; 3 in ",
        roof_count() - 3
    )));
    assert_eq!(contents(&out), first);
}

/// Two hundred plans: enough that a run can be killed in the middle.
fn many(folder: &Path) {
    fs::create_dir(folder.join("lots")).unwrap();
    for n in 0..200 {
        let plan =
            GABLE.replace("6/12", &format!("{}/12", 3 + n % 10)) + &format!("<!-- {n} -->\n");
        fs::write(folder.join(format!("lots/lot-{n:03}.svg")), plan).unwrap();
    }
}

#[test]
fn a_run_killed_in_the_middle_loses_no_finished_plan_and_ends_as_if_it_had_not_been() {
    let folder = tempfile::tempdir().unwrap();
    many(folder.path());
    let mut child = program(&["batch", "lots", "--out", "out"], folder.path())
        .stdout(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let records = folder.path().join("out/plans");
    let finished = || {
        let names = fs::read_dir(&records).map(|d| d.map(|e| e.unwrap().path()).collect());
        let names: Vec<PathBuf> = names.unwrap_or_default();
        names
            .into_iter()
            .filter(|p| p.extension().is_some_and(|e| e == "json"))
            .collect::<Vec<_>>()
    };
    let since = Instant::now();
    while finished().len() < 20 {
        assert!(
            since.elapsed() < Duration::from_secs(120),
            "the batch does not start"
        );
        std::thread::sleep(Duration::from_millis(2));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let kept: BTreeMap<PathBuf, Vec<u8>> = finished()
        .into_iter()
        .map(|p| (p.clone(), fs::read(p).unwrap()))
        .collect();
    assert!(
        (20..200).contains(&kept.len()),
        "{} finished before the kill",
        kept.len()
    );
    assert!(!folder.path().join("out/plans.csv").exists());

    let resumed = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&resumed), 0, "{}", told(&resumed));
    let said = String::from_utf8_lossy(&resumed.stdout).into_owned();
    assert!(
        said.contains(&format!("; {} finished in an earlier run", kept.len())),
        "{said}"
    );
    for (path, bytes) in &kept {
        assert_eq!(
            &fs::read(path).unwrap(),
            bytes,
            "{} was made twice",
            path.display()
        );
    }
    let whole = run(
        &["batch", "lots", "--out", "whole", "--jobs", "1"],
        folder.path(),
    );
    assert_eq!(status(&whole), 0);
    assert_eq!(
        contents(&folder.path().join("out")),
        contents(&folder.path().join("whole"))
    );
}

#[test]
fn shares_divide_the_plans_and_together_are_the_whole() {
    let folder = roofs();
    let mut seen = Vec::new();
    for share in ["1/3", "2/3", "3/3"] {
        let output = run(
            &["batch", "lots", "--out", "shared", "--shard", share],
            folder.path(),
        );
        assert_eq!(status(&output), 0, "{}", told(&output));
        let file = format!("shared/plans.{}.csv", share.replace('/', "-of-"));
        seen.extend(table(&folder.path().join(file)));
    }
    assert_eq!(
        status(&run(&["batch", "lots", "--out", "whole"], folder.path())),
        0
    );
    seen.sort_by(|a, b| a["plan"].cmp(&b["plan"]));
    assert_eq!(seen, table(&folder.path().join("whole/plans.csv")));
    // A last run over all gathers what the shares have done.
    let output = run(&["batch", "lots", "--out", "shared"], folder.path());
    assert!(
        String::from_utf8_lossy(&output.stdout)
            .contains(&format!("{} finished in an earlier run\n", roof_count()))
    );
    assert_eq!(
        fs::read(folder.path().join("shared/edges.parquet")).unwrap(),
        fs::read(folder.path().join("whole/edges.parquet")).unwrap()
    );
    let wrong = run(
        &["batch", "lots", "--out", "out", "--shard", "4/3"],
        folder.path(),
    );
    assert_eq!(status(&wrong), 2);
}

#[test]
fn a_pattern_a_list_and_plans_by_name_find_the_same_roofs() {
    let folder = roofs();
    let names = |output: &Output, out: &str| -> Vec<String> {
        assert_eq!(status(output), 0, "{}", told(output));
        let rows = table(&folder.path().join(out).join("plans.csv"));
        rows.iter().map(|r| r["plan"].clone()).collect()
    };
    let pattern = run(
        &["batch", "lots/*hip*/plan.svg", "--out", "a"],
        folder.path(),
    );
    let found = [
        "hip-40x24-6in12/plan.svg",
        "l-hip-6in12/plan.svg",
        "u-hip-6in12/plan.svg",
    ];
    assert_eq!(names(&pattern, "a"), found);
    // A list made on another system, beside its plans; with a blank line, and a plan named twice.
    let list = "\u{feff}hip-40x24-6in12/plan.svg\r\nl-hip-6in12/plan.svg\r\n\r\nu-hip-6in12/plan.svg\r\nl-hip-6in12/plan.svg\r\n";
    fs::write(folder.path().join("lots/list.txt"), list).unwrap();
    let listed = run(&["batch", "lots/list.txt", "--out", "b"], folder.path());
    assert_eq!(names(&listed, "b"), found);
    let named: Vec<String> = found.iter().map(|f| format!("lots/{f}")).collect();
    let mut arguments = vec!["batch", "--out", "c"];
    arguments.extend(named.iter().map(String::as_str));
    assert_eq!(names(&run(&arguments, folder.path()), "c"), named);

    let none = run(&["batch", "lots/*cupola*", "--out", "d"], folder.path());
    assert_eq!(status(&none), 2);
    let absent = run(&["batch", "plots", "--out", "d"], folder.path());
    assert_eq!(status(&absent), 2);
    assert!(told(&absent).contains("plots"));
}

#[test]
fn plans_whose_names_differ_in_their_ending_or_their_folder_keep_results_of_their_own() {
    let folder = tempfile::tempdir().unwrap();
    for (at, pitch) in [
        ("a/lot.svg", "6/12"),
        ("a/lot.svgz", "8/12"),
        ("b/lot.svg", "10/12"),
    ] {
        let path = folder.path().join(at);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, GABLE.replace("6/12", pitch)).unwrap();
    }
    let output = run(&["batch", "a", "b", "--out", "out"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let plans = table(&folder.path().join("out/plans.csv"));
    let mut areas: Vec<String> = plans
        .iter()
        .map(|p| format!("{:.0}", p["true_area"].parse::<f64>().unwrap()))
        .collect();
    areas.sort();
    // 960 ft² in plan times the slope factors of 6, 8 and 10 in 12: 1.1180, 1.2019, 1.3017.
    assert_eq!(areas, ["1073", "1154", "1250"]);
    assert_eq!(
        fs::read_dir(folder.path().join("out/plans"))
            .unwrap()
            .count(),
        3
    );
}

#[test]
fn results_in_the_folder_of_plans_are_not_taken_for_plans() {
    let folder = roofs();
    let batch = ["batch", ".", "--out", "out", "--also", "svg"];
    assert_eq!(status(&run(&batch, folder.path())), 0);
    let again = run(&batch, folder.path());
    assert!(
        String::from_utf8_lossy(&again.stdout)
            .contains(&format!("{0} plans: {0} taken off", roof_count()))
    );
}

#[test]
fn a_second_batch_into_the_same_folder_is_refused_while_the_first_runs() {
    let folder = roofs();
    fs::create_dir_all(folder.path().join("out")).unwrap();
    let lock = fs::File::create(folder.path().join("out/batch.lock")).unwrap();
    lock.lock().unwrap();
    let output = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("batch-running"), "{}", told(&output));
    lock.unlock().unwrap();
    assert_eq!(
        status(&run(&["batch", "lots", "--out", "out"], folder.path())),
        0
    );
}
