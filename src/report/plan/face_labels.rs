//! The name of every face with its pitch and the way that water runs.

use super::Scope;
use super::edge_labels::around;
use super::line_types::THIN_LINE;
use super::linework::is_inside;
use super::place::{Field, LINE_CLEARANCE, Slanted};
use super::scale::Projection;
use super::seen::{self, Seen};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Align, Area, Canvas, DESCENT, Ink, Layer, Pen, Text, TextStyle};
use crate::report::{Report, number};
use crate::roof::{Face, FaceId};

/// Base of the pitch triangle, which stands for 12 of run, in mm at full size.
const TRIANGLE_BASE: f64 = 6.0;
/// A triangle higher than this is drawn smaller.
const TRIANGLE_HIGHEST: f64 = 6.5;
/// Between the parts of a label.
const GAP: f64 = 2.0;
/// How far the head of an arrow reaches back, and half its width.
const ARROW_HEAD: (f64, f64) = (2.0, 0.7);

/// A size of label, from the roomiest to the smallest.
#[derive(Clone, Copy, Debug)]
struct Size {
    name: f64,
    triangle: f64,
    figure: f64,
    arrow: f64,
    stacked: bool,
}

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
            block
                .find(report, FaceId(i), &seen, projection, field)
                .map(|at| (block, at))
        });
        match placed {
            Some((block, at)) => block.draw(canvas, field, at),
            None => pending.push(i),
        }
    }
    pending
}

fn scaled(size: Size, by: f64) -> Size {
    Size {
        name: size.name * by,
        triangle: size.triangle * by,
        figure: size.figure * by,
        arrow: size.arrow * by,
        ..size
    }
}

/// A part of a label: its box relative to the label's middle.
#[derive(Clone, Debug)]
enum Part {
    Name(String, f64),
    /// The triangle with its figures: rise as printed, run, size.
    Triangle {
        rise: String,
        base: f64,
        height: f64,
        figure: f64,
    },
    /// The pitch in figures.
    Figures(String, f64),
    Arrow(Vector),
}

#[derive(Clone, Debug)]
struct Block {
    /// Parts with their boxes, the middle of the label at the origin.
    parts: Vec<(Part, Area)>,
    whole: Area,
}

impl Block {
    fn new(canvas: &Canvas<'_>, report: &Report<'_>, face: &Face, size: Size) -> Self {
        let name = Part::Name(face.name.clone(), size.name);
        let mut head = vec![sized(canvas, name)];
        let pitch = report.units().pitch(face.pitch);
        if face.is_flat() || size.triangle == 0.0 {
            head.push(sized(canvas, Part::Figures(pitch, size.figure)));
        } else {
            head.push(sized(canvas, triangle(face, size)));
        }
        let arrow = face
            .fall()
            .filter(|_| size.arrow > 0.0)
            .map(|fall| sized(canvas, Part::Arrow(fall * size.arrow)));
        arrange(head, arrow, size.stacked)
    }

    /// The roomiest place inside the face, near the middle of it.
    fn find(
        &self,
        report: &Report<'_>,
        face: FaceId,
        seen: &Seen,
        projection: &Projection,
        field: &Field,
    ) -> Option<Point> {
        let roof = report.roof();
        let corners: Vec<Point> = seen.corners.iter().map(|&c| projection.paper(c)).collect();
        let middle = projection.paper(seen.middle);
        let mut places = grid(&corners, middle);
        places.sort_by(|a, b| a.distance(middle).total_cmp(&b.distance(middle)));
        places.into_iter().find(|&at| {
            let b = Slanted::upright(moved(self.whole, at));
            // Clear of all lines and with its middle inside, it is inside.
            field.is_clear(&b) && is_inside(roof, face, projection.plan(b.center))
        })
    }

    fn draw(self, canvas: &mut Canvas<'_>, field: &mut Field, at: Point) {
        canvas.on(Layer::FaceNames);
        for (part, area) in self.parts {
            let area = moved(area, at);
            field.add_box(Slanted::upright(area));
            draw_part(canvas, &part, area);
        }
    }
}

