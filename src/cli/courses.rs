//! `eavewright courses`: the course layout face by face.

use eavewright::Finding;
use eavewright::courses::{self, Courses, FaceLayout, Layout};
use eavewright::report::{self, Paper, PdfOptions, Sheet};
use eavewright::roof::Roof;

use super::args::CoursesArgs;
use super::progress::Progress;
use super::results::Results;
use super::road::{self, Takeoff};
use super::settings::Settings;
use super::tell::Teller;
use super::{Failure, plan, say};

pub(crate) fn run(args: &CoursesArgs) -> Result<(), Failure> {
    let settings = Settings::new(&args.plan)?;
    let bytes = road::read(&args.plan.plan)?;
    let teller = Teller::new(&args.plan.plan, settings.metric, args.plan.telling.quiet);
    let progress = Progress::new(road::TAKE_OFF_STEPS + 1, args.plan.telling.quiet);
    let mut results = Results::of(&[&args.plan.plan], &args.plan.reading, &settings.job);
    let taken = match road::take_off(&bytes, &settings, &progress) {
        Ok(taken) => taken,
        Err(refused) => {
            drop(progress);
            plan::refuse(&args.plan, results, (&bytes, &refused), &teller)?;
            return Err(Failure::Plan);
        }
    };
    if args.face.is_some() {
        // One that is not there is a slip, whatever it is named for.
        one_face(
            args.face.as_deref(),
            "--face names",
            &taken.roof,
            &taken.courses,
        )?;
    }
    let mut findings = taken.findings();
    let change = match &args.then {
        Some(format) => Some(changed(args, format, &taken, &settings)?),
        None => None,
    };
    let change = change.map(|(words, noticed)| {
        findings.extend(noticed);
        findings.extend(only_in_words(args, &taken.courses.format.name));
        words
    });
    progress.step("drawing the sheets");
    findings.extend(add_files(args, &settings, &taken, &mut results)?);
    drop(progress);
    plan::add_marked(&args.plan, &bytes, &taken.drawing, &findings, &mut results)?;
    results.clear()?;
    teller.tell(&findings, args.plan.notes_too());
    plan::explain(&args.plan, &taken.drawing, &taken.roof, &teller);
    results.save()?;
    if args.plan.telling.quiet || results.take_stdout() {
        return Ok(());
    }
    let mut text = report::course_table(&taken.roof, &taken.courses, settings.units());
    if let Some(words) = change {
        text = words;
    }
    let better = courses::suggestions(&taken.roof, &taken.courses, &taken.courses.choices);
    text += &report::suggestion_words(&taken.roof, &better);
    text += &other_way(&taken, &settings);
    say(&(text + &results.wrote()))
}

/// What the roof takes laid the other way; nothing where it cannot be laid so.
fn other_way(taken: &Takeoff, settings: &Settings) -> String {
    let laid = &taken.courses;
    let mut choices = laid.choices.clone();
    choices.layout = match choices.layout {
        Layout::Fewest => Layout::Regular,
        Layout::Regular => Layout::Fewest,
    };
    match Courses::lay(&taken.roof, &settings.format, &settings.rules, &choices) {
        Ok(other) => report::layout_words(laid, &other),
        Err(_) => String::new(),
    }
}

/// Adds the files asked for; returns what was noticed when they were printed.
fn add_files(
    args: &CoursesArgs,
    settings: &Settings,
    taken: &Takeoff,
    results: &mut Results,
) -> Result<Vec<Finding>, Failure> {
    let (roof, units) = (&taken.roof, settings.units());
    let mut of_paper = Vec::new();
    if let Some(path) = &args.json {
        let better = courses::suggestions(roof, &taken.courses, &taken.courses.choices);
        let json = report::course_json(roof, &taken.courses, &better, units);
        results.add(path, json);
    }
    if let Some(path) = &args.svg {
        let svg = drawing_of_a_face(args.face.as_deref(), roof, &taken.courses, settings)?;
        results.add(path, svg);
    }
    if let Some(path) = &args.pdf {
        let project = plan::project(&args.plan.plan, settings);
        let report = taken.report(&project, units);
        let options = PdfOptions {
            sheets: vec![Sheet::CourseLayout, Sheet::Crew],
            paper: Paper::usual(units),
        };
        let pdf = report::pdf(&report, &options).map_err(|f| Failure::Usage(vec![f]))?;
        results.add(path, pdf.bytes);
        of_paper = pdf.findings;
    }
    Ok(of_paper)
}

