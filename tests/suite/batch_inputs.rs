//! Which files a batch takes for plans, what it tells of the others, and what it leaves beside a plan that has changed.

use std::fs;
use std::path::Path;
use std::process::Output;

use crate::command::{run, status, told};

const GABLE: &str = include_str!("../../fixtures/roofs/gable-40x24-6in12/plan.svg");
const REFUSED: &str = include_str!("../../fixtures/faults/no-scale.svg");

/// A folder `lots` with a gable in each of these files.
fn lots(names: &[&str]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for name in names {
        let path = folder.path().join("lots").join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, GABLE).unwrap();
    }
    folder
}

/// Names and outcomes, in the order of the table.
fn plans(folder: &Path) -> Vec<(String, String)> {
    let mut reader = csv::Reader::from_path(folder.join("out/plans.csv")).unwrap();
    let rows = reader.records().map(Result::unwrap);
    rows.map(|row| (row[0].to_owned(), row[1].to_owned()))
        .collect()
}

fn names(folder: &Path) -> Vec<String> {
    plans(folder).into_iter().map(|(name, _)| name).collect()
}

fn results(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder.join("out/plans")).unwrap();
    let mut names: Vec<String> = entries
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

fn printed(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

#[test]
fn a_plan_that_is_refused_now_keeps_no_order_of_the_roof_that_it_was() {
    let folder = lots(&["lot1.svg"]);
    let batch = ["batch", "lots", "--out", "out", "--also", "csv,svg"];
    let first = run(&batch, folder.path());
    assert_eq!(status(&first), 0, "{}", told(&first));
    assert!(printed(&first).starts_with("1 plan: 1 taken off, 0 not"));
    assert_eq!(
        results(folder.path()),
        ["lot1.csv", "lot1.json", "lot1.svg"]
    );
    fs::write(folder.path().join("lots/lot1.svg"), REFUSED).unwrap();
    assert_eq!(status(&run(&batch, folder.path())), 1);
    assert_eq!(results(folder.path()), ["lot1.json"]);
}

#[test]
fn what_is_no_longer_asked_for_is_not_left_beside_the_record_of_another_roof() {
    let folder = lots(&["lot1.svg"]);
    let out = folder.path().join("out/plans");
    let batch = ["batch", "lots", "--out", "out"];
    let with = |also| run(&[&batch[..], &["--also", also]].concat(), folder.path());
    assert_eq!(status(&with("csv,glb")), 0);
    // A run that was killed has left its unfinished file and no record.
    fs::remove_file(out.join("lot1.json")).unwrap();
    fs::write(out.join("lot1.csv.part"), "half").unwrap();
    assert_eq!(status(&with("glb")), 0);
    assert_eq!(results(folder.path()), ["lot1.glb", "lot1.json"]);
    assert_eq!(status(&run(&batch, folder.path())), 0);
    assert_eq!(results(folder.path()), ["lot1.json"]);
}

#[cfg(unix)]
#[test]
fn where_the_order_of_an_earlier_run_cannot_be_removed_no_record_is_put_beside_it() {
    let folder = lots(&["lot1.svg"]);
    let batch = ["batch", "lots", "--out", "out"];
    assert_eq!(status(&run(&batch, folder.path())), 0);
    let record = folder.path().join("out/plans/lot1.json");
    let before = fs::read(&record).unwrap();
    fs::create_dir(folder.path().join("out/plans/lot1.csv")).unwrap();
    let again = run(&[&batch[..], &["--units", "m"]].concat(), folder.path());
    assert_eq!(status(&again), 2);
    assert!(
        told(&again).contains("lot1.csv is of an earlier run and cannot be removed"),
        "{}",
        told(&again)
    );
    assert_eq!(fs::read(&record).unwrap(), before);
}

#[test]
fn records_of_plans_that_are_gone_are_told_and_kept() {
    let folder = lots(&["a.svg", "b/1.svg", "b/2.svg"]);
    let batch = ["batch", "lots", "--out", "out"];
    assert_eq!(told(&run(&batch, folder.path())), "");
    fs::remove_dir_all(folder.path().join("lots/b")).unwrap();
    let again = run(&batch, folder.path());
    assert_eq!(status(&again), 0);
    assert_eq!(told(&again).lines().count(), 1, "{}", told(&again));
    assert!(
        told(&again).ends_with(": b/1.json, b/2.json\n"),
        "{}",
        told(&again)
    );
    assert!(folder.path().join("out/plans/b/1.json").exists());
    assert_eq!(names(folder.path()), ["a.svg"]);
}

#[test]
fn drawings_and_marked_copies_that_the_program_wrote_are_no_further_lots() {
    let folder = lots(&["lot1.svg"]);
    let at = |name: &str| folder.path().join("lots").join(name);
    fs::write(at("lot2.svg"), GABLE.replace("6/12", "8/12")).unwrap();
    for (command, of) in [
        ("takeoff --no-pdf --svg lots/drawn.svg", "lots/lot1.svg"),
        (
            "takeoff --no-pdf --marked lots/looked-at.svg",
            "lots/lot1.svg",
        ),
        ("courses --face S1 --svg lots/face.svg", "lots/lot1.svg"),
        ("check", "lots/lot2.svg"),
        ("diff lots/lot1.svg --svg lots/both.svg", "lots/lot2.svg"),
    ] {
        let arguments: Vec<&str> = command.split(' ').chain([of]).collect();
        let output = run(&arguments, folder.path());
        assert_eq!(status(&output), 0, "{command}: {}", told(&output));
    }
    assert_eq!(fs::read_dir(at("")).unwrap().count(), 7);
    let batch = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&batch), 0, "{}", told(&batch));
    assert_eq!(names(folder.path()), ["lot1.svg", "lot2.svg"]);
    let said = told(&batch);
    assert_eq!(said.lines().count(), 2, "{said}");
    let lines: Vec<&str> = said.lines().collect();
    assert!(
        lines[0].ends_with(": lots/looked-at.svg, lots/lot2-marked.svg"),
        "{said}"
    );
    assert!(
        lines[1].ends_with(": lots/both.svg, lots/drawn.svg, lots/face.svg"),
        "{said}"
    );
    assert_eq!(
        status(&run(
            &["batch", "lots/*.svg", "--out", "out"],
            folder.path()
        )),
        0
    );
    assert_eq!(names(folder.path()), ["lot1.svg", "lot2.svg"]);

    // Named, it is taken; without its plan, it is the plan; put into the plan's place, it is nothing but the plan.
    let named = run(
        &[
            "batch",
            "lots/lot1.svg",
            "lots/looked-at.svg",
            "--out",
            "out",
        ],
        folder.path(),
    );
    assert_eq!(status(&named), 0, "{}", told(&named));
    assert_eq!(
        names(folder.path()),
        ["lots/looked-at.svg", "lots/lot1.svg"]
    );
    let pattern = ["batch", "lots/*-marked.svg", "--out", "out"];
    let alone = run(&pattern, folder.path());
    assert_eq!(names(folder.path()), ["lot2-marked.svg"]);
    assert!(
        told(&alone).contains("not in this batch: lots/lot2-marked.svg"),
        "{}",
        told(&alone)
    );
    fs::rename(at("lot2-marked.svg"), at("lot2.svg")).unwrap();
    let batch = run(&["batch", "lots", "--out", "other"], folder.path());
    assert!(!told(&batch).contains("lot2"), "{}", told(&batch));
    assert!(printed(&batch).starts_with("2 plans: 2 taken off"));

    // Where nothing else is there, that is the reason.
    fs::create_dir(at("drawn")).unwrap();
    fs::rename(at("drawn.svg"), at("drawn/1.svg")).unwrap();
    let none = run(&["batch", "lots/drawn", "--out", "none"], folder.path());
    assert_eq!(status(&none), 2);
    assert!(
        told(&none).contains("this program drew it"),
        "{}",
        told(&none)
    );
    assert!(!folder.path().join("none").exists());
}

