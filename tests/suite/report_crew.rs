//! What a crew can do by its sheet alone: read as words from the sheets, never from the layout behind them.

use std::collections::{BTreeMap, BTreeSet};

use eavewright::courses::{
    Choices, Courses, FaceLayout, LayRules, Layout, Reuse, RunLayout, StartCorner, ValleyType,
    formats,
};
use eavewright::report::{self, Paper, PdfOptions, Sheet, SheetMarks};
use eavewright::roof::{EdgeClass, FaceId, Roof};

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

/// The widths of first pieces beside the courses of each face, in inches.
fn starts_on_course_sheets(job: &Job) -> BTreeMap<String, Vec<f64>> {
    let options = PdfOptions {
        sheets: vec![Sheet::CourseLayout],
        paper: Paper::A4,
    };
    let mut starts: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for page in report::marks(&job.report(), &options).expect("sheets are drawn") {
        let name = page.title.replace("Course layout, face ", "");
        let name = name.split(',').next().unwrap_or_default().to_owned();
        let figures = page.labels.iter().filter(|l| l.layer == "tables");
        let figures = figures.map(|l| l.words.as_str());
        let figures = figures.filter(|w| w.starts_with(char::is_numeric) && w.ends_with('″'));
        let figures = figures.filter(|w| !w.contains(['′', ' ']));
        starts.entry(name).or_default().extend(figures.map(inches));
    }
    starts
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
pub(crate) fn inches(text: &str) -> f64 {
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

/// A run as it is listed: its first piece, `None` a whole one, and what its two ends say of offcuts.
struct Listed {
    first_in: Option<f64>,
    ends: [Said; 2],
}

/// `of 9`, `for 12b`, `of 9, for 12 left`, `–`: the run, and whether the other end is one of the same side; `one piece`
/// where the piece is told at the other end.
#[derive(Clone, Debug, Default, PartialEq)]
struct Said {
    is_no_piece: bool,
    of: Option<(String, bool)>,
    save_for: Option<(String, bool)>,
}

impl Said {
    fn read(cell: &str) -> Self {
        let mut said = Self::default();
        if cell == "–" {
            return said;
        }
        if cell == "one piece" {
            said.is_no_piece = true;
            return said;
        }
        for part in cell.split(", ") {
            let (word, name) = part.split_once(' ').expect(cell);
            let (name, same) = match name.split_once(' ') {
                Some((name, side)) => {
                    assert!(["left", "right"].contains(&side), "{cell}");
                    (name, true)
                }
                None => (name, false),
            };
            let told = match word {
                "of" => &mut said.of,
                "for" => &mut said.save_for,
                _ => panic!("{cell}"),
            };
            assert!(told.replace((name.to_owned(), same)).is_none(), "{cell}");
        }
        said
    }
}

/// What a crew reads of the runs of a face.
struct Read {
    listed: BTreeMap<String, Listed>,
    marked: usize,
    /// Course, its first joint, and how much wider the first piece of every further course is; inches.
    step: Option<(usize, f64, f64)>,
    /// Whether the far end's offcut is kept, and for how many courses above.
    offcuts: Option<(bool, usize)>,
    pattern: String,
}

/// `12`, `12b`: the course and the part of it, from 1.
fn place(name: &str) -> Option<(usize, usize)> {
    let course = name.trim_end_matches(|c: char| c.is_ascii_lowercase());
    let part = match &name.as_bytes()[course.len()..] {
        [] => 1,
        [letter] => usize::from(letter - b'a') + 1,
        _ => return None,
    };
    Some((course.parse().ok()?, part))
}

fn read(words: &[String], near: &str) -> Read {
    let at = |word: &str| words.iter().position(|w| w == word);
    // Faces of five courses and fewer have no chalk lines.
    let last = || words.iter().rposition(|w| w.starts_with("Course "));
    let to = at("Chalk lines")
        .or_else(last)
        .expect("the end of the starts");
    let list = at("Courses").unwrap_or(to);
    // Where every run is listed, there may be no pattern.
    let pattern = at("Pattern").map_or_else(String::new, |at| words[at + 1..list].join(" "));
    let (mut listed, mut marked) = (BTreeMap::new(), 0);
    let rest = &words[list..to];
    if let Some(heads) = rest.iter().position(|w| w == "course") {
        let rest = &rest[heads..];
        let columns = rest
            .iter()
            .position(|w| place(w.trim_end_matches('*')).is_some())
            .expect("a row");
        let heads = &rest[..columns];
        for row in rest.chunks(columns).filter(|row| *row != heads) {
            assert_eq!(row.len(), columns, "{row:?}");
            let name = row[0].trim_end_matches('*');
            assert!(place(name).is_some(), "{row:?}");
            marked += usize::from(row[0].ends_with('*'));
            let said = |head: &str| {
                let column = heads[2..].iter().position(|w| w == head);
                column.map_or_else(Said::default, |i| Said::read(&row[i + 2]))
            };
            let far = if near == "left" { "right" } else { "left" };
            let row = Listed {
                first_in: (row[1] != "whole").then(|| inches(&row[1])),
                ends: [said("offcut"), said(far)],
            };
            assert!(listed.insert(name.to_owned(), row).is_none(), "{name}");
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
    let offcuts = pattern.split_once("Offcuts: what the ").map(|(_, said)| {
        let (end, rest) = said.split_once(" end leaves ").expect("an end");
        let far = end != near;
        let (does, rest) = rest.split_once(' ').expect("what it does");
        assert_eq!(does, if far { "opens" } else { "closes" });
        let (which, _) = rest.split_once(", where it is long enough").expect("where");
        let above = match which {
            "the same course" => 0,
            "the course above" => 1,
            _ => which
                .strip_prefix("the course that lies ")
                .and_then(|w| w.strip_suffix(" courses above"))
                .and_then(|n| n.parse().ok())
                .expect(which),
        };
        (far, above)
    });
    Read {
        listed,
        marked,
        step,
        offcuts,
        pattern,
    }
}

/// The runs of a layout as a crew comes to them, each with its name.
fn in_order(layout: &FaceLayout) -> Vec<(String, (usize, usize), &RunLayout)> {
    let mut courses: BTreeMap<usize, Vec<&RunLayout>> = BTreeMap::new();
    for run in &layout.runs {
        courses.entry(run.course + 1).or_default().push(run);
    }
    let mut all = Vec::new();
    for (course, mut runs) in courses {
        if layout.start == StartCorner::Right {
            runs.reverse();
        }
        let parts = runs.len();
        for (i, run) in runs.into_iter().enumerate() {
            let letter = match parts {
                1 => String::new(),
                _ => char::from(b'a' + i as u8).to_string(),
            };
            all.push((format!("{course}{letter}"), (course, i + 1), run));
        }
    }
    all
}

fn ends_in(run: &RunLayout) -> (f64, f64) {
    let left = run.left_line_in.iter().map(|p| p.1);
    let right = run.right_line_in.iter().map(|p| p.1);
    (
        left.reduce(f64::min).expect("a line"),
        right.reduce(f64::max).expect("a line"),
    )
}

/// The length of a run's first piece at its longest, by the layout.
fn first_in(layout: &FaceLayout, run: &RunLayout) -> f64 {
    let (left, right) = ends_in(run);
    match layout.start {
        StartCorner::Left => run.joints_in.first().unwrap_or(&right) - left,
        StartCorner::Right => right - run.joints_in.last().unwrap_or(&left),
    }
}

#[test]
fn a_crew_can_begin_every_run_of_every_face_by_its_sheet_alone() {
    let (mut runs, mut by_step, mut beyond, mut marks) = (0, 0, 0, 0);
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
                for (label, (course, part), run) in in_order(layout) {
                    let first = first_in(layout, run);
                    let told = match read.listed.get(&label) {
                        Some(listed) => listed.first_in.unwrap_or_else(|| {
                            assert!(first > layout.width_in - 1e-6, "{name}, {face}: {label}");
                            layout.width_in
                        }),
                        None => {
                            assert_eq!(part, 1, "{name}, {face}: {label}");
                            let (from, first, step) = read
                                .step
                                .unwrap_or_else(|| panic!("{name}, {face}: nothing on {label}"));
                            by_step += 1;
                            first + (course as f64 - from as f64) * step
                        }
                    };
                    let off = (told - first).rem_euclid(layout.width_in);
                    let off = off.min(layout.width_in - off);
                    // Half of the eighth that widths are rounded to, and what the step is off by.
                    assert!(
                        off < 0.13,
                        "{name}, {face}: {label} by {off} in: {}",
                        read.pattern
                    );
                    runs += 1;
                    beyond += usize::from(part > 1);
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
        runs > 2000 && by_step > 100 && beyond > 30 && marks > 30,
        "{runs} runs, {by_step} by a step, {beyond} beyond something, {marks} marked"
    );
}

/// Where a line of (height, u) lies at a height, in order of height; level beyond its ends.
fn along(line: &[(f64, f64)], h: f64) -> f64 {
    let above = line.iter().position(|p| p.0 > h).unwrap_or(line.len());
    match (above.checked_sub(1).map(|i| line[i]), line.get(above)) {
        (Some((h0, u0)), Some(&(h1, u1))) => u0 + (u1 - u0) * (h - h0) / (h1 - h0),
        (Some((_, u)), None) => u,
        (None, next) => next.expect("a line").1,
    }
}

/// Whether one shingle is wide enough for two pieces that keep its two factory ends, at every height.
fn is_enough(layout: &FaceLayout, closed: &RunLayout, opened: &RunLayout) -> bool {
    let single = |run: &RunLayout, to: f64| run.joints_in.is_empty().then_some(to);
    (0..=53).map(|quarter| f64::from(quarter) / 4.0).all(|h| {
        let closes = along(&closed.right_line_in, h)
            - closed.joints_in.last().copied().unwrap_or_else(|| {
                single(closed, along(&closed.left_line_in, h)).expect("one piece")
            });
        let opens =
            opened.joints_in.first().copied().unwrap_or_else(|| {
                single(opened, along(&opened.right_line_in, h)).expect("one piece")
            }) - along(&opened.left_line_in, h);
        closes + opens <= layout.width_in + 1e-6
    })
}

/// Lays a face by its sheet alone, and counts the shingles that are opened.
fn opened_by(read: &Read, layout: &FaceLayout, what: &str) -> (usize, usize) {
    let order = in_order(layout);
    let find = |name: &str| order.iter().find(|run| run.0 == name).expect(name);
    // What lies on the pile: for which run and which of its ends, near or far, and which end of which run left it.
    let mut pile: BTreeMap<(String, usize), (String, usize)> = BTreeMap::new();
    let (mut opened, mut reused) = (0, 0);
    for (name, (course, part), run) in &order {
        let ends = read.listed.get(name).map(|listed| &listed.ends);
        let is_piece = |end: &usize| match ends {
            Some(ends) => !ends[*end].is_no_piece,
            None => *end == 0 || !run.joints_in.is_empty(),
        };
        let pieces = [0, 1].into_iter().filter(is_piece);
        opened += run.joints_in.len().saturating_sub(1);
        for end in pieces {
            let kept = pile.remove(&(name.clone(), end));
            let is_taken = match ends.map(|ends| &ends[end]) {
                Some(said) => {
                    if let Some((of, same)) = &said.of {
                        let (from, their_end) = kept.clone().unwrap_or_else(|| {
                            panic!("{what}: {name} looks for an offcut of {of}, and none is kept")
                        });
                        assert_eq!((&from, their_end == end), (of, *same), "{what}: {name}");
                    }
                    said.of.is_some()
                }
                // By the rule, where what is kept is long enough.
                None => kept.as_ref().is_some_and(|(from, _)| {
                    let other = find(from).2;
                    let opens = (end == 0) == (layout.start == StartCorner::Left);
                    match opens {
                        true => is_enough(layout, other, run),
                        false => is_enough(layout, run, other),
                    }
                }),
            };
            opened += usize::from(!is_taken);
            reused += usize::from(is_taken);
            let save_for = match ends.map(|ends| &ends[end]) {
                Some(said) => {
                    let to_end = |same: bool| if same { end } else { 1 - end };
                    said.save_for.clone().map(|(to, same)| (to, to_end(same)))
                }
                None => {
                    read.offcuts
                        .filter(|(far, _)| *far == (end == 1))
                        .and_then(|(_, above)| {
                            let to = order.iter().find(|run| run.1 == (course + above, *part));
                            to.map(|to| (to.0.clone(), 1 - end))
                        })
                }
            };
            if let Some(save_for) = save_for {
                let left = (name.clone(), end);
                // What a row says goes before what the rule says.
                match ends {
                    Some(_) => *pile.entry(save_for).or_default() = left,
                    None => drop(pile.entry(save_for).or_insert(left)),
                }
            }
        }
    }
    (opened, reused)
}

#[test]
fn a_crew_that_follows_the_words_of_its_sheet_opens_as_many_shingles_as_are_printed() {
    let (mut faces, mut reused, mut by_rule) = (0, 0, 0);
    for (name, roof) in roofs() {
        for reuse in [Reuse::TwoPiece, Reuse::SquareCut] {
            let rules = LayRules {
                reuse,
                ..LayRules::default()
            };
            for job in [
                Job::of(roof.clone()).laid_by("39x13", &rules),
                Job::of(roof.clone()).in_metres().laid_by("36x12", &rules),
            ] {
                let words = crew_words(&job);
                for layout in &job.courses.as_ref().expect("courses").faces {
                    let face = &job.roof.face(layout.face).name;
                    let Some(words) = words.get(face) else {
                        continue;
                    };
                    let near = match layout.start {
                        StartCorner::Left => "left",
                        StartCorner::Right => "right",
                    };
                    let read = read(words, near);
                    let what = format!("{name}, {face}, {reuse:?}");
                    let (opened, again) = opened_by(&read, layout, &what);
                    assert_eq!(opened, layout.opened, "{what}: {}", read.pattern);
                    let printed = words.windows(2).find(|w| w[1].starts_with("shingle"));
                    let printed = printed.expect("shingles")[0].replace(',', "");
                    assert_eq!(printed, opened.to_string(), "{what}");
                    faces += 1;
                    reused += again;
                    by_rule += usize::from(read.offcuts.is_some() && again > 0);
                }
            }
        }
    }
    assert!(
        faces > 300 && reused > 1000 && by_rule > 5,
        "{faces} faces, {reused} offcuts laid, {by_rule} faces by a rule"
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
        "apron_flashing" => "Apron, ",
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
                .position(|w| w.starts_with("bundle"))
                .expect("bundles");
            let bundles: usize = words[at - 1].replace(',', "").parse().expect("a count");
            let loose = words[at].split_once(" + ").map(|(_, loose)| loose);
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

#[test]
fn at_a_valley_the_sheet_says_which_face_comes_first_and_where_no_nail_stands() {
    let sheets = |valley: ValleyType| {
        let rules = LayRules {
            valley,
            ..LayRules::default()
        };
        let job = Job::of(ell()).laid_by("39x13", &rules);
        let job = job.offered(PRICED);
        let words = crew_words(&job).into_iter();
        words
            .map(|(face, words)| (face, words.join(" ")))
            .collect::<BTreeMap<String, String>>()
    };
    let with = |sheets: &BTreeMap<String, String>, phrase: &str| -> Vec<String> {
        let has = sheets.iter().filter(|(_, words)| words.contains(phrase));
        has.map(|(face, _)| face.clone()).collect()
    };
    let closed = sheets(ValleyType::ClosedCut);
    // The side that lies under the other keeps its nails 12 in away, the trimmed one 6 in.
    let (first, after) = (
        with(&closed, "this face before"),
        with(&closed, "this face after"),
    );
    assert!(
        !first.is_empty() && first.len() == after.len(),
        "{first:?} {after:?}"
    );
    for (one, other, inches) in [(&first, &after, "12″"), (&after, &first, "6″")] {
        for face in one {
            let words = &closed[face];
            assert!(
                words.contains(&format!("no nail within {inches} of it")),
                "{words}"
            );
            assert!(other.iter().any(|o| words.contains(o.as_str())), "{words}");
        }
    }
    let woven = sheets(ValleyType::Woven);
    assert_eq!(with(&woven, "woven with").len(), 2, "{woven:?}");
    assert_eq!(with(&woven, "no nail within 6″ of it").len(), 2);
    let open = sheets(ValleyType::OpenRoll);
    let cut_back = "Underlayment: from below, over what lies at the eave; at the valley over the edges of its lining, cut back with the shingles";
    assert_eq!(with(&open, cut_back).len(), 2, "{open:?}");
    assert!(with(&closed, "edges of its lining").is_empty());
    assert_eq!(with(&open, "open, with").len(), 2, "{open:?}");
    assert_eq!(with(&open, "two plies, centred").len(), 2, "{open:?}");
    for words in open.values().filter(|w| w.contains("two plies")) {
        assert!(
            words.contains("18″ at least") && words.contains("36″ at least"),
            "{words}"
        );
    }
    // Metal lies on the underlayment, which laps through the valley.
    let metal = sheets(ValleyType::OpenMetal);
    for words in metal.values().filter(|w| w.contains("Valley lining:")) {
        let at = |phrase: &str| words.find(phrase).expect(phrase);
        assert!(at("Underlayment:") < at("Valley lining:"), "{words}");
        let lapped = "metal, over the underlayment, which both faces lap 6″ past the valley's centre; centred";
        assert!(words.contains(lapped), "{words}");
    }
}

/// Courses lie along a level valley: no joint or nail can be kept from it, and it is lined before anything is laid.
#[test]
fn at_a_level_valley_the_crew_asks_before_laying_and_is_told_of_no_lap_or_nail() {
    for name in ["butterfly-30x20-3in12", "dead-valley-3in12"] {
        let roof = fixtures()
            .into_iter()
            .find(|(n, _)| n == name)
            .expect(name)
            .1;
        let valley = roof.edges.iter().find(|e| e.class == EdgeClass::Valley);
        let faces = valley.expect("a valley").faces.clone();
        let sheets = told(roof.clone(), "");
        for (here, beyond) in [(0, 1), (1, 0)] {
            let [here, beyond] = [here, beyond].map(|i: usize| &roof.face(faces[i]).name);
            let words = &sheets[here];
            let level = format!(
                "level, with {beyond}: ask before laying; lining and outlet for standing water first"
            );
            assert!(words.contains(&level), "{name}, {here}: {words}");
            for kept in ["run through", "back from the centre line", "no nail within"] {
                assert!(!words.contains(kept), "{name}, {here}: {words}");
            }
        }
    }
}

#[test]
fn what_lies_under_the_courses_beside_a_wall_comes_before_them_and_the_apron_above_them_after() {
    let settings = "[materials]\nsidewall_flashing = \"continuous\"\n";
    let (mut beside, mut below) = (0, 0);
    for (name, roof) in roofs() {
        for (face, words) in told(roof, settings) {
            let at = |phrase: &str| words.find(phrase);
            let courses = at("Courses:").expect("courses");
            for phrase in ["Kick-out:", "Sidewall flashing:"] {
                if let Some(found) = at(phrase) {
                    assert!(found < courses, "{name}, {face}: {phrase}");
                    beside += 1;
                }
            }
            if let Some(found) = at("Apron, wall:") {
                assert!(found > courses, "{name}, {face}");
                below += 1;
            }
        }
    }
    assert!(
        beside > 3 && below > 1,
        "{beside} beside walls, {below} below them"
    );
}

#[test]
fn the_apron_under_a_dormer_in_the_face_lies_as_the_courses_reach_it_before_the_steps_beside_it() {
    let is_shed_dormer = |(name, _): &(String, Roof)| name.contains("shed-dormer");
    let (_, roof) = roofs().into_iter().find(is_shed_dormer).expect("a dormer");
    let words = told(roof, "");
    let words = &words["S1"];
    let at = |phrase: &str| words.find(phrase).expect(phrase);
    assert!(at("Apron, wall in the face: over the course below") < at("Step flashing:"));
    assert!(!words.contains("Apron, wall: over the last course"));
}

#[test]
fn a_crew_finds_the_figures_that_the_order_was_made_by() {
    // By the shipped catalog: laps of 2 in, caps of 5⅝ in; a vent stops a foot short of each end of a ridge; starter
    // joints keep the distance of joints, 4 in.
    let words = &told(gable(), "")["S1"];
    for phrase in [
        "Drip edge, eaves: on the deck, under the sheets; ends lapped 2″",
        "Starter: joints 4″ at least from those of course 1",
        "slot and vent 12″ short of each end of the ridge",
        "Caps: over the ridge; 5⅝″ of each shows",
        "for courses",
        "for ridge caps",
    ] {
        assert!(words.contains(phrase), "{phrase}: {words}");
    }
}

#[test]
fn the_figures_at_the_top_of_a_sheet_never_touch() {
    // 2,000 × 400 ft: figures of five digits and more in a row.
    let long = roof(&[face(
        "S1",
        &[
            (0., 0., 0.),
            (2000., 0., 0.),
            (2000., 200., 100.),
            (0., 200., 100.),
        ],
    )]);
    let job = Job::of(long).laid("39x13");
    let pages = crew_pages(&job);
    let large = pages[0].labels.iter().filter(|l| l.layer == "tables");
    let mut row: Vec<(f64, f64)> = large
        .filter(|l| l.height_mm > 4.9 && l.words.chars().any(|c| c.is_ascii_digit()))
        .map(|l| {
            let xs = l.corners.map(|c| c.x);
            (
                xs.into_iter().fold(f64::INFINITY, f64::min),
                xs.into_iter().fold(0.0, f64::max),
            )
        })
        .collect();
    row.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert!(row.len() >= 4, "{row:?}");
    assert!(
        row.windows(2).all(|two| two[0].1 + 3.0 < two[1].0),
        "{row:?}"
    );
}

#[test]
fn a_crew_is_told_of_no_starter_and_no_caps_that_the_job_leaves_out() {
    let words = |rules_off: &str| -> String {
        let text = format!("[site]\nrules_off = [{rules_off}]\n{PRICED}");
        let job = Job::of(gable()).laid("39x13").offered(&text);
        let words = crew_words(&job).into_values().flatten();
        words.collect::<Vec<String>>().join(" ")
    };
    let all = words("");
    assert!(all.contains("starter first") && all.contains("cap over it"));
    let none = words("\"starter\", \"caps\"");
    assert!(none.contains("past the edge") && none.contains("cut on the ridge line"));
    assert!(!none.contains("starter first") && !none.contains("cap over it"));
}

#[test]
fn what_somebody_can_fall_through_is_told_on_the_sheet_of_its_face_and_among_the_cautions() {
    let plan = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/fixtures/rules/plans/gable-with-chimney-skylight-and-pipes.svg"
    );
    let roof = real_roof(&std::fs::read(plan).expect("the plan")).expect("a roof");
    let skylight = roof.openings.iter().find(|o| o.kind == "skylight");
    let face = skylight.expect("a skylight").faces[0];
    let name = roof.face(face).name.clone();
    let job = Job::of(roof).laid("39x13");
    for (of, words) in crew_words(&job) {
        let said = words.join(" ");
        let warned = said.contains("1 skylight: cover or rail it; never step or sit on it.");
        assert_eq!(warned, of == name, "{of}: {said}");
    }
    let options = PdfOptions {
        sheets: vec![Sheet::Method],
        paper: Paper::Letter,
    };
    let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
    let labels = sheets.iter().flat_map(|sheet| &sheet.labels);
    let said = labels
        .map(|l| l.words.as_str())
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        said.contains(&format!("Holes: 1 skylight on {name}: cover it")),
        "{said}"
    );
}

#[test]
fn no_figure_to_cut_or_chalk_by_is_under_4_mm() {
    let heights = |job: &Job| {
        let labels = crew_pages(job).into_iter().flat_map(|page| page.labels);
        let figures = labels.filter(|l| l.layer == "tables" && l.words.ends_with('″'));
        let figures = figures.filter(|l| l.words.starts_with(|c: char| c.is_ascii_digit()));
        let alone = figures.filter(|l| !l.words.contains(' '));
        alone.map(|l| l.height_mm).collect::<Vec<f64>>()
    };
    for roof in [example(), gable(), ell()] {
        let heights = heights(&Job::of(roof).laid("39x13"));
        assert!(heights.len() > 5, "{heights:?}");
        assert!(heights.iter().all(|h| *h >= 4.0 - 1e-9), "{heights:?}");
    }
}

#[test]
fn a_piece_has_one_width_in_the_cycle_in_the_list_and_on_the_course_sheet() {
    let mut met = 0;
    for (name, roof) in roofs() {
        let mut job = Job::of(roof);
        let format = formats::by_name("39x13", &[]).expect("a format");
        let choices = Choices {
            layout: Layout::Regular,
            ..Choices::default()
        };
        let laid = Courses::lay(&job.roof, &format, &LayRules::default(), &choices);
        job.courses = Some(laid.expect("courses"));
        let words = crew_words(&job);
        let on_course_sheets = starts_on_course_sheets(&job);
        for layout in &job.courses.as_ref().expect("courses").faces {
            let face = &job.roof.face(layout.face).name;
            let near = match layout.start {
                StartCorner::Left => "left",
                StartCorner::Right => "right",
            };
            let Some(words) = words.get(face) else {
                continue;
            };
            let read = read(words, near);
            let Some((_, said)) = read.pattern.split_once("in turn from course 1: ") else {
                continue;
            };
            let (said, _) = said.split_once("; then again").expect("a cycle");
            let cycle: Vec<f64> = said.split(", ").map(inches).collect();
            for (label, (course, _), _) in in_order(layout) {
                let listed = read.listed.get(&label).and_then(|row| row.first_in);
                let Some(listed) = listed else { continue };
                // A run beyond a valley or an opening has no start of its own there.
                let drawn = &on_course_sheets[face];
                let is_drawn = drawn.iter().any(|start| (start - listed).abs() < 1e-9);
                assert!(
                    is_drawn || label.ends_with(char::is_alphabetic),
                    "{name}, {face}: {label}"
                );
                let off = (listed - cycle[(course - 1) % cycle.len()]).abs();
                assert!(
                    !(1e-9..0.1).contains(&off),
                    "{name}, {face}: {label}, {off}"
                );
                met += usize::from(off < 1e-9);
            }
        }
    }
    assert!(met > 0);
}

#[test]
fn what_start_widths_in_turn_give_is_not_listed_again_in_metres() {
    // 1,000 mm in three starts: a printed step of 333 mm, added up from course to course, is 1.7 mm off after five.
    let feet = Job::of(example()).laid("39x13");
    let in_feet = crew_words(&feet);
    let in_metres = crew_words(&Job::of(example()).laid("39x13").in_metres());
    let mut met = 0;
    for (face, words) in &in_feet {
        let listed = |words: &[String]| words.join(" ").contains("for their first piece");
        if !words.join(" ").contains("Start widths in turn") {
            continue;
        }
        let metric = &in_metres[face];
        assert!(metric.join(" ").contains("Start widths in turn"), "{face}");
        assert_eq!(listed(words), listed(metric), "{face}: {metric:?}");
        met += 1;
    }
    assert!(met > 0);
}

#[test]
fn a_crew_is_told_where_joints_lie_nearer_than_the_rules_ask() {
    // Three times 13 in do not go round a shingle of 36 in.
    let rules = LayRules {
        joint_distance_in: 13.0,
        second_joint_distance_in: 13.0,
        ..LayRules::default()
    };
    let job = Job::of(gable()).laid_by("36x12", &rules);
    let words = crew_words(&job);
    for layout in &job.courses.as_ref().expect("courses").faces {
        let said = words[&job.roof.face(layout.face).name].join(" ");
        assert!(!layout.close_joints.is_empty(), "no room");
        for close in &layout.close_joints {
            let (low, high) = (close.nearest.0 + 1, close.nearest.1 + 1);
            let but_one = if high - low == 2 { " but one" } else { "" };
            let rule =
                format!("Joints nearer than 13″ to those of the next course{but_one} in courses ");
            assert!(said.contains(&rule), "{said}");
            let nearest = format!(" in courses {low} and {high}: ask before you lay them.");
            assert!(said.contains(&nearest), "{said}");
        }
    }
}

#[test]
fn where_two_parts_of_a_course_run_onto_each_other_the_sheet_says_where_they_are_cut() {
    let (mut crossing, mut apart) = (0, 0);
    for (name, roof) in roofs() {
        let job = Job::of(roof).laid("39x13");
        let words = crew_words(&job);
        for layout in &job.courses.as_ref().expect("courses").faces {
            let face = &job.roof.face(layout.face).name;
            let Some(words) = words.get(face) else {
                continue;
            };
            let crosses = layout.runs.windows(2).any(|two| {
                two[0].course == two[1].course && ends_in(&two[0]).1 > ends_in(&two[1]).0 + 0.5
            });
            let said = words.join(" ").contains("cut both at the ridge there.");
            assert_eq!(said, crosses, "{name}, {face}");
            crossing += usize::from(crosses);
            apart += usize::from(!crosses);
        }
    }
    assert!(crossing > 0 && apart > 20, "{crossing}, {apart}");
}

#[test]
fn heights_of_the_law_are_told_in_metres_on_metric_sheets() {
    // 3:12 is no steep roof for the law, so the height is told.
    let roof = roof(&[
        face(
            "S1",
            &[(0., 0., 0.), (40., 0., 0.), (40., 12., 3.), (0., 12., 3.)],
        ),
        face(
            "N1",
            &[(40., 24., 0.), (0., 24., 0.), (0., 12., 3.), (40., 12., 3.)],
        ),
    ]);
    let words = crew_words(&Job::of(roof).in_metres().laid("36x12"));
    assert_eq!(words.len(), 2);
    for (face, words) in &words {
        let said = words.join(" ");
        assert!(
            said.contains("1.8 m (6 ft) or more above"),
            "{face}: {said}"
        );
    }
}

#[test]
fn old_roofing_that_others_take_off_is_no_step_of_the_crew() {
    let told = |site: &str, hours: &str| {
        let job = format!(
            "{site}{}",
            PRICED.replace("[bid]", &format!("{hours}[bid]"))
        );
        let job = Job::of(gable()).laid("39x13").offered(&job);
        crew_words(&job)["S1"].join(" ")
    };
    let one = "[site]\nexisting_layers = 1\n";
    let bare = "[site]\nexisting_layers = 1\n[materials]\ndeck_sheets_per_10_squares = 0\n";
    let (ours, others) = (
        "tear_off_hours_per_square = 1\n",
        "tear_off_hours_per_square = 0\n",
    );
    for (site, hours, step, is_mended) in [
        (
            one,
            ours,
            "1 Tear off: 1 layer, once tested for asbestos",
            true,
        ),
        (
            bare,
            ours,
            "1 Tear off: 1 layer, once tested for asbestos",
            false,
        ),
        (
            one,
            others,
            "1 Old roofing: 1 layer, taken off by others before you start",
            true,
        ),
        (
            bare,
            others,
            "1 Old roofing: 1 layer, taken off by others before you start",
            false,
        ),
    ] {
        let words = told(site, hours);
        assert!(words.contains(step), "{words}");
        assert_eq!(words.contains("then mend the deck"), is_mended, "{words}");
        assert_eq!(
            words.contains("Tear off:"),
            step.contains("Tear off:"),
            "{words}"
        );
    }
}

#[test]
fn metal_is_told_to_lie_on_what_there_is_under_the_shingles() {
    let of = |roof: Roof, settings: &str| told(roof, settings)["S1"].clone();
    let bare = of(gable(), "[site]\nrules_off = [\"underlayment\"]\n");
    for step in [
        "Drip edge, eaves: on the deck; ends lapped",
        "Drip edge, rakes: on the deck; ends lapped",
    ] {
        assert!(bare.contains(step), "{bare}");
    }
    // 3 ft of plan at 6 in 12: the barrier goes 47 in up the slope, over all of it.
    let ice =
        "[plan]\neave_overhang = \"12in\"\n[site]\nice_barrier = true\nwall_thickness = \"6in\"\n";
    let narrow = roof(&[
        face(
            "S1",
            &[(0., 0., 0.), (40., 0., 0.), (40., 3., 1.5), (0., 3., 1.5)],
        ),
        face(
            "N1",
            &[(40., 6., 0.), (0., 6., 0.), (0., 3., 1.5), (40., 3., 1.5)],
        ),
    ]);
    let iced = of(narrow, ice);
    for step in [
        "Drip edge, eaves: on the deck, under the sheets",
        "Drip edge, rakes: over the ice barrier; ends lapped",
    ] {
        assert!(iced.contains(step), "{iced}");
    }
    let usual = of(gable(), ice);
    assert!(
        usual.contains("Drip edge, rakes: over the underlayment"),
        "{usual}"
    );
    let partly = "[site]\nice_barrier = true\nrules_off = [\"underlayment\"]\n[plan]\neave_overhang = \"12in\"\n";
    let partly = of(gable(), partly);
    let step = "Drip edge, rakes: on the deck, over the ice barrier where it lies";
    assert!(partly.contains(step), "{partly}");
}
