//! The frame of a sheet: margins, zones, and where content may stand.

use crate::geometry::Point;
use crate::report::canvas::{Align, Area, Canvas, Layer, Pen, TextStyle};

/// Margin for filing, on the left, in mm.
const FILING_MARGIN: f64 = 16.0;
/// The other margins.
const MARGIN: f64 = 8.0;
/// Width of the strip of zones outside the frame.
const ZONE_STRIP: f64 = 4.0;
/// Fields of a zone strip are as near to this as an even count of them allows.
const ZONE_LENGTH: f64 = 50.0;
/// From the frame to the content.
const CONTENT_INSET: f64 = 6.0;
/// Height of the title block.
pub(super) const TITLE_BLOCK_HEIGHT: f64 = 15.0;

/// The frame of a sheet of a given size.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    /// The frame line.
    pub(crate) frame: Area,
    /// Where content stands: inside the frame, above the title block.
    pub(crate) content: Area,
    /// Whether the sheet carries zones.
    zoned: bool,
}

impl Frame {
    /// For a sheet of `size` mm. Upright sheets carry no zones.
    pub(crate) fn of(size: (f64, f64)) -> Self {
        let (width, height) = size;
        let frame = Area::new(FILING_MARGIN, MARGIN, width - MARGIN, height - MARGIN);
        let inner = frame.inset(CONTENT_INSET);
        let content = Area {
            bottom: frame.bottom + TITLE_BLOCK_HEIGHT + CONTENT_INSET,
            ..inner
        };
        Self {
            frame,
            content,
            zoned: width > height,
        }
    }

    fn fields(length: f64) -> usize {
        let pairs = (length / ZONE_LENGTH / 2.0).round().max(1.0);
        2 * pairs as usize
    }

    /// The zone of a place, such as `B3`: letters down, numbers across. `None` on sheets without zones.
    pub(crate) fn zone(&self, p: Point) -> Option<String> {
        if !self.zoned {
            return None;
        }
        let index = |share: f64, fields: usize| {
            ((share * fields as f64).floor().max(0.0) as usize).min(fields - 1)
        };
        let across = index(
            (p.x - self.frame.left) / self.frame.width(),
            Self::fields(self.frame.width()),
        );
        let down = index(
            (self.frame.top - p.y) / self.frame.height(),
            Self::fields(self.frame.height()),
        );
        Some(format!("{}{}", letter(down), across + 1))
    }

    /// Draws frame and zones.
    pub(crate) fn draw(&self, canvas: &mut Canvas<'_>) {
        canvas.on(Layer::Sheet);
        canvas.rect(self.frame, Pen::new(0.5));
        if self.zoned {
            self.strips(canvas);
        }
    }

    fn strips(&self, canvas: &mut Canvas<'_>) {
        let (inner, outer) = (self.frame, self.frame.inset(-ZONE_STRIP));
        canvas.rect(outer, Pen::new(0.18));
        let style = TextStyle::new(1.8).align(Align::Middle);
        let across = Self::fields(inner.width());
        for i in 0..across {
            let x = inner.left + inner.width() * (i as f64 + 0.5) / across as f64;
            for base in [inner.top + 1.1, outer.bottom + 1.1] {
                canvas.text(Point::new(x, base), style, &(i + 1).to_string());
            }
        }
        for i in 1..across {
            let x = inner.left + inner.width() * i as f64 / across as f64;
            let pen = Pen::new(if 2 * i == across { 0.5 } else { 0.18 });
            canvas.line(Point::new(x, inner.top), Point::new(x, outer.top), pen);
            canvas.line(
                Point::new(x, outer.bottom),
                Point::new(x, inner.bottom),
                pen,
            );
        }
        let down = Self::fields(inner.height());
        for i in 0..down {
            let y = inner.top - inner.height() * (i as f64 + 0.5) / down as f64 - 0.9;
            for x in [
                outer.left + ZONE_STRIP / 2.0,
                inner.right + ZONE_STRIP / 2.0,
            ] {
                canvas.text(Point::new(x, y), style, &letter(i).to_string());
            }
        }
        for i in 1..down {
            let y = inner.top - inner.height() * i as f64 / down as f64;
            let pen = Pen::new(if 2 * i == down { 0.5 } else { 0.18 });
            canvas.line(Point::new(outer.left, y), Point::new(inner.left, y), pen);
            canvas.line(Point::new(inner.right, y), Point::new(outer.right, y), pen);
        }
    }
}

/// Letters of zones; I and O are left out, since they read as figures (ISO 5457).
fn letter(index: usize) -> char {
    const LETTERS: &[u8] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
    char::from(LETTERS[index % LETTERS.len()])
}
