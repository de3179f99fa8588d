//! Shingle formats on the same roof, side by side: the shingles at one scale, what is counted as bars, and the same in
//! figures.

use super::flow::{Flow, on_fewest_sheets};
use super::format_strip::{ROW_GAP, Strip};
use super::table::{Column, Table, TableStyle};
use super::{Draft, text_height};
use crate::courses::{Compared, Comparison};
use crate::geometry::Point;
use crate::report::canvas::{Align, Area, Canvas, Fonts, Ink, Layer, Pen, TextStyle};
use crate::report::comparison;
use crate::report::pdf::Paper;
use crate::report::{OutputUnits, Report, number};

/// Between panels.
const GAP: f64 = 8.0;
/// Least and most height of a bar with the room round it.
const BAR: (f64, f64) = (3.6, 7.5);
/// From the bars to the figures of the axis.
const AXIS: f64 = 5.0;

/// Draws the comparison, where one was made.
pub(super) fn draw<'f>(report: &Report<'_>, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
    let Some(comparison) = report.inputs().comparison else {
        return Vec::new();
    };
    let size = paper.landscape();
    on_fewest_sheets(&Canvas::new(fonts), text_height(size), |blank, style| {
        set_out(report, comparison, blank, size, style)
    })
}

fn set_out<'f>(
    report: &Report<'_>,
    comparison: &Comparison,
    blank: Canvas<'f>,
    size: (f64, f64),
    style: TableStyle,
) -> Vec<Draft<'f>> {
    let fonts = blank.fonts;
    let (between, bars) = if style.is_tight() {
        (6.0, 40.0)
    } else {
        (9.0, 52.0)
    };
    let mut flow = Flow::new(blank, size, "Formats compared", style, &[1.0]);
    let formats = &comparison.formats;
    let units = report.units();
    let strip = Strip::of(
        &Canvas::trial(fonts),
        formats,
        units,
        flow.width(),
        style.text,
    );
    for (i, row) in strip.rows.iter().enumerate() {
        flow.gap(if i > 0 { ROW_GAP } else { 0.0 });
        flow.block(strip.row_height(row), |canvas, area| {
            strip.draw(canvas, area, row);
        });
    }
    flow.gap(between);
    let panels = panels(comparison);
    let bar = (bars / formats.len().max(1) as f64).clamp(BAR.0, BAR.1);
    let height = 2.5 + 3.0 + bar * formats.len() as f64 + AXIS;
    flow.block(height, |canvas, area| {
        let width = (area.width() - GAP * (panels.len() as f64 - 1.0)) / panels.len() as f64;
        for (i, panel) in panels.iter().enumerate() {
            let left = area.left + i as f64 * (width + GAP);
            let part = Area {
                left,
                right: left + width,
                ..area
            };
            panel.draw(canvas, part, formats, bar, style.text);
        }
    });
    flow.gap(between);
    flow.table(&figures(report, comparison));
    flow.paragraphs("How to read this", &sentences(comparison));
    let mut drafts = flow.finish();
    if let Some(first) = drafts.first_mut() {
        first.scale = format!("shingles 1:{:.0}", strip.scale);
    }
    drafts
}

/// One thing that is counted, a bar a format.
struct Panel {
    title: String,
    values: Vec<f64>,
}

fn panels(comparison: &Comparison) -> [Panel; 4] {
    let of = |title: String, value: &dyn Fn(&Compared) -> usize| Panel {
        title,
        values: comparison.formats.iter().map(|c| value(c) as f64).collect(),
    };
    // The same figures as in the table below: alike where it has them alike.
    let alike = comparison.like_for_like_nails_per_piece;
    let nails = match comparison.nails_differ {
        true => of(format!("Nails, {alike} a piece"), &|c| {
            c.nails_like_for_like
        }),
        false => of("Nails".to_owned(), &|c| c.nails),
    };
    [
        of("Shingles opened".to_owned(), &|c| c.courses.opened()),
        of("Pieces laid".to_owned(), &|c| c.courses.pieces_laid()),
        nails,
        of("Cuts".to_owned(), &|c| c.courses.cuts()),
    ]
}

