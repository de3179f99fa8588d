//! The solver on real roofs with known truth (open city models; see the README beside the data).
//!
//! `cargo test --release --test suite roof_real -- --nocapture` prints the table.

use std::path::Path;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::geometry::{Point, Vector, ring};
use eavewright::roof::map::{MapOptions, PlanMap, build};
use eavewright::roof::{EdgeClass, Roof, SolveOptions};
use serde_json::Value;

use crate::roof_plans::{PlanFace, plan};
use crate::support::shared_data;

const FEET: f64 = 1.0 / 0.3048;

/// The truth beside a plan.
pub(crate) struct Truth {
    pub(crate) id: String,
    pub(crate) class: String,
    json: Value,
    /// From the truth's metres to the plan's feet: x' = a x + c y + e, y' = b x + d y + f.
    frame: [f64; 6],
}

impl Truth {
    pub(crate) fn all(folder: &Path) -> Vec<Self> {
        let index: Value = read(&folder.join("index.json"));
        let entries = index.as_array().unwrap();
        entries
            .iter()
            .map(|entry| {
                let id = entry["id"].as_str().unwrap().to_string();
                Self {
                    json: read(&folder.join(format!("{id}.truth.json"))),
                    frame: [FEET, 0.0, 0.0, FEET, 0.0, 0.0],
                    class: entry["cls"].as_str().unwrap().to_string(),
                    id,
                }
            })
            .collect()
    }

    /// The plan as read from the drawing, and the truth in its frame.
    pub(crate) fn drawn(&mut self, folder: &Path, suffix: &str) -> Option<PlanMap> {
        let bytes = std::fs::read(folder.join(format!("{}{suffix}.svg", self.id))).unwrap();
        let drawing = Drawing::read(&bytes, &ReadOptions::default()).ok()?;
        let k = drawing.scale.feet_per_unit;
        let m: Vec<f64> = numbers(&self.json["svg_from_plan"]);
        self.frame = [
            k * m[0],
            -k * m[1],
            k * m[2],
            -k * m[3],
            k * m[4],
            -k * m[5],
        ];
        let maps = build(&drawing, &MapOptions::default()).ok()?;
        maps.into_iter().next()
    }

    fn point(&self, p: &Value) -> Point {
        let [a, b, c, d, e, f] = self.frame;
        let (x, y) = (p[0].as_f64().unwrap(), p[1].as_f64().unwrap());
        Point::new(a * x + c * y + e, b * x + d * y + f)
    }

    fn points(&self, ring: &Value) -> Vec<Point> {
        ring.as_array()
            .unwrap()
            .iter()
            .map(|p| self.point(p))
            .collect()
    }

    fn rings(&self, face: &Value) -> Vec<Vec<Point>> {
        let holes = face["holes"].as_array().unwrap();
        std::iter::once(&face["outline"])
            .chain(holes)
            .map(|r| self.points(r))
            .collect()
    }

    pub(crate) fn faces(&self) -> &[Value] {
        self.json["faces"].as_array().unwrap()
    }

    /// The place inside a face that its label was written at.
    pub(crate) fn label_at(&self, face: usize) -> Point {
        self.point(&self.faces()[face]["label_at"])
    }

    /// The pairs of faces that meet in an edge, without those that stand at different heights.
    pub(crate) fn meeting(&self) -> Vec<(usize, usize)> {
        let place = |id: &Value| self.faces().iter().position(|f| &f["id"] == id).unwrap();
        self.edges()
            .iter()
            .filter(|e| e["cls"] != "step")
            .filter_map(|e| match e["faces"].as_array().unwrap().as_slice() {
                [a, b] => Some((place(a), place(b))),
                _ => None,
            })
            .collect()
    }

    fn edges(&self) -> &[Value] {
        self.json["edges"].as_array().unwrap()
    }

    /// The true area of the whole roof.
    pub(crate) fn true_area_sqft(&self) -> f64 {
        self.json["totals"]["true_area"].as_f64().unwrap() * FEET * FEET
    }

    /// The plan as it truly is, with the labels as they were written.
    pub(crate) fn plan(&self) -> PlanMap {
        self.plan_of(&(0..self.faces().len()).collect::<Vec<_>>())
    }

