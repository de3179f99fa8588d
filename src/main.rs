//! The command.

mod cli;

use std::panic;
use std::process::ExitCode;

use eavewright::drawing::on_deep_stack;

#[cfg(feature = "mimalloc")]
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// On a thread with a stack of its own size: the main thread's is 1 MiB on some systems, 8 MiB on others.
fn main() -> ExitCode {
    match on_deep_stack(cli::run) {
        Ok(Ok(status)) => status,
        Ok(Err(panic)) => panic::resume_unwind(panic),
        Err(_) => cli::run(),
    }
}
