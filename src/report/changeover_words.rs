//! Where one face changes from a format to another, for a terminal.

use std::fmt::Write as _;

use super::OutputUnits;
use super::crew_words::corner_words;
use super::typeset::wrap;
use crate::courses::{Changeover, FaceLayout, ShingleFormat, StartCorner};
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
    let runs = layout.runs.iter().filter(|r| r.course == best.course);
    let near = corner_words(layout.start).near;
    for (run, joints) in runs.zip(&best.joints_in) {
        // From the start corner on, as they are laid.
        let ends = run.left_line_in.iter().map(|p| p.1);
        let far_ends = run.right_line_in.iter().map(|p| p.1);
        let (left, right) = (ends.reduce(f64::min), far_ends.reduce(f64::max));
        let from_start = |u: f64| match layout.start {
            StartCorner::Left => u - left.unwrap_or(0.0),
            StartCorner::Right => right.unwrap_or(0.0) - u,
        };
        let mut joints: Vec<f64> = joints.iter().map(|&u| from_start(u)).collect();
        joints.sort_by(f64::total_cmp);
        let Some(&first) = joints.first() else {
            continue;
        };
        let mut words = format!(
            "start at the {near} with a piece {} long, then whole pieces",
            small(first)
        );
        for two in joints.windows(2) {
            if two[1] - two[0] < new.width_in - 1e-9 {
                let _ = write!(
                    words,
                    ", but one of {} from {} to {} from the {near} end",
                    small(two[1] - two[0]),
                    small(two[0]),
                    small(two[1]),
                );
            }
        }
        let too_close = best.too_close_in.iter().copied().map(from_start);
        if let Some(nearest) = too_close.min_by(f64::total_cmp) {
            let _ = write!(
                words,
                " (whole, its joint would come too close to one below at {})",
                small(nearest)
            );
        }
        let lead = format!("course {}: ", best.course + 1);
        wrap(&words, &lead, "  ", &mut out);
    }
    out
}
