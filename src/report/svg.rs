//! The drawn plan as a layered SVG, in millimetres at the scale that its title says.

use std::fmt::Write;

use super::Report;
use super::canvas::{Align, Canvas, Font, Fonts, Ink, Layer, Mark, Pen, Text, TextStyle};
use super::plan::{self, DrawingScale, Projection};
use crate::Finding;
use crate::drawing::written::DRAWN;
use crate::geometry::{Point, Vector};
use crate::report::canvas::Area;

/// Room round the roof, in mm.
const MARGIN: f64 = 24.0;
/// Kept free at the right of the key, for the north mark.
const NORTH_ROOM: f64 = 16.0;
/// The longest side that a plan is drawn on, in mm.
const LONGEST: f64 = 700.0;

/// The plan with its labels as an SVG whose layers are named groups, drawn to a standard scale: 1 unit is 1 mm.
pub fn svg(report: &Report<'_>) -> Result<String, Finding> {
    let Some((low, high)) = plan::extent(report) else {
        return Err(Finding::error("no-roof", "There is no roof to draw."));
    };
    let fonts = Fonts::load()?;
    let extent = high - low;
    let scale = DrawingScale::fitting(report.units(), extent, LONGEST, LONGEST).at_most_ratio(48.0);
    let k = scale.mm_per_foot();
    let width = (extent.x * k + 2.0 * MARGIN).max(120.0);
    let foot = plan::key_height(report, width - 12.0 - NORTH_ROOM) + 12.0;
    let size = Vector::new(width, extent.y * k + 2.0 * MARGIN + foot);
    let area = Area::new(0.0, foot, size.x, size.y).inset(2.0);
    let projection = Projection::centred(scale, low, high, area);
    let mut canvas = Canvas::new(fonts);
    let scope = plan::Scope::whole(report);
    let mut drawn = plan::draw(&mut canvas, report, &scope, &projection, area, 1.8);
    drawn.mark_findings(&mut canvas, report, None, &projection);
    let kept = Point::new(size.x - 6.0 - NORTH_ROOM / 2.0, 8.0);
    drawn.north(&mut canvas, report, &projection, kept);
    foot_of(&mut canvas, report, scale, size);
    Ok(write(&canvas, size, report.title()))
}

/// Key, bar and the words of the scale under the plan.
fn foot_of(canvas: &mut Canvas<'_>, report: &Report<'_>, scale: DrawingScale, size: Vector) {
    let height = plan::key_height(report, size.x - 12.0 - NORTH_ROOM);
    let key = Area::new(6.0, 10.0, size.x - 6.0 - NORTH_ROOM, 10.0 + height);
    plan::key(canvas, report, key);
    let bar = Point::new(6.0, 3.0);
    plan::scale_bar(canvas, bar, scale, report.units(), plan::BAR_LONGEST);
    canvas.on(Layer::Key);
    let style = TextStyle::new(1.8).align(Align::Right);
    canvas.text(Point::new(size.x - 6.0, 3.0), style, &scale.words());
}

