//! `--watch`: takes off again whenever the plan, the job file or its price list has been saved.

use std::fs;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, SystemTime};

use super::args::TakeoffArgs;
use super::tell::Teller;
use super::{Failure, settings, takeoff};

/// How often the files are looked at: often enough to seem at once, seldom enough to cost nothing.
const LOOK_EVERY: Duration = Duration::from_millis(200);
/// A drawing program may take a while to write a file: it must have rested for so long.
const RESTED_FOR: Duration = Duration::from_millis(300);

/// What is known of a file without reading it; `None` of one that is not there, as between the two halves of a save.
type Stamp = Option<(SystemTime, u64)>;

/// Runs until it is stopped. What is wrong with the plan or the job is told each time and ends nothing: the last good
/// report stays, since results are written whole or not at all.
pub(crate) fn run(args: &TakeoffArgs) -> Result<(), Failure> {
    loop {
        let seen = stamps(args);
        match takeoff::once(args) {
            Ok(()) | Err(Failure::Plan | Failure::Differs) => {}
            Err(Failure::Usage(findings)) => {
                Teller::new(Path::new(""), false, false).tell(&findings, false);
            }
        }
        Teller::new(&args.plan.plan, false, false)
            .explain("watching; save the plan or the job file to run again, Ctrl-C to stop\n");
        wait_for_another(args, &seen);
    }
}

/// Waits until a file differs from what was seen, and has come to rest.
fn wait_for_another(args: &TakeoffArgs, seen: &[Stamp]) {
    let mut before = seen.to_vec();
    loop {
        thread::sleep(LOOK_EVERY);
        let now = stamps(args);
        if now == seen || now != before || now.iter().any(Option::is_none) {
            before = now;
            continue;
        }
        thread::sleep(RESTED_FOR);
        if stamps(args) == now {
            return;
        }
    }
}

fn stamps(args: &TakeoffArgs) -> Vec<Stamp> {
    let stamp = |path: &PathBuf| {
        let about = fs::metadata(path).ok()?;
        Some((about.modified().ok()?, about.len()))
    };
    files(args).iter().map(stamp).collect()
}

/// The files that the takeoff is made from.
fn files(args: &TakeoffArgs) -> Vec<PathBuf> {
    let mut files = vec![args.plan.plan.clone()];
    if let Some(path) = &args.plan.reading.job {
        files.push(path.clone());
        // A job file that cannot be read now names no list; it is looked at again when it is saved.
        let list = settings::job(Some(path)).ok().and_then(|job| {
            let list = settings::price_list_path(path, &job)?;
            list.exists().then_some(list)
        });
        files.extend(list);
    }
    files
}
