//! A face unfolded, with its courses.

use std::collections::BTreeMap;

use crate::courses::{CourseFace, Courses, FaceLayout, RunLayout};
use crate::geometry::{Point, Vector, ring};
use crate::report::canvas::{Align, Area, Canvas, Layer, Pen, Text, TextStyle};
use crate::report::plan::place::{Field, Slanted};
use crate::report::plan::{DrawingScale, Projection, line_types, match_lines};
use crate::report::{Report, hatch};

use super::course_layout::READABLE_COURSE;

/// Between courses; every fifth.
const COURSE_LINE: Pen = Pen::new(0.2);
const FIFTH_LINE: Pen = Pen::new(0.5);
/// Between shingles of a course.
const JOINT: Pen = Pen::new(0.25);
/// Height of the smallest figures.
const FIGURE: f64 = 1.5;
/// Rows of such figures stand no closer.
const FIGURE_ROW: f64 = 1.96;
/// Room for course numbers and start widths at the left, and for edge labels round the rest.
const LEFT_ROOM: f64 = 30.0;
const ROOM: f64 = 8.0;
/// A piece this near to a whole shingle is one, in inches.
const WHOLE: f64 = 0.02;

/// What is drawn, and how large.
pub(super) struct Drawing<'a> {
    courses: &'a Courses,
    layout: &'a FaceLayout,
    face: &'a CourseFace,
    pub(super) scale: DrawingScale,
    projection: Projection,
    area: Area,
    /// Where the drawing is a part of the face: its left and right end in feet along the eave.
    part: Option<(f64, f64)>,
}

impl<'a> Drawing<'a> {
    pub(super) fn new(
        report: &Report<'_>,
        courses: &'a Courses,
        layout: &'a FaceLayout,
        face: &'a CourseFace,
        area: Area,
    ) -> Self {
        let (low, high) = extent(layout, face);
        let room = Area {
            left: area.left + LEFT_ROOM,
            ..area.inset(ROOM)
        };
        let scale = DrawingScale::fitting(report.units(), high - low, room.width(), room.height());
        let drawn = (high - low) * scale.mm_per_foot();
        // From the left, so that the figures at the start stand under each other on all sheets.
        let place = Area {
            right: room.left + drawn.x,
            ..room
        };
        Self {
            courses,
            layout,
            face,
            scale,
            projection: Projection::centred(scale, low, high, place),
            area,
            part: None,
        }
    }
    /// The face in parts side by side that can be read, where it is too long for that as a whole; `None` where its height
    /// already is too much.
    pub(super) fn parts(&self, report: &Report<'_>) -> Option<Vec<Self>> {
        let (low, high) = extent(self.layout, self.face);
        let room = Area {
            left: self.area.left + LEFT_ROOM,
            ..self.area.inset(ROOM)
        };
        let scale = *DrawingScale::standard(report.units())
            .iter()
            .rfind(|scale| self.exposure_mm(**scale) >= READABLE_COURSE)?;
        let k = scale.mm_per_foot();
        if (high.y - low.y) * k > room.height() {
            return None;
        }
        let ends = self
            .layout
            .runs
            .iter()
            .flat_map(|run| [run.butt_in.0, run.butt_in.1]);
        let ends: Vec<f64> = ends.map(|u| u / 12.0).collect();
        let borders = borders((low.x, high.x), room.width() / k, &ends);
        let parts = borders.windows(2).map(|part| {
            let place = Area {
                right: room.left + (part[1] - part[0]) * k,
                ..room
            };
            let (low, high) = (Point::new(part[0], low.y), Point::new(part[1], high.y));
            Self {
                scale,
                projection: Projection::centred(scale, low, high, place),
                part: Some((part[0], part[1])),
                ..*self
            }
        });
        Some(parts.collect())
    }
    fn exposure_mm(&self, scale: DrawingScale) -> f64 {
        self.courses.format.exposure_in / 12.0 * scale.mm_per_foot()
    }
    /// What of the paper a part of the face may be drawn on, between its match lines.
    fn window(&self) -> Option<Area> {
        let (from, to) = self.part?;
        let x = |feet: f64| self.projection.paper(Point::new(feet, 0.0)).x;
        Some(Area {
            left: if self.goes_on().0 {
                x(from)
            } else {
                self.area.left
            },
            right: if self.goes_on().1 {
                x(to)
            } else {
                self.area.right
            },
            ..self.area
        })
    }
    /// Whether the face goes on at the left and at the right of what is drawn.
    fn goes_on(&self) -> (bool, bool) {
        let (low, high) = extent(self.layout, self.face);
        self.part
            .map_or((false, false), |(from, to)| (from > low.x, to < high.x))
    }
    /// The height of a course on paper.
    pub(super) fn course_mm(&self) -> f64 {
        self.exposure_mm(self.scale)
    }
    /// Whether the courses are high enough for the numbers of parts.
    pub(super) fn numbered(&self) -> bool {
        self.course_mm() >= READABLE_COURSE
    }
    fn paper(&self, u_in: f64, v_in: f64) -> Point {
        self.projection.paper(Point::new(u_in / 12.0, v_in / 12.0))
    }
    /// The top of a run's exposed strip.
    fn top_in(&self, run: &RunLayout) -> f64 {
        let (_, highest) = self.face.v_range();
        (run.butt_height_in + self.courses.format.exposure_in).min(highest.max(run.butt_height_in))
    }
    /// The corners of a piece between two places along the eave, which may be the run's ends.
    fn piece(&self, run: &RunLayout, left: Option<f64>, right: Option<f64>) -> [Point; 4] {
        let (low, high) = (run.butt_height_in, self.top_in(run));
        let (l0, l1) = left.map_or((run.butt_in.0, run.top_in.0), |u| (u, u));
        let (r0, r1) = right.map_or((run.butt_in.1, run.top_in.1), |u| (u, u));
        [
            self.paper(l0, low),
            self.paper(r0, low),
            self.paper(r1.max(l1), high),
            self.paper(l1, high),
        ]
    }
}

