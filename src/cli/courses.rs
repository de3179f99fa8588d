//! `eavewright courses`: the course layout face by face.

use eavewright::courses::{self, Courses};
use eavewright::report::{self, Inputs, PdfOptions, Report, Sheet};
use eavewright::roof::Roof;

use super::args::CoursesArgs;
use super::output::Pending;
use super::progress::Progress;
use super::road::{self, Takeoff};
use super::settings::Settings;
use super::tell::Teller;
use super::{Failure, print, takeoff};

pub(crate) fn run(args: &CoursesArgs) -> Result<(), Failure> {
    let settings = Settings::new(&args.plan)?;
    let bytes = road::read(&args.plan.plan)?;
    let teller = Teller::new(&args.plan.plan, settings.metric, args.plan.quiet);
    let progress = Progress::new(road::TAKE_OFF_STEPS + 1, args.plan.quiet);
    let taken = match road::take_off(&bytes, &settings, &progress) {
        Ok(taken) => taken,
        Err(refused) => {
            drop(progress);
            takeoff::refuse(&args.plan, &bytes, &refused, &teller)?;
            return Err(Failure::Plan);
        }
    };
    let findings = taken.findings();
    progress.step("drawing the sheets");
    let mut results = files(args, &settings, &taken)?;
    drop(progress);
    results.extend(takeoff::marked(
        &args.plan,
        &bytes,
        &taken.drawing,
        &findings,
    )?);
    takeoff::keep_the_plan(&args.plan.plan, &results)?;
    teller.tell(&findings, args.plan.explain);
    takeoff::save(&results)?;
    if args.plan.quiet || results.iter().any(Pending::to_stdout) {
        return Ok(());
    }
    let mut text = report::course_table(&taken.roof, &taken.courses, settings.units());
    let better = courses::suggestions(&taken.roof, &taken.courses, &taken.courses.choices);
    text += &report::suggestion_words(&taken.roof, &better);
    for file in &results {
        text += &format!("wrote {}\n", file.path().display());
    }
    print(text.as_bytes())
}

/// The files asked for.
fn files(
    args: &CoursesArgs,
    settings: &Settings,
    taken: &Takeoff,
) -> Result<Vec<Pending>, Failure> {
    let (roof, units) = (&taken.roof, settings.units());
    let mut results = Vec::new();
    if let Some(path) = &args.json {
        let better = courses::suggestions(roof, &taken.courses, &taken.courses.choices);
        let json = report::course_json(roof, &taken.courses, &better, units);
        results.push(Pending::new(path, json));
    }
    if let Some(path) = &args.svg {
        let svg = drawing_of_a_face(args.face.as_deref(), roof, &taken.courses, settings)?;
        results.push(Pending::new(path, svg));
    }
    if let Some(path) = &args.pdf {
        let project = takeoff::project(&args.plan.plan, settings);
        let report = Report::new(Inputs {
            drawing: &taken.drawing,
            roof,
            courses: Some(&taken.courses),
            materials: Some(&taken.materials),
            offer: None,
            comparison: None,
            project: &project,
            units,
        });
        let options = PdfOptions {
            sheets: vec![Sheet::CourseLayout, Sheet::Crew],
            ..PdfOptions::default()
        };
        let pdf = report::pdf(&report, &options).map_err(|f| Failure::Usage(vec![f]))?;
        results.push(Pending::new(path, pdf.bytes));
    }
    Ok(results)
}

/// The SVG of the face named; where none is, of the only face that is laid.
fn drawing_of_a_face(
    name: Option<&str>,
    roof: &Roof,
    laid: &Courses,
    settings: &Settings,
) -> Result<String, Failure> {
    let names: Vec<&str> = laid
        .faces
        .iter()
        .map(|f| roof.face(f.face).name.as_str())
        .collect();
    let chosen = match name {
        Some(name) => names.iter().position(|n| n.eq_ignore_ascii_case(name)),
        None => (names.len() == 1).then_some(0),
    };
    let Some(layout) = chosen.and_then(|i| laid.faces.get(i)) else {
        let wrong = match name {
            Some(name) => format!("No courses are laid on a face called “{name}”"),
            None => "--svg draws one face, and several have courses".to_owned(),
        };
        return Err(Failure::usage(
            "face-unknown",
            format!("{wrong}: say --face with one of {}.", names.join(", ")),
        ));
    };
    let unfolded = laid
        .unfold(roof, layout.face)
        .map_err(|f| Failure::Usage(vec![f]))?;
    let name = &roof.face(layout.face).name;
    Ok(report::face_svg(name, &unfolded, layout, settings.units()))
}
