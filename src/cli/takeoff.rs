//! `eavewright takeoff`: the main job.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use eavewright::batch::without_ending;
use eavewright::drawing::Drawing;
use eavewright::drawing::marked::{self, Fall};
use eavewright::job::Job;
use eavewright::report::{self, OutputUnits, PdfOptions, ProjectInfo, Sheet};
use eavewright::{Finding, gravest_first};

use eavewright::roof::{Roof, SuggestedFall};

use super::args::{PaperArgs, PlanArgs, ReadingArgs, TakeoffArgs};
use super::output::{Pending, named_twice, write_all};
use super::progress::Progress;
use super::road::{self, Refused, Takeoff};
use super::settings::{Settings, price_list_path};
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
            refuse(&args.plan, &settings.job, &[], (&bytes, &refused), &teller)?;
            Err(Failure::Plan)
        }
    }
}

/// Tells every reason; writes nothing but the marked drawing, where one was asked for and the plan could be read: over
/// nothing that the user brought, be it the plan, the job or one of the `others`.
pub(crate) fn refuse(
    args: &PlanArgs,
    job: &Job,
    others: &[&Path],
    (bytes, refused): (&[u8], &Refused),
    teller: &Teller<'_>,
) -> Result<(), Failure> {
    teller.tell(&refused.findings, true);
    if let (Some(path), Some(drawing)) = (&args.marked, &refused.drawing) {
        let falls: Vec<Fall> = refused.falls.iter().map(proposed).collect();
        // Numbered as they are told, the graver first.
        let mut findings = refused.findings.clone();
        gravest_first(&mut findings);
        let name = file_name(&args.plan);
        let marked = marked::write(bytes, &name, drawing, &findings, &falls)
            .map_err(|f| Failure::Usage(vec![f]))?;
        let results = [Pending::new(path, marked)];
        keep_the_plan(&args.plan, &results)?;
        keep_the_job(&args.reading, job, &results)?;
        for other in others {
            keep_the_plan(other, &results)?;
        }
        save(&results)?;
    }
    Ok(())
}

/// The arrow that is drawn for a fall that is asked about: as long as the face lets it be.
pub(crate) fn proposed(fall: &SuggestedFall) -> Fall {
    Fall {
        at: fall.at,
        direction: fall.fall * fall.reach_ft,
        name: fall.face_label.clone(),
        level: fall.level,
    }
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
    let mut results = Vec::new();
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
        results.push(Pending::new(path, pdf.bytes));
    }
    if let Some(path) = &args.outputs.json {
        let told = report.clone().with_findings(&of_paper);
        results.push(Pending::new(path, report::json(&told)));
    }
    if let Some(path) = &args.outputs.csv {
        results.push(Pending::new(path, report::csv(&report)));
    }
    if let Some(path) = &args.outputs.svg {
        results.push(Pending::new(
            path,
            report::svg(&report).map_err(|f| Failure::Usage(vec![f]))?,
        ));
    }
    if let Some(path) = &args.outputs.html {
        results.push(Pending::new(path, report::html::page(&report)));
    }
    if let Some(path) = &args.outputs.glb {
        results.push(Pending::new(
            path,
            report::glb::write(&takeoff.roof, &project.source_file),
        ));
    }
    results.extend(marked(&args.plan, bytes, &takeoff.drawing, &findings)?);
    keep_the_plan(&args.plan.plan, &results)?;
    keep_the_job(&args.plan.reading, &settings.job, &results)?;
    drop(progress);
    teller.tell(&findings, args.plan.notes_too());
    save(&results)?;
    let to_stdout = results.iter().any(Pending::to_stdout);
    if args.plan.telling.quiet || to_stdout {
        // Results have standard output to themselves.
        explain(&args.plan, &takeoff.drawing, &takeoff.roof, teller);
        return Ok(());
    }
    let mut text = report::summary(&report, &of_paper);
    if args.plan.explain {
        text += &explanation(&takeoff.drawing, &takeoff.roof);
    }
    for file in &results {
        text += &format!("wrote {}\n", file.path().display());
    }
    say(&text)
}