#[test]
fn a_file_that_a_list_names_in_several_ways_is_one_lot_and_told() {
    let folder = lots(&["p1.svg", "q/p2.svg"]);
    let list = "lots/p1.svg\n./lots/p1.svg\nlots/q/../p1.svg\nlots/q/p2.svg\n";
    fs::write(folder.path().join("list.txt"), list).unwrap();
    let output = run(
        &["batch", "list.txt", "lots", "--out", "out"],
        folder.path(),
    );
    assert_eq!(status(&output), 0, "{}", told(&output));
    assert_eq!(names(folder.path()), ["lots/p1.svg", "lots/q/p2.svg"]);
    let said = told(&output);
    assert!(
        said.starts_with("given more than once and taken off once: ./lots/p1.svg, "),
        "{said}"
    );
    assert_eq!(said.matches("p1.svg").count(), 3, "{said}");
}

#[test]
fn a_list_may_have_comments_and_blanks_or_quotes_round_its_paths() {
    let folder = lots(&["a.svg", "b.svg", "#c.svg", " d.svg"]);
    fs::write(folder.path().join("#e.svg"), GABLE).unwrap();
    // What a file is named for is its name, whatever it begins with.
    let list = "\u{feff}# my lots\r\n  lots/a.svg  \r\n\r\n\"lots/b.svg\"\n  # lots/gone.svg\n\
                lots/#c.svg\n#e.svg\n#f.svg\n'lots/ d.svg'\n";
    fs::write(folder.path().join("list.txt"), list).unwrap();
    let output = run(&["batch", "list.txt", "--out", "out"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    assert_eq!(
        names(folder.path()),
        [
            "#e.svg",
            "lots/ d.svg",
            "lots/#c.svg",
            "lots/a.svg",
            "lots/b.svg"
        ]
    );
}

#[test]
fn a_packed_plan_is_taken_whichever_ending_says_so() {
    let folder = lots(&["a.svg", "b.svg.gz", "c.SVGZ", "d.gz"]);
    let output = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    assert_eq!(names(folder.path()), ["a.svg", "b.svg.gz", "c.SVGZ"]);
    assert_eq!(results(folder.path()), ["a.json", "b.json", "c.json"]);
    let named = run(&["batch", "lots/b.svg.gz", "--out", "out"], folder.path());
    assert_eq!(status(&named), 0, "{}", told(&named));
}

#[cfg(unix)]
#[test]
fn a_broken_link_a_pipe_and_a_linked_folder_are_told_and_none_is_waited_for() {
    use std::os::unix::fs::symlink;
    let folder = lots(&["a.svg", "../more/1.svg"]);
    let at = |name: &str| folder.path().join("lots").join(name);
    symlink("nowhere.svg", at("b.svg")).unwrap();
    // Two lots of one model.
    symlink("a.svg", at("c.svg")).unwrap();
    symlink("../more", at("more")).unwrap();
    let pipe = std::process::Command::new("mkfifo")
        .arg(at("x.svg"))
        .status();
    assert!(pipe.unwrap().success());
    let expected = ["done", "unreadable", "done", "unreadable"];
    for source in ["lots", "lots/*"] {
        let output = run(&["batch", source, "--out", "out"], folder.path());
        assert_eq!(status(&output), 1);
        let outcomes = plans(folder.path());
        let outcomes: Vec<&str> = outcomes.iter().map(|(_, o)| o.as_str()).collect();
        assert_eq!(outcomes, expected, "{source}");
        assert!(
            told(&output).contains("x.svg: The plan cannot be read: it is a pipe"),
            "{}",
            told(&output)
        );
        assert_eq!(
            told(&output).contains("lots/more is a link to a folder"),
            source == "lots",
            "{}",
            told(&output)
        );
    }
}

#[test]
fn results_are_never_put_in_the_place_of_plans() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("plans")).unwrap();
    fs::write(folder.path().join("plans/lot1.svg"), GABLE).unwrap();
    for source in ["plans", ".", "plans/*.svg", "plans/lot1.svg"] {
        let output = run(
            &["batch", source, "--out", ".", "--also", "svg"],
            folder.path(),
        );
        assert_eq!(status(&output), 2, "{source}");
        assert!(
            told(&output).contains("results-among-plans"),
            "{source}: {}",
            told(&output)
        );
    }
    let kept = fs::read_to_string(folder.path().join("plans/lot1.svg")).unwrap();
    assert_eq!(kept, GABLE);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_looked_into_is_told_in_the_summary_and_to_the_quiet() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = lots(&["a.svg", "locked/b.svg"]);
    let locked = folder.path().join("lots/locked");
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o000)).unwrap();
    if fs::read_dir(&locked).is_ok() {
        return; // This user may look into every folder.
    }
    let output = run(&["batch", "lots", "--out", "out"], folder.path());
    let quiet = run(&["batch", "lots", "--out", "out", "-q"], folder.path());
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!((status(&output), status(&quiet)), (1, 1));
    assert!(printed(&output).contains("0 not; 1 folder not looked into"));
    assert!(
        told(&quiet).contains("locked cannot be looked into"),
        "{}",
        told(&quiet)
    );
}

