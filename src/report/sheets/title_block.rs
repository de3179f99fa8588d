//! The title block, with fields after ISO 7200.

use super::frame::{Frame, TITLE_BLOCK_HEIGHT};
use crate::geometry::Point;
use crate::report::canvas::{Align, Area, Canvas, Layer, Pen, TextStyle};
use crate::report::{ProjectInfo, Report};

/// Width of the fields at the right, in mm.
const FIELDS_WIDTH: f64 = 180.0;

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
    let fields_width = FIELDS_WIDTH.min(block.width());
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
    let [first, second] = rows(report, sheet);
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

fn project_name(canvas: &mut Canvas<'_>, area: Area, report: &Report<'_>) {
    let left = area.left + 4.0;
    let room = area.width() - 6.0;
    let name = TextStyle::new(3.5).bold();
    let fitted = fit(canvas, name, report.title(), room);
    canvas.text(Point::new(left, area.bottom + 8.6), fitted, report.title());
    let project = report.inputs().project;
    let made = if project.name.is_empty() || project.source_file.is_empty() {
        "Roof takeoff, made with eavewright".to_owned()
    } else {
        format!(
            "Roof takeoff of {}, made with eavewright",
            project.source_file
        )
    };
    let style = fit(canvas, TextStyle::new(1.8), &made, room);
    canvas.text(Point::new(left, area.bottom + 3.4), style, &made);
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
    let style = fit(canvas, style, &field.text, width - 2.0);
    if field.label == "Sheet" {
        let at = Point::new(left + width - 1.0, base);
        canvas.text(at, style.align(Align::Right), &field.text);
    } else {
        canvas.text(Point::new(left + 1.0, base), style, &field.text);
    }
}

/// A style small enough for a text to fit a width: a long name is set smaller, never cut.
fn fit(canvas: &Canvas<'_>, style: TextStyle, text: &str, room: f64) -> TextStyle {
    let width = canvas.width(style, text);
    if width <= room {
        return style;
    }
    TextStyle {
        height: style.height * room / width,
        ..style
    }
}
