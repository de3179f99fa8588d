//! What a crew can do by its sheet alone: read as words from the sheets, never from the layout behind them.

use std::collections::{BTreeMap, BTreeSet};

use eavewright::courses::{FaceLayout, RunLayout, StartCorner};
use eavewright::report::{self, Paper, PdfOptions, Sheet, SheetMarks};
use eavewright::roof::{FaceId, Roof};

use crate::report_lengths::fixtures;
use crate::report_marks::real_roof;
use crate::report_roofs::{Job, ell, face, gable, roof};

/// What a job must give for a list of materials to be made.
const PRICED: &str = "[labour]\nrate = 61\nhours_per_square = 1.5\n[bid]\nmarkup_percent = 15\n";

fn crew_pages(job: &Job) -> Vec<SheetMarks> {
    let options = PdfOptions {
        sheets: vec![Sheet::Crew],
        paper: if job.units == report::OutputUnits::Feet {
            Paper::Letter
        } else {
            Paper::A4
        },
    };
    report::marks(&job.report(), &options).expect("sheets are drawn")
}

/// The words of each face's pages, in the order that they were set, without names and title blocks.
fn crew_words(job: &Job) -> BTreeMap<String, Vec<String>> {
    let mut words: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for page in crew_pages(job) {
        let name = page.title.replace("Crew sheet, face ", "");
        let labels = page.labels.into_iter().filter(|l| l.layer == "tables");
        words
            .entry(name)
            .or_default()
            .extend(labels.map(|l| l.words));
    }
    words
}

fn example() -> Roof {
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/quillback-road.svg");
    real_roof(&std::fs::read(plan).expect("the example")).expect("a roof")
}

/// Every roof that there is, named.
fn roofs() -> Vec<(String, Roof)> {
    let mut all = fixtures();
    all.push(("example".to_owned(), example()));
    all.push(("ell".to_owned(), ell()));
    // A chimney too narrow for a cricket: 2 ft.
    let narrow = include_str!("../../examples/quillback-road.svg")
        .replace("301,231 301,208.5", "292,231 292,208.5");
    let roof = real_roof(narrow.as_bytes()).expect("a roof");
    all.push(("narrow chimney".to_owned(), roof));
    all
}

/// `39⅜″`, `12³⁄₁₆″`, `1,000 mm` in inches.
fn inches(text: &str) -> f64 {
    if let Some(mm) = text.strip_suffix(" mm") {
        return mm.replace(',', "").parse::<f64>().expect(text) / 25.4;
    }
    let text = text.strip_suffix('″').expect(text);
    let digits = |set: &str, c: char| set.chars().position(|d| d == c);
    let (mut whole, mut above, mut below, mut part) = (0.0, 0.0, 0.0, 0.0);
    for c in text.chars() {
        if let Some(digit) = c.to_digit(10) {
            whole = whole * 10.0 + f64::from(digit);
        } else if let Some(digit) = digits("⁰¹²³⁴⁵⁶⁷⁸⁹", c) {
            above = above * 10.0 + digit as f64;
        } else if let Some(digit) = digits("₀₁₂₃₄₅₆₇₈₉", c) {
            below = below * 10.0 + digit as f64;
        } else if let Some(eighths) = digits("⅛¼⅜½⅝¾⅞", c) {
            part = (eighths + 1) as f64 / 8.0;
        } else {
            assert_eq!(c, '⁄', "{text}");
        }
    }
    whole + part + if below > 0.0 { above / below } else { 0.0 }
}

/// What a crew reads of first pieces.
struct Read {
    /// Widths in inches by course and part of the course, from 1.
    listed: BTreeMap<(usize, usize), f64>,
    marked: usize,
    /// Course, its first joint, and how much wider the first piece of every further course is; inches.
    step: Option<(usize, f64, f64)>,
    pattern: String,
}

/// `12`, `12*`, `12, part 2`, `12, part 2*`.
fn place(label: &str) -> Option<(usize, usize)> {
    let label = label.strip_suffix('*').unwrap_or(label);
    match label.split_once(", part ") {
        Some((course, part)) => Some((course.parse().ok()?, part.parse().ok()?)),
        None => Some((label.parse().ok()?, 1)),
    }
}

