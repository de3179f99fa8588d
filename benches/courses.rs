//! Laying, matching and bounding: 40 squares of gable and of hip roof, and 10,000 squares. Beside each time stand the
//! shingles opened and the proven bound, so that speed is never bought with shingles unnoticed; and how many times as
//! long it takes as a reference that does nothing but arithmetic, so that figures of two machines can be compared.

use std::hint::black_box;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};

use eavewright::courses::{
    Choices, CourseFace, EdgeKind, Effort, FaceRing, LayRules, formats, lay_faces,
};
use eavewright::geometry::Point;
use eavewright::roof::FaceId;

/// A face with one eave, one ridge and two equal ends.
fn face(eave_ft: f64, ridge_ft: f64, slope_ft: f64, end: EdgeKind) -> CourseFace {
    let (e, v) = (eave_ft * 12.0, slope_ft * 12.0);
    let inset = (eave_ft - ridge_ft) * 6.0;
    let corners = [(0.0, 0.0), (e, 0.0), (e - inset, v), (inset, v)];
    let points = corners.iter().map(|&(u, v)| Point::new(u, v)).collect();
    let ring = FaceRing::new(points, vec![EdgeKind::Eave, end, EdgeKind::Ridge, end]);
    match CourseFace::new(FaceId(0), ring, Vec::new()) {
        Ok(face) => face,
        Err(finding) => unreachable!("{}", finding.message),
    }
}

/// Faces of one job, laid as one roof.
fn lay(faces: &[CourseFace], effort: Effort) -> (usize, usize) {
    let formats = formats::shipped();
    let rules = LayRules::default();
    let choices = Choices::default();
    let Some(format) = formats.iter().find(|f| f.name == "39x13") else {
        return (0, 0);
    };
    let laid = lay_faces(faces, format, &rules, &choices, effort).unwrap_or_default();
    laid.iter().fold((0, 0), |(opened, bound), face| {
        (opened + face.opened, bound + face.bound)
    })
}

/// A million steps of a xorshift generator with a square root each: about as much for any machine of one kind.
fn reference() -> f64 {
    let mut x = 0x9E37_79B9_7F4A_7C15_u64;
    let mut sum = 0.0;
    for _ in 0..1_000_000 {
        x ^= x << 13;
        x ^= x >> 7;
        x ^= x << 17;
        sum += ((x >> 11) as f64).sqrt();
    }
    sum
}

/// The shortest of some runs: what the machine can do when nothing else asks for it.
fn shortest(mut work: impl FnMut()) -> Duration {
    let runs = (0..15).map(|_| {
        let start = Instant::now();
        work();
        start.elapsed()
    });
    runs.min().unwrap_or_default()
}

fn courses(c: &mut Criterion) {
    let unit = shortest(|| {
        black_box(reference());
    })
    .as_secs_f64();
    let rake = EdgeKind::Rake;
    let hip = EdgeKind::Hip;
    let jobs = [
        (
            "gable-40-squares",
            vec![face(80.0, 80.0, 25.0, rake), face(80.0, 80.0, 25.0, rake)],
        ),
        (
            "hip-40-squares",
            vec![
                face(90.0, 50.0, 22.36, hip),
                face(90.0, 50.0, 22.36, hip),
                face(40.0, 0.01, 22.36, hip),
                face(40.0, 0.01, 22.36, hip),
            ],
        ),
        (
            "gable-10000-squares",
            vec![
                face(1000.0, 1000.0, 500.0, rake),
                face(1000.0, 1000.0, 500.0, rake),
            ],
        ),
    ];
    for (name, faces) in &jobs {
        let (opened, bound) = lay(faces, Effort::QUICK);
        let over = 100.0 * (opened as f64 / bound as f64 - 1.0);
        let time = shortest(|| {
            black_box(lay(faces, Effort::QUICK));
        });
        let times = time.as_secs_f64() / unit;
        let mut group = c.benchmark_group("courses");
        group.sample_size(10);
        group.bench_function(
            format!("{name}: {opened} opened, {over:.2} % over the bound, {times:.1} references"),
            |b| {
                b.iter(|| lay(faces, Effort::QUICK));
            },
        );
        group.finish();
    }
}

criterion_group!(benches, courses);
criterion_main!(benches);
