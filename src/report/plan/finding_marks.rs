//! The places of findings that somebody should look at: a circle, and a diamond with the finding's number. The only
//! marks in colour; the number makes them work in black as well.

use super::edge_labels::around;
use super::line_types::THIN_LINE;
use super::place::{Field, Slanted};
use super::scale::Projection;
use crate::Severity;
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Align, Area, Canvas, Ink, Layer, Pen, TextStyle};

/// Half the width of a diamond, in mm.
pub(crate) const DIAMOND: f64 = 2.9;
/// Radius of the circle at the place.
const CIRCLE: f64 = 1.6;

/// Marks the warnings that have a place.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    projection: &Projection,
    field: &mut Field,
) {
    for (i, finding) in report.findings().iter().enumerate() {
        if finding.severity < Severity::Warning {
            continue;
        }
        if let Some(at) = finding.places.iter().find_map(|place| place.at) {
            mark(canvas, field, projection.paper(at), i + 1);
        }
    }
}

fn mark(canvas: &mut Canvas<'_>, field: &mut Field, place: Point, number: usize) {
    let square = |c: Point, r: f64| Slanted::upright(Area::new(c.x - r, c.y - r, c.x + r, c.y + r));
    let found = around()
        .map(|(distance, direction)| (place + direction * (distance + 3.0), direction))
        .find(|&(center, direction)| {
            field.is_clear(&square(center, DIAMOND))
                && field.line_is_clear_of_boxes(place, center - direction * DIAMOND)
        });
    let Some((center, _)) = found else { return };
    canvas.on(Layer::Findings);
    // Over a label the circle would hide it; the line alone ends there.
    let circled = field.is_clear_of_boxes(&square(place, CIRCLE));
    if circled {
        canvas.circle(place, CIRCLE, Pen::new(0.35).ink(Ink::Accent));
        field.add_box(square(place, CIRCLE));
    }
    let toward = (center - place).unit().unwrap_or(Vector::new(1.0, 0.0));
    canvas.line(
        place + toward * if circled { CIRCLE } else { 0.0 },
        center - toward * (0.75 * DIAMOND),
        THIN_LINE.ink(Ink::Accent),
    );
    diamond(canvas, center, number);
    field.add_box(square(center, DIAMOND));
}

/// A diamond with a number in it.
pub(crate) fn diamond(canvas: &mut Canvas<'_>, center: Point, number: usize) {
    let (across, up) = (Vector::new(DIAMOND, 0.0), Vector::new(0.0, DIAMOND));
    let corners = vec![center + across, center + up, center - across, center - up];
    canvas.fill(vec![corners.clone()], Ink::White);
    canvas.ring(corners, Pen::new(0.5).ink(Ink::Accent));
    let style = TextStyle::new(if number < 10 { 1.8 } else { 1.5 })
        .bold()
        .align(Align::Middle)
        .ink(Ink::Accent);
    let base = center - Vector::new(0.0, style.height / 2.0);
    canvas.text(base, style, &number.to_string());
}