fn read(words: &[String], near: &str) -> Read {
    let at = |word: &str| words.iter().position(|w| w == word);
    let from = at("Pattern").expect("a pattern") + 1;
    // Faces of five courses and fewer have no chalk lines.
    let last = || words.iter().position(|w| w.starts_with("Course "));
    let to = at("Chalk lines")
        .or_else(last)
        .expect("the end of the starts");
    let list = words[from..to]
        .iter()
        .position(|w| w.starts_with("First piece, ") || w == "Further parts")
        .map_or(to, |i| from + i);
    let pattern = words[from..list].join(" ");
    let (mut listed, mut marked) = (BTreeMap::new(), 0);
    for pair in words[list..to].windows(2) {
        // A width has an inch mark or its unit, so only a label can be read as a place.
        if let Some(place) = place(&pair[0]) {
            assert!(listed.insert(place, inches(&pair[1])).is_none());
            marked += usize::from(pair[0].ends_with('*'));
        }
    }
    let step = pattern.strip_prefix("First joint ").map(|said| {
        let (first, rest) = said.split_once(" from the ").expect("a corner");
        let rest = rest.strip_prefix(near).expect("the start corner");
        let rest = rest.strip_prefix(" of course ").expect("a course");
        let (course, rest) = rest.split_once("; every course's joints ").expect("a step");
        let (step, rest) = rest.split_once(" further ").expect("a side");
        let way = if rest.starts_with(near) { -1.0 } else { 1.0 };
        let course = course.parse().expect("a number");
        (course, inches(first), way * inches(step))
    });
    Read {
        listed,
        marked,
        step,
        pattern,
    }
}

/// The width at the butt of a run's first piece, by the layout; a shingle where the end leans beyond it.
fn first_in(layout: &FaceLayout, run: &RunLayout) -> f64 {
    let width = match layout.start {
        StartCorner::Left => run.joints_in.first().unwrap_or(&run.butt_in.1) - run.butt_in.0,
        StartCorner::Right => run.butt_in.1 - run.joints_in.last().unwrap_or(&run.butt_in.0),
    };
    if width > 0.0 && width <= layout.width_in + 1e-6 {
        width
    } else {
        layout.width_in
    }
}

#[test]
fn a_crew_can_begin_every_run_of_every_face_by_its_sheet_alone() {
    let (mut runs, mut by_step, mut beyond, mut marks, mut exceptions) = (0, 0, 0, 0, 0);
    for (name, roof) in roofs() {
        for job in [
            Job::of(roof.clone()).laid("39x13"),
            Job::of(roof).in_metres().laid("36x12"),
        ] {
            let words = crew_words(&job);
            for layout in &job.courses.as_ref().expect("courses").faces {
                let face = &job.roof.face(layout.face).name;
                let Some(words) = words.get(face) else {
                    assert!(layout.runs.is_empty(), "{name}, {face} has no sheet");
                    continue;
                };
                let near = match layout.start {
                    StartCorner::Left => "left",
                    StartCorner::Right => "right",
                };
                let read = read(words, near);
                let mut parts: BTreeMap<usize, Vec<&RunLayout>> = BTreeMap::new();
                for run in &layout.runs {
                    parts.entry(run.course + 1).or_default().push(run);
                }
                // Beside a step the courses that it does not give are listed, and that is said.
                let listed = read.listed.keys().filter(|(_, part)| *part == 1).count();
                let said = format!(
                    "Except in {listed} of {} courses, listed here.",
                    parts.len()
                );
                let is_said = read.pattern.contains(&said);
                assert_eq!(is_said, read.step.is_some() && listed > 0, "{name}, {face}");
                assert!(is_said || !read.pattern.contains("listed here"));
                exceptions += usize::from(is_said);
                for (course, mut of_course) in parts {
                    if layout.start == StartCorner::Right {
                        of_course.reverse();
                    }
                    for (i, run) in of_course.into_iter().enumerate() {
                        let told = read.listed.get(&(course, i + 1)).copied();
                        let told = told.unwrap_or_else(|| {
                            assert_eq!(i, 0, "{name}, {face}: course {course}, part {}", i + 1);
                            let (from, first, step) = read.step.unwrap_or_else(|| {
                                panic!("{name}, {face}: nothing on course {course}")
                            });
                            by_step += 1;
                            first + (course as f64 - from as f64) * step
                        });
                        let off = (told - first_in(layout, run)).rem_euclid(layout.width_in);
                        let off = off.min(layout.width_in - off);
                        // Half of the eighth that widths are rounded to, and what the step is off by.
                        assert!(
                            off < 0.13,
                            "{name}, {face}: course {course}, part {} by {off} in: {}",
                            i + 1,
                            read.pattern
                        );
                        runs += 1;
                        beyond += usize::from(i > 0);
                    }
                }
                marks += read.marked;
                let told = read
                    .pattern
                    .split_once(" runs, marked *")
                    .and_then(|(before, _)| before.rsplit_once("Except in "))
                    .and_then(|(_, counts)| counts.split_once(" of "));
                let (count, _) = told.unwrap_or(("0", ""));
                assert_eq!(count, read.marked.to_string(), "{name}, {face}");
            }
        }
    }
    assert!(
        runs > 2000 && by_step > 100 && beyond > 30 && marks > 30 && exceptions > 0,
        "{runs} runs, {by_step} by a step, {beyond} beyond something, {marks} marked, {exceptions} lists"
    );
}

