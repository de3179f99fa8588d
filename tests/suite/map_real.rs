//! The planar map on real roofs with known truth (open city models; see the README beside the data).
//!
//! `cargo test --test suite map_real -- --nocapture` prints the table.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::geometry::Point;
use eavewright::roof::map::{MapOptions, PlanMap, build};
use eavewright::units::METRES_PER_FOOT;
use geo::{Area, BooleanOps, LineString, Polygon};
use serde_json::Value;

use crate::support::shared_data;

/// A face found shares this much of its union with the true one.
const SAME_FACE: f64 = 0.6;
/// Two faces are neighbours where they share more than this much edge, in metres of plan.
const NEIGHBOURS_M: f64 = 0.25;

/// A face of the truth file, in the frame of the plan.
struct TrueFace {
    id: String,
    shape: Polygon,
    true_area_sqft: f64,
    slope_factor: f64,
}

/// What came out for one plan.
#[derive(Default)]
struct Outcome {
    faces_right: bool,
    pairs_right: bool,
    told: bool,
    total_error_percent: f64,
    face_errors_percent: Vec<f64>,
    detail: String,
}

fn json(path: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array()
        .unwrap()
        .iter()
        .map(|n| n.as_f64().unwrap())
        .collect()
}

fn polygon(rings: &[Vec<Point>]) -> Polygon {
    let line = |r: &Vec<Point>| LineString::from(r.iter().map(|p| (p.x, p.y)).collect::<Vec<_>>());
    Polygon::new(line(&rings[0]), rings[1..].iter().map(line).collect())
}

fn true_faces(truth: &Value, feet_per_unit: f64) -> Vec<TrueFace> {
    let (k, m) = (feet_per_unit, numbers(&truth["svg_from_plan"]));
    let point = |p: &Value| {
        let p = numbers(p);
        let svg = (
            m[0] * p[0] + m[2] * p[1] + m[4],
            m[1] * p[0] + m[3] * p[1] + m[5],
        );
        Point::new(k * svg.0, -k * svg.1)
    };
    let ring = |v: &Value| v.as_array().unwrap().iter().map(point).collect::<Vec<_>>();
    let faces = truth["faces"].as_array().unwrap().iter();
    faces
        .map(|f| {
            let mut rings = vec![ring(&f["outline"])];
            rings.extend(f["holes"].as_array().unwrap().iter().map(ring));
            let (plan, sloped) = (
                f["plan_area"].as_f64().unwrap(),
                f["true_area"].as_f64().unwrap(),
            );
            TrueFace {
                id: f["id"].as_str().unwrap().to_owned(),
                shape: polygon(&rings),
                true_area_sqft: sloped / METRES_PER_FOOT.powi(2),
                slope_factor: sloped / plan,
            }
        })
        .collect()
}

fn examine(path: &Path, truth: &Value) -> Outcome {
    let told = |findings: Vec<eavewright::Finding>| Outcome {
        told: true,
        detail: findings
            .into_iter()
            .map(|f| format!("{} {}; ", f.code, f.message))
            .collect(),
        ..Outcome::default()
    };
    let bytes = std::fs::read(path).unwrap();
    let drawing = match Drawing::read(&bytes, &ReadOptions::default()) {
        Ok(drawing) => drawing,
        Err(findings) => return told(findings),
    };
    let maps = match build(&drawing, &MapOptions::default()) {
        Ok(maps) => maps,
        Err(findings) => return told(findings),
    };
    assert_eq!(maps.len(), 1, "one level in {}", path.display());
    compare(
        &maps[0],
        truth,
        &true_faces(truth, drawing.scale.feet_per_unit),
    )
}

fn compare(map: &PlanMap, truth: &Value, faces: &[TrueFace]) -> Outcome {
    let found: Vec<Polygon> = map
        .faces
        .iter()
        .map(|f| polygon(&f.rings.iter().map(|r| map.corners(r)).collect::<Vec<_>>()))
        .collect();
    let best: Vec<Option<usize>> = faces
        .iter()
        .map(|t| {
            (0..found.len())
                .map(|i| (i, shared(&t.shape, &found[i])))
                .filter(|&(_, share)| share > SAME_FACE)
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(i, _)| i)
        })
        .collect();
    let taken: BTreeSet<usize> = best.iter().flatten().copied().collect();
    if found.len() != faces.len() || taken.len() != faces.len() {
        let missed: Vec<&str> = faces
            .iter()
            .zip(&best)
            .filter(|(_, b)| b.is_none())
            .map(|(t, _)| t.id.as_str())
            .collect();
        let detail = format!(
            "{} faces found of {}; without {missed:?}; {:?}",
            found.len(),
            faces.len(),
            map.findings
        );
        return Outcome {
            detail,
            ..Outcome::default()
        };
    }
    let (wanted, pairs) = (true_pairs(truth), found_pairs(map, faces, &best));
    let sloped = |(t, b): (&TrueFace, &Option<usize>)| {
        b.map_or(0.0, |b| found[b].unsigned_area()) * t.slope_factor
    };
    let percent = |found: f64, truth: f64| 100.0 * (found / truth - 1.0).abs();
    let total: f64 = faces.iter().zip(&best).map(sloped).sum();
    Outcome {
        faces_right: true,
        pairs_right: wanted == pairs,
        told: false,
        total_error_percent: percent(total, faces.iter().map(|t| t.true_area_sqft).sum()),
        face_errors_percent: faces
            .iter()
            .zip(&best)
            .map(|(t, b)| percent(sloped((t, b)), t.true_area_sqft))
            .collect(),
        detail: format!(
            "tolerance {:.0} mm, neighbours missing {:?}, too many {:?}",
            map.tolerance_ft * METRES_PER_FOOT * 1000.0,
            wanted.difference(&pairs).collect::<Vec<_>>(),
            pairs.difference(&wanted).collect::<Vec<_>>()
        ),
    }
}

