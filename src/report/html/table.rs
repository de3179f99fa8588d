//! Tables: caption, heads with scope, figures to the right.

use super::escape::escape;

/// A table under construction. Cells are finished markup; heads and captions are plain text.
pub(super) struct Table {
    id: &'static str,
    caption: String,
    columns: Vec<(String, bool)>,
    body: String,
    rows: usize,
    foot: String,
    basis: String,
}

impl Table {
    pub(super) fn new(id: &'static str, caption: impl Into<String>) -> Self {
        Self {
            id,
            caption: caption.into(),
            columns: vec![],
            body: String::new(),
            rows: 0,
            foot: String::new(),
            basis: String::new(),
        }
    }
    /// A column of words.
    pub(super) fn words(mut self, head: impl Into<String>) -> Self {
        self.columns.push((head.into(), false));
        self
    }
    /// A column of figures.
    pub(super) fn figures(mut self, head: impl Into<String>) -> Self {
        self.columns.push((head.into(), true));
        self
    }
    /// One line under the table that says what its numbers rest on.
    pub(super) fn basis(mut self, basis: impl Into<String>) -> Self {
        self.basis = basis.into();
        self
    }
    /// A row; the first cell is its head. `attributes` is finished markup.
    pub(super) fn row(&mut self, attributes: &str, cells: &[String]) {
        let row = self.cells(cells);
        self.rows += 1;
        self.body.push_str(&format!("<tr{attributes}>{row}</tr>\n"));
    }
    /// A row of totals.
    pub(super) fn total(&mut self, cells: &[String]) {
        let row = self.cells(cells);
        self.foot.push_str(&format!("<tr>{row}</tr>\n"));
    }

    fn cells(&self, cells: &[String]) -> String {
        cells
            .iter()
            .zip(&self.columns)
            .enumerate()
            .map(|(i, (cell, (_, figures)))| {
                let class = if *figures { " class=\"n\"" } else { "" };
                if i == 0 {
                    format!("<th scope=\"row\"{class}>{cell}</th>")
                } else {
                    format!("<td{class}>{cell}</td>")
                }
            })
            .collect()
    }

    /// The table in a box that scrolls sideways on a narrow screen.
    pub(super) fn html(self) -> String {
        let heads: String = self
            .columns
            .iter()
            .map(|(head, figures)| {
                let class = if *figures { " class=\"n\"" } else { "" };
                format!("<th scope=\"col\"{class}>{}</th>", escape(head))
            })
            .collect();
        let foot = if self.foot.is_empty() {
            String::new()
        } else {
            format!("<tfoot>\n{}</tfoot>\n", self.foot)
        };
        let basis = if self.basis.is_empty() {
            String::new()
        } else {
            format!("<p class=\"basis\">{}</p>\n", escape(&self.basis))
        };
        let caption = escape(&self.caption);
        format!(
            "<div class=\"scroll{short}\" role=\"region\" aria-labelledby=\"{id}-caption\" tabindex=\"0\">\n\
             <table id=\"{id}\">\n<caption id=\"{id}-caption\">{caption}</caption>\n\
             <thead><tr>{heads}</tr></thead>\n<tbody>\n{body}</tbody>\n{foot}</table>\n</div>\n{basis}",
            id = self.id,
            // A short table is kept on one sheet when printed.
            short = if self.rows <= 24 { " short" } else { "" },
            body = self.body,
        )
    }
}
