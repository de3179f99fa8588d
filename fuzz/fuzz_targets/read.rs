//! Any bytes are either read or refused: no panic, no hang, no runaway memory.
#![no_main]

use eavewright::drawing::{Drawing, ReadOptions};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let result = Drawing::read(bytes, &ReadOptions::default());
    if let Err(errors) = result {
        assert!(errors.iter().all(|e| e.code != "reader-failed"));
    }
});
