//! Tables: rules above and below, words left, figures right, the unit in the head.

use crate::report::canvas::{Align, TextStyle};
use crate::roof::EdgeClass;

/// A column's head, which way it is set, and whether it takes the room that the others leave.
#[derive(Clone, Debug)]
pub(super) struct Column {
    pub(super) head: &'static str,
    pub(super) align: Align,
    /// Its share of the room that the others leave; 0 for a column as wide as its widest cell.
    pub(super) grows: f64,
    pub(super) bold: bool,
}

impl Column {
    /// Words, flush left.
    pub(super) const fn words(head: &'static str) -> Self {
        Self {
            head,
            align: Align::Left,
            grows: 0.0,
            bold: false,
        }
    }
    /// Figures, flush right.
    pub(super) const fn figures(head: &'static str) -> Self {
        Self {
            align: Align::Right,
            ..Self::words(head)
        }
    }
    /// Set bold.
    pub(super) const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }
    /// Takes a share of the room that the others leave; its text is broken into lines.
    pub(super) const fn grows(self, share: f64) -> Self {
        Self {
            grows: share,
            ..self
        }
    }
}

/// What stands in a cell.
#[derive(Clone, Debug)]
pub(super) enum Cell {
    Text(String),
    /// The line of an edge class, drawn.
    Line(EdgeClass),
    /// The mark of a finding.
    Diamond(usize),
    /// A figure that a finding is about: bold, in the accent.
    Differing(String),
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

/// A table with its title and what it stands on.
#[derive(Clone, Debug)]
pub(super) struct Table {
    pub(super) title: String,
    /// In one line beside the title: what the table is of.
    pub(super) subject: String,
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<Vec<Cell>>,
    /// A last row under a rule, bold.
    pub(super) total: Option<Vec<Cell>>,
    /// Under the table, as paragraphs.
    pub(super) notes: Vec<String>,
    /// Whether the heads are drawn.
    pub(super) heads: bool,
}

impl Table {
    pub(super) fn new(title: impl Into<String>, columns: Vec<Column>) -> Self {
        Self {
            title: title.into(),
            subject: String::new(),
            columns,
            rows: Vec::new(),
            total: None,
            notes: Vec::new(),
            heads: true,
        }
    }
}

/// Sizes that follow from the height of the text.
#[derive(Clone, Copy, Debug)]
pub(super) struct TableStyle {
    /// Height of the capitals in rows.
    pub(super) text: f64,
    /// Height of a row over that of the capitals.
    row: f64,
}

/// Height of a row over that of its capitals, usually and where a sheet can be spared by it.
const ROW: f64 = 2.5;
const TIGHT_ROW: f64 = 2.28;

impl TableStyle {
    pub(super) const fn new(text: f64) -> Self {
        Self { text, row: ROW }
    }
    /// With rows as low as they may be.
    pub(super) const fn tight(self) -> Self {
        Self {
            row: TIGHT_ROW,
            ..self
        }
    }
    pub(super) fn is_tight(self) -> bool {
        self.row < ROW
    }
    pub(super) fn row(self) -> f64 {
        self.row * self.text
    }
    pub(super) fn title(self) -> f64 {
        2.5 / 1.8 * self.text
    }
    pub(super) fn words(self) -> TextStyle {
        TextStyle::new(self.text)
    }
    pub(super) fn strong(self) -> TextStyle {
        TextStyle::new(self.text).bold()
    }
    /// From the top of a table to its first row.
    pub(super) fn head(self, table: &Table) -> f64 {
        let title = if table.title.is_empty() {
            0.0
        } else {
            self.title() + 2.0
        };
        title + if table.heads { self.row() } else { 0.0 }
    }
}