/// Places inside the bounds of a polygon, `at` among them.
fn grid(corners: &[Point], at: Point) -> Vec<Point> {
    const STEP: f64 = 2.0;
    let mut places = vec![at];
    let low = |f: fn(&Point) -> f64| corners.iter().map(f).fold(f64::INFINITY, f64::min);
    let high = |f: fn(&Point) -> f64| corners.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
    let (left, right) = (low(|p| p.x), high(|p| p.x));
    let (bottom, top) = (low(|p| p.y), high(|p| p.y));
    let mut y = bottom;
    while y < top {
        let mut x = left;
        while x < right {
            places.push(Point::new(x, y));
            x += STEP;
        }
        y += STEP;
    }
    places
}

fn moved(area: Area, by: Point) -> Area {
    Area::new(
        area.left + by.x,
        area.bottom + by.y,
        area.right + by.x,
        area.top + by.y,
    )
}

fn triangle(face: &Face, size: Size) -> Part {
    let rise = face.pitch.to_rise_per_run();
    let base = (TRIANGLE_BASE * size.triangle).min(TRIANGLE_HIGHEST * size.triangle / rise);
    Part::Triangle {
        rise: number::rise_in_12(face.pitch.to_in_12()),
        base,
        height: base * rise,
        figure: size.figure,
    }
}

/// A part with its width and height as a box from the origin.
fn sized(canvas: &Canvas<'_>, part: Part) -> (Part, Area) {
    let (width, height) = match &part {
        Part::Name(name, h) => (canvas.width(name_style(*h), name), h * WITH_DESCENT),
        Part::Figures(text, h) => (canvas.width(figure_style(*h), text), h * WITH_DESCENT),
        Part::Triangle {
            rise,
            base,
            height,
            figure,
        } => {
            let figures = canvas.width(figure_style(*figure), rise);
            (
                base + 0.8 + figures,
                height.max(*figure) + 0.9 + figure * WITH_DESCENT,
            )
        }
        Part::Arrow(v) => (
            v.x.abs().max(2.0 * ARROW_HEAD.1),
            v.y.abs().max(2.0 * ARROW_HEAD.1),
        ),
    };
    (part, Area::new(0.0, 0.0, width, height))
}

/// The height of a text with its descenders, over that of its capitals.
const WITH_DESCENT: f64 = 1.0 + DESCENT;

/// The baseline of a text whose descenders reach down to `foot`.
fn on_line(foot: Point, height: f64) -> Point {
    foot + Vector::new(0.0, DESCENT * height)
}

fn name_style(height: f64) -> TextStyle {
    TextStyle::new(height).bold()
}

fn figure_style(height: f64) -> TextStyle {
    TextStyle::new(height).outline(0.09)
}

/// Name and pitch in a row (or stacked), the arrow beside them where it runs up or down, below where it runs across.
fn arrange(head: Vec<(Part, Area)>, arrow: Option<(Part, Area)>, stacked: bool) -> Block {
    let mut parts = if stacked { column(head) } else { row(head) };
    if let Some(arrow) = arrow {
        let upright = arrow.1.height() > arrow.1.width();
        let block = bounds(&parts);
        let (width, height) = (arrow.1.width(), arrow.1.height());
        let at = if upright && !stacked {
            Point::new(
                block.left - GAP - width,
                (block.bottom + block.top - height) / 2.0,
            )
        } else {
            Point::new(
                (block.left + block.right - width) / 2.0,
                block.bottom - GAP - height,
            )
        };
        parts.push((arrow.0, moved(arrow.1, at)));
    }
    let whole = bounds(&parts);
    let center = whole.center();
    let back = Point::new(-center.x, -center.y);
    Block {
        parts: parts
            .into_iter()
            .map(|(part, area)| (part, moved(area, back)))
            .collect(),
        whole: moved(whole, back),
    }
}

fn row(head: Vec<(Part, Area)>) -> Vec<(Part, Area)> {
    let tallest = head.iter().map(|(_, a)| a.height()).fold(0.0, f64::max);
    let mut x = 0.0;
    head.into_iter()
        .map(|(part, area)| {
            let y = (tallest - area.height()) / 2.0;
            let placed = moved(area, Point::new(x, y));
            x = placed.right + GAP;
            (part, placed)
        })
        .collect()
}

fn column(head: Vec<(Part, Area)>) -> Vec<(Part, Area)> {
    let widest = head.iter().map(|(_, a)| a.width()).fold(0.0, f64::max);
    let mut top = 0.0;
    head.into_iter()
        .map(|(part, area)| {
            let x = (widest - area.width()) / 2.0;
            let placed = moved(area, Point::new(x, top - area.height()));
            top = placed.bottom - 0.6 * GAP;
            (part, placed)
        })
        .collect()
}

