//! Where one face changes from a format to another, for a terminal.

use std::fmt::Write as _;

use super::OutputUnits;
use super::crew_words::{corner_words, run_names};
use super::typeset::wrap;
use crate::courses::{Changeover, FaceLayout, RunLayout, ShingleFormat, StartCorner};
use crate::units::{Length, True};

/// Changeovers listed.
const LISTED: usize = 5;

/// The places to change at, the best first, and how the course of the best one is laid.
pub fn changeover_words(
    name: &str,
    layout: &FaceLayout,
    formats: (&ShingleFormat, &ShingleFormat),
    found: &[Changeover],
    units: OutputUnits,
) -> String {
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let mut out = String::new();
    let (old, new) = formats;
    let _ = writeln!(out, "{name}: {} below, {} above\n", old.name, new.name);
    let _ = writeln!(
        out,
        "first new course   pieces shortened   exposed   chalk line above the eave"
    );
    for place in found.iter().take(LISTED) {
        let butt = layout.runs.iter().find(|r| r.course == place.course);
        let _ = writeln!(
            out,
            "{:>16}{:>19}{:>10}{:>28}",
            place.course + 1,
            place.shortened,
            small(place.first_exposure_in),
            small(butt.map_or(0.0, |r| r.butt_height_in)),
        );
    }
    let Some(best) = found.first() else {
        return out;
    };
    out.push('\n');
    let sheet = layout.crew_sheet();
    let names = run_names(layout, &sheet);
    let of_course: Vec<usize> = (0..layout.runs.len())
        .filter(|&i| layout.runs[i].course == best.course)
        .collect();
    // As the crew's sheet lists and names them.
    for row in &sheet.rows {
        let Some(part) = of_course.iter().position(|&i| i == row.run) else {
            continue;
        };
        let joints = best.joints_in.get(part).map_or(&[][..], Vec::as_slice);
        let words = run_words(layout, &layout.runs[row.run], joints, best, new, units);
        wrap(
            &words,
            &format!("course {}: ", names[row.run]),
            "  ",
            &mut out,
        );
    }
    out
}

/// How one part of the course is laid, from its own end at the start corner on.
fn run_words(
    layout: &FaceLayout,
    run: &RunLayout,
    joints: &[f64],
    change: &Changeover,
    new: &ShingleFormat,
    units: OutputUnits,
) -> String {
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let near = corner_words(layout.start).near;
    let ends = run.left_line_in.iter().map(|p| p.1);
    let far_ends = run.right_line_in.iter().map(|p| p.1);
    let left = ends.reduce(f64::min).unwrap_or(0.0);
    let right = far_ends.reduce(f64::max).unwrap_or(0.0);
    let from_start = |u: f64| match layout.start {
        StartCorner::Left => u - left,
        StartCorner::Right => right - u,
    };
    let mut from_near: Vec<f64> = joints.iter().map(|&u| from_start(u)).collect();
    from_near.sort_by(f64::total_cmp);
    let Some(&first) = from_near.first() else {
        return format!("one piece {} long", small(right - left));
    };
    let mut words = format!(
        "start at the {near} with a piece {} long, then whole pieces",
        small(first)
    );
    for two in from_near.windows(2) {
        if two[1] - two[0] < new.width_in - 1e-9 {
            let _ = write!(
                words,
                ", but one of {} from {} to {} from its {near} end",
                small(two[1] - two[0]),
                small(two[0]),
                small(two[1]),
            );
        }
    }
    // Those of the other parts are theirs.
    let in_run = |u: &f64| (left..=right).contains(u);
    let too_close = change.too_close_in.iter().copied().filter(in_run);
    if let Some(nearest) = too_close.map(from_start).min_by(f64::total_cmp) {
        let _ = write!(
            words,
            " (whole, its joint would come too close to one below at {})",
            small(nearest)
        );
    }
    words
}
