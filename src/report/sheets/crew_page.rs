//! A crew sheet being filled from the top: heads, rows of figures, steps, entries; nothing too small for arm's length.

use super::frame::Frame;
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, Fonts, Layer, Pen, TextStyle};

/// Heights of capitals, in mm: nothing to work by is smaller than the least.
pub(super) const LEAST: f64 = 2.5;
pub(super) const TEXT: f64 = 3.5;
pub(super) const HEAD: f64 = 5.0;
/// From the word of an entry to what it means.
const ENTRY: f64 = 17.0;
/// Height of the words of entries.
const ENTRY_TEXT: f64 = 2.8;
/// Above and below a line across: usually, where a page is spared by it, and where there is room.
const ROUND_RULE: f64 = 1.6;
const LEAST_ROUND_RULE: f64 = 0.8;
const MOST_ROUND_RULE: f64 = 4.0;

/// A page being filled from the top.
pub(super) struct Page<'f> {
    pub(super) canvas: Canvas<'f>,
    pub(super) area: Area,
    pub(super) frame: Area,
    pub(super) y: f64,
    /// Pages that are full.
    pub(super) full: Vec<Canvas<'f>>,
    /// Above and below a line across.
    round_rule: f64,
    rules: usize,
}

impl<'f> Page<'f> {
    /// A page filled by `fill`, or as many as it takes; the room that one page leaves at its foot goes between its
    /// parts.
    pub(super) fn filled(fonts: &'f Fonts, frame: &Frame, fill: impl Fn(&mut Self)) -> Self {
        let with = |round_rule| {
            let mut page = Self {
                canvas: Canvas::new(fonts),
                area: frame.content,
                frame: frame.frame,
                y: frame.content.top,
                full: Vec::new(),
                round_rule,
                rules: 0,
            };
            fill(&mut page);
            page
        };
        let usual = with(ROUND_RULE);
        let other = if usual.full.is_empty() {
            let spare = (usual.y - usual.area.bottom).max(0.0) / (2 * usual.rules.max(1)) as f64;
            with((ROUND_RULE + spare).min(MOST_ROUND_RULE))
        } else {
            with(LEAST_ROUND_RULE)
        };
        let spared = other.full.len() < usual.full.len();
        if spared || other.full.is_empty() {
            other
        } else {
            usual
        }
    }
    /// Goes on on a further page where so much does not fit on this one.
    pub(super) fn need(&mut self, height: f64) {
        if self.y - height < self.area.bottom {
            let fresh = Canvas::new(self.canvas.fonts);
            self.full.push(std::mem::replace(&mut self.canvas, fresh));
            self.y = self.area.top;
        }
    }
    /// A line across, and room for what follows it.
    pub(super) fn rule(&mut self, next: f64) {
        if self.y - 2.0 * self.round_rule - next < self.area.bottom {
            self.need(f64::INFINITY);
            return;
        }
        self.rules += 1;
        self.y -= self.round_rule;
        let (left, right) = (self.frame.left, self.frame.right);
        self.canvas.on(Layer::Tables).line(
            Point::new(left, self.y),
            Point::new(right, self.y),
            Pen::new(0.35),
        );
        self.y -= self.round_rule;
    }
    pub(super) fn head(&mut self, head: &str, beside: &str) {
        self.y -= HEAD;
        let at = Point::new(self.area.left, self.y);
        self.canvas.on(Layer::Tables);
        let text = self.canvas.text(at, TextStyle::new(HEAD).bold(), head);
        let beside_at = at + Vector::new(text.width + 5.0, 0.0);
        let room = self.area.right - beside_at.x;
        let style = TextStyle::new(TEXT);
        let lines = self.canvas.wrap(style, beside, room);
        for (i, line) in lines.iter().enumerate() {
            let down = Vector::new(0.0, style.pitch() * i as f64);
            self.canvas.text(beside_at - down, style, line);
        }
        self.y -= style.pitch() * lines.len().saturating_sub(1) as f64 + 2.4;
    }
    /// Cells of a label over a figure, in as many columns as fit.
    pub(super) fn cells(&mut self, cells: &[(String, String)]) {
        let figure = TextStyle::new(TEXT).bold();
        let label = TextStyle::new(LEAST);
        let widest = cells
            .iter()
            .map(|(l, f)| {
                let (l, f) = (self.canvas.width(label, l), self.canvas.width(figure, f));
                l.max(f)
            })
            .fold(0.0, f64::max)
            + 3.0;
        let columns = ((self.area.width() / widest).floor() as usize).clamp(1, 9);
        let width = self.area.width() / columns as f64;
        const HEIGHT: f64 = 8.8;
        self.canvas.on(Layer::Tables);
        for (i, (words, number)) in cells.iter().enumerate() {
            let column = i % columns;
            if column == 0 {
                if i > 0 {
                    self.y -= HEIGHT;
                }
                self.need(HEIGHT);
                self.canvas.on(Layer::Tables);
            }
            let left = self.area.left + width * column as f64;
            let top = self.y;
            let cell = Area::new(left, top - HEIGHT, left + width, top);
            self.canvas.rect(cell, Pen::new(0.25));
            self.canvas
                .text(Point::new(left + 1.2, top - 3.2), label, words);
            self.canvas
                .text(Point::new(left + 1.2, top - 7.8), figure, number);
        }
        if !cells.is_empty() {
            self.y -= HEIGHT;
        }
    }
    /// Steps of the work in two columns, numbered down the first and on down the second.
    pub(super) fn steps(&mut self, steps: &[(&'static str, String)]) {
        let (what, mind) = (TextStyle::new(LEAST).bold(), TextStyle::new(LEAST));
        const NUMBER: f64 = 5.5;
        let width = self.area.width() / 2.0 - 3.0;
        let columns = steps.split_at(steps.len().div_ceil(2));
        let top = self.y;
        let mut lowest = top;
        let mut number = 0;
        for (column, steps) in [columns.0, columns.1].into_iter().enumerate() {
            let left = self.area.left + column as f64 * (width + 6.0);
            let mut y = top;
            for (words, more) in steps {
                number += 1;
                y -= mind.pitch();
                self.canvas.on(Layer::Tables);
                self.canvas
                    .text(Point::new(left, y), what, &number.to_string());
                let at = Point::new(left + NUMBER, y);
                let set = self.canvas.text(at, what, &format!("{words}:"));
                let used = set.width + 1.4;
                let room = width - NUMBER;
                let lines = self.canvas.wrap_after(mind, more, room, used);
                for (i, line) in lines.iter().enumerate() {
                    let indent = if i == 0 { used } else { 0.0 };
                    if i > 0 {
                        y -= mind.pitch();
                    }
                    self.canvas.text(Point::new(at.x + indent, y), mind, line);
                }
            }
            lowest = lowest.min(y);
        }
        self.y = lowest;
    }
    /// A bold word with what it means beside it, in as many lines as it takes.
    pub(super) fn entry(&mut self, word: &str, meaning: &str, room: f64) {
        let style = TextStyle::new(ENTRY_TEXT);
        let lines = self.canvas.wrap(style, meaning, room - ENTRY);
        self.need(style.pitch() * lines.len() as f64);
        for (i, line) in lines.iter().enumerate() {
            self.y -= style.pitch();
            let at = Point::new(self.area.left, self.y);
            self.canvas.on(Layer::Tables);
            if i == 0 {
                self.canvas.text(at, style.bold(), word);
            }
            let beside = at + Vector::new(ENTRY, 0.0);
            self.canvas.text(beside, style, line);
        }
    }
}
