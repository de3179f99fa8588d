//! `eavewright batch`: many plans at once.
//!
//! Each plan's record is written whole, as the last of its files, as soon as it is finished: whatever stops the run
//! loses no more than the plans being worked on. The tables are gathered from the records in the order of the plans'
//! names, so that neither the number of cores nor an interruption changes a byte of them.

mod find;
mod gather;
mod lock;
mod one;
mod progress;
mod store;

use std::sync::Mutex;

use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};

use eavewright::batch::Outcome;

use super::args::BatchArgs;
use super::{Failure, print};
use find::Found;
use lock::Lock;
use one::Worker;
use progress::Progress;
use store::Store;

/// The stack of a working thread: as large as the main thread's usually is, for plans nest deeply.
const STACK_BYTES: usize = 16 << 20;

pub(crate) fn run(args: &BatchArgs) -> Result<(), Failure> {
    let worker = Worker::new(args)?;
    let store = Store::new(&args.out, args.shard)?;
    let _lock = Lock::take(&store)?;
    let found = find::plans(&args.sources, &args.out, args.shard)?;
    one::hide_panics();
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(args.jobs.map_or(0, std::num::NonZero::get))
        .stack_size(STACK_BYTES)
        .build()
        .map_err(|e| Failure::usage("no-threads", format!("No threads can be started: {e}.")))?;
    let progress = Progress::new(found.plans.len(), args.quiet);
    for why in &found.unread {
        progress.tell(why);
    }
    pool.install(|| work(&found, &worker, &store, &progress))?;
    progress.finish();
    let tables = pool.install(|| gather::tables(&found, &store))?;
    if !args.quiet {
        print(progress.summary(&tables).as_bytes())?;
    }
    if progress.all_done() && found.unread.is_empty() {
        Ok(())
    } else {
        Err(Failure::Plan)
    }
}

/// Works on every plan. A plan that fails, however, is told and kept as such; a result that cannot be written stops
/// the run, for the next one's could not be either.
fn work(found: &Found, worker: &Worker, store: &Store, progress: &Progress) -> Result<(), Failure> {
    let stopped = Mutex::new(None);
    let finished = found.plans.par_iter().try_for_each(|plan| {
        let done = worker.work(&found.path(plan), plan, store);
        match done {
            Ok(done) => {
                progress.count(&done);
                if let (false, Some(why)) = (done.outcome == Outcome::Done, &done.why) {
                    progress.tell(&format!("{}: {why}", plan.name));
                }
                Some(())
            }
            Err(failure) => {
                if let Ok(mut first) = stopped.lock() {
                    first.get_or_insert(failure);
                }
                None
            }
        }
    });
    match (finished, stopped.into_inner()) {
        (Some(()), _) => Ok(()),
        (None, Ok(Some(failure))) => {
            progress.finish();
            Err(failure)
        }
        (None, _) => Err(Failure::Plan),
    }
}
