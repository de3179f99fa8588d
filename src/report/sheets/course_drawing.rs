//! A face unfolded, with its courses.

use crate::courses::{CourseFace, Courses, FaceLayout, RunLayout, StartCorner};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, Layer, Pen};
use crate::report::plan::place::Field;
use crate::report::plan::{DrawingScale, Projection, line_types, match_lines};
use crate::report::{Report, hatch};

use super::course_labels::{draw_numbers, edge_labels, starts};
use super::course_layout::READABLE_COURSE;

/// Between courses; every fifth.
const COURSE_LINE: Pen = Pen::new(0.25);
const FIFTH_LINE: Pen = Pen::new(0.5);
/// Between shingles of a course.
const JOINT: Pen = Pen::new(0.35);
/// Room for course numbers and start widths beside the start, and for edge labels round the rest.
const START_ROOM: f64 = 30.0;
const ROOM: f64 = 8.0;
/// Courses lower than this on paper run into each other, in mm.
const LEAST_COURSE: f64 = 1.5;
/// A piece this near to a whole shingle is one, in inches.
const WHOLE: f64 = 0.02;

/// What is drawn, and how large.
pub(super) struct Drawing<'a> {
    courses: &'a Courses,
    pub(super) layout: &'a FaceLayout,
    pub(super) face: &'a CourseFace,
    pub(super) scale: DrawingScale,
    projection: Projection,
    pub(super) area: Area,
    /// Text over its usual height, on larger sheets.
    pub(super) grow: f64,
    /// Where the drawing is a part of the face: its left and right end in feet along the eave.
    part: Option<(f64, f64)>,
}

impl<'a> Drawing<'a> {
    pub(super) fn new(
        report: &Report<'_>,
        courses: &'a Courses,
        layout: &'a FaceLayout,
        face: &'a CourseFace,
        (area, grow): (Area, f64),
    ) -> Self {
        let (low, high) = extent(layout, face);
        let room = room(area, layout.start, grow);
        let scale = DrawingScale::fitting(report.units(), high - low, room.width(), room.height());
        let drawn = (high - low) * scale.mm_per_foot();
        // Towards the left, so that the figures at the start stand under each other on all sheets.
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
            grow,
            part: None,
        }
    }
    /// The face in parts side by side that can be read, where it is too long for that as a whole; `None` where its height
    /// already is too much.
    pub(super) fn parts(&self, report: &Report<'_>) -> Option<Vec<Self>> {
        let (low, high) = extent(self.layout, self.face);
        let room = room(self.area, self.layout.start, self.grow);
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
    pub(super) fn window(&self) -> Option<Area> {
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
    pub(super) fn goes_on(&self) -> (bool, bool) {
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
    pub(super) fn paper(&self, u_in: f64, v_in: f64) -> Point {
        self.projection.paper(Point::new(u_in / 12.0, v_in / 12.0))
    }
    /// The top of a run's exposed strip.
    pub(super) fn top_in(&self, run: &RunLayout) -> f64 {
        let (_, highest) = self.face.v_range();
        (run.butt_height_in + self.courses.format.exposure_in).min(highest.max(run.butt_height_in))
    }
    /// The corners of a piece between two places along the eave, which may be the run's ends.
    pub(super) fn piece(
        &self,
        run: &RunLayout,
        left: Option<f64>,
        right: Option<f64>,
    ) -> [Point; 4] {
        let (mut low, high) = (run.butt_height_in, self.top_in(run));
        let (mut l0, l1) = left.map_or((run.butt_in.0, run.top_in.0), |u| (u, u));
        let (mut r0, r1) = right.map_or((run.butt_in.1, run.top_in.1), |u| (u, u));
        // Ends that cross below, as where a side is carried on below its foot, bound nothing there.
        if r0 < l0 {
            let t = match r1 > l1 {
                true => (l0 - r0) / (l0 - r0 + r1 - l1),
                false => 1.0,
            };
            low += (high - low) * t;
            l0 += (l1 - l0) * t;
            r0 = l0;
        }
        [
            self.paper(l0, low),
            self.paper(r0, low),
            self.paper(r1.max(l1), high),
            self.paper(l1, high),
        ]
    }
    /// Whether every course and joint can be told apart; every fifth course is drawn alone where not.
    pub(super) fn is_drawn_in_full(&self) -> bool {
        self.course_mm() >= LEAST_COURSE
    }
}

/// What of an area the face may fill.
fn room(area: Area, start: StartCorner, grow: f64) -> Area {
    let beside = START_ROOM * grow;
    let inner = area.inset(ROOM);
    match start {
        StartCorner::Left => Area {
            left: area.left + beside,
            ..inner
        },
        StartCorner::Right => Area {
            right: area.right - beside,
            ..inner
        },
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
    let mut field = Field::new(drawing.area);
    let mut face = Canvas::new(canvas.fonts);
    for run in &drawing.layout.runs {
        draw_run(&mut face, drawing, run);
    }
    outline(&mut face, report, drawing);
    let missing = if drawing.numbered() {
        draw_numbers(&mut face, drawing, &mut field)
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
    let full = drawing.is_drawn_in_full();
    if !full && !run.course.is_multiple_of(5) {
        return;
    }
    let single = run.joints_in.is_empty();
    if full && !is_whole(drawing, run, true) {
        let piece = drawing.piece(run, None, run.joints_in.first().copied());
        hatch_cut(canvas, drawing, &piece, Vector::new(1.0, 1.0));
    }
    if full && !single && !is_whole(drawing, run, false) {
        let piece = drawing.piece(run, run.joints_in.last().copied(), None);
        hatch_cut(canvas, drawing, &piece, Vector::new(1.0, -1.0));
    }
    let pen = if run.course > 0 && run.course.is_multiple_of(5) {
        FIFTH_LINE
    } else {
        COURSE_LINE
    };
    let low = run.butt_height_in;
    if run.butt_in.1 > run.butt_in.0 {
        canvas.line(
            drawing.paper(run.butt_in.0, low),
            drawing.paper(run.butt_in.1, low),
            pen,
        );
    }
    for &joint in run.joints_in.iter().filter(|_| full) {
        // A joint near a sloping end stops where the slope cuts it.
        let top = joint_top(drawing, run, joint);
        canvas.line(drawing.paper(joint, low), drawing.paper(joint, top), JOINT);
    }
}

/// Hatches a cut piece.
fn hatch_cut(canvas: &mut Canvas<'_>, drawing: &Drawing<'_>, piece: &[Point], way: Vector) {
    hatch::convex(canvas, piece, drawing.area, way, hatch::LEAST_SPACING);
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
