//! Lays faces given in the reference format and prints one line of JSON a case.
//!
//! `lay_face FILE.json [--no-reuse]`: FILE has `cases`, each with `id`, `face` (rings of points with the kind of each
//! side), `format` and `rules`, in any one unit. Offcuts wait as long as they must unless `rules.wait` says how many
//! courses. Pairs are printed as [run giving the left-end piece, run giving the right-end piece].

use std::io::Write;
use std::process::ExitCode;

use eavewright::courses::{
    CourseFace, EdgeKind, FaceRing, FormatSource, LayRules, Reuse, ShingleFormat, ValleyType,
    lay_face,
};
use eavewright::geometry::Point;
use eavewright::roof::FaceId;
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    face: Face,
    format: Format,
    rules: Rules,
}

#[derive(Deserialize)]
struct Face {
    outer: Ring,
    #[serde(default)]
    holes: Vec<Ring>,
}

#[derive(Deserialize)]
struct Ring {
    points: Vec<[f64; 2]>,
    edges: Vec<String>,
}

#[derive(Deserialize)]
struct Format {
    width: f64,
    height: f64,
    exposure: f64,
}

#[derive(Deserialize)]
struct Rules {
    m: f64,
    m2: f64,
    p: f64,
    rake_oh: f64,
    valley_lap: f64,
    valley_back_cut: f64,
    valley_back_open: f64,
    valley_joint_clear: f64,
    ridge_skip: f64,
    /// Most courses that an offcut waits.
    wait: Option<usize>,
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            let _ = writeln!(std::io::stderr(), "lay_face: {message}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<(), String> {
    let mut path = None;
    let mut reuse = Reuse::TwoPiece;
    for arg in std::env::args().skip(1) {
        match arg.as_str() {
            "--no-reuse" => reuse = Reuse::None,
            _ if arg.starts_with("--") => return Err(format!("unknown option {arg}")),
            _ if path.is_none() => path = Some(arg),
            _ => return Err("one file at a time".to_owned()),
        }
    }
    let path = path.ok_or("usage: lay_face FILE.json [--no-reuse]")?;
    let text = std::fs::read_to_string(&path).map_err(|e| format!("{path}: {e}"))?;
    let file: File = serde_json::from_str(&text).map_err(|e| format!("{path}: {e}"))?;
    let mut out = std::io::stdout().lock();
    for case in &file.cases {
        let line = lay(case, reuse).map_err(|e| format!("{path}: case {}: {e}", case.id))?;
        writeln!(out, "{line}").map_err(|e| e.to_string())?;
    }
    Ok(())
}

fn lay(case: &Case, reuse: Reuse) -> Result<serde_json::Value, String> {
    let outer = ring(&case.face.outer)?;
    let holes = case
        .face
        .holes
        .iter()
        .map(ring)
        .collect::<Result<Vec<_>, _>>()?;
    let face = CourseFace::new(FaceId(0), outer, holes).map_err(|f| f.message)?;
    let layout = lay_face(&face, &format(case), &rules(&case.rules, reuse)).map_err(|found| {
        found
            .iter()
            .map(|f| f.message.as_str())
            .collect::<Vec<_>>()
            .join("; ")
    })?;
    let rows: Vec<serde_json::Value> = layout
        .runs
        .iter()
        .map(|run| {
            let whole = run.joints_in.len().saturating_sub(1);
            serde_json::json!([run.course, run.joints_in.first(), whole])
        })
        .collect();
    let pairs: Vec<[usize; 2]> = layout.pairs.iter().map(|&(c, o)| [o, c]).collect();
    Ok(serde_json::json!({
        "id": case.id,
        "opened": layout.opened,
        "bound": layout.bound,
        "pieces_laid": layout.pieces_laid,
        "cuts": layout.cuts,
        "layout": rows,
        "pairs": pairs,
    }))
}

fn ring(ring: &Ring) -> Result<FaceRing, String> {
    let kinds = ring
        .edges
        .iter()
        .map(|e| kind(e))
        .collect::<Result<Vec<_>, _>>()?;
    let points = ring.points.iter().map(|p| Point::new(p[0], p[1])).collect();
    Ok(FaceRing::new(points, kinds))
}

fn kind(name: &str) -> Result<EdgeKind, String> {
    Ok(match name {
        "eave" => EdgeKind::Eave,
        "rake" => EdgeKind::Rake,
        "hip" => EdgeKind::Hip,
        "valley_through" => EdgeKind::ValleyThrough,
        "valley_cut" => EdgeKind::ValleyCut,
        "valley_open" => EdgeKind::ValleyOpen,
        "ridge" => EdgeKind::Ridge,
        "high_edge" => EdgeKind::HighEdge,
        "pitch_change" => EdgeKind::PitchChange,
        "wall" | "sidewall" | "headwall" | "chimney" => EdgeKind::Wall,
        "apron" => EdgeKind::Apron,
        _ => return Err(format!("unknown kind of edge: {name}")),
    })
}

fn format(case: &Case) -> ShingleFormat {
    let Format {
        width,
        height,
        exposure,
    } = case.format;
    ShingleFormat {
        name: format!("{width}x{height}"),
        description: String::new(),
        width_in: width,
        height_in: height,
        exposure_in: exposure,
        pieces_per_bundle: 1,
        bundle_weight_lb: 0.0,
        nails_per_piece: 4,
        nails_per_piece_high_wind: 6,
        nail_line_in: exposure,
        nail_zone_in: 0.0,
        tabs: 0,
        plain_edge: false,
        sealed: true,
        metric: false,
        source: FormatSource("the case".to_owned()),
    }
}

fn rules(rules: &Rules, reuse: Reuse) -> LayRules {
    LayRules {
        joint_distance_in: rules.m,
        second_joint_distance_in: rules.m2,
        least_piece_in: rules.p,
        rake_overhang_in: rules.rake_oh,
        eave_overhang_in: 0.0,
        valley_lap_in: rules.valley_lap,
        valley_cut_back_in: rules.valley_back_cut,
        valley_open_back_in: rules.valley_back_open,
        valley_joint_clear_in: rules.valley_joint_clear,
        ridge_skip_in: rules.ridge_skip,
        valley: ValleyType::ClosedCut,
        reuse,
        wait_courses: rules.wait.unwrap_or(usize::MAX),
    }
}
