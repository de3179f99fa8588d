//! What is written on a course layout: the sides of the face, where its courses begin, which parts are of one shingle.

use std::collections::BTreeMap;

use super::course_drawing::Drawing;
use super::course_layout::READABLE_COURSE;
use crate::courses::{FaceLayout, RunLayout, StartCorner};
use crate::geometry::{Point, Vector, ring};
use crate::report::Report;
use crate::report::canvas::{Align, Canvas, Layer, Text, TextStyle};
use crate::report::crew_words::start_width;
use crate::report::plan::place::{Field, Slanted};
use crate::roof::{EdgeClass, FaceId};

/// Height of the smallest figures.
const FIGURE: f64 = 1.5;
/// Sides that turn by less than this are one line: the sine of a tenth of a degree.
const ONE_LINE: f64 = 0.0017;
/// Rows of figures stand no closer, over their height.
const FIGURE_ROW: f64 = 1.307;

/// Height of the figures of a drawing: larger on larger sheets, as far as its courses leave room.
fn figure(drawing: &Drawing<'_>) -> f64 {
    let room = FIGURE * drawing.course_mm() / READABLE_COURSE;
    (FIGURE * drawing.grow).min(room).max(FIGURE)
}

/// Class and length of the sides of the outer ring.
pub(super) fn edge_labels(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    drawing: &Drawing<'_>,
    field: &mut Field,
) {
    for side in sides(report, drawing) {
        let ends = [side.from, side.to].map(|p| drawing.paper(p.x, p.y));
        let seen = match drawing.window() {
            Some(window) => window.clip_segment(ends[0], ends[1]),
            None => Some((0.0, 1.0)),
        };
        if let Some((from, to)) = seen {
            let length = report.units().length(side.true_ft);
            let whole = if (from, to) == (0.0, 1.0) {
                ""
            } else {
                " in all"
            };
            let words = format!("{} {length}{whole}", side.class.words());
            let ends = (ends[0].lerp(ends[1], from), ends[0].lerp(ends[1], to));
            edge_label(canvas, ends, &words, drawing, field);
        }
    }
}

/// A side of the outer ring as it is labelled: pieces of one line, of one class and between the same faces, are one.
struct Side<'r> {
    from: Point,
    to: Point,
    /// The roof's own lengths, as every schedule has them: turned flat, a side of planes that part a little is another by a
    /// hair.
    true_ft: f64,
    class: EdgeClass,
    faces: &'r [FaceId],
}

impl Side<'_> {
    /// Whether another side goes on where this one ends, as the same line.
    fn goes_on(&self, next: &Self) -> bool {
        let (Some(a), Some(b)) = ((self.to - self.from).unit(), (next.to - next.from).unit())
        else {
            return false;
        };
        self.to == next.from
            && self.class == next.class
            && self.faces == next.faces
            && a.dot(b) > 0.0
            && a.cross(b).abs() < ONE_LINE
    }
}

fn sides<'r>(report: &'r Report<'_>, drawing: &Drawing<'_>) -> Vec<Side<'r>> {
    let outer = &drawing.face.outer;
    let n = outer.points.len();
    let mut sides: Vec<Side<'_>> = Vec::new();
    for i in 0..n {
        let Some(id) = outer.edges[i] else { continue };
        let edge = report.roof().edge(id);
        let side = Side {
            from: outer.points[i],
            to: outer.points[(i + 1) % n],
            true_ft: edge.true_length.to_feet(),
            class: edge.class,
            faces: &edge.faces,
        };
        match sides.last_mut() {
            Some(last) if last.goes_on(&side) => {
                last.to = side.to;
                last.true_ft += side.true_ft;
            }
            _ => sides.push(side),
        }
    }
    // The ring may begin in the middle of a line.
    if sides.len() > 1
        && sides[sides.len() - 1].goes_on(&sides[0])
        && let Some(last) = sides.pop()
    {
        sides[0].from = last.from;
        sides[0].true_ft += last.true_ft;
    }
    sides
}

