//! `eavewright check`: the reviewer's side.

use std::path::{Path, PathBuf};

use eavewright::drawing::Drawing;
use eavewright::drawing::written::written;
use eavewright::report::{
    self, Inputs, OutputUnits, PdfOptions, Report, Sheet, review as review_report,
};
use eavewright::review::{AgainstList, Overhang, Review, ReviewSettings, Verdict};
use eavewright::roof::Roof;
use eavewright::{Finding, gravest_first};

use super::args::CheckArgs;
use super::plan::{beside, explain, marked, project, proposed_falls};
use super::progress::Progress;
use super::results::Results;
use super::road::{self, Refused};
use super::settings::Settings;
use super::tell::Teller;
use super::{Failure, say};

pub(crate) fn run(args: &CheckArgs) -> Result<(), Failure> {
    let mut settings = Settings::new(&args.plan)?;
    settings.roof.solve.tell_misfits = true;
    let review_settings = review_settings(args, &settings)?;
    let against = against(args, settings.metric)?;
    let bytes = road::read(&args.plan.plan)?;
    let teller = Teller::new(&args.plan.plan, settings.metric, args.plan.telling.quiet);
    let progress = Progress::new(road::SOLVE_STEPS + 1, args.plan.telling.quiet);
    match road::solve(&bytes, &settings, &progress) {
        Ok((drawing, roof)) => {
            progress.step("looking for slips");
            let review = Review::of(&drawing, &roof, against.as_ref(), &review_settings)
                .map_err(Failure::Usage)?;
            drop(progress);
            write(args, &settings, &bytes, (&drawing, &roof), &review, &teller)
        }
        Err(refused) => {
            drop(progress);
            refuse(args, &settings, &bytes, &refused, &teller)
        }
    }
}

/// Nothing to compare with: every reason is told and marked.
fn refuse(
    args: &CheckArgs,
    settings: &Settings,
    bytes: &[u8],
    refused: &Refused,
    teller: &Teller<'_>,
) -> Result<(), Failure> {
    let mut findings = refused.findings.clone();
    gravest_first(&mut findings);
    // Before anything is written: where nothing can be, the reasons are told all the same.
    teller.tell_numbered(&findings);
    if let Some(drawing) = &refused.drawing {
        let falls = proposed_falls(refused);
        let marked = marked(&args.plan.plan, bytes, drawing, &findings, &falls)?;
        let mut results = results(args, settings);
        results.add(&marked_path(args, bytes)?, marked);
        results.clear()?;
        results.save()?;
    }
    Err(Failure::Plan)
}

/// None yet: none is written over the plan, the job or the list of stated figures.
fn results(args: &CheckArgs, settings: &Settings) -> Results {
    let mut results = Results::of(&[&args.plan.plan], &args.plan.reading, &settings.job);
    if let Some(list) = &args.against {
        results.keep(list, "output-is-list", "the list of stated figures");
    }
    results
}

fn write(
    args: &CheckArgs,
    settings: &Settings,
    bytes: &[u8],
    (drawing, roof): (&Drawing, &Roof),
    review: &Review,
    teller: &Teller<'_>,
) -> Result<(), Failure> {
    let project = project(&args.plan.plan, settings);
    let inputs = Inputs::of_roof(drawing, roof, &project, settings.units());
    let report = Report::new(inputs).with_review(review);
    let mut findings: Vec<Finding> = report.findings().iter().map(|f| (*f).clone()).collect();
    let mut results = results(args, settings);
    if let Some(path) = &args.pdf {
        let pdf = report::pdf(&report, &pdf_options(args, settings.units())?)
            .map_err(|f| Failure::Usage(vec![f]))?;
        findings.extend(pdf.findings);
        results.add(path, pdf.bytes);
    }
    if let Some(path) = &args.json {
        results.add(path, review_report::json(&report));
    }
    let marked = marked(&args.plan.plan, bytes, drawing, &findings, &[])?;
    results.add(&marked_path(args, bytes)?, marked);
    results.clear()?;
    teller.tell_numbered(&findings);
    explain(&args.plan, drawing, roof, teller);
    let told = !args.plan.telling.quiet && !results.take_stdout();
    if told {
        // Before anything is written: where nothing can be, in a folder that may only be read, the review is told all the same.
        say(&review_report::text(&report))?;
    }
    results.save()?;
    if told {
        say(&results.wrote())?;
    }
    if review.verdict() == Verdict::Differs {
        Err(Failure::Differs)
    } else {
        Ok(())
    }
}

