//! Time to solve a roof from its plan map: one ordinary house, a roof of 200 faces, and how it grows towards a district
//! in one sheet.
//!
//! The plans are rows of cross-gabled houses: every house has ten faces with eaves, rakes, ridges and valleys, and the
//! rows hang together, so that the whole sheet is one connected part.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavewright::roof::map::PlanMap;
use eavewright::roof::{Roof, SolveOptions};

#[path = "../tests/suite/roof_plans.rs"]
#[allow(dead_code, reason = "the tests use more of it")]
mod roof_plans;
use roof_plans::{PlanFace, face, plan};

/// Row houses with a wing to the south each, sharing their party walls: faces of 6 in 12.
fn row_houses(count: usize) -> PlanMap {
    let mut faces: Vec<PlanFace> = Vec::new();
    for i in 0..count {
        // Each house is a little deeper or shallower than the last, or its ridge would run through.
        let x = 40.0 * i as f64;
        let at = |points: &[(f64, f64)]| {
            points
                .iter()
                .map(|&(px, py)| (px + x, py))
                .collect::<Vec<_>>()
        };
        faces.push(face(
            6.0,
            &at(&[(0.0, 12.0), (40.0, 12.0), (40.0, 24.0), (0.0, 24.0)]),
        ));
        faces.push(face(
            6.0,
            &at(&[
                (0.0, 0.0),
                (12.0, 0.0),
                (20.0, 8.0),
                (28.0, 0.0),
                (40.0, 0.0),
                (40.0, 12.0),
                (0.0, 12.0),
            ]),
        ));
        faces.push(face(
            6.0,
            &at(&[(12.0, 0.0), (12.0, -10.0), (20.0, -10.0), (20.0, 8.0)]),
        ));
        faces.push(face(
            6.0,
            &at(&[(28.0, 0.0), (20.0, 8.0), (20.0, -10.0), (28.0, -10.0)]),
        ));
    }
    plan(&faces)
}

fn solve(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("solve");
    group.sample_size(10);
    for houses in [1, 50, 500, 5000] {
        let map = row_houses(houses);
        group.throughput(Throughput::Elements(map.faces.len() as u64));
        let options = SolveOptions {
            accept_falls: true,
            ..SolveOptions::default()
        };
        group.bench_with_input(
            BenchmarkId::new("row houses, faces", map.faces.len()),
            &map,
            |bencher, map| {
                bencher.iter(|| {
                    Roof::solve(std::slice::from_ref(map), &options)
                        .map(|r| r.faces.len())
                        .unwrap_or(0)
                });
            },
        );
    }
    group.finish();
}

criterion_group!(benches, solve);
criterion_main!(benches);
