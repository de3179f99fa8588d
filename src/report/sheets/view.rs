//! The view: the roof in parallel projection, hatched with its courses, with heights.

use super::frame::Frame;
use super::{Draft, text_height, view_levels};
use crate::geometry::{Point, Point3, Vector};
use crate::report::Report;
use crate::report::canvas::{
    Align, Area, Canvas, DESCENT, Fonts, Ink, Layer, Pen, Text, TextStyle,
};
use crate::report::pdf::Paper;
use crate::report::plan::place::{Field, Slanted};
use crate::report::view::{self, Eye, Kind, Polygon};
use crate::roof::{EdgeClass, Face, Roof};

/// Room for heights at the right.
const HEIGHTS: f64 = 38.0;
/// Room under the view for the key.
const FOOT: f64 = 30.0;
/// Hatch lines are no closer than this, in mm.
const LEAST_SPACING: f64 = 0.9;
/// Exposure for hatching where no courses were laid, in feet.
const PLAIN_STEP_FT: f64 = 0.5;

/// The picture on paper: feet of the picture times `scale`, moved.
pub(super) struct Picture {
    eye: Eye,
    scale: f64,
    origin: Vector,
}

impl Picture {
    fn new(eye: Eye, polygons: &[Polygon], area: Area) -> Option<Self> {
        let mut points = polygons.iter().flat_map(|p| &p.seen[0]);
        let first = *points.next()?;
        let (low, high) = points.fold((first, first), |(l, h), p| {
            (
                Point::new(l.x.min(p.x), l.y.min(p.y)),
                Point::new(h.x.max(p.x), h.y.max(p.y)),
            )
        });
        let size = high - low;
        let scale = (area.width() / size.x).min(area.height() / size.y);
        let middle = low.midpoint(high);
        let center = area.center();
        Some(Self {
            eye,
            scale,
            origin: Vector::new(center.x - middle.x * scale, center.y - middle.y * scale),
        })
    }
    fn paper(&self, seen: Point) -> Point {
        Point::new(
            seen.x * self.scale + self.origin.x,
            seen.y * self.scale + self.origin.y,
        )
    }
    pub(super) fn of(&self, p: Point3) -> Point {
        self.paper(self.eye.screen(p))
    }
    fn seen(&self, paper: Point) -> Point {
        Point::new(
            (paper.x - self.origin.x) / self.scale,
            (paper.y - self.origin.y) / self.scale,
        )
    }
}

/// Draws the view.
pub(super) fn draw<'f>(report: &Report<'_>, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
    let roof = report.roof();
    let size = paper.landscape();
    let content = Frame::of(size).content;
    let eye = Eye::on(roof);
    let polygons = view::polygons(roof, eye);
    let area = Area {
        right: content.right - HEIGHTS * text_height(size) / 1.8,
        bottom: content.bottom + FOOT,
        ..content
    }
    .inset(4.0);
    let Some(picture) = Picture::new(eye, &polygons, area) else {
        return Vec::new();
    };
    let order = view::painted(&polygons);
    let mut canvas = Canvas::new(fonts);
    let mut field = Field::new(content);
    for &i in &order {
        paint(&mut canvas, report, &polygons[i], &picture);
        for (a, b) in polygons[i]
            .seen
            .iter()
            .flat_map(|r| crate::geometry::ring::sides(r))
        {
            field.add_line(picture.paper(a), picture.paper(b), 0.7);
        }
    }
    let grow = text_height(size) / 1.8;
    let datum = view_levels::draw(&mut canvas, report, &picture, (content, grow), &mut field);
    names(&mut canvas, roof, &polygons, (&picture, grow), &mut field);
    foot(&mut canvas, report, &picture, (content, grow), datum);
    vec![Draft {
        title: "View".to_owned(),
        group: None,
        size,
        scale: "do not scale".to_owned(),
        canvas,
    }]
}

