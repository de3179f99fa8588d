//! A crew sheet being filled from the top: heads, rows of figures, steps, entries; nothing too small for arm's length.

use super::frame::Frame;
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, DESCENT, Fonts, Layer, Pen, TextStyle};

/// Rows of figures with their heads, and how wide each column is at lettering of 1 mm.
pub(super) struct Listing {
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
    /// Of the head, and of the widest cell.
    widths: Vec<(f64, f64)>,
}

impl Listing {
    /// The second figure of a row is the one that is marked.
    const MARKED: usize = 1;

    pub(super) fn new(fonts: &Fonts, heads: Vec<String>, rows: Vec<Vec<String>>) -> Self {
        let canvas = Canvas::trial(fonts);
        let widths = heads.iter().enumerate().map(|(column, head)| {
            let style = match column {
                0 | Self::MARKED => TextStyle::new(1.0).bold(),
                _ => TextStyle::new(1.0),
            };
            let cells = rows.iter().map(|row| canvas.width(style, &row[column]));
            let widest = cells.fold(0.0, f64::max);
            (canvas.width(TextStyle::new(1.0), head), widest)
        });
        Self {
            widths: widths.collect(),
            heads,
            rows,
        }
    }
}

/// Heights of capitals, in mm: nothing to work by is smaller than the least. Figures of fractions are 0.68 of the text's, so
/// that those of this text are no smaller either.
pub(super) const LEAST: f64 = 2.5;
pub(super) const TEXT: f64 = 3.7;
const SMALLER_TEXT: f64 = 3.5;
pub(super) const HEAD: f64 = 5.0;
/// From the word of an entry to what it means.
const ENTRY: f64 = 21.0;
/// A figure to cut or to chalk by is at least so high, and no higher: more would stand among the counts.
const FIGURE: f64 = 4.0;
const LARGEST_FIGURE: f64 = 4.8;
/// Height of the words of a listed row, the air over and under its figure, and how many rows stand side by side at most.
const LISTED: f64 = 3.0;
const LISTED_AIR: f64 = 1.9;
const MOST_ACROSS: usize = 6;
/// Air round the words and the figure of a cell, and its height at the least.
const CELL_AIR: f64 = 1.7;
pub(super) const CELL: f64 = LEAST + FIGURE + 3.0 * CELL_AIR;
/// Under a head, in mm.
pub(super) const UNDER_HEAD: f64 = 2.4;
/// Height of the words of entries.
const ENTRY_TEXT: f64 = 2.8;
/// Above and below a line across: as far as there is room, between larger lettering, and where a page is spared by it.
const MOST_ROUND_RULE: f64 = 4.0;
const GROWN_ROUND_RULE: f64 = 1.6;
const LEAST_ROUND_RULE: f64 = 0.8;
/// So much of the room left is spread, that no digit of a sum takes a further page.
const ALL_BUT_A_HAIR: f64 = 0.95;
/// Lettering grows by so much where that takes no further page; as it is, it has more air where there is room for that.
const GROWN: [f64; 4] = [1.35, 1.2, 1.1, 1.0];

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
    /// Above and below a line across, and so on the last page, of which this is the number from 0.
    round_rule: f64,
    last_round_rule: f64,
    last: usize,
    /// How many of these lines there are on the last page.
    rules: usize,
    /// Whether a list of several rows has no two blocks side by side.
    is_one_wide: bool,
    /// How much larger than the least lettering is set.
    grown: f64,
}

