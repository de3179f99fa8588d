//! The plan as inline SVG: line types, names, pitches, falls, true lengths, openings, marks of findings.

use std::fmt::Write as _;

use super::Page;
use super::escape::escape;
use super::finding_marks;
use super::label::{Board, Box2};
use super::lines::Line;
use crate::geometry::{Point, Vector, ring};
use crate::report::view3d;
use crate::report::{OutputUnits, number};
use crate::roof::{EdgeClass, Face};

/// Width of the drawing area, in pixels of the SVG.
const WIDTH: f64 = 760.0;
/// Room round the roof for words outside its edges.
const MARGIN: f64 = 46.0;
/// No roof is drawn larger than this, in pixels a foot.
const LARGEST_SCALE: f64 = 28.0;
/// Room below for the scale bar.
const FOOT: f64 = 40.0;

/// Plan feet to pixels.
struct Sheet {
    low: Point,
    high: Point,
    scale: f64,
}

impl Sheet {
    fn place(&self, p: Point) -> Point {
        Point::new(
            MARGIN + (p.x - self.low.x) * self.scale,
            MARGIN + (self.high.y - p.y) * self.scale,
        )
    }
    fn direction(v: Vector) -> Vector {
        Vector::new(v.x, -v.y)
    }
    /// Whether a place of the sheet lies on the plan: not in the foot under it.
    fn holds(&self, p: Point) -> bool {
        let (width, height) = self.size();
        (0.0..=width).contains(&p.x) && (0.0..=height - FOOT).contains(&p.y)
    }
    fn size(&self) -> (f64, f64) {
        let span = self.high - self.low;
        (
            span.x * self.scale + 2.0 * MARGIN,
            span.y * self.scale + 2.0 * MARGIN + FOOT,
        )
    }
}

/// The plan; `None` for a roof without a face.
pub(super) fn svg(page: &Page) -> Option<String> {
    let (low, high) = view3d::bounds(page.report.roof())?;
    let (low, high) = (low.plan(), high.plan());
    let span = (high - low).x.max(((high - low).y) * 0.8).max(1e-6);
    let sheet = Sheet {
        low,
        high,
        scale: ((WIDTH - 2.0 * MARGIN) / span).min(LARGEST_SCALE),
    };
    let (width, height) = sheet.size();
    let mut board = Board::new(width, height - FOOT);
    for line in &page.lines {
        board.line(sheet.place(line.a.plan()), sheet.place(line.b.plan()));
    }
    let mut out = String::new();
    let _ = write!(
        out,
        "<svg id=\"plan\" viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"plan-title plan-about\">\n\
         <title id=\"plan-title\">Roof plan</title>\n<desc id=\"plan-about\">{}</desc>\n",
        px(width),
        px(height),
        escape(&about(page)),
    );
    out.push_str("<g class=\"plan-faces\">\n");
    for (i, face) in page.report.roof().faces.iter().enumerate() {
        face_shape(&mut out, &sheet, i, face);
    }
    out.push_str("</g>\n");
    openings(&mut out, page, &sheet, &mut board);
    edge_lines(&mut out, page, &sheet);
    for face in &page.report.roof().faces {
        face_label(&mut out, &sheet, face, &mut board);
    }
    let shown = |p: Point| Some(sheet.place(p)).filter(|&p| sheet.holds(p));
    finding_marks::draw(&mut out, page, shown, &mut board);
    edge_labels(&mut out, page, &sheet, &mut board);
    north(&mut out, page, width);
    scale_bar(&mut out, page, &sheet, height);
    out.push_str("</svg>\n");
    Some(out)
}

fn about(page: &Page) -> String {
    let names: Vec<&str> = page
        .report
        .roof()
        .faces
        .iter()
        .map(|f| f.name.as_str())
        .collect();
    // To the degree: what is as good as up is called so.
    let up = page.report.compass_deg(0.0).round().rem_euclid(360.0);
    let turned = if up == 0.0 {
        "north up".to_owned()
    } else {
        format!("{up:.0}° of the compass up")
    };
    format!(
        "Seen from above, {turned}. Faces {}. Their pitches, falls and areas and the lengths of their edges are in the schedules.",
        names.join(", ")
    )
}

/// A pixel figure: one decimal, no trailing zero.
fn px(v: f64) -> String {
    let rounded = (v * 10.0).round() / 10.0 + 0.0;
    format!("{rounded}")
}

