//! Every length of a roof stands somewhere on paper: along its edge, on a detail, or in the schedule of sloping edges.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::report::{self, Paper, PdfOptions, Sheet};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{Edge, LEVEL_RISE_FT, Roof, SolveOptions};

use crate::report_marks::faults;
use crate::report_roofs::Job;
use crate::support::careful_plans;

/// Feet and inches to the nearest eighth, by an own road.
fn feet_and_inches(feet: f64) -> String {
    let eighths = (feet * 96.0).round() as u64;
    let (whole_ft, rest) = (eighths / 96, eighths % 96);
    let part = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"][(rest % 8) as usize];
    match (whole_ft, rest / 8, part) {
        (0, 0, part) if !part.is_empty() => format!("{part}″"),
        (0, inches, part) => format!("{inches}{part}″"),
        (feet, inches, part) => format!("{feet}′-{inches}{part}″"),
    }
}

/// The edges that run on straight from one, itself among them: a reader takes them for one line.
fn straight_run<'a>(roof: &'a Roof, edge: &'a Edge) -> Vec<&'a Edge> {
    let way = |e: &Edge| (e.end.plan() - e.start.plan()).unit();
    let mut run = vec![edge];
    let mut met = 0;
    while met < run.len() {
        let last = run[met];
        met += 1;
        for other in &roof.edges {
            let known = run.iter().any(|e| std::ptr::eq(*e, other));
            let mut faces = [last.faces.clone(), other.faces.clone()];
            faces.iter_mut().for_each(|f| f.sort());
            let ends =
                [last.start, last.end].map(|p| [other.start, other.end].map(|q| p.distance(q)));
            let touches = ends.iter().flatten().any(|d| *d < 0.001 / 12.0);
            let straight = match (way(last), way(other)) {
                (Some(a), Some(b)) => a.cross(b).abs() < 0.0035,
                _ => false,
            };
            if !known && other.class == last.class && faces[0] == faces[1] && touches && straight {
                run.push(other);
            }
        }
    }
    run
}

/// Lengths that stand nowhere.
fn lost(roof: Roof, paper: Paper) -> Vec<String> {
    let round: Vec<usize> = roof.round_edges.iter().flatten().map(|id| id.0).collect();
    let wanted: Vec<(String, bool)> = (0..roof.edges.len())
        .filter(|i| !round.contains(i))
        .map(|i| {
            let edge = &roof.edges[i];
            let run = straight_run(&roof, edge);
            let feet: f64 = run.iter().map(|e| e.true_length.to_feet()).sum();
            let heights = || run.iter().flat_map(|e| [e.start.z, e.end.z]);
            let rise = heights().fold(f64::NEG_INFINITY, f64::max)
                - heights().fold(f64::INFINITY, f64::min);
            let slopes = rise > LEVEL_RISE_FT;
            (
                format!("{} {}", edge.class.words(), feet_and_inches(feet)),
                slopes,
            )
        })
        .collect();
    let options = PdfOptions {
        paper,
        sheets: vec![Sheet::RoofPlan, Sheet::Schedules],
    };
    let job = Job::of(roof);
    let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
    let (plans, schedules): (Vec<_>, Vec<_>) = sheets
        .iter()
        .partition(|s| s.title.starts_with("Roof plan"));
    let on = |sheets: &[&report::SheetMarks], words: &str| {
        let mut labels = sheets.iter().flat_map(|s| &s.labels);
        labels.any(|l| l.words == words || l.words == format!("{words} in all"))
    };
    wanted
        .into_iter()
        .filter(|(words, slopes)| {
            let length = words.rsplit(' ').next().unwrap_or_default();
            // A length without its class stands in a table: of what found no room, or of sloping edges.
            let in_table = on(&plans, length) || (*slopes && on(&schedules, length));
            let told = on(&plans, words) || in_table;
            !told
        })
        .map(|(words, _)| words)
        .collect()
}

fn solved(svg: &[u8]) -> Option<Roof> {
    let drawing = Drawing::read(svg, &ReadOptions::default()).ok()?;
    let maps = map::build(&drawing, &MapOptions::default()).ok()?;
    let options = SolveOptions {
        accept_falls: true,
        ..SolveOptions::default()
    };
    Roof::solve(&maps, &options).ok()
}

pub(crate) fn fixtures() -> Vec<(String, Roof)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/roofs");
    let mut named: Vec<(String, Roof)> = std::fs::read_dir(folder)
        .expect("a folder")
        .filter_map(|entry| {
            let folder = entry.expect("an entry").path();
            let svg = std::fs::read(folder.join("plan.svg")).ok()?;
            let name = folder.file_name()?.to_string_lossy().into_owned();
            Some((name, solved(&svg)?))
        })
        .collect();
    named.sort_by(|a, b| a.0.cmp(&b.0));
    named
}

#[test]
fn every_length_of_the_fixtures_stands_on_a_plan_a_detail_or_in_the_schedule() {
    let roofs = fixtures();
    assert!(roofs.len() > 20, "only {} were solved", roofs.len());
    for (name, roof) in roofs {
        for paper in [Paper::Letter, Paper::ArchD] {
            let lost = lost(roof.clone(), paper);
            assert!(lost.is_empty(), "{name}, {}: {lost:?}", paper.name());
        }
    }
}

#[test]
fn every_length_of_real_roofs_stands_on_a_plan_a_detail_or_in_the_schedule() {
    let Some(plans) = careful_plans() else {
        return;
    };
    let mut wrong = Vec::new();
    for plan in plans {
        let Some(roof) = solved(&std::fs::read(&plan).expect("a plan")) else {
            continue;
        };
        let name = plan
            .file_stem()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        wrong.extend(
            lost(roof, Paper::Letter)
                .into_iter()
                .map(|l| format!("{name}: {l}")),
        );
    }
    assert!(
        wrong.is_empty(),
        "{} lengths:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn no_label_of_the_fixtures_touches_another_or_a_line_on_any_paper() {
    let mut wrong = Vec::new();
    for (name, roof) in fixtures() {
        let job = Job::of(roof).laid("39x13");
        for paper in Paper::ALL {
            let options = PdfOptions {
                paper,
                ..PdfOptions::default()
            };
            let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
            let faults = sheets.iter().flat_map(faults);
            wrong.extend(faults.map(|fault| format!("{name}, {}: {fault}", paper.name())));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} faults:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn how_closely_curves_are_laid_is_told_in_millimetres_on_metric_sheets() {
    // 1/32 in is 0.79 mm.
    let svg = include_bytes!("../../examples/quillback-road.svg");
    let mut job = Job::of(solved(svg).expect("a roof"));
    job.drawing = Drawing::read(svg, &ReadOptions::default()).expect("the example");
    let said = |job: &Job| {
        let options = PdfOptions {
            sheets: vec![Sheet::Method],
            paper: Paper::A4,
        };
        let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
        let labels = sheets.into_iter().flat_map(|sheet| sheet.labels);
        let words: Vec<String> = labels.map(|label| label.words).collect();
        words.join(" ")
    };
    assert!(said(&job).contains("no farther than 0.031 in from them"));
    let metric = said(&job.in_metres());
    assert!(metric.contains("no farther than 0.8 mm from them"));
    assert!(!metric.contains("0.031 in"));
}
