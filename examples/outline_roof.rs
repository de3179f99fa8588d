//! Builds the roof over outlines in a reference file: one line of JSON for every set of pitches in it.
//!
//! `outline_roof FILE.json [--catch-up wider|shallower|refuse]`. The file has an `id`, `contours` (rings of corners,
//! the outer one first) and `sets` (by name, each with a `pitch` in 12 for every side, `null` for a gable).
#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a program for the command line"
)]

use std::error::Error;
use std::process::ExitCode;
use std::time::Instant;

use eavewright::geometry::Point;
use eavewright::roof::outline::{
    self, ArcKind, CatchUp, OutlineInput, OutlineRoof, OutlineRules, OutlineSide,
};
use eavewright::units::Pitch;
use serde_json::{Map, Value, json};

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("outline_roof: {error}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<(), Box<dyn Error>> {
    let mut file = None;
    let mut rules = OutlineRules::default();
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--catch-up" => rules.catch_up = catch_up(arguments.next().as_deref())?,
            other => match other.strip_prefix("--catch-up=") {
                Some(rule) => rules.catch_up = catch_up(Some(rule))?,
                None => file = Some(argument),
            },
        }
    }
    let file = file.ok_or("usage: outline_roof FILE.json [--catch-up wider|shallower|refuse]")?;
    let document: Value = serde_json::from_str(&std::fs::read_to_string(&file)?)?;
    let id = document["id"].as_str().unwrap_or_default();
    let sets = document["sets"]
        .as_object()
        .ok_or("the file has no `sets`")?;
    for (name, set) in sets {
        let input = outline_of(&document["contours"], &set["pitch"])?;
        println!("{}", line(id, name, &input, &rules));
    }
    Ok(())
}

fn catch_up(name: Option<&str>) -> Result<CatchUp, Box<dyn Error>> {
    match name {
        Some("wider") => Ok(CatchUp::Wider),
        Some("shallower") => Ok(CatchUp::Shallower),
        Some("refuse") => Ok(CatchUp::Refuse),
        _ => Err("--catch-up takes wider, shallower or refuse".into()),
    }
}

fn outline_of(contours: &Value, pitches: &Value) -> Result<OutlineInput, Box<dyn Error>> {
    let contours = contours.as_array().ok_or("the file has no `contours`")?;
    let mut rings = Vec::new();
    for (r, contour) in contours.iter().enumerate() {
        let mut ring = Vec::new();
        for (i, corner) in contour
            .as_array()
            .ok_or("a contour is no list")?
            .iter()
            .enumerate()
        {
            let (x, y) = corner[0]
                .as_f64()
                .zip(corner[1].as_f64())
                .ok_or("a corner is not two numbers")?;
            let start = Point::new(x, y);
            ring.push(match &pitches[r][i] {
                Value::Null => OutlineSide::gable(start),
                pitch => {
                    let rise = pitch.as_f64().ok_or("a pitch is not a number")?;
                    OutlineSide::eave(start, Pitch::in_12(rise))
                }
            });
        }
        rings.push(ring);
    }
    Ok(OutlineInput { rings })
}

fn line(id: &str, set: &str, input: &OutlineInput, rules: &OutlineRules) -> Value {
    let start = Instant::now();
    let built = outline::build(input, rules);
    let seconds = start.elapsed().as_secs_f64();
    match built {
        Ok(roof) => json!({
            "id": id,
            "set": set,
            "plan_area": roof.plan_area().to_square_feet(),
            "true_area": roof.true_area().to_square_feet(),
            "max_height": roof.max_height_ft(),
            "plan_length": lengths(&roof, |roof, kind| roof.lengths(kind).0.to_feet(), true),
            "true_length": lengths(&roof, |roof, kind| roof.lengths(kind).1.to_feet(), false),
            "face_plan_area": roof.sides.iter().map(|s| s.plan_area.to_square_feet()).collect::<Vec<_>>(),
            "seconds": seconds,
        }),
        Err(problem) => json!({
            "id": id,
            "set": set,
            "error": format!("{problem} Remedy: {}.", problem.remedy()),
        }),
    }
}

fn lengths(roof: &OutlineRoof, of: impl Fn(&OutlineRoof, ArcKind) -> f64, plan: bool) -> Value {
    let mut all = Map::new();
    for (name, kind) in [
        ("ridge", ArcKind::Ridge),
        ("hip", ArcKind::Hip),
        ("valley", ArcKind::Valley),
        ("pitch_change", ArcKind::PitchChange),
        ("rake", ArcKind::Rake),
    ] {
        all.insert(name.to_owned(), json!(of(roof, kind)));
    }
    let level: f64 = roof
        .arcs
        .iter()
        .filter(|arc| arc.kind == ArcKind::Valley && arc.level)
        .map(|arc| match plan {
            true => roof.plan_length(arc).to_feet(),
            false => roof.true_length(arc).to_feet(),
        })
        .sum();
    all.insert("level_valley".to_owned(), json!(level));
    Value::Object(all)
}
