//! `eavewright takeoff`: the main job.

use eavewright::Finding;
use eavewright::report::{self, OutputUnits, PdfOptions, Sheet};

use super::args::{PaperArgs, TakeoffArgs};
use super::plan::{add_marked, beside, explain, explanation, project, refuse};
use super::progress::Progress;
use super::results::Results;
use super::road::{self, Takeoff};
use super::settings::Settings;
use super::tell::Teller;
use super::{Failure, say, watch};

pub(crate) fn run(args: &TakeoffArgs) -> Result<(), Failure> {
    if args.watch {
        watch::run(args)
    } else {
        once(args)
    }
}

/// One takeoff, from reading to writing.
pub(crate) fn once(args: &TakeoffArgs) -> Result<(), Failure> {
    let settings = Settings::new(&args.plan)?;
    let bytes = road::read(&args.plan.plan)?;
    let teller = Teller::new(&args.plan.plan, settings.metric, args.plan.telling.quiet);
    let progress = Progress::new(road::TAKE_OFF_STEPS + 2, args.plan.telling.quiet);
    match road::take_off(&bytes, &settings, &progress) {
        Ok(mut takeoff) => {
            progress.step("comparing and pricing");
            takeoff.compare(&settings);
            takeoff.price(&settings)?;
            write(args, &settings, &bytes, (&takeoff, progress), &teller)
        }
        Err(refused) => {
            drop(progress);
            refuse(
                &args.plan,
                results(args, &settings),
                (&bytes, &refused),
                &teller,
            )?;
            Err(Failure::Plan)
        }
    }
}

fn results(args: &TakeoffArgs, settings: &Settings) -> Results {
    Results::of(&[&args.plan.plan], &args.plan.reading, &settings.job)
}

fn write(
    args: &TakeoffArgs,
    settings: &Settings,
    bytes: &[u8],
    (takeoff, progress): (&Takeoff, Progress),
    teller: &Teller<'_>,
) -> Result<(), Failure> {
    progress.step("drawing the sheets");
    let (paper, sheets) = (&args.outputs.paper, &args.outputs.sheets);
    let pdf_options = pdf_options(paper, sheets, Some(takeoff), settings.units())?;
    let project = project(&args.plan.plan, settings);
    let report = takeoff.report(&project, settings.units());
    let mut findings = takeoff.findings();
    let mut of_paper = Vec::new();
    let mut results = results(args, settings);
    let pdf_path = (!args.outputs.no_pdf).then(|| {
        args.outputs
            .pdf
            .clone()
            .unwrap_or_else(|| beside(&args.plan.plan, "-takeoff.pdf"))
    });
    if let Some(path) = &pdf_path {
        let pdf = report::pdf(&report, &pdf_options).map_err(|f| Failure::Usage(vec![f]))?;
        of_paper = pdf.findings;
        findings.extend_from_slice(&of_paper);
        results.add(path, pdf.bytes);
    }
    if let Some(path) = &args.outputs.json {
        let told = report.clone().with_findings(&of_paper);
        results.add(path, report::json(&told));
    }
    if let Some(path) = &args.outputs.csv {
        results.add(path, report::csv(&report));
    }
    if let Some(path) = &args.outputs.svg {
        results.add(
            path,
            report::svg(&report).map_err(|f| Failure::Usage(vec![f]))?,
        );
    }
    if let Some(path) = &args.outputs.html {
        results.add(path, report::html::page(&report));
    }
    if let Some(path) = &args.outputs.glb {
        results.add(
            path,
            report::glb::write(&takeoff.roof, &project.source_file),
        );
    }
    add_marked(&args.plan, bytes, &takeoff.drawing, &findings, &mut results)?;
    results.clear()?;
    drop(progress);
    teller.tell(&findings, args.plan.notes_too());
    results.save()?;
    if args.plan.telling.quiet || results.take_stdout() {
        // Results have standard output to themselves.
        explain(&args.plan, &takeoff.drawing, &takeoff.roof, teller);
        return Ok(());
    }
    let mut text = report::summary(&report, &of_paper);
    if args.plan.explain {
        text += &explanation(&takeoff.drawing, &takeoff.roof);
    }
    say(&(text + &results.wrote()))
}

/// The sheets and the paper that were asked for. A sheet that there is nothing for is refused, and one that is named twice
/// is printed once.
pub(crate) fn pdf_options(
    paper: &PaperArgs,
    sheets: &[String],
    takeoff: Option<&Takeoff>,
    units: OutputUnits,
) -> Result<PdfOptions, Failure> {
    let mut options = PdfOptions {
        paper: paper.chosen(units)?,
        ..PdfOptions::default()
    };
    if sheets.is_empty() {
        return Ok(options);
    }
    options.sheets = Vec::new();
    for name in sheets {
        let sheet = sheet(name)?;
        if !options.sheets.contains(&sheet) {
            options.sheets.push(sheet);
        }
    }
    let empty = options.sheets.iter().find_map(|s| nothing_for(*s, takeoff));
    empty.map_or(Ok(options), |told| Err(Failure::Usage(vec![told])))
}

/// Told of a sheet that would have nothing on it.
fn nothing_for(sheet: Sheet, takeoff: Option<&Takeoff>) -> Option<Finding> {
    let told = |code, needs: &str, remedy: &str| {
        let message = format!("The sheet “{}” needs {needs}.", sheet.name());
        Some(Finding::error(code, message).remedy(remedy))
    };
    match sheet {
        Sheet::Bid | Sheet::Cost if takeoff.is_none_or(|t| t.offer.is_none()) => told(
            "sheet-without-prices",
            "prices, and the job has none",
            "Give prices under [prices] in the job file: `eavewright job new` shows how.",
        ),
        Sheet::Formats if takeoff.is_none_or(|t| t.comparison.is_none()) => told(
            "sheet-without-formats",
            "formats to compare, and the job names none",
            "Name some with `compare` under [shingles] in the job file, or use `eavewright compare`.",
        ),
        Sheet::Review => told(
            "sheet-without-review",
            "a review, which a takeoff does not make",
            "Use `eavewright check` with --pdf.",
        ),
        _ => None,
    }
}

fn sheet(name: &str) -> Result<Sheet, Failure> {
    let known = Sheet::ALL.into_iter().find(|s| s.name() == name.trim());
    known.ok_or_else(|| {
        let names: Vec<&str> = Sheet::ALL.iter().map(|s| s.name()).collect();
        Failure::usage(
            "sheet-unknown",
            format!("“{name}” is no sheet: choose from {}.", names.join(", ")),
        )
    })
}
