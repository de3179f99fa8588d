//! The target of this name in `tests/suite/fuzz_targets.rs`.
#![no_main]

#[path = "../../tests/suite/fuzz_targets.rs"]
#[allow(dead_code, reason = "the other targets are in the same file")]
mod fuzz_targets;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzz_targets::texts(bytes));