/// The drawing with every finding marked, where it was asked for.
pub(crate) fn marked(
    args: &PlanArgs,
    bytes: &[u8],
    drawing: &Drawing,
    findings: &[Finding],
) -> Result<Option<Pending>, Failure> {
    let Some(path) = &args.marked else {
        return Ok(None);
    };
    let marked = marked::write(bytes, &file_name(&args.plan), drawing, findings, &[])
        .map_err(|f| Failure::Usage(vec![f]))?;
    Ok(Some(Pending::new(path, marked)))
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

/// A result must never be written over the plan that it was made from.
pub(crate) fn keep_the_plan(plan: &Path, results: &[Pending]) -> Result<(), Failure> {
    keep(plan, ("output-is-plan", "the plan"), results)
}

/// Nor over the job file, nor over the price list that it names.
pub(crate) fn keep_the_job(
    reading: &ReadingArgs,
    job: &Job,
    results: &[Pending],
) -> Result<(), Failure> {
    let Some(file) = &reading.job else {
        return Ok(());
    };
    keep(file, ("output-is-job", "the job file"), results)?;
    match price_list_path(file, job) {
        Some(list) => keep(&list, ("output-is-prices", "the price list"), results),
        None => Ok(()),
    }
}

pub(crate) fn keep(
    input: &Path,
    (code, what): (&'static str, &str),
    results: &[Pending],
) -> Result<(), Failure> {
    let Ok(input) = input.canonicalize() else {
        return Ok(());
    };
    let over = |result: &&Pending| result.path().canonicalize().is_ok_and(|p| p == input);
    match results.iter().find(over) {
        None => Ok(()),
        Some(result) => Err(Failure::usage(
            code,
            format!(
                "{} is {what} itself; give the result another name.",
                result.path().display()
            ),
        )),
    }
}

/// Writes all results, or says which could not be written.
pub(crate) fn save(results: &[Pending]) -> Result<(), Failure> {
    if let Some(path) = named_twice(results) {
        let place = if path.as_os_str() == "-" {
            "standard output".to_owned()
        } else {
            path.display().to_string()
        };
        return Err(Failure::usage(
            "output-named-twice",
            format!("Two results would be written to {place}: give each a place of its own."),
        ));
    }
    write_all(results).map_err(|e| {
        Failure::usage(
            "output-unwritable",
            format!("{} cannot be written: {}.", e.path.display(), e.cause),
        )
    })
}

/// A result beside the plan, named after it: `PLAN-takeoff.pdf`. Of a packed plan `.svg.gz` is one ending.
pub(crate) fn beside(plan: &Path, ending: &str) -> PathBuf {
    let whole = plan.file_name().and_then(|name| name.to_str());
    let known = whole
        .map(without_ending)
        .filter(|&name| Some(name) != whole);
    let mut name = match (known, plan.file_stem()) {
        (Some(name), _) => OsString::from(name),
        (None, Some(stem)) => stem.to_owned(),
        (None, None) => OsString::from("plan"),
    };
    name.push(ending);
    plan.with_file_name(name)
}

/// The plan's name in its folder, as it is printed and kept.
pub(crate) fn file_name(plan: &Path) -> String {
    let name = plan.file_name().unwrap_or_default();
    name.to_string_lossy().into_owned()
}

/// Who and what for, as the job says.
pub(crate) fn project(plan: &Path, settings: &Settings) -> ProjectInfo {
    let said = &settings.job.project;
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    ProjectInfo {
        name: text(&said.name),
        client: text(&said.client),
        address: text(&said.address),
        date: text(&said.date),
        revision: text(&said.revision),
        drawn_by: text(&said.drawn_by),
        checked_by: text(&said.checked_by),
        document: text(&said.document),
        status: text(&said.status),
        contractor: text(&said.contractor),
        contractor_address: text(&said.contractor_address),
        source_file: file_name(plan),
        up_bearing_deg: settings.job.plan.north_deg.unwrap_or(0.0),
    }
}

/// Tells on standard error what was asked to be explained, if anything was.
pub(crate) fn explain(args: &PlanArgs, drawing: &Drawing, roof: &Roof, teller: &Teller<'_>) {
    if args.explain {
        teller.explain(&explanation(drawing, roof));
    }
}

/// How shapes were chosen and why each face falls as it does.
fn explanation(drawing: &Drawing, roof: &Roof) -> String {
    let mut text = format!(
        "\nScale: {}\n\nWhy each face falls as it does\n",
        drawing.scale.from
    );
    for face in &roof.faces {
        text += &format!("  {:<5} {}\n", face.name, face.why);
    }
    if !drawing.left_out.is_empty() {
        text += "\nLeft out of the roof\n";
        for left in &drawing.left_out {
            text += &format!("  {}\n", left_out(left));
        }
    }
    text + "\n"
}

fn left_out(left: &eavewright::drawing::LeftOut) -> String {
    let what = left.place.source.as_ref().map(|s| {
        let id =
            s.id.as_ref()
                .map(|id| format!(" \"{id}\""))
                .unwrap_or_default();
        format!("<{}>{id} at line {}: ", s.tag, s.line)
    });
    let finding = Finding::note("left-out", left.why.clone());
    format!("{}{}", what.unwrap_or_default(), finding.message)
}
