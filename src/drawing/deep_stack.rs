//! A stack that groups nested as deep as the reader's limit allows do not overflow.

use std::cell::Cell;
use std::io;
use std::panic::{self, AssertUnwindSafe};
use std::thread;

/// The stack of a thread that reads.
pub(super) const STACK_BYTES: usize = 64 << 20;

thread_local! {
    /// Whether this thread has such a stack.
    static IS_DEEP: Cell<bool> = const { Cell::new(false) };
}

/// Runs with a stack that is deep enough to read any drawing: on this thread where it was started by this function, else
/// on one that is started for it. Whoever reads many drawings reads them all within one call, and starts one thread. What
/// comes back is what a joined thread gives: the result, or what it panicked with.
///
/// # Errors
/// Where the system has no memory for the stack.
pub fn on_deep_stack<T: Send>(run: impl FnOnce() -> T + Send) -> io::Result<thread::Result<T>> {
    if IS_DEEP.get() {
        return Ok(panic::catch_unwind(AssertUnwindSafe(run)));
    }
    thread::scope(|scope| {
        let there = thread::Builder::new()
            .name("eavewright".to_owned())
            .stack_size(STACK_BYTES)
            .spawn_scoped(scope, || {
                IS_DEEP.set(true);
                run()
            })?;
        Ok(there.join())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Takes a kibibyte of the stack for every level.
    fn sum_to(level: u64) -> u64 {
        let room = std::hint::black_box([level; 128]);
        match level {
            0 => 0,
            _ => room[7] + sum_to(level - 1),
        }
    }

    #[test]
    fn one_thread_serves_calls_within_calls_and_a_panic_in_one_does_not_end_it() {
        let inside = on_deep_stack(|| {
            let here = thread::current().id();
            let within = on_deep_stack(|| (thread::current().id(), sum_to(20_000)));
            let failed = on_deep_stack(|| std::panic::resume_unwind(Box::new("a fault")));
            let failed: thread::Result<()> = failed.unwrap_or(Ok(()));
            (here, within, failed.is_err())
        });
        let Ok(Ok((there, Ok(Ok((within, sum))), has_failed))) = inside else {
            unreachable!("no thread, or it failed");
        };
        assert_eq!(there, within);
        assert_ne!(there, thread::current().id());
        assert_eq!(sum, 20_000 * 20_001 / 2);
        assert!(has_failed);
    }
}