fn pdf_options(args: &CheckArgs, units: OutputUnits) -> Result<PdfOptions, Failure> {
    Ok(PdfOptions {
        sheets: vec![Sheet::Review],
        paper: args.paper.chosen(units)?,
    })
}

fn review_settings(args: &CheckArgs, settings: &Settings) -> Result<ReviewSettings, Failure> {
    let mut out = ReviewSettings {
        metric: settings.metric,
        ..ReviewSettings::default()
    };
    if let Some(text) = &args.tolerance {
        let percent: Option<f64> = text.trim().trim_end_matches('%').trim().parse().ok();
        let percent = percent.filter(|p| (0.0..=100.0).contains(p));
        out.tolerance = percent.map(|p| p / 100.0).ok_or_else(|| {
            Failure::usage(
                "tolerance-unreadable",
                format!("“{text}” is no tolerance: give percent from 0 to 100, such as 0.5."),
            )
        })?;
    }
    let said = &settings.job.plan;
    let overhang = |eave_ft: f64, rake_ft: f64| Overhang { eave_ft, rake_ft };
    let said = [said.eave_overhang, said.rake_overhang].map(|l| l.map(|l| l.to_feet()));
    // Either alone may have been left out. Where one of them is not said it may be as wide as the other, or there may be none.
    out.overhangs = match said {
        [None, None] => Vec::new(),
        [Some(eave), Some(rake)] => {
            let both = [(eave, rake), (eave, 0.0), (0.0, rake)].into_iter();
            let all = both.filter(|&(eave, rake)| eave > 0.0 || rake > 0.0);
            all.map(|(eave, rake)| overhang(eave, rake)).collect()
        }
        [Some(eave), None] => vec![overhang(eave, eave), overhang(eave, 0.0)],
        [None, Some(rake)] => vec![overhang(rake, rake), overhang(0.0, rake)],
    };
    Ok(out)
}

fn against(args: &CheckArgs, metric: bool) -> Result<Option<AgainstList>, Failure> {
    let Some(path) = &args.against else {
        return Ok(None);
    };
    let text = if path.as_os_str() == "-" {
        road::standard_input()
    } else {
        road::text(path)
    };
    let text = text.map_err(|e| {
        let told = format!(
            "The list of stated figures {} cannot be read: {e}.",
            path.display()
        );
        let told = Finding::error("against-unreadable", told)
            .remedy("Give a text with commas between its columns that is there and may be read, or - for standard input.");
        Failure::Usage(vec![told])
    })?;
    AgainstList::parse(&text, metric)
        .map(Some)
        .map_err(Failure::Usage)
}

/// Where the marked drawing goes: `PLAN-marked.svg` beside the plan unless told otherwise; packed where the plan is. A file
/// of that name that nobody named here is written over only where it bears this program's marks.
fn marked_path(args: &CheckArgs, bytes: &[u8]) -> Result<PathBuf, Failure> {
    if let Some(path) = &args.plan.marked {
        return Ok(path.clone());
    }
    let plan: &Path = &args.plan.plan;
    let packed = bytes.starts_with(&[0x1f, 0x8b]);
    let ending = if packed {
        "-marked.svgz"
    } else {
        "-marked.svg"
    };
    let path = beside(plan, ending);
    let there = path
        .is_file()
        .then(|| road::bytes(&path).unwrap_or_default());
    if there.is_some_and(|bytes| written(&bytes).is_none()) {
        let told = Finding::error(
            "marked-is-other",
            format!(
                "The marked drawing would be written over {}, which bears no marks of this program.",
                path.display()
            ),
        );
        let told = told.remedy("Give the marked drawing another name with --marked, or that file.");
        return Err(Failure::Usage(vec![told]));
    }
    Ok(path)
}