#[test]
fn a_level_eave_and_a_fall_due_north_are_plain_numbers_in_the_tables() {
    let folder = lots(&[]);
    let lots = folder.path().join("lots");
    fs::create_dir(&lots).unwrap();
    let hip = include_str!("../../fixtures/roofs/hip-40x24-6in12/plan.svg");
    fs::write(lots.join("hip.svg"), hip).unwrap();
    // A length at which the equations leave the eave's corners a last bit above the lowest one.
    let gable = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1000 800">
<g id="roof" fill="none" stroke="black"><polygon points="100,100 660,100 660,340 100,340"/><line x1="100" y1="220" x2="660" y2="220"/></g>
<g id="pitch"><text x="380" y="160" font-size="10">6/12</text><text x="380" y="280" font-size="10">6/12</text></g>
<g id="dimensions" fill="none" stroke="black"><line x1="100" y1="60" x2="660" y2="60"/><text x="380" y="56" font-size="10" text-anchor="middle">56'</text></g>
</svg>"#;
    fs::write(lots.join("gable.svg"), gable).unwrap();
    let output = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let column = |table: &str, of: &str, kept: (&str, &str)| -> Vec<String> {
        let mut reader = csv::Reader::from_path(folder.path().join("out").join(table)).unwrap();
        let heads = reader.headers().unwrap().clone();
        let at = |name: &str| heads.iter().position(|h| h == name).unwrap();
        let (of, by) = (at(of), at(kept.0));
        let rows = reader.records().map(Result::unwrap);
        rows.filter(|row| &row[by] == kept.1)
            .map(|row| row[of].to_owned())
            .collect()
    };
    assert_eq!(
        column("faces.csv", "downslope_deg", ("face", "N1")),
        ["0", "0"]
    );
    for z in ["start_z", "end_z"] {
        let eaves = column("edges.csv", z, ("class", "eave"));
        assert_eq!(eaves, ["0"; 6], "{z}");
    }
}

