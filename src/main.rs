//! The command.

mod cli;

use std::panic;
use std::process::ExitCode;
use std::thread;

/// The stack that a plan is taken off on. The main thread's is 1 MiB on some systems, 8 MiB on others.
const STACK_BYTES: usize = 16 << 20;

fn main() -> ExitCode {
    let run = thread::Builder::new()
        .name("eavewright".to_owned())
        .stack_size(STACK_BYTES)
        .spawn(cli::run);
    match run.map(thread::JoinHandle::join) {
        Ok(Ok(status)) => status,
        Ok(Err(panic)) => panic::resume_unwind(panic),
        Err(_) => cli::run(),
    }
}
