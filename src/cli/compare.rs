//! `eavewright compare`: the same roof laid in several shingle formats.

use eavewright::courses::{self, Comparison, ShingleFormat};
use eavewright::drawing::Drawing;
use eavewright::report::{Inputs, PdfFile, PdfOptions, Report, Sheet};
use eavewright::roof::Roof;
use eavewright::{Finding, gravest_first, report};

use super::args::CompareArgs;
use super::progress::Progress;
use super::results::Results;
use super::settings::Settings;
use super::tell::Teller;
use super::{Failure, plan, road, say};

pub(crate) fn run(args: &CompareArgs) -> Result<(), Failure> {
    let settings = Settings::new(&args.plan)?;
    let formats = formats(args, &settings)?;
    let bytes = road::read(&args.plan.plan)?;
    let teller = Teller::new(&args.plan.plan, settings.metric, args.plan.telling.quiet);
    let progress = Progress::new(road::SOLVE_STEPS + 1, args.plan.telling.quiet);
    let mut results = Results::of(&[&args.plan.plan], &args.plan.reading, &settings.job);
    let (drawing, roof) = match road::solve(&bytes, &settings, &progress) {
        Ok(solved) => solved,
        Err(refused) => {
            drop(progress);
            plan::refuse(&args.plan, results, (&bytes, &refused), &teller)?;
            return Err(Failure::Plan);
        }
    };
    let (choices, doubts) = settings.choices(&drawing, &roof);
    progress.step("laying the formats");
    let compared = courses::compare(&roof, &formats, &settings.rules, &choices, args.nails);
    drop(progress);
    let comparison = match compared {
        Ok(comparison) => comparison,
        Err(reasons) => {
            teller.tell(&reasons, true);
            return Err(Failure::Plan);
        }
    };
    let mut findings: Vec<Finding> = [
        &drawing.findings,
        &roof.findings,
        &doubts,
        &comparison.findings,
    ]
    .into_iter()
    .flatten()
    .cloned()
    .collect();
    gravest_first(&mut findings);
    add_files(args, &settings, &comparison, &mut results);
    if let Some(path) = &args.pdf {
        let pdf = sheet(args, &settings, (&drawing, &roof), &comparison)?;
        findings.extend(pdf.findings);
        results.add(path, pdf.bytes);
    }
    plan::add_marked(&args.plan, &bytes, &drawing, &findings, &mut results)?;
    results.clear()?;
    teller.tell(&findings, args.plan.notes_too());
    plan::explain(&args.plan, &drawing, &roof, &teller);
    results.save()?;
    if args.plan.telling.quiet || results.take_stdout() {
        return Ok(());
    }
    let table = report::comparison_table(&comparison, settings.units());
    say(&(table + &results.wrote()))
}

/// The formats asked for; all of the job's own and of the catalogue where none is, the job's format first.
fn formats(args: &CompareArgs, settings: &Settings) -> Result<Vec<ShingleFormat>, Failure> {
    let own = &settings.job.shingles.formats;
    if !args.formats.is_empty() {
        let mut wrong = Vec::new();
        let mut chosen: Vec<ShingleFormat> = Vec::new();
        for name in &args.formats {
            match courses::formats::by_name(name, own) {
                Ok(format) if chosen.iter().any(|f| f.name == format.name) => {}
                Ok(format) => chosen.push(format),
                Err(finding) => wrong.push(finding),
            }
        }
        return if wrong.is_empty() {
            Ok(chosen)
        } else {
            Err(Failure::Usage(wrong))
        };
    }
    let mut all = vec![settings.format.clone()];
    for format in own.iter().cloned().chain(courses::formats::shipped()) {
        // A format of the job's own hides a shipped one of the same name, as everywhere.
        if !all
            .iter()
            .any(|f| f.name.eq_ignore_ascii_case(&format.name))
        {
            all.push(format);
        }
    }
    Ok(all)
}

/// The sheet.
fn sheet(
    args: &CompareArgs,
    settings: &Settings,
    (drawing, roof): (&Drawing, &Roof),
    comparison: &Comparison,
) -> Result<PdfFile, Failure> {
    let options = PdfOptions {
        sheets: vec![Sheet::Formats],
        paper: args.paper.chosen(settings.units())?,
    };
    let project = plan::project(&args.plan.plan, settings);
    let report = Report::new(Inputs {
        comparison: Some(comparison),
        ..Inputs::of_roof(drawing, roof, &project, settings.units())
    });
    report::pdf(&report, &options).map_err(|f| Failure::Usage(vec![f]))
}

/// Adds the files asked for, but for the sheet.
fn add_files(
    args: &CompareArgs,
    settings: &Settings,
    comparison: &Comparison,
    results: &mut Results,
) {
    let units = settings.units();
    if let Some(path) = &args.json {
        results.add(path, report::comparison_json(comparison, units));
    }
    if let Some(path) = &args.csv {
        results.add(path, report::comparison_csv(comparison, units));
    }
}
