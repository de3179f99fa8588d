//! The name of every face with its pitch and the way that water runs.

use std::cell::LazyCell;

use super::Scope;
use super::edge_labels::around;
use super::face_block::{Block, Size, moved, scaled};
use super::finding_marks::lattice;
use super::line_types::THIN_LINE;
use super::linework::is_on_roof;
use super::place::{Field, LINE_CLEARANCE, Slanted, nearest_first};
use super::scale::Projection;
use super::seen::{self, Seen};
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Align, Area, Canvas, Ink, Layer, Text, TextStyle};
use crate::roof::FaceId;

const SIZES: [Size; 6] = [
    Size {
        name: 3.5,
        triangle: 1.0,
        figure: 1.8,
        arrow: 8.0,
        stacked: false,
    },
    Size {
        name: 2.5,
        triangle: 0.75,
        figure: 1.8,
        arrow: 6.0,
        stacked: false,
    },
    Size {
        name: 2.5,
        triangle: 0.75,
        figure: 1.8,
        arrow: 6.0,
        stacked: true,
    },
    Size {
        name: 2.5,
        triangle: 0.0,
        figure: 1.8,
        arrow: 4.5,
        stacked: true,
    },
    Size {
        name: 2.5,
        triangle: 0.0,
        figure: 1.8,
        arrow: 0.0,
        stacked: false,
    },
    Size {
        name: 2.5,
        triangle: 0.0,
        figure: 1.8,
        arrow: 0.0,
        stacked: true,
    },
];

/// Labels the faces that have room for it; returns the others.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    scope: &Scope,
    projection: &Projection,
    field: &mut Field,
    text: f64,
) -> Vec<usize> {
    let roof = report.roof();
    let mut order: Vec<usize> = scope.faces.clone();
    order.sort_by(|&a, &b| {
        let area = |i: usize| roof.faces[i].plan_area.to_square_feet();
        area(a).total_cmp(&area(b))
    });
    let grow = text / 1.8;
    let mut pending = Vec::new();
    for i in order {
        let face = &roof.faces[i];
        let Some(seen) = seen::seen(roof, i, scope.part.as_ref()) else {
            continue;
        };
        let placed = SIZES.into_iter().find_map(|size| {
            let block = Block::new(canvas, report, face, scaled(size, grow));
            find(&block, report, FaceId(i), &seen, projection, field).map(|at| (block, at))
        });
        match placed {
            Some((block, at)) => block.draw(canvas, field, at),
            None => pending.push(i),
        }
    }
    pending
}

/// The roomiest place inside the face, near the middle of it.
fn find(
    block: &Block,
    report: &Report<'_>,
    face: FaceId,
    seen: &Seen,
    projection: &Projection,
    field: &Field,
) -> Option<Point> {
    let roof = report.roof();
    let corners: Vec<Point> = seen.corners.iter().map(|&c| projection.paper(c)).collect();
    let middle = projection.paper(seen.middle);
    let is_clear = |&at: &Point| {
        let b = Slanted::upright(moved(block.whole, at));
        // Clear of all lines and with its middle inside, it is inside.
        field.is_clear(&b) && roof.face(face).covers(projection.plan(b.center))
    };
    // The middle is mostly free: the others are put in order where it is not.
    let others = || nearest_first(grid(&corners, middle).into_iter(), middle).into_iter();
    Some(middle)
        .filter(is_clear)
        .or_else(|| others().find(is_clear))
}

/// Places inside the bounds of a polygon, `at` among them.
fn grid(corners: &[Point], at: Point) -> Vec<Point> {
    const STEP: f64 = 2.0;
    let mut places = vec![at];
    let low = |f: fn(&Point) -> f64| corners.iter().map(f).fold(f64::INFINITY, f64::min);
    let high = |f: fn(&Point) -> f64| corners.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
    let (left, right) = (low(|p| p.x), high(|p| p.x));
    let (bottom, top) = (low(|p| p.y), high(|p| p.y));
    let row = |y: f64, places: &mut Vec<Point>| {
        let mut x = left;
        while x < right {
            places.push(Point::new(x, y));
            x += STEP;
        }
    };
    // A face as narrow as its name has room along its middle alone.
    row(at.y, &mut places);
    let mut y = bottom;
    while y < top {
        row(y, &mut places);
        y += STEP;
    }
    places
}

/// How far leaders may go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leaders {
    /// Near their faces: a detail may name those that find no place.
    Near,
    /// To anywhere beyond the roof too: where no detail names a face, any place is better than none.
    Far,
}

/// A leader beyond the roof is no longer than this, in mm: the eye loses a longer one.
const LONGEST_LEADER: f64 = 55.0;