/// The class and true length along an edge, outside the face.
fn edge_label(
    canvas: &mut Canvas<'_>,
    (a, b): (Point, Point),
    words: &str,
    drawing: &Drawing<'_>,
    field: &mut Field,
) {
    let Some(along) = (b - a).unit() else { return };
    let out = -along.turn_left();
    let upright = along.x.abs() < 1e-3;
    // Where the starts stand, the length is left to the schedule of sloping edges.
    if out.x * side(drawing.layout.start) > 0.3 {
        return;
    }
    let reading = if upright {
        Vector::new(0.0, 1.0)
    } else if along.x < 0.0 {
        -along
    } else {
        along
    };
    let angle = if upright {
        90.0
    } else if along.y.abs() < 1e-3 {
        0.0
    } else {
        reading.y.atan2(reading.x).to_degrees()
    };
    let height = 1.8 * drawing.grow;
    let style = TextStyle::new(height)
        .outline(0.09)
        .align(Align::Middle)
        .turned(angle);
    if canvas.width(style, words) > 0.95 * a.distance(b) {
        return;
    }
    let up = reading.turn_left();
    let below = if up.dot(out) > 0.0 { 0.0 } else { height };
    // Numbers of parts, and shingles that run past a valley, may be in the way: farther out then.
    let clear = [1.6, 4.2, 7.0, 10.0].into_iter().find_map(|off| {
        let base = a.midpoint(b) + out * (off + below);
        let text = Text::new(canvas.fonts, base, style, words);
        field.is_clear(&Slanted::of(&text)).then_some(text)
    });
    if let Some(text) = clear {
        field.add_box(Slanted::of(&text));
        canvas.on(Layer::EdgeLabels);
        canvas.put_text(text);
    }
}

/// Where the starts stand, along x.
const fn side(start: StartCorner) -> f64 {
    match start {
        StartCorner::Left => -1.0,
        StartCorner::Right => 1.0,
    }
}

/// The columns beside the start: course numbers, and the widths of first pieces where the start is on this sheet.
struct StartColumns {
    figure: f64,
    number_x: f64,
    start: Option<(f64, TextStyle)>,
}

impl StartColumns {
    fn of(drawing: &Drawing<'_>) -> Self {
        let way = side(drawing.layout.start);
        let corners = drawing.face.outer.points.iter().map(|p| p.x);
        let ends = drawing
            .layout
            .runs
            .iter()
            .flat_map(|r| [r.butt_in.0, r.butt_in.1]);
        let outermost = corners
            .chain(ends)
            .map(|u| drawing.paper(u, 0.0).x)
            .reduce(if way < 0.0 { f64::min } else { f64::max })
            .unwrap_or(drawing.area.left);
        let (at_left, at_right) = drawing.goes_on();
        let goes_on = if way < 0.0 { at_left } else { at_right };
        let border = drawing
            .window()
            .filter(|_| goes_on)
            .map(|window| if way < 0.0 { window.left } else { window.right });
        // Course numbers are set flush right, so at the right they stand farther out by their own width.
        let figure = figure(drawing);
        let grow = figure / FIGURE;
        let own = if way < 0.0 { 0.0 } else { 2.5 };
        let style = TextStyle::new(figure);
        match border {
            // Where the face goes on there, course numbers stand beyond the words of the match line.
            Some(border) => Self {
                figure,
                number_x: border + way * grow * (6.5 + own),
                start: None,
            },
            None => Self {
                figure,
                number_x: outermost + way * grow * (18.0 + own),
                start: Some((
                    outermost + way * grow * 2.5,
                    if way < 0.0 {
                        style.align(Align::Right)
                    } else {
                        style
                    },
                )),
            },
        }
    }
    fn write(&self, canvas: &mut Canvas<'_>, y: f64, bold: bool, course: &str, start: &str) {
        let weight = |style: TextStyle| if bold { style.bold() } else { style };
        let number = weight(TextStyle::new(self.figure).align(Align::Right));
        canvas.text(Point::new(self.number_x, y), number, course);
        if let Some((x, style)) = self.start {
            canvas.text(Point::new(x, y), weight(style), start);
        }
    }
}

/// Course numbers and the widths of the first pieces, beside the start.
pub(super) fn starts(canvas: &mut Canvas<'_>, report: &Report<'_>, drawing: &Drawing<'_>) {
    canvas.on(Layer::Tables);
    let step = (READABLE_COURSE / drawing.course_mm()).ceil().max(1.0) as usize;
    let step = if step == 1 { 1 } else { 5 * step.div_ceil(5) };
    let columns = StartColumns::of(drawing);
    let figure = columns.figure;
    let row = FIGURE_ROW * figure;
    // One piece has one number on all sheets.
    let sheet = drawing.layout.crew_sheet();
    let mut highest = f64::NEG_INFINITY;
    for run in first_runs(drawing.layout) {
        let number = run.course + 1;
        if step > 1 && !number.is_multiple_of(step) && number != 1 {
            continue;
        }
        let low = drawing.paper(0.0, run.butt_height_in).y;
        let height = drawing.paper(0.0, drawing.top_in(run)).y - low;
        // The strip of a last course may be lower than its figures, which then stand above those of the course below.
        let y = (low + (height - figure) / 2.0).max(highest + row);
        highest = y;
        let width = start_width(&sheet, drawing.layout.first_piece_in(run), report.units());
        columns.write(
            canvas,
            y,
            number.is_multiple_of(5),
            &number.to_string(),
            &width,
        );
    }
    let top = drawing.paper(0.0, drawing.face.v_range().1).y + 2.2;
    columns.write(canvas, top.max(highest + row), false, "course", "start");
}

