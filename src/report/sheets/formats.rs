//! Shingle formats on the same roof, side by side: the shingles at one scale, what is counted as bars, and the same in
//! figures.

use super::flow::Flow;
use super::table::{Column, Table, TableStyle};
use super::{Draft, text_height};
use crate::courses::{Compared, Comparison};
use crate::geometry::Point;
use crate::report::canvas::{Align, Area, Canvas, Fonts, Ink, Layer, Pen, TextStyle};
use crate::report::comparison;
use crate::report::pdf::Paper;
use crate::report::{OutputUnits, Report, number};
use crate::units::{Length, True};

/// The shingles are drawn at the first of these scales that lets them stand in one row.
const SCALES: [f64; 9] = [8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0];
/// Between shingles, and between panels.
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
    let style = TableStyle::new(text_height(size));
    let units = report.units();
    let mut flow = Flow::new(Canvas::new(fonts), size, "Formats compared", style, &[1.0]);
    let formats = &comparison.formats;
    let scale = scale(formats, flow.width());
    let strip = strip_height(formats, scale, style.text);
    flow.block(strip, |canvas, area| {
        shingles(canvas, area, formats, scale, units, style.text);
    });
    flow.gap(9.0);
    let panels = panels(comparison);
    let bar = (52.0 / formats.len().max(1) as f64).clamp(BAR.0, BAR.1);
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
    flow.gap(9.0);
    flow.table(&figures(report, comparison));
    flow.paragraphs("How to read this", &sentences(comparison));
    let mut drafts = flow.finish();
    if let Some(first) = drafts.first_mut() {
        first.scale = format!("shingles 1:{scale:.0}");
    }
    drafts
}

/// The largest scale at which all shingles stand in one row; the smallest of all where none does.
fn scale(formats: &[Compared], width: f64) -> f64 {
    let across: f64 = formats.iter().map(|c| c.courses.format.width_in).sum();
    let gaps = GAP * formats.len().saturating_sub(1) as f64;
    let fits = |scale: &f64| across * 25.4 / scale + gaps <= width * 0.92;
    let [.., last] = SCALES;
    SCALES.into_iter().find(fits).unwrap_or(last)
}

fn strip_height(formats: &[Compared], scale: f64, text: f64) -> f64 {
    let highest = formats
        .iter()
        .map(|c| c.courses.format.height_in)
        .fold(0.0, f64::max);
    highest * 25.4 / scale + 2.5 * text / 1.8 + 3.0 + 2.0 * 1.75 * text + 1.0
}

/// Every shingle with what it is called above it and what shows on the roof shaded.
fn shingles(
    canvas: &mut Canvas<'_>,
    area: Area,
    formats: &[Compared],
    scale: f64,
    units: OutputUnits,
    text: f64,
) {
    let name = TextStyle::new(2.5 * text / 1.8).bold();
    let words = TextStyle::new(text);
    let mm = |inches: f64| inches * 25.4 / scale;
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let across: f64 = formats.iter().map(|c| mm(c.courses.format.width_in)).sum();
    // The row is spread over the width.
    let gap = (area.width() - across) / formats.len().max(1) as f64;
    let mut left = area.left;
    for compared in formats {
        let format = &compared.courses.format;
        let (width, height) = (mm(format.width_in), mm(format.height_in));
        canvas.on(Layer::Tables);
        canvas.text(Point::new(left, area.top - name.height), name, &format.name);
        let top = area.top - name.height - 3.0;
        let butt = top - height;
        let shown = Area::new(left, butt, left + width, butt + mm(format.exposure_in));
        canvas.on(Layer::Courses);
        canvas.fill(vec![shown.corners().to_vec()], Ink::Pale);
        canvas.rect(Area::new(left, butt, left + width, top), Pen::new(0.35));
        canvas.line(
            Point::new(left, shown.top),
            Point::new(left + width, shown.top),
            Pen::new(0.25),
        );
        canvas.on(Layer::Tables);
        let size = format!("{} × {}", small(format.width_in), small(format.height_in));
        let shows = format!(
            "{} shows, {} a bundle",
            small(format.exposure_in),
            format.pieces_per_bundle
        );
        for (i, line) in [size, shows].iter().enumerate() {
            let y = butt - (i + 1) as f64 * words.pitch() - 0.4;
            canvas.text(Point::new(left, y), words, line);
        }
        left += width + gap;
    }
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
