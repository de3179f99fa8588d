//! Tables on paper: measured for a width, then set row by row.

use super::table::{Cell, Column, Table, TableStyle};
use crate::geometry::Point;
use crate::report::canvas::{Align, Area, Canvas, Ink, Layer, Pen, TextStyle};
use crate::report::plan::{finding_marks, line_types};
use crate::roof::EdgeClass;

/// Width of a drawn line sample.
const SAMPLE: f64 = 15.0;
/// Height of a row with a finding's mark.
const DIAMOND_ROW: f64 = 2.0 * finding_marks::DIAMOND + 1.0;
/// Between columns.
const GAP: f64 = 3.6;

/// A table measured for a width: where its columns stand and how its cells break.
#[derive(Clone, Debug)]
pub(super) struct Measured<'t> {
    table: &'t Table,
    style: TableStyle,
    spans: Vec<Span>,
    /// Narrower than this, and words are broken or columns made narrower than their cells.
    least_width: f64,
    /// Lines of every cell, for rows and total.
    rows: Vec<MeasuredRow>,
    width: f64,
    notes: Vec<String>,
    /// The same in other widths that it was laid out for: the columns of a sheet take turns, and a table may have thousands of rows.
    others: Vec<Self>,
}

/// A column in a width.
#[derive(Clone, Copy, Debug)]
struct Span {
    /// From the table's left.
    left: f64,
    width: f64,
    /// Whether its texts are broken into lines.
    wraps: bool,
}

#[derive(Clone, Debug)]
struct MeasuredRow {
    cells: Vec<CellLines>,
    height: f64,
    total: bool,
}

#[derive(Clone, Debug)]
enum CellLines {
    Text(Vec<String>),
    Line(EdgeClass),
    Diamond(usize),
    Differing(String),
}

impl<'t> Measured<'t> {
    /// Lays a table out in a width.
    pub(super) fn new(
        canvas: &Canvas<'_>,
        table: &'t Table,
        style: TableStyle,
        width: f64,
    ) -> Self {
        let (spans, least_width) = spans(canvas, table, style, width);
        let mut rows: Vec<MeasuredRow> = table
            .rows
            .iter()
            .map(|row| measure_row(canvas, &table.columns, row, style, &spans, false))
            .collect();
        if let Some(total) = &table.total {
            rows.push(measure_row(
                canvas,
                &table.columns,
                total,
                style,
                &spans,
                true,
            ));
        }
        let notes = table
            .notes
            .iter()
            .flat_map(|note| canvas.wrap(style.words(), note, width))
            .collect();
        Self {
            table,
            style,
            spans,
            least_width,
            rows,
            width,
            notes,
            others: Vec::new(),
        }
    }
    /// Lays it out again where the width is another.
    pub(super) fn fit(&mut self, canvas: &Canvas<'_>, width: f64) {
        let is = |one: &Self| one.width.to_bits() == width.to_bits();
        if is(self) {
            return;
        }
        let mut others = std::mem::take(&mut self.others);
        let fitted = match others.iter().position(is) {
            Some(at) => others.swap_remove(at),
            None => Self::new(canvas, self.table, self.style, width),
        };
        others.push(std::mem::replace(self, fitted));
        self.others = others;
    }
    /// The width from which on its columns stand as they should.
    pub(super) fn least_width(&self) -> f64 {
        self.least_width
    }
    /// Rows, the total among them.
    pub(super) fn len(&self) -> usize {
        self.rows.len()
    }
    /// From the top of the title to the rule under row `to`, starting with row `from`.
    pub(super) fn height(&self, from: usize, to: usize) -> f64 {
        let rows: f64 = self.rows[from..to].iter().map(|r| r.height).sum();
        self.style.head(self.table) + rows
    }
    /// Height of the notes under the table.
    pub(super) fn notes_height(&self) -> f64 {
        if self.notes.is_empty() {
            return 0.0;
        }
        1.5 + self.notes.len() as f64 * self.style.words().pitch()
    }
    /// The height of it all.
    pub(super) fn whole_height(&self) -> f64 {
        self.height(0, self.len()) + self.notes_height()
    }
    /// How many rows from `from` fit a height; never leaves a last row or a total alone.
    pub(super) fn fitting(&self, from: usize, height: f64) -> usize {
        let mut to = from;
        while to < self.len() && self.height(from, to + 1) <= height {
            to += 1;
        }
        if to + 1 == self.len() && to > from {
            to -= 1;
        }
        to
    }
    /// Draws rows `from..to` with the head; returns the y under them.
    pub(super) fn draw(
        &self,
        canvas: &mut Canvas<'_>,
        left: f64,
        top: f64,
        from: usize,
        to: usize,
    ) -> f64 {
        canvas.on(Layer::Tables);
        let mut y = self.draw_title(canvas, left, top, from > 0);
        rule(canvas, left, self.width, y, 0.35);
        if self.table.heads {
            self.draw_heads(canvas, left, y);
            y -= self.style.row();
            rule(canvas, left, self.width, y, 0.25);
        }
        let uneven = self
            .rows
            .iter()
            .any(|r| !r.total && r.height > self.style.row());
        for (i, row) in self.rows[from..to].iter().enumerate() {
            if row.total {
                rule(canvas, left, self.width, y, 0.25);
            } else if uneven && i > 0 {
                rule(canvas, left, self.width, y, 0.18);
            }
            self.draw_row(canvas, row, left, y);
            y -= row.height;
        }
        rule(canvas, left, self.width, y, 0.35);
        if to == self.len() {
            y = self.draw_notes(canvas, left, y);
        }
        y
    }

