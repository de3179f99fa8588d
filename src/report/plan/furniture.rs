//! What a plan needs beside the roof: north, scale bar, key of line types.

use super::place::{Field, Slanted};
use super::scale::{DrawingScale, Projection};
use super::{hidden, line_types, linework};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Align, Area, Canvas, Ink, Layer, Pen, TextStyle};
use crate::report::{OutputUnits, Report, number};
use crate::roof::EdgeClass;
use crate::units::METRES_PER_FOOT;

/// Radius of the north mark's circle.
const NORTH_RADIUS: f64 = 5.0;

/// From the circle to the middle of the letter.
const LETTER_OFF: f64 = 3.0;
/// Height of the letter.
const LETTER: f64 = 2.5;
/// Beyond the circle, whichever way north is, a mark reaches no farther than this.
const BEYOND_CIRCLE: f64 = LETTER_OFF + LETTER / 2.0 + 0.25;
/// Radius of the circle beside the key, where a plan leaves no room for a larger one.
const SMALL_NORTH_RADIUS: f64 = 3.2;

/// Draws the north mark in the first clear corner or side of the field that is off the roof; where there is none, a small
/// one over `kept`, a place beside the key.
pub(super) fn north(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    projection: &Projection,
    field: &mut Field,
    kept: Point,
) {
    // The drawing's up has that bearing, so north is as far to the left of it.
    let north = Vector::from_bearing_deg(-report.inputs().project.up_bearing_deg);
    let half = NORTH_RADIUS + BEYOND_CIRCLE;
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
    let clear = (places.into_iter().chain(lattice)).find(|&c| {
        // What is clear of all lines is on the roof or off it as a whole.
        field.is_clear(&around(c)) && !linework::is_on_roof(report.roof(), projection.plan(c))
    });
    match clear {
        Some(center) => {
            field.add_box(around(center));
            draw_north(canvas, center, north, NORTH_RADIUS);
        }
        None => {
            let down = SMALL_NORTH_RADIUS + BEYOND_CIRCLE * (-north.y).max(0.0);
            let center = kept + Vector::new(0.0, down);
            draw_north(canvas, center, north, SMALL_NORTH_RADIUS);
        }
    }
}

/// Draws a north mark; `north` has length 1.
fn draw_north(canvas: &mut Canvas<'_>, center: Point, north: Vector, radius: f64) {
    canvas.on(Layer::Key);
    let side = north.turn_left() * (0.42 * radius);
    let (tip, tail) = (center + north * (radius + 0.8), center - north * radius);
    let notch = center - north * (0.45 * radius);
    let left = tail + side + north * (0.2 * radius);
    let right = tail - side + north * (0.2 * radius);
    canvas.circle(center, radius, Pen::new(0.25));
    canvas.fill(vec![vec![tip, notch, right]], Ink::Black);
    canvas.ring(vec![tip, left, notch, right], Pen::new(0.25));
    let letter = center + north * (radius + LETTER_OFF) - Vector::new(0.0, LETTER / 2.0);
    let style = TextStyle::new(LETTER).bold().align(Align::Middle);
    canvas.text(letter, style, "N");
}

/// A scale bar under a plan is at most so long, in mm.
pub(crate) const BAR_LONGEST: f64 = 52.0;

/// Steps of a scale bar of at most so many mm, in the unit of the sheet.
fn bar_steps(scale: DrawingScale, units: OutputUnits, longest: f64) -> (f64, f64) {
    const STEPS: [f64; 12] = [
        0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0,
    ];
    let unit_mm = match units {
        OutputUnits::Feet => scale.mm_per_foot(),
        OutputUnits::Metres => scale.mm_per_foot() / METRES_PER_FOOT,
    };
    let step = STEPS
        .into_iter()
        .rev()
        .find(|step| 4.0 * step * unit_mm <= longest)
        .unwrap_or(STEPS[0]);
    (step, unit_mm)
}

