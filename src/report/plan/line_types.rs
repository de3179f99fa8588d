//! Line types: one for every class of edge, told apart by width and dashes alone. Millimetres on paper.

use crate::geometry::{Point, Vector};
use crate::report::canvas::{Canvas, Layer, Pen};
use crate::roof::EdgeClass;

/// Outer level edges.
const HEAVY: f64 = 0.7;
/// Inner edges.
const MEDIUM: f64 = 0.5;
/// Rakes, walls, pitch changes.
const LIGHT: f64 = 0.35;
/// Seconds lines, ticks.
const THIN: f64 = 0.25;
/// Between the two lines of a rake.
const RAKE_GAP: f64 = 0.9;
/// From tick to tick on a wall.
const TICK_STEP: f64 = 1.3;
/// Length of a wall tick.
const TICK: f64 = 1.2;

/// Dimension, extension and leader lines.
pub(crate) const THIN_LINE: Pen = Pen::new(THIN);

/// What lies under a higher roof.
pub(crate) const HIDDEN: Pen = Pen::dashed(THIN, &[1.2, 0.8]);

/// The main line of a class.
pub(crate) const fn pen(class: EdgeClass) -> Pen {
    match class {
        EdgeClass::Eave | EdgeClass::HighEdge => Pen::new(HEAVY).round(),
        EdgeClass::FlatEdge => Pen::dashed(HEAVY, &[7.0, 1.0]),
        EdgeClass::Ridge => Pen::new(MEDIUM).round(),
        EdgeClass::Hip => Pen::dashed(MEDIUM, &[6.0, 0.9, 0.7, 0.9]),
        EdgeClass::Valley => Pen::dashed(MEDIUM, &[2.6, 1.0]),
        EdgeClass::PitchChange => Pen::dashed(LIGHT, &[4.0, 0.9, 0.7, 0.9, 0.7, 0.9]),
        EdgeClass::Rake | EdgeClass::Headwall | EdgeClass::Sidewall => Pen::new(LIGHT).round(),
        EdgeClass::InPlane => Pen::dashed(THIN, &[2.0, 2.0]),
    }
}

/// Draws an edge from `a` to `b` on a layer and what marks its class on another; `roof` points from it to the roof's side,
/// for edges with one.
pub(crate) fn draw(
    canvas: &mut Canvas<'_>,
    class: EdgeClass,
    (a, b): (Point, Point),
    roof: Vector,
    (edges, signs): (Layer, Layer),
) {
    canvas.on(edges).line(a, b, pen(class));
    canvas.on(signs);
    match class {
        EdgeClass::Rake => {
            let inward = roof * RAKE_GAP;
            canvas.line(a + inward, b + inward, THIN_LINE);
        }
        EdgeClass::Headwall => ticks(canvas, a, b, -roof, 0.0),
        EdgeClass::Sidewall => ticks(canvas, a, b, -roof, 0.9),
        EdgeClass::HighEdge => triangles(canvas, a, b, -roof),
        _ => {}
    }
}

/// How far the drawing of a class reaches to the roof's side and to the other, from its main line.
pub(crate) fn reach(class: EdgeClass) -> (f64, f64) {
    let half = pen(class).width / 2.0;
    match class {
        EdgeClass::Rake => (RAKE_GAP + THIN / 2.0, half),
        EdgeClass::Headwall | EdgeClass::Sidewall => (half, TICK),
        EdgeClass::HighEdge => (half, TRIANGLE_HEIGHT),
        _ => (half, half),
    }
}

/// Ticks towards the wall, leaning by `lean` mm along the edge.
fn ticks(canvas: &mut Canvas<'_>, a: Point, b: Point, wall: Vector, lean: f64) {
    let Some(along) = (b - a).unit() else { return };
    let length = a.distance(b);
    let count = (length / TICK_STEP).floor().max(1.0) as usize;
    let spare = (length - TICK_STEP * (count - 1) as f64) / 2.0;
    for i in 0..count {
        let foot = a + along * (spare + TICK_STEP * i as f64);
        canvas.line(foot, foot + wall * TICK + along * lean, THIN_LINE);
    }
}

const TRIANGLE_HEIGHT: f64 = 1.6;

/// Open triangles that point away from the roof.
fn triangles(canvas: &mut Canvas<'_>, a: Point, b: Point, outside: Vector) {
    const STEP: f64 = 9.0;
    const HALF_BASE: f64 = 0.9;
    let Some(along) = (b - a).unit() else { return };
    let length = a.distance(b);
    let count = (length / STEP).floor().max(1.0) as usize;
    for i in 0..count {
        let foot = a + along * (length * (i as f64 + 0.5) / count as f64);
        canvas.polyline(
            vec![
                foot - along * HALF_BASE,
                foot + outside * TRIANGLE_HEIGHT,
                foot + along * HALF_BASE,
            ],
            THIN_LINE,
        );
    }
}

/// A level sample for keys and tables, its left end at `a`.
pub(crate) fn sample(canvas: &mut Canvas<'_>, class: EdgeClass, a: Point, length: f64) {
    let b = a + Vector::new(length, 0.0);
    let up = Vector::new(0.0, 1.0);
    // Ticks and triangles hang on the side away from the roof: below, so that they do not touch the row above.
    let (a, b) = match class {
        EdgeClass::Headwall | EdgeClass::Sidewall => (a + up * 0.5, b + up * 0.5),
        EdgeClass::HighEdge => (a + up * 0.7, b + up * 0.7),
        EdgeClass::Rake => (a - up * 0.45, b - up * 0.45),
        _ => (a, b),
    };
    draw(canvas, class, (a, b), up, (Layer::Key, Layer::Key));
}
