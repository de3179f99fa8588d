//! The program as people and scripts call it: exit status, messages, files left behind.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::command::{run, status, told};

fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A folder of its own with the plan of a fixture in it.
fn folder_with(fixture: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(
        repository().join("fixtures").join(fixture),
        folder.path().join("plan.svg"),
    )
    .unwrap();
    folder
}

const GABLE: &str = "roofs/gable-40x24-6in12/plan.svg";

fn files_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_takeoff_writes_its_pdf_beside_the_plan_and_tells_the_area() {
    let folder = folder_with(GABLE);
    let output = run(&["takeoff", "plan.svg"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    assert_eq!(files_in(folder.path()), ["plan-takeoff.pdf", "plan.svg"]);
    let summary = String::from_utf8(output.stdout).unwrap();
    assert!(summary.contains("1,073.31"), "{summary}");
    assert!(
        summary.lines().all(|l| l.chars().count() <= 80),
        "{summary}"
    );
}

#[test]
fn letters_that_the_pdf_cannot_print_are_told_and_counted() {
    let folder = folder_with(GABLE);
    let warnings = |plan: &str| {
        let output = run(&["takeoff", plan], folder.path());
        assert_eq!(status(&output), 0, "{}", told(&output));
        let summary = String::from_utf8(output.stdout.clone()).unwrap();
        let counted = summary.lines().find_map(|l| l.split_once(" warning"));
        let counted: usize = counted.map_or(0, |(n, _)| n.parse().unwrap());
        (counted, told(&output).contains("letters-not-printed"))
    };
    let (usual, _) = warnings("plan.svg");
    let named = folder.path().join("屋根.svg");
    fs::copy(folder.path().join("plan.svg"), named).unwrap();
    assert_eq!(warnings("屋根.svg"), (usual + 1, true));
}

#[test]
fn courses_and_comparisons_tell_letters_that_their_sheets_cannot_print() {
    let folder = folder_with(GABLE);
    fs::write(folder.path().join("j.toml"), "[project]\nname = \"屋根\"\n").unwrap();
    for command in [
        &["courses", "plan.svg"][..],
        &["compare", "plan.svg", "--formats", "36x12"],
    ] {
        let plain = run(&[command, &["--job", "j.toml"]].concat(), folder.path());
        assert!(!told(&plain).contains("letters-not-printed"), "no sheet");
        let asked = [command, &["--job", "j.toml", "--pdf", "s.pdf"]].concat();
        let output = run(&asked, folder.path());
        assert_eq!(status(&output), 0, "{}", told(&output));
        assert!(told(&output).contains("letters-not-printed"), "{command:?}");
    }
}

#[test]
fn notes_are_told_by_every_command_that_is_asked_for_them() {
    let folder = folder_with(GABLE);
    for command in [
        &["takeoff", "plan.svg", "--no-pdf"][..],
        &["courses", "plan.svg"],
        &["diff", "plan.svg", "plan.svg"],
    ] {
        let noted = |more: &[&str]| {
            let output = run(&[command, more].concat(), folder.path());
            assert_eq!(status(&output), 0, "{}", told(&output));
            told(&output).contains("note: ")
        };
        assert!(!noted(&[]), "{command:?}");
        assert!(
            noted(&["--verbose"]) && noted(&["--explain"]),
            "{command:?}"
        );
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes_twice() {
    let folder = folder_with(GABLE);
    let all = [
        "--pdf", "a.pdf", "--json", "a.json", "--csv", "a.csv", "--svg", "a.svg",
    ];
    let mut first = vec!["takeoff", "plan.svg"];
    first.extend(all);
    assert_eq!(status(&run(&first, folder.path())), 0);
    let before: Vec<Vec<u8>> = ["a.pdf", "a.json", "a.csv", "a.svg"]
        .iter()
        .map(|f| fs::read(folder.path().join(f)).unwrap())
        .collect();
    assert_eq!(status(&run(&first, folder.path())), 0);
    let after: Vec<Vec<u8>> = ["a.pdf", "a.json", "a.csv", "a.svg"]
        .iter()
        .map(|f| fs::read(folder.path().join(f)).unwrap())
        .collect();
    assert!(before == after);
}

#[test]
fn the_json_on_standard_output_stands_alone() {
    let folder = folder_with(GABLE);
    let output = run(
        &["takeoff", "plan.svg", "--no-pdf", "--json", "-"],
        folder.path(),
    );
    assert_eq!(status(&output), 0);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["schema"], "eavewright.takeoff/1");
    assert_eq!(json["faces"].as_array().unwrap().len(), 2);
    assert_eq!(files_in(folder.path()), ["plan.svg"]);
}

#[test]
fn metres_and_feet_tell_the_same_roof() {
    let folder = folder_with(GABLE);
    let read = |units: &str| -> serde_json::Value {
        let output = run(
            &[
                "takeoff", "plan.svg", "--no-pdf", "--units", units, "--json", "-",
            ],
            folder.path(),
        );
        assert_eq!(status(&output), 0, "{}", told(&output));
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let (feet, metres) = (read("ft"), read("m"));
    let area = |json: &serde_json::Value| json["totals"]["true_area"].as_f64().unwrap();
    assert!((area(&feet) * 0.3048 * 0.3048 - area(&metres)).abs() < 1e-9);
    assert_eq!(feet["totals"]["squares"], metres["totals"]["squares"]);
}

#[test]
fn a_plan_that_is_not_there_or_is_a_folder_is_wrong_use() {
    let folder = tempfile::tempdir().unwrap();
    for plan in ["absent.svg", "."] {
        let output = run(&["takeoff", plan], folder.path());
        assert_eq!(status(&output), 2);
        assert!(
            told(&output).contains("cannot be read"),
            "{}",
            told(&output)
        );
    }
}

#[test]
fn an_output_that_cannot_be_written_leaves_nothing_behind() {
    let folder = folder_with(GABLE);
    let output = run(
        &[
            "takeoff",
            "plan.svg",
            "--json",
            "a.json",
            "--csv",
            "nowhere/a.csv",
        ],
        folder.path(),
    );
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("a.csv"), "{}", told(&output));
    assert_eq!(files_in(folder.path()), ["plan.svg"]);
}

#[test]
fn a_result_is_never_written_over_the_plan() {
    let folder = folder_with(GABLE);
    let before = fs::read(folder.path().join("plan.svg")).unwrap();
    let output = run(
        &["takeoff", "plan.svg", "--svg", "./plan.svg"],
        folder.path(),
    );
    assert_eq!(status(&output), 2);
    assert_eq!(fs::read(folder.path().join("plan.svg")).unwrap(), before);
    assert_eq!(files_in(folder.path()), ["plan.svg"]);
}

#[test]
fn a_refused_plan_leaves_an_earlier_report_alone() {
    let folder = folder_with("faults/no-scale.svg");
    fs::write(folder.path().join("plan-takeoff.pdf"), b"earlier").unwrap();
    let output = run(&["takeoff", "plan.svg"], folder.path());
    assert_eq!(status(&output), 1);
    assert_eq!(
        fs::read(folder.path().join("plan-takeoff.pdf")).unwrap(),
        b"earlier"
    );
    assert_eq!(files_in(folder.path()), ["plan-takeoff.pdf", "plan.svg"]);
}

#[test]
fn wrong_words_on_the_command_line_are_wrong_use() {
    let folder = folder_with(GABLE);
    for arguments in [
        &["takeoff"][..],
        &["takeoff", "plan.svg", "--scale", "big"],
        &["takeoff", "plan.svg", "--pitch", "steep"],
        &["takeoff", "plan.svg", "--roof", "shape:round"],
        &["takeoff", "plan.svg", "--format", "no-such"],
        &["takeoff", "plan.svg", "--job", "absent.toml"],
        &["frobnicate"],
    ] {
        let output = run(arguments, folder.path());
        assert_eq!(status(&output), 2, "{arguments:?}");
        assert!(!output.stderr.is_empty());
        assert_eq!(files_in(folder.path()), ["plan.svg"]);
    }
}

#[test]
fn a_scale_given_by_hand_wins_over_the_drawing_and_the_disagreement_is_told() {
    let folder = folder_with(GABLE);
    // 360 units are 40 ft in the drawing; said to be 20 ft, every area is a quarter.
    let output = run(
        &[
            "takeoff", "plan.svg", "--no-pdf", "--scale", "20ft=360", "--json", "-",
        ],
        folder.path(),
    );
    assert_eq!(status(&output), 0, "{}", told(&output));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!((json["totals"]["plan_area"].as_f64().unwrap() - 240.0).abs() < 1e-6);
    assert!(told(&output).contains("scale"), "{}", told(&output));
}

#[test]
fn the_formats_list_has_the_pieces_per_square() {
    let output = run(&["formats"], repository());
    assert_eq!(status(&output), 0);
    let text = String::from_utf8(output.stdout).unwrap();
    for pieces in ["80.00", "65.02", "57.14"] {
        assert!(text.contains(pieces), "{text}");
    }
}

#[test]
fn completions_and_the_manual_page_can_be_made() {
    for arguments in [
        &["completions", "bash"][..],
        &["completions", "fish"],
        &["man"],
    ] {
        let output = run(arguments, repository());
        assert_eq!(status(&output), 0);
        assert!(output.stdout.len() > 500, "{arguments:?}");
    }
}

#[test]
fn each_command_has_a_manual_page_with_its_options_and_exit_status() {
    let page = |arguments: &[&str]| {
        let output = run(arguments, repository());
        assert_eq!(status(&output), 0, "{}", told(&output));
        // As it is set: hyphens are escaped in the source.
        String::from_utf8(output.stdout)
            .unwrap()
            .replace("\\-", "-")
    };
    let program = page(&["man"]);
    assert!(program.contains("EXIT STATUS"), "{program}");
    // Every page that the program's own names can be printed.
    let named: Vec<&str> = program
        .lines()
        .filter_map(|line| line.strip_prefix("eavewright-")?.strip_suffix("(1)"))
        .collect();
    assert!(named.contains(&"takeoff") && !named.contains(&"help"));
    for command in named {
        let page = page(&["man", command]);
        let title = format!(".TH eavewright-{command} 1");
        assert!(page.contains(&title), "{page}");
        assert!(page.contains("EXIT STATUS"), "{page}");
    }
    for option in ["--job", "--scale", "--units", "--paper", "--marked"] {
        assert!(page(&["man", "takeoff"]).contains(option), "{option}");
    }
    assert!(page(&["man", "job-new"]).contains("JOB.toml"));
    assert_eq!(status(&run(&["man", "nothing"], repository())), 2);
    // Shells complete its argument too.
    assert!(page(&["completions", "bash"]).contains("job-schema"));
}

#[test]
fn arch_sheets_have_their_sizes() {
    // Inches of the architectural series: A 9 × 12, B 12 × 18, C 18 × 24, D 24 × 36, E 36 × 48, E1 30 × 42; a point is 1/72 in.
    let sizes = [
        ("arch-a", 9, 12),
        ("arch-b", 12, 18),
        ("arch-c", 18, 24),
        ("arch-d", 24, 36),
        ("arch-e", 36, 48),
        ("arch-e1", 30, 42),
    ];
    for (paper, short, long) in sizes {
        let folder = folder_with("roofs/clerestory-4in12/plan.svg");
        let arguments = ["takeoff", "plan.svg", "--paper", paper, "--sheets", "plan"];
        let output = run(&arguments, folder.path());
        assert_eq!(status(&output), 0, "{}", told(&output));
        let file = folder.path().join("plan-takeoff.pdf");
        let document = lopdf::Document::load(file).unwrap();
        let page = *document.get_pages().values().next().unwrap();
        let page = document.get_dictionary(page).unwrap();
        let bounds: Vec<f32> = page
            .get(b"MediaBox")
            .and_then(lopdf::Object::as_array)
            .unwrap()
            .iter()
            .map(|n| n.as_float().unwrap())
            .collect();
        let inches = [bounds[2] / 72.0, bounds[3] / 72.0];
        for (got, wanted) in inches.into_iter().zip([long, short]) {
            assert!((got - wanted as f32).abs() < 1e-3, "{paper}: {inches:?}");
        }
    }
}

/// Each fault of `fixtures/faults`, what the program must call it, and a word of the message.
const FAULTS: &[(&str, &str, &str)] = &[
    ("broken-xml", "broken-xml", "well-formed"),
    ("empty", "empty-file", "empty"),
    ("face-without-pitch", "face-without-pitch", "no pitch"),
    ("lines-do-not-close", "lines-do-not-close", "6.22 ft"),
    ("nan-coordinate", "bad-number", "NaN"),
    ("no-roof-lines", "no-roof-lines", "roof"),
    ("no-scale", "no-scale", "scale"),
    ("not-an-svg", "not-svg", "PDF"),
    (
        "pixels-and-a-written-scale",
        "scale-without-paper",
        "pixels",
    ),
    ("scales-disagree", "scales-disagree", "disagree"),
    ("self-crossing", "self-crossing", "crosses itself"),
    ("text-as-outlines", "text-as-outlines", "outlines"),
    ("two-pitches-in-one-face", "two-pitches", "9/12"),
    ("unreadable-label", "unreadable-label", "six/12"),
    ("zero-size", "no-roof-lines", "roof"),
];

#[test]
fn every_fault_is_refused_by_its_name_with_a_remedy_and_no_report() {
    for (fault, code, word) in FAULTS {
        let folder = folder_with(&format!("faults/{fault}.svg"));
        let output = run(&["takeoff", "plan.svg", "--json", "a.json"], folder.path());
        assert_eq!(status(&output), 1, "{fault}");
        let text = told(&output);
        assert!(text.contains(&format!("[{code}]")), "{fault}: {text}");
        let flowing = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flowing.contains(word), "{fault}: {text}");
        assert!(text.contains("  do "), "{fault} has no remedy: {text}");
        assert_eq!(files_in(folder.path()), ["plan.svg"], "{fault}");
    }
}

#[test]
fn every_fault_fixture_is_tested() {
    let mut names: Vec<PathBuf> = fs::read_dir(repository().join("fixtures/faults"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "svg"))
        .collect();
    names.sort();
    let untested: Vec<_> = names
        .iter()
        .filter(|p| {
            !FAULTS
                .iter()
                .any(|f| p.file_stem().is_some_and(|s| s == f.0))
        })
        .collect();
    assert!(untested.is_empty(), "{untested:?}");
}

#[test]
fn pitches_that_cannot_meet_are_refused_with_how_far_the_hip_is_off() {
    let folder = folder_with("doubtful/pitches-that-cannot-meet.svg");
    let output = run(&["takeoff", "plan.svg", "--no-pdf"], folder.path());
    assert_eq!(status(&output), 1, "{}", told(&output));
    // By hand: level at the eave's corner, the planes part by 12 − 6 = 6 ft over 12 ft of run; their gradients differ by
    // √(1² + 0.5²) = 1.118, so the line lies 6 / 1.118 = 5.37 ft = 5 ft 4 in from where they meet.
    let text = told(&output)
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(text.contains("[planes-do-not-meet]"), "{text}");
    assert!(text.contains("5 ft 4 in (1.62 m) off"), "{text}");
    assert!(text.contains("with 6/12 instead of 12/12"), "{text}");
}

/// Two lean-tos on two levels: both are asked about, and the arrows of the marked plan stand in layers of their levels.
#[test]
fn saving_the_marked_plan_settles_the_falls_of_every_level() {
    let folder = folder_with("roofs/clerestory-4in12/plan.svg");
    let plan = fs::read_to_string(folder.path().join("plan.svg")).unwrap();
    let without = plan.replace("id=\"fall", "id=\"ignore fall");
    fs::write(folder.path().join("plan.svg"), without).unwrap();
    let asked = run(
        &[
            "takeoff",
            "plan.svg",
            "--no-pdf",
            "--marked",
            "plan-marked.svg",
        ],
        folder.path(),
    );
    assert_eq!(status(&asked), 1, "{}", told(&asked));
    assert_eq!(told(&asked).matches("[fall-open]").count(), 2);
    let settled = run(&["takeoff", "plan-marked.svg", "--no-pdf"], folder.path());
    assert_eq!(status(&settled), 0, "{}", told(&settled));
}

/// The totals of an outline plan.
fn totals(fixture: &str, more: &[&str]) -> serde_json::Value {
    let folder = folder_with(fixture);
    let mut arguments = vec!["takeoff", "plan.svg", "--no-pdf", "--json", "-"];
    arguments.extend(more);
    let output = run(&arguments, folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    json["totals"].clone()
}

fn assert_totals(totals: &serde_json::Value, expected: &[(&str, f64)]) {
    assert!(
        (totals["true_area"].as_f64().unwrap() - 1073.3126).abs() < 0.001,
        "{totals}"
    );
    for (class, length) in expected {
        let got = totals["lengths"][class].as_f64().unwrap();
        assert!((got - length).abs() < 0.001, "{class} {got}: {totals}");
    }
}

/// The same roof as `fixtures/roofs/hip-40x24-6in12`, worked by hand there.
const HIP: &[(&str, f64)] = &[("eave", 128.0), ("ridge", 16.0), ("hip", 72.0)];

#[test]
fn an_outline_with_a_pitch_at_every_side_becomes_a_hip_roof() {
    assert_totals(
        &totals("outlines/hip-40x24-pitch-beside-each-side.svg", &[]),
        HIP,
    );
}

#[test]
fn an_outline_with_two_gable_sides_becomes_a_gable_roof() {
    let gable = &[
        ("eave", 80.0),
        ("ridge", 40.0),
        ("rake", 53.6656),
        ("hip", 0.0),
    ];
    assert_totals(&totals("outlines/gable-40x24-two-gables.svg", &[]), gable);
}

#[test]
fn one_pitch_in_the_middle_is_built_into_a_roof_when_the_plan_is_said_to_be_an_outline() {
    assert_totals(
        &totals("outlines/one-pitch-in-the-middle.svg", &["--outline"]),
        HIP,
    );
    let folder = folder_with("outlines/one-pitch-in-the-middle.svg");
    let output = run(&["takeoff", "plan.svg"], folder.path());
    // A lone face with one pitch may as well be a shed.
    assert_eq!(status(&output), 1);
    assert!(told(&output).contains("--outline"), "{}", told(&output));
}

#[test]
fn a_chimney_in_an_outline_is_cut_out_of_the_roof_built_over_it() {
    let folder = folder_with("outlines/hip-40x24-with-chimney-and-pipe.svg");
    let output = run(
        &["takeoff", "plan.svg", "--no-pdf", "--json", "-"],
        folder.path(),
    );
    assert_eq!(status(&output), 0, "{}", told(&output));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    // 27 units are 3 ft: 9 ft² of plan, × √(1 + 0.5²), less than the hip roof's 1073.3126 ft².
    let area = json["totals"]["true_area"].as_f64().unwrap();
    assert!(
        (area - (1073.3126 - 9.0 * 1.118_034)).abs() < 0.001,
        "{area}"
    );
    let codes: Vec<&str> = json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| f["code"].as_str().unwrap())
        .collect();
    for wrong in ["opening-outside", "pipe-outside", "label-outside"] {
        assert!(!codes.contains(&wrong), "{codes:?}");
    }
    assert_eq!(
        json["faces"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|f| f["holes"].as_array().unwrap().len() == 1)
            .count(),
        1
    );
}

#[test]
fn a_comparison_lists_every_format_asked_for_and_says_that_nails_are_not_alike() {
    let folder = folder_with(GABLE);
    let formats = "36x12,39x13,42x14,36x17-heavy";
    let output = run(
        &["compare", "plan.svg", "--formats", formats],
        folder.path(),
    );
    assert_eq!(status(&output), 0, "{}", told(&output));
    let table = String::from_utf8(output.stdout).unwrap();
    let words = table.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in ["80.00", "65.02", "57.14", "not like for like"] {
        assert!(words.contains(said), "{said} is not in {table}");
    }
    assert!(table.lines().all(|l| l.chars().count() <= 80), "{table}");
    let output = run(&["compare", "plan.svg", "--json", "-"], folder.path());
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["schema"], "eavewright.comparison/1");
    // All of the catalogue, the one that would be laid first.
    assert_eq!(json["formats"].as_array().unwrap().len(), 8);
    assert_eq!(json["formats"][0]["format"], "39x13");
    assert_eq!(json["formats"][0]["labour_ratio"], 1.0);
    assert!(json["formats"][0].get("length_unit").is_none());
    // A line of the table says its own units, behind the columns that were always there.
    for (units, of_lines) in [("ft", ",ft,lb"), ("m", ",m,kg")] {
        let output = run(
            &["compare", "plan.svg", "--csv", "-", "--units", units],
            folder.path(),
        );
        let table = String::from_utf8(output.stdout).unwrap();
        let mut lines = table.lines();
        let head = lines.next().unwrap();
        assert!(
            head.starts_with("format,source,width,height,exposure,"),
            "{head}"
        );
        assert!(head.ends_with(",weight,length_unit,weight_unit"), "{head}");
        assert!(lines.all(|line| line.ends_with(of_lines)), "{table}");
    }
    let output = run(
        &["compare", "plan.svg", "--formats", "37x12"],
        folder.path(),
    );
    assert_eq!(status(&output), 2);
    assert!(told(&output).contains("37x12"));
}

#[test]
fn an_old_stock_is_used_up_below_another_format_between_whole_courses() {
    let folder = folder_with(GABLE);
    let output = run(&["courses", "plan.svg", "--json", "c.json"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let text = fs::read_to_string(folder.path().join("c.json")).unwrap();
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let face = &json["faces"][0];
    let name = face["name"].as_str().unwrap();
    let half = (face["pieces_opened"].as_u64().unwrap() / 2).to_string();
    let change = |stock: &str| {
        let words = [
            "courses", "plan.svg", "--face", name, "--then", "42x14", "--stock", stock,
        ];
        run(&words, folder.path())
    };
    let output = change(&half);
    assert_eq!(status(&output), 0, "{}", told(&output));
    let table = String::from_utf8(output.stdout.clone()).unwrap();
    assert!(table.contains("42x14 above"), "{table}");
    assert!(table.lines().all(|l| l.chars().count() <= 80), "{table}");
    let words = |output: &Output| {
        let told = told(output);
        told.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(
        words(&output).contains("keeps 2 in (51 mm) of headlap"),
        "{}",
        told(&output)
    );
    // What is written beside it holds one format, which is told.
    assert!(!words(&output).contains("change-in-words-only"));
    let filed = run(
        &[
            "courses", "plan.svg", "--face", name, "--then", "42x14", "--stock", &half, "--json",
            "c.json", "--svg", "c.svg",
        ],
        folder.path(),
    );
    assert_eq!(status(&filed), 0, "{}", told(&filed));
    assert!(
        words(&filed).contains("What --json and --svg writes hold"),
        "{}",
        told(&filed)
    );
    for (stock, why) in [
        ("1", "do not lay the first course"),
        ("99999", "nothing has to change"),
    ] {
        let output = change(stock);
        assert_eq!(status(&output), 2);
        assert!(words(&output).contains(why), "{}", told(&output));
    }
}

#[test]
fn the_courses_of_a_gable_are_listed_and_one_face_is_drawn_piece_by_piece() {
    let folder = folder_with(GABLE);
    let output = run(&["courses", "plan.svg", "--json", "c.json"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    let table = String::from_utf8(output.stdout).unwrap();
    assert!(
        table.contains("proven") && table.contains("4″ a course"),
        "{table}"
    );
    assert!(table.lines().all(|l| l.chars().count() <= 80), "{table}");
    let text = fs::read_to_string(folder.path().join("c.json")).unwrap();
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let face = &json["faces"][0];
    let (bound, opened, laid) = (
        face["pieces_bound"].as_u64().unwrap(),
        face["pieces_opened"].as_u64().unwrap(),
        face["pieces_laid"].as_u64().unwrap(),
    );
    assert!(bound <= opened && opened <= face["pieces_without_reuse"].as_u64().unwrap());
    // Two faces: the drawing must be told which.
    let output = run(&["courses", "plan.svg", "--svg", "f.svg"], folder.path());
    assert_eq!(status(&output), 2);
    let name = face["name"].as_str().unwrap();
    let wanted = ["courses", "plan.svg", "--face", name, "--svg", "-"];
    let svg = String::from_utf8(run(&wanted, folder.path()).stdout).unwrap();
    let whole = svg.matches(", whole</title>").count();
    let ends = svg.matches(" piece, ").count();
    assert_eq!((whole + ends) as u64, laid);
    // Every shared shingle has its number in two pieces.
    let pairs = face["pairs"].as_array().unwrap().len();
    assert_eq!(svg.matches(", of shingle ").count(), 2 * pairs);
}

/// In this plan a note of the roof comes before warnings of later stages.
#[test]
fn a_finding_has_the_number_in_the_marked_drawing_that_it_has_on_paper() {
    let folder = folder_with("roofs/dead-valley-3in12/plan.svg");
    for command in ["takeoff", "courses"] {
        let mut arguments = vec![command, "plan.svg", "--marked", "marked.svg"];
        if command == "takeoff" {
            arguments.extend(["--no-pdf", "--json", "findings.json"]);
        }
        let output = run(&arguments, folder.path());
        assert_eq!(status(&output), 0, "{}", told(&output));
        // The takeoff lists its findings as its sheets number them: the graver first.
        let json = fs::read(folder.path().join("findings.json")).unwrap();
        let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
        let codes = json["findings"].as_array().unwrap().iter();
        let codes: Vec<&str> = codes.map(|f| f["code"].as_str().unwrap()).collect();
        let marked = fs::read_to_string(folder.path().join("marked.svg")).unwrap();
        let mut numbers = 0;
        for circle in marked.split("<desc>").skip(1) {
            let code = circle.split(':').next().unwrap();
            let number = circle.split("</text>").next().unwrap();
            let number: usize = number.rsplit('>').next().unwrap().parse().unwrap();
            assert_eq!(codes[number - 1], code, "{command}");
            numbers += 1;
        }
        assert!(numbers > 2, "{numbers}");
    }
}

#[test]
fn a_metric_plan_written_in_feet_is_told_until_somebody_says_the_units() {
    let folder = tempfile::tempdir().unwrap();
    let plan = |length: &str| {
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 500 400">
<polygon points="50,100 290,100 290,172 50,172" fill="none" stroke="black"/>
<polygon points="50,172 290,172 290,244 50,244" fill="none" stroke="black"/>
<text x="160" y="140" font-size="8">6/12</text><text x="160" y="212" font-size="8">6/12</text>
<g id="dimensions" fill="none" stroke="black"><line x1="50" y1="60" x2="290" y2="60"/>
<path d="M50 50V70M290 50V70"/></g><text x="160" y="56" font-size="8">{length}</text></svg>"#
        )
    };
    let told_of = |length: &str, more: &[&str]| {
        fs::write(folder.path().join("plan.svg"), plan(length)).unwrap();
        let output = run(
            &[&["takeoff", "plan.svg"][..], more].concat(),
            folder.path(),
        );
        assert_eq!(status(&output), 0, "{}", told(&output));
        told(&output).contains("units-unlike-plan")
    };
    assert!(told_of("12192 mm", &[]));
    assert!(told_of("12.19 m", &[]));
    assert!(!told_of("12192 mm", &["--units", "m"]));
    assert!(!told_of("12192 mm", &["--units", "ft"]));
    assert!(!told_of("40'-0\"", &[]));
    let job = folder.path().join("job.toml");
    fs::write(&job, "[plan]\nunits = \"ft\"\n").unwrap();
    assert!(!told_of("12192 mm", &["--job", "job.toml"]));
}

#[test]
fn the_terminal_says_which_count_of_shingles_the_order_is_made_by() {
    let folder = folder_with("../examples/quillback-road.svg");
    for command in ["takeoff", "order"] {
        let output = run(&[command, "plan.svg"], folder.path());
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        // More lie in bundles than on the roof: 1,390 ÷ 21 = 66.2, so 67, and one spare.
        let after = said.split("68 bundles\n").nth(1).expect("the order");
        assert!(
            after.starts_with("  ordered for the 1,390 shingles opened, plus 1 spare bundle\n"),
            "{command}: {said}"
        );
    }
}

#[test]
fn names_that_title_blocks_have_no_room_for_are_told() {
    let folder = folder_with(GABLE);
    let long = "Very Long Name of a Client ".repeat(12);
    for (name, cut) in [("A. Example", false), (long.as_str(), true)] {
        let job = format!("[project]\nclient = \"{name}\"\n");
        fs::write(folder.path().join("j.toml"), job).unwrap();
        let output = run(
            &["takeoff", "plan.svg", "--job", "j.toml", "--verbose"],
            folder.path(),
        );
        assert_eq!(
            told(&output).contains("names-cut"),
            cut,
            "{}",
            told(&output)
        );
        // Of a name in several lines, not only the line that is cut.
        let words: Vec<String> = told(&output)
            .split_whitespace()
            .map(str::to_owned)
            .collect();
        let whole = format!("all of “{}", long.trim());
        assert_eq!(words.join(" ").contains(&whole), cut, "{}", told(&output));
    }
}
