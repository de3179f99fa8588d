//! A face's label as one block: its name, the triangle of its pitch, and an arrow down the slope.

use super::line_types::THIN_LINE;
use super::place::{Field, Slanted};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Align, Area, Canvas, DESCENT, Ink, Layer, Pen, Text, TextStyle};
use crate::report::{Report, number};
use crate::roof::Face;

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
pub(super) struct Size {
    pub(super) name: f64,
    pub(super) triangle: f64,
    pub(super) figure: f64,
    pub(super) arrow: f64,
    pub(super) stacked: bool,
}

pub(super) fn scaled(size: Size, by: f64) -> Size {
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
pub(super) struct Block {
    /// Parts with their boxes, the middle of the label at the origin.
    parts: Vec<(Part, Area)>,
    pub(super) whole: Area,
}

impl Block {
    pub(super) fn new(canvas: &Canvas<'_>, report: &Report<'_>, face: &Face, size: Size) -> Self {
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

    pub(super) fn draw(self, canvas: &mut Canvas<'_>, field: &mut Field, at: Point) {
        canvas.on(Layer::FaceNames);
        let is_arrow = |part: &Part| matches!(part, Part::Arrow(_));
        let head = self.parts.iter().filter(|(part, _)| !is_arrow(part));
        let head = head.map(|(_, area)| *area).reduce(|a, b| Area {
            left: a.left.min(b.left),
            bottom: a.bottom.min(b.bottom),
            right: a.right.max(b.right),
            top: a.top.max(b.top),
        });
        if let Some(head) = head {
            field.add_group(Slanted::upright(moved(head, at)));
        }
        for (part, area) in self.parts {
            let area = moved(area, at);
            field.add_box(Slanted::upright(area));
            draw_part(canvas, &part, area);
        }
    }
}

pub(super) fn moved(area: Area, by: Point) -> Area {
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
                base_left(canvas, *base, *figure) + base + 0.8 + figures,
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

/// What is written under the base of a pitch triangle.
const RUN: &str = "12";

/// How far the run under a base that is shorter than it, as that of a steep roof, begins before the base.
fn base_left(canvas: &Canvas<'_>, base: f64, figure: f64) -> f64 {
    ((canvas.width(figure_style(figure), RUN) - base) / 2.0).max(0.0)
}

/// The triangle of run 12 and the rise, both written at their sides.
fn pitch_triangle(
    canvas: &mut Canvas<'_>,
    foot: Point,
    rise: &str,
    (base, height): (f64, f64),
    figure: f64,
) {
    let foot = on_line(foot, figure) + Vector::new(base_left(canvas, base, figure), 0.0);
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
    let run = Text::new(canvas.fonts, under, style.align(Align::Middle), RUN);
    canvas.put_text(run.reading(""));
}

/// An arrow with a filled head.
fn arrow(canvas: &mut Canvas<'_>, from: Point, to: Point) {
    let Some(along) = (to - from).unit() else {
        return;
    };
    let neck = to - along * ARROW_HEAD.0;
    let side = along.turn_left() * ARROW_HEAD.1;
    canvas.line(from, neck, Pen::new(0.25));
    canvas.fill(vec![vec![to, neck + side, neck - side]], Ink::Black);
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::*;
    use crate::report::canvas::{Fonts, Mark};

    #[test]
    fn the_figures_of_the_triangle_of_a_steep_roof_stand_in_its_box() {
        let fonts = Fonts::load().unwrap_or_else(|f| panic!("{}", f.message));
        // 48/12 and 6/12: under a base of 0.8 mm the run is wider than the base.
        for (rise, base, height) in [("48", 0.8, 3.2), ("6", 6.0, 3.0)] {
            let mut canvas = Canvas::new(fonts);
            let part = Part::Triangle {
                rise: rise.to_owned(),
                base,
                height,
                figure: 1.8,
            };
            let (part, area) = sized(&canvas, part);
            draw_part(&mut canvas, &part, area);
            let texts = canvas.items.iter().filter_map(|item| match &item.mark {
                Mark::Text(text) => Some(text.corners()),
                _ => None,
            });
            let corners: Vec<Point> = texts.flatten().collect();
            assert_eq!(corners.len(), 8);
            let room = area.inset(-1e-6);
            assert!(corners.iter().all(|&c| room.holds(c)), "{corners:?}");
        }
    }
}
