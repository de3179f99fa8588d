//! Numbered diamonds on the plan where somebody should look: beside the place, with a line to it, where the place itself
//! is taken by a name or by another diamond.

use std::fmt::Write as _;

use super::Page;
use super::label::{Board, Box2};
use super::plan::at;
use crate::Severity;
use crate::geometry::{Point, Vector};

/// Half the width of a diamond, in pixels.
const DIAMOND: f64 = 12.0;
/// Places tried round a finding's own: so many circles, so far apart, with so many on each.
const CIRCLES: u32 = 8;
const APART: f64 = 11.0;
const ON_CIRCLE: u32 = 12;

/// Draws the warnings that have a place, but no notes, which would hide the faces they are about.
pub(super) fn draw(
    out: &mut String,
    page: &Page,
    on_sheet: impl Fn(Point) -> Option<Point>,
    board: &mut Board,
) {
    out.push_str("<g class=\"plan-findings\">\n");
    let findings = page.report.findings().iter().enumerate();
    for (i, finding) in findings.filter(|(_, f)| f.severity > Severity::Note) {
        // One diamond a finding, as on paper: the list has its other places, and those that are not on the plan.
        let place = finding.places.iter().find_map(|p| p.at);
        let Some(place) = place.and_then(&on_sheet) else {
            continue;
        };
        let middle = free_place(place, board);
        let leader = if middle.distance(place) > DIAMOND {
            format!(
                "<path class=\"leader\" d=\"M{}L{}\"/>",
                at(place),
                at(middle)
            )
        } else {
            String::new()
        };
        let _ = writeln!(
            out,
            "{leader}<g class=\"mark\" data-finding=\"{i}\" transform=\"translate({})\"><path d=\"M0 -{r}L{r} 0L0 {r}L-{r} 0Z\"/><text y=\"4\">{}</text></g>",
            at(middle),
            i + 1,
            r = DIAMOND,
        );
    }
    out.push_str("</g>\n");
}

/// The nearest place for a diamond that nothing stands on; the finding's own where there is none.
fn free_place(place: Point, board: &mut Board) -> Point {
    let round = (1..=CIRCLES).flat_map(|circle| {
        (0..ON_CIRCLE).map(move |i| {
            let angle = f64::from(i) / f64::from(ON_CIRCLE) * std::f64::consts::TAU;
            let (sin, cos) = angle.sin_cos();
            place + Vector::new(cos, sin) * (f64::from(circle) * APART)
        })
    });
    std::iter::once(place)
        .chain(round)
        .find(|&middle| board.try_claim(diamond(middle)))
        .unwrap_or_else(|| {
            board.claim(diamond(place));
            place
        })
}

fn diamond(middle: Point) -> Box2 {
    // Square, though its corners are bare: diamonds side by side would be taken for one.
    Box2::around(middle, 1.7 * DIAMOND, 1.7 * DIAMOND)
}
