//! Time to build and prove the roof over an outline, and how it grows with the number of sides.
//!
//! The outlines are those of the shared reference data where it lies beside the repository (a file that is absent is
//! told), and others of the same kinds made here, to 10,000 sides. Beside them stands a sort of the same 5,000,000
//! doubles that the reference data carries its timings by from machine to machine. It is Rust's sort, about 2.4 times as
//! fast as the C++ one that took 0.438 s of CPU time where those of `timings.json` were taken. CPU time is measured where
//! the system tells it (Linux), else time by the clock.
#![allow(
    clippy::unwrap_used,
    clippy::print_stderr,
    reason = "a program for the command line, on files of known form"
)]

use std::fs;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use criterion::measurement::{Measurement, ValueFormatter, WallTime};
use criterion::{BatchSize, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavewright::geometry::Point;
use eavewright::roof::outline::{self, OutlineInput, OutlineRules, OutlineSide};
use eavewright::units::Pitch;
use serde_json::Value;

#[path = "../tests/suite/outline_shapes.rs"]
#[allow(dead_code, reason = "the tests use more of it")]
mod outline_shapes;
use outline_shapes::{comb, courtyards, general, one_pitch, orthogonal};

const SIZES: [usize; 3] = [100, 1000, 10_000];

/// Time that this process was running, whatever else the machine does.
struct CpuTime;

/// Nanoseconds on a processor so far: the first number of `schedstat` (Linux, Documentation/scheduler/sched-stats).
fn on_cpu_ns() -> Option<u64> {
    let told = fs::read_to_string("/proc/self/schedstat").ok()?;
    told.split_whitespace().next()?.parse().ok()
}

impl Measurement for CpuTime {
    type Intermediate = (Option<u64>, Instant);
    type Value = Duration;
    fn start(&self) -> Self::Intermediate {
        (on_cpu_ns(), Instant::now())
    }
    fn end(&self, (before, clock): Self::Intermediate) -> Duration {
        match (before, on_cpu_ns()) {
            (Some(before), Some(now)) => Duration::from_nanos(now - before),
            _ => clock.elapsed(),
        }
    }
    fn add(&self, a: &Duration, b: &Duration) -> Duration {
        *a + *b
    }
    fn zero(&self) -> Duration {
        Duration::ZERO
    }
    fn to_f64(&self, value: &Duration) -> f64 {
        value.as_nanos() as f64
    }
    fn formatter(&self) -> &dyn ValueFormatter {
        WallTime.formatter()
    }
}

/// The outline of a file of the reference data with the pitches of one of its sets.
fn reference(id: &str, set: &str) -> Option<OutlineInput> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../shared/data/skeleton")
        .join(format!("{id}.json"));
    let Ok(bytes) = fs::read(&path) else {
        eprintln!("skipped: {} is not there", path.display());
        return None;
    };
    let document: Value = serde_json::from_slice(&bytes).ok()?;
    let contours = document["contours"].as_array()?.iter();
    let pitches = document["sets"].get(set)?["pitch"].as_array()?;
    let side = |(corner, pitch): (&Value, &Value)| {
        let start = Point::new(corner[0].as_f64()?, corner[1].as_f64()?);
        Some(match pitch.as_f64() {
            Some(rise) => OutlineSide::eave(start, Pitch::in_12(rise)),
            None => OutlineSide::gable(start),
        })
    };
    let rings = contours.zip(pitches).map(|(corners, pitches)| {
        let corners = corners.as_array()?.iter();
        corners.zip(pitches.as_array()?).map(side).collect()
    });
    Some(OutlineInput {
        rings: rings.collect::<Option<_>>()?,
    })
}

fn outlines() -> Vec<(String, OutlineInput)> {
    let mut all = Vec::new();
    for kind in ["orth", "gen"] {
        for size in [100, 300, 1000, 3000, 10_000] {
            let id = format!("{kind}_{size}");
            if let Some(input) = reference(&id, "equal") {
                all.push((format!("reference {kind}"), input));
            }
        }
    }
    for size in SIZES {
        let even = orthogonal(size, 1, true);
        all.push((
            "orthogonal".to_owned(),
            one_pitch(&orthogonal(size, 1, false), 6.0),
        ));
        all.push(("orthogonal, even grid".to_owned(), one_pitch(&even, 6.0)));
        all.push(("general".to_owned(), one_pitch(&general(size, 1), 6.0)));
        let rows = ((size / 4) as f64).sqrt() as usize;
        all.push(("courtyards".to_owned(), one_pitch(&courtyards(rows), 6.0)));
        all.push(("comb".to_owned(), one_pitch(&comb(size / 4, 30.0), 6.0)));
    }
    all
}

fn build(criterion: &mut Criterion<CpuTime>) {
    let mut group = criterion.benchmark_group("outline");
    group.sample_size(10);
    for (name, input) in outlines() {
        let sides = input.side_count();
        group.throughput(Throughput::Elements(sides as u64));
        group.bench_with_input(BenchmarkId::new(name, sides), &input, |bencher, input| {
            bencher.iter(|| outline::build(input, &OutlineRules::default()).map(|r| r.arcs.len()));
        });
    }
    group.finish();
}

/// The generator and the sort that the reference data names.
fn yardstick(criterion: &mut Criterion<CpuTime>) {
    let mut state = 12_345_u64;
    let numbers: Vec<f64> = (0..5_000_000)
        .map(|_| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64
        })
        .collect();
    let mut group = criterion.benchmark_group("yardstick");
    group.sample_size(10);
    group.bench_function("sorting 5,000,000 doubles", |bencher| {
        bencher.iter_batched(
            || numbers.clone(),
            |mut numbers| {
                numbers.sort_unstable_by(f64::total_cmp);
                numbers.len()
            },
            BatchSize::LargeInput,
        );
    });
    group.finish();
}

criterion_group!(
    name = benches;
    config = Criterion::default()
        .with_measurement(CpuTime)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2));
    targets = yardstick, build
);
criterion_main!(benches);
