//! The lines of the roof: edges, openings, pipes.

use super::Scope;
use super::chain::Chain;
use super::place::Field;
use super::scale::Projection;
use super::{hidden, line_types};
use crate::geometry::{Point, Vector, ring};
use crate::report::canvas::{Canvas, Layer, Pen};
use crate::roof::Roof;

/// Outline of an opening, its crossed diagonals.
const OPENING: Pen = Pen::new(0.5);
const OPENING_CROSS: Pen = Pen::new(0.25);
/// A pipe without a known diameter is drawn this large, in mm of paper.
pub(crate) const PIPE_RADIUS: f64 = 0.8;

/// Draws them and enters them in the field.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    roof: &Roof,
    scope: &Scope,
    projection: &Projection,
    field: &mut Field,
) {
    // Heavy lines last, so that corners of the outline are clean.
    let mut order: Vec<&Chain> = scope.chains.iter().collect();
    order.sort_by(|a, b| {
        let width = |c: &Chain| line_types::pen(c.class).width;
        width(a).total_cmp(&width(b))
    });
    for chain in order {
        edge(canvas, roof, chain, projection, field);
    }
    let shown = |p: Point| scope.part.is_none_or(|part| part.holds(p));
    openings(canvas, roof, projection, field, &shown);
    pipes(canvas, roof, projection, field, &shown);
}

fn edge(
    canvas: &mut Canvas<'_>,
    roof: &Roof,
    chain: &Chain,
    projection: &Projection,
    field: &mut Field,
) {
    let inward = roof_side(roof, chain);
    for part in hidden::parts(roof, chain) {
        let (a, b) = (projection.paper(part.a), projection.paper(part.b));
        if part.hidden {
            canvas.on(Layer::Hidden).line(a, b, line_types::HIDDEN);
            field.add_line(a, b, line_types::HIDDEN.width);
            continue;
        }
        let layers = (Layer::Edges, Layer::EdgeSigns);
        line_types::draw(canvas, chain.class, (a, b), inward, layers);
        let (inside, outside) = line_types::reach(chain.class);
        let middle = inward * ((inside - outside) / 2.0);
        field.add_line(a + middle, b + middle, inside + outside);
    }
}

/// A unit vector from an edge to the roof's side of it, for edges with one face; nothing in particular otherwise.
pub(super) fn roof_side(roof: &Roof, chain: &Chain) -> Vector {
    let (a, b) = (chain.start.plan(), chain.end.plan());
    let Some(along) = (b - a).unit() else {
        return Vector::new(0.0, 1.0);
    };
    let left = along.turn_left();
    let Some(&face) = chain.faces.first() else {
        return left;
    };
    if roof.face(face).covers(a.midpoint(b) + left * SIDE_STEP_FT) {
        left
    } else {
        -left
    }
}

/// Far enough from an edge to tell its sides, nearer than any roof is wide.
const SIDE_STEP_FT: f64 = 0.02;

/// Whether a place of the plan lies in any face.
pub(super) fn is_on_roof(roof: &Roof, p: Point) -> bool {
    roof.faces.iter().any(|face| face.covers(p))
}

fn openings(
    canvas: &mut Canvas<'_>,
    roof: &Roof,
    projection: &Projection,
    field: &mut Field,
    shown: &impl Fn(Point) -> bool,
) {
    canvas.on(Layer::Openings);
    for opening in &roof.openings {
        // Only whole ones: half an opening would not read as one.
        if !opening.outline.iter().all(|&p| shown(p)) {
            continue;
        }
        let corners: Vec<Point> = opening
            .outline
            .iter()
            .map(|&p| projection.paper(p))
            .collect();
        for (a, b) in ring::sides(&corners) {
            field.add_line(a, b, OPENING.width);
        }
        for (from, to) in diagonals(&corners).into_iter().flatten() {
            field.add_line(from, to, OPENING_CROSS.width);
        }
        draw_opening(canvas, corners);
    }
}

/// The diagonals that cross an opening of four corners.
fn diagonals(corners: &[Point]) -> Option<[(Point, Point); 2]> {
    match *corners {
        [a, b, c, d] => Some([(a, c), (b, d)]),
        _ => None,
    }
}

/// Draws an opening: its outline, crossed where it has four corners.
pub(super) fn draw_opening(canvas: &mut Canvas<'_>, corners: Vec<Point>) {
    for (from, to) in diagonals(&corners).into_iter().flatten() {
        canvas.line(from, to, OPENING_CROSS);
    }
    canvas.ring(corners, OPENING);
}

fn pipes(
    canvas: &mut Canvas<'_>,
    roof: &Roof,
    projection: &Projection,
    field: &mut Field,
    shown: &impl Fn(Point) -> bool,
) {
    canvas.on(Layer::Openings);
    for penetration in roof.penetrations.iter().filter(|p| shown(p.at)) {
        let at = projection.paper(penetration.at);
        let drawn = penetration
            .diameter
            .map_or(0.0, |d| d.to_feet() * projection.scale.mm_per_foot() / 2.0);
        let radius = drawn.max(PIPE_RADIUS);
        draw_pipe(canvas, at, radius);
        let across = Vector::new(radius, 0.0);
        field.add_line(at - across, at + across, 2.0 * radius);
    }
}

/// Draws a pipe: a circle, crossed.
pub(super) fn draw_pipe(canvas: &mut Canvas<'_>, at: Point, radius: f64) {
    canvas.circle(at, radius, Pen::new(0.35));
    let (across, up) = (Vector::new(radius, 0.0), Vector::new(0.0, radius));
    canvas.line(at - across, at + across, Pen::new(0.25));
    canvas.line(at - up, at + up, Pen::new(0.25));
}