fn extent(layout: &FaceLayout, face: &CourseFace) -> (Point, Point) {
    let corners = face.outer.points.iter().map(|p| (p.x, p.y));
    let ends = layout.runs.iter().flat_map(|r| {
        [
            (r.butt_in.0, r.butt_height_in),
            (r.butt_in.1, r.butt_height_in),
        ]
    });
    let start = (
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    );
    let (l, b, r, t) = corners.chain(ends).fold(start, |(l, b, r, t), (x, y)| {
        (l.min(x), b.min(y), r.max(x), t.max(y))
    });
    (
        Point::new(l / 12.0, b / 12.0),
        Point::new(r / 12.0, t / 12.0),
    )
}

/// Draws face and courses; returns how many numbers of parts found no place. Where the face goes on, `next` are the sheets
/// that show it to the left and to the right.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    drawing: &Drawing<'_>,
    next: (usize, usize),
) -> usize {
    let numbers = pair_numbers(drawing.layout);
    let mut field = Field::new(drawing.area);
    let mut face = Canvas::new(canvas.fonts);
    for run in &drawing.layout.runs {
        draw_run(&mut face, drawing, run);
    }
    outline(&mut face, report, drawing);
    let missing = if drawing.numbered() {
        draw_numbers(&mut face, drawing, &numbers, &mut field)
    } else {
        0
    };
    if let Some(window) = drawing.window() {
        face.clip(window);
    }
    canvas.items.append(&mut face.items);
    let (left, right) = drawing.goes_on();
    if left {
        match_line(
            canvas,
            drawing,
            drawing.part.map(|p| p.0),
            (-1.0, next.0),
            &mut field,
        );
    }
    if right {
        match_line(
            canvas,
            drawing,
            drawing.part.map(|p| p.1),
            (1.0, next.1),
            &mut field,
        );
    }
    starts(canvas, report, drawing);
    edge_labels(canvas, report, drawing, &mut field);
    missing
}

