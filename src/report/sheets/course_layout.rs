//! The course layout, one sheet a face: every joint, what is cut at both ends, and which parts come from one shingle.

use super::course_drawing::{self, Drawing};
use super::frame::Frame;
use super::table::{Column, Table, TableStyle};
use super::table_set::draw_whole;
use super::{Bound, Draft, Sheet, text_height};
use crate::courses::{self, Courses, FaceLayout};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, Fonts, Layer, TextStyle};
use crate::report::crew_words::corner_words;
use crate::report::pdf::Paper;
use crate::report::{OutputUnits, Report, number};
use crate::units::{Length, True};

/// Height that the tables under the drawing take, in mm at the usual height of text.
const TABLES: f64 = 56.0;
/// Height of the face's name over the drawing.
const HEAD: f64 = 12.0;
/// A course lower than this on paper cannot carry its numbers: a larger sheet is taken.
pub(super) const READABLE_COURSE: f64 = 1.97;

/// Draws one sheet a shingled face, several where a face is too long for one; the sheets are numbered from `first`.
pub(super) fn draw<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    (paper, bound): (Paper, Bound<'_>),
    first: usize,
) -> Vec<Draft<'f>> {
    let Some(courses) = report.inputs().courses else {
        return Vec::new();
    };
    let mut sheets = Vec::new();
    for layout in courses.faces.iter().filter(|l| !l.runs.is_empty()) {
        let next = first + sheets.len();
        sheets.extend(face(report, fonts, (paper, bound), (courses, layout), next));
    }
    sheets
}

fn face<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    (paper, bound): (Paper, Bound<'_>),
    (courses, layout): (&Courses, &FaceLayout),
    first: usize,
) -> Vec<Draft<'f>> {
    // What could be unfolded to be laid can be unfolded to be drawn.
    let Ok(unfolded) = courses.unfold(report.roof(), layout.face) else {
        return Vec::new();
    };
    let drawing_on = |size: (f64, f64)| {
        let content = Frame::of(size).content;
        let area = Area {
            top: content.top - HEAD,
            bottom: content.bottom + TABLES * text_height(size) / 1.8,
            ..content
        };
        let grow = text_height(size) / 1.8;
        Drawing::new(report, courses, layout, &unfolded, (area, grow))
    };
    let usual = paper.landscape();
    let larger = paper.larger().landscape();
    let (size, drawing) = if drawing_on(usual).course_mm() >= READABLE_COURSE {
        (usual, drawing_on(usual))
    } else {
        (larger, drawing_on(larger))
    };
    let name = &report.roof().face(layout.face).name;
    let parts = Some(&drawing).filter(|drawing| !drawing.numbered());
    let parts = parts.and_then(|drawing| drawing.parts(report));
    let drawings = parts.unwrap_or_else(|| vec![drawing]);
    let count = drawings.len();
    let sheets = drawings.iter().enumerate().map(|(i, drawing)| {
        let mut canvas = Canvas::new(fonts);
        head(&mut canvas, report, courses, layout, size);
        let next = (first + i - 1, first + i + 1);
        let missing = course_drawing::draw(&mut canvas, report, drawing, next);
        tables(&mut canvas, report, (courses, layout), size, count);
        let notes = notes(courses, drawing, missing, bound);
        explanation(&mut canvas, &notes, size);
        let part = match count {
            1 => String::new(),
            _ => format!(", part {} of {count}", i + 1),
        };
        Draft {
            title: format!("Course layout, face {name}{part}"),
            group: Some("Course layout".to_owned()),
            size,
            scale: drawing.scale.words(),
            canvas,
        }
    });
    sheets.collect()
}

fn true_inches(units: OutputUnits, inches: f64) -> String {
    units.small(Length::<True>::inches(inches))
}

fn head(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    courses: &Courses,
    layout: &FaceLayout,
    size: (f64, f64),
) {
    canvas.on(Layer::FaceNames);
    let content = Frame::of(size).content;
    let face = report.roof().face(layout.face);
    let units = report.units();
    let base = Point::new(content.left, content.top - 7.0);
    let width = canvas.text_before(base, TextStyle::new(7.0).bold(), &face.name);
    let format = &courses.format;
    let about = format!(
        "seen from outside, eave at the bottom  ·  begun at the {}  ·  {}  ·  {} × {}, {} exposed  ·  {} courses",
        corner_words(layout.start).near,
        units.pitch(face.pitch),
        true_inches(units, format.width_in),
        true_inches(units, format.height_in),
        true_inches(units, format.exposure_in),
        layout.courses
    );
    let beside = base + Vector::new(width + 5.0, 0.0);
    canvas.text(beside, TextStyle::new(text_height(size)), &about);
}

