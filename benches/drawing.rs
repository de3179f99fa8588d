//! Time to read a drawing: a small plan as three programs write it, 10,000 elements of mixed kinds, and 20 MB of long
//! paths as converters write them.

use std::fmt::Write as _;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use eavewright::drawing::{Drawing, ReadOptions};

const SCALE: &str = "<g id=\"scale\"><line x1=\"10\" y1=\"790\" x2=\"50\" y2=\"790\" stroke=\"#000\"/>\
    <text x=\"22\" y=\"789\" font-size=\"4\">20'-0\"</text></g>";

/// A number in [0, 1) from a counter: the same drawing in every run.
fn noise(i: usize) -> f64 {
    let mixed = (i as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x1234_5678_9abc_def0;
    (mixed.wrapping_mul(0xbf58_476d_1ce4_e5b9) >> 11) as f64 / (1_u64 << 53) as f64
}

fn sheet(body: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1000 800\">{SCALE}{body}</svg>"
    )
}

fn mixed(count: usize) -> String {
    let mut body = String::new();
    for i in 0..count {
        let (x, y) = (noise(2 * i) * 900.0, noise(2 * i + 1) * 700.0);
        let _ = match i % 4 {
            0 => writeln!(
                body,
                "<line x1=\"{x:.2}\" y1=\"{y:.2}\" x2=\"{:.2}\" y2=\"{y:.2}\" stroke=\"#000\"/>",
                x + 20.0
            ),
            1 => writeln!(
                body,
                "<path d=\"M{x:.2} {y:.2}l10 5 3 7\" fill=\"none\" stroke=\"#a00\" transform=\"translate(1 2)\"/>"
            ),
            2 => writeln!(
                body,
                "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"12\" height=\"9\" fill=\"none\" stroke=\"#00a\"/>"
            ),
            _ => writeln!(
                body,
                "<g><polygon points=\"{x:.2},{y:.2} {:.2},{y:.2} {x:.2},{:.2}\" style=\"fill:none;stroke:#0a0\"/></g>",
                x + 9.0,
                y + 7.0
            ),
        };
    }
    sheet(&body)
}

fn converted(bytes: usize) -> String {
    let mut body = String::with_capacity(bytes + 500);
    let mut i = 0;
    while body.len() < bytes {
        body += "<path style=\"fill:none;stroke-width:0.5;stroke:rgb(0%,0%,0%);stroke-opacity:1;stroke-miterlimit:10;\" d=\"M 1 1";
        for _ in 0..40 {
            let _ = write!(
                body,
                " L {:.6} {:.6}",
                noise(i) * 900.0,
                noise(i + 1) * 700.0
            );
            i += 2;
        }
        body += "\" transform=\"matrix(1,0,0,-1,0,700)\"/>\n";
    }
    sheet(&body)
}

fn reading(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("reading");
    for name in [
        "layer-labels-in-mm",
        "no-layers-deep-tspans",
        "web-text-and-hidden-twins",
    ] {
        let path = format!(
            "{}/fixtures/drawings/{name}.svg",
            env!("CARGO_MANIFEST_DIR")
        );
        let Ok(bytes) = std::fs::read(path) else {
            continue;
        };
        group.throughput(Throughput::Bytes(bytes.len() as u64));
        group.bench_function(name, |b| {
            b.iter(|| Drawing::read(&bytes, &ReadOptions::default()))
        });
    }
    for (name, text) in [
        ("10,000 elements", mixed(10_000)),
        ("20 MB of paths", converted(20 << 20)),
    ] {
        group.sample_size(10);
        group.throughput(Throughput::Bytes(text.len() as u64));
        group.bench_function(name, |b| {
            b.iter(|| Drawing::read(text.as_bytes(), &ReadOptions::default()))
        });
    }
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);
