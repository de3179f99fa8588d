//! The places of findings that somebody should look at: a circle, and a diamond with the finding's number. The only
//! marks in colour; the number makes them work in black as well.

use super::details::Part;
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
    part: Option<&Part>,
    projection: &Projection,
    field: &mut Field,
) {
    for (i, finding) in report.findings().iter().enumerate() {
        if finding.severity < Severity::Warning {
            continue;
        }
        let place = finding.places.iter().find_map(|place| place.at);
        if let Some(at) = place.filter(|&at| part.is_none_or(|part| part.holds(at))) {
            mark(canvas, field, projection.paper(at), i + 1);
        }
    }
}

/// Where a diamond goes and the line that leads to it: near its place; farther off where there is no room; where no line
/// reaches without crossing a label, over that label rather than nowhere; on the place itself in the end.
fn place_for(field: &Field, place: Point) -> Point {
    let near = around().map(|(distance, direction)| place + direction * (distance + 3.0));
    let clear = |center: &Point| field.is_clear(&square(*center, DIAMOND));
    let reached = |center: &Point| {
        let way = (*center - place).unit().unwrap_or(Vector::new(1.0, 0.0));
        field.line_is_clear_of_boxes(place, *center - way * DIAMOND)
    };
    if let Some(center) = near.filter(clear).find(reached) {
        return center;
    }
    let mut far: Vec<Point> = lattice(field.bounds()).filter(clear).collect();
    far.sort_by(|a, b| a.distance(place).total_cmp(&b.distance(place)));
    let found = far.iter().find(|center| reached(center)).or(far.first());
    found.copied().unwrap_or(place)
}

/// Places all over an area.
fn lattice(area: Area) -> impl Iterator<Item = Point> {
    let count = |length: f64| (length / DIAMOND).floor().max(0.0) as u32;
    let (columns, rows) = (count(area.width()), count(area.height()));
    let step = |i: u32| f64::from(i) * DIAMOND;
    (0..=rows).flat_map(move |row| {
        (0..=columns).map(move |c| Point::new(area.left + step(c), area.bottom + step(row)))
    })
}

fn square(c: Point, r: f64) -> Slanted {
    Slanted::upright(Area::new(c.x - r, c.y - r, c.x + r, c.y + r))
}

fn mark(canvas: &mut Canvas<'_>, field: &mut Field, place: Point, number: usize) {
    let center = place_for(field, place);
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