/// Borders of the fewest parts at most `room` long, even ones but for moving away from ends of runs, whose figures they
/// would cut.
fn borders((low, high): (f64, f64), room: f64, ends: &[f64]) -> Vec<f64> {
    const TRIES: i32 = 40;
    let count = ((high - low) / room).ceil().max(1.0);
    let even = (high - low) / count;
    // So far a border may move from its even place without making a part too long.
    let play = (room - even) / 2.0;
    let away = |at: f64| {
        let nearest = ends.iter().map(|end| (end - at).abs());
        nearest.fold(f64::INFINITY, f64::min)
    };
    // Three feet from any end is as good as more.
    let inner = (1..count as usize).map(|i| {
        let middle = low + even * i as f64;
        (0..=TRIES)
            .map(|k| f64::from((k + 1) / 2) * if k % 2 == 0 { 1.0 } else { -1.0 })
            .map(|k| middle + play * 2.0 * k / f64::from(TRIES))
            .reduce(|best, next| {
                if away(next).min(3.0) > away(best).min(3.0) {
                    next
                } else {
                    best
                }
            })
            .unwrap_or(middle)
    });
    std::iter::once(low).chain(inner).chain([high]).collect()
}

/// Where the face goes on on another sheet.
fn match_line(
    canvas: &mut Canvas<'_>,
    drawing: &Drawing<'_>,
    at_ft: Option<f64>,
    (way, sheet): (f64, usize),
    field: &mut Field,
) {
    let Some(at_ft) = at_ft else { return };
    let (low, high) = extent(drawing.layout, drawing.face);
    let end = |y: f64| drawing.projection.paper(Point::new(at_ft, y));
    let line = (end(low.y), end(high.y), Vector::new(way, 0.0));
    match_lines::draw_one(canvas, line, sheet, field);
}

fn is_whole(drawing: &Drawing<'_>, run: &RunLayout, at_left: bool) -> bool {
    let width = drawing.courses.format.width_in;
    let (first, last) = (run.joints_in.first(), run.joints_in.last());
    let (butt, top) = if at_left {
        let right = first.copied().unwrap_or(run.butt_in.1);
        (right - run.butt_in.0, run.top_in.0 - run.butt_in.0)
    } else {
        let left = last.copied().unwrap_or(run.butt_in.0);
        (run.butt_in.1 - left, run.top_in.1 - run.butt_in.1)
    };
    (butt - width).abs() < WHOLE && top.abs() < WHOLE
}

fn draw_run(canvas: &mut Canvas<'_>, drawing: &Drawing<'_>, run: &RunLayout) {
    canvas.on(Layer::Courses);
    let single = run.joints_in.is_empty();
    if !is_whole(drawing, run, true) {
        let piece = drawing.piece(run, None, run.joints_in.first().copied());
        hatch::convex(canvas, &piece, Vector::new(1.0, 1.0), hatch::LEAST_SPACING);
    }
    if !single && !is_whole(drawing, run, false) {
        let piece = drawing.piece(run, run.joints_in.last().copied(), None);
        hatch::convex(canvas, &piece, Vector::new(1.0, -1.0), hatch::LEAST_SPACING);
    }
    let pen = if run.course > 0 && run.course.is_multiple_of(5) {
        FIFTH_LINE
    } else {
        COURSE_LINE
    };
    let low = run.butt_height_in;
    canvas.line(
        drawing.paper(run.butt_in.0, low),
        drawing.paper(run.butt_in.1, low),
        pen,
    );
    for &joint in &run.joints_in {
        // A joint near a sloping end stops where the slope cuts it.
        let top = joint_top(drawing, run, joint);
        canvas.line(drawing.paper(joint, low), drawing.paper(joint, top), JOINT);
    }
}

