//! The workers of a run, each a process of its own, and the watch over how long they take.

use std::env;
use std::ffi::OsString;
use std::io::{BufReader, Read};
use std::process::{Child, ChildStderr, ChildStdin, ChildStdout, Command, ExitStatus, Stdio};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use eavewright::Finding;
use eavewright::batch::{Outcome, content_key};
use eavewright::report::OutputUnits;

use super::super::Failure;
use super::super::args::BatchArgs;
use super::make::{Made, Maker};
use super::watch::Watch;
use super::wire::{self, Hello};

/// Most of a dying worker's words that are read.
const LAST_WORDS_BYTES: u64 = 4096;

/// The workers, started as they are needed and again where one has ended.
pub(super) struct Crew {
    /// The arguments that start one.
    arguments: Vec<OsString>,
    /// What every one of them must say that results depend on.
    how: String,
    units: OutputUnits,
    seconds: u32,
    mebibytes: u32,
    watch: Watch,
}

/// The place of a worker, which is started when there is a plan for it and again where it has ended.
pub(super) struct Place<'c> {
    crew: &'c Crew,
    n: usize,
    pipes: Option<Pipes>,
    /// Plans that the worker was given and has not answered for: the one that it works on, and the next.
    given: usize,
}

struct Pipes {
    to: ChildStdin,
    from: BufReader<ChildStdout>,
    last_words: ChildStderr,
}

impl Crew {
    pub(super) fn new(args: &BatchArgs, maker: &Maker, workers: usize) -> Result<Self, Failure> {
        let mut arguments: Vec<OsString> = env::args_os().skip(1).collect();
        // Behind the command's name, for a plan's name may stand last, behind `--`.
        arguments.insert(1.min(arguments.len()), "--as-worker".into());
        let limit = Duration::from_secs(args.time_limit.into());
        Ok(Self {
            arguments,
            how: content_key(&[maker.how()]),
            units: maker.units(),
            seconds: args.time_limit,
            mebibytes: args.memory_limit,
            watch: Watch::new(workers, limit).map_err(|e| no_worker(&e.to_string()))?,
        })
    }

    /// The place of a worker by its number, below that of the workers.
    pub(super) fn place(&self, n: usize) -> Place<'_> {
        Place {
            crew: self,
            n,
            pipes: None,
            given: 0,
        }
    }

    /// Starts a worker and hears that it works as this run does.
    fn start(&self, n: usize) -> Result<Pipes, Failure> {
        let program = env::current_exe().map_err(|e| no_worker(&e.to_string()))?;
        let mut child = Command::new(program)
            .args(&self.arguments)
            // The allocator takes memory as it is needed: the limit counts what is set apart beforehand.
            .env("MIMALLOC_ARENA_EAGER_COMMIT", "0")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .map_err(|e| no_worker(&e.to_string()))?;
        let mut pipes = pipes(&mut child).ok_or_else(|| no_worker("it has no pipes"))?;
        self.watch.employ(n, child);
        match wire::hear::<Hello>(&mut pipes.from) {
            Ok(Some(hello)) if hello.how == self.how => Ok(pipes),
            Ok(Some(_)) => Err(Failure::usage(
                "job-changed",
                "The job file or its price list was changed while the batch ran. Give the same command again: plans that \
                 the change touches are made again."
                    .to_owned(),
            )),
            _ => {
                self.watch.dismiss(n);
                Err(no_worker(last_words(pipes.last_words).trim()))
            }
        }
    }

    /// What is said of a plan whose worker has ended.
    fn ended(&self, overdue: bool, words: &str, status: Option<ExitStatus>) -> Made {
        let stopped = |told: Finding| Made::refused(Outcome::Stopped, vec![told], self.units);
        if overdue {
            let told = format!(
                "The plan was not finished in {} s and was stopped.",
                self.seconds
            );
            return stopped(
                Finding::error("plan-takes-too-long", told)
                    .remedy("Take it off by itself to see what it says, or give every plan more time with --time-limit."),
            );
        }
        if words.contains("memory allocation of") {
            let told = format!(
                "The plan needs more memory than the {} MiB that one may have.",
                self.mebibytes
            );
            return stopped(
                Finding::error("plan-takes-too-much-memory", told)
                    .remedy("Simplify the drawing, or give every plan more with --memory-limit."),
            );
        }
        if words.contains("overflowed its stack") {
            return Made::failed("it nests too deeply for the stack", self.units);
        }
        let status = status.map_or_else(|| "nobody knows how".to_owned(), |s| s.to_string());
        Made::failed(&format!("its process ended ({status})"), self.units)
    }
}