/// Writes a canvas with its layers as named groups.
pub(super) fn write(canvas: &Canvas<'_>, size: Vector, title: &str) -> String {
    let mut out = String::new();
    let (w, h) = (coordinate(size.x), coordinate(size.y));
    // Writing to a string does not fail.
    let _ = write!(
        out,
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" \
         xmlns:inkscape=\"http://www.inkscape.org/namespaces/inkscape\" \
         width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         font-family=\"'Liberation Sans', Arial, Helvetica, sans-serif\">\n\
         {DRAWN}\n<title>{}</title>\n",
        escaped(title)
    );
    for layer in Layer::ALL {
        let marks: Vec<&Mark> = canvas
            .items
            .iter()
            .filter(|item| item.layer == layer)
            .map(|item| &item.mark)
            .collect();
        if marks.is_empty() {
            continue;
        }
        let words = layer.words();
        let _ = writeln!(
            out,
            "<g id=\"{}\" inkscape:groupmode=\"layer\" inkscape:label=\"{words}\" fill=\"none\" stroke-linejoin=\"round\">",
            words.replace(' ', "-")
        );
        for mark in marks {
            write_mark(&mut out, mark, size.y);
        }
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out
}

/// A coordinate to a thousandth of a millimetre, without trailing zeros or a minus zero.
pub(super) fn coordinate(value: f64) -> String {
    let rounded = (value * 1000.0).round() / 1000.0;
    format!("{}", if rounded == 0.0 { 0.0 } else { rounded })
}

/// Text for an element or a quoted attribute. Control characters, which no XML may hold, are shown as such.
pub(super) fn escaped(text: &str) -> String {
    text.replace(char::is_control, "\u{fffd}")
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

const fn color(ink: Ink) -> &'static str {
    match ink {
        Ink::Black => "#000000",
        Ink::White => "#ffffff",
        Ink::Grey => "#545454",
        Ink::Pale => "#bfbfbf",
        Ink::Accent => "#a3120c",
    }
}

/// Path data of a chain of points; y is turned down.
fn path(points: &[Point], closed: bool, height: f64) -> String {
    let mut data = String::new();
    for (i, p) in points.iter().enumerate() {
        data.push(if i == 0 { 'M' } else { 'L' });
        data.push_str(&coordinate(p.x));
        data.push(' ');
        data.push_str(&coordinate(height - p.y));
    }
    if closed {
        data.push('Z');
    }
    data
}

fn write_mark(out: &mut String, mark: &Mark, height: f64) {
    match mark {
        Mark::Lines(lines) => {
            for line in lines.iter() {
                write_stroke(out, &path(&line.ends, false, height), line.pen);
            }
        }
        Mark::Stroke {
            points,
            closed,
            pen,
        } => write_stroke(out, &path(points, *closed, height), *pen),
        Mark::Fill { rings, ink } => {
            let data: String = rings.iter().map(|r| path(r, true, height)).collect();
            let _ = writeln!(
                out,
                "<path d=\"{data}\" fill=\"{}\" fill-rule=\"evenodd\"/>",
                color(*ink)
            );
        }
        Mark::Text(text) => write_text(out, text, height),
    }
}

fn write_stroke(out: &mut String, data: &str, pen: Pen) {
    let _ = write!(
        out,
        "<path d=\"{data}\" stroke=\"{}\" stroke-width=\"{}\"",
        color(pen.ink),
        coordinate(pen.width)
    );
    if !pen.dash.is_empty() {
        let dashes: Vec<String> = pen.dash.iter().map(|&d| coordinate(d)).collect();
        let _ = write!(out, " stroke-dasharray=\"{}\"", dashes.join(" "));
    }
    if pen.round {
        out.push_str(" stroke-linecap=\"round\"");
    }
    out.push_str("/>\n");
}

/// A text as one element with the letters that are seen, fractions in their own characters; what is read instead of them,
/// if anything, is kept beside them.
fn write_text(out: &mut String, text: &Text, height: f64) {
    let style = text.style;
    let (x, y) = (coordinate(text.start.x), coordinate(height - text.start.y));
    let _ = write!(
        out,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" fill=\"{}\"",
        coordinate(style.size()),
        color(style.ink)
    );
    if style.font == Font::Bold {
        out.push_str(" font-weight=\"bold\"");
    }
    if style.angle_deg != 0.0 {
        // Degrees to three places turn the end of the longest label by less than a hundredth of a millimetre.
        let turn = coordinate(-style.angle_deg);
        let _ = write!(out, " transform=\"rotate({turn} {x} {y})\"");
    }
    if text.content.is_empty() {
        out.push_str(" aria-hidden=\"true\"");
    } else if text.content != text.drawn() {
        let _ = write!(out, " aria-label=\"{}\"", escaped(&text.content));
    }
    // Another program's typeface may be wider: the text keeps its place all the same.
    let _ = writeln!(
        out,
        " textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\" xml:space=\"preserve\">{}</text>",
        coordinate(text.width),
        escaped(text.drawn())
    );
}
