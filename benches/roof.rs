//! Time to solve and adjust a roof from its plan map, and how it grows with the number of faces in one connected part.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavewright::roof::map::PlanMap;
use eavewright::roof::{Roof, SolveOptions};

#[path = "../tests/suite/roof_plans.rs"]
#[allow(dead_code, reason = "the tests use more of it")]
mod roof_plans;
use roof_plans::{PlanFace, face, plan};
mod yardstick;

/// Hipped bays side by side with level valleys between them: four faces a bay, all one connected part.
fn bays(count: usize) -> PlanMap {
    let mut faces: Vec<PlanFace> = Vec::new();
    for i in 0..count {
        let x = 20.0 * i as f64;
        let mut add = |points: &[(f64, f64)]| {
            let moved: Vec<(f64, f64)> = points.iter().map(|&(px, py)| (px + x, py)).collect();
            faces.push(face(6.0, &moved));
        };
        add(&[(0.0, 0.0), (10.0, 10.0), (10.0, 30.0), (0.0, 40.0)]);
        add(&[(20.0, 0.0), (20.0, 40.0), (10.0, 30.0), (10.0, 10.0)]);
        add(&[(0.0, 0.0), (20.0, 0.0), (10.0, 10.0)]);
        add(&[(0.0, 40.0), (20.0, 40.0), (10.0, 30.0)]);
    }
    plan(&faces)
}

fn solve(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("solve");
    group.sample_size(10);
    for count in [10, 50, 200, 1000, 5000] {
        let map = bays(count);
        group.throughput(Throughput::Elements(map.faces.len() as u64));
        let options = SolveOptions {
            accept_falls: true,
            ..SolveOptions::default()
        };
        group.bench_with_input(
            BenchmarkId::new("hipped bays, faces", map.faces.len()),
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

criterion_group!(benches, solve, yardstick::sort);
criterion_main!(benches);
