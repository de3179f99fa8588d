//! Tables and paragraphs set one after another into columns, and on to further sheets where they do not fit.

use super::Draft;
use super::frame::Frame;
use super::table::{Table, TableStyle};
use super::table_set::Measured;
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, Layer, TextStyle};

/// Between blocks, in mm.
const BLOCK_GAP: f64 = 9.0;
const TIGHT_GAP: f64 = 7.0;
/// Between columns.
const COLUMN_GAP: f64 = 9.0;
/// A table is not begun where fewer rows than these fit.
const LEAST_ROWS: usize = 3;
/// Paragraphs under a head are not torn where they take no more than this share of a column.
const WHOLE_SHARE: f64 = 0.5;
/// Under a head of paragraphs.
const UNDER_HEAD: f64 = 1.5;

/// Draws sheets like the blank one with the usual rows, or with lower ones where that spares a sheet: better than one with
/// a row or two on it.
pub(super) fn on_fewest_sheets<'f>(
    blank: &Canvas<'f>,
    text: f64,
    draw: impl Fn(Canvas<'f>, TableStyle) -> Vec<Draft<'f>>,
) -> Vec<Draft<'f>> {
    let style = TableStyle::new(text);
    let usual = draw(blank.fresh(), style);
    if usual.len() > 1 {
        let tight = draw(Canvas::trial(blank.fonts), style.tight());
        if tight.len() < usual.len() {
            return match blank.is_trial() {
                true => tight,
                false => draw(blank.fresh(), style.tight()),
            };
        }
    }
    usual
}

/// Fills sheets of one kind, column by column.
pub(super) struct Flow<'f> {
    size: (f64, f64),
    title: &'static str,
    style: TableStyle,
    columns: Vec<Area>,
    /// The column being filled, and the y of the room left in it.
    column: usize,
    y: f64,
    /// Between blocks, in mm.
    block_gap: f64,
    canvas: Canvas<'f>,
    finished: Vec<Draft<'f>>,
}

impl<'f> Flow<'f> {
    /// Sheets like the blank one, of columns with widths in the given shares.
    pub(super) fn new(
        blank: Canvas<'f>,
        size: (f64, f64),
        title: &'static str,
        style: TableStyle,
        shares: &[f64],
    ) -> Self {
        let columns = columns(Frame::of(size).content, shares);
        let y = columns.first().map_or(0.0, |c| c.top);
        Self {
            size,
            title,
            style,
            columns,
            column: 0,
            y,
            block_gap: if style.is_tight() {
                TIGHT_GAP
            } else {
                BLOCK_GAP
            },
            canvas: blank,
            finished: Vec::new(),
        }
    }

    /// Width of the column being filled.
    pub(super) fn width(&self) -> f64 {
        self.area().width()
    }
    /// With another gap between blocks.
    pub(super) fn with_gap(mut self, gap: f64) -> Self {
        self.block_gap = gap;
        self
    }
    fn area(&self) -> Area {
        self.columns[self.column]
    }
    fn room(&self) -> f64 {
        self.y - self.area().bottom
    }
    /// Whether the first column of a sheet is being filled.
    pub(super) fn is_in_first_column(&self) -> bool {
        self.column == 0
    }
    fn is_at_top(&self) -> bool {
        (self.y - self.area().top).abs() < 1e-9
    }

    /// Goes on at the top of the next column, on a new sheet where there is none.
    pub(super) fn next_column(&mut self) {
        if !self.is_at_top() {
            self.advance();
        }
    }

    fn advance(&mut self) {
        self.column += 1;
        if self.column == self.columns.len() {
            self.turn_page();
        }
        self.y = self.area().top;
    }

    /// Passes by columns that are too narrow for a table where the sheet has wider ones.
    fn find_width(&mut self, measured: &mut Measured<'_>) {
        let widest = self.columns.iter().map(|c| c.width()).fold(0.0, f64::max);
        let enough = measured.least_width().min(widest);
        while self.area().width() < enough {
            self.advance();
        }
        measured.fit(&self.canvas, self.area().width());
    }

    fn turn_page(&mut self) {
        let fresh = self.canvas.fresh();
        let canvas = std::mem::replace(&mut self.canvas, fresh);
        self.finished.push(Draft {
            title: self.title.to_owned(),
            group: None,
            size: self.size,
            scale: "no drawing".to_owned(),
            canvas,
        });
        self.column = 0;
    }

