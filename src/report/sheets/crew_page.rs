//! A crew sheet being filled from the top: heads, rows of figures, steps, entries; nothing too small for arm's length.

use super::frame::Frame;
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, Fonts, Layer, Pen, TextStyle};

/// Heights of capitals, in mm: nothing to work by is smaller than the least.
pub(super) const LEAST: f64 = 2.5;
pub(super) const TEXT: f64 = 3.5;
pub(super) const HEAD: f64 = 5.0;
/// From the word of an entry to what it means.
const ENTRY: f64 = 21.0;
/// Height of a listed row, of its words and its figure, and how many rows stand side by side at most.
const LISTED_ROW: f64 = 4.6;
const LISTED: f64 = 2.8;
const LISTED_FIGURE: f64 = 3.2;
const MOST_ACROSS: usize = 6;
/// Height of a cell.
pub(super) const CELL: f64 = 8.8;
/// Under a head, in mm.
pub(super) const UNDER_HEAD: f64 = 2.4;
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
    /// Where a further page goes on, under its own name of the face.
    pub(super) further_top: f64,
    /// Pages that are full.
    pub(super) full: Vec<Canvas<'f>>,
    /// Above and below a line across.
    round_rule: f64,
    rules: usize,
}

impl<'f> Page<'f> {
    /// A page filled by `fill`, or as many as it takes; the room that one page leaves at its foot goes between its
    /// parts. Further pages leave `name_height` mm free at their heads.
    pub(super) fn filled(
        fonts: &'f Fonts,
        frame: &Frame,
        name_height: f64,
        fill: impl Fn(&mut Self),
    ) -> Self {
        let with = |round_rule| {
            let mut page = Self {
                canvas: Canvas::new(fonts),
                area: frame.content,
                frame: frame.frame,
                y: frame.content.top,
                further_top: frame.content.top - name_height,
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
            self.y = self.further_top;
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
    /// A head with words beside it, in as many lines as they take, all on one page.
    pub(super) fn head(&mut self, head: &str, beside: &str) {
        let style = TextStyle::new(TEXT);
        let bold = TextStyle::new(HEAD).bold();
        let left = self.area.left + self.canvas.width(bold, head) + 5.0;
        let lines = self.canvas.wrap(style, beside, self.area.right - left);
        let more = style.pitch() * lines.len().saturating_sub(1) as f64;
        self.need(HEAD + more + UNDER_HEAD);
        self.y -= HEAD;
        self.canvas.on(Layer::Tables);
        self.canvas
            .text(Point::new(self.area.left, self.y), bold, head);
        for (i, line) in lines.iter().enumerate() {
            let y = self.y - style.pitch() * i as f64;
            self.canvas.text(Point::new(left, y), style, line);
        }
        self.y -= more + UNDER_HEAD;
    }
    /// Words over the whole width, as small as anything to work by may be, in as many lines as they take.
    pub(super) fn small(&mut self, words: &str) {
        let style = TextStyle::new(LEAST);
        let lines = self.canvas.wrap(style, words, self.area.width());
        self.need(style.pitch() * lines.len() as f64);
        for line in &lines {
            self.y -= style.pitch();
            let at = Point::new(self.area.left, self.y);
            self.canvas.on(Layer::Tables).text(at, style, line);
        }
        if !lines.is_empty() {
            self.y -= 1.6;
        }
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
        self.canvas.on(Layer::Tables);
        for (i, (words, number)) in cells.iter().enumerate() {
            let column = i % columns;
            if column == 0 {
                if i > 0 {
                    self.y -= CELL;
                }
                self.need(CELL);
                self.canvas.on(Layer::Tables);
            }
            let left = self.area.left + width * column as f64;
            let top = self.y;
            let cell = Area::new(left, top - CELL, left + width, top);
            self.canvas.rect(cell, Pen::new(0.25));
            self.canvas
                .text(Point::new(left + 1.2, top - 3.2), label, words);
            self.canvas
                .text(Point::new(left + 1.2, top - 7.8), figure, number);
        }
        if !cells.is_empty() {
            self.y -= CELL;
        }
    }
    /// Rows of figures under small heads, in as many blocks side by side as fit, down one block and on down the next; the
    /// second figure of a row is the one that is marked.
    pub(super) fn list(&mut self, heads: &[String], rows: &[Vec<String>]) {
        const FIGURE: usize = 1;
        const BETWEEN: f64 = 3.0;
        let (label, words) = (TextStyle::new(LEAST), TextStyle::new(LISTED));
        let figure = TextStyle::new(LISTED_FIGURE).bold();
        let style = |column: usize| match column {
            0 => words.bold(),
            FIGURE => figure,
            _ => words,
        };
        let widths: Vec<f64> = (0..heads.len())
            .map(|column| {
                let cells = rows
                    .iter()
                    .map(|row| self.canvas.width(style(column), &row[column]));
                cells.fold(self.canvas.width(label, &heads[column]), f64::max) + 2.0
            })
            .collect();
        let block: f64 = widths.iter().sum();
        let across = ((self.area.width() + BETWEEN) / (block + BETWEEN)).floor();
        let across = (across as usize).clamp(1, MOST_ACROSS);
        // What the columns leave of a block goes between them.
        let spread = (self.area.width() + BETWEEN) / across as f64 - BETWEEN;
        let more = ((spread - block) / heads.len() as f64).max(0.0);
        let mut rest = rows;
        while !rest.is_empty() {
            self.need(LEAST + 2.0 + 2.0 * LISTED_ROW);
            let fits = ((self.y - LEAST - 2.0 - self.area.bottom) / LISTED_ROW).floor() as usize;
            let (here, further) = rest.split_at(rest.len().min(across * fits.max(1)));
            let down = here.len().div_ceil(across);
            let top = self.y;
            for (i, part) in here.chunks(down).enumerate() {
                let left = self.area.left + (spread + BETWEEN) * i as f64;
                self.block(heads, part, (left, top), |column| {
                    (style(column), widths[column] + more)
                });
            }
            self.y = top - LEAST - 2.0 - LISTED_ROW * down as f64;
            rest = further;
            if !rest.is_empty() {
                self.need(f64::INFINITY);
            }
        }
    }

    /// One block of a list, its heads first; `column` gives the style and the width of a column.
    fn block(
        &mut self,
        heads: &[String],
        rows: &[Vec<String>],
        (left, top): (f64, f64),
        column: impl Fn(usize) -> (TextStyle, f64),
    ) {
        let width: f64 = (0..heads.len()).map(|i| column(i).1).sum();
        let line = |canvas: &mut Canvas<'_>, y: f64| {
            canvas.line(
                Point::new(left, y),
                Point::new(left + width, y),
                Pen::new(0.18),
            );
        };
        self.canvas.on(Layer::Tables);
        let mut x = left + 0.6;
        for (i, head) in heads.iter().enumerate() {
            let at = Point::new(x, top - LEAST);
            self.canvas.text(at, TextStyle::new(LEAST), head);
            x += column(i).1;
        }
        let mut y = top - LEAST - 2.0;
        line(&mut self.canvas, y);
        for row in rows {
            let mut x = left + 0.6;
            for (i, cell) in row.iter().enumerate() {
                let (style, width) = column(i);
                let at = Point::new(x, y - (LISTED_ROW + LISTED_FIGURE) / 2.0);
                self.canvas.text(at, style, cell);
                x += width;
            }
            y -= LISTED_ROW;
            line(&mut self.canvas, y);
        }
    }

    /// Steps of the work under a head of their own, in two columns, numbered down the first and on down the second; all
    /// on one page.
    pub(super) fn steps(&mut self, head: &str, steps: &[(&'static str, String)]) {
        let (what, mind) = (TextStyle::new(LEAST).bold(), TextStyle::new(LEAST));
        const NUMBER: f64 = 5.5;
        const BETWEEN: f64 = 6.0;
        let width = (self.area.width() - BETWEEN) / 2.0;
        let set: Vec<(f64, Vec<String>)> = steps
            .iter()
            .map(|(words, more)| {
                let used = self.canvas.width(what, &format!("{words}:")) + 1.4;
                let lines = self.canvas.wrap_after(mind, more, width - NUMBER, used);
                (used, lines)
            })
            .collect();
        let lines = |set: &[(f64, Vec<String>)]| set.iter().map(|s| s.1.len()).sum::<usize>();
        let all = lines(&set);
        let left = (0..set.len())
            .find(|&n| 2 * lines(&set[..n]) >= all)
            .unwrap_or(set.len());
        let most = lines(&set[..left]).max(lines(&set[left..]));
        self.rule(HEAD + UNDER_HEAD + mind.pitch() * most as f64);
        self.head(head, "");
        let top = self.y;
        self.canvas.on(Layer::Tables);
        let mut y = top;
        for (i, ((words, _), (used, lines))) in steps.iter().zip(&set).enumerate() {
            if i == left {
                y = top;
            }
            let column = if i < left { 0.0 } else { width + BETWEEN };
            let x = self.area.left + column;
            for (k, line) in lines.iter().enumerate() {
                y -= mind.pitch();
                let at = Point::new(x + NUMBER, y);
                if k == 0 {
                    let number = (i + 1).to_string();
                    self.canvas.text(Point::new(x, y), what, &number);
                    self.canvas.text(at, what, &format!("{words}:"));
                    let beside = at + Vector::new(*used, 0.0);
                    self.canvas.text(beside, mind, line);
                } else {
                    self.canvas.text(at, mind, line);
                }
            }
        }
        self.y = top - mind.pitch() * most as f64;
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