/// A scale bar of at most `longest` mm, its left end at `at`: a finely divided step, then two and four.
pub(crate) fn scale_bar(
    canvas: &mut Canvas<'_>,
    at: Point,
    scale: DrawingScale,
    units: OutputUnits,
    longest: f64,
) {
    canvas.on(Layer::Key);
    let (step, unit_mm) = bar_steps(scale, units, longest);
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
        let mut text = number::trimmed(length * step, 1);
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

/// A row of the key.
#[derive(Clone, Copy)]
enum Entry {
    Edge(EdgeClass),
    Opening,
    Pipe,
    Hidden,
}

/// What the key shows: the classes of edge that the roof has, and openings, pipes and hidden edges where it has any.
fn key_entries(report: &Report<'_>) -> Vec<Entry> {
    let roof = report.roof();
    let classes = EdgeClass::ALL.into_iter();
    let drawn = classes.filter(|class| roof.edges.iter().any(|e| e.class == *class));
    let others = [
        (!roof.openings.is_empty(), Entry::Opening),
        (!roof.penetrations.is_empty(), Entry::Pipe),
        (hidden::any(roof), Entry::Hidden),
    ];
    let others = others.into_iter().filter(|(any, _)| *any);
    drawn
        .map(Entry::Edge)
        .chain(others.map(|(_, e)| e))
        .collect()
}

/// The rows of a full column, and the columns; of three, the last has a row free at its foot for the scale bar.
fn key_rows(entries: usize, width: f64) -> (usize, usize) {
    let most = ((width / KEY_COLUMN).floor() as usize).clamp(1, 3);
    let columns = most.min(entries.div_ceil(4).max(1));
    let places = entries + usize::from(columns == 3);
    (places.div_ceil(columns), columns)
}

/// The height that the key takes in a width.
pub(crate) fn key_height(report: &Report<'_>, width: f64) -> f64 {
    6.0 + KEY_ROW * key_rows(key_entries(report).len(), width).0 as f64
}

/// Draws the key of line types down from the top left of an area.
pub(crate) fn key(canvas: &mut Canvas<'_>, report: &Report<'_>, area: Area) {
    canvas.on(Layer::Key);
    let head = Point::new(area.left, area.top - 1.8);
    canvas.text(head, TextStyle::new(1.8).bold(), "Line types");
    let entries = key_entries(report);
    let (rows, _) = key_rows(entries.len(), area.width());
    for (i, entry) in entries.into_iter().enumerate() {
        let (column, row) = (i / rows, i % rows);
        let at = Point::new(
            area.left + KEY_COLUMN * column as f64,
            area.top - 6.0 - KEY_ROW * row as f64,
        );
        let said = sample(canvas, entry, at);
        let word = at + Vector::new(KEY_SAMPLE + 2.5, -0.9);
        canvas.text(word, TextStyle::new(1.8), said);
    }
}

/// The scale bar stands so far from the left of the key, under its last column or beside it, at its foot.
const BAR_AT: Vector = Vector::new(96.0, 1.0);
/// Over it, to the right of the key, is the place kept for a north mark that finds none on the plan.
const NORTH_AT: Vector = Vector::new(141.0, 6.0);

/// Draws the key of line types and the bar of such a scale under a plan.
pub(crate) fn key_and_bar(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    area: Area,
    scale: DrawingScale,
) {
    key(canvas, report, area);
    let bar = Point::new(area.left, area.bottom) + BAR_AT;
    scale_bar(canvas, bar, scale, report.units(), BAR_LONGEST);
}

/// The place beside such a key that is kept for a north mark.
pub(crate) fn north_by(key: Area) -> Point {
    Point::new(key.left, key.bottom) + NORTH_AT
}

/// Draws the sample of a row, its left end at `at`; returns what it is.
fn sample(canvas: &mut Canvas<'_>, entry: Entry, at: Point) -> &'static str {
    /// Half the width and height of the sample of an opening.
    const OPENING_HALF: Vector = Vector::new(3.0, 1.6);
    let end = at + Vector::new(KEY_SAMPLE, 0.0);
    let middle = at.midpoint(end);
    match entry {
        Entry::Edge(class) => {
            line_types::sample(canvas, class, at, KEY_SAMPLE);
            class.words()
        }
        Entry::Opening => {
            let (low, high) = (middle - OPENING_HALF, middle + OPENING_HALF);
            let corners = Area::new(low.x, low.y, high.x, high.y).corners();
            linework::draw_opening(canvas, corners.to_vec());
            "opening"
        }
        Entry::Pipe => {
            linework::draw_pipe(canvas, middle, linework::PIPE_RADIUS);
            "pipe or vent"
        }
        Entry::Hidden => {
            canvas.line(at, end, line_types::HIDDEN);
            "under a higher roof"
        }
    }
}
