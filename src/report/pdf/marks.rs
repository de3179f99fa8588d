//! The marks of the sheets as plain numbers, for whoever checks a drawing: labels with their boxes, lines with their
//! widths. Millimetres from the lower left corner of the sheet, y up.

use super::{Page, PdfOptions};
use crate::Finding;
use crate::geometry::Point;
use crate::report::canvas::{Fonts, Mark};
use crate::report::{Report, sheets};

/// What stands on one sheet.
#[derive(Clone, Debug)]
pub struct SheetMarks {
    /// The sheet's title.
    pub title: String,
    /// Width and height in mm.
    pub size_mm: (f64, f64),
    /// All texts.
    pub labels: Vec<LabelMark>,
    /// All lines, cut into straight pieces.
    pub lines: Vec<LineMark>,
}

/// A text.
#[derive(Clone, Debug)]
pub struct LabelMark {
    /// The layer's name, such as `edge lengths`.
    pub layer: &'static str,
    /// What it says.
    pub words: String,
    /// Height of its capitals in mm.
    pub height_mm: f64,
    /// The corners of its box, turned with the text.
    pub corners: [Point; 4],
}

/// A straight piece of a line.
#[derive(Clone, Copy, Debug)]
pub struct LineMark {
    /// The layer's name, such as `roof edges`.
    pub layer: &'static str,
    /// Its ends.
    pub ends: [Point; 2],
    /// Its width in mm.
    pub width_mm: f64,
}

/// Draws the sheets and tells what stands on them.
pub fn marks(report: &Report<'_>, options: &PdfOptions) -> Result<Vec<SheetMarks>, Finding> {
    let fonts = Fonts::load()?;
    let pages = sheets::draw(report, fonts, options);
    Ok(pages.iter().map(sheet).collect())
}

fn sheet(page: &Page<'_>) -> SheetMarks {
    let (mut labels, mut lines) = (Vec::new(), Vec::new());
    for item in &page.canvas.items {
        let layer = item.layer.words();
        match &item.mark {
            Mark::Text(text) => labels.push(LabelMark {
                layer,
                words: text.content.clone(),
                height_mm: text.style.height,
                corners: text.corners(),
            }),
            Mark::Lines(shared) => lines.extend(shared.iter().map(|line| LineMark {
                layer,
                ends: line.ends,
                width_mm: line.pen.width,
            })),
            Mark::Stroke {
                points,
                closed,
                pen,
            } => {
                let last = if *closed {
                    points.len()
                } else {
                    points.len() - 1
                };
                lines.extend((0..last).map(|i| LineMark {
                    layer,
                    ends: [points[i], points[(i + 1) % points.len()]],
                    width_mm: pen.width,
                }));
            }
            Mark::Fill { .. } => {}
        }
    }
    SheetMarks {
        title: page.title.clone(),
        size_mm: page.size,
        labels,
        lines,
    }
}