/// What the sheet of a face that an item lies on says; `None` for items that no sheet needs to tell: nails are drawn,
/// sheets for mending the deck go by what is found.
fn told_as(key: &str) -> Option<&'static str> {
    Some(match key {
        "deck_sheet" | "roofing_nails" | "roofing_nails_long" => return None,
        "drip_edge_eave" => "Drip edge, eaves:",
        "valley_smooth_roll" | "valley_mineral_roll" | "valley_metal" => "Valley lining:",
        "underlayment" => "Underlayment:",
        "cap_nails" => "cap nails",
        "drip_edge_rake" => "Drip edge, ",
        "starter" => "Starter:",
        "shingles" => "Courses:",
        "pipe_boot" => "Pipe boots:",
        "apron_flashing" => "Apron:",
        "step_flashing" => "Step flashing:",
        "sidewall_flashing" => "Sidewall flashing:",
        "kick_out" => "Kick-out:",
        "head_flashing" => "Head flashing:",
        "cricket" => "Cricket:",
        "counterflashing" => "Counterflashing:",
        "pitch_change_flashing" => "Flashing at the pitch change:",
        "ridge_vent" => "Ridge vent:",
        "hip_ridge_cap" => "Caps:",
        "roof_cement" => "Roof cement:",
        "sealant" => "Sealant:",
        other => panic!("nobody has decided what a crew sheet says of {other}"),
    })
}

#[test]
fn what_is_ordered_for_a_face_or_an_edge_of_it_is_told_on_its_crew_sheet() {
    let others = "[materials]\nsidewall_flashing = \"continuous\"\nvalley_lining = \"smooth-roll\"\ncounterflashing = \"chimneys-and-walls\"\n";
    let mut met = BTreeSet::new();
    for (name, roof) in roofs() {
        for settings in ["[site]\nice_barrier = true\nexisting_layers = 1\n", others] {
            let job = Job::of(roof.clone())
                .laid("39x13")
                .offered(&format!("{settings}{PRICED}"));
            let sheets: BTreeMap<String, String> = crew_words(&job)
                .into_iter()
                .map(|(face, words)| (face, words.join(" ")))
                .collect();
            let says = |face: &FaceId, phrase: &str| {
                let sheet = sheets.get(&job.roof.face(*face).name);
                sheet.is_some_and(|words| words.contains(phrase))
            };
            for line in &job.materials.as_ref().expect("materials").lines {
                met.insert(line.key);
                // The same sheet lies at eaves, by faces, and in valleys, by edges.
                let (on_faces, on_edges) = match line.key {
                    "self_adhered_sheet" => (
                        Some("Self-adhered sheet, eaves:"),
                        Some("Self-adhered sheet, valleys:"),
                    ),
                    key => (told_as(key), told_as(key)),
                };
                for (_, face) in &line.faces {
                    let told = on_faces.is_none_or(|phrase| says(face, phrase));
                    let face = &job.roof.face(*face).name;
                    assert!(told, "{name}: {} is not told on {face}", line.key);
                }
                for (_, edge) in &line.edges {
                    // What lies under one side of an edge alone is told on that side's sheet.
                    let edge = job.roof.edge(*edge);
                    let told = on_edges
                        .is_none_or(|phrase| edge.faces.iter().any(|face| says(face, phrase)));
                    assert!(told, "{name}: {} at a {}", line.key, edge.class.key());
                }
            }
        }
    }
    for key in [
        "self_adhered_sheet",
        "valley_smooth_roll",
        "roof_cement",
        "kick_out",
        "head_flashing",
        "counterflashing",
        "pitch_change_flashing",
        "sidewall_flashing",
        "step_flashing",
        "apron_flashing",
    ] {
        assert!(met.contains(key), "no roof needs {key}");
    }
}