fn tables(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    (courses, layout): (&Courses, &FaceLayout),
    size: (f64, f64),
    parts: usize,
) {
    let text = text_height(size);
    let style = TableStyle::new(text);
    let content = Frame::of(size).content;
    let top = content.bottom + TABLES * text / 1.8 - 5.0;
    let width = 74.0 * text / 1.8;
    let left = Area {
        top,
        right: content.left + width,
        ..content
    };
    // Each sheet of a long face has the figures of all of it: they must not be added up.
    let of_all = |table: Table| match parts {
        1 => table,
        _ => Table {
            title: format!("{}, whole face", table.title),
            ..table
        },
    };
    let count = of_all(count(report, courses, layout));
    draw_whole(canvas, &count, style, left);
    let middle = Area {
        left: left.right + 9.0,
        right: left.right + 9.0 + 58.0 * text / 1.8,
        ..left
    };
    draw_whole(canvas, &of_all(reach(layout)), style, middle);
}

fn count(report: &Report<'_>, courses: &Courses, layout: &FaceLayout) -> Table {
    let units = report.units();
    let mut table = Table::new("Count", vec![Column::words(""), Column::figures("")]);
    table.heads = false;
    let exposed = courses.format.exposed_area_sqin();
    let waste = |opened: usize| {
        let percent = 100.0 * (opened as f64 * exposed / layout.net_area_sqin - 1.0);
        format!("{} %", number::decimal(percent, 1))
    };
    let mut row = |label: &str, figure: String| {
        table.rows.push(vec![label.into(), figure.into()]);
    };
    row("Shingles opened", number::count(layout.opened));
    row("Proven lower bound", number::count(layout.bound));
    row("Without reuse", number::count(layout.opened_without_reuse));
    row("Pieces laid", number::count(layout.pieces_laid));
    row("Cuts", number::count(layout.cuts));
    row("Offcuts laid again", number::count(layout.offcuts_reused));
    row("Waste, this layout", waste(layout.opened));
    row("Waste, without reuse", waste(layout.opened_without_reuse));
    if let Some(least) = layout.smallest_joint_distance_in {
        row("Least joint distance", true_inches(units, least));
    }
    table
}

/// How far apart the parts of one shingle lie.
fn reach(layout: &FaceLayout) -> Table {
    let mut table = Table::new(
        "Parts of one shingle",
        vec![Column::words(""), Column::figures("")],
    );
    table.heads = false;
    let course = |run: usize| layout.runs[run].course;
    let apart: Vec<usize> = layout
        .laid_of_offcuts()
        .map(|(a, b)| course(a).abs_diff(course(b)))
        .collect();
    // Of square-cut shingles more than two pieces may come.
    let all = match layout.cut_again.is_empty() {
        true => "Pairs",
        false => "Offcuts laid again",
    };
    let within =
        |low: usize, high: usize| apart.iter().filter(|d| (low..=high).contains(d)).count();
    for (label, figure) in [
        (all, apart.len()),
        ("in the same course", within(0, 0)),
        ("1 to 3 courses apart", within(1, 3)),
        ("further apart", apart.len() - within(0, 3)),
        ("most waiting at one time", layout.largest_pile),
        ("longest wait, courses", layout.longest_wait_courses),
    ] {
        table
            .rows
            .push(vec![label.into(), number::count(figure).into()]);
    }
    table
}

/// How to read the drawing, and what it could not show.
fn notes(
    courses: &Courses,
    drawing: &Drawing<'_>,
    missing: usize,
    bound: Bound<'_>,
) -> Vec<String> {
    let mut notes = vec![
        "Hatched rising to the right: the piece at the left end of a run. Hatched falling: the piece at its right end. No hatching: whole shingles.".to_owned(),
        "Equal small numbers are parts of one shingle; a hatched piece without a number leaves its rest as waste.".to_owned(),
    ];
    if courses.rules.reuse == courses::Reuse::TwoPiece {
        notes.push("Factory ends look into the field, hand cuts to the edge. Never turn a piece over or round.".to_owned());
    }
    if !drawing.is_drawn_in_full() {
        let listed = if bound.holds(Sheet::Crew) {
            "; the crew sheet lists what each course begins and ends with"
        } else {
            ""
        };
        return vec![format!(
            "Every fifth course alone is drawn, without joints: on this paper they would run into each other. Print on larger paper to see every piece{listed}."
        )];
    }
    if !drawing.numbered() {
        notes.push("The courses are too low on this paper for the numbers of the parts: print on larger paper.".to_owned());
    }
    match missing {
        0 => {}
        1 => notes.push(
            "One number of a part found no room where runs are short: print on larger paper."
                .to_owned(),
        ),
        _ => notes.push(format!(
            "{missing} numbers of parts found no room where runs are short: print on larger paper."
        )),
    }
    notes
}

fn explanation(canvas: &mut Canvas<'_>, notes: &[String], size: (f64, f64)) {
    let text = text_height(size);
    let content = Frame::of(size).content;
    let left = content.left + (74.0 + 58.0) * text / 1.8 + 18.0;
    let style = TextStyle::new(text);
    let head = TextStyle::new(2.5 / 1.8 * text).bold();
    canvas.on(Layer::Tables);
    let mut y = content.bottom + TABLES * text / 1.8 - 5.0 - head.height;
    canvas.text(Point::new(left, y), head, "How to read it");
    y -= 1.5;
    for note in notes {
        for line in canvas.wrap(style, note, content.right - left) {
            y -= style.pitch();
            canvas.text(Point::new(left, y), style, &line);
        }
        y -= 0.6 * text;
    }
}