impl<'f> Page<'f> {
    /// A page filled by `fill`, or as many as it takes at the least lettering; the room that these leave goes to larger
    /// lettering, then between the parts. Further pages leave `name_height` mm free at their heads.
    pub(super) fn filled(
        fonts: &'f Fonts,
        frame: &Frame,
        name_height: f64,
        fill: impl Fn(&mut Self),
    ) -> Self {
        let with = |blank: Canvas<'f>, grown: f64, round_rule: f64, last: (usize, f64)| {
            let mut page = Self {
                canvas: blank,
                area: frame.content,
                frame: frame.frame,
                y: frame.content.top,
                further_top: frame.content.top - name_height,
                full: Vec::new(),
                round_rule,
                last_round_rule: last.1,
                last: last.0,
                rules: 0,
                is_one_wide: false,
                grown,
            };
            fill(&mut page);
            page
        };
        let tried = |grown: f64, round_rule: f64| {
            with(Canvas::trial(fonts), grown, round_rule, (0, round_rule))
        };
        let least = tried(1.0, LEAST_ROUND_RULE);
        let (last, is_one_wide) = (least.full.len(), least.is_one_wide);
        let grown = GROWN.into_iter().find_map(|grown| {
            let page = tried(grown, GROWN_ROUND_RULE);
            // A list in one block reads no better for being large, and leaves half the sheet empty.
            let is_gain = page.full.len() <= last && (is_one_wide || !page.is_one_wide);
            is_gain.then_some((grown, page))
        });
        let (grown, page) = grown.unwrap_or((1.0, least));
        // What is left on the last page goes round the lines across it, and over a list as if it had one too.
        let left = (page.y - page.area.bottom).max(0.0) / (2.0 * (page.rules + 1) as f64);
        let round_rule = page.round_rule;
        let spread = (round_rule + ALL_BUT_A_HAIR * left).min(MOST_ROUND_RULE);
        let drawn = |last: (usize, f64)| with(Canvas::new(fonts), grown, round_rule, last);
        let spread = drawn((last, spread));
        if spread.full.len() <= last {
            spread
        } else {
            drawn((0, round_rule))
        }
    }
    /// Above and below a line across.
    fn air(&self) -> f64 {
        match self.full.len() < self.last {
            true => self.round_rule,
            false => self.last_round_rule,
        }
    }
    /// The style of the least lettering, as large as there is room for.
    pub(super) fn least(&self) -> TextStyle {
        TextStyle::new(LEAST * self.grown)
    }
    /// What hangs under the last line of a text of a height; where room is short, the air above the next line across has it.
    pub(super) fn hangs(&self, height: f64) -> f64 {
        match self.round_rule > LEAST_ROUND_RULE {
            true => height * DESCENT,
            false => 0.0,
        }
    }
    /// The height of figures to cut or to chalk by.
    fn figure(&self) -> f64 {
        (FIGURE * self.grown).min(LARGEST_FIGURE)
    }
    /// The height of a cell.
    fn cell(&self) -> f64 {
        self.least().height + self.figure() + 3.0 * CELL_AIR
    }
    /// The height of a listed row.
    fn listed_row(&self) -> f64 {
        self.figure() + LISTED_AIR
    }
    /// Goes on on a further page where so much does not fit on this one.
    pub(super) fn need(&mut self, height: f64) {
        if self.y - height < self.area.bottom {
            let fresh = self.canvas.fresh();
            self.full.push(std::mem::replace(&mut self.canvas, fresh));
            self.y = self.further_top;
            self.rules = 0;
        }
    }
    /// A line across, and room for what follows it.
    pub(super) fn rule(&mut self, next: f64) {
        if self.y - 2.0 * self.air() - next < self.area.bottom {
            self.need(f64::INFINITY);
            return;
        }
        self.y -= self.air();
        self.rules += 1;
        let (left, right) = (self.frame.left, self.frame.right);
        self.canvas.on(Layer::Tables).line(
            Point::new(left, self.y),
            Point::new(right, self.y),
            Pen::new(0.35),
        );
        self.y -= self.air();
    }
    /// A head with words beside it, in as many lines as they take, all on one page.
    pub(super) fn head(&mut self, head: &str, beside: &str) {
        let bold = TextStyle::new(HEAD).bold();
        let left = self.area.left + self.canvas.width(bold, head) + 5.0;
        let set = |height: f64| {
            let style = TextStyle::new(height);
            let lines = self.canvas.wrap(style, beside, self.area.right - left);
            (style, lines)
        };
        let mut usual = set(TEXT);
        if usual.1.len() > 1 {
            // A line more for its last word alone would be worse than the hair.
            let smaller = set(SMALLER_TEXT);
            if smaller.1.len() < usual.1.len() {
                usual = smaller;
            }
        }
        let (style, lines) = usual;
        let more = style.pitch() * lines.len().saturating_sub(1) as f64;
        self.need(HEAD + more + UNDER_HEAD);
        self.y -= HEAD;
        let base = Point::new(self.area.left, self.y);
        self.canvas.on(Layer::Tables).text(base, bold, head);
        for (i, line) in lines.iter().enumerate() {
            let y = self.y - style.pitch() * i as f64;
            self.canvas.text(Point::new(left, y), style, line);
        }
        self.y -= more + UNDER_HEAD;
    }
    /// Words over the whole width, as small as anything to work by may be, in as many lines as they take.
    pub(super) fn small(&mut self, words: &str) {
        let style = self.least();
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
        let figure = TextStyle::new(self.figure()).bold();
        let label = self.least();
        let high = self.cell();
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
                    self.y -= high;
                }
                self.need(high);
                self.canvas.on(Layer::Tables);
            }
            let left = self.area.left + width * column as f64;
            let top = self.y;
            let cell = Area::new(left, top - high, left + width, top);
            self.canvas.rect(cell, Pen::new(0.25));
            let words_at = Point::new(left + 1.2, top - CELL_AIR - label.height);
            self.canvas.text(words_at, label, words);
            let figure_at = Point::new(left + 1.2, top - high + CELL_AIR);
            self.canvas.text(figure_at, figure, number);
        }
        if !cells.is_empty() {
            self.y -= high;
        }
    }
    /// Rows of figures under small heads, in as many blocks side by side as fit, down one block and on down the next.
    pub(super) fn list(&mut self, listing: &Listing) {
        const BETWEEN: f64 = 3.0;
        const MOST_OVER: f64 = 1.5;
        let between = BETWEEN * self.grown;
        // Under the sentences before it, where there is room.
        let over = (self.air() - LEAST_ROUND_RULE).min(MOST_OVER);
        let (label, words) = (self.least(), TextStyle::new(LISTED * self.grown));
        let figure = TextStyle::new(self.figure()).bold();
        let (head, row) = (label.height + 2.0, self.listed_row());
        let style = |column: usize| match column {
            0 => words.bold(),
            Listing::MARKED => figure,
            _ => words,
        };
        let Listing { heads, rows, .. } = listing;
        let widths = listing.widths.iter().enumerate();
        let widths: Vec<f64> = widths
            .map(|(column, (head, cell))| {
                (head * label.height).max(cell * style(column).height) + 2.0
            })
            .collect();
        let block: f64 = widths.iter().sum();
        let across = ((self.area.width() + between) / (block + between)).floor();
        let across = (across as usize).clamp(1, MOST_ACROSS);
        self.is_one_wide |= across == 1 && rows.len() > 1;
        // What the columns leave of a block goes between them.
        let spread = (self.area.width() + between) / across as f64 - between;
        let more = ((spread - block) / heads.len() as f64).max(0.0);
        let mut rest = &rows[..];
        while !rest.is_empty() {
            self.need(over + head + 2.0 * row);
            self.y -= over;
            let fits = ((self.y - head - self.area.bottom) / row).floor() as usize;
            let (here, further) = rest.split_at(rest.len().min(across * fits.max(1)));
            let down = here.len().div_ceil(across);
            let top = self.y;
            for (i, part) in here.chunks(down).enumerate() {
                let left = self.area.left + (spread + between) * i as f64;
                self.block(heads, part, (left, top), |column| {
                    (style(column), widths[column] + more)
                });
            }
            self.y = top - head - row * down as f64;
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
        let (label, high) = (self.least(), self.listed_row());
        let figure = self.figure();
        let under_heads = top - label.height - 2.0;
        self.canvas.on(Layer::Tables);
        // All lines before all texts: each change of the pen would stand in the file.
        for row in 0..=rows.len() {
            let y = under_heads - high * row as f64;
            let (from, to) = (Point::new(left, y), Point::new(left + width, y));
            self.canvas.line(from, to, Pen::new(0.18));
        }
        let mut x = left + 0.6;
        for (i, head) in heads.iter().enumerate() {
            let at = Point::new(x, top - label.height);
            self.canvas.text(at, label, head);
            x += column(i).1;
        }
        for (row, cells) in rows.iter().enumerate() {
            let y = under_heads - high * row as f64 - (high + figure) / 2.0;
            let mut x = left + 0.6;
            for (i, cell) in cells.iter().enumerate() {
                let (style, width) = column(i);
                self.canvas.text(Point::new(x, y), style, cell);
                x += width;
            }
        }
    }

    /// Steps of the work under a head of their own, in two columns, numbered down the first and on down the second; all
    /// on one page.
    pub(super) fn steps(&mut self, head: &str, steps: &[(&'static str, String)]) {
        let (what, mind) = (self.least().bold(), self.least());
        let number_width = 5.5 * self.grown;
        const BETWEEN: f64 = 6.0;
        let between = BETWEEN * self.grown;
        let width = (self.area.width() - between) / 2.0;
        let set: Vec<(f64, Vec<String>)> = steps
            .iter()
            .map(|(words, more)| {
                let used = self.canvas.width(what, &format!("{words}:")) + 1.4;
                let lines = self
                    .canvas
                    .wrap_after(mind, more, width - number_width, used);
                (used, lines)
            })
            .collect();
        let lines = |set: &[(f64, Vec<String>)]| set.iter().map(|s| s.1.len()).sum::<usize>();
        let all = lines(&set);
        let left = (0..set.len())
            .find(|&n| 2 * lines(&set[..n]) >= all)
            .unwrap_or(set.len());
        let most = lines(&set[..left]).max(lines(&set[left..]));
        let high = mind.pitch() * most as f64 + self.hangs(mind.height);
        self.rule(HEAD + UNDER_HEAD + high);
        self.head(head, "");
        let top = self.y;
        self.canvas.on(Layer::Tables);
        let mut y = top;
        for (i, ((words, _), (used, lines))) in steps.iter().zip(&set).enumerate() {
            if i == left {
                y = top;
            }
            let column = if i < left { 0.0 } else { width + between };
            let x = self.area.left + column;
            for (k, line) in lines.iter().enumerate() {
                y -= mind.pitch();
                let at = Point::new(x + number_width, y);
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
        self.y = top - high;
    }
    /// A bold word with what it means beside it, in as many lines as it takes.
    pub(super) fn entry(&mut self, word: &str, meaning: &str, room: f64) {
        let style = TextStyle::new(ENTRY_TEXT * self.grown);
        let beside = ENTRY * self.grown;
        let lines = self.canvas.wrap(style, meaning, room - beside);
        self.need(style.pitch() * lines.len() as f64);
        for (i, line) in lines.iter().enumerate() {
            self.y -= style.pitch();
            let at = Point::new(self.area.left, self.y);
            self.canvas.on(Layer::Tables);
            if i == 0 {
                self.canvas.text(at, style.bold(), word);
            }
            let meaning_at = at + Vector::new(beside, 0.0);
            self.canvas.text(meaning_at, style, line);
        }
    }
}