    /// The same of some of the faces: what is cut off along their edges is open.
    pub(crate) fn plan_of(&self, keep: &[usize]) -> PlanMap {
        let faces: Vec<PlanFace> = keep
            .iter()
            .map(|&face| {
                let f = &self.faces()[face];
                let (pitch, half_step) = label(f["label"].as_str().unwrap());
                PlanFace {
                    rings: self
                        .rings(f)
                        .into_iter()
                        .map(|r| r.into_iter().map(|p| (p.x, p.y)).collect())
                        .collect(),
                    pitch: Some(pitch),
                    half_step,
                    fall: None,
                }
            })
            .collect();
        plan(&faces)
    }

    /// For each true face that is sloped: its bearing, and the index of the map's face.
    pub(crate) fn fall(&self, face: usize) -> Option<Vector> {
        let azimuth = self.faces()[face]["azimuth"].as_f64()?;
        let v = Vector::from_bearing_deg(azimuth);
        let [a, b, c, d, ..] = self.frame;
        Vector::new(a * v.x + c * v.y, b * v.x + d * v.y).unit()
    }
}

fn read(path: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

fn numbers(list: &Value) -> Vec<f64> {
    list.as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_f64().unwrap())
        .collect()
}

/// Rise over run and half the last digit.
fn label(text: &str) -> (f64, f64) {
    let step = |number: &str| {
        let decimals = number.split_once('.').map_or(0, |(_, d)| d.len());
        0.5 * 0.1_f64.powi(decimals as i32)
    };
    if let Some(number) = text.strip_suffix("/12") {
        return (number.parse::<f64>().unwrap() / 12.0, step(number) / 12.0);
    }
    if let Some(number) = text.strip_suffix('%') {
        return (number.parse::<f64>().unwrap() / 100.0, step(number) / 100.0);
    }
    let number = text.strip_suffix('°').unwrap();
    let m = number.parse::<f64>().unwrap().to_radians().tan();
    (m, step(number).to_radians() * (1.0 + m * m))
}

/// How a solved roof compares with the truth.
#[derive(Clone, Debug, Default)]
pub(crate) struct Score {
    /// The largest error of a fall in degrees.
    pub(crate) worst_fall_deg: f64,
    pub(crate) length: f64,
    pub(crate) length_in_right_class: f64,
    /// Relative error of the total true area.
    pub(crate) area_error: f64,
    pub(crate) wrong: Vec<String>,
}

pub(crate) fn compare(truth: &Truth, roof: &Roof) -> Score {
    let mut score = Score::default();
    for index in 0..truth.faces().len() {
        let at = truth.label_at(index);
        let found = roof.faces.iter().find(|f| {
            let rings = std::iter::once(&f.outline).chain(&f.holes);
            let rings: Vec<Vec<Point>> = rings
                .map(|r| r.corners.iter().map(|c| c.plan()).collect())
                .collect();
            inside(&rings, at)
        });
        let (Some(found), Some(fall)) = (found, truth.fall(index)) else {
            continue;
        };
        let off = found.fall().map_or(180.0, |f| {
            f.cross(fall).atan2(f.dot(fall)).abs().to_degrees()
        });
        score.worst_fall_deg = score.worst_fall_deg.max(off);
    }
    for edge in truth.edges() {
        if edge["cls"] == "step" {
            continue;
        }
        class_of_edge(truth, edge, roof, &mut score);
    }
    score.area_error = (roof.true_area().to_square_feet() / truth.true_area_sqft() - 1.0).abs();
    score
}

fn class_of_edge(truth: &Truth, edge: &Value, roof: &Roof, score: &mut Score) {
    const SAMPLES: usize = 8;
    let (a, b) = (truth.point(&edge["a"]), truth.point(&edge["b"]));
    let length = a.distance(b);
    let mut right = 0;
    for i in 0..SAMPLES {
        let p = a.lerp(b, (i as f64 + 0.5) / SAMPLES as f64);
        let nearest = roof
            .edges
            .iter()
            .filter(|e| parallel(e.start.plan(), e.end.plan(), a, b))
            .min_by(|x, y| {
                distance(p, x.start.plan(), x.end.plan()).total_cmp(&distance(
                    p,
                    y.start.plan(),
                    y.end.plan(),
                ))
            });
        let class = nearest.map(|e| e.class);
        let allowed =
            std::iter::once(&edge["cls"]).chain(edge["alt"].as_array().into_iter().flatten());
        if allowed
            .filter_map(|c| class_named(c.as_str()?))
            .any(|c| Some(c) == class)
        {
            right += 1;
        } else if i == 0 {
            score.wrong.push(format!(
                "{} is {:?} not {} ({length:.2} ft)",
                edge["id"], class, edge["cls"]
            ));
        }
    }
    score.length += length;
    score.length_in_right_class += length * right as f64 / SAMPLES as f64;
}