    fn draw_title(&self, canvas: &mut Canvas<'_>, left: f64, top: f64, continued: bool) -> f64 {
        if self.table.title.is_empty() {
            return top;
        }
        let style = TextStyle::new(self.style.title()).bold();
        let base = Point::new(left, top - self.style.title());
        let width = canvas.text_before(base, style, &self.table.title);
        let beside = if continued {
            "continued"
        } else {
            &self.table.subject
        };
        let at = Point::new(left + width + 4.0, base.y);
        canvas.text(at, self.style.words(), beside);
        base.y - 2.0
    }

    fn draw_heads(&self, canvas: &mut Canvas<'_>, left: f64, y: f64) {
        let base = y - (self.style.row() + self.style.text) / 2.0;
        for (column, span) in self.table.columns.iter().zip(&self.spans) {
            let style = self.style.strong().align(column.align);
            canvas.text(anchor(column, *span, left, base), style, column.head);
        }
    }

    fn draw_row(&self, canvas: &mut Canvas<'_>, row: &MeasuredRow, left: f64, top: f64) {
        let first = top - (self.style.row() + self.style.text) / 2.0;
        for ((cell, column), span) in row.cells.iter().zip(&self.table.columns).zip(&self.spans) {
            match cell {
                CellLines::Line(class) => {
                    let y = top - self.style.row() / 2.0;
                    let a = Point::new(left + span.left, y);
                    line_types::sample(canvas, *class, a, SAMPLE);
                    canvas.on(Layer::Tables);
                }
                CellLines::Diamond(number) => {
                    let y = top - DIAMOND_ROW / 2.0;
                    let center = Point::new(left + span.left + finding_marks::DIAMOND, y);
                    finding_marks::diamond(canvas, center, *number);
                }
                CellLines::Differing(text) => {
                    let style = self.style.strong().ink(Ink::Accent).align(column.align);
                    canvas.text(anchor(column, *span, left, first), style, text);
                }
                CellLines::Text(lines) => {
                    let style = cell_style(column, self.style, row.total);
                    for (i, line) in lines.iter().enumerate() {
                        let base = first - i as f64 * style.pitch();
                        let at = anchor(column, *span, left, base);
                        canvas.text(at, style.align(column.align), line);
                    }
                }
            }
        }
    }

    fn draw_notes(&self, canvas: &mut Canvas<'_>, left: f64, y: f64) -> f64 {
        let style = self.style.words();
        let mut base = y - 1.5;
        for note in &self.notes {
            base -= style.pitch();
            canvas.text(Point::new(left, base), style, note);
        }
        base
    }
}

fn anchor(column: &Column, span: Span, left: f64, base: f64) -> Point {
    let x = match column.align {
        Align::Right => span.left + span.width,
        _ => span.left,
    };
    Point::new(left + x, base)
}

fn rule(canvas: &mut Canvas<'_>, left: f64, width: f64, y: f64, pen: f64) {
    canvas.line(
        Point::new(left, y),
        Point::new(left + width, y),
        Pen::new(pen),
    );
}

/// Between a table's edges and its outer columns.
const SIDES: f64 = 0.5;

/// Where the columns stand in a width, and the least width that does for all of them; the room left over goes to the growing
/// columns, or between the columns.
fn spans(canvas: &Canvas<'_>, table: &Table, style: TableStyle, width: f64) -> (Vec<Span>, f64) {
    let columns = &table.columns;
    let needs: Vec<f64> = (0..columns.len())
        .map(|i| need(canvas, table, style, i, Part::Cell))
        .collect();
    let grows = |i: usize| columns[i].grows > 0.0;
    let least = |i: usize| match grows(i) {
        true => need(canvas, table, style, i, Part::Word),
        false => needs[i],
    };
    let gaps = columns.len().saturating_sub(1) as f64;
    let around = 2.0 * SIDES + GAP * gaps;
    let least_width = around + (0..columns.len()).map(least).sum::<f64>();
    let room = width - around;
    let fixed: f64 = (0..columns.len())
        .filter(|&i| !grows(i))
        .map(|i| needs[i])
        .sum();
    let growing: f64 = columns.iter().map(|c| c.grows).sum();
    let (share, spread) = if growing > 0.0 {
        ((room - fixed) / growing, 0.0)
    } else {
        (0.0, ((room - fixed) / gaps.max(1.0)).max(0.0))
    };
    let mut widths: Vec<f64> = (0..columns.len())
        .map(|i| match grows(i) {
            true => share * columns[i].grows,
            false => needs[i],
        })
        .collect();
    if least_width > width {
        widths = squeezed(canvas, table, style, &needs, room);
    }
    let mut x = SIDES;
    let mut spans = Vec::new();
    for (i, &width) in widths.iter().enumerate() {
        spans.push(Span {
            left: x,
            width,
            wraps: grows(i) || width < needs[i],
        });
        x += width + GAP + spread;
    }
    (spans, least_width)
}

