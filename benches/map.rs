//! Time to make the plan map of a drawing, and how it grows with the number of faces.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{MapOptions, build};

mod yardstick;

/// Hipped bays of 20 ft by 40 ft in rows, drawn as single lines with a label in each of their four faces; 10 units are
/// a foot.
fn bays(count: usize) -> String {
    let columns = (count as f64).sqrt().ceil() as usize;
    let (mut lines, mut labels) = (String::new(), String::new());
    for i in 0..count {
        let (x, y) = (200.0 * (i % columns) as f64, 500.0 * (i / columns) as f64);
        for [a, b, c, d] in [
            [0.0, 0.0, 200.0, 0.0],
            [200.0, 0.0, 200.0, 400.0],
            [200.0, 400.0, 0.0, 400.0],
            [0.0, 400.0, 0.0, 0.0],
            [0.0, 0.0, 100.0, 100.0],
            [200.0, 0.0, 100.0, 100.0],
            [0.0, 400.0, 100.0, 300.0],
            [200.0, 400.0, 100.0, 300.0],
            [100.0, 100.0, 100.0, 300.0],
        ] {
            lines += &format!("M{} {}L{} {}", x + a, y + b, x + c, y + d);
        }
        for [a, b] in [[100.0, 40.0], [100.0, 370.0], [40.0, 200.0], [160.0, 200.0]] {
            labels += &format!("<text x=\"{}\" y=\"{}\">6/12</text>", x + a, y + b);
        }
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100000 100000\"><g id=\"roof\" fill=\"none\" stroke=\"black\">\
         <path d=\"{lines}\"/></g><g id=\"pitch\" font-size=\"9\" text-anchor=\"middle\">{labels}</g>\
         <g id=\"scale\" font-size=\"9\"><line x1=\"0\" y1=\"-40\" x2=\"200\" y2=\"-40\" stroke=\"black\"/>\
         <text x=\"90\" y=\"-46\">20'-0&quot;</text></g></svg>"
    )
}

fn map(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("map");
    group.sample_size(10);
    for count in [50, 500, 5000] {
        let Ok(drawing) = Drawing::read(bays(count).as_bytes(), &ReadOptions::default()) else {
            continue;
        };
        let faces = build(&drawing, &MapOptions::default())
            .map_or(0, |maps| maps.iter().map(|m| m.faces.len()).sum::<usize>());
        assert_eq!(faces, 4 * count, "the bench's plan is not read as drawn");
        group.throughput(Throughput::Elements(faces as u64));
        group.bench_with_input(
            BenchmarkId::new("hipped bays, faces", faces),
            &drawing,
            |bencher, drawing| {
                bencher.iter(|| {
                    build(drawing, &MapOptions::default()).map_or(0, |maps| maps[0].faces.len())
                });
            },
        );
    }
    group.finish();
}

criterion_group!(benches, map, yardstick::sort);
criterion_main!(benches);