fn parallel(a: Point, b: Point, c: Point, d: Point) -> bool {
    let (u, v) = (b - a, d - c);
    u.cross(v).abs() <= 0.35 * u.length() * v.length()
}

fn distance(p: Point, a: Point, b: Point) -> f64 {
    let run = b - a;
    let t = ((p - a).dot(run) / run.dot(run).max(1e-12)).clamp(0.0, 1.0);
    p.distance(a.lerp(b, t))
}

fn class_named(name: &str) -> Option<EdgeClass> {
    Some(match name {
        "eave" => EdgeClass::Eave,
        "high eave" => EdgeClass::HighEdge,
        "rake" => EdgeClass::Rake,
        "ridge" => EdgeClass::Ridge,
        "hip" => EdgeClass::Hip,
        "valley" | "level valley" => EdgeClass::Valley,
        "pitch change" => EdgeClass::PitchChange,
        "flat edge" => EdgeClass::FlatEdge,
        _ => return None,
    })
}

/// What became of one plan.
#[derive(Clone, Debug)]
pub(crate) struct Outcome {
    pub(crate) id: String,
    pub(crate) class: String,
    /// How many faces were asked about at first.
    pub(crate) asked: usize,
    /// Whether all falls are right in the likeliest solution, before any arrow.
    pub(crate) first_right: bool,
    /// Arrows until nothing was open.
    pub(crate) arrows: usize,
    /// Whether all falls are right in the end.
    pub(crate) right: bool,
    pub(crate) score: Score,
}

impl Outcome {
    pub(crate) fn silent_wrong(&self) -> bool {
        self.asked == 0 && !self.right
    }
}

/// Solves; where the program asks, gives the true fall of the first face asked about, until nothing is open.
pub(crate) fn settle(truth: &Truth, mut map: PlanMap, within_deg: f64) -> Option<Outcome> {
    let accept = SolveOptions {
        accept_falls: true,
        ..SolveOptions::default()
    };
    let first_right = Roof::solve(std::slice::from_ref(&map), &accept)
        .is_ok_and(|first| compare(truth, &first).worst_fall_deg <= within_deg);
    let mut asked = 0;
    let mut arrows = 0;
    loop {
        match Roof::solve(std::slice::from_ref(&map), &SolveOptions::default()) {
            Ok(roof) => {
                let score = compare(truth, &roof);
                return Some(Outcome {
                    id: truth.id.clone(),
                    class: truth.class.clone(),
                    asked,
                    first_right,
                    arrows,
                    right: score.worst_fall_deg <= within_deg,
                    score,
                });
            }
            Err(unsolved) => {
                if arrows == 0 {
                    asked = unsolved.suggested_falls.len();
                }
                let at = unsolved.suggested_falls.first()?.at;
                let face = face_at(&map, at)?;
                let fall = true_fall_at(truth, at)?;
                if map.faces[face].fall_hint.is_some() {
                    return None;
                }
                map.faces[face].fall_hint = Some(fall);
                arrows += 1;
            }
        }
    }
}

/// Whether a place lies inside the rings by the even-odd rule: a face with holes does not own what fills them.
pub(crate) fn inside(rings: &[Vec<Point>], at: Point) -> bool {
    rings.iter().filter(|r| ring::contains(r, at)).count() % 2 == 1
}

pub(crate) fn face_at(map: &PlanMap, at: Point) -> Option<usize> {
    map.faces.iter().position(|f| {
        inside(
            &f.rings.iter().map(|r| map.corners(r)).collect::<Vec<_>>(),
            at,
        )
    })
}

fn true_fall_at(truth: &Truth, at: Point) -> Option<Vector> {
    let face = truth
        .faces()
        .iter()
        .position(|f| inside(&truth.rings(f), at))?;
    truth.fall(face)
}

