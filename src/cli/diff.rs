//! `eavewright diff`: what changed between two revisions of a plan.

use eavewright::report::revision as revision_report;
use eavewright::review::Revision;

use super::args::DiffArgs;
use super::plan::{self, add_marked, project};
use super::progress::Progress;
use super::results::Results;
use super::road::{self, Takeoff};
use super::settings::Settings;
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
                plan::explain(&args.plan, &takeoff.drawing, &takeoff.roof, &teller);
                taken.push(takeoff);
            }
            Err(reasons) => {
                // It is the new plan that is marked.
                if n == 1 {
                    plan::refuse(
                        &args.plan,
                        results(args, &settings),
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

fn results(args: &DiffArgs, settings: &Settings) -> Results {
    let mut results = Results::of(&[&args.plan.plan], &args.plan.reading, &settings.job);
    results.keep(&args.old, "output-is-plan", "the earlier revision");
    results
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
    let mut results = results(args, settings);
    if let Some(path) = &args.json {
        results.add(path, revision_report::json(&revised));
    }
    if let Some(path) = &args.svg {
        let drawing = revision_report::svg(&revised).map_err(|f| Failure::Usage(vec![f]))?;
        results.add(path, drawing);
    }
    // Numbered as in the text and in the drawing of both.
    let changes = revision_report::findings(&revised);
    add_marked(&args.plan, bytes, &new.drawing, &changes, &mut results)?;
    results.clear()?;
    results.save()?;
    if args.plan.telling.quiet || results.take_stdout() {
        return Ok(());
    }
    say(&(revision_report::text(&revised) + &results.wrote()))
}