fn paint(canvas: &mut Canvas<'_>, report: &Report<'_>, polygon: &Polygon, picture: &Picture) {
    let rings: Vec<Vec<Point>> = polygon
        .seen
        .iter()
        .map(|r| r.iter().map(|&p| picture.paper(p)).collect())
        .collect();
    canvas.on(Layer::Edges);
    canvas.fill(vec![rings[0].clone()], Ink::White);
    if let Kind::Face(id) = polygon.kind {
        canvas.on(Layer::Courses);
        hatch(canvas, report, report.roof().face(id), polygon, picture);
        canvas.on(Layer::Edges);
    }
    for (ring, edges) in rings.iter().zip(&polygon.edges) {
        for i in 0..ring.len() {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            match edges.get(i).copied().flatten() {
                Some(id) => {
                    let edge = report.roof().edge(id);
                    // Drawn the same way round by both faces, so that dashes fall on dashes.
                    let ends = (picture.of(edge.start), picture.of(edge.end));
                    canvas.line(ends.0, ends.1, pen(edge.class));
                }
                None if polygon.shows(i) => canvas.line(a, b, Pen::new(0.35).round()),
                None => {}
            }
        }
    }
}

const fn pen(class: EdgeClass) -> Pen {
    match class {
        EdgeClass::Valley => Pen::dashed(0.5, &[2.6, 1.0]),
        EdgeClass::Hip | EdgeClass::PitchChange => Pen::new(0.35).round(),
        EdgeClass::Ridge => Pen::new(0.5).round(),
        EdgeClass::InPlane => Pen::dashed(0.25, &[2.0, 2.0]),
        EdgeClass::Headwall | EdgeClass::Sidewall => Pen::new(0.35).round(),
        EdgeClass::Eave | EdgeClass::HighEdge | EdgeClass::Rake | EdgeClass::FlatEdge => {
            Pen::new(0.7).round()
        }
    }
}

/// How many courses from line to line, by the way that a face falls on the picture: fewest lines where it falls to
/// the eye, most where it falls to the left.
fn courses_a_line(face: &Face, picture: &Picture) -> usize {
    let Some(fall) = face.fall() else { return 1 };
    let origin = picture.eye.screen(Point3::default());
    let toward = picture.eye.screen(fall_point(fall)) - origin;
    // Half the steepest fall towards the eye, seen from so far above.
    const TOWARDS_EYE: f64 = -0.4;
    if toward.y < TOWARDS_EYE {
        4
    } else if toward.x > 0.0 {
        2
    } else {
        1
    }
}

fn fall_point(fall: Vector) -> Point3 {
    Point3::new(fall.x, fall.y, 0.0)
}

/// Level lines of the face, so many courses apart.
fn hatch(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    face: &Face,
    polygon: &Polygon,
    picture: &Picture,
) {
    if face.is_flat() {
        return;
    }
    let exposure_ft = report
        .inputs()
        .courses
        .map_or(PLAIN_STEP_FT, |c| c.format.exposure_in / 12.0);
    let m = face.plane.gradient.length();
    let rise = exposure_ft * m / 1.0_f64.hypot(m);
    let uphill = face.plane.gradient.unit().unwrap_or_default();
    // One course up the slope, on paper, square to the level lines.
    let step = picture
        .eye
        .screen(Point3::new(uphill.x * rise / m, uphill.y * rise / m, rise))
        - picture.eye.screen(Point3::default());
    let level = uphill.turn_left();
    let run = picture.eye.screen(Point3::new(level.x, level.y, 0.0))
        - picture.eye.screen(Point3::default());
    let Some(run) = run.unit() else { return };
    let spacing = step.cross(run).abs() * picture.scale;
    if spacing <= 0.0 {
        return;
    }
    let mut courses = courses_a_line(face, picture);
    while courses as f64 * spacing < LEAST_SPACING {
        courses += 1;
    }
    level_lines(canvas, polygon, picture, rise * courses as f64);
}

fn level_lines(canvas: &mut Canvas<'_>, polygon: &Polygon, picture: &Picture, rise: f64) {
    let heights = polygon.rings[0].iter().map(|p| p.z);
    let low = heights.clone().fold(f64::INFINITY, f64::min);
    let high = heights.fold(f64::NEG_INFINITY, f64::max);
    let mut z = low + rise;
    while z < high - 1e-6 {
        let mut hits: Vec<Point> = Vec::new();
        for ring in &polygon.rings {
            for i in 0..ring.len() {
                let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
                if (a.z > z) != (b.z > z) {
                    let t = (z - a.z) / (b.z - a.z);
                    hits.push(picture.of(a).lerp(picture.of(b), t));
                }
            }
        }
        hits.sort_by(|p, q| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)));
        for pair in hits.chunks_exact(2) {
            canvas.line(pair[0], pair[1], Pen::new(0.18));
        }
        z += rise;
    }
}