fn bounds(parts: &[(Part, Area)]) -> Area {
    let empty = Area::new(
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    );
    parts.iter().fold(empty, |all, (_, a)| {
        Area::new(
            all.left.min(a.left),
            all.bottom.min(a.bottom),
            all.right.max(a.right),
            all.top.max(a.top),
        )
    })
}

fn draw_part(canvas: &mut Canvas<'_>, part: &Part, area: Area) {
    let foot = Point::new(area.left, area.bottom);
    match part {
        Part::Name(name, height) => {
            canvas.text(on_line(foot, *height), name_style(*height), name);
        }
        Part::Figures(text, height) => {
            canvas.text(on_line(foot, *height), figure_style(*height), text);
        }
        Part::Triangle {
            rise,
            base,
            height,
            figure,
        } => pitch_triangle(canvas, foot, rise, (*base, *height), *figure),
        Part::Arrow(v) => arrow(canvas, area.center() - *v * 0.5, area.center() + *v * 0.5),
    }
}

/// The triangle of run 12 and the rise, both written at their sides.
fn pitch_triangle(
    canvas: &mut Canvas<'_>,
    foot: Point,
    rise: &str,
    (base, height): (f64, f64),
    figure: f64,
) {
    let foot = on_line(foot, figure);
    let low = foot + Vector::new(0.0, figure + 0.9);
    let right = low + Vector::new(base, 0.0);
    let top = right + Vector::new(0.0, height);
    canvas.ring(vec![low, right, top], THIN_LINE);
    let style = figure_style(figure);
    // What is copied reads as the pitch is said, 6/12: all of it at the rise.
    let beside = right + Vector::new(0.8, (height - figure).max(0.0) / 2.0);
    let rise_text = Text::new(canvas.fonts, beside, style, rise).reading(&format!("{rise}/12"));
    canvas.put_text(rise_text);
    let under = foot + Vector::new(base / 2.0, 0.0);
    let run = Text::new(canvas.fonts, under, style.align(Align::Middle), "12");
    canvas.put_text(run.reading(""));
}

/// An arrow with a filled head.
pub(super) fn arrow(canvas: &mut Canvas<'_>, from: Point, to: Point) {
    let Some(along) = (to - from).unit() else {
        return;
    };
    let neck = to - along * ARROW_HEAD.0;
    let side = along.turn_left() * ARROW_HEAD.1;
    canvas.line(from, neck, Pen::new(0.25));
    canvas.fill(vec![vec![to, neck + side, neck - side]], Ink::Black);
}

/// Names at the end of leaders for faces too small to hold theirs; returns those that found no place.
pub(super) fn draw_with_leaders(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    scope: &Scope,
    pending: Vec<usize>,
    projection: &Projection,
    field: &mut Field,
    height: f64,
) -> Vec<usize> {
    let mut unplaced = Vec::new();
    for i in pending {
        let face = &report.roof().faces[i];
        let Some(seen) = seen::seen(report.roof(), i, scope.part.as_ref()) else {
            continue;
        };
        let target = projection.paper(seen.middle);
        let content = format!("{}  {}", face.name, report.units().pitch(face.pitch));
        let style = TextStyle::new(height).bold();
        match beside(canvas, field, target, style, &content) {
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

/// Level text at the end of a leader from `target`, where it is clear.
fn beside(
    canvas: &Canvas<'_>,
    field: &Field,
    target: Point,
    style: TextStyle,
    content: &str,
) -> Option<(Text, Point)> {
    let width = canvas.width(style, content);
    let set_at = |base| Text::new(canvas.fonts, base, style.align(Align::Middle), content);
    let home = Slanted::of(&set_at(Point::default()));
    around()
        .filter_map(|(distance, direction)| {
            let knee = target + direction * distance;
            let shift = (width / 2.0 + 0.8) * if direction.x >= 0.0 { 1.0 } else { -1.0 };
            let base = knee + Vector::new(shift, -style.height / 2.0);
            let label = home.moved(base - Point::default());
            let clear = field.is_clear(&label)
                && field.line_is_clear_of_boxes(target, knee)
                && !label.grown(LINE_CLEARANCE).meets(target, knee);
            let cost = distance + 12.0 * field.crossings(target, knee) as f64;
            clear.then_some((cost, base, knee))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, base, knee)| (set_at(base), knee))
}