pub(crate) fn table(outcomes: &[Outcome]) -> String {
    let mut text = String::from(
        "class    roofs first-right asked right-in-end silent-wrong arrows  class-length  area p50/p90/worst\n",
    );
    for class in ["clean", "simple", "stepped"] {
        let of: Vec<&Outcome> = outcomes.iter().filter(|o| o.class == class).collect();
        let count = |f: &dyn Fn(&&&Outcome) -> bool| of.iter().filter(f).count();
        let length: f64 = of.iter().map(|o| o.score.length).sum();
        let right: f64 = of.iter().map(|o| o.score.length_in_right_class).sum();
        let mut areas: Vec<f64> = of.iter().map(|o| o.score.area_error * 100.0).collect();
        areas.sort_by(f64::total_cmp);
        let at = |q: f64| {
            areas
                .get(((areas.len() as f64 * q) as usize).min(areas.len().saturating_sub(1)))
                .copied()
                .unwrap_or(0.0)
        };
        text += &format!(
            "{class:8} {:5} {:11} {:5} {:12} {:12} {:6} {:12.3}%  {:.3}/{:.3}/{:.3} %\n",
            of.len(),
            count(&|o| o.first_right),
            count(&|o| o.asked > 0),
            count(&|o| o.right),
            count(&|o| o.silent_wrong()),
            of.iter().map(|o| o.arrows).sum::<usize>(),
            100.0 * right / length,
            at(0.5),
            at(0.9),
            at(1.0),
        );
    }
    text
}

/// What a set of plans came to; those that could not be read or mapped are counted apart.
struct Run {
    outcomes: Vec<Outcome>,
    lost: Vec<String>,
}

fn run(folder: &Path, within_deg: f64, plan_of: impl Fn(&mut Truth) -> Option<PlanMap>) -> Run {
    let mut run = Run {
        outcomes: Vec::new(),
        lost: Vec::new(),
    };
    for mut truth in Truth::all(folder) {
        let outcome = plan_of(&mut truth).and_then(|map| settle(&truth, map, within_deg));
        match outcome {
            Some(outcome) => run.outcomes.push(outcome),
            None => run.lost.push(truth.id),
        }
    }
    run
}

/// Holds the bounds that the solver is to keep on plans whose faces were found.
#[track_caller]
fn hold(run: &Run, class_length: f64, area_p90: f64) {
    let whole: Vec<&Outcome> = run
        .outcomes
        .iter()
        .filter(|o| o.class != "stepped")
        .collect();
    let stepped: Vec<&Outcome> = run
        .outcomes
        .iter()
        .filter(|o| o.class == "stepped")
        .collect();
    let share = |of: &[&Outcome], f: &dyn Fn(&Outcome) -> bool| {
        of.iter().filter(|o| f(o)).count() as f64 / of.len() as f64
    };
    assert!(whole.len() > 80 && stepped.len() > 15, "too few plans");
    assert!(share(&whole, &|o| o.first_right) >= 0.93, "first right");
    assert!(share(&whole, &|o| o.asked > 0) <= 1.0 / 6.0, "asked");
    let mut arrows: Vec<usize> = whole.iter().map(|o| o.arrows).filter(|&a| a > 0).collect();
    arrows.sort_unstable();
    assert_eq!(arrows[arrows.len() / 2], 1, "arrows: {arrows:?}");
    let silent = run.outcomes.iter().filter(|o| o.silent_wrong());
    let silent: Vec<&str> = silent.map(|o| o.id.as_str()).collect();
    assert!(silent.is_empty(), "silently wrong: {silent:?}");
    assert!(whole.iter().all(|o| o.right), "right in the end");
    assert!(
        stepped.iter().all(|o| o.asked > 0),
        "a stepped roof was settled in silence"
    );
    assert!(
        share(&stepped, &|o| o.right) >= 0.85,
        "stepped right in the end"
    );
    let length: f64 = whole.iter().map(|o| o.score.length).sum();
    let right: f64 = whole.iter().map(|o| o.score.length_in_right_class).sum();
    assert!(
        right / length >= class_length,
        "edge classes: {}",
        right / length
    );
    let mut areas: Vec<f64> = whole.iter().map(|o| o.score.area_error).collect();
    areas.sort_by(f64::total_cmp);
    assert!(
        areas[areas.len() * 9 / 10] <= area_p90,
        "area: {:?}",
        areas[areas.len() * 9 / 10]
    );
    assert!(areas.iter().all(|&a| a <= 0.015), "worst area");
}

#[test]
fn real_roofs_as_they_are_fall_as_in_truth() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let exact = run(&folder, 2.0, |truth| Some(truth.plan()));
    eprintln!("true outlines\n{}", table(&exact.outcomes));
    hold(&exact, 0.999, 0.0006);
}

