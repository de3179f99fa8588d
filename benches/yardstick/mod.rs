//! What the machine does in the same minute: figures beside it can be compared between machines and loads.

use std::hint::black_box;

use criterion::{BatchSize, Criterion};

/// How many numbers are sorted.
const COUNT: u64 = 100_000;

/// Sorts numbers in no order (multiples of an odd constant modulo 2⁶⁴).
pub(crate) fn sort(criterion: &mut Criterion) {
    let numbers: Vec<u64> = (0..COUNT)
        .map(|i| i.wrapping_mul(0x9E37_79B9_7F4A_7C15))
        .collect();
    criterion.bench_function("yardstick: 100,000 numbers sorted", |bencher| {
        bencher.iter_batched(
            || numbers.clone(),
            |mut numbers| {
                numbers.sort_unstable();
                black_box(numbers)
            },
            BatchSize::LargeInput,
        );
    });
}
