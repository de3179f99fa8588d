//! What a plan needs beside the roof: north, scale bar, key of line types.

use super::line_types;
use super::place::{Field, Slanted};
use super::scale::DrawingScale;
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Align, Area, Canvas, Ink, Layer, Pen, TextStyle};
use crate::report::{OutputUnits, Report, number};
use crate::roof::EdgeClass;
use crate::units::METRES_PER_FOOT;

/// Radius of the north mark's circle.
const NORTH_RADIUS: f64 = 5.0;

/// Draws the north mark in the first clear corner or side of the field.
pub(super) fn north(canvas: &mut Canvas<'_>, report: &Report<'_>, field: &mut Field) {
    let half = NORTH_RADIUS + 4.5;
    let room = field.bounds().inset(half);
    let places = [
        Point::new(room.right, room.bottom),
        Point::new(room.right, room.top),
        Point::new(room.left, room.bottom),
        Point::new(room.left, room.top),
    ];
    let lattice = (0..400).map(|i| {
        let (column, row) = (f64::from(i % 20), f64::from(i / 20));
        Point::new(
            room.right - room.width() * column / 19.0,
            room.bottom + room.height() * row / 19.0,
        )
    });
    let around =
        |c: Point| Slanted::upright(Area::new(c.x - half, c.y - half, c.x + half, c.y + half));
    let Some(center) = places
        .into_iter()
        .chain(lattice)
        .find(|&c| field.is_clear(&around(c)))
    else {
        return;
    };
    field.add_box(around(center));
    draw_north(canvas, center, report.inputs().project.up_bearing_deg);
}

fn draw_north(canvas: &mut Canvas<'_>, center: Point, up_bearing_deg: f64) {
    canvas.on(Layer::Key);
    // The drawing's up has that bearing, so north is as far to the left of it.
    let north = Vector::from_bearing_deg(-up_bearing_deg);
    let side = north.turn_left() * (0.42 * NORTH_RADIUS);
    let (tip, tail) = (
        center + north * (NORTH_RADIUS + 0.8),
        center - north * NORTH_RADIUS,
    );
    let notch = center - north * (0.45 * NORTH_RADIUS);
    let left = tail + side + north * 1.0;
    let right = tail - side + north * 1.0;
    canvas.circle(center, NORTH_RADIUS, Pen::new(0.25));
    canvas.fill(vec![vec![tip, notch, right]], Ink::Black);
    canvas.ring(vec![tip, left, notch, right], Pen::new(0.25));
    let letter = center + north * (NORTH_RADIUS + 3.0) - Vector::new(0.0, 1.25);
    let style = TextStyle::new(2.5).bold().align(Align::Middle);
    canvas.text(letter, style, "N");
}

/// Steps of a scale bar, in the unit of the sheet.
fn bar_steps(scale: DrawingScale, units: OutputUnits) -> (f64, f64) {
    const STEPS: [f64; 9] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let unit_mm = match units {
        OutputUnits::Feet => scale.mm_per_foot(),
        OutputUnits::Metres => scale.mm_per_foot() / METRES_PER_FOOT,
    };
    let step = STEPS
        .into_iter()
        .find(|step| step * unit_mm >= 14.0)
        .unwrap_or(500.0);
    (step, unit_mm)
}

/// A scale bar, its left end at `at`: a finely divided step, then two and four.
pub(crate) fn scale_bar(
    canvas: &mut Canvas<'_>,
    at: Point,
    scale: DrawingScale,
    units: OutputUnits,
) {
    canvas.on(Layer::Key);
    let (step, unit_mm) = bar_steps(scale, units);
    const HEIGHT: f64 = 1.2;
    let x = |length: f64| at.x + length * unit_mm;
    let cell = |from: f64, to: f64| Area::new(x(from), at.y, x(to), at.y + HEIGHT);
    for i in 0..5 {
        let from = step * f64::from(i) / 5.0;
        let to = step * f64::from(i + 1) / 5.0;
        if i % 2 == 0 {
            canvas.fill(vec![cell(from, to).corners().to_vec()], Ink::Black);
        }
    }
    canvas.fill(
        vec![cell(2.0 * step, 4.0 * step).corners().to_vec()],
        Ink::Black,
    );
    for length in [1.0, 2.0] {
        let at_x = x(length * step);
        canvas.line(
            Point::new(at_x, at.y),
            Point::new(at_x, at.y + HEIGHT),
            Pen::new(0.25),
        );
    }
    canvas.rect(cell(0.0, 4.0 * step), Pen::new(0.25));
    let style = TextStyle::new(1.8).align(Align::Middle);
    for length in [0.0, 1.0, 2.0, 4.0] {
        let mut text = number::trimmed(length * step, 0);
        if length == 4.0 {
            text = format!("{text} {}", units.length_key());
        }
        canvas.text(
            Point::new(x(length * step), at.y + HEIGHT + 1.0),
            style,
            &text,
        );
    }
}

/// Rows of the key, and its columns.
const KEY_ROW: f64 = 4.6;
const KEY_COLUMN: f64 = 44.0;
const KEY_SAMPLE: f64 = 17.0;

/// What the key shows: the classes that the roof has, and openings where it has any.
fn key_entries(report: &Report<'_>) -> Vec<EdgeClass> {
    EdgeClass::ALL
        .into_iter()
        .filter(|class| report.roof().edges.iter().any(|e| e.class == *class))
        .collect()
}

fn key_rows(report: &Report<'_>, width: f64) -> (usize, usize) {
    let columns = ((width / KEY_COLUMN).floor() as usize).max(1);
    let entries = key_entries(report).len();
    let columns = columns.min(entries.div_ceil(4).max(1)).max(1);
    (entries.div_ceil(columns), columns)
}

/// The height that the key takes in a width.
pub(crate) fn key_height(report: &Report<'_>, width: f64) -> f64 {
    6.0 + KEY_ROW * key_rows(report, width).0 as f64
}

/// Draws the key of line types down from the top left of an area.
pub(crate) fn key(canvas: &mut Canvas<'_>, report: &Report<'_>, area: Area) {
    canvas.on(Layer::Key);
    let head = Point::new(area.left, area.top - 1.8);
    canvas.text(head, TextStyle::new(1.8).bold(), "Line types");
    let (rows, _) = key_rows(report, area.width());
    for (i, class) in key_entries(report).into_iter().enumerate() {
        let (column, row) = (i / rows, i % rows);
        let at = Point::new(
            area.left + KEY_COLUMN * column as f64,
            area.top - 6.0 - KEY_ROW * row as f64,
        );
        line_types::sample(canvas, class, at, KEY_SAMPLE);
        let word = at + Vector::new(KEY_SAMPLE + 2.5, -0.9);
        canvas.text(word, TextStyle::new(1.8), class.words());
    }
}