/// The run of every course that is begun at the start corner.
fn first_runs(layout: &FaceLayout) -> Vec<&RunLayout> {
    let mut first: Vec<&RunLayout> = Vec::new();
    for run in &layout.runs {
        match first.last_mut() {
            Some(last) if last.course == run.course => {
                if layout.start == StartCorner::Right {
                    *last = run;
                }
            }
            _ => first.push(run),
        }
    }
    first
}

/// For every run the number at its left end and at its right end: of shingles that several pieces come out of, as they
/// come up the roof.
fn pair_numbers(layout: &FaceLayout) -> Vec<(Option<usize>, Option<usize>)> {
    let (openings, closings) = layout.shingle_numbers();
    let mut met = BTreeMap::new();
    let mut number = |shingle: usize| {
        let next = met.len() + 1;
        *met.entry(shingle).or_insert(next)
    };
    let ends = closings.into_iter().zip(openings);
    ends.map(|(right, left)| {
        let right = right.map(&mut number);
        (left.map(&mut number), right)
    })
    .collect()
}

pub(super) fn draw_numbers(
    canvas: &mut Canvas<'_>,
    drawing: &Drawing<'_>,
    field: &mut Field,
) -> usize {
    canvas.on(Layer::Courses);
    let mut missing = 0;
    for run in &drawing.layout.runs {
        // Shingles past the outline, as in a valley, are in the way of labels.
        let height = drawing.top_in(run) - run.butt_height_in;
        let middle = run.butt_height_in + height / 2.0;
        let ends = (
            run.butt_in.0.max(run.top_in.0),
            run.butt_in.1.min(run.top_in.1),
        );
        let on_paper = drawing.paper(0.0, height).y - drawing.paper(0.0, 0.0).y;
        field.add_line(
            drawing.paper(ends.0, middle),
            drawing.paper(ends.1, middle),
            on_paper,
        );
    }
    let way = side(drawing.layout.start);
    let figure = figure(drawing);
    for (run, (left, right)) in drawing.layout.runs.iter().zip(pair_numbers(drawing.layout)) {
        if let Some(number) = left {
            let piece = drawing.piece(run, None, run.joints_in.first().copied());
            missing += usize::from(!part_number(
                canvas,
                field,
                &piece,
                (number, figure),
                (-1.0, way),
            ));
        }
        if let Some(number) = right {
            let piece = drawing.piece(run, run.joints_in.last().copied(), None);
            missing += usize::from(!part_number(
                canvas,
                field,
                &piece,
                (number, figure),
                (1.0, way),
            ));
        }
    }
    missing
}

/// In the piece where it fits; else beside it, beyond its outer end first, but for the side where the starts stand: `end`
/// and `starts` are −1 at the left and 1 at the right. Returns whether it found a place.
fn part_number(
    canvas: &mut Canvas<'_>,
    field: &mut Field,
    piece: &[Point; 4],
    (number, figure): (usize, f64),
    (end, starts): (f64, f64),
) -> bool {
    const BESIDE: f64 = 0.7;
    let style = TextStyle::new(figure).align(Align::Middle).halo(0.7);
    let words = number.to_string();
    let width = canvas.width(style, &words);
    let middle = ring::centroid(piece);
    let beyond = |way: f64| {
        let ends = if way > 0.0 {
            piece[1].x.max(piece[2].x)
        } else {
            piece[0].x.min(piece[3].x)
        };
        ends + way * (BESIDE + width / 2.0)
    };
    let outside = if end == starts {
        [beyond(-end), middle.x]
    } else {
        [beyond(end), beyond(-end)]
    };
    let inside = piece[0].distance(piece[1]) >= width + 0.4;
    let places = inside.then_some(middle.x).into_iter().chain(outside);
    for x in places {
        let at = Point::new(x, middle.y - figure / 2.0);
        let text = Text::new(canvas.fonts, at, style, &words);
        if field.is_free(&Slanted::of(&text)) {
            field.add_box(Slanted::of(&text));
            canvas.put_text(text);
            return true;
        }
    }
    false
}
