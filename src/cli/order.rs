//! `eavewright order`: what several plans of one job take together.

use std::path::{Path, PathBuf};

use eavewright::Finding;
use eavewright::courses::Courses;
use eavewright::materials::MaterialList;
use eavewright::report::order::{self, JobOrder, Part};
use eavewright::roof::Roof;

use super::args::OrderArgs;
use super::given::{self, Given};
use super::progress::Progress;
use super::results::Results;
use super::road::{self, Takeoff};
use super::settings::Settings;
use super::tell::Teller;
use super::{Failure, say};

pub(crate) fn run(args: &OrderArgs) -> Result<(), Failure> {
    let settings = Settings::of(&args.reading)?;
    let (plans, about_plans) = given::plans(&args.plans)?;
    let taken = take_off_all(&plans, args, &settings)?;
    let roofs: Vec<&Roof> = taken.iter().map(|t| &t.roof).collect();
    let laid: Vec<(&Roof, &Courses)> = taken.iter().map(|t| (&t.roof, &t.courses)).collect();
    let mut list = MaterialList::compute_job(&laid, &settings.materials);
    list.plans = short_names(&plans);
    list.findings.extend(about_plans);
    let offer = road::offer_for(&taken, &list, &settings)?;
    list.findings.extend(not_compared(&settings));
    let names: Vec<String> = (plans.iter())
        .map(|plan| plan.path.display().to_string())
        .collect();
    let findings: Vec<Vec<Finding>> = taken.iter().map(Takeoff::findings).collect();
    let parts: Vec<Part<'_>> = names
        .iter()
        .zip(&roofs)
        .zip(&findings)
        .map(|((name, roof), findings)| Part {
            name,
            roof,
            findings,
        })
        .collect();
    let ordered = JobOrder {
        parts: &parts,
        list: &list,
        offer: offer.as_ref(),
        units: settings.units(),
    };
    let brought: Vec<&Path> = args.plans.iter().map(PathBuf::as_path).collect();
    let mut results = Results::of(&brought, &args.reading, &settings.job);
    if let Some(path) = &args.csv {
        results.add(path, order::csv(&ordered));
    }
    if let Some(path) = &args.json {
        results.add(path, order::json(&ordered));
    }
    results.clear()?;
    // What the plans have in common belongs to none of them; their own findings have been told beside their names.
    let of_all: Vec<Finding> = ordered
        .findings()
        .filter(|(plan, _)| plan.is_none())
        .map(|(_, finding)| finding.clone())
        .collect();
    Teller::new("the order".as_ref(), settings.metric, args.telling.quiet)
        .tell(&of_all, args.telling.verbose);
    results.save()?;
    if args.telling.quiet || results.take_stdout() {
        return Ok(());
    }
    say(&(order::text(&ordered) + &results.wrote()))
}

/// What plans are called in the offer: by their files' names, with the folders where two have one name.
fn short_names(plans: &[Given]) -> Vec<String> {
    let names = plans.iter().map(|plan| plan.path.file_name());
    let is_alone = |name| names.clone().filter(|other| *other == name).count() == 1;
    plans
        .iter()
        .map(|plan| match plan.path.file_name() {
            Some(name) if is_alone(Some(name)) => name.to_string_lossy().into_owned(),
            _ => plan.path.display().to_string(),
        })
        .collect()
}

/// Told where the job names formats to compare and an order, which shows none side by side, has no offer to name them in.
fn not_compared(settings: &Settings) -> Option<Finding> {
    (settings.prices.is_none() && !settings.compared.is_empty()).then(|| {
        Finding::note(
            "formats-not-compared",
            "The job names formats to compare: an order is in the format laid, and without prices none is offered instead.",
        )
        .remedy("Use `eavewright compare` on each plan, or give prices in the job file.")
    })
}

/// Every plan taken off; all of them are tried, so that the reasons of all are told.
fn take_off_all(
    plans: &[Given],
    args: &OrderArgs,
    settings: &Settings,
) -> Result<Vec<Takeoff>, Failure> {
    // The floor is of the whole job's attics: held against each roof by itself it would ask too much of all of them.
    let mut of_each = settings.clone();
    if plans.len() > 1 {
        of_each.materials.attic_floor_sqft = None;
    }
    let mut taken = Vec::new();
    let mut refused = false;
    for plan in plans {
        let teller = Teller::new(&plan.path, settings.metric, args.telling.quiet).among_others();
        let progress = Progress::new(road::TAKE_OFF_STEPS, args.telling.quiet);
        let taken_off = road::take_off(&plan.bytes, &of_each, &progress);
        drop(progress);
        match taken_off {
            Ok(mut takeoff) => {
                // What the roofs would take in other formats is asked for by the offer alone.
                if settings.prices.is_some() {
                    takeoff.compare(settings);
                }
                teller.tell(&takeoff.findings(), args.telling.verbose);
                taken.push(takeoff);
            }
            Err(reasons) => {
                teller.tell(&reasons.findings, true);
                refused = true;
            }
        }
    }
    if refused {
        Err(Failure::Plan)
    } else {
        Ok(taken)
    }
}