pub(super) fn at(p: Point) -> String {
    format!("{} {}", px(p.x), px(p.y))
}

fn face_shape(out: &mut String, sheet: &Sheet, index: usize, face: &Face) {
    let mut d = String::new();
    for ring in std::iter::once(&face.outline).chain(&face.holes) {
        for (k, corner) in ring.corners.iter().enumerate() {
            let command = if k == 0 { 'M' } else { 'L' };
            let _ = write!(d, "{command}{}", at(sheet.place(corner.plan())));
        }
        d.push('Z');
    }
    let _ = writeln!(
        out,
        "<path class=\"face\" data-face=\"{index}\" fill-rule=\"evenodd\" d=\"{d}\"/>"
    );
}

fn edge_lines(out: &mut String, page: &Page, sheet: &Sheet) {
    out.push_str("<g class=\"plan-edges\">\n");
    for (i, line) in page.lines.iter().enumerate() {
        let (a, b) = (line.a, line.b);
        let (a, b) = (sheet.place(a.plan()), sheet.place(b.plan()));
        let Some(along) = (b - a).unit() else {
            continue;
        };
        // The face is to the left as seen from above; on the screen y points down, so its left is this:
        let inside = Vector::new(along.y, -along.x);
        let extra = ornament(line.chain.class, a, b, along, inside);
        let d = format!("M{}L{}", at(a), at(b));
        let _ = writeln!(
            out,
            "<g data-edge=\"{i}\"><path class=\"line {}\" d=\"{d}\"/>{extra}</g>",
            line.chain.class.key()
        );
    }
    out.push_str("</g>\n");
}

/// What a line type has beside its line.
fn ornament(class: EdgeClass, a: Point, b: Point, along: Vector, inside: Vector) -> String {
    let length = a.distance(b);
    let mut d = String::new();
    let mut every = |step: f64, mark: &mut dyn FnMut(&mut String, Point)| {
        let mut s = step / 2.0;
        while s < length {
            mark(&mut d, a + along * s);
            s += step;
        }
    };
    match class {
        EdgeClass::Rake => {
            let shift = inside * 3.2;
            return format!(
                "<path class=\"rake-inner\" d=\"M{}L{}\"/>",
                at(a + shift),
                at(b + shift)
            );
        }
        EdgeClass::Headwall => every(5.0, &mut |d, p| {
            let _ = write!(d, "M{}L{}", at(p), at(p + inside * -4.5));
        }),
        EdgeClass::Sidewall => every(5.0, &mut |d, p| {
            let _ = write!(d, "M{}L{}", at(p), at(p + inside * -4.5 + along * 3.0));
        }),
        EdgeClass::HighEdge => every(28.0, &mut |d, p| {
            let _ = write!(
                d,
                "M{}L{}L{}Z",
                at(p + along * -3.5),
                at(p + inside * -6.0),
                at(p + along * 3.5)
            );
        }),
        _ => return String::new(),
    }
    format!("<path class=\"tick\" d=\"{d}\"/>")
}

fn openings(out: &mut String, page: &Page, sheet: &Sheet, board: &mut Board) {
    out.push_str("<g class=\"plan-openings\">\n");
    for opening in &page.report.roof().openings {
        let corners: Vec<Point> = opening.outline.iter().map(|&p| sheet.place(p)).collect();
        let mut d = String::new();
        for (k, &corner) in corners.iter().enumerate() {
            let _ = write!(d, "{}{}", if k == 0 { 'M' } else { 'L' }, at(corner));
        }
        let _ = write!(out, "<path class=\"line opening\" d=\"{d}Z\"/>");
        if let [p, q, r, s] = corners[..] {
            let _ = write!(
                out,
                "<path class=\"thin\" d=\"M{}L{}M{}L{}\"/>",
                at(p),
                at(r),
                at(q),
                at(s)
            );
        }
        let size = board.claim_ring(&corners);
        let words = Box2::text(&opening.kind, 12.0, ring::centroid(&corners), 0.0);
        if size.x > words.width() + 4.0 && size.y > 16.0 {
            text(out, "small", &opening.kind, words.middle(), 0.0, 12.0);
        }
        out.push('\n');
    }
    for pipe in &page.report.roof().penetrations {
        let middle = sheet.place(pipe.at);
        let _ = writeln!(
            out,
            "<path class=\"line opening\" d=\"M{} a4 4 0 1 0 8 0 a4 4 0 1 0 -8 0Z\"/>",
            at(middle + Vector::new(-4.0, 0.0))
        );
        board.claim(Box2::around(middle, 10.0, 10.0));
    }
    out.push_str("</g>\n");
}

