//! The stated standard error of the total against the spread of totals over repeated tracing with random errors, and
//! against the errors on real roofs whose areas are known.

use std::fmt::Write as _;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{Roof, SolveOptions};

use crate::roof_real::Truth;
use crate::support::shared_data;

/// Normally distributed numbers from a fixed seed (SplitMix64, Box and Muller).
struct Errors(u64);

impl Errors {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

/// How the faces are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Drawn {
    /// Each face as a polygon of its own: every corner is traced two or three times.
    Polygons,
    /// Each line once.
    Lines,
}

const CORNERS: [(f64, f64); 6] = [
    (0.0, 0.0),
    (40.0, 0.0),
    (40.0, 24.0),
    (0.0, 24.0),
    (12.0, 12.0),
    (28.0, 12.0),
];
const FACES: [&[usize]; 4] = [&[0, 1, 5, 4], &[1, 2, 5], &[2, 3, 4, 5], &[3, 0, 4]];
const LINES: [[usize; 2]; 9] = [
    [0, 1],
    [1, 2],
    [2, 3],
    [3, 0],
    [0, 4],
    [3, 4],
    [1, 5],
    [2, 5],
    [4, 5],
];
const LABELS: [(f64, f64); 4] = [(20.0, 5.0), (36.0, 12.0), (20.0, 19.0), (4.0, 12.0)];

/// A hip roof of 40 by 24 with exact labels, drawn with independent errors of `sigma_in` inches at every end, 9 units a
/// foot.
fn hip(drawn: Drawn, sigma_in: f64, errors: &mut Errors) -> String {
    let mut at = |corner: usize| {
        let (x, y) = CORNERS[corner];
        let mut off = |v: f64| v + sigma_in / 12.0 * errors.normal();
        let (x, y) = (off(x), off(y));
        format!("{:.5},{:.5}", 100.0 + 9.0 * x, 400.0 - 9.0 * y)
    };
    let mut shapes = String::new();
    match drawn {
        Drawn::Polygons => {
            for face in FACES {
                let points: Vec<String> = face.iter().map(|&c| at(c)).collect();
                let _ = writeln!(shapes, "<polygon points=\"{}\"/>", points.join(" "));
            }
        }
        Drawn::Lines => {
            for [a, b] in LINES {
                let _ = writeln!(shapes, "<polyline points=\"{} {}\"/>", at(a), at(b));
            }
        }
    }
    let labels: String = LABELS
        .iter()
        .map(|(x, y)| {
            format!(
                "<text x=\"{}\" y=\"{}\">6.0000/12</text>",
                100.0 + 9.0 * x,
                400.0 - 9.0 * y
            )
        })
        .collect();
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"11in\" height=\"8.5in\" viewBox=\"0 0 792 612\">\
         <g id=\"roof\" fill=\"none\" stroke=\"black\">{shapes}</g>\
         <g id=\"pitch\" font-size=\"6\" text-anchor=\"middle\">{labels}</g>\
         <g id=\"scale\" font-size=\"9\" text-anchor=\"middle\"><line x1=\"100\" y1=\"500\" x2=\"460\" y2=\"500\" stroke=\"black\"/>\
         <text x=\"280\" y=\"496\">40'-0&quot;</text></g></svg>"
    )
}

/// The total and its stated standard error in ft².
fn total(svg: &str) -> Option<(f64, f64)> {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).ok()?;
    let maps = map::build(&drawing, &MapOptions::default()).ok()?;
    let accept = SolveOptions {
        accept_falls: true,
        ..SolveOptions::default()
    };
    let roof = Roof::solve(&maps, &accept).ok()?;
    Some((
        roof.true_area().to_square_feet(),
        roof.true_area_std_error_sqft?,
    ))
}

fn root_mean_square(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    (values.map(|v| v * v).sum::<f64>() / count).sqrt()
}

#[test]
fn the_stated_error_is_the_spread_of_totals_over_repeated_tracing() {
    const REPEATS: usize = 60;
    let mut errors = Errors(20);
    for drawn in [Drawn::Polygons, Drawn::Lines] {
        for sigma_in in [0.3, 0.6, 1.8, 3.6] {
            let totals: Vec<(f64, f64)> = (0..REPEATS)
                .filter_map(|_| total(&hip(drawn, sigma_in, &mut errors)))
                .collect();
            assert!(totals.len() * 10 >= REPEATS * 9, "{}", totals.len());
            let mean = totals.iter().map(|t| t.0).sum::<f64>() / totals.len() as f64;
            let spread = root_mean_square(totals.iter().map(|t| t.0 - mean));
            let stated = root_mean_square(totals.iter().map(|t| t.1));
            eprintln!(
                "{drawn:?} {sigma_in} in: {} totals, spread {spread:.2} ft², stated {stated:.2} ft², {:.2} times",
                totals.len(),
                stated / spread
            );
            assert!(
                (0.7..=1.4).contains(&(stated / spread)),
                "{drawn:?} at {sigma_in} in: stated {stated:.2}, spread {spread:.2} ft²"
            );
        }
    }
}

/// The true area lies within two standard errors of the computed one on at least nine in ten of the real roofs, traced
/// carefully or badly; label rounding and errors that hang together are in it.
#[test]
fn two_stated_errors_cover_the_true_areas_of_the_real_roofs() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    for suffix in ["", ".noisy"] {
        let mut off = Vec::new();
        for mut truth in Truth::all(&folder) {
            let Some(map) = truth.drawn(&folder, suffix) else {
                continue;
            };
            let accept = SolveOptions {
                accept_falls: true,
                ..SolveOptions::default()
            };
            let Ok(roof) = Roof::solve(&[map], &accept) else {
                continue;
            };
            if let Some(stated) = roof.true_area_std_error_sqft {
                off.push(
                    (roof.true_area().to_square_feet() - truth.true_area_sqft()).abs() / stated,
                );
            }
        }
        off.sort_by(f64::total_cmp);
        let within = off.iter().filter(|&&q| q <= 2.0).count();
        eprintln!(
            "traced{suffix}: {} roofs, error / stated: median {:.2}, rms {:.2}, within 2: {within}, largest {:.2}",
            off.len(),
            off[off.len() / 2],
            root_mean_square(off.iter().copied()),
            off[off.len() - 1]
        );
        assert!(off.len() > 100, "too few roofs");
        assert!(
            within * 10 >= off.len() * 9,
            "within two: {within} of {}",
            off.len()
        );
    }
}
