//! `eavewright diff`: what changed between two revisions of a plan.

use eavewright::report::revision as revision_report;
use eavewright::review::Revision;

use super::args::DiffArgs;
use super::output::Pending;
use super::progress::Progress;
use super::road::{self, Takeoff};
use super::settings::Settings;
use super::takeoff::{self, keep_the_job, keep_the_plan, marked, project, save};
use super::tell::Teller;
use super::{Failure, say};

pub(crate) fn run(args: &DiffArgs) -> Result<(), Failure> {
    let settings = Settings::new(&args.plan)?;
    let plans = [&args.old, &args.plan.plan];
    let bytes = [road::read(plans[0])?, road::read(plans[1])?];
    let mut taken: Vec<Takeoff> = Vec::new();
    let mut refused = false;
    // Both are tried, so that the reasons of both are told.
    for (n, (path, bytes)) in plans.into_iter().zip(&bytes).enumerate() {
        let teller = Teller::new(path, settings.metric, args.plan.telling.quiet).among_others();
        let progress = Progress::new(road::TAKE_OFF_STEPS, args.plan.telling.quiet);
        let taken_off = road::take_off(bytes, &settings, &progress);
        drop(progress);
        match taken_off {
            Ok(mut takeoff) => {
                takeoff.price(&settings)?;
                teller.tell(&takeoff.findings(), args.plan.notes_too());
                takeoff::explain(&args.plan, &takeoff.drawing, &takeoff.roof, &teller);
                taken.push(takeoff);
            }
            Err(reasons) => {
                // It is the new plan that is marked.
                if n == 1 {
                    takeoff::refuse(
                        &args.plan,
                        &settings.job,
                        &[&args.old],
                        (bytes, &reasons),
                        &teller,
                    )?;
                } else {
                    teller.tell(&reasons.findings, true);
                }
                refused = true;
            }
        }
    }
    match &taken[..] {
        [old, new] if !refused => write(args, &settings, &bytes[1], old, new),
        _ => Err(Failure::Plan),
    }
}

fn write(
    args: &DiffArgs,
    settings: &Settings,
    bytes: &[u8],
    old: &Takeoff,
    new: &Takeoff,
) -> Result<(), Failure> {
    let projects = [&args.old, &args.plan.plan].map(|path| project(path, settings));
    let [old_report, new_report] = [(old, &projects[0]), (new, &projects[1])]
        .map(|(takeoff, project)| takeoff.report(project, settings.units()));
    let by = new.drawing.scale.feet_per_unit / old.drawing.scale.feet_per_unit;
    let revision = Revision::at_scale(&old.roof, &new.roof, by);
    let revised = revision_report::Revised {
        old: &old_report,
        new: &new_report,
        revision: &revision,
    };
    let mut results = Vec::new();
    if let Some(path) = &args.json {
        results.push(Pending::new(path, revision_report::json(&revised)));
    }
    if let Some(path) = &args.svg {
        let drawing = revision_report::svg(&revised).map_err(|f| Failure::Usage(vec![f]))?;
        results.push(Pending::new(path, drawing));
    }
    // Numbered as in the text and in the drawing of both.
    let changes = revision_report::findings(&revised);
    results.extend(marked(&args.plan, bytes, &new.drawing, &changes)?);
    keep_the_plan(&args.plan.plan, &results)?;
    keep_the_job(&args.plan.reading, &settings.job, &results)?;
    keep_the_plan(&args.old, &results)?;
    save(&results)?;
    if args.plan.telling.quiet || results.iter().any(Pending::to_stdout) {
        return Ok(());
    }
    let mut text = revision_report::text(&revised);
    for file in &results {
        text += &format!("wrote {}\n", file.path().display());
    }
    say(&text)
}