#[cfg(unix)]
#[test]
fn a_pattern_meets_plans_whose_names_are_no_text() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt as _;
    let folder = lots(&["a.svg", "q/b.svg", "q/r/c.svg", ".hidden/d.svg"]);
    let odd = folder.path().join("lots").join(OsStr::from_bytes(b"\xff"));
    fs::create_dir(&odd).unwrap();
    fs::write(odd.join(OsStr::from_bytes(b"e\xfe.svg")), GABLE).unwrap();
    for (pattern, count) in [
        ("lots/**/*.svg", 4),
        ("lots/*/*.svg", 2),
        ("lots/q/?.svg", 1),
        ("lots/q/../[ab].svg", 1),
        ("lots/.hid*/d.svg", 1),
        ("**/r/c.svg", 1),
    ] {
        let output = run(&["batch", pattern, "--out", "out"], folder.path());
        assert_eq!(status(&output), 0, "{pattern}: {}", told(&output));
        assert_eq!(names(folder.path()).len(), count, "{pattern}");
    }
}

/// Two folders with plans of the same names: the second's bear a mark, which must not hang on where the folders lie.
#[test]
fn shares_lose_no_plan_where_machines_have_the_folders_elsewhere() {
    let all: Vec<String> = (0..12).map(|n| format!("north/{n}.svg")).collect();
    let both: Vec<String> = (all.iter().cloned())
        .chain(all.iter().map(|name| name.replace("north", "south")))
        .collect();
    let both: Vec<&str> = both.iter().map(String::as_str).collect();
    let mut met = Vec::new();
    for share in ["1/2", "2/2"] {
        let machine = lots(&both);
        let at = |name: &str| machine.path().join("lots").join(name);
        let (north, south) = (at("north"), at("south"));
        let output = run(
            &[
                "batch",
                north.to_str().unwrap(),
                south.to_str().unwrap(),
                "--out",
                "out",
                "--shard",
                share,
            ],
            machine.path(),
        );
        assert_eq!(status(&output), 0, "{}", told(&output));
        let table = format!("out/plans.{}.csv", share.replace('/', "-of-"));
        let mut reader = csv::Reader::from_path(machine.path().join(table)).unwrap();
        met.extend(reader.records().map(|row| row.unwrap()[0].to_owned()));
    }
    met.sort();
    met.dedup();
    assert_eq!(met.len(), 24, "{met:?}");
}