fn text(out: &mut String, class: &str, words: &str, middle: Point, deg: f64, size: f64) {
    let turn = if deg == 0.0 {
        String::new()
    } else {
        format!(" rotate({})", px(deg))
    };
    // Text is centred by its anchor; a third of its size below the middle puts the figures in the middle.
    let _ = writeln!(
        out,
        "<text class=\"{class}\" transform=\"translate({}){turn}\" y=\"{}\">{}</text>",
        at(middle),
        px(size * 0.34),
        escape(words)
    );
}

/// Name, pitch triangle and fall arrow, as many of them as the face has room for.
fn face_label(out: &mut String, sheet: &Sheet, face: &Face, board: &mut Board) {
    let middle = sheet.place(face.label_at);
    let room = clearance(face) * sheet.scale;
    let big = room > 30.0;
    let size = if big { 21.0 } else { 13.0 };
    let name = Box2::text(&face.name, size, Point::default(), 0.0);
    let fall = face.fall().map(Sheet::direction);
    let triangle = big && fall.is_some();
    let group_width = name.width() + if triangle { 46.0 } else { 0.0 };
    let start = middle.x - group_width / 2.0;
    let name_at = Point::new(start + name.width() / 2.0, middle.y);
    let _ = write!(out, "<g class=\"plan-name\">");
    text(
        out,
        if big { "name" } else { "name small" },
        &face.name,
        name_at,
        0.0,
        size,
    );
    board.claim(Box2::around(middle, group_width + 6.0, size + 8.0));
    if triangle {
        pitch_triangle(out, face, Point::new(start + name.width() + 8.0, middle.y));
    }
    if let Some(fall) = fall.filter(|_| room > 20.0) {
        let long = if big { 34.0 } else { 16.0 };
        let upright = fall.y.abs() > 0.7;
        let centre = if upright {
            middle + Vector::new(-group_width / 2.0 - 12.0, 0.0)
        } else {
            middle + Vector::new(0.0, size / 2.0 + 16.0)
        };
        arrow(out, centre, fall, long);
        board.claim(Box2::around(
            centre,
            (fall.x * long).abs() + 10.0,
            (fall.y * long).abs() + 10.0,
        ));
    }
    out.push_str("</g>\n");
}

/// The distance from a face's label place to its nearest side, in feet.
fn clearance(face: &Face) -> f64 {
    std::iter::once(&face.outline)
        .chain(&face.holes)
        .flat_map(|ring| {
            let plan = ring.plan();
            ring::sides(&plan).collect::<Vec<_>>()
        })
        .map(|(a, b)| face.label_at.distance_to_segment(a, b))
        .fold(f64::INFINITY, f64::min)
}

/// A right triangle of base 12 and the face's rise, to scale up to 24 in 12.
fn pitch_triangle(out: &mut String, face: &Face, corner: Point) {
    const BASE: f64 = 24.0;
    let up = (face.pitch.to_rise_per_run() * BASE).clamp(3.0, 2.0 * BASE);
    let foot = corner + Vector::new(0.0, 5.0);
    let _ = write!(
        out,
        "<path class=\"thin\" d=\"M{}h{}v{}Z\"/>",
        at(foot),
        px(BASE),
        px(-up)
    );
    let right = foot + Vector::new(BASE + 2.0, -up / 2.0 + 4.0);
    let below = foot + Vector::new(BASE / 2.0, 12.0);
    let _ = write!(
        out,
        "<text class=\"figure start\" x=\"{}\" y=\"{}\">{}</text><text class=\"figure\" x=\"{}\" y=\"{}\">12</text>",
        px(right.x),
        px(right.y),
        number::rise_in_12(face.pitch.to_in_12()),
        px(below.x),
        px(below.y)
    );
}