    /// Sets a table; one that does not fit goes on in the next column that is wide enough, with its heads again.
    pub(super) fn table(&mut self, table: &Table) {
        if table.rows.is_empty() && table.total.is_none() {
            return;
        }
        let mut measured = Measured::new(&self.canvas, table, self.style, self.area().width());
        self.find_width(&mut measured);
        // Rather a whole table in the next column than one torn in two, where it fits there.
        let next = self
            .columns
            .get(self.column + 1)
            .unwrap_or(&self.columns[0]);
        if measured.whole_height() > self.room() && measured.whole_height() <= next.height() {
            self.next_column();
            self.find_width(&mut measured);
        }
        let mut from = 0;
        while from < measured.len() {
            let mut to = measured.fitting(from, self.room());
            let last = to == measured.len();
            if last
                && measured.height(from, to) + measured.notes_height() > self.room()
                && to > from + 1
            {
                // The notes stay with the last rows.
                to -= 1;
            }
            let few = to < measured.len() && to - from < LEAST_ROWS;
            if few && !self.is_at_top() {
                self.next_column();
                self.find_width(&mut measured);
                continue;
            }
            // A row taller than a column is drawn all the same: nothing is left out.
            let to = to.max(from + 1);
            let left = self.area().left;
            self.y = measured.draw(&mut self.canvas, left, self.y, from, to);
            from = to;
            if from < measured.len() {
                self.next_column();
                self.find_width(&mut measured);
            }
        }
        self.y -= self.block_gap;
    }

    /// A block of at most this height at the head of the room left, for something drawn into it.
    pub(super) fn room_for(&mut self, height: f64) -> (&mut Canvas<'f>, Area) {
        let area = Area {
            top: self.y,
            bottom: (self.y - height).max(self.area().bottom),
            ..self.area()
        };
        self.y = area.bottom - BLOCK_GAP;
        (&mut self.canvas, area)
    }

    /// Gives back what the last block did not need of its height.
    pub(super) fn give_back(&mut self, height: f64) {
        self.y += height;
    }

    /// The height of a column of a whole sheet.
    pub(super) fn column_height(&self) -> f64 {
        self.area().height()
    }

    /// Sets a head with paragraphs under it: rather whole in the next column than torn, where it is no longer than half of
    /// one; with its head again where it must go on there.
    pub(super) fn paragraphs(&mut self, head: &str, paragraphs: &[String]) {
        if paragraphs.is_empty() {
            return;
        }
        let style = TextStyle::new(self.style.text);
        let height = self.height_of_paragraphs(paragraphs);
        if height <= WHOLE_SHARE * self.column_height() {
            self.keep_together(height);
        }
        if self.room() < self.style.title() + 3.0 + 3.0 * style.pitch() {
            self.next_column();
        }
        self.head(head, false);
        for paragraph in paragraphs {
            self.paragraph(style, paragraph, Some(head));
        }
        self.y -= self.block_gap;
    }

    /// The height of paragraphs under a head.
    fn height_of_paragraphs(&self, paragraphs: &[String]) -> f64 {
        let style = TextStyle::new(self.style.text);
        let width = self.area().width();
        let heights = paragraphs.iter().map(|paragraph| {
            let lines = self.canvas.wrap(style, paragraph, width).len();
            lines as f64 * style.pitch() + self.paragraph_gap()
        });
        self.style.title() + UNDER_HEAD + heights.sum::<f64>()
    }

    fn paragraph_gap(&self) -> f64 {
        let share = if self.style.is_tight() { 0.3 } else { 0.6 };
        share * self.style.text
    }

    fn head(&mut self, head: &str, continued: bool) {
        self.canvas.on(Layer::Tables);
        let base = Point::new(self.area().left, self.y - self.style.title());
        let style = TextStyle::new(self.style.title()).bold();
        let width = self.canvas.text_before(base, style, head);
        if continued {
            let beside = base + Vector::new(width + 4.0, 0.0);
            self.canvas
                .text(beside, TextStyle::new(self.style.text), "continued");
        }
        self.y = base.y - UNDER_HEAD;
    }

    /// Goes on in the next column with what stands under such a head.
    fn go_on(&mut self, head: Option<&str>) {
        self.next_column();
        if let Some(head) = head.filter(|head| !head.is_empty()) {
            self.head(head, true);
        }
    }

    fn paragraph(&mut self, style: TextStyle, text: &str, head: Option<&str>) {
        let lines = self.canvas.wrap(style, text, self.area().width());
        // A paragraph of a few lines is not torn.
        let need = lines.len().min(3) as f64 * style.pitch();
        if self.room() < need {
            self.go_on(head);
        }
        for line in lines {
            if self.room() < style.pitch() {
                self.go_on(head);
            }
            self.y -= style.pitch();
            let at = Point::new(self.area().left, self.y);
            self.canvas.on(Layer::Tables).text(at, style, &line);
        }
        self.y -= self.paragraph_gap();
    }

    /// The height of a table set whole, with the gap after it; nothing for an empty one.
    pub(super) fn height_of(&self, table: &Table) -> f64 {
        if table.rows.is_empty() && table.total.is_none() {
            return 0.0;
        }
        let width = self.area().width();
        let measured = Measured::new(&self.canvas, table, self.style, width);
        measured.whole_height() + self.block_gap
    }

    /// Goes on in the next column where what comes is so high that it does not fit here, but does there.
    pub(super) fn keep_together(&mut self, height: f64) {
        if height > self.room() && height <= self.column_height() {
            self.next_column();
        }
    }

