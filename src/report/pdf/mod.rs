//! The sheets as a PDF: what to draw and on which paper. How a PDF is put together is `writer`'s business alone.

mod content;
mod marks;
mod paper;
mod writer;

pub use marks::{LabelMark, LineMark, SheetMarks, marks};
pub use paper::Paper;

use super::canvas::{Canvas, Fonts, Layer, Mark, SUBSTITUTE};
use super::{Report, Sheet, sheets};
use crate::Finding;

/// What to print, and on what.
#[derive(Clone, Debug)]
pub struct PdfOptions {
    /// The sheets, in this order; those that there is nothing to draw for are left out.
    pub sheets: Vec<Sheet>,
    /// The paper.
    pub paper: Paper,
}

impl Default for PdfOptions {
    fn default() -> Self {
        Self {
            sheets: Sheet::usual(),
            paper: Paper::Letter,
        }
    }
}

/// A finished PDF.
#[derive(Clone, Debug)]
pub struct PdfFile {
    /// The file.
    pub bytes: Vec<u8>,
    /// Sheets in it.
    pub sheets: usize,
    /// What could not be printed as it stands, such as letters that the typeface lacks.
    pub findings: Vec<Finding>,
}

/// A sheet of the set, drawn.
#[derive(Clone, Debug)]
pub(crate) struct Page<'f> {
    /// As the title block and the bookmarks have it.
    pub(crate) title: String,
    /// The bookmark that it stands under, where it is one of several; its own otherwise.
    pub(crate) group: Option<String>,
    /// Width and height in mm.
    pub(crate) size: (f64, f64),
    pub(crate) canvas: Canvas<'f>,
}

/// Draws the sheets. The same report and options give the same bytes.
pub fn pdf(report: &Report<'_>, options: &PdfOptions) -> Result<PdfFile, Finding> {
    let fonts = Fonts::load()?;
    let pages = sheets::draw(report, fonts, options);
    let bytes = writer::write(&pages, &document(report))?;
    Ok(PdfFile {
        bytes,
        sheets: pages.len(),
        findings: [unprintable(&pages, fonts), cut(&pages)]
            .into_iter()
            .flatten()
            .collect(),
    })
}

/// What the file says about itself.
struct DocumentInfo {
    title: String,
    author: String,
}

fn document(report: &Report<'_>) -> DocumentInfo {
    DocumentInfo {
        title: format!("{}, roof takeoff", report.title()),
        author: report.inputs().project.drawn_by.clone(),
    }
}

/// What title blocks have no room for, told once.
fn cut(pages: &[Page<'_>]) -> Option<Finding> {
    let mut shortened = std::collections::BTreeSet::new();
    let items = pages.iter().flat_map(|page| &page.canvas.items);
    for item in items.filter(|item| item.layer == Layer::Sheet) {
        if let Mark::Text(text) = &item.mark {
            let is_cut = text.runs.last().is_some_and(|run| run.text.ends_with('…'));
            if is_cut && !text.content.ends_with('…') {
                shortened.insert(text.whole());
            }
        }
    }
    if shortened.is_empty() {
        return None;
    }
    let listed: Vec<String> = shortened.iter().map(|t| format!("“{t}”")).collect();
    Some(
        Finding::note(
            "names-cut",
            format!(
                "Title blocks have no room for all of {}: its end is not printed.",
                listed.join(", ")
            ),
        )
        .remedy("Write a shorter name in the job file."),
    )
}

/// Letters that the typeface lacks, told once.
fn unprintable(pages: &[Page<'_>], fonts: &Fonts) -> Option<Finding> {
    let mut missing = std::collections::BTreeSet::new();
    for page in pages {
        for item in &page.canvas.items {
            if let Mark::Text(text) = &item.mark {
                let lacking = text.runs.iter().flat_map(|run| run.text.chars());
                missing.extend(lacking.filter(|&c| !fonts.has(text.style.font, c)));
            }
        }
    }
    if missing.is_empty() {
        return None;
    }
    let listed: Vec<String> = missing.iter().map(|c| format!("“{c}”")).collect();
    Some(
        Finding::warning(
            "letters-not-printed",
            format!(
                "The typeface lacks {}: printed as {}.",
                listed.join(", "),
                SUBSTITUTE
            ),
        )
        .remedy("Write these names in Latin, Greek or Cyrillic letters in the job file."),
    )
}