/// The words of the crew sheets of a roof with its materials, a face each.
fn told(roof: Roof, settings: &str) -> BTreeMap<String, String> {
    let job = Job::of(roof)
        .laid("39x13")
        .offered(&format!("{settings}{PRICED}"));
    let words = crew_words(&job).into_iter();
    words.map(|(face, words)| (face, words.join(" "))).collect()
}

#[test]
fn a_face_under_4_in_12_is_told_to_lay_two_layers_of_underlayment_as_they_are_ordered() {
    // Sheets of 36 in lap by half of it and an inch: 19 in.
    let low = gable_of(3.0);
    let words = &told(low, "")["S1"];
    assert!(
        words.contains("two layers: a strip 19″ wide at the foot"),
        "{words}"
    );
    assert!(words.contains("each 19″ over the one below"), "{words}");
    assert!(!told(gable_of(4.0), "")["S1"].contains("two layers"));
}

/// 40 × 24 ft, the ridge so many feet high.
fn gable_of(high: f64) -> Roof {
    roof(&[
        face(
            "S1",
            &[
                (0., 0., 0.),
                (40., 0., 0.),
                (40., 12., high),
                (0., 12., high),
            ],
        ),
        face(
            "N1",
            &[
                (40., 24., 0.),
                (0., 24., 0.),
                (0., 12., high),
                (40., 12., high),
            ],
        ),
    ])
}

#[test]
fn a_crew_is_told_where_course_1_lies_over_a_pitch_change_and_which_face_comes_first() {
    let gambrel = roof(&[
        face(
            "S1",
            &[(0., 0., 0.), (30., 0., 0.), (30., 4., 6.), (0., 4., 6.)],
        ),
        face(
            "S2",
            &[(0., 4., 6.), (30., 4., 6.), (30., 12., 10.), (0., 12., 10.)],
        ),
    ]);
    let sheets = told(gambrel, "");
    assert!(
        sheets["S2"].contains("over S1: S1 first; butts of course 1 ½″ past the line"),
        "{}",
        sheets["S2"]
    );
    assert!(sheets["S1"].contains("last course up to the line, before S2 is begun"));
    assert!(!sheets["S2"].contains("Caps:"), "{}", sheets["S2"]);
}

#[test]
fn a_plain_gable_has_no_hips_to_cap_first_and_no_wall_to_flash() {
    let words = &told(gable(), "")["S1"];
    assert!(words.contains("Caps: over the ridge"), "{words}");
    assert!(!words.to_lowercase().contains("hip"), "{words}");
    assert!(!words.contains("wall"), "{words}");
}

#[test]
fn what_is_torn_off_is_step_1_and_every_sheet_names_loads_and_asbestos_but_on_a_new_roof() {
    let torn = &told(gable(), "[site]\nexisting_layers = 2\n")["S1"];
    assert!(
        torn.contains("1 Tear off: 2 layers, once tested for asbestos"),
        "{torn}"
    );
    let new = &told(gable(), "[site]\nexisting_layers = 0\n")["S1"];
    assert!(!new.contains("Tear off:"), "{new}");
    // A layer that stays may hold it as well, and so may what nobody has spoken of.
    let stays = &told(gable(), "[site]\nexisting_layers = 1\ntear_off = false\n")["S1"];
    let unsaid = &told(gable(), "")["S1"];
    for (words, old) in [(torn, true), (stays, true), (unsaid, true), (new, false)] {
        assert_eq!(words.contains("asbestos"), old, "{words}");
        assert!(words.contains("Spread bundles along the ridge"));
    }
}