    /// Sets what is drawn by hand and is so high, whole.
    pub(super) fn block(&mut self, height: f64, draw: impl FnOnce(&mut Canvas<'f>, Area)) {
        if height > self.room() {
            self.next_column();
        }
        let area = Area {
            top: self.y,
            bottom: self.y - height,
            ..self.area()
        };
        draw(&mut self.canvas, area);
        self.y -= height;
    }

    /// Lists of sentences side by side, each with its head; one after another where they do not fit so.
    pub(super) fn lists(&mut self, lists: &[(&str, &[String])]) {
        let columns: Vec<&[(&str, &[String])]> = lists.iter().map(std::slice::from_ref).collect();
        self.columns_of_lists(&columns);
    }

    /// Columns of lists, those of one column under each other.
    pub(super) fn columns_of_lists(&mut self, columns: &[&[(&str, &[String])]]) {
        let said = |column: &&[(&str, &[String])]| column.iter().any(|(_, said)| !said.is_empty());
        let columns: Vec<_> = columns.iter().copied().filter(said).collect();
        let count = columns.len() as f64;
        let width = (self.area().width() - COLUMN_GAP * (count - 1.0)) / count;
        let set: Vec<Vec<List>> = columns
            .iter()
            .map(|column| {
                let lists = column.iter().filter(|(_, said)| !said.is_empty());
                lists
                    .map(|(head, said)| List::new(&self.canvas, self.style, head, said, width))
                    .collect()
            })
            .collect();
        let gap = self.block_gap;
        let height_of = |column: &Vec<List>| {
            let lists: f64 = column.iter().map(List::height).sum();
            lists + gap * (column.len() as f64 - 1.0)
        };
        let height = set.iter().map(height_of).fold(0.0, f64::max);
        let whole = self.columns.first().map_or(0.0, |c| c.height());
        if height > whole {
            for (head, said) in columns.into_iter().flatten() {
                self.paragraphs(head, said);
            }
            return;
        }
        self.block(height, |canvas, area| {
            for (i, column) in set.iter().enumerate() {
                let mut at = Point::new(area.left + i as f64 * (width + COLUMN_GAP), area.top);
                for list in column {
                    list.draw(canvas, at);
                    at.y -= list.height() + gap;
                }
            }
        });
        self.y -= self.block_gap;
    }

    /// One sentence over the width, in a style of its own.
    pub(super) fn sentence(&mut self, style: TextStyle, text: &str) {
        self.paragraph(style, text, None);
    }

    /// Leaves a little room.
    pub(super) fn gap(&mut self, height: f64) {
        self.y -= height;
    }

    /// The sheets.
    pub(super) fn finish(mut self) -> Vec<Draft<'f>> {
        if !self.canvas.is_blank() {
            self.turn_page();
        }
        self.finished
    }
}

/// Sentences under a head, each behind a dash.
struct List {
    head: String,
    style: TextStyle,
    items: Vec<Vec<String>>,
}

/// From the dash to the words, over the height of the text.
const DASH: f64 = 2.2;

impl List {
    fn new(
        canvas: &Canvas<'_>,
        style: TableStyle,
        head: &str,
        said: &[String],
        width: f64,
    ) -> Self {
        let style = TextStyle::new(style.text);
        let room = width - DASH * style.height;
        Self {
            head: head.to_owned(),
            style,
            items: said.iter().map(|s| canvas.wrap(style, s, room)).collect(),
        }
    }
    fn head_style(&self) -> TextStyle {
        TextStyle::new(2.5 / 1.8 * self.style.height).bold()
    }
    fn height(&self) -> f64 {
        let lines: usize = self.items.iter().map(Vec::len).sum();
        self.head_style().height
            + 1.5
            + lines as f64 * self.style.pitch()
            + self.items.len() as f64 * 0.6 * self.style.height
    }
    fn draw(&self, canvas: &mut Canvas<'_>, top_left: Point) {
        let mut y = top_left.y - self.head_style().height;
        canvas.on(Layer::Tables);
        canvas.text(Point::new(top_left.x, y), self.head_style(), &self.head);
        y -= 1.5;
        let left = top_left.x + DASH * self.style.height;
        for item in &self.items {
            for (i, line) in item.iter().enumerate() {
                y -= self.style.pitch();
                if i == 0 {
                    canvas.text(Point::new(top_left.x, y), self.style, "–");
                }
                canvas.text(Point::new(left, y), self.style, line);
            }
            y -= 0.6 * self.style.height;
        }
    }
}

fn columns(content: Area, shares: &[f64]) -> Vec<Area> {
    let total: f64 = shares.iter().sum();
    let room = content.width() - COLUMN_GAP * shares.len().saturating_sub(1) as f64;
    let mut left = content.left;
    shares
        .iter()
        .map(|share| {
            let right = left + room * share / total;
            let column = Area {
                left,
                right,
                ..content
            };
            left = right + COLUMN_GAP;
            column
        })
        .collect()
}
