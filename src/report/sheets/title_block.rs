//! The title block, with fields after ISO 7200.

use super::frame::{Frame, TITLE_BLOCK_HEIGHT};
use crate::geometry::Point;
use crate::report::canvas::{Align, Area, Canvas, Layer, Pen, TextStyle};
use crate::report::{ProjectInfo, Report};

/// Width of the fields at the right, in mm.
const FIELDS_WIDTH: f64 = 180.0;

/// The name of the job needs at least this.
const LEAST_NAME_WIDTH: f64 = 50.0;

/// What differs from sheet to sheet.
#[derive(Clone, Debug)]
pub(super) struct SheetTitle {
    pub(super) title: String,
    pub(super) scale: String,
    pub(super) number: usize,
    pub(super) of: usize,
}

/// A field: label, text, share of the width.
struct Field {
    label: &'static str,
    text: String,
    width: f64,
    bold: f64,
}

fn field(label: &'static str, text: impl Into<String>, width: f64) -> Field {
    Field {
        label,
        text: text.into(),
        width,
        bold: 0.0,
    }
}

fn bold(label: &'static str, text: impl Into<String>, width: f64, height: f64) -> Field {
    Field {
        bold: height,
        ..field(label, text, width)
    }
}

/// Nothing in the block is set smaller than its labels: what is longer in all its lines is cut.
const LEAST: f64 = 1.3;

/// Draws the block at the foot of the frame.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    frame: &Frame,
    report: &Report<'_>,
    sheet: &SheetTitle,
) {
    canvas.on(Layer::Sheet);
    let base = frame.frame;
    let block = Area {
        top: base.bottom + TITLE_BLOCK_HEIGHT,
        ..base
    };
    canvas.line(
        Point::new(block.left, block.top),
        Point::new(block.right, block.top),
        Pen::new(0.5),
    );
    // Upright sheets leave no room for a name beside the fields, which take the whole width: it is one of them.
    let is_narrow = block.width() < FIELDS_WIDTH + LEAST_NAME_WIDTH;
    let fields_width = if is_narrow {
        block.width()
    } else {
        FIELDS_WIDTH
    };
    let fields = Area {
        left: block.right - fields_width,
        ..block
    };
    if fields.left > block.left {
        let pen = Pen::new(0.5);
        let foot = Point::new(fields.left, block.bottom);
        canvas.line(foot, Point::new(fields.left, block.top), pen);
        let name = Area {
            right: fields.left,
            ..block
        };
        project_name(canvas, name, report);
    }
    let middle = (fields.bottom + fields.top) / 2.0;
    canvas.line(
        Point::new(fields.left, middle),
        Point::new(fields.right, middle),
        Pen::new(0.25),
    );
    let upper = Area {
        bottom: middle,
        ..fields
    };
    let lower = Area {
        top: middle,
        ..fields
    };
    let [mut first, second] = rows(report, sheet);
    if is_narrow {
        first.insert(0, bold("Roof", report.title(), 46.0, 1.8));
    }
    row(canvas, upper, &first);
    row(canvas, lower, &second);
}

fn rows(report: &Report<'_>, sheet: &SheetTitle) -> [Vec<Field>; 2] {
    let project = report.inputs().project;
    let number = format!("{} of {}", sheet.number, sheet.of);
    [
        vec![
            field("Prepared for", prepared_for(project), 54.0),
            bold("Title", &sheet.title, 80.0, 2.5),
            field("Document", &project.document, 46.0),
        ],
        vec![
            bold("Status", &project.status, 54.0, 1.8),
            field("Scale", &sheet.scale, 32.0),
            field("Lengths", report.units().words(), 20.0),
            field("Date", &project.date, 22.0),
            field("Rev.", &project.revision, 10.0),
            field("Drawn", &project.drawn_by, 14.0),
            field("Checked", &project.checked_by, 12.0),
            bold("Sheet", number, 16.0, 2.5),
        ],
    ]
}

fn prepared_for(project: &ProjectInfo) -> String {
    let parts = [&project.client, &project.address];
    let given: Vec<&str> = parts
        .into_iter()
        .map(String::as_str)
        .filter(|text| !text.is_empty())
        .collect();
    given.join(", ")
}

/// The largest height of the job's name in one line and in two, and the least, in three: what is longer is cut.
const NAME: f64 = 3.5;
const NAME_IN_TWO: f64 = 2.5;
const LEAST_NAME: f64 = 1.8;
/// A field that would be set smaller than this in one line is set in two.
const FIELD_IN_ONE: f64 = 1.5;
/// Two lines of a field have room below its label up to this height.
const FIELD_IN_TWO: f64 = 1.6;
/// From the first line of a field to the second, and how far the second lies below one that stands alone.
const LINE_OF_FIELD: f64 = 2.2;
const SECOND_LINE_DOWN: f64 = 0.4;
/// From one height tried to the next.
const HEIGHT_STEP: f64 = 0.1;