/// Intersection over union.
fn shared(a: &Polygon, b: &Polygon) -> f64 {
    let common = a.intersection(b).unsigned_area();
    common / (a.unsigned_area() + b.unsigned_area() - common)
}

type Pairs = BTreeSet<(String, String)>;

/// The pairs with enough edge between them.
fn long_enough(lengths: impl Iterator<Item = (String, String, f64)>) -> Pairs {
    let mut sums: BTreeMap<(String, String), f64> = BTreeMap::new();
    for (a, b, metres) in lengths {
        *sums.entry(if a < b { (a, b) } else { (b, a) }).or_default() += metres;
    }
    sums.into_iter()
        .filter(|(_, m)| *m > NEIGHBOURS_M)
        .map(|(pair, _)| pair)
        .collect()
}

fn true_pairs(truth: &Value) -> Pairs {
    let edges = truth["edges"].as_array().unwrap().iter();
    long_enough(edges.filter_map(|e| {
        let [a, b] = &e["faces"].as_array().unwrap()[..] else {
            return None;
        };
        let name = |f: &Value| f.as_str().unwrap().to_owned();
        Some((name(a), name(b), e["plan_len"].as_f64().unwrap()))
    }))
}

fn found_pairs(map: &PlanMap, faces: &[TrueFace], best: &[Option<usize>]) -> Pairs {
    let name = |i: usize| {
        faces[best.iter().position(|b| *b == Some(i)).unwrap()]
            .id
            .clone()
    };
    long_enough(map.edges.iter().filter_map(|e| {
        let length = map.nodes[e.a].distance(map.nodes[e.b]) * METRES_PER_FOOT;
        Some((name(e.left?), name(e.right?), length))
    }))
}

fn quantile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[((values.len() - 1) as f64 * share).round() as usize]
}

/// The figures of one row of the table.
struct Row {
    plans: usize,
    faces: usize,
    pairs: usize,
    told: usize,
    total: [f64; 3],
    face: [f64; 2],
}

fn row(folder: &Path, suffix: &str) -> Row {
    let index = json(&folder.join("index.json"));
    let entries = index.as_array().unwrap();
    let mut row = Row {
        plans: entries.len(),
        faces: 0,
        pairs: 0,
        told: 0,
        total: [0.0; 3],
        face: [0.0; 2],
    };
    let (mut totals, mut faces) = (Vec::new(), Vec::new());
    for entry in entries {
        let id = entry["id"].as_str().unwrap();
        let truth = json(&folder.join(format!("{id}.truth.json")));
        let outcome = examine(&folder.join(format!("{id}{suffix}.svg")), &truth);
        row.faces += usize::from(outcome.faces_right);
        row.pairs += usize::from(outcome.pairs_right);
        row.told += usize::from(outcome.told);
        if !outcome.pairs_right {
            eprintln!("{id}{suffix}: {}", outcome.detail);
        }
        // Steps have their own edges; the published table is over the roofs without.
        if outcome.faces_right && truth["cls"] != "stepped" {
            totals.push(outcome.total_error_percent);
            faces.extend(outcome.face_errors_percent);
        }
    }
    row.total = [0.5, 0.9, 1.0].map(|q| quantile(&mut totals, q));
    row.face = [0.5, 0.9].map(|q| quantile(&mut faces, q));
    eprintln!(
        "{suffix:6} plans {} faces right {} neighbours right {} told {} | total area % {:.3} / {:.3} / {:.3} | face % {:.3} / {:.3}",
        row.plans,
        row.faces,
        row.pairs,
        row.told,
        row.total[0],
        row.total[1],
        row.total[2],
        row.face[0],
        row.face[1]
    );
    row
}

#[test]
fn every_careful_plan_of_a_real_roof_gives_all_its_faces() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let row = row(&folder, "");
    assert_eq!(row.faces, row.plans);
    assert!(
        row.pairs + 1 >= row.plans,
        "neighbours right on {}",
        row.pairs
    );
    assert!(
        row.total[1] <= 0.06 && row.total[2] <= 0.1,
        "total area {:?} %",
        row.total
    );
}

#[test]
fn carelessly_traced_real_roofs_give_all_their_faces_or_are_told() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let row = row(&folder, ".noisy");
    assert!(
        row.faces * 100 >= row.plans * 97,
        "faces right on {}",
        row.faces
    );
    assert_eq!(row.faces + row.told, row.plans, "wrong and not told");
    assert!(
        row.pairs * 100 >= row.plans * 97,
        "neighbours right on {}",
        row.pairs
    );
    assert!(
        row.total[1] <= 0.45 && row.total[2] <= 1.5,
        "total area {:?} %",
        row.total
    );
}