impl Place<'_> {
    /// Whether the worker has a plan.
    pub(super) fn is_busy(&self) -> bool {
        self.given > 0
    }

    /// Gives the worker a plan.
    ///
    /// # Errors
    /// Where no worker can be started.
    pub(super) fn give(&mut self, file_name: &str, bytes: &[u8]) -> Result<(), Failure> {
        let mut pipes = match self.pipes.take() {
            Some(pipes) => pipes,
            None => self.crew.start(self.n)?,
        };
        if !self.is_busy() {
            self.crew.watch.begin(self.n);
        }
        self.given += 1;
        // One that has ended has no answer either, and is dealt with then.
        let _ = wire::ask(&mut pipes.to, file_name, bytes);
        self.pipes = Some(pipes);
        Ok(())
    }

    /// Gives the worker the next plan while it works on one, so that it never waits: a core that waits goes to sleep or does
    /// something else. A plan that the pipe may not hold until it is read is not given, for the worker must be heard meanwhile.
    pub(super) fn give_ahead(&mut self, file_name: &str, bytes: &[u8]) {
        let Some(pipes) = self.pipes.as_mut().filter(|_| self.given == 1) else {
            return;
        };
        // Quotes in a name take more in a line, and a write may leave a part of a page empty.
        if file_name.len() + bytes.len() <= held_by(&pipes.to) / 4 {
            self.given += 1;
            let _ = wire::ask(&mut pipes.to, file_name, bytes);
        }
    }

    /// What the worker makes of the first plan that it has. Where it ends over it, it has no other any more.
    pub(super) fn take(&mut self) -> Made {
        let Some(mut pipes) = self.pipes.take() else {
            return self.crew.ended(false, "", None);
        };
        let (crew, n) = (self.crew, self.n);
        let answer = wire::answered(&mut pipes.from);
        let overdue = crew.watch.end(n);
        let given = std::mem::take(&mut self.given);
        match answer {
            // It may have been stopped in the moment in which it was ready.
            Ok(made) if overdue => {
                crew.watch.dismiss(n);
                made
            }
            Ok(made) => {
                self.given = given.saturating_sub(1);
                if self.is_busy() {
                    crew.watch.begin(n);
                }
                self.pipes = Some(pipes);
                made
            }
            Err(_) => {
                let status = crew.watch.dismiss(n);
                crew.ended(overdue, &last_words(pipes.last_words), status)
            }
        }
    }
}

/// How many bytes a pipe holds at least; 0 where the system does not say.
#[cfg(target_os = "linux")]
fn held_by(pipe: &ChildStdin) -> usize {
    rustix::pipe::fcntl_getpipe_size(pipe).unwrap_or(0)
}

#[cfg(not(target_os = "linux"))]
const fn held_by(_pipe: &ChildStdin) -> usize {
    0
}

fn pipes(child: &mut Child) -> Option<Pipes> {
    Some(Pipes {
        to: child.stdin.take()?,
        from: BufReader::new(child.stdout.take()?),
        last_words: child.stderr.take()?,
    })
}

/// What a worker said before it ended, as far as it can be read: it may be cut inside a letter.
fn last_words(from: impl Read) -> String {
    let mut bytes = Vec::new();
    // What was said before the pipe broke is worth as much.
    let _ = from.take(LAST_WORDS_BYTES).read_to_end(&mut bytes);
    String::from_utf8_lossy(&bytes).into_owned()
}

fn no_worker(why: &str) -> Failure {
    Failure::usage(
        "no-worker",
        format!("No process can be started to take plans off: {why}."),
    )
}

/// What a thread that failed has left is whole: nothing is half changed under a lock.
pub(super) fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::last_words;

    #[test]
    fn the_last_words_of_a_worker_are_kept_where_they_are_cut_inside_a_letter_or_are_no_text() {
        assert_eq!(last_words("Dach".as_bytes()), "Dach");
        let long = format!("memory allocation of 9 bytes{}", "屋".repeat(2000));
        assert!(last_words(long.as_bytes()).starts_with("memory allocation of 9 bytes屋"));
        assert!(last_words(&b"overflowed its stack \xff\xfe"[..]).contains("overflowed its stack"));
    }
}