/// A text in so many lines at most, at the largest height up to the style's that lets it be. What does not go into them at
/// the least height is left to the last of them, to be cut.
fn in_lines(
    canvas: &Canvas<'_>,
    (text, style): (&str, TextStyle),
    room: f64,
    (least, most): (f64, usize),
) -> (TextStyle, Vec<String>) {
    let steps = ((style.height - least) / HEIGHT_STEP).round() as u32;
    let at = |step: u32| {
        let height = style.height - HEIGHT_STEP * f64::from(step);
        let style = TextStyle { height, ..style };
        (style, canvas.wrap(style, text, room))
    };
    let found = (0..=steps).map(at).find(|(_, lines)| lines.len() <= most);
    let (style, mut lines) = found.unwrap_or_else(|| at(steps));
    if lines.len() > most {
        let rest = lines.split_off(most.saturating_sub(1));
        lines.push(rest.join(" "));
    }
    (style, lines)
}

/// The job's name in one line, in two or three smaller ones where it is long, over where the takeoff comes from.
fn project_name(canvas: &mut Canvas<'_>, area: Area, report: &Report<'_>) {
    let left = area.left + 4.0;
    let room = area.width() - 6.0;
    let bold = |height: f64| TextStyle::new(height).bold();
    if canvas.width(bold(NAME_IN_TWO), report.title()) <= room {
        let at = Point::new(left, area.bottom + 8.6);
        canvas.text_within(at, bold(NAME), (report.title(), room, NAME_IN_TWO));
    } else {
        let name = (report.title(), bold(NAME_IN_TWO));
        let two = in_lines(canvas, name, room, (LEAST_NAME, 2));
        let is_whole = canvas.wrap(two.0, report.title(), room).len() <= 2;
        let (style, lines) = match is_whole {
            true => two,
            false => in_lines(canvas, (name.0, bold(LEAST_NAME)), room, (LEAST_NAME, 3)),
        };
        // Two lines fill the height of three.
        let ups: &[f64] = match lines.len() {
            3.. => &[11.6, 9.0, 6.4],
            _ => &[10.6, 6.9],
        };
        for (line, up) in lines.iter().zip(ups) {
            let at = Point::new(left, area.bottom + up);
            canvas.line_within(at, style, (line, room, LEAST_NAME), report.title());
        }
    }
    let project = report.inputs().project;
    let made = if project.name.is_empty() || project.source_file.is_empty() {
        "Roof takeoff, made with eavewright".to_owned()
    } else {
        format!(
            "Roof takeoff of {}, made with eavewright",
            project.source_file
        )
    };
    let at = Point::new(left, area.bottom + 3.4);
    canvas.text_within(at, TextStyle::new(1.8), (&made, room, LEAST));
}

fn row(canvas: &mut Canvas<'_>, area: Area, fields: &[Field]) {
    let total: f64 = fields.iter().map(|f| f.width).sum();
    let mut left = area.left;
    for (i, field) in fields.iter().enumerate() {
        let width = area.width() * field.width / total;
        if i > 0 {
            canvas.line(
                Point::new(left, area.bottom),
                Point::new(left, area.top),
                Pen::new(0.25),
            );
        }
        canvas.text(
            Point::new(left + 1.0, area.top - 2.2),
            TextStyle::new(1.3),
            field.label,
        );
        value(canvas, field, left, width, area.bottom + 1.3);
        left += width;
    }
}

fn value(canvas: &mut Canvas<'_>, field: &Field, left: f64, width: f64, base: f64) {
    let style = if field.bold > 0.0 {
        TextStyle::new(field.bold).bold()
    } else {
        TextStyle::new(1.8)
    };
    let room = width - 2.0;
    let least = TextStyle {
        height: FIELD_IN_ONE.min(style.height),
        ..style
    };
    let left = left + 1.0;
    if field.label == "Sheet" {
        let at = Point::new(left + room, base);
        let within = (field.text.as_str(), room, LEAST);
        canvas.text_within(at, style.align(Align::Right), within);
    } else if canvas.width(least, &field.text) <= room {
        canvas.text_within(Point::new(left, base), style, (&field.text, room, LEAST));
    } else {
        let height = FIELD_IN_TWO.min(style.height);
        let tried = (field.text.as_str(), TextStyle { height, ..style });
        let (style, lines) = in_lines(canvas, tried, room, (LEAST, 2));
        for (line, up) in lines.iter().zip([LINE_OF_FIELD, 0.0]) {
            let at = Point::new(left, base - SECOND_LINE_DOWN + up);
            canvas.line_within(at, style, (line, room, LEAST), &field.text);
        }
    }
}