/// How high a joint reaches before a sloping end of its run cuts it off.
fn joint_top(drawing: &Drawing<'_>, run: &RunLayout, joint: f64) -> f64 {
    let (low, high) = (run.butt_height_in, drawing.top_in(run));
    let share = |butt: f64, top: f64| {
        if (top - butt).abs() < 1e-9 {
            1.0
        } else {
            (joint - butt) / (top - butt)
        }
    };
    let mut t: f64 = 1.0;
    if joint < run.top_in.0 {
        t = t.min(share(run.butt_in.0, run.top_in.0));
    }
    if joint > run.top_in.1 {
        t = t.min(share(run.butt_in.1, run.top_in.1));
    }
    low + (high - low) * t.clamp(0.0, 1.0)
}

fn outline(canvas: &mut Canvas<'_>, report: &Report<'_>, drawing: &Drawing<'_>) {
    for face_ring in drawing.face.rings() {
        let n = face_ring.points.len();
        for i in 0..n {
            let (p, q) = (face_ring.points[i], face_ring.points[(i + 1) % n]);
            let (a, b) = (drawing.paper(p.x, p.y), drawing.paper(q.x, q.y));
            canvas.on(Layer::Edges);
            let Some(id) = face_ring.edges[i] else {
                canvas.line(a, b, Pen::new(0.5));
                continue;
            };
            let edge = report.roof().edge(id);
            canvas.line(a, b, line_types::pen(edge.class));
        }
    }
}

/// Class and length of the sides of the outer ring.
fn edge_labels(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    drawing: &Drawing<'_>,
    field: &mut Field,
) {
    let outer = &drawing.face.outer;
    let n = outer.points.len();
    for i in 0..n {
        let (p, q) = (outer.points[i], outer.points[(i + 1) % n]);
        let ends = (drawing.paper(p.x, p.y), drawing.paper(q.x, q.y));
        let seen = match drawing.window() {
            Some(window) => window.clip_segment(ends.0, ends.1),
            None => Some((0.0, 1.0)),
        };
        if let (Some(id), Some((from, to))) = (outer.edges[i], seen) {
            let class = report.roof().edge(id).class;
            let length = report.units().length(p.distance(q) / 12.0);
            let whole = if (from, to) == (0.0, 1.0) {
                ""
            } else {
                " in all"
            };
            let words = format!("{} {length}{whole}", class.words());
            let ends = (ends.0.lerp(ends.1, from), ends.0.lerp(ends.1, to));
            edge_label(canvas, ends, &words, field);
        }
    }
}