/// The courses below the last one that a stock reaches that are looked at too: fewer shortened pieces are worth a few
/// shingles left over.
const BACK_OFF: usize = 3;

/// Where one face changes to another format, in words, and what to heed.
fn changed(
    args: &CoursesArgs,
    format: &str,
    taken: &Takeoff,
    settings: &Settings,
) -> Result<(String, Vec<Finding>), Failure> {
    let new = courses::formats::by_name(format, &settings.job.shingles.formats)
        .map_err(|f| Failure::Usage(vec![f]))?;
    let laid = &taken.courses;
    let layout = one_face(args.face.as_deref(), "--then changes on", &taken.roof, laid)?;
    let name = &taken.roof.face(layout.face).name;
    let range = match args.stock {
        None => 1..layout.courses,
        Some(pieces) => {
            let reached = layout.courses_laid_with(pieces);
            if reached == 0 {
                return Err(Failure::usage(
                    "stock-too-small",
                    format!(
                        "{pieces} pieces do not lay the first course of {name}: lay it all in {}.",
                        new.name
                    ),
                ));
            }
            if reached >= layout.courses {
                return Err(Failure::usage(
                    "stock-enough",
                    format!("{pieces} pieces lay all of {name}: nothing has to change."),
                ));
            }
            reached.saturating_sub(BACK_OFF).max(1)..reached + 1
        }
    };
    let (found, mut findings) = courses::changeover(layout, &laid.format, &new, &laid.rules, range);
    for finding in &mut findings {
        finding.message = format!("{name}: {}", finding.message);
    }
    let formats = (&laid.format, &new);
    let words = report::changeover_words(name, layout, formats, &found, settings.units());
    Ok((words, findings))
}

/// Told where files are written beside a change of formats, which none of them shows.
fn only_in_words(args: &CoursesArgs, laid: &str) -> Option<Finding> {
    let files = [
        ("--pdf", &args.pdf),
        ("--json", &args.json),
        ("--svg", &args.svg),
    ];
    let written: Vec<&str> = (files.iter())
        .filter_map(|(option, path)| path.is_some().then_some(*option))
        .collect();
    let holds = if written.len() == 1 { "holds" } else { "hold" };
    (!written.is_empty()).then(|| {
        Finding::warning(
            "change-in-words-only",
            format!(
                "What {} writes {holds} the layout in {laid} from eave to ridge: the change of formats is told in words on standard output alone.",
                written.join(" and ")
            ),
        )
        .remedy("Hand the crew the words printed here too; where a file goes to standard output, run it once more without.")
    })
}

/// The layout of the face named; where none is, of the only face that is laid. `what` is what needs one face.
fn one_face<'a>(
    name: Option<&str>,
    what: &str,
    roof: &Roof,
    laid: &'a Courses,
) -> Result<&'a FaceLayout, Failure> {
    let names: Vec<&str> = laid
        .faces
        .iter()
        .map(|f| roof.face(f.face).name.as_str())
        .collect();
    let chosen = match name {
        Some(name) => names.iter().position(|n| n.eq_ignore_ascii_case(name)),
        None => (names.len() == 1).then_some(0),
    };
    chosen.and_then(|i| laid.faces.get(i)).ok_or_else(|| {
        let wrong = match name {
            Some(name) => format!("No courses are laid on a face called “{name}”"),
            None => format!("{what} one face, and several have courses"),
        };
        Failure::usage(
            "face-unknown",
            format!("{wrong}: say --face with one of {}.", names.join(", ")),
        )
    })
}

/// The SVG of one face.
fn drawing_of_a_face(
    name: Option<&str>,
    roof: &Roof,
    laid: &Courses,
    settings: &Settings,
) -> Result<String, Failure> {
    let layout = one_face(name, "--svg draws", roof, laid)?;
    let unfolded = laid
        .unfold(roof, layout.face)
        .map_err(|f| Failure::Usage(vec![f]))?;
    let name = &roof.face(layout.face).name;
    Ok(report::face_svg(name, &unfolded, layout, settings.units()))
}
