//! Drives the fuzz targets by chance, on any compiler: briefly in every run, as long as is asked for in the long one.
//! What was found becomes a test with a name, below.

use std::panic;
use std::time::{Duration, Instant};

use crate::fuzz_targets::{Target, course_layout, read, skeleton, solver, subdivision, texts};
use crate::outline_shapes::Dice;

const TEXTS: &[u8] = b"6/12 8:12 26.6\xc2\xb0 50% flat 20'-6 1/2\" 1/4in=1ft 1:48 3.5 m 5' 11 15/16\" [plan]\npitch = \"6/12\"\n[prices]\n[shingles]\nformat = \"39x13\"\n";
const HOUSE: &[u8] = include_bytes!("../../examples/quillback-road.svg");

const TANGLE: [u8; 68] = [
    0xf8, 0xff, 0xa0, 0xa0, 0x60, 0x5f, 0x01, 0xfb, 0xa0, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00,
    0x00, 0x00, 0x34, 0x87, 0xf6, 0x20, 0xa0, 0xa0, 0xc0, 0x01, 0xfb, 0xa0, 0x34, 0xa0, 0xf6, 0x00,
    0xa0, 0xa0, 0xc0, 0xfd, 0x5d, 0xa0, 0x01, 0x00, 0xa0, 0xa0, 0xa0, 0xa4, 0xa0, 0xa0, 0xa0, 0xfd,
    0x5d, 0xa0, 0x00, 0xa0, 0xe0, 0x00, 0x00, 0xa0, 0xff, 0xff, 0xff, 0x7f, 0x07, 0x07, 0x87, 0x81,
    0xa0, 0xa0, 0x00, 0xff,
];

const SMALL_FACE: [u8; 112] = [
    0x08, 0xff, 0x40, 0x40, 0xe0, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x00, 0x01, 0x00,
    0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00,
    0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00,
    0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00,
    0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00,
    0x00, 0x00, 0x00, 0xff, 0xff, 0xff, 0x00, 0x01, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00,
    0x00, 0x00, 0x00, 0x00, 0x00, 0x30, 0x00, 0x02, 0xf0, 0xff, 0x28, 0xff, 0xff, 0xff, 0xab, 0x32,
];

const TARGETS: [(&str, Target, &[u8]); 6] = [
    ("read", read, HOUSE),
    ("texts", texts, TEXTS),
    ("subdivision", subdivision, &[]),
    ("solver", solver, &[]),
    ("skeleton", skeleton, &[]),
    ("course_layout", course_layout, &[]),
];

/// Bytes: by chance throughout, or a piece of what is good to begin with, damaged.
fn bytes(dice: &mut Dice, seed: &[u8]) -> Vec<u8> {
    let mut bytes: Vec<u8> = if seed.is_empty() || dice.below(8) == 0 {
        (0..dice.below(160)).map(|_| dice.next() as u8).collect()
    } else {
        let start = if seed.len() < 400 {
            dice.below(seed.len())
        } else {
            0
        };
        let most = seed.len() - start;
        let count = if most < 400 {
            1 + dice.below(most)
        } else {
            most
        };
        seed[start..start + count].to_vec()
    };
    for _ in 0..dice.below(6) {
        let at = dice.below(bytes.len().max(1));
        match dice.below(4) {
            0 => bytes.insert(at.min(bytes.len()), dice.next() as u8),
            1 if at < bytes.len() => drop(bytes.remove(at)),
            2 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
            3 if at < bytes.len() => bytes[at] = b"0123456789./'\"- "[dice.below(16)],
            _ => {}
        }
    }
    bytes
}

/// Runs a target until the time is up and says how often; stops at the first input that breaks it, and prints it.
fn drive(name: &str, target: Target, seed: &[u8], dice: &mut Dice, time: Duration) -> usize {
    let since = Instant::now();
    let mut runs = 0;
    while since.elapsed() < time {
        let input = bytes(dice, seed);
        let started = Instant::now();
        let broken = panic::catch_unwind(|| target(&input)).is_err();
        assert!(!broken, "{name} is broken by {input:?}");
        // A hundred times what the slowest took when this was written, on a busy machine.
        assert!(
            started.elapsed() < Duration::from_secs(60),
            "{name} is slow on {input:?}"
        );
        runs += 1;
    }
    runs
}

#[test]
fn every_stage_bears_any_bytes_for_a_second() {
    for (name, target, seed) in TARGETS {
        let runs = drive(
            name,
            target,
            seed,
            &mut Dice::new(7),
            Duration::from_secs(1),
        );
        assert!(runs > 0, "{name}");
    }
}

/// The long run: `FUZZ_SECONDS=3600 FUZZ_SEED=1 cargo test --release --test suite -- --ignored --nocapture as_long_as`,
/// with `FUZZ_TARGET=solver` for one alone.
#[test]
#[ignore = "long"]
fn every_stage_bears_any_bytes_as_long_as_is_asked_for() {
    let number = |name, default| std::env::var(name).map_or(default, |v| v.parse().unwrap());
    let time = Duration::from_secs(number("FUZZ_SECONDS", 60));
    let only = std::env::var("FUZZ_TARGET").ok();
    for (name, target, seed) in TARGETS {
        if only.as_deref().is_none_or(|only| only == name) {
            let runs = drive(
                name,
                target,
                seed,
                &mut Dice::new(number("FUZZ_SEED", 1)),
                time,
            );
            eprintln!("{name}: {runs} inputs in {} s", time.as_secs());
        }
    }
}

/// Found by the subdivision target of the fuzzing: a few lines nearer together than the tolerance, whose crossings became
/// more by the thousand with every round of splitting.
#[test]
fn a_tangle_of_lines_is_no_more_work_than_its_crossings() {
    subdivision(&TANGLE);
}

/// Found by the solver target of the fuzzing: a pitch in a face of 0.00002 ft², one corner of which was taken for a point
/// of a straight line; without it the face had an area of less than nothing.
#[test]
fn a_face_smaller_than_the_tolerance_can_tell_is_refused() {
    solver(&SMALL_FACE);
}