#[test]
fn real_roofs_traced_carefully_and_badly_fall_as_in_truth() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    for (suffix, within_deg, class_length, area_p90, mapped) in [
        ("", 2.0, 0.999, 0.0006, 1.0),
        (".noisy", 4.0, 0.998, 0.0045, 0.97),
    ] {
        let traced = run(&folder, within_deg, |truth| truth.drawn(&folder, suffix));
        eprintln!(
            "traced{suffix}: {} not mapped {:?}\n{}",
            traced.lost.len(),
            traced.lost,
            table(&traced.outcomes)
        );
        let all = traced.outcomes.len() + traced.lost.len();
        assert!(
            traced.outcomes.len() as f64 >= mapped * all as f64,
            "mapped"
        );
        hold(&traced, class_length, area_p90);
    }
}

/// What adjusting brings, or leaving it out, over plans that truth gives the falls of.
#[derive(Debug, Default)]
struct Adjusted {
    length: f64,
    length_in_right_class: f64,
    area_errors: Vec<f64>,
    /// The largest gap between planes on a shared edge, in inches.
    gaps_in: Vec<f64>,
    /// Checks that do not hold.
    failing: usize,
    /// Edges of a class that truth does not give them.
    wrong_edges: usize,
    /// The largest move of a corner, in inches.
    moves_in: Vec<f64>,
    /// Error of the total over its stated standard error.
    over_stated: Vec<f64>,
}

impl Adjusted {
    fn add(&mut self, truth: &Truth, map: &PlanMap, adjust: bool) {
        let options = SolveOptions {
            accept_falls: true,
            adjust,
            ..SolveOptions::default()
        };
        let Ok(roof) = Roof::solve(std::slice::from_ref(map), &options) else {
            return;
        };
        let score = compare(truth, &roof);
        self.length += score.length;
        self.length_in_right_class += score.length_in_right_class;
        self.wrong_edges += score.wrong.len();
        self.area_errors.push(100.0 * score.area_error);
        let gap = roof.checks.iter().find(|c| c.what.contains("planes agree"));
        self.gaps_in.push(12.0 * gap.unwrap().residual);
        self.failing += roof.checks.iter().filter(|c| !c.holds()).count();
        self.moves_in
            .extend(roof.largest_move.map(|(feet, _)| 12.0 * feet));
        self.over_stated.extend(
            roof.true_area_std_error_sqft
                .map(|stated| score.area_error * truth.true_area_sqft() / stated),
        );
    }

    fn line(&mut self) -> String {
        let mut at = |list: fn(&mut Self) -> &mut Vec<f64>, q: f64| {
            let list = list(self);
            list.sort_by(f64::total_cmp);
            let place = ((list.len() as f64 * q) as usize).min(list.len().saturating_sub(1));
            list.get(place).copied().unwrap_or(f64::NAN)
        };
        let areas = [0.5, 0.9, 1.0].map(|q| at(|a| &mut a.area_errors, q));
        let gaps = [0.5, 0.9, 1.0].map(|q| at(|a| &mut a.gaps_in, q));
        let moves = [0.5, 1.0].map(|q| at(|a| &mut a.moves_in, q));
        let stated = [0.5, 0.9, 1.0].map(|q| at(|a| &mut a.over_stated, q));
        format!(
            "{} roofs, class length {:.3} %, {} edges wrong, area {areas:.3?} %, gap {gaps:.2?} in, {} checks fail, moves {moves:.1?} in, error / stated {stated:.2?}",
            self.area_errors.len(),
            100.0 * self.length_in_right_class / self.length,
            self.wrong_edges,
            self.failing,
        )
    }
}

#[test]
fn adjusting_brings_the_planes_of_badly_traced_roofs_together() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let (mut with, mut without) = (Adjusted::default(), Adjusted::default());
    for mut truth in Truth::all(&folder) {
        if truth.class == "stepped" {
            continue;
        }
        let Some(mut map) = truth.drawn(&folder, ".noisy") else {
            continue;
        };
        // The falls are given, so that nothing but the adjustment differs.
        for index in 0..truth.faces().len() {
            if let Some(face) = face_at(&map, truth.label_at(index)) {
                map.faces[face].fall_hint = truth.fall(index);
            }
        }
        with.add(&truth, &map, true);
        without.add(&truth, &map, false);
    }
    eprintln!("adjusted: {}\nas snapped: {}", with.line(), without.line());
    assert!(with.area_errors.len() > 80, "too few plans");
    assert!(with.length_in_right_class >= without.length_in_right_class);
    assert!(
        with.gaps_in[with.gaps_in.len() * 9 / 10]
            <= without.gaps_in[without.gaps_in.len() * 9 / 10]
    );
    assert!(with.failing <= without.failing);
}