/// Names on the faces that show enough of themselves.
fn names(
    canvas: &mut Canvas<'_>,
    roof: &Roof,
    polygons: &[Polygon],
    (picture, grow): (&Picture, f64),
    field: &mut Field,
) {
    canvas.on(Layer::FaceNames);
    for (i, face) in roof.faces.iter().enumerate() {
        let home = picture.of(face.label_at.at_height(face.plane.height_at(face.label_at)));
        for height in [3.5, 2.5, 1.8].map(|height| height * grow) {
            let style = TextStyle::new(height).bold().align(Align::Middle).halo(1.6);
            let width = canvas.width(style, &face.name);
            // What descends below large letters reaches farther than the room round small ones.
            let below = (DESCENT * height).max(0.8);
            let place = spiral(home).find(|&c| {
                let b = Area::new(
                    c.x - width / 2.0 - 0.8,
                    c.y - height / 2.0 - below,
                    c.x + width / 2.0 + 0.8,
                    c.y + height / 2.0 + 0.8,
                );
                field.is_clear(&Slanted::upright(b))
                    && b.corners()
                        .into_iter()
                        .chain([c])
                        .all(|p| top_face(polygons, picture.seen(p)) == Some(i))
            });
            if let Some(c) = place {
                let at = c - Vector::new(0.0, height / 2.0);
                let text = Text::new(canvas.fonts, at, style, &face.name);
                field.add_box(Slanted::of(&text));
                canvas.put_text(text);
                break;
            }
        }
    }
}

/// A place, and places round it.
fn spiral(home: Point) -> impl Iterator<Item = Point> {
    std::iter::once(home).chain((1..8_u32).flat_map(move |ring| {
        (0..16_u32).map(move |i| {
            let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / 16.0).sin_cos();
            home + Vector::new(cos, sin) * (2.0 * f64::from(ring))
        })
    }))
}

/// The face seen at a place of the picture.
fn top_face(polygons: &[Polygon], p: Point) -> Option<usize> {
    let nearest = polygons
        .iter()
        .filter(|polygon| polygon.covers(p))
        .max_by(|a, b| a.nearness_at(p).total_cmp(&b.nearness_at(p)))?;
    match nearest.kind {
        Kind::Face(id) => Some(id.0),
        _ => None,
    }
}

fn foot(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    picture: &Picture,
    (content, grow): (Area, f64),
    has_datum: bool,
) {
    canvas.on(Layer::Key);
    let style = TextStyle::new(1.8 * grow);
    let hatching = if report.inputs().courses.is_some() {
        "Hatching follows the courses, denser away from the light."
    } else {
        "Hatching is level, denser away from the light."
    };
    let heights = view_levels::datum_words(report.roof(), has_datum);
    let mut lines = vec![hatching, &heights];
    if report.roof().faces.iter().any(|face| face.level > 0) {
        lines.push(
            "How high an upper level stands is in no line of the plan: it is drawn set down on the roof beneath.",
        );
    }
    lines.push(
        "Walls, and how far chimneys and other openings stand up, are for reading only: nobody measured them.",
    );
    for (i, line) in lines.iter().rev().enumerate() {
        let y = content.bottom + style.pitch() * i as f64;
        canvas.text(Point::new(content.left, y), style, line);
    }
    let north = Vector::from_bearing_deg(-report.inputs().project.up_bearing_deg);
    let zero = picture.eye.screen(Point3::default());
    let toward = (picture.eye.screen(Point3::new(north.x, north.y, 0.0)) - zero).unit();
    if let Some(toward) = toward {
        let tail = Point::new(content.right - 16.0, content.bottom + 2.0);
        let tip = tail + toward * 14.0;
        let side = toward.turn_left() * 0.8;
        let neck = tip - toward * 2.6;
        canvas.line(tail, neck, Pen::new(0.25));
        canvas.fill(vec![vec![tip, neck + side, neck - side]], Ink::Black);
        let letter = tip + toward * 2.8 - Vector::new(0.0, 1.25);
        canvas.text(letter, TextStyle::new(2.5).bold().align(Align::Middle), "N");
    }
}
