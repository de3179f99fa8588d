//! The watch over workers: one that is over its time is stopped.

use std::io;
use std::process::{Child, ExitStatus};
use std::sync::{Arc, Condvar, Mutex};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use super::crew::held;

/// How often the watch looks: a plan may take so much longer than its limit.
const EVERY: Duration = Duration::from_millis(50);

pub(super) struct Watch {
    limit: Duration,
    shared: Arc<Shared>,
    watching: Option<JoinHandle<()>>,
}

struct Shared {
    workers: Vec<Mutex<Worker>>,
    over: Mutex<bool>,
    bell: Condvar,
}

#[derive(Default)]
struct Worker {
    child: Option<Child>,
    /// When the plan that it works on must be ready.
    until: Option<Instant>,
    /// Whether it was stopped over this plan.
    overdue: bool,
}

impl Watch {
    pub(super) fn new(workers: usize, limit: Duration) -> io::Result<Self> {
        let shared = Arc::new(Shared {
            workers: (0..workers).map(|_| Mutex::default()).collect(),
            over: Mutex::new(false),
            bell: Condvar::new(),
        });
        let watched = Arc::clone(&shared);
        let watching = thread::Builder::new()
            .name("watch".to_owned())
            .spawn(move || watched.look())?;
        Ok(Self {
            limit,
            shared,
            watching: Some(watching),
        })
    }

    /// Watches over a new worker.
    pub(super) fn employ(&self, n: usize, child: Child) {
        *held(&self.shared.workers[n]) = Worker {
            child: Some(child),
            ..Worker::default()
        };
    }

    /// The worker has been given a plan.
    pub(super) fn begin(&self, n: usize) {
        held(&self.shared.workers[n]).until = Some(Instant::now() + self.limit);
    }

    /// The worker is ready, or has ended: whether it was stopped because its time was up.
    pub(super) fn end(&self, n: usize) -> bool {
        let mut worker = held(&self.shared.workers[n]);
        worker.until = None;
        worker.overdue
    }

    /// Stops a worker, if it has not ended by itself, and says how it ended.
    pub(super) fn dismiss(&self, n: usize) -> Option<ExitStatus> {
        let mut worker = std::mem::take(&mut *held(&self.shared.workers[n]));
        let child = worker.child.as_mut()?;
        match child.try_wait() {
            Ok(Some(status)) => Some(status),
            _ => {
                // One that closes its pipes is about to end, and how it ends is worth knowing.
                let since = Instant::now();
                while since.elapsed() < EVERY {
                    if let Ok(Some(status)) = child.try_wait() {
                        return Some(status);
                    }
                    thread::sleep(Duration::from_millis(1));
                }
                let _ = child.kill();
                child.wait().ok()
            }
        }
    }
}

impl Shared {
    fn look(&self) {
        let mut over = held(&self.over);
        while !*over {
            for worker in &self.workers {
                let mut worker = held(worker);
                if worker.until.is_some_and(|until| until < Instant::now()) {
                    worker.until = None;
                    worker.overdue = true;
                    if let Some(child) = &mut worker.child {
                        let _ = child.kill();
                    }
                }
            }
            let waited = self.bell.wait_timeout(over, EVERY);
            over = waited.unwrap_or_else(std::sync::PoisonError::into_inner).0;
        }
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        *held(&self.shared.over) = true;
        self.shared.bell.notify_all();
        if let Some(watching) = self.watching.take() {
            let _ = watching.join();
        }
        for worker in &self.shared.workers {
            if let Some(child) = &mut held(worker).child {
                let _ = child.kill();
                let _ = child.wait();
            }
        }
    }
}