fn arrow(out: &mut String, centre: Point, way: Vector, long: f64) {
    let (tail, tip) = (centre + way * (-long / 2.0), centre + way * (long / 2.0));
    let side = way.turn_left() * 3.2;
    let neck = tip + way * -9.0;
    let _ = write!(
        out,
        "<path class=\"thin\" d=\"M{}L{}\"/><path class=\"solid\" d=\"M{}L{}L{}Z\"/>",
        at(tail),
        at(neck),
        at(tip),
        at(neck + side),
        at(neck + side * -1.0)
    );
}

/// The written word and true length along each edge that has room for it; the schedule has them all.
fn edge_labels(out: &mut String, page: &Page, sheet: &Sheet, board: &mut Board) {
    const SIZE: f64 = 12.5;
    out.push_str("<g class=\"plan-lengths\">\n");
    let mut order: Vec<&Line> = page.lines.iter().collect();
    order.sort_by(|p, q| q.chain.plan_ft.total_cmp(&p.chain.plan_ft));
    for line in order {
        let chain = &line.chain;
        let (a, b) = (line.a, line.b);
        let (a, b) = (sheet.place(a.plan()), sheet.place(b.plan()));
        let Some(along) = (b - a).unit() else {
            continue;
        };
        let words = format!(
            "{} {}",
            chain.class.words(),
            page.report.units().length(chain.true_ft)
        );
        let outside = Vector::new(-along.y, along.x);
        // As read: from left to right, upright text from below to above.
        let deg = along.y.atan2(along.x).to_degrees();
        let deg = if deg > 89.9 {
            deg - 180.0
        } else if deg <= -90.1 {
            deg + 180.0
        } else {
            deg
        };
        let (sin, cos) = deg.to_radians().sin_cos();
        let above = Vector::new(sin, -cos);
        let sides = if chain.faces.len() == 1 {
            [outside, -outside]
        } else {
            [above, -above]
        };
        let off = match chain.class {
            EdgeClass::Headwall | EdgeClass::Sidewall | EdgeClass::HighEdge => 17.0,
            _ => 12.0,
        };
        if Box2::text(&words, SIZE, a, 0.0).width() > 0.9 * a.distance(b) {
            continue;
        }
        let place = sides
            .into_iter()
            .flat_map(|side| [0.5, 0.35, 0.65, 0.25, 0.75].map(|t| a.lerp(b, t) + side * off))
            .find(|&middle| board.try_claim(Box2::text(&words, SIZE, middle, deg)));
        if let Some(middle) = place {
            text(out, "length", &words, middle, deg, SIZE);
        }
    }
    out.push_str("</g>\n");
}

fn north(out: &mut String, page: &Page, width: f64) {
    let deg = -page.report.compass_deg(0.0);
    let _ = writeln!(
        out,
        "<g class=\"plan-north\" transform=\"translate({} 32) rotate({})\"><circle r=\"11\" class=\"thin\"/><path class=\"solid\" d=\"M0 -16L4.5 10L0 6Z\"/><path class=\"thin\" d=\"M0 -16L-4.5 10L0 6Z\"/><text y=\"-19\" class=\"figure\">N</text></g>",
        px(width - 34.0),
        px(deg)
    );
}

fn scale_bar(out: &mut String, page: &Page, sheet: &Sheet, height: f64) {
    let metric = page.report.units() == OutputUnits::Metres;
    let per_unit = if metric {
        sheet.scale / crate::units::METRES_PER_FOOT
    } else {
        sheet.scale
    };
    let step = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0]
        .into_iter()
        .find(|s| s * per_unit >= 45.0)
        .unwrap_or(200.0);
    let (x, y) = (MARGIN, height - 20.0);
    let w = step * per_unit;
    out.push_str("<g class=\"plan-scale\">");
    for k in 0..4 {
        let class = if k % 2 == 0 { "solid" } else { "paper" };
        let _ = write!(
            out,
            "<path class=\"{class}\" d=\"M{} {}h{}v5h{}Z\"/>",
            px(x + w * f64::from(k)),
            px(y),
            px(w),
            px(-w)
        );
    }
    for k in [0_u32, 1, 2, 4] {
        let unit = match (k, metric) {
            (4, true) => " m",
            (4, false) => " ft",
            _ => "",
        };
        let _ = write!(
            out,
            "<text class=\"figure\" x=\"{}\" y=\"{}\">{}{unit}</text>",
            px(x + w * f64::from(k)),
            px(y - 5.0),
            step * f64::from(k)
        );
    }
    out.push_str("</g>\n");
}