impl Panel {
    /// Bars from zero, each with its value in it.
    fn draw(&self, canvas: &mut Canvas<'_>, area: Area, formats: &[Compared], bar: f64, text: f64) {
        let head = TextStyle::new(2.5 * text / 1.8).bold();
        let words = TextStyle::new(text.min(bar * 0.55));
        canvas.on(Layer::Tables);
        canvas.text(
            Point::new(area.left, area.top - head.height),
            head,
            &self.title,
        );
        let names = formats
            .iter()
            .map(|c| canvas.width(words, &c.courses.format.name))
            .fold(0.0, f64::max);
        let zero = area.left + names + 1.6;
        let most = self.values.iter().copied().fold(0.0, f64::max);
        let step = step(most);
        let end = (most / step).ceil().max(1.0) * step;
        // The last figure of the axis is centred on its tick.
        let room = area.right - 3.0 - zero;
        let x = |value: f64| zero + room * value / end;
        let top = area.top - head.height - 3.0;
        let foot = top - bar * formats.len() as f64;
        for (i, (compared, value)) in formats.iter().zip(&self.values).enumerate() {
            let high = top - bar * i as f64 - 0.12 * bar;
            let low = high - 0.76 * bar;
            let base = (high + low - words.height) / 2.0;
            let name = Point::new(zero - 1.6, base);
            let format = &compared.courses.format.name;
            canvas.text(name, words.align(Align::Right), format);
            let box_of = Area::new(zero, low, x(*value), high);
            canvas.fill(vec![box_of.corners().to_vec()], Ink::Pale);
            canvas.rect(box_of, Pen::new(0.25));
            let said = number::decimal(*value, 0);
            let fits = canvas.width(words, &said) + 2.4 < box_of.width();
            let (at, align) = if fits {
                (box_of.right - 1.2, Align::Right)
            } else {
                (box_of.right + 1.2, Align::Left)
            };
            canvas.text(Point::new(at, base), words.bold().align(align), &said);
        }
        canvas.line(
            Point::new(zero, top),
            Point::new(zero, foot),
            Pen::new(0.35),
        );
        canvas.line(
            Point::new(zero, foot),
            Point::new(x(end), foot),
            Pen::new(0.25),
        );
        let axis = TextStyle::new(text * 1.5 / 1.8).align(Align::Middle);
        let mut value = 0.0;
        while value <= end + 0.5 * step {
            let tick = Point::new(x(value), foot);
            canvas.line(tick, Point::new(tick.x, foot - 1.0), Pen::new(0.25));
            let base = Point::new(tick.x, foot - 1.6 - axis.height);
            canvas.text(base, axis, &number::decimal(value, 0));
            value += step;
        }
    }
}

/// A step of 1, 2 or 5 times a power of ten that divides an axis into two to four parts.
fn step(most: f64) -> f64 {
    let rough = (most / 3.0).max(1.0);
    let power = 10_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|part| part * power)
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

fn figures(report: &Report<'_>, comparison: &Comparison) -> Table {
    let units = report.units();
    let weight = match units {
        OutputUnits::Feet => "Weight lb",
        OutputUnits::Metres => "Weight kg",
    };
    let mut columns = vec![
        Column::words("Format").bold(),
        Column::figures("In 100 ft²"),
        Column::figures("Opened"),
        Column::figures("Lower bound"),
        Column::figures("Without reuse"),
        Column::figures("Waste %"),
        Column::figures("Without %"),
        Column::figures("Bundles"),
        Column::figures("Laid"),
        Column::figures("Cuts"),
        Column::figures("Nails each"),
        Column::figures("Nails"),
    ];
    if comparison.nails_differ {
        columns.push(Column::figures("Alike"));
    }
    columns.extend([Column::figures(weight), Column::figures("Saved, squares")]);
    let mut table = Table::new("The same in figures", columns);
    if let Some(first) = comparison.formats.first() {
        let squares = report.laid_area(&first.courses).to_squares();
        table.subject = format!("on {} squares of net roof", number::decimal(squares, 2));
    }
    for compared in &comparison.formats {
        let courses = &compared.courses;
        let mut row = vec![
            courses.format.name.as_str().into(),
            number::decimal(compared.pieces_per_square, 2).into(),
            number::count(courses.opened()).into(),
            number::count(courses.bound()).into(),
            number::count(courses.opened_without_reuse()).into(),
            number::decimal(courses.waste_percent(), 1).into(),
            number::decimal(courses.waste_percent_without_reuse(), 1).into(),
            number::count(compared.bundles).into(),
            number::count(courses.pieces_laid()).into(),
            number::count(courses.cuts()).into(),
            compared.nails_per_piece.to_string().into(),
            number::count(compared.nails).into(),
        ];
        if comparison.nails_differ {
            row.push(number::count(compared.nails_like_for_like).into());
        }
        let heavy = compared.weight_lb.map_or_else(
            || "–".to_owned(),
            |lb| number::decimal(comparison::weight(lb, units), 0),
        );
        row.push(heavy.into());
        row.push(number::decimal(compared.squares_of_time_saved, 1).into());
        table.rows.push(row);
    }
    table
}

fn sentences(comparison: &Comparison) -> Vec<String> {
    let mut said = vec![
        "Every axis starts at zero. Shaded on the shingle: what shows on the roof.".to_owned(),
        "“Without reuse” opens a whole shingle for every piece; “lower bound” is proven: no layout opens fewer.".to_owned(),
    ];
    said.extend(comparison::sentences(comparison));
    said
}

#[cfg(test)]
mod tests {
    use super::step;

    #[test]
    fn an_axis_is_divided_into_two_to_four_round_parts() {
        for (most, expected) in [
            (1_428.0, 500.0),
            (5_711.0, 2_000.0),
            (409.0, 200.0),
            (9.0, 5.0),
            (3.0, 1.0),
            (0.0, 1.0),
        ] {
            assert!(
                (step(most) - expected).abs() < 1e-9,
                "{most}: {}",
                step(most)
            );
        }
    }
}
