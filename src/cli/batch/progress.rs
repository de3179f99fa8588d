//! How far a batch is: a bar with rate and time left on a terminal, one line a failing plan anywhere.

use std::io::{IsTerminal as _, Write as _};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use eavewright::batch::Outcome;

use super::super::tell::printable;
use super::one::Done;

const BAR: &str = "{wide_bar} {pos}/{len} plans, {per_sec}, {eta} left";

/// Times a second that the bar is drawn again.
const DRAWN_A_SECOND: u8 = 5;

pub(super) struct Progress {
    bar: ProgressBar,
    quiet: bool,
    since: Instant,
    plans: usize,
    done: AtomicUsize,
    before: AtomicUsize,
}

impl Progress {
    pub(super) fn new(plans: usize, quiet: bool) -> Self {
        let shown = !quiet && std::io::stderr().is_terminal();
        let target = if shown {
            ProgressDrawTarget::stderr_with_hz(DRAWN_A_SECOND)
        } else {
            ProgressDrawTarget::hidden()
        };
        let bar = ProgressBar::with_draw_target(Some(plans as u64), target);
        if let Ok(style) = ProgressStyle::with_template(BAR) {
            bar.set_style(style);
        }
        Self {
            bar,
            quiet,
            since: Instant::now(),
            plans,
            done: AtomicUsize::new(0),
            before: AtomicUsize::new(0),
        }
    }

    pub(super) fn count(&self, done: &Done) {
        if done.outcome == Outcome::Done {
            self.done.fetch_add(1, Ordering::Relaxed);
        }
        if done.before {
            self.before.fetch_add(1, Ordering::Relaxed);
        }
        self.bar.inc(1);
    }

    /// One line on standard error, above the bar, where more than what stops the run is asked for.
    pub(super) fn tell(&self, line: &str) {
        if !self.quiet {
            self.tell_always(line);
        }
    }

    /// One line on standard error, above the bar: what no table tells.
    pub(super) fn tell_always(&self, line: &str) {
        let line = printable(line);
        self.bar.suspend(|| {
            // Nobody can be told that standard error is closed.
            let _ = writeln!(std::io::stderr().lock(), "{line}");
        });
    }

    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }

    pub(super) fn all_done(&self) -> bool {
        self.done.load(Ordering::Relaxed) == self.plans
    }

    /// What is printed at the end.
    pub(super) fn summary(&self, unread: usize, tables: &[String]) -> String {
        let (done, before) = (&self.done, &self.before);
        let (done, before) = (done.load(Ordering::Relaxed), before.load(Ordering::Relaxed));
        let mut text = format!(
            "{}: {done} taken off, {} not",
            counted(self.plans, "plan"),
            self.plans - done
        );
        if unread > 0 {
            text += &format!("; {} not looked into", counted(unread, "folder"));
        }
        if before > 0 {
            text += &format!("; {before} finished in an earlier run");
        }
        let (now, took) = (self.plans - before, self.since.elapsed());
        if now > 0 {
            text += &format!("; {now} in {}", rate(now, took));
        }
        text += "\n";
        for table in tables {
            text += &format!("wrote {table}\n");
        }
        text
    }
}

pub(super) fn counted(n: usize, one: &str) -> String {
    let s = if n == 1 { "" } else { "s" };
    format!("{n} {one}{s}")
}

fn rate(plans: usize, took: Duration) -> String {
    let seconds = took.as_secs_f64();
    format!(
        "{seconds:.1} s, {:.1} a second",
        plans as f64 / seconds.max(1e-9)
    )
}
