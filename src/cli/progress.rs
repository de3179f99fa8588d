//! What a single plan waits for: a bar on a terminal, once it has taken more than half a second.

use std::io::IsTerminal as _;
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

const BAR: &str = "{bar:24} {pos}/{len} {msg}, {elapsed}";
/// What is quicker needs no bar.
const QUIET_FOR: Duration = Duration::from_millis(500);
const DRAWN_EVERY: Duration = Duration::from_millis(200);

/// The steps of one plan. The bar goes when this is dropped.
pub(crate) struct Progress {
    bar: ProgressBar,
    waiting: Option<(Sender<()>, JoinHandle<()>)>,
}

impl Progress {
    /// Of so many steps, on standard error where that is a terminal.
    pub(crate) fn new(steps: u64, quiet: bool) -> Self {
        let bar = ProgressBar::with_draw_target(Some(steps), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template(BAR) {
            bar.set_style(style);
        }
        let shown = !quiet && std::io::stderr().is_terminal();
        let waiting = shown.then(|| {
            let (sender, receiver) = mpsc::channel();
            let bar = bar.clone();
            let appear = move || {
                if receiver.recv_timeout(QUIET_FOR) == Err(RecvTimeoutError::Timeout) {
                    bar.set_draw_target(ProgressDrawTarget::stderr());
                    bar.enable_steady_tick(DRAWN_EVERY);
                }
            };
            (sender, thread::spawn(appear))
        });
        Self { bar, waiting }
    }

    /// For a plan among others, which are counted as a whole.
    pub(crate) fn none() -> Self {
        Self::new(0, true)
    }

    /// Begins the next step.
    pub(crate) fn step(&self, what: &'static str) {
        if !self.bar.message().is_empty() {
            self.bar.inc(1);
        }
        self.bar.set_message(what);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some((sender, thread)) = self.waiting.take() {
            // Either ends the waiting, or finds that it has ended.
            let _ = sender.send(());
            let _ = thread.join();
        }
        self.bar.finish_and_clear();
    }
}