/// Names at the end of leaders for faces too small to hold theirs; returns those that found no place.
pub(super) fn draw_with_leaders(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    (scope, pending): (&Scope, Vec<usize>),
    projection: &Projection,
    field: &mut Field,
    height: f64,
    leaders: Leaders,
) -> Vec<usize> {
    let near = |_: &Field, target: Point| -> Vec<Point> {
        let near = around().map(|(distance, direction)| target + direction * distance);
        near.collect()
    };
    // The same for all faces, and needless where none is left: hundreds of faces ask for hundreds of places each.
    let bounds = field.bounds();
    let off_roof = LazyCell::new(|| -> Vec<Point> {
        lattice(bounds)
            .filter(|knee| !is_on_roof(report.roof(), projection.plan(*knee)))
            .collect()
    });
    let far = |_: &Field, target: Point| -> Vec<Point> {
        let within = |knee: &Point| knee.distance(target) <= LONGEST_LEADER;
        off_roof.iter().copied().filter(within).collect()
    };
    let mut lead = |pending, places: Places<'_>| {
        let scope = (scope, pending);
        lead(canvas, report, scope, projection, field, (height, places))
    };
    let left = lead(pending, &near);
    match leaders {
        Leaders::Near => left,
        Leaders::Far => lead(left, &far),
    }
}

/// Where the knee of a leader to a target may be.
type Places<'p> = &'p dyn Fn(&Field, Point) -> Vec<Point>;

/// Names at the end of leaders, the knee of each at one of the `places` for its target; returns the faces that found none.
fn lead(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    (scope, pending): (&Scope, Vec<usize>),
    projection: &Projection,
    field: &mut Field,
    (height, places): (f64, Places<'_>),
) -> Vec<usize> {
    let mut unplaced = Vec::new();
    for i in pending {
        let face = &report.roof().faces[i];
        let Some(seen) = seen::seen(report.roof(), i, scope.part.as_ref()) else {
            continue;
        };
        let target = foot(report, FaceId(i), &seen, projection, field);
        let content = format!("{}  {}", face.name, report.units().pitch(face.pitch));
        let style = TextStyle::new(height).bold();
        let knees = places(field, target);
        match beside(canvas, field, (target, &knees), style, &content) {
            Some((text, knee)) => {
                canvas.on(Layer::Leaders);
                canvas.line(target, knee, THIN_LINE);
                canvas.dot(target, 0.5, Ink::Black);
                field.add_line(target, knee, THIN_LINE.width);
                field.add_box(Slanted::of(&text));
                canvas.on(Layer::FaceNames);
                canvas.put_text(text);
            }
            None => unplaced.push(i),
        }
    }
    unplaced
}

/// Where a leader ends on a face: in its middle, or near it where something stands there.
fn foot(
    report: &Report<'_>,
    face: FaceId,
    seen: &Seen,
    projection: &Projection,
    field: &Field,
) -> Point {
    /// Half of the room that the dot takes.
    const AROUND: f64 = 0.7;
    let middle = projection.paper(seen.middle);
    let is_clear = |p: &Point| {
        let low = *p - Vector::new(AROUND, AROUND);
        let high = *p + Vector::new(AROUND, AROUND);
        field.is_clear(&Slanted::upright(Area::new(low.x, low.y, high.x, high.y)))
            && report.roof().face(face).covers(projection.plan(*p))
    };
    let corners: Vec<Point> = seen.corners.iter().map(|&c| projection.paper(c)).collect();
    let places = nearest_first(grid(&corners, middle).into_iter(), middle);
    places.into_iter().find(is_clear).unwrap_or(middle)
}

/// Level text at the end of a leader from `target` to one of the knees, where it is clear.
fn beside(
    canvas: &Canvas<'_>,
    field: &Field,
    (target, knees): (Point, &[Point]),
    style: TextStyle,
    content: &str,
) -> Option<(Text, Point)> {
    let width = canvas.width(style, content);
    let set_at = |base| Text::new(canvas.fonts, base, style.align(Align::Middle), content);
    let home = Slanted::of(&set_at(Point::default()));
    knees
        .iter()
        .filter_map(|&knee| {
            let side = if knee.x >= target.x - UPRIGHT {
                1.0
            } else {
                -1.0
            };
            let base = knee + Vector::new((width / 2.0 + 0.8) * side, -style.height / 2.0);
            let label = home.moved(base - Point::default());
            let clear = field.is_clear(&label)
                && field.line_is_clear_of_boxes(target, knee)
                && !label.grown(LINE_CLEARANCE).meets(target, knee);
            let cost = target.distance(knee) + 12.0 * field.crossings(target, knee) as f64;
            clear.then_some((cost, base, knee))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, base, knee)| (set_at(base), knee))
}

/// A leader leans less than this, in mm, where it is upright: its text is on the right of it.
const UPRIGHT: f64 = 1e-9;