/// The class and true length along an edge, outside the face.
fn edge_label(canvas: &mut Canvas<'_>, (a, b): (Point, Point), words: &str, field: &mut Field) {
    let Some(along) = (b - a).unit() else { return };
    let out = -along.turn_left();
    let upright = along.x.abs() < 1e-3;
    // Left sides are where the starts stand: their length is in the schedule of sloping edges.
    if out.x < -0.3 {
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
    let style = TextStyle::new(1.8)
        .outline(0.09)
        .align(Align::Middle)
        .turned(angle);
    if canvas.width(style, words) > 0.95 * a.distance(b) {
        return;
    }
    let up = reading.turn_left();
    let below = if up.dot(out) > 0.0 { 0.0 } else { 1.8 };
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

/// Course numbers and the widths of the first pieces, at the left.
fn starts(canvas: &mut Canvas<'_>, report: &Report<'_>, drawing: &Drawing<'_>) {
    canvas.on(Layer::Tables);
    let step = (READABLE_COURSE / drawing.course_mm()).ceil().max(1.0) as usize;
    let step = if step == 1 { 1 } else { 5 * step.div_ceil(5) };
    let left = drawing
        .face
        .outer
        .points
        .iter()
        .map(|p| drawing.paper(p.x, p.y).x)
        .fold(f64::INFINITY, f64::min);
    let left = drawing
        .layout
        .runs
        .iter()
        .map(|r| drawing.paper(r.butt_in.0, 0.0).x)
        .fold(left, f64::min);
    // Where the face goes on at the left, only the numbers of the courses stand there, beyond the words of the match line.
    let goes_on = drawing.goes_on().0;
    let left = match drawing.window().filter(|_| goes_on) {
        Some(window) => window.left,
        None => left,
    };
    let (number_x, start_x) = (left - if goes_on { 6.5 } else { 18.0 }, left - 2.5);
    let figure = TextStyle::new(FIGURE).align(Align::Right);
    let (mut last, mut highest) = (None, f64::NEG_INFINITY);
    for run in &drawing.layout.runs {
        // The leftmost run of its course.
        if last == Some(run.course) {
            continue;
        }
        last = Some(run.course);
        let number = run.course + 1;
        if step > 1 && !number.is_multiple_of(step) && number != 1 {
            continue;
        }
        let height =
            drawing.paper(0.0, drawing.top_in(run)).y - drawing.paper(0.0, run.butt_height_in).y;
        // The strip of a last course may be lower than its figures, which then stand above those of the course below.
        let y = drawing.paper(0.0, run.butt_height_in).y + (height - FIGURE) / 2.0;
        let y = y.max(highest + FIGURE_ROW);
        highest = y;
        let style = if number.is_multiple_of(5) {
            figure.bold()
        } else {
            figure
        };
        canvas.text(Point::new(number_x, y), style, &number.to_string());
        if goes_on {
            continue;
        }
        let first = run.joints_in.first().copied().unwrap_or(run.butt_in.1) - run.butt_in.0;
        let width = report
            .units()
            .small(crate::units::Length::<crate::units::True>::inches(first));
        canvas.text(Point::new(start_x, y), style, &width);
    }
    let top = drawing.paper(0.0, drawing.face.v_range().1).y + 2.2;
    let top = top.max(highest + FIGURE_ROW);
    canvas.text(Point::new(number_x, top), figure, "course");
    if !goes_on {
        canvas.text(Point::new(start_x, top), figure, "start");
    }
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

fn draw_numbers(
    canvas: &mut Canvas<'_>,
    drawing: &Drawing<'_>,
    numbers: &[(Option<usize>, Option<usize>)],
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
    for (run, &(left, right)) in drawing.layout.runs.iter().zip(numbers) {
        if let Some(number) = left {
            let piece = drawing.piece(run, None, run.joints_in.first().copied());
            missing += usize::from(!part_number(canvas, field, &piece, number, false));
        }
        if let Some(number) = right {
            let piece = drawing.piece(run, run.joints_in.last().copied(), None);
            missing += usize::from(!part_number(canvas, field, &piece, number, true));
        }
    }
    missing
}

/// In the piece where it fits; else beside it, beyond its outer end first. Returns whether it found a place.
fn part_number(
    canvas: &mut Canvas<'_>,
    field: &mut Field,
    piece: &[Point; 4],
    number: usize,
    closes: bool,
) -> bool {
    const BESIDE: f64 = 0.7;
    let style = TextStyle::new(FIGURE).align(Align::Middle).halo(0.7);
    let words = number.to_string();
    let width = canvas.width(style, &words);
    let middle = ring::centroid(piece);
    let right = piece[1].x.max(piece[2].x) + BESIDE + width / 2.0;
    let left = piece[0].x.min(piece[3].x) - BESIDE - width / 2.0;
    // A piece at the left end has the starts beside it: its number goes into the field.
    let outside = if closes {
        [right, left]
    } else {
        [right, middle.x]
    };
    let inside = piece[0].distance(piece[1]) >= width + 0.4;
    let places = inside.then_some(middle.x).into_iter().chain(outside);
    for x in places {
        let at = Point::new(x, middle.y - FIGURE / 2.0);
        let text = Text::new(canvas.fonts, at, style, &words);
        if field.is_free(&Slanted::of(&text)) {
            field.add_box(Slanted::of(&text));
            canvas.put_text(text);
            return true;
        }
    }
    false
}
