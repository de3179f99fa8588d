//! `eavewright batch`: many plans at once.
//!
//! Plans are made by worker processes, so that one that takes too long, too much memory or too much stack costs itself
//! alone; this process finds them, gives them out and keeps what comes back.
//!
//! Each plan's record is written whole, as the last of its files, as soon as it is finished: whatever stops the run
//! loses no more than the plans being worked on. The tables are gathered from the records in the order of the plans'
//! names, so that neither the number of cores nor an interruption changes a byte of them.

mod crew;
mod find;
mod gather;
mod guard;
mod lock;
mod make;
mod one;
mod pattern;
mod progress;
mod serve;
mod store;
mod watch;
mod wire;

use std::num::{NonZero, NonZeroUsize};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use eavewright::batch::Outcome;

use super::args::BatchArgs;
use super::{Failure, own, say};
use find::{Found, Plan};
use lock::Lock;
use make::Maker;
use one::{Desk, Done};
use progress::Progress;
use store::Store;

pub(crate) fn run(args: &BatchArgs) -> Result<(), Failure> {
    if args.as_worker {
        return serve::run(args);
    }
    let maker = Maker::new(args)?;
    let cores = std::thread::available_parallelism().map_or(1, NonZero::get);
    let mut store = Store::at(&args.out, args.shard);
    guard::clear_of_brought(args, maker.job(), &store)?;
    // Where there is nothing to do, no folder is made.
    let found = (pool(args.jobs, cores)?).install(|| find::plans(&args.sources, &store))?;
    let pool = pool(args.jobs, found.plans.len())?;
    store.make()?;
    let _lock = Lock::take(&store)?;
    if args.shard.is_none() {
        store.clear_unfinished();
    }
    let desk = Desk::new(args, maker, pool.current_num_threads())?;
    let progress = Progress::new(found.plans.len(), args.quiet);
    for why in &found.unread {
        progress.tell_always(why);
    }
    for told in &found.told {
        progress.tell(told);
    }
    work(&found, &desk, &store, &progress, &pool)?;
    progress.finish();
    let tables = pool.install(|| gather::tables(&found, &store))?;
    let others = store.tables_of_other_shares();
    if !others.is_empty() {
        progress.tell(&format!(
            "{} holds tables of another division into shares; delete them before tables are put together: {}",
            store.folder.display(),
            own::listed(&others)
        ));
    }
    // A share does not know the plans of the others.
    if args.shard.is_none() {
        let gone = store.others(&found.plans);
        if !gone.is_empty() {
            progress.tell(&format!(
                "{} holds records of plans that are not in this batch, and the tables leave them out: {}",
                store.folder.join(store::PLANS).display(),
                own::listed(&gone)
            ));
        }
    }
    if !args.quiet {
        say(&progress.summary(found.unread.len(), &tables))?;
    }
    if progress.all_done() && found.unread.is_empty() {
        Ok(())
    } else {
        Err(Failure::Plan)
    }
}

/// As many threads as were asked for, and no more than there is work for; as many as there are cores where nothing was said.
fn pool(jobs: Option<NonZeroUsize>, most: usize) -> Result<rayon::ThreadPool, Failure> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(jobs.map_or(0, |jobs| jobs.get().min(most.max(1))))
        .build()
        .map_err(|e| Failure::usage("no-threads", format!("No threads can be started: {e}.")))
}

/// Works on every plan. A plan that fails, however, is told and kept as such; a result that cannot be written stops
/// the run, for the next one's could not be either.
fn work(
    found: &Found,
    desk: &Desk,
    store: &Store,
    progress: &Progress,
    workers: &rayon::ThreadPool,
) -> Result<(), Failure> {
    let (next, stopped) = (AtomicUsize::new(0), AtomicBool::new(false));
    let hand_out = || {
        let plan = found.plans.get(next.fetch_add(1, Ordering::Relaxed));
        plan.filter(|_| !stopped.load(Ordering::Relaxed))
    };
    let told = |plan: &Plan, done: &Done| {
        progress.count(done);
        if let (false, Some(why)) = (done.outcome == Outcome::Done, &done.why) {
            progress.tell(&format!("{}: {why}", plan.name));
        }
    };
    let ends = workers.broadcast(|worker| {
        let end = desk.see_to(worker.index(), hand_out, found, store, told);
        stopped.fetch_or(end.is_err(), Ordering::Relaxed);
        end
    });
    let end: Result<(), Failure> = ends.into_iter().collect();
    if end.is_err() {
        progress.finish();
    }
    end
}