/// Widths where the room is too short: figures keep theirs, and of the columns of words the widest give way first, down to
/// one width for all; none to less than its longest word, as long as there is room for these.
fn squeezed(
    canvas: &Canvas<'_>,
    table: &Table,
    style: TableStyle,
    needs: &[f64],
    room: f64,
) -> Vec<f64> {
    /// Halvings until two widths are one on any paper: 2 m by 2⁻³⁰ is far below a thousandth of a millimetre.
    const HALVINGS: usize = 30;
    let least: Vec<f64> = (0..needs.len())
        .map(|i| match table.columns[i].align {
            Align::Left => need(canvas, table, style, i, Part::Word),
            _ => needs[i],
        })
        .collect();
    let all = least.iter().sum::<f64>();
    if all > room {
        let figures = |i: &usize| table.columns[*i].align != Align::Left;
        let kept: f64 = (0..needs.len()).filter(figures).map(|i| needs[i]).sum();
        let share = ((room - kept) / (all - kept)).clamp(0.0, 1.0);
        return (0..needs.len())
            .map(|i| {
                if figures(&i) {
                    needs[i]
                } else {
                    share * least[i]
                }
            })
            .collect();
    }
    let at = |most: f64| -> Vec<f64> {
        let each = least.iter().zip(needs);
        each.map(|(&least, &need)| most.clamp(least, need.max(least)))
            .collect()
    };
    let (mut low, mut high) = (0.0, room);
    for _ in 0..HALVINGS {
        let most = (low + high) / 2.0;
        if at(most).iter().sum::<f64>() > room {
            high = most;
        } else {
            low = most;
        }
    }
    at(low)
}

/// What a column must have room for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    /// Its longest cell.
    Cell,
    /// The longest word in it.
    Word,
}

fn need(canvas: &Canvas<'_>, table: &Table, style: TableStyle, column: usize, part: Part) -> f64 {
    let width = |text: &str| canvas.width(style.strong(), text);
    let head = width(table.columns[column].head);
    let rows = table.rows.iter().chain(&table.total);
    rows.filter_map(|row| row.get(column))
        .map(|cell| match (cell, part) {
            (Cell::Text(text), Part::Word) => text.split(' ').map(width).fold(0.0, f64::max),
            (Cell::Text(text) | Cell::Differing(text), _) => width(text),
            (Cell::Line(_), _) => SAMPLE,
            (Cell::Diamond(_), _) => 2.0 * finding_marks::DIAMOND,
        })
        .fold(head, f64::max)
}

/// How a text in a column is set, and so how wide it is.
fn cell_style(column: &Column, style: TableStyle, total: bool) -> TextStyle {
    if total || column.bold {
        style.strong()
    } else {
        style.words()
    }
}

fn measure_row(
    canvas: &Canvas<'_>,
    columns: &[Column],
    row: &[Cell],
    style: TableStyle,
    spans: &[Span],
    total: bool,
) -> MeasuredRow {
    let mut most = 1;
    let mut least: f64 = 0.0;
    let cells = row
        .iter()
        .zip(columns)
        .zip(spans)
        .map(|((cell, column), span)| match cell {
            Cell::Line(class) => CellLines::Line(*class),
            Cell::Diamond(number) => {
                least = DIAMOND_ROW;
                CellLines::Diamond(*number)
            }
            Cell::Differing(text) => CellLines::Differing(text.clone()),
            Cell::Text(text) if span.wraps => {
                let lines = canvas.wrap(cell_style(column, style, total), text, span.width);
                most = most.max(lines.len());
                CellLines::Text(lines)
            }
            Cell::Text(text) => CellLines::Text(vec![text.clone()]),
        })
        .collect();
    MeasuredRow {
        cells,
        height: least.max(style.row() + (most - 1) as f64 * style.words().pitch()),
        total,
    }
}

/// A table drawn whole; returns the y under it.
pub(super) fn draw_whole(
    canvas: &mut Canvas<'_>,
    table: &Table,
    style: TableStyle,
    area: Area,
) -> f64 {
    let measured = Measured::new(canvas, table, style, area.width());
    measured.draw(canvas, area.left, area.top, 0, measured.len())
}