#[test]
fn an_overlay_is_told_to_the_crew_and_no_deck_is_spoken_of() {
    let over = &told(gable(), "[site]\nexisting_layers = 1\ntear_off = false\n")["S1"];
    for words in [
        "Old roofing: the new roof goes over the one layer that stays",
        "Drip edge, eaves: over the one layer that stays",
    ] {
        assert!(over.contains(words), "{over}");
    }
    assert!(
        !over.contains("on the deck") && !over.contains("nderlayment"),
        "{over}"
    );
}

#[test]
fn above_a_porch_of_other_roofing_the_starter_lies_on_the_pitch_change() {
    let porch = |pitch: &str| {
        let plan = crate::materials_slopes::plan("6/12", Some(pitch));
        told(real_roof(plan.as_bytes()).expect("a porch"), "")
    };
    let above = |told: &BTreeMap<String, String>| -> String {
        let foot = told
            .values()
            .find(|words| words.contains("Foot pitch change"));
        foot.expect("a face over the porch").clone()
    };
    let other = above(&porch("1/12"));
    assert!(
        other.contains("Starter: at eaves and the pitch change; "),
        "{other}"
    );
    assert!(
        other.contains("takes other roofing: starter first"),
        "{other}"
    );
    let shingled = above(&porch("3/12"));
    assert!(!shingled.contains("other roofing"), "{shingled}");
}

#[test]
fn whole_bundles_and_single_shingles_of_all_faces_are_what_is_laid() {
    for (_, roof) in roofs() {
        let job = Job::of(roof).laid("39x13");
        let courses = job.courses.as_ref().expect("courses");
        let a_bundle = courses.format.pieces_per_bundle as usize;
        let mut up = 0;
        for words in crew_words(&job).values() {
            let at = words
                .iter()
                .position(|w| w.starts_with("bundles"))
                .expect("bundles");
            let bundles: usize = words[at - 1].replace(',', "").parse().expect("a count");
            let loose = words[at].strip_prefix("bundles + ");
            up += bundles * a_bundle + loose.map_or(0, |n| n.parse().expect("a count"));
        }
        assert_eq!(up, courses.opened());
    }
}

#[test]
fn safety_stands_on_the_first_page_and_every_further_page_names_its_face() {
    let mut further = 0;
    for (name, roof) in roofs() {
        let job = Job::of(roof).laid("39x13").offered(&format!(
            "[site]\nice_barrier = true\nexisting_layers = 1\n{PRICED}"
        ));
        let mut last = String::new();
        for page in crew_pages(&job) {
            let face = page.title.replace("Crew sheet, face ", "");
            let has = |words: &str| page.labels.iter().any(|l| l.words == words);
            let is_first = last != face;
            assert_eq!(has("Safety"), is_first, "{name}, {face}");
            let names = page.labels.iter().filter(|l| l.layer == "face names");
            let large = names.filter(|l| l.words == face && l.height_mm > 10.0);
            assert_eq!(large.count(), 1, "{name}, {face}");
            further += usize::from(!is_first);
            last = face;
        }
    }
    assert!(further > 0, "no face took a further page");
}

#[test]
fn chalk_lines_in_metres_rise_by_one_measure() {
    // Five courses of 5 in are 635 mm.
    let job = Job::of(gable()).in_metres().laid("36x12");
    let words = &crew_words(&job)["S1"];
    let heights: Vec<f64> = words
        .windows(2)
        .filter(|pair| pair[0].starts_with("top of "))
        .map(|pair| inches(&pair[1]) * 25.4)
        .collect();
    assert!(heights.len() >= 5);
    for (i, height) in heights.iter().enumerate() {
        assert!((height - 635.0 * (i + 1) as f64).abs() < 1e-6, "{height}");
    }
}