#[test]
fn a_run_that_meets_a_refused_plan_again_says_why_it_was_refused() {
    let folder = lots(&[]);
    fs::create_dir(folder.path().join("lots")).unwrap();
    fs::write(folder.path().join("lots/a.svg"), REFUSED).unwrap();
    // More jobs than plans are no more threads than plans.
    let batch = ["batch", "lots", "--out", "out", "--jobs", "100000"];
    let first = told(&run(&batch, folder.path()));
    assert!(first.contains("[no-scale]"), "{first}");
    let again = told(&run(&batch, folder.path()));
    assert!(
        again.contains("refused in an earlier run: ") && again.contains("[no-scale]"),
        "{again}"
    );
}

/// A list called `plans.csv` in the folder of results is where the table of plans goes.
#[test]
fn a_batch_writes_over_no_list_job_or_price_list() {
    let folder = lots(&["a.svg"]);
    let at = |name: &str| folder.path().join(name);
    let text = |name: &str| fs::read_to_string(at(name)).unwrap();
    let prices = run(&["job", "prices"], folder.path()).stdout;
    fs::create_dir_all(at("out/plans")).unwrap();
    fs::write(at("plans.csv"), "lots/a.svg\n").unwrap();
    fs::write(at("faces.csv"), "[project]\nname = \"mine\"\n").unwrap();
    fs::write(at("edges.csv"), &prices).unwrap();
    fs::write(at("priced.toml"), "[prices]\nlist = \"edges.csv\"\n").unwrap();
    fs::write(at("out/plans/a.csv"), &prices).unwrap();
    fs::write(at("kept.toml"), "[prices]\nlist = \"out/plans/a.csv\"\n").unwrap();
    fs::write(at("edges.2-of-2.csv"), "lots/a.svg\n").unwrap();
    for (words, code) in [
        (&["plans.csv", "--out", "."][..], "output-is-list"),
        (
            &["lots", "./plans.csv", "--out", "out/.."],
            "output-is-list",
        ),
        (
            &["edges.2-of-2.csv", "--out", ".", "--shard", "2/2"],
            "output-is-list",
        ),
        (
            &["lots", "--job", "faces.csv", "--out", "."],
            "output-is-job",
        ),
        (
            &["lots", "--job", "priced.toml", "--out", "."],
            "output-is-prices",
        ),
        (
            &["lots", "--job", "kept.toml", "--out", "out"],
            "output-is-prices",
        ),
    ] {
        let output = run(&[&["batch"][..], words].concat(), folder.path());
        assert_eq!(status(&output), 2, "{words:?}: {}", told(&output));
        assert!(told(&output).contains(code), "{words:?}: {}", told(&output));
        assert!(!at("plans").exists() && !at("out/plans.csv").exists());
    }
    assert_eq!(text("plans.csv"), "lots/a.svg\n");
    assert_eq!(text("faces.csv"), "[project]\nname = \"mine\"\n");
    assert_eq!(text("edges.csv").as_bytes(), prices);
    assert_eq!(text("out/plans/a.csv").as_bytes(), prices);
    // Elsewhere the same list is taken.
    let output = run(&["batch", "plans.csv", "--out", "out2"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
}

#[cfg(unix)]
#[test]
fn a_table_that_is_a_link_to_a_plan_is_not_written_through() {
    let folder = lots(&["a.svg"]);
    fs::create_dir(folder.path().join("out")).unwrap();
    let table = folder.path().join("out/plans.csv");
    std::os::unix::fs::symlink("../lots/a.svg", table).unwrap();
    let output = run(&["batch", "lots", "--out", "out"], folder.path());
    assert_eq!(status(&output), 2, "{}", told(&output));
    assert!(told(&output).contains("results-among-plans"));
    let plan = fs::read_to_string(folder.path().join("lots/a.svg")).unwrap();
    assert_eq!(plan, GABLE);
}
